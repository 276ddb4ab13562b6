//! What has no answer, and what is said instead.

use super::{Notebook, PANTRY, RECIPES, bar};

fn refused(arguments: &[&str], words: &[&str]) {
    let (status, said) = bar().said(arguments);
    assert_eq!(status, 2, "{arguments:?}: {said}");
    for word in words {
        assert!(said.contains(word), "{arguments:?}: `{word}` is not in {said}");
    }
}

#[test]
fn sizes_of_nothing_or_beyond_reason() {
    refused(&["Jug", "--serves", "0"], &["nothing to make"]);
    refused(&["Jug", "--serves", "-3"], &["below zero"]);
    refused(&["Jug", "--serves", "2.5"], &["serves are whole"]);
    refused(&["Jug", "--serves", "many"], &["not a number"]);
    refused(&["Jug", "--serves", "1e9"], &["more than anybody"]);
    refused(&["Jug", "--serves", "99999999"], &["ten thousand litres"]);
    refused(&["Jug", "--makes", "0 l"], &["nothing to make"]);
    refused(&["Jug", "--makes", "5 kg"], &["not a volume"]);
    refused(&["Jug", "--makes", "5"], &["unit is missing"]);
    refused(&["Jug", "--makes", "1,5 l"], &["comma"]);
    refused(&["Jug", "--makes", "900000 l"], &["ten thousand litres"]);
    refused(&["Jug", "--bottles", "0x700ml"], &["not a number of bottles"]);
    refused(&["Jug", "--bottles", "12x700"], &["unit is missing"]);
    refused(&["Jug", "--bottles", "12x700ml", "--serves", "3"], &["size of its own"]);
    refused(&["Jug", "--serves", "3", "--makes", "1 l"], &["cannot be used with"]);
    refused(&["Test syrup", "--serves", "3"], &["a prep has no serves", "--makes"]);
}

#[test]
fn stock_that_says_nothing() {
    refused(&["Jug", "--have", "test rum"], &["does not say how much"]);
    refused(&["Jug", "--have", "test rum=0 ml"], &["no `test rum` in stock"]);
    refused(&["Jug", "--have", "test rum=-1 l"], &["below zero"]);
    refused(&["Jug", "--have", "test rum=3"], &["unit is missing"]);
    refused(&["Jug", "--have", "test run=3 l"], &["nothing is called `test run`", "did you mean", "test rum"]);
    refused(&["Jug", "--have", "test lime juice=3 l"], &["does not go into Jug"]);
    refused(&["Jug", "--have", "test milk=3 l"], &["does not go into Jug"]);
    refused(&["Jug", "--have", "test rum=1 l", "--have", "test rum=2 l"], &["in stock twice"]);
    refused(&["Fizz", "--have", "test lime juice=3 tins"], &["how much one tin of test lime juice is"]);
    refused(
        &["Secret jug", "--have", "test quince=2 kg", "--reading", "test lime juice: acid=5"],
        &["says nothing here"],
    );
    refused(&["Cherries", "--have", "test cherry=1"], &["too little test cherry"]);
}

#[test]
fn a_recipe_that_is_not_there() {
    let (status, said) = bar().said(&["Jugg"]);
    assert_eq!(status, 1);
    assert!(said.contains("did you mean `Jug`?"), "{said}");
    let (status, said) = bar().said(&[]);
    assert_eq!(status, 2);
    assert!(said.contains("no recipe is named"), "{said}");
}

#[test]
fn a_missing_part_is_located_and_the_document_still_comes() {
    let notebook =
        Notebook::new("", PANTRY, &[("Hole", "mix: [500 ml test rum, 100 ml nowhere syrup]\nserve: {pour: 60 ml}\n")]);
    let (status, document) = notebook.json(&["Hole", "--serves", "20"]);
    assert_eq!(status, 1);
    assert!(document["factor"].is_null() && document["makes_ml"].is_null());
    assert!(document["unknown"].as_array().unwrap().iter().any(|u| u["figure"] == "factor"), "{document:#}");
    let problem = &document["problems"][0];
    assert_eq!((problem["code"].as_str(), problem["line"].as_u64()), (Some("unknown-name"), Some(3)));
    // By stock it can be scaled all the same, and what is missing is said.
    let (status, document) = notebook.json(&["Hole", "--have", "test rum=1 l"]);
    assert_eq!((status, document["factor"].as_f64()), (1, Some(2.0)));
    assert!(document["unknown"].as_array().unwrap().iter().any(|u| u["figure"] == "pours"));
}

#[test]
fn a_dose_that_the_scale_cannot_weigh_is_a_warning() {
    // 0.25 % of 158 g is 0.4 g; on a kitchen scale of 1 g nobody can weigh that to 2 %.
    let kitchen = "tools: {scales: [1 g to 5 kg]}\n";
    let coarse = Notebook::new(kitchen, PANTRY, RECIPES).answer(&["Jug", "--serves", "20"]);
    let problems = coarse["problems"].as_array().unwrap();
    let dose = problems.iter().find(|p| p["code"] == "dose-too-small").expect("a warning");
    assert_eq!(dose["severity"], "warning");
    assert!(dose["message"].as_str().unwrap().contains("test gum"), "{dose:#}");
    // On the fine scale it is none.
    let fine = bar().answer(&["Jug", "--serves", "20"]);
    assert!(fine["problems"].as_array().unwrap().iter().all(|p| p["code"] != "dose-too-small"), "{fine:#}");
}

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
    refused(&["Jug", "--serves", "1e3"], &["written out", "--serves 1000"]);
    refused(&["Jug", "--makes", "-5 l"], &["`--makes -5 l`", "below zero"]);
    refused(&["Jug", "--makes", "-5", "l"], &["`--makes -5 l`", "below zero"]);
    refused(&["Jug", "--bottles", "0x700ml"], &["nothing to fill"]);
    refused(&["Jug", "--bottles", "99999999999x700ml"], &["more bottles than anybody fills"]);
    refused(&["Jug", "--bottles", "12x"], &["how large is one?"]);
    refused(&["Jug", "--serves", "--ready"], &["a value is wanted here"]);
    refused(&["Jug", "--bottles", "-2x700ml"], &["below zero"]);
    refused(&["Jug", "--bottles", "2.5x700ml"], &["not a whole number of bottles"]);
    refused(&["Jug", "--bottles", "12x-700ml"], &["`--bottles 12x-700ml`", "below zero"]);
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
    refused(
        &["Cherries", "--have", "test cherry=1"],
        &["`test cherry` is counted in whole pieces", "test cherry=90 g"],
    );
    refused(&["Pressed quince", "--have", "test quince=0.5"], &["`test quince` is counted in whole pieces"]);
    refused(&["Jug", "--have", "test syrup=0.5"], &["unit is missing", "test syrup=400 ml"]);
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

#[test]
fn a_refused_question_is_a_document_too() {
    let notebook = bar();
    for (arguments, about, recipe) in [
        (&["Jug", "--serves", "many"][..], Some("--serves"), Some("jug")),
        (&["Jug", "--have", "test rum=0 ml"], Some("--have"), Some("jug")),
        (&["Jug", "--have", "test rum"], Some("--have"), Some("jug")),
        (&["Jug", "--makes", "5"], Some("--makes"), Some("jug")),
        (&["Jug", "--bottles", "12x700"], Some("--bottles"), Some("jug")),
        (&["Jug", "--reading", "test rum"], Some("--reading"), Some("jug")),
        (&["Test syrup", "--serves", "3"], Some("--serves"), Some("test-syrup")),
        (&["--serves", "3"], Some("RECIPE"), None),
        (&["Jug", "--serves", "3", "--makes", "1 l"], None, None),
        (&["Jug", "--nonsense"], None, None),
    ] {
        let (status, document) = notebook.json(arguments);
        assert_eq!(status, 2, "{arguments:?}");
        let problem = &document["problems"][0];
        assert_eq!((document["recipe"].as_str(), problem["argument"].as_str()), (recipe, about), "{document:#}");
        assert_eq!((problem["code"].as_str(), problem["severity"].as_str()), (Some("refused-question"), Some("error")));
        assert!(problem["file"].is_null() && !problem["message"].as_str().unwrap().is_empty(), "{problem:#}");
        assert!(problem["help"].is_string(), "{problem:#}");
        // The same words as for people.
        let (status, said) = notebook.said(arguments);
        assert_eq!(status, 2);
        assert!(said.contains(problem["message"].as_str().unwrap()), "{said}");
    }
}

#[test]
fn quotes_may_be_forgotten() {
    let notebook = bar();
    let quoted = notebook.answer(&["Jug", "--bottles", "12x700ml"]);
    for arguments in [
        &["Jug", "--bottles", "12", "x", "700", "ml"][..],
        &["--bottles", "12", "x", "700ml", "Jug"],
        &["--bottles", "12x700", "ml", "Jug"],
    ] {
        assert_eq!(notebook.answer(arguments), quoted, "{arguments:?}");
    }
    let quoted = notebook.answer(&["One sour", "--makes", "5 l"]);
    for arguments in [&["One", "sour", "--makes", "5", "l"][..], &["--makes", "5", "l", "one sour"]] {
        assert_eq!(notebook.answer(arguments), quoted, "{arguments:?}");
    }
    let two = notebook.answer(&["Jug", "--bottles", "2x700ml,3x200ml"]);
    assert_eq!(two["bottles"].as_array().unwrap().len(), 2);
    assert_eq!(notebook.answer(&["Jug", "--bottles", "2x700ml", "--bottles", "3x200ml"]), two);
}

#[test]
fn a_drift_that_no_tool_mends_is_said() {
    // One mark, no scale: ninety millilitres of a drink in whole jiggers are another drink.
    let house = "tools: {jigger: [50 ml], jug: 50 ml, scales: [100 g to 5 kg]}\ntolerance: {abv: 0.5 %, sugar: 0.5, acid: 0.05}\n";
    let notebook = Notebook::new(house, PANTRY, RECIPES);
    let document = notebook.answer(&["Milk punch", "--makes", "730 ml"]);
    let beyond: Vec<&str> =
        document["drift_beyond"].as_array().unwrap().iter().map(|b| b["figure"].as_str().unwrap()).collect();
    assert!(beyond.contains(&"acid_g_per_100ml"), "{document:#}");
    assert!(document["drift"]["acid_g_per_100ml"].as_f64().unwrap().abs() > 0.05);
    let problem = document["problems"].as_array().unwrap().iter().find(|p| p["code"] == "rounding-drift").unwrap();
    assert_eq!(problem["severity"], "warning");
    assert!(problem["message"].as_str().unwrap().contains("rounding moves the"), "{problem:#}");
    assert!(problem["line"].as_u64().is_some_and(|line| line > 1), "{problem:#}");
    let said = notebook.printed(&["Milk punch", "--makes", "730 ml"]);
    assert!(said.contains("and no tool here measures it more finely"), "{said}");
    // Where it stays within, nothing is said.
    assert_eq!(bar().answer(&["Milk punch", "--makes", "730 ml"]).get("drift_beyond"), None);
}

//! What is in stock: fruit with two sides, what is left, what is short, and names that are not quite the recipe's.

use serde_json::Value;

use super::{Notebook, PANTRY, amount, bar, part, pour, shown};

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}

const FRUIT: &[(&str, &str)] = &[
    (
        "Both sides",
        "makes: prep\nmix: [juice of 12 test quince, 300 g test sugar]\nprocess: [peel: {of: 6 test quince, recovers: 9 %}]\n",
    ),
    ("Trimmings", "makes: prep\nmix: [peel of 12 test quince, core of 12 test quince, 1 l water]\n"),
    ("Whole and pressed", "makes: prep\nmix: [juice of 12 test quince, 2 test quince, 300 g test sugar]\n"),
    ("Apart", "mix: [juice of 4 test quince, 200 ml trimmings, 50 ml test rum]\n"),
    (
        "Pressed drink",
        "mix: [700 ml test rum, 300 ml pressed pear juice, 60 ml old rye spirit]\nserve: {pour: 80 ml}\n",
    ),
    ("Pressed pear juice", "makes: prep\nmix: [1 l test quince juice]\n"),
    ("Twice", "mix: [300 ml test rum, 60 ml twice syrup, 20 ml test lime juice]\n"),
    ("Twice syrup", "makes: prep\nmix: [100 ml test rum, 200 g test sugar]\n"),
];

pub fn orchard() -> Notebook {
    let more = "\
- {name: old rye spirit, abv: 50 %, sugar: 0, acid: 0}
- {name: test quince peel, form: solid, sugar: 6, acid: 0.3}
- {name: test quince core, form: solid, sugar: 5, acid: 0.3}
";
    Notebook::new("", &format!("{PANTRY}{more}"), FRUIT)
}

#[test]
fn what_is_peeled_can_be_pressed() {
    let notebook = orchard();
    // Twelve are pressed, six of them peeled first: twelve are used up.
    let document = notebook.answer(&["Both sides", "--have", "test quince=40"]);
    assert!((number(&document["factor"]) - 40.0 / 12.0).abs() < 1e-12, "{document:#}");
    assert_eq!(document["fruit"][0]["count"], 40);
    assert_eq!(document["fruit"][0]["sides"], serde_json::json!(["flesh", "peel"]));
    // The same by weight, at 200 g a piece.
    let weighed = notebook.answer(&["Both sides", "--have", "test quince=8 kg"]);
    assert!((number(&weighed["factor"]) - 40.0 / 12.0).abs() < 1e-12);
    // A heap that was weighed is not counted.
    assert_eq!(weighed.get("fruit"), None);
    // Peel and core come off the same ones too.
    let document = notebook.answer(&["Trimmings", "--have", "test quince=24"]);
    assert_eq!(number(&document["factor"]), 2.0);
    // So do the juice of a drink and the trimmings of what it pours: 4 n for the juice, at most.
    let document = notebook.answer(&["Apart", "--have", "test quince=20"]);
    assert_eq!(document["fruit"][0]["count"], 20, "{document:#}");
    assert_eq!(number(&document["factor"]), 5.0);
    // What goes in whole cannot be pressed.
    let document = notebook.answer(&["Whole and pressed", "--have", "test quince=28"]);
    assert_eq!(number(&document["factor"]), 2.0);
    assert_eq!(document.get("fruit"), None);
    let said = notebook.printed(&["Both sides", "--have", "test quince=40"]);
    assert!(said.contains("test quince: 40 in all, since flesh and peel come off the same ones"), "{said}");
}

#[test]
fn all_of_it_is_what_there_is() {
    let notebook = bar();
    let document = notebook.answer(&["Jug", "--have", "test pear juice=639 ml"]);
    assert_eq!(amount(&document, "test pear juice", "measure"), "639 ml");
    assert_eq!(pour(&document, "test pear juice")["tool"], "all of it");
    // In the unit in which it was stated.
    let document = notebook.answer(&["Jug", "--have", "test pear juice=669 g"]);
    assert_eq!(amount(&document, "test pear juice", "measure"), "669 g");
    // Something else decides, and the jug would round up beyond what is left: it goes in whole, or is measured as it can be.
    let document = notebook.answer(&["Jug", "--makes", "1620 ml", "--have", "test rum=718 ml"]);
    let rum = pour(&document, "test rum");
    assert_eq!(document.get("limited_by"), None, "{document:#}");
    assert_eq!((rum["tool"].as_str(), number(&rum["measure"]["amount"])), (Some("all of it"), 718.0), "{rum:#}");
}

#[test]
fn the_rest_of_it_goes_in_last() {
    // The syrup is made first, and takes of the same bottle: what the drink gets is what is left of that.
    let notebook = orchard();
    for stock in [97, 100, 151, 333, 356, 1001] {
        let document = notebook.answer(&["Twice", "--have", &format!("test rum={stock} ml")]);
        let (first, last) = (pour(part(&document, "twice-syrup"), "test rum"), pour(&document, "test rum"));
        let taken = [first, last]
            .map(|p| number(&p["measure"]["amount"]) * if p["measure"]["unit"] == "dash" { 0.92 } else { 1.0 });
        assert!(taken[0] + taken[1] <= f64::from(stock) + 1e-9, "{stock}: {taken:?}");
        assert_ne!(first["tool"], "all of it", "{stock}");
        assert_ne!(last["tool"], "all of it", "{stock}");
        // What a person measures has no more digits than the tools.
        for of in [first, last].into_iter().filter(|of| of["tool"] != "the rest of it") {
            let text = of["measure"]["amount"].to_string();
            assert!(text.len() <= 7, "{stock}: {text} of {}", of["tool"]);
        }
    }
}

#[test]
fn what_is_short_of_a_size_is_said() {
    let notebook = bar();
    let document = notebook.answer(&["One sour", "--serves", "3", "--have", "test rum=50 ml"]);
    assert_eq!((number(&document["serves"]), number(&document["asked"]["serves"])), (0.0, 3.0));
    let short = &document["asked"]["short"][0];
    assert_eq!((short["name"].as_str(), shown(&short["missing"])), (Some("test rum"), "130 ml".to_owned()));
    let said = notebook.printed(&["One sour", "--serves", "3", "--have", "test rum=50 ml"]);
    assert!(said.contains("less than one serve") && !said.contains("0 serves"), "{said}");
    assert!(
        said.contains("3 serves were asked for: 130 ml of test rum is missing (180 ml needed, 50 ml there)"),
        "{said}"
    );
    // Each that is short, not only the scarcest.
    let both = ["Jug", "--makes", "3 l", "--have", "test rum=700 ml", "--have", "test pear juice=700 ml"];
    let document = notebook.answer(&both);
    assert_eq!(document["asked"]["short"].as_array().unwrap().len(), 2);
    assert_eq!(number(&document["asked"]["makes_ml"]), 3000.0);
    assert_eq!(notebook.answer(&["Jug", "--serves", "2", "--have", "test rum=1 l"]).get("asked"), None);
}

#[test]
fn part_of_a_name_will_do_where_one_thing_has_it() {
    let notebook = orchard();
    // Nothing is called `rye`.
    let document = notebook.answer(&["Pressed drink", "--have", "rye=30 ml"]);
    assert_eq!(document["limited_by"], "old rye spirit");
    assert_eq!(document["taken_as"][0], serde_json::json!({ "asked": "rye", "name": "old rye spirit" }));
    // `pear juice` is in every pantry, but only this one goes in here.
    let document = notebook.answer(&["Pressed drink", "--have", "pear juice=150 ml"]);
    assert_eq!((document["limited_by"].as_str(), number(&document["factor"])), (Some("pressed pear juice"), 0.5));
    let said = notebook.printed(&["Pressed drink", "--have", "pear juice=150 ml"]);
    assert!(said.contains("`pear juice` is taken as pressed pear juice"), "{said}");
    // A reading finds it the same way.
    let read = notebook.answer(&["Pressed drink", "--reading", "rye: abv=40"]);
    assert!(number(&read["today"]["abv_pct"]) < -0.4, "{read:#}");
    assert_eq!(read["taken_as"][0]["name"], "old rye spirit");
    // Two that fit are one too many.
    let (status, said) = bar().said(&["Jug", "--have", "test=1 l"]);
    assert_eq!(status, 2, "{said}");
    assert!(said.contains("nothing is called `test`"), "{said}");
}

#[test]
fn fruit_gives_the_juice_that_is_poured() {
    // One lemon gives 45 ml in the generic pantry (ingredients.csv, mean), and a glass takes 22.5 ml.
    let recipes: &[(&str, &str)] = &[("Lemony", "mix: [50 ml test rum, 22.5 ml lemon juice]\n")];
    let notebook = Notebook::new("", PANTRY, recipes);
    let document = notebook.answer(&["Lemony", "--have", "lemons=6"]);
    let each = number(&document["factor"]) * 22.5 / 6.0;
    assert!((30.0..60.0).contains(&each), "{each} ml of a lemon: {document:#}");
    assert_eq!(document["limited_by"], "lemons");
    assert!(document["taken_as"][0]["name"].as_str().unwrap().contains("lemon juice"), "{document:#}");
    let twice = notebook.answer(&["Lemony", "--have", "lemons=12"]);
    assert!((number(&twice["factor"]) - 2.0 * number(&document["factor"])).abs() < 1e-9);
    // The house's own fruit has its own yield: 100 g, of which 40 % is juice.
    let own = format!("{PANTRY}- {{name: lemon, piece: 100 g, yields: {{juice: 40 %}}}}\n");
    let own = Notebook::new("", &own, recipes).answer(&["Lemony", "--have", "lemons=6"]);
    let each = number(&own["factor"]) * 22.5 / 6.0;
    assert!((37.0..40.0).contains(&each), "{each}");
}

//! Published worked examples on scaling, syrups and fruit, through the command.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::Value;

use super::{Notebook, amount, pour};

fn example(id: &str) -> (Value, Value, String) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/worked_examples.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let rows = reader.deserialize::<BTreeMap<String, String>>();
    let row = rows.map(Result::unwrap).find(|r| r["id"] == id).unwrap();
    let json = |column: &str| serde_json::from_str(&row[column]).unwrap();
    (json("inputs"), json("expected"), row["source"].clone())
}

/// A pantry of liquids that nothing is known of but their names.
fn liquids(names: &[&str]) -> String {
    names.iter().map(|n| format!("- {{name: {n}, abv: 0 %, sugar: 0, acid: 0}}\n")).collect()
}

fn of(document: &Value, name: &str) -> f64 {
    pour(document, name)["exact"]["amount"].as_f64().unwrap()
}

#[test]
fn eight_serves_in_one_bottle() {
    let (inputs, expected, source) = example("W12");
    let serve = &inputs["per_serve_oz"];
    let oz = |name: &str| serve[name].as_f64().unwrap();
    let mix = format!(
        "mix: [{} oz test gin, {} oz test vermouth, {} oz water]\n",
        oz("gin"),
        oz("dry vermouth"),
        oz("water")
    );
    let notebook = Notebook::new("", &liquids(&["test gin", "test vermouth"]), &[("Eight", &mix)]);
    let document = notebook.answer(&["Eight", "--serves", &inputs["serves"].to_string(), "--in", "oz"]);
    for (name, wanted) in [("test gin", "gin_oz"), ("test vermouth", "dry_vermouth_oz"), ("water", "water_oz")] {
        assert_eq!(of(&document, name), expected[wanted].as_f64().unwrap(), "{source}: {name}");
        assert_eq!(pour(&document, name)["error_pct"], 0.0, "{name} is a whole number of ounces");
    }
    let total = document["makes_ml"].as_f64().unwrap() / 29.573_529_562_5;
    assert!((total - expected["total_oz"].as_f64().unwrap()).abs() < 1e-9, "{source}: {total}");
    // The row's own sum of what a 750 ml bottle leaves free.
    assert!((750.0 - document["makes_ml"].as_f64().unwrap() - 40.2).abs() < 0.1, "{source}");
}

#[test]
fn equal_parts_and_water_for_eight() {
    let (inputs, expected, source) = example("W13");
    let ml = &inputs["ml"];
    let mix = format!(
        "mix: [{} ml test gin, {} ml test aperitif, {} ml test vermouth, {} ml water]\nserve: {{pour: {} ml}}\n",
        ml["gin"], ml["red bitter aperitif"], ml["sweet vermouth"], ml["water"], expected["per_serve_ml"]
    );
    let notebook = Notebook::new("", &liquids(&["test gin", "test aperitif", "test vermouth"]), &[("Equal", &mix)]);
    let document = notebook.answer(&["Equal", "--serves", &inputs["serves"].to_string()]);
    assert_eq!(document["factor"].as_f64(), Some(1.0), "{source}");
    assert_eq!(document["makes_ml"].as_f64(), expected["total_ml"].as_f64(), "{source}");
    // 25 % on the start, as water is reckoned against the three pours.
    assert_eq!(
        of(&document, "water") / (3.0 * of(&document, "test gin")) * 100.0,
        expected["dilution_on_start_pct"].as_f64().unwrap()
    );
}

#[test]
fn three_full_bottles_and_water() {
    let (inputs, expected, source) = example("W14");
    let ml = &inputs["ml"];
    // The recipe is one third of it, so the bottles decide.
    let third = |key: &str| ml[key].as_f64().unwrap() / 3.0;
    let mix = format!(
        "mix: [{} ml test gin, {} ml test aperitif, {} ml test vermouth, 500/3 ml water]\n",
        third("gin"),
        third("red bitter aperitif"),
        third("sweet vermouth")
    );
    let notebook = Notebook::new("", &liquids(&["test gin", "test aperitif", "test vermouth"]), &[("Bottles", &mix)]);
    let document = notebook.answer(&["Bottles", "--have", "test gin=750 ml", "--have", "test vermouth=1 l"]);
    assert_eq!(document["limited_by"], "test gin");
    assert!((document["makes_ml"].as_f64().unwrap() - expected["total_ml"].as_f64().unwrap()).abs() < 1e-6, "{source}");
    let start = of(&document, "test gin") + of(&document, "test aperitif") + of(&document, "test vermouth");
    let dilution = of(&document, "water") / start * 100.0;
    assert!((dilution - expected["dilution_on_start_pct"].as_f64().unwrap()).abs() <= 0.1, "{source}: {dilution}");
}

#[test]
fn a_punch_of_1763_in_a_quarter() {
    let (inputs, expected, source) = example("W15");
    let full = &inputs["full"];
    let mix = format!(
        "mix: [{} quarts test brandy, {} test lemon, {} quarts water, {} test nutmeg, {} quarts test lemon juice]\nprocess: [milk-clarify: {{milk: {} quarts test milk, recovers: 80 %}}]\n",
        full["brandy_qt"], full["lemons"], full["water_qt"], full["nutmegs"], full["lemon_juice_qt"], full["milk_qt"]
    );
    let pantry = "- {name: test brandy, abv: 40 %, sugar: 0, acid: 0}\n- {name: test lemon juice, abv: 0 %, sugar: 2, acid: 6}\n- {name: test milk, abv: 0 %, sugar: 5, acid: 0.1, fat: 3.6, protein: 3.4}\n- {name: test lemon, piece: 100 g, abv: 0 %, sugar: 0, acid: 0, solids: 10}\n- {name: test nutmeg, piece: 7 g, abv: 0 %, sugar: 0, acid: 0, solids: 90}\n";
    let notebook = Notebook::new("", pantry, &[("Punch", &mix)]);
    let quarter =
        format!("test brandy={} quarts", full["brandy_qt"].as_f64().unwrap() * inputs["factor"].as_f64().unwrap());
    let document = notebook.answer(&["Punch", "--have", &quarter.replace("quarts", "quart")]);
    assert_eq!(document["factor"].as_f64(), inputs["factor"].as_f64(), "{source}");
    // A US quart is four cups of 236.5882365 ml.
    let cups = |name: &str| of(&document, name) / 236.588_236_5;
    for (name, key) in [
        ("test brandy", "brandy_cups"),
        ("water", "water_cups"),
        ("test lemon juice", "lemon_juice_cups"),
        ("test milk", "milk_cups"),
    ] {
        assert!((cups(name) - expected[key].as_f64().unwrap()).abs() < 1e-9, "{source}: {name}");
    }
    assert_eq!(amount(&document, "test lemon", "measure"), format!("{} piece", expected["lemons"]), "{source}");
    assert_eq!(amount(&document, "test nutmeg", "measure"), format!("{} piece", expected["nutmegs"]), "{source}");
}

#[test]
fn a_syrup_by_weight_keeps_its_ratio() {
    let (inputs, expected, source) = example("W17");
    let notebook = Notebook::new(
        "",
        "- {name: test sugar, form: solid, sugar: 100 g/100 g, acid: 0}\n",
        &[("Simple", "makes: prep\nmix: [1 kg test sugar, 1 kg water]\n")],
    );
    let document = notebook.answer(&["Simple", "--makes", &format!("{} ml", inputs["ml"])]);
    let (sugar, water) = (of(&document, "test sugar"), of(&document, "water"));
    assert_eq!(sugar, water, "{source}");
    assert!((sugar - expected["sugar_g"].as_f64().unwrap()).abs() <= 0.05, "{source}: {sugar}");
    assert!((sugar + water - expected["mass_g"].as_f64().unwrap()).abs() <= 0.1, "{source}: {}", sugar + water);
}

#[test]
fn limes_for_a_cup_of_juice() {
    let (inputs, expected, source) = example("W24");
    let (cup, each) = (inputs["cup_ml"].as_f64().unwrap(), inputs["ml_per_lime"].as_f64().unwrap());
    // A lime of 100 g of which so much is juice; the juice weighs a little more than water, which the yield takes in.
    let pantry = format!(
        "- {{name: test lime, piece: 100 g, abv: 0 %, sugar: 1, acid: 4, yields: {{juice: {each} %}}}}\n- {{name: test lime juice, abv: 0 %, sugar: 0, acid: 0, density: 1}}\n"
    );
    let notebook = Notebook::new("", &pantry, &[("Cup", "makes: prep\nmix: [juice of 1 test lime]\n")]);
    let document = notebook.answer(&["Cup", "--makes", &format!("{cup} ml")]);
    let take = &pour(&document, "test lime juice")["take"];
    assert_eq!(take["count"].as_f64(), expected["limes"].as_f64(), "{source}: {take}");
}

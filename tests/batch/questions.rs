//! Questions of the day, and what the answer must say.

use serde_json::Value;

use super::{Notebook, PANTRY, RECIPES, amount, bar, part, pour, shown};

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}

#[test]
fn so_many_serves() {
    let document = bar().answer(&["Jug", "--serves", "40"]);
    assert_eq!(number(&document["serves"]), 40.0);
    assert_eq!(number(&document["makes_ml"]), 3800.0);
    assert_eq!(number(&document["left_ml"]), 0.0);
    // What goes into each glass is counted by glasses.
    assert_eq!(amount(&document, "test bitters", "exact"), "400 ml");
    assert_eq!(shown(&pour(&document, "test bitters")["per_glass"]["measure"]), "10 ml");
}

#[test]
fn one_drink_many_times() {
    let document = bar().answer(&["Fizz", "--serves", "40"]);
    assert_eq!(number(&document["factor"]), 40.0);
    assert_eq!(amount(&document, "test rum", "exact"), "2000 ml");
    assert_eq!(amount(&document, "test soda", "measure"), "3600 ml");
    assert_eq!(shown(&pour(&document, "test soda")["per_glass"]["exact"]), "90 ml");
    // 18 bottles of 200 ml hold exactly that.
    assert_eq!(number(&pour(&document, "test soda")["opens"]["count"]), 18.0);
    assert_eq!(amount(&document, "test bitters", "measure"), "200 ml");
}

#[test]
fn the_scarcest_decides_and_is_named() {
    let document = bar().answer(&["Jug", "--have", "test pear juice=320 ml", "--have", "test rum=700 ml"]);
    assert_eq!(document["limited_by"], "test pear juice");
    assert_eq!(number(&document["factor"]), 0.5);
    let document = bar().answer(&["Jug", "--have", "test pear juice=3.2 l", "--have", "test rum=700 ml"]);
    assert_eq!(document["limited_by"], "test rum");
    assert_eq!(number(&document["factor"]), 1.0);
    // Where there is plenty the tool rounds as ever; of what decides, all goes in.
    let document = bar().answer(&["Jug", "--have", "test pear juice=645 ml", "--have", "test rum=5 l"]);
    assert_eq!(amount(&document, "test pear juice", "measure"), "645 ml");
    assert_eq!(pour(&document, "test pear juice")["tool"], "all of it");
    assert_eq!(amount(&document, "test rum", "measure"), "710 ml");
    // A size that stock covers is not limited.
    let document = bar().answer(&["Jug", "--serves", "2", "--have", "test rum=700 ml"]);
    assert_eq!(document.get("limited_by"), None);
    assert_eq!(number(&document["serves"]), 2.0);
}

#[test]
fn fruit_reaches_the_juice_of_the_cordial() {
    // 2 kg of quinces are the ten of the press; the cordial takes 600 ml of what they give.
    let notebook = bar();
    let document = notebook.answer(&["Jug", "--have", "test quince=2 kg"]);
    assert_eq!(document["limited_by"], "test quince");
    let pressed = part(&document, "pressed-quince");
    assert!((number(&pressed["factor"]) - 1.0).abs() < 1e-12, "{pressed:#}");
    let cordial = part(&document, "test-cordial");
    let juice = number(&pressed["makes_ml"]);
    assert!((number(&cordial["makes_ml"]) / juice - 1000.0 / 600.0).abs() < 0.01);
    // Ten pieces say the same.
    let counted = notebook.answer(&["Jug", "--have", "test quince=10"]);
    assert!((number(&counted["factor"]) - number(&document["factor"])).abs() < 1e-9);
}

#[test]
fn stock_is_used_before_more_is_made() {
    let notebook = bar();
    let without = notebook.answer(&["Jug", "--serves", "40"]);
    let with = notebook.answer(&["Jug", "--serves", "40", "--have", "test syrup=100 ml"]);
    assert_eq!(number(&with["serves"]), 40.0);
    let (before, after) = (part(&without, "test-syrup"), part(&with, "test-syrup"));
    assert_eq!(number(&after["from_stock_ml"]), 100.0);
    assert!((number(&before["makes_ml"]) - number(&after["makes_ml"]) - 100.0).abs() < 1e-9);
    // More than is needed: nothing is made.
    let plenty = notebook.answer(&["Jug", "--serves", "40", "--have", "test syrup=5 l"]);
    let syrup = part(&plenty, "test-syrup");
    assert_eq!(number(&syrup["factor"]), 0.0);
    assert_eq!(syrup["pours"].as_array().unwrap().len(), 0);
    assert_eq!(number(&syrup["from_stock_ml"]), number(&syrup["needed_ml"]));
}

#[test]
fn a_part_in_stock_limits_where_nothing_else_says_how_much() {
    let document = bar().answer(&["Jug", "--have", "test cordial=90 ml"]);
    assert_eq!(document["limited_by"], "test cordial");
    assert_eq!(number(&document["factor"]), 0.5);
    assert_eq!(number(&part(&document, "test-cordial")["factor"]), 0.0);
    // With what it is made of in stock as well, more of it can be made.
    let document = bar().answer(&["Jug", "--have", "test cordial=90 ml", "--have", "test quince=20"]);
    assert_eq!(document["limited_by"], "test quince");
    assert!(number(&document["factor"]) > 0.5);
}

#[test]
fn pieces_are_counted_up_and_the_rest_is_shown() {
    let document = bar().answer(&["Flip", "--serves", "1"]);
    assert_eq!(amount(&document, "test white", "measure"), "1 piece");
    let document = bar().answer(&["Secret jug", "--have", "test secret=350 ml"]);
    // 0.7 of five quinces.
    assert_eq!(amount(&document, "test quince", "exact"), "3.5 piece");
    assert_eq!(amount(&document, "test quince", "measure"), "4 piece");
    assert_eq!(shown(&pour(&document, "test quince")["surplus"]), "0.5 piece");
}

#[test]
fn a_pack_is_opened_and_the_rest_stays_in_it() {
    let document = bar().answer(&["Filled", "--serves", "25"]);
    let milk = pour(&document, "test tin milk");
    assert_eq!(shown(&milk["exact"]), "1025 ml");
    assert_eq!(number(&milk["take"]["count"]), 3.0);
    assert_eq!(shown(&milk["surplus"]), "205 ml");
    assert_eq!(shown(&pour(&document, "water")["fills_to"]), "2500 ml");
}

#[test]
fn bottles_with_headspace_and_what_is_left() {
    let document = bar().answer(&["Jug", "--bottles", "12x700ml"]);
    // 5 % of a bottle stays empty unless the house says otherwise.
    assert_eq!(number(&document["makes_ml"]), 12.0 * 665.0);
    assert_eq!(number(&document["bottles"][0]["count"]), 12.0);
    assert_eq!(number(&document["bottles"][0]["size_ml"]), 700.0);
    assert_eq!(number(&document["left_ml"]), 0.0);
    let document = bar().answer(&["Jug", "--makes", "2 l", "--bottles", "700ml"]);
    assert_eq!(number(&document["bottles"][0]["count"]), 3.0);
    assert!((number(&document["left_ml"]) - 5.0).abs() < 1e-9);
}

#[test]
fn what_is_left_of_drinks_that_are_one_mixture() {
    let one = number(&bar().answer(&["One sour"])["makes_ml"]);
    let document = bar().answer(&["One sour", "--makes", "1 l"]);
    let serves = number(&document["serves"]);
    assert_eq!(serves, (1000.0 / one).floor());
    assert!((number(&document["left_ml"]) - (1000.0 - serves * one)).abs() < 1e-6);
}

#[test]
fn what_cannot_be_told_is_null_with_its_reason() {
    let document = bar().answer(&["Secret jug", "--have", "test secret=1 l"]);
    assert!(document["drift"]["acid_g_per_100ml"].is_null());
    let unknown = document["unknown"].as_array().unwrap();
    let why = unknown.iter().find(|u| u["figure"] == "drift.acid_g_per_100ml").expect("a reason");
    assert!(why["because"].as_str().unwrap().contains("test secret"), "{why}");
}

#[test]
fn what_goes_in_to_taste_starts_low() {
    let document = bar().answer(&["Jug", "--serves", "160"]);
    let syrup = pour(&document, "test syrup");
    let (start, whole) = (number(&syrup["start"]["amount"]), number(&syrup["measure"]["amount"]));
    assert!(start <= whole * 2.0 / 3.0 && start >= whole * 2.0 / 3.0 - 10.0, "{syrup:#}");
    // Nothing is held back of the recipe as written, nor of less.
    let document = bar().answer(&["Jug", "--serves", "1"]);
    assert_eq!(pour(&document, "test syrup").get("start"), None);
}

#[test]
fn ice_becomes_water_that_is_measured() {
    let notebook = bar();
    let document = notebook.answer(&["One sour", "--serves", "40", "--ready"]);
    let rest: f64 = ["test rum", "test lime juice", "test syrup", "test bitters"]
        .iter()
        .map(|name| number(&pour(&document, name)["exact"]["amount"]))
        .sum();
    let water = number(&pour(&document, "water")["exact"]["amount"]);
    assert_eq!(pour(&document, "water")["at"], "shake");
    // 40 % of the volume before, which is the pours' own less what alcohol and water give up on mixing: under 2 %.
    assert!((water / rest - 0.4).abs() < 0.008, "{water} to {rest}");
    assert!((water - number(&document["ready"]["water_ml"])).abs() < 1e-6);
    // A sour of 15 % vol freezes in a freezer, and is liquid in the fridge.
    assert_eq!(document["ready"]["freezer"]["pours"], false);
    assert_eq!(document["ready"]["fridge"]["pours"], true);
    assert!(document["problems"].as_array().unwrap().iter().any(|p| p["code"] == "freezes"));
    // The recipe is the same without the option, and asks for no water.
    let iced = notebook.answer(&["One sour", "--serves", "40"]);
    assert!(iced["pours"].as_array().unwrap().iter().all(|p| p["name"] != "water"));
    assert_eq!(number(&iced["makes_ml"]), number(&document["makes_ml"]));
}

#[test]
fn a_freezer_batch_is_checked_against_freezing() {
    // 22 % vol starts to freeze near −10 °C (CRC Handbook, as in freezing_point.csv), the freezer is at −18 °C.
    let document = bar().answer(&["Proofed", "--makes", "3 l", "--ready"]);
    let point = number(&document["ready"]["freezing_point_c"]);
    assert!((-12.5..=-8.5).contains(&point), "{point}");
    let problem = document["problems"].as_array().unwrap().iter().find(|p| p["code"] == "freezes").unwrap();
    assert_eq!(problem["severity"], "warning");
    assert!(problem["help"].as_str().unwrap().contains("fridge"));
}

#[test]
fn readings_of_today_move_the_drink() {
    let document = bar().answer(&["Jug", "--serves", "10", "--reading", "test pear juice: sugar=8"]);
    let moved = number(&document["today"]["sugar_g_per_100ml"]);
    // 640 ml of 1580 ml lose 4 g/100 ml.
    assert!((moved + 1.6).abs() < 0.1, "{moved}");
    assert_eq!(bar().answer(&["Jug", "--serves", "10"]).get("today"), None);
}

#[test]
fn ounces_and_millilitres_of_the_same_batch() {
    let notebook = bar();
    let (ml, oz) =
        (notebook.answer(&["Jug", "--serves", "10"]), notebook.answer(&["Jug", "--serves", "10", "--in", "oz"]));
    assert_eq!(number(&ml["factor"]), number(&oz["factor"]));
    let (a, b) = (&pour(&ml, "test rum")["exact"], &pour(&oz, "test rum")["exact"]);
    assert_eq!(b["unit"], "oz");
    assert!((number(&a["amount"]) / number(&b["amount"]) - 29.573_529_562_5).abs() < 1e-9);
    let measured = number(&pour(&oz, "test rum")["measure"]["amount"]);
    assert_eq!((measured * 4.0).fract(), 0.0, "quarters: {measured}");
    // What is weighed stays in grams.
    assert_eq!(pour(&oz, "test gum")["measure"]["unit"], "g");
}

#[test]
fn rounding_is_shown_and_measured_again_where_it_does_too_much() {
    // A house with a jug alone, and little patience with what it does to a drink.
    let coarse = "tools: {jigger: [50 ml], jug: 50 ml}\n";
    let strict = "tools: {jigger: [50 ml], jug: 50 ml}\ntolerance: {abv: 0.1 %, sugar: 0.1, acid: 0.01}\n";
    let asked = ["Milk punch", "--makes", "730 ml"];
    let loose = Notebook::new(&format!("{coarse}tolerance: {{abv: 20 %, sugar: 20, acid: 20}}\n"), PANTRY, RECIPES)
        .answer(&asked);
    let close = Notebook::new(strict, PANTRY, RECIPES).answer(&asked);
    let acid = |d: &Value| number(&d["drift"]["acid_g_per_100ml"]).abs();
    assert!(acid(&loose) > 0.05, "{loose:#}");
    assert!(acid(&close) <= 0.0105, "{close:#}");
    assert!(close["pours"].as_array().unwrap().iter().any(|p| p["tool"] == "scale"));
    // The drift is that of the drink as it would be tasted.
    assert_eq!(
        number(&bar().answer(&["Jug"])["drift"]["abv_pct"]),
        number(&bar().answer(&["Jug"])["drift"]["abv_pct"])
    );
}

#[test]
fn what_a_process_takes_in_grows_with_the_batch() {
    let document = bar().answer(&["Milk punch", "--have", "test rum=1.4 l"]);
    assert_eq!(amount(&document, "test milk", "exact"), "600 ml");
    assert_eq!(pour(&document, "test milk")["at"], "milk-clarify");
}

#[test]
fn one_serve_and_a_thousand() {
    for recipe in ["Jug", "One sour", "Fizz", "Milk punch", "Filled", "Flip", "Parts", "Proofed"] {
        for serves in ["1", "1000"] {
            let document = bar().answer(&[recipe, "--serves", serves]);
            assert_eq!(number(&document["serves"]).to_string(), serves, "{recipe}");
            for pour in document["pours"].as_array().unwrap() {
                assert!(number(&pour["measure"]["amount"]) > 0.0, "{pour:#}");
            }
        }
    }
}

#[test]
fn without_a_size_the_recipe_as_written_is_measured() {
    let document = bar().answer(&["Parts"]);
    assert_eq!(number(&document["factor"]), 1.0);
    assert_eq!(amount(&document, "test rum", "exact"), "500 ml");
}

#[test]
fn a_terminal_shows_it_in_tables() {
    let done = bar().run(&["Jug", "--serves", "40", "--have", "test syrup=100 ml"]);
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    for words in ["40 serves", "test syrup: start with", "into each glass", "in stock", "to make", "jug"] {
        assert!(text.contains(words), "{words} is not in\n{text}");
    }
}

#[test]
fn a_reading_of_a_part_is_no_drift() {
    // What was read of the syrup stands, however the syrup's own pours are rounded.
    let reading = ["--reading", "test syrup: brix=40"];
    let document = bar().answer(&[&["One sour", "--serves", "1000"][..], &reading].concat());
    assert!(number(&document["drift"]["sugar_g_per_100ml"]).abs() < 0.01, "{:#}", document["drift"]);
    // 22.5 of 107 ml hold 47 instead of 62 g/100 ml, in a drink that grows by 40 %.
    assert!((number(&document["today"]["sugar_g_per_100ml"]) + 2.3).abs() < 0.4, "{:#}", document["today"]);
}

#[test]
fn a_part_of_unknown_volume_is_told_and_takes_nothing() {
    let recipes: &[(&str, &str)] = &[
        ("Open", "mix: [500 ml test rum, 100 ml murky syrup]\n"),
        ("Murky syrup", "makes: prep\nmix: [200 ml test rum, 300 g murky powder]\n"),
    ];
    let pantry = format!("{PANTRY}- {{name: murky powder, form: solid}}\n");
    let notebook = Notebook::new("", &pantry, recipes);
    let (_, document) = notebook.json(&["Open", "--have", "test rum=1 l"]);
    let syrup = part(&document, "murky-syrup");
    assert!(syrup["factor"].is_null() && syrup["makes_ml"].is_null(), "{syrup:#}");
    assert_eq!(syrup["pours"].as_array().unwrap().len(), 0);
    assert!(syrup["unknown"].as_array().unwrap().iter().any(|u| u["figure"] == "makes_ml"), "{syrup:#}");
    let said = notebook.printed(&["Open", "--have", "test rum=1 l"]);
    assert!(said.contains("how much of it to make is not known"), "{said}");
    assert!(!said.contains("makes_ml") && !said.contains("drift."), "{said}");
}

#[test]
fn a_reason_stands_once_and_in_words() {
    let said = bar().printed(&["Secret jug", "--have", "test secret=1 l"]);
    assert!(said.contains("not known: what rounding does to the acid, because"), "{said}");
    assert!(!said.contains('_'), "{said}");
}

#[test]
fn a_few_drops_stay_drops() {
    // Two drops of saline a glass, for sixteen glasses: 1.6 ml, and a dash would be off by a sixth.
    let recipes: &[(&str, &str)] = &[("Salted", "mix: [50 ml test rum, 2 drops test bitters]\n")];
    let document = Notebook::new("", PANTRY, recipes).answer(&["Salted", "--serves", "16"]);
    assert_eq!(amount(&document, "test bitters", "measure"), "32 drop");
}

#[test]
fn bottles_that_are_too_large_are_told() {
    let said = bar().printed(&["One sour", "--bottles", "700ml"]);
    assert!(said.contains("too little for one bottle of 700 ml, which takes 665 ml"), "{said}");
}

//! What a bartender asks, and what is answered where there is no answer.

use costrel::ask::dial::{Figure, Refusal, Request, Target, dial, today};
use costrel::ask::taste::taste;

use super::{added, bar, figure};

#[test]
fn the_document_has_its_fixed_shape() {
    let (status, document) = bar().json(&["sour", "--abv", "14", "--vary", "test rum,water"]);
    assert_eq!(status, 0);
    assert_eq!((&document["recipe"], &document["feasible"]), (&"sour".into(), &true.into()));
    assert_eq!(document["targets"][0]["figure"], "abv_pct");
    for key in ["wanted", "reached"] {
        assert!((document["targets"][0][key].as_f64().unwrap() - 14.0).abs() < 0.01);
    }
    let names: Vec<&str> = document["pours"].as_array().unwrap().iter().map(|p| p["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["test rum", "test lime", "test syrup", "test bitters", "water"]);
    for pour in document["pours"].as_array().unwrap() {
        let of = |key: &str| pour[key]["amount"].as_f64().unwrap();
        assert!((of("after") - of("before") - of("add")).abs() < 1e-9);
        assert_eq!(pour["before"]["unit"], "ml");
    }
    assert_eq!(document["result"]["stage"], "shake");
    assert!((document["result"]["abv_pct"].as_f64().unwrap() - 14.0).abs() < 0.01);
    assert!(document["because"].is_null());
    assert_eq!(document["problems"].as_array().unwrap().len(), 0);
}

#[test]
fn every_figure_can_be_a_target() {
    let arguments = ["sour", "--abv", "14", "--sugar", "8", "--acid", "0.8", "--dilution", "65", "--volume", "1", "l"];
    let (status, document) = bar().json(&[&arguments[..], &["--vary", "test rum,test lime,test syrup,water"]].concat());
    // Five figures and four pours, but the volume and the strength settle the dilution: the nearest is said.
    assert_eq!(status, 1);
    let figures: Vec<&str> =
        document["targets"].as_array().unwrap().iter().map(|t| t["figure"].as_str().unwrap()).collect();
    assert_eq!(figures, ["abv_pct", "sugar_g_per_100ml", "acid_g_per_100ml", "dilution_pct", "volume_ml"]);
    let of = |i: usize| document["targets"][i]["reached"].as_f64().unwrap().to_string();
    let again: Vec<String> = ["--abv", "--sugar", "--acid", "--dilution", "--volume"]
        .iter()
        .enumerate()
        .flat_map(|(i, flag)| [(*flag).to_owned(), if i == 4 { format!("{} ml", of(i)) } else { of(i) }])
        .collect();
    let again: Vec<&str> = again.iter().map(String::as_str).collect();
    let (status, document) =
        bar().json(&[&["sour"][..], &again, &["--vary", "test rum,test lime,test syrup,water"]].concat());
    assert_eq!(status, 0, "{document}");
    assert_eq!(document["result"]["volume_ml"].as_f64().unwrap().round(), 1000.0);
}

#[test]
fn nothing_is_changed_where_nothing_is_to_do() {
    let computed = bar().compiled();
    let recipe = computed.graph.recipe("sour").unwrap();
    let abv = figure(&taste(&computed, recipe).stages[1], Figure::Strength);
    let targets = vec![Target { figure: Figure::Strength, wanted: abv }];
    let answer = dial(&computed, recipe, &Request { targets, ..Request::default() }).unwrap();
    assert!(answer.feasible && answer.correction.starts_with("change nothing"), "{}", answer.correction);
    assert!(answer.pours.iter().all(|p| p.add.amount == Some(0.0)));
}

#[test]
fn what_is_held_and_what_is_small_stays() {
    let (_, document) = bar().json(&["held", "--abv", "15"]);
    assert_eq!((&document["feasible"], added(&document, "test rum")), (&true.into(), 0.0));
    let (_, document) = bar().json(&["sour", "--abv", "14"]);
    assert_eq!(added(&document, "test bitters"), 0.0);
    let done = bar().run(&["held", "--abv", "15", "--vary", "test rum"]);
    assert_eq!(done.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&done.stderr).contains("the recipe holds `test rum`"));
}

#[test]
fn an_over_pour_is_mended_by_adding() {
    let notebook = bar();
    let (status, document) = notebook.json(&["sour", "--poured", "test rum=75 ml"]);
    assert_eq!(status, 0, "{document}");
    // Half as much again of one is mended by as much again of the others; the bitters are left to taste.
    for (name, add) in [("test rum", 0.0), ("test lime", 5.6), ("test syrup", 5.6)] {
        assert!((added(&document, name) - add).abs() < 0.25, "{name}: {}", added(&document, name));
    }
    let correction = document["correction"].as_str().unwrap();
    assert!(
        correction.starts_with("add 5.") && correction.contains("ml test lime") && correction.contains("batch becomes")
    );
    let done = notebook.run(&["sour", "--poured", "test rum=75 ml"]);
    assert!(String::from_utf8_lossy(&done.stdout).contains(correction));
}

#[test]
fn what_is_in_the_glass_may_be_weighed_and_may_be_new() {
    let notebook = bar();
    // 59.5 g of a spirit of 40 % vol are 62.75 ml (948.05 kg/m³, OIML R 22); a slip of gin is in the glass too.
    let poured = ["--poured", "test rum=59.5 g", "--poured", "gin=5 ml"];
    let (status, document) = notebook.json(&[&["sour", "--abv", "15", "--vary", "water"][..], &poured].concat());
    assert_eq!(status, 0, "{document}");
    let before = |i: usize| document["pours"][i]["before"]["amount"].as_f64().unwrap();
    assert!((before(0) - 59.5 / 0.948_05).abs() < 0.01, "{}", before(0));
    assert_eq!((&document["pours"][4]["name"], before(4), added(&document, "gin")), (&"gin".into(), 5.0, 0.0));
}

#[test]
fn a_reading_of_today_brings_the_drink_back() {
    let notebook = bar();
    let (status, document) = notebook.json(&["pear-jug", "--reading", "test pear: brix=10, acid=0.5"]);
    assert_eq!(status, 0, "{document}");
    let written = taste(&notebook.compiled(), notebook.compiled().graph.recipe("pear jug").unwrap());
    let read = written.stages.iter().find(|s| s.stage == "mix").unwrap();
    for target in document["targets"].as_array().unwrap() {
        let wanted = match target["figure"].as_str().unwrap() {
            "abv_pct" => read.abv_pct,
            "sugar_g_per_100ml" => read.sugar_g_per_100ml,
            _ => read.acid_g_per_100ml,
        };
        assert!((target["wanted"].as_f64().unwrap() - wanted.unwrap()).abs() < 1e-12);
        assert!((target["reached"].as_f64().unwrap() - wanted.unwrap()).abs() < 0.01);
    }
    // Sweetness that the juice has lost takes more juice.
    assert!(added(&document, "test pear") > 50.0);
    // The reading reaches a drink through what is made of the juice.
    let (_, plain) = notebook.json(&["deep", "--sugar", "5"]);
    let (_, deep) = notebook.json(&["deep", "--sugar", "5", "--reading", "test pear: brix=6"]);
    assert!(added(&deep, "pear syrup") > added(&plain, "pear syrup") + 1.0);
    let (_, made) = notebook.json(&["deep", "--sugar", "5", "--reading", "pear syrup: brix=20"]);
    assert!(added(&made, "pear syrup") > added(&deep, "pear syrup"));
}

#[test]
fn a_fill_up_goes_on_filling() {
    let (status, document) = bar().json(&["pear-jug", "--abv", "12", "--vary", "test rum"]);
    assert_eq!(status, 0);
    assert!((document["result"]["volume_ml"].as_f64().unwrap() - 1200.0).abs() < 1e-6);
    assert!(added(&document, "water") < -10.0);
    let (_, document) = bar().json(&["pear-jug", "--abv", "8", "--volume", "2 l"]);
    assert_eq!(document["feasible"], true);
}

#[test]
fn a_topped_glass_is_read_as_a_glass_and_its_batch_as_a_batch() {
    let (status, document) = bar().json(&["tall", "--abv", "13", "--volume", "2 l"]);
    assert_eq!(status, 0, "{document}");
    assert_eq!(document["result"]["stage"], "top");
    assert!((document["targets"][1]["reached"].as_f64().unwrap() - 2000.0).abs() < 0.1);
    assert!(document["result"]["volume_ml"].as_f64().unwrap() < 400.0);
}

#[test]
fn a_single_serve_becomes_a_vat() {
    let written = taste(&bar().compiled(), bar().compiled().graph.recipe("held").unwrap());
    let stage = written.stages.iter().find(|s| s.stage == "stir").unwrap();
    let of = |f: Figure| figure(stage, f).to_string();
    let (abv, sugar) = (of(Figure::Strength), of(Figure::Sugar));
    let vary = "test lime,test syrup,gin";
    let (status, document) =
        bar().json(&["held", "--abv", &abv, "--sugar", &sugar, "--volume", "60 l", "--vary", vary]);
    assert_eq!(status, 0, "{document}");
    assert!((document["result"]["volume_ml"].as_f64().unwrap() - 60_000.0).abs() < 0.1);
}

#[test]
fn a_measured_yield_carries_over_to_other_amounts() {
    let notebook = bar();
    let computed = notebook.compiled();
    let recipe = computed.graph.recipe("measured").unwrap();
    let made = &computed.made[recipe];
    let share = made.batch().mixture.volume_ml() / made.stages[0].estimate.as_ref().unwrap().volume_ml();
    let (_, document) = notebook.json(&["measured", "--volume", "1.9 l"]);
    assert_eq!(document["feasible"], true);
    let poured: f64 =
        document["pours"].as_array().unwrap().iter().map(|p| p["after"]["amount"].as_f64().unwrap()).sum();
    assert!((1900.0 / poured / share - 1.0).abs() < 0.01, "{poured}");
}

#[test]
fn what_cannot_be_reached_says_why_and_what_would_help() {
    for (arguments, words) in [
        (
            &["alone", "--abv", "20"][..],
            &["strength 20 % vol cannot be reached", "nearest is 40 % vol", "`water` in `--vary`"][..],
        ),
        (&["soft", "--abv", "12"], &["strength 12 % vol cannot be reached", "nearest is 0 % vol", "something strong"]),
        (
            &["soft", "--acid", "9", "--vary", "test pear"],
            &["acid 9 g/100 ml", "something sour in `--vary`, such as `citric acid`"],
        ),
        (&["sour", "--abv", "19", "--acid", "2"], &["conflicts with the", "as wanted, the nearest"]),
        (
            &["held", "--abv", "18", "--volume", "300 ml"],
            &["conflicts with the volume wanted", "letting go of `test rum`"],
        ),
        (
            &["soft", "--volume", "130 ml", "--poured", "test lime=60 ml"],
            &["volume 130 ml cannot be reached", "split the batch"],
        ),
        (&["sour", "--abv", "14", "--sugar", "7", "--vary", "test lime"], &["strength", "sugar"]),
    ] {
        let (status, document) = bar().json(arguments);
        assert_eq!((status, &document["feasible"]), (1, &false.into()), "{arguments:?}");
        let because = document["because"].as_str().unwrap();
        for word in words {
            assert!(because.contains(word), "{arguments:?}: {because}");
        }
        assert!(document["targets"].as_array().unwrap().iter().all(|t| t["reached"].is_number()));
    }
}

#[test]
fn the_way_out_that_is_named_works() {
    let (_, document) = bar().json(&["alone", "--abv", "20"]);
    assert!(document["because"].as_str().unwrap().contains("`water` in `--vary`"));
    let (status, document) = bar().json(&["alone", "--abv", "20", "--vary", "test rum,water"]);
    assert_eq!((status, &document["feasible"]), (0, &true.into()));
}

#[test]
fn the_nearest_is_nearest() {
    // 20 ml of lime in 120 ml with pears that hold 0.4: all lime would be 6, all pear 0.4.
    let (_, document) = bar().json(&["soft", "--acid", "0.1", "--vary", "test pear,test lime"]);
    assert!((document["targets"][0]["reached"].as_f64().unwrap() - 0.4).abs() < 1e-3, "{document}");
    assert!(added(&document, "test lime") < -19.9);
    assert!(document["correction"].as_str().unwrap().starts_with("leave out 20 ml test lime"));
}

#[test]
fn an_unknown_figure_is_said_to_be_unknown() {
    let (status, document) = bar().json(&["secret", "--acid", "2"]);
    assert_eq!((status, &document["feasible"]), (1, &false.into()));
    assert!(document["targets"][0]["reached"].is_null());
    let because = document["because"].as_str().unwrap();
    assert!(because.contains("the acid is not known, because nobody stated the acid of test secret"), "{because}");
    assert_eq!(document["correction"], "what to change cannot be worked out");
    assert!(document["unknown"].as_array().unwrap().iter().any(|u| u["figure"] == "acid_g_per_100ml"));
    let (status, _) = bar().json(&["secret", "--abv", "10"]);
    assert_eq!(status, 0);
}

#[test]
fn wrong_usage_is_told_from_no_answer() {
    let notebook = bar();
    for (arguments, words) in [
        (&["sour", "--abv", "120"][..], "above 100 % vol"),
        (&["sour", "--sugar", "-1"], "below zero"),
        (&["sour", "--acid", "much"], "does not start with a number"),
        (&["sour", "--abv", "nan"], "does not start with a number"),
        (&["sour", "--abv", "10-12"], "one number is wanted"),
        (&["sour", "--abv", "1,5"], "decimal comma"),
        (&["sour", "--dilution", "-5"], "not a share of water"),
        (&["sour", "--volume", "0 ml"], "not a volume that can be made"),
        (&["sour", "--volume", "100 g"], "is not a volume"),
        (&["sour"], "nothing to reach is named"),
        (&["--abv", "12"], "no recipe is named"),
        (&["sour", "--abv", "12", "--vary", "test rhum"], "did you mean `test rum`"),
        (&["sour", "--abv", "12", "--vary", "test rum:0"], "is not from 0.001 to 1000"),
        (&["sour", "--abv", "12", "--poured", "test rum"], "does not say how much of what"),
        (&["sour", "--abv", "12", "--poured", "test rum=many"], "does not start with a number"),
        (&["sour", "--abv", "12", "--reading", "test rum"], "what was read of what"),
        (&["sour", "--abv", "12", "--reading", "test rum: salt=1"], "cannot be read of an ingredient"),
        (&["sour", "--abv", "12", "--reading", "test pear: brix=9"], "does not go into this recipe"),
        (&["sour", "--abv", "12", "--reading", "test lime: brix=9, sugar=9"], "both say how sweet it is"),
        (&["sour", "--abv", "12", "--reading", "test lime: abv=90, brix=60"], "cannot all be true"),
        (&["pear syrup", "--sugar", "30", "--vary", "Deep"], "made of what it would go into"),
    ] {
        let done = notebook.run(arguments);
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert_eq!(done.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {said}");
        assert!(done.stdout.is_empty());
    }
    let done = notebook.run(&["no such drink", "--abv", "12"]);
    assert_eq!(done.status.code(), Some(1));
}

#[test]
fn a_name_may_hold_a_colon() {
    let notebook = bar();
    let (status, document) = notebook.json(&["sour", "--sugar", "12", "--vary", "simple syrup 1:1 by weight"]);
    assert_eq!(status, 0);
    assert!(added(&document, "simple syrup 1:1 by weight") > 1.0);
    let computed = notebook.compiled();
    assert!(today::facts(&computed, "simple syrup 1:1 by weight: brix=48").is_ok());
}

#[test]
fn a_volume_may_stand_without_quotes() {
    let notebook = bar();
    let (_, quoted) = notebook.json(&["sour", "--abv", "14", "--volume", "1 l"]);
    for arguments in [
        &["sour", "--abv", "14", "--volume", "1", "l"][..],
        &["--volume", "1l", "sour", "--abv", "14"],
        &["--volume", "1000", "ml", "--abv", "14", "sour"],
    ] {
        assert_eq!(notebook.json(arguments).1, quoted, "{arguments:?}");
    }
}

#[test]
fn facts_of_today_are_of_what_was_named() -> Result<(), Refusal> {
    let computed = bar().compiled();
    let (_, unit) = today::facts(&computed, "test pear: brix=10.5, acid=7 g/l")?;
    assert!((unit.volume_ml() - 1.0).abs() < 1e-9);
    assert!((unit.figure_brix().unwrap() - 10.5).abs() < 1e-6);
    assert!((unit.figure_acid_per_100ml().unwrap() - 0.7).abs() < 1e-9);
    let (_, syrup) = today::facts(&computed, "pear syrup: sugar=25, acid=1 g/100 g")?;
    let density = computed.made[computed.graph.recipe("pear syrup").unwrap()].batch().mixture.figure_density().unwrap();
    assert!((syrup.figure_sugar_per_100ml().unwrap() - 25.0).abs() < 1e-9);
    assert!((syrup.figure_acid_per_100ml().unwrap() - density).abs() < 1e-9);
    Ok(())
}

#[test]
fn no_change_is_told_that_nobody_can_measure() {
    // Three spirits, and a sweetness that only the smallest of them has anything to do with.
    let notebook = bar();
    for arguments in [
        &["sour", "--poured", "test rum=61 ml"][..],
        &["sour", "--abv", "14"],
        &["sour", "--sugar", "7.3", "--vary", "test rum,test syrup,test lime,test bitters"],
        &["tall", "--acid", "0.9"],
        &["pear-jug", "--reading", "test pear: brix=11.9, acid=0.41"],
    ] {
        let (status, document) = notebook.json(arguments);
        assert_eq!(status, 0, "{arguments:?}: {document:#}");
        for pour in document["pours"].as_array().unwrap() {
            let add = pour["add"]["amount"].as_f64().unwrap().abs();
            // Half a drop is 0.025 ml; the water that fills up follows the others.
            assert!(add == 0.0 || add >= 0.025 || pour["name"] == "water", "{arguments:?}: {pour:#}");
        }
        let correction = document["correction"].as_str().unwrap();
        for part in correction.split([',', ';']).filter(|p| p.contains(" ml ")) {
            let number = part.split_whitespace().find_map(|w| w.parse::<f64>().ok()).unwrap();
            assert!(number >= 0.02, "{correction}");
        }
    }
}

#[test]
fn only_one_change_is_the_nearest() {
    let done = bar().run(&["sour", "--abv", "39", "--acid", "2"]);
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    assert_eq!(done.status.code(), Some(1));
    assert_eq!(said.matches("nearest: ").count(), 1, "{said}");
    // What cannot be worked out has no nearest.
    let done = bar().run(&["secret", "--acid", "2"]);
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    assert!(!said.contains("nearest: "), "{said}");
}

#[test]
fn a_refused_question_is_a_document_too() {
    for (arguments, about) in [
        (&["sour", "--abv", "120"][..], Some("--abv")),
        (&["sour", "--volume", "0 ml"], Some("--volume")),
        (&["sour", "--volume", "-1 l"], Some("--volume")),
        (&["sour", "--abv", "12", "--vary", "test rum:0"], Some("--vary")),
        (&["sour", "--abv", "12", "--poured", "test rum"], Some("--poured")),
        (&["sour", "--abv", "12", "--reading", "test rum"], Some("--reading")),
        (&["sour"], None),
    ] {
        let (status, document) = bar().json(arguments);
        assert_eq!((status, &document["problems"][0]["code"]), (2, &"refused-question".into()), "{arguments:?}");
        assert_eq!(document["problems"][0]["argument"].as_str(), about, "{arguments:?}");
    }
}

#[test]
fn a_reading_may_give_part_of_a_name() {
    let (status, document) = bar().json(&["sour", "--reading", "lime: acid=5"]);
    assert_eq!(status, 0, "{document:#}");
    let (_, whole) = bar().json(&["sour", "--reading", "test lime: acid=5"]);
    assert_eq!(document["pours"], whole["pours"]);
    let said = String::from_utf8_lossy(&bar().run(&["sour", "--reading", "lime: acid=5"]).stdout).into_owned();
    assert!(said.contains("`lime` is taken as test lime"), "{said}");
}

#[test]
fn a_mend_that_is_a_vat_is_said_to_be_one() {
    let document = |arguments: &[&str]| String::from_utf8_lossy(&bar().run(arguments).stdout).into_owned();
    let said = document(&["sour", "--abv", "5", "--poured", "test rum=180 ml"]);
    assert!(said.contains("times as large: to start again may waste less"), "{said}");
    let said = document(&["sour", "--abv", "14", "--poured", "test rum=65 ml"]);
    assert!(!said.contains("times as large"), "{said}");
}

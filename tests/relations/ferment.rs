//! Gravity, strength of ferments, stoichiometry, and alcohol left after heat.

use super::{power, table};
use costrel::relation::stoichiometry::{self, Sugar};
use costrel::relation::{alcohol_retention, ferment_strength, gas, gravity, sucrose_density, water_density};

#[test]
fn fermentation_rows_match_published() {
    let mut used = std::collections::BTreeMap::new();
    for row in table("fermentation.csv") {
        let kind = row.text("kind");
        let first = || row.number("input_1");
        let second = || row.number("input_2");
        // The letters in front of an amount of sugar: `6 g/l sucrose`.
        let sugar = |text: &str| {
            if text.contains("sucrose") { Sugar::Disaccharide } else { Sugar::Hexose }
        };
        let (ours, tolerance) = match kind {
            "SG to Plato" => (100.0 * gravity::extract_asbc(first()).unwrap(), 5e-4),
            "SG to Plato, quick equation" => (100.0 * gravity::extract_quick(first()).unwrap(), 5e-4),
            "SG to Plato, one-parameter equation" => (100.0 * gravity::extract_one_parameter(first()).unwrap(), 5e-4),
            "SG to Brix" => (100.0 * gravity::extract_nbs(first()).unwrap(), 5e-4),
            // Each formula against its own rows; SOURCES.md allows 0.05 % vol, the arithmetic allows far less.
            "ABV, linear" => (100.0 * ferment_strength::linear(first(), second()).unwrap(), 1e-4),
            "ABV, non-linear" => (100.0 * ferment_strength::non_linear(first(), second()).unwrap(), 1e-4),
            "ABV, Balling" => (
                100.0 * ferment_strength::balling(first(), second()).unwrap(),
                5e-4, // the rows were computed with 0.99823 for the 0.9982 that the formula prints
            ),
            "CO2 per g glucose" | "CO2 per g sucrose" => (sugar(kind).co2_g_per_g(), 2e-5),
            "ethanol per g glucose" | "ethanol per g sucrose" => (sugar(kind).ethanol_g_per_g(), 2e-5),
            "molar masses" => {
                let numbers: Vec<f64> =
                    row.text("value").split([' ', '=', 'x', '+']).filter_map(|word| word.parse().ok()).collect();
                row.agrees("glucose", numbers[0], stoichiometry::HEXOSE_MOLAR, 6e-4);
                row.agrees("ethanol", numbers[2], stoichiometry::ETHANOL_MOLAR, 1.1e-3);
                row.agrees("CO2", numbers[4], gas::CO2_MOLAR, 6e-4);
                *used.entry(kind.to_owned()).or_insert(0) += 1;
                continue;
            }
            "glucose per 1 % vol, theory" => (Sugar::Hexose.g_per_l_per_percent(), 1e-3),
            "sugar per 1 % vol, wine practice" => (stoichiometry::PRACTICAL_G_PER_L_PER_PERCENT, 0.0),
            "CO2 from residual sugar" => {
                let (grams, which) = row.text("input_1").split_once(" g/l ").unwrap();
                (stoichiometry::co2_volumes(sugar(which), grams.parse().unwrap()).unwrap(), 2e-4)
            }
            "CO2 left in beer after open fermentation" => {
                let f: f64 = row.text("input_1").strip_suffix(" F").unwrap().parse().unwrap();
                (stoichiometry::co2_left_open((f - 32.0) / 1.8).unwrap(), 1e-4)
            }
            "grape must 10.0 % mass" => {
                // Must is not pure sugar water: its legal table gives 82.2 g/l of sugar for 10 % by refractometer, and a
                // density a little above the sucrose figure.
                if row.text("input_1") != "density" {
                    continue;
                }
                (sucrose_density::density(0.10, 20.0).unwrap() / 1000.0, 2e-3)
            }
            other => panic!("{}: nothing here answers {other}", row.at),
        };
        row.agrees(kind, row.number("value"), ours, tolerance);
        *used.entry(kind.to_owned()).or_insert(0) += 1;
    }
    for kind in ["SG to Plato", "ABV, linear", "ABV, non-linear", "ABV, Balling", "CO2 from residual sugar"] {
        assert!(used.get(kind).is_some_and(|rows| *rows >= 3), "{kind}: {used:?}");
    }
}

#[test]
fn specific_gravity_matches_the_tables_and_density() {
    let mut used = 0;
    let water = water_density::density(20.0).unwrap();
    for row in table("sucrose_density_20C.csv") {
        let w = row.number("brix_mass_pct") / 100.0;
        let ours = gravity::sg_from_extract(w).unwrap();
        row.agrees("SG, AOAC polynomial", row.number("sg_20_20_aoac_polynomial"), ours, 6e-6);
        let by_density = sucrose_density::density(w, 20.0).unwrap() / water;
        row.agrees("SG from density", row.number("sg_20_20_from_density"), by_density, 6e-6);
        assert!((ours - by_density).abs() < 5e-4, "{}", row.at);
        used += 1;
    }
    assert!(used >= 8, "only {used} rows");
    let coefficients = table("sucrose_coefficients.csv");
    let sum = |formula: &str, x: f64, letter: &str| -> f64 {
        let rows = coefficients.iter().filter(|row| row.text("formula") == formula);
        rows.map(|row| {
            let exponent: i32 = row.text("coefficient").strip_prefix(letter).unwrap().parse().unwrap();
            row.number("value") * power(x, exponent)
        })
        .sum()
    };
    for step in 0..=17 {
        let (w, s) = (0.05 * f64::from(step), 1.0 + 0.01 * f64::from(step));
        let aoac = 1.0 + sum("SG 20/20 from Brix (AOAC)", w, "c");
        assert!((gravity::sg_from_extract(w).unwrap() - aoac).abs() < 1e-12);
        let asbc = sum("Plato from SG (ASBC)", s, "s");
        assert!((100.0 * gravity::extract_asbc(s).unwrap() - asbc).abs() < 1e-9);
        let nbs = sum("Brix from SG (NBS Circular 440)", s, "s");
        assert!((100.0 * gravity::extract_nbs(s).unwrap() - nbs).abs() < 1e-9);
        // There and back by different sources, to 35 °Bx: 0.05 °Bx.
        if w <= 0.35 {
            let back = gravity::extract_nbs(gravity::sg_from_extract(w).unwrap().max(1.0)).unwrap();
            assert!((back - w).abs() < 5e-4, "{w} came back as {back}");
        }
    }
}

#[test]
fn ferments_refuse_what_can_not_be() {
    for (og, fg) in [(1.05, 1.06), (0.99, 0.99), (1.2, 1.0), (1.05, 0.97), (f64::NAN, 1.0), (1.05, f64::NAN)] {
        assert!(ferment_strength::linear(og, fg).is_err(), "{og} {fg}");
        assert!(ferment_strength::non_linear(og, fg).is_err(), "{og} {fg}");
        assert!(ferment_strength::balling(og, fg).is_err(), "{og} {fg}");
        assert!(ferment_strength::real_extract(og, fg).is_err(), "{og} {fg}");
    }
    // Nothing eaten, nothing made; the extract is what it was.
    assert_eq!(ferment_strength::balling(1.05, 1.05).map(|q| q.abs() < 1e-12), Ok(true));
    let whole = gravity::extract_asbc(1.05).unwrap();
    assert!((ferment_strength::real_extract(1.05, 1.05).unwrap() - whole).abs() < 1e-12);
    assert!(gravity::extract_quick(1.151).is_err() && gravity::extract_nbs(0.999).is_err());
    assert!(gravity::sg_from_extract(10.0).is_err(), "a percentage is not a fraction");
    assert!(gravity::extract_one_parameter(f64::NAN).is_err());
    assert!(stoichiometry::co2_volumes(Sugar::Hexose, -1.0).is_err() && stoichiometry::co2_left_open(28.0).is_err());
    // Mass is conserved: hexose becomes ethanol and CO₂; a disaccharide takes up a water.
    let whole = Sugar::Hexose.ethanol_g_per_g() + Sugar::Hexose.co2_g_per_g();
    assert!((whole - 1.0).abs() < 1e-12, "{whole}");
    let whole = Sugar::Disaccharide.ethanol_g_per_g() + Sugar::Disaccharide.co2_g_per_g();
    assert!((whole - 1.0 - 18.015 / stoichiometry::DISACCHARIDE_MOLAR).abs() < 1e-12, "{whole}");
}

/// USDA Table of Nutrient Retention Factors, Release 6 (2007), p. 12, as read in public copies.
#[test]
fn alcohol_left_after_simmering_matches_the_table() {
    for (minutes, percent) in [(15.0, 40.0), (30.0, 35.0), (60.0, 25.0), (90.0, 20.0), (120.0, 10.0), (150.0, 5.0)] {
        let ours = 100.0 * alcohol_retention::simmered(minutes).unwrap();
        assert!((ours - percent).abs() < 1e-9, "{minutes} min: {ours}");
    }
    assert_eq!(alcohol_retention::simmered(0.0), Ok(alcohol_retention::STIRRED_IN_HOT));
    let mut before = 1.0;
    for minute in 0..=150 {
        let now = alcohol_retention::simmered(f64::from(minute)).unwrap();
        assert!(now < before, "{minute} min");
        before = now;
    }
    assert!(alcohol_retention::simmered(151.0).is_err() && alcohol_retention::simmered(f64::NAN).is_err());
    assert_eq!((alcohol_retention::FLAMED, alcohol_retention::OPEN_OVERNIGHT), (0.75, 0.70));
}

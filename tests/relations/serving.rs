//! Standard drinks, proof and food energy.

use super::table;
use costrel::relation::energy::{self, Nutrients};
use costrel::relation::standard_drink::{self, JAPAN_NEWER, REGIMES, Size};

#[test]
fn standard_drinks_match_each_countrys_row() {
    let mut found = Vec::new();
    for row in table("standard_drink.csv") {
        let place = row.text("where_or_strength");
        match row.text("kind") {
            "standard drink" | "unit" | "drink" => {
                let regime = REGIMES.iter().find(|regime| regime.name == place);
                let regime = regime.unwrap_or_else(|| panic!("{}: no regime for {place}", row.at));
                let grams = match regime.size {
                    Size::Grams { grams, .. } => grams,
                    Size::Millilitres(ml) => ml * 0.78924,
                };
                row.agrees("grams", row.number("grams_or_value"), grams, 5e-5);
                // Australia and New Zealand prescribe 0.789 g/ml; the row's millilitres use 0.78924, 0.03 % less.
                row.agrees("ml", row.number("ml_ethanol"), regime.millilitres(), 0.005);
                assert_eq!(regime.word, row.text("kind"), "{}", row.at);
                found.push(regime.code);
            }
            "density of ethanol" => {
                let ours = costrel::relation::ethanol_density::ETHANOL_DENSITY_20C / 1000.0;
                row.agrees("g/ml", row.number("grams_or_value"), ours, 5e-6);
            }
            "US proof" => {
                let ours = standard_drink::proof_us(percent(place)).unwrap();
                row.agrees("proof", row.number("grams_or_value"), ours, 1e-9);
            }
            "UK proof (Sikes, until 1980)" => {
                let ours = standard_drink::proof_uk(percent(place)).unwrap();
                row.agrees("proof", row.number("grams_or_value"), ours, 5e-4);
            }
            other => panic!("{}: nothing here answers {other}", row.at),
        }
    }
    assert_eq!(found.len(), REGIMES.len(), "a regime without a row: {found:?}");
}

fn percent(cell: &str) -> f64 {
    cell.strip_suffix(" % vol").unwrap().parse::<f64>().unwrap() / 100.0
}

#[test]
fn standard_drink_examples_come_out() {
    let count = |code: &str, ml: f64| standard_drink::drinks(standard_drink::regime(code).unwrap(), ml).unwrap();
    let mut used = 0;
    for row in table("standard_drink_examples.csv") {
        let ethanol = row.number("volume_ml") * row.number("abv_pct_vol") / 100.0;
        let grams = ethanol * costrel::relation::ethanol_density::ETHANOL_DENSITY_20C / 1000.0;
        row.agrees("grams", row.number("ethanol_g"), grams, 1e-4);
        row.agrees("us", row.number("us_drinks_14g"), count("us", ethanol), 1e-4);
        row.agrees("uk", row.number("uk_units"), count("uk", ethanol), 1e-4);
        row.agrees("10 g", row.number("drinks_of_10g"), count("ie", ethanol), 1e-4);
        row.agrees("ca", row.number("canada_13_45g"), count("ca", ethanol), 1e-4);
        // By their own 0.789 g/ml the same drink counts 0.03 % less.
        row.agrees("au", row.number("drinks_of_10g"), count("au", ethanol), 1e-3);
        used += 1;
    }
    assert!(used >= 5, "only {used} rows");
}

#[test]
fn regimes_have_one_code_each_and_both_codes_of_the_united_kingdom_work() {
    let codes: std::collections::BTreeSet<_> = REGIMES.iter().map(|regime| regime.code).collect();
    assert_eq!(codes.len(), REGIMES.len());
    assert_eq!(standard_drink::regime("gb"), standard_drink::regime("uk"));
    assert_eq!(standard_drink::regime("jp-new"), Some(&JAPAN_NEWER));
    assert_eq!(standard_drink::regime("zz"), None);
    assert!(standard_drink::drinks(&REGIMES[0], -1.0).is_err());
    assert!(standard_drink::proof_us(40.0).is_err(), "a percentage is not a fraction");
}

#[test]
fn energy_factors_are_the_annexs_and_examples_come_out() {
    let mut factors = 0;
    for row in table("energy.csv") {
        // The older general factors and the Chinese note stand in the table for comparison; only the EU's are used.
        if !row.text("source").contains("1169/2011") {
            continue;
        }
        let ours = energy::FACTORS.iter().find(|factor| factor.component == row.text("component"));
        let ours = ours.unwrap_or_else(|| panic!("{}: no factor", row.at));
        row.agrees("kJ/g", row.number("kJ_per_g"), ours.kj_per_g, 0.0);
        row.agrees("kcal/g", row.number("kcal_per_g"), ours.kcal_per_g, 0.0);
        factors += 1;
    }
    assert_eq!(factors, energy::FACTORS.len());
    let mut examples = 0;
    for row in table("energy_examples.csv") {
        let nutrients = Nutrients {
            ethanol: row.number("ethanol_g"),
            carbohydrate: row.number("sugar_g"),
            organic_acids: row.number("acid_g"),
            polyols: row.number("polyol_g"),
            fat: row.number("fat_g"),
            protein: row.number("protein_g"),
            ..Nutrients::default()
        };
        row.agrees("kJ", row.number("kJ"), energy::kilojoules(&nutrients).unwrap(), 0.002);
        row.agrees("kcal", row.number("kcal"), energy::kilocalories(&nutrients).unwrap(), 0.002);
        examples += 1;
    }
    assert!(examples >= 4, "only {examples} examples");
    assert!(energy::kilojoules(&Nutrients { fat: f64::NAN, ..Nutrients::default() }).is_err());
}

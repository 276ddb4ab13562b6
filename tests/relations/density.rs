//! Densities of ethanol–water and sucrose–water, strength by volume, contraction on mixing, gauging.

use super::{Row, power, table};
use costrel::relation::{ethanol_density, sucrose_density, water_density};

/// The formula's own rounding in the reference tables: three printed decimals, kg/m³.
const FORMULA: f64 = 0.001;
/// Against printed tables of measured densities (SOURCES.md), kg/m³.
const PRINTED: f64 = 0.1;

/// Horner evaluation would hide a swapped coefficient behind a small error, so the formula is also summed term by term
/// from the coefficient table and compared.
#[test]
fn ethanol_density_uses_the_published_coefficients() {
    let rows = table("ethanol_oiml_r22_coefficients.csv");
    let by_terms = |p: f64, t: f64| -> f64 {
        rows.iter()
            .map(|row| {
                let (i, value, x) = (row.text("i_or_k").parse::<i32>().unwrap(), row.number("value"), t - 20.0);
                match row.text("set") {
                    "A" => value * power(p, i - 1),
                    "B" => value * power(x, i),
                    "C" => value * power(p, row.text("k").parse().unwrap()) * power(x, i),
                    other => panic!("{}: unknown set {other}", row.at),
                }
            })
            .sum()
    };
    let mut compared = 0;
    for p in 0..=20 {
        for t in [-20.0, -5.0, 0.0, 15.56, 20.0, 31.0, 40.0] {
            let p = f64::from(p) / 20.0;
            let ours = ethanol_density::density(p, t).unwrap();
            assert!((ours - by_terms(p, t)).abs() < 1e-8, "p {p}, t {t}: {ours} against {}", by_terms(p, t));
            compared += 1;
        }
    }
    assert_eq!((rows.len(), compared), (54, 147));
    // A guard that the comparison can fail: the squared temperature term alone moves 40 °C by 2 kg/m³.
    assert!((ethanol_density::density(0.0, 40.0).unwrap() - by_terms(0.0, 39.0)).abs() > 0.1);
}

#[test]
fn ethanol_density_matches_the_formulas_tables() {
    let mut used = 0;
    for row in table("ethanol_water_density_20C.csv") {
        let q = row.number("abv_pct_vol") / 100.0;
        let p = ethanol_density::mass_fraction(q).unwrap();
        row.agrees("mass fraction", row.number("ethanol_mass_fraction"), p, 6e-7);
        row.agrees("density", row.number("density_kg_m3"), ethanol_density::density_20c(p).unwrap(), FORMULA);
        let back = ethanol_density::strength(p).unwrap();
        row.agrees("strength", q, back, 1e-12);
        second_opinion(&row, row.number("density_kg_m3"));
        used += 1;
    }
    for row in table("ethanol_water_density_other_temperatures.csv") {
        let p = ethanol_density::mass_fraction(row.number("abv_pct_vol_at_20C") / 100.0).unwrap();
        row.agrees("mass fraction", row.number("ethanol_mass_fraction"), p, 6e-7);
        let ours = ethanol_density::density(p, row.number("temperature_C")).unwrap();
        row.agrees("density", row.number("density_kg_m3"), ours, FORMULA);
        second_opinion(&row, ours);
        let volume = 1000.0 * ethanol_density::density_20c(p).unwrap() / ours;
        row.agrees("volume of 1000 ml", row.number("volume_at_t_of_1000_ml_at_20C"), volume, FORMULA);
        used += 1;
    }
    assert!(used >= 30, "only {used} rows");
}

/// CoolProp's own mixture (Melinder 2010, to a mass fraction of 0.60) agrees within 0.4 kg/m³ (SOURCES.md), 0.5 at the ends of its range.
fn second_opinion(row: &Row, ours: f64) {
    if !row.is_empty("crosscheck_density_kg_m3") {
        row.agrees("density by CoolProp", row.number("crosscheck_density_kg_m3"), ours, 0.5);
    }
}

#[test]
fn ethanol_density_matches_published() {
    let mut used = 0;
    for row in table("ethanol_water_density_published_check.csv") {
        let composition = row.number("composition") / 100.0;
        let p = match row.text("composition_basis") {
            "abv_pct_vol" => ethanol_density::mass_fraction(composition).unwrap(),
            "mass_pct" => composition,
            other => panic!("{}: unknown basis {other}", row.at),
        };
        let ours = ethanol_density::density(p, row.number("temperature_C")).unwrap();
        // The US Bureau of Standards rows come up to 0.10, printed to 0.01, hence half a digit more.
        row.agrees("density", row.number("published_density_kg_m3"), ours, PRINTED + 0.005);
        used += 1;
    }
    assert!(used >= 20, "only {used} rows");
    assert!((ethanol_density::ETHANOL_DENSITY_20C - 789.24).abs() < 0.005, "European table, 100 % vol");
}

#[test]
fn ethanol_density_refuses_what_it_was_not_fitted_for() {
    for (p, t) in [(-0.01, 20.0), (1.01, 20.0), (f64::NAN, 20.0), (0.3, -20.5), (0.3, 41.0), (0.3, f64::NAN)] {
        assert!(ethanol_density::density(p, t).is_err(), "{p} at {t} °C");
    }
    assert_eq!(
        ethanol_density::density_20c(1.2).unwrap_err().to_string(),
        "ethanol mass fraction 1.2 is outside 0–1 (OIML R 22 (1975))"
    );
    assert!(ethanol_density::strength(1.5).is_err());
    // A percentage where a fraction is meant must not pass.
    assert!(ethanol_density::mass_fraction(40.0).is_err());
}

/// Masses add; the volume is read off the formula at the end. Tolerance 0.01 ml per litre (SOURCES.md), plus half a digit.
#[test]
fn mixing_contracts_as_the_formula_says() {
    let grams_per_ml = |p: f64| ethanol_density::density_20c(p).unwrap() / 1000.0;
    let (mut mixed, mut diluted) = (0, 0);
    for row in table("mixing_contraction.csv") {
        let final_ml = row.number("final_volume_ml");
        let tolerance = 0.0006 + 1e-5 * final_ml;
        if row.text("kind") == "dilute with water to a target strength" {
            let (ml, from, to) = target(row.text("case")).unwrap();
            let from = ethanol_density::mass_fraction(from).unwrap();
            let to = ethanol_density::mass_fraction(to).unwrap();
            let mass = ml * grams_per_ml(from);
            let whole = mass * from / to;
            row.agrees("final mass", row.number("final_mass_g"), whole, tolerance);
            row.agrees("final volume", final_ml, whole / grams_per_ml(to), tolerance);
            let water = (whole - mass) / grams_per_ml(0.0);
            row.agrees("water to add", row.number("water_to_add_ml"), water, tolerance);
            diluted += 1;
        } else {
            let (mut mass, mut ethanol) = (0.0, 0.0);
            for (ml, q) in pours(row.text("case")).unwrap() {
                let p = ethanol_density::mass_fraction(q).unwrap();
                mass += ml * grams_per_ml(p);
                ethanol += ml * grams_per_ml(p) * p;
            }
            let p = ethanol / mass;
            row.agrees("final mass", row.number("final_mass_g"), mass, tolerance);
            row.agrees("final volume", final_ml, mass / grams_per_ml(p), tolerance);
            let strength = 100.0 * ethanol_density::strength(p).unwrap();
            row.agrees("final strength", row.number("final_abv_pct_vol"), strength, 0.001);
            mixed += 1;
        }
    }
    assert!(mixed >= 10 && diluted >= 5, "only {mixed} mixed and {diluted} diluted rows");
}

/// `1000 ml at 96 % vol to 50 % vol` as a volume and two fractions.
fn target(case: &str) -> Option<(f64, f64, f64)> {
    let (ml, strengths) = case.split_once(" ml at ")?;
    let (from, to) = strengths.strip_suffix(" % vol")?.split_once(" % vol to ")?;
    let fraction = |text: &str| Some(text.parse::<f64>().ok()? / 100.0);
    Some((ml.parse().ok()?, fraction(from)?, fraction(to)?))
}

/// `500 ml at 96 % vol + 700 ml water` as volumes and fractions.
fn pours(case: &str) -> Option<Vec<(f64, f64)>> {
    case.split(" + ")
        .map(|part| {
            let (ml, what) = part.split_once(" ml ")?;
            let strength = match what {
                "water" => 0.0,
                spirit => spirit.strip_prefix("at ")?.strip_suffix(" % vol")?.parse::<f64>().ok()?,
            };
            Some((ml.parse().ok()?, strength / 100.0))
        })
        .collect()
}

#[test]
fn sucrose_density_uses_the_published_coefficients() {
    let rows = table("sucrose_coefficients.csv");
    let sum = |formula: &str, letter: &str, x: f64| -> f64 {
        rows.iter()
            .filter(|row| row.text("formula") == formula)
            .filter_map(|row| Some((row, row.text("coefficient").strip_prefix(letter)?.parse::<i32>().unwrap())))
            .map(|(row, exponent)| row.number("value") * power(x, exponent))
            .sum()
    };
    let mut compared = 0;
    for t in [0.0, 20.0, 37.0, 60.0, 100.0] {
        let water = sum("water density", "k", t) / (1.0 + 0.016887236 * t);
        assert!((water_density::density(t).unwrap() - water).abs() < 1e-9);
        for w in 0..=17 {
            let w = f64::from(w) / 20.0;
            let x = (t - 20.0) / 100.0;
            let terms = ["a", "b", "c", "d", "e"].iter().rev();
            let by_terms = water + terms.fold(0.0, |inner, letter| inner * x + sum("sucrose density", letter, w));
            let ours = sucrose_density::density(w, t).unwrap();
            assert!((ours - by_terms).abs() < 1e-9, "w {w}, t {t}: {ours} against {by_terms}");
            compared += 1;
        }
    }
    assert_eq!(compared, 90);
}

#[test]
fn sucrose_density_matches_published() {
    let (mut used, mut handbook) = (0, 0);
    for row in table("sucrose_density_20C.csv") {
        let w = row.number("brix_mass_pct") / 100.0;
        let ours = sucrose_density::density(w, 20.0).unwrap();
        row.agrees("density", row.number("density_kg_m3"), ours, 0.0051);
        row.agrees("g sucrose per litre", row.number("sucrose_g_per_litre"), w * ours, 0.0051);
        if !row.is_empty("crc_density_kg_m3") {
            row.agrees("CRC density", row.number("crc_density_kg_m3"), ours, 0.3);
            handbook += 1;
        }
        used += 1;
    }
    for row in table("sucrose_density_other_temperatures.csv") {
        let ours = sucrose_density::density(row.number("brix_mass_pct") / 100.0, row.number("temperature_C")).unwrap();
        row.agrees("density", row.number("density_kg_m3"), ours, 0.0051);
        used += 1;
    }
    for row in table("sucrose_syrups.csv") {
        let w = row.number("brix_mass_pct") / 100.0;
        let ours = sucrose_density::density(w, 20.0).unwrap();
        // 66.667 °Bx is a rounded thirds figure, hence one printed digit.
        row.agrees("density", row.number("density_kg_m3"), ours, 0.011);
        row.agrees("g sucrose per litre", row.number("sucrose_g_per_litre"), w * ours, 0.011);
        row.agrees("ml per kg", row.number("volume_ml_per_kg"), 1e6 / ours, 0.011);
        // A kilogram of syrup is its water and what the sugar adds to it.
        let (sugar, water) = (1000.0 * w, 1000.0 * (1.0 - w));
        let added = sucrose_density::added_volume_20c(sugar, water).unwrap();
        let whole = added + 1000.0 * water / water_density::density(20.0).unwrap();
        row.agrees("ml of water and sugar", row.number("volume_ml_per_kg"), whole, 0.011);
        used += 1;
    }
    assert!(used >= 20 && handbook >= 4, "only {used} rows, {handbook} with a handbook density");
}

#[test]
fn sucrose_density_refuses_what_it_was_not_fitted_for() {
    for (w, t) in [(0.86, 20.0), (-0.1, 20.0), (0.5, -1.0), (0.5, 101.0), (f64::NAN, 20.0), (0.5, f64::NAN)] {
        assert!(sucrose_density::density(w, t).is_err(), "{w} at {t} °C");
    }
    assert!(water_density::density(-0.1).is_err() && water_density::density(f64::NAN).is_err());
    assert!(sucrose_density::added_volume_20c(-1.0, 5.0).is_err());
    assert!(sucrose_density::added_volume_20c(f64::NAN, 5.0).is_err());
    assert_eq!(sucrose_density::added_volume_20c(0.0, 0.0), Ok(0.0));
    // The extrapolation joins the formula and stays between amorphous and crystalline sucrose (from memory, 1510 and 1587).
    assert_eq!(sucrose_density::density_20c_extrapolated(0.85), sucrose_density::density(0.85, 20.0));
    let pure = sucrose_density::density_20c_extrapolated(1.0).unwrap();
    assert!((1510.0..1587.0).contains(&pure), "{pure}");
}

/// 60 °F, the US Gauging Manual's temperature, °C.
const SIXTY_F: f64 = 15.5556;
/// US gallon in litres, exact (231 cubic inches).
const US_GALLON_L: f64 = 3.785411784;
/// Pound in kilograms, exact.
const POUND_KG: f64 = 0.45359237;

/// Ethanol mass fraction and density (kg/l) of a spirit of a US proof, whose strength is read at 60 °F.
fn proof_spirit(proof: f64) -> (f64, f64) {
    let at = |p: f64| ethanol_density::density(p, SIXTY_F).unwrap() / 1000.0;
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if middle * at(middle) / at(1.0) < proof / 200.0 { low = middle } else { high = middle }
    }
    (low, at(low))
}

/// Worked examples of the US Gauging Manual: weights are in air (air 0.0012, brass 8.4 g/cm³).
#[test]
fn gauging_examples_come_out() {
    let water = ethanol_density::density(0.0, SIXTY_F).unwrap() / 1000.0;
    let gallons_per_pound = |density: f64| {
        let in_vacuum = (1.0 - 0.0012 / 8.4) / (1.0 - 0.0012 / density);
        POUND_KG * in_vacuum / density / US_GALLON_L
    };
    let mut used = 0;
    for row in table("gauging_worked_examples.csv") {
        let (quantity, case) = (row.text("quantity"), row.text("case").strip_suffix(" US proof").unwrap());
        let pounds = || -> f64 {
            let (_, tail) = quantity.split_once(" in ").unwrap();
            tail.strip_suffix(" lb").unwrap().replace(',', "").parse().unwrap()
        };
        // Printed to these digits; gallons per pound agree within 0.01 % (SOURCES.md).
        let (ours, tolerance) = match quantity {
            "volumes of water in 100 volumes of spirit at 60 F" => {
                let (p, density) = proof_spirit(case.parse().unwrap());
                (100.0 * density * (1.0 - p) / water, 0.011)
            }
            "water to add to 100 gallons" => {
                let (from, to) = case.split_once(" to ").unwrap();
                let (from, to): (f64, f64) = (from.parse().unwrap(), to.parse().unwrap());
                let mass = 100.0 * proof_spirit(from).1;
                let water_added = (100.0 * from / to * proof_spirit(to).1 - mass) / water;
                // The manual rounds a ratio to 1.01 on the way in the first example, hence 3 %.
                (water_added, 0.03 * row.number("published_value"))
            }
            "proof gallons per pound" => {
                let proof: f64 = case.parse().unwrap();
                (gallons_per_pound(proof_spirit(proof).1) * proof / 100.0, 1e-4 * row.number("published_value"))
            }
            _ => {
                let proof: f64 = case.parse().unwrap();
                let wine = pounds() * gallons_per_pound(proof_spirit(proof).1);
                let gallons = if quantity.starts_with("wine") { wine } else { wine * proof / 100.0 };
                (gallons, 0.05 + 1e-4 * row.number("published_value"))
            }
        };
        row.agrees(quantity, row.number("published_value"), ours, tolerance);
        // The same formula evaluated elsewhere, printed to its last digit.
        let digit = match row.text("oiml_value").split_once('.') {
            Some((_, decimals)) => power(0.1, decimals.len() as i32),
            None => 1.0,
        };
        row.agrees("by R 22", row.number("oiml_value"), ours, digit + 2e-5 * ours);
        used += 1;
    }
    assert!(used >= 6, "only {used} rows");
}

//! Freezing points and dilution.

use super::table;
use costrel::relation::freezing::{self, Solution};
use costrel::relation::{dilution_fit, ethanol_density};

/// SOURCES.md allows 0.5 °C between handbooks.
const FREEZING: f64 = 0.5;

#[test]
fn freezing_points_match_published() {
    let (mut ethanol, mut sucrose, mut older) = (0, 0, 0);
    for row in table("freezing_point.csv") {
        let published = row.number("freezing_point_C");
        let share = row.number("mass_pct") / 100.0;
        match row.text("solute") {
            "ethanol" => {
                let ours = freezing::ethanol_water(share).unwrap();
                let abv = 100.0 * ethanol_density::strength(share).unwrap();
                row.agrees("% vol", row.number("abv_pct_vol"), abv, 0.0051);
                if row.text("source").starts_with("Lange") {
                    // An older handbook, warmer than the CRC table by up to 1.5 °C near 30 mass %; CRC is preferred.
                    row.agrees("freezing point", published, ours, 1.6);
                    older += 1;
                } else {
                    row.agrees("freezing point", published, ours, FREEZING);
                    let back = freezing::ethanol_fraction_at(ours).unwrap();
                    row.agrees("mass fraction", share, back, 1e-9);
                    ethanol += 1;
                }
            }
            "sucrose" => {
                // Far below the allowed 0.5 °C, because the whole range is only 5 °C wide.
                row.agrees(
                    "freezing point",
                    published,
                    freezing::sucrose_water(share).unwrap(),
                    0.05,
                );
                sucrose += 1;
            }
            other => panic!("{}: unknown solute {other}", row.at),
        }
    }
    assert!(
        ethanol >= 20 && sucrose >= 10 && older >= 5,
        "{ethanol} {sucrose} {older}"
    );
}

#[test]
fn freezing_is_continuous_from_water_and_always_falls() {
    assert_eq!(freezing::ethanol_water(0.0), Ok(0.0));
    assert_eq!(freezing::sucrose_water(0.0), Ok(0.0));
    let mut before = (0.0, 0.0);
    for step in 1..=680 {
        let p = f64::from(step) / 1000.0;
        let now = freezing::ethanol_water(p).unwrap();
        // The steepest part of the table falls about 1.03 °C per mass %.
        assert!(
            now < before.0 && now > before.0 - 0.15,
            "ethanol {p}: {now}"
        );
        before.0 = now;
        if p <= freezing::SUCROSE_HIGHEST {
            let now = freezing::sucrose_water(p).unwrap();
            assert!(
                now < before.1 && now > before.1 - 0.15,
                "sucrose {p}: {now}"
            );
            before.1 = now;
        }
    }
    // Ice–sucrose eutectic, −13.95 °C near 0.624 (from memory): where the extrapolation should end.
    assert!((before.1 + 13.95).abs() < 0.5, "{}", before.1);
}

#[test]
fn freezing_refuses_what_its_tables_do_not_hold() {
    assert!(freezing::ethanol_water(0.69).is_err() && freezing::ethanol_water(f64::NAN).is_err());
    assert!(
        freezing::ethanol_fraction_at(0.1).is_err()
            && freezing::ethanol_fraction_at(-49.6).is_err()
    );
    assert!(freezing::sucrose_water(0.63).is_err() && freezing::sucrose_water(-0.01).is_err());
    for (water, ethanol, sugar, acid) in [
        (30.0, 70.0, 0.0, 0.0),
        (10.0, 0.0, 20.0, 0.0),
        (10.0, 0.0, 0.0, 5.0),
        (0.0, 1.0, 0.0, 0.0),
        (-1.0, 0.0, 0.0, 0.0),
    ] {
        let solution = Solution {
            water,
            ethanol,
            sugar,
            acid,
        };
        assert!(freezing::mixture(&solution).is_err(), "{solution:?}");
    }
}

#[test]
fn a_mixture_of_one_solute_is_that_solutes_own_curve_and_depressions_add() {
    let alone = |ethanol, sugar, acid| {
        freezing::mixture(&Solution {
            water: 60.0,
            ethanol,
            sugar,
            acid,
        })
        .unwrap()
    };
    assert_eq!(alone(0.0, 0.0, 0.0), 0.0);
    assert_eq!(alone(15.0, 0.0, 0.0), -10.92);
    assert_eq!(Ok(alone(0.0, 20.0, 0.0)), freezing::sucrose_water(0.25));
    // Ideal law: 1.86 K·kg/mol × 1.92123 g / 192.123 g/mol / 0.060 kg.
    assert!((alone(0.0, 0.0, 1.92123) + 1.86 * 0.01 / 0.06).abs() < 1e-12);
    let together = alone(15.0, 20.0, 1.0);
    assert!(
        (together - alone(15.0, 0.0, 0.0) - alone(0.0, 20.0, 0.0) - alone(0.0, 0.0, 1.0)).abs()
            < 1e-12
    );
}

#[test]
fn ice_in_the_freezer_obeys_the_lever_rule() {
    let drink = Solution {
        water: 80.0,
        ethanol: 20.0,
        sugar: 5.0,
        acid: 0.5,
    };
    let start = freezing::mixture(&drink).unwrap();
    assert_eq!(freezing::ice(&drink, start + 0.01), Ok(0.0));
    let mut before = 0.0;
    for t in [start - 0.1, -14.0, -18.0, -25.0] {
        let ice = freezing::ice(&drink, t).unwrap();
        assert!(ice > before && ice < 80.0, "{ice} g at {t} °C");
        let rest = Solution {
            water: 80.0 - ice,
            ..drink
        };
        assert!((freezing::mixture(&rest).unwrap() - t).abs() < 1e-9);
        before = ice;
    }
    let water = Solution {
        water: 100.0,
        ..Solution::default()
    };
    assert_eq!(freezing::ice(&water, -0.1), Ok(100.0));
    assert_eq!(freezing::ice(&water, 0.0), Ok(0.0));
    // A sugar syrup reaches the end of its curve before −18 °C: refused there, with the last certain ice on request.
    let syrup = Solution {
        water: 80.0,
        sugar: 20.0,
        ..Solution::default()
    };
    let refusal = freezing::ice(&syrup, -18.0).unwrap_err();
    let most = freezing::most_ice(&syrup).unwrap();
    assert!(
        (refusal.low - most.temperature).abs() < 1e-9 && most.grams > 60.0 && most.grams < 80.0
    );
    assert!((freezing::ice(&syrup, most.temperature).unwrap() - most.grams).abs() < 1e-6);
    assert!(freezing::ice(&drink, f64::NAN).is_err());
    // The binary case against the table itself: at −18.43 °C the liquid is 28 mass % ethanol.
    let plain = Solution {
        water: 80.0,
        ethanol: 20.0,
        ..Solution::default()
    };
    assert!((freezing::ice(&plain, -18.43).unwrap() - (80.0 - 20.0 * 72.0 / 28.0)).abs() < 1e-6);
}

#[test]
fn dilution_fits_match_their_published_coefficients_and_rows() {
    let mut used = 0;
    for row in table("dilution_models.csv")
        .iter()
        .filter(|row| row.text("kind") == "fit")
    {
        let x = row.number("start_abv_fraction");
        let ours = match row.text("method") {
            "stirred" => dilution_fit::stirred(x),
            "shaken" => dilution_fit::shaken(x),
            other => panic!("{}: unknown method {other}", row.at),
        }
        .unwrap();
        row.agrees("dilution", row.number("dilution_ml_per_ml"), ours, 1e-6);
        row.agrees(
            "final strength",
            row.number("final_abv_fraction"),
            x / (1.0 + ours),
            1e-6,
        );
        used += 1;
    }
    assert!(used >= 10, "only {used} rows");
    let coefficients = table("dilution_coefficients.csv");
    let value = |method: &str, parameter: &str| {
        let row = coefficients
            .iter()
            .find(|row| row.text("method") == method && row.text("parameter") == parameter);
        row.unwrap_or_else(|| panic!("no row for {method} {parameter}"))
            .number("value")
    };
    for (method, fit) in [
        ("stirred", dilution_fit::stirred as fn(f64) -> _),
        ("shaken", dilution_fit::shaken),
    ] {
        let (a, b, c) = (value(method, "a"), value(method, "b"), value(method, "c"));
        for x in [0.15, 0.27, 0.40] {
            assert!(
                (fit(x).unwrap() - (a * x * x + b * x + c)).abs() < 1e-12,
                "{method} {x}"
            );
        }
        for outside in [0.149, 0.401, 30.0, f64::NAN] {
            assert!(fit(outside).is_err(), "{method} {outside}");
        }
    }
    assert_eq!(value("built over ice", "dilution"), dilution_fit::BUILT);
    assert_eq!(value("blended", "dilution"), dilution_fit::BLENDED);
}

//! Freezing points and dilution.

use super::table;
use costrel::relation::chill_balance::{self, Chilling, Ice, Until, Vessel};
use costrel::relation::freezing::{self, Solution};
use costrel::relation::heat_capacity::{self, Liquid};
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
                row.agrees("freezing point", published, freezing::sucrose_water(share).unwrap(), 0.05);
                sucrose += 1;
            }
            other => panic!("{}: unknown solute {other}", row.at),
        }
    }
    assert!(ethanol >= 20 && sucrose >= 10 && older >= 5, "{ethanol} {sucrose} {older}");
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
        assert!(now < before.0 && now > before.0 - 0.15, "ethanol {p}: {now}");
        before.0 = now;
        if p <= freezing::SUCROSE_HIGHEST {
            let now = freezing::sucrose_water(p).unwrap();
            assert!(now < before.1 && now > before.1 - 0.15, "sucrose {p}: {now}");
            before.1 = now;
        }
    }
    // Ice–sucrose eutectic, −13.95 °C near 0.624 (from memory): where the extrapolation should end.
    assert!((before.1 + 13.95).abs() < 0.5, "{}", before.1);
}

#[test]
fn freezing_refuses_what_its_tables_do_not_hold() {
    assert!(freezing::ethanol_water(0.69).is_err() && freezing::ethanol_water(f64::NAN).is_err());
    assert!(freezing::ethanol_fraction_at(0.1).is_err() && freezing::ethanol_fraction_at(-49.6).is_err());
    assert!(freezing::sucrose_water(0.63).is_err() && freezing::sucrose_water(-0.01).is_err());
    for (water, ethanol, sugar, acid) in [
        (30.0, 70.0, 0.0, 0.0),
        (10.0, 0.0, 20.0, 0.0),
        (10.0, 0.0, 0.0, 5.0),
        (0.0, 1.0, 0.0, 0.0),
        (-1.0, 0.0, 0.0, 0.0),
    ] {
        let solution = Solution { water, ethanol, sugar, acid };
        assert!(freezing::mixture(&solution).is_err(), "{solution:?}");
    }
}

#[test]
fn a_mixture_of_one_solute_is_that_solutes_own_curve_and_depressions_add() {
    let alone = |ethanol, sugar, acid| freezing::mixture(&Solution { water: 60.0, ethanol, sugar, acid }).unwrap();
    assert_eq!(alone(0.0, 0.0, 0.0), 0.0);
    assert_eq!(alone(15.0, 0.0, 0.0), -10.92);
    assert_eq!(Ok(alone(0.0, 20.0, 0.0)), freezing::sucrose_water(0.25));
    // Ideal law: 1.86 K·kg/mol × 1.92123 g / 192.123 g/mol / 0.060 kg.
    assert!((alone(0.0, 0.0, 1.92123) + 1.86 * 0.01 / 0.06).abs() < 1e-12);
    let together = alone(15.0, 20.0, 1.0);
    assert!((together - alone(15.0, 0.0, 0.0) - alone(0.0, 20.0, 0.0) - alone(0.0, 0.0, 1.0)).abs() < 1e-12);
}

#[test]
fn ice_in_the_freezer_obeys_the_lever_rule() {
    let drink = Solution { water: 80.0, ethanol: 20.0, sugar: 5.0, acid: 0.5 };
    let start = freezing::mixture(&drink).unwrap();
    assert_eq!(freezing::ice(&drink, start + 0.01), Ok(0.0));
    let mut before = 0.0;
    for t in [start - 0.1, -14.0, -18.0, -25.0] {
        let ice = freezing::ice(&drink, t).unwrap();
        assert!(ice > before && ice < 80.0, "{ice} g at {t} °C");
        let rest = Solution { water: 80.0 - ice, ..drink };
        assert!((freezing::mixture(&rest).unwrap() - t).abs() < 1e-9);
        before = ice;
    }
    let water = Solution { water: 100.0, ..Solution::default() };
    assert_eq!(freezing::ice(&water, -0.1), Ok(100.0));
    assert_eq!(freezing::ice(&water, 0.0), Ok(0.0));
    // A sugar syrup reaches the end of its curve before −18 °C: refused there, with the last certain ice on request.
    let syrup = Solution { water: 80.0, sugar: 20.0, ..Solution::default() };
    let refusal = freezing::ice(&syrup, -18.0).unwrap_err();
    let most = freezing::most_ice(&syrup).unwrap();
    assert!((refusal.low - most.temperature).abs() < 1e-9 && most.grams > 60.0 && most.grams < 80.0);
    assert!((freezing::ice(&syrup, most.temperature).unwrap() - most.grams).abs() < 1e-6);
    assert!(freezing::ice(&drink, f64::NAN).is_err());
    // The binary case against the table itself: at −18.43 °C the liquid is 28 mass % ethanol.
    let plain = Solution { water: 80.0, ethanol: 20.0, ..Solution::default() };
    assert!((freezing::ice(&plain, -18.43).unwrap() - (80.0 - 20.0 * 72.0 / 28.0)).abs() < 1e-6);
}

#[test]
fn dilution_fits_match_their_published_coefficients_and_rows() {
    let mut used = 0;
    for row in table("dilution_models.csv").iter().filter(|row| row.text("kind") == "fit") {
        let x = row.number("start_abv_fraction");
        let ours = match row.text("method") {
            "stirred" => dilution_fit::stirred(x),
            "shaken" => dilution_fit::shaken(x),
            other => panic!("{}: unknown method {other}", row.at),
        }
        .unwrap();
        row.agrees("dilution", row.number("dilution_ml_per_ml"), ours, 1e-6);
        row.agrees("final strength", row.number("final_abv_fraction"), x / (1.0 + ours), 1e-6);
        used += 1;
    }
    assert!(used >= 10, "only {used} rows");
    let coefficients = table("dilution_coefficients.csv");
    let value = |method: &str, parameter: &str| {
        let row = coefficients.iter().find(|row| row.text("method") == method && row.text("parameter") == parameter);
        row.unwrap_or_else(|| panic!("no row for {method} {parameter}")).number("value")
    };
    for (method, fit) in [("stirred", dilution_fit::stirred as fn(f64) -> _), ("shaken", dilution_fit::shaken)] {
        let (a, b, c) = (value(method, "a"), value(method, "b"), value(method, "c"));
        for x in [0.15, 0.27, 0.40] {
            assert!((fit(x).unwrap() - (a * x * x + b * x + c)).abs() < 1e-12, "{method} {x}");
        }
        for outside in [0.149, 0.401, 30.0, f64::NAN] {
            assert!(fit(outside).is_err(), "{method} {outside}");
        }
    }
    assert_eq!(value("built over ice", "dilution"), dilution_fit::BUILT);
    assert_eq!(value("blended", "dilution"), dilution_fit::BLENDED);
}

/// SOURCES.md allows 1.5 % between sources of one mixture; 2 % leaves room for a printed digit.
#[test]
fn heat_capacities_match_published() {
    let mut used = std::collections::BTreeMap::new();
    for row in table("heat_capacity.csv") {
        let (t, published) = (row.number("temperature_C"), row.number("value"));
        let share = || row.number("mass_pct") / 100.0;
        let (ours, tolerance) = match row.text("substance") {
            "water" => (heat_capacity::water(t).unwrap(), 0.0005 * published),
            "ice Ih" => (heat_capacity::ice(t).unwrap(), 0.0005 * published),
            "ethanol" => (heat_capacity::ethanol(t).unwrap(), 0.001 * published),
            // Rows at 41 °C lie a degree above the fitted range; they are compared at its end, since a degree changes the
            // figure by less than 0.3 %.
            "ethanol-water" => (heat_capacity::ethanol_water(share(), t.min(40.0)).unwrap(), 0.02 * published),
            "sucrose-water" => (heat_capacity::sucrose_water(share(), t).unwrap(), 0.0001),
            "latent heat of fusion of ice" => (heat_capacity::latent_heat(t).unwrap(), 0.2),
            "ice density" => (heat_capacity::ICE_DENSITY_0C, 0.005),
            other => panic!("{}: nothing here answers {other}", row.at),
        };
        row.agrees(row.text("substance"), published, ours, tolerance);
        *used.entry(row.text("substance").to_owned()).or_insert(0) += 1;
    }
    assert!(used["ethanol-water"] >= 20 && used["sucrose-water"] >= 8 && used.len() == 7, "{used:?}");
}

#[test]
fn heat_capacities_join_without_a_step_and_refuse_what_they_do_not_know() {
    for t in [-10.0, 0.0, 15.0, 40.0] {
        let at = |p: f64| heat_capacity::ethanol_water(p, t).unwrap();
        for p in [0.05, 0.60] {
            assert!((at(p - 1e-9) - at(p + 1e-9)).abs() < 1e-6, "{p} at {t} °C");
        }
        let ends = (heat_capacity::water(t.max(0.0)).unwrap(), heat_capacity::ethanol(t).unwrap());
        assert!((at(1.0) - ends.1).abs() < 1e-12);
        if t >= 0.0 {
            assert!((at(0.0) - ends.0).abs() < 1e-12);
        }
    }
    // Half and half by mass is the mass-weighted sum: sugar water in Bubník's formula, but for its constant water.
    let syrup = heat_capacity::drink(&Liquid { water: 50.0, sugar: 50.0, ..Liquid::default() }, 20.0).unwrap();
    assert!((syrup / 100.0 - heat_capacity::sucrose_water(0.5, 20.0).unwrap()).abs() < 0.002);
    // Ice warmed and melted at 0 °C, then cooled as water, is the latent heat at the lower temperature.
    let at_minus_ten = heat_capacity::latent_heat(-10.0).unwrap();
    assert!((at_minus_ten - (333.42 - 42.1895 + heat_capacity::ice_to_melting(-10.0).unwrap())).abs() < 1e-9);
    // IAPWS R10-06 enthalpy from −18 to 0 °C, computed with iapws 1.5: 36.549 J/g.
    assert!((heat_capacity::ice_to_melting(-18.0).unwrap() - 36.549).abs() < 0.01);
    for bad in [-61.0, 0.1, f64::NAN] {
        assert!(heat_capacity::ice(bad).is_err() && heat_capacity::latent_heat(bad).is_err());
    }
    assert!(heat_capacity::water(-0.1).is_err() && heat_capacity::ethanol(71.0).is_err());
    assert!(heat_capacity::ethanol_water(0.3, 41.0).is_err() && heat_capacity::ethanol_water(1.1, 20.0).is_err());
    assert!(heat_capacity::sucrose_water(0.9, 20.0).is_err() && heat_capacity::sucrose_water(0.5, -1.0).is_err());
    assert!(heat_capacity::drink(&Liquid { acid: f64::NAN, ..Liquid::default() }, 20.0).is_err());
}

/// A spirit–water mix of a start strength (fraction) at 20 °C, of so many millilitres.
fn spirit(q: f64, ml: f64) -> Liquid {
    let p = ethanol_density::mass_fraction(q).unwrap();
    let grams = ml * ethanol_density::density_20c(p).unwrap() / 1000.0;
    Liquid { ethanol: grams * p, water: grams * (1.0 - p), ..Liquid::default() }
}

/// 1 ml/ml of water at 20 °C in grams, to read a melt as a dilution.
const WATER_G_PER_ML: f64 = ethanol_density::WATER_DENSITY_20C / 1000.0;

fn ideal(liquid: Liquid) -> Chilling {
    Chilling { liquid, start: 20.0, ice: Ice::IDEAL, vessel: Vessel::NONE, heat_gain: 0.0, until: Until::Settled }
}

#[test]
fn ideal_balance_matches_the_computed_limit() {
    let mut used = 0;
    for row in table("dilution_models.csv").iter().filter(|row| row.text("kind") == "energy balance limit") {
        let q = row.number("start_abv_fraction");
        let chilled = chill_balance::chill(&ideal(spirit(q, 100.0))).unwrap();
        let dilution = chilled.water / WATER_G_PER_ML / 100.0;
        row.agrees("dilution", row.number("dilution_ml_per_ml"), dilution, 0.01);
        row.agrees("temperature", row.number("final_temperature_C"), chilled.temperature, 0.5);
        row.agrees("final strength", row.number("final_abv_fraction"), q / (1.0 + dilution), 0.002);
        assert_eq!((chilled.clinging, chilled.ice_left), (0.0, None));
        used += 1;
    }
    assert!(used >= 3, "only {used} rows");
}

/// A shaken and a stirred drink of 100 ml with the stated bar parameters, beside the fits; the table of the module's doc.
#[test]
fn full_balance_explains_the_shaken_fit() {
    let dilution = |chilling: &Chilling| chill_balance::chill(chilling).unwrap().water / WATER_G_PER_ML / 100.0;
    println!("start  ideal  shaken: fit  balance  stirred: fit  balance");
    for q in [0.15, 0.20, 0.25, 0.30, 0.35, 0.40] {
        let limit = ideal(spirit(q, 100.0));
        let shaken = Chilling { ice: Ice::BAR, vessel: Vessel::TINS, heat_gain: 500.0, ..limit };
        let glass = Vessel { temperature: 0.0, ..Vessel::STIRRING_GLASS };
        let stirred = Chilling { vessel: glass, until: Until::Temperature(-2.0), ..shaken };
        let fits = (dilution_fit::shaken(q).unwrap(), dilution_fit::stirred(q).unwrap());
        let balances = (dilution(&limit), dilution(&shaken), dilution(&stirred));
        println!(
            "{q:5.2}  {:5.3}  {:11.3}  {:7.3}  {:12.3}  {:7.3}",
            balances.0, fits.0, balances.1, fits.1, balances.2
        );
        let above_ideal = fits.0 / balances.0 - 1.0;
        assert!((0.30..0.46).contains(&above_ideal), "shaken fit is {above_ideal} above the ideal at {q}");
        // The parameters were not adjusted to the fit, so the agreement is what it is: 20 % at the weak end, under 5 %
        // from 30 % vol up.
        let shaken_gap = (balances.1 / fits.0 - 1.0).abs();
        assert!(shaken_gap < if q < 0.295 { 0.20 } else { 0.05 }, "{shaken_gap} at {q}");
    }
}

/// Heat given equals heat taken, reckoned here by small steps instead of the closed forms inside.
#[test]
fn energy_is_conserved() {
    let liquid = Liquid { sugar: 10.0, acid: 1.0, other: 0.5, ..spirit(0.25, 90.0) };
    let ice = Ice { temperature: -8.0, clinging: 0.02, available: Some(180.0), chilled: 0.5 };
    let chilling = Chilling { liquid, start: 24.0, ice, vessel: Vessel::TINS, heat_gain: 300.0, until: Until::Settled };
    let chilled = chill_balance::chill(&chilling).unwrap();
    let integral = |f: &dyn Fn(f64) -> f64, from: f64, to: f64| -> f64 {
        let step = (to - from) / 2000.0;
        (0..2000).map(|i| f(from + (f64::from(i) + 0.5) * step) * step).sum()
    };
    let t = chilled.temperature;
    let drink = integral(&|t| heat_capacity::drink(&liquid, t).unwrap(), t, 24.0);
    let cold_water = 4.21895 * t;
    let given = drink + 100.0 * (20.0 - t) + 300.0 - chilled.clinging * cold_water;
    let ice_heat = |from: f64, to: f64| integral(&|t| heat_capacity::ice(t).unwrap(), from, to);
    let left = chilled.ice_left.unwrap();
    let taken = chilled.melt * (ice_heat(-8.0, 0.0) + 333.42 + cold_water) + 0.5 * left * ice_heat(-8.0, t);
    assert!((given - taken).abs() < 1.0, "given {given} J, taken {taken} J");
    assert!((chilled.melt + left + chilled.clinging - 180.0).abs() < 1e-9);
    assert!((chilled.clinging - 3.6).abs() < 1e-12);
    let mixed = Solution { water: liquid.water + chilled.water, ethanol: liquid.ethanol, sugar: 10.0, acid: 1.0 };
    assert!((freezing::mixture(&mixed).unwrap() - t).abs() < 1e-9);
}

#[test]
fn each_thing_the_ideal_leaves_out_moves_the_melt_the_right_way() {
    let base = ideal(spirit(0.25, 100.0));
    let water = |chilling: Chilling| chill_balance::chill(&chilling).unwrap().water;
    let limit = water(base);
    assert!(water(Chilling { start: 25.0, ..base }) > limit);
    assert!(water(Chilling { heat_gain: 1000.0, ..base }) > limit);
    assert!(water(Chilling { vessel: Vessel::TINS, ..base }) > limit);
    assert!(water(Chilling { ice: Ice { clinging: 0.03, ..Ice::IDEAL }, ..base }) > limit);
    assert!(water(Chilling { ice: Ice { temperature: -10.0, ..Ice::IDEAL }, ..base }) < limit);
    let much = Ice { available: Some(300.0), ..Ice::IDEAL };
    assert!(
        (water(Chilling { ice: much, ..base }) - limit).abs() < 1e-9,
        "left-over ice that stays at 0 °C changes nothing"
    );
    assert!(
        water(Chilling { ice: Ice { chilled: 1.0, ..much }, ..base }) > limit,
        "ice at 0 °C must itself be chilled"
    );
    // Sugar lowers the freezing point, so the drink gets colder and melts more per gram of water.
    let sweet = Chilling { liquid: Liquid { sugar: 10.0, ..base.liquid }, ..base };
    assert!(chill_balance::chill(&sweet).unwrap().temperature < chill_balance::chill(&base).unwrap().temperature);
    assert!(water(sweet) > limit);
    // A hot drink without alcohol ends at 0 °C.
    let tea = Chilling { liquid: Liquid { water: 100.0, ..Liquid::default() }, start: 80.0, ..base };
    let tea = chill_balance::chill(&tea).unwrap();
    assert!(tea.temperature.abs() < 1e-9, "{}", tea.temperature);
    // 100 g × 4.19 J/(g·K) × 80 K ÷ 333.42 J/g.
    assert!((tea.melt - 100.6).abs() < 0.5, "{}", tea.melt);
}

#[test]
fn chilling_stops_where_it_is_told_or_where_the_ice_ends() {
    let base = ideal(spirit(0.30, 100.0));
    let settled = chill_balance::chill(&base).unwrap();
    let short = Chilling { until: Until::Temperature(-2.0), ..base };
    let stopped = chill_balance::chill(&short).unwrap();
    assert!(stopped.temperature == -2.0 && stopped.melt > 0.0 && stopped.melt < settled.melt);
    // Too little ice: all of it melts and the drink stays above its freezing point.
    let few = Chilling { ice: Ice { available: Some(10.0), ..Ice::IDEAL }, ..base };
    let few = chill_balance::chill(&few).unwrap();
    assert!((few.melt - 10.0).abs() < 1e-9 && few.ice_left == Some(0.0) && few.temperature > 5.0);
    // Out of reach: colder than the settled temperature, or warmer than before.
    let too_cold = chill_balance::chill(&Chilling { until: Until::Temperature(-15.0), ..base }).unwrap_err();
    assert!((too_cold.low - settled.temperature).abs() < 1e-9, "{too_cold}");
    assert!(chill_balance::chill(&Chilling { until: Until::Temperature(25.0), ..base }).is_err());
    // Nearly frozen juice over very cold ice freezes onto it.
    let juice = Liquid { water: 90.0, sugar: 10.0, ..Liquid::default() };
    let freezer = Ice { temperature: -20.0, available: Some(200.0), chilled: 1.0, ..Ice::IDEAL };
    let onto = chill_balance::chill(&Chilling { liquid: juice, start: 0.0, ice: freezer, ..base }).unwrap();
    assert!(onto.melt < 0.0 && onto.ice_left.unwrap() > 200.0, "{onto:?}");
}

#[test]
fn chilling_refuses_bad_numbers_and_unknown_freezing_points() {
    let base = ideal(spirit(0.30, 100.0));
    for bad in [
        Chilling { start: f64::NAN, ..base },
        Chilling { start: 101.0, ..base },
        Chilling { heat_gain: -1.0, ..base },
        Chilling { ice: Ice { temperature: 0.5, ..Ice::IDEAL }, ..base },
        Chilling { ice: Ice { clinging: 0.6, ..Ice::IDEAL }, ..base },
        Chilling { ice: Ice { chilled: f64::NAN, ..Ice::IDEAL }, ..base },
        Chilling { ice: Ice { available: Some(-5.0), ..Ice::IDEAL }, ..base },
        Chilling { vessel: Vessel { capacity: f64::INFINITY, temperature: 20.0 }, ..base },
        Chilling { until: Until::Temperature(f64::NAN), ..base },
        Chilling { liquid: Liquid { other: f64::NAN, ..base.liquid }, ..base },
        // Neat strong spirit with 2 g of ice: its freezing point lies below every table.
        Chilling { liquid: spirit(0.95, 100.0), ice: Ice { available: Some(2.0), ..Ice::IDEAL }, ..base },
    ] {
        assert!(chill_balance::chill(&bad).is_err(), "{bad:?}");
    }
    // The same spirit with ice enough is diluted into the tables' range.
    assert!(chill_balance::chill(&ideal(spirit(0.80, 100.0))).is_ok());
}

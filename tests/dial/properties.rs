//! What holds for every answer.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use costrel::ask::dial::{Answer, Figure, Named, Request, Target, dial};
use costrel::measure::{Amount, Unit};
use costrel::recipe::run::{Changes, Computed, rerun};
use proptest::prelude::*;
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

use super::{Notebook, PANTRY, bar, figure};

fn named(list: &[(&str, f64)]) -> Option<Vec<Named>> {
    Some(list.iter().map(|(name, weight)| Named { name: (*name).to_owned(), weight: *weight }).collect())
}

fn after(answer: &Answer, name: &str) -> f64 {
    let pour = answer.pours.iter().find(|p| p.name == name).unwrap_or_else(|| panic!("no pour {name}"));
    pour.after.amount.unwrap()
}

/// Amounts of the punch below: its facts are all known, so every figure is.
const PUNCH: &str = "mix:\n  - 700 ml test rum\n  - {pour: 500 ml test tonic, hold: true}\n  - 180 ml test syrup\n  - 120 ml test lime\n  - 400 ml test pear\nprocess: [stir: {dilution: 20 %}]\n";

fn figures_at(computed: &Computed, amounts: BTreeMap<usize, f64>) -> [f64; 3] {
    let made = rerun(computed, 0, &Changes { amounts, ..Changes::default() });
    let read = &made.stages[made.balance].mixture;
    [read.figure_abv(), read.figure_sugar_per_100ml(), read.figure_acid_per_100ml()].map(Result::unwrap)
}

fn square(x: f64) -> f64 {
    x * x
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Targets that some mixture has are reached, within the bounds, with what is held untouched, and by no larger change
    /// than that mixture's.
    #[test]
    fn what_can_be_mixed_is_found(times in proptest::array::uniform4(0.6_f64..1.6), only in 1_usize..=3) {
        static PUNCHES: LazyLock<Computed> = LazyLock::new(|| Notebook::new(PANTRY, &[("Punch", PUNCH)]).compiled());
        let computed = &*PUNCHES;
        let written = [(0, 700.0), (2, 180.0), (3, 120.0), (4, 400.0)];
        let amounts = written.iter().zip(times).map(|((i, ml), t)| (*i, ml * t)).collect();
        let wanted = figures_at(computed, amounts);
        let figures = [Figure::Strength, Figure::Sugar, Figure::Acid];
        let targets: Vec<Target> =
            figures.iter().zip(wanted).take(only).map(|(figure, wanted)| Target { figure: *figure, wanted }).collect();
        let answer = dial(computed, 0, &Request { targets: targets.clone(), ..Request::default() }).unwrap();
        prop_assert!(answer.feasible, "{:?}", answer.because);
        for target in &targets {
            prop_assert!(target.met(figure(&answer.result, target.figure)));
        }
        let batch = computed.made[0].batch().mixture.volume_ml();
        let mut change = 0.0;
        for pour in &answer.pours {
            let (before, now) = (pour.before.amount.unwrap(), pour.after.amount.unwrap());
            prop_assert!((0.0..=100.0 * batch).contains(&now));
            change += square((now - before) / before);
        }
        prop_assert_eq!(after(&answer, "test tonic"), 500.0);
        let known: f64 = times.iter().map(|t| square(t - 1.0)).sum();
        prop_assert!(change <= known * (1.0 + 1e-6) + 1e-9, "{} beside {}", change, known);
        // And again from where it ended there is nothing to do.
        let amounts: BTreeMap<usize, f64> = written.iter().zip([0, 2, 3, 4]).map(|((i, _), j)| (*i, answer.pours[j].after.amount.unwrap())).collect();
        for (target, reached) in targets.iter().zip(figures_at(computed, amounts)) {
            prop_assert!(target.met(reached));
        }
    }

    /// What can be reached by adding is reached by adding, and with no more than that.
    #[test]
    fn what_can_be_added_is_found(over in proptest::array::uniform4(1.0_f64..1.5), more in proptest::array::uniform4(0.0_f64..0.8)) {
        static PUNCHES: LazyLock<Computed> = LazyLock::new(|| Notebook::new(PANTRY, &[("Punch", PUNCH)]).compiled());
        let written = [(0, 700.0), (2, 180.0), (3, 120.0), (4, 400.0)];
        let names = ["test rum", "test syrup", "test lime", "test pear"];
        // Whole tenths of a millilitre, so that the amount on the command line is the amount.
        let glass: Vec<f64> = written.iter().zip(over).map(|((_, ml), o)| libm::round(ml * o * 10.0) / 10.0).collect();
        let mixed = written.iter().zip(glass.iter().zip(more)).map(|((i, _), (ml, m))| (*i, ml * (1.0 + m))).collect();
        let wanted = figures_at(&PUNCHES, mixed);
        let figures = [Figure::Strength, Figure::Sugar, Figure::Acid];
        let amount = |ml: f64| Amount { value: Decimal::from_f64(ml).unwrap().round_dp(1), unit: Unit::Ml };
        let request = Request {
            targets: figures.iter().zip(wanted).map(|(figure, wanted)| Target { figure: *figure, wanted }).collect(),
            poured: names.iter().zip(&glass).map(|(name, ml)| ((*name).to_owned(), amount(*ml))).collect(),
            ..Request::default()
        };
        let answer = dial(&PUNCHES, 0, &request).unwrap();
        prop_assert!(answer.feasible, "{:?}", answer.because);
        let change: f64 = names
            .iter()
            .zip(&glass)
            .map(|(name, ml)| (after(&answer, name) - ml) / ml)
            .inspect(|share| assert!(*share >= 0.0, "{share}"))
            .map(square)
            .sum();
        prop_assert!(change <= more.iter().map(|m| square(*m)).sum::<f64>() * (1.0 + 1e-6) + 1e-9);
    }

    /// What is in the glass is never taken out, whether the targets can be reached or not.
    #[test]
    fn what_is_poured_never_decreases(rum in 30_u32..120, lime in 10_u32..60, abv in 5.0_f64..30.0, acid in 0.3_f64..2.0) {
        static BAR: LazyLock<Computed> = LazyLock::new(|| bar().compiled());
        let computed = &*BAR;
        let recipe = computed.graph.recipe("sour").unwrap();
        let ml = |n: u32| Amount { value: n.into(), unit: Unit::Ml };
        let request = Request {
            targets: vec![Target { figure: Figure::Strength, wanted: abv }, Target { figure: Figure::Acid, wanted: acid }],
            vary: named(&[("test rum", 1.0), ("test lime", 2.0), ("test syrup", 1.0), ("water", 1.0)]),
            facts: BTreeMap::new(),
            taken_as: Vec::new(),
            poured: vec![("test rum".into(), ml(rum)), ("test lime".into(), ml(lime))],
        };
        let answer = dial(computed, recipe, &request).unwrap();
        for pour in &answer.pours {
            prop_assert!(pour.add.amount.unwrap() >= 0.0, "{}: {:?}", pour.name, pour.add);
        }
        prop_assert_eq!(answer.feasible, answer.targets.iter().zip(&request.targets).all(|(r, t)| t.met(r.reached.unwrap())));
        prop_assert_eq!(answer.feasible, answer.because.is_none());
        prop_assert_eq!(answer.pours[0].before.amount, Some(f64::from(rum)));
    }
}

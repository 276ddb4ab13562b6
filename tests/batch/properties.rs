//! What holds for every batch.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use costrel::ask::batch::{Answer, Have, Request, Size, Stock, batch};
use costrel::measure::tool::View;
use costrel::measure::{Amount, Exact, Unit};
use costrel::recipe::run::Computed;
use proptest::prelude::*;
use rust_decimal::Decimal;

use super::bar;
use super::stock::orchard;

static BAR: LazyLock<Computed> = LazyLock::new(|| bar().compiled());

static ORCHARD: LazyLock<Computed> = LazyLock::new(|| orchard().compiled());

/// Recipes that scale by volume.
const NAMES: &[&str] =
    &["Jug", "One sour", "Fizz", "Milk punch", "Filled", "Flip", "Parts", "Proofed", "Test cordial", "Test syrup"];

fn ask(name: &str, request: Request) -> Answer {
    let recipe = BAR.graph.recipe(name).unwrap();
    batch(&BAR, recipe, &request).unwrap().0
}

fn makes(ml: Exact) -> Request {
    Request { size: Size::Makes(ml), ..Request::default() }
}

/// Exact amounts by the pour's place.
fn exact(answer: &Answer) -> Vec<Exact> {
    answer.pours.iter().filter(|p| p.per_glass.is_none()).map(|p| p.exact.amount.clone()).collect()
}

/// An answer and its parts, at any depth.
fn all(answer: &Answer) -> Vec<&Answer> {
    let mut list = vec![answer];
    for part in &answer.preps {
        list.extend(all(part));
    }
    list
}

fn twenty_digits(a: &Exact, b: &Exact) -> bool {
    let off = (a - b).abs();
    off.is_zero()
        || off
            .over(b)
            .is_some_and(|o| o < Exact::ratio(1, 10_000_000_000_000_000_000).unwrap().over(&Exact::whole(10)).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn scaled_and_scaled_back_is_the_recipe(which in 0..NAMES.len(), n in 1_u64..1_000_000, d in 1_u64..1000) {
        let written = ask(NAMES[which], Request::default());
        let volume = written.makes_ml.clone().unwrap();
        let factor = Exact::ratio(n, d).unwrap();
        prop_assume!(&volume * &factor < Exact::whole(10_000_000));
        let scaled = ask(NAMES[which], makes(&volume * &factor));
        prop_assert_eq!(scaled.factor.clone(), Some(factor.clone()));
        for (was, now) in exact(&written).iter().zip(exact(&scaled)) {
            prop_assert!(twenty_digits(&now.over(&factor).unwrap(), was));
        }
    }

    #[test]
    fn the_parts_make_the_whole(n in 1_u64..100_000, d in 1_u64..100) {
        // Parts of a size: what goes in adds up to the size, scaled.
        let factor = Exact::ratio(n, d).unwrap();
        let volume = ask("Parts", Request::default()).makes_ml.unwrap();
        prop_assume!(&volume * &factor < Exact::whole(10_000_000));
        let answer = ask("Parts", makes(&volume * &factor));
        let sum: Exact = exact(&answer).into_iter().sum();
        prop_assert_eq!(sum, &Exact::whole(1000) * &factor);
    }

    #[test]
    fn no_pour_is_off_by_more_than_half_its_step(which in 0..NAMES.len(), n in 1_u64..1_000_000, d in 1_u64..1000, ounces: bool, ready: bool) {
        let volume = ask(NAMES[which], Request::default()).makes_ml.unwrap();
        let ml = &volume * &Exact::ratio(n, d).unwrap();
        prop_assume!(ml < Exact::whole(10_000_000));
        let view = if ounces { View::Ounces } else { View::Metric };
        let answer = ask(NAMES[which], Request { view, ready, ..makes(ml) });
        let ounce = 29.573_529_562_5;
        for pour in all(&answer).iter().flat_map(|a| &a.pours) {
            let (exact, measure) = pour.per_glass.as_ref().map_or((&pour.exact, &pour.measure), |g| (&g.exact, &g.measure));
            let error = (pour.error_pct / 100.0 * exact.amount.float()).abs();
            // In the unit of the step: ml, g or pieces.
            let error = if exact.unit == "oz" { error * ounce } else { error };
            let half = match (&pour.step, pour.tool) {
                (Some(step), "count") => step.amount.float(),
                (Some(step), _) => step.amount.float() / 2.0,
                (None, _) => 0.0,
            };
            prop_assert!(error <= half * (1.0 + 1e-9) + 1e-9, "{pour:#?}");
            prop_assert!(measure.amount.is_positive());
            if pour.tool == "count" {
                prop_assert!(measure.amount.is_whole() && measure.amount >= exact.amount);
            }
        }
    }

    #[test]
    fn no_stock_is_ever_exceeded(
        rum in 1_u64..5000, pear in 1_u64..5000, sugar in 1_u64..3000, quinces in 1_u64..40, weighed: bool, cordial in 0_u64..500, serves in 0_u64..100
    ) {
        let ml = |n: u64| Stock::Measured(Amount { value: Decimal::from(n), unit: Unit::Ml });
        let g = |n: u64| Stock::Measured(Amount { value: Decimal::from(n), unit: Unit::G });
        let have = |name: &str, stock| Have { name: name.into(), stock };
        let mut haves = vec![
            have("test rum", ml(rum)),
            have("test pear juice", ml(pear)),
            have("test sugar", g(sugar)),
            have("test quince", if weighed { g(quinces * 170) } else { Stock::Counted(Decimal::from(quinces), None) }),
        ];
        if cordial > 0 {
            haves.push(have("test cordial", ml(cordial)));
        }
        let size = if serves > 0 { Size::Serves(Exact::whole(serves)) } else { Size::Unsaid };
        let jug = BAR.graph.recipe("Jug").unwrap();
        // Fewer fruit than one batch of a part takes is an answer of its own.
        let Ok((answer, _)) = batch(&BAR, jug, &Request { size, haves, ..Request::default() }) else { return Ok(()) };
        let mut taken: BTreeMap<(&str, bool), f64> = BTreeMap::new();
        let list = all(&answer);
        for pour in list.iter().flat_map(|a| &a.pours) {
            *taken.entry((pour.name.as_str(), false)).or_default() += pour.exact.amount.float();
            // A little of it is measured by the drop, the dash or the barspoon, which are the defaults of the format here.
            let each = match pour.measure.unit.trim_end_matches('s') {
                "drop" => 0.05,
                "dash" | "dashe" => 0.92,
                "barspoon" => 5.0,
                _ => 1.0,
            };
            *taken.entry((pour.name.as_str(), true)).or_default() += pour.measure.amount.float() * each;
        }
        for measured in [false, true] {
            let of = |name: &'static str| taken.get(&(name, measured)).copied().unwrap_or(0.0);
            prop_assert!(of("test rum") <= rum as f64 + 1e-9);
            prop_assert!(of("test pear juice") <= pear as f64 + 1e-9);
            prop_assert!(of("test sugar") <= sugar as f64 + 1e-9);
            let most = if !weighed {
                quinces as f64
            } else if measured && list.iter().flat_map(|a| &a.pours).any(|p| p.name == "test quince" && p.tool == "all of it") {
                (quinces * 170) as f64
            } else {
                (quinces * 170) as f64 / 200.0
            };
            prop_assert!(of("test quince") <= most + 1e-9, "{} of {most}: {answer:#?}", of("test quince"));
        }
        let made_of_stock = list.iter().filter(|a| a.recipe == "test-cordial").filter_map(|a| a.from_stock_ml.clone()).sum::<Exact>();
        prop_assert!(made_of_stock <= Exact::whole(cordial));
        if serves > 0 {
            prop_assert!(answer.serves.unwrap() <= serves);
        }
    }

    #[test]
    fn fruit_of_two_sides_is_never_exceeded(which in 0..4_usize, quinces in 1_u64..400, weighed: bool) {
        let name = ["Both sides", "Trimmings", "Whole and pressed", "Apart"][which];
        let stock = if weighed {
            Stock::Measured(Amount { value: Decimal::from(quinces * 200), unit: Unit::G })
        } else {
            Stock::Counted(Decimal::from(quinces), None)
        };
        let haves = vec![Have { name: "test quince".into(), stock }];
        let recipe = ORCHARD.graph.recipe(name).unwrap();
        // Fewer than one piece for each line is an answer of its own.
        let Ok((answer, _)) = batch(&ORCHARD, recipe, &Request { haves, ..Request::default() }) else { return Ok(()) };
        let most = Exact::whole(quinces);
        for fruit in &answer.fruit {
            // By weight the last piece may be part of one.
            prop_assert!(fruit.count <= if weighed { &most + &Exact::one() } else { most.clone() }, "{fruit:?}");
        }
        // Taken line by line, exactly: the largest of the sides, and what goes in whole beside it.
        let exactly = |p: &costrel::ask::batch::document::PourAnswer| match &p.take {
            Some(take) => take.exact.clone(),
            None if p.exact.unit == "g" => p.exact.amount.over(&Exact::whole(200)).unwrap(),
            None => p.exact.amount.clone(),
        };
        let list = all(&answer);
        let pours: Vec<_> = list.iter().flat_map(|a| &a.pours).filter(|p| p.name.contains("quince")).collect();
        let whole = pours.iter().filter(|p| name == "Whole and pressed" && p.name == "test quince").map(|p| exactly(p)).sum::<Exact>();
        if !weighed {
            for pour in pours.iter().filter(|p| p.take.is_some() && p.name != "test quince") {
                prop_assert!(&exactly(pour) + &whole <= most, "{pour:#?}");
            }
        }
    }

    #[test]
    fn a_part_of_a_batch_is_as_made_by_itself(serves in 1_u64..500) {
        let answer = ask("Jug", Request { size: Size::Serves(Exact::whole(serves)), ..Request::default() });
        for part in all(&answer).into_iter().skip(1) {
            let alone = ask(&part.recipe, makes(part.makes_ml.clone().unwrap()));
            prop_assert_eq!(&alone.factor, &part.factor);
            prop_assert_eq!(&alone.pours, &part.pours);
        }
    }
}

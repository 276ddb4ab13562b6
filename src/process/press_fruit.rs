//! Pressing and peeling: whole fruit becomes its juice or its peel, and the rest is trimmings with a name and a mass.
//!
//! - `of`: the fruit; the mixture itself where it is nothing else
//! - `recovers`: what was measured, % of the whole fruit's mass, above 0 to 100; else the pantry's yield
//!
//! What the product is made of is what the pantry states of it (`lime juice`, `lemon peel`); only masses are balanced, since a press
//! and a pantry never agree on every gram of sugar. Yields vary with press and season: equal weights of limes gave 21 % more juice
//! by machine than by hand (Arnold, Cooking Issues, 1 October 2010).

use super::loss::{behind, recovers};
use super::remark::number;
use super::{Args, Bar, Finding, Fruit, Outcome, Process, Removed};
use crate::mixture::{Mixture, Part, Quantity};
use crate::problem::code;

const YIELD_SOURCE: &str =
    "yields by mass as the pantry states them; spread after Arnold, Cooking Issues, 1 October 2010";

/// Two mixtures that were poured apart may differ in their last digits.
const SLACK: f64 = 1e-9;

/// What is taken of a fruit.
#[derive(Clone, Copy)]
struct Taken {
    /// `juice` or `peel`, as the process and the product are called.
    word: &'static str,
    /// Parts of a fruit that it is taken from, the first that the fruit has.
    from: &'static [&'static str],
    /// What is left of that part.
    left: &'static str,
}

const JUICE: Taken = Taken { word: "juice", from: &["flesh", "pulp"], left: "pulp" };
const PEEL: Taken = Taken { word: "peel", from: &["peel", "zest", "skin", "rind"], left: "peel" };

/// Runs `juice`.
pub(super) fn juice(before: &Mixture, args: &Args, _bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    take(JUICE, before, args, done)
}

/// Runs `peel`.
pub(super) fn peel(before: &Mixture, args: &Args, _bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    take(PEEL, before, args, done)
}

fn take(taken: Taken, before: &Mixture, args: &Args, done: &[Process]) -> Result<Outcome, Finding> {
    let measured = recovers(args)?;
    let fruit = args.fruit("of");
    if fruit.is_empty() {
        return Err(Finding::new(
            code::MISSING_PARAMETER,
            format!("which fruit? `{}` needs `of` here", taken.word),
            format!("write for example `{}: {{of: 6 limes}}`", taken.word),
        ));
    }
    let mut whole = Mixture::empty(before.temperature);
    for one in fruit {
        whole.pour(&one.whole);
    }
    // Fruit that makes up the mixture is what is pressed; other fruit comes in from outside.
    let inside = same(before, &whole);
    let mut outcome = Outcome::of(if inside { Mixture::empty(before.temperature) } else { before.clone() });
    for one in fruit {
        let share = measured.or(one.share).ok_or_else(|| no_yield(taken, one))?;
        if !(share > 0.0 && share <= 1.0) {
            return Err(impossible_yield(taken, one, share));
        }
        let product = product(taken, one, share * one.grams);
        let left = one.grams - product.mass_g();
        outcome.mixture.pour(&product);
        outcome.removed.extend(trimmings(taken, one, share, left));
        if !inside {
            outcome.added.push(Removed { what: one.name.clone(), grams: one.grams });
        }
        outcome.remarks.push(format!(
            "{} g of {} gives {} g of {}, {} % of it {}",
            number(one.grams),
            one.name,
            number(product.mass_g()),
            taken.word,
            number(share * 100.0),
            if measured.is_some() {
                "as measured"
            } else {
                "by the pantry's yield; weigh yours, yields differ by a fifth between presses"
            }
        ));
    }
    let pressed = |p: &Process| matches!(p, Process::Juice | Process::Peel);
    if !inside && done.iter().any(pressed) {
        outcome.remarks.push("fruit was pressed or peeled before, and this counts fresh fruit beside it".into());
    }
    outcome.sources.push(YIELD_SOURCE);
    Ok(outcome)
}

/// Whether two mixtures are of the same masses.
fn same(a: &Mixture, b: &Mixture) -> bool {
    let most = a.mass_g().max(b.mass_g());
    Part::ALL.iter().all(|part| (a.grams(*part) - b.grams(*part)).abs() <= SLACK * most)
}

/// So many grams of what is taken; its composition is unknown where the pantry does not know it.
fn product(taken: Taken, fruit: &Fruit, grams: f64) -> Mixture {
    if let Some(sample) = fruit.product.as_ref().filter(|p| p.mass_g() > 0.0) {
        let mut product = sample.weighed(grams);
        product.temperature = fruit.whole.temperature;
        product.ice_g = 0.0;
        return product;
    }
    unstated(&fruit.name, taken.word, grams, fruit.whole.temperature)
}

/// So many grams of a part of a fruit of which the pantry states nothing but how much there is, at °C.
#[must_use]
pub fn unstated(fruit: &str, part: &str, grams: f64, celsius: f64) -> Mixture {
    let mut product = Mixture::water(grams, celsius);
    let because = format!("the pantry has no `{fruit} {part}`");
    for quantity in [Quantity::Sugar, Quantity::Acid, Quantity::Fat, Quantity::Protein, Quantity::Volume] {
        product.gap(quantity, because.clone());
    }
    product
}

/// What is left of a fruit, by its parts; the masses add up to `left` g.
fn trimmings(taken: Taken, fruit: &Fruit, share: f64, left: f64) -> Vec<Removed> {
    let named = |part: &str| format!("{} {part}", fruit.name);
    let source = taken.from.iter().find_map(|from| fruit.parts.iter().position(|(part, _)| part == from));
    let mut rest: Vec<(String, f64)> = fruit
        .parts
        .iter()
        .enumerate()
        .map(|(index, (part, of_whole))| {
            if Some(index) == source {
                (named(taken.left), (of_whole - share).max(0.0))
            } else {
                (named(part), *of_whole)
            }
        })
        .collect();
    let listed: f64 = rest.iter().map(|(_, of_whole)| of_whole).sum();
    let all = left / fruit.grams;
    if all - listed > SLACK {
        rest.push((named("trimmings"), all - listed));
    } else if listed > 0.0 {
        // Where more was taken than the part holds, the others gave some of it.
        for (_, of_whole) in &mut rest {
            *of_whole *= all / listed;
        }
    }
    rest.into_iter().filter_map(|(what, of_whole)| behind(what, of_whole * fruit.grams)).collect()
}

fn no_yield(taken: Taken, fruit: &Fruit) -> Finding {
    Finding::new(
        code::MISSING_PARAMETER,
        format!("how much {} does {} give? the pantry states no yield of it", taken.word, fruit.name),
        format!(
            "weigh it and write `recovers: 40 %` (of the whole fruit's mass), or add `yields: {{{}: 40 %}}` to `{}` in the pantry",
            taken.word, fruit.name
        ),
    )
}

fn impossible_yield(taken: Taken, fruit: &Fruit, share: f64) -> Finding {
    Finding::new(
        code::BAD_PARAMETER,
        format!("{} is said to give {} % of its mass as {}", fruit.name, number(share * 100.0), taken.word),
        "a yield lies above 0 and at most at 100 % of the whole fruit; check `parts` and `yields` in the pantry",
    )
}

//! A batch in words, in English, for the terminal; and its numbers, as paper in any language shows them too.
//!
//! In: the answer. Out: short texts. Between a number and its unit stands [`GAP`], so that a line never parts them.

use super::document::{Amount, Asked, Drift, Fruit, PourAnswer, TakenAs};
use super::{Answer, Beyond};
use crate::ask::figure;
use crate::measure::tool::Tool;
use crate::measure::{Exact, Unit, show};

/// What stands between a number and its unit.
pub const GAP: &str = "\u{a0}";

/// The word for a unit or a piece, for one or for many.
fn unit_word(unit: &str, many: bool) -> String {
    match (Unit::from_word(unit), many) {
        (Some(unit), true) => unit.word_for(2.into()).to_owned(),
        (None, true) if !unit.ends_with('s') => format!("{unit}s"),
        _ => unit.to_owned(),
    }
}

fn join(digits: &str, amount: &Amount) -> String {
    format!("{digits}{GAP}{}", unit_word(&amount.unit, amount.amount > Exact::one()))
}

/// Digits of a pour as its tool shows it; of all that there is, which nobody reads off, as many as of an exact amount.
#[must_use]
pub fn measured(pour: &PourAnswer) -> String {
    if pour.step.is_some() { read(&pour.measure) } else { exact(&pour.measure) }
}

/// All digits of what is read off a tool.
#[must_use]
pub fn read(amount: &Amount) -> String {
    amount.amount.rounded(4)
}

/// Digits of an exact amount, at most three decimals.
#[must_use]
pub fn exact(amount: &Amount) -> String {
    amount.amount.rounded(match amount.unit.as_str() {
        "ml" | "g" if amount.amount >= Exact::whole(100) => 1,
        "ml" => 2,
        _ => 3,
    })
}

/// How far measured is from exact, %; nothing where they are the same, and of pieces, where what is to spare says more.
#[must_use]
pub fn error(pour: &PourAnswer) -> String {
    let off = change(pour.error_pct, 1).filter(|_| pour.tool != Tool::Count.word());
    off.map_or_else(String::new, |c| format!("{c}{GAP}%"))
}

/// Digits of what is left over: nobody measures that.
#[must_use]
pub fn spare(amount: &Amount) -> String {
    if amount.amount >= Exact::whole(10) { amount.amount.rounded(0) } else { amount.amount.rounded(2) }
}

/// A change with its sign; `None` where it is nothing to so many decimals.
#[must_use]
pub fn change(value: f64, decimals: usize) -> Option<String> {
    Some(show::signed(value, decimals)).filter(|shown| shown.starts_with(['+', '−']))
}

fn read_with_unit(amount: &Amount) -> String {
    join(&read(amount), amount)
}

/// A pour as its tool shows it.
#[must_use]
pub fn poured(pour: &PourAnswer) -> String {
    join(&measured(pour), &pour.measure)
}

/// An exact amount with its unit.
#[must_use]
pub fn amount(amount: &Amount) -> String {
    join(&exact(amount), amount)
}

/// What stands behind a pour.
#[must_use]
pub fn beside(pour: &PourAnswer) -> Vec<String> {
    let mut words = Vec::new();
    if let Some(stage) = &pour.at {
        words.push(format!("at {stage}"));
    }
    if let Some(each) = &pour.per_glass {
        words.push(format!("{} into each glass", read_with_unit(&each.measure)));
    }
    if let Some(take) = pour.take.as_ref().filter(|t| t.unit != pour.measure.unit) {
        let many = take.count > Exact::one();
        words.push(format!("from {}{GAP}{}", take.count.rounded(0), unit_word(&take.unit, many)));
    }
    if let Some(surplus) = &pour.surplus {
        words.push(format!("{} to spare", join(&spare(surplus), surplus)));
    }
    if let Some(opened) = &pour.opens {
        words.push(format!("opens {}{GAP}×{GAP}{}", opened.count.rounded(0), amount(&opened.size)));
    }
    if let Some(to) = &pour.fills_to {
        words.push(format!("fills up to {}", amount(to)));
    }
    if let Some(loads) = pour.loads {
        words.push(format!("in {loads} loads"));
    }
    words
}

/// What to start with, where it goes in to taste.
#[must_use]
pub fn start(pour: &PourAnswer) -> Option<String> {
    let start = pour.start.as_ref()?;
    Some(format!("start with {}, taste, and add up to {}", read_with_unit(start), poured(pour)))
}

fn volume(ml: &Exact) -> String {
    show::volume(ml.float()).replace(' ', GAP)
}

/// How much it makes, for what, and what is left.
#[must_use]
pub fn makes(answer: &Answer) -> Vec<String> {
    let mut words = vec![match &answer.makes_ml {
        Some(ml) => format!("makes {}", volume(ml)),
        None => "makes an unknown volume".into(),
    }];
    match answer.serves {
        // What is not even one glass is no number of serves.
        Some(0) => words.push("less than one serve".into()),
        Some(1) => words.push("1 serve".into()),
        Some(serves) => words.push(format!("{serves} serves")),
        None => {}
    }
    for bottles in &answer.bottles {
        let word = if bottles.count == 1 { "bottle" } else { "bottles" };
        let (size, fill) = (volume(&bottles.size_ml), volume(&bottles.fill_ml));
        words.push(match bottles.count {
            0 => format!("too little for one bottle of {size}, which takes {fill}"),
            n => format!("{n} {word} of {size} with {fill} in {}", if n == 1 { "it" } else { "each" }),
        });
    }
    if let Some(left) = answer.left_ml.as_ref().filter(|l| l.float() >= 0.05 && answer.serves != Some(0)) {
        words.push(format!("{} left over", volume(left)));
    }
    words
}

/// What is needed of a part, what of it there is, what is to make.
#[must_use]
pub fn part(part: &Answer) -> String {
    let known = |v: &Option<Exact>| v.as_ref().map_or_else(|| "an unknown volume".into(), volume);
    let nothing = part.factor.as_ref().is_none_or(|f| !f.is_positive());
    let made = known(&part.makes_ml);
    match &part.from_stock_ml {
        Some(stock) if nothing => format!("{}, all of it in stock", volume(stock)),
        Some(stock) => {
            let needed = known(&part.needed_ml);
            format!("{needed} needed: {} in stock, {made} to make, {}", volume(stock), times(part))
        }
        None => format!("{made} to make, {}", times(part)),
    }
}

/// What was asked for, and what of it is not there.
#[must_use]
pub fn asked(asked: &Asked) -> String {
    let size = match (&asked.serves, &asked.makes_ml) {
        (Some(serves), _) if *serves == Exact::one() => "1 serve was".to_owned(),
        (Some(serves), _) => format!("{} serves were", serves.rounded(0)),
        (None, Some(ml)) => format!("{} was", volume(ml)),
        (None, None) => "more was".to_owned(),
    };
    let short: Vec<String> = asked
        .short
        .iter()
        .map(|s| {
            let [missing, needed, there] = [&s.missing, &s.needed, &s.there].map(amount);
            format!("{missing} of {} is missing ({needed} needed, {there} there)", s.name)
        })
        .collect();
    format!("{size} asked for: {}", short.join("; "))
}

/// What rounding does, and that it is too much where it is.
#[must_use]
pub fn rounding(answer: &Answer) -> Option<String> {
    let moved = drift(&answer.drift)?;
    let over: Vec<String> = answer.drift_beyond.iter().map(tolerance).collect();
    Some(if over.is_empty() {
        format!("rounding moves {moved}")
    } else {
        format!(
            "rounding moves {moved}: more than the tolerance of {}, and no tool here measures it more finely",
            over.join(", ")
        )
    })
}

fn tolerance(beyond: &Beyond) -> String {
    let allowed = show::trim(&show::fixed(beyond.tolerance, 3));
    let unit = if beyond.figure == "abv_pct" { "% vol" } else { "g/100 ml" };
    format!("{allowed}{GAP}{unit} for {}", figure::word(beyond.figure))
}

/// How figures move; `None` where they stay.
#[must_use]
pub fn drift(drift: &Drift) -> Option<String> {
    let one = |value: Option<f64>, decimals: usize, word: &str, unit: &str| {
        Some(format!("{word} by {}{GAP}{unit}", change(value?, decimals)?))
    };
    let words: Vec<String> = [
        one(drift.abv_pct, 2, "strength", "% vol"),
        one(drift.sugar_g_per_100ml, 2, "sugar", "g/100 ml"),
        one(drift.acid_g_per_100ml, 3, "acid", "g/100 ml"),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// How many times the recipe.
#[must_use]
pub fn times(answer: &Answer) -> String {
    answer.factor.as_ref().map_or_else(String::new, |f| {
        if *f == Exact::one() { "as written".into() } else { format!("{} times the recipe", four_digits(f)) }
    })
}

/// A factor with four digits that count.
fn four_digits(factor: &Exact) -> String {
    let decimals = [1000_u64, 100, 10, 1].iter().position(|n| *factor >= Exact::whole(*n)).map_or(5, |d| d as u32);
    factor.rounded(decimals)
}

/// How many pieces of a fruit in all.
#[must_use]
pub fn fruit(fruit: &Fruit) -> String {
    format!(
        "{}: {} in all, since {} come off the same ones",
        fruit.name,
        fruit.count.rounded(0),
        fruit.sides.join(" and ")
    )
}

/// What a name was taken for.
#[must_use]
pub fn taken_as(taken: &TakenAs) -> String {
    format!("`{}` is taken as {}", taken.asked, taken.name)
}

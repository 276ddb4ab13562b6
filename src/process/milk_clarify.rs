//! Milk clarification: milk goes in, the acid curdles it, and the curd takes haze, casein and fat away.
//!
//! - `milk`: what is poured in; required
//! - `recovers`: what comes through after all passes, % of the pot's volume at 20 °C with the milk in it, above 0 to 100; 82.5
//!   where the line doesn't say, the middle of the trade's loss of 10–25 % (common practice, no source)
//! - `passes`: runs through the curd, a whole number from 1; `rest`, `drip`: times, h. None of them moves a figure
//!
//! Model: casein, a stated share of the milk's protein, and all of the milk's fat leave with the curd. All that is left is scaled
//! by one factor f, so that f × its volume is `recovers` × the pot's volume: sugar, ethanol and acid leave in the share of the
//! liquor that the curd holds. What else the curd takes (tannin, colour, aroma) has no figure. Lactose and whey protein stay.

use super::given::nothing;
use super::loss::{amounts_unknown, behind, frozen, recovers};
use super::remark::{list, number, time};
use super::{Added, Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::{Mixture, Part, Quantity};
use crate::problem::code;

/// Share of cow's milk protein that is casein and curdles; the rest is whey protein and stays dissolved.
/// Wisconsin Center for Dairy Research, Dairy Proteins (true protein is 80 % casein and 20 % whey protein), read in a public copy.
/// Milk of sheep and goat is close; human and plant milk are not.
const CASEIN_SHARE: f64 = 0.80;

const CASEIN_SOURCE: &str = "casein 80 % of cow's milk protein: Wisconsin Center for Dairy Research, Dairy Proteins";
const RATIO_SOURCE: &str =
    "milk to drink 1:4 in 1763: Franklin to Bowdoin, Founders Online; 1:3 to 1:8 common practice";

/// What comes through where the line doesn't say: the middle of a loss of 10–25 % (common practice, no source).
const USUAL_RECOVERS: f64 = 0.825;

/// Milk per volume of drink that is usual (common practice; 1:4 in a recipe dated 1763). 1:16 is met with.
const USUAL_MILK: (f64, f64) = (1.0 / 8.0, 1.0 / 3.0);

/// Acid in the pot from which milk is expected to curdle, g per 100 ml as anhydrous citric acid.
///
/// A project threshold, not a published limit. Casein comes down near pH 4.6, its isoelectric point (textbook value, from
/// memory). Milk that culture has soured to there holds about 0.7 % lactic acid (from memory), which titrates like 0.5 g of
/// citric acid per 100 ml of milk, or 0.125 g per 100 ml of a pot that is a quarter milk; the threshold leaves room for the
/// salts of the juice, which buffer.
const LEAST_ACID: f64 = 0.2;

/// Protein in milk below which it will hardly make a curd, g/100 ml: cow's milk has about 3.4, most plant drinks under 1.
/// A project threshold.
const LEAST_PROTEIN: f64 = 1.0;

/// Two volumes that were worked out apart may differ in their last digits.
const SLACK: f64 = 1e-9;

/// Runs `milk-clarify`.
pub(super) fn run(before: &Mixture, args: &Args, _bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    if let Some(nothing) = nothing(before) {
        return nothing;
    }
    let poured = args.added("milk");
    if poured.is_empty() {
        return Err(Finding::new(
            code::MISSING_PARAMETER,
            "how much milk goes in? `milk-clarify` needs `milk`",
            "a quarter of the drink's volume is usual: write for example `milk: 250 ml whole milk`",
        ));
    }
    passes(args)?;
    let stated = recovers(args)?;
    let milk = together(poured, before.temperature);
    let mut pot = before.clone();
    pot.pour(&milk);
    let mut clear = without_curd(before, &pot, &milk);
    clear.ice_g = 0.0;
    let factor = factor(&pot, &clear, stated)?;

    let mut outcome = Outcome::of(clear.scaled(factor));
    if pot.why_unknown(Quantity::Volume).is_some() {
        amounts_unknown(
            &mut outcome.mixture,
            "how much of it comes through a curd depends on the pot's volume, which is not known",
        );
    }
    outcome.added.extend(poured.iter().map(|m| Removed { what: m.name.clone(), grams: m.mixture.mass_g() }));
    outcome.removed.extend(behind("curds and the liquor they hold", pot.mass_g() - outcome.mixture.mass_g()));
    outcome.findings.extend(acid(before, &pot, done));
    outcome.findings.extend(dose(before, &milk));
    outcome.findings.extend(protein(poured, &milk));
    outcome.findings.extend(frozen(before));
    remarks(&mut outcome, args, &pot, &milk, stated);
    outcome.sources.extend([CASEIN_SOURCE, RATIO_SOURCE]);
    Ok(outcome)
}

fn passes(args: &Args) -> Result<(), Finding> {
    match args.number("passes") {
        Some(n) if !(n >= 1.0 && n.fract() == 0.0) => Err(Finding::at(
            "passes",
            code::BAD_PARAMETER,
            format!("{} passes through the curd", number(n)),
            "write a whole number from 1; the first pass counts",
        )),
        _ => Ok(()),
    }
}

fn together(poured: &[Added], temperature: f64) -> Mixture {
    let mut milk = Mixture::empty(temperature);
    for one in poured {
        milk.pour(&one.mixture);
    }
    milk
}

/// The pot with the milk's fat and casein taken out; the fat and protein of the drink itself stay.
fn without_curd(before: &Mixture, pot: &Mixture, milk: &Mixture) -> Mixture {
    let whey = (1.0 - CASEIN_SHARE) * milk.grams(Part::Protein);
    let mut clear = pot.clone();
    clear.set(Part::Fat, before.grams(Part::Fat));
    clear.set(Part::Protein, before.grams(Part::Protein) + whey);
    clear
}

/// The one factor by which all that is left is scaled.
fn factor(pot: &Mixture, clear: &Mixture, stated: Option<f64>) -> Result<f64, Finding> {
    let (pot_ml, clear_ml) = (pot.volume_ml(), clear.volume_ml());
    let through = stated.unwrap_or(USUAL_RECOVERS) * pot_ml;
    if clear_ml > 0.0 && through <= clear_ml * (1.0 + SLACK) {
        return Ok((through / clear_ml).min(1.0));
    }
    let most = if pot_ml > 0.0 { clear_ml / pot_ml * 100.0 } else { 0.0 };
    let message = format!(
        "{} ml is to come through, but without its curd the pot of {} ml holds {} ml",
        number(through),
        number(pot_ml),
        number(clear_ml)
    );
    let help =
        format!("even a dry curd leaves at most {} %; weigh in and weigh out, the trade loses 10–25 %", number(most));
    Err(match stated {
        Some(_) => Finding::at("recovers", code::PROCESS_IMPOSSIBLE, message, help),
        None => Finding::at("milk", code::PROCESS_IMPOSSIBLE, message, help),
    })
}

/// Whether there is acid enough to curdle.
fn acid(before: &Mixture, pot: &Mixture, done: &[Process]) -> Option<Finding> {
    let pot_ml = pot.volume_ml();
    // Fresh milk's own titratable acidity is the buffer that has to be overcome, so it doesn't count.
    let share = if pot_ml > 0.0 { before.grams(Part::Acid) / pot_ml * 100.0 } else { 0.0 };
    if share >= LEAST_ACID {
        return None;
    }
    let again = if done.contains(&Process::MilkClarify) { "; the first clarifying took its share of it" } else { "" };
    let message = match before.why_unknown(Quantity::Acid) {
        Some(reasons) => format!(
            "whether there is acid enough to curdle the milk is not known, because {}",
            list(reasons.iter().map(String::as_str))
        ),
        None => format!(
            "the pot holds {} g of acid per 100 ml, which may be too little to curdle the milk{again}",
            number(share)
        ),
    };
    Some(Finding::new(
        code::PROCESS_DOUBT,
        message,
        format!(
            "from about {} g per 100 ml milk curdles well (a rule of this program, not a published limit), near pH 4.6; measure the pH, \
             add for example lemon juice, or rely on tannin if strong tea or cask-aged spirit is in it, which curdles too",
            number(LEAST_ACID)
        ),
    ))
}

/// Whether the milk is in its usual share of the drink.
fn dose(before: &Mixture, milk: &Mixture) -> Option<Finding> {
    let (drink_ml, milk_ml) = (before.volume_ml(), milk.volume_ml());
    if drink_ml <= 0.0 || milk_ml <= 0.0 {
        return None;
    }
    let ratio = milk_ml / drink_ml;
    let (low, high) = USUAL_MILK;
    if ratio >= low * (1.0 - SLACK) && ratio <= high * (1.0 + SLACK) {
        return None;
    }
    let effect = if ratio < low {
        "the curd may be too thin to filter through (1:16 is met with)"
    } else {
        "it strips more taste and leaves more whey than usual"
    };
    Some(Finding::at(
        "milk",
        code::PROCESS_DOUBT,
        format!("1 part milk to {} of drink is outside the usual 1:3 to 1:8: {effect}", number(1.0 / ratio)),
        format!(
            "usual for this drink: {} to {} ml, for example {} ml (1:4)",
            number(low * drink_ml),
            number(high * drink_ml),
            number(drink_ml / 4.0)
        ),
    ))
}

/// Whether what is poured can make a curd at all.
fn protein(poured: &[Added], milk: &Mixture) -> Option<Finding> {
    let names = list(poured.iter().map(|m| m.name.as_str()));
    let milk_ml = milk.volume_ml();
    let message = match milk.why_unknown(Quantity::Protein) {
        Some(reasons) => {
            format!("how much curd {names} makes is not known, because {}", list(reasons.iter().map(String::as_str)))
        }
        None if milk_ml > 0.0 && milk.grams(Part::Protein) / milk_ml * 100.0 < LEAST_PROTEIN => {
            format!(
                "{names} holds {} g of protein per 100 ml, too little for a curd",
                number(milk.grams(Part::Protein) / milk_ml * 100.0)
            )
        }
        None => return None,
    };
    Some(Finding::at(
        "milk",
        code::PROCESS_DOUBT,
        message,
        "cow's milk holds about 3.4 g, four fifths of it casein; plant drinks hold none of that and mostly do not curdle clear",
    ))
}

fn remarks(outcome: &mut Outcome, args: &Args, pot: &Mixture, milk: &Mixture, stated: Option<f64>) {
    let share = stated.unwrap_or(USUAL_RECOVERS) * 100.0;
    outcome.remarks.push(match stated {
        Some(_) => format!(
            "{} % of the pot's {} ml comes through, all passes together",
            number(share),
            number(pot.volume_ml())
        ),
        None => format!(
            "`recovers` is not stated; {} % of the pot's {} ml is assumed, the middle of a loss of 10–25 % (common practice, no source)",
            number(share),
            number(pot.volume_ml())
        ),
    });
    outcome.remarks.push(format!(
        "the curd takes {} g of milk fat and {} g of casein ({} % of the milk's protein), and some tannin, colour and aroma that \
         have no figure",
        number(milk.grams(Part::Fat)),
        number(CASEIN_SHARE * milk.grams(Part::Protein)),
        number(CASEIN_SHARE * 100.0)
    ));
    outcome.remarks.push("whey protein and lactose stay in the clear drink, so milk is still its allergen".into());
    let (rest, drip) = (args.hours("rest"), args.hours("drip"));
    outcome.remarks.push(match (rest, drip) {
        (Some(rest), Some(drip)) => {
            format!("it rests {} and drips {}, {} in all", time(rest), time(drip), time(rest + drip))
        }
        (Some(rest), None) => format!("it rests {}, then drips for hours", time(rest)),
        (None, Some(drip)) => format!("it drips {}", time(drip)),
        (None, None) => "thirty minutes to a night of rest and hours of dripping are usual, in the cold".into(),
    });
    if let Some(passes) = args.number("passes").filter(|p| *p > 1.0) {
        outcome.remarks.push(format!("it runs {} times through the same curd", number(passes)));
    }
}

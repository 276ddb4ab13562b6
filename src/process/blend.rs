//! Blending with ice: all of it stays in, as water or as crystals.
//!
//! - `with`: what goes into the jug; what is called ice and holds nothing but water is the ice
//! - `dilution`: the ice instead, % of the volume **before**, reckoned as its water at 20 °C, 0 to 300
//! - `from`: the mixture's temperature, °C, −50 to 100; the stage's own where the line doesn't say
//! - `ice`: the ice's temperature, °C, −60 to 0; the bar's where the line doesn't say
//! - `to`: an end temperature, °C; `for`: time, h
//!
//! Without ice and `dilution`, the published constant for blended drinks speaks: 0.9 ml/ml at every strength
//! (`relation::dilution_fit`, D. Arnold 2014; no error stated, at least ±15 %). How much of the ice is still ice, and how cold it
//! is, follows from the energy balance (`relation::chill_balance`) with the jug and motor of `chilling`, or from `to` by the
//! lever rule.

use super::carbonate::gassy;
use super::chilling::{self, BLENDED, Start};
use super::frozen;
use super::given::{WATER_G_PER_ML, celsius, nothing, positive};
use super::over_ice::{FREEZING_ERROR, Taken, dilution, frozen_start, much, start};
use super::remark::{list, number};
use super::{Added, Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Part};
use crate::problem::code;
use crate::relation::{chill_balance, dilution_fit, freezing};

/// Whether something that goes in is the ice: it says so, and holds nothing but water (ice cream says so too).
fn is_ice(added: &Added) -> bool {
    let says = added.name.split(|c: char| !c.is_alphanumeric()).any(|word| word.eq_ignore_ascii_case("ice"));
    let solutes = Part::ALL.into_iter().filter(|part| *part != Part::Water).any(|part| added.mixture.grams(part) > 0.0);
    says && !solutes && added.mixture.grams(Part::Water) > 0.0
}

/// Runs `blend`.
///
/// Errors: a [`Finding`] for parameters out of bounds, ice stated twice, a fizzy mixture, an end temperature out of reach.
pub(super) fn run(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    let percent = dilution(args)?;
    positive("for", args.hours("for"), 24.0, " h", "20 s")?;
    let (ice, rest): (Vec<&Added>, Vec<&Added>) = args.added("with").iter().partition(|added| is_ice(added));
    if let (Some(ice), Some(_)) = (ice.first(), percent) {
        return Err(Finding::at(
            "dilution",
            code::BAD_PARAMETER,
            format!("`dilution` and `{}` in `with` both say how much ice", ice.name),
            "leave one of them out",
        ));
    }
    if let Some(finding) = gassy(before, "blended") {
        return Err(finding);
    }
    if let Some(done) = nothing(before) {
        return done;
    }
    let mut outcome = Outcome::of(before.clone());
    outcome.findings.extend(percent.and_then(much));
    add(&rest, &mut outcome);
    let whole = outcome.mixture.clone();
    let (start, to) = start(&whole, args, bar)?;
    outcome.findings.extend(frozen_start(&start, args));
    let ice_g = match (ice.is_empty(), percent) {
        (false, _) => {
            let grams = ice.iter().map(|added| added.mixture.grams(Part::Water)).sum();
            outcome.remarks.push(format!("all of the {} g of ice stays in", number(grams)));
            grams
        }
        (true, Some(percent)) => {
            outcome.remarks.push("ice as written, all of which stays in".into());
            percent / 100.0 * whole.volume_ml() * WATER_G_PER_ML
        }
        (true, None) => match expected(&whole) {
            Ok(taken) => {
                outcome.remarks.extend(taken.remarks);
                outcome.sources.extend(taken.sources);
                taken.water_g
            }
            Err(why) => {
                super::given::unknown_water(&mut outcome.mixture, "how much ice goes in can't be told", &why);
                return Ok(outcome);
            }
        },
    };
    let volume = before.volume_ml();
    outcome.mixture.add_grams(Part::Water, ice_g);
    if before.figure_volume().is_ok() && volume > 0.0 {
        outcome.dilution_pct = Some(match percent {
            Some(percent) if rest.is_empty() => percent,
            _ => 100.0 * ice_g / WATER_G_PER_ML / volume,
        });
    }
    if ice_g > 0.0 {
        outcome.added.push(Removed { what: "water from ice".into(), grams: ice_g });
    }
    match to {
        Some(t) => {
            within_reach(start, ice_g, t)?;
            frozen::bring(&mut outcome.mixture, t, &mut outcome.remarks);
            outcome.sources.push(freezing::SOURCE);
        }
        None => settle(start, ice_g, &mut outcome),
    }
    Ok(outcome)
}

/// Pours in what is not ice, and books it.
fn add(rest: &[&Added], outcome: &mut Outcome) {
    for added in rest {
        outcome.mixture.pour(&added.mixture);
        outcome.added.push(Removed { what: added.name.clone(), grams: added.mixture.mass_g() });
    }
    if !rest.is_empty() {
        outcome.remarks.push(format!("{} goes into the jug too", list(rest.iter().map(|added| added.name.as_str()))));
    }
}

/// Refuses an end temperature that this ice can't give, or that is warmer than the start. A longer run of the motor gives
/// any temperature in between.
fn within_reach(start: Start, ice_g: f64, t: f64) -> Result<(), Finding> {
    let coldest = chilling::blend(start, ice_g).map_or(-50.0, |blended| blended.temperature);
    if (coldest - FREEZING_ERROR..=start.start_c).contains(&t) {
        return Ok(());
    }
    Err(Finding::at(
        "to",
        code::PROCESS_IMPOSSIBLE,
        format!(
            "{} can't be reached: it starts at {}, and so much ice takes it down to {}",
            celsius(t),
            celsius(start.start_c),
            celsius(coldest)
        ),
        "write a temperature between the two, or leave `to` out",
    ))
}

/// Temperature and ice by the energy balance.
fn settle(start: Start, ice_g: f64, outcome: &mut Outcome) {
    match chilling::blend(start, ice_g) {
        Ok(blended) => {
            outcome.mixture.bring_to(blended.temperature);
            outcome.mixture.ice_g = start.mixture.ice_g + blended.ice_left;
            outcome.remarks.push(format!(
                "{} g of ice is left in it at {} by the energy balance, an estimate that takes {}",
                number(outcome.mixture.ice_g),
                celsius(blended.temperature),
                BLENDED.assumes(None)
            ));
            outcome.sources.push(chill_balance::SOURCE);
        }
        Err(why) => {
            let because = format!("how much of the ice is left can't be told, because {}", why.text());
            outcome.remarks.push(because.clone());
            outcome.mixture.lose_temperature(start.start_c.min(0.0), because);
        }
    }
}

/// What a blender would add by itself: the published constant.
///
/// Errors: why the volume is not known.
pub(super) fn expected(before: &Mixture) -> Result<Taken, Because> {
    let volume = before.figure_volume()?;
    Ok(Taken::of_water(
        dilution_fit::BLENDED * volume * WATER_G_PER_ML,
        format!(
            "{} % of the volume before by the published constant for blended drinks (no error stated, at least ±{} %)",
            number(100.0 * dilution_fit::BLENDED),
            number(100.0 * dilution_fit::RELATIVE_ERROR)
        ),
        dilution_fit::SOURCE,
    ))
}

//! Water: by amount, up to a volume, down to a strength, or as much as ice would have given.
//!
//! - `add`: ml at 20 °C or g, above 0
//! - `to`: ml at 20 °C, not below the volume before; or % vol, above 0 and not above the strength before
//! - `as`: `stir`, `shake`, `throw`, `swizzle` or `blend`: the dilution that this would have given, the temperature unchanged
//!
//! Exactly one of them. Volumes do not add: the amount for `to` is found by bisection on the mixture's own volume model (OIML
//! R 22 for alcohol and water, about 0.1 kg/m³), to 1e-9 of what is asked for. Water comes from the tap at room temperature.

use super::blend;
use super::given::{WATER_G_PER_ML, celsius, nothing, positive, unknown_water};
use super::over_ice;
use super::remark::number;
use super::{Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::Mixture;
use crate::mixture::figure::Because;
use crate::problem::code;
use crate::relation::ethanol_density;

/// The keys, of which one must be there.
const KEYS: [&str; 3] = ["add", "to", "as"];
/// More water than this is a slip, ml or g.
const MOST: f64 = 1e9;

/// Runs `water`.
///
/// Errors: a [`Finding`] for none or more than one of the parameters, an amount out of bounds, a volume below or a strength
/// above what is there.
pub(super) fn run(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    let given: Vec<&'static str> = KEYS.into_iter().filter(|key| args.has(key)).collect();
    let key = match given[..] {
        [key] => key,
        [] => {
            return Err(Finding::new(
                code::MISSING_PARAMETER,
                "how much water is not said",
                "write `water: {add: 100 ml}`, `water: {to: 1 l}`, `water: {to: 22 %}` or `water: {as: stir}`",
            ));
        }
        [first, second, ..] => {
            return Err(Finding::at(
                second,
                code::BAD_PARAMETER,
                format!("`{first}` and `{second}` both say how much water"),
                format!("leave one of them out, for example `{second}`"),
            ));
        }
    };
    let volume_to = positive("to", args.millilitres("to"), MOST, " ml", "1 l")?;
    let strength_to = positive("to", args.strength("to"), 100.0, " % vol", "22 %")?;
    let add_ml = positive("add", args.millilitres("add"), MOST, " ml", "100 ml")?;
    let add_g = positive("add", args.grams("add"), MOST, " g", "100 g")?;
    if key == "to" && volume_to.or(strength_to).is_none() {
        // A mass of the whole can be asked for by weighing it out, which needs no process.
        return Err(Finding::at(
            "to",
            code::BAD_PARAMETER,
            "`to` takes a volume or a strength",
            "write for example `to: 1 l` or `to: 22 %`",
        ));
    }
    if let Some(done) = nothing(before) {
        return done;
    }
    let mut outcome = Outcome::of(before.clone());
    let grams = if let Some(word) = args.word("as") {
        let process = Process::from_name(word).unwrap_or(Process::Stir);
        as_by(process, before, bar, &mut outcome)
    } else if let Some(ml) = volume_to {
        up_to(before, ml)?
    } else if let Some(strength) = strength_to {
        outcome.sources.push(ethanol_density::SOURCE);
        down_to(before, strength)?
    } else {
        Ok(add_ml.map_or(0.0, |ml| ml * WATER_G_PER_ML) + add_g.unwrap_or(0.0))
    };
    match grams {
        Ok(grams) => pour(before, grams, args.has("as"), bar, &mut outcome),
        Err(why) => unknown_water(&mut outcome.mixture, "how much water goes in can't be told", &why),
    }
    Ok(outcome)
}

/// Pours the water in and books it.
fn pour(before: &Mixture, grams: f64, keeps_temperature: bool, bar: &Bar, outcome: &mut Outcome) {
    outcome.mixture.pour_water(grams, bar.room_c);
    if keeps_temperature {
        outcome.mixture.temperature = before.temperature;
    }
    if grams > 0.0 {
        outcome.added.push(Removed { what: "water".into(), grams });
    }
    let ml = grams / WATER_G_PER_ML;
    if let Ok(volume) = before.figure_volume() {
        outcome.dilution_pct = Some(100.0 * ml / volume);
        let shrinks = volume + ml - outcome.mixture.volume_ml();
        outcome.remarks.push(format!(
            "{} ml of water, {} % of the volume before{}",
            number(ml),
            number(100.0 * ml / volume),
            // A twentieth of a millilitre in a litre is inside the error of the volume model.
            if shrinks.abs() > 5e-5 * volume {
                format!(
                    "; on mixing the whole {} by {} ml",
                    if shrinks > 0.0 { "shrinks" } else { "grows" },
                    number(shrinks.abs())
                )
            } else {
                String::new()
            }
        ));
    }
}

/// Water that a process over ice, or a blender, would have added, g.
fn as_by(process: Process, before: &Mixture, bar: &Bar, outcome: &mut Outcome) -> Result<f64, Because> {
    let taken = match over_ice::expected(process, before, bar) {
        Some(taken) => taken?,
        None => blend::expected(before)?,
    };
    outcome.remarks.push(format!(
        "as much water as `{}` would give, at the temperature that it has, {}",
        process.name(),
        celsius(before.temperature)
    ));
    outcome.remarks.extend(taken.remarks);
    outcome.sources.extend(taken.sources);
    Ok(taken.water_g.max(0.0))
}

/// Water that brings a mixture up to a volume, g.
fn up_to(before: &Mixture, ml: f64) -> Result<Result<f64, Because>, Finding> {
    let volume = match before.figure_volume() {
        Ok(volume) => volume,
        Err(why) => return Ok(Err(why)),
    };
    // Rounding in the volume before must not make its own volume unreachable.
    if ml < volume * (1.0 - 1e-12) {
        return Err(Finding::at(
            "to",
            code::FILL_BELOW,
            format!("there are {} ml already, more than the {} ml to fill up to", number(volume), number(ml)),
            format!("write at least `to: {} ml`", libm::ceil(volume)),
        ));
    }
    Ok(Ok(solve(before, |mixture| mixture.volume_ml() < ml)))
}

/// Water that brings a mixture down to a strength in % vol, g.
fn down_to(before: &Mixture, strength: f64) -> Result<Result<f64, Because>, Finding> {
    let now = match before.figure_abv() {
        Ok(now) => now,
        Err(why) => return Ok(Err(why)),
    };
    if strength > now * (1.0 + 1e-12) {
        return Err(Finding::at(
            "to",
            code::PROCESS_IMPOSSIBLE,
            format!("water can't bring {} % vol up to {} % vol", number(now), number(strength)),
            format!("write a strength below {} %", number(now)),
        ));
    }
    let ethanol = before.figure_ethanol_ml();
    Ok(ethanol.map(|ethanol| solve(before, |mixture| 100.0 * ethanol > strength * mixture.volume_ml())))
}

/// The least water, g, with which a mixture is no longer `short`, by bisection to the last bit.
fn solve(before: &Mixture, short: impl Fn(&Mixture) -> bool) -> f64 {
    let with = |grams: f64| {
        let mut mixture = before.clone();
        mixture.pour_water(grams, 20.0);
        mixture
    };
    if !short(before) {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, before.mass_g().max(1.0));
    while short(&with(high)) && high < 1e12 {
        (low, high) = (high, 2.0 * high);
    }
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if short(&with(middle)) {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

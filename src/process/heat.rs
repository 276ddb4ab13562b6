//! Heating, pasteurising, hot-filling: temperature, time, and what evaporates.
//!
//! - `to`: °C, 0 to 200; needed, except that `heat` with `reduce_to` alone is taken as a simmer at 100 °C
//! - `for`: time, h, above 0
//! - `reduce_to`: what is left, ml at 20 °C or g; below what is there and above what can't evaporate
//!
//! Water evaporates only as far as `reduce_to` says. Alcohol leaves an open pot above 78 °C: how much by the time, from a published
//! table for cooking (`relation::alcohol_retention`, USDA 2007; ±10 points, estimated, 0 to 150 min). `pasteurise` and `hot-fill` are
//! taken as closed unless they reduce. No estimate is a ground for calling a drink free of alcohol. Gas comes out down to what water
//! holds at that temperature under 1 atm of it. What heat does to colour, acid and sugar is not counted.

use super::given::{celsius, known, nothing, positive, temperature};
use super::remark::{number, time};
use super::{Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Part, Quantity};
use crate::problem::{Severity, code};
use crate::relation::gas::{self, ATMOSPHERE_BAR, Gas};
use crate::relation::{alcohol_retention, vessel};

/// Boiling point of ethanol, °C: below it an open pot is not taken to lose alcohol that counts.
const ALCOHOL_LEAVES: f64 = 78.4;
/// A simmer, °C.
const SIMMER: f64 = 100.0;
/// Lowest published row for pasteurising anything, °C: liquid egg white, 9 CFR 590.570 Table I.
const PASTEURISED: f64 = 55.6;
/// Longest time, h.
const LONGEST: f64 = 24.0 * 30.0;

/// Which of the three.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Heat,
    Pasteurise,
    HotFill,
}

/// Runs `heat`.
pub(super) fn heat(before: &Mixture, args: &Args, bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    heated(Kind::Heat, before, args, bar, done)
}

/// Runs `pasteurise`.
pub(super) fn pasteurise(before: &Mixture, args: &Args, bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    heated(Kind::Pasteurise, before, args, bar, done)
}

/// Runs `hot-fill`.
pub(super) fn hot_fill(before: &Mixture, args: &Args, bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    heated(Kind::HotFill, before, args, bar, done)
}

fn heated(kind: Kind, before: &Mixture, args: &Args, bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    let to = temperature(args, "to", (0.0, 200.0), "nothing is heated to that in a kitchen")?;
    let hours = positive("for", args.hours("for"), LONGEST, " h", "10 min")?;
    let target = Target::read(args)?;
    let t = match (to, target) {
        (Some(t), _) => t,
        (None, Some(_)) if kind == Kind::Heat => SIMMER,
        (None, _) => {
            return Err(Finding::new(
                code::MISSING_PARAMETER,
                "how hot it gets is not said",
                "write for example `to: 75 °C, for: 5 min`",
            ));
        }
    };
    if let Some(done) = nothing(before) {
        return done;
    }
    let mut outcome = Outcome::of(before.clone());
    outcome.findings.extend(doubts(kind, before, t, to));
    if to.is_none() {
        outcome.remarks.push("taken as a simmer at 100 °C, because `to` is not stated".into());
    }
    let open = kind == Kind::Heat || target.is_some();
    let retention = retention(before, open, t, hours, target, &mut outcome);
    match target {
        Some(target) => reduce(before, target, &retention, &mut outcome)?,
        None => boil_off_alcohol(&retention, &mut outcome),
    }
    if open && target.is_none() {
        outcome.remarks.push("no water is counted as evaporated; measure and write `reduce_to`".into());
    }
    release_gas(before, t, bar, done, &mut outcome);
    outcome.mixture.bring_to(t);
    outcome.mixture.ice_g = 0.0;
    Ok(outcome)
}

/// What `reduce_to` asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Target {
    Millilitres(f64),
    Grams(f64),
}

impl Target {
    fn read(args: &Args) -> Result<Option<Self>, Finding> {
        let ml = positive("reduce_to", args.millilitres("reduce_to"), 1e9, " ml", "500 ml")?;
        let grams = positive("reduce_to", args.grams("reduce_to"), 1e9, " g", "500 g")?;
        Ok(ml.map(Self::Millilitres).or(grams.map(Self::Grams)))
    }

    /// The quantity that must be known to reach it.
    fn quantity(self) -> Quantity {
        match self {
            Self::Millilitres(_) => Quantity::Volume,
            Self::Grams(_) => Quantity::Mass,
        }
    }

    /// How much of it a mixture is.
    fn measure(self, mixture: &Mixture) -> f64 {
        match self {
            Self::Millilitres(_) => mixture.volume_ml(),
            Self::Grams(_) => mixture.mass_g(),
        }
    }

    fn value(self) -> f64 {
        match self {
            Self::Millilitres(value) | Self::Grams(value) => value,
        }
    }

    fn text(self, value: f64) -> String {
        let unit = match self {
            Self::Millilitres(_) => "ml",
            Self::Grams(_) => "g",
        };
        format!("{} {unit}", number(value))
    }
}

/// How much of the alcohol stays.
enum Retention {
    /// The share, 0 to 1.
    Share(f64),
    /// Nobody can tell.
    Unknown(Because),
}

/// The share of the alcohol that stays, with what is to be said of it.
fn retention(
    before: &Mixture,
    open: bool,
    t: f64,
    hours: Option<f64>,
    target: Option<Target>,
    outcome: &mut Outcome,
) -> Retention {
    let none = known(before, &[Quantity::Ethanol]).is_ok() && before.grams(Part::Ethanol) <= 0.0;
    if none {
        return Retention::Share(1.0);
    }
    if !open {
        outcome.remarks.push("taken as closed, so no alcohol is counted as lost".into());
        return Retention::Share(1.0);
    }
    if t < ALCOHOL_LEAVES {
        outcome
            .remarks
            .push(format!("no alcohol is counted as lost below its boiling point, {}", celsius(ALCOHOL_LEAVES)));
        return Retention::Share(1.0);
    }
    let minutes = match hours {
        Some(hours) => 60.0 * hours,
        // Brought to the heat and taken off again: the table's first row.
        None if target.is_none() => 0.0,
        None => {
            return Retention::Unknown(Because::one(
                "how much alcohol boils off depends on the time, which `for` would say",
            ));
        }
    };
    outcome.sources.push(alcohol_retention::SOURCE);
    match alcohol_retention::simmered(minutes) {
        Ok(share) => {
            outcome.remarks.push(format!(
                "{} % of the alcohol is taken to be left after {} by a published table for cooking, {}; never a ground for calling it free of alcohol",
                number(100.0 * share),
                hours.map_or("being brought to the heat".into(), time),
                alcohol_retention::ERROR
            ));
            Retention::Share(share)
        }
        Err(why) => {
            outcome.findings.push(Finding::new(
                code::OUTSIDE_MODEL,
                format!("how much alcohol is left can't be told: {why}"),
                "let a laboratory measure the strength, or leave it unknown",
            ));
            Retention::Unknown(Because::one(format!("how much alcohol boils off can't be told: {why}")))
        }
    }
}

const ALCOHOL_LOST: &str = "alcohol evaporated (estimate)";

fn lose(what: &str, grams: f64, outcome: &mut Outcome) {
    if grams > 0.0 {
        outcome.removed.push(Removed { what: what.into(), grams });
    }
}

/// Takes out the alcohol that leaves an open pot which is not reduced.
fn boil_off_alcohol(retention: &Retention, outcome: &mut Outcome) {
    match retention {
        Retention::Share(share) => {
            let lost = outcome.mixture.grams(Part::Ethanol) * (1.0 - share);
            outcome.mixture.add_grams(Part::Ethanol, -lost);
            lose(ALCOHOL_LOST, lost, outcome);
        }
        Retention::Unknown(why) => {
            for quantity in [Quantity::Ethanol, Quantity::Volume, Quantity::Mass] {
                outcome.mixture.gap(quantity, why.text());
            }
        }
    }
}

/// Evaporates down to the target: alcohol by its table as far as there is room for it, water for the rest.
fn reduce(before: &Mixture, target: Target, retention: &Retention, outcome: &mut Outcome) -> Result<(), Finding> {
    if let Err(why) = known(before, &[target.quantity()]) {
        let text = format!("how much evaporates can't be told, because {}", why.text());
        for quantity in [Quantity::Ethanol, Quantity::Volume, Quantity::Mass] {
            outcome.mixture.gap(quantity, &text);
        }
        return Ok(());
    }
    let now = target.measure(before);
    // Rounding must not make what is there unreachable.
    if target.value() > now * (1.0 + 1e-12) {
        return Err(Finding::at(
            "reduce_to",
            code::PROCESS_IMPOSSIBLE,
            format!(
                "there are {} before it, less than the {} to reduce to",
                target.text(now),
                target.text(target.value())
            ),
            format!("write less than {}", target.text(now)),
        ));
    }
    let ethanol = before.grams(Part::Ethanol).max(0.0);
    let water = before.grams(Part::Water).max(0.0);
    let without = |alcohol: f64, steam: f64| {
        let mut mixture = before.clone();
        mixture.add_grams(Part::Ethanol, -alcohol);
        mixture.add_grams(Part::Water, -steam);
        mixture
    };
    // Where the loss is unknown the shrinking is booked as water, and the gaps below say that nobody knows.
    let share = match retention {
        Retention::Share(share) => *share,
        Retention::Unknown(_) => 1.0,
    };
    let estimate = ethanol * (1.0 - share);
    let short = |mixture: &Mixture| target.measure(mixture) < target.value();
    let alcohol = if short(&without(estimate, 0.0)) {
        most(estimate, |alcohol| !short(&without(alcohol, 0.0)))
    } else {
        estimate
    };
    let dry = target.measure(&without(alcohol, water));
    if dry > target.value() {
        return Err(Finding::at(
            "reduce_to",
            code::PROCESS_IMPOSSIBLE,
            format!("{} would be left if all the water were gone", target.text(dry)),
            format!("write more than {}", target.text(dry)),
        ));
    }
    let steam = most(water, |steam| !short(&without(alcohol, steam)));
    outcome.mixture = without(alcohol, steam);
    lose(ALCOHOL_LOST, alcohol, outcome);
    match retention {
        Retention::Share(_) => lose("water evaporated", steam, outcome),
        Retention::Unknown(why) => {
            lose("water and alcohol evaporated", steam, outcome);
            outcome.mixture.gap(Quantity::Ethanol, why.text());
            // Of the two that evaporate nobody knows the shares, so one measure of the rest stays open.
            let open = match target {
                Target::Millilitres(_) => Quantity::Mass,
                Target::Grams(_) => Quantity::Volume,
            };
            outcome.mixture.gap(open, why.text());
        }
    }
    outcome.remarks.push(format!("reduced from {} to {}", target.text(now), target.text(target.value())));
    Ok(())
}

/// The largest number from 0 to `limit` that still passes, for a test that passes below and fails above; by bisection to the
/// last bit.
fn most(limit: f64, passes: impl Fn(f64) -> bool) -> f64 {
    if passes(limit) {
        return limit;
    }
    let (mut low, mut high) = (0.0, limit);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if passes(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Lets the gas out that a hot liquid does not hold, unless it stands in closed bottles.
fn release_gas(before: &Mixture, t: f64, bar: &Bar, done: &[Process], outcome: &mut Outcome) {
    let volume = before.volume_ml();
    if done.contains(&Process::Bottle) {
        outcome.findings.extend(hot_bottle(before, t, bar));
        return;
    }
    for (gas, part) in [(Gas::Co2, Part::Co2), (Gas::N2, Part::N2), (Gas::N2o, Part::N2o)] {
        let held = gas::solubility(gas, t.clamp(0.0, 100.0)).map_or(0.0, |grams| grams * volume / 1000.0);
        let out = before.grams(part) - held;
        if out > 0.0 {
            outcome.mixture.add_grams(part, -out);
            lose(part.word(), out, outcome);
        }
    }
}

/// A warning where fizzy bottles are heated.
fn hot_bottle(before: &Mixture, t: f64, bar: &Bar) -> Option<Finding> {
    let volume = before.figure_volume().ok()?;
    let settled = vessel::settle(&vessel::Sealed {
        gas: Gas::Co2,
        grams: before.grams(Part::Co2),
        liquid: volume,
        headspace: volume * bar.headspace / (1.0 - bar.headspace).max(0.01),
        temperature: t.clamp(0.0, 100.0),
        air: ATMOSPHERE_BAR,
        factor: super::carbonate::factor_of_danger(before),
    })
    .ok()?;
    (settled.gauge_bar > 1.0).then(|| {
        Finding::new(
            code::SEALED_PRESSURE,
            format!(
                "closed bottles would burst or leak if they are not made for it: about {} bar at {}",
                number(settled.gauge_bar),
                celsius(t)
            ),
            "heat it before the gas goes in, or use bottles whose maker states more than that",
        )
        .severity(Severity::Warning)
    })
}

fn doubts(kind: Kind, before: &Mixture, t: f64, to: Option<f64>) -> Option<Finding> {
    let doubt = |message: String, help: &str| {
        Some(Finding { parameter: to.map(|_| "to"), ..Finding::new(code::PROCESS_DOUBT, message, help) })
    };
    if before.figure_temperature().is_ok_and(|was| t < was) {
        return doubt(
            format!("heated to {}, but it is at {} already", celsius(t), celsius(before.temperature)),
            "write `chill` where it is to grow colder",
        );
    }
    if kind == Kind::Pasteurise && t < PASTEURISED {
        return doubt(
            format!(
                "{} is below every published pasteurising temperature; the lowest, for egg white, is {}",
                celsius(t),
                celsius(PASTEURISED)
            ),
            "take temperature and time from a published table for what is in it",
        );
    }
    let watery = before.grams(Part::Water) > 0.5 * before.mass_g();
    if t > 105.0 && watery {
        return doubt(
            format!("{} is above what a watery liquid reaches in an open pot", celsius(t)),
            "write at most 105 °C, or use a pressure vessel and say so in `note`",
        );
    }
    None
}

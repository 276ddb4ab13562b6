//! Fermenting: sugar becomes ethanol and carbon dioxide, told by the gravity before and after.
//!
//! - `from`: gravity at the start, specific 1..=1.17874 or 0..=40 °Bx; the gravity of the pours where the line doesn't say
//! - `to`: gravity at the end, specific 0.98..=`from`; without it nobody knows the strength
//! - `at`: °C in −2..=45, becomes the stage's temperature; `for`: time, h
//!
//! Strength made, % vol of what is there after = 131.25 (from − to), the customary straight line; the formulas of Hall and
//! Balling stand beside it, and their spread, at least 0.2 % vol, is the error. Sugar is eaten by Gay-Lussac's equation on
//! the hexose basis, C₆H₁₂O₆ → 2 C₂H₅OH + 2 CO₂, so that masses close without water: 1 g of sugar is 0.5114 g of ethanol and
//! 0.4886 g of gas. Sucrose takes up 5 % of its mass in water first; where the last sugar is eaten, that much of what the
//! equation asks for may come from the water.
//!
//! `from` beats the gravity of the pours. Where both agree within 0.003 the pours' sugar stands; where they don't, the start's
//! sugar moves with the reading and a warning is given. Valid only where the ethanol comes from the ferment: spirit
//! lowers a gravity without any sugar being eaten.

use super::given::{celsius, known, nothing, temperature};
use super::loss::frozen;
use super::remark::{gravity as sg, number, time};
use super::{Args, Bar, Finding, Gravity, Outcome, Process, Removed};
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Part, Quantity};
use crate::problem::code;
use crate::relation::ethanol_density::{ETHANOL_DENSITY_20C, WATER_DENSITY_20C};
use crate::relation::gas::{ATMOSPHERE_BAR, CO2_G_PER_VOLUME, Gas, co2_drink_factor};
use crate::relation::gravity::{SG_HIGHEST, SG_LOWEST, extract_asbc, sg_from_extract};
use crate::relation::stoichiometry::{self, Sugar, co2_left_open};
use crate::relation::vessel::{Sealed, settle};
use crate::relation::{OutOfRange, ferment_strength};

/// Difference between the stated and the computed starting gravity that is worth a warning.
const MISMATCH: f64 = 0.003;
/// Strength before, % vol, above which gravities say nothing: what live ferments and fruit may bring by themselves.
const MOST_BEFORE: f64 = 0.5;
/// How far the equation may ask for more sugar than there is: sucrose makes 5 % more ethanol than hexose does.
const SHORTAGE: f64 = 0.05;
/// Strength, % vol, that few yeasts outlive (common practice, no source).
const MOST_YEAST: f64 = 16.0;
/// Coldest and hottest that anything ferments at, °C (common practice, no source).
const LIVES: (f64, f64) = (-2.0, 45.0);
/// Where the quadratic for the gas left after an open ferment ends, °C.
const OPEN_HOTTEST: f64 = 27.0;

/// Error of the straight line for ordinary beer, a fraction of the volume (0.2 % vol; common practice, as the rule itself):
/// formulas that happen to meet at one pair of gravities are no better for it.
const LINEAR_ERROR: f64 = 0.002;
const LINEAR_SOURCE: &str = "131.25 (OG − FG), customary rule";

const ETHANOL_G_PER_ML: f64 = ETHANOL_DENSITY_20C / 1000.0;
const WATER_G_PER_ML: f64 = WATER_DENSITY_20C / 1000.0;

/// Runs `ferment`.
pub(super) fn run(before: &Mixture, args: &Args, bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    if let Some(nothing) = nothing(before) {
        return nothing;
    }
    let at = temperature(args, "at", LIVES, "no yeast works there")?;
    let (from, to) = (specific(args, "from")?, specific(args, "to")?);
    if let (Some(og), Some(fg)) = (from, to)
        && fg > og
    {
        return Err(rising(fg, og, "it starts at"));
    }
    let mut still = before.clone();
    still.ice_g = 0.0;
    if let Some(at) = at {
        still.bring_to(at);
    }

    let mut outcome = match strength_can_be_told(before, from, to, done)? {
        Ok(fg) => match start(&still, from)? {
            Ok(start) => told(&still, &start, fg, bar)?,
            Err(why) => untold(still, &why),
        },
        Err(why) => untold(still, &why),
    };
    if let Some(Gravity::Brix(_)) = args.gravity("to") {
        outcome.findings.push(Finding::at(
            "to",
            code::PROCESS_DOUBT,
            "a finishing gravity in °Bx is taken as a hydrometer's; a refractometer reads too high once there is alcohol",
            "read it with a hydrometer, for example `to: 1.010`",
        ));
    }
    if let Some(hours) = args.hours("for") {
        let place = at.map_or(String::new(), |t| format!(" at {}", celsius(t)));
        outcome.remarks.push(format!("it ferments {}{place}", time(hours)));
    }
    outcome
        .remarks
        .push("acid is carried over as it was; a ferment makes some of its own, so titrate it and take its pH".into());
    outcome.findings.extend(frozen(before));
    Ok(outcome)
}

/// A gravity parameter as specific gravity 20/20.
fn specific(args: &Args, key: &'static str) -> Result<Option<f64>, Finding> {
    let (value, low) = match args.gravity(key) {
        None => return Ok(None),
        Some(Gravity::Specific(value)) => (Ok(value), if key == "from" { 1.0 } else { SG_LOWEST }),
        Some(Gravity::Brix(brix)) => (sg_from_extract(brix / 100.0), 1.0),
    };
    match value {
        Ok(value) if (low..=SG_HIGHEST).contains(&value) => Ok(Some(value)),
        _ => Err(Finding::at(
            key,
            code::BAD_PARAMETER,
            format!(
                "the formulas for ferments reach from {} to {} here, which is {} °Bx",
                sg(low),
                sg(SG_HIGHEST),
                number(40.0)
            ),
            format!("write a gravity such as `{key}: {}`", if key == "from" { "1.048" } else { "1.010" }),
        )),
    }
}

fn rising(fg: f64, og: f64, whence: &str) -> Finding {
    Finding::at(
        "to",
        code::BAD_PARAMETER,
        format!("a ferment does not gain gravity: it ends at {}, but {whence} {}", sg(fg), sg(og)),
        "check which reading is which; the higher one is the start",
    )
}

/// The finishing gravity, where gravities can tell the strength at all; else why they can't.
///
/// Errors: a [`Finding`] where spirit is in it, so that gravities would tell something false.
fn strength_can_be_told(
    before: &Mixture,
    from: Option<f64>,
    to: Option<f64>,
    done: &[Process],
) -> Result<Result<f64, Because>, Finding> {
    let stated = match (from, to) {
        (_, Some(_)) => "to",
        (Some(_), None) => "from",
        (None, None) => return Ok(Err(Because::one("the ferment states no gravities"))),
    };
    match before.figure_abv() {
        Err(why) => {
            return Ok(Err(Because::one(format!(
                "gravities tell a strength only where none was before, and that is not known, because {}",
                why.text()
            ))));
        }
        // Ethanol of an earlier ferment is no spirit: both gravities were read with it in.
        Ok(abv) if abv > MOST_BEFORE && !done.contains(&Process::Ferment) => {
            return Err(Finding::at(
                stated,
                code::PROCESS_IMPOSSIBLE,
                format!("gravities tell a strength only before spirit is in it, and this holds {} % vol", number(abv)),
                "ferment first in a recipe of its own (`makes: prep`) and pour that, or leave both gravities out",
            ));
        }
        Ok(_) => {}
    }
    Ok(to.ok_or_else(|| Because::one("the ferment states no finishing gravity")))
}

/// Strength, sugar and energy are not known from here on.
fn untold(mut mixture: Mixture, why: &Because) -> Outcome {
    for reason in &why.0 {
        mixture.gap(Quantity::Ethanol, reason.clone());
        mixture.gap(Quantity::Sugar, reason.clone());
    }
    let mut outcome = Outcome::of(mixture);
    outcome.remarks.push(format!(
        "nobody knows how much ethanol and gas it made, because {}; mass and volume are those of before",
        why.text()
    ));
    outcome.remarks.push(
        "published fruit-skin ferments run from under 1 to 10 % vol, and none of them may be sealed unread".into(),
    );
    outcome
}

/// What it starts with.
struct Start {
    /// Specific gravity.
    og: f64,
    /// Sugar, g, as the pours or the reading have it.
    sugar_g: f64,
    /// What to say about where both are from.
    remark: String,
    finding: Option<Finding>,
}

/// The starting gravity and the sugar that goes with it; or why there is none.
fn start(before: &Mixture, from: Option<f64>) -> Result<Result<Start, Because>, Finding> {
    if let Err(why) = known(before, &[Quantity::Volume]) {
        return Ok(Err(why));
    }
    let ml = before.volume_ml();
    // A hydrometer measures density, so what the pours would read is their density over that of water.
    let computed = before.figure_density().map(|density| density / WATER_G_PER_ML);
    let poured = before.figure_sugar();
    let og = match (from, &computed) {
        (Some(og), _) => og,
        (None, Ok(og)) if (1.0..=SG_HIGHEST).contains(og) => *og,
        (None, Ok(og)) => {
            return Err(Finding::new(
                code::PROCESS_IMPOSSIBLE,
                format!(
                    "the pours make a gravity of {}, and the formulas reach from 1.000 to {}",
                    sg(*og),
                    sg(SG_HIGHEST)
                ),
                "state the gravity that was read, for example `from: 1.048`",
            ));
        }
        (None, Err(why)) => {
            return Ok(Err(Because::one(format!(
                "its starting gravity was not stated and can't be computed, because {}",
                why.text()
            ))));
        }
    };
    let extract_g = |gravity: f64| -> Result<f64, Finding> {
        let share = extract_asbc(gravity).map_err(|e| outside("from", &e))?;
        Ok(share * gravity * WATER_G_PER_ML * ml)
    };
    let mut finding = None;
    let (sugar_g, remark) = match (from, computed, poured) {
        (None, _, Ok(poured)) => (poured, format!("it starts at {}, the gravity of the pours", sg(og))),
        (Some(_), Ok(computed), Ok(poured)) if (og - computed).abs() <= MISMATCH => {
            (poured, format!("it starts at {}; the pours make {}, which agrees", sg(og), sg(computed)))
        }
        (Some(_), Ok(computed), Ok(poured)) => {
            finding = Some(mismatch(og, computed));
            let moved = if (SG_LOWEST..=SG_HIGHEST).contains(&computed) {
                poured + extract_g(og)? - extract_g(computed)?
            } else {
                extract_g(og)?
            };
            (
                moved.max(0.0),
                format!(
                    "it starts at {} and not at the {} that the pours make, so its sugar is taken as {} g instead of {} g",
                    sg(og),
                    sg(computed),
                    number(moved.max(0.0)),
                    number(poured)
                ),
            )
        }
        (Some(_), Err(_), Ok(poured)) => (poured, format!("it starts at {}, with the sugar of the pours", sg(og))),
        (_, _, Err(_)) => {
            let grams = extract_g(og)?;
            (
                grams,
                format!(
                    "it starts at {}, and all of its extract is taken as sugar, {} g, because nobody stated the sugar of the pours",
                    sg(og),
                    number(grams)
                ),
            )
        }
    };
    Ok(Ok(Start { og, sugar_g, remark, finding }))
}

fn mismatch(og: f64, computed: f64) -> Finding {
    Finding::at(
        "from",
        code::GRAVITY_MISMATCH,
        format!("it is stated to start at {}, but the pours make {}", sg(og), sg(computed)),
        format!("the reading is used; check the sugar of the pours, or write `from: {}`", sg(computed)),
    )
}

fn outside(key: &'static str, why: &OutOfRange) -> Finding {
    Finding::at(
        key,
        code::BAD_PARAMETER,
        why.to_string(),
        "check the reading; write for example `from: 1.048` and `to: 1.010`",
    )
}

/// The mixture that a start becomes when so much ethanol is made.
struct Must {
    /// With the sugar of the start in it.
    mixture: Mixture,
    /// Mass that the reading says beyond the pours, g; below zero where the pours were heavier.
    beyond_g: f64,
    /// Volumes of CO₂ that it keeps in the open.
    keeps: f64,
}

impl Must {
    /// The mixture with the start's sugar: what a reading says beyond the pours trades places with water, at equal volume,
    /// since a hydrometer says how heavy it is, not how full the pot.
    fn new(before: &Mixture, start: &Start) -> Result<Self, Finding> {
        let mut mixture = before.clone();
        let full = before.volume_ml();
        set_sugar(&mut mixture, start.sugar_g);
        let mut water = before.grams(Part::Water);
        if start.sugar_g != before.grams(Part::Sugar) {
            // The volume hardly bends with the water, so that giving back what is too much settles within a few rounds.
            for _ in 0..60 {
                mixture.set(Part::Water, water);
                water -= (mixture.volume_ml() - full) * WATER_G_PER_ML;
            }
        }
        if water <= 0.0 {
            return Err(Finding::at(
                "from",
                code::PROCESS_IMPOSSIBLE,
                format!(
                    "a start of {} would take {} g of sugar, and there is no water left for it",
                    sg(start.og),
                    number(start.sugar_g)
                ),
                "check the pours and the reading",
            ));
        }
        mixture.set(Part::Water, water);
        let beyond_g = mixture.mass_g() - before.mass_g();
        // Out of range the value at the edge serves; it decides a gram of gas in the litre.
        let t = before.temperature.clamp(0.0, OPEN_HOTTEST);
        let keeps = co2_left_open(t).unwrap_or(0.0);
        Ok(Self { mixture, beyond_g, keeps })
    }

    /// After `ethanol_g` is made; the gas that left, g, beside it.
    fn after(&self, ethanol_g: f64) -> (Mixture, f64) {
        let eaten = ethanol_g / Sugar::Hexose.ethanol_g_per_g();
        let mut mixture = self.mixture.clone();
        let left = mixture.grams(Part::Sugar) - eaten;
        set_sugar(&mut mixture, left.max(0.0));
        // Where sugar falls short, the equation takes water, as sucrose does when it splits.
        mixture.add_grams(Part::Water, left.min(0.0));
        mixture.add_grams(Part::Ethanol, ethanol_g);
        let gas = self.mixture.grams(Part::Co2) + (eaten - ethanol_g);
        let kept = self.kept(&mut mixture, gas);
        (mixture, gas - kept)
    }

    /// Leaves as much gas dissolved as an open ferment keeps, at most `gas` g; it adds a thousandth to the volume that it is
    /// reckoned from, so that putting the result back in settles at once.
    fn kept(&self, mixture: &mut Mixture, gas: f64) -> f64 {
        let mut kept = 0.0;
        for _ in 0..8 {
            mixture.set(Part::Co2, kept);
            let most = self.keeps * CO2_G_PER_VOLUME * mixture.volume_ml() / 1000.0;
            kept = gas.min(most);
        }
        mixture.set(Part::Co2, kept);
        kept
    }

    /// Ethanol that makes the strength `q`, a fraction of the volume after, g. The volume hardly depends on it, so that
    /// putting the result back in settles within a few rounds.
    fn ethanol_for(&self, q: f64) -> f64 {
        let mut ethanol = 0.0;
        for _ in 0..60 {
            ethanol = q * self.after(ethanol).0.volume_ml() * ETHANOL_G_PER_ML;
        }
        ethanol
    }
}

/// Gives a mixture another sugar; its sweetness follows in the same ratio.
fn set_sugar(mixture: &mut Mixture, grams: f64) {
    let before = mixture.grams(Part::Sugar);
    let ratio = if before > 0.0 { mixture.sweet_g / before } else { 1.0 };
    mixture.sweet_g = (mixture.sweet_g + ratio * (grams - before)).max(0.0);
    mixture.set(Part::Sugar, grams);
}

/// The ferment with both gravities known.
fn told(before: &Mixture, start: &Start, fg: f64, bar: &Bar) -> Result<Outcome, Finding> {
    let og = start.og;
    if fg > og {
        return Err(rising(fg, og, "the pours start at"));
    }
    let strength = ferment_strength::linear(og, fg).map_err(|e| outside("to", &e))?;
    let must = Must::new(before, start)?;
    let ethanol = must.ethanol_for(strength);
    let eaten = ethanol / Sugar::Hexose.ethanol_g_per_g();
    if eaten > start.sugar_g * (1.0 + SHORTAGE) {
        return Err(out_of_reach(&must, start, fg, eaten));
    }
    let (mut mixture, gas) = must.after(ethanol);
    // What was not stated of the sugar is told by the gravities.
    mixture.close_gap(Quantity::Sugar);
    let mut outcome = Outcome::of(mixture);
    if must.beyond_g != 0.0 {
        let beyond = |grams| Removed { what: "what the starting gravity says beyond the pours".into(), grams };
        let list = if must.beyond_g > 0.0 { &mut outcome.added } else { &mut outcome.removed };
        list.push(beyond(must.beyond_g.abs()));
    }
    if gas > 0.0 {
        outcome.removed.push(Removed { what: "carbon dioxide".into(), grams: gas });
    }
    outcome.remarks.push(start.remark.clone());
    outcome.findings.extend(start.finding.clone());
    outcome.remarks.push(formulas(og, fg, strength));
    outcome.remarks.push(format!(
        "{} g of sugar became {} g of ethanol and {} g of carbon dioxide, reckoned as glucose; {} g of sugar is left",
        number(eaten),
        number(ethanol),
        number(eaten - ethanol),
        number(outcome.mixture.grams(Part::Sugar))
    ));
    outcome.remarks.push(format!(
        "{} g of carbon dioxide stays dissolved after an open ferment at {}, at most {} volumes",
        number(outcome.mixture.grams(Part::Co2)),
        celsius(outcome.mixture.temperature),
        number(must.keeps)
    ));
    outcome.remarks.extend(sealed(&outcome.mixture, bar));
    outcome.findings.extend(beyond_tables(before.temperature));
    outcome.findings.extend(yeast(strength, &outcome.mixture));
    outcome.sources.extend([LINEAR_SOURCE, "Hall (1995), attributed", ferment_strength::SOURCE, stoichiometry::SOURCE]);
    Ok(outcome)
}

/// What each formula says, and how far they are apart.
fn formulas(og: f64, fg: f64, linear: f64) -> String {
    let others = [ferment_strength::non_linear(og, fg), ferment_strength::balling(og, fg)];
    let [Ok(hall), Ok(balling)] = others else {
        return format!("131.25 × ({} − {}) gives {} % vol", sg(og), sg(fg), number(linear * 100.0));
    };
    let spread = linear.max(hall).max(balling) - linear.min(hall).min(balling);
    let error = spread.max(LINEAR_ERROR);
    format!(
        "131.25 × ({} − {}) gives {} % vol made; Hall's formula says {} and Balling's {}, so take it as ± {} % vol",
        sg(og),
        sg(fg),
        number(linear * 100.0),
        number(hall * 100.0),
        number(balling * 100.0),
        number(error * 100.0)
    )
}

/// A start that can't reach its finish, and what it could reach at most.
fn out_of_reach(must: &Must, start: &Start, fg: f64, eaten: f64) -> Finding {
    let most = start.sugar_g * Sugar::Hexose.ethanol_g_per_g();
    let volume = must.after(most).0.volume_ml();
    let strength = most / ETHANOL_G_PER_ML / volume;
    let lowest = start.og - strength / 1.3125;
    Finding::at(
        "to",
        code::PROCESS_IMPOSSIBLE,
        format!(
            "from {} to {} would eat {} g of sugar, and there are {} g: at most {} % vol, a finish near {}",
            sg(start.og),
            sg(fg),
            number(eaten),
            number(start.sugar_g),
            number(strength * 100.0),
            sg(lowest)
        ),
        format!("check both readings and the sugar of the pours, or write for example `to: {}`", sg(lowest)),
    )
}

/// What a gauge would show if it were sealed now and the rest of the sugar fermented.
fn sealed(mixture: &Mixture, bar: &Bar) -> Option<String> {
    let ml = mixture.volume_ml();
    let sugar = mixture.grams(Part::Sugar);
    if ml <= 0.0 || sugar <= 0.0 {
        return None;
    }
    let gas = mixture.grams(Part::Co2) + sugar * Sugar::Hexose.co2_g_per_g();
    let ethanol = mixture.grams(Part::Ethanol) + sugar * Sugar::Hexose.ethanol_g_per_g();
    let litres = ml / 1000.0;
    let in_words = format!(
        "sealed now, the {} g of sugar left could make {} g of carbon dioxide a litre, {} volumes",
        number(sugar),
        number(gas / litres),
        number(gas / litres / CO2_G_PER_VOLUME)
    );
    let pressure = co2_drink_factor(ethanol / ETHANOL_G_PER_ML / ml, 0.0)
        .and_then(|factor| {
            settle(&Sealed {
                gas: Gas::Co2,
                grams: gas,
                liquid: ml,
                headspace: ml * bar.headspace / (1.0 - bar.headspace),
                temperature: bar.room_c,
                air: ATMOSPHERE_BAR,
                factor,
            })
        })
        .map(|settled| settled.gauge_bar);
    Some(match pressure {
        Ok(gauge) => format!(
            "{in_words} and about {} bar gauge at {}: a bottle can burst, so vent it daily and keep it cold",
            number(gauge),
            celsius(bar.room_c)
        ),
        Err(why) => format!("{in_words}; the pressure can't be told, because {why}"),
    })
}

/// A note where the table of the gas left after an open ferment does not reach.
fn beyond_tables(t: f64) -> Option<Finding> {
    (!(0.0..=OPEN_HOTTEST).contains(&t)).then(|| {
        Finding::new(
            code::OUTSIDE_MODEL,
            format!("the priming tables reach from 0 to {}, and it ferments at {}", celsius(OPEN_HOTTEST), celsius(t)),
            "the dissolved gas is that of the nearer end; write `at` if another temperature is meant",
        )
    })
}

/// A warning where hardly any yeast would have lived to make it.
fn yeast(made: f64, after: &Mixture) -> Option<Finding> {
    let abv = after.figure_abv().unwrap_or(made * 100.0);
    (abv > MOST_YEAST).then(|| {
        Finding::at(
            "to",
            code::PROCESS_DOUBT,
            format!("{} % vol is more than most yeast lives through", number(abv)),
            "check both gravities; most stop at 12 to 16 % vol (common practice, no source)",
        )
    })
}

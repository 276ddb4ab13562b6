//! Bottling: how many bottles, what is left over, and whether pressure would build in them.
//!
//! - `size`: ml, above 0; without it nothing is counted
//! - `in`: `glass` (default), `steel` or `plastic`
//! - `closed`: `sealed` (default) or `vented`
//! - `headspace`: share of the bottle left empty, % of its size, 0 to below 100; the house's where the line doesn't say
//!
//! The composition stays. In a sealed bottle gas is shared by Henry's law and the ideal gas law (`relation::vessel`; 5 to 15 %, too
//! high rather than too low). A ferment that nothing has stopped is taken to go on until its sugar is gone (Gay-Lussac, as for
//! sucrose, the greater figure), with its own gas in place of air; heat after the ferment is taken to have stopped it, cold and
//! filtering are not.

use super::carbonate;
use super::given::{celsius, nothing, positive};
use super::remark::number;
use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::{Mixture, Part};
use crate::problem::{Severity, code};
use crate::relation::OutOfRange;
use crate::relation::gas::{ATMOSPHERE_BAR, CO2_G_PER_VOLUME, Gas};
use crate::relation::stoichiometry::{self, Sugar};
use crate::relation::vessel::{self, Sealed, settle};

/// Most that steel and plastic made for drinks are asked to hold, bar above the atmosphere at room temperature: strong mixers
/// come to about that (common practice, no source).
const PACKAGE_MOST: f64 = 4.0;
/// Pressure that plain glass is not made for, bar above the atmosphere (common practice, no source).
const PLAIN_GLASS_MOST: f64 = 0.3;

/// Runs `bottle`.
///
/// Errors: a [`Finding`] for a size or headspace out of bounds, or a mixture that holds nothing.
pub(super) fn run(before: &Mixture, args: &Args, bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    let size = positive("size", args.millilitres("size"), 1e6, " ml", "330 ml")?;
    let headspace = headspace(args, bar)?;
    if let Some(done) = nothing(before) {
        return done;
    }
    let mut outcome = Outcome::of(before.clone());
    let bottle = Bottle { material: args.word("in").unwrap_or("glass"), headspace };
    count(before, size, headspace, &mut outcome);
    if args.word("closed") == Some("vented") {
        outcome.remarks.push("vented, so no pressure builds and gas gets out".into());
        return Ok(outcome);
    }
    if headspace == 0.0 {
        outcome.findings.push(Finding {
            parameter: args.has("headspace").then_some("headspace"),
            ..Finding::new(
                code::PROCESS_DOUBT,
                "a sealed bottle without headspace bursts when its content grows warm",
                "leave for example `headspace: 5 %`",
            )
        });
    }
    if live(done) {
        bottle.live(before, bar, &mut outcome);
    } else {
        bottle.fizzy(before, bar, &mut outcome);
    }
    Ok(outcome)
}

/// The share of a bottle that stays empty, 0 to below 1.
fn headspace(args: &Args, bar: &Bar) -> Result<f64, Finding> {
    match args.percent("headspace") {
        Some(percent) if !(0.0..100.0).contains(&percent) => Err(Finding::at(
            "headspace",
            code::BAD_PARAMETER,
            format!("a headspace of {} % of the bottle", number(percent)),
            "write for example `headspace: 5 %`",
        )),
        Some(percent) => Ok(percent / 100.0),
        None => Ok(bar.headspace),
    }
}

/// Says how many bottles it fills and what is left.
fn count(before: &Mixture, size: Option<f64>, headspace: f64, outcome: &mut Outcome) {
    let Some(size) = size else { return };
    let volume = match before.figure_volume() {
        Ok(volume) => volume,
        Err(why) => {
            outcome.remarks.push(format!("how many bottles it fills can't be told, because {}", why.text()));
            return;
        }
    };
    let fill = size * (1.0 - headspace);
    // A batch that was made to fill whole bottles must not lose one to its last bit.
    let bottles = (volume / fill * (1.0 + 1e-12)).floor();
    let left = (volume - bottles * fill).max(0.0);
    outcome.remarks.push(format!(
        "fills {} of {} ml with {} ml each, which leaves {} % headspace; {} ml is left over",
        if bottles == 1.0 { "1 bottle".into() } else { format!("{bottles} bottles") },
        number(size),
        number(fill),
        number(100.0 * headspace),
        number(left)
    ));
    if bottles < 1.0 {
        outcome.findings.push(Finding::at(
            "size",
            code::PROCESS_DOUBT,
            format!("{} ml does not fill one bottle, which takes {} ml", number(volume), number(fill)),
            "make more, or use a smaller bottle; more headspace also means more air and less gas in the drink",
        ));
    }
}

/// Whether a ferment goes on: there was one, and nothing after it was hot.
fn live(done: &[Process]) -> bool {
    let last = |wanted: &[Process]| done.iter().rposition(|process| wanted.contains(process));
    match (last(&[Process::Ferment]), last(&[Process::Heat, Process::Pasteurise, Process::HotFill])) {
        (Some(ferment), Some(hot)) => hot < ferment,
        (ferment, None) => ferment.is_some(),
        (None, _) => false,
    }
}

/// The mixture when all of its sugar has become alcohol and gas, without the gas.
fn fermented_dry(before: &Mixture) -> Mixture {
    let mut dry = before.clone();
    let sugar = dry.grams(Part::Sugar);
    let (alcohol, gas) = (Sugar::Disaccharide.ethanol_g_per_g(), Sugar::Disaccharide.co2_g_per_g());
    dry.add_grams(Part::Ethanol, sugar * alcohol);
    // Splitting sucrose takes up the water that the products weigh more than it.
    dry.add_grams(Part::Water, sugar * (1.0 - alcohol - gas));
    dry.set(Part::Sugar, 0.0);
    dry
}

/// A sealed bottle.
struct Bottle {
    material: &'static str,
    headspace: f64,
}

impl Bottle {
    /// bar above the atmosphere over a mixture at rest that holds so much gas, g.
    fn pressure(&self, mixture: &Mixture, co2: f64, air: f64, t: f64) -> Result<f64, OutOfRange> {
        let liquid = mixture.volume_ml();
        let settled = settle(&Sealed {
            gas: Gas::Co2,
            grams: co2,
            liquid,
            headspace: liquid * self.headspace / (1.0 - self.headspace),
            temperature: t.clamp(0.0, 100.0),
            air,
            factor: carbonate::factor_of_danger(mixture),
        })?;
        Ok(settled.gauge_bar)
    }

    /// What a live ferment would do in it.
    fn live(&self, before: &Mixture, bar: &Bar, outcome: &mut Outcome) {
        let help = "vent it (`closed: vented`) and keep it cold, or stop it with `pasteurise` after `ferment`; never seal it in glass";
        let hazard = if self.material == "glass" { "ferment-sealed-glass" } else { "ferment-sealed-pressure" };
        let fault = |message: String, error: bool| {
            let finding = Finding::new(code::SEALED_PRESSURE, message, help).hazard(hazard);
            finding.severity(if error { Severity::Error } else { Severity::Warning })
        };
        let danger = format!("a sealed {} bottle of a live ferment can explode", self.material);
        let (volume, sugar) = match (before.figure_volume(), before.figure_sugar()) {
            (Ok(volume), Ok(sugar)) => (volume, sugar),
            (Err(why), _) | (_, Err(why)) => {
                outcome.findings.push(fault(
                    format!("{danger}: how much pressure would build can't be told, because {}", why.text()),
                    true,
                ));
                return;
            }
        };
        let co2 = before.grams(Part::Co2) + sugar * Sugar::Disaccharide.co2_g_per_g();
        let dry = fermented_dry(before);
        let volumes = co2 / CO2_G_PER_VOLUME / (dry.volume_ml() / 1000.0);
        // A ferment has driven the air out by its own gas.
        let Ok(gauge) = self.pressure(&dry, co2, 0.0, bar.room_c) else {
            outcome.findings.push(fault(format!("{danger}: the pressure can't be told"), true));
            return;
        };
        outcome.builds_bar = Some(gauge);
        outcome.sources.extend([stoichiometry::SOURCE, vessel::SOURCE]);
        let error = self.material == "glass" || gauge > PACKAGE_MOST;
        outcome.findings.push(fault(
            format!(
                "{danger}: its {} g/l of sugar would bring it to {} volumes of carbon dioxide, about {} bar above the atmosphere at {}",
                number(1000.0 * sugar / volume),
                number(volumes),
                number(gauge.max(0.0)),
                celsius(bar.room_c)
            ),
            error,
        ));
        outcome.remarks.push(format!(
            "cold slows a ferment and does not stop it; shut-in air would add up to {} bar",
            number(ATMOSPHERE_BAR)
        ));
    }

    /// What the gas that is in it does.
    fn fizzy(&self, before: &Mixture, bar: &Bar, outcome: &mut Outcome) {
        let co2 = before.grams(Part::Co2);
        if co2 <= 0.0 || before.figure_volume().is_err() {
            return;
        }
        let pressure = |t| self.pressure(before, co2, ATMOSPHERE_BAR, t);
        let (Ok(now), Ok(room)) = (pressure(before.temperature), pressure(bar.room_c)) else {
            return;
        };
        outcome.gauge_bar = Some(now);
        outcome.builds_bar = Some(room.max(now));
        outcome.sources.push(vessel::SOURCE);
        outcome.remarks.push(format!(
            "sealed it presses with about {} bar above the atmosphere at {} and {} bar at {}, air shut in ({})",
            number(now),
            celsius(before.temperature),
            number(room),
            celsius(bar.room_c),
            vessel::ERROR
        ));
        let warning = match self.material {
            "glass" if room > PLAIN_GLASS_MOST => Some((
                format!(
                    "only pressure-rated glass holds this: about {} bar above the atmosphere at {}",
                    number(room),
                    celsius(bar.room_c)
                ),
                "use sparkling-wine or soda bottles whose maker states more than that, and keep them cold",
            )),
            _ if room > PACKAGE_MOST => Some((
                format!(
                    "about {} bar above the atmosphere at {} is more than most {} bottles are made for",
                    number(room),
                    celsius(bar.room_c),
                    self.material
                ),
                "check the maker's stated pressure, or carbonate less",
            )),
            _ => None,
        };
        outcome.findings.extend(warning.map(|(message, help)| {
            let hazard = if self.material == "glass" { "carbonation-glass" } else { "carbonation-overpressure" };
            Finding { parameter: Some("in"), ..Finding::new(code::SEALED_PRESSURE, message, help) }
                .severity(Severity::Warning)
                .hazard(hazard)
        }));
    }
}

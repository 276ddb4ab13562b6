//! Charging a siphon: gas from cartridges, part of it dissolved, the rest above the liquid.
//!
//! - `siphon`: the maker's stated maximum fill, ml, above 0
//! - `gas`: `N2O` (default), `N2` or `CO2`
//! - `cartridges`: a whole number from 1 to 20, 1 where the line doesn't say
//! - `cartridge`: gas in one, g, above 0 to 100; 8 g where the line doesn't say (the trade's standard fill), 2.4 g for nitrogen,
//!   which cartridges hold as a gas (common practice, from memory)
//! - `overrun`: foam volume over liquid volume, 1 to 6
//! - `for`: time, h
//!
//! At rest after shaking the gas is shared by Henry's law and the ideal gas law (`relation::vessel`; 5 to 15 %). Only carbon
//! dioxide is corrected for alcohol and sugar. A siphon is larger inside than its stated fill; the space above the liquid follows
//! from [`INSIDE`]. All of it is an estimate for seeing danger: the maker's manual decides what a siphon may hold.

use super::carbonate;
use super::given::{celsius, nothing, positive};
use super::remark::number;
use super::{Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::{Mixture, Part};
use crate::problem::code;
use crate::relation::OutOfRange;
use crate::relation::gas::{ATMOSPHERE_BAR, CARTRIDGE_G, Gas};
use crate::relation::vessel::{self, Sealed, Settled, settle};

/// Room inside a siphon over its stated maximum fill. Common practice, no source: 1.3 to 1.5.
const INSIDE: f64 = 1.4;
/// Nitrogen in one cartridge, g. Common practice, from memory.
const NITROGEN_G: f64 = 2.4;
/// Two standard cartridges for 500 ml of stated fill, g per ml: beyond that no maker's leaflet is known to go (common practice,
/// no source).
const CHARGE_MOST: f64 = 2.0 * CARTRIDGE_G / 500.0;
/// Pressure above which a siphon is taken to be overcharged, bar above the atmosphere. Ours, no source: two cartridges in a full
/// and cold half-litre siphon come to about 11.
const PRESSURE_MOST: f64 = 15.0;
/// Hottest that a siphon is served, °C: makers' manuals, from memory.
const HOTTEST: f64 = 70.0;

/// The gas of a word, and the part of the mixture that it is.
fn gas_of(word: Option<&str>) -> (Gas, Part) {
    match word {
        Some("CO2") => (Gas::Co2, Part::Co2),
        Some("N2") => (Gas::N2, Part::N2),
        _ => (Gas::N2o, Part::N2o),
    }
}

/// Gases that a mixture can hold.
const GASES: [(Gas, Part); 3] = [(Gas::Co2, Part::Co2), (Gas::N2, Part::N2), (Gas::N2o, Part::N2o)];

/// Runs `charge`.
///
/// Errors: a [`Finding`] for a missing or impossible parameter, a siphon too small to close, or one that is charged already.
pub(super) fn run(before: &Mixture, args: &Args, _bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    let charge = Charge::read(args)?;
    if done.contains(&Process::Charge) {
        return Err(Finding::new(
            code::PROCESS_ORDER,
            "it is charged already",
            "write all cartridges in one line, for example `charge: {siphon: 1 l, cartridges: 2}`",
        ));
    }
    if let Some(done) = nothing(before) {
        return done;
    }
    let volume = match before.figure_volume() {
        Ok(volume) => volume,
        // The line that hides the volume was told where it stands.
        Err(_) => return Ok(Outcome::of(before.clone())),
    };
    let inside = INSIDE * charge.siphon_ml;
    if volume >= inside {
        return Err(charge.overfull(volume));
    }
    let mut outcome = Outcome::of(before.clone());
    outcome.overrun = charge.overrun;
    let settled = charge.settle(before, volume, inside - volume).map_err(|why| {
        Finding::new(
            code::OUTSIDE_MODEL,
            format!("the pressure can't be told: {why}"),
            "charge it between 0 and 100 °C",
        )
    })?;
    book(&charge, before, &settled, &mut outcome);
    // A sum of volumes may miss the stated fill by its last bit.
    if volume > charge.siphon_ml * (1.0 + 1e-9) {
        outcome.findings.push(charge.overfull(volume));
    }
    let gauge = settled.gauge_bar;
    outcome.gauge_bar = Some(gauge);
    outcome.sources.push(vessel::SOURCE);
    outcome.remarks.push(format!(
        "{} bar above the atmosphere at {} once shaken and at rest, an estimate ({}); the siphon is taken to hold {} ml inside, {} times its stated fill (common practice, no source)",
        number(gauge),
        celsius(before.temperature),
        vessel::ERROR,
        number(inside),
        number(INSIDE)
    ));
    outcome.remarks.push(charge.said_of_solubility(before));
    outcome.findings.extend(charge.too_much(gauge));
    if before.temperature > HOTTEST {
        outcome.findings.push(
            Finding::new(
                code::PROCESS_DOUBT,
                format!(
                    "a siphon at {} is hotter than makers allow; {} is the usual limit",
                    celsius(before.temperature),
                    celsius(HOTTEST)
                ),
                "let it cool first; the maker's manual decides",
            )
            .hazard("siphon-hot"),
        );
    }
    Ok(outcome)
}

/// The line's numbers, checked.
struct Charge {
    siphon_ml: f64,
    gas: Gas,
    part: Part,
    cartridges: f64,
    cartridge_g: f64,
    overrun: Option<f64>,
}

/// Gas after the siphon has come to rest.
struct Rest {
    gauge_bar: f64,
    /// Part, dissolved g, g above the liquid.
    gases: Vec<(Part, f64, f64)>,
}

impl Charge {
    fn read(args: &Args) -> Result<Self, Finding> {
        let siphon = positive("siphon", args.millilitres("siphon"), 1e6, " ml", "500 ml")?;
        let Some(siphon_ml) = siphon else {
            return Err(Finding::new(
                code::MISSING_PARAMETER,
                "which siphon it goes into is not said",
                "write the most that its maker lets you fill in, for example `charge: {siphon: 500 ml}`",
            )
            .hazard("siphon-headspace"));
        };
        let (gas, part) = gas_of(args.word("gas"));
        let cartridges = args.number("cartridges").unwrap_or(1.0);
        if !(1.0..=20.0).contains(&cartridges) || cartridges.fract() != 0.0 {
            return Err(Finding::at(
                "cartridges",
                code::BAD_PARAMETER,
                format!("{} cartridges", number(cartridges)),
                "write a whole number, for example `cartridges: 1`",
            ));
        }
        let standard = if gas == Gas::N2 { NITROGEN_G } else { CARTRIDGE_G };
        let cartridge = positive("cartridge", args.grams("cartridge"), 100.0, " g", "8 g")?;
        let overrun = args.number("overrun");
        if overrun.is_some_and(|overrun| !(1.0..=6.0).contains(&overrun)) {
            return Err(Finding::at(
                "overrun",
                code::BAD_PARAMETER,
                "foam takes from 1 to 6 times the room of its liquid",
                "measure a jug of foam and write for example `overrun: 2.5`",
            ));
        }
        Ok(Self { siphon_ml, gas, part, cartridges, cartridge_g: cartridge.unwrap_or(standard), overrun })
    }

    fn grams(&self) -> f64 {
        self.cartridges * self.cartridge_g
    }

    fn overfull(&self, volume: f64) -> Finding {
        Finding::at(
            "siphon",
            code::OVERFULL_SIPHON,
            format!(
                "{} ml goes into a siphon that may hold {} ml: without space above the liquid the pressure rises far beyond what it is made for",
                number(volume),
                number(self.siphon_ml)
            ),
            format!(
                "fill at most {} ml at a time, or use a larger siphon; the maker's manual decides",
                number(self.siphon_ml)
            ),
        )
        .hazard("siphon-overfill")
    }

    /// Shares every gas between liquid and space. Each presses by itself (Dalton's law), and the air shut in presses too.
    fn settle(&self, before: &Mixture, volume: f64, space: f64) -> Result<Rest, OutOfRange> {
        let mut rest = Rest { gauge_bar: 0.0, gases: Vec::new() };
        for (gas, part) in GASES {
            let grams = before.grams(part) + if part == self.part { self.grams() } else { 0.0 };
            if grams <= 0.0 {
                continue;
            }
            let factor = if gas == Gas::Co2 { carbonate::factor_of_danger(before) } else { 1.0 };
            let Settled { gauge_bar, dissolved, free } = settle(&Sealed {
                gas,
                grams,
                liquid: volume,
                headspace: space,
                // Below 0 °C the drink holds a little more than at 0 °C; the tables end there.
                temperature: before.temperature.max(0.0),
                air: ATMOSPHERE_BAR,
                factor,
            })?;
            rest.gauge_bar += gauge_bar;
            rest.gases.push((part, dissolved, free));
        }
        Ok(rest)
    }

    fn said_of_solubility(&self, before: &Mixture) -> String {
        let gas = self.part.word();
        let cold = if before.temperature < 0.0 { ", taken at 0 °C where its table ends" } else { "" };
        match self.gas {
            Gas::Co2 => format!(
                "solubility of {gas} in water{cold}, times {} for alcohol and sugar by the EU rule for sparkling wine",
                number(carbonate::factor_of_danger(before))
            ),
            Gas::N2 | Gas::N2o => {
                format!("solubility of {gas} in water{cold}; alcohol, sugar and fat are not corrected")
            }
        }
    }

    fn too_much(&self, gauge: f64) -> Option<Finding> {
        let over_charge = self.grams() > CHARGE_MOST * self.siphon_ml * (1.0 + 1e-9);
        (over_charge || gauge > PRESSURE_MOST).then(|| Finding {
            parameter: Some("cartridges"),
            ..Finding::new(
                code::SIPHON_PRESSURE,
                format!(
                    "{} g of {} in a siphon of {} ml would press with about {} bar; the usual most is two cartridges of 8 g for 500 ml and {} bar",
                    number(self.grams()),
                    self.part.word(),
                    number(self.siphon_ml),
                    number(gauge),
                    number(PRESSURE_MOST)
                ),
                "use fewer cartridges, chill it, or fill it nearer to its line; the maker's manual decides",
            )
            .hazard("siphon-charger-count")
        })
    }
}

/// Puts the dissolved gas into the mixture and books what came and what is above it.
fn book(charge: &Charge, before: &Mixture, rest: &Rest, outcome: &mut Outcome) {
    outcome.added.push(Removed { what: format!("{} from the cartridges", charge.part.word()), grams: charge.grams() });
    let mut above = 0.0;
    for &(part, dissolved, free) in &rest.gases {
        outcome.mixture.set(part, dissolved);
        above += free;
    }
    outcome.removed.push(Removed { what: "gas in the headspace".into(), grams: above });
    let dissolved = outcome.mixture.grams(charge.part) - before.grams(charge.part);
    outcome.remarks.push(format!("of {} g of gas {} g dissolves", number(charge.grams()), number(dissolved)));
}

//! Carbonating: carbon dioxide dissolved under pressure.
//!
//! - `volumes`: what the drink is to hold, litres of CO₂ at 0 °C and 1 atm per litre of drink (1.977 g/l each), above 0 to 6;
//!   or `bar`: the pressure that it is brought to balance with, above the atmosphere, above 0 to 10. Exactly one of them
//! - `at`: °C, 0 to 40 and above its freezing point; the bar's fridge where the line doesn't say
//!
//! Pressure and volumes go together by the brewing trade's chart (`relation::carbonation`, fit; 0.04 to 0.15 volumes) as long as
//! temperature and carbonation lie in it and the drink holds gas within a tenth of what beer does. Elsewhere by Henry's law in
//! water (Carroll et al. 1991) with the EU rule for what alcohol and sugar take off (measured at 20 °C, to 20 % vol and 200 g/l;
//! about 5 %, estimated). Acid, salts, fat and protein are not corrected.

use super::given::{celsius, nothing, positive, temperature};
use super::remark::number;
use super::{Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::{Mixture, Part};
use crate::problem::code;
use crate::relation::gas::{self, ATMOSPHERE_BAR, CO2_G_PER_VOLUME, Gas};
use crate::relation::{OutOfRange, carbonation};

/// More than this can't be meant, volumes: champagne holds about 6 (common practice, no source).
const VOLUMES_MOST: f64 = 6.0;
/// More than this is doubted, volumes: where the chart ends.
const VOLUMES_DOUBT: f64 = 5.0;
/// More pressure than this is outside what drinks equipment is made for, bar (common practice, no source).
const BAR_MOST: f64 = 10.0;
/// Below this factor against water a drink is no longer taken for beer. Beer of 5 % vol with 20 g/l stands at 0.92 (EU rule).
const LIKE_BEER: f64 = 0.85;
/// Gas that a drink may hold and still be shaken, volumes: what an open ferment keeps (common practice, no source).
const QUIET_VOLUMES: f64 = 1.0;
/// Fat, protein and other solids above these make a drink foam over, g/100 ml. Ours, no source.
const FOAMING: [(Part, f64); 3] = [(Part::Fat, 0.5), (Part::Protein, 0.7), (Part::Solids, 5.0)];

/// A fault where a mixture holds so much gas that working it in a closed vessel would throw it about: more than an open ferment
/// keeps, and more than it holds at rest under 1 atm of the gas.
pub(super) fn gassy(mixture: &Mixture, how: &str) -> Option<Finding> {
    let volumes = mixture.figure_co2_volumes().ok()?;
    let at_rest =
        gas::co2_carroll(mixture.temperature.clamp(0.0, 100.0)).map_or(QUIET_VOLUMES, |grams| grams / CO2_G_PER_VOLUME);
    (volumes > QUIET_VOLUMES.max(1.02 * at_rest)).then(|| {
        Finding::new(
            code::PROCESS_ORDER,
            format!(
                "it holds {} volumes of carbon dioxide and can't be {how}: the gas comes out at once and the vessel opens itself",
                number(volumes)
            ),
            "put `carbonate` last, or add the fizzy part in the glass with `top`",
        )
    })
}

/// How much less CO₂ a drink holds than water.
#[derive(Debug, Clone, Copy)]
enum Holds {
    /// The EU rule's factor.
    Factor(f64),
    /// Strength or sugar is not known.
    Unknown,
    /// The EU rule does not reach so far.
    Beyond,
}

impl Holds {
    fn of(mixture: &Mixture) -> Self {
        let (Ok(abv), Ok(sugar)) = (mixture.figure_abv(), mixture.figure_sugar_per_100ml()) else {
            return Self::Unknown;
        };
        gas::co2_drink_factor(abv / 100.0, 10.0 * sugar).map_or(Self::Beyond, Self::Factor)
    }
}

/// The EU rule's factor for judging danger: beyond the rule's range its last value is kept, and what is not known is taken as
/// water.
pub(super) fn factor_of_danger(mixture: &Mixture) -> f64 {
    let abv = mixture.figure_abv().map_or(0.0, |abv| (abv / 100.0).clamp(0.0, 0.20));
    let sugar = mixture.figure_sugar_per_100ml().map_or(0.0, |sugar| (10.0 * sugar).clamp(0.0, 200.0));
    gas::co2_drink_factor(abv, sugar).unwrap_or(1.0)
}

/// Pressure and volumes of a drink by one relation.
#[derive(Debug, Clone, Copy)]
enum Relation {
    /// The brewing chart.
    Chart,
    /// Henry's law in water, times a factor.
    Henry(f64),
}

impl Relation {
    /// bar above the atmosphere that keeps `volumes` at `t` °C.
    fn gauge_bar(self, volumes: f64, t: f64) -> Result<f64, OutOfRange> {
        match self {
            Self::Chart => carbonation::gauge_bar(volumes, t),
            Self::Henry(factor) => {
                let atmospheres = volumes * CO2_G_PER_VOLUME / (gas::solubility(Gas::Co2, t)? * factor);
                Ok((atmospheres - 1.0) * ATMOSPHERE_BAR)
            }
        }
    }

    /// Volumes that `bar` above the atmosphere keeps at `t` °C.
    fn volumes(self, bar: f64, t: f64) -> Result<f64, OutOfRange> {
        match self {
            Self::Chart => carbonation::volumes(bar, t),
            Self::Henry(factor) => {
                let atmospheres = bar / ATMOSPHERE_BAR + 1.0;
                Ok(atmospheres * gas::solubility(Gas::Co2, t)? * factor / CO2_G_PER_VOLUME)
            }
        }
    }

    fn source(self) -> &'static str {
        match self {
            Self::Chart => carbonation::SOURCE,
            Self::Henry(_) => gas::SOURCE,
        }
    }
}

/// Runs `carbonate`.
///
/// Errors: a [`Finding`] for neither or both of `volumes` and `bar`, a number out of bounds, a temperature at which the drink
/// freezes, and for `bar` where no relation reaches the drink.
pub(super) fn run(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    let wanted = wanted(args)?;
    let at = temperature(args, "at", (0.0, 40.0), "the solubilities are not used there")?;
    if let Some(done) = nothing(before) {
        return done;
    }
    let t = at.unwrap_or(bar.fridge_c).max(0.0);
    if let Ok(freezes) = before.figure_freezing()
        && t < freezes
    {
        return Err(Finding::at(
            "at",
            code::PROCESS_IMPOSSIBLE,
            format!("at {} it is frozen; it freezes at {}", celsius(t), celsius(freezes)),
            "carbonate it a little above its freezing point",
        ));
    }
    let mut outcome = Outcome::of(before.clone());
    if at.is_none() {
        outcome.remarks.push(format!("carbonated at the fridge's {}, because `at` is not stated", celsius(t)));
    }
    let holds = Holds::of(before);
    let volumes = match wanted {
        Wanted::Volumes(volumes) => {
            pressure(before, volumes, t, holds, &mut outcome);
            volumes
        }
        Wanted::Bar(gauge) => {
            let volumes = held_at(before, gauge, t, holds, &mut outcome)?;
            outcome.gauge_bar = Some(gauge);
            volumes
        }
    };
    if volumes > VOLUMES_DOUBT {
        outcome.findings.push(Finding {
            parameter: Some(wanted.key()),
            ..Finding::new(
                code::PROCESS_DOUBT,
                format!("{} volumes is more than the strongest mixers hold", number(volumes)),
                "ask for 2 to 4.5 volumes, or check every vessel against its maker's stated pressure",
            )
        });
    }
    dissolve(before, volumes, &mut outcome);
    outcome.mixture.bring_to(t);
    outcome.mixture.ice_g = 0.0;
    outcome.findings.extend(foaming(before));
    Ok(outcome)
}

/// What the line asks for.
#[derive(Debug, Clone, Copy)]
enum Wanted {
    Volumes(f64),
    Bar(f64),
}

impl Wanted {
    fn key(self) -> &'static str {
        match self {
            Self::Volumes(_) => "volumes",
            Self::Bar(_) => "bar",
        }
    }
}

fn wanted(args: &Args) -> Result<Wanted, Finding> {
    let volumes = positive("volumes", args.number("volumes"), VOLUMES_MOST, "", "3.0")?;
    let gauge = positive("bar", args.number("bar"), BAR_MOST, "", "2.4")?;
    match (volumes, gauge) {
        (Some(volumes), None) => Ok(Wanted::Volumes(volumes)),
        (None, Some(gauge)) => Ok(Wanted::Bar(gauge)),
        (None, None) => Err(Finding::new(
            code::MISSING_PARAMETER,
            "how much gas goes in is not said",
            "write `carbonate: {volumes: 3.0, at: 3 °C}`, or the gauge pressure with `bar: 2.4`",
        )),
        (Some(_), Some(_)) => Err(Finding::at(
            "bar",
            code::BAD_PARAMETER,
            "`volumes` and `bar` both say how much gas",
            "leave one of them out; the other is computed",
        )),
    }
}

/// The relations to ask, best first.
fn relations(holds: Holds) -> Vec<Relation> {
    match holds {
        Holds::Factor(factor) if factor < LIKE_BEER => vec![Relation::Henry(factor)],
        Holds::Factor(factor) => vec![Relation::Chart, Relation::Henry(factor)],
        Holds::Unknown => vec![Relation::Chart],
        Holds::Beyond => Vec::new(),
    }
}

/// What is corrected and what is not, in one clause.
fn corrected(relation: Relation, mixture: &Mixture) -> String {
    let of = |figure: Result<f64, _>, unit: &str| {
        figure.map_or(format!("unknown {unit}"), |value| format!("{} {unit}", number(value)))
    };
    let strength = of(mixture.figure_abv(), "% vol");
    let sugar = of(mixture.figure_sugar_per_100ml().map(|sugar| 10.0 * sugar), "g/l of sugar");
    match relation {
        Relation::Chart => {
            format!("by the brewing chart ({}), not corrected for {strength} and {sugar}", carbonation::ERROR)
        }
        Relation::Henry(_) => format!(
            "by Henry's law in water, corrected for {strength} and {sugar} by the EU rule for sparkling wine (about 5 %), not for acid and the rest"
        ),
    }
}

/// Finds the gauge pressure that keeps a carbonation.
fn pressure(before: &Mixture, volumes: f64, t: f64, holds: Holds, outcome: &mut Outcome) {
    let spoken =
        relations(holds).into_iter().find_map(|relation| Some((relation, relation.gauge_bar(volumes, t).ok()?)));
    let Some((relation, gauge)) = spoken else {
        outcome.findings.push(Finding::new(
            code::OUTSIDE_MODEL,
            "no published relation gives the pressure for this drink at this temperature",
            "find the pressure by trial, below what every vessel is made for",
        ));
        return;
    };
    // A drink that holds this without pressure stands at the atmosphere's.
    let gauge = gauge.max(0.0);
    outcome.gauge_bar = Some(gauge);
    outcome.sources.push(relation.source());
    outcome.remarks.push(format!(
        "{} bar above the atmosphere keeps {} volumes at {}, {}",
        number(gauge),
        number(volumes),
        celsius(t),
        corrected(relation, before)
    ));
    // The relation that stayed silent, for comparison.
    let other = match relation {
        Relation::Chart => relations(holds).into_iter().nth(1),
        Relation::Henry(_) => Some(Relation::Chart),
    };
    if let Some(other) = other
        && let Ok(bar) = other.gauge_bar(volumes, t)
    {
        outcome.remarks.push(format!(
            "{} would say {} bar",
            match other {
                Relation::Chart => "the brewing chart, made for beer,",
                Relation::Henry(_) => "Henry's law with the EU rule for alcohol and sugar",
            },
            number(bar.max(0.0))
        ));
    }
}

/// Finds the volumes that a gauge pressure keeps.
fn held_at(before: &Mixture, gauge: f64, t: f64, holds: Holds, outcome: &mut Outcome) -> Result<f64, Finding> {
    let spoken = relations(holds).into_iter().find_map(|relation| Some((relation, relation.volumes(gauge, t).ok()?)));
    let Some((relation, volumes)) = spoken else {
        return Err(Finding::at(
            "bar",
            code::PROCESS_IMPOSSIBLE,
            "no published relation says how much gas this drink holds at this pressure and temperature",
            "write what it is to hold instead, for example `volumes: 3.0`",
        ));
    };
    if volumes > VOLUMES_MOST {
        return Err(Finding::at(
            "bar",
            code::BAD_PARAMETER,
            format!("{} bar at {} would dissolve {} volumes", number(gauge), celsius(t), number(volumes)),
            "write a lower pressure; 1 to 3 bar are usual near 3 °C",
        ));
    }
    outcome.sources.push(relation.source());
    outcome.remarks.push(format!(
        "{} volumes at {} bar and {}, {}",
        number(volumes),
        number(gauge),
        celsius(t),
        corrected(relation, before)
    ));
    Ok(volumes)
}

/// Dissolves gas until the mixture reads so many volumes, the room that the gas itself takes included.
fn dissolve(before: &Mixture, volumes: f64, outcome: &mut Outcome) {
    let had = before.grams(Part::Co2);
    let mixture = &mut outcome.mixture;
    // The volume grows a little with the gas: a few rounds settle it to the last digit.
    for _ in 0..30 {
        mixture.set(Part::Co2, volumes * CO2_G_PER_VOLUME * mixture.volume_ml() / 1000.0);
    }
    let grams = mixture.grams(Part::Co2) - had;
    let (list, grams) = if grams >= 0.0 { (&mut outcome.added, grams) } else { (&mut outcome.removed, -grams) };
    list.push(Removed { what: "carbon dioxide".into(), grams });
}

/// A warning where fat, protein or solids would make it foam over.
fn foaming(mixture: &Mixture) -> Option<Finding> {
    let volume = mixture.figure_volume().ok()?;
    let (part, per_100ml) = FOAMING.into_iter().find_map(|(part, limit)| {
        let per_100ml = 100.0 * mixture.grams(part) / volume;
        (per_100ml > limit).then_some((part, per_100ml))
    })?;
    Some(Finding::new(
        code::PROCESS_DOUBT,
        format!("it holds {} g/100 ml of {}, which foams over and lets the gas go", number(per_100ml), part.word()),
        "clarify or strain it first, and leave egg and cream for the glass",
    ))
}

//! Stirring, shaking, throwing and swizzling over ice: how much water comes in, and how cold it gets.
//!
//! - `dilution`: water, % of the volume **before** at 20 °C, 0 to 300; what the line says is what happens
//! - `from`: the mixture's temperature, °C, −50 to 100; the stage's own where the line doesn't say
//! - `ice`: the ice's temperature, °C, −60 to 0; the bar's where the line doesn't say
//! - `to`: an end temperature, °C; between the freezing point and the start
//! - `for`: time, h; above 0
//!
//! Without `dilution` one of two models speaks, and the remarks say which, its error, and what the other would have said:
//! 1. The published empirical fit (`relation::dilution_fit`, D. Arnold 2014; at least ±15 %) for stirred and shaken drinks of
//!    15 to 40 % vol, when the start is at room temperature and the ice near 0 °C, which is what was fitted.
//! 2. Otherwise the energy balance (`relation::chill_balance`), with the ice and vessel of `chilling`. Throwing and swizzling
//!    have no published fit. Swizzling is reckoned with crushed ice; the published constant for a drink built over ice
//!    (0.24 ml/ml) is only compared, because a built drink is stirred once and a swizzled one until the glass frosts.
//!
//! The temperature is the balance's for so much melt, and not below the freezing point of the diluted drink: what melts decides
//! how cold it is. The ice itself is strained off or served beside; it is not in the mixture.

use super::carbonate::gassy;
use super::chilling::{self, Silent, Start, Way};
use super::frozen;
use super::given::{WATER_G_PER_ML, celsius, known, nothing, positive, temperature, unknown_water};
use super::remark::{number, time};
use super::{Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Part, Quantity};
use crate::problem::{Severity, code};
use crate::relation::chill_balance::{self, Chilled};
use crate::relation::{OutOfRange, dilution_fit};

/// A way of working over ice.
struct Style {
    /// As in `shaken drinks`.
    participle: &'static str,
    way: Way,
    fit: Option<fn(f64) -> Result<f64, OutOfRange>>,
    /// A published figure for a drink that is made nearly so, ml per ml, and how.
    near: Option<(f64, &'static str)>,
}

const STIR: Style =
    Style { participle: "stirred", way: chilling::STIRRED, fit: Some(dilution_fit::stirred), near: None };
const SHAKE: Style = Style { participle: "shaken", way: chilling::SHAKEN, fit: Some(dilution_fit::shaken), near: None };
const THROW: Style = Style { participle: "thrown", way: chilling::THROWN, fit: None, near: None };
const SWIZZLE: Style = Style {
    participle: "swizzled",
    way: chilling::SWIZZLED,
    fit: None,
    near: Some((dilution_fit::BUILT, "a drink built over ice")),
};

/// Start temperatures that count as room temperature for the fit, °C. Ours: the fit's own room was not stated.
const ROOM_LIKE: std::ops::RangeInclusive<f64> = 15.0..=28.0;
/// Ice that counts as bar ice for the fit, °C and warmer. Ours: the source takes bar ice to be at 0 °C.
const BAR_ICE_C: f64 = -2.0;
/// More than this is doubted, % of the volume before.
const DILUTION_DOUBT: f64 = 300.0;
/// More than this can't be meant, % of the volume before.
const DILUTION_MOST: f64 = 1000.0;
/// How far below the freezing point an end temperature may lie, °C: the error of the freezing point.
pub(super) const FREEZING_ERROR: f64 = 0.5;
/// Shaking reaches its end within these seconds (D. Arnold, Cocktail Science in General, part 1, 2010, public article).
const SHAKING_S: (f64, f64) = (12.0, 15.0);
/// Stirring that does what 15 s of shaking do, s (same source: 120 or more).
const STIRRING_S: f64 = 120.0;

/// Runs `stir`.
pub(super) fn stir(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    over_ice(&STIR, before, args, bar)
}

/// Runs `shake`.
pub(super) fn shake(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    over_ice(&SHAKE, before, args, bar)
}

/// Runs `throw`.
pub(super) fn throw(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    over_ice(&THROW, before, args, bar)
}

/// Runs `swizzle`.
pub(super) fn swizzle(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    over_ice(&SWIZZLE, before, args, bar)
}

/// Water that a way of working over ice would add to a mixture, and what is to be said of it.
pub(super) struct Taken {
    /// Water, g; negative where water of the drink freezes onto very cold ice.
    pub(super) water_g: f64,
    /// Temperature reached, °C, where the model that spoke gives one.
    temperature: Option<f64>,
    pub(super) remarks: Vec<String>,
    pub(super) sources: Vec<&'static str>,
}

impl Taken {
    /// Water alone, with one remark and one source.
    pub(super) fn of_water(water_g: f64, remark: String, source: &'static str) -> Self {
        Self { water_g, temperature: None, remarks: vec![remark], sources: vec![source] }
    }
}

/// What `stir`, `shake`, `throw` or `swizzle` would add by itself; `None` for another process.
///
/// Errors: why no model can tell.
pub(super) fn expected(process: Process, before: &Mixture, bar: &Bar) -> Option<Result<Taken, Because>> {
    let style = match process {
        Process::Stir => &STIR,
        Process::Shake => &SHAKE,
        Process::Throw => &THROW,
        Process::Swizzle => &SWIZZLE,
        _ => return None,
    };
    let start = Start { mixture: before, start_c: before.temperature, ice_c: bar.ice_c, room_c: bar.room_c };
    Some(model(style, start, None, fitted(&start)).map_err(|silent| match silent {
        Silent::Because(why) => why,
        Silent::Beyond(..) => Because::one("no end temperature can be had"),
    }))
}

/// Whether the published fits were made for such a start.
fn fitted(start: &Start) -> bool {
    ROOM_LIKE.contains(&start.start_c) && start.ice_c >= BAR_ICE_C && start.mixture.ice_g == 0.0
}

fn over_ice(style: &Style, before: &Mixture, args: &Args, bar: &Bar) -> Result<Outcome, Finding> {
    let dilution = dilution(args)?;
    let (start, to) = start(before, args, bar)?;
    positive("for", args.hours("for"), 24.0, " h", "12 s")?;
    if let Some(finding) = gassy(before, style.participle) {
        return Err(finding);
    }
    if let Some(done) = nothing(before) {
        return done;
    }
    let mut outcome = Outcome::of(before.clone());
    let as_fitted = fitted(&start) && !["from", "ice", "to"].iter().any(|key| args.has(key));
    let modelled = model(style, start, to.filter(|_| dilution.is_none()), as_fitted);
    match dilution {
        Some(percent) => stated(style, start, percent, to, modelled, &mut outcome)?,
        None => match modelled {
            Ok(taken) => take(style, start, taken, &mut outcome),
            Err(Silent::Beyond(low, high)) => return Err(out_of_reach(style, low, high)),
            Err(Silent::Because(why)) => unknown(style, start, &why, &mut outcome),
        },
    }
    outcome.remarks.extend(said_of_time(style, args));
    outcome.findings.extend(frozen_start(&start, args));
    if before.ice_g > 0.0 {
        outcome.findings.push(Finding::new(
            code::PROCESS_DOUBT,
            format!("{} g of it is ice before it meets any, which neither model reckons with", number(before.ice_g)),
            "put `thaw` before it",
        ));
        let t = outcome.mixture.temperature;
        frozen::bring(&mut outcome.mixture, t, &mut outcome.remarks);
    }
    Ok(outcome)
}

/// `dilution` in % of the volume before, checked.
pub(super) fn dilution(args: &Args) -> Result<Option<f64>, Finding> {
    match args.percent("dilution") {
        Some(percent) if !(0.0..=DILUTION_MOST).contains(&percent) => Err(Finding::at(
            "dilution",
            code::BAD_PARAMETER,
            format!("a dilution of {} % of the volume before", number(percent)),
            "write the water that comes in as a share of the volume before, for example `dilution: 25 %`",
        )),
        given => Ok(given),
    }
}

/// A warning for a dilution that hardly anybody means.
pub(super) fn much(percent: f64) -> Option<Finding> {
    (percent > DILUTION_DOUBT).then(|| {
        Finding::at(
            "dilution",
            code::PROCESS_DOUBT,
            format!("a dilution of {} % of the volume before is more than ice gives", number(percent)),
            "write the water that comes in as a share of the volume before; drinks over ice take up 20 to 90 %",
        )
    })
}

/// Start, ice and end temperature as the line or the bar has them, checked.
pub(super) fn start<'a>(before: &'a Mixture, args: &Args, bar: &Bar) -> Result<(Start<'a>, Option<f64>), Finding> {
    let from = temperature(args, "from", (-50.0, 100.0), "no drink starts there, and heat is not reckoned further")?;
    let ice = temperature(args, "ice", (-60.0, 0.0), "ice is at 0 °C at most, and is not reckoned below −60 °C")?;
    let to = temperature(args, "to", (-50.0, 100.0), "no drink over ice ends there")?;
    let start = Start {
        mixture: before,
        start_c: from.unwrap_or(before.temperature),
        ice_c: ice.unwrap_or(bar.ice_c),
        room_c: bar.room_c,
    };
    Ok((start, to))
}

/// Asks both models and lets one speak.
fn model(style: &Style, start: Start, to: Option<f64>, as_fitted: bool) -> Result<Taken, Silent> {
    let balance = match chilling::balance(&style.way, start, to) {
        Err(beyond @ Silent::Beyond(..)) => return Err(beyond),
        Err(Silent::Because(why)) => Err(why),
        Ok(chilled) => Ok(chilled),
    };
    let fit = fit_percent(style, start.mixture);
    match (fit, balance) {
        (Some(Ok(percent)), balance) if as_fitted => {
            let volume = start.mixture.figure_volume()?;
            let other = balance.map(|chilled| percent_of(chilled.water, volume));
            Ok(by_fit(style, percent, volume, other))
        }
        (_, Err(why)) => Err(why.into()),
        (fit, Ok(chilled)) => Ok(by_balance(style, start, &chilled, to, fit, as_fitted)),
    }
}

/// Water in g as % of a volume in ml.
fn percent_of(water_g: f64, volume_ml: f64) -> f64 {
    100.0 * water_g / WATER_G_PER_ML / volume_ml
}

/// What the published fit says, % of the volume before; `None` where there is no fit for this way of working.
fn fit_percent(style: &Style, mixture: &Mixture) -> Option<Result<f64, Because>> {
    let fit = style.fit?;
    Some(mixture.figure_abv().and_then(|abv| {
        fit(abv / 100.0).map(|ratio| 100.0 * ratio).map_err(|_| {
            Because::one(format!(
                "the start is at {} % vol and the fit holds from {} to {} % vol",
                number(abv),
                number(100.0 * dilution_fit::LOWEST),
                number(100.0 * dilution_fit::HIGHEST)
            ))
        })
    }))
}

/// `, 2 points more` and the like: how far another figure lies from the one that spoke, both in %.
fn apart(other: f64, spoken: f64) -> String {
    let points = other - spoken;
    match points.abs() {
        // Less than this is not seen at one decimal.
        near if near < 0.05 => ", the same".into(),
        far if points > 0.0 => format!(", {far:.1} points more"),
        far => format!(", {far:.1} points less"),
    }
}

/// What the energy balance takes, in one sentence.
fn assumptions(style: &Style, to: Option<f64>) -> String {
    format!("the energy balance takes {}", style.way.assumes(to))
}

fn by_fit(style: &Style, percent: f64, volume: f64, balance: Result<f64, Because>) -> Taken {
    let error = number(100.0 * dilution_fit::RELATIVE_ERROR);
    let balanced = balance.is_ok();
    let other = match balance {
        Ok(other) => format!("an energy balance would give {} %{}", number(other), apart(other, percent)),
        Err(why) => format!("an energy balance can't be made, because {}", why.text()),
    };
    let mut taken = Taken::of_water(
        percent / 100.0 * volume * WATER_G_PER_ML,
        format!(
            "{} % of the volume before by the published fit for {} drinks (±{error} %); {other}",
            number(percent),
            style.participle
        ),
        dilution_fit::SOURCE,
    );
    if balanced {
        taken.remarks.push(assumptions(style, None));
        taken.sources.push(chill_balance::SOURCE);
    }
    taken
}

fn by_balance(
    style: &Style,
    start: Start,
    chilled: &Chilled,
    to: Option<f64>,
    fit: Option<Result<f64, Because>>,
    as_fitted: bool,
) -> Taken {
    let percent = percent_of(chilled.water, start.mixture.volume_ml());
    let other = match (fit, style.near) {
        (Some(Ok(other)), _) => format!(
            "the published fit, which holds for ice at 0 °C and a start at room temperature, would give {} %{}",
            number(other),
            apart(other, percent)
        ),
        (Some(Err(why)), _) => format!("the published fit is silent, because {}", why.text()),
        (None, Some((ratio, made))) => format!(
            "no fit is published for {} drinks, and the published constant for {made} would give {} %{}",
            style.participle,
            number(100.0 * ratio),
            apart(100.0 * ratio, percent)
        ),
        (None, None) => format!("no fit is published for {} drinks", style.participle),
    };
    let start_and_ice = if as_fitted {
        String::new()
    } else {
        format!(" from {} with ice at {}", celsius(start.start_c), celsius(start.ice_c))
    };
    let mut sources = vec![chill_balance::SOURCE];
    if style.fit.is_some() || style.near.is_some() {
        sources.push(dilution_fit::SOURCE);
    }
    Taken {
        water_g: chilled.water,
        temperature: Some(chilled.temperature),
        remarks: vec![
            format!(
                "{} % of the volume before by an energy balance{start_and_ice}, an estimate; {other}",
                number(percent)
            ),
            assumptions(style, to),
        ],
        sources,
    }
}

/// The water that a model gives, and the temperature that goes with it.
fn take(style: &Style, start: Start, taken: Taken, outcome: &mut Outcome) {
    outcome.remarks.extend(taken.remarks);
    for source in taken.sources {
        cite(outcome, source);
    }
    pour_melt(outcome, start, taken.water_g);
    match taken.temperature {
        Some(t) => outcome.mixture.bring_to(t),
        None => set_temperature(&style.way, start, taken.water_g, outcome),
    }
}

/// The water that the line states, beside what a model would have said.
fn stated(
    style: &Style,
    start: Start,
    percent: f64,
    to: Option<f64>,
    modelled: Result<Taken, Silent>,
    outcome: &mut Outcome,
) -> Result<(), Finding> {
    let volume = start.mixture.volume_ml();
    let water_g = percent / 100.0 * volume * WATER_G_PER_ML;
    pour_melt(outcome, start, water_g);
    // Exactly as written, whatever the last bit of the sum is.
    outcome.dilution_pct = Some(percent);
    if let Ok(taken) = modelled {
        let other = percent_of(taken.water_g, volume);
        let fit = taken.temperature.is_none();
        outcome.remarks.push(format!(
            "dilution as written; {} would give {} %{}",
            if fit { format!("the published fit for {} drinks", style.participle) } else { "an energy balance".into() },
            number(other),
            apart(other, percent)
        ));
        cite(outcome, if fit { dilution_fit::SOURCE } else { chill_balance::SOURCE });
    }
    outcome.findings.extend(much(percent));
    match to {
        Some(t) => {
            reachable(start, t, &outcome.mixture)?;
            outcome.mixture.bring_to(t);
        }
        None => set_temperature(&style.way, start, water_g, outcome),
    }
    Ok(())
}

/// No model can tell: the amounts of water, and so volume and mass, are unknown; grams of alcohol and sugar stay.
fn unknown(style: &Style, start: Start, why: &Because, outcome: &mut Outcome) {
    unknown_water(
        &mut outcome.mixture,
        &format!("how much ice melts into a {} drink can't be told", style.participle),
        why,
    );
    let because = format!("no model can tell how cold it gets, because {}", why.text());
    outcome.mixture.lose_temperature(start.start_c.min(start.ice_c.max(0.0)), because);
    outcome.remarks.push(format!("no model can tell the dilution, because {}", why.text()));
    // A missing fact is told where the fact is missing; only a relation that does not reach is news here.
    if known(start.mixture, &[Quantity::Ethanol, Quantity::Sugar, Quantity::Acid, Quantity::Mass]).is_ok() {
        outcome.findings.push(Finding::new(
            code::OUTSIDE_MODEL,
            format!("the dilution can't be modelled: {}", why.text()),
            "measure it and write it, for example `dilution: 25 %`",
        ));
    }
}

/// Puts melt into the mixture and books it; negative where water has frozen onto the ice.
fn pour_melt(outcome: &mut Outcome, start: Start, water_g: f64) {
    let volume = start.mixture.volume_ml();
    outcome.mixture.add_grams(Part::Water, water_g);
    if start.mixture.why_unknown(Quantity::Volume).is_none() && volume > 0.0 {
        outcome.dilution_pct = Some(percent_of(water_g, volume));
    }
    if water_g > 0.0 {
        outcome.added.push(Removed { what: "water from ice".into(), grams: water_g });
    } else if water_g < 0.0 {
        outcome.removed.push(Removed { what: "water frozen onto the ice".into(), grams: -water_g });
    }
}

/// Sets the temperature that goes with so much melt, and says where it is from.
fn set_temperature(way: &Way, start: Start, water_g: f64, outcome: &mut Outcome) {
    match chilling::temperature_with(way, start, water_g) {
        Ok(t) => {
            outcome.mixture.bring_to(t);
            outcome.remarks.push(format!(
                "{} is what so much melt leaves by the energy balance, not below the freezing point",
                celsius(t)
            ));
            cite(outcome, chill_balance::SOURCE);
        }
        Err(why) => {
            let because = format!("no model can tell how cold it gets, because {}", why.text());
            outcome.mixture.lose_temperature(start.start_c.min(0.0), because);
        }
    }
}

/// Names a source once.
fn cite(outcome: &mut Outcome, source: &'static str) {
    if !outcome.sources.contains(&source) {
        outcome.sources.push(source);
    }
}

/// Refuses an end temperature that ice can't give.
fn reachable(start: Start, t: f64, after: &Mixture) -> Result<(), Finding> {
    let coldest = after.figure_freezing().unwrap_or(-50.0) - FREEZING_ERROR;
    if (coldest..=start.start_c.max(coldest)).contains(&t) {
        return Ok(());
    }
    Err(Finding::at(
        "to",
        code::PROCESS_IMPOSSIBLE,
        format!(
            "{} can't be reached: it starts at {} and the diluted drink freezes at {}",
            celsius(t),
            celsius(start.start_c),
            after.figure_freezing().map_or("an unknown temperature".into(), celsius)
        ),
        "write a temperature between the two, or leave `to` out",
    ))
}

fn out_of_reach(style: &Style, low: f64, high: f64) -> Finding {
    Finding::at(
        "to",
        code::PROCESS_IMPOSSIBLE,
        format!(
            "a {} drink with this start and this ice ends between {} and {}",
            style.participle,
            celsius(low),
            celsius(high)
        ),
        "write a temperature between the two, or leave `to` out",
    )
}

fn said_of_time(style: &Style, args: &Args) -> Option<String> {
    let hours = args.hours("for")?;
    let seconds = hours * 3600.0;
    let (least, most) = SHAKING_S;
    match style.participle {
        "shaken" if seconds < least - 0.5 => Some(format!(
            "{} of shaking is short of the {} to {} s after which nothing changes, so expect less water and a warmer drink",
            time(hours),
            number(least),
            number(most)
        )),
        "shaken" if seconds > most + 0.5 => Some(format!(
            "nothing much changes after {} to {} s of shaking, so {} adds little",
            number(least),
            number(most),
            time(hours)
        )),
        "stirred" if seconds > STIRRING_S => Some(format!(
            "{} of stirring does what shaking does in 15 s, so expect more water than a stirred drink takes up",
            time(hours)
        )),
        _ => None,
    }
}

/// A warning where the start is so cold that the mixture would not be a liquid.
pub(super) fn frozen_start(start: &Start, args: &Args) -> Option<Finding> {
    (args.has("from") && chilling::frozen_at(start.mixture, start.start_c)).then(|| {
        Finding::at(
            "from",
            code::PROCESS_DOUBT,
            format!(
                "at {} part of it is ice before it meets any; it freezes at {}",
                celsius(start.start_c),
                start.mixture.figure_freezing().map_or("an unknown temperature".into(), celsius)
            ),
            "write a warmer start",
        )
        .severity(Severity::Warning)
    })
}

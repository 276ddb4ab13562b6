//! Readings at a stage: a measurement beats an estimate, and both are kept.

use super::run::Stage;
use crate::measure::{Amount, Units, float};
use crate::mixture::{Mixture, Part, Quantity};
use crate::notebook::reading::Reading;
use crate::notebook::recipe_note::RecipeNote;
use crate::problem::{Problem, code};
use crate::relation::ethanol_density::{ETHANOL_DENSITY_20C, WATER_DENSITY_20C};
use crate::relation::gravity::extract_nbs;
use crate::source::{Span, Spanned};

/// Volume that a gram of sugar or acid takes up in a drink, ml: how much water a reading of more of it leaves out.
const SOLUTE_ML_PER_G: f64 = 0.62;
const WATER_G_PER_ML: f64 = WATER_DENSITY_20C / 1000.0;
/// Below this strength a refractometer's error from ethanol is smaller than its own (0.1 °Bx; common practice, no source).
const BRIX_MOST_ABV: f64 = 0.5;

/// Applies the readings taken at a stage. `last` is the stage that a reading without `after` means.
pub(super) fn apply(
    note: &RecipeNote,
    stage: &mut Stage,
    first: bool,
    last: bool,
    ph: &mut Option<f64>,
    problems: &mut Vec<Problem>,
) {
    for reading in &note.readings {
        let here = match &reading.after {
            Some(after) => after.value == stage.name || (first && after.value == "mix"),
            None => last,
        };
        if !here {
            continue;
        }
        if let Some(value) = &reading.ph {
            *ph = Some(value.value);
        }
        let before = stage.mixture.clone();
        one(reading, &mut stage.mixture, problems);
        if stage.mixture != before && stage.estimate.is_none() {
            stage.estimate = Some(before);
        }
    }
}

/// How far a measured amount may lie above the estimate before it is doubted: jugs and yields differ by a few per cent.
const MOST_GAIN: f64 = 1.05;

/// A reading of clearly more than there can be: it is taken, since a reading beats an estimate, but not without a word, because
/// "the composition stays" then makes alcohol and sugar that nobody poured.
fn doubt(estimate: f64, measured: f64, unit: &str, span: Span) -> Option<Problem> {
    (measured > estimate * MOST_GAIN).then(|| {
        Problem::new(
            code::READING_DOUBTFUL,
            span,
            format!("{measured:.0} {unit} was measured, but what went in makes {estimate:.0} {unit}"),
        )
        .help("check the reading and its unit; if something was added, write it as a pour or a process")
    })
}

/// Gives a stage a measured volume, composition unchanged.
pub(super) fn set_volume(stage: &mut Stage, ml: f64, span: Span, problems: &mut Vec<Problem>) {
    if stage.mixture.volume_ml() <= 0.0 {
        return;
    }
    if stage.mixture.why_unknown(Quantity::Volume).is_none() {
        problems.extend(doubt(stage.mixture.volume_ml(), ml, "ml", span));
    }
    if stage.estimate.is_none() {
        stage.estimate = Some(stage.mixture.clone());
    }
    stage.mixture = stage.mixture.portion(ml);
    stage.mixture.close_gap(Quantity::Volume);
}

/// Reports readings after a stage that does not exist.
pub(super) fn check_stages(note: &RecipeNote, stages: &[Stage], problems: &mut Vec<Problem>) {
    for reading in &note.readings {
        let Some(after) = &reading.after else { continue };
        if !stages.iter().any(|s| s.name == after.value) {
            let names: Vec<&str> = stages.iter().map(|s| s.name.as_str()).collect();
            problems.push(
                Problem::new(code::READING_STAGE, after.span, format!("this recipe has no stage `{}`", after.value))
                    .help(format!("a reading can be taken after: {}", names.join(", "))),
            );
        }
    }
}

/// Lets one reading replace what is known of a mixture.
pub(super) fn one(reading: &Reading, mixture: &mut Mixture, problems: &mut Vec<Problem>) {
    // Units of measure in readings are ml and g or exact multiples; customary ones take their default.
    let units = Units::default();
    if let Some(t) = &reading.temperature {
        mixture.bring_to(t.value);
    }
    let amount = |a: &Option<Spanned<Amount>>| a.as_ref().and_then(|v| v.value.base(&units)).map(float);
    let (ml, grams) = (amount(&reading.volume), amount(&reading.weight));
    let known = |quantity| mixture.why_unknown(quantity).is_none();
    if let (Some(g), Some(weight), true) = (grams, &reading.weight, known(Quantity::Mass)) {
        problems.extend(doubt(mixture.mass_g(), g, "g", weight.span));
    } else if let (Some(ml), Some(volume), true) = (ml, &reading.volume, known(Quantity::Volume)) {
        problems.extend(doubt(mixture.volume_ml(), ml, "ml", volume.span));
    }
    if let Some(g) = grams.filter(|_| mixture.mass_g() > 0.0) {
        *mixture = mixture.weighed(g);
        mixture.close_gap(Quantity::Mass);
    }
    if let Some(ml) = ml.filter(|_| mixture.volume_ml() > 0.0) {
        // Weighed and measured, its density is known; measured alone, it is as much of the same.
        match grams {
            Some(_) => mixture.set_own_volume(ml),
            None => *mixture = mixture.portion(ml),
        }
        mixture.close_gap(Quantity::Volume);
    }
    if let Some(gravity) = &reading.gravity {
        by_gravity(reading, gravity, mixture, problems);
    }
    let volume = mixture.volume_ml();
    if let Some(abv) = &reading.abv {
        replace(
            mixture,
            Part::Ethanol,
            abv.value / 100.0 * volume * ETHANOL_DENSITY_20C / 1000.0,
            1000.0 / ETHANOL_DENSITY_20C,
        );
        mixture.close_gap(Quantity::Ethanol);
    }
    if let Some(sugar) = &reading.sugar {
        replace_sugar(mixture, sugar.value / 100.0 * volume);
    }
    if let Some(acid) = &reading.acid {
        replace(mixture, Part::Acid, acid.value / 100.0 * volume, SOLUTE_ML_PER_G);
        mixture.close_gap(Quantity::Acid);
    }
    if let Some(brix) = &reading.brix {
        match mixture.figure_abv() {
            Ok(abv) if abv <= BRIX_MOST_ABV => {
                replace_sugar(mixture, sugar_for(mixture, brix.value / 100.0));
            }
            strength => {
                let why = strength
                    .map_or_else(|_| "whose strength is not known".to_owned(), |abv| format!("of {abv:.1} % vol"));
                problems.push(
                    Problem::new(code::READING_REFUSED, brix.span, format!("a °Bx reading of a mixture {why} says nothing certain about its sugar"))
                        .label("alcohol bends light too")
                        .help("read it before the alcohol goes in, or state the sugar as `sugar: 12` (g/100 ml) from an analysis"),
                );
            }
        }
    }
}

/// A gravity is a density; where no alcohol lightens it, it also says how much sugar is dissolved.
fn by_gravity(reading: &Reading, gravity: &Spanned<f64>, mixture: &mut Mixture, problems: &mut Vec<Problem>) {
    if mixture.why_unknown(Quantity::Mass).is_some() || mixture.is_empty() {
        problems.push(
            Problem::new(
                code::READING_REFUSED,
                gravity.span,
                "a gravity of a mixture whose mass is not known cannot be used",
            )
            .help("state the missing fact in the pantry, or read the weight too"),
        );
        return;
    }
    let volume = mixture.volume_ml();
    let sober = mixture.figure_abv().is_ok_and(|abv| abv <= BRIX_MOST_ABV);
    if sober && reading.brix.is_none() && reading.sugar.is_none() {
        // Below water and beyond the fit the density alone is taken.
        if let Ok(extract) = extract_nbs(gravity.value) {
            replace_sugar(mixture, sugar_for(mixture, extract.max(0.0)));
        }
    }
    let density = gravity.value * WATER_DENSITY_20C / 1000.0;
    mixture.set_own_volume(mixture.mass_g() / density);
    // The amount stays: what was measured, or else the volume that was there.
    *mixture =
        if reading.weight.is_some() && reading.volume.is_none() { mixture.clone() } else { mixture.portion(volume) };
}

/// Grams of sugar that make it a share of the mass, once water has given way to them.
fn sugar_for(mixture: &Mixture, share: f64) -> f64 {
    let (mass, sugar) = (mixture.mass_g(), mixture.grams(Part::Sugar));
    let heavier = 1.0 - SOLUTE_ML_PER_G * WATER_G_PER_ML;
    sugar + (share * mass - sugar) / (1.0 - share * heavier)
}

fn replace_sugar(mixture: &mut Mixture, grams: f64) {
    let before = mixture.grams(Part::Sugar);
    replace(mixture, Part::Sugar, grams, SOLUTE_ML_PER_G);
    mixture.sweet_g += grams - before;
    mixture.close_gap(Quantity::Sugar);
}

/// Sets a component; water gives way to it by volume, and the volume stays.
fn replace(mixture: &mut Mixture, part: Part, grams: f64, ml_per_g: f64) {
    let volume = mixture.volume_ml();
    let more = grams - mixture.grams(part);
    mixture.set(part, grams);
    let water = (mixture.grams(Part::Water) - more * ml_per_g * WATER_G_PER_ML).max(0.0);
    mixture.set(Part::Water, water);
    mixture.set_own_volume(volume);
}

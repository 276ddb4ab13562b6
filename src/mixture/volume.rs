//! The volume model: what a mixture of given masses takes up at 20 °C.
//!
//! Ethanol and water by OIML R 22; sugar as what it would add to the water present (Bubník); the rest by partial
//! specific volume. Error: about 0.1 kg/m³ for spirit and water, 0.3 kg/m³ for syrups; with both together, and for
//! fat, protein, acid and other solids, about 0.3 % (estimated, no published table of such mixtures was found).

use super::{PARTS, Part};
use crate::relation::{ethanol_density, sucrose_density};

/// ml/g of a part that is neither water, ethanol nor sugar.
fn partial_ml_per_g(part: Part) -> f64 {
    match part {
        // Milk fat at 20 °C is near 0.92 g/ml (handbook value, from memory).
        Part::Fat => 1.087,
        // Proteins in water take 0.73 ml/g (textbook value, from memory).
        Part::Protein => 0.73,
        // Acid powders add about 0.6 ml/g (worked example W18 of the reference; common practice).
        // Other solids are mostly carbohydrate, near the same; salt takes less (0.35), and is poured by the pinch.
        Part::Acid | Part::Solids => 0.6,
        // Strength and sugar are stated of the liquid without its gas, as a laboratory drives the gas out before it measures;
        // the few ml a litre that dissolved gas takes up are therefore not counted.
        Part::Co2 | Part::N2o | Part::N2 => 0.0,
        Part::Water | Part::Ethanol | Part::Sugar => 0.0,
    }
}

/// Volume at 20 °C in ml of these masses in g, in the order of [`Part`].
#[must_use]
pub fn model_ml(grams: &[f64; PARTS]) -> f64 {
    let of = |part: Part| grams[part as usize].max(0.0);
    let (water, ethanol, sugar) = (of(Part::Water), of(Part::Ethanol), of(Part::Sugar));
    let liquid = water + ethanol;
    let base = if liquid > 0.0 {
        // A fraction of two non-negative masses is always in range; the fallback is the density of water.
        let density = ethanol_density::density_20c(ethanol / liquid).unwrap_or(ethanol_density::WATER_DENSITY_20C);
        liquid / density * 1000.0
    } else {
        0.0
    };
    // Any mixture of sugar and water is in range; with no water the sugar takes its own amorphous volume.
    let sweet = sucrose_density::added_volume_20c(sugar, water).unwrap_or(0.0);
    let rest: f64 = Part::ALL
        .iter()
        .filter(|p| !matches!(p, Part::Water | Part::Ethanol | Part::Sugar))
        .map(|p| of(*p) * partial_ml_per_g(*p))
        .sum();
    base + sweet + rest
}

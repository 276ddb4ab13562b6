//! The mixture: grams of each component at a temperature. Every number on a page is read off one.
//!
//! In: fact sheets and amounts. Out: figures, each a number or the reason why nobody can know it. It knows no recipe.

pub mod figure;
pub mod sheet;
pub mod volume;

use std::collections::{BTreeMap, BTreeSet};

/// A component of a mixture; its amount is in grams.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // the names are the components
pub enum Part {
    Water,
    Ethanol,
    Sugar,
    Acid,
    Fat,
    Protein,
    /// Everything else that is dissolved or suspended: salt, gums, other carbohydrate.
    Solids,
    /// Dissolved carbon dioxide.
    Co2,
    /// Dissolved nitrous oxide.
    N2o,
    /// Dissolved nitrogen.
    N2,
}

/// How many components there are.
pub const PARTS: usize = 10;

impl Part {
    /// Every component, in order.
    pub const ALL: [Part; PARTS] = [
        Part::Water,
        Part::Ethanol,
        Part::Sugar,
        Part::Acid,
        Part::Fat,
        Part::Protein,
        Part::Solids,
        Part::Co2,
        Part::N2o,
        Part::N2,
    ];

    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Water => "water",
            Self::Ethanol => "ethanol",
            Self::Sugar => "sugar",
            Self::Acid => "acid",
            Self::Fat => "fat",
            Self::Protein => "protein",
            Self::Solids => "other solids",
            Self::Co2 => "carbon dioxide",
            Self::N2o => "nitrous oxide",
            Self::N2 => "nitrogen",
        }
    }
}

/// A quantity that a mixture may not know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // the names are the quantities
pub enum Quantity {
    Ethanol,
    Sugar,
    Acid,
    Fat,
    Protein,
    /// The total mass, and so density and mass shares.
    Mass,
    /// The volume at 20 °C, and so everything per volume.
    Volume,
    Sulphites,
    Caffeine,
    /// How warm it is.
    Temperature,
}

impl Quantity {
    /// Every quantity of what it holds, in order: a pour that nobody can work out takes these away, not the temperature.
    pub const ALL: [Quantity; 9] = [
        Self::Ethanol,
        Self::Sugar,
        Self::Acid,
        Self::Fat,
        Self::Protein,
        Self::Mass,
        Self::Volume,
        Self::Sulphites,
        Self::Caffeine,
    ];

    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Ethanol => "strength",
            Self::Sugar => "sugar",
            Self::Acid => "acid",
            Self::Fat => "fat",
            Self::Protein => "protein",
            Self::Mass => "mass",
            Self::Volume => "volume",
            Self::Sulphites => "sulphites",
            Self::Caffeine => "caffeine",
            Self::Temperature => "temperature",
        }
    }
}

/// Grams of each component, its own volume beside the model's, its temperature, and what is not known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixture {
    grams: [f64; PARTS],
    /// Own volume at 20 °C minus the model's, ml: what a label or a stated density says beyond the model.
    own_ml: f64,
    /// °C.
    pub temperature: f64,
    /// Sugar by its sweetness, grams of sucrose.
    pub sweet_g: f64,
    /// Total sulphites as SO₂, mg.
    pub sulphites_mg: f64,
    /// Caffeine, mg.
    pub caffeine_mg: f64,
    /// Water that is ice at this temperature, g; it is part of the water.
    pub ice_g: f64,
    /// Why a quantity is not known, by quantity.
    gaps: BTreeMap<Quantity, BTreeSet<String>>,
}

impl Default for Mixture {
    fn default() -> Self {
        Self::empty(20.0)
    }
}

impl Mixture {
    /// Nothing, at a temperature in °C.
    #[must_use]
    pub fn empty(temperature: f64) -> Self {
        Self {
            grams: [0.0; PARTS],
            own_ml: 0.0,
            temperature,
            sweet_g: 0.0,
            sulphites_mg: 0.0,
            caffeine_mg: 0.0,
            ice_g: 0.0,
            gaps: BTreeMap::new(),
        }
    }

    /// Water alone, in grams, at a temperature in °C.
    #[must_use]
    pub fn water(grams: f64, temperature: f64) -> Self {
        let mut mixture = Self::empty(temperature);
        mixture.grams[Part::Water as usize] = grams;
        mixture
    }

    /// Grams of a component; what is not known of it is not in the number.
    #[must_use]
    pub fn grams(&self, part: Part) -> f64 {
        self.grams[part as usize]
    }

    /// Sets a component, in grams.
    pub fn set(&mut self, part: Part, grams: f64) {
        self.grams[part as usize] = grams;
    }

    /// Adds to a component, in grams; a negative amount takes away.
    pub fn add_grams(&mut self, part: Part, grams: f64) {
        self.grams[part as usize] += grams;
    }

    /// Total mass of all components that are known, g.
    #[must_use]
    pub fn mass_g(&self) -> f64 {
        self.grams.iter().sum()
    }

    /// Volume at 20 °C, ml: the model's plus what its pours were beyond it.
    #[must_use]
    pub fn volume_ml(&self) -> f64 {
        (volume::model_ml(&self.grams) + self.own_ml).max(0.0)
    }

    /// Gives the mixture this volume at 20 °C, as a label or a stated density says.
    pub fn set_own_volume(&mut self, ml: f64) {
        self.own_ml = ml - volume::model_ml(&self.grams);
    }

    /// Takes the volume from the model alone, as for a solid that dissolves.
    pub fn use_model_volume(&mut self) {
        self.own_ml = 0.0;
    }

    /// Records why a quantity is not known.
    pub fn gap(&mut self, quantity: Quantity, because: impl Into<String>) {
        self.gaps.entry(quantity).or_default().insert(because.into());
    }

    /// Forgets why a quantity was not known, because a reading says it.
    pub fn close_gap(&mut self, quantity: Quantity) {
        self.gaps.remove(&quantity);
    }

    /// Why a quantity is not known; `None` where it is.
    #[must_use]
    pub fn why_unknown(&self, quantity: Quantity) -> Option<&BTreeSet<String>> {
        self.gaps.get(&quantity)
    }

    /// Brings it to a temperature in °C, as a line or a thermometer says, whatever was known before.
    pub fn bring_to(&mut self, celsius: f64) {
        self.temperature = celsius;
        self.close_gap(Quantity::Temperature);
    }

    /// Records why nobody can tell how warm it is; what needs a number goes on with `celsius`.
    pub fn lose_temperature(&mut self, celsius: f64, because: impl Into<String>) {
        self.temperature = celsius;
        self.gap(Quantity::Temperature, because);
    }

    /// Whether there is nothing in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.mass_g() <= 0.0
    }

    /// The same mixture, `factor` times as much of it.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let mut out = self.clone();
        for grams in &mut out.grams {
            *grams *= factor;
        }
        out.own_ml *= factor;
        out.sweet_g *= factor;
        out.sulphites_mg *= factor;
        out.caffeine_mg *= factor;
        out.ice_g *= factor;
        out
    }

    /// As much of it as makes `ml` at 20 °C. Its volume must not be zero.
    #[must_use]
    pub fn portion(&self, ml: f64) -> Self {
        let volume = self.volume_ml();
        if volume <= 0.0 { self.scaled(0.0) } else { self.scaled(ml / volume) }
    }

    /// As much of it as weighs `grams`.
    #[must_use]
    pub fn weighed(&self, grams: f64) -> Self {
        let mass = self.mass_g();
        if mass <= 0.0 { self.scaled(0.0) } else { self.scaled(grams / mass) }
    }

    /// Pours another mixture in: masses add, volumes do not, temperatures meet by mass
    /// (heat capacities differ by under a fifth between drinks, which is ignored here).
    pub fn pour(&mut self, other: &Mixture) {
        let (mine, theirs) = (self.mass_g(), other.mass_g());
        if mine + theirs > 0.0 {
            self.temperature = (self.temperature * mine + other.temperature * theirs) / (mine + theirs);
        }
        for (grams, more) in self.grams.iter_mut().zip(other.grams) {
            *grams += more;
        }
        self.own_ml += other.own_ml;
        self.sweet_g += other.sweet_g;
        self.sulphites_mg += other.sulphites_mg;
        self.caffeine_mg += other.caffeine_mg;
        self.ice_g += other.ice_g;
        for (quantity, reasons) in &other.gaps {
            self.gaps.entry(*quantity).or_default().extend(reasons.iter().cloned());
        }
    }

    /// Adds water of a given mass and temperature in °C.
    pub fn pour_water(&mut self, grams: f64, temperature: f64) {
        self.pour(&Self::water(grams, temperature));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_labelled_bottle_keeps_its_label_and_contraction_shows() {
        // 60 ml at 40 % vol + 30 ml water: 89.870 ml, 26.705 % vol (mass balance on OIML R 22).
        let spirit = sheet::Sheet {
            abv: Some(40.0),
            sugar: Some(sheet::Content::per_100(0.0)),
            ..sheet::Sheet::liquid("spirit")
        }
        .per_ml()
        .unwrap()
        .scaled(60.0);
        let mut mix = spirit.clone();
        mix.pour(&Mixture::water(30.0 * 0.998_201, 20.0));
        assert!((spirit.volume_ml() - 60.0).abs() < 1e-9);
        assert!((mix.volume_ml() - 89.870).abs() < 1e-3, "{}", mix.volume_ml());
    }
}

//! Fact sheets: what is stated of an ingredient, turned into a mixture of one millilitre or one gram of it.

use super::{Mixture, Part, Quantity};
use crate::relation::ethanol_density::ETHANOL_DENSITY_20C;

/// A content in g per 100, of volume or of mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Content {
    /// The number.
    pub value: f64,
    /// Per 100 g rather than per 100 ml.
    pub per_mass: bool,
}

impl Content {
    /// Per 100 ml of a liquid; of a solid, per 100 g.
    #[must_use]
    pub fn per_100(value: f64) -> Self {
        Self { value, per_mass: false }
    }
}

/// The numbers that are known of one ingredient. `None` is unknown, never zero.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The ingredient's name, for reasons.
    pub name: String,
    /// Whether facts are per 100 g and amounts are by mass.
    pub solid: bool,
    /// % vol at 20 °C.
    pub abv: Option<f64>,
    /// g/100.
    pub sugar: Option<Content>,
    /// g/100, as anhydrous citric acid.
    pub acid: Option<Content>,
    /// g/100.
    pub fat: Option<Content>,
    /// g/100.
    pub protein: Option<Content>,
    /// g/100; not stated counts as none, since what all facts leave is water.
    pub solids: Option<Content>,
    /// g/ml; of a solid, the bulk density.
    pub density: Option<f64>,
    /// Relative to sucrose.
    pub sweetness: Option<f64>,
    /// mg/l or mg/kg.
    pub sulphites: Option<f64>,
    /// mg/l or mg/kg.
    pub caffeine: Option<f64>,
    /// It is of a kind that bears sulphites, so that no figure means unknown.
    pub bears_sulphites: bool,
    /// It is of a kind that bears caffeine.
    pub bears_caffeine: bool,
}

/// Facts that cannot all be true.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction(pub String);

/// How far facts may overrun 100 ml or 100 g, or the model the stated density, before they contradict each other.
/// Published tables round each fact by itself and some count fibre twice: the worst of the built-in liquids (an 80 % acid) is 20 % off the volume model.
const SLACK: f64 = 0.02;
const DENSITY_SLACK: f64 = 0.25;

impl Sheet {
    /// A liquid of which nothing is known yet.
    #[must_use]
    pub fn liquid(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            solid: false,
            abv: None,
            sugar: None,
            acid: None,
            fat: None,
            protein: None,
            solids: None,
            density: None,
            sweetness: None,
            sulphites: None,
            caffeine: None,
            bears_sulphites: false,
            bears_caffeine: false,
        }
    }

    fn contents(&self) -> [(Part, Option<Content>); 5] {
        [
            (Part::Sugar, self.sugar),
            (Part::Acid, self.acid),
            (Part::Fat, self.fat),
            (Part::Protein, self.protein),
            (Part::Solids, self.solids),
        ]
    }

    /// One gram of a solid.
    ///
    /// # Errors
    /// [`Contradiction`] where the facts add up to more than 100 g.
    pub fn per_gram(&self) -> Result<Mixture, Contradiction> {
        let mut mixture = Mixture::empty(20.0);
        for (part, content) in self.contents() {
            mixture.set(part, content.map_or(0.0, |c| c.value / 100.0));
        }
        let known = mixture.mass_g();
        if known > 1.0 + SLACK {
            return Err(Contradiction(format!("100 g of it would hold {:.4} g", known * 100.0)));
        }
        if known > 1.0 {
            mixture = mixture.scaled(1.0 / known);
        }
        mixture.set(Part::Water, (1.0 - mixture.mass_g()).max(0.0));
        mixture.use_model_volume();
        self.finish(&mut mixture, 0.001);
        Ok(mixture)
    }

    /// One millilitre of a liquid.
    ///
    /// A stated density wins; otherwise the volume model gives the water that fills the millilitre.
    ///
    /// # Errors
    /// [`Contradiction`] where the facts leave no room for water, or do not go with the density.
    pub fn per_ml(&self) -> Result<Mixture, Contradiction> {
        let ethanol = self.abv.unwrap_or(0.0) / 100.0 * ETHANOL_DENSITY_20C / 1000.0;
        let filled = |density: f64| {
            let mut mixture = Mixture::empty(20.0);
            mixture.set(Part::Ethanol, ethanol);
            for (part, content) in self.contents() {
                let grams = content.map_or(0.0, |c| c.value / 100.0 * if c.per_mass { density } else { 1.0 });
                mixture.set(part, grams);
            }
            let water = density - mixture.mass_g();
            mixture.set(Part::Water, water);
            (mixture, water)
        };
        let model = |mixture: &Mixture| {
            let mut copy = mixture.clone();
            copy.use_model_volume();
            copy.volume_ml()
        };
        let density = match self.density {
            Some(density) => {
                let (mixture, water) = filled(density);
                if water < -SLACK * density {
                    return Err(self.no_room(&mixture, density));
                }
                let volume = model(&mixture);
                if (volume - 1.0).abs() > DENSITY_SLACK && !self.is_gapped() {
                    return Err(Contradiction(format!(
                        "a millilitre of these contents would weigh {:.3} g, not the stated {density} g",
                        density / volume
                    )));
                }
                density
            }
            None => self.model_density(&filled, &model)?,
        };
        let (mut mixture, water) = filled(density);
        mixture.set(Part::Water, water.max(0.0));
        mixture.set_own_volume(1.0);
        if self.density.is_none() {
            for (known, fact) in
                [(self.abv.is_some(), "strength"), (self.sugar.is_some(), "sugar"), (self.acid.is_some(), "acid")]
            {
                if !known {
                    mixture.gap(Quantity::Mass, format!("nobody stated the density or the {fact} of {}", self.name));
                }
            }
        }
        self.finish(&mut mixture, 0.001);
        Ok(mixture)
    }

    fn is_gapped(&self) -> bool {
        self.abv.is_none() || self.sugar.is_none()
    }

    fn no_room(&self, mixture: &Mixture, density: f64) -> Contradiction {
        let solids = mixture.mass_g() - mixture.grams(Part::Water);
        Contradiction(format!(
            "100 ml would hold {:.1} g of its contents alone, but {} {:.1} g",
            solids * 100.0,
            if self.density.is_some() { "is stated to weigh" } else { "has room for" },
            density * 100.0
        ))
    }

    fn model_density(
        &self,
        filled: &dyn Fn(f64) -> (Mixture, f64),
        model: &dyn Fn(&Mixture) -> f64,
    ) -> Result<f64, Contradiction> {
        // The least density is where no water is left; more water only adds volume.
        let (mut low, mut high) = (0.0, 3.0);
        for _ in 0..80 {
            let middle = f64::midpoint(low, high);
            let (mixture, water) = filled(middle);
            if water < 0.0 || model(&mixture) < 1.0 { low = middle } else { high = middle }
        }
        let (mixture, water) = filled(high);
        if water < -1e-9 || model(&mixture) > 1.0 + SLACK {
            return Err(Contradiction(format!(
                "100 ml of it would have to hold {:.0} ml of its contents, which leaves no room for water",
                model(&filled(high).0) * 100.0
            )));
        }
        Ok(high)
    }

    /// What both forms share: sweetness, traces, and the reasons for what is missing. `kilo` is the unit's mass or volume in kg or l.
    fn finish(&self, mixture: &mut Mixture, kilo: f64) {
        let sugar = mixture.grams(Part::Sugar);
        mixture.sweet_g = match self.sweetness {
            // A sweetener without sugar states its sweetness by its own mass.
            Some(sweetness) if sugar == 0.0 => mixture.mass_g() * sweetness,
            Some(sweetness) => sugar * sweetness,
            None => sugar,
        };
        mixture.sulphites_mg = self.sulphites.unwrap_or(0.0) * kilo;
        mixture.caffeine_mg = self.caffeine.unwrap_or(0.0) * kilo;
        let missing = [
            (Quantity::Ethanol, self.abv.is_some() || self.solid, "strength"),
            (Quantity::Sugar, self.sugar.is_some(), "sugar"),
            (Quantity::Acid, self.acid.is_some(), "acid"),
            (Quantity::Fat, self.fat.is_some(), "fat"),
            (Quantity::Protein, self.protein.is_some(), "protein"),
            (Quantity::Sulphites, self.sulphites.is_some() || !self.bears_sulphites, "sulphites"),
            (Quantity::Caffeine, self.caffeine.is_some() || !self.bears_caffeine, "caffeine"),
        ];
        for (quantity, known, fact) in missing {
            if !known {
                mixture.gap(quantity, format!("nobody stated the {fact} of {}", self.name));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_room_for_water_is_a_contradiction() {
        let sheet = Sheet { abv: Some(96.0), sugar: Some(Content::per_100(40.0)), ..Sheet::liquid("x") };
        assert!(sheet.per_ml().is_err());
        let sheet =
            Sheet { density: Some(1.0), abv: Some(0.0), sugar: Some(Content::per_100(120.0)), ..Sheet::liquid("x") };
        assert!(sheet.per_ml().is_err());
    }

    #[test]
    fn a_brix_syrup_gets_its_density_from_the_model() {
        let sheet = Sheet {
            abv: Some(0.0),
            sugar: Some(Content { value: 50.0, per_mass: true }),
            acid: Some(Content::per_100(0.0)),
            ..Sheet::liquid("syrup")
        };
        let ml = sheet.per_ml().unwrap();
        // 50 °Bx: 1229.65 kg/m³ (Bubník et al. 1995).
        assert!((ml.mass_g() - 1.22965).abs() < 3e-4, "{}", ml.mass_g());
        assert!(ml.why_unknown(Quantity::Mass).is_none());
        assert!(ml.why_unknown(Quantity::Fat).is_some());
    }
}

//! Food energy by the conversion factors of Regulation (EU) No 1169/2011, kilojoules and kilocalories each by its own.

use super::{OutOfRange, amount};

/// Short citation for pages.
pub const SOURCE: &str = "Regulation (EU) No 1169/2011, Annex XIV";
/// Accuracy: the factors are conventions, rounded to whole numbers.
pub const ERROR: &str = "conventional factors; about 5 % against a specific food (from memory)";

/// What yields energy, in grams. The components do not overlap: polyols and fibre are not part of `carbohydrate`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Nutrients {
    /// Carbohydrate except polyols and fibre, g; sugar is in it.
    pub carbohydrate: f64,
    /// Polyols except erythritol, g.
    pub polyols: f64,
    /// Protein, g.
    pub protein: f64,
    /// Fat, g.
    pub fat: f64,
    /// Salatrims, g.
    pub salatrims: f64,
    /// Ethanol, g.
    pub ethanol: f64,
    /// Organic acids, g.
    pub organic_acids: f64,
    /// Fibre, g.
    pub fibre: f64,
    /// Erythritol, g.
    pub erythritol: f64,
}

/// One component's two factors. They are separate roundings in the law, so neither is computed from the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factor {
    /// The component as the annex names it.
    pub component: &'static str,
    /// kJ/g.
    pub kj_per_g: f64,
    /// kcal/g.
    pub kcal_per_g: f64,
}

const fn factor(component: &'static str, kj_per_g: f64, kcal_per_g: f64) -> Factor {
    Factor { component, kj_per_g, kcal_per_g }
}

/// Annex XIV in the order of [`Nutrients`].
pub const FACTORS: [Factor; 9] = [
    factor("carbohydrate (except polyols)", 17.0, 4.0),
    factor("polyols", 10.0, 2.4),
    factor("protein", 17.0, 4.0),
    factor("fat", 37.0, 9.0),
    factor("salatrims", 25.0, 6.0),
    factor("alcohol (ethanol)", 29.0, 7.0),
    factor("organic acids", 13.0, 3.0),
    factor("fibre", 8.0, 2.0),
    factor("erythritol", 0.0, 0.0),
];

impl Nutrients {
    fn grams(&self) -> [f64; 9] {
        let Self { carbohydrate, polyols, protein, fat, salatrims, ethanol, organic_acids, fibre, erythritol } = *self;
        [carbohydrate, polyols, protein, fat, salatrims, ethanol, organic_acids, fibre, erythritol]
    }

    fn sum(&self, of: impl Fn(&Factor) -> f64) -> Result<f64, OutOfRange> {
        let mut sum = 0.0;
        for (grams, factor) in self.grams().into_iter().zip(&FACTORS) {
            sum += amount(factor.component, "g", grams)? * of(factor);
        }
        Ok(sum)
    }
}

/// Energy in kilojoules.
///
/// E = Σ factor × grams
/// - `nutrients`: grams, each finite and not negative
/// - returns E, kJ
///
/// Valid: EU and UK labelling. Nominal: 10 g ethanol = 290 kJ.
/// Errors: [`OutOfRange`] for a negative, infinite or NaN amount. Accuracy: [`ERROR`].
/// Source: Regulation (EU) No 1169/2011, Annex XIV, kJ column.
pub fn kilojoules(nutrients: &Nutrients) -> Result<f64, OutOfRange> {
    nutrients.sum(|factor| factor.kj_per_g)
}

/// Energy in kilocalories; not [`kilojoules`] divided by 4.184, because the law rounds its two columns separately.
///
/// E = Σ factor × grams
/// - `nutrients`: grams, each finite and not negative
/// - returns E, kcal
///
/// Valid: EU and UK labelling. Nominal: 10 g ethanol = 70 kcal.
/// Errors: [`OutOfRange`] for a negative, infinite or NaN amount. Accuracy: [`ERROR`].
/// Source: Regulation (EU) No 1169/2011, Annex XIV, kcal column.
pub fn kilocalories(nutrients: &Nutrients) -> Result<f64, OutOfRange> {
    nutrients.sum(|factor| factor.kcal_per_g)
}

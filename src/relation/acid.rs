//! Acids of drinks: molar and equivalent masses, equivalents as citric acid, titration, and an ideal pH.

use super::root::bisect;
use super::{Limits, OutOfRange, amount};

/// Short citation for pages.
pub const SOURCE: &str = "IUPAC atomic weights; AOAC 942.15; CRC Handbook class dissociation constants";
/// Accuracy of the two kinds of figure.
pub const ERROR: &str = "equivalents exact; ideal pH ±0.15 for acid in water, never for juice or with buffers";

/// IUPAC conventional atomic weights, g/mol.
const C: f64 = 12.011;
const H: f64 = 1.008;
const O: f64 = 15.999;
const P: f64 = 30.974;

/// An acid that is weighed or titrated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Acid {
    /// Citric acid, anhydrous: the basis of every acid figure.
    Citric,
    /// Citric acid monohydrate, as some of it is sold.
    CitricMonohydrate,
    /// Malic acid.
    Malic,
    /// Tartaric acid (L).
    Tartaric,
    /// Lactic acid.
    Lactic,
    /// Acetic acid.
    Acetic,
    /// Phosphoric acid, taken to give two protons up to pH 8 or 9.
    Phosphoric,
    /// Ascorbic acid, taken to give one.
    Ascorbic,
}

impl Acid {
    /// All, in the order of the reference tables.
    pub const ALL: [Self; 8] = [
        Self::Citric,
        Self::CitricMonohydrate,
        Self::Malic,
        Self::Tartaric,
        Self::Lactic,
        Self::Acetic,
        Self::Phosphoric,
        Self::Ascorbic,
    ];

    /// English name, as a pantry may write it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Citric => "citric acid",
            Self::CitricMonohydrate => "citric acid monohydrate",
            Self::Malic => "malic acid",
            Self::Tartaric => "tartaric acid",
            Self::Lactic => "lactic acid",
            Self::Acetic => "acetic acid",
            Self::Phosphoric => "phosphoric acid",
            Self::Ascorbic => "ascorbic acid",
        }
    }

    /// Molar mass, g/mol, from IUPAC atomic weights.
    pub const fn molar(self) -> f64 {
        match self {
            Self::Citric => 6.0 * C + 8.0 * H + 7.0 * O,
            Self::CitricMonohydrate => 6.0 * C + 10.0 * H + 8.0 * O,
            Self::Malic => 4.0 * C + 6.0 * H + 5.0 * O,
            Self::Tartaric => 4.0 * C + 6.0 * H + 6.0 * O,
            Self::Lactic => 3.0 * C + 6.0 * H + 3.0 * O,
            Self::Acetic => 2.0 * C + 4.0 * H + 2.0 * O,
            Self::Phosphoric => 3.0 * H + P + 4.0 * O,
            Self::Ascorbic => 6.0 * C + 8.0 * H + 6.0 * O,
        }
    }

    /// Protons that titration to pH 8.1 takes from one molecule.
    pub const fn protons(self) -> f64 {
        match self {
            Self::Citric | Self::CitricMonohydrate => 3.0,
            Self::Malic | Self::Tartaric | Self::Phosphoric => 2.0,
            Self::Lactic | Self::Acetic | Self::Ascorbic => 1.0,
        }
    }

    /// Equivalent mass, g per mole of protons: [`molar`](Self::molar) over [`protons`](Self::protons).
    pub const fn equivalent(self) -> f64 {
        self.molar() / self.protons()
    }

    /// Dissociation constants at 25 °C as pKa, strongest first (CRC Handbook class of value; ascorbic from memory).
    pub const fn pka(self) -> &'static [f64] {
        match self {
            Self::Citric | Self::CitricMonohydrate => &[3.13, 4.76, 6.4],
            Self::Malic => &[3.4, 5.2],
            Self::Tartaric => &[2.98, 4.34],
            Self::Lactic => &[3.86],
            Self::Acetic => &[4.76],
            Self::Phosphoric => &[2.148, 7.206, 12.342],
            Self::Ascorbic => &[4.04, 11.7],
        }
    }

    /// Grams of anhydrous citric acid with the titratable acidity of one gram: a ratio of equivalent masses.
    ///
    /// Nominal: malic 0.9552, tartaric 0.8534, lactic 0.7110. Titration, not taste.
    pub const fn as_citric(self) -> f64 {
        Self::Citric.equivalent() / self.equivalent()
    }

    /// Grams of anhydrous citric acid with as many molecules as one gram: a rough guide to equal sourness.
    ///
    /// Source: E. R. da Conceicao Neta et al., J. Food Sci. (2007): protonated organic acids are equally sour per mole.
    /// Perception studies disagree by a factor of about 2.
    pub const fn as_citric_by_mole(self) -> f64 {
        Self::Citric.molar() / self.molar()
    }
}

/// Grams of acid per milliequivalent as AOAC 942.15 prints them, to two digits.
///
/// The method's citric acid is the **monohydrate** (0.070); nutrition and balance work use the anhydrous acid, 9 % less,
/// which is [`Acid::equivalent`]/1000.
pub const AOAC_942_15: [(&str, f64); 7] = [
    ("malic acid", 0.067),
    ("oxalic acid", 0.045),
    ("citric acid monohydrate", 0.070),
    ("tartaric acid", 0.075),
    ("sulfuric acid", 0.049),
    ("acetic acid", 0.060),
    ("lactic acid", 0.090),
];

/// End point of a titration expressed as citric acid, pH (International Fruit and Vegetable Juice Association, Method 3, rev. 2017).
pub const END_POINT_CITRIC: f64 = 8.1;
/// End point of a titration expressed as malic or tartaric acid, pH (the same method).
pub const END_POINT_MALIC: f64 = 7.0;

/// Titratable acidity from a titration with sodium hydroxide.
///
/// A = V N f / v × 100
/// - `ml`: NaOH used, ml, finite and not negative; `mol_per_l`: its strength, mol/l, scalar in 0..=5
/// - `sample_ml`: sample, ml, scalar in 0.1..=1000
/// - `g_per_meq`: g of the acid per milliequivalent: [`AOAC_942_15`], or [`Acid::equivalent`]/1000, scalar in 0.01..=0.3
/// - returns A, g per 100 ml
///
/// Valid: to the end point of the acid named. Nominal: 7.5 ml of 0.1 mol/l for 10 ml, citric monohydrate: 0.525.
/// Errors: [`OutOfRange`] for a bad number. Accuracy: that of the reading.
/// Source: AOAC Official Method 942.15, Acidity (titratable) of fruit products.
pub fn titrated(ml: f64, mol_per_l: f64, sample_ml: f64, g_per_meq: f64) -> Result<f64, OutOfRange> {
    const METHOD: &str = "AOAC 942.15";
    let base = Limits { quantity: "sodium hydroxide", unit: "mol/l", low: 0.0, high: 5.0, source: METHOD };
    let sample = Limits { quantity: "sample", unit: "ml", low: 0.1, high: 1000.0, source: METHOD };
    let factor = Limits { quantity: "titration factor", unit: "g/meq", low: 0.01, high: 0.3, source: METHOD };
    let milliequivalents = amount("sodium hydroxide", "ml", ml)? * base.check(mol_per_l)?;
    Ok(milliequivalents * factor.check(g_per_meq)? / sample.check(sample_ml)? * 100.0)
}

const CONCENTRATION: Limits =
    Limits { quantity: "acid", unit: "g/l", low: 0.0, high: 200.0, source: "ideal charge balance" };

/// pH of acids in pure water, with all activity coefficients 1.
///
/// [H⁺] = K_w/[H⁺] + Σ cᵢ n̄ᵢ([H⁺]), n̄ the mean charge of acid i from its dissociation constants; solved by bisection
/// - `acids`: each acid with its concentration, g/l, scalar in 0..=200
/// - returns pH at 25 °C; 7.00 for none
///
/// Valid: **acid and water only**. Juice, milk and cordial are buffered by their salts and stand well above this, so a pH
/// shown to a reader must be a reading. Nominal: citric acid 5 g/l = 2.39.
/// Errors: [`OutOfRange`] for a concentration outside 0..=200 or NaN. Accuracy: 0.15.
/// Source: charge balance with the constants of [`Acid::pka`].
pub fn ideal_ph(acids: &[(Acid, f64)]) -> Result<f64, OutOfRange> {
    for &(_, grams_per_l) in acids {
        CONCENTRATION.check(grams_per_l)?;
    }
    const KW: f64 = 1e-14;
    let surplus = |ph: f64| {
        let h = libm::pow(10.0, -ph);
        let anions: f64 = acids.iter().map(|&(acid, grams)| grams / acid.molar() * mean_charge(acid, h)).sum();
        h - KW / h - anions
    };
    Ok(bisect(-1.0, 14.0, surplus))
}

/// Negative charges per molecule at a hydrogen ion concentration, mol/l.
fn mean_charge(acid: Acid, h: f64) -> f64 {
    // Terms of the partition: 1, K₁/h, K₁K₂/h², …
    let (mut term, mut all, mut charged) = (1.0, 1.0, 0.0);
    for (step, pka) in acid.pka().iter().enumerate() {
        term *= libm::pow(10.0, -pka) / h;
        all += term;
        charged += (step + 1) as f64 * term;
    }
    charged / all
}

//! Standard drinks and units of alcohol by country, and the two old scales of proof.

use super::ethanol_density::ETHANOL_DENSITY_20C;
use super::{Limits, OutOfRange, amount};

/// Short citation for pages.
pub const SOURCE: &str = "national definitions; Kalinowski and Humphreys, Addiction 111 (2016) 1293";
/// Accuracy: definitions, except where a country's official density is rounded.
pub const ERROR: &str = "definition; a rounded official density makes up to 1.4 % (Japan), else under 0.05 %";

/// How a country writes down the size of its drink.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// Grams of ethanol, with the density (g/ml) by which the country turns volume into grams.
    Grams {
        /// Grams of ethanol in one drink.
        grams: f64,
        /// g/ml at 20 °C: OIML R 22 unless the country prescribes a rounded figure.
        density: f64,
    },
    /// Millilitres of ethanol at 20 °C.
    Millilitres(f64),
}

/// One country's standard drink.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regime {
    /// ISO 3166-1 alpha-2 code in lower case; `uk` for the United Kingdom, `who` for the World Health Organization.
    pub code: &'static str,
    /// Country or body, in English.
    pub name: &'static str,
    /// What it calls one: `standard drink`, `unit` or `drink`.
    pub word: &'static str,
    /// How much ethanol one is.
    pub size: Size,
    /// Where the size is published.
    pub source: &'static str,
}

impl Regime {
    /// `UK units`, `US drinks`: short enough to stand beside a number.
    #[must_use]
    pub fn short(&self) -> String {
        format!("{} {}", self.code.to_uppercase(), if self.word == "unit" { "units" } else { "drinks" })
    }

    /// Ethanol in one drink, ml at 20 °C.
    pub fn millilitres(&self) -> f64 {
        match self.size {
            Size::Grams { grams, density } => grams / density,
            Size::Millilitres(ml) => ml,
        }
    }
}

/// g/ml.
const OIML: f64 = ETHANOL_DENSITY_20C / 1000.0;
/// Prescribed by Australia and New Zealand, g/ml.
const ROUNDED: f64 = 0.789;
/// Used by Japan's health ministry, g/ml.
const JAPAN: f64 = 0.8;

const KALINOWSKI: &str = "Kalinowski and Humphreys, Addiction 111 (2016) 1293";

const fn grams(code: &'static str, name: &'static str, grams: f64, density: f64, source: &'static str) -> Regime {
    Regime { code, name, word: "standard drink", size: Size::Grams { grams, density }, source }
}

/// Every regime, in the order in which a page lists them.
pub const REGIMES: [Regime; 20] = [
    grams("us", "United States", 14.0, OIML, "US National Institute on Alcohol Abuse and Alcoholism"),
    Regime {
        code: "uk",
        name: "United Kingdom",
        word: "unit",
        // The volume is the definition; the 8 g often quoted are 7.89 g rounded.
        size: Size::Millilitres(10.0),
        source: "UK National Health Service, alcohol units",
    },
    grams("au", "Australia", 10.0, ROUNDED, "Australian national alcohol guidelines"),
    grams("nz", "New Zealand", 10.0, ROUNDED, "New Zealand rule: litres × % vol × 0.789"),
    grams(
        "ca",
        "Canada",
        13.45,
        OIML,
        "Canadian Centre on Substance Use and Addiction; 13.5 and 13.6 g are also published",
    ),
    grams("ie", "Ireland", 10.0, OIML, KALINOWSKI),
    Regime {
        code: "jp",
        name: "Japan",
        word: "unit",
        size: Size::Grams { grams: 20.0, density: JAPAN },
        source: "Japanese health ministry practice; newer guidance counts 10 g",
    },
    grams("at", "Austria", 20.0, OIML, KALINOWSKI),
    grams("cl", "Chile", 14.0, OIML, KALINOWSKI),
    grams("cn", "China", 10.0, OIML, KALINOWSKI),
    grams("dk", "Denmark", 12.0, OIML, KALINOWSKI),
    grams("fr", "France", 10.0, OIML, KALINOWSKI),
    grams("de", "Germany", 10.0, OIML, KALINOWSKI),
    grams("in", "India", 10.0, OIML, KALINOWSKI),
    grams("sg", "Singapore", 10.0, OIML, KALINOWSKI),
    grams("is", "Iceland", 8.0, OIML, KALINOWSKI),
    grams("lu", "Luxembourg", 12.8, OIML, KALINOWSKI),
    grams("vn", "Viet Nam", 10.0, OIML, KALINOWSKI),
    grams("who", "World Health Organization (AUDIT)", 10.0, OIML, "WHO, AUDIT questionnaire"),
    JAPAN_NEWER,
];

/// Japan's newer drink of 10 g; the country code stands for the older unit, so this one has a code of its own.
pub const JAPAN_NEWER: Regime = Regime {
    code: "jp-new",
    name: "Japan (newer)",
    word: "drink",
    size: Size::Grams { grams: 10.0, density: JAPAN },
    source: "Japanese health guidance, standard drink 10 g",
};

/// The regime of a code; `gb`, the United Kingdom's own ISO code, means `uk`. `None` for a code without an entry.
pub fn regime(code: &str) -> Option<&'static Regime> {
    static TABLE: [Regime; 20] = REGIMES;
    let code = if code == "gb" { "uk" } else { code };
    TABLE.iter().find(|regime| regime.code == code)
}

/// Number of standard drinks in an amount of ethanol.
///
/// n = V / V₁
/// - `regime`: whose drink
/// - `ethanol_ml`: pure ethanol, ml at 20 °C, finite and not negative
/// - returns n, drinks
///
/// Valid: any amount. A country that defines grams by a rounded density gets its own density.
/// Nominal: 24 ml of ethanol (60 ml at 40 % vol) = 2.40 UK units = 1.353 US drinks.
/// Errors: [`OutOfRange`] for a negative, infinite or NaN volume. Accuracy: [`ERROR`].
/// Source: the regime's own.
pub fn drinks(regime: &Regime, ethanol_ml: f64) -> Result<f64, OutOfRange> {
    Ok(amount("ethanol", "ml", ethanol_ml)? / regime.millilitres())
}

const STRENGTH: Limits =
    Limits { quantity: "alcoholic strength by volume", unit: "", low: 0.0, high: 1.0, source: "27 CFR part 30" };

/// US proof.
///
/// proof = 200 q
/// - `q`: strength by volume, a fraction in 0..=1
/// - returns degrees of US proof, 0..=200
///
/// Valid: the law's basis is 60 °F; at 20 °C the strength differs by under 0.1 % vol, which is neglected.
/// Nominal: 40 % vol = 80. Errors: [`OutOfRange`] outside 0..=1 or NaN. Accuracy: 0.2 degrees.
/// Source: 27 CFR part 30 (US Gauging Manual).
pub fn proof_us(q: f64) -> Result<f64, OutOfRange> {
    Ok(200.0 * STRENGTH.check(q)?)
}

/// British proof by Sikes' hydrometer, out of use since 1980.
///
/// proof = 175 q
/// - `q`: strength by volume, a fraction in 0..=1
/// - returns degrees of UK proof, 0..=175
///
/// Valid: the 7/4 rule, a rounding; the statute's proof spirit (12/13 of the weight of water at 51 °F) is 57.1 to 57.15 % vol.
/// Nominal: 57.142857 % vol = 100. Errors: [`OutOfRange`] outside 0..=1 or NaN. Accuracy: 0.3 degrees.
/// Source: public history pages of the trade; the statute was not opened.
pub fn proof_uk(q: f64) -> Result<f64, OutOfRange> {
    Ok(175.0 * STRENGTH.check(q)?)
}

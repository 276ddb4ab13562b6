//! Taste: every number of one recipe at every stage, and why the missing ones are missing.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::balance::{Balance, balance};
use super::diet::{Declaration, Regime, declaration, gluten};
use super::dose::Dose;
use super::labelling::Statement;
use super::safety::{Listed, Survey};
use crate::mixture::figure::{Because, Figure};
use crate::mixture::{Mixture, Part};
use crate::process::Process;
use crate::recipe::run::{Computed, Stage};
use crate::relation::standard_drink::REGIMES;

/// Something that came into the mixture or left it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Removed {
    /// What.
    pub what: String,
    /// How much, g.
    pub mass_g: f64,
}

/// The figures of one stage. `None` is not known; [`Taste::unknown`] says why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageFigures {
    /// The stage's name.
    pub stage: String,
    /// ml at 20 °C.
    pub volume_ml: Option<f64>,
    /// g.
    pub mass_g: Option<f64>,
    /// g/ml at 20 °C.
    pub density_g_ml: Option<f64>,
    /// % vol at 20 °C.
    pub abv_pct: Option<f64>,
    /// g.
    pub ethanol_g: Option<f64>,
    /// g/100 ml.
    pub sugar_g_per_100ml: Option<f64>,
    /// °Bx.
    pub brix: Option<f64>,
    /// g/100 ml as anhydrous citric acid.
    pub acid_g_per_100ml: Option<f64>,
    /// °C.
    pub temperature_c: Option<f64>,
    /// °C.
    pub freezing_point_c: Option<f64>,
    /// Water added, % of the volume before.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dilution_pct: Option<f64>,
    /// bar above the air's pressure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gauge_bar: Option<f64>,
    /// Dissolved CO₂, volumes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub co2_volumes: Option<f64>,
    /// Share of the mass that is ice, %.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ice_pct: Option<f64>,
    /// What came in.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub added: Vec<Removed>,
    /// What left.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub removed: Vec<Removed>,
    /// Half-widths from the facts' `±`, by figure; first order.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub plus_minus: BTreeMap<&'static str, f64>,
    /// What was computed before a reading replaced it, by figure.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub estimated: BTreeMap<&'static str, f64>,
    /// What to say beside it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<String>,
    /// Relations used.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sources: Vec<&'static str>,
}

/// One serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Serve {
    /// Whole serves; `None` where the batch's volume is not known.
    pub count: Option<u64>,
    /// What is left over, ml.
    pub left_ml: Option<f64>,
    /// In the glass, ml.
    pub volume_ml: Option<f64>,
    /// g.
    pub ethanol_g: Option<f64>,
    /// Standard drinks by regime.
    pub standard_drinks: BTreeMap<&'static str, Option<f64>>,
    /// kJ.
    pub energy_kj: Option<f64>,
    /// kcal.
    pub energy_kcal: Option<f64>,
    /// g.
    pub sugar_g: Option<f64>,
}

/// Why a figure is not known.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Unknown {
    /// The figure, as its field is called.
    pub figure: String,
    /// At which stage.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stage: Option<String>,
    /// Why.
    pub because: String,
}

/// How long it keeps.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Keeps {
    /// Hours.
    pub hours: f64,
    /// °C.
    pub at_c: Option<f64>,
    /// Whose word that is.
    pub because: String,
    /// Who says so, where it is a published rule or a custom.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Taste {
    /// The recipe's address.
    pub recipe: String,
    /// Its name.
    pub name: String,
    /// `drink` or `prep`.
    pub makes: &'static str,
    /// Its family.
    pub family: Option<String>,
    /// Its stages.
    pub stages: Vec<StageFigures>,
    /// One serve; `None` for a prep.
    pub serve: Option<Serve>,
    /// Against its window.
    pub balance: Option<Balance>,
    /// Allergen tags.
    pub allergens: Vec<String>,
    /// Tags that it may hold traces of.
    pub may_contain: Vec<String>,
    /// Ingredients whose allergens nobody stated.
    pub allergens_unknown: Vec<String>,
    /// What each list asks to be declared.
    pub allergens_by_list: BTreeMap<&'static str, Declaration>,
    /// What may be said about gluten.
    pub gluten: String,
    /// Whether it is vegan.
    pub vegan: Option<bool>,
    /// Whether it is vegetarian.
    pub vegetarian: Option<bool>,
    /// How much of each additive it holds at its last stage, per litre and serve, beside what the law allows.
    pub doses: Vec<Dose>,
    /// Hazards, the worst first.
    pub hazards: Vec<Listed>,
    /// What must be said of it on a menu or a label.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub statements: Vec<Statement>,
    /// Keeping.
    pub keeps: Option<Keeps>,
    /// Sugar over acid where balance is read.
    pub sugar_to_acid: Option<f64>,
    /// Sweetness as sucrose where balance is read, g/100 ml.
    pub sweetness_g_per_100ml: Option<f64>,
    /// Strength by mass where balance is read, %.
    pub abw_pct: Option<f64>,
    /// Proof where balance is read, US and UK.
    pub proof: Option<Proof>,
    /// What was assumed.
    pub assumptions: Vec<String>,
    /// Why figures are missing.
    pub unknown: Vec<Unknown>,
}

/// Proof in the two systems.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Proof {
    /// United States: twice the % vol.
    pub us: f64,
    /// United Kingdom until 1980: 7/4 of the % vol.
    pub uk: f64,
}

struct Asking {
    unknown: BTreeSet<Unknown>,
}

impl Asking {
    fn take(&mut self, figure: &'static str, stage: Option<&str>, value: Result<f64, Because>) -> Option<f64> {
        match value {
            Ok(v) if v.is_finite() => Some(v),
            Ok(_) => self.missing(figure, stage, "it could not be computed"),
            Err(because) => self.missing(figure, stage, &because.text()),
        }
    }

    fn missing(&mut self, figure: &'static str, stage: Option<&str>, because: &str) -> Option<f64> {
        self.unknown.insert(Unknown {
            figure: figure.into(),
            stage: stage.map(str::to_owned),
            because: because.into(),
        });
        None
    }
}

/// A figure that is read off a mixture, by the name of its field.
type Reader = (&'static str, fn(&Mixture) -> Figure);

/// The figures that every stage has.
pub const READERS: &[Reader] = &[
    ("volume_ml", Mixture::figure_volume),
    ("mass_g", Mixture::figure_mass),
    ("density_g_ml", Mixture::figure_density),
    ("abv_pct", Mixture::figure_abv),
    ("ethanol_g", Mixture::figure_ethanol),
    ("sugar_g_per_100ml", Mixture::figure_sugar_per_100ml),
    ("brix", Mixture::figure_brix),
    ("acid_g_per_100ml", Mixture::figure_acid_per_100ml),
    ("freezing_point_c", Mixture::figure_freezing),
];

/// Half-width of a figure from the facts' `±`: each fact moved by itself, the changes added in quadrature (first order).
#[must_use]
pub fn plus_minus(stage: &Stage, read: fn(&Mixture) -> Figure) -> Option<f64> {
    let here = read(&stage.mixture).ok()?;
    let sum: f64 = stage.moved.iter().filter_map(|m| read(m).ok()).map(|there| (there - here) * (there - here)).sum();
    let width = libm::sqrt(sum);
    (width > 0.0).then_some(width)
}

fn stage_figures(stage: &Stage, asking: &mut Asking) -> StageFigures {
    let m = &stage.mixture;
    let name = Some(stage.name.as_str());
    let mut values: BTreeMap<&str, Option<f64>> = BTreeMap::new();
    let mut spread = BTreeMap::new();
    let mut estimated = BTreeMap::new();
    for (figure, read) in READERS {
        values.insert(figure, asking.take(figure, name, read(m)));
        if let Some(width) = plus_minus(stage, *read) {
            spread.insert(*figure, width);
        }
        if let Some(before) = &stage.estimate
            && let Ok(value) = read(before)
            && read(m).is_ok_and(|now| (now - value).abs() > 1e-9)
        {
            estimated.insert(*figure, value);
        }
    }
    let temperature_c = asking.take("temperature_c", name, m.figure_temperature());
    let mut of = |figure: &str| values.remove(figure).flatten();
    let gassy = m.grams(Part::Co2) > 0.0 || matches!(stage.process, Some(Process::Carbonate));
    let icy = m.ice_g > 0.0 || matches!(stage.process, Some(Process::Freeze));
    StageFigures {
        stage: stage.name.clone(),
        volume_ml: of("volume_ml"),
        mass_g: of("mass_g"),
        density_g_ml: of("density_g_ml"),
        abv_pct: of("abv_pct"),
        ethanol_g: of("ethanol_g"),
        sugar_g_per_100ml: of("sugar_g_per_100ml"),
        brix: of("brix"),
        acid_g_per_100ml: of("acid_g_per_100ml"),
        temperature_c,
        freezing_point_c: of("freezing_point_c"),
        dilution_pct: stage.dilution_pct,
        gauge_bar: stage.gauge_bar,
        co2_volumes: if gassy { asking.take("co2_volumes", name, m.figure_co2_volumes()) } else { None },
        ice_pct: if icy { asking.take("ice_pct", name, m.figure_ice()) } else { None },
        added: stage.added.iter().map(|r| Removed { what: r.what.clone(), mass_g: r.grams }).collect(),
        removed: stage.removed.iter().map(|r| Removed { what: r.what.clone(), mass_g: r.grams }).collect(),
        plus_minus: spread,
        estimated,
        remarks: stage.remarks.clone(),
        sources: stage.sources.clone(),
    }
}

/// The figures of one stage, and why the missing ones are missing.
#[must_use]
pub fn figures_of(stage: &Stage) -> (StageFigures, Vec<Unknown>) {
    let mut asking = Asking { unknown: BTreeSet::new() };
    let figures = stage_figures(stage, &mut asking);
    (figures, asking.unknown.into_iter().collect())
}

/// Answers for one recipe.
#[must_use]
pub fn taste(computed: &Computed, recipe: usize) -> Taste {
    taste_beside(computed, recipe, &Survey::of_one(computed, recipe))
}

/// Answers for one recipe with the hazards, the diet and the keeping that a survey tells.
#[must_use]
pub fn taste_beside(computed: &Computed, recipe: usize, survey: &Survey) -> Taste {
    let note = &computed.graph.notes.recipes[recipe];
    let made = &computed.made[recipe];
    let mut asking = Asking { unknown: BTreeSet::new() };
    let stages = made.stages.iter().map(|s| stage_figures(s, &mut asking)).collect();
    let serve = made.served.as_ref().map(|served| {
        let glass = &made.last().mixture;
        let stage = Some("serve");
        let known = made.batch().mixture.figure_volume().is_ok() && !note.unread.serve;
        let energy = glass.figure_energy();
        let mut drinks = BTreeMap::new();
        for regime in &REGIMES {
            let value = glass.figure_standard_drinks(regime);
            let value = if regime.code == "us" { asking.take("standard_drinks", stage, value) } else { value.ok() };
            drinks.insert(regime.code, value);
        }
        if !known {
            asking.missing(
                "count",
                stage,
                if note.unread.serve {
                    "how it is served could not be read"
                } else {
                    "the batch's volume is not known"
                },
            );
        }
        Serve {
            count: known.then_some(served.count),
            left_ml: known.then_some(served.left_ml),
            volume_ml: asking.take("volume_ml", stage, glass.figure_volume()),
            ethanol_g: asking.take("ethanol_g", stage, glass.figure_ethanol()),
            standard_drinks: drinks,
            energy_kj: asking.take("energy_kj", stage, energy.clone().map(|e| e.0)),
            energy_kcal: asking.take("energy_kcal", stage, energy.map(|e| e.1)),
            sugar_g: asking.take("sugar_g", stage, glass.figure_sugar()),
        }
    });
    let diet = survey.diet(recipe);
    let read = &made.stages[made.balance].mixture;
    let keeping = survey.keeping(recipe);
    let keeps = keeping.shortest().map(|hold| Keeps {
        hours: hold.hours,
        at_c: hold.at_c,
        because: hold.because.clone(),
        source: hold.source.clone(),
    });
    Taste {
        recipe: computed.graph.nodes[recipe].slug.clone(),
        name: note.name.value.clone(),
        makes: note.makes.word(),
        family: note.family.as_ref().map(|f| f.value.clone()),
        stages,
        serve,
        balance: balance(computed, recipe),
        allergens_by_list: Regime::ALL.into_iter().map(|r| (r.code(), declaration(&diet, r))).collect(),
        gluten: gluten(&diet),
        vegan: diet.vegan,
        vegetarian: diet.vegetarian,
        allergens: diet.contains.into_keys().collect(),
        may_contain: diet.may_contain.into_iter().collect(),
        allergens_unknown: diet.unknown.into_iter().collect(),
        doses: survey.doses(recipe).to_vec(),
        hazards: survey.listed(recipe),
        statements: survey.statements(recipe).to_vec(),
        keeps,
        sugar_to_acid: read.figure_sugar_to_acid().ok(),
        sweetness_g_per_100ml: read.figure_sweetness().ok(),
        abw_pct: read.figure_abw().ok(),
        proof: read.figure_proof().ok().map(|(us, uk)| Proof { us, uk }),
        assumptions: made.assumptions.clone(),
        unknown: asking.unknown.into_iter().collect(),
    }
}

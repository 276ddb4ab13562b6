//! The facts of a recipe that triggers ask about, gathered once: what its parts bear, what is done to it, its figures.
//!
//! Unknown is not zero: a figure that cannot be computed is `None` and never compares.

use std::collections::{BTreeMap, BTreeSet};

use super::names::{NumberName, SetName, WordName};
use super::tags;
use crate::ask::diet::{self, Diet};
use crate::ask::dose::facts_key;
use crate::measure::{Dimension, float};
use crate::mixture::figure::Figure;
use crate::mixture::{Mixture, Part};
use crate::notebook::keeping::Keeping;
use crate::notebook::pantry::Form;
use crate::notebook::pour::Role;
use crate::notebook::process_line::ParameterValue;
use crate::notebook::recipe_note::{Makes, RecipeNote};
use crate::process::doses::usual;
use crate::process::{Level, Process};
use crate::recipe::graph::{Measure, Node, Pour, ProcessStep};
use crate::recipe::names::{Target, key};
use crate::recipe::run::{Computed, Made, Poured};
use crate::relation::gas::CARTRIDGE_G;
use crate::relation::water_activity;

/// Where in a recipe something stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A line of `mix`, by index.
    Pour(usize),
    /// A line of `process`, by index.
    Process(usize),
    /// A line of `serve.finish`, by index.
    Finish(usize),
    /// `serve.glass`.
    Glass,
    /// `serve.ice`.
    Ice,
    /// `serve.garnish`.
    Garnish,
    /// A keeping claim, by index.
    Keeps(usize),
    /// One of the recipe's own tags, by index.
    Tag(usize),
    /// The recipe as a whole.
    Recipe,
}

/// What made a trigger hold.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// A tag that is borne.
    Tag(String),
    /// An allergen that is held.
    Allergen(String),
    /// An ingredient whose allergens nobody stated.
    AllergensUnknown,
    /// A line of a process, by index.
    Line(usize),
    /// A keeping claim, by index.
    Claim(usize),
    /// The garnish.
    Garnish,
    /// The glass.
    Glass,
    /// The ice.
    Ice,
    /// A figure of the mixture.
    Figure,
}

/// Who bears a tag.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Bearer {
    /// The ingredient or recipe, by name.
    pub name: String,
    /// Through which line it comes in.
    pub place: Place,
    /// Through which recipe it comes, where it is not the recipe's own.
    pub through: Option<usize>,
}

/// Grams, or `None` where a mass of it is not known.
type Grams = Option<f64>;

/// How much of a tag's bearers is in a mixture.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Dose {
    /// In all, g.
    grams: f64,
    /// Of it solids that count in the mixture's mass, g.
    solid: f64,
    /// Whether the mass of one pour is not known.
    unknown: bool,
}

impl Dose {
    fn scaled(self, factor: f64) -> Self {
        Self { grams: self.grams * factor, solid: self.solid * factor, unknown: self.unknown }
    }

    fn add(&mut self, other: Self) {
        self.grams += other.grams;
        self.solid += other.solid;
        self.unknown |= other.unknown;
    }
}

type Doses = BTreeMap<String, Dose>;

/// Strength from which a live culture is taken to be stopped, % vol. A project threshold.
const STOPS_CULTURE_ABV: f64 = 20.0;
/// Heat from which a live culture is taken to be stopped, °C. A project threshold.
const STOPS_CULTURE_C: f64 = 72.0;
/// Gas in one cartridge of nitrogen, g (common practice, from memory).
const NITROGEN_G: f64 = 2.4;

/// What a trigger can ask of one recipe.
#[derive(Debug, Clone)]
pub struct Facts<'a> {
    /// The notebook.
    pub computed: &'a Computed,
    /// The recipe's index.
    pub recipe: usize,
    /// Tags with their bearers.
    pub tags: BTreeMap<String, BTreeSet<Bearer>>,
    /// Allergens and diet.
    pub diet: Diet,
    /// Through which lines each allergen comes in.
    held: BTreeMap<String, BTreeSet<Place>>,
    /// Through which lines something of unstated allergens comes in.
    unstated: BTreeSet<Place>,
    /// The lines from which something goes on working.
    working: BTreeSet<Place>,
    /// Words of the garnish.
    pub garnish: BTreeSet<String>,
    /// Words of the glass.
    pub glass: BTreeSet<String>,
    /// Whether something in it goes on working.
    pub live: bool,
    /// Latest pH reading.
    pub ph: Option<f64>,
    smallest_g: Option<f64>,
    /// Doses in the batch, which others use.
    batch: Doses,
    /// Doses in the last stage.
    last: Doses,
}

impl<'a> Facts<'a> {
    /// Gathers a recipe's facts; `others` are those of the recipes that it uses.
    #[must_use]
    pub fn gather(computed: &'a Computed, recipe: usize, others: &BTreeMap<usize, Facts<'a>>) -> Self {
        let note = &computed.graph.notes.recipes[recipe];
        let mut facts = Self {
            computed,
            recipe,
            tags: BTreeMap::new(),
            diet: diet::diet(computed, recipe),
            held: BTreeMap::new(),
            unstated: BTreeSet::new(),
            working: BTreeSet::new(),
            garnish: words(note.serve.garnish.as_ref().map(|g| g.value.as_str())),
            glass: words(note.serve.glass.as_ref().map(|g| g.value.as_str())),
            live: false,
            ph: latest_ph(computed, recipe),
            smallest_g: None,
            batch: Doses::new(),
            last: Doses::new(),
        };
        facts.gather_tags(others);
        facts.gather_allergens(others);
        facts.gather_doses(others);
        facts.smallest_g = facts.smallest();
        (facts.live, facts.working) = facts.is_live(others);
        facts
    }

    /// What was written.
    #[must_use]
    pub fn note(&self) -> &'a RecipeNote {
        &self.computed.graph.notes.recipes[self.recipe]
    }

    /// With every name resolved.
    #[must_use]
    pub fn node(&self) -> &'a Node {
        &self.computed.graph.nodes[self.recipe]
    }

    fn made(&self) -> &'a Made {
        &self.computed.made[self.recipe]
    }

    /// What goes in, line by line: whole pours first, then what processes add, then the finish, then the garnish.
    fn parts(&self) -> Vec<(Place, Target)> {
        let node = self.node();
        let mut parts = Vec::new();
        for (i, pour) in node.mix.iter().enumerate() {
            parts.extend(pour.as_ref().map(|p| (Place::Pour(i), p.target)));
        }
        for (i, step) in node.process.iter().enumerate() {
            parts.extend(step.pours.values().flatten().map(|p| (Place::Process(i), p.target)));
            parts.extend(step.shares.values().flatten().map(|(t, _)| (Place::Process(i), *t)));
        }
        for (i, pour) in node.finish.iter().enumerate() {
            parts.extend(pour.as_ref().map(|p| (Place::Finish(i), p.target)));
        }
        parts.extend(diet::garnish(self.computed, self.recipe).known.into_iter().map(|t| (Place::Garnish, t)));
        parts
    }

    fn bear(&mut self, tag: &str, bearer: &Bearer) {
        for tag in tags::with_implied(tag) {
            self.tags.entry(tag).or_default().insert(bearer.clone());
        }
    }

    fn gather_tags(&mut self, others: &BTreeMap<usize, Facts<'a>>) {
        for (place, target) in self.parts() {
            match target {
                Target::Ingredient(i) => {
                    let item = &self.computed.graph.pantry.ingredients[i].item;
                    let bearer = Bearer { name: item.name.value.clone(), place, through: None };
                    for tag in item.tags.iter().map(|t| t.value.as_str()).chain(tags::named(&item.name.value)) {
                        self.bear(tag, &bearer);
                    }
                }
                Target::Recipe(used) => {
                    for (tag, bearers) in others.get(&used).into_iter().flat_map(|o| &o.tags) {
                        // What a recipe is served in or made with stays with it; what is in it comes along.
                        let own = bearers.iter().all(|b| matches!(b.place, Place::Tag(_)));
                        if own && tags::get(tag).is_none_or(|t| t.on == tags::On::Recipe) {
                            continue;
                        }
                        let come: Vec<Bearer> = bearers
                            .iter()
                            .map(|b| Bearer { name: b.name.clone(), place, through: Some(b.through.unwrap_or(used)) })
                            .collect();
                        self.tags.entry(tag.clone()).or_default().extend(come);
                    }
                }
            }
        }
        for (i, step) in self.node().process.iter().enumerate() {
            if step.line.process == Process::Clarify
                && let Some(agent @ ("gelatin" | "agar")) = word_of(step, "with")
            {
                self.bear(agent, &Bearer { name: agent.into(), place: Place::Process(i), through: None });
            }
        }
        let note = self.note();
        for (i, tag) in note.tags.iter().enumerate() {
            let bearer = Bearer { name: note.name.value.clone(), place: Place::Tag(i), through: None };
            self.bear(&tag.value, &bearer);
        }
    }

    fn gather_allergens(&mut self, others: &BTreeMap<usize, Facts<'a>>) {
        for (place, target) in self.parts() {
            match target {
                Target::Ingredient(i) => {
                    let item = &self.computed.graph.pantry.ingredients[i].item;
                    match &item.allergens {
                        None => {
                            self.unstated.insert(place);
                        }
                        Some(tags) => {
                            for tag in tags.iter().flat_map(|t| diet::with_group(&t.value)) {
                                self.held.entry(tag.to_owned()).or_default().insert(place);
                            }
                        }
                    }
                }
                Target::Recipe(used) => {
                    let Some(other) = others.get(&used) else { continue };
                    for tag in other.diet.contains.keys() {
                        self.held.entry(tag.clone()).or_default().insert(place);
                    }
                    if !other.diet.unknown.is_empty() {
                        self.unstated.insert(place);
                    }
                }
            }
        }
    }

    /// Whether a place holds an ingredient, and not a recipe that is used.
    fn is_direct(&self, place: Place) -> bool {
        self.parts().iter().any(|(p, target)| *p == place && matches!(target, Target::Ingredient(_)))
    }

    /// Where in the recipe the cause of a hazard stands.
    #[must_use]
    pub fn places(&self, cause: &Cause) -> Vec<Place> {
        match cause {
            Cause::Tag(tag) => {
                let bearers = self.tags.get(tag).into_iter().flatten().map(|b| b.place);
                let working = self.working.iter().copied().filter(|_| tag == "live-culture");
                bearers.chain(working).collect()
            }
            Cause::Allergen(tag) => self.held.get(tag).into_iter().flatten().copied().collect(),
            Cause::AllergensUnknown => self.unstated.iter().copied().collect(),
            Cause::Line(line) => vec![Place::Process(*line)],
            Cause::Claim(claim) => vec![Place::Keeps(*claim)],
            Cause::Garnish => vec![Place::Garnish],
            Cause::Glass => vec![Place::Glass],
            Cause::Ice => vec![Place::Ice],
            Cause::Figure => vec![Place::Recipe],
        }
    }

    /// What brings it, by name.
    #[must_use]
    pub fn names(&self, cause: &Cause) -> Vec<String> {
        match cause {
            Cause::Tag(tag) => self.tags.get(tag).into_iter().flatten().map(|b| b.name.clone()).collect(),
            Cause::Allergen(tag) => self.diet.contains.get(tag).into_iter().flatten().cloned().collect(),
            Cause::AllergensUnknown => self.diet.unknown.iter().cloned().collect(),
            _ => Vec::new(),
        }
    }

    /// Whether the cause is the recipe's own, and does not only come up from a part.
    #[must_use]
    pub fn is_own(&self, cause: &Cause) -> bool {
        match cause {
            Cause::Tag(tag) => self.tags.get(tag).into_iter().flatten().any(|b| b.through.is_none()),
            Cause::Allergen(_) | Cause::AllergensUnknown => self.places(cause).into_iter().any(|p| self.is_direct(p)),
            _ => true,
        }
    }

    /// Doses of what one pour brings, so many grams of it.
    fn brought(&self, target: Target, grams: Grams, others: &BTreeMap<usize, Facts<'a>>) -> Doses {
        match target {
            Target::Ingredient(i) => {
                let ingredient = &self.computed.graph.pantry.ingredients[i];
                let own = ingredient.item.tags.iter().map(|t| t.value.as_str());
                let tags: BTreeSet<String> =
                    own.chain(tags::named(&ingredient.item.name.value)).flat_map(tags::with_implied).collect();
                let solid = if ingredient.form == Form::Liquid { 0.0 } else { grams.unwrap_or(0.0) };
                let dose = Dose { grams: grams.unwrap_or(0.0), solid, unknown: grams.is_none() };
                // An additive is known by its name, whatever tags it bears.
                let additive = usual(&ingredient.item.name.value).map(|row| facts_key(row.id));
                tags.into_iter().chain(additive).map(|tag| (tag, dose)).collect()
            }
            Target::Recipe(used) => {
                let Some(other) = others.get(&used) else { return Doses::new() };
                let mass = self.computed.made[used].batch().mixture.figure_mass();
                let share = mass.ok().filter(|m| *m > 0.0).and_then(|m| grams.map(|g| g / m));
                other
                    .batch
                    .iter()
                    .map(|(tag, dose)| {
                        let scaled = dose.scaled(share.unwrap_or(0.0));
                        (tag.clone(), Dose { unknown: scaled.unknown || share.is_none(), ..scaled })
                    })
                    .collect()
            }
        }
    }

    fn gather_doses(&mut self, others: &BTreeMap<usize, Facts<'a>>) {
        let (node, made) = (self.node(), self.made());
        let mut doses = Doses::new();
        let weight = |poured: Option<&Option<Poured>>| poured.and_then(Option::as_ref).and_then(|p| p.grams);
        let is_mix = |pour: &Pour| pour.line.role == Role::Mix;
        for (i, pour) in node.mix.iter().enumerate() {
            if let Some(pour) = pour.as_ref().filter(|p| is_mix(p)) {
                add(&mut doses, self.brought(pour.target, weight(made.pours.get(i)), others));
            }
        }
        for (i, step) in node.process.iter().enumerate() {
            let stage = made.stages.get(i + 1);
            for pour in step.pours.values().flatten() {
                // What it came to, or what the line says where the process did not say.
                let came = stage.and_then(|s| s.added.iter().find(|a| a.what == pour.name)).map(|a| a.grams);
                let written = match pour.measure {
                    Measure::Mass(g) => Some(float(g)),
                    _ => None,
                };
                let mut brought = self.brought(pour.target, came.or(written), others);
                // What is steeped comes out again, so it is no part of the mass.
                brought.values_mut().for_each(|d| d.solid = 0.0);
                add(&mut doses, brought);
            }
            if let (Some(before), Some(after)) = (made.stages.get(i), stage)
                && lossy(step.line.process)
            {
                // What stays behind takes its share of what is dissolved with it.
                let poured: f64 = after.added.iter().map(|a| a.grams).sum();
                let whole =
                    before.mixture.mass_g() + if step.line.process == Process::MilkClarify { poured } else { 0.0 };
                let kept = if whole > 0.0 { (after.mixture.mass_g() / whole).min(1.0) } else { 1.0 };
                doses.values_mut().for_each(|d| *d = d.scaled(kept));
            }
        }
        self.batch.clone_from(&doses);
        let Some(served) = &made.served else {
            self.last = doses;
            return;
        };
        let batch_ml = made.batch().mixture.figure_volume().ok().filter(|v| *v > 0.0);
        let share = match (served.pour_ml, batch_ml) {
            (None, _) => 1.0,
            (Some(ml), Some(batch)) => ml / batch,
            (Some(_), None) => {
                doses.values_mut().for_each(|d| d.unknown = true);
                0.0
            }
        };
        let mut glass: Doses = doses.into_iter().map(|(tag, dose)| (tag, dose.scaled(share))).collect();
        for (i, pour) in node.mix.iter().enumerate() {
            if let Some(pour) = pour.as_ref().filter(|p| !is_mix(p)) {
                add(&mut glass, self.brought(pour.target, weight(made.pours.get(i)), others));
            }
        }
        for (i, pour) in node.finish.iter().enumerate() {
            if let Some(pour) = pour {
                add(&mut glass, self.brought(pour.target, weight(made.finish.get(i)), others));
            }
        }
        self.last = glass;
    }

    /// The smallest solid that is weighed for one batch, g.
    fn smallest(&self) -> Option<f64> {
        let (node, made) = (self.node(), self.made());
        let solid = |target: Target| matches!(target, Target::Ingredient(i) if self.computed.graph.pantry.ingredients[i].form != Form::Liquid);
        let weighed = |m: &Measure| matches!(m, Measure::Mass(_) | Measure::Share(_));
        let mut least: Option<f64> = None;
        let mut take = |grams: f64| {
            if grams > 0.0 {
                least = Some(least.map_or(grams, |l| l.min(grams)));
            }
        };
        for (pour, poured) in node.mix.iter().zip(&made.pours).chain(node.finish.iter().zip(&made.finish)) {
            if let (Some(pour), Some(poured)) = (pour, poured)
                && solid(pour.target)
                && weighed(&pour.measure)
            {
                poured.grams.into_iter().for_each(&mut take);
            }
        }
        for pour in node.process.iter().flat_map(|s| s.pours.values().flatten()) {
            if let (true, Measure::Mass(g)) = (solid(pour.target), &pour.measure) {
                take(float(*g));
            }
        }
        least
    }

    /// Whether something in it goes on working, and through which lines that came in.
    fn is_live(&self, others: &BTreeMap<usize, Facts<'a>>) -> (bool, BTreeSet<Place>) {
        // The last line from which something goes on working: -1 is the mix, the number of lines is the glass.
        let steps = self.node().process.len();
        let mut last: Option<isize> = None;
        let mut working = BTreeSet::new();
        let mut started = |at: isize| last = last.max(Some(at));
        let after = |place: Place| match place {
            Place::Process(i) => i as isize,
            Place::Finish(_) | Place::Garnish => steps as isize,
            Place::Pour(i) if self.note().mix.get(i).is_some_and(|l| l.role != Role::Mix) => steps as isize,
            _ => -1,
        };
        for (place, target) in self.parts() {
            let live = match target {
                Target::Ingredient(i) => {
                    let item = &self.computed.graph.pantry.ingredients[i].item;
                    item.tags.iter().any(|t| tags::with_implied(&t.value).contains("live-culture"))
                }
                Target::Recipe(used) => others.get(&used).is_some_and(|o| o.live),
            };
            if live {
                working.insert(place);
                started(after(place));
            }
        }
        if self.note().tags.iter().any(|t| t.value == "live-culture") {
            started(-1);
        }
        for (i, step) in self.node().process.iter().enumerate() {
            if step.line.process == Process::Ferment {
                started(i as isize);
            }
        }
        let Some(last) = last else { return (false, working) };
        let stopped = self.node().process.iter().enumerate().any(|(i, step)| {
            i as isize > last
                && match step.line.process {
                    Process::Pasteurise | Process::HotFill => true,
                    Process::Heat => celsius_of(step, "to").is_some_and(|c| c >= STOPS_CULTURE_C),
                    _ => false,
                }
        });
        let strong = self.made().last().mixture.figure_abv().is_ok_and(|abv| abv >= STOPS_CULTURE_ABV);
        (!stopped && !strong, working)
    }

    /// Lines of a process, by index.
    pub fn lines(&self, process: Process) -> impl Iterator<Item = usize> + '_ {
        self.node().process.iter().enumerate().filter(move |(_, s)| s.line.process == process).map(|(i, _)| i)
    }

    /// The keeping claim that is asked about.
    fn claim(&self, bound: &Bound) -> Option<&'a Keeping> {
        self.note().keeps.get(bound.claim?)
    }

    /// Members of a set.
    #[must_use]
    pub fn has(&self, set: SetName, word: &str) -> bool {
        match set {
            SetName::Tag => self.tags.contains_key(word),
            SetName::Process => self.node().process.iter().any(|s| s.line.process.name() == word),
            SetName::Allergen => self.diet.contains.contains_key(word),
            SetName::AllergensUnknown => self.diet.unknown.contains(word),
            SetName::Garnish => self.garnish.contains(&key(word)),
            SetName::Glass => self.glass.contains(&key(word)),
        }
    }

    /// Whether a set holds anything.
    #[must_use]
    pub fn any(&self, set: SetName) -> bool {
        match set {
            SetName::Tag => !self.tags.is_empty(),
            SetName::Process => !self.node().process.is_empty(),
            SetName::Allergen => !self.diet.contains.is_empty(),
            SetName::AllergensUnknown => !self.diet.unknown.is_empty(),
            SetName::Garnish => !self.garnish.is_empty(),
            SetName::Glass => !self.glass.is_empty(),
        }
    }

    /// A word, where it is known.
    #[must_use]
    pub fn word(&self, name: WordName, bound: &Bound) -> Option<String> {
        let yes = |yes: bool| Some(if yes { "yes" } else { "no" }.to_owned());
        match name {
            WordName::Ice => self.note().serve.ice.as_ref().map(|i| i.value.clone()),
            WordName::Makes => Some(self.note().makes.word().to_owned()),
            WordName::Vegan => self.diet.vegan.and_then(yes),
            WordName::Live => yes(self.live),
            WordName::KeepsSealed => self.claim(bound).filter(|c| c.sealed).map(|_| "yes".to_owned()),
            WordName::RegimeAllergens => Some(self.computed.graph.notes.house.allergens_regime.clone()),
            WordName::Parameter(process, parameter, _) => {
                let step = self.step(process, bound)?;
                word_of(step, parameter)
                    .or(match (process, parameter) {
                        (Process::Charge, "gas") => Some("N2O"),
                        // What the process itself takes where the line says nothing.
                        (Process::Bottle, "in") => Some("glass"),
                        (Process::Bottle, "closed") => Some("sealed"),
                        _ => None,
                    })
                    .map(str::to_lowercase)
            }
        }
    }

    fn step(&self, process: Process, bound: &Bound) -> Option<&'a ProcessStep> {
        self.node().process.get(*bound.lines.get(&process)?)
    }

    /// A number, where it is known.
    #[must_use]
    pub fn number(&self, name: NumberName<'_>, bound: &Bound) -> Option<f64> {
        let last = &self.made().last().mixture;
        let house = &self.computed.graph.notes.house;
        let served = |figure: Figure| self.made().served.as_ref().and(figure.ok());
        let value = match name {
            NumberName::Abv => last.figure_abv().ok(),
            NumberName::Brix => last.figure_brix().ok(),
            NumberName::Sugar => last.figure_sugar_per_100ml().ok(),
            NumberName::Acid => last.figure_acid_per_100ml().ok(),
            NumberName::Temperature => last.figure_temperature().ok(),
            NumberName::Co2Volumes => last.figure_co2_volumes().ok(),
            NumberName::GaugeBar => self.made().last().gauge_bar,
            NumberName::Ph => self.ph,
            NumberName::Aw => last.figure_brix().ok().and_then(|b| water_activity::sucrose(b / 100.0).ok()),
            NumberName::SmallestG => self.smallest_g,
            NumberName::CaffeinePerL => last.figure_caffeine().ok(),
            NumberName::SulphitesPerL => last.figure_sulphites().ok(),
            NumberName::ServeEthanol => served(last.figure_ethanol()),
            NumberName::ServeCaffeine => served(last.figure_caffeine().map(|_| last.caffeine_mg)),
            NumberName::ServePour => {
                self.note().serve.pour.as_ref().and_then(|p| p.value.base(&house.units)).map(float)
            }
            NumberName::KeepsHours => self.claim(bound).map(|c| c.hours),
            NumberName::KeepsAt => self.claim(bound).and_then(|c| c.at_c),
            NumberName::PartsHours => self.parts_hours(bound),
            NumberName::RoomC => Some(house.temperatures.room),
            NumberName::ScaleG => {
                let steps = house.tools.scales.iter().filter_map(|s| s.step.base(&house.units)).map(float);
                steps.reduce(f64::min)
            }
            NumberName::StrongServeG => house.strong_serve_g,
            NumberName::DosePct(tag) => self.dose_share(tag).map(|s| 100.0 * s),
            NumberName::DoseMgKg(tag) => self.dose_share(tag).map(|s| 1e6 * s),
            NumberName::DoseG(tag) => {
                self.made().served.as_ref()?;
                self.dose(tag).map(|d| d.grams)
            }
            NumberName::BeforeMl(process) => self.before(process, bound)?.figure_volume().ok(),
            NumberName::BeforeC(process) => self.before(process, bound)?.figure_temperature().ok(),
            NumberName::BeforeAbv(process) => self.before(process, bound)?.figure_abv().ok(),
            NumberName::ChargeGas => self.charged(bound),
            NumberName::BottleBuilds => {
                let line = *bound.lines.get(&Process::Bottle)?;
                self.made().stages.get(line + 1).and_then(|s| s.builds_bar)
            }
            NumberName::Parameter(process, parameter) => number_of(self.step(process, bound)?, parameter, &house.units),
        };
        value.filter(|v| v.is_finite()).map(settled)
    }

    /// The mixture as it enters a process.
    fn before(&self, process: Process, bound: &Bound) -> Option<&'a Mixture> {
        // Stage 0 is the mix, so the stage of a line's index is the one before it.
        self.made().stages.get(*bound.lines.get(&process)?).map(|s| &s.mixture)
    }

    fn charged(&self, bound: &Bound) -> Option<f64> {
        let step = self.step(Process::Charge, bound)?;
        let units = &self.computed.graph.notes.house.units;
        let nitrogen = word_of(step, "gas") == Some("N2");
        let each = number_of(step, "cartridge", units).unwrap_or(if nitrogen { NITROGEN_G } else { CARTRIDGE_G });
        Some(number_of(step, "cartridges", units).unwrap_or(1.0) * each)
    }

    fn dose(&self, tag: &str) -> Option<Dose> {
        let dose = self.last.get(tag).copied().unwrap_or_default();
        (!dose.unknown).then_some(dose)
    }

    /// Mass of what bears a tag over the mass of the liquid.
    fn dose_share(&self, tag: &str) -> Option<f64> {
        let dose = self.dose(tag)?;
        if dose.grams <= 0.0 {
            return Some(0.0);
        }
        let liquid = self.made().last().mixture.figure_mass().ok()? - dose.solid;
        (liquid > 0.0).then(|| dose.grams / liquid)
    }

    /// Doses of every tag in the last stage: g per serve or batch, and as a share of the liquid.
    #[must_use]
    pub fn dose_of(&self, tag: &str) -> (Option<f64>, Option<f64>) {
        (self.dose(tag).map(|d| d.grams), self.dose_share(tag))
    }

    /// Shortest keeping of the recipes that the batch is made of; what goes into the glass is not in what is kept. Of several
    /// claims of one recipe that one counts which was made for no colder a place than the claim that is asked about; where there
    /// is none such, the shortest.
    fn parts_hours(&self, bound: &Bound) -> Option<f64> {
        let at = self.claim(bound).and_then(|c| c.at_c);
        let claims =
            self.kept_parts().into_iter().filter_map(|i| fitting(&self.computed.graph.notes.recipes[i].keeps, at));
        claims.map(|c| c.hours).reduce(f64::min)
    }

    /// Recipes that the batch is made of, without those that go into the glass.
    #[must_use]
    pub fn kept_parts(&self) -> BTreeSet<usize> {
        let parts = self.parts().into_iter().filter(|(place, _)| match place {
            Place::Pour(i) => self.node().mix[*i].as_ref().is_some_and(|p| p.line.role == Role::Mix),
            Place::Process(_) => true,
            _ => false,
        });
        parts
            .filter_map(|(_, target)| match target {
                Target::Recipe(i) => Some(i),
                Target::Ingredient(_) => None,
            })
            .collect()
    }

    /// Whether a tenth of it or more is salt and other solids: such a brine keeps, and the estimate of water activity knows
    /// only sugar (salt at 10 % leaves about 0.94, at 15 % about 0.89; from memory).
    #[must_use]
    pub fn mostly_salt(&self) -> bool {
        let last = &self.made().last().mixture;
        last.figure_mass().is_ok_and(|mass| last.grams(Part::Solids) >= 0.1 * mass)
    }

    /// Whether it makes a prep.
    #[must_use]
    pub fn is_prep(&self) -> bool {
        self.note().makes == Makes::Prep
    }
}

/// The claim that holds at a temperature: the longest of those made for no colder a place, else the shortest of all.
#[must_use]
pub fn fitting(claims: &[Keeping], at: Option<f64>) -> Option<&Keeping> {
    let fits = |c: &&Keeping| match (c.at_c, at) {
        (Some(own), Some(at)) => own >= at,
        _ => true,
    };
    let longest = claims.iter().filter(fits).max_by(|a, b| a.hours.total_cmp(&b.hours));
    longest.or_else(|| claims.iter().min_by(|a, b| a.hours.total_cmp(&b.hours)))
}

/// Which line of each process, and which keeping claim, a trigger is asked about.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Bound {
    /// Index of the claim.
    pub claim: Option<usize>,
    /// Index of the line, by process.
    pub lines: BTreeMap<Process, usize>,
}

/// A sum of many floats may miss a limit by its last bits; twelve digits are more than any figure has.
fn settled(value: f64) -> f64 {
    format!("{value:.12e}").parse().unwrap_or(value)
}

fn add(doses: &mut Doses, more: Doses) {
    for (tag, dose) in more {
        doses.entry(tag).or_default().add(dose);
    }
}

/// Processes that leave part of the mixture behind.
fn lossy(process: Process) -> bool {
    matches!(
        process,
        Process::Strain
            | Process::Filter
            | Process::Clarify
            | Process::MilkClarify
            | Process::Infuse
            | Process::FatWash
    )
}

/// The words of a text as names are compared.
fn words(text: Option<&str>) -> BTreeSet<String> {
    text.into_iter().flat_map(|t| t.split(|c: char| !c.is_alphanumeric())).map(key).filter(|w| !w.is_empty()).collect()
}

fn parameter<'s>(step: &'s ProcessStep, name: &str) -> Option<&'s ParameterValue> {
    step.line.parameters.iter().find(|(key, _, _)| *key == name).map(|(_, _, value)| value)
}

fn word_of(step: &ProcessStep, name: &str) -> Option<&'static str> {
    match parameter(step, name)? {
        ParameterValue::Word(word) => Some(word),
        _ => None,
    }
}

fn celsius_of(step: &ProcessStep, name: &str) -> Option<f64> {
    match parameter(step, name)? {
        ParameterValue::Temperature(c) => Some(*c),
        _ => None,
    }
}

fn number_of(step: &ProcessStep, name: &str, units: &crate::measure::Units) -> Option<f64> {
    match parameter(step, name)? {
        ParameterValue::Percent(n)
        | ParameterValue::Temperature(n)
        | ParameterValue::Time(n)
        | ParameterValue::Number(n)
        | ParameterValue::Level(Level::Strength(n)) => Some(*n),
        ParameterValue::Amount(a) => {
            // `reduce_to` may be a mass, which is no volume; `cartridge` is always one.
            let mass_wanted = name == "cartridge";
            let mass = a.unit.dimension() == Dimension::Mass;
            if mass == mass_wanted { a.base(units).map(float) } else { None }
        }
        _ => None,
    }
}

/// The latest pH reading of a recipe: of its own, and of what the log says was made of it. Without dates the later stage counts.
fn latest_ph(computed: &Computed, recipe: usize) -> Option<f64> {
    let notes = &computed.graph.notes;
    let note = &notes.recipes[recipe];
    let stage = |r: &crate::notebook::reading::Reading| {
        let stages = &computed.made[recipe].stages;
        r.after.as_ref().map_or(stages.len(), |a| stages.iter().position(|s| s.name == a.value).unwrap_or(0))
    };
    let own = note.readings.iter().filter_map(|r| Some((r.date, stage(r), r.ph.as_ref()?.value)));
    let logged = notes
        .log
        .iter()
        .filter(|entry| computed.graph.names.get(&entry.recipe.value) == Some(Target::Recipe(recipe)))
        .flat_map(|entry| entry.readings.iter().map(move |r| (r.date.or(entry.made), r)))
        .filter_map(|(date, r)| Some((date, stage(r), r.ph.as_ref()?.value)));
    own.chain(logged).max_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1))).map(|(_, _, ph)| ph)
}

//! The facts of a recipe that triggers ask about, gathered once: what its parts bear, what is done to it, its figures.
//!
//! Unknown is not zero: a figure that cannot be computed is `None` and never compares.

mod doses;
mod figures;
mod live;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use doses::Doses;
use figures::{latest_ph, word_of};

use super::bearers::{self, Weight};
use super::names::SetName;
use super::tags;
use crate::ask::diet::{self, Diet};
use crate::notebook::keeping::Keeping;
use crate::notebook::pour::Role;
use crate::notebook::recipe_note::{Makes, RecipeNote};
use crate::process::Process;
use crate::recipe::graph::Node;
use crate::recipe::names::{Target, key};
use crate::recipe::run::{Computed, Made};

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
    /// A strength that nobody knows.
    StrengthUnknown,
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

/// Tags of the ingredients in use, with all that they imply: those that their writer gave them, and those that their names are
/// enough for.
#[derive(Debug, Clone, Default)]
pub struct Borne(Arc<BTreeMap<usize, BTreeSet<String>>>);

impl Borne {
    /// The tags of every ingredient that some recipes use.
    #[must_use]
    pub fn by(computed: &Computed, recipes: &BTreeSet<usize>) -> Self {
        let mut used = BTreeSet::new();
        for recipe in recipes {
            let garnish = diet::garnish(computed, *recipe).known;
            let all = computed.graph.nodes[*recipe].content.iter().chain(&garnish);
            used.extend(all.filter_map(|target| match target {
                Target::Ingredient(i) => Some(*i),
                Target::Recipe(_) => None,
            }));
        }
        let tags = |i: usize| bearers::of_item(&computed.graph.pantry.ingredients[i].item);
        Self(Arc::new(used.into_iter().map(|i| (i, tags(i))).collect()))
    }
}

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
    borne: Borne,
    /// Doses in the batch, which others use.
    batch: Doses,
    /// Doses in the last stage.
    last: Doses,
}

impl<'a> Facts<'a> {
    /// Gathers a recipe's facts; `others` are those of the recipes that it uses.
    #[must_use]
    pub fn gather(computed: &'a Computed, recipe: usize, borne: &Borne, others: &BTreeMap<usize, Facts<'a>>) -> Self {
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
            borne: borne.clone(),
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

    /// Tags of an ingredient of the pantry, with all that they imply.
    fn tags_of(&self, ingredient: usize) -> &BTreeSet<String> {
        static NONE: BTreeSet<String> = BTreeSet::new();
        self.borne.0.get(&ingredient).unwrap_or(&NONE)
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
                    let name = self.computed.graph.pantry.ingredients[i].name().to_owned();
                    let bearer = Bearer { name, place, through: None };
                    for tag in self.tags_of(i).clone() {
                        self.tags.entry(tag).or_default().insert(bearer.clone());
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
        self.gather_garnish();
        let note = self.note();
        for (i, tag) in note.tags.iter().enumerate() {
            let bearer = Bearer { name: note.name.value.clone(), place: Place::Tag(i), through: None };
            self.bear(&tag.value, &bearer);
        }
    }

    /// What the words of a garnish say where the pantry does not know the thing.
    fn gather_garnish(&mut self) {
        let Some(garnish) = self.note().serve.garnish.as_ref() else { return };
        let known: Vec<String> = diet::garnish(self.computed, self.recipe)
            .known
            .into_iter()
            .filter_map(|target| match target {
                Target::Ingredient(i) => Some(key(self.computed.graph.pantry.ingredients[i].name())),
                Target::Recipe(_) => None,
            })
            .collect();
        for named in bearers::of_garnish(&garnish.value) {
            let words = &garnish.value[named.at.clone()];
            let answered = known.iter().any(|name| name.contains(&key(words)));
            if named.weight == Weight::Bear || (named.weight == Weight::Warning && !answered) {
                self.bear(named.tag, &Bearer { name: words.to_owned(), place: Place::Garnish, through: None });
            }
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
            Cause::StrengthUnknown => self.strength_unknown(),
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
            Cause::StrengthUnknown => {
                let places = self.strength_unknown();
                let at = self.parts().into_iter().filter(|(place, _)| places.contains(place));
                at.filter(|(_, target)| self.has_no_strength(*target)).map(|(_, target)| self.name_of(target)).collect()
            }
            _ => Vec::new(),
        }
    }

    /// Whether the cause is the recipe's own, and does not only come up from a part.
    #[must_use]
    pub fn is_own(&self, cause: &Cause) -> bool {
        match cause {
            Cause::Tag(tag) => self.tags.get(tag).into_iter().flatten().any(|b| b.through.is_none()),
            Cause::Allergen(_) | Cause::AllergensUnknown => self.places(cause).into_iter().any(|p| self.is_direct(p)),
            Cause::StrengthUnknown => {
                let places = self.places(cause);
                places.is_empty() || places.into_iter().any(|p| self.is_direct(p) || matches!(p, Place::Process(_)))
            }
            _ => true,
        }
    }

    fn name_of(&self, target: Target) -> String {
        match target {
            Target::Ingredient(i) => self.computed.graph.pantry.ingredients[i].name().to_owned(),
            Target::Recipe(i) => self.computed.graph.notes.recipes[i].name.value.clone(),
        }
    }

    fn has_no_strength(&self, target: Target) -> bool {
        match target {
            Target::Ingredient(i) => {
                let unit = &self.computed.graph.pantry.ingredients[i].unit;
                unit.as_ref().is_none_or(|unit| unit.figure_abv().is_err())
            }
            Target::Recipe(i) => self.computed.made[i].batch().mixture.figure_abv().is_err(),
        }
    }

    /// Where the strength is lost: the pours without one, or the line after which nobody knows it.
    fn strength_unknown(&self) -> Vec<Place> {
        let stages = &self.made().stages;
        match stages.iter().position(|s| s.mixture.figure_abv().is_err()) {
            Some(stage @ 1..) if stage <= self.node().process.len() => vec![Place::Process(stage - 1)],
            _ => {
                let pours =
                    self.parts().into_iter().filter(|(place, _)| matches!(place, Place::Pour(_) | Place::Finish(_)));
                pours.filter(|(_, target)| self.has_no_strength(*target)).map(|(place, _)| place).collect()
            }
        }
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

/// The words of a text as names are compared.
fn words(text: Option<&str>) -> BTreeSet<String> {
    text.into_iter().flat_map(|t| t.split(|c: char| !c.is_alphanumeric())).map(key).filter(|w| !w.is_empty()).collect()
}

//! Safety: the hazards of every recipe, from its own data, each with its place, its source and who answers for it.
//!
//! In: computed recipes (the true ones, readings and all). Out: a [`Survey`], plain data that outputs place. The rules are data
//! (`safety/hazards.csv` and the house's own); `grammar` reads their triggers, `names` says what the names in them mean, `facts`
//! gathers what a recipe says, `evaluate` puts one to the other.

pub mod bearers;
pub mod evaluate;
pub mod facts;
pub mod grammar;
pub mod house;
pub mod names;
pub mod points;
pub mod rules;
pub mod tags;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

pub use facts::Place;
use facts::{Borne, Cause, Facts};
use house::InForce;
pub use points::Point;
pub use rules::{Kind, Rule, Severity, Show};
use serde::Serialize;

use crate::ask::diet::Diet;
use crate::ask::dose::{self, Dose};
use crate::ask::keeping::{self, Doubt, Keeping};
use crate::ask::labelling::{self, Statement};
use crate::problem;
use crate::process::Process;
use crate::recipe::names::{Target, key};
use crate::recipe::run::{Computed, stand_ins};
use crate::source::Span;

/// The sentence that every output carries: nothing here is advice of a profession.
pub const DEFERRAL: &str = "These notes are general reminders, not legal, medical or engineering advice. Your local food code, liquor licence, fire rules and equipment manuals come first; where they differ from a note here, follow them, and when you are unsure, do not serve it.";

/// One hazard of a recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazard {
    /// The rule: what can happen, what to do, the limit, the source.
    pub rule: Arc<Rule>,
    /// How bad; the rule's own, unless a process found it worse.
    pub severity: Severity,
    /// The recipe that it comes from, which may be one that is used.
    pub from: usize,
    /// Where in that recipe, the first being where a message points.
    pub places: Vec<Place>,
    /// The first place in the files.
    pub span: Span,
    /// Ingredients and preps that bring it, by name.
    pub because_of: Vec<String>,
    /// Why the house accepts it.
    pub acknowledged: Option<String>,
    /// What the house says beside it.
    pub house_says: Option<String>,
    /// Words by which a step of the method that it belongs to is known, likeliest first.
    words: Vec<String>,
}

impl Hazard {
    /// The rule's name.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.rule.id
    }

    /// Whether something is wrong that nobody answers for.
    #[must_use]
    pub fn is_open_fault(&self) -> bool {
        self.rule.kind == Kind::Fault && self.acknowledged.is_none()
    }

    /// The step of a method beside which it belongs; `None` where no step speaks of it.
    #[must_use]
    pub fn beside(&self, steps: &[&str]) -> Option<usize> {
        let plain: Vec<String> = steps.iter().map(|s| format!(" {}", letters(s))).collect();
        self.words.iter().find_map(|word| plain.iter().position(|step| step.contains(&format!(" {word}"))))
    }
}

/// A text in small letters with single spaces between its words.
fn letters(text: &str) -> String {
    let lower = deunicode::deunicode(text).to_lowercase();
    lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// What `taste --json` says of a hazard: `id`, `severity` and `kind` are fixed, the rest lets an output show it whole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Listed {
    /// The rule's name.
    pub id: String,
    /// How bad.
    pub severity: Severity,
    /// Fault or standing.
    pub kind: Kind,
    /// Where it is shown: `recipe`, `site-footer`, `build-warning`.
    pub shown: Show,
    /// Address of the recipe that it comes from.
    pub recipe: String,
    /// What can happen.
    pub what: String,
    /// What to do.
    pub precaution: String,
    /// A limit, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<String>,
    /// Who says so.
    pub source: String,
    /// What brings it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub because_of: Vec<String>,
    /// What the house says beside it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub house_says: Option<String>,
    /// Why the house accepts it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub acknowledged: Option<String>,
}

/// The hazards of a notebook, or of one recipe and all that it uses.
#[derive(Debug, Clone, Default)]
pub struct Survey {
    hazards: BTreeMap<usize, Vec<Hazard>>,
    diets: BTreeMap<usize, Diet>,
    keeping: BTreeMap<usize, Keeping>,
    doubts: BTreeMap<usize, Vec<Doubt>>,
    points: BTreeMap<usize, Vec<Point>>,
    doses: BTreeMap<usize, Vec<Dose>>,
    statements: BTreeMap<usize, Vec<Statement>>,
    /// Recipes of which something could not be read: what is missing in them is told where it stands.
    unread: BTreeSet<usize>,
    addresses: BTreeMap<usize, String>,
    /// Tags that each recipe bears, through its parts.
    tags: BTreeMap<usize, BTreeSet<String>>,
}

impl Survey {
    /// Every recipe's hazards.
    #[must_use]
    pub fn of(computed: &Computed) -> Self {
        Self::over(computed, &(0..computed.made.len()).collect())
    }

    /// Every recipe's hazards as guests are told: the same, but what is in an unpublished recipe goes by that recipe's name.
    #[must_use]
    pub fn for_guests(computed: &Computed) -> Self {
        Self::of(computed).told_to_guests(computed)
    }

    /// The hazards of one recipe as guests are told.
    #[must_use]
    pub fn of_one_for_guests(computed: &Computed, recipe: usize) -> Self {
        Self::of_one(computed, recipe).told_to_guests(computed)
    }

    fn told_to_guests(self, computed: &Computed) -> Self {
        let mut survey = self;
        let graph = &computed.graph;
        let hidden = stand_ins(graph);
        let recipe_name = |r: usize| graph.notes.recipes[r].name.value.clone();
        let ingredients =
            hidden.ingredients.iter().map(|(i, by)| (graph.pantry.ingredients[*i].name().to_owned(), *by));
        let recipes = hidden.recipes.iter().map(|(r, by)| (recipe_name(*r), *by));
        let names: BTreeMap<String, String> =
            ingredients.chain(recipes).map(|(name, by)| (name, recipe_name(by))).collect();
        for diet in survey.diets.values_mut() {
            diet.rename(&names);
        }
        for statement in survey.statements.values_mut().flatten() {
            statement.rename(&names);
        }
        for hazard in survey.hazards.values_mut().flatten() {
            if let Some(by) = hidden.recipes.get(&hazard.from) {
                hazard.from = *by;
            }
            let told: BTreeSet<String> =
                hazard.because_of.drain(..).map(|name| names.get(&name).cloned().unwrap_or(name)).collect();
            hazard.because_of = told.into_iter().collect();
        }
        survey
    }

    /// The hazards of one recipe, and of what it uses.
    #[must_use]
    pub fn of_one(computed: &Computed, recipe: usize) -> Self {
        Self::over(computed, &computed.graph.closure_of_content(recipe))
    }

    /// The hazards of some recipes, among which is all that goes into any of them.
    #[must_use]
    pub fn over(computed: &Computed, recipes: &BTreeSet<usize>) -> Self {
        let (force, _) = house::in_force(&computed.graph.notes.house);
        let mut survey = Self::default();
        let mut facts: BTreeMap<usize, Facts<'_>> = BTreeMap::new();
        let borne = Borne::by(computed, recipes);
        for &recipe in computed.graph.order.iter().filter(|r| recipes.contains(r)) {
            let own = Facts::gather(computed, recipe, &borne, &facts);
            let hazards = survey.hazards_of(&own, &force);
            survey.hazards.insert(recipe, hazards);
            let kept = keeping::keeping(&own, &survey.keeping);
            survey.doubts.insert(recipe, keeping::doubts(&own, &kept));
            survey.keeping.insert(recipe, kept);
            survey.points.insert(recipe, points::points(&own));
            survey.doses.insert(recipe, dose::doses(&own));
            survey.statements.insert(recipe, labelling::statements(&own));
            survey.diets.insert(recipe, own.diet.clone());
            survey.tags.insert(recipe, own.tags.keys().cloned().collect());
            if own.diet.unread {
                survey.unread.insert(recipe);
            }
            survey.addresses.insert(recipe, computed.graph.nodes[recipe].slug.clone());
            facts.insert(recipe, own);
        }
        survey
    }

    /// A recipe's hazards, the worst first: its own and those of what it uses, each once.
    #[must_use]
    pub fn hazards(&self, recipe: usize) -> &[Hazard] {
        self.hazards.get(&recipe).map_or(&[], Vec::as_slice)
    }

    /// How much of each additive a recipe holds, beside what the law allows.
    #[must_use]
    pub fn doses(&self, recipe: usize) -> &[Dose] {
        self.doses.get(&recipe).map_or(&[], Vec::as_slice)
    }

    /// What must be said of a recipe on a menu or a label.
    #[must_use]
    pub fn statements(&self, recipe: usize) -> &[Statement] {
        self.statements.get(&recipe).map_or(&[], Vec::as_slice)
    }

    /// What a recipe holds; nothing is said of one that is not among those asked about.
    #[must_use]
    pub fn diet(&self, recipe: usize) -> Diet {
        self.diets.get(&recipe).cloned().unwrap_or_default()
    }

    /// How long a recipe keeps; nothing is said of one that is not among those asked about.
    #[must_use]
    pub fn keeping(&self, recipe: usize) -> Keeping {
        self.keeping.get(&recipe).cloned().unwrap_or_default()
    }

    /// Whether a recipe bears a tag, itself or through what it uses.
    #[must_use]
    pub fn bears(&self, recipe: usize, tag: &str) -> bool {
        self.tags.get(&recipe).is_some_and(|tags| tags.contains(tag))
    }

    /// What is doubtful about a recipe's keeping claims.
    #[must_use]
    pub fn keeping_doubts(&self, recipe: usize) -> &[Doubt] {
        self.doubts.get(&recipe).map_or(&[], Vec::as_slice)
    }

    /// The critical points of making a recipe; none where it is not risky.
    #[must_use]
    pub fn points(&self, recipe: usize) -> &[Point] {
        self.points.get(&recipe).map_or(&[], Vec::as_slice)
    }

    /// Whether something in the recipe, or in what it uses, could not be read, so that what is not known of it says nothing.
    #[must_use]
    pub fn is_unread(&self, recipe: usize) -> bool {
        self.unread.contains(&recipe)
    }

    /// A recipe's hazards as data.
    #[must_use]
    pub fn listed(&self, recipe: usize) -> Vec<Listed> {
        let listed = |hazard: &Hazard| Listed {
            id: hazard.rule.id.clone(),
            severity: hazard.severity,
            kind: hazard.rule.kind,
            shown: hazard.rule.show,
            recipe: self.addresses.get(&hazard.from).cloned().unwrap_or_default(),
            what: hazard.rule.what.clone(),
            precaution: hazard.rule.precaution.clone(),
            limit: hazard.rule.limit.clone(),
            source: hazard.rule.source.clone(),
            because_of: hazard.because_of.clone(),
            house_says: hazard.house_says.clone(),
            acknowledged: hazard.acknowledged.clone(),
        };
        self.hazards(recipe).iter().map(listed).collect()
    }

    /// Every hazard in the notebook with the recipes that it comes from, the worst first.
    #[must_use]
    pub fn by_rule(&self) -> Vec<(Arc<Rule>, BTreeSet<usize>)> {
        let mut found: BTreeMap<&str, (Arc<Rule>, BTreeSet<usize>)> = BTreeMap::new();
        for (recipe, hazards) in &self.hazards {
            for hazard in hazards.iter().filter(|h| h.from == *recipe) {
                found
                    .entry(&hazard.rule.id)
                    .or_insert_with(|| (hazard.rule.clone(), BTreeSet::new()))
                    .1
                    .insert(*recipe);
            }
        }
        let mut list: Vec<_> = found.into_values().collect();
        list.sort_by(|(a, _), (b, _)| {
            (a.severity, a.kind, &a.group, &a.id).cmp(&(b.severity, b.kind, &b.group, &b.id))
        });
        list
    }

    fn hazards_of(&self, facts: &Facts<'_>, force: &InForce) -> Vec<Hazard> {
        let mut list: Vec<Hazard> = Vec::new();
        let found = found_by_processes(facts);
        for rule in &force.rules {
            let causes = evaluate::holds(&rule.expr, facts);
            let found = found.get(rule.id.as_str());
            if causes.is_none() && found.is_none() {
                continue;
            }
            let causes = causes.unwrap_or_else(|| found.iter().map(|(line, _)| Cause::Line(*line)).collect());
            // What only comes up from a part that has it too belongs to that part.
            if let Some(hazard) = self.of_a_part(facts, rule, &causes) {
                list.push(hazard);
                continue;
            }
            let severity = found.map_or(rule.severity, |(_, severity)| rule.severity.min(*severity));
            list.push(self.hazard(facts, force, rule, severity, &causes));
        }
        // What parts have and the whole has not: a siphon that a foam was charged in, a ferment that was stopped.
        for used in facts.node().content.iter().filter_map(recipe_of) {
            for hazard in self.hazards(used) {
                if !list.iter().any(|h| h.rule.id == hazard.rule.id) {
                    list.push(hazard.clone());
                }
            }
        }
        let place = |h: &Hazard| force.rules.iter().position(|r| r.id == h.rule.id);
        list.sort_by_key(|h| (h.severity, h.rule.kind, place(h)));
        list
    }

    fn of_a_part(&self, facts: &Facts<'_>, rule: &Rule, causes: &[Cause]) -> Option<Hazard> {
        if causes.is_empty() || causes.iter().any(|c| facts.is_own(c)) {
            return None;
        }
        let parts = facts.node().content.iter().filter_map(recipe_of);
        parts.flat_map(|used| self.hazards(used)).find(|h| h.rule.id == rule.id).cloned()
    }

    fn hazard(
        &self,
        facts: &Facts<'_>,
        force: &InForce,
        rule: &Arc<Rule>,
        severity: Severity,
        causes: &[Cause],
    ) -> Hazard {
        // A strength that nobody knows is not the fault of the bottle whose label says it.
        let blamed = causes.iter().any(|c| *c == Cause::StrengthUnknown && !facts.places(c).is_empty());
        let causes: Vec<&Cause> = causes.iter().filter(|c| !(blamed && **c == Cause::Tag("alcohol".into()))).collect();
        let mut places: Vec<Place> = causes.iter().flat_map(|c| facts.places(c)).collect();
        places.sort_by_key(|p| (rank(*p), *p));
        places.dedup();
        if places.is_empty() {
            places.push(Place::Recipe);
        }
        let mut because_of: BTreeSet<String> = BTreeSet::new();
        for cause in &causes {
            because_of.extend(facts.names(cause));
        }
        let note = facts.note();
        let house = &facts.computed.graph.notes.house;
        let answered = note.acknowledge.iter().chain(&house.acknowledge).find(|a| a.hazard.value == rule.id);
        Hazard {
            rule: rule.clone(),
            severity,
            from: facts.recipe,
            span: span(facts, places[0]),
            words: words(facts, &places, &because_of),
            places,
            because_of: because_of.into_iter().collect(),
            acknowledged: answered.map(|a| a.because.clone()),
            house_says: force.says.get(&rule.id).cloned(),
        }
    }
}

fn recipe_of(target: &Target) -> Option<usize> {
    match target {
        Target::Recipe(i) => Some(*i),
        Target::Ingredient(_) => None,
    }
}

/// What the processes themselves found wrong, by rule: the line, and how bad.
fn found_by_processes(facts: &Facts<'_>) -> BTreeMap<&'static str, (usize, Severity)> {
    let mut found = BTreeMap::new();
    for (line, stage) in facts.computed.made[facts.recipe].stages.iter().skip(1).enumerate() {
        for danger in &stage.dangers {
            // A doubt of a process is no more than that; the rule says whether it is a hazard.
            if danger.problem.severity == problem::Severity::Error {
                let severity = rules::get(danger.hazard).map_or(Severity::Danger, |r| r.severity);
                found.insert(danger.hazard, (line, severity));
            }
        }
    }
    found
}

/// Which of several places a message points at: the claim or the line that is wrong, before what it is wrong with.
fn rank(place: Place) -> u8 {
    match place {
        Place::Keeps(_) => 0,
        Place::Process(_) => 1,
        Place::Garnish | Place::Glass | Place::Ice => 2,
        Place::Tag(_) => 3,
        Place::Pour(_) | Place::Finish(_) => 4,
        Place::Recipe => 5,
    }
}

fn span(facts: &Facts<'_>, place: Place) -> Span {
    let (note, node) = (facts.note(), facts.node());
    let found = match place {
        Place::Pour(i) => note.mix.get(i).map(|l| l.text.span),
        Place::Process(i) => node.process.get(i).map(|s| s.line.span),
        Place::Finish(i) => note.serve.finish.get(i).map(|l| l.text.span),
        Place::Glass => note.serve.glass.as_ref().map(|t| t.span),
        Place::Ice => note.serve.ice.as_ref().map(|t| t.span),
        Place::Garnish => note.serve.garnish.as_ref().map(|t| t.span),
        Place::Keeps(i) => note.keeps.get(i).map(|k| k.span),
        Place::Tag(i) => note.tags.get(i).map(|t| t.span),
        Place::Recipe => None,
    };
    found.unwrap_or(note.name.span)
}

/// Words for which a step of the method is looked through.
fn words(facts: &Facts<'_>, places: &[Place], because_of: &BTreeSet<String>) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for place in places {
        match place {
            Place::Process(i) => {
                let process = facts.node().process.get(*i).map(|s| s.line.process);
                list.extend(process.into_iter().flat_map(verbs).map(|w| (*w).to_owned()));
            }
            Place::Garnish => list.push("garnish".into()),
            Place::Keeps(_) => list.extend(["keep", "store", "label"].map(str::to_owned)),
            Place::Glass | Place::Ice | Place::Pour(_) | Place::Finish(_) | Place::Tag(_) | Place::Recipe => {}
        }
    }
    for name in because_of {
        list.push(letters(name));
        // `lemon juice` is `lemon` to a method, `egg white` the `white`; a short word says too little.
        list.extend(letters(name).split(' ').map(key).filter(|w| w.len() > 3));
    }
    list
}

/// How a method speaks of a process: beginnings of words.
fn verbs(process: Process) -> &'static [&'static str] {
    match process {
        Process::Stir => &["stir"],
        Process::Shake => &["shake"],
        Process::Throw => &["throw"],
        Process::Swizzle => &["swizzle"],
        Process::Blend => &["blend"],
        Process::DryShake => &["dry shake", "shake"],
        Process::Roll => &["roll"],
        Process::Muddle => &["muddle", "press"],
        Process::Rest => &["rest", "stand", "leave"],
        Process::Age => &["age", "barrel", "rest"],
        Process::Chill => &["chill", "fridge", "cool"],
        Process::Freeze => &["freez"],
        Process::Thaw => &["thaw"],
        Process::Smoke => &["smok"],
        Process::Flame => &["flam", "light", "burn"],
        Process::Water => &["water", "dilut"],
        Process::MilkClarify => &["milk", "curd", "clarif"],
        Process::Clarify => &["clarif", "agar", "gelatin", "spin", "clear"],
        Process::Strain => &["strain", "sieve"],
        Process::Filter => &["filter"],
        Process::Infuse => &["infus", "steep"],
        Process::FatWash => &["wash", "butter", "fat"],
        Process::Ferment => &["ferment", "airlock", "jar"],
        Process::Heat => &["heat", "simmer", "boil", "warm"],
        Process::Pasteurise => &["pasteuris", "heat"],
        Process::HotFill => &["fill", "hot"],
        Process::AcidAdjust => &["acid"],
        Process::Carbonate => &["carbonat", "gas"],
        Process::Charge => &["charg", "siphon", "cartridge"],
        Process::Bottle => &["bottl", "fill", "seal"],
        Process::Juice => &["juice", "press", "squeeze"],
        Process::Peel => &["peel"],
    }
}

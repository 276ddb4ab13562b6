//! Resolving: every name in every recipe to what it means, every amount to ml or g, the recipes ordered so that what is
//! needed comes first.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;

use super::names::{self, Names, Target};
use super::pantry::{self, Pantry};
use crate::measure::Dimension;
use crate::notebook::Notes;
use crate::notebook::pantry::Form;
use crate::notebook::pour::{PourAmount, PourLine, Role};
use crate::notebook::process_line::{ParameterValue, ProcessLine};
use crate::notebook::recipe_note::Makes;
use crate::notebook::yaml::Text;
use crate::problem::{Problem, code};
use crate::process::Process;

mod naming;
mod order;
mod pour;

/// How much of a pour, resolved.
#[derive(Debug, Clone, PartialEq)]
pub enum Measure {
    /// Millilitres, exact.
    Volume(Decimal),
    /// Grams, exact.
    Mass(Decimal),
    /// So many pieces of a known size.
    Pieces {
        /// How many.
        count: Decimal,
        /// What one is: millilitres or grams, exact.
        dimension: Dimension,
        /// How much one is.
        each: Decimal,
        /// The word for it.
        word: Option<String>,
    },
    /// A part of so many pieces of a fruit; how much it gives follows from the fruit's facts.
    PartOf {
        /// `juice`.
        part: String,
        /// How many fruits.
        pieces: Decimal,
        /// The fruit's key among the pantry's.
        fruit: Fruit,
    },
    /// Percent of the liquid's mass.
    Share(Decimal),
    /// Parts of the recipe's size.
    Parts(Decimal),
    /// Fills up to so many millilitres.
    UpTo(Decimal),
}

/// Where a fruit's yield comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Fruit {
    /// An ingredient with parts or yields.
    Ingredient(usize),
    /// A fruit that the generic pantry knows by its juice: ml from one.
    Pressed(f64),
}

/// A pour whose name and amount mean something.
#[derive(Debug, Clone, PartialEq)]
pub struct Pour {
    /// As written.
    pub line: PourLine,
    /// What it is.
    pub target: Target,
    /// Its proper name.
    pub name: String,
    /// State and preparation.
    pub preparation: Option<String>,
    /// How much.
    pub measure: Measure,
    /// What was assumed to get there, for the page.
    pub assumed: Option<String>,
    /// Pours that may stand in its place.
    pub or: Vec<Pour>,
}

impl Pour {
    /// Whether an infusion means the leaves of it: `20 g black tea` is weighed dry, and the generic pantry knows only the brew.
    #[must_use]
    pub(super) fn is_leaf(&self, pantry: &Pantry) -> bool {
        let Target::Ingredient(i) = self.target else { return false };
        let ingredient = &pantry.ingredients[i];
        matches!(self.measure, Measure::Mass(_))
            && ingredient.form == Form::Liquid
            && names::key(&self.name).starts_with("brewed ")
    }
}

/// A process line whose names mean something.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcessStep {
    /// As written.
    pub line: ProcessLine,
    /// Pours by parameter.
    pub pours: BTreeMap<&'static str, Vec<Pour>>,
    /// Names by parameter.
    pub named: BTreeMap<&'static str, Target>,
    /// Shares by parameter.
    pub shares: BTreeMap<&'static str, Vec<(Target, f64)>>,
    /// Whether a name in it meant nothing, so that it cannot be run.
    pub broken: bool,
}

/// One recipe in the graph.
#[derive(Debug, Clone)]
pub struct Node {
    /// Its address.
    pub slug: String,
    /// Its pours; `None` where one meant nothing.
    pub mix: Vec<Option<Pour>>,
    /// Its processes.
    pub process: Vec<ProcessStep>,
    /// Its finish.
    pub finish: Vec<Option<Pour>>,
    /// Recipes that it uses directly.
    pub uses: BTreeSet<usize>,
    /// Recipes that use it directly.
    pub used_by: BTreeSet<usize>,
    /// Ingredients that it uses directly.
    pub ingredients: BTreeSet<usize>,
    /// What goes into it directly: all that it uses but what it only compares itself with.
    pub content: BTreeSet<Target>,
    /// Whether it needs itself.
    pub cyclic: bool,
}

/// The notebook with every name resolved.
#[derive(Debug, Clone)]
pub struct Graph {
    /// What was written.
    pub notes: Notes,
    /// The pantry in force.
    pub pantry: Pantry,
    /// Every name.
    pub names: Names,
    /// One node a recipe, in the order of `notes.recipes`.
    pub nodes: Vec<Node>,
    /// Recipes so ordered that what one uses comes before it.
    pub order: Vec<usize>,
}

impl Graph {
    /// The name of a target.
    #[must_use]
    pub fn name(&self, target: Target) -> &str {
        match target {
            Target::Ingredient(i) => self.pantry.ingredients[i].name(),
            Target::Recipe(i) => &self.notes.recipes[i].name.value,
        }
    }

    /// The recipe of a name, a slug or a file's path.
    #[must_use]
    pub fn recipe(&self, wanted: &str) -> Option<usize> {
        let by_name = match self.names.get(wanted) {
            Some(Target::Recipe(i)) => Some(i),
            _ => None,
        };
        let slug = names::slug(wanted);
        by_name.or_else(|| self.nodes.iter().position(|n| n.slug == slug)).or_else(|| {
            let path = wanted.replace('\\', "/");
            let path = path.trim_start_matches("./");
            self.notes.recipes.iter().position(|r| {
                let file = &self.notes.sources.get(r.file).path;
                path == *file || path.ends_with(&format!("/{file}")) || file.ends_with(&format!("/{path}"))
            })
        })
    }

    /// The recipe and all that it uses, to any depth.
    #[must_use]
    pub fn closure(&self, recipe: usize) -> BTreeSet<usize> {
        self.reach(recipe, |node| node.uses.iter().copied().collect())
    }

    /// The recipe and all that goes into it, to any depth.
    #[must_use]
    pub fn closure_of_content(&self, recipe: usize) -> BTreeSet<usize> {
        self.reach(recipe, |node| {
            let recipes = node.content.iter().filter_map(|t| match t {
                Target::Recipe(i) => Some(*i),
                Target::Ingredient(_) => None,
            });
            recipes.collect()
        })
    }

    fn reach(&self, recipe: usize, next: impl Fn(&Node) -> Vec<usize>) -> BTreeSet<usize> {
        let mut seen = BTreeSet::from([recipe]);
        let mut todo = vec![recipe];
        while let Some(current) = todo.pop() {
            todo.extend(next(&self.nodes[current]).into_iter().filter(|used| seen.insert(*used)));
        }
        seen
    }
}

/// Resolves a notebook. Everything that can be resolved is; every problem is returned.
#[must_use]
pub fn resolve(notes: Notes) -> (Graph, Vec<Problem>) {
    let mut problems = Vec::new();
    let mut names = Names::default();
    let pantry = pantry::merge(&notes, &mut names, &mut problems);
    naming::name_recipes(&notes, &pantry, &mut names, &mut problems);
    let slugs = naming::slugs(&notes, &mut problems);
    let mut nodes = Vec::with_capacity(notes.recipes.len());
    {
        let resolver = Resolver { notes: &notes, pantry: &pantry, names: &names, near: RefCell::default() };
        for (index, slug) in slugs.into_iter().enumerate() {
            nodes.push(resolver.node(index, slug, &mut problems));
        }
    }
    for index in 0..nodes.len() {
        for used in nodes[index].uses.clone() {
            nodes[used].used_by.insert(index);
        }
    }
    let order = order::order(&notes, &mut nodes, &mut problems);
    (Graph { notes, pantry, names, nodes, order }, problems)
}

struct Resolver<'a> {
    notes: &'a Notes,
    pantry: &'a Pantry,
    names: &'a Names,
    /// The names nearest to those that nothing has: one slip of the pen often stands in many recipes.
    near: RefCell<BTreeMap<String, Vec<String>>>,
}

impl Resolver<'_> {
    fn node(&self, index: usize, slug: String, problems: &mut Vec<Problem>) -> Node {
        let recipe = &self.notes.recipes[index];
        let mut node = Node {
            slug,
            mix: Vec::new(),
            process: Vec::new(),
            finish: Vec::new(),
            uses: BTreeSet::new(),
            used_by: BTreeSet::new(),
            ingredients: BTreeSet::new(),
            content: BTreeSet::new(),
            cyclic: false,
        };
        for line in &recipe.mix {
            if line.role != Role::Mix && recipe.makes == Makes::Prep {
                problems.push(
                    Problem::new(code::POUR_ROLE, line.text.span, "a prep has no glass that this could go into")
                        .help("write it as a pour like the others, or write `makes: drink`"),
                );
            }
            if line.foam {
                problems.push(
                    Problem::new(code::POUR_ROLE, line.name.span, "`foam of` goes on a drink that is ready")
                        .help("move this line to `serve: {finish: […]}`"),
                );
            }
            node.mix.push(self.pour(line, problems));
        }
        let parts: Vec<&PourLine> =
            recipe.mix.iter().filter(|l| l.role == Role::Mix && matches!(l.amount, PourAmount::Parts(_))).collect();
        if let (Some(line), None, false) = (parts.first(), &recipe.size, recipe.unread.size) {
            problems.push(
                Problem::new(code::PARTS_WITHOUT_SIZE, line.amount_span, "parts of what? This recipe has no `size`")
                    .help("add for example `size: 1 l`, the total of all parts"),
            );
        }
        for line in &recipe.serve.finish {
            node.finish.push(self.pour(line, problems));
        }
        for line in &recipe.process {
            node.process.push(self.step(line, problems));
        }
        let steps = node.process.iter().flat_map(|s| s.pours.values().flatten());
        let pours = node.mix.iter().chain(&node.finish).flatten().chain(steps);
        let mut targets: BTreeSet<Target> = pours.map(|p| p.target).collect();
        for step in &node.process {
            targets.extend(step.shares.values().flatten().map(|(t, _)| *t));
        }
        node.content = targets.clone();
        targets.extend(node.process.iter().flat_map(|s| s.named.values().copied()));
        for target in targets {
            match target {
                Target::Recipe(i) => node.uses.insert(i),
                Target::Ingredient(i) => node.ingredients.insert(i),
            };
        }
        node
    }

    fn step(&self, line: &ProcessLine, problems: &mut Vec<Problem>) -> ProcessStep {
        let mut step = ProcessStep {
            line: line.clone(),
            pours: BTreeMap::new(),
            named: BTreeMap::new(),
            shares: BTreeMap::new(),
            broken: line.unread,
        };
        for (key, _, value) in &line.parameters {
            match value {
                ParameterValue::Pours(list) => {
                    let mut pours: Vec<Pour> = list.iter().filter_map(|l| self.pour(l, problems)).collect();
                    for pour in pours.iter_mut().filter(|p| line.process == Process::Infuse && p.is_leaf(self.pantry)) {
                        let dry = "weighed, so it is taken as dry leaves of which nothing more is known".to_owned();
                        pour.assumed = Some(pour.assumed.take().map_or(dry.clone(), |a| format!("{a}; {dry}")));
                    }
                    step.broken |= pours.len() < list.len();
                    step.pours.insert(key, pours);
                }
                ParameterValue::Name(text) => match self.names.get(&text.value) {
                    Some(target) => {
                        step.named.insert(key, target);
                    }
                    None => {
                        step.broken = true;
                        problems.push(self.unknown(text));
                    }
                },
                ParameterValue::Shares(list) => {
                    let mut shares = Vec::new();
                    for (text, share) in list {
                        match self.names.get(&text.value) {
                            Some(target) => shares.push((target, *share)),
                            None => {
                                step.broken = true;
                                problems.push(self.unknown(text));
                            }
                        }
                    }
                    step.shares.insert(key, shares);
                }
                _ => {}
            }
        }
        step
    }

    /// `gin - chilled`: a name that is known and what was meant to be said of it, parted by anything but a comma.
    fn remark<'t>(&self, name: &'t str) -> Option<(&'t str, &'t str)> {
        let (known, remark) = [" - ", " – ", " — ", ";", " #", ": "].iter().find_map(|mark| name.split_once(mark))?;
        let (known, remark) = (known.trim(), remark.trim());
        self.names.get(known).filter(|_| !remark.is_empty()).map(|_| (known, remark))
    }

    fn nearest_help(&self, name: &str) -> String {
        let mut nearest = self.near.borrow_mut();
        let near = nearest.entry(name.to_owned()).or_insert_with(|| self.names.near(name));
        match near.as_slice() {
            [] => format!("add `{name}` to a file in `pantry/`, or write a recipe of that name"),
            [one] => format!("did you mean `{one}`? If it is something new, add it to a file in `pantry/`"),
            many => format!(
                "did you mean {}? If it is something new, add it to a file in `pantry/`",
                many.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ")
            ),
        }
    }

    fn unknown(&self, text: &Text) -> Problem {
        let cut = text.value.find([',', '(']).unwrap_or(text.value.len());
        let name = text.value[..cut].trim();
        let help = match self.remark(name) {
            Some((known, remark)) => format!("a remark goes behind a comma: `{known}, {remark}`"),
            None => self.nearest_help(name),
        };
        Problem::new(code::UNKNOWN_NAME, text.part(0, name.len()), format!("nothing is called `{name}`")).help(help)
    }
}

//! Resolving: every name in every recipe to what it means, every amount to ml or g, the recipes ordered so that what is
//! needed comes first.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::{Decimal, dec};

use super::names::{self, Found, Names, Target};
use super::pantry::{self, Pantry};
use crate::measure::{Amount, Dimension, Unit, number};
use crate::notebook::Notes;
use crate::notebook::pantry::Form;
use crate::notebook::pour::{PourAmount, PourLine, Role, middle, near_unit, unknown_unit};
use crate::notebook::process_line::{ParameterValue, ProcessLine};
use crate::notebook::recipe_note::Makes;
use crate::notebook::yaml::Text;
use crate::problem::{Problem, code};
use crate::source::Span;

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
        by_name.or_else(|| self.nodes.iter().position(|n| n.slug == wanted)).or_else(|| {
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
    name_recipes(&notes, &pantry, &mut names, &mut problems);
    let slugs = slugs(&notes, &mut problems);
    let mut nodes = Vec::with_capacity(notes.recipes.len());
    {
        let resolver = Resolver { notes: &notes, pantry: &pantry, names: &names };
        for (index, slug) in slugs.into_iter().enumerate() {
            nodes.push(resolver.node(index, slug, &mut problems));
        }
    }
    for index in 0..nodes.len() {
        for used in nodes[index].uses.clone() {
            nodes[used].used_by.insert(index);
        }
    }
    let order = order(&notes, &mut nodes, &mut problems);
    (Graph { notes, pantry, names, nodes, order }, problems)
}

fn name_recipes(notes: &Notes, pantry: &Pantry, names: &mut Names, problems: &mut Vec<Problem>) {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for (index, recipe) in notes.recipes.iter().enumerate() {
        let key = names::key(&recipe.name.value);
        if let Some(&earlier) = first.get(&key) {
            problems.push(
                Problem::new(
                    code::DUPLICATE_NAME,
                    recipe.name.span,
                    format!("two recipes are called `{}`", recipe.name.value),
                )
                .label("again here")
                .also(notes.recipes[earlier].name.span, "first here")
                .help("give one of them another name; case, accents and plurals do not tell names apart"),
            );
            continue;
        }
        if let Some(Target::Ingredient(i)) = names.get(&recipe.name.value) {
            let ingredient = &pantry.ingredients[i];
            // A name that came along from the generic item below a house item is not the house's own.
            let own = std::iter::once(&ingredient.item.name)
                .chain(&ingredient.item.also)
                .any(|n| n.span.file != notes.builtin.file && names::key(&n.value) == key);
            if ingredient.house && own {
                problems.push(
                    Problem::new(
                        code::DUPLICATE_NAME,
                        recipe.name.span,
                        format!("`{}` is a recipe and a pantry item", recipe.name.value),
                    )
                    .label("a recipe here")
                    .also(ingredient.item.name.span, "a pantry item here")
                    .help("take the item out of the pantry, or give the recipe another name"),
                );
            }
        }
        names.insert(&recipe.name.value, Target::Recipe(index));
        first.insert(key, index);
    }
}

/// Longest address: it becomes the name of a file, and file systems stop at 255 bytes.
const LONGEST_SLUG: usize = 120;

fn slugs(notes: &Notes, problems: &mut Vec<Problem>) -> Vec<String> {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    let mut list = Vec::new();
    for (index, recipe) in notes.recipes.iter().enumerate() {
        let mut slug = names::slug(&recipe.name.value);
        if slug.is_empty() {
            slug = names::slug(&recipe.path);
        }
        if slug.is_empty() {
            problems.push(
                Problem::new(
                    code::WRONG_VALUE,
                    recipe.name.span,
                    "neither this name nor its file's holds a letter, so it has no address",
                )
                .help("write a letter or a digit into the name"),
            );
            slug = format!("recipe-{}", index + 1);
        } else if slug.len() > LONGEST_SLUG {
            problems.push(
                Problem::new(
                    code::WRONG_VALUE,
                    recipe.name.span,
                    format!("this name makes an address of {} letters, more than {LONGEST_SLUG}", slug.len()),
                )
                .help("write a shorter name, and the rest into the method"),
            );
        }
        if let Some(&earlier) = first.get(&slug) {
            if names::key(&notes.recipes[earlier].name.value) != names::key(&recipe.name.value) {
                problems.push(
                    Problem::new(
                        code::DUPLICATE_SLUG,
                        recipe.name.span,
                        format!("this name makes the address `{slug}`, which is taken"),
                    )
                    .also(notes.recipes[earlier].name.span, "taken by this recipe")
                    .help("change one of the two names by a letter or a word"),
                );
            }
        } else {
            first.insert(slug.clone(), index);
        }
        list.push(slug);
    }
    list
}

struct Resolver<'a> {
    notes: &'a Notes,
    pantry: &'a Pantry,
    names: &'a Names,
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
                    let pours: Vec<Pour> = list.iter().filter_map(|l| self.pour(l, problems)).collect();
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

    /// A name that nothing has; a word for a piece or pack before or behind it is not part of it.
    fn unknown_counted(&self, text: &Text) -> Problem {
        let all = text.value.as_str();
        let words: Vec<&str> = all.split([',', '(']).next().unwrap_or(all).split_whitespace().collect();
        let rest = match words.as_slice() {
            [first, "of", rest, ..] | [first, rest, ..] if pantry::is_portion_word(first) => {
                let from = rest.as_ptr() as usize - all.as_ptr() as usize;
                &all[from..]
            }
            [first, .., last] if pantry::is_portion_word(last) => {
                let to = last.as_ptr() as usize - all.as_ptr() as usize;
                all[first.as_ptr() as usize - all.as_ptr() as usize..to].trim_end()
            }
            _ => all,
        };
        let at = rest.as_ptr() as usize - all.as_ptr() as usize;
        let name = Text {
            value: rest.to_owned(),
            span: text.part(at, at + rest.len()),
            exact: text.exact,
            quoted: text.quoted,
        };
        self.unknown(&name)
    }

    fn unknown(&self, text: &Text) -> Problem {
        let cut = text.value.find([',', '(']).unwrap_or(text.value.len());
        let name = text.value[..cut].trim();
        let near = self.names.near(name);
        let help = match near.as_slice() {
            [] => format!("add `{name}` to a file in `pantry/`, or write a recipe of that name"),
            [one] => format!("did you mean `{one}`? If it is something new, add it to a file in `pantry/`"),
            many => format!(
                "did you mean {}? If it is something new, add it to a file in `pantry/`",
                many.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ")
            ),
        };
        Problem::new(code::UNKNOWN_NAME, text.part(0, name.len()), format!("nothing is called `{name}`")).help(help)
    }

    fn find(&self, text: &Text, counted: bool, problems: &mut Vec<Problem>) -> Option<Found> {
        let found = self.names.find(&text.value, counted);
        if found.is_none() {
            problems.push(self.unknown(text));
        }
        found
    }

    fn pour(&self, line: &PourLine, problems: &mut Vec<Problem>) -> Option<Pour> {
        let assume = &self.notes.house.assume;
        let mut assumed = None;
        let (found, measure) = match &line.amount {
            PourAmount::Measured { amount, high, times } => {
                let found = self.find(&line.name, false, problems)?;
                let value = middle(amount.value, *high).checked_mul(times.unwrap_or(Decimal::ONE));
                if let Some(high) = high {
                    assumed = Some(format!(
                        "{}–{} {} is counted as its middle",
                        amount.value.normalize(),
                        high.normalize(),
                        amount.unit.word_for(*high)
                    ));
                }
                let measure = self.base(value.map(|value| Amount { value, ..*amount }), line, problems)?;
                (found, measure)
            }
            PourAmount::Count(count) => {
                // The line keeps only the middle of `2–3 limes`.
                let range = number::lex_range(&line.text.value).ok().flatten();
                if let Some((low, high)) = range.and_then(|r| r.high.map(|high| (r.low, high))) {
                    assumed = Some(format!("{}–{} is counted as its middle", low.normalize(), high.normalize()));
                }
                self.counted(line, *count, problems)?
            }
            PourAmount::FewPieces => {
                let (found, measure) = self.counted(line, assume.few, problems)?;
                assumed = Some(format!("a few is counted as {}", assume.few.normalize()));
                (found, measure)
            }
            PourAmount::Half => {
                let (found, measure) = self.counted(line, dec!(0.5), problems)?;
                assumed = Some("half of one is counted as half its weight".to_owned());
                (found, measure)
            }
            PourAmount::PartOf { part, pieces } => {
                let pour = self.part_of(line, part, *pieces, problems)?;
                assumed = Some(format!("a typical yield: {}", self.yield_words(&pour.1, part)));
                pour
            }
            PourAmount::Share(percent) => (self.find(&line.name, false, problems)?, Measure::Share(*percent)),
            PourAmount::Parts(parts) => (self.find(&line.name, false, problems)?, Measure::Parts(*parts)),
            PourAmount::UpTo(amount) => {
                let found = self.find(&line.name, false, problems)?;
                match self.base(Some(*amount), line, problems)? {
                    Measure::Volume(ml) => (found, Measure::UpTo(ml)),
                    _ => {
                        problems.push(
                            Problem::new(code::WRONG_UNIT, line.amount_span, "a fill-up is to a volume, not a mass")
                                .help("write for example `to 1 l water`"),
                        );
                        return None;
                    }
                }
            }
            PourAmount::Few(unit) => {
                let found = self.find(&line.name, false, problems)?;
                assumed = Some(format!("a few is counted as {} {}", assume.few.normalize(), unit.word_for(assume.few)));
                (found, self.base(Some(Amount { value: assume.few, unit: *unit }), line, problems)?)
            }
            PourAmount::ToTaste => {
                let found = self.find(&line.name, false, problems)?;
                let solid =
                    matches!(found.target, Target::Ingredient(i) if self.pantry.ingredients[i].form != Form::Liquid);
                let amount = if solid { assume.pinch } else { assume.to_taste };
                assumed = Some(format!("to taste is counted as {}", shown(amount)));
                (found, self.base(Some(amount), line, problems)?)
            }
            PourAmount::Bare => {
                let found = self.find(&line.name, false, problems)?;
                let amount = match line.role {
                    Role::Float => Amount { value: dec!(15), unit: Unit::Ml },
                    Role::Rinse => Amount { value: Decimal::ONE, unit: Unit::Barspoon },
                    Role::Top | Role::Mix => assume.top,
                };
                let word = match line.role {
                    Role::Float => "a float",
                    Role::Rinse => "a rinse",
                    Role::Top | Role::Mix => "a top",
                };
                assumed = Some(format!("{word} is counted as {}", shown(amount)));
                (found, self.base(Some(amount), line, problems)?)
            }
        };
        if line.role != Role::Mix && matches!(measure, Measure::Share(_) | Measure::Parts(_) | Measure::UpTo(_)) {
            problems.push(
                Problem::new(code::POUR_ROLE, line.amount_span, "what goes in the glass is measured by itself")
                    .help("write a volume, for example `top 90 ml soda water`"),
            );
            return None;
        }
        if line.role == Role::Rinse {
            let stays = assume.rinse_stays * 100.0;
            let words = format!("{stays} % of a rinse stays in the glass");
            assumed = Some(assumed.map_or_else(|| words.clone(), |a| format!("{a}; {words}")));
        }
        let name = match found.target {
            Target::Ingredient(i) => self.pantry.ingredients[i].name().to_owned(),
            Target::Recipe(i) => self.notes.recipes[i].name.value.clone(),
        };
        Some(Pour { line: line.clone(), target: found.target, name, preparation: found.preparation, measure, assumed })
    }

    fn base(&self, amount: Option<Amount>, line: &PourLine, problems: &mut Vec<Problem>) -> Option<Measure> {
        let based = amount.and_then(|a| a.base(&self.notes.house.units).map(|b| (a.unit.dimension(), b)));
        match based {
            Some((Dimension::Volume, ml)) if ml <= MOST => Some(Measure::Volume(ml)),
            Some((Dimension::Mass, g)) if g <= MOST => Some(Measure::Mass(g)),
            _ => {
                problems.push(too_much(line));
                None
            }
        }
    }

    fn counted(&self, line: &PourLine, count: Decimal, problems: &mut Vec<Problem>) -> Option<(Found, Measure)> {
        let Some(found) = self.names.find(&line.name.value, true) else {
            // `30 mls gin`: a word that almost is a unit, before a name that is known.
            let word = line.name.value.split_whitespace().next().unwrap_or("");
            let near_unit = near_unit(word).is_some();
            let rest_known = self.names.find(line.name.value[word.len()..].trim(), false).is_some();
            problems.push(if near_unit && rest_known {
                unknown_unit(word, line.name.part(0, word.len()))
            } else {
                self.unknown_counted(&line.name)
            });
            return None;
        };
        let fault = |problem: Problem, problems: &mut Vec<Problem>| {
            problems.push(problem);
            None
        };
        let word = found.piece.clone();
        // The word stands before the name (`2 sprigs mint`) or behind it (`8 mint leaves`).
        let word_span = match &word {
            Some(word) if line.name.value.starts_with(word.as_str()) => line.name.part(0, word.len()),
            Some(word) => {
                let at = line.name.value.find(word.as_str()).unwrap_or(0);
                line.name.part(at, at + word.len())
            }
            None => line.name.span,
        };
        let near_unit = |word: &str| near_unit(word).is_some();
        let Target::Ingredient(i) = found.target else {
            let name = &line.name.value;
            return match word.filter(|w| !w.is_empty()) {
                Some(word) if word.contains(' ') => fault(self.unknown_counted(&line.name), problems),
                Some(word) => fault(unknown_unit(&word, word_span), problems),
                None => fault(
                    Problem::new(
                        code::MISSING_UNIT,
                        line.amount_span,
                        format!("`{name}` is made here, so it is measured, not counted"),
                    )
                    .help(format!("write for example `{} ml {name}`", count.normalize())),
                    problems,
                ),
            };
        };
        let ingredient = &self.pantry.ingredients[i];
        if let Some(portion) = ingredient.portion(word.as_deref())
            && let Some(each) = portion.amount.base(&self.notes.house.units)
        {
            let total = count.checked_mul(each).filter(|total| *total <= MOST);
            if total.is_none() {
                return fault(too_much(line), problems);
            }
            let measure = Measure::Pieces {
                count,
                dimension: portion.amount.unit.dimension(),
                each,
                word: word.or_else(|| portion.word.clone().filter(|w| !ends_with_word(ingredient.name(), w))),
            };
            return Some((found, measure));
        }
        let name = ingredient.name();
        let few = line.amount == PourAmount::FewPieces;
        let many = if few { "a few".to_owned() } else { count.normalize().to_string() };
        match word {
            // Two words before a name are no unit and no piece: the name is another one, such as `evaporated milk`.
            Some(word) if word.contains(' ') => fault(self.unknown_counted(&line.name), problems),
            Some(word) if near_unit(&word) => fault(unknown_unit(&word, word_span), problems),
            Some(word) if ingredient.form == Form::Liquid && !pantry::is_portion_word(&word) => {
                let problem = unknown_unit(&word, word_span);
                // What is counted is often described: `1 large egg white`.
                let counted = ingredient.item.piece.is_some();
                fault(
                    if counted {
                        problem.help(format!("a remark goes behind a comma: `{many} {name}, {word}`"))
                    } else {
                        problem
                    },
                    problems,
                )
            }
            Some(word) => {
                let one = names::singular(&word);
                let fact =
                    if pantry::is_pack_word(&word) { "pack: 700 ml".to_owned() } else { format!("piece: 5 g {one}") };
                fault(
                    Problem::new(
                        code::PIECE_UNKNOWN,
                        word_span,
                        format!("the pantry does not know how much one {one} of {name} is"),
                    )
                    .help(format!("write a volume or a mass, or add for example `{fact}` to `{name}` in the pantry")),
                    problems,
                )
            }
            None if ingredient.form == Form::Liquid && ingredient.item.pack.is_none() => fault(
                Problem::new(
                    code::MISSING_UNIT,
                    line.amount_span,
                    format!("the unit is missing: {many} of {name} is how much?"),
                )
                .help(format!("write for example `{many} {} {name}`", if few { "dashes" } else { "ml" })),
                problems,
            ),
            None => fault(
                Problem::new(
                    code::PIECE_UNKNOWN,
                    line.name.span,
                    format!("the pantry does not know how much one {name} weighs"),
                )
                .help(format!("write a mass, or add for example `piece: 100 g` to `{name}` in the pantry")),
                problems,
            ),
        }
    }

    /// `juice of 2 limes`.
    fn part_of(
        &self,
        line: &PourLine,
        part: &str,
        pieces: Decimal,
        problems: &mut Vec<Problem>,
    ) -> Option<(Found, Measure)> {
        let text = &line.name.value;
        let cut = text.find([',', '(']).unwrap_or(text.len());
        let (fruit_name, after) = (text[..cut].trim(), text[cut..].trim_matches([',', '(', ')', ' ']));
        let fruit = self.names.get(fruit_name);
        let pressed = self.pantry.pressed.get(&names::key(fruit_name)).filter(|_| part == "juice");
        let given = match fruit {
            Some(Target::Ingredient(i)) => {
                let item = &self.pantry.ingredients[i].item;
                let known = item.yields.iter().any(|(p, _)| p == part) || item.parts.iter().any(|(p, _, _)| p == part);
                (known && item.piece.is_some()).then_some(Fruit::Ingredient(i))
            }
            _ => None,
        };
        let Some(measured) = given.or_else(|| pressed.map(|p| Fruit::Pressed(p.juice_ml))) else {
            problems.push(match fruit {
                None if pressed.is_none() => self.unknown(&line.name),
                _ => Problem::new(code::PIECE_UNKNOWN, line.name.part(0, fruit_name.len()), format!("the pantry does not know how much {part} one {} gives", names::singular(fruit_name)))
                    .help(format!("write a volume or a mass, or state `piece` and `yields: {{{part}: 45 %}}` of `{fruit_name}` in the pantry")),
            });
            return None;
        };
        let product = format!("{} {part}", names::key(fruit_name));
        let target = self.names.get(&product).or_else(|| pressed.map(|p| Target::Ingredient(p.juice)));
        // Without facts of the part itself only its mass is known, and that it comes of this fruit.
        let target = target.or_else(|| fruit.filter(|_| matches!(measured, Fruit::Ingredient(_))));
        let Some(target) = target else {
            problems.push(
                Problem::new(
                    code::UNKNOWN_NAME,
                    line.text.span,
                    format!("nothing is called `{product}`, so nobody knows what is in it"),
                )
                .help(format!("add `{product}` with its facts to the pantry")),
            );
            return None;
        };
        if pieces > dec!(100_000) {
            problems.push(too_much(line));
            return None;
        }
        let found = Found { target, preparation: (!after.is_empty()).then(|| after.to_owned()), piece: None };
        Some((found, Measure::PartOf { part: part.to_owned(), pieces, fruit: measured }))
    }

    fn yield_words(&self, measure: &Measure, part: &str) -> String {
        match measure {
            Measure::PartOf { fruit: Fruit::Pressed(ml), .. } => format!("{ml} ml of {part} from one"),
            Measure::PartOf { fruit: Fruit::Ingredient(i), .. } => {
                format!("the {part} that the pantry states for {}", self.pantry.ingredients[*i].name())
            }
            _ => String::new(),
        }
    }
}

/// Whether a name ends with a word, or is it: one `egg white` is not a white of egg white.
fn ends_with_word(name: &str, word: &str) -> bool {
    let (name, word) = (names::key(name), names::key(word));
    name == word || name.strip_suffix(&word).is_some_and(|before| before.ends_with(' '))
}

/// Most that one pour may be, ml or g.
const MOST: Decimal = dec!(10_000_000);

fn too_much(line: &PourLine) -> Problem {
    Problem::new(code::BAD_NUMBER, line.amount_span, "this is more than ten thousand litres, or ten tonnes")
        .help("check the number and its unit")
}

fn shown(amount: Amount) -> String {
    format!("{} {}", amount.value.normalize(), amount.unit.word_for(amount.value))
}

/// Orders the recipes, what is used before what uses it; reports each cycle once with its path.
fn order(notes: &Notes, nodes: &mut [Node], problems: &mut Vec<Problem>) -> Vec<usize> {
    #[derive(Clone, Copy, PartialEq)]
    enum Mark {
        New,
        Open,
        Done,
    }
    let mut marks = vec![Mark::New; nodes.len()];
    let mut order = Vec::with_capacity(nodes.len());
    for start in 0..nodes.len() {
        if marks[start] != Mark::New {
            continue;
        }
        // A stack of (recipe, the recipes it uses that are still to be seen): no recursion, however deep a notebook goes.
        let mut stack: Vec<(usize, Vec<usize>)> = vec![(start, nodes[start].uses.iter().rev().copied().collect())];
        marks[start] = Mark::Open;
        while let Some((current, left)) = stack.last_mut() {
            let current = *current;
            let Some(next) = left.pop() else {
                marks[current] = Mark::Done;
                order.push(current);
                stack.pop();
                continue;
            };
            match marks[next] {
                Mark::Done => {}
                Mark::New => {
                    marks[next] = Mark::Open;
                    let uses = nodes[next].uses.iter().rev().copied().collect();
                    stack.push((next, uses));
                }
                Mark::Open => {
                    let from = stack.iter().position(|(i, _)| *i == next).unwrap_or(0);
                    let path: Vec<usize> = stack[from..].iter().map(|(i, _)| *i).collect();
                    problems.push(cycle(notes, nodes, &path));
                    for i in path {
                        nodes[i].cyclic = true;
                    }
                }
            }
        }
    }
    order
}

fn cycle(notes: &Notes, nodes: &[Node], path: &[usize]) -> Problem {
    let name = |i: usize| notes.recipes[i].name.value.as_str();
    let first = path[0];
    let last = path[path.len() - 1];
    let at = place_of_use(&nodes[last], first).unwrap_or(notes.recipes[last].name.span);
    let mut shown: Vec<String> = path.iter().map(|i| format!("`{}`", name(*i))).collect();
    shown.push(format!("`{}`", name(first)));
    let message = if path.len() == 1 {
        format!("`{}` needs itself", name(first))
    } else {
        format!("this recipe needs itself: {}", shown.join(" needs "))
    };
    let mut problem = Problem::new(code::CYCLE, at, message).label("the circle closes here");
    for pair in path.windows(2) {
        if let Some(span) = place_of_use(&nodes[pair[0]], pair[1]) {
            problem = problem.also(span, format!("`{}` is needed here", name(pair[1])));
        }
    }
    problem.help("take one of these pours out; something bought in must be named differently from what is made of it")
}

fn place_of_use(node: &Node, used: usize) -> Option<Span> {
    let steps = node.process.iter().flat_map(|s| s.pours.values().flatten());
    node.mix
        .iter()
        .chain(&node.finish)
        .flatten()
        .chain(steps)
        .find(|p| p.target == Target::Recipe(used))
        .map(|p| p.line.name.span)
}

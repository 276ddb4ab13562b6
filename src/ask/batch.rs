//! Batch: a recipe scaled to serves, a volume, bottles or what is in stock, in amounts that people can measure.
//!
//! In: a computed recipe and a [`Request`]. Out: an [`Answer`], or a [`Refusal`] where the request makes no sense for this
//! recipe. Nothing here prints.
//!
//! All amounts are fractions without rounding until a tool measures them, so that a third of a batch, times three, is the batch.

pub mod document;
pub mod expand;
mod hold;
pub mod kit;
pub mod limit;
pub mod plan;
pub mod ready;
pub mod rounding;
pub mod stock;
pub mod wording;

use std::collections::BTreeMap;

pub use self::document::{Answer, Beyond, Drift, TakenAs};
use self::document::{Asked, Bottles};
use self::expand::{Share, Tree};
use self::hold::Ceilings;
use self::kit::Kit;
pub use self::stock::{Have, Stock};
use self::stock::{Held, held};
pub use super::dial::Refusal;
use super::taste::Unknown;
use crate::measure::Exact;
use crate::measure::tool::View;
use crate::mixture::Mixture;
use crate::problem::Problem;
use crate::problem::terminal::clean;
use crate::recipe::names::Target;
use crate::recipe::run::Computed;

/// Most that one batch makes: ten thousand litres, as for a pour.
const MOST_ML: u64 = 10_000_000;
/// Most times that a recipe of unknown volume is made.
const MOST_TIMES: u64 = 1_000_000;
/// Most glasses that one batch fills.
const MOST_SERVES: u64 = 10_000_000;

/// How much is wanted.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Size {
    /// Nothing is said: as much as stock allows, else the recipe as written.
    #[default]
    Unsaid,
    /// So many serves.
    Serves(Exact),
    /// So many millilitres.
    Makes(Exact),
    /// Bottles by size, ml, and how many.
    Bottles(Vec<(Exact, u64)>),
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Request {
    /// How much is wanted.
    pub size: Size,
    /// A bottle to fill with what is made, ml, where no number of bottles is wanted.
    pub into: Option<Exact>,
    /// What is in stock.
    pub haves: Vec<Have>,
    /// Whether it is to be ready to pour: the ice's water measured in.
    pub ready: bool,
    /// Facts of today, see [`super::dial::today::facts`].
    pub facts: BTreeMap<Target, Mixture>,
    /// Names in those that were taken for others.
    pub taken_as: Vec<TakenAs>,
    /// In millilitres or ounces.
    pub view: View,
    /// Whether it is for everybody's eyes: default tools, and nothing of what is not published.
    pub public: bool,
    /// Whether amounts are enough, and nobody asks what rounding does to the figures.
    pub amounts_only: bool,
}

/// A recipe ready to be scaled many times: its parts, the tools, how its figures answer to its pours.
pub struct Scaling<'a> {
    computed: &'a Computed,
    facts: &'a BTreeMap<Target, Mixture>,
    /// The recipe and its house-made parts.
    pub tree: Tree,
    /// What it is measured with.
    pub kit: Kit,
    /// By recipe and line, see [`rounding::answers`].
    pub answers: BTreeMap<usize, Vec<Option<rounding::Answers>>>,
}

impl<'a> Scaling<'a> {
    /// Looks a recipe over. With `public`, tools are the default ones and parts that are not published stay closed.
    #[must_use]
    pub fn new(computed: &'a Computed, recipe: usize, facts: &'a BTreeMap<Target, Mixture>, public: bool) -> Self {
        let notes = &computed.graph.notes;
        let hidden = |i: usize| public && !notes.recipes[i].publish;
        let tree = Tree::new(computed, recipe, facts, &hidden);
        let answers = tree
            .order
            .iter()
            .map(|r| (*r, rounding::answers(computed, &tree.plans[r], &tree.made[r], facts)))
            .collect();
        Self { computed, facts, tree, kit: Kit::new(&notes.house, public), answers }
    }

    /// Answers a request, whose facts are those that this was made with. The problems are of the batch itself: doses that no
    /// scale weighs, drinks that would freeze.
    ///
    /// # Errors
    /// A [`Refusal`] for stock that the recipe does not use, a size of nothing or beyond reason, or one that cannot be told.
    pub fn ask(&self, request: &Request) -> Result<(Answer, Vec<Problem>), Refusal> {
        let held = held(self.computed, &self.tree, &request.haves, request.size != Size::Unsaid)
            .map_err(|r| r.about("--have"))?;
        read_of_what_goes_in(self.computed, &self.tree, request).map_err(|r| r.about("--reading"))?;
        let asking = Asking { scaling: self, computed: self.computed, request, tree: &self.tree, kit: &self.kit, held };
        match asking.sized()? {
            Sized::Times(size) => {
                let (factor, limited_by) = asking.factor(size.clone())?;
                let (mut answer, problems) = asking.answer(&factor, limited_by);
                answer.asked = size.filter(|asked| factor < *asked).map(|asked| asking.asked(&asked));
                Ok((answer, problems))
            }
            Sized::Unknown(because) => {
                let mut answer = Answer::new(self.computed, asking.plan(), &Exact::one());
                (answer.factor, answer.makes_ml, answer.serves) = (None, None, None);
                answer.unknown.push(Unknown { figure: "factor".into(), stage: None, because });
                Ok((answer, Vec::new()))
            }
        }
    }
}

/// A request with everything that it needs looked up.
struct Asking<'a> {
    scaling: &'a Scaling<'a>,
    computed: &'a Computed,
    request: &'a Request,
    tree: &'a Tree,
    kit: &'a Kit,
    held: Held,
}

/// Answers for one recipe.
///
/// # Errors
/// As [`Scaling::ask`].
pub fn batch(computed: &Computed, recipe: usize, request: &Request) -> Result<(Answer, Vec<Problem>), Refusal> {
    Scaling::new(computed, recipe, &request.facts, request.public).ask(request)
}

/// What a size comes to.
enum Sized {
    /// So many times the recipe, where a size is asked for.
    Times(Option<Exact>),
    /// It cannot be told, and why.
    Unknown(String),
}

/// Every fact of today must be of something that goes in.
fn read_of_what_goes_in(computed: &Computed, tree: &Tree, request: &Request) -> Result<(), Refusal> {
    for target in request.facts.keys() {
        let used = tree.plans.values().flat_map(|p| &p.lines).any(|l| l.target == Some(*target));
        if !used {
            let name = clean(computed.graph.name(*target));
            return Err(Refusal::new(
                format!("a reading of `{name}` says nothing here: it does not go into this recipe"),
                "leave it out, or name what the recipe pours",
            ));
        }
    }
    Ok(())
}

impl Asking<'_> {
    fn plan(&self) -> &plan::Plan {
        &self.tree.plans[&self.tree.top]
    }

    /// How many times the recipe, and what decides where that is stock.
    fn factor(&self, mut factor: Option<Exact>) -> Result<(Exact, Option<String>), Refusal> {
        let mut limited_by = None;
        for limit in &self.held.limits {
            let most = limit.factor(self.computed, self.tree, &self.held.stock).map_err(|r| r.about("--have"))?;
            let Some(most) = most else { continue };
            if factor.as_ref().is_none_or(|f| most < *f) {
                factor = Some(most);
                limited_by = Some(limit.name.clone());
            }
        }
        let factor = factor.unwrap_or_else(Exact::one);
        let too_much = match &self.plan().volume {
            Some(volume) => &factor * volume > Exact::whole(MOST_ML),
            None => factor > Exact::whole(MOST_TIMES),
        };
        let serves = self.plan().glasses(&factor).unwrap_or_else(Exact::zero);
        if too_much || (self.plan().drink && serves > Exact::whole(MOST_SERVES)) {
            return Err(Refusal::new("that is more than ten thousand litres", "check the number and its unit"));
        }
        if !factor.is_positive() {
            let name = limited_by.map_or_else(|| "it".into(), |n| clean(&n));
            return Err(Refusal::new(
                format!(
                    "`{name}` is counted in whole pieces, and there is not one piece for each line that takes some"
                ),
                format!("weigh it, as in `--have \"{name}=90 g\"`, or get more of it"),
            )
            .about("--have"));
        }
        Ok((factor, limited_by))
    }

    /// The size that was asked for, and what there is too little of for it.
    fn asked(&self, factor: &Exact) -> Asked {
        let serves = match &self.request.size {
            Size::Serves(serves) => Some(serves.clone()),
            _ => None,
        };
        let makes_ml = self.plan().volume.as_ref().map(|v| v * factor).filter(|_| serves.is_none());
        Asked { serves, makes_ml, short: limit::short(self.computed, self.tree, &self.held, factor) }
    }

    fn sized(&self) -> Result<Sized, Refusal> {
        let plan = self.plan();
        let ml = match &self.request.size {
            Size::Unsaid => return Ok(Sized::Times(None)),
            Size::Makes(ml) => ml.clone(),
            Size::Bottles(bottles) => bottles.iter().map(|(size, n)| &self.fill(size) * &Exact::whole(*n)).sum(),
            Size::Serves(_) if !plan.drink => {
                return Err(Refusal::new(
                    format!("{} is a prep, and a prep has no serves", self.name()),
                    "say how much of it is wanted, for example `--makes \"1 l\"`",
                )
                .about("--serves"));
            }
            Size::Serves(serves) => match &plan.glass {
                Some(glass) => serves * glass,
                None => return Ok(Sized::Times(Some(serves.clone()))),
            },
        };
        Ok(match plan.volume.as_ref().and_then(|v| ml.over(v)) {
            Some(times) => Sized::Times(Some(times)),
            None => {
                let volume = self.tree.made[&self.tree.top].batch().mixture.figure_volume();
                let because = volume.err().map_or_else(|| "nothing is left of it".into(), |b| b.text());
                Sized::Unknown(format!("how much one batch makes is not known, because {because}"))
            }
        })
    }

    fn name(&self) -> String {
        clean(&self.computed.graph.notes.recipes[self.tree.top].name.value)
    }

    /// What goes into a bottle, ml.
    fn fill(&self, size: &Exact) -> Exact {
        size * &(&Exact::one() - &self.kit.headspace)
    }

    fn answer(&self, factor: &Exact, limited_by: Option<String>) -> (Answer, Vec<Problem>) {
        let shares = self.tree.shares(factor, &self.held.stock, true);
        let parents = parents(self.tree);
        let mut made: BTreeMap<Target, Mixture> = self.scaling.facts.clone();
        let mut answers: BTreeMap<usize, Answer> = BTreeMap::new();
        let mut problems = Vec::new();
        let mut ceilings = Ceilings::new(self.computed, self.tree, &self.held, &shares);
        // What is used before what uses it, so that a syrup's rounding reaches the drink.
        for recipe in self.tree.order.iter().rev() {
            let share = &shares[recipe];
            let (mut answer, found) = self.one(*recipe, share, &mut made, &mut ceilings);
            problems.extend(found);
            let used: Vec<usize> = parents.iter().filter(|(_, user)| *user == recipe).map(|(part, _)| *part).collect();
            // In the order in which the recipe pours them.
            for line in &self.tree.plans[recipe].lines {
                if let Some(Target::Recipe(i)) = line.target
                    && used.contains(&i)
                    && let Some(part) = answers.remove(&i)
                {
                    answer.preps.push(part);
                }
            }
            answers.insert(*recipe, answer);
        }
        let mut answer = answers.remove(&self.tree.top).unwrap_or_default();
        answer.limited_by = limited_by;
        answer.taken_as = [&self.held.taken_as[..], &self.request.taken_as].concat();
        answer.fruit = limit::fruit(self.computed, self.tree, &self.held, &shares);
        self.bottled(&mut answer);
        if self.request.ready {
            let (ready, problem) = ready::ready(self.computed, self.tree, &answer);
            answer.ready = Some(ready);
            problems.extend(problem);
        }
        (answer, problems)
    }

    /// One recipe of the tree, without what it is made of.
    fn one(
        &self,
        recipe: usize,
        share: &Share,
        made: &mut BTreeMap<Target, Mixture>,
        ceilings: &mut Ceilings<'_>,
    ) -> (Answer, Vec<Problem>) {
        let plan = &self.tree.plans[&recipe];
        let top = recipe == self.tree.top;
        let factor = &share.factor.value;
        let mut answer = Answer::new(self.computed, plan, factor);
        if !top {
            answer.needed_ml = Some(share.need.value.clone());
            answer.from_stock_ml = Some(share.from_stock.clone()).filter(Exact::is_positive);
        }
        if !top && plan.volume.is_none() {
            // How often it is made cannot be told; why is among what is not known.
            answer.factor = None;
            return (answer, Vec::new());
        }
        if !factor.is_positive() {
            return (answer, Vec::new());
        }
        let ready = top && self.request.ready;
        let answers = &self.scaling.answers[&recipe];
        let mut pours = rounding::measured(plan, factor, answers, self.kit, self.request.view, ready);
        ceilings.hold(recipe, &mut pours, self.kit, self.request.view);
        answer.drift_beyond = document::beyond(&pours, answers, self.kit);
        if self.request.amounts_only {
            let problems = answer.fill_in(self.computed, plan, &pours, self.request.view);
            return (answer, problems);
        }
        let (figures, mixture) = rounding::as_measured(self.computed, plan, &pours, made);
        answer.drift = Drift::between(rounding::figures(&self.tree.made[&recipe]), figures);
        let read = &self.tree.made[&recipe];
        answer.unknown.extend(document::unknown_drift(&read.stages[read.balance].mixture));
        if !self.request.facts.is_empty() {
            let written = rounding::figures(&self.computed.made[recipe]);
            answer.today = Some(Drift::between(written, rounding::figures(&self.tree.made[&recipe])));
        }
        // What is poured of it is what was measured, together with what was there before.
        // What was read of it today stands all the same.
        let read_today = self.request.facts.contains_key(&Target::Recipe(recipe));
        if let (false, false, Some(mixture)) = (top, read_today, mixture) {
            let before = &self.tree.made[&recipe].batch().mixture;
            let mut all = mixture.scaled(factor.float());
            all.pour(&before.portion(share.from_stock.float()));
            made.insert(Target::Recipe(recipe), all);
        }
        let mut problems = answer.fill_in(self.computed, plan, &pours, self.request.view);
        problems.extend(document::too_far(&answer, plan, &pours, answers));
        (answer, problems)
    }

    fn bottled(&self, answer: &mut Answer) {
        let plan = self.plan();
        let Some(makes) = answer.makes_ml.clone() else { return };
        let mut left = makes;
        let kinds: Vec<(Exact, Exact, Option<u64>)> = match (&self.request.size, &self.request.into, &plan.bottle) {
            (Size::Bottles(list), ..) => {
                list.iter().map(|(size, n)| (size.clone(), self.fill(size), Some(*n))).collect()
            }
            (_, Some(size), _) => vec![(size.clone(), self.fill(size), None)],
            (_, None, Some((size, headspace))) => {
                vec![(size.clone(), size * &(&Exact::one() - headspace), None)]
            }
            _ => Vec::new(),
        };
        for (size, fill, most) in kinds {
            let fits = left.over(&fill).and_then(|n| n.count()).unwrap_or(0);
            let count = most.map_or(fits, |m| m.min(fits));
            left = &left - &(&fill * &Exact::whole(count));
            // Bottles that were asked for are told even where not one is filled.
            if count > 0 || most.is_some() || self.request.into.is_some() {
                answer.bottles.push(Bottles { size_ml: size, count, fill_ml: fill });
            }
        }
        if answer.bottles.is_empty() {
            // Without a measured glass a serve is the recipe as written; a prep stays in its jar.
            let serve = plan.glass.as_ref().or(plan.volume.as_ref());
            left = match (answer.serves, serve) {
                (Some(serves), Some(serve)) => &left - &(serve * &Exact::whole(serves)),
                _ => Exact::zero(),
            };
        }
        answer.left_ml = Some(left);
    }
}

/// Which recipe lists each part: the recipe asked for where it pours the part itself, else the first that does.
fn parents(tree: &Tree) -> BTreeMap<usize, usize> {
    let mut parents = BTreeMap::new();
    for user in &tree.order {
        for line in &tree.plans[user].lines {
            if let Some(Target::Recipe(part)) = line.target
                && tree.plans.contains_key(&part)
                && part != *user
            {
                parents.entry(part).or_insert(*user);
            }
        }
    }
    parents
}

//! What is said where the targets cannot all be reached: which conflicts, what is nearest, and what would make it possible.
//! Nothing here is a canned phrase: each way out that is named has been tried.

use std::collections::BTreeMap;

use super::model::Model;
use super::pours::{self, Place, Pour};
use super::solve::{Found, Search};
use super::target::Target;
use super::{Figure, Question, attempt};
use crate::measure::show;
use crate::notebook::pour::Role;
use crate::problem::terminal::clean;
use crate::recipe::names;
use crate::recipe::run::Rerun;

/// What the generic pantry has for each thing that may be missing, the word for its kind, and the figure that it is for.
const REMEDIES: [(&str, &str, Option<Figure>); 4] = [
    ("water", "water", None),
    ("citric acid", "something sour", Some(Figure::Acid)),
    ("simple syrup", "something sweet", Some(Figure::Sugar)),
    ("high strength neutral alcohol", "something strong", Some(Figure::Strength)),
];
/// A slope below this, beside what is wanted, is none.
const UNMOVED: f64 = 1e-7;
/// How many ways out are named at most.
const MOST_WAYS: usize = 3;

/// How many other targets are named that could give way instead.
const MOST_OTHERS: usize = 2;

/// Something that could be allowed.
#[derive(Debug, Clone)]
enum Way {
    /// A pour of the recipe that does not vary yet.
    Vary(usize),
    /// Something that the recipe does not pour.
    Offer(Box<Pour>, &'static str),
    /// A pour that the recipe holds.
    Release(usize),
    /// Taking something out of what is poured.
    TakeOut,
}

/// A target that alone stands in the way, and how near it comes with the others as wanted.
struct Conflict {
    target: usize,
    miss: f64,
    found: Found,
}

impl Question<'_> {
    /// The nearest that can be reached, and why not more.
    pub(super) fn nearest(&self, model: &Model<'_>) -> (Option<Found>, String) {
        let ways = self.ways();
        if model.varied().next().is_none() {
            return (None, sentence("no pour may vary".into(), &ways));
        }
        let mut conflicts = self.conflicts(model);
        conflicts.sort_by(|a, b| a.miss.total_cmp(&b.miss));
        // The sentence and the table tell of the same change.
        if let Some(first) = conflicts.first_mut() {
            first.found = self.least_change_to(first.found.clone());
        }
        let (found, why) = match conflicts.first() {
            Some(first) => (Some(first.found.clone()), self.conflict_words(&conflicts)),
            None => {
                let soft = vec![false; self.targets.len()];
                let found = Search::new(model, &soft).and_then(|s| s.run()).map(|f| self.least_change_to(f));
                let why = found.as_ref().map_or_else(
                    || "the targets cannot be reached".to_owned(),
                    |f| format!("the targets conflict with each other; the nearest together is {}", self.reached(f)),
                );
                (found, why)
            }
        };
        let why = if ways.is_empty() { why + &self.unmoved(model) } else { why };
        (found, sentence(why, &ways))
    }

    /// Says of each target that no pour moves it, which is so where a process brings it to a value of its own.
    fn unmoved(&self, model: &Model<'_>) -> String {
        let start = model.start();
        let slope = model.at(&start).and_then(|point| model.slope(&start, &point));
        let Some(slope) = slope.filter(|_| !self.computed.graph.nodes[self.recipe].process.is_empty()) else {
            return String::new();
        };
        let still = |i: &usize| slope.values[*i].iter().all(|v| v.abs() < UNMOVED * self.targets[*i].wanted.max(1.0));
        let words: Vec<&str> = (0..self.targets.len()).filter(still).map(|i| self.targets[i].figure.word()).collect();
        if words.is_empty() {
            return String::new();
        }
        format!("; no pour that may vary moves the {}: the recipe's process sets it", joined(&words))
    }

    fn conflicts(&self, model: &Model<'_>) -> Vec<Conflict> {
        let one = |target: usize| {
            let hard: Vec<bool> = (0..self.targets.len()).map(|i| i != target).collect();
            let found = Search::new(model, &hard)?.run()?;
            let met = |i: usize| !hard[i] || self.targets[i].met(found.point.values[i]);
            let miss = libm::sqrt(found.soft_miss);
            (0..self.targets.len()).all(met).then_some(Conflict { target, miss, found })
        };
        (0..self.targets.len()).filter_map(one).collect()
    }

    fn conflict_words(&self, conflicts: &[Conflict]) -> String {
        let words = |c: &Conflict| {
            let target = self.targets[c.target];
            let nearest = figure(target, c.found.point.values[c.target]);
            let others: Vec<&str> =
                self.targets.iter().enumerate().filter(|(i, _)| *i != c.target).map(|(_, t)| t.figure.word()).collect();
            let wanted = figure(target, target.wanted);
            if others.is_empty() || !self.alone(target) {
                format!(
                    "{} {wanted} cannot be reached with what may vary; the nearest is {nearest}",
                    target.figure.word()
                )
            } else {
                let others = joined(&others);
                format!(
                    "{} {wanted} conflicts with the {others} wanted; with {others} as wanted, the nearest {} is {nearest}",
                    target.figure.word(),
                    target.figure.word()
                )
            }
        };
        let mut text = words(&conflicts[0]);
        for other in conflicts.iter().skip(1).take(MOST_OTHERS) {
            let target = self.targets[other.target];
            let value = figure(target, other.found.point.values[other.target]);
            text.push_str(&format!("; giving way on {} instead, it would be {value}", target.figure.word()));
        }
        text
    }

    /// Whether a target can be reached when it is the only one.
    fn alone(&self, target: Target) -> bool {
        attempt(&self.model(&self.pours, vec![target])).is_some()
    }

    fn reached(&self, found: &Found) -> String {
        let one = |(t, v): (&Target, &f64)| format!("{} {}", t.figure.word(), figure(*t, *v));
        self.targets.iter().zip(&found.point.values).map(one).collect::<Vec<_>>().join(", ")
    }

    /// The least change that reaches the same figures; what came nearest may have gone a roundabout way.
    fn least_change_to(&self, found: Found) -> Found {
        let targets: Vec<Target> = self
            .targets
            .iter()
            .zip(&found.point.values)
            .map(|(t, v)| Target { figure: t.figure, wanted: if t.met(*v) { t.wanted } else { *v } })
            .collect();
        let model = self.model(&self.pours, targets);
        let hard = vec![true; self.targets.len()];
        let straight = || Search::new(&model, &hard)?.loosely().run();
        let along = || Search::new(&model, &hard)?.loosely().from(&found.y).run();
        let same = |other: &Found| {
            let values = found.point.values.iter().zip(&other.point.values);
            self.targets.iter().zip(values).all(|(t, (a, b))| (a - b).abs() <= t.figure.tolerance(t.wanted))
        };
        straight().filter(same).or_else(|| along().filter(same)).unwrap_or(found)
    }

    /// The ways out that work: each by itself, or else the fewest together.
    fn ways(&self) -> Vec<String> {
        let all = self.candidates();
        let single: Vec<String> = all
            .iter()
            .filter(|way| self.works(std::slice::from_ref(*way)))
            .take(MOST_WAYS)
            .map(|way| self.way_words(way))
            .collect();
        if !single.is_empty() {
            return single;
        }
        let mut kept = all;
        if kept.len() < 2 || !self.works(&kept) {
            return Vec::new();
        }
        // From the back, so that what the recipe pours stays before what it would have to let go.
        for i in (0..kept.len()).rev() {
            let mut fewer = kept.clone();
            fewer.remove(i);
            if self.works(&fewer) {
                kept = fewer;
            }
        }
        vec![kept.iter().map(|way| self.way_words(way)).collect::<Vec<_>>().join(" and ")]
    }

    fn candidates(&self) -> Vec<Way> {
        let node = &self.computed.graph.nodes[self.recipe];
        let fixed = |p: &Pour| p.weight.is_none();
        let rinse = |p: &Pour| matches!(p.place, Place::Mix(i) if node.mix[i].as_ref().is_some_and(|l| l.line.role == Role::Rinse));
        let open = self.pours.iter().enumerate().filter(|(_, p)| fixed(p) && !p.held && !rinse(p));
        let mut ways: Vec<Way> = open.map(|(i, _)| Way::Vary(i)).collect();
        let written = Rerun::new(self.computed, self.recipe, &self.request.facts).make(&BTreeMap::new(), &[]);
        for (name, kind, figure) in REMEDIES {
            if figure.is_some_and(|f| self.targets.iter().all(|t| t.figure != f)) {
                continue;
            }
            let Some(target) = self.computed.graph.names.get(name) else { continue };
            if self.pours.iter().any(|p| p.target == target) || target == names::Target::Recipe(self.recipe) {
                continue;
            }
            if let Ok(pour) = pours::offered(self.computed, self.recipe, &written, self.request, name) {
                ways.push(Way::Offer(Box::new(pour), kind));
            }
        }
        ways.extend(self.pours.iter().enumerate().filter(|(_, p)| fixed(p) && p.held).map(|(i, _)| Way::Release(i)));
        if !self.request.poured.is_empty() {
            ways.push(Way::TakeOut);
        }
        ways
    }

    fn works(&self, ways: &[Way]) -> bool {
        let mut pours = self.pours.clone();
        for way in ways {
            match way {
                Way::Vary(i) | Way::Release(i) => {
                    pours[*i].weight = Some(1.0);
                    pours[*i].follows = false;
                }
                Way::Offer(pour, _) => pours.push((**pour).clone()),
                Way::TakeOut => pours.iter_mut().for_each(|p| p.low = 0.0),
            }
        }
        attempt(&self.model(&pours, self.targets.clone())).is_some()
    }

    fn way_words(&self, way: &Way) -> String {
        match way {
            Way::Vary(i) => format!("`{}` in `--vary`", clean(&self.pours[*i].name)),
            Way::Offer(pour, kind) if pour.name == *kind => format!("`{kind}` in `--vary`"),
            Way::Offer(pour, kind) => format!("{kind} in `--vary`, such as `{}`", clean(&pour.name)),
            Way::Release(i) => format!("letting go of `{}`, which the recipe holds", clean(&self.pours[*i].name)),
            Way::TakeOut => "taking some out before adding: split the batch".into(),
        }
    }
}

fn sentence(why: String, ways: &[String]) -> String {
    if ways.is_empty() {
        format!("{why}; neither the recipe's other pours nor water, acid, syrup or spirit make it possible")
    } else {
        format!("{why}; it would be possible with {}", ways.join(", or with "))
    }
}

/// `sugar, acid and volume`.
fn joined(words: &[&str]) -> String {
    match words {
        [before @ .., last] if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => words.concat(),
    }
}

/// A value with one digit more than a reader usually sees, so that a near miss shows as one.
fn figure(target: Target, value: f64) -> String {
    let digits = show::trim(&show::fixed(value, target.figure.decimals() + 1));
    format!("{digits} {}", target.figure.unit())
}

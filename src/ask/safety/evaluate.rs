//! Evaluating a trigger on the facts of a recipe. A comparison with something missing is false, so `not` of it is true.

use super::facts::{Bound, Cause, Facts};
use super::grammar::{Atom, Expr, Op, Side};
use super::names::{self, Meaning, SetName};
use crate::process::Process;

/// Asks a trigger of a recipe: for each line of the processes it reads and each claim, until it holds for one of them.
///
/// Returns what made it hold; `None` where it does not.
#[must_use]
pub fn holds(expr: &Expr, facts: &Facts<'_>) -> Option<Vec<Cause>> {
    let mut bounds = vec![Bound::default()];
    if names::reads_claims(expr) {
        let claims = facts.note().keeps.len();
        if claims > 0 {
            bounds = (0..claims).map(|c| Bound { claim: Some(c), ..Bound::default() }).collect();
        }
    }
    for process in names::processes_read(expr) {
        let lines: Vec<usize> = facts.lines(process).collect();
        if lines.is_empty() {
            continue;
        }
        bounds = bounds
            .into_iter()
            .flat_map(|bound| {
                lines.iter().map(move |line| {
                    let mut bound = bound.clone();
                    bound.lines.insert(process, *line);
                    bound
                })
            })
            .collect();
    }
    bounds.iter().find_map(|bound| {
        let mut causes = Vec::new();
        Asked { facts, bound }.ask(expr, &mut causes).then(|| {
            causes.sort();
            causes.dedup();
            causes
        })
    })
}

struct Asked<'f, 'a> {
    facts: &'f Facts<'a>,
    bound: &'f Bound,
}

impl Asked<'_, '_> {
    fn ask(&self, expr: &Expr, causes: &mut Vec<Cause>) -> bool {
        match expr {
            Expr::Always => true,
            Expr::Or(list) => list.iter().fold(false, |any, e| {
                let before = causes.len();
                let held = self.ask(e, causes);
                if !held {
                    causes.truncate(before);
                }
                any | held
            }),
            Expr::And(list) => list.iter().all(|e| self.ask(e, causes)),
            // What is not there stands nowhere.
            Expr::Not(inner) => !self.ask(inner, &mut Vec::new()),
            Expr::Given(name) => match names::meaning(&name.text) {
                Some(meaning) => self.known(meaning) && self.caused(meaning, None, causes),
                None => false,
            },
            Expr::Missing(name) => {
                let meaning = names::meaning(&name.text);
                let missing = meaning.is_none_or(|meaning| !self.known(meaning));
                if missing && meaning == Some(Meaning::Number(names::NumberName::Abv)) {
                    causes.push(Cause::StrengthUnknown);
                }
                missing
            }
            Expr::Then(first, second) => self.follows(&first.text, &second.text, causes),
            Expr::In(name, words) => match names::meaning(&name.text) {
                None | Some(Meaning::Number(_)) => false,
                // Each common member is a cause, so all are looked at.
                Some(meaning) => words.iter().fold(false, |any, word| any | self.is(meaning, &word.text, causes)),
            },
            Expr::Compare(left, minus, op, side) => match names::meaning(&left.text) {
                None => false,
                Some(meaning @ Meaning::Number(_)) => {
                    let held = self
                        .difference(&left.text, minus.as_ref().map(|m| m.text.as_str()))
                        .zip(self.side(side))
                        .is_some_and(|(left, right)| match op {
                            Op::Is => left == right,
                            Op::Above => left > right,
                            Op::Below => left < right,
                            Op::AtLeast => left >= right,
                            Op::AtMost => left <= right,
                        });
                    held && self.caused(meaning, None, causes)
                }
                Some(meaning) => match side {
                    Side::One(Atom::Name(word)) => self.is(meaning, &word.text, causes),
                    _ => false,
                },
            },
        }
    }

    fn number(&self, name: &str) -> Option<f64> {
        match names::meaning(name)? {
            Meaning::Number(number) => self.facts.number(number, self.bound),
            Meaning::Set(_) | Meaning::Word(_) => None,
        }
    }

    fn difference(&self, left: &str, minus: Option<&str>) -> Option<f64> {
        let left = self.number(left)?;
        match minus {
            Some(minus) => Some(left - self.number(minus)?),
            None => Some(left),
        }
    }

    fn side(&self, side: &Side) -> Option<f64> {
        let atom = |atom: &Atom| match atom {
            Atom::Number(n) => Some(*n),
            Atom::Name(name) => self.number(&name.text),
        };
        match side {
            Side::One(a) => atom(a),
            Side::Times(a, b) => Some(atom(a)? * atom(b)?),
            Side::Plus(a, b) => Some(atom(a)? + atom(b)?),
        }
    }

    fn known(&self, meaning: Meaning<'_>) -> bool {
        match meaning {
            Meaning::Set(set) => self.facts.any(set),
            Meaning::Word(word) => self.facts.word(word, self.bound).is_some(),
            Meaning::Number(number) => self.facts.number(number, self.bound).is_some(),
        }
    }

    /// Whether a set holds a word, or a word is that one.
    fn is(&self, meaning: Meaning<'_>, word: &str, causes: &mut Vec<Cause>) -> bool {
        let held = match meaning {
            Meaning::Set(set) => self.facts.has(set, word),
            Meaning::Word(name) => self.facts.word(name, self.bound).as_deref() == Some(word),
            Meaning::Number(_) => false,
        };
        held && self.caused(meaning, Some(word), causes)
    }

    /// Notes what it was that held; always true.
    fn caused(&self, meaning: Meaning<'_>, word: Option<&str>, causes: &mut Vec<Cause>) -> bool {
        match (meaning, word) {
            (Meaning::Set(SetName::Tag), Some(tag)) => causes.push(Cause::Tag(tag.to_owned())),
            (Meaning::Set(SetName::Allergen), Some(tag)) => causes.push(Cause::Allergen(tag.to_owned())),
            (Meaning::Set(SetName::Allergen), None) => {
                causes.extend(self.facts.diet.contains.keys().cloned().map(Cause::Allergen));
            }
            (Meaning::Set(SetName::AllergensUnknown), _) => causes.push(Cause::AllergensUnknown),
            (Meaning::Set(SetName::Garnish), _) => causes.push(Cause::Garnish),
            (Meaning::Set(SetName::Glass), _) => causes.push(Cause::Glass),
            (Meaning::Set(SetName::Process), Some(name)) => {
                let process = Process::from_name(name);
                causes.extend(process.and_then(|p| self.facts.lines(p).next()).map(Cause::Line));
            }
            (Meaning::Word(names::WordName::Ice), _) => causes.push(Cause::Ice),
            (Meaning::Word(names::WordName::Live), Some("yes")) => {
                causes.push(Cause::Tag("live-culture".into()));
                causes.extend(self.facts.lines(Process::Ferment).next().map(Cause::Line));
            }
            (meaning, _) => {
                if meaning.of_a_claim() {
                    causes.extend(self.bound.claim.map(Cause::Claim));
                } else if let Some(process) = meaning.process() {
                    causes.extend(self.bound.lines.get(&process).map(|line| Cause::Line(*line)));
                } else if let Meaning::Number(
                    names::NumberName::DosePct(tag) | names::NumberName::DoseMgKg(tag) | names::NumberName::DoseG(tag),
                ) = meaning
                {
                    causes.push(Cause::Tag(tag.to_owned()));
                } else {
                    causes.push(Cause::Figure);
                }
            }
        }
        true
    }

    /// Whether a line of the second process stands after one of the first; a line that the trigger reads is the one meant.
    fn follows(&self, first: &str, second: &str, causes: &mut Vec<Cause>) -> bool {
        let lines = |name: &str| -> Vec<usize> {
            let Some(process) = Process::from_name(name) else { return Vec::new() };
            match self.bound.lines.get(&process) {
                Some(line) => vec![*line],
                None => self.facts.lines(process).collect(),
            }
        };
        let (before, after) = (lines(first), lines(second));
        // A process that follows itself: two lines of one name, whichever is read.
        let after = if first == second {
            Process::from_name(second).map_or_else(Vec::new, |p| self.facts.lines(p).collect())
        } else {
            after
        };
        let found = after.iter().copied().find(|a| before.iter().any(|b| b < a));
        causes.extend(found.map(Cause::Line));
        found.is_some()
    }
}

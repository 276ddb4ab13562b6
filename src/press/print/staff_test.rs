//! Staff tests: what `tests.typ` gets. For each chapter a sheet with the drinks' names and room for their specs, and an answer
//! sheet on pages of its own. A seed decides the order and the choices, so that the same seed gives the same test.

use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::{Value, json};

use super::{Chapter, Document, book};
use crate::ask::diet::{DECLARED, NUTS};
use crate::ask::safety::Survey;
use crate::measure::show;
use crate::notebook::recipe_note::Makes;
use crate::press::publication::Publication;

/// What a test may be asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TestSettings {
    /// Decides order and choices.
    pub seed: u64,
    /// The most drinks of a chapter.
    pub questions: usize,
}

impl Default for TestSettings {
    fn default() -> Self {
        Self { seed: 1, questions: 12 }
    }
}

/// SplitMix64: G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators (OOPSLA 2014), fig. 16.
/// A shuffle of drinks needs no more, and the same numbers on every machine.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `n`; the bias of a remainder is beyond notice for a dozen drinks.
    fn below(&mut self, n: usize) -> usize {
        (self.next() % (n.max(1) as u64)) as usize
    }

    fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i + 1));
        }
    }
}

#[derive(Debug, Serialize)]
struct Tests {
    seed: String,
    papers: Vec<Paper>,
}

/// A chapter's test.
#[derive(Debug, Serialize)]
struct Paper {
    chapter: String,
    /// How many marks there are.
    marks: String,
    questions: Vec<Question>,
}

#[derive(Debug, Serialize)]
struct Question {
    number: String,
    name: String,
    /// The spec as on the recipe's page, for the answer; the number of its lines, for the question.
    spec: Value,
    lines: usize,
    order: Value,
    glass: Option<String>,
    ice: Option<String>,
    garnish: Option<String>,
    /// Boxes to tick; true is the answer.
    allergens: Vec<Choice>,
    /// Strengths to choose from.
    strength: Vec<Choice>,
    marks: String,
}

#[derive(Debug, Clone, Serialize)]
struct Choice {
    word: String,
    right: bool,
}

/// Three strengths to choose from, far enough apart to be told by who knows the drink.
fn strengths(abv: f64, chance: &mut Chance) -> Vec<Choice> {
    let step = (abv * 0.35).max(4.0);
    // The right one may be the weakest, the middle or the strongest; none lies below nothing.
    let position = chance.below(3).min(libm::floor(abv / step) as usize);
    (0..3)
        .map(|i| {
            let value = abv + step * (i as f64 - position as f64);
            Choice { word: format!("{}\u{a0}%\u{a0}vol", show::strength(value)), right: i == position }
        })
        .collect()
}

/// Everything the template gets.
pub(super) fn document(
    site: &Publication<'_>,
    survey: &Survey,
    chapters: &[Chapter],
    settings: TestSettings,
) -> Document {
    let nowhere = BTreeSet::new();
    let mut papers = Vec::new();
    for chapter in chapters {
        // Each chapter has chance of its own, so that choosing fewer chapters does not change the others.
        let name: u64 = chapter.folder.bytes().fold(0, |sum, b| sum.wrapping_mul(31).wrapping_add(u64::from(b)));
        let mut chance = Chance(settings.seed ^ name.rotate_left(17));
        let mut drinks: Vec<usize> =
            chapter.recipes.iter().copied().filter(|r| site.note(*r).makes == Makes::Drink).collect();
        if drinks.is_empty() {
            continue;
        }
        chance.shuffle(&mut drinks);
        drinks.truncate(settings.questions);
        // The boxes are what the chapter holds and a few that it does not, so that ticking all is no answer.
        let diets: Vec<_> = drinks.iter().map(|r| site.safety.diet(*r)).collect();
        let groups: Vec<&str> = DECLARED.iter().copied().filter(|t| !NUTS.contains(t)).collect();
        let mut boxes: Vec<&str> =
            groups.iter().copied().filter(|t| diets.iter().any(|d| d.contains.contains_key(*t))).collect();
        let mut others: Vec<&str> = groups.iter().copied().filter(|t| !boxes.contains(t)).collect();
        chance.shuffle(&mut others);
        boxes.extend(others.into_iter().take(3));
        chance.shuffle(&mut boxes);
        let mut all = 0;
        let questions = drinks
            .iter()
            .zip(&diets)
            .enumerate()
            .map(|(i, (recipe, diet))| {
                let mut page = book::recipe(site, survey, *recipe, &nowhere, &|_| None, &mut Vec::new());
                let lines: usize = page["spec"]["groups"]
                    .as_array()
                    .into_iter()
                    .flatten()
                    .filter_map(|g| g["pours"].as_array())
                    .map(Vec::len)
                    .sum();
                let own = |key: &str| page[key].as_str().map(str::to_owned);
                let (glass, ice, garnish) = (own("glass"), own("ice"), own("garnish"));
                let abv = site.computed.made[*recipe].last().mixture.figure_abv().ok();
                let strength = abv.map_or_else(Vec::new, |abv| strengths(abv, &mut chance));
                // Two marks a line (what, and how much), one for each of the rest.
                let rest = [glass.is_some(), ice.is_some(), garnish.is_some(), !strength.is_empty(), true];
                let marks = lines * 2 + rest.iter().filter(|r| **r).count();
                all += marks;
                Question {
                    number: (i + 1).to_string(),
                    name: site.note(*recipe).name.value.clone(),
                    spec: page["spec"].take(),
                    lines,
                    order: page["method"]["order"].take(),
                    glass,
                    ice,
                    garnish,
                    allergens: boxes
                        .iter()
                        .map(|t| Choice { word: site.allergen(t), right: diet.contains.contains_key(*t) })
                        .collect(),
                    strength,
                    marks: marks.to_string(),
                }
            })
            .collect();
        papers.push(Paper { chapter: chapter.name.clone(), marks: all.to_string(), questions });
    }
    let body = json!(Tests { seed: settings.seed.to_string(), papers });
    Document { template: "tests", title: site.say("print.staff_tests"), body, files: Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_generator_gives_its_published_numbers() {
        // First outputs for seed 1234567: the reference implementation at prng.di.unimi.it (from memory).
        let mut chance = Chance(1_234_567);
        assert_eq!([chance.next(), chance.next()], [6_457_827_717_110_365_317, 3_203_168_211_198_807_973]);
    }

    #[test]
    fn one_strength_is_right_and_none_is_below_nothing() {
        for seed in 0..50 {
            for abv in [0.0, 0.4, 5.0, 14.2, 34.0] {
                let list = strengths(abv, &mut Chance(seed));
                assert_eq!(list.iter().filter(|c| c.right).count(), 1);
                assert!(list.iter().all(|c| !c.word.starts_with('-')), "{list:?}");
            }
        }
    }
}

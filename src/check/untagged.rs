//! Tags that are not there: the safety rules go by tags, so a name or a method that speaks of something without its tag is
//! questioned at its place.

use std::collections::BTreeMap;
use std::ops::Range;

use super::Asked;
use crate::ask::safety::bearers::{self, Weight};
use crate::ask::safety::{Survey, tags};
use crate::notebook::fields::nearest;
use crate::notebook::pantry::ItemNote;
use crate::problem::{Problem, Severity, code};
use crate::process::Process;
use crate::recipe::run::Computed;
use crate::source::{Span, Spanned};

/// Every name of the house's pantry, with what the generic item that it builds on says too.
pub(super) fn pantry(computed: &Computed, problems: &mut Vec<Problem>) {
    for ingredient in computed.graph.pantry.ingredients.iter().filter(|i| i.house) {
        let item = &ingredient.item;
        denied(&item.is_not, &item.tags, problems);
        // A slip of the pen is told as such.
        let slipped = |tag: &str| item.tags.iter().any(|t| strsim::damerau_levenshtein(&t.value, tag) == 1);
        let missing: Vec<bearers::Named> = bearers::missing(item)
            .into_iter()
            .filter(|n| {
                !needless(item, n.tag)
                    && !slipped(n.tag)
                    && (n.weight != Weight::Bear || tags::named(&item.name.value).is_empty())
            })
            .collect();
        // By the heaviest: a house mends all of them in one go.
        let Some(weight) = missing.iter().map(|n| n.weight).min() else { continue };
        let list = missing.iter().map(|n| n.tag).collect::<Vec<_>>().join(", ");
        let meanings: Vec<String> = missing
            .iter()
            .filter_map(|n| tags::get(n.tag))
            .map(|tag| format!("`{}`: {}", tag.tag, tag.meaning))
            .collect();
        let name = &item.name.value;
        let message = if weight == Weight::Bear {
            format!("`{name}` is taken for {list} by its name")
        } else {
            format!("`{name}` sounds like {list}, which the safety rules do not see without the tag")
        };
        problems.push(
            Problem::new(code::TAG_MISSING, item.name.span, message)
                .severity(if weight == Weight::Note { Severity::Note } else { Severity::Warning })
                .help(format!("add `tags: [{list}]`, or `is_not: [{list}]` if it is none ({})", meanings.join("; "))),
        );
    }
}

/// What recipes deny.
pub(super) fn recipes(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    for (_, recipe) in asked.notes() {
        denied(&recipe.is_not, &recipe.tags, problems);
    }
}

/// Whether a fact already says what the tag would.
fn needless(item: &ItemNote, tag: &str) -> bool {
    let sulphite = item.allergens.iter().flatten().any(|a| a.value == "sulphite");
    match tag {
        "wine-based" => item.sulphites.is_some() || sulphite,
        // Without a strength they are borne by the name, and the drink that pours it says so.
        tag => bearers::FOR_STRENGTH.contains(&tag),
    }
}

fn denied(is_not: &[Spanned<String>], has: &[Spanned<String>], problems: &mut Vec<Problem>) {
    for tag in is_not {
        if tags::get(&tag.value).is_none() {
            let help = match nearest(&tag.value, tags::all().keys().map(String::as_str)).first() {
                Some(near) => format!("did you mean `{near}`?"),
                None => "write a tag of the safety rules".into(),
            };
            problems.push(
                Problem::new(code::TAG_DENIED, tag.span, format!("`{}` is no tag of the safety rules", tag.value))
                    .help(help),
            );
        } else if let Some(given) = has.iter().find(|t| t.value == tag.value) {
            problems.push(
                Problem::new(code::TAG_DENIED, tag.span, format!("`{}` is given and denied", tag.value))
                    .also(given.span, "given here")
                    .help("take one of the two out"),
            );
        }
    }
}

/// What a method speaks of, where nothing in the recipe bears its tag. Called by the check of hazards, which knows what is borne.
pub(super) fn methods(asked: &Asked<'_>, survey: &Survey, problems: &mut Vec<Problem>) {
    for (recipe, note) in asked.notes() {
        let text = asked.computed.graph.notes.sources.text(note.body);
        let mut told: BTreeMap<&str, bearers::Named> = BTreeMap::new();
        for named in steps(text).flat_map(|step| {
            let from = step.start;
            bearers::of_method(&text[step]).into_iter().map(move |mut named| {
                named.at = named.at.start + from..named.at.end + from;
                named
            })
        }) {
            let denied = note.is_not.iter().any(|t| t.value == named.tag);
            if !denied && !survey.bears(recipe, named.tag) && !done(survey, recipe, named.tag) {
                told.entry(named.tag).or_insert(named);
            }
        }
        for (tag, named) in told {
            let words = &text[named.at.clone()];
            let from = note.body.start as usize + named.at.start;
            let span = Span::new(note.body.file, from, from + words.len());
            if let Some(process) = Process::from_name(tag) {
                problems.push(
                    Problem::new(
                        code::TAG_MISSING,
                        span,
                        format!("the method speaks of `{words}`, and no `{tag}` stands under `process`, by which the safety rules go"),
                    )
                    .help(format!("add `- {}` to `process`, so that its cautions are printed", process.name())),
                );
                continue;
            }
            let meaning = tags::get(tag).map_or("", |t| t.meaning.as_str());
            problems.push(
                Problem::new(
                    code::TAG_MISSING,
                    span,
                    format!(
                        "the method speaks of `{words}`, which the safety rules do not see without the tag `{tag}`"
                    ),
                )
                .help(format!(
                    "add `{tag}` to the `tags` of the recipe, or `is_not: [{tag}]` if that is not meant ({meaning})"
                )),
            );
        }
    }
}

/// The steps of a method, as ranges of its text: what stands in its lists. A tasting note may speak of cherry stones.
fn steps(text: &str) -> impl Iterator<Item = Range<usize>> + '_ {
    let mut inside = false;
    let mut at = 0;
    text.split_inclusive('\n').filter_map(move |line| {
        let range = at..at + line.len();
        at = range.end;
        let bare = line.trim_start();
        let digits = bare.trim_start_matches(|c: char| c.is_ascii_digit());
        let numbered = digits.len() < bare.len() && digits.starts_with(['.', ')']);
        let bullet = bare.starts_with("- ") || bare.starts_with("* ") || bare.starts_with("+ ");
        inside = numbered || bullet || (inside && (bare.len() < line.len() || bare.is_empty()));
        inside.then_some(range)
    })
}

/// Whether a line of the recipe, or of a part of it, says the same.
fn done(survey: &Survey, recipe: usize, said: &str) -> bool {
    let hazards: &[&str] = match said {
        "flaming" => &["flaming", "flame-peel"],
        "vacuum-packed" => &["sous-vide-spirit"],
        // What always stands with the process, also where a part went through it.
        "smoke" => &["smoke-gun"],
        "charge" => &["siphon-open-pressure"],
        "ferment" => &["ferment-mould", "ferment-ethanol"],
        _ => return false,
    };
    survey.hazards(recipe).iter().any(|h| hazards.contains(&h.id()))
}

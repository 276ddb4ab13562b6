//! Notes: what is published beside each recipe, one file a template.
//!
//! In: computed recipes and the list of what the last press wrote. Out: a folder of notes for each published recipe, a page over
//! all of them, and what is worth telling whoever pressed. Public figures only, whatever edition else is made.

mod captions;
pub mod data;
pub mod document;
mod gather;
mod shots;
mod template;

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;
use sha2::{Digest, Sha256};

use self::template::{INDEX, Template, render, templates};
use super::words::{self, Of, Words};
use super::{Content, Output, card};
use crate::ask::safety::Survey;
use crate::problem::{Problem, code};
use crate::recipe::names::key;
use crate::recipe::run::{Computed, for_guests};
use crate::source::Span;

const STYLE: &str = include_str!("../../templates/notes/notes.css");
/// The list of what changed, kept from press to press.
pub const CHANGES: &str = "changes.json";

/// What the last press left in the folder of the notes.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Before {
    /// SHA-256 of each file, in hexadecimal digits, by path.
    pub files: BTreeMap<String, String>,
    /// The list of what changed then.
    pub changes: Option<String>,
}

/// Notes that were made.
#[derive(Debug, Clone, Default)]
pub struct Notes {
    /// The files.
    pub files: Output,
    /// What whoever pressed should know: a note that was cut, letters that a card lacks.
    pub problems: Vec<Problem>,
    /// What is new, changed or gone since the last press.
    pub changes: data::Changes,
}

/// The notes of one recipe.
struct OfRecipe {
    entry: data::Entry,
    files: BTreeMap<String, Vec<u8>>,
    problems: Vec<Problem>,
}

/// Makes the notes.
///
/// # Errors
/// Problems with templates that the house brought along, at their place in the house's file.
pub fn notes(computed: &Computed, before: &Before) -> Result<Notes, Vec<Problem>> {
    // What a reading shows to be dangerous is dangerous for every reader.
    let survey = Survey::for_guests(computed);
    let estimated = for_guests(computed);
    let computed = estimated.as_ref().unwrap_or(computed);
    let notes = &computed.graph.notes;
    let templates = usable_templates(computed)?;
    let (words, warnings) = words::words(notes, Of::Notes)?;
    let made: Vec<Result<OfRecipe, Vec<Problem>>> = published(computed)
        .par_iter()
        .map(|recipe| of_recipe(computed, *recipe, &templates, &survey, &words))
        .collect();
    let mut out = Notes { problems: warnings, ..Notes::default() };
    let mut entries = Vec::new();
    let mut faults = Vec::new();
    for result in made {
        match result {
            Ok(one) => {
                let slug = one.entry.slug.clone();
                out.files.extend(one.files.into_iter().map(|(name, b)| (format!("{slug}/{name}"), Content::Bytes(b))));
                out.problems.extend(one.problems);
                entries.push(one.entry);
            }
            Err(problems) => faults.extend(problems),
        }
    }
    if faults.is_empty() {
        entries.sort_by_key(|e| (key(&e.name), e.slug.clone()));
        out.changes = changes(&out.files, before, &entries);
        // The same notes keep the list of the press that last changed them, so that pressing twice changes nothing.
        if out.changes == data::Changes::default()
            && let Some(kept) = before.changes.as_ref().and_then(|text| serde_json::from_str(text).ok())
        {
            out.changes = kept;
        }
        let index =
            data::Index { house: gather::house(computed, &words), recipes: entries, changes: out.changes.clone() };
        if let Some(template) = templates.iter().find(|t| t.name == INDEX) {
            match render(notes, template, &index, index.recipes.len(), &words) {
                Ok(text) => {
                    out.files.insert(INDEX.into(), Content::Bytes(text.into_bytes()));
                }
                Err(problem) => faults.push(*problem),
            }
        }
        out.files.insert("notes.css".into(), Content::Bytes(STYLE.as_bytes().to_vec()));
        let list = serde_json::to_string_pretty(&out.changes).unwrap_or_default() + "\n";
        out.files.insert(CHANGES.into(), Content::Bytes(list.into_bytes()));
    }
    if !faults.is_empty() {
        // One fault of a template is met in every recipe.
        crate::problem::sort(&mut faults, &notes.sources);
        return Err(faults);
    }
    crate::problem::sort(&mut out.problems, &notes.sources);
    Ok(out)
}

/// The cards that the site shares: their template and what stands behind a recipe's name.
const CARDS: [(&str, &str); 2] = [("card", ""), ("card-square", "-square")];

/// The picture cards alone, as the site shares them: `cards/SLUG.png` and `cards/SLUG-square.png` of every published recipe.
///
/// # Errors
/// As [`notes`].
pub fn cards(computed: &Computed) -> Result<Output, Vec<Problem>> {
    let survey = Survey::for_guests(computed);
    let estimated = for_guests(computed);
    let computed = estimated.as_ref().unwrap_or(computed);
    let templates: Vec<Template> =
        usable_templates(computed)?.into_iter().filter(|t| CARDS.iter().any(|(name, _)| t.stem() == *name)).collect();
    // What is wrong with the words is told where the notes are pressed.
    let words = words::words(&computed.graph.notes, Of::Notes).map_or_else(|_| words::english(Of::Notes), |(w, _)| w);
    let made: Vec<Result<OfRecipe, Vec<Problem>>> = published(computed)
        .par_iter()
        .map(|recipe| of_recipe(computed, *recipe, &templates, &survey, &words))
        .collect();
    let mut files = Output::new();
    let mut faults = Vec::new();
    for result in made {
        match result {
            Ok(one) => {
                for (name, behind) in CARDS {
                    if let Some(bytes) = one.files.get(&format!("{name}.png")) {
                        files.insert(format!("cards/{}{behind}.png", one.entry.slug), Content::Bytes(bytes.clone()));
                    }
                }
            }
            Err(problems) => faults.extend(problems),
        }
    }
    if faults.is_empty() {
        return Ok(files);
    }
    crate::problem::sort(&mut faults, &computed.graph.notes.sources);
    Err(faults)
}

fn published(computed: &Computed) -> Vec<usize> {
    let recipes = &computed.graph.notes.recipes;
    (0..recipes.len()).filter(|r| recipes[*r].publish).collect()
}

fn usable_templates(computed: &Computed) -> Result<Vec<Template>, Vec<Problem>> {
    let notes = &computed.graph.notes;
    let found = templates(notes).and_then(|list| {
        let unknown = limits_of_nothing(notes, &list);
        if unknown.is_empty() { Ok(list) } else { Err(unknown) }
    });
    let fonts: Vec<Problem> = card::unreadable_fonts(notes)
        .into_iter()
        .map(|path| {
            let place = Span::new(notes.house.file, 0, 0);
            Problem::new(code::TEMPLATE_ERROR, place, format!("`templates/{path}` is not a font"))
                .help("put a TrueType or OpenType font there, or remove the file")
        })
        .collect();
    if fonts.is_empty() {
        return found;
    }
    Err(found.err().into_iter().flatten().chain(fonts).collect())
}

/// Limits that name no note of text: what is drawn or structured cannot be cut.
fn limits_of_nothing(notes: &crate::notebook::Notes, list: &[Template]) -> Vec<Problem> {
    let texts: Vec<&str> = list.iter().filter(|t| t.is_text()).map(Template::stem).collect();
    let unknown = notes.house.publishing.limits.iter().filter(|(name, _)| !texts.contains(&name.as_str()));
    unknown
        .filter_map(|(name, (_, place))| {
            let near = crate::notebook::fields::nearest(name, texts.iter().copied());
            let help = match near.first() {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("a limit may be set for: {}", texts.join(", ")),
            };
            let message = format!("no note of plain text is called `{name}`");
            Some(Problem::new(code::WRONG_VALUE, (*place)?, message).help(help))
        })
        .collect()
}

/// All notes of one recipe.
fn of_recipe(
    computed: &Computed,
    recipe: usize,
    templates: &[Template],
    survey: &Survey,
    words: &Words,
) -> Result<OfRecipe, Vec<Problem>> {
    let notes = &computed.graph.notes;
    let name = &notes.recipes[recipe].name;
    let told = gather::recipe(computed, recipe, survey, words);
    let mut note = data::Note { house: gather::house(computed, words), recipe: told, cut: 0 };
    let mut files = BTreeMap::new();
    let mut faults = Vec::new();
    let mut problems = Vec::new();
    for template in templates.iter().filter(|t| t.name != INDEX) {
        let limit =
            notes.house.publishing.limits.get(template.stem()).map(|(limit, _)| *limit).filter(|_| template.is_text());
        match within(computed, template, &mut note, limit, words) {
            // A note without a word has nothing to say of this recipe: no film, no chapters.
            Ok((text, _)) if text.trim().is_empty() => {}
            Ok((text, _)) if template.is_drawn() => match card::draw(notes, &text) {
                Ok(bytes) => {
                    files.insert(format!("{}.png", template.stem()), bytes);
                }
                Err(why) => faults.push(template.problem(notes, format!("`{}` cannot be drawn: {why}", template.name))),
            },
            Ok((text, cut)) => {
                if let Some(cut) = cut {
                    problems.push(
                        Problem::new(
                            code::NOTE_CUT,
                            name.span,
                            format!(
                                "{} of {} is cut to {} characters: {cut}",
                                template.name,
                                name.value,
                                text.chars().count()
                            ),
                        )
                        .help(format!(
                            "set `notes: {{limits: {{{}: …}}}}` in house.yaml to allow more",
                            template.stem()
                        )),
                    );
                }
                files.insert(template.name.clone(), text.into_bytes());
            }
            Err(problem) => faults.push(*problem),
        }
    }
    let missing = card::missing_letters(computed, recipe);
    if !missing.is_empty() {
        let letters: Vec<String> = missing.iter().map(|c| format!("`{c}`")).collect();
        problems.push(
            Problem::new(
                code::CARD_LETTERS,
                name.span,
                format!("the font of the picture cards has no {}, so the name is spelled without", letters.join(", ")),
            )
            .help("put a font that has them into `templates/notes/fonts/`"),
        );
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut lacks = Vec::new();
    if note.recipe.picture.is_none() {
        lacks.push(words.say("index.picture"));
    }
    if note.recipe.film.is_none() {
        lacks.push(words.say("index.film"));
    }
    let entry = data::Entry {
        name: note.recipe.name,
        slug: note.recipe.slug,
        summary: note.recipe.summary,
        card_alt: note.recipe.alt.card,
        page: note.recipe.page,
        files: files.keys().cloned().collect(),
        lacks,
    };
    Ok(OfRecipe { entry, files, problems })
}

/// What goes first when a note is too long.
const CUTS: [&str; 3] = [
    "its steps are left out",
    "its steps, equipment and what its preps are made of are left out",
    "all but its ingredients, strength, allergens and cautions is left out",
];

/// Renders a note within its limit: whole, else with less in it, else cut after a paragraph, line or word. Says what was cut.
fn within(
    computed: &Computed,
    template: &Template,
    note: &mut data::Note,
    limit: Option<usize>,
    words: &Words,
) -> Result<(String, Option<String>), Box<Problem>> {
    let notes = &computed.graph.notes;
    note.cut = 0;
    let whole = tidy(template, &render(notes, template, note, 0, words)?);
    let Some(limit) = limit.filter(|limit| whole.chars().count() > *limit) else { return Ok((whole, None)) };
    let mut shortest = whole;
    for (cut, said) in (1..).zip(CUTS) {
        note.cut = cut;
        shortest = tidy(template, &render(notes, template, note, 0, words)?);
        if shortest.chars().count() <= limit {
            note.cut = 0;
            return Ok((shortest, Some(said.to_owned())));
        }
    }
    note.cut = 0;
    let address = note.recipe.page.as_ref().map_or_else(String::new, |page| format!(" {page}"));
    let end = format!("\n\n{}{address}\n", words.say("note.cut"));
    let room = limit.saturating_sub(end.chars().count());
    let at = shortest.char_indices().nth(room).map_or(shortest.len(), |(i, _)| i);
    let head = &shortest[..at];
    let half = head.len() / 2;
    let place = ["\n\n", "\n", " "].iter().find_map(|mark| head.rfind(mark).filter(|at| *at > half)).unwrap_or(at);
    Ok((format!("{}{end}", head[..place].trim_end()), Some("its end is left out".into())))
}

/// Text without trailing spaces and without more than one empty line, which a template's branches leave behind.
fn tidy(template: &Template, text: &str) -> String {
    if !template.is_text() && !template.name.ends_with(".vtt") {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut empty = true;
    for line in text.lines().map(str::trim_end) {
        if line.is_empty() {
            empty = true;
            continue;
        }
        if empty && !out.is_empty() {
            out.push('\n');
        }
        empty = false;
        out.push_str(line);
        out.push('\n');
    }
    out
}

/// What differs from the last press, by content.
fn changes(files: &Output, before: &Before, entries: &[data::Entry]) -> data::Changes {
    let of = |path: &str| path.split_once('/').map(|(slug, file)| (slug.to_owned(), file.to_owned()));
    let mut changes = data::Changes { first: before.files.is_empty(), ..data::Changes::default() };
    if changes.first {
        return changes;
    }
    let old_slugs: BTreeSet<String> = before.files.keys().filter_map(|p| of(p)).map(|(slug, _)| slug).collect();
    for entry in entries {
        if !old_slugs.contains(&entry.slug) {
            changes.new.push(entry.name.clone());
            continue;
        }
        let prefix = format!("{}/", entry.slug);
        let mut differ: BTreeSet<String> = BTreeSet::new();
        for (path, content) in files.range(prefix.clone()..).take_while(|(p, _)| p.starts_with(&prefix)) {
            let Content::Bytes(bytes) = content else { continue };
            if before.files.get(path) != Some(&hash(bytes)) {
                differ.insert(path[prefix.len()..].to_owned());
            }
        }
        let gone = before.files.keys().filter(|p| p.starts_with(&prefix) && !files.contains_key(*p));
        differ.extend(gone.map(|p| p[prefix.len()..].to_owned()));
        if !differ.is_empty() {
            changes.changed.push(data::Changed { name: entry.name.clone(), files: differ.into_iter().collect() });
        }
    }
    let slugs: BTreeSet<&str> = entries.iter().map(|e| e.slug.as_str()).collect();
    changes.gone = old_slugs.into_iter().filter(|slug| !slugs.contains(slug.as_str())).collect();
    changes
}

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

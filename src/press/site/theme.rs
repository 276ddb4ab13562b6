//! The look of the site: the templates that the program carries, and what a house puts in their place.
//!
//! A file in the notebook's `templates/site/` wins over the built-in one of the same name. `house.css` there is read after the
//! built-in style sheet. Any other file there that is no template (a font, a picture) is put on the site at its path. A fault in a house's file is
//! reported at its place in that file.

use std::collections::BTreeMap;

use tera::{ErrorKind, Kwargs, State, Tera};

use super::assets::Assets;
use crate::notebook::Notes;
use crate::notebook::fields::nearest;
use crate::notebook::walk::Asset;
use crate::press::words::{Words, filled};
use crate::problem::{Problem, code};
use crate::source::Span;

/// Templates that the program carries, by the name that a house overrides.
const TEMPLATES: &[(&str, &str)] = &[
    ("site/404.html", include_str!("../../../templates/site/404.html")),
    ("site/allergens.html", include_str!("../../../templates/site/allergens.html")),
    ("site/balance-map.html", include_str!("../../../templates/site/balance-map.html")),
    ("site/balance-map.svg", include_str!("../../../templates/site/balance-map.svg")),
    ("site/base.html", include_str!("../../../templates/site/base.html")),
    ("site/chapter.html", include_str!("../../../templates/site/chapter.html")),
    ("site/find.html", include_str!("../../../templates/site/find.html")),
    ("site/front.html", include_str!("../../../templates/site/front.html")),
    ("site/house.html", include_str!("../../../templates/site/house.html")),
    ("site/ingredient.html", include_str!("../../../templates/site/ingredient.html")),
    ("site/ingredients.html", include_str!("../../../templates/site/ingredients.html")),
    ("site/page.html", include_str!("../../../templates/site/page.html")),
    ("site/parts.html", include_str!("../../../templates/site/parts.html")),
    ("site/prep-map.html", include_str!("../../../templates/site/prep-map.html")),
    ("site/prep-map.svg", include_str!("../../../templates/site/prep-map.svg")),
    ("site/record.html", include_str!("../../../templates/site/record.html")),
    ("site/recipe.html", include_str!("../../../templates/site/recipe.html")),
    ("site/safety.html", include_str!("../../../templates/site/safety.html")),
    ("site/scaling.html", include_str!("../../../templates/site/scaling.html")),
    ("site/stage-chart.svg", include_str!("../../../templates/site/stage-chart.svg")),
];

/// Whether a file of the house is a page template. Other files are assets or words.
fn is_template(asset: &Asset) -> bool {
    let ending = asset.path.rsplit('.').next().unwrap_or("");
    match ending {
        "html" => true,
        // A drawing that pages include; any other SVG is a picture.
        "svg" => TEMPLATES.iter().any(|(name, _)| *name == asset.path),
        _ => false,
    }
}

/// Files of the house that belong on the site as they are: fonts, pictures, its own scripts.
pub(super) fn extras(notes: &Notes) -> impl Iterator<Item = (&str, &Asset)> {
    notes.templates.iter().filter_map(|asset| {
        let name = asset.path.strip_prefix("site/")?;
        let taken = is_template(asset) || name.starts_with("strings/") || name == "house.css" || name.ends_with(".md");
        (!taken).then_some((name, asset))
    })
}

/// The built-in templates and the house's, ready to render.
///
/// # Errors
/// Every template of the house that cannot be used, at its place in its own file.
pub(super) fn templates(notes: &Notes, words: &Words, assets: &Assets) -> Result<Tera, Vec<Problem>> {
    let mut house: BTreeMap<&str, &str> = BTreeMap::new();
    let mut problems = Vec::new();
    for asset in notes.templates.iter().filter(|a| a.path.starts_with("site/") && is_template(a)) {
        if let Some(file) = asset.file {
            house.insert(&asset.path, &notes.sources.get(file).text);
        }
    }
    // One fault hides the others of its file only: a file that cannot be read is left out and the rest tried again.
    loop {
        match load(&house, words, assets) {
            Ok(tera) if problems.is_empty() => return Ok(tera),
            Ok(_) => return Err(problems),
            Err(error) => {
                let left = house.len();
                for fault in faults(&error) {
                    if let Some(name) = &fault.template {
                        house.remove(name.as_str());
                    }
                    problems.push(fault.problem(notes, None));
                }
                if house.len() == left {
                    return Err(problems);
                }
            }
        }
    }
}

fn load(house: &BTreeMap<&str, &str>, words: &Words, assets: &Assets) -> Result<Tera, tera::Error> {
    let mut tera = Tera::default();
    tera.set_fallback_prefixes(["builtin/"])?;
    // Text of the notebook reaches the drawings too, so they are escaped as pages are.
    tera.autoescape_on([".html", ".svg", ".xml"]);
    let texts = words.clone();
    tera.register_filter("say", move |key: &str, values: Kwargs, _: &State<'_>| say(&texts, key, &values));
    let addresses = assets.addresses();
    tera.register_filter("asset", move |name: &str, _: Kwargs, _: &State<'_>| {
        addresses
            .get(name)
            .cloned()
            .ok_or_else(|| tera::Error::message(format!("the site has no file called `{name}`")))
    });
    let built_in = TEMPLATES.iter().map(|(name, text)| (format!("builtin/{name}"), (*text).to_owned()));
    let own = house.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned()));
    tera.add_raw_templates(built_in.chain(own).collect::<Vec<_>>())?;
    Ok(tera)
}

/// The filter of the templates: words by key, placeholders filled by name.
fn say(words: &Words, key: &str, values: &Kwargs) -> Result<String, tera::Error> {
    let Some(text) = words.find(key) else {
        return Err(tera::Error::message(format!("no words are written for `{key}`")));
    };
    if !text.contains('{') {
        return Ok(text.to_owned());
    }
    let mut list: Vec<(String, String)> = Vec::new();
    for name in text.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(name, _)| name)) {
        if let Some(value) = values.get::<tera::Value>(name)? {
            list.push((name.to_owned(), value.to_string()));
        }
    }
    let pairs: Vec<(&str, &str)> = list.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    Ok(filled(text, &pairs))
}

/// One fault of a template.
struct Fault {
    /// The template that it is in.
    template: Option<String>,
    /// Where in its text.
    place: Place,
    words: String,
}

enum Place {
    /// Bytes of the text.
    Range(usize, usize),
    /// Line and column, both from 1, and how many characters.
    At(usize, usize, usize),
    /// Where these words stand.
    Words(String),
    Unknown,
}

/// What an error of the template engine is about. Faults that are found only when all templates are there come several in one text.
fn faults(error: &tera::Error) -> Vec<Fault> {
    let mut cause: Option<&dyn std::error::Error> = std::error::Error::source(error);
    let mut behind = String::new();
    while let Some(next) = cause {
        behind.push_str(&format!(": {next}"));
        cause = next.source();
    }
    let one = |template: Option<&str>, place: Place, words: &str| {
        vec![Fault { template: template.map(str::to_owned), place, words: format!("{words}{behind}") }]
    };
    match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
            let range = &report.span().range;
            one(Some(report.filename()), Place::Range(range.start, range.end), report.message())
        }
        ErrorKind::CircularExtend { tpl, inheritance_chain: chain }
        | ErrorKind::CircularInclude { tpl, include_chain: chain } => {
            let next = chain.get(1).unwrap_or(tpl);
            let words = format!("it leads back to itself: {}", chain.join(", "));
            one(Some(tpl), Place::Words(next.clone()), &words)
        }
        ErrorKind::MissingParent { current, parent } => {
            one(Some(current), Place::Words(parent.clone()), &format!("there is no template `{parent}` to extend"))
        }
        ErrorKind::Msg(text) => {
            let list: Vec<Fault> = text.split("\n\n").filter_map(reported).collect();
            if list.is_empty() { one(None, Place::Unknown, text) } else { list }
        }
        kind => one(None, Place::Unknown, &kind.to_string()),
    }
}

/// A report of the template engine as text: `error: words`, then `--> file:line:column`, then the line and what it underlines.
fn reported(text: &str) -> Option<Fault> {
    let words = text.strip_prefix("error: ")?;
    let (words, rest) = words.split_once('\n')?;
    let (place, rest) = rest.trim_start().strip_prefix("--> ")?.split_once('\n').unwrap_or((rest, ""));
    let mut parts = place.trim_start().trim_start_matches("--> ").rsplitn(3, ':');
    let column = parts.next()?.trim().parse().ok()?;
    let line = parts.next()?.parse().ok()?;
    let template = parts.next()?.to_owned();
    let width = rest.matches('^').count().max(1);
    Some(Fault { template: Some(template), place: Place::At(line, column, width), words: words.to_owned() })
}

impl Fault {
    /// As a problem at its place. One inside a built-in template is the doing of what the house put in place of another, so it stands
    /// at the house's file for the page, or at its first.
    fn problem(&self, notes: &Notes, page: Option<&str>) -> Problem {
        let own = |name: &str| notes.templates.iter().find(|a| a.path == name).and_then(|a| a.file);
        let first =
            || notes.templates.iter().filter(|a| a.path.starts_with("site/") && is_template(a)).find_map(|a| a.file);
        let fallback = Span::new(page.and_then(own).or_else(first).unwrap_or(notes.house.file), 0, 0);
        let (span, words) = match (self.template.as_deref().and_then(own), &self.template) {
            (Some(file), _) => {
                let (start, end) = self.place.within(&notes.sources.get(file).text);
                (Span::new(file, start, end), self.words.clone())
            }
            (None, Some(name)) => (fallback, format!("in the built-in `{name}`: {}", self.words)),
            (None, None) => (fallback, self.words.clone()),
        };
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let mut letters = words.chars();
        let words = letters.next().map_or(String::new(), |c| c.to_lowercase().collect::<String>() + letters.as_str());
        Problem::new(
            code::TEMPLATE_ERROR,
            span,
            format!("this template cannot be used: {}", words.trim_end_matches('.')),
        )
        .help("mend the file, or remove it to use the built-in one")
    }
}

impl Place {
    /// The bytes of a text that are meant.
    fn within(&self, text: &str) -> (usize, usize) {
        match self {
            Self::Range(start, end) => (*start, *end),
            Self::At(line, column, width) => {
                let start: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
                let byte =
                    |from: usize, n: usize| text[from..].char_indices().nth(n).map_or(text.len(), |(i, _)| from + i);
                let start = byte(start.min(text.len()), column.saturating_sub(1));
                (start, byte(start, *width))
            }
            Self::Words(words) => text.find(words.as_str()).map_or((0, 0), |at| (at, at + words.len())),
            Self::Unknown => (0, 0),
        }
    }
}

/// An error of a template while a page was made from it, as a problem at its place.
pub(super) fn problem(notes: &Notes, page: &str, error: &tera::Error) -> Problem {
    let fault = faults(error).into_iter().next();
    let fault =
        fault.unwrap_or(Fault { template: None, place: Place::Unknown, words: "it cannot be rendered".to_owned() });
    fault.problem(notes, Some(page))
}

/// Most bytes that a page may grow to. Templates of a house are trusted and run without a step limit; a loop that writes without end is
/// stopped here all the same, before it fills the memory.
const LARGEST_PAGE: usize = 32 << 20;

/// A page that is being written, up to [`LARGEST_PAGE`].
#[derive(Default)]
struct Sheet {
    bytes: Vec<u8>,
    full: bool,
}

impl std::io::Write for Sheet {
    fn write(&mut self, more: &[u8]) -> std::io::Result<usize> {
        if self.bytes.len() + more.len() > LARGEST_PAGE {
            self.full = true;
            return Err(std::io::ErrorKind::FileTooLarge.into());
        }
        self.bytes.extend_from_slice(more);
        Ok(more.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// Renders a page.
///
/// # Errors
/// What is wrong with a template of the house, at its place.
pub(super) fn render(
    tera: &Tera,
    notes: &Notes,
    template: &str,
    context: &tera::Context,
) -> Result<String, Box<Problem>> {
    let mut sheet = Sheet::default();
    match tera.render_to(template, context, &mut sheet) {
        Ok(()) => Ok(String::from_utf8_lossy(&sheet.bytes).into_owned()),
        Err(_) if sheet.full => {
            let words = format!("a page grows beyond {} MiB; does a loop in it end?", LARGEST_PAGE >> 20);
            let fault = Fault { template: Some(template.to_owned()), place: Place::Unknown, words };
            Err(Box::new(fault.problem(notes, Some(template))))
        }
        Err(error) => Err(Box::new(problem(notes, template, &error))),
    }
}

/// Templates that pages include or build on; an empty one leaves something out, where an empty page would only be empty.
const PARTIAL: &[&str] = &["site/parts.html", "site/scaling.html"];

/// What is probably a slip: a file whose name nearly is that of a template, and a style sheet that asks another host.
pub(super) fn doubts(notes: &Notes) -> Vec<Problem> {
    let mut problems = Vec::new();
    for asset in notes.templates.iter().filter(|a| a.path.starts_with("site/")) {
        let Some(file) = asset.file else { continue };
        let text = notes.sources.get(file).text.as_str();
        if asset.path.ends_with(".css") {
            for (at, found) in ["http://", "https://", "url(//", "url(\"//", "url('//"]
                .iter()
                .filter_map(|mark| text.find(mark).map(|at| (at, *mark)))
            {
                problems.push(
                    Problem::new(
                        code::TEMPLATE_ERROR,
                        Span::new(file, at, at + found.len()),
                        "this style sheet asks another host, which the site never does",
                    )
                    .help("put the file in `templates/site/` and name it by its path there"),
                );
            }
        }
        let known = TEMPLATES.iter().any(|(name, _)| *name == asset.path);
        if known && asset.path.ends_with(".html") && text.trim().is_empty() && !PARTIAL.contains(&asset.path.as_str()) {
            problems.push(
                Problem::new(
                    code::TEMPLATE_ERROR,
                    Span::new(file, 0, 0),
                    "this template is empty, and so would be every page made from it",
                )
                .help("write the template, or remove the file to use the built-in one"),
            );
        }
        if asset.path.ends_with(".html") && !known {
            let included = notes
                .templates
                .iter()
                .filter_map(|a| a.file)
                .any(|other| other != file && notes.sources.get(other).text.contains(&asset.path));
            let near = nearest(&asset.path, TEMPLATES.iter().map(|(name, _)| *name));
            if let (Some(near), false, false) = (near.first(), included, text.contains("component")) {
                problems.push(
                    Problem::new(
                        code::TEMPLATE_ERROR,
                        Span::new(file, 0, 0),
                        format!("no page uses a template called `{}`", asset.path),
                    )
                    .help(format!("did you mean `{near}`?")),
                );
            }
        }
    }
    problems
}

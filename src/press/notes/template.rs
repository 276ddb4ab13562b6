//! Templates of notes: the program's own and the house's, each rendered by itself in a sandbox.
//!
//! A template sees the data that it is given and nothing else: no file, no other template, no clock. Names that do not exist are
//! errors. Its steps and the bytes that it makes are paid from one allowance, so a loop that never ends or a text that grows
//! without end stops early, with the place in the template where it happened.

use minijinja::syntax::SyntaxConfig;
use minijinja::value::{Kwargs, Serde, Value};
use minijinja::{AutoEscape, Environment, Error, ErrorKind, Output, State, UndefinedBehavior, escape_formatter};
use serde::Serialize;

use crate::notebook::Notes;
use crate::press::words::{Words, filled};
use crate::problem::{Problem, code};
use crate::source::{FileId, Span};

/// Templates that the program carries.
const OWN: &[(&str, &str)] = &[
    ("alt.txt", include_str!("../../../templates/notes/alt.txt")),
    ("captions.vtt", include_str!("../../../templates/notes/captions.vtt")),
    ("card-square.svg", include_str!("../../../templates/notes/card-square.svg")),
    ("card.svg", include_str!("../../../templates/notes/card.svg")),
    ("chapters.txt", include_str!("../../../templates/notes/chapters.txt")),
    ("chapters.vtt", include_str!("../../../templates/notes/chapters.vtt")),
    ("description.txt", include_str!("../../../templates/notes/description.txt")),
    ("index.html", include_str!("../../../templates/notes/index.html")),
    ("newsletter.html", include_str!("../../../templates/notes/newsletter.html")),
    ("recipe.jsonld", include_str!("../../../templates/notes/recipe.jsonld")),
    ("share.html", include_str!("../../../templates/notes/share.html")),
    ("shots.txt", include_str!("../../../templates/notes/shots.txt")),
    ("swaps.txt", include_str!("../../../templates/notes/swaps.txt")),
];

/// The page over all notes; rendered once.
pub(super) const INDEX: &str = "index.html";

/// What one rendering may cost: one unit a step, one for each 64 bytes that are made. The largest note of a drink costs about
/// 3,000, so this is generous, and bounds a rendering's own memory to a few megabytes.
const ALLOWANCE: u64 = 100_000;
/// Further allowance for each recipe in the index.
const ALLOWANCE_FOR_EACH: u64 = 2_000;
/// How deep calls may nest; the program's own do not nest at all.
const DEPTH: usize = 50;
/// Largest template, bytes.
const LARGEST: usize = 256 * 1024;
/// Largest note, bytes.
const LARGEST_NOTE: usize = 1024 * 1024;

/// A template and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Template {
    /// Name of the file that it makes: `description.txt`.
    pub name: String,
    /// Its text.
    text: String,
    /// The house's file; `None` for the program's own.
    file: Option<FileId>,
}

impl Template {
    /// The part of the name before its ending.
    pub fn stem(&self) -> &str {
        self.name.rsplit_once('.').map_or(&self.name, |(stem, _)| stem)
    }

    /// Whether what it makes is plain text, which can be cut anywhere.
    pub fn is_text(&self) -> bool {
        self.name.ends_with(".txt") || self.name.ends_with(".md")
    }

    /// Whether what it makes is drawn.
    pub fn is_drawn(&self) -> bool {
        self.name.ends_with(".svg")
    }

    /// Where a problem with the whole of it stands.
    pub fn place(&self, notes: &Notes) -> Span {
        let file = self.file.unwrap_or(notes.house.file);
        Span::new(file, 0, 0)
    }

    /// A problem with the whole of it.
    pub fn problem(&self, notes: &Notes, message: String) -> Problem {
        Problem::new(code::TEMPLATE_ERROR, self.place(notes), message)
            .help(format!("mend `templates/notes/{}`, or remove it to use the built-in one", self.name))
    }
}

/// Every template in force, by name: the program's own, those of the house in place of them or beside them.
pub(super) fn templates(notes: &Notes) -> Result<Vec<Template>, Vec<Problem>> {
    let mut list: Vec<Template> =
        OWN.iter().map(|(name, text)| Template { name: (*name).into(), text: (*text).into(), file: None }).collect();
    let mut problems = Vec::new();
    for asset in &notes.templates {
        let Some(name) = asset.path.strip_prefix("notes/") else { continue };
        if name.starts_with("fonts/") || name.starts_with("strings/") {
            continue;
        }
        let file = asset.file;
        let place = Span::new(file.unwrap_or(notes.house.file), 0, 0);
        let fault = |message: String, help: &str| Problem::new(code::TEMPLATE_ERROR, place, message).help(help);
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "-_.".contains(c);
        let named =
            name.chars().all(plain) && name.split_once('.').is_some_and(|(a, b)| !a.is_empty() && !b.is_empty());
        if !named {
            problems.push(fault(
                format!("`templates/notes/{name}` cannot be the name of a note"),
                "give it a name such as `post.txt`, of lower-case letters, digits, `-` and `_`",
            ));
        } else if asset.bytes.len() > LARGEST {
            problems.push(fault(
                format!("`templates/notes/{name}` is larger than {} KiB", LARGEST / 1024),
                "a note is a page of text; check that this is the right file",
            ));
        } else if let Some(file) = file {
            let own = Template { name: name.into(), text: notes.sources.get(file).text.clone(), file: Some(file) };
            match list.iter_mut().find(|t| t.name == own.name) {
                Some(replaced) => *replaced = own,
                None => list.push(own),
            }
        } else {
            problems.push(fault(format!("`templates/notes/{name}` is not UTF-8 text"), "save it as UTF-8"));
        }
    }
    list.sort_by(|a, b| a.name.cmp(&b.name));
    if problems.is_empty() { Ok(list) } else { Err(problems) }
}

/// The escaping of WebVTT cues.
const VTT: &str = "vtt";

/// How values are escaped in a note of some name.
fn escaping(name: &str) -> AutoEscape {
    match name.rsplit('.').next().unwrap_or("") {
        "html" | "svg" | "xml" => AutoEscape::Html,
        "json" | "jsonld" => AutoEscape::Json,
        "vtt" => AutoEscape::Custom(VTT.into()),
        _ => AutoEscape::None,
    }
}

/// Escapes as the note's kind asks: cue text of WebVTT (W3C WebVTT, 3.1) knows `&amp;`, `&lt;` and `&gt;`, and ends with its line.
fn escaped(out: &mut Output<'_>, state: &mut State<'_, '_>, value: &Value) -> Result<(), Error> {
    match state.auto_escape() {
        AutoEscape::Custom(kind) if kind == VTT => {
            let text = if value.is_none() { String::new() } else { value.to_string() };
            let text = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
            out.write_str(&text.split_whitespace().collect::<Vec<_>>().join(" ")).map_err(Error::from)
        }
        _ if value.is_none() => Ok(()),
        _ => escape_formatter(out, state, value),
    }
}

fn environment<'a>(template: &'a Template, allowance: u64, words: &Words) -> Result<Environment<'a>, Error> {
    let mut env = Environment::empty();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env.set_fuel(Some(allowance));
    env.set_recursion_limit(DEPTH);
    env.set_auto_escape_callback(escaping);
    env.set_formatter(escaped);
    env.set_debug(true);
    // A line that holds only a block leaves no empty line behind.
    env.set_syntax(SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).keep_trailing_newline(true).build()?);
    env.add_filter("join", minijinja::filters::join);
    env.add_filter("length", minijinja::filters::length);
    env.add_filter("first", minijinja::filters::first);
    env.add_filter("last", minijinja::filters::last);
    env.add_filter("upper", minijinja::filters::upper);
    env.add_filter("lower", minijinja::filters::lower);
    env.add_filter("capitalize", minijinja::filters::capitalize);
    env.add_filter("replace", minijinja::filters::replace);
    env.add_filter("trim", minijinja::filters::trim);
    env.add_filter("default", minijinja::filters::default);
    env.add_filter("safe", minijinja::filters::safe);
    let words = words.clone();
    env.add_function("say", move |key: &str, values: Kwargs| say(&words, key, &values));
    env.add_test("defined", minijinja::tests::is_defined);
    env.add_template(&template.name, &template.text)?;
    Ok(env)
}

/// What a key says, with its braces filled by the named values.
fn say(words: &Words, key: &str, values: &Kwargs) -> Result<String, Error> {
    let unknown = || Error::new(ErrorKind::UndefinedError, format!("nothing is said by `{key}`"));
    let text = words.find(key).ok_or_else(unknown)?;
    let named: Vec<(&str, String)> =
        values.args().map(|name| Ok((name, values.get::<Value>(name)?.to_string()))).collect::<Result<_, Error>>()?;
    let named: Vec<(&str, &str)> = named.iter().map(|(name, value)| (*name, value.as_str())).collect();
    Ok(filled(text, &named))
}

/// Renders a template. `recipes` is how many recipes the data holds.
pub(super) fn render<D: Serialize>(
    notes: &Notes,
    template: &Template,
    data: &D,
    recipes: usize,
    words: &Words,
) -> Result<String, Box<Problem>> {
    let allowance = ALLOWANCE.saturating_add(ALLOWANCE_FOR_EACH.saturating_mul(recipes as u64));
    let made = environment(template, allowance, words)
        .and_then(|env| env.get_template(&template.name)?.render(Value::from(Serde(data))));
    match made {
        Ok(text) if text.len() > LARGEST_NOTE * recipes.max(1) => Err(Box::new(
            template.problem(notes, format!("this note is larger than {} MiB", LARGEST_NOTE / 1024 / 1024)),
        )),
        Ok(text) => Ok(text),
        Err(error) => Err(Box::new(located(notes, template, &error))),
    }
}

/// An error of a template as a problem at its place.
fn located(notes: &Notes, template: &Template, error: &Error) -> Problem {
    // The innermost error knows best where it happened; an include wraps it.
    let detail = error.detail().map(str::to_owned);
    let what = match (error.kind(), detail) {
        (ErrorKind::OutOfFuel, _) => "this takes too many steps, or makes too long a text".to_owned(),
        (ErrorKind::UndefinedError, Some(detail)) => format!("nothing is called this here: {detail}"),
        (ErrorKind::UndefinedError, None) => "nothing is called this here".into(),
        (ErrorKind::TemplateNotFound, _) => "a note stands alone: it can include or extend no other file".into(),
        (ErrorKind::UnknownFilter | ErrorKind::UnknownFunction | ErrorKind::UnknownTest, Some(detail)) => detail,
        (_, Some(detail)) => format!("this cannot be used: {detail}"),
        (kind, None) => format!("this cannot be used: {kind}"),
    };
    // Words of the library may be long: they quote what they were given.
    let what: String = what.lines().next().unwrap_or("").chars().take(200).collect();
    let Some(file) = template.file else {
        return template.problem(notes, format!("the built-in note `{}`: {what}", template.name));
    };
    let source = notes.sources.get(file);
    let span = match (error.range(), error.line()) {
        (Some(range), _) if range.end <= source.text.len() => Span::new(file, range.start, range.end.max(range.start)),
        (_, Some(line)) => {
            let start: usize = source.text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
            Span::new(file, start, start + source.line(line).len())
        }
        _ => Span::new(file, 0, 0),
    };
    let help = match error.kind() {
        ErrorKind::UndefinedError => "`templates/notes/DATA.md` of the program lists every name".to_owned(),
        ErrorKind::OutOfFuel => "let it loop over fewer things, or over none within another".to_owned(),
        _ => "mend it, or remove the file to use the built-in one".to_owned(),
    };
    Problem::new(code::TEMPLATE_ERROR, span, what).help(help)
}

//! Recipe files: every field of the front matter, typed and placed, and the method's Markdown.

use rust_decimal::Decimal;

use super::fields::Fields;
use super::house::{Acknowledgement, acknowledgements};
use super::keeping::{Keeping, claims};
use super::pour::{PourLine, Role, not_in_parts, pour};
use super::process_line::{ProcessLine, process_line};
use super::reading::{Reading, reading};
use super::value;
use super::yaml::{Node, Text};
use crate::measure::{Amount, Dimension};
use crate::problem::{Problem, code};
use crate::source::{FileId, Span, Spanned};

/// What a recipe makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Makes {
    /// Something served.
    Drink,
    /// A component that others use.
    Prep,
}

impl Makes {
    /// The word of the format.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Drink => "drink",
            Self::Prep => "prep",
        }
    }
}

/// The words of `serve.ice`.
pub const ICE: &[&str] = &["none", "cubed", "cracked", "crushed", "block"];

/// `serve`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Serve {
    /// Where it stands.
    pub span: Option<Span>,
    /// The glass.
    pub glass: Option<Spanned<String>>,
    /// Of the finished batch, per glass.
    pub pour: Option<Spanned<Amount>>,
    /// Ice in the glass.
    pub ice: Option<Spanned<String>>,
    /// Pours per glass, last.
    pub finish: Vec<PourLine>,
    /// Garnish.
    pub garnish: Option<Spanned<String>>,
}

/// One trial; house edition only.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// Where it stands.
    pub span: Span,
    /// When.
    pub date: Option<jiff::civil::DateTime>,
    /// What was changed.
    pub change: Option<String>,
    /// As weighed or poured before.
    pub before: Option<String>,
    /// As weighed after.
    pub after: Option<String>,
    /// The score given.
    pub score: Option<Decimal>,
    /// What was decided.
    pub verdict: Option<String>,
}

/// A picture in `media/`.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Its file, below `media/`.
    pub file: Spanned<String>,
    /// Text for those who do not see it.
    pub alt: Option<Spanned<String>>,
}

/// A film and its chapters.
#[derive(Debug, Clone, PartialEq)]
pub struct Film {
    /// Where it stands.
    pub span: Span,
    /// Length in seconds.
    pub length: Option<u32>,
    /// Start in seconds and title.
    pub chapters: Vec<(u32, String)>,
    /// Where each chapter is written.
    pub chapter_spans: Vec<Span>,
    /// Where it can be seen.
    pub address: Option<Spanned<String>>,
    /// When it was published.
    pub date: Option<jiff::civil::Date>,
}

/// Which lists of a recipe hold a line that could not be read: what is computed from them is then not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Unread {
    /// A pour of `mix`.
    pub mix: bool,
    /// A line of `process`.
    pub process: bool,
    /// A pour of `finish`, or how much goes into a glass.
    pub serve: bool,
    /// `size`.
    pub size: bool,
}

/// One recipe file.
#[derive(Debug, Clone, PartialEq)]
pub struct RecipeNote {
    /// The file.
    pub file: FileId,
    /// Path below `recipes/`, without `.md`.
    pub path: String,
    /// Folder below `recipes/`; empty at the top.
    pub chapter: String,
    /// Its name.
    pub name: Spanned<String>,
    /// Drink or prep.
    pub makes: Makes,
    /// Balance family.
    pub family: Option<Spanned<String>>,
    /// Version as written.
    pub version: Option<String>,
    /// Total for pours in parts.
    pub size: Option<Spanned<Amount>>,
    /// The pours.
    pub mix: Vec<PourLine>,
    /// The processes.
    pub process: Vec<ProcessLine>,
    /// Final volume as measured.
    pub makes_measured: Option<Spanned<Amount>>,
    /// How it is served.
    pub serve: Serve,
    /// Keeping claims.
    pub keeps: Vec<Keeping>,
    /// Readings.
    pub readings: Vec<Reading>,
    /// Trials.
    pub trials: Vec<Trial>,
    /// Menu price.
    pub sells_at: Option<Spanned<Decimal>>,
    /// Hazards answered for.
    pub acknowledge: Vec<Acknowledgement>,
    /// Whether it goes into the public edition.
    pub publish: bool,
    /// The day on which it was, where it is written.
    pub published: Option<jiff::civil::Date>,
    /// Its picture.
    pub picture: Option<Picture>,
    /// Its film.
    pub film: Option<Film>,
    /// Tags.
    pub tags: Vec<Spanned<String>>,
    /// Tags that its method seems to speak of, and that it has not.
    pub is_not: Vec<Spanned<String>>,
    /// Place of the Markdown body.
    pub body: Span,
    /// What could not be read.
    pub unread: Unread,
}

/// Reads a recipe's front matter. `None` where it has no name, without which nothing can refer to it.
pub fn recipe(node: Node, file: FileId, path: &str, body: Span, problems: &mut Vec<Problem>) -> Option<RecipeNote> {
    let mut f = Fields::open(node, "a recipe", problems)?;
    let span = f.span;
    let found = problems.len();
    let name = f.string("name", problems);
    // A name of the wrong kind is one fault, not two.
    let name_reported = problems.len() > found;
    let makes = makes(&mut f, problems);
    let family = f.string("family", problems);
    let version = f.string("version", problems).map(|s| s.value);
    let had_size = f.has("size");
    let found_at_size = problems.len();
    let size = f.text("size", problems).and_then(|t| something(&t, problems));
    let size_unread = had_size && problems.len() > found_at_size;
    let mix_at = f.place("mix");
    let mix_nodes = f.list("mix").unwrap_or_default();
    let listed = mix_nodes.len();
    let mix: Vec<PourLine> = mix_nodes.into_iter().filter_map(|n| pour(n, problems)).collect();
    let process_nodes = f.list("process").unwrap_or_default();
    let steps = process_nodes.len();
    let process: Vec<ProcessLine> = process_nodes.into_iter().filter_map(|n| process_line(n, problems)).collect();
    let makes_measured = f.text("makes_measured", problems).and_then(|t| something(&t, problems));
    let (serve, serve_unread) = f.take("serve").map_or_else(|| (Serve::default(), false), |n| serve(n, problems));
    let unread =
        Unread { mix: mix.len() < listed, process: process.len() < steps, serve: serve_unread, size: size_unread };
    let keeps = claims(f.texts("keeps", problems).unwrap_or_default(), problems);
    let readings: Vec<Reading> =
        f.list("readings").unwrap_or_default().into_iter().filter_map(|n| reading(n, problems)).collect();
    let trials: Vec<Trial> =
        f.list("trials").unwrap_or_default().into_iter().filter_map(|n| trial(n, problems)).collect();
    let sells_at = f.number("sells_at", problems);
    let acknowledge = acknowledgements(f.list("acknowledge"), problems);
    let (publish, published) = published(f.text("publish", problems), problems);
    let picture = f.take("picture").and_then(|n| picture(n, problems));
    let film = f.take("film").and_then(|n| film(n, problems));
    let tags =
        f.texts("tags", problems).unwrap_or_default().into_iter().map(|t| Spanned::new(t.value, t.span)).collect();
    let is_not =
        f.texts("is_not", problems).unwrap_or_default().into_iter().map(|t| Spanned::new(t.value, t.span)).collect();
    f.close(problems);

    let top = Span::new(file, span.start as usize, span.start as usize + 1);
    if listed == 0 {
        let (code, at, message) = match mix_at {
            Some(at) => (code::EMPTY_MIX, at, "`mix` holds no pours"),
            None => (code::MISSING_KEY, top, "this recipe has no `mix`"),
        };
        problems.push(Problem::new(code, at, message).help("write `mix:` and one `- amount name` a line"));
    }
    let Some(name) = name.filter(|n| !n.value.trim().is_empty()) else {
        if !name_reported {
            problems.push(
                Problem::new(code::MISSING_KEY, top, "this recipe has no `name`")
                    .help("write `name:` and what it is called"),
            );
        }
        return None;
    };
    if let (Makes::Prep, Some(at)) = (makes, serve.span) {
        problems.push(
            Problem::new(code::PREP_SERVED, at, "a prep is not served, so nothing here is used")
                .help("take `serve` out, or write `makes: drink`"),
        );
    }
    let chapter = path.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned();
    Some(RecipeNote {
        file,
        path: path.to_owned(),
        chapter,
        name,
        makes,
        family,
        version,
        size,
        mix,
        process,
        makes_measured,
        serve,
        keeps,
        readings,
        trials,
        sells_at,
        acknowledge,
        publish,
        published,
        picture,
        film,
        tags,
        is_not,
        body,
        unread,
    })
}

/// `publish`: `true`, `false`, or the day on which the recipe came out.
fn published(text: Option<Text>, problems: &mut Vec<Problem>) -> (bool, Option<jiff::civil::Date>) {
    let Some(text) = text else { return (false, None) };
    match text.value.as_str() {
        "true" | "True" | "TRUE" => (true, None),
        "false" | "False" | "FALSE" => (false, None),
        _ => match text.value.parse() {
            Ok(date) => (true, Some(date)),
            Err(_) => {
                problems.push(
                    Problem::new(code::WRONG_VALUE, text.span, "`publish` is true, false or a day")
                        .label(format!("`{}` written here", text.value))
                        .help("write `publish: true`, or the day on which it came out: `publish: 2026-11-20`"),
                );
                (false, None)
            }
        },
    }
}

/// A volume that is more than nothing.
fn something(text: &Text, problems: &mut Vec<Problem>) -> Option<Spanned<Amount>> {
    let amount = value::amount(text, Some(Dimension::Volume), problems)?;
    if amount.value.value.is_zero() {
        problems.push(
            Problem::new(code::BAD_AMOUNT, amount.span, "a volume of nothing")
                .help("write how much it is, or leave the key out"),
        );
        return None;
    }
    Some(amount)
}

fn makes(f: &mut Fields, problems: &mut Vec<Problem>) -> Makes {
    match f.string("makes", problems) {
        None => Makes::Drink,
        Some(word) => match word.value.as_str() {
            "drink" => Makes::Drink,
            "prep" => Makes::Prep,
            other => {
                problems.push(
                    Problem::new(code::WRONG_VALUE, word.span, format!("`makes` cannot be `{other}`"))
                        .help("choose one of: drink, prep"),
                );
                Makes::Drink
            }
        },
    }
}

/// How it is served, and whether an amount in it could not be read.
fn serve(node: Node, problems: &mut Vec<Problem>) -> (Serve, bool) {
    let Some(mut f) = Fields::open(node, "serve", problems) else { return (Serve::default(), true) };
    let before = problems.len();
    let poured = f.text("pour", problems).and_then(|t| something(&t, problems));
    let mut unread = problems.len() > before;
    let mut serve = Serve {
        span: Some(f.span),
        glass: f.string("glass", problems),
        pour: poured,
        ice: f.string("ice", problems),
        finish: Vec::new(),
        garnish: f.string("garnish", problems),
    };
    let before = problems.len();
    for node in f.list("finish").unwrap_or_default() {
        let Some(pour) = pour(node, problems).and_then(|p| not_in_parts(p, problems)) else { continue };
        if pour.role == Role::Mix {
            serve.finish.push(pour);
        } else {
            problems.push(
                Problem::new(code::POUR_ROLE, pour.text.span, "`finish` already goes in last")
                    .help("leave out `top`, `float` or `rinse`, or move the line to `mix`"),
            );
        }
    }
    unread |= problems.len() > before;
    f.close(problems);
    if let Some(ice) = serve.ice.as_ref().filter(|i| !ICE.contains(&i.value.as_str())) {
        problems.push(
            Problem::new(code::WRONG_VALUE, ice.span, format!("`ice` cannot be `{}`", ice.value))
                .help(format!("choose one of: {}", ICE.join(", "))),
        );
        serve.ice = None;
    }
    (serve, unread)
}

fn trial(node: Node, problems: &mut Vec<Problem>) -> Option<Trial> {
    let mut f = Fields::open(node, "a trial", problems)?;
    let trial = Trial {
        span: f.span,
        date: f.text("date", problems).and_then(|t| value::date_time(&t, problems)).map(|d| d.value),
        change: f.string("change", problems).map(|s| s.value),
        before: f.string("before", problems).map(|s| s.value),
        after: f.string("after", problems).map(|s| s.value),
        score: f.number("score", problems).map(|s| s.value),
        verdict: f.string("verdict", problems).map(|s| s.value),
    };
    f.close(problems);
    Some(trial)
}

fn picture(node: Node, problems: &mut Vec<Problem>) -> Option<Picture> {
    let mut f = Fields::open(node, "a picture", problems)?;
    let span = f.span;
    let (file, alt) = (f.string("file", problems), f.string("alt", problems));
    f.close(problems);
    let Some(file) = file else {
        problems.push(
            Problem::new(code::MISSING_KEY, span, "this picture has no `file`")
                .help("write `{file: lantern.jpg, alt: what it shows}`"),
        );
        return None;
    };
    if alt.is_none() {
        problems.push(
            Problem::new(code::MISSING_KEY, span, "this picture has no `alt`")
                .help("say in a few words what the picture shows, for readers who cannot see it"),
        );
    }
    Some(Picture { file, alt })
}

/// `12:40` or `1:02:03` in seconds.
fn stamp(text: &str) -> Option<u32> {
    let mut seconds = 0u32;
    let parts: Vec<&str> = text.split(':').collect();
    if !(2..=3).contains(&parts.len()) {
        return None;
    }
    for (i, part) in parts.iter().enumerate() {
        let n: u32 = part.parse().ok().filter(|_| part.bytes().all(|b| b.is_ascii_digit()))?;
        if i > 0 && n > 59 {
            return None;
        }
        seconds = seconds.checked_mul(60)?.checked_add(n)?;
    }
    Some(seconds)
}

fn film(node: Node, problems: &mut Vec<Problem>) -> Option<Film> {
    let mut f = Fields::open(node, "a film", problems)?;
    let span = f.span;
    let length_text = f.text("length", problems);
    let chapters_text = f.texts("chapters", problems).unwrap_or_default();
    let (address, date) = super::publishing::seen_at(&mut f, problems);
    f.close(problems);
    let bad = |span: Span, message: String| {
        Problem::new(code::FILM_CHAPTERS, span, message).help(
            "write the length as \"12:40\" and each chapter as \"2:20 Steeping the tea\", in order, the first at 0:00",
        )
    };
    let mut length = None;
    if let Some(text) = &length_text {
        length = stamp(text.value.trim());
        if length.is_none() {
            problems.push(bad(text.span, format!("`{}` is not a length of film", text.value)));
        }
    }
    let mut chapters: Vec<(u32, String)> = Vec::new();
    let mut chapter_spans = Vec::new();
    for text in &chapters_text {
        let (time, title) = text.value.trim().split_once(' ').unwrap_or((text.value.trim(), ""));
        match stamp(time) {
            None => problems.push(bad(text.span, format!("`{time}` is not a time in a film"))),
            Some(_) if title.trim().is_empty() => problems.push(bad(text.span, "this chapter has no title".into())),
            Some(start) => {
                if chapters.is_empty() && start != 0 {
                    problems.push(bad(text.span, "the first chapter does not start at 0:00".into()));
                } else if chapters.last().is_some_and(|(last, _)| *last >= start) {
                    problems.push(bad(text.span, "this chapter does not start after the one before it".into()));
                } else if length.is_some_and(|end| start >= end) {
                    problems.push(bad(text.span, "this chapter starts after the film has ended".into()));
                }
                chapters.push((start, title.trim().to_owned()));
                chapter_spans.push(text.span);
            }
        }
    }
    Some(Film { span, length, chapters, chapter_spans, address, date })
}

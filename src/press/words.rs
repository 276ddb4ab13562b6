//! The words of what is pressed: one file a language, `strings/en.yaml` and its like, for the site, for print and for the notes.
//! A house amends them, or adds a language, with a file of the same name in its `templates/site/strings/`,
//! `templates/print/strings/` or `templates/notes/strings/`.
//!
//! What the templates and this module say comes from here; the hazard rules have their own file (`hazard_words`). What the passes
//! before say besides (remarks, reasons, sources) is English.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::hazard_words::{self, HazardWords};
use crate::notebook::Notes;
use crate::notebook::fields::nearest;
use crate::notebook::yaml::{self, Node};
use crate::problem::{Problem, Severity, code};
use crate::source::{FileId, Span, Spanned};

/// Languages that the program speaks itself, by folder.
const BUILT_IN: &[(&str, &str, &str)] = &[
    ("site", "en", include_str!("../../templates/site/strings/en.yaml")),
    ("site", "nl", include_str!("../../templates/site/strings/nl.yaml")),
    ("print", "en", include_str!("../../templates/print/strings/en.yaml")),
    ("print", "nl", include_str!("../../templates/print/strings/nl.yaml")),
    ("notes", "en", include_str!("../../templates/notes/strings/en.yaml")),
    ("notes", "nl", include_str!("../../templates/notes/strings/nl.yaml")),
];

/// Whose words. What is printed or published beside a recipe says much that the site says, and has more of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Of {
    /// Pages of the site.
    Site,
    /// What is printed.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code))]
    Print,
    /// Notes beside a recipe.
    Notes,
}

impl Of {
    /// The folders below `templates/` that hold them.
    fn folders(self) -> &'static [&'static str] {
        match self {
            Self::Site => &["site"],
            Self::Print => &["site", "print"],
            Self::Notes => &["site", "notes"],
        }
    }
}

/// The words of one language, by `section.key`.
#[derive(Debug, Clone)]
pub(super) struct Words {
    /// Language tag, `en`.
    pub(super) language: String,
    texts: Arc<BTreeMap<String, String>>,
    /// What is said of hazards.
    pub(super) hazards: Arc<HazardWords>,
}

impl Words {
    /// The words for a key. A key that nobody wrote shows itself; the tests see to it that there is none.
    pub(super) fn say(&self, key: &str) -> String {
        self.find(key).unwrap_or(key).to_owned()
    }

    /// The words for a key, if there are any.
    pub(super) fn find(&self, key: &str) -> Option<&str> {
        self.texts.get(key).map(String::as_str)
    }

    /// A short phrase of the format or of the trade: a unit, a kind of ice, the name of a process.
    pub(super) fn phrase(&self, text: &str) -> String {
        let key = format!("phrase.{}", text.replace([' ', '-'], "_"));
        self.find(&key).map_or_else(|| text.to_owned(), str::to_owned)
    }

    /// The words for a key with its placeholders filled: `{n}` by the value of `n`.
    pub(super) fn with(&self, key: &str, values: &[(&str, &str)]) -> String {
        filled(&self.say(key), values)
    }

    /// The words for a number of things: `key_one` for one, `key_other` for none and more.
    pub(super) fn count(&self, key: &str, n: usize) -> String {
        let form = if n == 1 { "one" } else { "other" };
        self.with(&format!("{key}_{form}"), &[("n", &n.to_string())])
    }

    /// Whether these are words of a language, whatever its country.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code))]
    pub(super) fn speaks(&self, language: &str) -> bool {
        primary(&self.language) == language
    }

    /// Every text by its key.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code))]
    pub(super) fn all(&self) -> &BTreeMap<String, String> {
        &self.texts
    }

    /// `ltr` or `rtl`.
    pub(super) fn direction(&self) -> &'static str {
        if self.find("language.direction") == Some("rtl") { "rtl" } else { "ltr" }
    }
}

/// A text with its placeholders filled.
pub(super) fn filled(text: &str, values: &[(&str, &str)]) -> String {
    let mut out = String::with_capacity(text.len() + 16);
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        out.push_str(&rest[..open]);
        let after = &rest[open + 1..];
        match after.split_once('}') {
            Some((name, behind)) => {
                match values.iter().find(|(n, _)| *n == name) {
                    Some((_, value)) => out.push_str(value),
                    None => out.push_str(&rest[open..open + name.len() + 2]),
                }
                rest = behind;
            }
            None => {
                out.push('{');
                rest = after;
            }
        }
    }
    out.push_str(rest);
    out
}

/// Names between braces.
fn placeholders(text: &str) -> Vec<&str> {
    text.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(name, _)| name)).collect()
}

/// Every text of a file with the places of its key and of itself.
pub(super) type Placed = Vec<(Spanned<String>, Spanned<String>)>;

/// Two levels of YAML as `section.key`.
pub(super) fn flatten(node: Option<Node>, problems: &mut Vec<Problem>) -> Placed {
    let mut list = Vec::new();
    let sections = match node {
        Some(Node::Map(sections, _)) => sections,
        None => return list,
        Some(other) => {
            problems.push(
                Problem::new(
                    code::WRONG_TYPE,
                    other.span(),
                    format!("this is {}, not sections of texts", other.kind()),
                )
                .help("write a section and below it its texts, such as `recipe: {spec: Spec}`"),
            );
            return list;
        }
    };
    for (section, texts) in sections {
        let Node::Map(texts, _) = texts else {
            problems.push(
                Problem::new(
                    code::WRONG_TYPE,
                    texts.span(),
                    format!("`{}` is {}, not texts", section.value, texts.kind()),
                )
                .help(format!("write its texts below it, such as `{}: {{key: text}}`", section.value)),
            );
            continue;
        };
        for (key, text) in texts {
            match text {
                Node::Text(text) => list.push((
                    Spanned::new(format!("{}.{}", section.value, key.value), key.span),
                    Spanned::new(text.value, text.span),
                )),
                other => problems.push(
                    Problem::new(
                        code::WRONG_TYPE,
                        other.span(),
                        format!("`{}` is {}, not text", key.value, other.kind()),
                    )
                    .help("write one text, in quotes if it holds a colon or a brace"),
                ),
            }
        }
    }
    list
}

/// A built-in language as it stands in the file of a folder.
fn built_in(folder: &str, language: &str) -> Option<BTreeMap<String, String>> {
    let text = BUILT_IN.iter().find(|(f, l, _)| *f == folder && *l == language)?.2;
    let node = yaml::read(text, FileId(0), 0, &mut Vec::new());
    Some(flatten(node, &mut Vec::new()).into_iter().map(|(key, text)| (key.value, text.value)).collect())
}

/// The words in English.
pub(super) fn english(of: Of) -> Words {
    let texts = of.folders().iter().filter_map(|folder| built_in(folder, "en")).flatten().collect();
    Words { language: "en".into(), texts: Arc::new(texts), hazards: Arc::new(HazardWords::english()) }
}

/// The language of a tag: `nl` of `nl-BE`.
pub(super) fn primary(tag: &str) -> String {
    tag.split(['-', '_']).next().unwrap_or(tag).to_lowercase()
}

/// The words of the house's first language.
///
/// Returns warnings beside them: a language for which print or the notes have no words, so that they speak English.
///
/// # Errors
/// A language without words for the site; in the house's own file: what is no YAML, keys that nothing uses, placeholders that nothing
/// fills, and, for a language that the program does not speak, what is missing. Each stands at its place.
pub(super) fn words(notes: &Notes, of: Of) -> Result<(Words, Vec<Problem>), Vec<Problem>> {
    let Some(wanted) = notes.house.languages.first() else {
        return Ok((english(of), Vec::new()));
    };
    let mut texts = BTreeMap::new();
    let mut problems = Vec::new();
    for folder in of.folders() {
        texts.extend(of_folder(notes, folder, wanted, &mut problems));
    }
    let (hazards, found) = hazard_words::read(notes);
    problems.extend(found);
    if problems.iter().all(|p| !p.is_error()) {
        Ok((Words { language: wanted.value.clone(), texts: Arc::new(texts), hazards: Arc::new(hazards) }, problems))
    } else {
        Err(problems)
    }
}

/// The words of one folder in the wanted language: the program's own with the house's in front of them.
fn of_folder(
    notes: &Notes,
    folder: &str,
    wanted: &Spanned<String>,
    problems: &mut Vec<Problem>,
) -> BTreeMap<String, String> {
    let english = built_in(folder, "en").unwrap_or_default();
    let language = primary(&wanted.value);
    let mut texts = built_in(folder, &language).unwrap_or_default();
    let own: Vec<_> = [language.clone(), wanted.value.clone()]
        .iter()
        .enumerate()
        .filter(|(i, name)| *i == 0 || **name != language)
        .filter_map(|(_, name)| {
            let path = format!("{folder}/strings/{name}.yaml");
            notes.templates.iter().find(|a| a.path == path)?.file
        })
        .collect();
    if texts.is_empty() && own.is_empty() {
        let speaks: Vec<String> =
            BUILT_IN.iter().filter(|(f, ..)| *f == folder).map(|(_, l, _)| format!("`{l}`")).collect();
        let help =
            format!("write them in `templates/{folder}/strings/{language}.yaml`, or use {}", speaks.join(" or "));
        let (what, severity) = match folder {
            "site" => ("the site has no words", Severity::Error),
            "print" => ("what is printed has no words, and speaks English,", Severity::Warning),
            _ => ("the notes have no words, and speak English,", Severity::Warning),
        };
        let message = format!("{what} for the language `{}`", wanted.value);
        problems.push(Problem::new(code::WRONG_VALUE, wanted.span, message).severity(severity).help(help));
        return english;
    }
    let before = problems.len();
    for file in &own {
        let node = yaml::read(&notes.sources.get(*file).text, *file, 0, problems);
        for (key, text) in flatten(node, problems) {
            match english.get(&key.value) {
                None => problems.push(unknown_key(&key, &english)),
                Some(original) => {
                    let known = placeholders(original);
                    if let Some(name) = placeholders(&text.value).into_iter().find(|n| !known.contains(n)) {
                        let message = format!("nothing fills `{{{name}}}` in `{}`", key.value);
                        let help = if known.is_empty() {
                            "write it without braces".to_owned()
                        } else {
                            format!("use {}", known.iter().map(|n| format!("`{{{n}}}`")).collect::<Vec<_>>().join(", "))
                        };
                        problems.push(Problem::new(code::TEMPLATE_ERROR, text.span, message).help(help));
                    }
                    texts.insert(key.value, text.value);
                }
            }
        }
    }
    let missing: Vec<&str> = english.keys().map(String::as_str).filter(|k| !texts.contains_key(*k)).collect();
    if let (Some(file), Some(first), true) = (own.first(), missing.first(), problems.len() == before) {
        let named = missing.iter().take(12).map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ");
        let more = if missing.len() > 12 { format!(" and {} more", missing.len() - 12) } else { String::new() };
        let message = format!("{} of {} texts are missing: {named}{more}", missing.len(), english.len());
        let help = match first.split_once('.') {
            Some((section, key)) => format!("write them, beginning with `{section}: {{{key}: …}}`"),
            None => "write them".to_owned(),
        };
        problems.push(Problem::new(code::MISSING_KEY, Span::new(*file, 0, 0), message).help(help));
    }
    texts
}

fn unknown_key(key: &Spanned<String>, english: &BTreeMap<String, String>) -> Problem {
    let near = nearest(&key.value, english.keys().map(String::as_str));
    let help = match near.first() {
        Some(near) => format!("did you mean `{near}`?"),
        None => "remove it, or look up the keys in the file of another language".to_owned(),
    };
    Problem::new(code::UNKNOWN_KEY, key.span, format!("nothing is said that is called `{}`", key.value)).help(help)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::Path;

    use super::*;

    #[test]
    fn every_language_says_everything_with_the_same_placeholders() {
        for (folder, language, text) in BUILT_IN {
            let english = built_in(folder, "en").unwrap();
            assert!(english.len() > 100);
            let mut problems = Vec::new();
            let list = flatten(yaml::read(text, FileId(0), 0, &mut problems), &mut problems);
            assert!(problems.is_empty(), "{folder}, {language}: {problems:?}");
            let own: BTreeMap<String, String> = list.into_iter().map(|(k, t)| (k.value, t.value)).collect();
            let keys = |m: &BTreeMap<String, String>| m.keys().cloned().collect::<BTreeSet<_>>();
            let differs: Vec<_> = keys(&own).symmetric_difference(&keys(&english)).cloned().collect();
            assert!(differs.is_empty(), "{folder}, {language}: {differs:?}");
            for (key, text) in &own {
                let sorted = |t: &str| placeholders(t).into_iter().map(str::to_owned).collect::<BTreeSet<_>>();
                assert_eq!(sorted(text), sorted(&english[key]), "{language}: {key}");
                assert!(!text.trim().is_empty(), "{language}: {key} is empty");
            }
        }
    }

    fn is_key(s: &str) -> bool {
        let files = ["css", "html", "js", "jsonld", "svg", "typ", "xml"];
        s.split_once('.').is_some_and(|(a, b)| !a.is_empty() && !b.is_empty() && !files.contains(&b))
            && s.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "._".contains(c))
    }

    /// Keys that a template says: `"section.key" | say` on a page, `say("section.key")` in print.
    fn said_in_template(text: &str) -> BTreeSet<String> {
        let parts: Vec<&str> = text.split("\" | say").collect();
        let on_page = parts[..parts.len() - 1].iter().filter_map(|before| before.rsplit('"').next());
        let in_print = text.split("say(\"").skip(1).filter_map(|behind| behind.split('"').next());
        on_page.chain(in_print).filter(|k| is_key(k)).map(str::to_owned).collect()
    }

    /// What looks like a key in the strings of a source file.
    fn said_in_code(text: &str) -> BTreeSet<String> {
        let code = text.split("#[cfg(test)]").next().unwrap_or(text);
        let lines = code.lines().filter(|l| !l.trim_start().starts_with("//"));
        let strings = lines.flat_map(|l| l.split('"').skip(1).step_by(2));
        strings.filter(|s| is_key(s)).map(str::to_owned).collect()
    }

    #[test]
    fn what_is_said_is_written_and_what_is_written_is_said() {
        let mut english: BTreeMap<String, String> = english(Of::Print).texts.as_ref().clone();
        english.extend(built_in("notes", "en").unwrap());
        let sections: BTreeSet<&str> = english.keys().filter_map(|k| k.split_once('.')).map(|(s, _)| s).collect();
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut said = BTreeSet::new();
        for folder in [
            "templates/site",
            "templates/print",
            "src/press/content",
            "src/press/publication.rs",
            "src/press/structured.rs",
            "src/press/card.rs",
            "src/press/site",
            "src/press/words.rs",
            "src/press/site.rs",
            "src/press/print",
            "src/press/print.rs",
            "templates/notes",
            "src/press/notes",
            "src/press/notes.rs",
        ] {
            for entry in
                walkdir::WalkDir::new(root.join(folder)).into_iter().flatten().filter(|e| e.file_type().is_file())
            {
                let ending = entry.path().extension().and_then(|e| e.to_str()).unwrap_or("");
                if ["html", "svg", "typ", "txt", "vtt", "rs"].contains(&ending) {
                    let text = std::fs::read_to_string(entry.path()).unwrap();
                    let keys = if ending == "rs" { said_in_code(&text) } else { said_in_template(&text) };
                    said.extend(keys.into_iter().filter(|k| sections.contains(k.split('.').next().unwrap_or(""))));
                }
            }
        }
        let counted =
            |key: &str| english.contains_key(&format!("{key}_one")) && english.contains_key(&format!("{key}_other"));
        let lost: Vec<&String> = said.iter().filter(|k| !english.contains_key(*k) && !counted(k)).collect();
        assert!(lost.is_empty(), "nobody wrote: {lost:?}");
        // Keys that are put together while the page is made.
        let made = [
            "origin.",
            "why.",
            "severity.",
            "legend.",
            "allergen.",
            "process.",
            "parameter.",
            "time.",
            "bench.",
            "phrase.",
            "matrix.",
            "need.",
        ];
        let idle: Vec<&String> = english
            .keys()
            .filter(|k| !said.contains(*k) && !made.iter().any(|m| k.starts_with(m)))
            .filter(|k| {
                let base = ["_one", "_other", "_text"].iter().find_map(|end| k.strip_suffix(end));
                !base.is_some_and(|base| said.contains(base))
            })
            .collect();
        assert!(idle.is_empty(), "nobody says: {idle:?}");
    }

    #[test]
    fn pages_and_printed_things_caution_alike() {
        let words = english(Of::Site);
        assert_eq!(words.say("base.caution"), super::super::site::CAUTION);
        assert_eq!(words.say("base.alcohol"), super::super::site::ALCOHOL);
    }

    #[test]
    fn placeholders_are_filled_once_and_only_those_that_are_known() {
        assert_eq!(filled("{n} of {all}, {odd", &[("n", "{all}"), ("all", "3")]), "{all} of 3, {odd");
        assert_eq!(filled("{x}", &[("n", "1")]), "{x}");
        assert_eq!(primary("nl-BE"), "nl");
    }
}

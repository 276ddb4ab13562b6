//! The look of the site: the templates that the program carries, and what a house puts in their place.
//!
//! A file in the notebook's `templates/site/` wins over the built-in one of the same name. `house.css` there is read after the
//! built-in style sheet. Any other file there that is no template (a font, a picture) is put on the site at its path. A fault in a house's file is
//! reported at its place in that file.

use std::collections::BTreeMap;

use tera::{ErrorKind, Kwargs, State, Tera};

use super::assets::Assets;
use super::words::{Words, filled};
use crate::notebook::Notes;
use crate::notebook::fields::nearest;
use crate::notebook::walk::Asset;
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
                let file = name_of(&error).filter(|name| house.contains_key(name.as_str()));
                problems.push(problem(notes, &error));
                match file {
                    Some(name) => house.remove(name.as_str()),
                    None => return Err(problems),
                };
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

/// The template that an error is about.
fn name_of(error: &tera::Error) -> Option<String> {
    match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => Some(report.filename().to_owned()),
        ErrorKind::CircularExtend { tpl, .. } | ErrorKind::CircularInclude { tpl, .. } => Some(tpl.clone()),
        ErrorKind::MissingParent { current, .. } => Some(current.clone()),
        _ => None,
    }
}

/// An error of a template as a problem at its place. One inside a built-in template is the doing of what the house put in
/// place of another, so it stands at the first file of the house.
pub(super) fn problem(notes: &Notes, error: &tera::Error) -> Problem {
    let own = |name: &str| notes.templates.iter().find(|a| a.path == name).and_then(|a| a.file);
    let first =
        || notes.templates.iter().filter(|a| a.path.starts_with("site/") && is_template(a)).find_map(|a| a.file);
    let fallback = Span::new(first().unwrap_or(notes.house.file), 0, 0);
    let name = name_of(error);
    let (span, mut words) = match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
            let range = &report.span().range;
            match own(report.filename()) {
                Some(file) => (Span::new(file, range.start, range.end), report.message().to_owned()),
                None => (fallback, format!("in the built-in `{}`: {}", report.filename(), report.message())),
            }
        }
        kind => {
            let at = name.as_deref().and_then(own).map_or(fallback, |file| Span::new(file, 0, 0));
            (at, kind.to_string())
        }
    };
    let mut cause: Option<&dyn std::error::Error> = std::error::Error::source(error);
    while let Some(next) = cause {
        words = format!("{words}: {next}");
        cause = next.source();
    }
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut letters = words.chars();
    let words = letters.next().map_or(String::new(), |c| c.to_lowercase().collect::<String>() + letters.as_str());
    Problem::new(code::TEMPLATE_ERROR, span, format!("this template cannot be used: {}", words.trim_end_matches('.')))
        .help("mend the file, or remove it to use the built-in one")
}

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

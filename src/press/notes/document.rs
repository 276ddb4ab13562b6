//! The page that tells writers of templates what they are given: `templates/notes/DATA.md`, written from the types themselves.

use schemars::schema_for;
use serde_json::Value;

use super::data;

const OPENING: &str = "\
# What a note's template is given

This page is written by the program from `src/press/notes/data.rs`; a test holds it true.

A note is a file that a template makes of one recipe. The templates in this folder are the program's own. A house puts its own
into `templates/notes/` of its notebook: one of the same name takes the place of the program's, one of another name makes another
note. `post.txt` there becomes `notes/SLUG/post.txt` for every published recipe. A note that comes out empty is not written. A
template that ends in `.svg` is drawn, and `.png` takes its place. `index.html` is made once, over all recipes. Fonts for
drawings go into `templates/notes/fonts/`.

The language is that of minijinja: `{{ recipe.name }}`, `{% if %}`, `{% for %}`, `{% set %}`, `{% macro %}`. A line that holds
only a block leaves no empty line. There are the filters `capitalize`, `default`, `first`, `join`, `last`, `length`, `lower`,
`replace`, `safe`, `trim` and `upper`, and the test `defined`. `say(\"note.to_serve\", line=recipe.serve.line)` gives a text in the
house's language with its braces filled; the texts are those of `templates/notes/strings/` and of the site, and a house amends them, or adds a
language, in `templates/notes/strings/` of its notebook. A name that is not on this page is an error. Values are escaped as
the file's ending asks: markup in `.html`, `.svg` and `.xml`, JSON in `.json` and `.jsonld`, cue text in `.vtt`. A template can
reach no file and no other template, and its steps and the length of what it makes are limited.

*text* is a string, *optional* may be null, a *list* may be empty. Every number is text by then, rounded as on the site: templates
hold no arithmetic. What only the house sees is never here: prices, trials, readings, notes, stock, tools, recipes that are not
published.
";

/// The page.
#[must_use]
pub fn data_page() -> String {
    let mut page = String::from(OPENING);
    for (title, schema) in [
        ("What every note of a recipe is given", schema_for!(data::Note)),
        ("What `index.html` is given", schema_for!(data::Index)),
    ] {
        page.push_str(&format!("\n## {title}\n"));
        let root = schema.as_value().clone();
        fields(&root, &mut page);
        let Some(types) = root.get("$defs").and_then(Value::as_object) else { continue };
        for (name, of) in types {
            // A type that both are given is told once.
            let heading = format!("\n### {name}\n");
            if !page.contains(&heading) {
                page.push_str(&heading);
                if let Some(words) = of.get("description").and_then(Value::as_str) {
                    page.push_str(&format!("\n{}\n", one_line(words)));
                }
                fields(of, &mut page);
            }
        }
    }
    page
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").replace('|', "\\|")
}

fn fields(of: &Value, page: &mut String) {
    let Some(list) = of.get("properties").and_then(Value::as_object) else { return };
    page.push_str("\n| field | type | meaning |\n|---|---|---|\n");
    for (name, field) in list {
        let meaning = field.get("description").and_then(Value::as_str).unwrap_or("");
        page.push_str(&format!("| `{name}` | {} | {} |\n", kind(field), one_line(meaning)));
    }
}

/// A type in words.
fn kind(field: &Value) -> String {
    let named = |path: &str| {
        let name = path.rsplit('/').next().unwrap_or(path);
        format!("[{name}](#{})", name.to_lowercase())
    };
    if let Some(path) = field.get("$ref").and_then(Value::as_str) {
        return named(path);
    }
    for key in ["anyOf", "allOf", "oneOf"] {
        if let Some(list) = field.get(key).and_then(Value::as_array) {
            let words: Vec<String> =
                list.iter().filter(|v| v.get("type").and_then(Value::as_str) != Some("null")).map(kind).collect();
            let optional = if words.len() < list.len() { "optional " } else { "" };
            return format!("{optional}{}", words.join(" or "));
        }
    }
    let word = |word: &str| match word {
        "string" => "text".to_owned(),
        "integer" | "number" => "number".to_owned(),
        "boolean" => "true or false".to_owned(),
        "array" => field.get("items").map_or("list".to_owned(), |of| format!("list of {}", kind(of))),
        other => other.to_owned(),
    };
    match field.get("type") {
        Some(Value::String(one)) => word(one),
        Some(Value::Array(list)) => {
            let words: Vec<String> = list.iter().filter_map(Value::as_str).filter(|w| *w != "null").map(word).collect();
            format!("optional {}", words.join(" or "))
        }
        _ => "any".to_owned(),
    }
}

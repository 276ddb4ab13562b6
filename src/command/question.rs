//! A question about one recipe: which it is, what the asked edition tells of it, and what is said where there is no answer.

use anstream::eprintln;
use serde_json::{Value, json};

use super::output::document;
use super::{Edition, Opened, Setting, Status};
use crate::ask::dial::Refusal;
use crate::problem::{Problem, code, json as as_json, terminal::clean};
use crate::recipe::names;
use crate::recipe::run::for_guests_on_demand;

/// Makes the opened notebook what the asked edition tells of a recipe: to guests nothing that was measured, and nothing of a
/// recipe that is not published.
pub(super) fn as_asked(opened: &mut Opened, recipe: usize, setting: &Setting) -> Result<(), Refusal> {
    if setting.edition != Some(Edition::Public) {
        return Ok(());
    }
    let note = &opened.computed.graph.notes.recipes[recipe];
    if !note.publish {
        return Err(Refusal::new(
            format!("{} is not published", clean(&note.name.value)),
            "leave out `--edition public` to see it as the house does",
        ));
    }
    if let Some(guests) = for_guests_on_demand(&opened.computed) {
        opened.computed = guests;
    }
    Ok(())
}

/// A question that makes no sense: what is wrong with it and what to do. With `--json` that is the document.
pub(super) fn refused(setting: &Setting, recipe: Option<&str>, refusal: &Refusal) -> Status {
    if setting.json {
        let mut problem = unplaced(code::REFUSED_QUESTION, &refusal.message, &refusal.help);
        if let (Some(argument), Some(map)) = (refusal.about, problem.as_object_mut()) {
            map.insert("argument".into(), json!(argument));
        }
        document(&json!({ "recipe": recipe, "problems": [problem] }));
    } else {
        eprintln!("costrel: {}\n  {}", refusal.message, refusal.help);
    }
    Status::Usage
}

/// A problem that stands in no file.
fn unplaced(code: code::Code, message: &str, help: &str) -> Value {
    json!({
        "code": code.name(), "severity": "error", "message": message,
        "file": null, "line": null, "column": null, "help": help,
    })
}

/// The problems of a recipe and of what it uses: those in its files, in the house's settings, and in the pantry items used.
pub(super) fn concerning(opened: &Opened, recipe: usize) -> Vec<&Problem> {
    let graph = &opened.computed.graph;
    let recipes = graph.closure(recipe);
    let items: Vec<_> = recipes
        .iter()
        .flat_map(|r| graph.nodes[*r].ingredients.iter())
        .map(|i| graph.pantry.ingredients[*i].item.span)
        .collect();
    let ours = |span: crate::source::Span| {
        recipes.iter().any(|r| graph.notes.recipes[*r].file == span.file)
            || graph.notes.house.file == span.file
            || items.iter().any(|i| i.holds(span))
    };
    opened.problems.iter().filter(|p| ours(p.at.span) || p.also.iter().any(|l| ours(l.span))).collect()
}

/// No recipe of that name: the nearest, or what is wrong with the file that would have been it.
pub(super) fn no_recipe(opened: &Opened, wanted: &str, setting: &Setting) -> Status {
    let graph = &opened.computed.graph;
    let slug = names::slug(wanted.rsplit('/').next().unwrap_or(wanted).trim_end_matches(".md"));
    let broken: Vec<&Problem> = opened
        .problems
        .iter()
        .filter(|p| {
            let path = &graph.notes.sources.get(p.at.span.file).path;
            let stem = path.rsplit('/').next().unwrap_or(path).trim_end_matches(".md");
            path.starts_with("recipes/") && names::slug(stem) == slug && p.is_error()
        })
        .collect();
    let all = graph.notes.recipes.iter().map(|r| r.name.value.as_str());
    let near = crate::notebook::fields::nearest(wanted, all);
    let message = format!("no recipe is called `{}`", clean(wanted));
    let help = match near.first() {
        Some(near) => format!("did you mean `{near}`?"),
        None => "`costrel check` counts the recipes; a name, an address or a file will do".into(),
    };
    if setting.json {
        let list: Vec<Problem> = broken.iter().map(|p| (*p).clone()).collect();
        let mut problems = as_json::problems(&list, &graph.notes.sources);
        if let (true, Some(list)) = (broken.is_empty(), problems.as_array_mut()) {
            list.push(unplaced(code::NO_SUCH_RECIPE, &message, &help));
        }
        document(&json!({ "recipe": null, "problems": problems }));
    } else if broken.is_empty() {
        eprintln!("costrel: {message}\n  {help}");
    } else {
        opened.print(broken);
    }
    Status::Errors
}

//! The sandbox in which an expression is evaluated: no loader, strict names, a step limit, and the values of one recipe.

use std::sync::Arc;

use minijinja::{Environment, ErrorKind, UndefinedBehavior, Value};

use super::values::{of_mixture, of_recipe, pours, processes};
use super::{Expression, Kind, Printed, UNNAMED};
use crate::recipe::names::{Target, key, slug};
use crate::recipe::run::Computed;
use crate::source::Span;

/// Steps that one expression may take; the longest useful one takes a few dozen.
const FUEL: u64 = 5_000;

pub(super) fn environment(
    computed: &Computed,
    recipe: Option<usize>,
    body: Span,
    expressions: &[Expression],
) -> Environment<'static> {
    let mut env = Environment::empty();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env.set_fuel(Some(FUEL));
    env.set_recursion_limit(16);
    let graph = &computed.graph;
    let notes = &graph.notes;
    env.add_global("house", Value::from_object(Printed::text(notes.house.name.clone())));
    let published = match recipe {
        Some(recipe) => notes.recipes[recipe].publish,
        None => notes.pages.iter().any(|p| p.file == body.file && p.publish),
    };
    // Functions own what they answer with, so what is asked about by name is worked out beforehand.
    let mut recipes = Vec::new();
    let mut ingredients = Vec::new();
    for wanted in expressions.iter().flat_map(|e| quoted(&e.code)) {
        match graph.recipe(wanted).map(Target::Recipe).or_else(|| graph.names.get(wanted)) {
            Some(Target::Recipe(i)) => {
                let note = &notes.recipes[i];
                let mut printed = Printed::text(note.name.value.clone());
                // What a published recipe uses is named among its pours anyway.
                let used = graph.nodes[i].used_by.iter().any(|user| notes.recipes[*user].publish);
                if published && !note.publish && !used {
                    printed = Printed::of(UNNAMED, Kind::Unnamed);
                } else if note.publish || !published {
                    printed.kind = Kind::Link(note.path.clone());
                    printed.parts = of_recipe(computed, i).into_iter().collect();
                }
                recipes.push((key(wanted), Some(printed)));
            }
            Some(Target::Ingredient(i)) => {
                let name = graph.pantry.ingredients[i].name();
                let link = Kind::Link(format!("ingredients/{}", slug(name)));
                ingredients.push((key(wanted), Some(Printed::of(name, link))));
            }
            None => {}
        }
    }
    let uses = |function: &str| expressions.iter().any(|e| e.code.contains(function));
    if uses("recipe") {
        // The rest are there to be suggested.
        let open = |r: &&crate::notebook::recipe_note::RecipeNote| r.publish || !published;
        recipes.extend(notes.recipes.iter().filter(open).map(|r| (key(&r.name.value), None)));
        look_up(&mut env, "recipe", "no recipe is called", recipes);
    }
    if uses("ingredient") {
        ingredients.extend(graph.pantry.ingredients.iter().map(|i| (key(i.name()), None)));
        look_up(&mut env, "ingredient", "no ingredient is called", ingredients);
    }
    let Some(recipe) = recipe else { return env };
    for (name, value) in of_recipe(computed, recipe) {
        env.add_global(name, Value::from_object(value));
    }
    let pours = pours(computed, recipe);
    for (position, function) in ["amount", "ml", "oz", "grams"].into_iter().enumerate() {
        let forms = pours.iter().map(|(k, forms)| (k.clone(), forms[position].clone())).collect();
        look_up(&mut env, function, "this recipe pours no", forms);
    }
    let processes = processes(computed, recipe);
    for (position, function) in ["time", "temperature"].into_iter().enumerate() {
        let forms = processes.iter().map(|(k, forms)| (key(k), forms[position].clone())).collect();
        look_up(&mut env, function, "this recipe has no process", forms);
    }
    let stages = computed.made[recipe].stages.iter().map(|stage| {
        let parts = of_mixture(&stage.mixture).into_iter().collect();
        (key(&stage.name), Some(Printed { text: stage.name.clone(), kind: Kind::Text, parts }))
    });
    look_up(&mut env, "stage", "this recipe has no stage", stages.collect());
    env
}

/// Adds a function that looks its one argument up among named values.
fn look_up(
    env: &mut Environment<'static>,
    name: &'static str,
    what: &'static str,
    values: Vec<(String, Option<Printed>)>,
) {
    let values = Arc::new(values);
    env.add_function(name, move |wanted: String| -> Result<Value, minijinja::Error> {
        let wanted_key = key(&wanted);
        match values.iter().find(|(k, _)| *k == wanted_key) {
            Some((_, Some(printed))) => Ok(Value::from_object(printed.clone())),
            Some((_, None)) => Err(refuse(format!("{name}(\"{wanted}\") is not known"))),
            None => Err(unknown(what, &wanted, &values.iter().map(|(k, _)| k.clone()).collect::<Vec<_>>())),
        }
    });
}

/// An unknown name, with the nearest that are known.
fn unknown(what: &str, wanted: &str, known: &[String]) -> minijinja::Error {
    let near = crate::notebook::fields::nearest(&key(wanted), known.iter().map(String::as_str));
    let hint = match near.as_slice() {
        [] => String::new(),
        names => format!("; did you mean {}?", names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ")),
    };
    refuse(format!("{what} \"{wanted}\"{hint}"))
}

fn refuse(message: String) -> minijinja::Error {
    minijinja::Error::new(ErrorKind::InvalidOperation, message)
}

/// Words in quotes in an expression.
fn quoted(code: &str) -> impl Iterator<Item = &str> {
    code.split(['"', '\'']).skip(1).step_by(2)
}

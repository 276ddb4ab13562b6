//! A question about one recipe runs only what that recipe uses, and gets the answer that the whole notebook gives.

use std::path::Path;

use costrel::ask::batch::{Request, Size, batch};
use costrel::ask::dial::{self, Figure, Target, dial};
use costrel::ask::safety::Survey;
use costrel::ask::taste::{taste, taste_beside};
use costrel::measure::Exact;
use costrel::notebook::recipe_note::Makes;
use costrel::problem::Problem;
use costrel::recipe::run::{Computed, for_guests, for_guests_on_demand};
use rayon::prelude::*;
use serde_json::Value;

fn notebooks() -> [(&'static Path, (Computed, Vec<Problem>)); 2] {
    ["notebook", "tests/published/classics"].map(|root| (Path::new(root), costrel::compile(Path::new(root))))
}

fn json(answer: &impl serde::Serialize) -> Value {
    serde_json::to_value(answer).expect("an answer")
}

/// Every answer about a recipe, and what is said of its own file.
fn answers(computed: &Computed, problems: &[Problem], recipe: usize) -> Vec<Value> {
    let note = &computed.graph.notes.recipes[recipe];
    let size = match note.makes {
        Makes::Prep => Size::Makes(Exact::whole(1500)),
        _ => Size::Serves(Exact::whole(37)),
    };
    let scaled = batch(computed, recipe, &Request { size, ready: true, ..Request::default() });
    let target = Target { figure: Figure::Strength, wanted: 12.0 };
    let dialled = dial(computed, recipe, &dial::Request { targets: vec![target], ..dial::Request::default() });
    let sources = &computed.graph.notes.sources;
    let said: Vec<&Problem> = problems.iter().filter(|p| p.at.span.file == note.file).collect();
    let said: Vec<Problem> = said.into_iter().cloned().collect();
    vec![
        json(&taste(computed, recipe)),
        scaled.map_or_else(|r| Value::from(r.message), |(answer, _)| json(&answer)),
        dialled.map_or_else(|r| Value::from(r.message), |answer| json(&answer)),
        costrel::problem::json::problems(&said, sources),
    ]
}

#[test]
fn one_recipe_is_answered_as_the_whole_notebook_answers() {
    for (root, (whole, problems)) in notebooks() {
        whole.graph.notes.recipes.par_iter().enumerate().for_each(|(recipe, note)| {
            let name = &note.name.value;
            let (one, told, found) = costrel::compile_one(root, name);
            assert_eq!(found, Some(recipe), "{name}");
            assert_eq!(answers(&one, &told, recipe), answers(&whole, &problems, recipe), "{name}");
        });
    }
}

#[test]
fn guests_are_answered_as_the_whole_notebook_answers() {
    let (whole, _) = costrel::compile(Path::new("notebook"));
    let guests = for_guests(&whole).expect("the demo has readings");
    let survey = Survey::for_guests(&whole);
    for recipe in (0..whole.made.len()).filter(|r| whole.graph.notes.recipes[*r].publish) {
        let name = &whole.graph.notes.recipes[recipe].name.value;
        let (one, ..) = costrel::compile_one(Path::new("notebook"), name);
        let told = Survey::of_one_for_guests(&one, recipe);
        let one = for_guests_on_demand(&one).expect("the demo has readings");
        let same = (taste_beside(&one, recipe, &told), taste_beside(&guests, recipe, &survey));
        assert_eq!(json(&same.0), json(&same.1), "{name}");
    }
}

#[test]
fn only_what_is_used_is_run() {
    let (whole, _) = costrel::compile(Path::new("notebook"));
    for (recipe, note) in whole.graph.notes.recipes.iter().enumerate() {
        let (one, ..) = costrel::compile_one(Path::new("notebook"), &note.name.value);
        let made: Vec<usize> = (0..one.made.len()).filter(|r| one.made.is_made(*r)).collect();
        let mut allowed = one.graph.closure(recipe);
        // Words may tell a figure of another recipe.
        let text = one.graph.notes.sources.text(note.body);
        if text.contains("recipe(") {
            allowed.extend(0..one.made.len());
        }
        assert!(made.iter().all(|r| allowed.contains(r)), "{}", note.name.value);
    }
}

#[test]
fn what_nobody_used_is_run_when_it_is_asked_for() {
    let (one, _, found) = costrel::compile_one(Path::new("notebook"), "White Swan");
    let recipe = found.expect("a recipe of the demo");
    let other = (0..one.made.len()).find(|r| !one.made.is_made(*r)).expect("the sour does not use everything");
    let (whole, _) = costrel::compile(Path::new("notebook"));
    assert_eq!(json(&taste(&one, other)), json(&taste(&whole, other)));
    assert!(one.made.is_made(recipe) && one.made.is_made(other));
    assert!(one.made.get(one.made.len()).is_none());
}

//! Facts of today: `pear juice: brix=10.5, acid=0.7`, a reading that replaces what is stated of an ingredient or computed of a
//! house-made part.

use super::{Refusal, pours};
use crate::ask::batch::document::TakenAs;
use crate::mixture::Mixture;
use crate::mixture::sheet::Content;
use crate::notebook::fact::{Basis, Fact, Kind, fact};
use crate::notebook::pantry::Form;
use crate::notebook::reading::Reading;
use crate::notebook::yaml::Text;
use crate::problem::terminal::clean;
use crate::recipe::names::Target;
use crate::recipe::run::{Computed, read_today};
use crate::source::{FileId, Span};

/// What can be read of a bottle or a jug today.
const KEYS: &[(&str, Kind)] = &[
    ("brix", Kind::Brix),
    ("sugar", Kind::Content),
    ("acid", Kind::Content),
    ("abv", Kind::Strength),
    ("density", Kind::Density),
];

const EXAMPLE: &str = "write for example `pear juice: brix=10.5, acid=0.7`";

/// Text from outside any file, for the readers of notebook values.
#[must_use]
pub fn text(value: &str) -> Text {
    let value = value.trim().to_owned();
    Text { span: Span::new(FileId(0), 0, value.len()), value, exact: false, quoted: false }
}

/// What goes into a recipe or into what it is made of, as its lines name it.
fn used(computed: &Computed, recipe: usize) -> Vec<(String, Target)> {
    let graph = &computed.graph;
    let lines = graph.closure(recipe).into_iter().flat_map(|r| {
        let node = &graph.nodes[r];
        let steps = node.process.iter().flat_map(|s| s.pours.values().flatten());
        node.mix.iter().flatten().chain(node.finish.iter().flatten()).chain(steps)
    });
    lines.map(|p| (pours::as_written(graph, &p.line.name.value, p.target), p.target)).collect()
}

/// Facts of today for a recipe: as [`facts`], but a name that only one thing of the recipe can mean is taken for that, unless it
/// is in `offered`. The third is that name.
///
/// # Errors
/// As [`facts`].
pub fn facts_for(
    computed: &Computed,
    recipe: usize,
    line: &str,
    offered: &[Target],
) -> Result<(Target, Mixture, Option<TakenAs>), Refusal> {
    let (name, rest) = split(line)?;
    let used = used(computed, recipe);
    let named = computed.graph.names.find(name, false).map(|f| f.target);
    let own = named.is_some_and(|t| offered.contains(&t) || used.iter().any(|(_, u)| *u == t));
    let meant = pours::meant(&computed.graph, name, used.iter().map(|(n, t)| (n.as_str(), *t))).filter(|_| !own);
    match meant {
        None => facts(computed, line).map(|(target, mixture)| (target, mixture, None)),
        Some((meant, _)) => {
            let (target, mixture) = facts(computed, &format!("{meant}:{rest}"))?;
            Ok((target, mixture, Some(TakenAs { asked: name.to_owned(), name: meant })))
        }
    }
}

/// A name, and what was read of it.
fn split(line: &str) -> Result<(&str, &str), Refusal> {
    // A name may hold a colon itself, so the one that counts is the last before the first reading.
    let readings = line.find('=').unwrap_or(line.len());
    let colon = line[..readings].rfind(':');
    let parts = colon.map(|at| (line[..at].trim(), &line[at + 1..]));
    parts.ok_or_else(|| Refusal::new(format!("`{}` does not say what was read of what", clean(line)), EXAMPLE))
}

/// Reads facts of today: what they are of, and one ml (of a solid, one g) of it with them; any amount of what a recipe makes.
///
/// # Errors
/// A [`Refusal`] for an unknown name or key, a number that cannot be, or facts that contradict each other.
pub fn facts(computed: &Computed, line: &str) -> Result<(Target, Mixture), Refusal> {
    let (name, rest) = split(line)?;
    let target = pours::named(&computed.graph, name)?;
    let mut read: Vec<(&'static str, Fact)> = Vec::new();
    for part in rest.split(',').map(str::trim).filter(|p| !p.is_empty()) {
        let one = one(part)?;
        if read.iter().any(|(key, _)| *key == one.0) {
            return Err(Refusal::new(format!("`{}` is read twice", one.0), "keep the later reading"));
        }
        read.push(one);
    }
    if read.is_empty() {
        return Err(Refusal::new(format!("nothing was read of `{}`", clean(name.trim())), EXAMPLE));
    }
    let has = |key: &str| read.iter().any(|(k, _)| *k == key);
    if has("brix") && has("sugar") {
        return Err(Refusal::new("`brix` and `sugar` both say how sweet it is", "keep the one that was measured"));
    }
    let mixture = match target {
        Target::Ingredient(i) => ingredient(computed, i, &read)?,
        Target::Recipe(i) => made(computed, i, &read)?,
    };
    Ok((target, mixture))
}

fn one(part: &str) -> Result<(&'static str, Fact), Refusal> {
    let (key, value) =
        part.split_once('=').ok_or_else(|| Refusal::new(format!("`{}` is not a reading", clean(part)), EXAMPLE))?;
    let key = key.trim().to_lowercase();
    let Some((key, kind)) = KEYS.iter().find(|(k, _)| *k == key) else {
        let known = KEYS.iter().map(|(k, _)| *k).collect::<Vec<_>>().join(", ");
        return Err(Refusal::new(
            format!("`{}` cannot be read of an ingredient", clean(&key)),
            format!("it can be: {known}"),
        ));
    };
    let mut problems = Vec::new();
    match (fact(&text(value), key, *kind, &mut problems), problems.into_iter().next()) {
        (Some(fact), None) => Ok((key, fact)),
        (_, problem) => {
            let message =
                problem.as_ref().map_or_else(|| format!("`{}` cannot be read", clean(value)), |p| p.message.clone());
            Err(Refusal::new(message, problem.and_then(|p| p.help).unwrap_or_else(|| EXAMPLE.into())))
        }
    }
}

fn ingredient(computed: &Computed, index: usize, read: &[(&'static str, Fact)]) -> Result<Mixture, Refusal> {
    let ingredient = &computed.graph.pantry.ingredients[index];
    let name = clean(ingredient.name());
    let mut sheet = ingredient.sheet.clone();
    if ingredient.form == Form::Liquid && !read.iter().any(|(key, _)| *key == "density") {
        // The stated density went with the stated contents.
        sheet.density = None;
    }
    for (key, fact) in read {
        let content = Some(Content { value: fact.value, per_mass: !sheet.solid && fact.basis == Basis::Mass });
        match *key {
            "abv" => sheet.abv = Some(fact.value),
            "acid" => sheet.acid = content,
            "density" => sheet.density = Some(fact.value),
            _ => sheet.sugar = content,
        }
    }
    if sheet.solid && sheet.abv.is_some() {
        return Err(Refusal::new(format!("{name} is a solid, and a strength by volume is a liquid's"), EXAMPLE));
    }
    let unit = if sheet.solid { sheet.per_gram() } else { sheet.per_ml() };
    unit.map_err(|c| {
        Refusal::new(format!("the readings of {name} cannot all be true: {}", c.0), "read again, and check the units")
    })
}

fn made(computed: &Computed, index: usize, read: &[(&'static str, Fact)]) -> Result<Mixture, Refusal> {
    let name = clean(computed.graph.name(Target::Recipe(index)));
    let batch = &computed.made[index].batch().mixture;
    let mut reading = Reading {
        span: Span::new(FileId(0), 0, 0),
        date: None,
        after: None,
        ph: None,
        brix: None,
        gravity: None,
        abv: None,
        sugar: None,
        acid: None,
        volume: None,
        weight: None,
        temperature: None,
    };
    for (key, fact) in read {
        let mut fact = fact.clone();
        if *key != "brix" && fact.basis == Basis::Mass {
            // What is per 100 g becomes per 100 ml by the batch's own density.
            let density = batch.figure_density().map_err(|b| {
                Refusal::new(format!("the density of {name} is not known, because {}", b.text()), "read it per 100 ml")
            })?;
            fact.value *= density;
        }
        match *key {
            "brix" => reading.brix = Some(fact),
            "sugar" => reading.sugar = Some(fact),
            "acid" => reading.acid = Some(fact),
            "abv" => reading.abv = Some(fact),
            _ => {
                let message = format!("{name} is made here, so its density is computed");
                return Err(Refusal::new(message, "read its brix, sugar, acid or abv"));
            }
        }
    }
    read_today(batch, &reading)
        .map_err(|p| Refusal::new(p.message.clone(), p.help.clone().unwrap_or_else(|| EXAMPLE.into())))
}

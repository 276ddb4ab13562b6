//! `costrel taste RECIPE`: the numbers at every stage, the balance, what it holds, and why anything is missing.

use anstream::{eprintln, println};
use anstyle::Style;
use clap::Args;
use serde_json::{Value, json};

use super::table::{table, text};
use super::{Edition, Opened, Setting, Status, as_asked, open_one};
use crate::ask::balance::Axis;
use crate::ask::safety::{DEFERRAL, Kind, Listed, Severity, Show, Survey};
use crate::ask::taste::{StageFigures, Taste, taste, taste_beside};
use crate::measure::show;
use crate::problem::terminal::clean;
use crate::problem::{Problem, code, json as as_json};
use crate::recipe::names;

/// Arguments of `taste`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A recipe's name, its address or its file
    recipe: String,
}

pub(super) fn run(arguments: &Arguments, setting: &Setting) -> Status {
    let (mut opened, recipe) = match open_one(setting, &arguments.recipe) {
        Ok(opened) => opened,
        Err(status) => return status,
    };
    // What a reading shows to be dangerous is dangerous for every reader.
    let public = setting.edition == Some(Edition::Public);
    let told = public.then(|| Survey::of_one_for_guests(&opened.computed, recipe));
    if let Err(refusal) = as_asked(&mut opened, recipe, setting) {
        eprintln!("costrel: {}\n  {}", refusal.message, refusal.help);
        return Status::Usage;
    }
    let mut problems = concerning(&opened, recipe);
    // Doubts are the writer's, and name what is in every part.
    problems.retain(|p| !public || p.is_error());
    let answer = match told {
        Some(survey) => taste_beside(&opened.computed, recipe, &survey),
        None => taste(&opened.computed, recipe),
    };
    if setting.json {
        let mut document = serde_json::to_value(&answer).unwrap_or(Value::Null);
        if let Some(map) = document.as_object_mut() {
            let list: Vec<Problem> = problems.iter().map(|p| (*p).clone()).collect();
            map.insert("problems".into(), as_json::problems(&list, &opened.computed.graph.notes.sources));
        }
        super::output::document(&document);
    } else {
        print(&answer, &opened);
        opened.print(problems.iter().copied());
    }
    if problems.iter().any(|p| p.is_error()) { Status::Errors } else { Status::Fine }
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
pub(super) fn unknown(opened: &Opened, wanted: &str, setting: &Setting) -> Status {
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
            list.push(json!({
                "code": code::NO_SUCH_RECIPE.name(), "severity": "error", "message": message,
                "file": null, "line": null, "column": null, "help": help,
            }));
        }
        super::output::document(&json!({ "recipe": null, "problems": problems }));
    } else if broken.is_empty() {
        eprintln!("costrel: {message}\n  {help}");
    } else {
        opened.print(broken);
    }
    Status::Errors
}

fn cell(value: Option<f64>, decimals: usize, width: Option<&f64>) -> String {
    match value {
        None => "unknown".into(),
        Some(v) => {
            let spread =
                width.and_then(|w| show::plus_minus(*w, decimals)).map_or(String::new(), |w| format!(" ± {w}"));
            format!("{}{spread}", show::fixed(v, decimals))
        }
    }
}

fn volume(value: Option<f64>) -> String {
    value.map_or("unknown".into(), |v| show::trim(&show::fixed(v, 1)))
}

fn stage_row(stage: &StageFigures) -> Vec<String> {
    let spread = |key: &str| stage.plus_minus.get(key);
    vec![
        stage.stage.clone(),
        volume(stage.volume_ml),
        cell(stage.abv_pct, 1, spread("abv_pct")),
        cell(stage.sugar_g_per_100ml, 1, spread("sugar_g_per_100ml")),
        cell(stage.acid_g_per_100ml, 2, spread("acid_g_per_100ml")),
        cell(stage.brix, 1, spread("brix")),
        volume(stage.temperature_c),
        stage.freezing_point_c.map_or("unknown".into(), |v| show::fixed(v, 1)),
        stage.dilution_pct.map_or(String::new(), |v| show::fixed(v, 0)),
    ]
}

fn print(taste: &Taste, opened: &Opened) {
    let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
    let family = taste.family.as_ref().map_or(String::new(), |f| format!(", {}", clean(f)));
    println!("{bold}{}{bold:#}  {dim}{}{family}{dim:#}\n", clean(&taste.name), taste.makes);
    let mut ladder = table(
        &["stage", "ml", "% vol", "sugar g/100 ml", "acid g/100 ml", "°Bx", "°C", "freezes °C", "water added %"],
        &[],
    );
    for stage in &taste.stages {
        ladder.add_row(stage_row(stage));
    }
    println!("{}", text(&ladder));
    if taste.stages.iter().any(|s| s.dilution_pct.is_some()) {
        println!("  {dim}water added is a share of the volume before{dim:#}");
    }
    for stage in &taste.stages {
        extras(stage);
    }
    if let Some(serve) = &taste.serve {
        println!();
        let glass = serve.volume_ml.map_or("unknown".into(), |v| format!("{} ml", show::amount(v)));
        let count = serve.count.map_or("an unknown number of".into(), |c| c.to_string());
        let left =
            serve.left_ml.filter(|l| *l >= 0.05).map_or(String::new(), |l| format!(", {} ml left", show::amount(l)));
        println!("  {bold}serve{bold:#}     {count} × {glass}{left}");
        let regime = &opened.computed.graph.notes.house.drinks_regime;
        let drinks = serve.standard_drinks.get(regime.as_str()).copied().flatten();
        println!(
            "  {bold}a serve{bold:#}   ethanol {}, {} standard drinks ({regime}), sugar {}, energy {}",
            serve.ethanol_g.map_or("unknown".into(), |v| format!("{} g", show::fixed(v, 1))),
            drinks.map_or("unknown".into(), |v| show::fixed(v, 1)),
            serve.sugar_g.map_or("unknown".into(), |v| format!("{} g", show::fixed(v, 1))),
            match (serve.energy_kj, serve.energy_kcal) {
                (Some(kj), Some(kcal)) => format!("{} kJ / {} kcal", show::fixed(kj, 0), show::fixed(kcal, 0)),
                _ => "unknown".into(),
            }
        );
    }
    if let Some(balance) = &taste.balance {
        let axis = |name: &str, axis: &Option<Axis>, decimals: usize, unit: &str| {
            axis.as_ref().map(|a| {
                let value = a.value.map_or("unknown".into(), |v| show::fixed(v, decimals));
                let verdict = a.verdict.map_or("unknown", super::super::ask::balance::Verdict::word);
                format!(
                    "{name} {value} {unit} {verdict} {}–{}",
                    show::trim(&show::fixed(a.low, 2)),
                    show::trim(&show::fixed(a.high, 2))
                )
            })
        };
        let parts: Vec<String> = [
            axis("strength", &balance.abv, 1, "% vol"),
            axis("sugar", &balance.sugar, 1, "g/100 ml"),
            axis("acid", &balance.acid, 2, "g/100 ml"),
        ]
        .into_iter()
        .flatten()
        .collect();
        println!("  {bold}balance{bold:#}   {} ({}): {}", clean(&balance.family), balance.source, parts.join("; "));
    }
    let list = |list: &[String]| list.iter().map(|s| clean(s)).collect::<Vec<_>>().join(", ");
    let contains = if taste.allergens.is_empty() {
        if taste.allergens_unknown.is_empty() {
            "none of the listed allergens is stated".into()
        } else {
            "unknown".into()
        }
    } else {
        list(&taste.allergens)
    };
    println!("  {bold}contains{bold:#}  {contains}");
    if !taste.may_contain.is_empty() {
        println!("  {bold}traces{bold:#}    {}", list(&taste.may_contain));
    }
    if !taste.allergens_unknown.is_empty() {
        println!("            nobody stated the allergens of {}", list(&taste.allergens_unknown));
    }
    let said = |known: Option<bool>| match known {
        Some(true) => "yes",
        Some(false) => "no",
        None => "unknown",
    };
    println!("  {bold}vegan{bold:#}     {}; vegetarian: {}", said(taste.vegan), said(taste.vegetarian));
    if let Some(keeps) = &taste.keeps {
        let at = keeps.at_c.map_or(String::new(), |c| format!(" at {}", show::temperature(c)));
        println!("  {bold}keeps{bold:#}     {}{at}; {}", show::hours(keeps.hours), clean(&keeps.because));
    }
    for statement in &taste.statements {
        println!("  {bold}to say{bold:#}    {} ({})", clean(&statement.says), clean(statement.source));
    }
    hazards(taste);
    if !taste.assumptions.is_empty() {
        println!("\n  {bold}assumed{bold:#}");
        for line in &taste.assumptions {
            println!("  - {}", clean(line));
        }
    }
    missing(taste);
    println!();
}

/// What can hurt someone, the worst first; what every bar knows of every drink is counted.
fn hazards(taste: &Taste) {
    let bold = Style::new().bold();
    let general = |h: &&Listed| h.shown == Show::SiteFooter && h.kind == Kind::Standing;
    let (house, own): (Vec<&Listed>, Vec<&Listed>) =
        taste.hazards.iter().filter(|h| h.severity != Severity::Note || h.kind == Kind::Fault).partition(general);
    if !own.is_empty() {
        println!("\n  {bold}hazards{bold:#}");
    }
    for hazard in own {
        let from = if hazard.recipe == taste.recipe { String::new() } else { format!(", from {}", hazard.recipe) };
        println!(
            "  {bold}{}{bold:#} {} [{}, {}{from}]",
            hazard.severity.word(),
            clean(&hazard.what),
            hazard.id,
            hazard.kind.word()
        );
        println!("          {}", clean(&hazard.precaution));
        if let Some(said) = &hazard.house_says {
            println!("          the house: {}", clean(said));
        }
        if let Some(because) = &hazard.acknowledged {
            println!("          acknowledged because {}", clean(because));
        }
    }
    if !house.is_empty() {
        let ids: Vec<&str> = house.iter().map(|h| h.id.as_str()).collect();
        println!("  and, as with every drink of its kind: {}", ids.join(", "));
    }
    println!("  {}", DEFERRAL);
}

fn extras(stage: &StageFigures) {
    let dim = Style::new().dimmed();
    let mut words = Vec::new();
    if let Some(v) = stage.co2_volumes {
        words.push(format!("{} volumes of CO₂", show::fixed(v, 2)));
    }
    if let Some(v) = stage.gauge_bar {
        words.push(format!("{} bar", show::fixed(v, 2)));
    }
    if let Some(v) = stage.ice_pct {
        words.push(format!("{} % ice", show::fixed(v, 0)));
    }
    for (figure, value) in &stage.estimated {
        words.push(format!("{figure} was estimated at {}, a reading replaced it", show::amount(*value)));
    }
    for removed in &stage.removed {
        words.push(format!("{} g of {} left", show::amount(removed.mass_g), removed.what));
    }
    words.extend(stage.remarks.iter().map(|r| clean(r)));
    for line in words {
        println!("  {dim}{}: {line}{dim:#}", stage.stage);
    }
}

/// Why figures are missing, each reason once with the figures that it takes away.
fn missing(taste: &Taste) {
    let bold = Style::new().bold();
    let mut by_reason: Vec<(&str, Vec<&str>)> = Vec::new();
    for unknown in &taste.unknown {
        let figures = match by_reason.iter_mut().find(|(b, _)| *b == unknown.because) {
            Some((_, figures)) => figures,
            None => {
                by_reason.push((&unknown.because, Vec::new()));
                &mut by_reason.last_mut().expect("just pushed").1
            }
        };
        if !figures.contains(&unknown.figure.as_str()) {
            figures.push(&unknown.figure);
        }
    }
    if by_reason.is_empty() {
        return;
    }
    println!("\n  {bold}unknown{bold:#}");
    for (because, figures) in by_reason {
        println!("  - {}: {}", figures.join(", "), clean(because));
    }
}

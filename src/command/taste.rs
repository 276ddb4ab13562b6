//! `costrel taste RECIPE`: the numbers at every stage, the balance, what it holds, and why anything is missing.

use anstream::println;
use anstyle::Style;
use clap::Args;
use serde_json::Value;

use super::screen::{Rows, Screen};
use super::words::{Words, recipe_of};
use super::{Edition, Opened, Setting, Status, as_asked, concerning, open_one, refused};
use crate::ask::balance::{Axis, Balance, Verdict};
use crate::ask::dial::Refusal;
use crate::ask::figure::{said, words_by_reason};
use crate::ask::safety::{DEFERRAL, Kind, Listed, Severity, Show, Survey};
use crate::ask::taste::{Serve, StageFigures, Taste, taste, taste_beside};
use crate::measure::show;
use crate::problem::terminal::clean;
use crate::problem::{Problem, json as as_json};

/// Arguments of `taste`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A recipe's name, its address or its file
    #[arg(num_args = 0..)]
    recipe: Vec<String>,
}

pub(super) fn run(arguments: &Arguments, setting: &Setting) -> Status {
    let Some(wanted) = recipe_of(Words::new(&arguments.recipe)) else {
        let refusal = Refusal::new("no recipe is named", "write for example `costrel taste \"Lock-keeper's Lantern\"`");
        return refused(setting, None, &refusal.about("RECIPE"));
    };
    let (mut opened, recipe) = match open_one(setting, &wanted) {
        Ok(opened) => opened,
        Err(status) => return status,
    };
    // What a reading shows to be dangerous is dangerous for every reader.
    let public = setting.edition == Some(Edition::Public);
    let told = public.then(|| Survey::of_one_for_guests(&opened.computed, recipe));
    if let Err(refusal) = as_asked(&mut opened, recipe, setting) {
        let slug = opened.computed.graph.nodes[recipe].slug.clone();
        return refused(setting, Some(&slug), &refusal);
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
        Page { screen: Screen::of_output(), taste: &answer }.print(&opened);
        opened.print(problems.iter().copied());
    }
    if problems.iter().any(|p| p.is_error()) { Status::Errors } else { Status::Fine }
}

fn cell(value: Option<f64>, decimals: usize, width: Option<&f64>) -> String {
    match value {
        None => "unknown".into(),
        Some(v) => {
            let spread =
                width.and_then(|w| show::plus_minus(*w, decimals)).map_or(String::new(), |w| format!(" ± {w}"));
            format!("{}{spread}", show::minus(&show::fixed(v, decimals)))
        }
    }
}

/// A volume or a temperature: one decimal, none where it is whole.
fn plain(value: Option<f64>) -> String {
    value.map_or("unknown".into(), |v| show::minus(&show::trim(&show::fixed(v, 1))))
}

fn stage_row(stage: &StageFigures) -> Vec<String> {
    let spread = |key: &str| stage.plus_minus.get(key);
    vec![
        stage.stage.clone(),
        plain(stage.volume_ml),
        cell(stage.abv_pct, 1, spread("abv_pct")),
        cell(stage.sugar_g_per_100ml, 1, spread("sugar_g_per_100ml")),
        cell(stage.acid_g_per_100ml, 2, spread("acid_g_per_100ml")),
        cell(stage.brix, 1, spread("brix")),
        plain(stage.temperature_c),
        cell(stage.freezing_point_c, 1, None),
        stage.dilution_pct.map_or(String::new(), |v| show::fixed(v, 0)),
    ]
}

/// Headings of the stages; the units of a column stand below its word.
const LADDER: [&str; 9] =
    ["stage", "ml", "% vol", "sugar\ng/100 ml", "acid\ng/100 ml", "°Bx", "°C", "freezes\nat °C", "water\nadded %"];

/// Where a fact begins behind its label.
const LABELLED: usize = 12;

/// One recipe's figures on a terminal.
struct Page<'a> {
    screen: Screen,
    taste: &'a Taste,
}

fn list(list: &[String]) -> String {
    list.iter().map(|s| clean(s)).collect::<Vec<_>>().join(", ")
}

impl Page<'_> {
    fn print(&self, opened: &Opened) {
        let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
        let taste = self.taste;
        let family = taste.family.as_ref().map_or(String::new(), |f| format!(", {}", clean(f)));
        self.screen.line(0, 4, &format!("{bold}{}{bold:#}  {dim}{}{family}{dim:#}", clean(&taste.name), taste.makes));
        println!();
        let mut ladder = Rows::new(&LADDER, &[]);
        for stage in &taste.stages {
            ladder.push(stage_row(stage));
        }
        self.screen.table(&ladder);
        if taste.stages.iter().any(|s| s.dilution_pct.is_some()) {
            self.screen.line(2, 2, &format!("{dim}water added is a share of the volume before{dim:#}"));
        }
        for stage in &taste.stages {
            self.extras(stage);
        }
        if let Some(serve) = &taste.serve {
            println!();
            self.serve(serve, &opened.computed.graph.notes.house.drinks_regime);
        }
        if let Some(balance) = &taste.balance {
            self.fact("balance", &weighed(balance));
        }
        self.holds();
        self.hazards();
        if !taste.assumptions.is_empty() {
            println!();
            self.screen.line(2, 2, &format!("{bold}assumed{bold:#}"));
            for line in &taste.assumptions {
                self.screen.line(2, 2, &format!("- {}", clean(line)));
            }
        }
        let missing = words_by_reason(&taste.unknown);
        if !missing.is_empty() {
            println!();
            self.screen.line(2, 2, &format!("{bold}unknown{bold:#}"));
            for (figures, because) in missing {
                self.screen.line(2, 2, &format!("- {figures}: {}", clean(because)));
            }
        }
        println!();
    }

    /// A fact behind its label.
    fn fact(&self, label: &str, text: &str) {
        let bold = Style::new().bold();
        let gap = " ".repeat(LABELLED.saturating_sub(2 + label.chars().count()));
        self.screen.line(2, LABELLED - 2, &format!("{bold}{label}{bold:#}{gap}{text}"));
    }

    fn serve(&self, serve: &Serve, regime: &str) {
        let glass = serve.volume_ml.map_or("unknown".into(), |v| format!("{} ml", show::amount(v)));
        let count = serve.count.map_or("an unknown number of".into(), |c| c.to_string());
        let left =
            serve.left_ml.filter(|l| *l >= 0.05).map_or(String::new(), |l| format!(", {} ml left", show::amount(l)));
        self.fact("serve", &format!("{count} × {glass}{left}"));
        let drinks = serve.standard_drinks.get(regime).copied().flatten();
        let grams = |value: Option<f64>| value.map_or("unknown".into(), |v| format!("{} g", show::fixed(v, 1)));
        let energy = match (serve.energy_kj, serve.energy_kcal) {
            (Some(kj), Some(kcal)) => format!("{} kJ / {} kcal", show::fixed(kj, 0), show::fixed(kcal, 0)),
            _ => "unknown".into(),
        };
        let text = format!(
            "ethanol {}, {} standard drinks ({regime}), sugar {}, energy {energy}",
            grams(serve.ethanol_g),
            drinks.map_or("unknown".into(), |v| show::fixed(v, 1)),
            grams(serve.sugar_g),
        );
        self.fact("a serve", &text);
    }

    fn holds(&self) {
        let taste = self.taste;
        let contains = match (taste.allergens.is_empty(), taste.allergens_unknown.is_empty()) {
            (false, _) => list(&taste.allergens),
            (true, true) => "none of the listed allergens is stated".into(),
            (true, false) => "unknown".into(),
        };
        self.fact("contains", &contains);
        if !taste.may_contain.is_empty() {
            self.fact("traces", &list(&taste.may_contain));
        }
        if !taste.allergens_unknown.is_empty() {
            self.fact("", &format!("nobody stated the allergens of {}", list(&taste.allergens_unknown)));
        }
        let said = |known: Option<bool>| match known {
            Some(true) => "yes",
            Some(false) => "no",
            None => "unknown",
        };
        self.fact("vegan", &format!("{}; vegetarian: {}", said(taste.vegan), said(taste.vegetarian)));
        if let Some(keeps) = &taste.keeps {
            let at = keeps.at_c.map_or(String::new(), |c| format!(" at {}", show::temperature(c)));
            self.fact("keeps", &format!("{}{at}; {}", show::hours(keeps.hours), clean(&keeps.because)));
        }
        for statement in &taste.statements {
            self.fact("to say", &format!("{} ({})", clean(&statement.says), clean(statement.source)));
        }
    }

    /// What can hurt someone, the worst first; what every bar knows of every drink is counted.
    fn hazards(&self) {
        let bold = Style::new().bold();
        let taste = self.taste;
        let general = |h: &&Listed| h.shown == Show::SiteFooter && h.kind == Kind::Standing;
        let (house, own): (Vec<&Listed>, Vec<&Listed>) =
            taste.hazards.iter().filter(|h| h.severity != Severity::Note || h.kind == Kind::Fault).partition(general);
        if !own.is_empty() {
            println!();
            self.screen.line(2, 2, &format!("{bold}hazards{bold:#}"));
        }
        for hazard in own {
            let from = if hazard.recipe == taste.recipe { String::new() } else { format!(", from {}", hazard.recipe) };
            let head = format!(
                "{bold}{}{bold:#} {} [{}, {}{from}]",
                hazard.severity.word(),
                clean(&hazard.what),
                hazard.id,
                hazard.kind.word()
            );
            self.screen.line(2, 8, &head);
            self.screen.line(10, 0, &clean(&hazard.precaution));
            if let Some(said) = &hazard.house_says {
                self.screen.line(10, 2, &format!("the house: {}", clean(said)));
            }
            if let Some(because) = &hazard.acknowledged {
                self.screen.line(10, 2, &format!("acknowledged because {}", clean(because)));
            }
        }
        if !house.is_empty() {
            let ids: Vec<&str> = house.iter().map(|h| h.id.as_str()).collect();
            self.screen.line(2, 2, &format!("and, as with every drink of its kind: {}", ids.join(", ")));
        }
        self.screen.line(2, 2, DEFERRAL);
    }

    fn extras(&self, stage: &StageFigures) {
        let dim = Style::new().dimmed();
        let mut words = Vec::new();
        if let Some(v) = stage.co2_volumes {
            words.push(format!("{} volumes of CO₂", show::fixed(v, 2)));
        }
        if let Some(v) = stage.gauge_bar {
            words.push(format!("{} bar", show::minus(&show::fixed(v, 2))));
        }
        if let Some(v) = stage.ice_pct {
            words.push(format!("{} % ice", show::fixed(v, 0)));
        }
        if !stage.estimated.is_empty() {
            let before: Vec<String> = stage.estimated.iter().map(|(figure, value)| said(figure, *value)).collect();
            words.push(format!("estimated before a reading replaced it: {}", before.join(", ")));
        }
        for removed in &stage.removed {
            words.push(format!("{} g of {} left", show::amount(removed.mass_g), removed.what));
        }
        words.extend(stage.remarks.iter().map(|r| clean(r)));
        for line in words {
            self.screen.line(2, 4, &format!("{dim}{}: {line}{dim:#}", stage.stage));
        }
    }
}

/// Balance against its window: where each figure stands to its range.
fn weighed(balance: &Balance) -> String {
    let axis = |name: &str, axis: &Option<Axis>, decimals: usize, unit: &str| {
        axis.as_ref().map(|a| {
            let range = format!("{}–{}", show::trim(&show::fixed(a.low, 2)), show::trim(&show::fixed(a.high, 2)));
            match (a.value, a.verdict) {
                (Some(value), Some(verdict)) => {
                    let stands = match verdict {
                        Verdict::Low => "below",
                        Verdict::In => "in",
                        Verdict::High => "above",
                    };
                    format!("{name} {} {unit} {stands} {range}", show::fixed(value, decimals))
                }
                _ => format!("{name} unknown, usual is {range} {unit}"),
            }
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
    format!("{} ({}): {}", clean(&balance.family), balance.source, parts.join("; "))
}

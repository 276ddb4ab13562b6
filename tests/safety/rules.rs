//! Every rule of the table, by `cases.yaml`: all recipes of one house stand in one notebook, so that it is compiled once.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use costrel::ask::safety::{Survey, rules, tags};
use serde::Deserialize;
use serde_json::{Value, json};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    rule: String,
    #[serde(default)]
    hit: Option<Value>,
    #[serde(default)]
    miss: Option<Value>,
    #[serde(default)]
    tags: Vec<String>,
    #[serde(default)]
    near: Option<String>,
    #[serde(default)]
    house: Option<Value>,
}

/// What the cases pour besides one liquid and one solid of each tag.
const PANTRY: &str = "\
- {name: base, abv: 0, sugar: 0, acid: 0, allergens: [], vegan: true}
- {name: sour, abv: 0, sugar: 5, acid: 2, allergens: [], vegan: true}
- {name: must, abv: 0, sugar: 10, acid: 0.4, allergens: [], vegan: true}
- {name: spirit, abv: 40, sugar: 0, acid: 0, tags: [alcohol], allergens: [], vegan: true}
- {name: strong, abv: 70, sugar: 0, acid: 0, tags: [alcohol], allergens: [], vegan: true}
- {name: wine, abv: 12, sugar: 0, acid: 0.6, tags: [alcohol], allergens: [], vegan: true}
- {name: fizz, abv: 0, sugar: 0, acid: 0, allergens: [], vegan: true}
- {name: liquor of unknown strength, sugar: 0, acid: 0, tags: [alcohol], allergens: [], vegan: true}
- {name: base of unknown strength, sugar: 0, acid: 0, allergens: [], vegan: true}
- {name: unstated, abv: 0, sugar: 0, acid: 0, vegan: true}
- {name: sulphited, abv: 0, sugar: 0, acid: 0, sulphites: 201 mg/l, allergens: [sulphite], vegan: true}
- {name: stimulant, abv: 0, sugar: 0, acid: 0, caffeine: 2000 mg/l, tags: [caffeine], allergens: [], vegan: true}
- {name: liquid tea of strength, abv: 0, sugar: 0, acid: 0, caffeine: 200 mg/l, tags: [tea], allergens: [], vegan: true}
- {name: oil of unknown density, abv: 0, tags: [essential-oil], allergens: [], vegan: true}
- {name: plum, piece: 50 g, sugar: 10, acid: 1, yields: {juice: 60 %}, allergens: [], vegan: true}
- {name: solid citric, form: solid, sugar: 0, acid: 100, density: 1.66, allergens: [], vegan: true}
- {name: plum juice, abv: 0, sugar: 10, acid: 1, allergens: [], vegan: true}
";

const PARTS: &[(&str, &str)] = &[
    ("part-of-a-day", "name: part of a day\nmakes: prep\nmix: [1 l base]\nkeeps: [1 d at 4 °C]\n"),
    ("part-that-lives", "name: part that lives\nmakes: prep\nmix: [1 l must]\nprocess: [{ferment: {to: 1.020}}]\n"),
    ("part-with-gum", "name: part with gum\nmakes: prep\nmix: [1 kg base, 4 g solid xanthan]\n"),
    ("part-nobody-knows", "name: part nobody knows\nmakes: prep\nmix: [1 l unstated]\n"),
];

fn pantry() -> String {
    let mut text = PANTRY.to_owned();
    for tag in tags::all().values().filter(|t| t.on == tags::On::Ingredient) {
        let facts = format!("abv: 0, sugar: 0, acid: 0, tags: [{}], allergens: [], vegan: true", tag.tag);
        text.push_str(&format!("- {{name: liquid {}, {facts}}}\n", tag.tag));
        text.push_str(&format!("- {{name: solid {}, form: solid, {}}}\n", tag.tag, facts.replace("abv: 0, ", "")));
    }
    for allergen in ["milk", "peanut", "almond", "celery"] {
        text.push_str(&format!(
            "- {{name: bearing {allergen}, form: solid, sugar: 0, acid: 0, allergens: [{allergen}], vegan: false}}\n"
        ));
    }
    text
}

fn write(root: &Path, path: &str, text: &str) {
    let to = root.join(path);
    fs::create_dir_all(to.parent().expect("a parent")).expect("a folder");
    fs::write(to, text).expect("a file");
}

/// A recipe that is to fire a rule, or not to.
struct Trial {
    rule: String,
    fires: bool,
    front: Value,
}

fn trials(case: &Case) -> Vec<Trial> {
    let trial = |fires: bool, front: Value| Trial { rule: case.rule.clone(), fires, front };
    let bearing = |tag: &String| json!({ "mix": ["100 ml base", format!("5 ml liquid {tag}")] });
    let mut list: Vec<Trial> = case.tags.iter().map(|t| trial(true, bearing(t))).collect();
    list.extend(case.near.iter().map(|t| trial(false, bearing(t))));
    list.extend(case.hit.clone().map(|f| trial(true, f)));
    list.extend(case.miss.clone().map(|f| trial(false, f)));
    list
}

#[test]
fn every_rule_fires_on_its_case_and_misses_the_near_one() {
    let cases: Vec<Case> = serde_saphyr::from_str(include_str!("cases.yaml")).expect("cases");
    let mut houses: BTreeMap<String, Vec<Trial>> = BTreeMap::new();
    for case in &cases {
        let house = case.house.as_ref().map_or(String::new(), ToString::to_string);
        houses.entry(house).or_default().extend(trials(case));
    }
    let (mut hit, mut missed): (BTreeSet<String>, BTreeSet<String>) = Default::default();
    let mut wrong = Vec::new();
    for (house, trials) in &houses {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let root = folder.path();
        let mut settings: Value = if house.is_empty() { json!({}) } else { serde_json::from_str(house).expect("JSON") };
        settings["name"] = json!("Trials");
        write(root, "house.yaml", &settings.to_string());
        write(root, "pantry/p.yaml", &pantry());
        for (slug, text) in PARTS {
            write(root, &format!("recipes/{slug}.md"), &format!("---\n{text}---\n"));
        }
        for (index, trial) in trials.iter().enumerate() {
            let mut front = trial.front.clone();
            front["name"] = json!(format!("trial {index}"));
            if front.get("mix").is_none() {
                front["mix"] = json!(["100 ml base"]);
            }
            write(root, &format!("recipes/trial-{index}.md"), &format!("---\n{front}\n---\n"));
        }
        let (computed, problems) = costrel::compile(root);
        // A trial must be wrong by its hazard alone, or it may fire for another reason.
        const HAZARDOUS: &[&str] =
            &["hazard", "keeps-longer", "keeps-unproved", "overfull-siphon", "siphon-pressure", "sealed-pressure"];
        for problem in problems.iter().filter(|p| p.is_error() && !HAZARDOUS.contains(&p.code.name())) {
            let sources = &computed.graph.notes.sources;
            // The one rule that asks for a missing parameter.
            if !problem.message.contains("siphon-headspace") {
                wrong.push(format!("{}: {}", sources.get(problem.at.span.file).path, problem.message));
            }
        }
        let survey = Survey::of(&computed);
        for (index, trial) in trials.iter().enumerate() {
            let recipe = computed.graph.recipe(&format!("trial-{index}")).expect("a trial");
            let fired = survey.hazards(recipe).iter().any(|h| h.id() == trial.rule);
            if fired == trial.fires {
                let kept = if fired { &mut hit } else { &mut missed };
                kept.insert(trial.rule.clone());
            } else {
                let verb = if trial.fires { "does not fire" } else { "fires" };
                wrong.push(format!("{} {verb} on {}", trial.rule, trial.front));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // `always` cannot be missed.
    let always = |rule: &str| ["cleaning-chem", "hygiene-handler"].contains(&rule);
    for rule in rules::published() {
        assert!(hit.contains(&rule.id), "no case fires {}", rule.id);
        assert!(missed.contains(&rule.id) || always(&rule.id), "no case misses {}", rule.id);
    }
}

//! What the demo and the published classics show, kept as text that people read: `UPDATE=1 cargo test --test safety` rewrites
//! `reviewed/`; read the difference before you commit it.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use costrel::ask::diet::{Regime, declaration, diet, gluten};
use costrel::ask::safety::bearers::{self, Weight};
use costrel::ask::safety::{Kind, Survey};
use costrel::measure::show;
use costrel::problem::{Count, count};
use costrel::recipe::run::Computed;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

fn review(name: &str, now: &str) {
    let path = root().join("tests/safety/reviewed").join(name);
    let was = fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(&path, now).expect("a writable file");
        return;
    }
    let differs = now.lines().zip(was.lines()).enumerate().find(|(_, (a, b))| a != b);
    let place = differs.map_or_else(String::new, |(n, (a, b))| format!("line {}\n  was: {b}\n  now: {a}", n + 1));
    assert!(now == was, "{name} differs; UPDATE=1 takes it over. {place}");
}

fn by_name(computed: &Computed) -> Vec<usize> {
    let mut list: Vec<usize> = (0..computed.made.len()).collect();
    list.sort_by_key(|r| &computed.graph.nodes[*r].slug);
    list
}

#[test]
fn the_demo_shows_these_hazards_and_no_others() {
    let (computed, problems) = costrel::compile(&root().join("notebook"));
    let Count { errors, .. } = count(&problems);
    assert_eq!(errors, 0);
    let survey = Survey::of(&computed);
    let mut out = String::from(
        "Hazards of the demo, by recipe: what comes from the recipe itself. Faults are marked !, what is answered for ~.\n",
    );
    for recipe in by_name(&computed) {
        let _ = writeln!(out, "\n{}", computed.graph.nodes[recipe].slug);
        for hazard in survey.hazards(recipe).iter().filter(|h| h.from == recipe && h.rule.trigger != "always") {
            let mark = match (hazard.rule.kind, &hazard.acknowledged) {
                (_, Some(_)) => "~",
                (Kind::Fault, None) => "!",
                (Kind::Standing, None) => " ",
            };
            let because = if hazard.because_of.is_empty() || hazard.because_of.len() > 4 {
                String::new()
            } else {
                format!(": {}", hazard.because_of.join(", "))
            };
            let _ = writeln!(out, "  {mark} {:7} {}{because}", hazard.severity.word(), hazard.id());
        }
        let keeping = survey.keeping(recipe);
        for hold in &keeping.holds {
            let at = hold.at_c.map_or(String::new(), |c| format!(" at {}", show::temperature(c)));
            let _ = writeln!(out, "  keeps {}{at}: {}", show::hours(hold.hours), hold.because);
        }
        let points: Vec<&str> = survey.points(recipe).iter().map(|p| p.id.as_str()).collect();
        if !points.is_empty() {
            let _ = writeln!(out, "  critical points: {}", points.join(", "));
        }
    }
    review("demo-hazards.txt", &out);
}

#[test]
fn names_of_the_generic_pantry_point_to_these_tags_beyond_their_own() {
    let (computed, _) = costrel::compile(&root().join("tests/published/classics/notebook"));
    let mut out = String::from(
        "What names of the built-in pantry point to beyond their own tags: each was looked at. A house that writes one of these\nnames anew inherits its tags, and is asked no more than this.\n\n",
    );
    for ingredient in computed.graph.pantry.ingredients.iter().filter(|i| !i.house) {
        let missing = bearers::missing(&ingredient.item);
        assert!(missing.iter().all(|n| n.weight != Weight::Bear), "{}: {missing:?}", ingredient.name());
        let tags: Vec<String> = missing.iter().map(|n| format!("{} ({:?})", n.tag, n.weight)).collect();
        if !tags.is_empty() {
            let _ = writeln!(out, "{}: {}", ingredient.name(), tags.join(", ").to_lowercase());
        }
    }
    review("generic-names.txt", &out);
}

fn diets(computed: &Computed) -> String {
    let mut out = String::new();
    let list = |names: &BTreeSet<String>| names.iter().cloned().collect::<Vec<_>>().join(", ");
    let word = |known: Option<bool>, not: &BTreeSet<String>, unknown: &BTreeSet<String>| match known {
        Some(true) => "yes".to_owned(),
        Some(false) => format!("no: {}", list(not)),
        None => format!("unknown: {}", list(unknown)),
    };
    for recipe in by_name(computed) {
        let diet = diet(computed, recipe);
        let _ = writeln!(out, "\n{}", computed.graph.nodes[recipe].slug);
        for regime in [Regime::Eu, Regime::Us] {
            let said = declaration(&diet, regime);
            let tags: Vec<String> =
                said.contains.iter().map(|d| format!("{} ({})", d.tag, d.from.join(", "))).collect();
            let _ =
                writeln!(out, "  {}: {}", regime.code(), if tags.is_empty() { "–".into() } else { tags.join("; ") });
        }
        if !diet.may_contain.is_empty() {
            let _ = writeln!(out, "  may contain: {}", list(&diet.may_contain));
        }
        if !diet.unknown.is_empty() {
            let _ = writeln!(out, "  unknown: {}", list(&diet.unknown));
        }
        let _ = writeln!(out, "  vegan {}", word(diet.vegan, &diet.not_vegan, &diet.vegan_unknown));
        let _ = writeln!(out, "  vegetarian {}", word(diet.vegetarian, &diet.not_vegetarian, &diet.vegetarian_unknown));
        if let Some(mg) = diet.sulphites_mg_per_l.filter(|mg| *mg > 0.0) {
            let _ = writeln!(out, "  sulphites {} mg/l", show::fixed(mg, 1));
        }
        let said = gluten(&diet);
        if !said.starts_with("no ingredient") {
            let _ = writeln!(out, "  gluten: {said}");
        }
        for remark in &diet.remarks {
            let _ = writeln!(out, "  remark: {remark}");
        }
    }
    out
}

#[test]
fn allergens_and_diet_of_the_demo_are_as_reviewed() {
    let (computed, _) = costrel::compile(&root().join("notebook"));
    review(
        "demo-diet.txt",
        &format!("Allergens and diet of the demo, by the lists of the EU and the US.\n{}", diets(&computed)),
    );
}

#[test]
fn allergens_and_diet_of_the_published_classics_are_as_reviewed() {
    let (computed, _) = costrel::compile(&root().join("tests/published/classics/notebook"));
    let said = diets(&computed);
    review(
        "classics-diet.txt",
        &format!("Allergens and diet of the published classics, by the generic pantry.\n{said}"),
    );
}

#[test]
fn without_an_ingredients_facts_none_becomes_unknown() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let write = |path: &str, text: &str| {
        let to = folder.path().join(path);
        fs::create_dir_all(to.parent().expect("a parent")).expect("a folder");
        fs::write(to, text).expect("a file");
    };
    write("house.yaml", "name: Facts\n");
    write("recipes/base.md", "---\nname: Base\nmakes: prep\nmix: [1 l tincture]\n---\n");
    write("recipes/one.md", "---\nname: One\nmix: [50 ml gin, 5 ml base]\n---\n");
    let answer = |facts: &str| {
        write("pantry/p.yaml", &format!("- {{name: tincture, abv: 40, sugar: 0, acid: 0{facts}}}\n"));
        let (computed, _) = costrel::compile(folder.path());
        let recipe = computed.graph.recipe("one").expect("a recipe");
        let answer = costrel::ask::taste::taste(&computed, recipe);
        (answer.allergens, answer.allergens_unknown, answer.vegan, answer.gluten, answer.hazards)
    };
    let (contains, unknown, vegan, _, hazards) = answer(", allergens: [], vegan: true");
    assert!(contains.is_empty() && unknown.is_empty() && vegan == Some(true));
    assert!(!hazards.iter().any(|h| h.id == "allergen-unknown"));
    let (contains, unknown, vegan, gluten, hazards) = answer("");
    assert_eq!((contains.len(), unknown, vegan), (0, vec!["tincture".to_owned()], None));
    assert!(gluten.starts_with("unknown"), "{gluten}");
    let listed = hazards.iter().find(|h| h.id == "allergen-unknown").expect("a hazard");
    assert_eq!(listed.recipe, "base");
}

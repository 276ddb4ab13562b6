//! Labelling: every statement is made where it is due and not beside it, and a page and a label carry it.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use costrel::ask::labelling::particulars;
use costrel::ask::safety::Survey;
use costrel::recipe::run::Computed;

fn write(root: &Path, path: &str, text: &str) {
    let to = root.join(path);
    fs::create_dir_all(to.parent().expect("a parent")).expect("a folder");
    fs::write(to, text).expect("a file");
}

const PANTRY: &str = "\
- {name: base, abv: 0, sugar: 0, acid: 0, allergens: [], vegan: true}
- {name: sweet base, abv: 0, sugar: 5, acid: 0, allergens: [], vegan: true}
- {name: cellar drink, abv: 0, sugar: 0, acid: 0, tags: [tcs], allergens: [], vegan: true}
- {name: sour stock, abv: 0, sugar: 0, acid: 12, allergens: [], vegan: true}
- {name: spirit, abv: 40, sugar: 0, acid: 0, tags: [alcohol], allergens: [], vegan: true}
- {name: shell egg, abv: 0, sugar: 0, acid: 0, tags: [raw-egg], allergens: [egg], vegan: false}
- {name: pressed plum, abv: 0, sugar: 8, acid: 1, tags: [fresh-juice], allergens: [], vegan: true}
- {name: stimulant, abv: 0, sugar: 0, acid: 0, caffeine: 2000 mg/l, tags: [caffeine], allergens: [], vegan: true}
- {name: bitter water, abv: 0, sugar: 0, acid: 0, tags: [quinine], allergens: [], vegan: true}
- {name: sweet root water, abv: 0, sugar: 0, acid: 0, tags: [liquorice], allergens: [], vegan: true}
- {name: light water, abv: 0, sugar: 0, acid: 0, tags: [sweetener], allergens: [], vegan: true}
- {name: diet water, abv: 0, sugar: 0, acid: 0, tags: [aspartame], allergens: [], vegan: true}
- {name: polyol powder, form: solid, sugar: 0, acid: 0, tags: [polyol], allergens: [], vegan: true}
- {name: bright water, abv: 0, sugar: 0, acid: 0, tags: [azo-colour], allergens: [], vegan: true}
";

/// A particular, the regime, a recipe that calls for it and one that does not by little.
const CASES: &[(&str, &str, &str, &str)] = &[
    (
        "prep-4h",
        "eu",
        "makes: prep\nmix: [1 l cellar drink]\nkeeps: [4 h at 20 °C]",
        "makes: prep\nmix: [1 l cellar drink]\nkeeps: [4 h at 5 °C]",
    ),
    (
        "prep-ph",
        "eu",
        "makes: prep\nmix: [1 l sweet base]\nprocess: [{ferment: {to: 1.005}}]",
        "makes: prep\nmix: [1 l sweet base]\nprocess: [strain]",
    ),
    ("chem-bottle", "eu", "makes: prep\nmix: [100 ml sour stock]", "makes: prep\nmix: [100 ml sour stock, 30 ml base]"),
    (
        "us-warning",
        "us",
        "mix: [500 ml spirit]\nprocess: [{bottle: {size: 100 ml}}]",
        "mix: [500 ml spirit]\nprocess: [strain]",
    ),
    (
        "us-warning",
        "us",
        "mix: [500 ml spirit]\nprocess: [{bottle: {size: 100 ml}}]",
        "mix: [5 ml spirit, 500 ml base]\nprocess: [{bottle: {size: 100 ml}}]",
    ),
    (
        "raw-egg-adv",
        "us",
        "mix: [30 ml shell egg]",
        "mix: [30 ml shell egg]\nprocess: [{pasteurise: {to: 57 °C, for: 4 min}}]",
    ),
    ("raw-egg-eu", "uk", "mix: [30 ml shell egg]", "mix: [30 ml base]"),
    (
        "raw-juice-us",
        "us",
        "mix: [1 l pressed plum]\nprocess: [{bottle: {size: 200 ml}}]",
        "mix: [1 l pressed plum]\nprocess: [{bottle: {size: 200 ml, closed: vented}}]",
    ),
    ("caffeine-eu", "eu", "mix: [76 ml stimulant, 924 ml base]", "mix: [75 ml stimulant, 925 ml base]"),
    ("quinine-label", "eu", "mix: [100 ml bitter water]", "mix: [100 ml base]"),
    ("liquorice-label", "eu", "mix: [100 ml sweet root water]", "mix: [100 ml base]"),
    ("sweetener", "eu", "mix: [100 ml light water]", "mix: [100 ml light water, 100 ml sweet base]"),
    ("sweetener-sugar", "eu", "mix: [100 ml light water, 100 ml sweet base]", "mix: [100 ml light water]"),
    ("aspartame", "eu", "mix: [100 ml diet water]", "mix: [100 ml light water]"),
    ("polyols", "eu", "mix: [100 ml base, 11 g polyol powder]", "mix: [100 ml base, 9 g polyol powder]"),
    ("azo", "eu", "mix: [100 ml bright water]", "mix: [100 ml base]"),
    (
        "gas-label",
        "eu",
        "makes: prep\nmix: [500 ml base]\nprocess: [{carbonate: {volumes: 2, at: 3 °C}}]",
        "makes: prep\nmix: [500 ml base]\nprocess: [strain]",
    ),
];

fn compiled(regime: &str) -> (Computed, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let root = folder.path();
    write(root, "house.yaml", &format!("name: Labels\nregimes: {{allergens: {regime}}}\n"));
    write(root, "pantry/p.yaml", PANTRY);
    for (i, (_, of, hit, miss)) in CASES.iter().enumerate() {
        if *of == regime {
            write(root, &format!("recipes/hit-{i}.md"), &format!("---\nname: hit {i}\n{hit}\n---\n"));
            write(root, &format!("recipes/miss-{i}.md"), &format!("---\nname: miss {i}\n{miss}\n---\n"));
        }
    }
    (costrel::compile(root).0, folder)
}

#[test]
fn every_statement_is_made_where_it_is_due_and_not_beside_it() {
    let mut seen = BTreeSet::new();
    for regime in ["eu", "uk", "us"] {
        let (computed, _folder) = compiled(regime);
        let survey = Survey::of(&computed);
        let says = |slug: &str, id: &str| {
            let recipe = computed.graph.recipe(slug).expect("a recipe");
            survey.statements(recipe).iter().any(|s| s.id == id && !s.says.is_empty() && !s.says.contains('{'))
        };
        for (i, (id, _, hit, miss)) in CASES.iter().enumerate().filter(|(_, case)| case.1 == regime) {
            assert!(says(&format!("hit-{i}"), id), "{id} is not said of {hit}");
            assert!(!says(&format!("miss-{i}"), id), "{id} is said of {miss}");
            seen.insert(*id);
        }
    }
    let made: BTreeSet<&str> = particulars().iter().filter(|p| !p.when.is_empty()).map(|p| p.id.as_str()).collect();
    assert_eq!(seen, made);
}

#[test]
fn a_statement_names_no_part_that_guests_are_not_told() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let root = folder.path();
    write(root, "house.yaml", "name: Labels\n");
    write(root, "pantry/p.yaml", PANTRY);
    write(root, "recipes/part.md", "---\nname: secret part\nmakes: prep\nmix: [1 l bright water]\n---\n");
    write(root, "recipes/drink.md", "---\nname: Drink\nmix: [100 ml secret part]\npublish: true\n---\n");
    let (computed, _) = costrel::compile(root);
    let recipe = computed.graph.recipe("drink").expect("a recipe");
    let says = |survey: &Survey| survey.statements(recipe).iter().map(|s| s.says.clone()).collect::<String>();
    assert!(says(&Survey::of(&computed)).starts_with("bright water: may have"));
    assert!(says(&Survey::for_guests(&computed)).starts_with("secret part: may have"));
}

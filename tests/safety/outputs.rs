//! A caution survives into every output: each is pressed from the demo, and every hazard is looked for where its reader would look.
//!
//! A new output adds a line to [`outputs`]: its name, and its text by recipe.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;

use costrel::ask::safety::{DEFERRAL, Hazard, Kind, Severity, Show, Survey};
use costrel::ask::taste::taste;
use costrel::press::{Content, Edition, Output, notes, site};
use costrel::recipe::run::Computed;

static DEMO: LazyLock<(Computed, Survey)> = LazyLock::new(|| {
    let (computed, _) = costrel::compile(&Path::new(env!("CARGO_MANIFEST_DIR")).join("notebook"));
    let survey = Survey::of(&computed);
    (computed, survey)
});

static PUBLIC: LazyLock<Output> = LazyLock::new(|| press(Edition::Public));
static HOUSE: LazyLock<Output> = LazyLock::new(|| press(Edition::House));

fn press(edition: Edition) -> Output {
    site::site(&DEMO.0, edition).unwrap_or_else(|p| panic!("{p:?}"))
}

/// The demo's site, pressed once.
fn pressed(edition: Edition) -> &'static Output {
    match edition {
        Edition::Public => &PUBLIC,
        Edition::House => &HOUSE,
    }
}

/// What an output says, by recipe.
type Texts = BTreeMap<usize, String>;

/// A page's words without its markup.
fn words(bytes: &[u8]) -> String {
    let html = String::from_utf8_lossy(bytes);
    let (mut text, mut inside) = (String::new(), false);
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            c if !inside => text.push(c),
            _ => {}
        }
    }
    for (entity, c) in [("&#x27;", "'"), ("&#39;", "'"), ("&quot;", "\""), ("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")]
    {
        text = text.replace(entity, c);
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn page(output: &Output, path: &str) -> String {
    match output.get(path) {
        Some(Content::Bytes(bytes)) => words(bytes),
        _ => panic!("no {path}"),
    }
}

fn pages(edition: Edition) -> Texts {
    let (computed, _) = &*DEMO;
    let output = pressed(edition);
    let shown = |r: &usize| edition == Edition::House || computed.graph.notes.recipes[*r].publish;
    (0..computed.made.len())
        .filter(shown)
        .map(|r| (r, page(output, &format!("recipes/{}.html", computed.graph.nodes[r].slug))))
        .collect()
}

fn json() -> Texts {
    let (computed, _) = &*DEMO;
    let one = |r: usize| serde_json::to_value(taste(computed, r)).expect("data");
    let text = |value: serde_json::Value| {
        let list = value["hazards"].as_array().expect("a list").clone();
        list.iter()
            .map(|h| format!("{} {} ", h["what"].as_str().expect("text"), h["precaution"].as_str().expect("text")))
            .collect()
    };
    (0..computed.made.len()).map(|r| (r, text(one(r)))).collect()
}

/// What is published beside a recipe.
fn descriptions() -> Texts {
    let (computed, _) = &*DEMO;
    let made = notes::notes(computed, &notes::Before::default()).unwrap_or_else(|p| panic!("{p:?}"));
    let text = |r: usize| match made.files.get(&format!("{}/description.txt", computed.graph.nodes[r].slug)) {
        Some(Content::Bytes(bytes)) => String::from_utf8_lossy(bytes).into_owned(),
        _ => panic!("no description of {r}"),
    };
    (0..computed.made.len()).filter(|r| computed.graph.notes.recipes[*r].publish).map(|r| (r, text(r))).collect()
}

/// Every output that shows recipes.
fn outputs() -> Vec<(&'static str, Texts)> {
    vec![
        ("taste --json", json()),
        ("site, public", pages(Edition::Public)),
        ("site, house", pages(Edition::House)),
        ("notes", descriptions()),
    ]
}

/// Whether a reader of the recipe must see it: not what every drink shares, and not what only its writer can mend.
fn owed(hazard: &Hazard) -> bool {
    hazard.rule.show == Show::Recipe && (hazard.rule.kind == Kind::Fault || hazard.severity != Severity::Note)
}

#[test]
fn every_caution_is_in_every_output() {
    let (computed, survey) = &*DEMO;
    let mut lost = Vec::new();
    let mut looked = 0;
    for (name, texts) in outputs() {
        assert!(texts.len() > 20, "{name}");
        for (recipe, text) in texts {
            for hazard in survey.hazards(recipe).iter().filter(|h| owed(h)) {
                looked += 1;
                // A description says of a mere note only what to do.
                let short = name == "notes" && hazard.severity == Severity::Note;
                let what = short || text.contains(&hazard.rule.what);
                if !what || !text.contains(&hazard.rule.precaution) {
                    lost.push(format!("{name}: {} of {}", hazard.id(), computed.graph.nodes[recipe].slug));
                }
            }
        }
    }
    assert!(lost.is_empty() && looked > 300, "{looked} looked for, lost: {}", lost.join("\n"));
}

#[test]
fn the_safety_page_lists_every_hazard_and_defers_to_those_who_know() {
    let (computed, survey) = &*DEMO;
    for edition in [Edition::Public, Edition::House] {
        let output = pressed(edition);
        let text = page(output, "safety.html");
        assert!(text.contains(DEFERRAL));
        for recipe in 0..computed.made.len() {
            let shown = edition == Edition::House || computed.graph.notes.recipes[recipe].publish;
            for hazard in survey.hazards(recipe).iter().filter(|_| shown) {
                let rule = &hazard.rule;
                assert!(text.contains(&rule.what) && text.contains(&rule.source), "{} is not on it", rule.id);
            }
        }
        // What every drink shares stands in the foot of every page.
        let foot = page(output, "index.html");
        for rule in survey.by_rule().iter().map(|(r, _)| r).filter(|r| r.show == Show::SiteFooter) {
            assert!(foot.contains(&rule.precaution), "{} is not in the foot", rule.id);
        }
    }
}

#[test]
fn a_critical_points_sheet_stands_in_the_house_edition_only() {
    let (computed, survey) = &*DEMO;
    let risky = (0..computed.made.len()).filter(|r| !survey.points(*r).is_empty()).count();
    assert!(risky > 3);
    let of = |edition| page(pressed(edition), "safety.html");
    let (house, public) = (of(Edition::House), of(Edition::Public));
    for recipe in 0..computed.made.len() {
        for point in survey.points(recipe) {
            for text in [&point.hazard, &point.limit, &point.check, &point.correction] {
                assert!(house.contains(text.as_str()), "{}: {text}", point.id);
            }
            assert!(!public.contains(&point.correction), "{}", point.id);
        }
    }
}

#[test]
fn a_danger_that_only_a_reading_shows_is_shown_in_public_without_the_reading() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let write = |path: &str, text: &str| {
        let to = folder.path().join(path);
        std::fs::create_dir_all(to.parent().expect("a parent")).expect("a folder");
        std::fs::write(to, text).expect("a file");
    };
    write("house.yaml", "name: Reading\n");
    write("pantry/p.yaml", "- {name: must, abv: 0, sugar: 10, acid: 0.4, allergens: [], vegan: true}\n");
    let front = "name: Slow\nmakes: prep\nmix: [1 l must]\nprocess: [{ferment: {to: 1.020, for: 96 h}}]\nkeeps: [2 d at 4 °C]\nreadings: [{ph: 5.83}]\npublish: true\nacknowledge: [{hazard: wild-ferment-ph, because: A trial that nobody drinks.}]\n";
    write("recipes/slow.md", &format!("---\n{front}---\n1. Ferment it.\n"));
    let (computed, problems) = costrel::compile(folder.path());
    assert!(problems.iter().all(|p| !p.is_error()), "{problems:?}");
    let output = site::site(&computed, Edition::Public).unwrap_or_else(|p| panic!("{p:?}"));
    let text = page(&output, "recipes/slow.html");
    assert!(text.contains("A ferment that has not gone sour fast enough is not protected."), "{text}");
    assert!(text.contains("A trial that nobody drinks."));
    for (path, content) in &output {
        if let Content::Bytes(bytes) = content {
            assert!(!String::from_utf8_lossy(bytes).contains("5.83"), "{path} prints the reading");
        }
    }
}

#[test]
fn the_readme_defers_too() {
    let readme = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).expect("a file");
    let words = readme.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(DEFERRAL));
}

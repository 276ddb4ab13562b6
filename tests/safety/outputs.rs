//! A caution survives into every output: each is pressed from the demo, and every hazard is looked for where its reader would look.
//!
//! A new output adds a line to [`outputs`]: its name, and its text by recipe. What is printed is read back from the PDF.

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

/// A text without spaces and hyphens, which a line's end may add or take.
#[cfg(feature = "pdf")]
fn run_together(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '\u{ad}' | '\u{2010}')).collect()
}

/// What a reader finds in a printed thing, in the order in which it was set; `None` where the tool that reads it is not installed.
#[cfg(feature = "pdf")]
fn printed(what: &[&str]) -> Option<String> {
    use std::process::Command;
    let folder = tempfile::tempdir().expect("a scratch folder");
    let file = folder.path().join("made.pdf");
    let done = Command::new(env!("CARGO_BIN_EXE_costrel"))
        .arg("press")
        .args(what)
        .arg("--to")
        .arg(&file)
        .arg("--notebook")
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("notebook"))
        .output()
        .expect("the program runs");
    assert!(done.status.success(), "{what:?}: {}", String::from_utf8_lossy(&done.stdout));
    match Command::new("pdftotext").arg("-raw").arg(&file).arg("-").output() {
        Ok(text) => Some(String::from_utf8_lossy(&text.stdout).into_owned()),
        Err(_) if std::env::var("COSTREL_TOOLS").is_ok_and(|t| t == "required") => {
            panic!("pdftotext is not installed")
        }
        Err(_) => {
            eprintln!("pdftotext is not installed: what is printed is not looked at");
            None
        }
    }
}

/// Every hazard that a reader of a recipe must see, said as often as recipes have it.
#[cfg(feature = "pdf")]
fn owed_by(recipes: &[usize]) -> BTreeMap<&'static str, (usize, &'static Hazard)> {
    let mut owed_by: BTreeMap<&str, (usize, &Hazard)> = BTreeMap::new();
    for hazard in recipes.iter().flat_map(|r| DEMO.1.hazards(*r)).filter(|h| owed(h)) {
        owed_by.entry(hazard.id()).or_insert((0, hazard)).0 += 1;
    }
    owed_by
}

#[cfg(feature = "pdf")]
#[test]
fn every_caution_is_in_everything_printed() {
    let (computed, _) = &*DEMO;
    let notes = &computed.graph.notes;
    let all: Vec<usize> = (0..computed.made.len()).collect();
    let published: Vec<usize> = all.iter().copied().filter(|r| notes.recipes[*r].publish).collect();
    let makes_prep = |r: &usize| notes.recipes[*r].makes == costrel::notebook::recipe_note::Makes::Prep;
    let preps: Vec<usize> = all.iter().copied().filter(makes_prep).collect();
    // Without a batch that is asked for, every prep has its sheet.
    let printed_things =
        [(vec!["book"], &all), (vec!["cards", "--edition", "public"], &published), (vec!["sheets"], &preps)];
    let mut lost = Vec::new();
    let mut looked = 0;
    for (what, recipes) in printed_things {
        let Some(text) = printed(&what) else { return };
        let text = run_together(&text);
        for (id, (times, hazard)) in owed_by(recipes) {
            looked += 1;
            let found = text.matches(&run_together(&hazard.rule.precaution)).count();
            if found < times || !text.contains(&run_together(&hazard.rule.what)) {
                lost.push(format!("{what:?}: {id} is said {found} times, and {times} recipes have it"));
            }
        }
        if what[0] == "book" {
            assert!(text.contains(&run_together(DEFERRAL)), "{what:?} does not defer");
        }
    }
    assert!(lost.is_empty() && looked > 60, "{looked} looked for, lost: {}", lost.join("\n"));
}

/// What a label says is cut after a sentence, and what there is no room for is counted.
#[cfg(feature = "pdf")]
#[test]
fn a_label_tells_its_dangers_and_counts_what_it_has_no_room_for() {
    let (computed, survey) = &*DEMO;
    let notes = &computed.graph.notes;
    let first = |text: &str| run_together(text.split_inclusive(['.', ';']).next().unwrap_or(text)).replace(';', ".");
    let Some(text) = printed(&["labels"]) else { return };
    let mut labels = 0;
    // Each label ends with a line for its batch number and initials.
    let mut all: Vec<String> = vec![String::new()];
    for line in text.lines() {
        match all.last_mut() {
            Some(last) if !(line.starts_with("batch") && line.trim_end().ends_with("by")) => {
                last.push_str(line);
                last.push('\n');
            }
            _ => all.push(String::new()),
        }
    }
    for label in all.iter().map(String::as_str).filter(|l| l.contains("made")) {
        let name = notes.recipes.iter().position(|r| {
            r.makes == costrel::notebook::recipe_note::Makes::Prep
                && run_together(label).contains(&format!("{}made", run_together(&r.name.value)))
        });
        let Some(recipe) = name else { continue };
        labels += 1;
        let said = run_together(label);
        let warned: Vec<&Hazard> = survey
            .hazards(recipe)
            .iter()
            .filter(|h| h.rule.show == Show::Recipe && h.severity != Severity::Note)
            .collect();
        let told = warned.iter().filter(|h| said.contains(&first(&h.rule.what))).count();
        let counted: usize = label.split_once("And ").map_or(0, |(_, more)| {
            more.split(" more").next().unwrap_or("").split(' ').filter_map(|w| w.parse::<usize>().ok()).sum()
        });
        assert_eq!(told + counted, warned.len(), "{}: {label}", notes.recipes[recipe].name.value);
        let dangers: Vec<&&Hazard> = warned.iter().filter(|h| h.severity == Severity::Danger).take(3).collect();
        for danger in dangers {
            assert!(said.contains(&first(&danger.rule.what)), "{} is not on {label}", danger.id());
        }
        for statement in survey.statements(recipe).iter().filter(|s| s.on_label) {
            assert!(said.contains(&run_together(&statement.says)), "{} is not on {label}", statement.id);
        }
    }
    assert!(labels > 15, "{labels} labels were read");
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

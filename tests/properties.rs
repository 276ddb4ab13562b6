//! Properties that hold for every input: numbers as written, mixing, scaling, names, and that no text makes the program fall over.
//!
//! What they compare with is arithmetic, not the program's own earlier output. Sizes are bounded so that all of it runs in
//! seconds; `PROPTEST_CASES=5000 cargo test --test properties` looks harder.

#![allow(clippy::unwrap_used, reason = "what a property takes for granted must fail at once")]

use std::fs;
use std::path::Path;

use costrel::ask::taste::{READERS, taste};
use costrel::measure::{Amount, Unit, number};
use costrel::mixture::sheet::{Content, Sheet};
use costrel::mixture::{Mixture, Part};
use costrel::notebook::pour::{PourAmount, line};
use costrel::notebook::yaml::{self, Node, Text};
use costrel::problem::{json, terminal};
use costrel::process::{Process, Takes};
use costrel::recipe::names;
use costrel::source::{FileId, Sources, Span};
use proptest::prelude::*;
use rust_decimal::Decimal;

/// So many cases, or as many as `PROPTEST_CASES` asks for.
fn cases(cases: u32) -> ProptestConfig {
    let default = ProptestConfig::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { default.cases } else { cases };
    ProptestConfig { cases, failure_persistence: None, ..default }
}

// ---------------------------------------------------------------- numbers and amounts as written

fn decimal() -> impl Strategy<Value = Decimal> {
    (0i64..1_000_000_000, 0u32..6).prop_map(|(digits, scale)| Decimal::new(digits, scale))
}

proptest! {
    #![proptest_config(cases(500))]

    #[test]
    fn a_decimal_is_read_as_it_is_written(value in decimal(), tail in "( ml| %|)") {
        let text = format!("{value}{tail}");
        let (read, used) = number::lex(&text).unwrap().unwrap();
        prop_assert_eq!(read, value);
        prop_assert_eq!(&text[used..], tail);
    }

    #[test]
    fn a_fraction_is_its_top_over_its_bottom(whole in 0u32..1000, top in 0u32..1000, below in 1u32..1000, space in "[ \u{a0}]") {
        let exact = Decimal::from(top) / Decimal::from(below);
        let (read, _) = number::lex(&format!("{top}/{below} oz")).unwrap().unwrap();
        prop_assert_eq!(read, exact);
        let (read, _) = number::lex(&format!("{whole}{space}{top}/{below} oz")).unwrap().unwrap();
        prop_assert_eq!(read, Decimal::from(whole) + exact);
    }

    #[test]
    fn a_range_keeps_both_ends(low in decimal(), high in decimal(), between in "(-|–|—| - | – | to )") {
        let read = number::lex_range(&format!("{low}{between}{high} drops")).unwrap().unwrap();
        prop_assert_eq!((read.low, read.high), (low, Some(high)));
    }

    #[test]
    fn an_amount_and_a_unit_come_back(value in decimal().prop_filter("something", |v| !v.is_zero()), index in 0usize..21, gap in "( |)") {
        let unit = Unit::all().nth(index).unwrap();
        let written = format!("{value}{gap}{} gin", unit.word_for(value));
        let text = Text { value: written.clone(), span: Span::new(FileId(0), 0, written.len()), exact: true, quoted: false };
        let mut problems = Vec::new();
        let pour = line(&text, &mut problems).unwrap();
        prop_assert_eq!(pour.amount, PourAmount::Measured { amount: Amount { value, unit }, high: None, times: None });
        prop_assert_eq!(pour.name.value.as_str(), "gin");
        // The place of the name is its place in the line.
        prop_assert_eq!(&written[pour.name.span.start as usize..pour.name.span.end as usize], "gin");
    }

    #[test]
    fn no_line_makes_the_lexers_fall_over(text in "\\PC{0,40}") {
        let _ = number::lex(&text);
        let _ = number::lex_range(&text);
        let _ = Unit::lex(&text);
        let span = Span::new(FileId(0), 0, text.len());
        let mut problems = Vec::new();
        let pour = line(&Text { value: text, span, exact: true, quoted: false }, &mut problems);

        // Either the whole line is understood, or something is said.
        let read = pour.is_some_and(|p| p.amount != PourAmount::Unread);
        prop_assert!(read != problems.iter().any(costrel::problem::Problem::is_error));
    }

    #[test]
    fn an_address_is_its_own_address(name in "\\PC{0,30}") {
        let slug = names::slug(&name);
        prop_assert_eq!(names::slug(&slug), slug.clone());
        prop_assert!(slug.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'));
        prop_assert!(!slug.starts_with('-') && !slug.ends_with('-'));
    }

    #[test]
    fn case_does_not_tell_names_apart(name in "[a-zA-Zéèüñçø' -]{1,20}") {
        prop_assert_eq!(names::key(&name.to_uppercase()), names::key(&name.to_lowercase()));
    }
}

// ---------------------------------------------------------------- mixing

/// A liquid that can exist: what it holds leaves room for water.
fn liquid() -> impl Strategy<Value = Mixture> {
    (0.0..60.0f64, 0.0..30.0f64, 0.0..8.0f64, 0.0..3.0f64, 1.0..2000.0f64, -5.0..30.0f64).prop_map(
        |(abv, sugar, acid, protein, ml, temperature)| {
            let sheet = Sheet {
                abv: Some(abv),
                sugar: Some(Content::per_100(sugar)),
                acid: Some(Content::per_100(acid)),
                fat: Some(Content::per_100(0.0)),
                protein: Some(Content::per_100(protein)),
                ..Sheet::liquid("it")
            };
            let mut mixture = sheet.per_ml().unwrap().scaled(ml);
            mixture.temperature = temperature;
            mixture
        },
    )
}

fn together<'m>(list: impl IntoIterator<Item = &'m Mixture>) -> Mixture {
    let mut whole = Mixture::empty(20.0);
    list.into_iter().for_each(|m| whole.pour(m));
    whole
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

/// Every figure of a mixture; what cannot be known is not a number.
fn figures(mixture: &Mixture) -> Vec<(&'static str, f64)> {
    READERS.iter().map(|(name, read)| (*name, read(mixture).unwrap_or(f64::NAN))).collect()
}

proptest! {
    #![proptest_config(cases(500))]

    #[test]
    fn masses_add(list in prop::collection::vec(liquid(), 1..6)) {
        let whole = together(&list);
        for part in Part::ALL {
            prop_assert!(close(whole.grams(part), list.iter().map(|m| m.grams(part)).sum()));
        }
        prop_assert!(close(whole.mass_g(), list.iter().map(Mixture::mass_g).sum()));
    }

    #[test]
    fn volumes_nearly_add(list in prop::collection::vec(liquid(), 1..6)) {
        // Contraction reaches 3.5 % for strong spirit in water, and weak spirit in water even swells by 0.1 % (OIML R 22);
        // sugar and acid that find more water take up somewhat less or more.
        let sum: f64 = list.iter().map(Mixture::volume_ml).sum();
        let share = together(&list).volume_ml() / sum;
        prop_assert!((0.96..1.01).contains(&share), "{share}");
    }

    #[test]
    fn the_order_of_pours_does_not_matter(list in prop::collection::vec(liquid(), 2..6), turn in 0usize..6) {
        let mut other: Vec<&Mixture> = list.iter().rev().collect();
        let turn = turn % other.len();
        other.rotate_left(turn);
        let (one, two) = (together(&list), together(other));
        for ((name, a), (_, b)) in figures(&one).into_iter().zip(figures(&two)) {
            prop_assert!(close(a, b) || (a.is_nan() && b.is_nan()), "{name}: {a} and {b}");
        }
        prop_assert!(close(one.temperature, two.temperature));
    }

    #[test]
    fn a_larger_batch_tastes_the_same(list in prop::collection::vec(liquid(), 1..5), factor in 0.01..100.0f64) {
        let scaled: Vec<Mixture> = list.iter().map(|m| m.scaled(factor)).collect();
        let (one, two) = (together(&list), together(&scaled));
        for ((name, a), (_, b)) in figures(&one).into_iter().zip(figures(&two)) {
            let grows = matches!(name, "volume_ml" | "mass_g" | "ethanol_g");
            let a = if grows { a * factor } else { a };
            prop_assert!(close(a, b) || (a.is_nan() && b.is_nan()), "{name}: {a} and {b}");
        }
    }

    #[test]
    fn water_never_makes_it_stronger(mixture in liquid(), grams in 0.1..2000.0f64) {
        let mut wetter = mixture.clone();
        wetter.pour_water(grams, 20.0);
        prop_assert!(wetter.volume_ml() > mixture.volume_ml());
        for (name, read) in READERS.iter().filter(|(n, _)| ["abv_pct", "sugar_g_per_100ml", "acid_g_per_100ml", "brix"].contains(n)) {
            let (before, after) = (read(&mixture).unwrap(), read(&wetter).unwrap());
            prop_assert!(after <= before + 1e-12, "{name}: {before} became {after}");
        }
    }

    #[test]
    fn a_portion_tastes_like_the_whole(mixture in liquid(), ml in 0.1..1000.0f64) {
        let glass = mixture.portion(ml);
        prop_assert!(close(glass.volume_ml(), ml));
        prop_assert!(close(glass.figure_abv().unwrap(), mixture.figure_abv().unwrap()));
        prop_assert!(close(mixture.weighed(ml).mass_g(), ml));
    }

    #[test]
    fn a_label_keeps_its_word(abv in 0.0..96.0f64, ml in 0.1..5000.0f64) {
        let sheet = Sheet { abv: Some(abv), sugar: Some(Content::per_100(0.0)), acid: Some(Content::per_100(0.0)), ..Sheet::liquid("it") };
        let bottle = sheet.per_ml().unwrap().scaled(ml);
        prop_assert!(close(bottle.volume_ml(), ml));
        prop_assert!(close(bottle.figure_abv().unwrap(), abv));
    }
}

// ---------------------------------------------------------------- whole notebooks

fn write(root: &Path, path: &str, bytes: impl AsRef<[u8]>) {
    let to = root.join(path);
    fs::create_dir_all(to.parent().unwrap()).unwrap();
    fs::write(to, bytes).unwrap();
}

/// Compiles a notebook, asks everything there is to ask, and checks what must hold of any answer.
fn survive(root: &Path) -> Result<(), TestCaseError> {
    let (computed, problems) = costrel::compile(root);
    let sources = &computed.graph.notes.sources;
    for problem in &problems {
        let span = problem.at.span;
        let text = &sources.get(span.file).text;
        prop_assert!(span.end as usize <= text.len(), "{problem:?} lies past the end of its file");
        prop_assert!(!problem.message.is_empty() && !problem.message.ends_with('.'), "{}", problem.message);
        prop_assert!(problem.help.is_some() || !problem.is_error(), "no help: {}", problem.message);
        let shown = terminal::render(problem, sources, "");
        prop_assert!(shown.lines().count() >= 2);
        prop_assert!(json::problem(problem, sources)["line"].as_u64() >= Some(1));
    }
    for recipe in 0..computed.graph.notes.recipes.len() {
        let answer = taste(&computed, recipe);
        for stage in &answer.stages {
            let figures =
                [stage.volume_ml, stage.mass_g, stage.abv_pct, stage.sugar_g_per_100ml, stage.acid_g_per_100ml];
            for figure in figures.into_iter().flatten() {
                prop_assert!(figure.is_finite() && figure >= 0.0, "{}: {figure}", stage.stage);
            }
            prop_assert!(stage.abv_pct.is_none_or(|abv| abv <= 100.001), "{}: {:?} % vol", stage.stage, stage.abv_pct);
        }
        for unknown in &answer.unknown {
            prop_assert!(!unknown.because.is_empty(), "{} is unknown without a reason", unknown.figure);
            // The words for a number that came out infinite or not a number: a fault of ours.
            prop_assert!(unknown.because != "it could not be computed", "{} at {:?}", unknown.figure, unknown.stage);
        }
        prop_assert!(serde_json::to_string(&answer).is_ok());
    }
    Ok(())
}

const RECIPE: &str = "---
name: Lantern
makes: drink
family: shaken
version: 2
size: 1 l
mix:
  - 700 ml gin
  - 1 1/2 oz lemon juice, strained
  - {pour: 90 ml honey syrup, hold: true, scale: taste, note: warm it}
  - 6 dashes orange bitters
  - 0.25 % xanthan gum
  - 2–3 drops saline
  - juice of 2 limes
  - half a lime
  - to 1.2 l water
  - top 90 ml soda water
  - rinse 5 ml absinthe
process:
  - shake: {dilution: 25 %, for: 12 s}
  - milk-clarify: {milk: 220 ml whole milk, rest: 1 h, drip: 8 h, recovers: 82 %}
  - chill: {to: 3 °C, for: 4 h}
makes_measured: 1.55 l
serve: {glass: coupe, pour: 95 ml, ice: none, finish: [10 ml verjus], garnish: lemon peel}
keeps: [\"7 d at 4 °C, sealed\"]
readings: [{date: 2026-11-02, after: shake, ph: 3.9, volume: 1.55 l}]
trials: [{date: 2026-10-12, change: less honey, before: 96 g, after: 124 g, score: 8, verdict: keep}]
sells_at: 11.50
acknowledge: [{hazard: raw-egg, because: none in it}]
publish: true
picture: {file: lantern.jpg, alt: A clear drink}
film: {length: \"12:40\", chapters: [\"0:00 The drink\", \"2:20 The tea\"]}
tags: [clarified]
---

1. Shake {{ amount(\"gin\") }}; it has {{ abv }}.
";

const HOUSE: &str = "name: The Lantern Lock
units: {show: [ml, oz], system: us, dash: 0.92 ml, barspoon: 5 ml}
tools: {jigger: [5 ml, 10 ml], scales: [0.01 g to 200 g]}
assume: {rinse_stays: 20 %, top: 90 ml, few: 3}
temperatures: {room: 20 °C, freezer: -18 °C}
glasses: {coupe: 160 ml}
windows: {shaken: {abv: 15–20 %, sugar: 5–9, acid: 0.6–0.9}}
money: {currency: EUR, tax: 20 %, labour: 18.00 per h}
site: {address: \"https://bar.example/\"}
";

const PANTRY: &str = "- name: honey syrup
  also: [bees' syrup]
  brix: 60 ± 1
  abv: 0
  acid: 0.1 g/100 ml
  density: 1.29
  pack: 700 ml
  price: 8.50
  allergens: []
- name: pear
  piece: 180 g
  parts: {flesh: 78 %, peel: 9 %, core: 13 %}
  yields: {juice: 62 % of flesh}
";

const LOG: &str = "- recipe: Lantern
  lot: L-1
  made: 2026-11-20 15:30
  amount: 2.4 l
  left: 1.1 l
  readings: [{date: 2026-11-22, brix: 41.5}]
";

/// Things that trip parsers.
const NASTY: &[&str] = &[
    "½",
    "1e400",
    "–",
    "--",
    "---\n",
    "...\n",
    " to ",
    "%",
    "{{",
    "}}",
    "{{ abv }}",
    "&a ",
    "*a",
    "!!str ",
    "<<: ",
    "\t",
    "[",
    "]",
    "{",
    "}",
    "\"",
    "'",
    "#",
    "|",
    ">",
    "\0",
    "\u{feff}",
    "\u{202e}",
    "999999999999",
    "0.0000000001",
    "-",
    "−",
    "±",
    "°",
    "×",
    "half a ",
    "a few ",
    "foam of ",
    "top ",
    "parts ",
    "é",
    "𝄞",
    "\r\n",
    "\r",
    ": ",
    ",",
    "0",
    "9",
    "/",
    "/0",
    "stir",
    "lantern",
    "100 %",
    "null",
    "~",
    "1 l",
    "\\",
];

#[derive(Debug, Clone)]
enum Edit {
    Insert(prop::sample::Index, &'static str),
    Remove(prop::sample::Index, usize),
    Double(prop::sample::Index, usize),
    Swap(prop::sample::Index, prop::sample::Index),
}

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let at = any::<prop::sample::Index>;
    let one = prop_oneof![
        3 => (at(), prop::sample::select(NASTY)).prop_map(|(i, s)| Edit::Insert(i, s)),
        2 => (at(), 1usize..30).prop_map(|(i, n)| Edit::Remove(i, n)),
        1 => (at(), 1usize..60).prop_map(|(i, n)| Edit::Double(i, n)),
        1 => (at(), at()).prop_map(|(i, j)| Edit::Swap(i, j)),
    ];
    prop::collection::vec(one, 1..5)
}

fn edited(text: &str, edits: &[Edit]) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for edit in edits {
        if chars.is_empty() {
            break;
        }
        let len = chars.len();
        match edit {
            Edit::Insert(i, what) => {
                let at = i.index(len);
                chars.splice(at..at, what.chars());
            }
            Edit::Remove(i, n) => {
                let at = i.index(len);
                chars.drain(at..(at + n).min(len));
            }
            Edit::Double(i, n) => {
                let at = i.index(len);
                let copy = chars[at..(at + n).min(len)].to_vec();
                chars.splice(at..at, copy);
            }
            Edit::Swap(i, j) => chars.swap(i.index(len), j.index(len)),
        }
    }
    chars.into_iter().collect()
}

proptest! {
    #![proptest_config(cases(150))]

    #[test]
    fn no_bytes_make_it_fall_over(recipe in prop::collection::vec(any::<u8>(), 0..200), pantry in prop::collection::vec(any::<u8>(), 0..200)) {
        let dir = tempfile::tempdir().unwrap();
        write(dir.path(), "house.yaml", "name: X\n");
        write(dir.path(), "recipes/a.md", &recipe);
        write(dir.path(), "recipes/b.md", [b"---\nname: B\nmix:\n  - ", &recipe[..], b"\n---\n"].concat());
        write(dir.path(), "pantry/a.yaml", &pantry);
        survive(dir.path())?;
    }

    #[test]
    fn no_slip_in_a_recipe_makes_it_fall_over(edits in edits()) {
        let dir = tempfile::tempdir().unwrap();
        write(dir.path(), "house.yaml", HOUSE);
        write(dir.path(), "pantry/a.yaml", PANTRY);
        write(dir.path(), "recipes/a.md", edited(RECIPE, &edits));
        survive(dir.path())?;
    }

    #[test]
    fn no_slip_elsewhere_makes_it_fall_over(house in edits(), pantry in edits(), log in edits()) {
        let dir = tempfile::tempdir().unwrap();
        write(dir.path(), "house.yaml", edited(HOUSE, &house));
        write(dir.path(), "pantry/a.yaml", edited(PANTRY, &pantry));
        write(dir.path(), "log/a.yaml", edited(LOG, &log));
        write(dir.path(), "pages/a.md", edited(RECIPE, &house));
        write(dir.path(), "recipes/a.md", RECIPE);
        survive(dir.path())?;
    }
}

/// A value that a parameter takes, sensible or not.
fn value(takes: Takes) -> BoxedStrategy<String> {
    let number = || prop_oneof![Just(0.0), 0.0..1.0f64, 0.0..120.0f64, 0.0..100_000.0f64];
    let with = move |unit: &'static str| number().prop_map(move |n| format!("{n:.3} {unit}")).boxed();
    match takes {
        Takes::Percent => with("%"),
        Takes::Temperature => (-40.0..130.0f64).prop_map(|n| format!("{n:.1} °C")).boxed(),
        Takes::Time => with("min"),
        Takes::Volume | Takes::Amount => with("ml"),
        Takes::Mass => with("g"),
        Takes::VolumeOrStrength => prop_oneof![with("ml"), with("%")].boxed(),
        Takes::Pours => {
            let what: &'static [&str] = &[
                "ml whole milk",
                "g brewed black tea",
                "ml water",
                "g ice",
                "limes",
                "ml olive oil",
                "g butter",
                "% sugar",
            ];
            (0.001..500.0f64, prop::sample::select(what)).prop_map(|(n, w)| format!("{n:.3} {w}")).boxed()
        }
        Takes::Gravity => (0.95..1.4f64).prop_map(|n| format!("{n:.3}")).boxed(),
        Takes::Number => number().prop_map(|n| format!("{n:.3}")).boxed(),
        Takes::Word(words) => prop::sample::select(words).prop_map(str::to_owned).boxed(),
        Takes::Name => Just("lime juice".to_owned()).boxed(),
        Takes::Shares => Just("{citric acid: 2, malic acid: 1}".to_owned()).boxed(),
    }
}

fn process() -> impl Strategy<Value = String> {
    prop::sample::select(Process::all().collect::<Vec<_>>()).prop_flat_map(|process| {
        let parameters: Vec<_> = process
            .parameters()
            .iter()
            .map(|p| {
                (any::<bool>(), value(p.takes))
                    .prop_map(move |(there, value)| there.then(|| format!("{}: {value}", p.name)))
            })
            .collect();
        parameters.prop_map(move |list| {
            let list: Vec<String> = list.into_iter().flatten().collect();
            format!("  - {}: {{{}}}\n", process.name(), list.join(", "))
        })
    })
}

fn pour() -> impl Strategy<Value = String> {
    let what: &'static [&str] = &[
        "ml gin",
        "ml overproof rum",
        "ml lime juice",
        "ml simple syrup",
        "ml water",
        "ml whole milk",
        "g white sugar",
        "g citric acid",
        "ml red wine",
        "ml apple juice",
        "ml double cream",
        "limes",
        "ml egg white",
    ];
    (0.01..2000.0f64, prop::sample::select(what)).prop_map(|(n, w)| format!("  - {n:.2} {w}\n"))
}

proptest! {
    #![proptest_config(cases(500))]

    #[test]
    fn no_processes_make_it_fall_over(pours in prop::collection::vec(pour(), 1..6), steps in prop::collection::vec(process(), 1..5)) {
        let dir = tempfile::tempdir().unwrap();
        write(dir.path(), "house.yaml", "name: X\n");
        write(dir.path(), "recipes/a.md", format!("---\nname: A\nmix:\n{}process:\n{}---\n", pours.concat(), steps.concat()));
        survive(dir.path())?;
    }

    #[test]
    fn a_fill_up_reaches_its_volume(pours in prop::collection::vec(pour(), 1..5), more in 1.0..3000.0f64) {
        let dir = tempfile::tempdir().unwrap();
        write(dir.path(), "house.yaml", "name: X\n");
        let mix = pours.concat();
        write(dir.path(), "recipes/a.md", format!("---\nname: A\nmix:\n{mix}---\n"));
        let (computed, _) = costrel::compile(dir.path());
        let to = taste(&computed, 0).stages[0].volume_ml.unwrap() + more;
        write(dir.path(), "recipes/a.md", format!("---\nname: A\nmix:\n{mix}  - to {to:.6} ml water\n---\n"));
        let (computed, problems) = costrel::compile(dir.path());
        prop_assert!(problems.iter().all(|p| !p.is_error()));
        let reached = taste(&computed, 0).stages[0].volume_ml.unwrap();
        prop_assert!((reached - to).abs() < 1e-5, "{reached}, not {to}");
    }
}

// ---------------------------------------------------------------- YAML

/// Every scalar whose place is said to be exact stands there.
fn in_place(node: &Node, text: &str) -> Result<(), TestCaseError> {
    match node {
        Node::Null(_) => {}
        Node::Text(t) => {
            if t.exact {
                prop_assert_eq!(text.get(t.span.start as usize..t.span.end as usize), Some(t.value.as_str()));
            }
        }
        Node::List(items, _) => items.iter().try_for_each(|n| in_place(n, text))?,
        Node::Map(entries, _) => {
            for (key, value) in entries {
                in_place(&Node::Text(key.clone()), text)?;
                in_place(value, text)?;
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(500))]

    #[test]
    fn places_in_yaml_are_true(edits in edits()) {
        let mut sources = Sources::default();
        let text = edited(&RECIPE[4..RECIPE.len() - 60], &edits);
        let file = sources.add(costrel::source::SourceFile::new("a", text.clone()));
        let mut problems = Vec::new();
        if let Some(node) = yaml::read(&text, file, 0, &mut problems) {
            in_place(&node, &text)?;
        }
        for problem in problems {
            prop_assert!(problem.at.span.end as usize <= text.len());
        }
    }
}

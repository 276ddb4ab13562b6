//! Properties: nothing a writer types makes the program panic; pours commute; scaling changes amounts and nothing else.

use std::fs;

use costrel::ask::taste::{StageFigures, taste};
use proptest::prelude::*;

const GOOD: &str = "---\nname: Lock-keeper's Lantern\nfamily: shaken\nmix:\n  - 60 ml gin\n  - 1 1/2 oz lemon juice, strained\n  - 2–3 dashes orange bitters\n  - juice of 2 limes\n  - 0.25 % xanthan gum\n  - top soda water\nprocess:\n  - shake: {for: 12 s}\n  - chill: {to: 3 °C, for: 4 h}\nserve: {glass: coupe, finish: [2 drops saline]}\nkeeps: [7 d at 4 °C, sealed]\n---\n\n1. Shake: {{ abv }}.\n";

fn notebook(recipe: &[u8]) -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a scratch folder");
    fs::create_dir_all(dir.path().join("recipes")).expect("a folder");
    fs::write(dir.path().join("house.yaml"), "name: Test\n").expect("a file");
    fs::write(dir.path().join("recipes/one.md"), recipe).expect("a file");
    dir
}

/// Compiles, answers and renders everything that there is to say.
fn survive(recipe: &[u8]) {
    let dir = notebook(recipe);
    let (computed, problems) = costrel::compile(dir.path());
    for problem in &problems {
        let sources = &computed.graph.notes.sources;
        let shown = costrel::problem::terminal::render(problem, sources, "");
        assert!(shown.contains(problem.code.name()));
        assert!(costrel::problem::json::problem(problem, sources)["line"].as_u64().is_some_and(|l| l >= 1));
    }
    for recipe in 0..computed.made.len() {
        let answer = serde_json::to_string(&taste(&computed, recipe)).expect("an answer");
        assert!(!answer.contains("NaN") && !answer.contains("inf"));
    }
}

fn mix(lines: &[String]) -> StageFigures {
    let list: String = lines.iter().map(|l| format!("  - {l}\n")).collect();
    let dir = notebook(format!("---\nname: One\nmix:\n{list}---\n").as_bytes());
    let (computed, problems) = costrel::compile(dir.path());
    assert!(problems.iter().all(|p| !p.is_error()), "{problems:?}");
    taste(&computed, 0).stages.remove(0)
}

fn near(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-9 * a.abs().max(1.0),
        (a, b) => a == b,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        survive(&bytes);
    }

    #[test]
    fn any_slip_of_the_pen_is_survived(at in 0..GOOD.len(), cut in 0usize..12, typed in "[\\PC\\n\\t]{0,6}") {
        let from = (0..=at).rev().find(|i| GOOD.is_char_boundary(*i)).expect("a boundary");
        let to = (from + cut..=GOOD.len()).find(|i| GOOD.is_char_boundary(*i)).unwrap_or(GOOD.len());
        survive(format!("{}{typed}{}", &GOOD[..from], &GOOD[to..]).as_bytes());
    }

    #[test]
    fn any_pour_is_survived(line in "[0-9½¾/.,x×%–a-z -]{0,24}") {
        survive(format!("---\nname: One\nmix:\n  - \"{line}\"\n---\n").as_bytes());
    }

    #[test]
    fn pours_commute(a in 1u32..200, b in 1u32..200, c in 1u32..200) {
        let lines = [format!("{a} ml gin"), format!("{b} ml lime juice"), format!("{c} g white sugar"), "30 ml dry vermouth".to_owned()];
        let mut turned = lines.to_vec();
        turned.reverse();
        let (one, other) = (mix(&lines), mix(&turned));
        prop_assert!(near(one.volume_ml, other.volume_ml) && near(one.abv_pct, other.abv_pct) && near(one.brix, other.brix));
    }

    #[test]
    fn scaling_changes_amounts_and_nothing_else(a in 1u32..200, b in 1u32..200, k in 2u32..40) {
        let of = |k: u32| mix(&[format!("{} ml rye whiskey", a * k), format!("{} ml rich syrup", b * k), format!("{} g water", 50 * k)]);
        let (one, many) = (of(1), of(k));
        prop_assert!(near(one.abv_pct, many.abv_pct) && near(one.sugar_g_per_100ml, many.sugar_g_per_100ml));
        prop_assert!(near(one.density_g_ml, many.density_g_ml) && near(one.freezing_point_c, many.freezing_point_c));
        prop_assert!(near(one.volume_ml.map(|v| v * f64::from(k)), many.volume_ml));
    }

    #[test]
    fn more_water_never_makes_it_stronger(a in 10u32..200, b in 0u32..400, more in 1u32..200) {
        let of = |water: u32| mix(&[format!("{a} ml gin"), format!("{} ml water", water + 1)]).abv_pct.expect("a strength");
        prop_assert!(of(b + more) < of(b));
    }
}

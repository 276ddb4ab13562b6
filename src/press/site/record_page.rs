//! The record of a recipe: its trials, readings and batches as one history, the latest first. House edition only.

use jiff::civil::DateTime;
use serde_json::{Value, json};

use crate::measure::{Amount, show};
use crate::notebook::reading::Reading;
use crate::press::publication::Publication;
use crate::recipe::names::Target;
use crate::recipe::run::Stage;

/// The page's path; a recipe without a history has no such page.
pub(super) fn href(site: &Publication<'_>, recipe: usize) -> Option<String> {
    (site.is_house() && !entries(site, recipe).is_empty())
        .then(|| format!("records/{}.html", site.computed.graph.nodes[recipe].slug))
}

/// Something that happened to a recipe.
struct Entry {
    date: Option<DateTime>,
    /// `trial`, `reading` or `batch`.
    kind: &'static str,
    /// What happened, in a few words.
    title: String,
    /// What else is written of it.
    lines: Vec<String>,
}

impl Entry {
    fn shown(&self, site: &Publication<'_>) -> Value {
        json!({
            "date": self.date.map(|d| d.date().to_string()),
            "kind": self.kind,
            "word": site.say(match self.kind {
                "trial" => "record.trial",
                "reading" => "record.reading",
                _ => "record.batch",
            }),
            "title": self.title,
            "lines": self.lines,
        })
    }
}

fn entries(site: &Publication<'_>, recipe: usize) -> Vec<Entry> {
    let note = site.note(recipe);
    let words = &site.words;
    let mut list: Vec<Entry> = Vec::new();
    for trial in &note.trials {
        let mut lines = Vec::new();
        lines.extend(match (&trial.before, &trial.after) {
            (Some(before), Some(after)) => Some(words.with("record.from_to", &[("before", before), ("after", after)])),
            (Some(before), None) => Some(words.with("record.before", &[("before", before)])),
            (None, after) => after.as_ref().map(|after| words.with("record.after", &[("after", after)])),
        });
        lines.extend(trial.verdict.clone());
        lines.extend(trial.score.map(|score| words.with("record.score", &[("score", &score.normalize().to_string())])));
        let title = trial.change.clone().unwrap_or_else(|| site.say("record.no_change"));
        list.push(Entry { date: trial.date, kind: "trial", title, lines });
    }
    for reading in &note.readings {
        let stage = stage_of(site, recipe, reading);
        let place = reading.after.as_ref().map_or_else(|| site.say("bench.last"), |a| a.value.clone());
        let before = stage.and_then(|stage| estimated(site, stage, reading));
        list.push(Entry {
            date: reading.date,
            kind: "reading",
            title: figures(site, reading),
            lines: [words.with("record.at", &[("stage", &place)])].into_iter().chain(before).collect(),
        });
    }
    let graph = &site.computed.graph;
    for batch in &graph.notes.log {
        if graph.names.get(&batch.recipe.value) != Some(Target::Recipe(recipe)) {
            continue;
        }
        let amount = |a: &Amount| format!("{} {}", a.value.normalize(), a.unit.word_for(a.value));
        let made = batch.amount.as_ref().map(|a| words.with("record.made", &[("amount", &amount(a))]));
        let left = batch.left.as_ref().map(|a| match a.value.is_zero() {
            true => site.say("record.none_left"),
            false => words.with("record.left", &[("amount", &amount(a))]),
        });
        let title = match &batch.lot {
            Some(lot) => words.with("record.lot", &[("lot", lot)]),
            None => site.say("record.no_lot"),
        };
        let amounts: Vec<String> = made.into_iter().chain(left).collect();
        let mut lines: Vec<String> = if amounts.is_empty() { Vec::new() } else { vec![amounts.join(", ")] };
        lines.extend(batch.readings.iter().map(|r| {
            let day = r.date.map_or(String::new(), |d| format!("{}: ", d.date()));
            format!("{day}{}", figures(site, r))
        }));
        lines.extend(batch.note.clone());
        list.push(Entry { date: batch.made, kind: "batch", title, lines });
    }
    // The latest first, what has no date last; what happened on one day stays in the order of its notes.
    list.sort_by_key(|e| std::cmp::Reverse(e.date));
    list
}

/// The stage that a reading was taken at.
fn stage_of<'a>(site: &Publication<'a>, recipe: usize, reading: &Reading) -> Option<&'a Stage> {
    let stages = &site.computed.made[recipe].stages;
    match &reading.after {
        Some(after) => stages.iter().find(|s| s.name == after.value),
        None => stages.last(),
    }
}

/// What was read, in one line: `pH 3.9, 1.55 l`.
fn figures(site: &Publication<'_>, reading: &Reading) -> String {
    let number = |v: f64| show::trim(&show::fixed(v, 3)).replace('-', "−");
    let fact = |f: &Option<crate::notebook::fact::Fact>, unit: &str| {
        f.as_ref().map(|f| {
            let spread = f.plus_minus.map_or(String::new(), |w| format!(" ± {}", number(w)));
            format!("{}{spread} {unit}", number(f.value))
        })
    };
    let amount = |a: &Amount| format!("{} {}", a.value.normalize(), a.unit.word_for(a.value));
    let list = [
        reading.ph.as_ref().map(|v| format!("pH {}", number(v.value))),
        fact(&reading.brix, "°Bx"),
        reading.gravity.as_ref().map(|v| site.words.with("record.gravity", &[("value", &show::fixed(v.value, 3))])),
        fact(&reading.abv, "% vol"),
        fact(&reading.sugar, "g/100 ml").map(|f| site.words.with("record.sugar", &[("value", &f)])),
        fact(&reading.acid, "g/100 ml").map(|f| site.words.with("record.acid", &[("value", &f)])),
        reading.volume.as_ref().map(|v| amount(&v.value)),
        reading.weight.as_ref().map(|v| amount(&v.value)),
        reading.temperature.as_ref().map(|v| show::temperature(v.value).replace('-', "−")),
    ];
    let list: Vec<String> = list.into_iter().flatten().collect();
    if list.is_empty() { site.say("record.nothing_read") } else { list.join(", ") }
}

/// What the program had expected of the figures that were read: `estimated before: 15.6 % vol, 1.53 l`.
fn estimated(site: &Publication<'_>, stage: &Stage, reading: &Reading) -> Option<String> {
    let before = stage.estimate.as_ref()?;
    let list = [
        reading.brix.as_ref().and_then(|_| before.figure_brix().ok()).map(|v| format!("{} °Bx", show::fixed(v, 1))),
        reading.abv.as_ref().and_then(|_| before.figure_abv().ok()).map(|v| format!("{} % vol", show::strength(v))),
        reading
            .sugar
            .as_ref()
            .and_then(|_| before.figure_sugar_per_100ml().ok())
            .map(|v| format!("{} g/100 ml", show::sugar(v))),
        reading
            .acid
            .as_ref()
            .and_then(|_| before.figure_acid_per_100ml().ok())
            .map(|v| format!("{} g/100 ml", show::acid(v))),
        reading.volume.as_ref().and_then(|_| before.figure_volume().ok()).map(show::volume),
        reading.weight.as_ref().and_then(|_| before.figure_mass().ok()).map(|v| format!("{} g", show::amount(v))),
        reading.temperature.as_ref().and_then(|_| before.figure_temperature().ok()).map(show::temperature),
    ];
    let list: Vec<String> = list.into_iter().flatten().collect();
    (!list.is_empty()).then(|| site.words.with("record.estimated", &[("figures", &list.join(", "))]))
}

/// What the template `record.html` gets.
pub(super) fn page(site: &Publication<'_>, recipe: usize) -> Value {
    let list = entries(site, recipe);
    let count = |kind: &str| list.iter().filter(|e| e.kind == kind).count();
    let counts = [
        ("record.n_trials", count("trial")),
        ("record.n_readings", count("reading")),
        ("record.n_batches", count("batch")),
    ];
    let said: Vec<String> =
        counts.into_iter().filter(|(_, n)| *n > 0).map(|(key, n)| site.words.count(key, n)).collect();
    let (name, href) = site.name_and_link(recipe);
    let version = site.note(recipe).version.as_ref().map(|v| site.words.with("recipe.version", &[("version", v)]));
    json!({
        "recipe": { "name": name, "href": href },
        "line": version.into_iter().chain(said).collect::<Vec<_>>().join(" · "),
        "entries": list.iter().map(|e| e.shown(site)).collect::<Vec<_>>(),
    })
}

/// What the recipe's own page says of its record: the way to it and the latest trial.
pub(super) fn teaser(site: &Publication<'_>, recipe: usize) -> Option<Value> {
    let href = href(site, recipe)?;
    let list = entries(site, recipe);
    let last = list.iter().find(|e| e.kind == "trial").or(list.first())?;
    Some(json!({ "href": href, "label": site.words.count("record.all", list.len()), "last": last.shown(site) }))
}

#[cfg(test)]
mod tests {
    use crate::press::{Content, Edition, site::site};

    const RECIPE: &str = "---
name: Weir
mix: [60 ml gin, 30 ml lemon juice]
process: [shake: {dilution: 30 %}]
publish: true
readings: [{date: 2026-11-02, after: shake, ph: 2.9, volume: 118 ml}]
trials:
  - {date: 2026-10-12, change: more lemon, before: 22 ml, after: 30 ml, score: 8, verdict: brighter}
  - {change: a thought without a day}
---
1. Shake.
";
    const LOG: &str =
        "- {recipe: Weir, lot: W-1, made: 2026-11-20 15:30, amount: 2.4 l, left: 0 ml, note: for the fair}\n";

    fn pressed(edition: Edition) -> crate::press::Output {
        let folder = tempfile::tempdir().unwrap();
        for (path, text) in [("house.yaml", "name: Bar\n"), ("recipes/x/weir.md", RECIPE), ("log/a.yaml", LOG)] {
            let file = folder.path().join(path);
            std::fs::create_dir_all(file.parent().unwrap()).unwrap();
            std::fs::write(file, text).unwrap();
        }
        let (computed, _) = crate::compile(folder.path());
        site(&computed, edition).unwrap()
    }

    #[test]
    fn what_happened_stands_in_order_for_the_house_alone() {
        let made = pressed(Edition::House);
        let page = |path: &str| match &made[path] {
            Content::Bytes(bytes) => String::from_utf8(bytes.clone()).unwrap(),
            Content::Copy(_) => panic!("{path} is a copy"),
        };
        let record = page("records/weir.html");
        let places: Vec<usize> = ["lot W-1", "pH 2.9, 118 ml", "more lemon", "a thought without a day", "no date"]
            .iter()
            .map(|words| record.find(words).unwrap_or_else(|| panic!("no `{words}`")))
            .collect();
        assert!(places[..4].is_sorted() && places[4] < places[3], "{places:?}");
        for words in ["2.4 l made, none left", "for the fair", "22 ml → 30 ml", "score 8", "estimated before: 117 ml"]
        {
            assert!(record.contains(words), "no `{words}` in {record}");
        }
        let recipe = page("recipes/weir.html");
        assert!(recipe.contains("records/weir.html") && recipe.contains("more lemon") && !recipe.contains("W-1"));
        // Readings, trials and batches are the house's own.
        let public = pressed(Edition::Public);
        assert!(!public.keys().any(|path| path.starts_with("records/")));
        for (path, content) in public {
            if let Content::Bytes(bytes) = content {
                let text = String::from_utf8_lossy(&bytes).into_owned();
                assert!(!text.contains("more lemon") && !text.contains("W-1"), "{path}");
            }
        }
    }
}

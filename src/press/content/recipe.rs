//! One recipe: what its page, its place in the book and its batch sheet are made from.

use serde_json::{Value, json};

use super::figures::{
    ACID, BRIX, BY_MASS, DENSITY_20C, FREEZING, NBSP, Origin, RATIO, STRENGTH, SUGAR, SWEETNESS, Shown, allergens,
    figure, id, text_of, volume,
};
use super::{cautions, figures, pours, stages, timers};
use crate::ask::balance::{Axis, Verdict, balance};
use crate::measure::show;
use crate::notebook::recipe_note::Makes;
use crate::press::film::{clock, duration};
use crate::press::publication::Publication;
use crate::press::{address, text};
use crate::recipe::names::key;
use crate::recipe::run::Stage;
use crate::relation::standard_drink::{self, REGIMES, Regime};

/// Everything that is told of a recipe; `templates/site/DATA.md` names it. Scaling in the page and the record are the site's own.
pub(in crate::press) fn recipe(site: &Publication<'_>, recipe: usize) -> Value {
    let note = site.note(recipe);
    let made = &site.computed.made[recipe];
    let diet = site.safety.diet(recipe);
    let body_text = site.computed.graph.notes.sources.text(note.body);
    let values = site.values(Some(recipe), body_text, note.body);
    let body = text::body(body_text, &values, &|path| site.local_link(path).map(|l| format!("../{l}")));
    let prose: Vec<Value> = body.sections.iter().map(|s| json!({ "heading": s.heading, "html": s.html })).collect();
    let texts: Vec<&str> = body.step_texts.iter().map(String::as_str).collect();
    let mut beside = cautions::beside_steps(site, recipe, &texts);
    let (cautions, reminders) = cautions::of_recipe(site, recipe);
    let steps: Vec<Value> = body
        .steps
        .iter()
        .enumerate()
        .zip(&body.step_texts)
        .map(|((i, html), text)| {
            let timers = timers::written(&timers::timers(&site.words, text));
            json!({ "number": i + 1, "html": html, "cautions": std::mem::take(&mut beside[i]), "timers": timers })
        })
        .collect();
    let assumptions = assumptions(site, recipe);
    let uses = uses(site, recipe);
    let used_by: Vec<Value> = site.computed.graph.nodes[recipe]
        .used_by
        .iter()
        .filter(|r| site.shows(**r))
        .map(|r| site.row(*r, None))
        .collect();
    json!({
        "name": note.name.value,
        "makes": site.say(if note.makes == Makes::Prep { "word.prep" } else { "word.drink" }),
        "family": note.family.as_ref().map(|f| &f.value),
        "version": note.version,
        "glass": note.serve.glass.as_ref().map(|g| &g.value),
        "ice": note.serve.ice.as_ref().map(|i| ice(site, &i.value)),
        "chapter": { "name": site.chapter_name(&note.chapter), "href": site.chapter_href(&note.chapter) },
        "published": note.publish,
        "picture": site.picture(recipe),
        "lead": body.lead,
        "headline": headline(site, recipe),
        "spec": pours::spec(site, recipe),
        "garnish": note.serve.garnish.as_ref().map(|g| &g.value),
        "allergens": allergens(site, &diet, site.safety.statements(recipe)),
        "cautions": cautions,
        "reminders": reminders,
        "method": { "order": pours::process_words(site, recipe), "steps": steps, "prose": prose },
        "numbers": numbers(site, recipe),
        "balance": balance_view(site, recipe),
        "keeping": keeping(site, recipe),
        "assumptions": assumptions,
        "stages": stages::stages(site, made),
        "film": film(site, recipe),
        "problems": [],
        "bench": site.is_house().then(|| bench(site, recipe)).flatten(),
        "uses": uses,
        "used_by": used_by,
        "tags": note.tags.iter().map(|t| json!({ "name": t.value, "key": address(&key(&t.value)) })).collect::<Vec<_>>(),
    })
}

/// Ice in one line: `no ice`, `cubed ice`.
fn ice(site: &Publication<'_>, kind: &str) -> String {
    if kind == "none" {
        site.say("recipe.no_ice")
    } else {
        site.words.with("recipe.with_ice", &[("kind", &site.phrase(kind))])
    }
}

/// The stage that guests drink from: the glass of a drink, the batch of a prep.
fn shown_stage<'a>(site: &Publication<'a>, recipe: usize) -> (&'a Stage, String) {
    let computed = site.computed;
    let made = &computed.made[recipe];
    if made.served.is_some() {
        (made.last(), site.say("figure.in_the_glass"))
    } else {
        (made.batch(), site.say("figure.as_made"))
    }
}

fn volume_figure(stage: &Stage, label: &str) -> Shown {
    match stage.mixture.figure_volume() {
        Ok(ml) => {
            let (number, unit) = volume(ml);
            Shown::new(label, Ok(number), unit, Origin::Computed)
        }
        Err(because) => Shown::new(label, Err(because.short()), "", Origin::Computed),
    }
}

fn headline(site: &Publication<'_>, recipe: usize) -> Vec<Value> {
    let made = &site.computed.made[recipe];
    let (stage, basis) = shown_stage(site, recipe);
    if made.served.is_none() {
        return vec![
            volume_figure(stage, &site.say("figure.makes")).done(),
            figure(site, stage, BRIX).done(),
            figure(site, stage, STRENGTH).done(),
        ];
    }
    vec![
        figure(site, stage, STRENGTH).with("basis", basis).done(),
        volume_figure(stage, &site.say("figure.volume")).with("basis", site.say("figure.per_glass")).done(),
        drinks(site, stage).with("basis", site.say("figure.per_glass")).done(),
    ]
}

fn drinks(site: &Publication<'_>, stage: &Stage) -> Shown {
    let label = site.say("figure.standard_drinks");
    let Some(regime) = REGIMES.iter().find(|r| r.code == site.house().drinks_regime) else {
        return Shown::new(&label, Err(site.say("figure.no_regime")), "", Origin::Computed);
    };
    let value = stage.mixture.figure_standard_drinks(regime);
    Shown::new(&label, text_of(&value, 1), &regime_unit(site, regime), Origin::Computed).with("source", regime.source)
}

/// `UK units`, `US drinks`: short enough to stand beside a number.
fn regime_unit(site: &Publication<'_>, regime: &Regime) -> String {
    let place = regime.code.to_uppercase();
    let key = if regime.word == "unit" { "figure.regime_units" } else { "figure.regime_drinks" };
    site.words.with(key, &[("place", &place)])
}

fn numbers(site: &Publication<'_>, recipe: usize) -> Vec<Value> {
    let made = &site.computed.made[recipe];
    let (stage, _) = shown_stage(site, recipe);
    let of = |reader| figure(site, stage, reader).done();
    let mut first = vec![
        of(STRENGTH),
        volume_figure(stage, &site.say("figure.volume")).done(),
        of(SUGAR),
        of(ACID),
        of(RATIO),
        of(BRIX),
        of(SWEETNESS),
        of(DENSITY_20C),
    ];
    let energy = |kind: usize, unit: &str| {
        // A prep's energy is per 100 ml, since nobody drinks the batch.
        let energy = stage.mixture.figure_energy().map(|(kj, kcal)| [kj, kcal][kind]);
        let per = if made.served.is_some() { Ok(1.0) } else { stage.mixture.figure_volume().map(|v| 100.0 / v) };
        let value = energy.and_then(|e| per.map(|p| e * p));
        Shown::new(&site.say("figure.energy"), text_of(&value, 0), unit, Origin::Computed)
            .with("basis", if made.served.is_some() { String::new() } else { site.say("figure.per_100_ml") })
            .with("source", crate::relation::energy::SOURCE)
            .done()
    };
    first.push(energy(0, "kJ"));
    first.push(energy(1, "kcal"));
    if made.served.is_some() {
        first.push(drinks(site, stage).done());
    }
    first.push(of(FREEZING));
    if let Some(ph) = made.ph.filter(|_| site.is_house()) {
        first.push(Shown::new("pH", Ok(show::fixed(ph, 2)), "", Origin::Reading).done());
    }
    let others_source =
        format!("{}; {}; proof: 27 CFR 30, twice the % vol, and 7/4 of it", BY_MASS.source, standard_drink::SOURCE);
    let mut others = vec![of(BY_MASS)];
    if made.served.is_some() {
        others.extend(other_regimes(site, stage));
    }
    let proof = stage.mixture.figure_proof();
    let us = proof.clone().map(|p| p.0);
    let uk = proof.map(|p| p.1);
    others.push(Shown::new(&site.say("figure.proof"), text_of(&us, 1), "US", Origin::Computed).done());
    others.push(
        Shown::new(&site.say("figure.proof"), text_of(&uk, 1), &site.say("figure.proof_uk"), Origin::Computed).done(),
    );
    let title = site.say(if made.served.is_some() { "figure.in_one_glass" } else { "figure.all_as_made" });
    vec![
        json!({ "title": title, "figures": first }),
        json!({ "title": site.say("figure.others"), "folded": true, "basis": site.say("figure.others_basis"), "figures": others, "source": others_source }),
    ]
}

/// Standard drinks elsewhere: places whose drink is of one size and comes to the same figure in one line.
fn other_regimes(site: &Publication<'_>, stage: &Stage) -> Vec<Value> {
    let size = |regime: &Regime| match regime.size {
        standard_drink::Size::Grams { grams, .. } => format!("{} g", show::trim(&show::fixed(grams, 1))),
        standard_drink::Size::Millilitres(ml) => format!("{} ml", show::trim(&show::fixed(ml, 1))),
    };
    let mut lines: Vec<(String, Result<String, String>, Vec<&str>)> = Vec::new();
    for regime in REGIMES.iter().filter(|r| r.code != site.house().drinks_regime) {
        let value = text_of(&stage.mixture.figure_standard_drinks(regime), 1);
        let size = size(regime);
        match lines.iter_mut().find(|(s, v, _)| *s == size && *v == value) {
            Some((_, _, places)) => places.push(regime.name),
            None => lines.push((size, value, vec![regime.name])),
        }
    }
    lines
        .into_iter()
        .map(|(size, value, places)| {
            let label =
                site.words.with("figure.standard_drinks_of", &[("size", &size.replace(' ', &NBSP.to_string()))]);
            Shown::new(&label, value, "", Origin::Computed).with("basis", places.join(", ")).done()
        })
        .collect()
}

fn balance_view(site: &Publication<'_>, recipe: usize) -> Value {
    let note = site.note(recipe);
    let made = &site.computed.made[recipe];
    let Some(balance) = balance(site.computed, recipe) else {
        let because = match (&note.family, note.makes) {
            (_, Makes::Prep) => site.say("balance.prep"),
            (None, _) => site.say("balance.no_family"),
            (Some(family), _) => site.words.with("balance.no_window", &[("family", &family.value)]),
        };
        return json!({ "axes": [], "because": because });
    };
    let stage = &made.stages[made.balance];
    let own = site.house().windows.contains_key(&balance.family);
    let source = if own { site.say("balance.own") } else { balance.source.clone() };
    let axes: Vec<Value> = [(STRENGTH, &balance.abv), (SUGAR, &balance.sugar), (ACID, &balance.acid)]
        .into_iter()
        .filter_map(|(reader, axis)| {
            let axis = axis.as_ref()?;
            let mut shown = figure(site, stage, reader).done();
            if let Some(map) = shown.as_object_mut() {
                map.extend(axis_view(site, axis, &site.say(reader.label), reader.unit, reader.decimals));
            }
            Some(shown)
        })
        .collect();
    json!({
        "axes": axes,
        "basis": site.words.with("balance.basis", &[("stage", &stage.name), ("family", &balance.family)]),
        "source": site.words.with("balance.window", &[("source", &source)]),
    })
}

const RAIL_LEFT: f64 = 6.0;
const RAIL_WIDTH: f64 = 308.0;

fn axis_view(
    site: &Publication<'_>,
    axis: &Axis,
    label: &str,
    unit: &str,
    decimals: usize,
) -> serde_json::Map<String, Value> {
    // A figure that is not known is neither in the window nor out of it.
    let word = axis.verdict.map(|verdict| match verdict {
        Verdict::Low => "balance.low",
        Verdict::In => "balance.in",
        Verdict::High => "balance.high",
    });
    // The rail shows the window with as much room on either side as it is wide, and never less than a tenth of its middle.
    let room = (axis.high - axis.low).max(f64::midpoint(axis.low, axis.high) * 0.1).max(0.05);
    let (from, to) = ((axis.low - room).max(0.0), axis.high + room);
    let at = |v: f64| RAIL_LEFT + ((v - from) / (to - from)).clamp(0.0, 1.0) * RAIL_WIDTH;
    let range = format!(
        "{}–{}",
        show::trim(&show::fixed(axis.low, decimals.max(1) + 1)),
        show::trim(&show::fixed(axis.high, decimals.max(1) + 1))
    );
    let value = axis.value.map_or_else(|| site.say("word.unknown"), |v| show::fixed(v, decimals));
    let mut map = serde_json::Map::new();
    map.insert("verdict".into(), json!(axis.verdict.map(Verdict::word)));
    map.insert("verdict_word".into(), json!(word.map(|word| site.say(word))));
    map.insert("window".into(), json!(format!("{range} {unit}").replace(' ', &NBSP.to_string())));
    map.insert(
        "rail".into(),
        json!({
            "text": site.words.with("balance.rail", &[("label", label), ("value", &value), ("unit", unit), ("range", &range)]),
            "low_x": stages::coordinate(at(axis.low)),
            "high_x": stages::coordinate(at(axis.high)),
            "window_width": stages::coordinate((at(axis.high) - at(axis.low)).max(1.0)),
            "mark_x": axis.value.map(|v| stages::coordinate(at(v))),
        }),
    );
    map
}

fn keeping(site: &Publication<'_>, recipe: usize) -> Vec<Value> {
    let note = site.note(recipe);
    if note.keeps.is_empty() {
        let kept = site.safety.keeping(recipe);
        if let Some(hold) = kept.shortest() {
            let shown = show::hours(hold.hours);
            let (number, unit) = shown.split_once(' ').unwrap_or((&shown, ""));
            let figure = Shown::new(&site.at_temperature(hold.at_c), Ok(number.to_owned()), unit, Origin::Computed)
                .with("note", format!("{}.", hold.because))
                .with("source", hold.source.clone().unwrap_or_default());
            return vec![figure.done()];
        }
        let because = if note.makes == Makes::Drink { "keeping.unknown_drink" } else { "keeping.unknown" };
        return vec![Shown::new(&site.say("keeping.time"), Err(site.say(because)), "", Origin::Written).done()];
    }
    figures::keeping(site, &note.keeps)
}

fn assumptions(site: &Publication<'_>, recipe: usize) -> Vec<Value> {
    let mut list = Vec::new();
    let mut seen = std::collections::BTreeSet::new();
    let node = &site.computed.graph.nodes[recipe];
    let steps = node.process.iter().flat_map(|s| s.pours.values().flatten());
    for pour in node.mix.iter().chain(&node.finish).flatten().chain(steps) {
        if let Some(assumed) = &pour.assumed {
            let key = id("assumed", &pour.line.text.value);
            if seen.insert(key.clone()) {
                list.push(json!({ "id": key, "text": format!("{}: {assumed}.", pour.line.text.value) }));
            }
        }
    }
    for text in &site.computed.made[recipe].assumptions {
        if text.starts_with("one ") {
            let key = id("measure", text.split(" is ").next().unwrap_or(text));
            if seen.insert(key.clone()) {
                let mut letters = text.chars();
                let first = letters.next().map_or(String::new(), |c| c.to_uppercase().collect());
                list.push(json!({ "id": key, "text": format!("{first}{}.", letters.as_str()) }));
            }
        }
    }
    list
}

fn uses(site: &Publication<'_>, recipe: usize) -> Vec<Value> {
    site.computed.graph.nodes[recipe]
        .uses
        .iter()
        .map(|used| {
            if site.shows(*used) {
                site.row(*used, None)
            } else {
                let held = site.safety.diet(*used);
                json!({
                    "name": site.note(*used).name.value,
                    "line": site.say("recipe.hidden_prep"),
                    "allergens": site.contains_line(&held),
                })
            }
        })
        .collect()
}

fn film(site: &Publication<'_>, recipe: usize) -> Option<Value> {
    let note = site.note(recipe);
    let film = note.film.as_ref()?;
    let seen_at = film.address.as_ref().map(|a| a.value.as_str());
    let chapters: Vec<Value> = film
        .chapters
        .iter()
        .map(|(at, title)| {
            // The time in an address by Media Fragments URI 1.0 (W3C), 4.2.1.
            let href = seen_at.filter(|a| !a.contains('#')).map(|a| format!("{a}#t={at}"));
            json!({ "at": clock(*at), "duration": duration(u64::from(*at)), "title": title, "href": href })
        })
        .collect();
    Some(json!({
        "title": site.words.with("recipe.film_of", &[("name", &note.name.value)]), "href": seen_at,
        "length": film.length.map(clock), "chapters": chapters,
    }))
}

/// What only the house sees: price, trials, readings, what was made.
fn bench(site: &Publication<'_>, recipe: usize) -> Option<Value> {
    let note = site.note(recipe);
    let mut facts = Vec::new();
    if let Some(price) = &note.sells_at {
        let currency = site.house().money.currency.clone().unwrap_or_default();
        facts.push(
            Shown::new(&site.say("bench.sells_at"), Ok(price.value.to_string()), &currency, Origin::Written).done(),
        );
    }
    if let Some(measured) = &note.makes_measured {
        facts.push(
            Shown::new(
                &site.say("bench.makes"),
                Ok(measured.value.value.normalize().to_string()),
                measured.value.unit.word(),
                Origin::Reading,
            )
            .done(),
        );
    }
    let mut tables = Vec::new();
    let columns = |keys: &[&str]| keys.iter().map(|k| site.say(&format!("bench.{k}"))).collect::<Vec<_>>();
    let date = |d: &Option<jiff::civil::DateTime>| d.map_or("–".to_owned(), |d| d.date().to_string());
    let or_dash = |t: &Option<String>| t.clone().unwrap_or_else(|| "–".into());
    if !note.trials.is_empty() {
        let rows: Vec<Value> = note
            .trials
            .iter()
            .map(|t| {
                json!([
                    date(&t.date),
                    or_dash(&t.change),
                    or_dash(&t.before),
                    or_dash(&t.after),
                    t.score.map_or("–".into(), |s| s.to_string()),
                    or_dash(&t.verdict)
                ])
            })
            .collect();
        tables.push(json!({ "id": "t-trials", "caption": site.say("bench.trials"), "columns": columns(&["date", "change", "before", "after", "score", "verdict"]), "rows": rows }));
    }
    if !note.readings.is_empty() {
        let sources = &site.computed.graph.notes.sources;
        let rows: Vec<Value> = note
            .readings
            .iter()
            .map(|r| {
                let after = r.after.as_ref().map_or_else(|| site.say("bench.last"), |a| a.value.clone());
                let said = sources.text(r.span).trim_matches(['{', '}', ' ', '\n']).replace('\n', ", ");
                json!([date(&r.date), after, said])
            })
            .collect();
        tables.push(json!({ "id": "t-readings", "caption": site.say("bench.readings"), "columns": columns(&["date", "after", "written"]), "rows": rows }));
    }
    let log: Vec<Value> = site
        .computed
        .graph
        .notes
        .log
        .iter()
        .filter(|e| {
            site.computed.graph.names.get(&e.recipe.value) == Some(crate::recipe::names::Target::Recipe(recipe))
        })
        .map(|e| {
            let amount = |a: &Option<crate::measure::Amount>| {
                a.map_or("–".to_owned(), |a| format!("{} {}", a.value.normalize(), a.unit.word_for(a.value)))
            };
            json!([date(&e.made), or_dash(&e.lot), amount(&e.amount), amount(&e.left), or_dash(&e.note)])
        })
        .collect();
    if !log.is_empty() {
        tables.push(json!({ "id": "t-log", "caption": site.say("bench.log"), "columns": columns(&["date", "lot", "amount", "left", "note"]), "rows": log }));
    }
    (!facts.is_empty() || !tables.is_empty()).then(|| json!({ "facts": facts, "tables": tables }))
}

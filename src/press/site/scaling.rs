//! Scaling in the page: what the script is given, and a table of usual sizes where no script runs.
//!
//! The script does what `ask::batch` does, in the same steps on the same fractions. Everything that takes a model (volumes,
//! densities, how figures answer to pours) is worked out here.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::assets::digest;
use crate::ask::batch::expand::volume_of;
use crate::ask::batch::limit::{Count, Nameable, nameable};
use crate::ask::batch::plan::{Line, Place, Plan};
use crate::ask::batch::ready::{Cold, ready};
use crate::ask::batch::rounding::Answers;
use crate::ask::batch::{Answer, Scaling};
use crate::measure::{Dimension, Exact, Unit, show};
use crate::press::content::usual_sizes::{tables, whole};
use crate::press::publication::Publication;
use crate::recipe::names::Target;

/// What the template `scaling.html` gets; `None` where nothing of the recipe can be scaled.
pub(super) fn scaling(site: &Publication<'_>, recipe: usize) -> Option<Value> {
    let facts = BTreeMap::new();
    let scaling = whole(site, recipe, &facts)?;
    let plan = &scaling.tree.plans[&recipe];
    let mut by: Vec<&str> = Vec::new();
    if plan.drink && (plan.volume.is_some() || plan.glass.is_none()) {
        by.push("serves");
    }
    if plan.volume.is_some() {
        by.extend(["volume", "bottles"]);
    }
    by.push("stock");
    let data = data(site, &scaling);
    let bottle =
        site.house().tools.bottles.iter().filter(|_| site.is_house()).filter_map(|b| b.base(&site.house().units));
    let bottle = bottle.max().map_or_else(|| "700".to_owned(), |b| b.normalize().to_string());
    Some(json!({
        "by": by.iter().map(|b| json!({ "key": b, "label": site.say(&format!("scale.by_{b}")) })).collect::<Vec<_>>(),
        "serves": if plan.glass.is_some() { 40 } else { 8 },
        "bottle": bottle,
        "ounces": site.house().show.first() == Some(&Unit::Oz),
        "ready": plan.drink && plan.melt().next().is_some(),
        "tables": tables(site, &scaling),
        "data": data.to_string(),
    }))
}

/// Takes the script's data out of a page's scaling, as a file beside the page that is fetched when somebody scales, and leaves its
/// address in the place of it. A script, because a page from a plain folder may read no other kind of file.
pub(super) fn put_beside(scaling: &mut Value, slug: &str) -> Option<(String, Vec<u8>)> {
    let scaling = scaling.as_object_mut()?;
    let data = scaling.remove("data")?;
    let bytes = format!("self.costrelScale = {};\n", data.as_str()?).into_bytes();
    let path = format!("recipes/{slug}.scale.js");
    scaling.insert("facts".into(), json!(format!("{path}?v={}", digest(&bytes))));
    Some((path, bytes))
}

/// What the form and its script say.
const SAID: &[&str] = &[
    "scale.what",
    "scale.measure",
    "scale.exact",
    "scale.tool",
    "scale.scaled",
    "scale.first",
    "scale.times",
    "scale.makes",
    "scale.serves_one",
    "scale.serves_other",
    "scale.bottles_one",
    "scale.bottles_other",
    "scale.left",
    "scale.limited",
    "scale.at",
    "scale.each_glass",
    "scale.from",
    "scale.spare",
    "scale.fills",
    "scale.start",
    "scale.loads",
    "scale.coarse",
    "scale.in_stock",
    "scale.to_make",
    "scale.needed",
    "scale.bad_number",
    "scale.bad_whole",
    "scale.bad_name",
    "scale.unknown_volume",
    "scale.too_much",
    "scale.too_little",
    "scale.untold",
    "scale.dash_one",
    "scale.dash_other",
    "scale.drop_one",
    "scale.drop_other",
    "scale.barspoon_one",
    "scale.barspoon_other",
    "scale.piece_one",
    "scale.piece_other",
    "scale.by_jug",
    "scale.by_jigger",
    "scale.by_jug_and_jigger",
    "scale.by_scale",
    "scale.by_dashes",
    "scale.by_drops",
    "scale.by_barspoon",
    "scale.by_count",
    "scale.by_all_of_it",
    "scale.by_the_rest_of_it",
    "scale.by_too_little_to_measure",
    "scale.ready_water",
    "scale.beyond",
    "scale.figure_abv_pct",
    "scale.figure_sugar_g_per_100ml",
    "scale.figure_acid_g_per_100ml",
    "scale.fruit",
    "scale.side_flesh",
    "scale.side_peel",
    "scale.side_core",
    "scale.twice",
    "scale.by_serves",
    "scale.by_volume",
    "scale.by_bottles",
    "scale.by_stock",
];

fn data(site: &Publication<'_>, scaling: &Scaling<'_>) -> Value {
    let tree = &scaling.tree;
    let place: BTreeMap<usize, usize> = tree.order.iter().enumerate().map(|(i, r)| (*r, i)).collect();
    let recipes: Vec<Value> = tree
        .order
        .iter()
        .map(|r| {
            let plan = &tree.plans[r];
            let (name, href) = site.name_and_link(*r);
            let lines = plan.lines.iter().zip(&scaling.answers[r]);
            json!({
                "slug": site.computed.graph.nodes[*r].slug,
                "name": name,
                "href": href.filter(|_| *r != tree.top).map(|h| format!("../{h}")),
                "volume": plan.volume.as_ref().map(Exact::fraction),
                "weighs": plan.mass.as_ref().map(Exact::fraction),
                "glass": plan.glass.as_ref().map(Exact::fraction),
                "drink": plan.drink,
                "bottle": plan.bottle.as_ref().map(|(size, space)| json!([size.fraction(), space.fraction()])),
                "lines": lines.map(|(l, answers)| line(site, &tree.plans, &place, l, answers.as_ref())).collect::<Vec<_>>(),
            })
        })
        .collect();
    let names: Vec<Value> = nameable(site.computed, tree).iter().map(|n| name(n, &place, tree.top)).collect();
    let tools = &scaling.kit.tools;
    let scales = tools.scales.iter().map(|s| json!([s.step.fraction(), s.capacity.as_ref().map(Exact::fraction)]));
    json!({
        "kit": {
            "jigger": tools.jigger.iter().map(Exact::fraction).collect::<Vec<_>>(),
            "largest": tools.largest.fraction(), "jug": tools.jug.fraction(), "scales": scales.collect::<Vec<_>>(),
            "dash": tools.dash.fraction(), "drop": tools.drop.fraction(), "barspoon": tools.barspoon.fraction(),
            "ounce": tools.ounce.fraction(), "headspace": scaling.kit.headspace.fraction(),
            "tolerance": scaling.kit.tolerance.each_ref().map(Exact::fraction),
        },
        "recipes": recipes,
        "names": names,
        "ready": ready_to_pour(site, scaling),
        "words": SAID.iter().map(|k| (k.trim_start_matches("scale.").to_owned(), json!(site.say(k)))).collect::<serde_json::Map<_, _>>(),
    })
}

/// What is said of a batch that is ready to pour, whatever its size.
fn ready_to_pour(site: &Publication<'_>, scaling: &Scaling<'_>) -> Vec<String> {
    let plan = &scaling.tree.plans[&scaling.tree.top];
    if !plan.drink || plan.melt().next().is_none() {
        return Vec::new();
    }
    let (ready, _) = ready(site.computed, &scaling.tree, &Answer::default());
    let cold = |key: &str, cold: &Cold| {
        let temperature = show::temperature(cold.at_c);
        let ice = cold.ice_pct.map(|p| show::fixed(p, 0)).map(|n| match cold.at_least {
            true => site.words.with("scale.at_least", &[("n", &n)]),
            false => n,
        });
        let state = match (cold.pours, cold.ice_pct) {
            (Some(true), Some(ice)) if ice <= 0.0 => "scale.cold_liquid",
            (Some(true), Some(_)) => "scale.cold_pours",
            (Some(false), Some(_)) => "scale.cold_freezes",
            _ => "scale.cold_unknown",
        };
        let state =
            site.words.with(state, &[("temperature", &temperature), ("ice", ice.as_deref().unwrap_or_default())]);
        site.words.with(key, &[("cold", &state)])
    };
    let mut list = vec![cold("scale.in_freezer", &ready.freezer), cold("scale.in_fridge", &ready.fridge)];
    list.extend(ready.notes.iter().filter_map(|advice| {
        let key = match advice.key {
            "chill" => "scale.ready_chill",
            "slush" => "scale.ready_slush",
            "glass_ice" => "scale.ready_glass_ice",
            "egg" => "scale.ready_egg",
            "cream" => "scale.ready_cream",
            "citrus" => "scale.ready_citrus",
            _ => return None,
        };
        Some(site.words.with(key, &[("names", &advice.names.join(", "))]))
    }));
    list
}

fn line(
    site: &Publication<'_>,
    plans: &BTreeMap<usize, Plan>,
    place: &BTreeMap<usize, usize>,
    line: &Line,
    answers: Option<&Answers>,
) -> Value {
    let part = match line.target {
        Some(Target::Recipe(i)) => place.get(&i).map(|p| (*p, volume_of(line, &plans[&i]))),
        _ => None,
    };
    let fraction = |e: &Option<Exact>| e.as_ref().map(Exact::fraction);
    json!({
        "name": line.name,
        "href": line.target.and_then(|t| site.target(t).1).map(|h| format!("../{h}")),
        "part": part.as_ref().map(|(p, _)| p),
        "takes": part.as_ref().and_then(|(_, ml)| fraction(ml)),
        "at": match &line.place { Place::Step(stage) => Some(stage), _ => None },
        "base": line.base.fraction(),
        "mass": line.dimension == Dimension::Mass,
        "written": line.written.map(Unit::word),
        "density": fraction(&line.density),
        "ml": fraction(&line.ml),
        "glass": line.per_glass,
        "taste": line.taste,
        "fills": fraction(&line.fills_to),
        "answers": answers.map(|a| a.each_ref().map(fraction)),
        "ice": line.ice,
        "melt": line.melt,
        "pieces": line.pieces.as_ref().map(|p| json!({
            "each": p.each.fraction(), "word": p.word, "whole": p.whole, "fruit": p.fruit.is_some(),
        })),
    })
}

fn name(nameable: &Nameable, place: &BTreeMap<usize, usize>, top: usize) -> Value {
    let takes: serde_json::Map<String, Value> = nameable
        .takes
        .iter()
        .map(|(count, lines)| {
            let key = match count {
                Count::Ml => "ml",
                Count::Grams => "g",
                Count::Pieces => "piece",
            };
            let lines: Vec<Value> =
                lines.iter().map(|t| json!([place[&t.recipe], t.line, t.each.fraction(), t.side])).collect();
            (key.to_owned(), Value::Array(lines))
        })
        .collect();
    let part = match nameable.target {
        Some(Target::Recipe(i)) if i != top => place.get(&i),
        _ => None,
    };
    json!({ "name": nameable.name, "part": part, "takes": takes })
}

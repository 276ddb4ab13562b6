//! The house page: the measures, glasses, temperatures, assumptions and windows that every figure of the notebook rests on; in the house
//! edition also the bar's tools, hours and money.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::ask::balance::window;
use crate::measure::{Amount, Unit, show};
use crate::notebook::house::Range;
use crate::press::publication::Publication;
use crate::relation::standard_drink::REGIMES;

/// Measures that differ from bar to bar.
const MEASURES: &[Unit] = &[
    Unit::Oz,
    Unit::Jigger,
    Unit::Pony,
    Unit::Tbsp,
    Unit::Tsp,
    Unit::Barspoon,
    Unit::Dash,
    Unit::Splash,
    Unit::Drop,
    Unit::Cup,
];

fn row(label: &str, value: impl Into<String>, unit: &str) -> Value {
    json!({ "label": label, "value": value.into(), "unit": unit })
}

fn group(id: &str, title: String, line: Option<String>, rows: Vec<Value>) -> Option<Value> {
    (!rows.is_empty()).then(|| json!({ "id": id, "title": title, "line": line, "rows": rows }))
}

fn amount(amount: &Amount) -> (String, &'static str) {
    (amount.value.normalize().to_string(), amount.unit.word_for(amount.value))
}

fn said(a: &Amount) -> String {
    let (value, unit) = amount(a);
    format!("{value}\u{a0}{unit}")
}

/// What the template `house.html` gets.
pub(super) fn page(site: &Publication<'_>) -> Value {
    let house = site.house();
    let measures: Vec<Value> = MEASURES
        .iter()
        .map(|unit| {
            let value = show::decimal(house.units.factor(*unit), 4);
            let mut row = row(&site.words.with("house.one", &[("unit", unit.word())]), value, "ml");
            if house.own_units.contains(unit)
                && let Some(map) = row.as_object_mut()
            {
                map.insert("note".into(), json!(site.say("house.own")));
            }
            row
        })
        .collect();
    let glasses: Vec<Value> = house
        .glasses
        .iter()
        .map(|(glass, volume)| {
            let (value, unit) = amount(volume);
            row(glass, value, unit)
        })
        .collect();
    let degrees =
        |label: &str, value: f64| row(&site.say(label), show::trim(&show::fixed(value, 1)).replace('-', "−"), "°C");
    let temperatures = vec![
        degrees("house.room", house.temperatures.room),
        degrees("house.ice", house.temperatures.ice),
        degrees("house.fridge", house.temperatures.fridge),
        degrees("house.freezer", house.temperatures.freezer),
    ];
    let percent = |share: f64| show::trim(&show::fixed(share * 100.0, 1));
    let (top, top_unit) = amount(&house.assume.top);
    let (taste, taste_unit) = amount(&house.assume.to_taste);
    let (pinch, pinch_unit) = amount(&house.assume.pinch);
    let assumptions = vec![
        row(&site.say("house.top"), top, top_unit),
        row(&site.say("house.rinse"), percent(house.assume.rinse_stays), "%"),
        row(&site.say("house.headspace"), percent(house.assume.headspace), "%"),
        row(&site.say("house.few"), house.assume.few.normalize().to_string(), ""),
        row(&site.say("house.to_taste"), taste, taste_unit),
        row(&site.say("house.pinch"), pinch, pinch_unit),
    ];
    let regime = REGIMES.iter().find(|r| r.code == house.drinks_regime);
    let regimes = vec![
        row(
            &site.words.with("house.standard_drink", &[("name", regime.map_or("", |r| r.name))]),
            regime.map_or("–".into(), |r| show::amount(r.millilitres())),
            &site.say("house.ml_ethanol"),
        ),
        row(
            &site.words.with("house.allergen_list", &[("list", &site.allergen_list())]),
            house.allergens_regime.to_uppercase(),
            "",
        ),
    ];
    let mut groups: Vec<Value> = [
        group("h-measures", site.say("house.measures"), Some(site.say("house.measures_line")), measures),
        group("h-glasses", site.say("house.glasses"), Some(site.say("house.glasses_line")), glasses),
        group("h-temperatures", site.say("house.temperatures"), None, temperatures),
        group("h-assumed", site.say("house.assumed"), Some(site.say("house.assumed_line")), assumptions),
        group("h-regimes", site.say("house.regimes"), None, regimes),
    ]
    .into_iter()
    .flatten()
    .collect();
    if site.is_house() {
        groups.extend(own(site));
    }
    json!({
        "title": site.say("house.title"),
        "line": site.words.with("house.line", &[("house", &house.name)]),
        "groups": groups,
        "tables": windows(site).into_iter().collect::<Vec<_>>(),
    })
}

/// What only the house sees.
fn own(site: &Publication<'_>) -> Vec<Value> {
    let house = site.house();
    let list = |amounts: &[Amount]| amounts.iter().map(said).collect::<Vec<_>>().join(", ");
    let mut tools = Vec::new();
    for (label, amounts) in [
        ("house.jigger", &house.tools.jigger),
        ("house.bottles", &house.tools.bottles),
        ("house.siphons", &house.tools.siphons),
    ] {
        if !amounts.is_empty() {
            tools.push(row(&site.say(label), list(amounts), ""));
        }
    }
    tools.push(row(&site.say("house.jug"), said(&house.tools.jug), ""));
    for scale in &house.tools.scales {
        let most = scale.capacity.as_ref().map_or(String::new(), |c| format!(" – {}", said(c)));
        tools.push(row(&site.say("house.scale"), format!("{}{most}", said(&scale.step)), ""));
    }
    tools.extend(house.equipment.iter().map(|(what, how_many)| row(what, how_many.as_str(), "")));
    let hours = house.hours.iter().map(|o| row(&o.label, o.times.as_str(), "")).collect();
    let money = &house.money;
    let currency = money.currency.clone().unwrap_or_default();
    let per_hour = site.words.with("house.per_hour", &[("currency", &currency)]);
    let money: Vec<Value> = [
        ("house.tax", money.tax, "%"),
        ("house.pour_cost", money.pour_cost, "%"),
        ("house.spillage", money.spillage, "%"),
        ("house.labour", money.labour, per_hour.as_str()),
    ]
    .into_iter()
    .filter_map(|(label, value, unit)| Some(row(&site.say(label), value?.normalize().to_string(), unit)))
    .collect();
    let only = || Some(site.say("base.house_only"));
    [
        group("h-tools", site.say("house.tools"), only(), tools),
        group("h-hours", site.say("house.hours"), only(), hours),
        group("h-money", site.say("house.money"), only(), money),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The windows of the families that occur, and of those that the house wrote.
fn windows(site: &Publication<'_>) -> Option<Value> {
    let mut families: BTreeSet<String> = site.house().windows.keys().cloned().collect();
    families.extend(site.drinks().filter_map(|r| site.note(r).family.as_ref()).map(|f| f.value.clone()));
    let range = |r: Option<Range>| {
        r.map_or("–".to_owned(), |r| {
            let n = |v: f64| show::trim(&show::fixed(v, 2));
            if r.low == r.high { n(r.low) } else { format!("{}–{}", n(r.low), n(r.high)) }
        })
    };
    let rows: Vec<Value> = families
        .iter()
        .filter_map(|family| {
            let w = window(site.house(), family)?;
            let own = site.house().windows.contains_key(family);
            let whose = site.say(if own { "house.window_own" } else { "house.window_published" });
            Some(json!([family, range(w.abv), range(w.sugar), range(w.acid), whose]))
        })
        .collect();
    (!rows.is_empty()).then(|| {
        json!({
            "id": "h-windows", "title": site.say("house.windows"), "caption": site.words.with("house.windows_caption", &[("source", crate::relation::balance_windows::SOURCE)]),
            "columns": [
                { "label": site.say("house.family") }, { "label": site.say("figure.strength"), "unit": "% vol" }, { "label": site.say("figure.sugar"), "unit": "g/100 ml" },
                { "label": site.say("figure.acid"), "unit": "g/100 ml" }, { "label": site.say("house.window_from") },
            ],
            "rows": rows,
        })
    })
}

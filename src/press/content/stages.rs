//! The stage ladder: a table of figures and a chart of volume and strength, one row a stage.

use serde_json::{Value, json};

use super::figures::{ACID, Reader, STRENGTH, SUGAR, text_of, volume};
use crate::measure::show;
use crate::mixture::figure::short;
use crate::press::publication::Publication;
use crate::recipe::run::{Made, Stage};

const WIDTH: f64 = 360.0;
const ROW: f64 = 72.0;
const DIVIDER: f64 = 34.0;

/// A coordinate with one decimal, so that bytes do not depend on the last bit.
pub(in crate::press) fn coordinate(x: f64) -> Value {
    json!((x * 10.0).round() / 10.0)
}

/// The table and the chart of a recipe; `None` where there is only the mix.
pub(in crate::press) fn stages(site: &Publication<'_>, made: &Made) -> Option<Value> {
    if made.stages.len() < 2 {
        return None;
    }
    let mut notes: Vec<String> = Vec::new();
    let mut cell = |value: Result<String, String>| match value {
        Ok(text) => json!({ "value": text }),
        Err(because) => {
            let number = notes.iter().position(|n| *n == because).unwrap_or_else(|| {
                notes.push(because);
                notes.len() - 1
            });
            json!({ "word": site.say("word.unknown"), "note": (number + 1).to_string() })
        }
    };
    let mut rows = Vec::new();
    for stage in &made.stages {
        let m = &stage.mixture;
        let mut read = |reader: Reader| cell(text_of(&(reader.read)(m), reader.decimals));
        let (strength, sugar, acid) = (read(STRENGTH), read(SUGAR), read(ACID));
        let dilution = match stage.dilution_pct {
            Some(pct) => json!({ "value": show::fixed(pct, 0) }),
            None => json!({ "word": "–" }),
        };
        rows.push(json!({
            "name": stage.name,
            "cells": [
                cell(m.figure_volume().map(show::amount).map_err(|b| b.short())),
                strength, sugar, acid,
                cell(m.figure_temperature().map(|t| show::trim(&show::fixed(t, 1)).replace('-', "−")).map_err(|b| b.short())),
                dilution,
            ],
        }));
    }
    // A remark may tell the reasons of a figure behind what it says.
    let brief =
        |remark: &str| if remark.contains("nobody stated") { short(remark.split("; ")) } else { remark.to_owned() };
    let remarks = made.stages.iter().flat_map(|s| s.remarks.iter().map(move |r| format!("{}: {}", s.name, brief(r))));
    let sources: Vec<String> = made
        .stages
        .iter()
        .filter(|s| !s.sources.is_empty())
        .map(|s| site.words.with("stages.by", &[("stage", &s.name), ("source", &s.sources.join("; "))]))
        .collect();
    let mut numbered: Vec<Value> =
        notes.iter().enumerate().map(|(i, text)| json!({ "number": (i + 1).to_string(), "text": text })).collect();
    for (i, text) in remarks.chain(sources).enumerate() {
        numbered.push(json!({ "number": letter(i), "text": text }));
    }
    Some(json!({
        "caption": site.say("stages.caption"),
        "columns": [
            { "label": site.say("figure.volume"), "unit": "ml" }, { "label": site.say("figure.strength"), "unit": "% vol" }, { "label": site.say("figure.sugar"), "unit": "g/100 ml" },
            { "label": site.say("figure.acid"), "unit": "g/100 ml" }, { "label": site.say("stages.temperature"), "unit": "°C" }, { "label": site.say("stages.water"), "unit": "%" },
        ],
        "rows": rows,
        "notes": numbered,
        "chart": chart(site, made),
    }))
}

fn letter(index: usize) -> String {
    let c = char::from(b'a' + u8::try_from(index % 26).unwrap_or(0));
    if index < 26 { c.to_string() } else { format!("{c}{}", index / 26) }
}

/// A round end for a strength scale, % vol.
fn scale_end(stages: &[Stage]) -> f64 {
    let most = stages.iter().filter_map(|s| s.mixture.figure_abv().ok()).fold(0.0, f64::max);
    [5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0].into_iter().find(|end| most <= *end).unwrap_or(100.0)
}

fn chart(site: &Publication<'_>, made: &Made) -> Value {
    let end = scale_end(&made.stages);
    let most = |per_glass: bool| {
        made.stages
            .iter()
            .filter(|s| s.per_glass == per_glass)
            .filter_map(|s| s.mixture.figure_volume().ok())
            .fold(0.0, f64::max)
    };
    // One glass of a batch is too small beside it; where the whole is one glass, one scale serves both.
    let batched = made.served.as_ref().is_some_and(|s| s.pour_ml.is_some());
    let (batch_most, glass_most) = if batched {
        (most(false), most(true))
    } else {
        let m = most(false).max(most(true));
        (m, m)
    };
    let (mut y, mut rows, mut dividers) = (0.0, Vec::new(), Vec::new());
    let mut divided = false;
    for stage in &made.stages {
        if stage.per_glass && batched && !divided {
            divided = true;
            dividers.push(json!({ "y": coordinate(y + 4.0), "text": site.say("stages.one_glass") }));
            y += DIVIDER;
        }
        let scale = if stage.per_glass { glass_most } else { batch_most };
        let m = &stage.mixture;
        let said_volume = m.figure_volume().map_or_else(
            |_| site.say("stages.volume_unknown"),
            |v| {
                let (n, unit) = volume(v);
                format!("{n} {unit}")
            },
        );
        let said_strength = m
            .figure_abv()
            .map_or_else(|_| site.say("stages.strength_unknown"), |v| format!("{} % vol", show::strength(v)));
        let mut row =
            json!({ "y": coordinate(y), "name": stage.name, "text": format!("{said_volume} · {said_strength}") });
        if let Some(map) = row.as_object_mut() {
            if let (Ok(v), true) = (m.figure_volume(), scale > 0.0) {
                map.insert("water_width".into(), coordinate(v / scale * WIDTH));
            }
            if let Ok(v) = m.figure_abv() {
                map.insert("mark_x".into(), coordinate(v / end * WIDTH));
            }
        }
        rows.push(row);
        y += ROW;
    }
    let ticks: Vec<Value> = (0..=4)
        .map(|i| {
            let share = f64::from(i) / 4.0;
            let anchor = match i {
                0 => "start",
                4 => "end",
                _ => "middle",
            };
            let label =
                if i % 2 == 0 { format!("{} %", show::trim(&show::fixed(end * share, 1))) } else { String::new() };
            json!({ "x": coordinate(WIDTH * share), "label": label, "anchor": anchor })
        })
        .collect();
    json!({
        "width": WIDTH, "height": coordinate(y + 22.0), "scale_y": coordinate(y),
        "rows": rows, "dividers": dividers, "ticks": ticks,
        "text": site.say("stages.chart_text"),
        "caption": site.words.with("stages.chart_caption", &[("end", &show::trim(&show::fixed(end, 1)))]),
    })
}

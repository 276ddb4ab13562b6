//! The balance map: every drink by sugar and acid, its size by strength, and the windows of the families.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::Site;
use super::stage_chart::coordinate;
use crate::ask::balance::window;
use crate::measure::show;

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 600.0;
const LEFT: f64 = 48.0;
const TOP: f64 = 44.0;
const RIGHT: f64 = 708.0;
const BOTTOM: f64 = 540.0;
const SHAPES: &[&str] = &["circle", "square", "diamond", "up", "down", "cross"];

/// The end and the step of a scale that holds `most`.
fn scale(most: f64, steps: &[(f64, f64)]) -> (f64, f64) {
    steps.iter().copied().find(|(end, _)| most <= *end).unwrap_or_else(|| {
        let end = libm::ceil(most / 10.0) * 10.0;
        (end, end / 5.0)
    })
}

/// Boxes already taken by marks and words, so that no label is laid over another.
#[derive(Default)]
struct Taken(Vec<[f64; 4]>);

impl Taken {
    /// Takes a box, given by left, top, width and height.
    fn take(&mut self, x: f64, y: f64, width: f64, height: f64) {
        self.0.push([x, y, x + width, y + height]);
    }

    fn overlap(&self, x: f64, y: f64, width: f64, height: f64) -> f64 {
        let side = |a: f64, b: f64, c: f64, d: f64| (b.min(d) - a.max(c)).max(0.0);
        self.0.iter().map(|t| side(x, x + width, t[0], t[2]) * side(y, y + height, t[1], t[3])).sum()
    }

    /// The baseline start, near a point, at which words of a size lie over least; the first of equals.
    fn place(&mut self, around: (f64, f64), width: f64, height: f64) -> (f64, f64) {
        let (px, py) = around;
        let mut best = (f64::INFINITY, (px, py));
        for reach in [8.0, 14.0, 22.0, 32.0] {
            for (dx, dy) in
                [(1.0, -1.0), (1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, -1.0), (0.0, 1.0)]
            {
                let x = px
                    + dx * reach
                    + if dx < 0.0 {
                        -width
                    } else if dx == 0.0 {
                        -width / 2.0
                    } else {
                        0.0
                    };
                let y = py
                    + dy * reach
                    + if dy < 0.0 {
                        -height
                    } else if dy == 0.0 {
                        -height / 2.0
                    } else {
                        0.0
                    };
                let outside = (LEFT - x).max(0.0) + (x + width - WIDTH).max(0.0) + (y + height - BOTTOM).max(0.0);
                let cost = self.overlap(x, y, width, height) + outside * 100.0 + reach * 0.01;
                if cost < best.0 - 1e-9 {
                    best = (cost, (x, y));
                }
            }
        }
        let (x, y) = best.1;
        self.take(x, y, width, height);
        (x, y + height * 0.8)
    }
}

struct Point {
    recipe: usize,
    sugar: f64,
    acid: f64,
    abv: f64,
    family: String,
}

/// The page of the map.
pub(in crate::press) fn page(site: &Site<'_>) -> Value {
    let (mut points, mut left_out) = (Vec::new(), Vec::new());
    for recipe in site.drinks() {
        let made = &site.computed.made[recipe];
        let m = &made.stages[made.balance].mixture;
        let family = site.note(recipe).family.as_ref().map_or_else(|| site.say("map.no_family"), |f| f.value.clone());
        match (m.figure_sugar_per_100ml(), m.figure_acid_per_100ml(), m.figure_abv()) {
            (Ok(sugar), Ok(acid), Ok(abv)) => points.push(Point { recipe, sugar, acid, abv, family }),
            (sugar, acid, abv) => {
                let because = [sugar.err(), acid.err(), abv.err()]
                    .into_iter()
                    .flatten()
                    .map(|b| b.text())
                    .next()
                    .unwrap_or_default();
                left_out.push(site.row(recipe, Some(because)));
            }
        }
    }
    points.sort_by(|a, b| site.note(a.recipe).name.value.cmp(&site.note(b.recipe).name.value));
    let mut maps = Vec::new();
    if !points.is_empty() {
        maps.push(map(site, &points));
    }
    json!({
        "title": site.say("map.title"),
        "line": site.say("map.line"),
        "words": site.say("map.words"),
        "maps": maps,
        "left_out": left_out,
        "source": site.words.with("map.source", &[("source", crate::relation::balance_windows::SOURCE)]),
    })
}

fn map(site: &Site<'_>, points: &[Point]) -> Value {
    let most = |f: fn(&Point) -> f64| points.iter().map(f).fold(0.0, f64::max);
    let (x_end, x_step) = scale(most(|p| p.sugar), &[(6.0, 2.0), (12.0, 4.0), (16.0, 4.0), (24.0, 8.0), (40.0, 10.0)]);
    let (y_end, y_step) =
        scale(most(|p| p.acid), &[(0.5, 0.1), (1.0, 0.2), (1.4, 0.2), (2.0, 0.5), (4.0, 1.0), (8.0, 2.0)]);
    let x = |sugar: f64| LEFT + (sugar / x_end).clamp(0.0, 1.0) * (RIGHT - LEFT);
    let y = |acid: f64| BOTTOM - (acid / y_end).clamp(0.0, 1.0) * (BOTTOM - TOP);
    let mut families: BTreeMap<&str, usize> = BTreeMap::new();
    for point in points {
        let next = families.len();
        families.entry(&point.family).or_insert(next);
    }
    let shape = |family: &str| SHAPES[families.get(family).copied().unwrap_or(0) % SHAPES.len()];
    let strongest = most(|p| p.abv).max(1.0);
    let mut marks = Vec::new();
    let mut rows = Vec::new();
    let mut taken = Taken::default();
    for point in points {
        taken.take(x(point.sugar) - 7.0, y(point.acid) - 7.0, 14.0, 14.0);
    }
    for (i, point) in points.iter().enumerate() {
        let number = (i + 1).to_string();
        // Area grows with strength, from a third of the largest for a drink without alcohol.
        let size = libm::sqrt(0.34 + 0.9 * (point.abv / strongest));
        let (px, py) = (x(point.sugar), y(point.acid));
        let (label_x, label_y) = taken.place((px, py), 10.5 * number.len() as f64, 15.0);
        marks.push(json!({
            "x": coordinate(px), "y": coordinate(py), "size": (size * 100.0).round() / 100.0, "shape": shape(&point.family), "number": number,
            "label_x": coordinate(label_x), "label_y": coordinate(label_y),
            "id": format!("point-{number}"),
            "name": site.words.with("map.point_name", &[
                ("name", &site.note(point.recipe).name.value), ("sugar", &show::sugar(point.sugar)),
                ("acid", &show::acid(point.acid)), ("abv", &show::strength(point.abv)),
            ]),
        }));
        let (name, href) = site.name_and_link(point.recipe);
        rows.push(json!({
            "number": number, "point": format!("point-{number}"), "name": name, "href": href, "family": point.family,
            "cells": [show::sugar(point.sugar), show::acid(point.acid), show::strength(point.abv)],
        }));
    }
    let windows: Vec<Value> = families
        .keys()
        .filter_map(|family| {
            let w = window(site.house(), family)?;
            let (sugar, acid) = (w.sugar?, w.acid?);
            let (left, right, top, bottom) = (x(sugar.low), x(sugar.high), y(acid.high), y(acid.low));
            let (label_x, label_y) = taken.place((left, top), 9.0 * family.chars().count() as f64, 16.0);
            Some(json!({
                "x": coordinate(left), "y": coordinate(top),
                "width": coordinate((right - left).max(2.0)), "height": coordinate((bottom - top).max(2.0)),
                "label": family, "label_x": coordinate(label_x), "label_y": coordinate(label_y),
            }))
        })
        .collect();
    let steps = |end: f64, step: f64| -> Vec<f64> {
        (0..=(libm::round(end / step) as u32)).map(|i| f64::from(i) * step).collect()
    };
    let x_ticks: Vec<Value> = steps(x_end, x_step)
        .iter()
        .map(|v| json!({ "at": coordinate(x(*v)), "label": show::trim(&show::fixed(*v, 1)) }))
        .collect();
    let y_ticks: Vec<Value> = steps(y_end, y_step)
        .iter()
        .map(|v| json!({ "at": coordinate(y(*v)), "label": show::trim(&show::fixed(*v, 1)) }))
        .collect();
    let key: Vec<Value> = families.keys().map(|family| json!({ "shape": shape(family), "label": family })).collect();
    json!({
        "id": "sugar-acid", "title": site.say("map.sugar_acid"), "width": WIDTH, "height": HEIGHT,
        "left": LEFT, "top": TOP, "right": RIGHT, "bottom": BOTTOM, "x_label_y": 564, "y_label_x": 34,
        "x_title": site.say("map.x"), "x_title_y": 590, "y_title": site.say("map.y"), "y_title_y": 18,
        "windows": windows, "x_ticks": x_ticks, "y_ticks": y_ticks, "points": marks, "key": key,
        "text": site.words.with("map.text", &[("n", &points.len().to_string())]),
        "caption": site.say("map.caption"),
        "table_caption": site.say("map.table"),
        "columns": [{ "label": site.say("figure.sugar"), "unit": "g/100 ml" }, { "label": site.say("figure.acid"), "unit": "g/100 ml" }, { "label": site.say("figure.strength"), "unit": "% vol" }],
        "rows": rows,
    })
}

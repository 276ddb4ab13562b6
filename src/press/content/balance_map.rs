//! The balance map: every drink by sugar and acid, its size by strength, and the windows of the families.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::stages::coordinate;
use crate::ask::balance::window;
use crate::measure::show;
use crate::press::publication::Publication;

/// Where a drawing lies: its size, the frame of its scales, and how large its words and marks are, all in its own units.
struct Frame {
    width: f64,
    height: f64,
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
    /// Height of a line of words and width of a digit.
    text: (f64, f64),
    /// What marks are scaled by.
    mark: f64,
    /// Whether words that find no free place are left out: on a phone the table below has them.
    sparse: bool,
}

/// For a desk and for paper.
const WIDE: Frame = Frame {
    width: 720.0,
    height: 600.0,
    left: 48.0,
    top: 44.0,
    right: 692.0,
    bottom: 540.0,
    text: (15.0, 10.5),
    mark: 1.0,
    sparse: false,
};
/// For a phone: about as many units as a narrow one has pixels, so that words stay as large as words are.
const NARROW: Frame = Frame {
    width: 320.0,
    height: 400.0,
    left: 30.0,
    top: 34.0,
    right: 300.0,
    bottom: 350.0,
    text: (13.0, 8.0),
    mark: 0.85,
    sparse: true,
};

const SHAPES: &[&str] = &["circle", "square", "diamond", "up", "down", "cross"];
const FILLS: &[&str] = &["solid", "open", "cored"];

/// The end and the step of a scale that holds `most`.
fn scale(most: f64, steps: &[(f64, f64)]) -> (f64, f64) {
    steps.iter().copied().find(|(end, _)| most <= *end).unwrap_or_else(|| {
        let end = libm::ceil(most / 10.0) * 10.0;
        (end, end / 5.0)
    })
}

/// Boxes already taken by marks and words, so that no label is laid over another.
struct Taken<'f> {
    frame: &'f Frame,
    boxes: Vec<[f64; 4]>,
}

impl<'f> Taken<'f> {
    fn new(frame: &'f Frame) -> Self {
        Self { frame, boxes: Vec::new() }
    }

    /// Takes a box, given by left, top, width and height.
    fn take(&mut self, x: f64, y: f64, width: f64, height: f64) {
        self.boxes.push([x, y, x + width, y + height]);
    }

    fn overlap(&self, x: f64, y: f64, width: f64, height: f64) -> f64 {
        let side = |a: f64, b: f64, c: f64, d: f64| (b.min(d) - a.max(c)).max(0.0);
        self.boxes.iter().map(|t| side(x, x + width, t[0], t[2]) * side(y, y + height, t[1], t[3])).sum()
    }

    /// The baseline start, near a point, at which words of a size lie over least; the first of equals. On a sparse drawing only a
    /// place that is free.
    fn place(&mut self, around: (f64, f64), width: f64, height: f64) -> Option<(f64, f64)> {
        let (px, py) = around;
        let frame = self.frame;
        // Left of, beside or behind a point, by how far.
        let beside = |d: f64, size: f64, reach: f64| d * reach - [size, size / 2.0, 0.0][(d + 1.0) as usize];
        let mut best = (f64::INFINITY, (px, py), 0.0);
        for reach in [8.0, 14.0, 22.0, 32.0, 44.0, 58.0] {
            for (dx, dy) in
                [(1.0, -1.0), (1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, -1.0), (0.0, 1.0)]
            {
                let (x, y) = (px + beside(dx, width, reach), py + beside(dy, height, reach));
                let outside = (frame.left - x).max(0.0)
                    + (x + width - frame.width).max(0.0)
                    + (y + height - frame.bottom).max(0.0);
                let covered = self.overlap(x, y, width, height) + outside * 100.0;
                let cost = covered + reach * 0.01;
                if cost < best.0 - 1e-9 {
                    best = (cost, (x, y), covered);
                }
            }
        }
        if frame.sparse && best.2 > 0.5 {
            return None;
        }
        let (x, y) = best.1;
        self.take(x, y, width, height);
        Some((x, y + height * 0.8))
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
pub(in crate::press) fn balance_map(site: &Publication<'_>) -> Value {
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
                    .map(|b| b.short())
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

/// A shape and how it is filled: what tells a family from another without a colour.
type Mark = (&'static str, &'static str);

/// A mark for each family, no two alike. Where there are more families than marks, those with the fewest drinks share the last one.
fn marks(points: &[Point]) -> BTreeMap<&str, Mark> {
    let mut counted: BTreeMap<&str, usize> = BTreeMap::new();
    for point in points {
        *counted.entry(&point.family).or_default() += 1;
    }
    let most = SHAPES.len() * FILLS.len();
    let mut by_size: Vec<&str> = counted.keys().copied().collect();
    by_size.sort_by_key(|family| std::cmp::Reverse(counted[family]));
    let mut own: Vec<&str> = by_size.iter().copied().take(if by_size.len() > most { most - 1 } else { most }).collect();
    own.sort_unstable();
    let mark = |i: usize| (SHAPES[i % SHAPES.len()], FILLS[i / SHAPES.len()]);
    counted.keys().map(|family| (*family, mark(own.iter().position(|o| o == family).unwrap_or(most - 1)))).collect()
}

fn map(site: &Publication<'_>, points: &[Point]) -> Value {
    let marks = marks(points);
    let mut shared: BTreeMap<Mark, Vec<&str>> = BTreeMap::new();
    for (family, mark) in &marks {
        shared.entry(*mark).or_default().push(family);
    }
    let mut key: Vec<(String, Value)> = shared
        .into_iter()
        .map(|((shape, fill), families)| {
            let label = families.join(", ");
            let data = json!({ "shape": shape, "fill": fill, "label": label, "families": families });
            (label, data)
        })
        .collect();
    key.sort_by(|a, b| a.0.cmp(&b.0));
    let rows: Vec<Value> = points
        .iter()
        .enumerate()
        .map(|(i, point)| {
            let (name, href) = site.name_and_link(point.recipe);
            json!({
                "number": (i + 1).to_string(), "point": format!("point-{}", i + 1), "name": name, "href": href, "family": point.family,
                "cells": [show::sugar(point.sugar), show::acid(point.acid), show::strength(point.abv)],
            })
        })
        .collect();
    let mut map = json!({
        "id": "sugar-acid", "title": site.say("map.sugar_acid"),
        "key": key.into_iter().map(|(_, data)| data).collect::<Vec<_>>(),
        "text": site.words.with("map.text", &[("n", &points.len().to_string())]),
        "caption": site.say("map.caption"),
        "table_caption": site.say("map.table"),
        "columns": [{ "label": site.say("figure.sugar"), "unit": "g/100 ml" }, { "label": site.say("figure.acid"), "unit": "g/100 ml" }, { "label": site.say("figure.strength"), "unit": "% vol" }],
        "rows": rows,
        "narrow": drawing(site, points, &marks, &NARROW),
    });
    let beyond = |d: &Value| d["points"].as_array().is_some_and(|list| list.iter().any(|p| p.get("beyond").is_some()));
    if beyond(&map["narrow"]) {
        map["caption"] = json!(format!("{} {}", site.say("map.caption"), site.say("map.beyond")));
    }
    if let (Some(map), Value::Object(wide)) = (map.as_object_mut(), drawing(site, points, &marks, &WIDE)) {
        map.extend(wide);
    }
    map
}

/// What a scale must hold: every window, and all drinks but the few that would press the others into a corner. Those stand at its end.
fn held(points: &[Point], of: fn(&Point) -> f64, windows: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = points.iter().map(of).collect();
    values.sort_unstable_by(f64::total_cmp);
    let most = values.last().copied().unwrap_or(0.0);
    let usual = values.get((values.len().saturating_sub(1)) * 19 / 20).copied().unwrap_or(0.0);
    let end = windows.fold(usual, f64::max);
    if most > end * OUTLYING { end } else { most.max(end) }
}

/// A drink stands at the end of a scale only if it lies this much beyond all others.
const OUTLYING: f64 = 1.4;

fn drawing(site: &Publication<'_>, points: &[Point], marks: &BTreeMap<&str, Mark>, frame: &Frame) -> Value {
    let most = |f: fn(&Point) -> f64| points.iter().map(f).fold(0.0, f64::max);
    let shown: Vec<_> = marks.keys().filter_map(|f| Some((*f, window(site.house(), f)?))).collect();
    let x_most = held(points, |p| p.sugar, shown.iter().filter_map(|(_, w)| Some(w.sugar?.high)));
    let y_most = held(points, |p| p.acid, shown.iter().filter_map(|(_, w)| Some(w.acid?.high)));
    let (x_end, x_step) = scale(x_most, &[(6.0, 2.0), (12.0, 4.0), (16.0, 4.0), (24.0, 8.0), (40.0, 10.0)]);
    let (y_end, y_step) = scale(y_most, &[(0.5, 0.1), (1.0, 0.2), (1.4, 0.2), (2.0, 0.5), (4.0, 1.0), (8.0, 2.0)]);
    let x = |sugar: f64| frame.left + (sugar / x_end).clamp(0.0, 1.0) * (frame.right - frame.left);
    let y = |acid: f64| frame.bottom - (acid / y_end).clamp(0.0, 1.0) * (frame.bottom - frame.top);
    let strongest = most(|p| p.abv).max(1.0);
    let (line, digit) = frame.text;
    let mut taken = Taken::new(frame);
    let half = 7.0 * frame.mark;
    for point in points {
        taken.take(x(point.sugar) - half, y(point.acid) - half, half * 2.0, half * 2.0);
    }
    let (x_title, y_title) = (site.say("map.x"), site.say("map.y"));
    taken.take(0.0, 0.0, digit * y_title.chars().count() as f64, line + 8.0);
    let mut drawn = Vec::new();
    for (i, point) in points.iter().enumerate() {
        let number = (i + 1).to_string();
        // Area grows with strength, from a third of the largest for a drink without alcohol.
        let size = libm::sqrt(0.34 + 0.9 * (point.abv / strongest)) * frame.mark;
        let (px, py) = (x(point.sugar), y(point.acid));
        let (shape, fill) = marks[point.family.as_str()];
        let mut mark = json!({
            "x": coordinate(px), "y": coordinate(py), "size": (size * 100.0).round() / 100.0, "shape": shape, "fill": fill,
            "id": format!("point-{number}"), "family": point.family,
            "name": site.words.with("map.point_name", &[
                ("name", &site.note(point.recipe).name.value), ("sugar", &show::sugar(point.sugar)),
                ("acid", &show::acid(point.acid)), ("abv", &show::strength(point.abv)),
            ]),
        });
        if point.sugar > x_end {
            mark["beyond"] = json!("right");
        } else if point.acid > y_end {
            mark["beyond"] = json!("up");
        }
        if let Some((label_x, label_y)) = taken.place((px, py), digit * number.len() as f64, line) {
            mark["number"] = json!(number);
            mark["label_x"] = coordinate(label_x);
            mark["label_y"] = coordinate(label_y);
        }
        drawn.push(mark);
    }
    let windows: Vec<Value> = shown
        .iter()
        .filter_map(|(family, w)| {
            let (sugar, acid) = (w.sugar?, w.acid?);
            let (left, right, top, bottom) = (x(sugar.low), x(sugar.high), y(acid.high), y(acid.low));
            let mut window = json!({
                "x": coordinate(left), "y": coordinate(top), "family": family,
                "width": coordinate((right - left).max(2.0)), "height": coordinate((bottom - top).max(2.0)),
            });
            let width = 0.86 * digit * family.chars().count() as f64;
            if let Some((label_x, label_y)) = taken.place((left, top), width, line + 1.0) {
                window["label"] = json!(family);
                window["label_x"] = coordinate(label_x);
                window["label_y"] = coordinate(label_y);
            }
            Some(window)
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
    json!({
        "width": frame.width, "height": frame.height,
        "left": frame.left, "top": frame.top, "right": frame.right, "bottom": frame.bottom,
        "x_label_y": frame.bottom + 9.0 + line, "y_label_x": frame.left - 12.0,
        "x_title": x_title, "x_title_y": frame.height - 8.0, "y_title": y_title, "y_title_y": line + 3.0,
        "windows": windows, "x_ticks": x_ticks, "y_ticks": y_ticks, "points": drawn,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(family: &str, sugar: f64) -> Point {
        Point { recipe: 0, sugar, acid: 0.5, abv: 20.0, family: family.to_owned() }
    }

    #[test]
    fn no_two_families_look_alike_until_marks_run_out() {
        let most = SHAPES.len() * FILLS.len();
        for n in [1, 7, most] {
            let points: Vec<Point> = (0..n).map(|i| point(&format!("family {i:02}"), 5.0)).collect();
            let distinct: std::collections::BTreeSet<Mark> = marks(&points).into_values().collect();
            assert_eq!(distinct.len(), n);
        }
        // Then the smallest families share one, and no other family has it.
        let mut points: Vec<Point> = (0..30).map(|i| point(&format!("family {i:02}"), 5.0)).collect();
        points.push(point("family 29", 6.0));
        let marks = marks(&points);
        let shared: Vec<&&str> = marks.keys().filter(|f| marks[**f] == (SHAPES[5], FILLS[2])).collect();
        assert_eq!(shared.len(), 30 - (most - 1));
        assert!(!shared.contains(&&"family 29"), "the largest family keeps a mark of its own");
    }

    #[test]
    fn one_far_drink_does_not_press_the_others_into_a_corner() {
        let mut points: Vec<Point> = (0..30).map(|i| point("sour", 5.0 + f64::from(i) * 0.1)).collect();
        let sugar = |p: &Point| p.sugar;
        assert!((held(&points, sugar, std::iter::empty()) - 7.9).abs() < 1e-9);
        points.push(point("liqueur", 19.0));
        assert!(held(&points, sugar, std::iter::empty()) < 8.0);
        assert!((held(&points, sugar, std::iter::once(11.0)) - 11.0).abs() < 1e-9);
    }
}

//! Spec cards: what `cards.typ` gets. One recipe a card, the spec on the front, method and cautions on the back; what does not
//! fit at a size that is read at arm's length goes on to a second card, never off the first.

use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::{Value, json};

use super::paper::grid;
use super::prose::{self, Block, Run};
use super::{Card, Chapter, Document, Settings, book};
use crate::ask::prose::evaluate_all;
use crate::ask::safety::Survey;
use crate::press::publication::Publication;
use crate::press::text;

/// What the cards hold.
#[derive(Debug, Serialize)]
struct Cards {
    /// Width and height of a card, mm.
    width: f64,
    height: f64,
    sheet: Sheet,
    recipes: Vec<Value>,
}

/// Where the cards lie on a sheet, mm.
#[derive(Debug, Serialize)]
struct Sheet {
    width: f64,
    height: f64,
    columns: usize,
    rows: usize,
    /// From the left edge to the first card, and from the top.
    left: f64,
    top: f64,
    /// Whether lines show where to cut.
    cut: bool,
}

/// Letters that one piece of a step may have: a piece is moved to the next card whole, so it must fit on one.
const PIECE: usize = 420;

/// The steps, each with its number; one too long for a card is given as several pieces of words, the first with the number.
fn steps(site: &Publication<'_>, recipe: usize, steps: Value) -> Vec<Value> {
    let note = site.note(recipe);
    let body = site.computed.graph.notes.sources.text(note.body);
    let values = evaluate_all(site.computed, Some(recipe), body, note.body);
    let parts = text::parts(body, &values, &|_| None);
    let mut out = Vec::new();
    let Value::Array(steps) = steps else { return out };
    for (i, (mut step, events)) in steps.into_iter().zip(&parts.steps).enumerate() {
        let words = prose::plain(&prose::blocks(events, &|_| None));
        let number = (i + 1).to_string();
        if words.chars().count() <= PIECE {
            step["number"] = json!(number);
            out.push(step);
            continue;
        }
        for (j, piece) in pieces(&words).into_iter().enumerate() {
            let blocks = [Block::Paragraph { runs: vec![Run::Text { text: piece }] }];
            let cautions = if j == 0 { step["cautions"].clone() } else { json!([]) };
            out.push(json!({ "number": (j == 0).then_some(&number), "blocks": blocks, "cautions": cautions }));
        }
    }
    out
}

/// Words in pieces of at most [`PIECE`] letters, parted behind a sentence where there is one, else between words.
fn pieces(words: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut piece = String::new();
    let mut count = 0;
    for word in words.split_whitespace() {
        let ended = piece.ends_with(['.', '!', '?', ';']) && count > PIECE / 2;
        let length = word.chars().count() + 1;
        if count > 0 && (ended || count + length > PIECE) {
            out.push(std::mem::take(&mut piece));
            count = 0;
        }
        if count > 0 {
            piece.push(' ');
        }
        piece.push_str(word);
        count += length;
    }
    out.push(piece);
    out
}

/// Everything the template gets.
pub(super) fn document(
    site: &Publication<'_>,
    survey: &Survey,
    settings: &Settings,
    chapters: &[Chapter],
    card: Card,
    single: bool,
) -> Document {
    let (width, height) = card.size_mm();
    let sheet = if single {
        Sheet { width, height, columns: 1, rows: 1, left: 0.0, top: 0.0, cut: false }
    } else {
        let grid = grid(settings.paper, card);
        let middle = |room: f64, size: f64, count: usize| ((room - size * count as f64) / 2.0).max(0.0);
        Sheet {
            width: grid.sheet.0,
            height: grid.sheet.1,
            columns: grid.columns,
            rows: grid.rows,
            left: middle(grid.sheet.0, width, grid.columns),
            top: middle(grid.sheet.1, height, grid.rows),
            cut: grid.columns * grid.rows > 1 || (width, height) != grid.sheet,
        }
    };
    // A card stands alone, so nothing on it leads anywhere; pictures stay in the book.
    let nowhere = BTreeSet::new();
    let recipes = chapters
        .iter()
        .flat_map(|c| c.recipes.iter().map(move |r| (c, *r)))
        .map(|(chapter, r)| {
            let mut value = book::recipe(site, survey, r, &nowhere, &|_| None, &mut Vec::new());
            if let Some(map) = value.as_object_mut() {
                map.insert("in".into(), json!(chapter.name));
                let whole = map.remove("steps").unwrap_or_default();
                map.insert("steps".into(), json!(steps(site, r, whole)));
            }
            value
        })
        .collect();
    let body = json!(Cards { width, height, sheet, recipes });
    Document { template: "cards", title: site.say("print.spec_cards"), body, files: Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_steps_are_parted_behind_sentences() {
        let words = "A sentence of some length stands here. ".repeat(30);
        let made = pieces(&words);
        assert!(made.len() > 2 && made.iter().all(|p| p.chars().count() <= PIECE && p.ends_with('.')));
        assert_eq!(made.join(" "), words.trim());
        assert!(pieces(&"x ".repeat(1000)).iter().all(|p| p.chars().count() <= PIECE));
    }
}

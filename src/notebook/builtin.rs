//! The generic pantry that the program carries: 183 ingredients, each row with its sources.

use serde::Deserialize;

use super::fact::{Basis, Fact};
use super::pantry::{Form, ItemNote, Portion, bare_number};
use crate::measure::{Amount, Unit};
use crate::source::{FileId, SourceFile, Sources, Span, Spanned};

const TABLE: &str = include_str!("generic_pantry.csv");

/// How the built-in table is named where a message or page points at it.
pub const PATH: &str = "(built-in pantry)";

#[derive(Deserialize)]
struct Row {
    name: String,
    also: String,
    category: String,
    form: String,
    abv_pct_vol: String,
    sugar_g_per_100ml: String,
    acid_g_per_100ml: String,
    fat_g_per_100ml: String,
    protein_g_per_100ml: String,
    other_solids_g_per_100ml: String,
    density_g_ml: String,
    piece: String,
    piece_g: String,
    juice_ml_typical: String,
    allergens: String,
    allergen_note: String,
    tags: String,
    vegan: String,
    source: String,
    how: String,
    sulphites_mg_per_l: String,
    caffeine_mg_per_l: String,
    trace_source: String,
}

/// A fruit that the table knows only through its juice: `lime` beside `fresh lime juice`.
#[derive(Debug, Clone, PartialEq)]
pub struct PressedFruit {
    /// The fruit's name.
    pub fruit: String,
    /// Index of the juice among the items.
    pub juice: usize,
    /// Millilitres of juice from one fruit, a typical middle.
    pub juice_ml: f64,
    /// Mass of one fruit in g, where stated.
    pub piece_g: Option<f64>,
}

/// The built-in pantry.
#[derive(Debug, Clone)]
pub struct Builtin {
    /// Its file, for spans.
    pub file: FileId,
    /// Its items.
    pub items: Vec<ItemNote>,
    /// Which fruit gives which juice.
    pub pressed: Vec<PressedFruit>,
}

/// Reads the table. It is part of the program, so a fault in it is a bug that `built_in_rows_are_sound` catches.
#[must_use]
pub fn read(sources: &mut Sources) -> Builtin {
    let file = sources.add(SourceFile::new(PATH, TABLE));
    let mut items = Vec::new();
    let mut pressed = Vec::new();
    let mut reader = csv::Reader::from_reader(TABLE.as_bytes());
    let headers = reader.headers().cloned().unwrap_or_default();
    let mut record = csv::StringRecord::new();
    while reader.read_record(&mut record).unwrap_or(false) {
        let start = record.position().map_or(0, |p| p.byte() as usize);
        let end = start + TABLE[start..].find('\n').unwrap_or(TABLE.len() - start);
        let Ok(row) = record.deserialize::<Row>(Some(&headers)) else { continue };
        let span = Span::new(file, start, end);
        let item = item(&row, span);
        if let (Some(juice_ml), true) = (bare_number(&row.juice_ml_typical), item.form == Some(Form::Liquid)) {
            let counted = ["egg white", "egg yolk", "egg", "single shot", "400 g tin"];
            if !counted.contains(&row.piece.as_str()) {
                pressed.push(PressedFruit {
                    fruit: row.piece.clone(),
                    juice: items.len(),
                    juice_ml,
                    piece_g: bare_number(&row.piece_g),
                });
            }
        }
        items.push(item);
    }
    Builtin { file, items, pressed }
}

fn item(row: &Row, span: Span) -> ItemNote {
    let at = |text: &str| Spanned::new(text.trim().to_owned(), span);
    let list = |text: &str| -> Vec<Spanned<String>> {
        text.split(';').map(str::trim).filter(|t| !t.is_empty()).map(at).collect()
    };
    let form = match row.form.as_str() {
        "solid" => Form::Solid,
        "piece" => Form::Piece,
        _ => Form::Liquid,
    };
    let fact =
        |text: &str| bare_number(text).map(|value| Fact { value, plus_minus: None, basis: Basis::Unstated, span });
    let mut item = ItemNote::named(at(&row.name), span);
    item.also = list(&row.also);
    item.form = Some(form);
    item.category = Some(row.category.clone());
    item.abv = fact(&row.abv_pct_vol);
    item.sugar = fact(&row.sugar_g_per_100ml);
    item.acid = fact(&row.acid_g_per_100ml);
    item.fat = fact(&row.fat_g_per_100ml);
    item.protein = fact(&row.protein_g_per_100ml);
    item.solids = fact(&row.other_solids_g_per_100ml);
    item.density = fact(&row.density_g_ml);
    item.sulphites = fact(&row.sulphites_mg_per_l);
    item.caffeine = fact(&row.caffeine_mg_per_l);
    item.piece = piece(row, form, span);
    item.allergens = Some(list(&row.allergens));
    item.allergen_note = (!row.allergen_note.is_empty()).then(|| row.allergen_note.clone());
    item.vegan = match row.vegan.as_str() {
        "y" => Some(true),
        "n" => Some(false),
        _ => None,
    };
    item.tags = list(&row.tags);
    let traces = Some(&row.trace_source).filter(|t| !t.is_empty());
    item.source = Some(traces.map_or_else(|| row.source.clone(), |traces| format!("{}; {traces}", row.source)));
    item.how = Some(row.how.clone());
    item
}

/// What one piece of the row is: by mass where weighed; by volume where the table states only what it gives.
/// A juice's piece is its fruit, which is another ingredient, so it is not a piece of the juice.
fn piece(row: &Row, form: Form, span: Span) -> Option<Portion> {
    if row.piece.is_empty() {
        return None;
    }
    let exact = |text: &str| text.parse().ok();
    let (value, unit) = match (form, exact(&row.piece_g), exact(&row.juice_ml_typical)) {
        (Form::Liquid, _, _) if row.category == "juice" => return None,
        (_, Some(grams), _) => (grams, Unit::G),
        (_, None, Some(ml)) => (ml, Unit::Ml),
        _ => return None,
    };
    let word = row.piece.rsplit(' ').next().unwrap_or("").to_owned();
    Some(Portion { amount: Amount { value, unit }, word: Some(word), span })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_reference_is_kept_and_traces_are_added() {
        let reference = include_str!("../../tests/reference/ingredients.csv");
        let rows = |text: &'static str| {
            let rows = csv::Reader::from_reader(text.as_bytes()).into_deserialize();
            rows.map(|r| r.expect("a row")).collect::<Vec<std::collections::BTreeMap<String, String>>>()
        };
        let (ours, theirs) = (rows(TABLE), rows(reference));
        assert_eq!(ours.len(), theirs.len());
        for (ours, theirs) in ours.iter().zip(&theirs) {
            for (column, value) in theirs {
                assert_eq!(ours[column], *value, "{} of {}", column, ours["name"]);
            }
        }
    }

    #[test]
    fn built_in_rows_are_sound() {
        let builtin = read(&mut Sources::default());
        assert_eq!(builtin.items.len(), 183);
        for item in &builtin.items {
            assert!(!item.name.value.contains(','), "{}", item.name.value);
            assert!(item.allergens.is_some() && item.source.is_some());
        }
        for item in builtin.items.iter().filter(|i| i.sulphites.is_some() || i.caffeine.is_some()) {
            let source = item.source.as_deref().unwrap_or_default();
            assert!(source.contains("sulphites:") || source.contains("caffeine:"), "{}", item.name.value);
        }
        let shot = builtin.items.iter().find(|i| i.name.value == "espresso").and_then(|i| i.piece.clone());
        assert_eq!(shot.and_then(|p| p.word).as_deref(), Some("shot"));
    }
}

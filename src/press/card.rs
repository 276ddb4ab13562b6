//! Picture cards: what is drawn for links that are shared, as data for a template, and the drawing itself.
//!
//! The layout is worked out here, with the widths of the embedded font, so that a template only places. The font is that of the
//! typesetter's assets; a house adds others in `templates/notes/fonts/` for letters that it lacks, or for its looks.

use std::collections::BTreeSet;
use std::sync::{Arc, LazyLock};

use base64::Engine as _;
use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{ExtendedColorType, ImageEncoder as _};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{self, fontdb, roxmltree};
use schemars::JsonSchema;
use serde::Serialize;

use super::words::Words;
use crate::measure::show;
use crate::notebook::recipe_note::Makes;
use crate::notebook::{Notes, walk::Asset};
use crate::recipe::run::Computed;

/// What both cards are drawn from; all coordinates are worked out, so that a template only places.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Card {
    /// The wide one, 1200 × 630 pixels.
    pub wide: Sheet,
    /// The square one, 1200 × 1200 pixels.
    pub square: Sheet,
    /// The font's family.
    pub font: String,
}

/// One card.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Sheet {
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// Size of the name's letters.
    pub name_size: u32,
    /// Small words over the name: `punch`.
    pub over: Line,
    /// The name, broken into lines that fit.
    pub name: Vec<Line>,
    /// Figures under the name: `13.9 % vol`, `95 ml in a coupe`.
    pub under: Vec<Line>,
    /// The house.
    pub foot: Line,
    /// Left end of what stands at the right.
    pub side_x: u32,
    /// Its top.
    pub side_y: u32,
    /// Its width.
    pub side_width: u32,
    /// Its height.
    pub side_height: u32,
    /// The recipe's picture as a `data:` address; absent without one.
    pub picture: Option<String>,
    /// What goes in as layers in proportion to their volumes, to be drawn where there is no picture.
    pub layers: Vec<Layer>,
}

/// A line of text on a card.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Line {
    /// From the left.
    pub x: u32,
    /// Of its base line.
    pub y: u32,
    /// The words.
    pub text: String,
}

/// A layer of what goes in.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Layer {
    /// From the left.
    pub x: u32,
    /// From the top.
    pub y: u32,
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// Share of the accent colour, `0.85`.
    pub tint: String,
    /// What it is.
    pub name: String,
}

/// The family of the embedded font: Libertinus Serif, under the SIL Open Font License 1.1.
const FAMILY: &str = "Libertinus Serif";
/// Families that stand in for letters that it lacks.
const OTHERS: &[&str] = &["New Computer Modern", "NewComputerModern10", "DejaVu Sans Mono"];
/// Weight of a name.
const BOLD: u16 = 700;

/// Left end of the text.
const LEFT: u32 = 70;
/// Size of the small text; the least that is read on a phone (publishing practice, 40 px at 1200).
const SMALL: f64 = 40.0;
/// Size of the figures.
const FIGURES: f64 = 46.0;
/// Sizes that a name is tried in.
const SIZES: &[u32] = &[112, 100, 90, 80, 72, 64, 58];
/// Most layers; what is less is drawn together.
const LAYERS: usize = 7;

/// Fonts for drawing and measuring.
struct Fonts {
    database: Arc<fontdb::Database>,
    /// The family that is asked for first.
    family: String,
}

fn embedded() -> fontdb::Database {
    let mut database = fontdb::Database::new();
    for data in typst_assets::fonts() {
        database.load_font_source(fontdb::Source::Binary(Arc::new(data)));
    }
    // Fonts for mathematics have letters of another look.
    let others: Vec<fontdb::ID> = database
        .faces()
        .filter(|face| !face.families.iter().any(|(name, _)| name == FAMILY || OTHERS.contains(&name.as_str())))
        .map(|face| face.id)
        .collect();
    for id in others {
        database.remove_face(id);
    }
    database.set_serif_family(FAMILY);
    database
}

static EMBEDDED: LazyLock<Arc<fontdb::Database>> = LazyLock::new(|| Arc::new(embedded()));

/// The house's fonts among its templates.
fn house_fonts(notes: &Notes) -> impl Iterator<Item = &Asset> {
    notes.templates.iter().filter(|a| a.path.starts_with("notes/fonts/"))
}

fn fonts(notes: &Notes) -> Fonts {
    let mut own = house_fonts(notes).peekable();
    if own.peek().is_none() {
        return Fonts { database: Arc::clone(&EMBEDDED), family: FAMILY.into() };
    }
    let mut database = fontdb::Database::clone(&EMBEDDED);
    let mut family = None;
    for asset in own {
        let ids = database.load_font_source(fontdb::Source::Binary(Arc::new(asset.bytes.clone())));
        let first = ids.first().and_then(|id| database.face(*id)).and_then(|face| face.families.first());
        family = family.or_else(|| first.map(|(name, _)| name.clone()));
    }
    Fonts { database: Arc::new(database), family: family.unwrap_or_else(|| FAMILY.into()) }
}

/// Fonts of the house that cannot be read, by their path below `templates/`.
#[must_use]
pub fn unreadable_fonts(notes: &Notes) -> Vec<String> {
    house_fonts(notes)
        .filter(|asset| {
            let mut database = fontdb::Database::new();
            database.load_font_source(fontdb::Source::Binary(Arc::new(asset.bytes.clone()))).is_empty()
        })
        .map(|asset| asset.path.clone())
        .collect()
}

impl Fonts {
    /// Works with the face of the family and weight.
    fn with_face<T>(&self, weight: u16, work: impl FnOnce(&ttf_parser::Face<'_>) -> T) -> Option<T> {
        let query = fontdb::Query {
            families: &[fontdb::Family::Name(&self.family), fontdb::Family::Name(FAMILY)],
            weight: fontdb::Weight(weight),
            ..fontdb::Query::default()
        };
        let id = self.database.query(&query)?;
        let parsed = |data: &[u8], index: u32| ttf_parser::Face::parse(data, index).ok().map(|face| work(&face));
        self.database.with_face_data(id, parsed).flatten()
    }

    /// Width of a text, pixels. A letter that the face lacks counts as wide as it is high.
    fn width(&self, text: &str, size: f64, weight: u16) -> f64 {
        let width = self.with_face(weight, |face| {
            let units = f64::from(face.units_per_em()).max(1.0);
            let advance = |c: char| match face.glyph_index(c).and_then(|g| face.glyph_hor_advance(g)) {
                Some(advance) => f64::from(advance) / units,
                None => 1.0,
            };
            text.chars().map(advance).sum::<f64>() * size
        });
        width.unwrap_or(text.chars().count() as f64 * size)
    }

    /// Whether some face has a letter.
    fn has(&self, letter: char) -> bool {
        if letter.is_whitespace() {
            return true;
        }
        self.database.faces().any(|face| {
            let found = self.database.with_face_data(face.id, |data, index| {
                ttf_parser::Face::parse(data, index).is_ok_and(|face| face.glyph_index(letter).is_some())
            });
            found == Some(true)
        })
    }

    /// A text without what cannot be drawn: control characters go, letters of other scripts are spelled in Latin ones, signs that
    /// have no letters go.
    fn drawable(&self, text: &str) -> String {
        let mut out = String::new();
        for letter in text.chars() {
            if letter.is_control() {
                out.push(' ');
            } else if letter.is_ascii() || self.has(letter) {
                out.push(letter);
            } else if letter.is_alphabetic() {
                out.push_str(deunicode::deunicode_char(letter).unwrap_or(""));
            }
        }
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// Letters of a name for which no font has a shape.
#[must_use]
pub fn missing_letters(computed: &Computed, recipe: usize) -> BTreeSet<char> {
    let name = &computed.graph.notes.recipes[recipe].name.value;
    if name.is_ascii() {
        return BTreeSet::new();
    }
    let fonts = fonts(&computed.graph.notes);
    name.chars().filter(|c| !c.is_control() && !c.is_ascii() && !fonts.has(*c)).collect()
}

/// A text in lines no wider than `width`, and whether a word that is wider than a line had to be broken.
fn broken(fonts: &Fonts, text: &str, size: f64, width: f64) -> (Vec<String>, bool) {
    let mut torn = false;
    let fits = |line: &str| fonts.width(line, size, BOLD) <= width;
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if fits(&format!("{line} {word}")) => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
        while let Some(last) = lines.last().filter(|l| !fits(l) && l.chars().count() > 1).cloned() {
            let mut head: String = last.clone();
            while !fits(&format!("{head}-")) && head.chars().count() > 1 {
                head.pop();
            }
            let rest = last[head.len()..].to_owned();
            torn = true;
            lines.pop();
            lines.push(format!("{head}-"));
            lines.push(rest);
        }
    }
    (lines, torn)
}

/// A text cut to one line.
fn cut(fonts: &Fonts, text: &str, size: f64, weight: u16, width: f64) -> String {
    if fonts.width(text, size, weight) <= width {
        return text.to_owned();
    }
    let mut head = text.to_owned();
    while !head.is_empty() && fonts.width(&format!("{head}…"), size, weight) > width {
        head.pop();
    }
    format!("{}…", head.trim_end())
}

/// The name in the largest letters in which it fits, cut in the smallest if it fits in none.
fn name_lines(fonts: &Fonts, name: &str, width: f64, height: f64) -> (u32, Vec<String>) {
    let room = |size: u32| (height / (f64::from(size) * LEADING)) as usize;
    for size in SIZES {
        let (lines, torn) = broken(fonts, name, f64::from(*size), width);
        // A word that had to be broken is tried smaller, as long as there is something smaller.
        if lines.len() <= room(*size) && !torn {
            return (*size, lines);
        }
    }
    let size = SIZES[SIZES.len() - 1];
    let (mut lines, _) = broken(fonts, name, f64::from(size), width);
    let room = room(size).max(1);
    if lines.len() > room {
        lines.truncate(room);
        if let Some(last) = lines.last_mut() {
            let whole = format!("{} …", last.trim_end_matches('-'));
            *last = if fonts.width(&whole, f64::from(size), BOLD) <= width {
                whole
            } else {
                let kept: String = last.chars().take(last.chars().count().saturating_sub(3)).collect();
                format!("{}…", kept.trim_end())
            };
        }
    }
    (size, lines)
}

/// Lines of a name stand this many times its size apart.
const LEADING: f64 = 1.08;

/// What goes in, as layers from the bottom up.
fn layers(computed: &Computed, recipe: usize, x: u32, y: u32, width: u32, height: u32) -> Vec<Layer> {
    let node = &computed.graph.nodes[recipe];
    let made = &computed.made[recipe];
    let mut parts: Vec<(f64, String)> = node
        .mix
        .iter()
        .zip(&made.pours)
        .filter_map(|(pour, poured)| {
            let ml = poured.as_ref().map(|p| p.ml).filter(|ml| ml.is_finite() && *ml > 0.0)?;
            Some((ml, pour.as_ref()?.name.clone()))
        })
        .collect();
    if parts.len() > LAYERS {
        // The smallest are drawn as one.
        let mut sizes: Vec<f64> = parts.iter().map(|(ml, _)| *ml).collect();
        sizes.sort_by(|a, b| b.total_cmp(a));
        let least = sizes[LAYERS - 2];
        let rest: f64 = parts.iter().filter(|(ml, _)| *ml < least).map(|(ml, _)| ml).sum();
        parts.retain(|(ml, _)| *ml >= least);
        parts.truncate(LAYERS - 1);
        parts.push((rest, "the rest".into()));
    }
    let all: f64 = parts.iter().map(|(ml, _)| ml).sum();
    if all <= 0.0 {
        return Vec::new();
    }
    let count = parts.len();
    let mut bottom = f64::from(y + height);
    let mut below = 0.0;
    parts
        .into_iter()
        .enumerate()
        .map(|(i, (ml, name))| {
            below += ml;
            let top = f64::from(y) + f64::from(height) * (1.0 - below / all);
            let (top_px, bottom_px) = (libm::round(top) as u32, libm::round(bottom) as u32);
            bottom = top;
            // Neighbours differ, the first is the strongest.
            let tint = 1.0 - 0.75 * i as f64 / count.max(2) as f64 - if i % 2 == 1 { 0.12 } else { 0.0 };
            Layer {
                x,
                y: top_px,
                width,
                height: bottom_px.saturating_sub(top_px),
                tint: show::fixed(tint.max(0.1), 2),
                name,
            }
        })
        .collect()
}

fn sheet(fonts: &Fonts, computed: &Computed, recipe: usize, words: &Words, square: bool) -> Sheet {
    let note = &computed.graph.notes.recipes[recipe];
    let made = &computed.made[recipe];
    let (width, height) = (1200, if square { 1200 } else { 630 });
    // What is drawn stands beside the text, on the square card above it.
    let (side_x, side_y, side_width, side_height) =
        if square { (LEFT, 60, width - 2 * LEFT, 540) } else { (720, 50, 430, height - 100) };
    let text_width = f64::from(if square { side_width } else { side_x - LEFT - 40 });
    let head_y = if square { side_y + side_height + 70 } else { 108 };
    let over = match (&note.family, note.makes) {
        (_, Makes::Prep) => words.say("word.prep"),
        (Some(family), _) => family.value.clone(),
        (None, _) => words.say("word.drink"),
    };
    let stage = if made.served.is_some() { made.last() } else { made.batch() };
    let mut under = Vec::new();
    match stage.mixture.figure_abv() {
        Ok(abv) => under.push(words.with("structured.strength", &[("strength", &show::strength(abv))])),
        Err(_) => under.push(words.say("structured.strength_unknown")),
    }
    if let Ok(ml) = stage.mixture.figure_volume() {
        let glass = note.serve.glass.as_ref().map_or_else(String::new, |g| format!(", {}", g.value));
        under.push(format!("{}{glass}", show::volume(ml)));
    }
    let one_line = |text: &str, size: f64| cut(fonts, &fonts.drawable(text), size, 400, text_width);
    let name = fonts.drawable(&note.name.value);
    // A name of which no letter can be drawn is spelled as in its address.
    let name = if name.is_empty() { computed.graph.nodes[recipe].slug.replace('-', " ") } else { name };
    let foot_y = height - 62;
    let figures_y = foot_y - 92;
    let first_figure = figures_y - 58 * (under.len() as u32 - 1);
    let (top, bottom) = (f64::from(head_y) + 42.0, f64::from(first_figure) - 58.0);
    let (name_size, lines) = name_lines(fonts, &name, text_width, bottom - top);
    let line_height = f64::from(name_size) * LEADING;
    // The block of the name stands a little above the middle of its room.
    let block = line_height * lines.len() as f64;
    let start = top + ((bottom - top - block) * 0.4).max(0.0) + f64::from(name_size) * 0.8;
    Sheet {
        width,
        height,
        name_size,
        over: Line { x: LEFT, y: head_y, text: one_line(&over, SMALL) },
        name: lines
            .into_iter()
            .enumerate()
            .map(|(i, text)| Line { x: LEFT, y: libm::round(start + line_height * i as f64) as u32, text })
            .collect(),
        under: under
            .iter()
            .zip(0..)
            .map(|(text, i)| Line { x: LEFT, y: first_figure + 58 * i, text: one_line(text, FIGURES) })
            .collect(),
        foot: Line { x: LEFT, y: foot_y, text: one_line(&computed.graph.notes.house.name, SMALL) },
        side_x,
        side_y,
        side_width,
        side_height,
        picture: picture(computed, recipe, side_width, side_height),
        layers: layers(computed, recipe, side_x, side_y, side_width, side_height),
    }
}

/// The recipe's picture, cut to a shape, as a `data:` address. One that cannot be decoded is reported where the site shows it.
fn picture(computed: &Computed, recipe: usize, width: u32, height: u32) -> Option<String> {
    let notes = &computed.graph.notes;
    let file = notes.recipes[recipe].picture.as_ref()?.file.value.replace('\\', "/");
    let asset = notes.media.iter().find(|a| a.path == file)?;
    let image = super::pictures::decode(&asset.read().ok()?).ok()?;
    let shape = image.resize_to_fill(width, height, FilterType::CatmullRom).to_rgb8();
    let mut jpeg = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut jpeg, 88);
    encoder.write_image(shape.as_raw(), width, height, ExtendedColorType::Rgb8).ok()?;
    Some(format!("data:image/jpeg;base64,{}", base64::engine::general_purpose::STANDARD.encode(jpeg)))
}

/// What the cards of a recipe are drawn from. Computed recipes come in without readings, as everything public does.
#[must_use]
pub(super) fn card(computed: &Computed, recipe: usize, words: &Words) -> Card {
    let fonts = fonts(&computed.graph.notes);
    Card {
        wide: sheet(&fonts, computed, recipe, words, false),
        square: sheet(&fonts, computed, recipe, words, true),
        font: fonts.family,
    }
}

/// Largest drawing, pixels on a side.
const LARGEST: f32 = 4096.0;
/// Elements by which a short drawing could grow without end, or reach for another file.
const REFUSED: &[&str] = &["use", "pattern", "filter", "mask", "marker", "foreignObject", "symbol", "script", "style"];

/// Draws an SVG as a PNG.
///
/// # Errors
/// Why it cannot be drawn: it is no SVG, too large, or uses what a card may not use.
pub fn draw(notes: &Notes, svg: &str) -> Result<Vec<u8>, String> {
    let document = roxmltree::Document::parse(svg).map_err(|e| format!("it is no SVG: {e}"))?;
    for element in document.descendants().filter(roxmltree::Node::is_element) {
        let name = element.tag_name().name();
        if REFUSED.contains(&name) {
            return Err(format!("a card is drawn without `<{name}>`"));
        }
        let links = element.attributes().filter(|a| {
            let raster = ["data:image/png;", "data:image/jpeg;"].iter().any(|kind| a.value().starts_with(kind));
            a.name() == "href" && !raster
        });
        if links.count() > 0 {
            return Err("a card is drawn without links to other files".into());
        }
    }
    let options = usvg::Options {
        fontdb: Arc::clone(&fonts(notes).database),
        font_family: FAMILY.into(),
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: usvg::ImageHrefResolver::default_data_resolver(),
            resolve_string: Box::new(|_, _| None),
        },
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_xmltree(&document, &options).map_err(|e| format!("it cannot be drawn: {e}"))?;
    let size = tree.size();
    if size.width() > LARGEST || size.height() > LARGEST {
        return Err(format!("it is larger than {LARGEST} pixels on a side"));
    }
    let size = size.to_int_size();
    let mut picture = Pixmap::new(size.width(), size.height()).ok_or("it has no size")?;
    resvg::render(&tree, Transform::default(), &mut picture.as_mut());
    picture.encode_png().map_err(|e| format!("it cannot be saved: {e}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain() -> Fonts {
        Fonts { database: Arc::clone(&EMBEDDED), family: FAMILY.into() }
    }

    #[test]
    fn a_name_is_broken_or_cut_but_never_runs_out() {
        let fonts = plain();
        for name in ["Weir", "Lock-keeper's Lantern", &"Donaudampfschiff".repeat(12), &"one two ".repeat(80)] {
            let (size, lines) = name_lines(&fonts, name, 680.0, 260.0);
            assert!(!lines.is_empty() && f64::from(size) * LEADING * lines.len() as f64 <= 260.0, "{name}");
            for line in &lines {
                assert!(fonts.width(line, f64::from(size), BOLD) <= 680.0, "{line}");
            }
        }
    }

    #[test]
    fn what_no_font_has_is_spelled_or_left_out() {
        let fonts = plain();
        assert_eq!(fonts.drawable("Café № 9"), "Café № 9");
        assert_eq!(fonts.drawable("Night\u{7}Boat \u{1f378}"), "Night Boat");
        assert_eq!(fonts.drawable("梅酒"), "Mei Jiu");
        // A hyphen of the name's own is no broken word, and a word is broken only where nothing smaller fits.
        let (size, lines) = name_lines(&fonts, "Lock-keeper's Lantern", 610.0, 220.0);
        assert_eq!((lines, size < 112), (vec!["Lock-keeper's".to_owned(), "Lantern".to_owned()], true));
    }

    #[test]
    fn a_drawing_that_could_grow_or_reach_out_is_refused() {
        let (notes, _) = crate::notebook::read(std::path::Path::new("no-such-folder"));
        let svg = |inside: &str| {
            format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"9\" height=\"9\">{inside}</svg>"
            )
        };
        assert!(draw(&notes, &svg("<rect width=\"3\" height=\"3\"/>")).is_ok());
        for inside in ["<use href=\"#a\"/>", "<image href=\"/etc/hostname\"/>", "<image xlink:href=\"a.png\"/>"] {
            assert!(draw(&notes, &svg(inside)).is_err(), "{inside}");
        }
        assert!(draw(&notes, "<!DOCTYPE a [<!ENTITY b \"c\">]><svg/>").is_err());
        assert!(draw(&notes, &svg("").replace("\"9\"", "\"99999\"")).is_err());
        assert!(draw(&notes, "not svg").is_err());
    }
}

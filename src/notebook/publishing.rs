//! What a house sets for what it publishes: its colours, how long a note may be, links that stand under each.

use std::collections::BTreeMap;

use super::fields::Fields;
use super::value;
use super::yaml::Node;
use crate::problem::{Problem, code};
use crate::source::{Span, Spanned};

/// A colour, red, green and blue from 0 to 255.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour(pub u8, pub u8, pub u8);

impl Colour {
    /// `#12201f`.
    #[must_use]
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }

    fn from_hex(text: &str) -> Option<Self> {
        let digits = text.strip_prefix('#')?;
        if digits.len() != 6 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return None;
        }
        let part = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
        Some(Self(part(0)?, part(2)?, part(4)?))
    }

    /// Relative luminance, 0 for black to 1 for white (WCAG 2.2, definition of relative luminance).
    fn luminance(self) -> f64 {
        let linear = |channel: u8| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { libm::pow((c + 0.055) / 1.055, 2.4) }
        };
        0.2126 * linear(self.0) + 0.7152 * linear(self.1) + 0.0722 * linear(self.2)
    }

    /// Contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition of contrast ratio).
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}

/// The colours of what the program draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colours {
    /// The ground.
    pub paper: Colour,
    /// What is written on it.
    pub ink: Colour,
    /// What stands out.
    pub accent: Colour,
}

impl Default for Colours {
    fn default() -> Self {
        Self { paper: Colour(0x14, 0x1a, 0x1b), ink: Colour(0xf6, 0xf3, 0xea), accent: Colour(0xf4, 0xc4, 0x74) }
    }
}

/// Least contrast of text on its ground (WCAG 2.2, 1.4.3, large text).
const LEAST_CONTRAST: f64 = 3.0;

/// Reads `colours`.
pub fn colours(node: Node, problems: &mut Vec<Problem>) -> Colours {
    let mut colours = Colours::default();
    let Some(mut f) = Fields::open(node, "colours", problems) else { return colours };
    let mut written = None;
    for (key, place) in [("paper", &mut colours.paper), ("ink", &mut colours.ink), ("accent", &mut colours.accent)] {
        let Some(text) = f.text(key, problems) else { continue };
        match Colour::from_hex(&text.value) {
            Some(colour) => {
                *place = colour;
                written = Some(text.span);
            }
            None => problems.push(
                Problem::new(code::WRONG_VALUE, text.span, format!("`{}` is not a colour", text.value))
                    .help(format!("write six hexadecimal digits in quotes, for example `{key}: \"#12201f\"`")),
            ),
        }
    }
    f.close(problems);
    for (name, colour) in [("ink", colours.ink), ("accent", colours.accent)] {
        let contrast = colour.contrast(colours.paper);
        if let Some(span) = written.filter(|_| contrast < LEAST_CONTRAST) {
            problems.push(
                Problem::new(
                    code::FAINT_COLOUR,
                    span,
                    format!(
                        "`{name}` on `paper` has a contrast of {contrast:.2} to 1, and large text needs {LEAST_CONTRAST:.0} to 1"
                    ),
                )
                .help(format!("make `{name}` or `paper` darker or lighter")),
            );
        }
    }
    colours
}

/// What a house sets for its notes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Publishing {
    /// Most characters of a note, by its name without ending, and where the house wrote it.
    pub limits: BTreeMap<String, (usize, Option<Span>)>,
    /// Lines that stand under every description, such as where to find the house.
    pub links: Vec<Spanned<String>>,
}

/// Most characters of a description where the house says nothing: hosts of films cut at about 5,000 (common practice, no
/// source).
pub const DESCRIPTION: usize = 4900;

/// Shortest limit: name, strength, allergens and cautions are never cut, and need this much.
const LEAST: usize = 100;

impl Default for Publishing {
    fn default() -> Self {
        Self { limits: BTreeMap::from([("description".into(), (DESCRIPTION, None))]), links: Vec::new() }
    }
}

/// Reads `notes`.
pub fn publishing(node: Node, problems: &mut Vec<Problem>) -> Publishing {
    let mut publishing = Publishing::default();
    let Some(mut f) = Fields::open(node, "notes", problems) else { return publishing };
    if let Some(fields) = f.take("limits").and_then(|node| Fields::open(node, "limits", problems)) {
        for (key, node) in fields.rest() {
            let Some(text) = super::fields::text(node, &key.value, problems) else { continue };
            let limit = text.value.trim().parse::<usize>().ok().filter(|n| (LEAST..=1_000_000).contains(n));
            match limit {
                Some(limit) => {
                    publishing.limits.insert(key.value, (limit, Some(key.span)));
                }
                None => problems.push(
                    Problem::new(code::BAD_NUMBER, text.span, format!("`{}` is not a length of a note", text.value))
                        .help(format!(
                            "write a number of characters from {LEAST} up, for example `description: {DESCRIPTION}`"
                        )),
                ),
            }
        }
    }
    publishing.links =
        f.texts("links", problems).unwrap_or_default().into_iter().map(|t| Spanned::new(t.value, t.span)).collect();
    f.close(problems);
    publishing
}

/// Where a film or a page can be seen, and when it was published.
pub fn seen_at(f: &mut Fields, problems: &mut Vec<Problem>) -> (Option<Spanned<String>>, Option<jiff::civil::Date>) {
    let address = f.string("address", problems).and_then(|a| value::web_address(a, problems));
    let date = f.text("date", problems).and_then(|t| value::date_time(&t, problems)).map(|d| d.value.date());
    (address, date)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contrast_is_as_the_guideline_computes_it() {
        // WCAG 2.2: black on white is 21 to 1. #777 on white is 4.48 to 1, the usual example of just too faint.
        let (white, black, grey) = (Colour(255, 255, 255), Colour(0, 0, 0), Colour(0x77, 0x77, 0x77));
        assert!((white.contrast(black) - 21.0).abs() < 1e-9);
        assert!((grey.contrast(white) - 4.48).abs() < 0.01);
        assert_eq!(Colour::from_hex("#12201f"), Some(Colour(0x12, 0x20, 0x1f)));
        assert_eq!(Colour::from_hex("12201f"), None);
        assert_eq!(Colour::from_hex("#12é1f"), None);
    }
}

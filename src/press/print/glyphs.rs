//! Text that a font can draw: what no font has is written with the nearest Latin letters, what would break a line's run of
//! directions or the file's text is taken out, and words too long for any column are given places to part.

use std::collections::BTreeSet;

use serde_json::Value;

/// Letters in a row from which a word is given places to part; the longest words of cookery stay whole.
const LONG: usize = 20;
/// Letters between two such places.
const PART: usize = 10;
const SOFT_HYPHEN: char = '\u{ad}';
const ZERO_WIDTH_SPACE: char = '\u{200b}';

/// Makes every text of a value fit to be set; returns the characters that no font draws.
pub(super) fn tidy(value: &mut Value, draws: &dyn Fn(char) -> bool) -> BTreeSet<char> {
    let mut missing = BTreeSet::new();
    walk(value, draws, &mut missing);
    missing
}

fn walk(value: &mut Value, draws: &dyn Fn(char) -> bool, missing: &mut BTreeSet<char>) {
    match value {
        Value::String(text) => {
            let clean = text.is_ascii() && !text.bytes().any(|b| b.is_ascii_control()) && longest(text) < LONG;
            if !clean {
                *text = set(text, draws, missing);
            }
        }
        Value::Array(list) => list.iter_mut().for_each(|v| walk(v, draws, missing)),
        // Keys of an object are the program's own; fields that name a file or a place are not text.
        Value::Object(map) => {
            for (key, value) in map.iter_mut() {
                if !matches!(key.as_str(), "id" | "to" | "dest" | "file" | "kind" | "state" | "severity" | "shape") {
                    walk(value, draws, missing);
                }
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

fn longest(text: &str) -> usize {
    text.split_whitespace().map(|w| w.chars().count()).max().unwrap_or(0)
}

/// Characters without a picture that the typesetter knows what to do with.
fn silent(c: char) -> bool {
    matches!(c, SOFT_HYPHEN | ZERO_WIDTH_SPACE | '\u{2060}' | '\u{200e}' | '\u{200f}' | '\u{200c}' | '\u{200d}')
}

/// Characters that are taken out: they turn the direction of what follows, select a look that no font here has, or are
/// no text at all.
fn dropped(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}')
        || matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{e0000}'..='\u{10ffff}')
}

fn set(text: &str, draws: &dyn Fn(char) -> bool, missing: &mut BTreeSet<char>) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}') {
            out.push(' ');
        } else if dropped(c) {
        } else if silent(c) || c == ' ' || draws(c) {
            out.push(c);
        } else if c.is_whitespace() {
            out.push(' ');
        } else {
            missing.insert(c);
            out.push_str(deunicode::deunicode_char(c).filter(|s| !s.is_empty()).unwrap_or("?"));
        }
    }
    if longest(&out) >= LONG { parted(&out) } else { out }
}

/// Gives long words places to part: addresses silently, other words with a hyphen.
fn parted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for piece in text.split_inclusive(char::is_whitespace) {
        if piece.trim_end().chars().count() < LONG || piece.contains(SOFT_HYPHEN) {
            out.push_str(piece);
            continue;
        }
        let address = piece.contains(['/', '.', '@', '_', '=']);
        let mut since = 0;
        let length = piece.chars().count();
        for (i, c) in piece.chars().enumerate() {
            let inside = i > 0 && i + 1 < length;
            let letters = c.is_alphanumeric();
            if inside && since >= PART && letters {
                out.push(if address || !c.is_alphabetic() { ZERO_WIDTH_SPACE } else { SOFT_HYPHEN });
                since = 0;
            }
            out.push(c);
            since += 1;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn tidied(text: &str) -> (String, Vec<char>) {
        let mut value = json!([text]);
        let missing = tidy(&mut value, &|c| c.is_ascii() || "éшא–".contains(c));
        (value[0].as_str().unwrap_or("").to_owned(), missing.into_iter().collect())
    }

    #[test]
    fn what_a_font_has_stays() {
        assert_eq!(tidied("café – шא"), ("café – шא".into(), vec![]));
    }

    #[test]
    fn what_no_font_has_is_written_in_latin_and_named() {
        assert_eq!(tidied("梅 liqueur"), ("Mei  liqueur".into(), vec!['梅']));
    }

    #[test]
    fn directions_and_controls_do_not_leak_into_the_page() {
        assert_eq!(tidied("a\u{202e}b\u{0}c\nd").0, "abc d");
    }

    #[test]
    fn long_words_may_part() {
        let (text, _) = tidied(&"x".repeat(45));
        assert_eq!(text.matches(SOFT_HYPHEN).count(), 4);
        let (text, _) = tidied("https://lantern-lock.example/recipes/");
        assert!(text.contains(ZERO_WIDTH_SPACE) && !text.contains(SOFT_HYPHEN));
    }
}

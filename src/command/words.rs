//! The words of a command line that stand without a flag: a recipe's name, and units that lost their quotes.
//!
//! `--makes 5 l` and `--bottles 12 x 700 ml` are written without quotes every day; what a shell splits is put together again.

use crate::measure::{Unit, number};

/// Words in their order, some of them taken already.
pub(super) struct Words<'a>(Vec<Option<&'a str>>);

impl<'a> Words<'a> {
    /// All of them.
    pub fn new(words: &'a [String]) -> Self {
        Self(words.iter().map(|w| Some(w.trim())).filter(|w| w.is_some_and(|w| !w.is_empty())).collect())
    }

    fn take(&mut self, wanted: impl Fn(&str) -> bool) -> Option<&'a str> {
        self.0.iter_mut().find(|w| w.is_some_and(&wanted)).and_then(Option::take)
    }

    /// An amount with the unit that stands apart from it, if it has none itself: `5` and, among the words, `l`.
    pub fn completed(&mut self, amount: &str) -> String {
        // What is below nothing is refused later, whole.
        let size = amount.trim().trim_start_matches(['-', '−', '–']);
        let bare = matches!(number::lex(size), Ok(Some((_, used))) if used == size.len());
        match bare.then(|| self.take(|w| Unit::from_word(w).is_some())).flatten() {
            Some(unit) => format!("{} {unit}", amount.trim()),
            None => amount.to_owned(),
        }
    }

    /// Bottles, each put together from its words: `12`, `x`, `700`, `ml`.
    pub fn bottles(&mut self, written: &[String]) -> Vec<String> {
        let mut list: Vec<String> = written.iter().map(|b| b.trim().to_owned()).filter(|b| !b.is_empty()).collect();
        if list.is_empty() {
            return list;
        }
        for word in &mut self.0 {
            let Some(next) = *word else { continue };
            let last = list.last().cloned().unwrap_or_default();
            if is_whole(&last) {
                // Another kind of bottle.
                if is_whole(next) {
                    list.extend(word.take().map(str::to_owned));
                }
            } else if continues(next) {
                list.pop();
                list.push(format!("{last} {next}"));
                *word = None;
            }
        }
        list
    }
}

/// What is left is the recipe's name, which may have lost its quotes too.
pub(super) fn recipe_of(words: Words<'_>) -> Option<String> {
    let left: Vec<&str> = words.0.into_iter().flatten().collect();
    (!left.is_empty()).then(|| left.join(" "))
}

/// A value that may start with a minus, so that what is below nothing can be refused for that; but another flag is no value.
pub(super) fn no_flag(value: &str) -> Result<String, &'static str> {
    let flag = value.strip_prefix("--").is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_alphabetic()));
    if flag { Err("a value is wanted here, and this is another option") } else { Ok(value.to_owned()) }
}

const TIMES: [char; 3] = ['x', 'X', '×'];

/// The unit of an amount, if it starts with a number: `Some("")` where it has none.
fn behind_number(text: &str) -> Option<&str> {
    match number::lex(text) {
        Ok(Some((_, used))) => Some(text[used..].trim()),
        _ => None,
    }
}

/// Whether a bottle has a size with its unit.
fn is_whole(text: &str) -> bool {
    let size = text.rsplit_once(TIMES).map_or(text, |(_, size)| size).trim();
    behind_number(size).is_some_and(|unit| Unit::from_word(unit).is_some())
}

/// Whether a word can go on where a bottle was broken off: `x`, `x700`, `700`, `700ml`, `ml`.
fn continues(word: &str) -> bool {
    let size = word.trim_start_matches(TIMES);
    let number = behind_number(size).is_some_and(|unit| unit.is_empty() || Unit::from_word(unit).is_some());
    (size.is_empty() && !word.is_empty()) || number || Unit::from_word(word).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(line: &str) -> Vec<String> {
        line.split(' ').filter(|w| !w.is_empty()).map(str::to_owned).collect()
    }

    #[test]
    fn bottles_that_lost_their_quotes_are_put_together() {
        for (first, rest, bottles, recipe) in [
            ("12x700ml", "jug", &["12x700ml"][..], Some("jug")),
            ("12", "x 700 ml jug", &["12 x 700 ml"], Some("jug")),
            ("12", "jug x700ml", &["12 x700ml"], Some("jug")),
            ("12x700", "ml", &["12x700 ml"], None),
            ("700", "ml towpath sour", &["700 ml"], Some("towpath sour")),
            ("12x700ml", "3x1l jug", &["12x700ml", "3x1l"], Some("jug")),
            ("12x700", "jug", &["12x700"], Some("jug")),
        ] {
            let words = split(rest);
            let mut words = Words::new(&words);
            assert_eq!(words.bottles(&[first.to_owned()]), bottles, "{first} {rest}");
            assert_eq!(recipe_of(words).as_deref(), recipe, "{first} {rest}");
        }
    }

    #[test]
    fn a_volume_finds_its_unit() {
        for (amount, rest, whole, recipe) in [
            ("5", "l jug", "5 l", Some("jug")),
            ("5", "jug l", "5 l", Some("jug")),
            ("5 l", "jug", "5 l", Some("jug")),
            ("5l", "litre lane", "5l", Some("litre lane")),
            ("5", "jug", "5", Some("jug")),
            ("-5", "l", "-5 l", None),
        ] {
            let words = split(rest);
            let mut words = Words::new(&words);
            assert_eq!(words.completed(amount), whole, "{amount} {rest}");
            assert_eq!(recipe_of(words).as_deref(), recipe, "{amount} {rest}");
        }
    }
}

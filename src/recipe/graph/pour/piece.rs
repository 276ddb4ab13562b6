//! Pours that are counted: `2 limes`, `3 sprigs mint`, `1 tin evaporated milk`, `juice of 2 limes`.

use rust_decimal::{Decimal, dec};

use super::{MOST, Meant, PINCH, too_much};
use crate::notebook::pantry::Form;
use crate::notebook::pour::{PourAmount, PourLine, near_unit, unknown_unit};
use crate::notebook::yaml::Text;
use crate::problem::{Problem, code};
use crate::recipe::graph::{Fruit, Measure, Resolver};
use crate::recipe::names::{self, Found, Target};
use crate::recipe::pantry::{self, Ingredient};
use crate::source::Span;

impl Resolver<'_> {
    /// So many of what the line names: pieces or packs by the pantry's sizes, pinches by the house's.
    pub(super) fn counted(&self, line: &PourLine, count: Decimal) -> Meant<(Found, Measure)> {
        let Some(found) = self.names.find(&line.name.value, true) else {
            return Err(Box::new(self.nothing_to_count(line)));
        };
        let word = found.piece.clone();
        let Target::Ingredient(i) = found.target else {
            return Err(Box::new(self.counted_recipe(line, count, word.as_deref())));
        };
        let ingredient = &self.pantry.ingredients[i];
        let units = &self.notes.house.units;
        if let Some(portion) = ingredient.portion(word.as_deref())
            && let Some(each) = portion.amount.base(units)
        {
            if count.checked_mul(each).is_none_or(|total| total > MOST) {
                return Err(Box::new(too_much(line)));
            }
            let dimension = portion.amount.unit.dimension();
            let word = word.or_else(|| portion.word.clone().filter(|w| !ends_with_word(ingredient.name(), w)));
            return Ok((found, Measure::Pieces { count, dimension, each, word }));
        }
        // A pinch is the house's, wherever an item does not state its own.
        let pinch = self.notes.house.assume.pinch;
        if ingredient.form != Form::Liquid
            && let Some(word) = word.clone().filter(|w| names::key(w) == PINCH)
            && let Some(each) = pinch.base(units)
        {
            let dimension = pinch.unit.dimension();
            return Ok((found, Measure::Pieces { count, dimension, each, word: Some(word) }));
        }
        Err(Box::new(match word {
            Some(word) => self.size_of_word_unknown(line, count, ingredient, &word),
            None => size_unknown(line, count, ingredient),
        }))
    }

    /// `30 mls gin`: a word that almost is a unit before a name that is known; or a name that nothing has.
    fn nothing_to_count(&self, line: &PourLine) -> Problem {
        let word = line.name.value.split_whitespace().next().unwrap_or("");
        let rest_known = self.names.find(line.name.value[word.len()..].trim(), false).is_some();
        if near_unit(word).is_some() && rest_known {
            unknown_unit(word, line.name.part(0, word.len()))
        } else {
            self.unknown_counted(&line.name)
        }
    }

    /// What is made here has no pieces.
    fn counted_recipe(&self, line: &PourLine, count: Decimal, word: Option<&str>) -> Problem {
        match word.filter(|w| !w.is_empty()) {
            Some(word) if word.contains(' ') => self.unknown_counted(&line.name),
            Some(word) => unknown_unit(word, place_of(word, line)),
            None => {
                let name = &line.name.value;
                let message = format!("`{name}` is made here, so it is measured, not counted");
                Problem::new(code::MISSING_UNIT, line.amount_span, message)
                    .help(format!("write for example `{} ml {name}`", count.normalize()))
            }
        }
    }

    /// `3 sprigs thyme`, where nobody said how much a sprig is.
    fn size_of_word_unknown(&self, line: &PourLine, count: Decimal, ingredient: &Ingredient, word: &str) -> Problem {
        let (name, at) = (ingredient.name(), place_of(word, line));
        // Two words before a name are no unit and no piece: the name is another one, such as `evaporated milk`.
        if word.contains(' ') {
            return self.unknown_counted(&line.name);
        }
        // A letter is a unit that nobody knows, not a piece.
        if near_unit(word).is_some() || word.chars().count() == 1 {
            return unknown_unit(word, at);
        }
        if ingredient.form == Form::Liquid && !pantry::is_portion_word(word) {
            let problem = unknown_unit(word, at);
            // What is counted is often described: `1 large egg white`.
            return match ingredient.item.piece {
                Some(_) => {
                    problem.help(format!("a remark goes behind a comma: `{} {name}, {word}`", many(line, count)))
                }
                None => problem,
            };
        }
        let one = names::singular(word);
        let fact = if pantry::is_pack_word(word) { "pack: 700 ml".to_owned() } else { format!("piece: 5 g {one}") };
        let message = format!("the pantry does not know how much one {one} of {name} is");
        Problem::new(code::PIECE_UNKNOWN, at, message)
            .help(format!("write a volume or a mass, or add for example `{fact}` to `{name}` in the pantry"))
    }

    /// `juice of 2 limes`.
    pub(super) fn part_of(&self, line: &PourLine, part: &str, pieces: Decimal) -> Meant<(Found, Measure)> {
        let text = &line.name.value;
        let cut = text.find([',', '(']).unwrap_or(text.len());
        let (fruit_name, after) = (text[..cut].trim(), text[cut..].trim_matches([',', '(', ')', ' ']));
        let fruit = self.names.get(fruit_name);
        let pressed = self.pantry.pressed.get(&names::key(fruit_name)).filter(|_| part == "juice");
        let given = match fruit {
            Some(Target::Ingredient(i)) => {
                let item = &self.pantry.ingredients[i].item;
                let known = item.yields.iter().any(|(p, _)| p == part) || item.parts.iter().any(|(p, _, _)| p == part);
                (known && item.piece.is_some()).then_some(Fruit::Ingredient(i))
            }
            _ => None,
        };
        let Some(measured) = given.or_else(|| pressed.map(|p| Fruit::Pressed(p.juice_ml))) else {
            if fruit.is_none() && pressed.is_none() {
                return Err(Box::new(self.unknown(&line.name)));
            }
            let one = names::singular(fruit_name);
            let place = line.name.part(0, fruit_name.len());
            let message = format!("the pantry does not know how much {part} one {one} gives");
            let help = format!(
                "write a volume or a mass, or state `piece` and `yields: {{{part}: 45 %}}` of `{fruit_name}` in the pantry"
            );
            return Err(Box::new(Problem::new(code::PIECE_UNKNOWN, place, message).help(help)));
        };
        let product = format!("{} {part}", names::key(fruit_name));
        let target = self.names.get(&product).or_else(|| pressed.map(|p| Target::Ingredient(p.juice)));
        // Without facts of the part itself only its mass is known, and that it comes of this fruit.
        let target = target.or_else(|| fruit.filter(|_| matches!(measured, Fruit::Ingredient(_))));
        let Some(target) = target else {
            let message = format!("nothing is called `{product}`, so nobody knows what is in it");
            let problem = Problem::new(code::UNKNOWN_NAME, line.text.span, message)
                .help(format!("add `{product}` with its facts to the pantry"));
            return Err(Box::new(problem));
        };
        if pieces > dec!(100_000) {
            return Err(Box::new(too_much(line)));
        }
        let found = Found { target, preparation: (!after.is_empty()).then(|| after.to_owned()), piece: None };
        Ok((found, Measure::PartOf { part: part.to_owned(), pieces, fruit: measured }))
    }

    /// Where the size of a part is from.
    pub(super) fn yield_words(&self, measure: &Measure, part: &str) -> String {
        match measure {
            Measure::PartOf { fruit: Fruit::Pressed(ml), .. } => format!("{ml} ml of {part} from one"),
            Measure::PartOf { fruit: Fruit::Ingredient(i), .. } => {
                format!("the {part} that the pantry states for {}", self.pantry.ingredients[*i].name())
            }
            _ => String::new(),
        }
    }

    /// A name that nothing has; a word for a piece or pack before or behind it is not part of it.
    pub(super) fn unknown_counted(&self, text: &Text) -> Problem {
        let all = text.value.as_str();
        let words: Vec<&str> = all.split([',', '(']).next().unwrap_or(all).split_whitespace().collect();
        let rest = match words.as_slice() {
            [first, "of", rest, ..] | [first, rest, ..] if pantry::is_portion_word(first) => {
                let from = rest.as_ptr() as usize - all.as_ptr() as usize;
                &all[from..]
            }
            [first, .., last] if pantry::is_portion_word(last) => {
                let to = last.as_ptr() as usize - all.as_ptr() as usize;
                all[first.as_ptr() as usize - all.as_ptr() as usize..to].trim_end()
            }
            _ => all,
        };
        let at = rest.as_ptr() as usize - all.as_ptr() as usize;
        let name = Text {
            value: rest.to_owned(),
            span: text.part(at, at + rest.len()),
            exact: text.exact,
            quoted: text.quoted,
        };
        self.unknown(&name)
    }
}

/// `2 limes`, where nobody said what a lime weighs; `2 gin`, where a unit was forgotten.
fn size_unknown(line: &PourLine, count: Decimal, ingredient: &Ingredient) -> Problem {
    let name = ingredient.name();
    if ingredient.form == Form::Liquid && ingredient.item.pack.is_none() {
        let many = many(line, count);
        let unit = if line.amount == PourAmount::FewPieces { "dashes" } else { "ml" };
        let message = format!("the unit is missing: {many} of {name} is how much?");
        return Problem::new(code::MISSING_UNIT, line.amount_span, message)
            .help(format!("write for example `{many} {unit} {name}`"));
    }
    let message = format!("the pantry does not know how much one {name} weighs");
    Problem::new(code::PIECE_UNKNOWN, line.name.span, message)
        .help(format!("write a mass, or add for example `piece: 100 g` to `{name}` in the pantry"))
}

fn many(line: &PourLine, count: Decimal) -> String {
    if line.amount == PourAmount::FewPieces { "a few".to_owned() } else { count.normalize().to_string() }
}

/// Where the word for a piece stands: before the name (`2 sprigs mint`) or behind it (`8 mint leaves`).
fn place_of(word: &str, line: &PourLine) -> Span {
    let at = line.name.value.find(word).unwrap_or(0);
    line.name.part(at, at + word.len())
}

/// Whether a name ends with a word, or is it: one `egg white` is not a white of egg white.
fn ends_with_word(name: &str, word: &str) -> bool {
    let (name, word) = (names::key(name), names::key(word));
    name == word || name.strip_suffix(&word).is_some_and(|before| before.ends_with(' '))
}

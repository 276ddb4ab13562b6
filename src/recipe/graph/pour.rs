//! What a pour line means: the ingredient or recipe of its name, and its amount in millilitres, grams, pieces or shares.

use rust_decimal::{Decimal, dec};

use super::{Fruit, Measure, Pour, Resolver};
use crate::measure::{Amount, Dimension, Unit, number};
use crate::notebook::pantry::Form;
use crate::notebook::pour::{PourAmount, PourLine, Role, middle, near_unit, unknown_unit};
use crate::notebook::yaml::Text;
use crate::problem::{Problem, code};
use crate::recipe::names::{self, Found, Target};
use crate::recipe::pantry;

impl Resolver<'_> {
    pub(super) fn pour(&self, line: &PourLine, problems: &mut Vec<Problem>) -> Option<Pour> {
        let assume = &self.notes.house.assume;
        let mut assumed = None;
        let (found, measure) = match &line.amount {
            PourAmount::Measured { amount, high, times } => {
                let found = self.find(&line.name, false, problems)?;
                let value = middle(amount.value, *high).checked_mul(times.unwrap_or(Decimal::ONE));
                if let Some(high) = high {
                    assumed = Some(format!(
                        "{}–{} {} is counted as its middle",
                        amount.value.normalize(),
                        high.normalize(),
                        amount.unit.word_for(*high)
                    ));
                }
                let measure = self.base(value.map(|value| Amount { value, ..*amount }), line, problems)?;
                (found, measure)
            }
            PourAmount::Count(count) => {
                // The line keeps only the middle of `2–3 limes`.
                let range = number::lex_range(&line.text.value).ok().flatten();
                if let Some((low, high)) = range.and_then(|r| r.high.map(|high| (r.low, high))) {
                    assumed = Some(format!("{}–{} is counted as its middle", low.normalize(), high.normalize()));
                }
                let (found, measure) = self.counted(line, *count, problems)?;
                if self.is_house_pinch(&found, &measure) {
                    assumed = Some(format!("a pinch is counted as {}", shown(assume.pinch)));
                }
                (found, measure)
            }
            PourAmount::FewPieces => {
                let (found, measure) = self.counted(line, assume.few, problems)?;
                assumed = Some(format!("a few is counted as {}", assume.few.normalize()));
                (found, measure)
            }
            PourAmount::Half => {
                let (found, measure) = self.counted(line, dec!(0.5), problems)?;
                assumed = Some("half of one is counted as half its weight".to_owned());
                (found, measure)
            }
            PourAmount::PartOf { part, pieces } => {
                let pour = self.part_of(line, part, *pieces, problems)?;
                assumed = Some(format!("a typical yield: {}", self.yield_words(&pour.1, part)));
                pour
            }
            PourAmount::Unread => {
                self.name_of_unread(line, problems);
                return None;
            }
            PourAmount::Share(percent) => (self.find(&line.name, false, problems)?, Measure::Share(*percent)),
            PourAmount::Parts(parts) => (self.find(&line.name, false, problems)?, Measure::Parts(*parts)),
            PourAmount::UpTo(amount) => {
                let found = self.find(&line.name, false, problems)?;
                match self.base(Some(*amount), line, problems)? {
                    Measure::Volume(ml) => (found, Measure::UpTo(ml)),
                    _ => {
                        problems.push(
                            Problem::new(code::WRONG_UNIT, line.amount_span, "a fill-up is to a volume, not a mass")
                                .help("write for example `to 1 l water`"),
                        );
                        return None;
                    }
                }
            }
            PourAmount::Few(unit) => {
                let found = self.find(&line.name, false, problems)?;
                assumed = Some(format!("a few is counted as {} {}", assume.few.normalize(), unit.word_for(assume.few)));
                (found, self.base(Some(Amount { value: assume.few, unit: *unit }), line, problems)?)
            }
            PourAmount::ToTaste => {
                let found = self.find(&line.name, false, problems)?;
                let solid =
                    matches!(found.target, Target::Ingredient(i) if self.pantry.ingredients[i].form != Form::Liquid);
                let amount = if solid { assume.pinch } else { assume.to_taste };
                assumed = Some(format!("to taste is counted as {}", shown(amount)));
                (found, self.base(Some(amount), line, problems)?)
            }
            PourAmount::Bare => {
                let found = self.find(&line.name, false, problems)?;
                let amount = match line.role {
                    Role::Float => Amount { value: dec!(15), unit: Unit::Ml },
                    Role::Rinse => Amount { value: Decimal::ONE, unit: Unit::Barspoon },
                    Role::Top | Role::Mix => assume.top,
                };
                let word = match line.role {
                    Role::Float => "a float",
                    Role::Rinse => "a rinse",
                    Role::Top | Role::Mix => "a top",
                };
                assumed = Some(format!("{word} is counted as {}", shown(amount)));
                (found, self.base(Some(amount), line, problems)?)
            }
        };
        if line.role != Role::Mix && matches!(measure, Measure::Share(_) | Measure::Parts(_) | Measure::UpTo(_)) {
            problems.push(
                Problem::new(code::POUR_ROLE, line.amount_span, "what goes in the glass is measured by itself")
                    .help("write a volume, for example `top 90 ml soda water`"),
            );
            return None;
        }
        if line.role == Role::Rinse {
            let stays = assume.rinse_stays * 100.0;
            let words = format!("{stays} % of a rinse stays in the glass");
            assumed = Some(assumed.map_or_else(|| words.clone(), |a| format!("{a}; {words}")));
        }
        let name = match found.target {
            Target::Ingredient(i) => self.pantry.ingredients[i].name().to_owned(),
            Target::Recipe(i) => self.notes.recipes[i].name.value.clone(),
        };
        let or = line.or.iter().filter_map(|other| self.pour(other, problems)).collect();
        let preparation = found.preparation;
        Some(Pour { line: line.clone(), target: found.target, name, preparation, measure, assumed, or })
    }

    /// Whether the house says how much a pinch of it is, since its item does not.
    fn is_house_pinch(&self, found: &Found, measure: &Measure) -> bool {
        let (Target::Ingredient(i), Measure::Pieces { word: Some(word), .. }) = (found.target, measure) else {
            return false;
        };
        names::key(word) == PINCH && self.pantry.ingredients[i].portion(Some(word)).is_none()
    }

    /// The amount of a line is at fault and was reported; what its name is at fault is reported too.
    fn name_of_unread(&self, line: &PourLine, problems: &mut Vec<Problem>) {
        match self.names.find(&line.name.value, true) {
            None => problems.push(self.unknown_counted(&line.name)),
            Some(Found { target: Target::Ingredient(i), piece: Some(word), .. }) => {
                let ingredient = &self.pantry.ingredients[i];
                let known = ingredient.portion(Some(&word)).is_some() || pantry::is_portion_word(&word);
                if ingredient.form == Form::Liquid && !known && line.name.value.starts_with(&word) {
                    problems.push(unknown_unit(&word, line.name.part(0, word.len())));
                }
            }
            Some(_) => {}
        }
    }

    fn base(&self, amount: Option<Amount>, line: &PourLine, problems: &mut Vec<Problem>) -> Option<Measure> {
        let based = amount.and_then(|a| a.base(&self.notes.house.units).map(|b| (a.unit.dimension(), b)));
        match based {
            Some((Dimension::Volume, ml)) if ml <= MOST => Some(Measure::Volume(ml)),
            Some((Dimension::Mass, g)) if g <= MOST => Some(Measure::Mass(g)),
            _ => {
                problems.push(too_much(line));
                None
            }
        }
    }

    fn counted(&self, line: &PourLine, count: Decimal, problems: &mut Vec<Problem>) -> Option<(Found, Measure)> {
        let Some(found) = self.names.find(&line.name.value, true) else {
            // `30 mls gin`: a word that almost is a unit, before a name that is known.
            let word = line.name.value.split_whitespace().next().unwrap_or("");
            let near_unit = near_unit(word).is_some();
            let rest_known = self.names.find(line.name.value[word.len()..].trim(), false).is_some();
            problems.push(if near_unit && rest_known {
                unknown_unit(word, line.name.part(0, word.len()))
            } else {
                self.unknown_counted(&line.name)
            });
            return None;
        };
        let fault = |problem: Problem, problems: &mut Vec<Problem>| {
            problems.push(problem);
            None
        };
        let word = found.piece.clone();
        // The word stands before the name (`2 sprigs mint`) or behind it (`8 mint leaves`).
        let word_span = match &word {
            Some(word) if line.name.value.starts_with(word.as_str()) => line.name.part(0, word.len()),
            Some(word) => {
                let at = line.name.value.find(word.as_str()).unwrap_or(0);
                line.name.part(at, at + word.len())
            }
            None => line.name.span,
        };
        let near_unit = |word: &str| near_unit(word).is_some();
        let Target::Ingredient(i) = found.target else {
            let name = &line.name.value;
            return match word.filter(|w| !w.is_empty()) {
                Some(word) if word.contains(' ') => fault(self.unknown_counted(&line.name), problems),
                Some(word) => fault(unknown_unit(&word, word_span), problems),
                None => fault(
                    Problem::new(
                        code::MISSING_UNIT,
                        line.amount_span,
                        format!("`{name}` is made here, so it is measured, not counted"),
                    )
                    .help(format!("write for example `{} ml {name}`", count.normalize())),
                    problems,
                ),
            };
        };
        let ingredient = &self.pantry.ingredients[i];
        if let Some(portion) = ingredient.portion(word.as_deref())
            && let Some(each) = portion.amount.base(&self.notes.house.units)
        {
            let total = count.checked_mul(each).filter(|total| *total <= MOST);
            if total.is_none() {
                return fault(too_much(line), problems);
            }
            let measure = Measure::Pieces {
                count,
                dimension: portion.amount.unit.dimension(),
                each,
                word: word.or_else(|| portion.word.clone().filter(|w| !ends_with_word(ingredient.name(), w))),
            };
            return Some((found, measure));
        }
        // A pinch is the house's, wherever an item does not state its own.
        if ingredient.form != Form::Liquid
            && let Some(word) = word.clone().filter(|w| names::key(w) == PINCH)
            && let Some(each) = self.notes.house.assume.pinch.base(&self.notes.house.units)
        {
            let dimension = self.notes.house.assume.pinch.unit.dimension();
            return Some((found, Measure::Pieces { count, dimension, each, word: Some(word) }));
        }
        let name = ingredient.name();
        let few = line.amount == PourAmount::FewPieces;
        let many = if few { "a few".to_owned() } else { count.normalize().to_string() };
        match word {
            // Two words before a name are no unit and no piece: the name is another one, such as `evaporated milk`.
            Some(word) if word.contains(' ') => fault(self.unknown_counted(&line.name), problems),
            // A letter is a unit that nobody knows, not a piece.
            Some(word) if near_unit(&word) || word.chars().count() == 1 => {
                fault(unknown_unit(&word, word_span), problems)
            }
            Some(word) if ingredient.form == Form::Liquid && !pantry::is_portion_word(&word) => {
                let problem = unknown_unit(&word, word_span);
                // What is counted is often described: `1 large egg white`.
                let counted = ingredient.item.piece.is_some();
                fault(
                    if counted {
                        problem.help(format!("a remark goes behind a comma: `{many} {name}, {word}`"))
                    } else {
                        problem
                    },
                    problems,
                )
            }
            Some(word) => {
                let one = names::singular(&word);
                let fact =
                    if pantry::is_pack_word(&word) { "pack: 700 ml".to_owned() } else { format!("piece: 5 g {one}") };
                fault(
                    Problem::new(
                        code::PIECE_UNKNOWN,
                        word_span,
                        format!("the pantry does not know how much one {one} of {name} is"),
                    )
                    .help(format!("write a volume or a mass, or add for example `{fact}` to `{name}` in the pantry")),
                    problems,
                )
            }
            None if ingredient.form == Form::Liquid && ingredient.item.pack.is_none() => fault(
                Problem::new(
                    code::MISSING_UNIT,
                    line.amount_span,
                    format!("the unit is missing: {many} of {name} is how much?"),
                )
                .help(format!("write for example `{many} {} {name}`", if few { "dashes" } else { "ml" })),
                problems,
            ),
            None => fault(
                Problem::new(
                    code::PIECE_UNKNOWN,
                    line.name.span,
                    format!("the pantry does not know how much one {name} weighs"),
                )
                .help(format!("write a mass, or add for example `piece: 100 g` to `{name}` in the pantry")),
                problems,
            ),
        }
    }

    /// `juice of 2 limes`.
    fn part_of(
        &self,
        line: &PourLine,
        part: &str,
        pieces: Decimal,
        problems: &mut Vec<Problem>,
    ) -> Option<(Found, Measure)> {
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
            problems.push(match fruit {
                None if pressed.is_none() => self.unknown(&line.name),
                _ => Problem::new(code::PIECE_UNKNOWN, line.name.part(0, fruit_name.len()), format!("the pantry does not know how much {part} one {} gives", names::singular(fruit_name)))
                    .help(format!("write a volume or a mass, or state `piece` and `yields: {{{part}: 45 %}}` of `{fruit_name}` in the pantry")),
            });
            return None;
        };
        let product = format!("{} {part}", names::key(fruit_name));
        let target = self.names.get(&product).or_else(|| pressed.map(|p| Target::Ingredient(p.juice)));
        // Without facts of the part itself only its mass is known, and that it comes of this fruit.
        let target = target.or_else(|| fruit.filter(|_| matches!(measured, Fruit::Ingredient(_))));
        let Some(target) = target else {
            problems.push(
                Problem::new(
                    code::UNKNOWN_NAME,
                    line.text.span,
                    format!("nothing is called `{product}`, so nobody knows what is in it"),
                )
                .help(format!("add `{product}` with its facts to the pantry")),
            );
            return None;
        };
        if pieces > dec!(100_000) {
            problems.push(too_much(line));
            return None;
        }
        let found = Found { target, preparation: (!after.is_empty()).then(|| after.to_owned()), piece: None };
        Some((found, Measure::PartOf { part: part.to_owned(), pieces, fruit: measured }))
    }

    fn yield_words(&self, measure: &Measure, part: &str) -> String {
        match measure {
            Measure::PartOf { fruit: Fruit::Pressed(ml), .. } => format!("{ml} ml of {part} from one"),
            Measure::PartOf { fruit: Fruit::Ingredient(i), .. } => {
                format!("the {part} that the pantry states for {}", self.pantry.ingredients[*i].name())
            }
            _ => String::new(),
        }
    }

    /// A name that nothing has; a word for a piece or pack before or behind it is not part of it.
    fn unknown_counted(&self, text: &Text) -> Problem {
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

    fn find(&self, text: &Text, counted: bool, problems: &mut Vec<Problem>) -> Option<Found> {
        let found = self.names.find(&text.value, counted);
        if found.is_none() {
            problems.push(self.unknown(text));
        }
        found
    }
}

/// Whether a name ends with a word, or is it: one `egg white` is not a white of egg white.
fn ends_with_word(name: &str, word: &str) -> bool {
    let (name, word) = (names::key(name), names::key(word));
    name == word || name.strip_suffix(&word).is_some_and(|before| before.ends_with(' '))
}

/// The word for what two fingers take.
const PINCH: &str = "pinch";

/// Most that one pour may be, ml or g.
const MOST: Decimal = dec!(10_000_000);

fn too_much(line: &PourLine) -> Problem {
    Problem::new(code::BAD_NUMBER, line.amount_span, "this is more than ten thousand litres, or ten tonnes")
        .help("check the number and its unit")
}

fn shown(amount: Amount) -> String {
    format!("{} {}", amount.value.normalize(), amount.unit.word_for(amount.value))
}

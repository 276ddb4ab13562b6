//! What a pour line means: the ingredient or recipe of its name, and its amount in millilitres, grams, pieces or shares.

use rust_decimal::{Decimal, dec};

use super::{Measure, Pour, Resolver};
use crate::measure::{Amount, Dimension, Unit, number};
use crate::notebook::pantry::Form;
use crate::notebook::pour::{PourAmount, PourLine, Role, middle, unknown_unit};
use crate::notebook::yaml::Text;
use crate::problem::{Problem, code};
use crate::recipe::names::{self, Found, Target};
use crate::recipe::pantry;

mod piece;

/// What a part of a line means, or the one problem that keeps it from meaning anything.
type Meant<T> = Result<T, Box<Problem>>;

/// What a line pours, how much of it, and what was assumed to know that.
struct Meaning {
    found: Found,
    measure: Measure,
    assumed: Option<String>,
}

impl Meaning {
    fn exact(found: Found, measure: Measure) -> Self {
        Self { found, measure, assumed: None }
    }

    fn assuming(found: Found, measure: Measure, assumed: String) -> Self {
        Self { found, measure, assumed: Some(assumed) }
    }
}

impl Resolver<'_> {
    pub(super) fn pour(&self, line: &PourLine, problems: &mut Vec<Problem>) -> Option<Pour> {
        if line.amount == PourAmount::Unread {
            self.name_of_unread(line, problems);
            return None;
        }
        let Meaning { found, measure, mut assumed } = match self.meaning(line) {
            Ok(meaning) => meaning,
            Err(problem) => {
                problems.push(*problem);
                return None;
            }
        };
        if line.role == Role::Rinse {
            let words = format!("{} % of a rinse stays in the glass", self.notes.house.assume.rinse_stays * 100.0);
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

    fn meaning(&self, line: &PourLine) -> Meant<Meaning> {
        let assume = &self.notes.house.assume;
        let meaning = match &line.amount {
            PourAmount::Measured { amount, high, times } => self.measured(line, *amount, *high, *times)?,
            PourAmount::Count(count) => self.so_many(line, *count)?,
            PourAmount::FewPieces => {
                let (found, measure) = self.counted(line, assume.few)?;
                Meaning::assuming(found, measure, format!("a few is counted as {}", assume.few.normalize()))
            }
            PourAmount::Half => {
                let (found, measure) = self.counted(line, dec!(0.5))?;
                Meaning::assuming(found, measure, "half of one is counted as half its weight".to_owned())
            }
            PourAmount::PartOf { part, pieces } => {
                let (found, measure) = self.part_of(line, part, *pieces)?;
                let assumed = format!("a typical yield: {}", self.yield_words(&measure, part));
                Meaning::assuming(found, measure, assumed)
            }
            PourAmount::Share(percent) => Meaning::exact(self.find(&line.name)?, Measure::Share(*percent)),
            PourAmount::Parts(parts) => Meaning::exact(self.find(&line.name)?, Measure::Parts(*parts)),
            PourAmount::UpTo(amount) => {
                let found = self.find(&line.name)?;
                let Measure::Volume(ml) = self.base(*amount, line)? else {
                    let problem =
                        Problem::new(code::WRONG_UNIT, line.amount_span, "a fill-up is to a volume, not a mass")
                            .help("write for example `to 1 l water`");
                    return Err(Box::new(problem));
                };
                Meaning::exact(found, Measure::UpTo(ml))
            }
            PourAmount::Few(unit) => {
                let words = format!("{} {}", assume.few.normalize(), unit.word_for(assume.few));
                self.taken_as(line, "a few", Amount { value: assume.few, unit: *unit }, words)?
            }
            PourAmount::ToTaste => {
                let found = self.find(&line.name)?;
                let solid =
                    matches!(found.target, Target::Ingredient(i) if self.pantry.ingredients[i].form != Form::Liquid);
                let amount = if solid { assume.pinch } else { assume.to_taste };
                self.taken_as(line, "to taste", amount, shown(amount))?
            }
            PourAmount::Bare | PourAmount::Unread => {
                let (what, amount) = match line.role {
                    Role::Float => ("a float", Amount { value: dec!(15), unit: Unit::Ml }),
                    Role::Rinse => ("a rinse", Amount { value: Decimal::ONE, unit: Unit::Barspoon }),
                    Role::Top | Role::Mix => ("a top", assume.top),
                };
                self.taken_as(line, what, amount, shown(amount))?
            }
        };
        let by_itself = !matches!(meaning.measure, Measure::Share(_) | Measure::Parts(_) | Measure::UpTo(_));
        if line.role == Role::Mix || by_itself {
            return Ok(meaning);
        }
        let problem = Problem::new(code::POUR_ROLE, line.amount_span, "what goes in the glass is measured by itself")
            .help("write a volume, for example `top 90 ml soda water`");
        Err(Box::new(problem))
    }

    /// `300 ml`, `2–3 drops`, `6 x 50 ml`.
    fn measured(
        &self,
        line: &PourLine,
        amount: Amount,
        high: Option<Decimal>,
        times: Option<Decimal>,
    ) -> Meant<Meaning> {
        let found = self.find(&line.name)?;
        let value = middle(amount.value, high)
            .checked_mul(times.unwrap_or(Decimal::ONE))
            .ok_or_else(|| Box::new(too_much(line)))?;
        let measure = self.base(Amount { value, ..amount }, line)?;
        let assumed = high.map(|high| {
            let (low, unit) = (amount.value.normalize(), amount.unit.word_for(high));
            format!("{low}–{} {unit} is counted as its middle", high.normalize())
        });
        Ok(Meaning { found, measure, assumed })
    }

    /// `2 limes`, `2–3 limes`, `a pinch of salt`.
    fn so_many(&self, line: &PourLine, count: Decimal) -> Meant<Meaning> {
        let (found, measure) = self.counted(line, count)?;
        // The line keeps only the middle of `2–3 limes`.
        let range = number::lex_range(&line.text.value).ok().flatten();
        let range = range.and_then(|r| r.high.map(|high| (r.low.normalize(), high.normalize())));
        let assumed = if self.is_house_pinch(&found, &measure) {
            Some(format!("a pinch is counted as {}", shown(self.notes.house.assume.pinch)))
        } else {
            range.map(|(low, high)| format!("{low}–{high} is counted as its middle"))
        };
        Ok(Meaning { found, measure, assumed })
    }

    /// An amount that the house assumes where the line leaves it open.
    fn taken_as(&self, line: &PourLine, what: &str, amount: Amount, words: String) -> Meant<Meaning> {
        let found = self.find(&line.name)?;
        let measure = self.base(amount, line)?;
        Ok(Meaning::assuming(found, measure, format!("{what} is counted as {words}")))
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

    fn base(&self, amount: Amount, line: &PourLine) -> Meant<Measure> {
        match (amount.unit.dimension(), amount.base(&self.notes.house.units)) {
            (Dimension::Volume, Some(ml)) if ml <= MOST => Ok(Measure::Volume(ml)),
            (Dimension::Mass, Some(g)) if g <= MOST => Ok(Measure::Mass(g)),
            _ => Err(Box::new(too_much(line))),
        }
    }

    fn find(&self, text: &Text) -> Meant<Found> {
        self.names.find(&text.value, false).ok_or_else(|| Box::new(self.unknown(text)))
    }
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

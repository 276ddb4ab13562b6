//! Amounts as readers see them: one pour in a unit of their choice, in the same digits on every page, note and card.

use rust_decimal::Decimal;

use crate::measure::{Unit, show};
use crate::notebook::house::House;
use crate::notebook::pour::{PourAmount, PourLine, Role};
use crate::process::Process;
use crate::recipe::graph::{Measure, Pour};
use crate::recipe::run::{Computed, Poured};
use crate::relation::ethanol_density::WATER_DENSITY_20C;

/// One amount in one unit system.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amount {
    /// The number; empty where words stand in its place.
    pub value: String,
    /// The unit, or the words.
    pub unit: String,
    /// What stands before it: `to`.
    pub lead: Option<&'static str>,
}

impl Amount {
    /// The amount in a line: `to 1 l`, `6 dashes`, `to taste`.
    #[must_use]
    pub fn line(&self) -> String {
        [self.lead.unwrap_or(""), &self.value, &self.unit]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
    }
}

/// Measures that a bartender keeps in any system.
fn kept(unit: Unit) -> bool {
    matches!(unit, Unit::Dash | Unit::Barspoon | Unit::Drop | Unit::Splash)
}

/// An amount that is words only.
#[must_use]
pub fn words(text: &str) -> Amount {
    Amount { value: String::new(), unit: text.to_owned(), lead: None }
}

/// Millilitres in a unit.
#[must_use]
pub fn in_unit(house: &House, ml: Decimal, unit: Unit) -> (String, &'static str) {
    let value = ml / house.units.factor(unit);
    let decimals = if unit == Unit::Oz || value < Decimal::TEN { 2 } else { 1 };
    (show::decimal(value, decimals), unit.word_for(value))
}

/// Two unit systems for readers who have only one of them: what the house shows, and the other of millilitres and ounces
/// where it shows but one.
#[must_use]
pub fn systems(house: &House) -> [Unit; 2] {
    match house.show.as_slice() {
        [first, second, ..] => [*first, *second],
        [Unit::Oz] => [Unit::Oz, Unit::Ml],
        [first] => [*first, Unit::Oz],
        [] => [Unit::Ml, Unit::Oz],
    }
}

/// A pour in each of some units; a measure that no system has, such as a dash or a gram, is the same in all.
#[must_use]
pub fn amounts(house: &House, pour: &Pour, poured: Option<&Poured>, units: &[Unit]) -> Vec<Amount> {
    let per_unit = |ml: Decimal, lead: Option<&'static str>| -> Vec<Amount> {
        units
            .iter()
            .map(|wanted| {
                let (value, unit) = in_unit(house, ml, *wanted);
                Amount { value, unit: unit.into(), lead }
            })
            .collect()
    };
    let computed = |what: &str| -> Vec<Amount> {
        match poured {
            Some(p) if p.mixture.figure_volume().is_ok() => {
                let ml = Decimal::try_from(p.ml).unwrap_or_default();
                per_unit(ml, None)
            }
            _ => vec![words(what); units.len()],
        }
    };
    let same = |amount: Amount| vec![amount; units.len()];
    match (&pour.line.amount, &pour.measure) {
        (PourAmount::Measured { amount, high, times }, measure) => {
            let (low, unit) = (amount.value, amount.unit);
            if let Measure::Mass(grams) = measure {
                return same(Amount { value: show::decimal(*grams, 3), unit: "g".into(), lead: None });
            }
            if let Some(high) = high {
                let value = format!("{}–{}", low.normalize(), high.normalize());
                return same(Amount { value, unit: unit.word_for(*high).into(), lead: None });
            }
            if let Some(times) = times {
                let value = format!("{} × {}", times.normalize(), low.normalize());
                return same(Amount { value, unit: unit.word_for(low).into(), lead: None });
            }
            if kept(unit) {
                return same(Amount { value: show::decimal(low, 2), unit: unit.word_for(low).into(), lead: None });
            }
            match measure {
                Measure::Volume(ml) => per_unit(*ml, None),
                _ => computed("as written"),
            }
        }
        (_, Measure::UpTo(ml)) => per_unit(*ml, Some("to")),
        (PourAmount::Few(unit), _) => same(words(&format!("a few {}", unit.word_for(Decimal::TWO)))),
        (PourAmount::ToTaste, _) => same(words("to taste")),
        (PourAmount::Bare, _) => same(words(match pour.line.role {
            Role::Float => "a float",
            Role::Rinse => "a rinse",
            Role::Top | Role::Mix => "to the top",
        })),
        (PourAmount::Half, Measure::Pieces { word, .. }) => {
            same(Amount { value: "½".into(), unit: word.clone().unwrap_or_default(), lead: None })
        }
        (_, Measure::Pieces { count, word, .. }) => {
            same(Amount { value: show::decimal(*count, 2), unit: word.clone().unwrap_or_default(), lead: None })
        }
        (_, Measure::Share(percent)) => match poured.and_then(|p| p.grams) {
            Some(grams) => same(Amount { value: show::trim(&show::fixed(grams, 2)), unit: "g".into(), lead: None }),
            None => same(Amount { value: show::decimal(*percent, 3), unit: "%".into(), lead: None }),
        },
        (_, Measure::Parts(parts)) => {
            let word = if *parts == Decimal::ONE { "part" } else { "parts" };
            match poured {
                Some(_) => computed(word),
                None => same(Amount { value: show::decimal(*parts, 2), unit: word.into(), lead: None }),
            }
        }
        // Juice is poured; peel, core and flesh are weighed.
        (PourAmount::PartOf { part, .. }, _) if part != "juice" => match poured.and_then(|p| p.grams) {
            Some(grams) => same(Amount { value: show::amount(grams), unit: "g".into(), lead: None }),
            None => same(words("as it gives")),
        },
        (PourAmount::PartOf { .. }, _) => computed("as it gives"),
        (_, _) => computed("as written"),
    }
}

/// What a process works out itself and takes in: water by volume, powders by mass.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenIn {
    /// Which of the recipe's processes, from 0.
    pub step: usize,
    /// What: `water`, `citric acid`.
    pub name: String,
    /// How much, in each of the units asked for.
    pub amounts: Vec<Amount>,
}

/// What the processes of a recipe take in that no pour names. Ice melts by itself and is left out.
#[must_use]
pub fn taken_in(computed: &Computed, recipe: usize, units: &[Unit]) -> Vec<TakenIn> {
    let house = &computed.graph.notes.house;
    let made = &computed.made[recipe];
    let steps = computed.graph.nodes[recipe].process.iter().enumerate().zip(made.stages.iter().skip(1));
    let mut list = Vec::new();
    for ((step, line), stage) in steps {
        let process = line.line.process;
        if !matches!(process, Process::Water | Process::AcidAdjust | Process::Clarify) {
            continue;
        }
        for added in stage.added.iter().filter(|a| a.grams > 0.0) {
            let weighed = || Amount { value: show::trim(&show::fixed(added.grams, 2)), unit: "g".into(), lead: None };
            let ml = Decimal::try_from(added.grams / (WATER_DENSITY_20C / 1000.0))
                .ok()
                .filter(|_| process == Process::Water);
            let amount = |unit: &Unit| match ml {
                Some(ml) => {
                    let (value, unit) = in_unit(house, ml, *unit);
                    Amount { value, unit: unit.into(), lead: None }
                }
                None => weighed(),
            };
            list.push(TakenIn { step, name: added.what.clone(), amounts: units.iter().map(amount).collect() });
        }
    }
    list
}

/// What is said behind the name: the preparation, and what the amount was written as where another one is shown.
#[must_use]
pub fn behind(pour: &Pour) -> Option<String> {
    let written = match &pour.line.amount {
        PourAmount::PartOf { part, pieces } => {
            let fruit = pour.line.name.value.split(',').next().unwrap_or("").trim();
            Some(format!("{part} of {} {fruit}", pieces.normalize()))
        }
        PourAmount::Share(percent) => Some(format!("{} % of the liquid’s mass", percent.normalize())),
        PourAmount::Parts(parts) => {
            Some(format!("{} {}", parts.normalize(), if *parts == Decimal::ONE { "part" } else { "parts" }))
        }
        _ => None,
    };
    let list: Vec<String> = [written, pour.preparation.clone()].into_iter().flatten().collect();
    (!list.is_empty()).then(|| list.join(", "))
}

/// The small words before the name of what goes in the glass.
#[must_use]
pub fn manner(line: &PourLine, finish: bool) -> Option<&'static str> {
    match (finish, line.role) {
        (true, _) => Some("finish with"),
        (false, Role::Mix) => None,
        (false, Role::Top) => Some("top with"),
        (false, Role::Float) => Some("float"),
        (false, Role::Rinse) => Some("rinse with"),
    }
}

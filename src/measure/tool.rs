//! Measuring with the house's tools: jigger, jug, scales, dashes, drops and spoons, in millilitres or in ounces.
//!
//! In: an exact amount. Out: what a person can pour or weigh, with the tool and its step. It never differs from the exact amount
//! by more than half the step.

use rust_decimal::{Decimal, dec};

use super::exact::Exact;
use super::{Dimension, Unit, Units};

/// Most dashes that anybody counts; more is poured.
const MOST_DASHES: Decimal = dec!(12);
/// Most drops that anybody counts; more is dashed.
const MOST_DROPS: Decimal = dec!(40);
/// Most barspoons that anybody counts; more is poured.
const MOST_SPOONS: Decimal = dec!(6);
/// So many steps of a jug make its error small enough for it to be read: about 4 % at worst.
const LEAST_JUG_STEPS: Decimal = dec!(12);
/// Ounces are poured in quarters up to a pint and in whole ounces beyond (common practice, no source).
const OUNCE_STEP: Decimal = dec!(0.25);
/// Ounces from which whole ones are poured.
const OUNCE_JUG: Decimal = dec!(16);
/// A dose is weighed well enough where half a step of the scale is at most this share of it.
const DOSE_ERROR: Decimal = dec!(0.02);

/// What an amount is measured with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tool {
    /// A jigger's marks, one or two fills of them.
    Jigger,
    /// A measuring jug.
    Jug,
    /// A jug to its mark, and the rest by jigger.
    JugAndJigger,
    /// A scale.
    Scale,
    /// Dashes.
    Dash,
    /// Drops.
    Drop,
    /// Barspoons, in halves.
    Barspoon,
    /// Counted pieces.
    Count,
    /// All that there is of it.
    All,
    /// What is left of it once the others took theirs.
    Rest,
    /// Nothing here measures so little.
    TooLittle,
}

impl Tool {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Jigger => "jigger",
            Self::Jug => "jug",
            Self::JugAndJigger => "jug and jigger",
            Self::Scale => "scale",
            Self::Dash => "dashes",
            Self::Drop => "drops",
            Self::Barspoon => "barspoon",
            Self::Count => "count",
            Self::All => "all of it",
            Self::Rest => "the rest of it",
            Self::TooLittle => "too little to measure",
        }
    }
}

/// Which units a batch is poured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum View {
    /// Millilitres.
    #[default]
    Metric,
    /// Fluid ounces; what is weighed stays in grams.
    Ounces,
}

/// How finely a pour is measured; the coarsest tool that fits comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Care {
    /// By the tool that fits its size.
    #[default]
    Usual,
    /// By jug and jigger together.
    Finer,
    /// On a scale, where its density is known.
    Weighed,
}

/// A measured amount.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measured {
    /// What a person reads off the tool, in `unit`.
    pub amount: Exact,
    /// The unit of that.
    pub unit: Unit,
    /// The same in the pour's own base: ml or g.
    pub base: Exact,
    /// The tool.
    pub tool: Tool,
    /// Its step there, in the pour's own base; nothing where all of it is taken.
    pub step: Exact,
    /// In how many loads, where one is more than the scale carries.
    pub loads: u64,
    /// Whether half the scale's step is more than 2 % of it.
    pub coarse: bool,
}

impl Measured {
    /// So little that half a step of the finest tool would be more: the exact amount stands, and is said to be out of reach.
    #[must_use]
    pub fn too_little(amount: &Exact, unit: Unit) -> Self {
        Self {
            amount: amount.clone(),
            unit,
            base: amount.clone(),
            tool: Tool::TooLittle,
            step: Exact::zero(),
            loads: 1,
            coarse: true,
        }
    }

    /// The mark below the amount, where it was rounded up to the mark above; `None` where that would be nothing.
    #[must_use]
    pub fn mark_below(&self) -> Option<Self> {
        let base = &self.base - &self.step;
        let amount = (&self.amount * &base).over(&self.base)?;
        (self.step.is_positive() && base.is_positive()).then(|| Self { amount, base, ..self.clone() })
    }
}

/// A scale.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scale {
    /// Its finest step, g.
    pub step: Exact,
    /// Most that it carries, g.
    pub capacity: Option<Exact>,
}

/// The tools of a house, as exact numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tools {
    /// What one or two fills of a jigger give, ml, rising.
    pub jigger: Vec<Exact>,
    /// Its largest mark, ml.
    pub largest: Exact,
    /// The jug's step, ml.
    pub jug: Exact,
    /// Finest first.
    pub scales: Vec<Scale>,
    /// One dash, ml.
    pub dash: Exact,
    /// One drop, ml.
    pub drop: Exact,
    /// One barspoon, ml.
    pub barspoon: Exact,
    /// One ounce, ml.
    pub ounce: Exact,
}

impl Tools {
    /// Tools by jigger marks and jug step, ml, and scales, g; marks of nothing are left out.
    #[must_use]
    pub fn new(marks: &[Decimal], jug: Decimal, scales: &[(Decimal, Option<Decimal>)], units: &Units) -> Self {
        let marks: Vec<Decimal> = marks.iter().copied().filter(|m| !m.is_zero()).collect();
        let mut jigger: Vec<Decimal> =
            marks.iter().flat_map(|a| marks.iter().map(move |b| a + b)).chain(marks.iter().copied()).collect();
        jigger.sort();
        jigger.dedup();
        let mut scales: Vec<Scale> = scales
            .iter()
            .map(|(step, capacity)| Scale { step: Exact::decimal(*step), capacity: capacity.map(Exact::decimal) })
            .collect();
        scales.sort_by(|a, b| a.step.cmp(&b.step));
        let unit = |u| Exact::decimal(units.factor(u));
        Self {
            largest: marks.iter().max().map_or_else(Exact::zero, |m| Exact::decimal(*m)),
            jigger: jigger.into_iter().map(Exact::decimal).collect(),
            jug: Exact::decimal(jug),
            scales,
            dash: unit(Unit::Dash),
            drop: unit(Unit::Drop),
            barspoon: unit(Unit::Barspoon),
            ounce: unit(Unit::Oz),
        }
    }

    /// Measures an amount: ml or g by its dimension. `written` is the unit that the recipe says it in; `density`, g/ml, lets a
    /// liquid be weighed.
    #[must_use]
    pub fn measure(
        &self,
        amount: &Exact,
        dimension: Dimension,
        written: Option<Unit>,
        density: Option<&Exact>,
        care: Care,
        view: View,
    ) -> Measured {
        match (dimension, density) {
            (Dimension::Mass, _) => self.weigh(amount),
            (Dimension::Volume, Some(density)) if care == Care::Weighed && density.is_positive() => {
                let weighed = self.weigh(&(amount * density));
                let ml = |g: &Exact| g.over(density).unwrap_or_else(Exact::zero);
                // A scale that is coarser than the jug would undo what was wanted of it.
                let poured = self.pour(amount, written, Care::Finer, view);
                let (base, step) = (ml(&weighed.base), ml(&weighed.step));
                if (&base - amount).abs() < (&poured.base - amount).abs() {
                    Measured { base, step, ..weighed }
                } else {
                    poured
                }
            }
            (Dimension::Volume, _) => self.pour(amount, written, care, view),
        }
    }

    fn weigh(&self, grams: &Exact) -> Measured {
        let fits = |s: &&Scale| s.capacity.as_ref().is_none_or(|c| grams <= c);
        let Some(scale) =
            self.scales.iter().find(fits).or_else(|| self.scales.iter().max_by(|a, b| a.capacity.cmp(&b.capacity)))
        else {
            return Measured::too_little(grams, Unit::G);
        };
        let base = grams.nearest(&scale.step);
        if !base.is_positive() {
            return Measured::too_little(grams, Unit::G);
        }
        let loads =
            scale.capacity.as_ref().and_then(|c| base.over(c)).and_then(|n| n.ceil().count()).unwrap_or(1).max(1);
        let coarse = &scale.step / 2 > grams * &Exact::decimal(DOSE_ERROR);
        Measured {
            amount: base.clone(),
            unit: Unit::G,
            base,
            tool: Tool::Scale,
            step: scale.step.clone(),
            loads,
            coarse,
        }
    }

    fn pour(&self, ml: &Exact, written: Option<Unit>, care: Care, view: View) -> Measured {
        let few = |unit: &Exact, most: Decimal| *ml <= unit * &Exact::decimal(most);
        let half = Exact::decimal(dec!(0.5));
        match written {
            Some(Unit::Drop) if few(&self.drop, MOST_DROPS) => return self.counted(ml, Unit::Drop),
            Some(Unit::Drop | Unit::Dash) if few(&self.dash, MOST_DASHES) && *ml >= &self.dash * &half => {
                return self.counted(ml, Unit::Dash);
            }
            Some(Unit::Barspoon) if few(&self.barspoon, MOST_SPOONS) && *ml >= &self.barspoon * &half => {
                return self.counted(ml, Unit::Barspoon);
            }
            _ => {}
        }
        let least = match view {
            View::Metric => self.jigger.first().cloned().unwrap_or_else(|| self.jug.clone()),
            View::Ounces => &self.ounce * &Exact::decimal(OUNCE_STEP),
        };
        if *ml < least {
            return self.little(ml);
        }
        match view {
            View::Metric => self.metric(ml, care),
            View::Ounces => self.ounces(ml),
        }
    }

    /// Less than the jigger's least mark: drops, dashes or half a barspoon, whichever comes closest; at the same distance, the
    /// larger measure.
    fn little(&self, ml: &Exact) -> Measured {
        if *ml <= &self.drop * &Exact::decimal(MOST_DROPS) {
            return self.counted(ml, Unit::Drop);
        }
        let (dashes, spoons) = (self.counted(ml, Unit::Dash), self.counted(ml, Unit::Barspoon));
        let off = |m: &Measured| (&m.base - ml).abs();
        if spoons.base.is_positive() && off(&spoons) <= off(&dashes) { spoons } else { dashes }
    }

    fn counted(&self, ml: &Exact, unit: Unit) -> Measured {
        let (one, part, tool) = match unit {
            Unit::Drop => (&self.drop, Exact::one(), Tool::Drop),
            Unit::Barspoon => (&self.barspoon, Exact::decimal(dec!(0.5)), Tool::Barspoon),
            _ => (&self.dash, Exact::one(), Tool::Dash),
        };
        let step = one * &part;
        let base = ml.nearest(&step);
        match base.over(one) {
            Some(amount) if base.is_positive() => Measured { amount, unit, base, tool, step, loads: 1, coarse: false },
            _ => Measured::too_little(ml, Unit::Ml),
        }
    }

    fn metric(&self, ml: &Exact, care: Care) -> Measured {
        let in_jug = *ml > &self.largest * &Exact::whole(2) && *ml >= &self.jug * &Exact::decimal(LEAST_JUG_STEPS);
        let (base, step, tool) = match (in_jug, care) {
            (true, Care::Usual) => (ml.nearest(&self.jug), self.jug.clone(), Tool::Jug),
            // A jug to the mark below, and what the jigger makes of the rest.
            (true, _) => {
                let marks = ml.over(&self.jug).map_or_else(Exact::zero, |n| n.floor());
                let full = &marks * &self.jug;
                let (rest, step) = self.beside(&(ml - &full));
                (&full + &rest, step, Tool::JugAndJigger)
            }
            (false, _) => {
                let (base, step) = self.fills(ml);
                (base, step, Tool::Jigger)
            }
        };
        Measured { amount: base.clone(), unit: Unit::Ml, base, tool, step, loads: 1, coarse: false }
    }

    /// The jigger's marks beside a jug: what is left below the jug's next mark, or that mark.
    fn beside(&self, rest: &Exact) -> (Exact, Exact) {
        let mut marks: Vec<Exact> = self.jigger.iter().filter(|m| **m < self.jug).cloned().collect();
        marks.insert(0, Exact::zero());
        marks.push(self.jug.clone());
        closest(&marks, rest)
    }

    /// Full jiggers, and one or two fills for the rest.
    fn fills(&self, ml: &Exact) -> (Exact, Exact) {
        let most = self.jigger.last().cloned().unwrap_or_else(Exact::zero);
        if *ml <= most || !self.largest.is_positive() {
            return closest(&self.jigger, ml);
        }
        // Beyond two fills: so many of the largest that one or two fills are left.
        let over = (ml - &most).over(&self.largest).map_or_else(Exact::zero, |n| n.ceil());
        let full = &over * &self.largest;
        let (rest, step) = closest(&self.jigger, &(ml - &full));
        (&full + &rest, step)
    }

    fn ounces(&self, ml: &Exact) -> Measured {
        let ounces = ml.over(&self.ounce).unwrap_or_else(Exact::zero);
        let (step, tool) = if ounces >= Exact::decimal(OUNCE_JUG) {
            (Exact::one(), Tool::Jug)
        } else {
            (Exact::decimal(OUNCE_STEP), Tool::Jigger)
        };
        let amount = ounces.nearest(&step);
        let base = &amount * &self.ounce;
        Measured { amount, unit: Unit::Oz, base, tool, step: &step * &self.ounce, loads: 1, coarse: false }
    }
}

/// The mark nearest to an amount, the higher of two at the same distance, and the gap in which the amount lies.
fn closest(marks: &[Exact], amount: &Exact) -> (Exact, Exact) {
    let above = marks.iter().position(|m| m >= amount);
    match above {
        None => (marks.last().cloned().unwrap_or_else(|| amount.clone()), Exact::zero()),
        Some(0) => (marks[0].clone(), &(&marks[0] - amount) * &Exact::whole(2)),
        Some(i) => {
            let (low, high) = (&marks[i - 1], &marks[i]);
            let nearest = if (high - amount) <= (amount - low) { high } else { low };
            (nearest.clone(), high - low)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn tools() -> Tools {
        let marks = [
            5.into(),
            dec!(7.5),
            10.into(),
            15.into(),
            20.into(),
            dec!(22.5),
            25.into(),
            30.into(),
            45.into(),
            50.into(),
            60.into(),
        ];
        let scales = [(1.into(), Some(5000.into())), (dec!(0.01), Some(200.into()))];
        Tools::new(&marks, 10.into(), &scales, &Units::default())
    }

    fn shown(m: &Measured) -> String {
        format!("{} {} {}", m.amount.digits(), m.unit.word(), m.tool.word())
    }

    #[test]
    fn the_tool_follows_the_size() {
        let tools = tools();
        let ml = |v: Decimal, written| {
            shown(&tools.measure(&Exact::decimal(v), Dimension::Volume, written, None, Care::Usual, View::Metric))
        };
        for (amount, written, is) in [
            (dec!(0.1), Unit::Drop, "2 drop drops"),
            (dec!(1.38), Unit::Drop, "28 drop drops"),
            (dec!(2.3), Unit::Drop, "3 dash dashes"),
            (dec!(5.52), Unit::Dash, "6 dash dashes"),
            (dec!(73.6), Unit::Dash, "72.5 ml jigger"),
            (dec!(7.5), Unit::Barspoon, "1.5 barspoon barspoon"),
            (dec!(22.5), Unit::Ml, "22.5 ml jigger"),
            (dec!(36.9), Unit::Ml, "37.5 ml jigger"),
            (dec!(1806.45), Unit::Ml, "1810 ml jug"),
            (dec!(0.4), Unit::Ml, "8 drop drops"),
            (dec!(2.4), Unit::Ml, "0.5 barspoon barspoon"),
            (dec!(3.7), Unit::Ml, "4 dash dashes"),
            (dec!(0.02), Unit::Ml, "0.02 ml too little to measure"),
        ] {
            assert_eq!(ml(amount, Some(written)), is, "{amount} {}", written.word());
        }
    }

    #[test]
    fn a_scale_carries_what_it_can() {
        let tools = tools();
        let weigh = |v: Decimal| tools.weigh(&Exact::decimal(v));
        assert_eq!(shown(&weigh(dec!(1.234))), "1.23 g scale");
        assert_eq!(shown(&weigh(dec!(200.4))), "200 g scale");
        let heavy = weigh(dec!(12000.4));
        assert_eq!((shown(&heavy).as_str(), heavy.loads), ("12000 g scale", 3));
        // Half a step is 2 % of a quarter of a gram.
        assert!(weigh(dec!(0.24)).coarse && !weigh(dec!(0.25)).coarse);
        assert_eq!(weigh(dec!(0.004)).tool, Tool::TooLittle);
    }

    #[test]
    fn ounces_come_in_quarters() {
        let tools = tools();
        let oz = |v: Decimal| {
            let ml = &Exact::decimal(v) * &tools.ounce;
            shown(&tools.measure(&ml, Dimension::Volume, None, None, Care::Usual, View::Ounces))
        };
        assert_eq!(oz(dec!(1.6)), "1.5 oz jigger");
        assert_eq!(oz(dec!(0.625)), "0.75 oz jigger");
        assert_eq!(oz(dec!(23.4)), "23 oz jug");
        assert_eq!(oz(dec!(0.1)), "3 dash dashes");
    }

    #[test]
    fn more_care_comes_closer() {
        let tools = tools();
        let water = Exact::one();
        let at = |care| {
            tools.measure(&Exact::decimal(dec!(1026.4)), Dimension::Volume, None, Some(&water), care, View::Metric)
        };
        assert_eq!(shown(&at(Care::Usual)), "1030 ml jug");
        assert_eq!(shown(&at(Care::Finer)), "1027.5 ml jug and jigger");
        assert_eq!(shown(&at(Care::Weighed)), "1026 g scale");
    }

    proptest! {
        #[test]
        fn nothing_is_off_by_more_than_half_a_step(
            n in 1_u64..100_000_000, d in 1_u64..10_000, unit in 0..4, care in 0..3, ounces: bool, mass: bool, density in 500_u64..2000
        ) {
            let tools = tools();
            let amount = Exact::ratio(n, d).expect("an amount");
            let written = [None, Some(Unit::Dash), Some(Unit::Drop), Some(Unit::Barspoon)][unit as usize];
            let care = [Care::Usual, Care::Finer, Care::Weighed][care as usize];
            let view = if ounces { View::Ounces } else { View::Metric };
            let dimension = if mass { Dimension::Mass } else { Dimension::Volume };
            let density = Exact::ratio(density, 1000);
            let measured = tools.measure(&amount, dimension, written, density.as_ref(), care, view);
            prop_assert!(&(&measured.base - &amount).abs() * &Exact::whole(2) <= measured.step, "{measured:?}");
            prop_assert!(measured.base.is_positive());
        }
    }
}

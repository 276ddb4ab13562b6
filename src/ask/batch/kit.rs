//! What a batch is measured with: the house's tools and tolerance, or in public, where those are nobody's business, the
//! default ones.

use crate::measure::tool::Tools;
use crate::measure::{Amount, Exact};
use crate::notebook::house::{self, House};

/// Tools and how far they may move a drink.
#[derive(Debug, Clone, PartialEq)]
pub struct Kit {
    /// Jigger, jug, scales, dashes, drops and spoons.
    pub tools: Tools,
    /// Strength in percentage points, sugar and acid in g/100 ml.
    pub tolerance: [Exact; 3],
    /// Share of a bottle that stays empty.
    pub headspace: Exact,
}

impl Kit {
    /// The kit of a house, or that of any bar.
    #[must_use]
    pub fn new(house: &House, public: bool) -> Self {
        let any = house::Tools::default();
        let tools = if public { &any } else { &house.tools };
        let tolerance = if public { house::Tolerance::default() } else { house.tolerance };
        let base = |a: &Amount| a.base(&house.units);
        let marks: Vec<_> = tools.jigger.iter().filter_map(base).collect();
        let scales: Vec<_> =
            tools.scales.iter().filter_map(|s| Some((base(&s.step)?, s.capacity.as_ref().and_then(base)))).collect();
        Self {
            tools: Tools::new(&marks, base(&tools.jug).unwrap_or_default(), &scales, &house.units),
            tolerance: [tolerance.abv, tolerance.sugar, tolerance.acid].map(Exact::decimal),
            headspace: Exact::computed(house.assume.headspace).unwrap_or_else(Exact::zero),
        }
    }
}

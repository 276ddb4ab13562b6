//! What a recipe leaves to the house: the assumptions that its page has to name.

use super::Maker;
use crate::measure::Unit;
use crate::notebook::pour::PourAmount;

impl Maker<'_> {
    pub(super) fn assumptions(&self, list: &mut Vec<String>) {
        let house = &self.world.graph.notes.house;
        let steps = self.node().process.iter().flat_map(|s| s.pours.values().flatten());
        for pour in self.node().mix.iter().chain(&self.node().finish).flatten().chain(steps) {
            if let Some(assumed) = &pour.assumed {
                list.push(format!("{}: {assumed}", pour.line.text.value));
            }
            let unit = match &pour.line.amount {
                PourAmount::Measured { amount, .. } => amount.unit,
                PourAmount::Few(unit) => *unit,
                _ => continue,
            };
            if matches!(
                unit,
                Unit::Dash
                    | Unit::Barspoon
                    | Unit::Drop
                    | Unit::Splash
                    | Unit::Jigger
                    | Unit::Pony
                    | Unit::Tsp
                    | Unit::Tbsp
                    | Unit::Cup
            ) {
                let whose = if house.own_units.contains(&unit) {
                    "the house's own measure"
                } else {
                    "the default; measures of this kind differ"
                };
                list.push(format!("one {} is {} ml ({whose})", unit.word(), house.units.factor(unit).normalize()));
            }
        }
    }
}

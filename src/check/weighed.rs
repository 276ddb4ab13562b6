//! Weighed liquids of unknown density: the scale says how much there is, and no more, so everything per volume stays unknown.

use super::Asked;
use crate::measure::Dimension;
use crate::mixture::Quantity;
use crate::problem::{Problem, Severity, code};
use crate::recipe::graph::Measure;
use crate::recipe::names::Target;

pub(super) fn check(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    let graph = &asked.computed.graph;
    for node in asked.recipes.iter().map(|r| &graph.nodes[*r]) {
        let steps = node.process.iter().flat_map(|s| s.pours.values().flatten());
        for pour in node.mix.iter().chain(&node.finish).flatten().chain(steps) {
            let weighed = matches!(
                pour.measure,
                Measure::Mass(_) | Measure::Share(_) | Measure::Pieces { dimension: Dimension::Mass, .. }
            );
            let Target::Ingredient(i) = pour.target else { continue };
            let ingredient = &graph.pantry.ingredients[i];
            let blind = ingredient.is_liquid()
                && ingredient.unit.as_ref().is_some_and(|unit| unit.why_unknown(Quantity::Mass).is_some());
            if !(weighed && blind) {
                continue;
            }
            let name = ingredient.name();
            problems.push(
                Problem::new(
                    code::DENSITY_UNKNOWN,
                    pour.line.amount_span,
                    format!("{name} is weighed, but its density is not known, so its volume and what depends on it are not either"),
                )
                .severity(Severity::Warning)
                .help(format!("measure it by volume, or add `density: 1.05` (g/ml) to `{name}` in the pantry")),
            );
        }
    }
}

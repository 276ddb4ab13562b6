//! Syrups: sugar that its water cannot hold comes out again as crystals.

use super::Asked;
use crate::measure::show;
use crate::mixture::Part;
use crate::notebook::pantry::Form;
use crate::problem::{Problem, code};
use crate::recipe::names::{Target, key};

/// Sucrose that 1 g of water dissolves at 20 °C, g: 67.09 % by mass (Vavrinecz 1962, as adopted by ICUMSA; from memory).
const DISSOLVES: f64 = 0.6709 / (1.0 - 0.6709);
/// Share of water from which it is a syrup, and not sugar that something was rubbed into.
const LIQUID: f64 = 0.1;
/// Least sugar of a crystal sugar, g/100 g.
const CRYSTALS: f64 = 95.0;

pub(super) fn check(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    let graph = &asked.computed.graph;
    for (recipe, note) in asked.notes() {
        let made = &asked.computed.made[recipe];
        let (first, last) = (&made.stages[0].mixture, &made.batch().mixture);
        if last.figure_brix().is_err() || last.figure_mass().is_err() || first.figure_brix().is_err() {
            continue;
        }
        // Other sugars dissolve otherwise, so only what was poured as sugar counts.
        let crystals: f64 = graph.nodes[recipe]
            .mix
            .iter()
            .zip(&made.pours)
            .filter_map(|(pour, poured)| {
                let Target::Ingredient(i) = pour.as_ref()?.target else { return None };
                let ingredient = &graph.pantry.ingredients[i];
                let sugar = ingredient.item.sugar.as_ref().is_some_and(|s| s.value >= CRYSTALS);
                let named = key(ingredient.name()).split(' ').any(|w| w == "sugar");
                (ingredient.form == Form::Solid && sugar && named).then_some(poured.as_ref()?.grams?)
            })
            .sum();
        let poured = first.grams(Part::Sugar);
        let (sugar, water) = (last.grams(Part::Sugar), last.grams(Part::Water));
        if poured <= 0.0 || water < LIQUID * last.mass_g() {
            continue;
        }
        let sucrose = sugar * (crystals / poured).min(1.0);
        if sucrose <= DISSOLVES * water {
            continue;
        }
        let place = note.process.iter().rev().find(|p| p.parameters.iter().any(|(k, _, _)| *k == "reduce_to"));
        problems.push(
            Problem::new(
                code::SUPERSATURATED,
                place.map_or(note.name.span, |p| p.span),
                format!(
                    "{} g of sugar to 100 g of water is more than dissolves at 20 °C, {} g, so it crystallises",
                    show::fixed(100.0 * sucrose / water, 0),
                    show::fixed(100.0 * DISSOLVES, 0)
                ),
            )
            .help("stay at or below 67 °Bx, or replace some of the sugar by glucose or invert sugar (sucrose dissolves to 67.1 % by mass at 20 °C: Vavrinecz 1962, from memory)"),
        );
    }
}

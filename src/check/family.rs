//! Families: a drink whose family has no window is not wrong, but its balance cannot be judged.

use super::Asked;
use crate::ask::balance::window;
use crate::notebook::fields::nearest;
use crate::problem::{Problem, code};
use crate::relation::balance_windows::WINDOWS;

pub(super) fn check(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    let house = &asked.computed.graph.notes.house;
    for (_, recipe) in asked.notes() {
        let Some(family) = &recipe.family else { continue };
        if window(house, &family.value).is_some() {
            continue;
        }
        let published = WINDOWS.iter().map(|w| w.family);
        let own = house.windows.keys().map(String::as_str);
        // Without a close spelling the family is simply one that nobody published ranges for, which is fine.
        let near = nearest(&family.value, published.chain(own));
        let Some(near) = near.first().filter(|n| strsim::damerau_levenshtein(n, &family.value) <= 2) else { continue };
        problems.push(
            Problem::new(
                code::FAMILY_WITHOUT_WINDOW,
                family.span,
                format!("the family `{}` has no window", family.value),
            )
            .help(format!("did you mean `{near}`? Or give it a window under `windows` in house.yaml")),
        );
    }
}

//! Keeping claims: none longer than a part of it keeps or a published rule allows, none that needs a reading without it.

use super::Asked;
use crate::ask::keeping::{Basis, Doubt};
use crate::ask::safety::{Kind, Survey};
use crate::measure::show;
use crate::problem::{Problem, code};

/// Safety rules that say the same of a claim: what they report is not reported again.
const SAID_OF_LENGTH: &[&str] = &[
    "date-mark-oldest",
    "dairy-out-of-fridge",
    "raw-egg-warm",
    "nut-syrup",
    "garlic-herb-in-oil",
    "milk-clarify-weak",
    "low-abv-fresh-infusion",
    "egg-held",
    "cold-brew",
    "plant-milk-opened",
    "sealed-low-acid",
    "gelatin-hold",
];
const SAID_OF_PH: &[&str] = &["sealed-ph-unknown", "sealed-low-acid", "low-abv-fresh-infusion", "garlic-herb-in-oil"];

/// Called by the check of hazards, which knows them already.
pub(super) fn check(asked: &Asked<'_>, survey: &Survey, problems: &mut Vec<Problem>) {
    for (recipe, note) in asked.notes() {
        let said = |ids: &[&str]| {
            let own = survey.hazards(recipe).iter().filter(|h| h.from == recipe && h.rule.kind == Kind::Fault);
            own.into_iter().any(|h| ids.contains(&h.id()))
        };
        for doubt in survey.keeping_doubts(recipe) {
            match doubt {
                Doubt::Longer(claim, hold) if !said(SAID_OF_LENGTH) => {
                    let keep = &note.keeps[*claim];
                    let because = match (&hold.basis, &hold.source) {
                        (Basis::Rule(_), Some(source)) => format!("{} ({source})", hold.because),
                        _ => hold.because.clone(),
                    };
                    problems.push(
                        Problem::new(
                            code::KEEPS_LONGER,
                            keep.span,
                            format!("{} is longer than it may be held: {because}", show::hours(keep.hours)),
                        )
                        .help(format!("write `{}`, or keep it where it holds longer", show::hours(hold.hours))),
                    );
                }
                Doubt::NoPh(claim) if !said(SAID_OF_PH) => {
                    let keep = &note.keeps[*claim];
                    let at = keep.at_c.map_or(String::new(), |c| format!(" at {}", show::temperature(c)));
                    problems.push(
                        Problem::new(
                            code::KEEPS_UNPROVED,
                            keep.span,
                            format!("whether it keeps {}{at} depends on its pH, which nobody measured", show::hours(keep.hours)),
                        )
                        .help("measure it with a calibrated meter and write `readings: [{ph: 3.8}]`, or keep it in the fridge (FDA Food Code, TCS definition, Tables A and B)"),
                    );
                }
                Doubt::Longer(..) | Doubt::NoPh(_) => {}
            }
        }
    }
}

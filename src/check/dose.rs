//! Powder doses: a gum or gelling agent in the mix outside the range that people use is doubtful. Acids and salt are left to
//! the processes that add them, since a mix may be a stock that nobody drinks as it is.

use super::Asked;
use crate::ask::safety::Survey;
use crate::measure::show;
use crate::mixture::Quantity;
use crate::notebook::recipe_note::Makes;
use crate::problem::{Problem, code};
use crate::process::Process;
use crate::process::doses::usual;

/// Rows of the table that thicken, gel or foam.
const AGENTS: &[&str] = &[
    "xanthan",
    "guar",
    "gelatin",
    "agar",
    "gellan-low",
    "gellan-high",
    "methylcellulose",
    "hpmc",
    "kappa",
    "iota",
    "lbg",
    "alginate",
    "konjac",
    "cmc",
    "sucrose-ester",
    "lecithin-soy",
    "lecithin-sunflower",
    "quillaja",
    "yucca",
];
/// Xanthan for a foam: 0.2 to 0.8 % of the liquid (Lersch, ed., Texture).
const FOAM_XANTHAN: (f64, f64) = (0.2, 0.8);

/// Doses above what the law allows, in drinks as they are drunk; a prep is a stock that nobody drinks as it is. Caffeine and
/// sulphites have rules of their own among the hazards. Called by the check of hazards, which knows the doses already.
pub(super) fn over(asked: &Asked<'_>, survey: &Survey, problems: &mut Vec<Problem>) {
    for (recipe, note) in asked.notes() {
        if note.makes == Makes::Prep {
            continue;
        }
        for dose in survey.doses(recipe).iter().filter(|d| !["caffeine", "sulphites"].contains(&d.id.as_str())) {
            // A hazard that says the same is enough.
            if survey.hazards(recipe).iter().any(|h| h.id() == format!("{}-over", dose.id)) {
                continue;
            }
            let Some(limit) = dose.limits.iter().find(|l| l.over == Some(true)) else { continue };
            let at = asked.computed.graph.nodes[recipe]
                .mix
                .iter()
                .flatten()
                .find(|p| usual(&p.name).is_some_and(|row| row.id == dose.id))
                .map_or(note.name.span, |p| p.line.amount_span);
            let per = limit.per.word();
            problems.push(
                Problem::new(
                    code::DOSE_OVER,
                    at,
                    format!(
                        "{} {per} of {} is above the {} {per} allowed ({})",
                        show::amount(limit.has.unwrap_or_default()),
                        dose.name,
                        show::amount(limit.most),
                        limit.place
                    ),
                )
                .help(format!(
                    "dose less, or ask your authority whether this drink falls under it: {}, {}",
                    limit.source, limit.check
                )),
            );
        }
    }
}

pub(super) fn check(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    for &index in &asked.recipes {
        let (node, made) = (&asked.computed.graph.nodes[index], &asked.computed.made[index]);
        let whole = &made.stages[0].mixture;
        if whole.why_unknown(Quantity::Mass).is_some() {
            continue;
        }
        let charged = node.process.iter().any(|s| s.line.process == Process::Charge);
        for (pour, poured) in node.mix.iter().zip(&made.pours) {
            let (Some(pour), Some(grams)) = (pour, poured.as_ref().and_then(|p| p.grams)) else { continue };
            let Some(dose) = usual(&pour.name).filter(|d| AGENTS.contains(&d.id)) else { continue };
            let liquid = whole.mass_g() - grams;
            if liquid <= 0.0 {
                continue;
            }
            let percent = grams / liquid * 100.0;
            let foam = charged && dose.id == "xanthan";
            let (low, high) = if foam { FOAM_XANTHAN } else { (dose.low, dose.high) };
            // What a scale shows is rounded; a twentieth of the limit is within that.
            if (low * 0.95..=high * 1.05).contains(&percent) {
                continue;
            }
            let (does, source) =
                if foam { ("0.2–0.8 for foams", "Lersch (ed.), Texture") } else { (dose.does, dose.source) };
            problems.push(
                Problem::new(
                    code::DOSE_UNUSUAL,
                    pour.line.amount_span,
                    format!("{:.2} % of {} is outside the usual {low}–{high} %", percent, dose.name),
                )
                .help(format!("usual: {does} ({source})")),
            );
        }
    }
}

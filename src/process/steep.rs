//! Steeping: solids go into a liquor, give up what dissolves, and come out again with liquor in them. For `infuse` and `fat-wash`.
//!
//! In: the liquor, what is steeped, how much liquor stays behind. Out: the liquor after. The model: the sugar, acid and water
//! that the pantry states of a solid spread evenly through the liquor; its fat, protein and other solids leave with it; what
//! liquor it holds is like the rest. What dissolves without the pantry saying so (tannin, colour, aroma) has no figure.

use super::given::celsius;
use super::loss::{amounts_unknown, behind, carry_gaps, frozen, recovers};
use super::remark::{list, number, time};
use super::{Added, Args, Finding, Outcome, Removed};
use crate::mixture::volume::model_ml;
use crate::mixture::{Mixture, Part, Quantity};
use crate::problem::code;

/// What comes through where the line says neither `absorbs` nor `recovers`.
pub(super) enum Custom {
    /// Solids hold so many ml of liquor for each gram that does not dissolve, and as much again as the water they brought.
    Holds(f64),
    /// A share of the volume comes through, 0 to 1; and why that share.
    Share(f64, &'static str),
}

/// Coldest and hottest that a liquor is steeped in, °C: a freezer, and water boiling under pressure.
const STEEPED: (f64, f64) = (-40.0, 121.0);

/// Two volumes that were worked out apart may differ in their last digits.
const SLACK: f64 = 1e-9;

/// One thing that is steeped, taken apart.
struct Solid<'a> {
    name: &'a str,
    /// What joins the liquor.
    soluble: Mixture,
    /// What leaves again, g.
    spent_g: f64,
    /// Of the soluble, its water, g.
    water_g: f64,
}

/// Steeps what `with` names in the liquor.
///
/// Errors: a [`Finding`] where nothing is steeped, both `absorbs` and `recovers` are written, either is impossible, or the
/// solids would hold all of the liquor.
pub(super) fn steep(before: &Mixture, args: &Args, process: &'static str, custom: &Custom) -> Result<Outcome, Finding> {
    let with = args.added("with");
    if with.is_empty() {
        return Err(Finding::new(
            code::MISSING_PARAMETER,
            format!("what goes in? `{process}` needs `with`"),
            format!("write for example `{process}: {{with: 20 g black tea, for: 4 min}}`"),
        ));
    }
    let at = super::given::temperature(args, "at", STEEPED, "nothing is steeped so cold or so hot")?;
    let solids: Vec<Solid> = with.iter().map(take_apart).collect();
    let mut liquor = before.clone();
    for solid in &solids {
        liquor.pour(&solid.soluble);
    }
    liquor.ice_g = 0.0;
    if let Some(at) = at {
        liquor.bring_to(at);
    }
    let through = through(&liquor, &solids, args, custom)?;
    let mut outcome = Outcome::of(liquor.scaled(through.share));
    if through.by_volume && liquor.why_unknown(Quantity::Volume).is_some() {
        amounts_unknown(
            &mut outcome.mixture,
            "what share of it stays in the solids depends on its volume, which is not known",
        );
    }
    outcome.added.extend(with.iter().map(|w| Removed { what: w.name.clone(), grams: w.mixture.mass_g() }));
    outcome.removed.extend(solids.iter().filter_map(|s| behind(format!("spent {}", s.name), s.spent_g)));
    outcome.removed.extend(behind("liquor that the solids hold", liquor.mass_g() * (1.0 - through.share)));
    outcome.remarks.push(through.remark);
    outcome.remarks.extend(solids.iter().map(dissolved));
    match (args.hours("for"), at) {
        (Some(hours), Some(at)) => outcome.remarks.push(format!("it steeps {} at {}", time(hours), celsius(at))),
        (Some(hours), None) => outcome.remarks.push(format!("it steeps {}", time(hours))),
        (None, _) => {}
    }
    outcome.findings.extend(frozen(before));
    Ok(outcome)
}

/// Parts a solid into what joins the liquor and what leaves again.
fn take_apart(added: &Added) -> Solid<'_> {
    let whole = &added.mixture;
    let name = added.name.as_str();
    if is_liquid(whole) {
        return Solid { name, soluble: whole.clone(), spent_g: 0.0, water_g: 0.0 };
    }
    let mut soluble = Mixture::empty(whole.temperature);
    let dry = is_dry(whole);
    let mut spent_g = 0.0;
    for part in Part::ALL {
        let grams = whole.grams(part);
        let stays = match part {
            Part::Fat | Part::Protein | Part::Solids => true,
            Part::Water => dry,
            Part::Ethanol | Part::Sugar | Part::Acid | Part::Co2 | Part::N2o | Part::N2 => false,
        };
        if stays {
            spent_g += grams;
        } else {
            soluble.set(part, grams);
        }
    }
    soluble.sweet_g = whole.sweet_g;
    soluble.sulphites_mg = whole.sulphites_mg;
    soluble.caffeine_mg = whole.caffeine_mg;
    carry_gaps(
        whole,
        &mut soluble,
        &[
            Quantity::Ethanol,
            Quantity::Sugar,
            Quantity::Acid,
            Quantity::Mass,
            Quantity::Volume,
            Quantity::Sulphites,
            Quantity::Caffeine,
        ],
    );
    let water_g = soluble.grams(Part::Water);
    Solid { name, soluble, spent_g, water_g }
}

/// Spirit, wine and whatever may hold ethanol pours in whole: a solid has no strength.
fn is_liquid(whole: &Mixture) -> bool {
    whole.grams(Part::Ethanol) > 0.0 || whole.why_unknown(Quantity::Ethanol).is_some()
}

/// Whether nothing at all is stated to be in it, as of dried leaf and bark.
///
/// A fact sheet counts as water what no fact claims, so a leaf without facts would look like a gram of water. A liquid of
/// nothing but water has a volume of its own (its stated density), which a solid has not; or it states all four facts.
fn is_dry(whole: &Mixture) -> bool {
    let water = whole.grams(Part::Water);
    let nothing_stated = water > 0.0 && Part::ALL.iter().all(|p| *p == Part::Water || whole.grams(*p) == 0.0);
    let mut grams = [0.0; crate::mixture::PARTS];
    grams[Part::Water as usize] = water;
    nothing_stated && (whole.volume_ml() - model_ml(&grams)).abs() <= 1e-9 * water
}

/// How much comes through.
struct Through {
    /// Share of the liquor, 0 to 1.
    share: f64,
    /// Whether the share was worked out from a volume.
    by_volume: bool,
    remark: String,
}

fn through(liquor: &Mixture, solids: &[Solid], args: &Args, custom: &Custom) -> Result<Through, Finding> {
    let ml = liquor.volume_ml();
    let unknown = liquor.why_unknown(Quantity::Volume).is_some();
    let absorbs = args.millilitres("absorbs");
    let stated = recovers(args)?;
    if absorbs.is_some() && stated.is_some() {
        return Err(Finding::at(
            "absorbs",
            code::BAD_PARAMETER,
            "`absorbs` and `recovers` both say how much liquor stays in the solids",
            "keep the one that was measured",
        ));
    }
    let share_of = |held: f64| (1.0 - held / ml).clamp(0.0, 1.0);
    if let Some(share) = stated {
        return Ok(Through {
            share,
            by_volume: false,
            remark: format!("{} % of the liquor's volume comes through", number(share * 100.0)),
        });
    }
    if let Some(held) = absorbs {
        // Written so that NaN fails. A volume that is not known can't be overdrawn.
        if !(held >= 0.0 && (held < ml * (1.0 - SLACK) || unknown)) {
            return Err(Finding::at(
                "absorbs",
                code::BAD_PARAMETER,
                format!("the solids cannot hold {} ml of {} ml of liquor", number(held), number(ml)),
                "measure what comes through and take it from what went in, for example `absorbs: 30 ml`",
            ));
        }
        return Ok(Through {
            share: share_of(held),
            by_volume: true,
            remark: format!("the solids hold {} ml of the liquor", number(held)),
        });
    }
    match *custom {
        Custom::Share(share, why) => Ok(Through {
            share,
            by_volume: false,
            remark: format!(
                "neither `recovers` nor `absorbs` is stated; {} % of the volume is assumed to come through: {why}",
                number(share * 100.0)
            ),
        }),
        Custom::Holds(ml_per_g) => {
            let held: f64 = solids.iter().filter(|s| s.spent_g > 0.0).map(|s| ml_per_g * s.spent_g + s.water_g).sum();
            if held >= ml && !unknown {
                return Err(Finding::at(
                    "with",
                    code::PROCESS_IMPOSSIBLE,
                    format!(
                        "{} would hold about {} ml, and there are {} ml of liquor",
                        list(solids.iter().map(|s| s.name)),
                        number(held),
                        number(ml)
                    ),
                    "steep less of it, or measure what comes through and write `absorbs` or `recovers`",
                ));
            }
            Ok(Through {
                share: share_of(held),
                by_volume: true,
                remark: format!(
                    "neither `absorbs` nor `recovers` is stated; the solids are assumed to hold {} ml: {} ml for each gram that \
                     does not dissolve, and as much as the water they brought (common practice, no source)",
                    number(held),
                    number(ml_per_g)
                ),
            })
        }
    }
}

/// What a solid gave to the liquor, in a sentence.
fn dissolved(solid: &Solid) -> String {
    let given: Vec<String> = Part::ALL
        .iter()
        .map(|part| (part, solid.soluble.grams(*part)))
        .filter(|(_, grams)| *grams > 0.0)
        .map(|(part, grams)| format!("{} g of {}", number(grams), part.word()))
        .collect();
    if given.is_empty() {
        format!("nothing that has a figure dissolves of {}, because nothing is stated to be in it", solid.name)
    } else {
        format!(
            "{} gives {} to the liquor, as far as the pantry states what is in it",
            solid.name,
            list(given.iter().map(String::as_str))
        )
    }
}

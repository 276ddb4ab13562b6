//! Clarifying with a gel, an enzyme, a filter or a centrifuge: loss in proportion, and the powder goes out with what it catches.
//!
//! - `with`: agar, gelatin, pectinase, filter or spin; required
//! - `dose`: powder, % of the liquid's mass, above 0 to 10; the agent's custom where the line doesn't say. A filter and a
//!   centrifuge take none
//! - `recovers`: what comes through, % of the volume at 20 °C, above 0 to 100; the agent's custom where the line doesn't say
//! - `for`: time, h
//!
//! What comes through is taken to be like what went in. In truth pulp, pectin, some colour and some bitterness stay behind, which
//! no recipe states: the remark says so. Water that a gel is hydrated in is poured before; here only the powder is added.

use super::doses;
use super::given::nothing;
use super::loss::{behind, frozen, recovers};
use super::remark::{number, time};
use super::{Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::{Mixture, Quantity};
use crate::problem::code;

/// No powder is used in tenths of the liquid; such a number is a slip of the decimal point.
const MOST_DOSE: f64 = 10.0;

/// What is customary with an agent.
struct Agent {
    word: &'static str,
    /// % of the liquid's mass where the line doesn't say; `None` for an agent that is no powder.
    dose: Option<f64>,
    /// Where that dose is from.
    dose_source: &'static str,
    /// Share of the volume that comes through where the line doesn't say, 0 to 1. Common practice, no source.
    recovers: f64,
    /// What stays behind, as a name.
    keeps: &'static str,
    /// What it takes away beside the liquor, and what it asks for.
    remark: &'static str,
}

const AGENTS: [Agent; 5] = [
    Agent {
        word: "agar",
        dose: Some(0.2),
        dose_source: "2 g per kg: Arnold, Cooking Issues, 9 June 2009 and 20 July 2010",
        recovers: 0.85,
        keeps: "agar gel and the liquor it holds",
        remark: "the gel keeps pulp, pectin and some colour and aroma; hydrate the agar at a simmer in water or a part of the liquor that has a place among the pours, and stir the rest in warm, above the gel point",
    },
    Agent {
        word: "gelatin",
        dose: Some(0.5),
        dose_source: "5 g per kg, within 0.25–0.6 of the table; common practice",
        recovers: 0.75,
        keeps: "gelatin raft and the liquor it holds",
        remark: "the raft keeps pulp, fat, tannin and some colour; set it, freeze it, and let it thaw over a cloth in the fridge; it is no longer vegetarian",
    },
    Agent {
        word: "pectinase",
        dose: Some(0.2),
        dose_source: "about 2 ml per litre: Arnold, Liquid Intelligence (2014), from memory",
        recovers: 0.9,
        keeps: "pulp, the enzyme and the liquor they hold",
        remark: "pulp settles and is left behind, pectin and so body go; it is slow in the cold and weak in juice as sour as lime",
    },
    Agent {
        word: "filter",
        dose: None,
        dose_source: "",
        recovers: 0.9,
        keeps: "what the filter keeps",
        remark: "the filter keeps pulp, fat and some oil and aroma",
    },
    Agent {
        word: "spin",
        dose: None,
        dose_source: "",
        recovers: 0.95,
        keeps: "the pellet and the liquor it holds",
        remark: "the rotor keeps pulp and fat; balance the tubes by weight and keep to the rated speed of the manual",
    },
];

/// Runs `clarify`.
pub(super) fn run(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    if let Some(nothing) = nothing(before) {
        return nothing;
    }
    let agent = args
        .word("with")
        .and_then(|word| AGENTS.iter().find(|a| a.word == word))
        .ok_or_else(|| {
            Finding::new(
                code::MISSING_PARAMETER,
                "how is it clarified? `clarify` needs `with`",
                "write for example `clarify: {with: agar, dose: 0.2 %}`; the others are gelatin, pectinase, filter and spin",
            )
        })?;
    let dose = dose(agent, args)?;
    let stated = recovers(args)?;
    let share = stated.unwrap_or(agent.recovers);
    let mut outcome = Outcome::of(before.scaled(share));
    outcome.mixture.ice_g = 0.0;
    let mut kept = before.mass_g() * (1.0 - share);
    if let Some(percent) = dose {
        let grams = percent / 100.0 * before.mass_g();
        kept += grams;
        powder(&mut outcome, agent, percent, grams, before);
        if !args.has("dose") {
            outcome.remarks.push(format!(
                "`dose` is not stated; {} % is assumed ({})",
                number(percent),
                agent.dose_source
            ));
        }
    }
    outcome.removed.extend(behind(agent.keeps, kept));
    outcome.remarks.push(match stated {
        Some(share) => format!("{} % of the volume comes through", number(share * 100.0)),
        None => format!(
            "`recovers` is not stated; {} % of the volume is assumed to come through (common practice, no source)",
            number(share * 100.0)
        ),
    });
    outcome.remarks.push(agent.remark.into());
    outcome.remarks.push("sugar, acid and ethanol are taken to leave only with the liquor that stays behind".into());
    if let Some(hours) = args.hours("for") {
        outcome.remarks.push(format!("it takes {}", time(hours)));
    }
    outcome.findings.extend(frozen(before));
    Ok(outcome)
}

/// The dose in % of the mass, stated or customary; `None` for an agent that is no powder.
fn dose(agent: &Agent, args: &Args) -> Result<Option<f64>, Finding> {
    let Some(percent) = args.percent("dose") else {
        return Ok(agent.dose);
    };
    let Some(custom) = agent.dose else {
        return Err(Finding::at(
            "dose",
            code::BAD_PARAMETER,
            format!("`{}` adds no powder, so it takes no dose", agent.word),
            "leave `dose` out, or clarify with pectinase first on a line of its own",
        ));
    };
    // Written so that NaN fails.
    if percent > 0.0 && percent <= MOST_DOSE {
        return Ok(Some(percent));
    }
    let what = if percent > MOST_DOSE { "far beyond any that is used" } else { "none at all" };
    Err(Finding::at(
        "dose",
        code::BAD_PARAMETER,
        format!("a dose of {} % of the liquid's mass is {what}", number(percent)),
        format!("{} % is customary with {}: write `dose: {} %`", number(custom), agent.word, number(custom)),
    ))
}

/// Says how much powder goes in, and whether that is usual.
fn powder(outcome: &mut Outcome, agent: &Agent, percent: f64, grams: f64, before: &Mixture) {
    outcome.added.push(Removed { what: agent.word.into(), grams });
    let short = if before.why_unknown(Quantity::Mass).is_some() { ", as far as its mass is known" } else { "" };
    outcome.remarks.push(format!(
        "{} g of {} goes in, {} % of the liquid's mass{short}",
        number(grams),
        agent.word,
        number(percent)
    ));
    if let Some(usual) = doses::usual(agent.word) {
        outcome.sources.push(usual.source);
        if percent < usual.low || percent > usual.high {
            outcome.findings.push(Finding::at(
                "dose",
                code::DOSE_UNUSUAL,
                format!(
                    "{} % of {} is outside the usual {}–{} %",
                    number(percent),
                    agent.word,
                    number(usual.low),
                    number(usual.high)
                ),
                format!("usual: {} ({})", usual.does, usual.source),
            ));
        }
    }
}

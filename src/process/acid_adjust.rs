//! Acid-adjusting: acid powders bring a juice to an acidity, its own or another's.
//!
//! - `to`: titratable acid after, g per 100 ml as anhydrous citric acid, above 0 to 50; or `like`: another liquid whose acid is
//!   taken. Not both
//! - `with`: acids in shares by mass; pure anhydrous citric acid where the line doesn't say
//!
//! The mass m of powder solves (A + a m)/V(m) = `to`/100, where A is the acid already in it, a the acid of a gram of the powders
//! and V the volume at 20 °C with the powder in it. The trade's rule, 10 × (target − own) grams a litre, leaves out the powder's own
//! volume (about 0.6 ml a gram) and takes every powder for citric acid, so that it stays a little short; a remark shows both.
//! Titration, not taste: malic acid counts 0.955, tartaric 0.853 (AOAC 942.15, equivalent masses).

use super::doses;
use super::given::{known, nothing};
use super::loss::frozen;
use super::remark::{list, number};
use super::{Added, Args, Bar, Finding, Outcome, Process, Removed};
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Part, Quantity};
use crate::problem::code;
use crate::relation::acid::{self, Acid};

/// More acid than this in 100 ml is no longer a drink or a stock: citric acid dissolves to about 60 % by mass (from memory).
const MOST_ACID: f64 = 50.0;

/// Two acidities that were worked out apart may differ in their last digits.
const SLACK: f64 = 1e-12;

const RULE_SOURCE: &str = "trade rule 10 × (target − own) g/l for acid-adjusted juice";

/// Runs `acid-adjust`.
pub(super) fn run(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    if let Some(nothing) = nothing(before) {
        return nothing;
    }
    let (key, target) = match target(args)? {
        (key, Ok(target)) => (key, target),
        (key, Err(why)) => return Ok(untold(before, key, &why)),
    };
    let powders = Powders::of(args)?;
    if let Err(why) = known(before, &[Quantity::Acid, Quantity::Volume]) {
        return Ok(untold(before, key, &why));
    }
    let own = before.grams(Part::Acid) / before.volume_ml() * 100.0;
    if target < own * (1.0 - SLACK) {
        return Err(Finding::at(
            key,
            code::PROCESS_IMPOSSIBLE,
            format!(
                "it already holds {} g of acid per 100 ml, more than the {} g asked for, and powder only adds",
                number(own),
                number(target)
            ),
            "thin it with `water`, or ask for more",
        ));
    }
    let grams = powders.grams_for(before, target, key)?;
    let mut after = before.clone();
    // Nothing of a powder whose sugar nobody stated is still nothing.
    if grams > 0.0 {
        after.pour(&powders.gram.scaled(grams));
    }
    // The powder is at the room's temperature and does not move that of the juice by a degree.
    after.temperature = before.temperature;
    after.ice_g = 0.0;

    let mut outcome = Outcome::of(after);
    let mass = outcome.mixture.mass_g();
    for powder in &powders.list {
        let own_g = grams * powder.share;
        if own_g > 0.0 {
            outcome.added.push(Removed { what: powder.name.clone(), grams: own_g });
        }
        outcome.findings.extend(powder.too_much(own_g, mass));
    }
    remarks(&mut outcome, before, &powders, grams, own, target);
    if let Some(like) = args.like("like") {
        outcome.remarks.push(format!(
            "{} holds {} g of acid per 100 ml, which is taken; its mix of acids and its taste are its own",
            like.name,
            number(target)
        ));
    }
    outcome.sources.extend([acid::SOURCE, RULE_SOURCE]);
    outcome.findings.extend(frozen(before));
    Ok(outcome)
}

/// The acidity asked for, g/100 ml, with the parameter that asks.
fn target(args: &Args) -> Result<(&'static str, Result<f64, Because>), Finding> {
    match (args.percent("to"), args.like("like")) {
        (Some(_), Some(_)) => Err(Finding::at(
            "to",
            code::BAD_PARAMETER,
            "`to` and `like` both say how sour it becomes",
            "keep one of them",
        )),
        (None, None) => Err(Finding::new(
            code::MISSING_PARAMETER,
            "how sour does it become? `acid-adjust` needs `to` or `like`",
            "write for example `acid-adjust: {to: 6 %}` or `acid-adjust: {like: lime juice}`",
        )),
        // Written so that NaN fails.
        (Some(to), None) if !(to > 0.0 && to <= MOST_ACID) => Err(Finding::at(
            "to",
            code::BAD_PARAMETER,
            format!("{} g of acid per 100 ml is no acidity to adjust to", number(to)),
            format!("write grams per 100 ml above 0 and up to {}, for example `to: 6 %`", number(MOST_ACID)),
        )),
        (Some(to), None) => Ok(("to", Ok(to))),
        (None, Some(like)) => Ok(("like", like.mixture.figure_acid_per_100ml())),
    }
}

/// How much powder goes in is not known, and so nothing that it moves.
fn untold(before: &Mixture, key: &'static str, why: &Because) -> Outcome {
    let mut mixture = before.clone();
    let because = format!("nobody knows how much acid goes in, because {}", why.text());
    for quantity in [Quantity::Acid, Quantity::Mass, Quantity::Volume] {
        mixture.gap(quantity, because.clone());
    }
    let mut outcome = Outcome::of(mixture);
    outcome.findings.push(Finding::at(
        key,
        code::PROCESS_DOUBT,
        because,
        "state the `acid` of each ingredient in the pantry, in g/100 ml as anhydrous citric acid, or titrate it",
    ));
    outcome
}

/// One acid of the blend.
struct Powder {
    name: String,
    /// Share of the blend by mass, 0 to 1.
    share: f64,
    /// Acid in a gram of it, g as anhydrous citric acid.
    strength: f64,
}

impl Powder {
    /// A warning above the usual dose. Below it there is none: what the juice brings by itself is not counted here.
    fn too_much(&self, grams: f64, mass: f64) -> Option<Finding> {
        let usual = doses::usual(&self.name)?;
        // The range is for the pure acid, and a bottle may hold a solution of it.
        let pure = Acid::ALL
            .iter()
            .filter(|a| usual.name == a.name())
            .map(|a| (self.strength / a.as_citric()).min(1.0))
            .next()
            .unwrap_or(1.0);
        let percent = grams * pure / mass * 100.0;
        (percent > usual.high).then(|| {
            Finding::new(
                code::DOSE_UNUSUAL,
                format!(
                    "{} % of {} is above the usual {}–{} %",
                    number(percent),
                    usual.name,
                    number(usual.low),
                    number(usual.high)
                ),
                format!("usual: {} ({})", usual.does, usual.source),
            )
        })
    }
}

/// The acids that go in.
struct Powders {
    list: Vec<Powder>,
    /// One gram of the blend.
    gram: Mixture,
    /// Whether the line named them.
    named: bool,
}

impl Powders {
    /// The blend that `with` names, or pure citric acid.
    fn of(args: &Args) -> Result<Self, Finding> {
        let shares = args.shares("with");
        if shares.is_empty() {
            let mut gram = Mixture::empty(20.0);
            gram.set(Part::Acid, 1.0);
            let list = vec![Powder { name: "citric acid, anhydrous".into(), share: 1.0, strength: 1.0 }];
            return Ok(Self { list, gram, named: false });
        }
        let total: f64 = shares.iter().map(|(_, share)| share).sum();
        let mut powders = Self { list: Vec::new(), gram: Mixture::empty(20.0), named: true };
        for (added, share) in shares {
            let strength = strength(added)?;
            // Written so that NaN fails.
            if !(*share > 0.0 && total.is_finite()) {
                return Err(Finding::at(
                    "with",
                    code::BAD_PARAMETER,
                    format!("{} parts of {}", number(*share), added.name),
                    "write shares by mass above 0, for example `with: {citric acid: 2, malic acid: 1}`",
                ));
            }
            let share = share / total;
            powders.gram.pour(&added.mixture.weighed(share));
            powders.list.push(Powder { name: added.name.clone(), share, strength });
        }
        Ok(powders)
    }

    /// Grams of the blend that bring a mixture to an acidity.
    fn grams_for(&self, before: &Mixture, target: f64, key: &'static str) -> Result<f64, Finding> {
        let acid = self.gram.grams(Part::Acid);
        let own = before.grams(Part::Acid);
        // The powder's volume is a small share of what it brings, so that putting the result back in settles fast.
        let mut grams = 0.0;
        for _ in 0..500 {
            let mut after = before.clone();
            after.pour(&self.gram.scaled(grams));
            let next = ((target / 100.0 * after.volume_ml() - own) / acid).max(0.0);
            if !next.is_finite() {
                break;
            }
            if (next - grams).abs() <= 1e-15 * next {
                return Ok(next);
            }
            grams = next;
        }
        let mut after = before.clone();
        after.pour(&self.gram.scaled(grams));
        let reached = after.grams(Part::Acid) / after.volume_ml() * 100.0;
        // A last digit that swings to and fro has settled; a blend too weak for its target has not.
        if (reached - target).abs() <= 1e-9 * target {
            return Ok(grams);
        }
        Err(Finding::at(
            key,
            code::PROCESS_IMPOSSIBLE,
            format!(
                "{} can't bring it to {} g of acid per 100 ml",
                list(self.list.iter().map(|p| p.name.as_str())),
                number(target)
            ),
            "use a stronger acid, or ask for less",
        ))
    }
}

/// Acid in a gram of something, g as anhydrous citric acid.
fn strength(added: &Added) -> Result<f64, Finding> {
    let help = format!("state the `acid` of {} in the pantry, in g/100 g as anhydrous citric acid", added.name);
    let refuse = |message: String| Err(Finding::at("with", code::BAD_PARAMETER, message, help.clone()));
    if let Err(why) = known(&added.mixture, &[Quantity::Acid, Quantity::Mass]) {
        return refuse(format!("how much acid {} brings is not known, because {}", added.name, why.text()));
    }
    let (acid, mass) = (added.mixture.grams(Part::Acid), added.mixture.mass_g());
    if acid > 0.0 && mass > 0.0 { Ok(acid / mass) } else { refuse(format!("{} brings no acid", added.name)) }
}

fn remarks(outcome: &mut Outcome, before: &Mixture, powders: &Powders, grams: f64, own: f64, target: f64) {
    let each: Vec<String> =
        powders.list.iter().map(|p| format!("{} g of {}", number(grams * p.share), p.name)).collect();
    outcome.remarks.push(format!(
        "{} brings it from {} to {} g of acid per 100 ml, with the powder's own volume counted",
        list(each.iter().map(String::as_str)),
        number(own),
        number(target)
    ));
    if !powders.named {
        outcome.remarks.push("`with` is not stated; pure anhydrous citric acid is assumed".into());
    }
    let rule = (target - own) / 100.0 * before.volume_ml();
    outcome.remarks.push(format!(
        "the trade's rule, 10 × (target − own) a litre, would weigh {} g and leave out that volume and the powder's strength",
        number(rule)
    ));
    outcome.remarks.push(
        "weigh acids dry, to 0.1 g; strong acid stings in eyes and cuts, so keep it labelled and apart from sugar"
            .into(),
    );
}

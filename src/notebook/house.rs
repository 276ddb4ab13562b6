//! `house.yaml`: the settings of the house, each with its default.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::fields::Fields;
use super::publishing::{self, Colours, Publishing};
use super::value;
use super::yaml::{Node, Text};
use crate::measure::{Amount, Dimension, Unit, Units, float};
use crate::problem::{Problem, code};
use crate::source::{FileId, Span, Spanned};

mod assumption;
mod hazard;
mod money;
mod opening;
mod tool;
mod unit;
mod window;

pub use assumption::{Assume, Temperatures};
pub use hazard::{Acknowledgement, HazardNote, acknowledgements};
pub use money::Money;
pub use opening::Opening;
pub use tool::{Scale, Tolerance, Tools};
pub use window::{Range, Window};

/// The house.
#[derive(Debug, Clone, PartialEq)]
pub struct House {
    /// Its name.
    pub name: String,
    /// The file, for messages.
    pub file: FileId,
    /// The place of the name.
    pub span: Span,
    /// Languages, the first is the site's.
    pub languages: Vec<Spanned<String>>,
    /// IANA time zone.
    pub timezone: Option<Spanned<String>>,
    /// Units to show, in order.
    pub show: Vec<Unit>,
    /// Factors in force.
    pub units: Units,
    /// The measures that the house defined itself.
    pub own_units: Vec<Unit>,
    /// Tools.
    pub tools: Tools,
    /// What rounding may change.
    pub tolerance: Tolerance,
    /// Assumptions.
    pub assume: Assume,
    /// Temperatures.
    pub temperatures: Temperatures,
    /// Glass volumes.
    pub glasses: BTreeMap<String, Amount>,
    /// Balance windows by family.
    pub windows: BTreeMap<String, Window>,
    /// Regime of standard drinks, `uk`.
    pub drinks_regime: String,
    /// Regime of allergens, `eu`.
    pub allergens_regime: String,
    /// Money.
    pub money: Money,
    /// Opening hours, in the order written.
    pub hours: Vec<Opening>,
    /// Equipment and how many or how much.
    pub equipment: Vec<(String, String)>,
    /// Address of the site, with a slash at its end.
    pub site_address: Option<Spanned<String>>,
    /// Credit line.
    pub site_credit: Option<String>,
    /// Colours of what the program draws.
    pub colours: Colours,
    /// Settings of the notes.
    pub publishing: Publishing,
    /// Hazards answered for in the whole house.
    pub acknowledge: Vec<Acknowledgement>,
    /// Hazard rules of the house, and its words beside the published ones.
    pub hazards: Vec<HazardNote>,
    /// Ethanol in one serve above which the house calls it strong, g.
    pub strong_serve_g: Option<f64>,
}

const fn ml(value: Decimal) -> Amount {
    Amount { value, unit: Unit::Ml }
}

const fn g(value: Decimal) -> Amount {
    Amount { value, unit: Unit::G }
}

impl House {
    /// A house with nothing written but its place.
    #[must_use]
    pub fn default_at(file: FileId) -> Self {
        Self {
            name: String::new(),
            file,
            span: Span::new(file, 0, 0),
            languages: vec![Spanned::new("en".into(), Span::new(file, 0, 0))],
            timezone: None,
            show: vec![Unit::Ml, Unit::Oz],
            units: Units::default(),
            own_units: Vec::new(),
            tools: Tools::default(),
            tolerance: Tolerance::default(),
            assume: Assume::default(),
            temperatures: Temperatures::default(),
            glasses: BTreeMap::new(),
            windows: BTreeMap::new(),
            drinks_regime: "uk".into(),
            allergens_regime: "eu".into(),
            money: Money::default(),
            hours: Vec::new(),
            equipment: Vec::new(),
            site_address: None,
            site_credit: None,
            colours: Colours::default(),
            publishing: Publishing::default(),
            acknowledge: Vec::new(),
            hazards: Vec::new(),
            strong_serve_g: None,
        }
    }
}

/// Reads `house.yaml`.
pub fn house(node: Option<Node>, file: FileId, problems: &mut Vec<Problem>) -> House {
    let mut house = House::default_at(file);
    let Some(node) = node else {
        // Nothing but comments; a text that is no YAML was reported where it breaks off.
        if problems.is_empty() {
            problems.push(no_name(Span::new(file, 0, 0)));
        }
        return house;
    };
    let Some(mut f) = Fields::open(node, "house.yaml", problems) else { return house };
    house.span = f.span;
    let found = problems.len();
    match f.string("name", problems) {
        Some(name) => (house.name, house.span) = (name.value, name.span),
        None if problems.len() > found => {}
        None => problems.push(no_name(Span::new(file, f.span.start as usize, f.span.start as usize + 1))),
    }
    if let Some(list) = f.texts("languages", problems).filter(|l| !l.is_empty()) {
        house.languages = list.into_iter().map(|t| Spanned::new(t.value, t.span)).collect();
    }
    house.timezone = f.string("timezone", problems).and_then(|name| opening::timezone(name, problems));
    if let Some(node) = f.take("units") {
        unit::units(node, &mut house, problems);
    }
    if let Some(node) = f.take("tools") {
        tool::tools(node, &mut house.tools, problems);
    }
    if let Some(node) = f.take("tolerance") {
        tool::tolerance(node, &mut house.tolerance, problems);
    }
    if let Some(node) = f.take("assume") {
        assumption::assume(node, &mut house.assume, problems);
    }
    if let Some(node) = f.take("temperatures") {
        assumption::temperatures(node, &mut house.temperatures, problems);
    }
    if let Some(node) = f.take("glasses") {
        for (key, text) in table(node, "glasses", problems) {
            if let Some(volume) = value::amount(&text, Some(Dimension::Volume), problems) {
                house.glasses.insert(key.value, volume.value);
            }
        }
    }
    if let Some(node) = f.take("windows") {
        window::windows(node, &mut house.windows, problems);
    }
    if let Some(node) = f.take("regimes") {
        regimes(node, &mut house, problems);
    }
    if let Some(node) = f.take("money") {
        money::money(node, &mut house.money, problems);
    }
    if let Some(node) = f.take("hours") {
        house.hours = opening::hours(node, problems);
    }
    if let Some(node) = f.take("equipment") {
        house.equipment = table(node, "equipment", problems).into_iter().map(|(k, v)| (k.value, v.value)).collect();
    }
    if let Some(node) = f.take("site") {
        site(node, &mut house, problems);
    }
    if let Some(node) = f.take("colours") {
        house.colours = publishing::colours(node, problems);
    }
    if let Some(node) = f.take("notes") {
        house.publishing = publishing::publishing(node, problems);
    }
    house.acknowledge = acknowledgements(f.list("acknowledge"), problems);
    for node in f.list("hazards").unwrap_or_default() {
        house.hazards.extend(hazard::hazard(node, problems));
    }
    if let Some(text) = f.text("strong_serve", problems) {
        let grams = value::amount(&text, Some(Dimension::Mass), problems).and_then(|a| a.value.base(&house.units));
        house.strong_serve_g = grams.map(float);
    }
    f.close(problems);
    house
}

fn no_name(at: Span) -> Problem {
    Problem::new(code::MISSING_KEY, at, "house.yaml has no `name`").help("write `name:` and what your house is called")
}

fn table(node: Node, what: &'static str, problems: &mut Vec<Problem>) -> Vec<(Text, Text)> {
    let Some(fields) = Fields::open(node, what, problems) else { return Vec::new() };
    fields
        .rest()
        .into_iter()
        .filter_map(|(key, node)| {
            if matches!(node, Node::Null(_)) {
                return None;
            }
            super::fields::text(node, what, problems).map(|t| (key, t))
        })
        .collect()
}

fn regimes(node: Node, house: &mut House, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "regimes", problems) else { return };
    if let Some(text) = f.text("drinks", problems) {
        let known: Vec<&str> = crate::relation::standard_drink::REGIMES.iter().map(|r| r.code).collect();
        if known.contains(&text.value.as_str()) {
            house.drinks_regime = text.value;
        } else {
            problems.push(
                Problem::new(code::WRONG_VALUE, text.span, format!("no standard drink of `{}` is known", text.value))
                    .help(format!("choose one of: {}", known.join(", "))),
            );
        }
    }
    if let Some(text) = f.text("allergens", problems) {
        if ["eu", "uk", "us"].contains(&text.value.as_str()) {
            house.allergens_regime = text.value;
        } else {
            problems.push(
                Problem::new(code::WRONG_VALUE, text.span, format!("no allergen list of `{}` is known", text.value))
                    .help("choose one of: eu, uk, us"),
            );
        }
    }
    f.close(problems);
}

fn site(node: Node, house: &mut House, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "site", problems) else { return };
    let address = f.string("address", problems).and_then(|a| value::web_address(a, problems));
    house.site_address = address.map(|mut address| {
        if !address.value.ends_with('/') {
            address.value.push('/');
        }
        address
    });
    house.site_credit = f.string("credit", problems).map(|s| s.value);
    f.close(problems);
}

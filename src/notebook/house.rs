//! `house.yaml`: the settings of the house, each with its default.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, dec};

use super::fields::Fields;
use super::publishing::{self, Colours, Publishing};
use super::value;
use super::yaml::{Node, Text};
use crate::measure::unit::System;
use crate::measure::{Amount, Dimension, Unit, Units, float, number};
use crate::problem::{Problem, code};
use crate::source::{FileId, Span, Spanned};

/// A scale: its step and what it can carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Finest step.
    pub step: Amount,
    /// Most that it carries; `None` where not written.
    pub capacity: Option<Amount>,
}

/// What the bar measures with.
#[derive(Debug, Clone, PartialEq)]
pub struct Tools {
    /// Jigger marks.
    pub jigger: Vec<Amount>,
    /// Step of the measuring jug.
    pub jug: Amount,
    /// Scales.
    pub scales: Vec<Scale>,
    /// Bottle sizes.
    pub bottles: Vec<Amount>,
    /// Siphon sizes.
    pub siphons: Vec<Amount>,
}

impl Default for Tools {
    fn default() -> Self {
        Self {
            jigger: [
                dec!(5),
                dec!(7.5),
                dec!(10),
                dec!(15),
                dec!(20),
                dec!(22.5),
                dec!(25),
                dec!(30),
                dec!(45),
                dec!(50),
                dec!(60),
            ]
            .map(ml)
            .to_vec(),
            jug: ml(dec!(10)),
            scales: vec![
                Scale { step: g(dec!(0.01)), capacity: Some(g(dec!(200))) },
                Scale { step: g(dec!(1)), capacity: Some(g(dec!(5000))) },
            ],
            bottles: vec![ml(dec!(700)), ml(dec!(1000))],
            siphons: vec![ml(dec!(500)), ml(dec!(1000))],
        }
    }
}

/// What is assumed where a recipe says nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Assume {
    /// Fraction of a rinse that stays in the glass.
    pub rinse_stays: f64,
    /// A bare `top`.
    pub top: Amount,
    /// Fraction of a bottle left empty.
    pub headspace: f64,
    /// How many `a few` are.
    pub few: Decimal,
    /// What `to taste` starts from, for a liquid.
    pub to_taste: Amount,
    /// What `to taste` starts from, for a solid.
    pub pinch: Amount,
    /// Keys that the house wrote itself.
    pub written: Vec<&'static str>,
}

/// Temperatures of the house, °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Temperatures {
    /// Room.
    pub room: f64,
    /// Ice.
    pub ice: f64,
    /// Fridge.
    pub fridge: f64,
    /// Freezer.
    pub freezer: f64,
}

/// A range that a family is expected in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

/// A balance window of the house.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Window {
    /// % vol.
    pub abv: Option<Range>,
    /// g/100 ml.
    pub sugar: Option<Range>,
    /// g/100 ml.
    pub acid: Option<Range>,
}

/// How far rounding to the tools may move a drink before it is measured more finely.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tolerance {
    /// Percentage points of alcoholic strength.
    pub abv: Decimal,
    /// g/100 ml.
    pub sugar: Decimal,
    /// g/100 ml as anhydrous citric acid.
    pub acid: Decimal,
}

impl Default for Tolerance {
    /// Half a point of strength and half a °Bx (common practice, no source); acid is our own choice.
    fn default() -> Self {
        Self { abv: dec!(0.5), sugar: dec!(0.5), acid: dec!(0.05) }
    }
}

/// Money settings; house edition only.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Money {
    /// ISO 4217 code.
    pub currency: Option<String>,
    /// Sales tax, %.
    pub tax: Option<Decimal>,
    /// Target pour cost, %.
    pub pour_cost: Option<Decimal>,
    /// Labour per hour.
    pub labour: Option<Decimal>,
    /// Spillage, %.
    pub spillage: Option<Decimal>,
}

/// A hazard that somebody answers for.
#[derive(Debug, Clone, PartialEq)]
pub struct Acknowledgement {
    /// The hazard's id.
    pub hazard: Spanned<String>,
    /// Why it is accepted.
    pub because: String,
}

/// A hazard rule of the house, or its words beside a published one.
#[derive(Debug, Clone, PartialEq)]
pub struct HazardNote {
    /// Where it stands.
    pub span: Span,
    /// The rule's name.
    pub id: Spanned<String>,
    /// When it fires; absent beside a published rule.
    pub when: Option<Text>,
    /// `danger`, `caution` or `note`.
    pub severity: Option<&'static str>,
    /// `fault` or `standing`.
    pub kind: Option<&'static str>,
    /// What can happen.
    pub what: Option<String>,
    /// What to do.
    pub act: Option<String>,
    /// A limit, in words.
    pub limit: Option<String>,
    /// Who says so.
    pub source: Option<String>,
    /// What the house says beside it.
    pub say: Option<String>,
}

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
    /// Opening hours as written.
    pub hours: Vec<(String, String)>,
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

/// Largest volume that one unit may stand for, ml.
const LARGEST_MEASURE: Decimal = dec!(10_000);

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
            assume: Assume {
                rinse_stays: 0.2,
                top: ml(dec!(90)),
                headspace: 0.05,
                few: dec!(3),
                to_taste: Amount { value: dec!(1), unit: Unit::Dash },
                pinch: g(dec!(0.3)),
                written: Vec::new(),
            },
            temperatures: Temperatures { room: 20.0, ice: 0.0, fridge: 4.0, freezer: -18.0 },
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
    house.timezone = f.string("timezone", problems);
    if let Some(node) = f.take("units") {
        units(node, &mut house, problems);
    }
    if let Some(node) = f.take("tools") {
        tools(node, &mut house.tools, problems);
    }
    if let Some(node) = f.take("tolerance") {
        tolerance(node, &mut house.tolerance, problems);
    }
    if let Some(node) = f.take("assume") {
        assume(node, &mut house.assume, problems);
    }
    if let Some(node) = f.take("temperatures") {
        temperatures(node, &mut house.temperatures, problems);
    }
    if let Some(node) = f.take("glasses") {
        for (key, text) in table(node, "glasses", problems) {
            if let Some(volume) = value::amount(&text, Some(Dimension::Volume), problems) {
                house.glasses.insert(key.value, volume.value);
            }
        }
    }
    if let Some(node) = f.take("windows") {
        windows(node, &mut house.windows, problems);
    }
    if let Some(node) = f.take("regimes") {
        regimes(node, &mut house, problems);
    }
    if let Some(node) = f.take("money") {
        money(node, &mut house.money, problems);
    }
    if let Some(node) = f.take("hours") {
        house.hours = table(node, "hours", problems).into_iter().map(|(k, v)| (k.value, v.value)).collect();
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
        house.hazards.extend(hazard(node, problems));
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

fn hazard(node: Node, problems: &mut Vec<Problem>) -> Option<HazardNote> {
    let mut f = Fields::open(node, "a hazard", problems)?;
    let span = f.span;
    let id = f.string("id", problems);
    let string = |f: &mut Fields, key, problems: &mut Vec<Problem>| f.string(key, problems).map(|s| s.value);
    let note = HazardNote {
        span,
        id: id.clone().unwrap_or_else(|| Spanned::new(String::new(), span)),
        when: f.text("when", problems),
        severity: word(&mut f, "severity", &["danger", "caution", "note"], problems),
        kind: word(&mut f, "kind", &["fault", "standing"], problems),
        what: string(&mut f, "what", problems),
        act: string(&mut f, "do", problems),
        limit: string(&mut f, "limit", problems),
        source: string(&mut f, "source", problems),
        say: string(&mut f, "say", problems),
    };
    f.close(problems);
    if id.is_none() {
        problems.push(
            Problem::new(code::MISSING_KEY, span, "this hazard has no `id`")
                .help("write `id:` and a name of small letters and hyphens, or the name of a published rule"),
        );
        return None;
    }
    Some(note)
}

fn word(
    f: &mut Fields,
    key: &'static str,
    words: &[&'static str],
    problems: &mut Vec<Problem>,
) -> Option<&'static str> {
    let text = f.text(key, problems)?;
    let found = words.iter().find(|w| **w == text.value).copied();
    if found.is_none() {
        problems.push(
            Problem::new(code::WRONG_VALUE, text.span, format!("`{key}` cannot be `{}`", text.value))
                .help(format!("choose one of: {}", words.join(", "))),
        );
    }
    found
}

/// Reads a list of `{hazard, because}`.
pub fn acknowledgements(list: Option<Vec<Node>>, problems: &mut Vec<Problem>) -> Vec<Acknowledgement> {
    let mut out = Vec::new();
    for node in list.unwrap_or_default() {
        let Some(mut f) = Fields::open(node, "an acknowledgement", problems) else { continue };
        let (hazard, because, span) = (f.string("hazard", problems), f.string("because", problems), f.span);
        f.close(problems);
        match (hazard, because) {
            (Some(hazard), Some(because)) if !because.value.trim().is_empty() => {
                out.push(Acknowledgement { hazard, because: because.value });
            }
            _ => problems.push(
                Problem::new(code::MISSING_KEY, span, "an acknowledgement names the hazard and says why")
                    .help("write `{hazard: ID, because: the reason}`"),
            ),
        }
    }
    out
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

fn units(node: Node, house: &mut House, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "units", problems) else { return };
    if let Some(system) = f.text("system", problems) {
        match system.value.as_str() {
            "us" => {}
            "imperial" => house.units = Units::new(System::Imperial),
            other => problems.push(
                Problem::new(code::WRONG_VALUE, system.span, format!("`system` cannot be `{other}`"))
                    .help("choose one of: us, imperial"),
            ),
        }
    }
    if let Some(list) = f.texts("show", problems) {
        let mut show = Vec::new();
        for text in list {
            match Unit::from_word(&text.value).filter(|u| matches!(u, Unit::Ml | Unit::Cl | Unit::Oz)) {
                Some(unit) => show.push(unit),
                None => problems.push(
                    Problem::new(code::WRONG_VALUE, text.span, format!("amounts cannot be shown in `{}`", text.value))
                        .help("choose from: ml, cl, oz"),
                ),
            }
        }
        if !show.is_empty() {
            house.show = show;
        }
    }
    for (key, unit) in [
        ("oz", Unit::Oz),
        ("dash", Unit::Dash),
        ("barspoon", Unit::Barspoon),
        ("drop", Unit::Drop),
        ("splash", Unit::Splash),
        ("tsp", Unit::Tsp),
        ("tbsp", Unit::Tbsp),
        ("cup", Unit::Cup),
        ("jigger", Unit::Jigger),
        ("pony", Unit::Pony),
    ] {
        let Some(text) = f.text(key, problems) else { continue };
        let Some(amount) = value::amount(&text, Some(Dimension::Volume), problems) else { continue };
        if amount.value.value.is_zero() {
            problems.push(
                Problem::new(code::BAD_NUMBER, amount.span, format!("one {key} of nothing"))
                    .help("write its volume, for example `5 ml`"),
            );
            continue;
        }
        if let Some(base) = amount.value.base(&house.units) {
            if base > LARGEST_MEASURE {
                problems.push(
                    Problem::new(code::BAD_NUMBER, amount.span, format!("one {key} of more than ten litres"))
                        .help("check the number and its unit"),
                );
                continue;
            }
            house.units.set(unit, base);
            house.own_units.push(unit);
        }
    }
    f.close(problems);
}

fn volumes(f: &mut Fields, key: &'static str, problems: &mut Vec<Problem>) -> Option<Vec<Amount>> {
    let list = f.texts(key, problems)?;
    let mut read = Vec::new();
    for text in &list {
        let Some(amount) = value::amount(text, Some(Dimension::Volume), problems) else { continue };
        if amount.value.value.is_zero() {
            problems.push(
                Problem::new(code::BAD_NUMBER, amount.span, "a measure of nothing")
                    .help("write its volume, for example `30 ml`"),
            );
        } else {
            read.push(amount.value);
        }
    }
    (!read.is_empty()).then_some(read)
}

fn tools(node: Node, tools: &mut Tools, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "tools", problems) else { return };
    if let Some(list) = volumes(&mut f, "jigger", problems) {
        tools.jigger = list;
    }
    if let Some(jug) = volumes(&mut f, "jug", problems).and_then(|l| l.first().copied()) {
        tools.jug = jug;
    }
    if let Some(list) = volumes(&mut f, "bottles", problems) {
        tools.bottles = list;
    }
    if let Some(list) = volumes(&mut f, "siphons", problems) {
        tools.siphons = list;
    }
    if let Some(list) = f.texts("scales", problems) {
        let scales: Vec<Scale> = list.iter().filter_map(|t| scale(t, problems)).collect();
        if !scales.is_empty() {
            tools.scales = scales;
        }
    }
    f.close(problems);
}

/// `{abv: 0.5 %, sugar: 0.5, acid: 0.05}`.
fn tolerance(node: Node, tolerance: &mut Tolerance, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "tolerance", problems) else { return };
    for (key, slot, units, example) in [
        ("abv", &mut tolerance.abv, ["", "%", "% vol"], "abv: 0.5 %"),
        ("sugar", &mut tolerance.sugar, ["", "g/100 ml", "g/100 ml"], "sugar: 0.5"),
        ("acid", &mut tolerance.acid, ["", "g/100 ml", "g/100 ml"], "acid: 0.05"),
    ] {
        let Some(text) = f.text(key, problems) else { continue };
        let Some(q) = value::quantity(&text, false, example, problems) else { continue };
        if !units.contains(&q.unit) {
            problems.push(
                Problem::new(code::WRONG_UNIT, q.unit_span, format!("`{key}` is not measured in `{}`", q.unit))
                    .help(format!("write for example `{example}`")),
            );
        } else if q.measured.value.is_zero() {
            problems.push(
                Problem::new(code::BAD_NUMBER, text.span, "no tool measures without any error")
                    .help(format!("write for example `{example}`")),
            );
        } else {
            *slot = q.measured.value;
        }
    }
    f.close(problems);
}

/// `0.01 g to 200 g`.
fn scale(text: &Text, problems: &mut Vec<Problem>) -> Option<Scale> {
    let part = |piece: &str| {
        let at = piece.as_ptr() as usize - text.value.as_ptr() as usize;
        Text { value: piece.to_owned(), span: text.part(at, at + piece.len()), exact: text.exact, quoted: text.quoted }
    };
    let (step, capacity) = match text.value.split_once(" to ") {
        Some((step, capacity)) => (part(step.trim()), Some(part(capacity.trim()))),
        None => (part(text.value.trim()), None),
    };
    let step = value::amount(&step, Some(Dimension::Mass), problems)?.value;
    let capacity = match capacity {
        Some(text) => Some(value::amount(&text, Some(Dimension::Mass), problems)?.value),
        None => None,
    };
    let grams = |a: Amount| a.base(&Units::default());
    if capacity.is_some_and(|most| grams(most) <= grams(step)) {
        problems.push(
            Problem::new(code::BAD_RANGE, text.span, "this scale's step is not below the most it weighs")
                .help("write the step first, for example `0.01 g to 200 g`"),
        );
        return None;
    }
    if step.value.is_zero() {
        problems.push(
            Problem::new(code::BAD_NUMBER, text.span, "a scale with a step of nothing")
                .help("write for example `0.01 g to 200 g`"),
        );
        return None;
    }
    Some(Scale { step, capacity })
}

fn assume(node: Node, assume: &mut Assume, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "assume", problems) else { return };
    let fraction = |f: &mut Fields, key: &'static str, problems: &mut Vec<Problem>| {
        let text = f.text(key, problems)?;
        let share = value::percent(&text, problems)?;
        if share.value > 100.0 {
            problems.push(
                Problem::new(code::BAD_PARAMETER, share.span, format!("{} % is more than the whole", share.value))
                    .help("write a share up to 100 %"),
            );
            return None;
        }
        Some(share.value / 100.0)
    };
    if let Some(v) = fraction(&mut f, "rinse_stays", problems) {
        assume.rinse_stays = v;
        assume.written.push("rinse_stays");
    }
    if let Some(v) = fraction(&mut f, "headspace", problems) {
        assume.headspace = v;
        assume.written.push("headspace");
    }
    if let Some(v) = f.text("top", problems).and_then(|t| value::amount(&t, Some(Dimension::Volume), problems)) {
        assume.top = v.value;
        assume.written.push("top");
    }
    if let Some(v) = f.number("few", problems) {
        if v.value.is_zero() || v.value > dec!(100) {
            problems.push(
                Problem::new(code::BAD_NUMBER, v.span, format!("{} is not a few", v.value.normalize()))
                    .help("write how many a few are, for example `few: 3`"),
            );
        } else {
            assume.few = v.value;
            assume.written.push("few");
        }
    }
    if let Some(v) = f.text("to_taste", problems).and_then(|t| value::amount(&t, Some(Dimension::Volume), problems)) {
        assume.to_taste = v.value;
        assume.written.push("to_taste");
    }
    if let Some(v) = f.text("pinch", problems).and_then(|t| value::amount(&t, Some(Dimension::Mass), problems)) {
        assume.pinch = v.value;
        assume.written.push("pinch");
    }
    f.close(problems);
}

fn temperatures(node: Node, t: &mut Temperatures, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "temperatures", problems) else { return };
    for (key, slot) in
        [("room", &mut t.room), ("ice", &mut t.ice), ("fridge", &mut t.fridge), ("freezer", &mut t.freezer)]
    {
        if let Some(v) = f.text(key, problems).and_then(|text| value::temperature(&text, problems)) {
            if key == "ice" && v.value > 0.0 {
                problems.push(
                    Problem::new(code::BAD_PARAMETER, v.span, "ice is at 0 °C at most")
                        .help("write for example `ice: -5 °C`, or leave it out: bar ice is at 0 °C"),
                );
                continue;
            }
            *slot = v.value;
        }
    }
    f.close(problems);
}

/// `21–29 %`, `3.7–5.6`.
fn range(text: &Text, problems: &mut Vec<Problem>) -> Option<Range> {
    let q = value::quantity(text, false, "3.7–5.6", problems)?;
    let low = float(q.measured.value);
    let high = q.high.map_or(low, float);
    if !matches!(q.unit, "" | "%" | "% vol" | "g/100 ml") {
        problems.push(
            Problem::new(code::WRONG_UNIT, q.unit_span, format!("a window is not measured in `{}`", q.unit))
                .help("write for example `abv: 21–29 %` and `sugar: 3.7–5.6`"),
        );
        return None;
    }
    if high < low {
        problems.push(
            Problem::new(code::BAD_RANGE, text.span, "this range ends below its start")
                .help("write the lower figure first"),
        );
        return None;
    }
    Some(Range { low, high })
}

fn windows(node: Node, windows: &mut BTreeMap<String, Window>, problems: &mut Vec<Problem>) {
    let Some(families) = Fields::open(node, "windows", problems) else { return };
    for (family, node) in families.rest() {
        let Some(mut f) = Fields::open(node, "a window", problems) else { continue };
        let mut window = Window::default();
        for (key, slot) in [("abv", &mut window.abv), ("sugar", &mut window.sugar), ("acid", &mut window.acid)] {
            *slot = f.text(key, problems).and_then(|t| range(&t, problems));
        }
        f.close(problems);
        windows.insert(family.value, window);
    }
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

fn money(node: Node, money: &mut Money, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "money", problems) else { return };
    let percent = |f: &mut Fields, key: &'static str, problems: &mut Vec<Problem>| {
        let text = f.text(key, problems)?;
        let q = value::quantity(&text, false, "20 %", problems)?;
        (q.unit == "%").then_some(q.measured.value).or_else(|| {
            problems.push(
                Problem::new(code::WRONG_UNIT, q.unit_span, format!("`{key}` is a share in percent"))
                    .help(format!("write `{key}: 20 %`")),
            );
            None
        })
    };
    money.currency = f.text("currency", problems).and_then(|t| {
        let ok = t.value.len() == 3 && t.value.bytes().all(|b| b.is_ascii_uppercase());
        if !ok {
            problems.push(
                Problem::new(code::WRONG_VALUE, t.span, format!("`{}` is not a currency code", t.value))
                    .help("write three capital letters, for example EUR"),
            );
        }
        ok.then_some(t.value)
    });
    money.tax = percent(&mut f, "tax", problems);
    money.pour_cost = percent(&mut f, "pour_cost", problems);
    money.spillage = percent(&mut f, "spillage", problems);
    money.labour = f.text("labour", problems).and_then(|t| match number::lex(&t.value) {
        Ok(Some((v, used))) if matches!(t.value[used..].trim(), "" | "per h" | "/h" | "per hour") => Some(v),
        _ => {
            problems.push(
                Problem::new(code::BAD_NUMBER, t.span, "`labour` is money per hour")
                    .help("write `labour: 18.00 per h`"),
            );
            None
        }
    });
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

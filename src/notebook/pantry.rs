//! Pantry items: what is bought in, its facts, packs, prices and parts, as a house writes them.

use rust_decimal::Decimal;

use super::fact::{self, Fact, Kind};
use super::fields::{Fields, wrong_type};
use super::keeping::{Keeping, claims};
use super::value;
use super::yaml::{Node, Text};
use crate::measure::{Amount, Unit, float, number, show};
use crate::problem::{Problem, code};
use crate::source::{Span, Spanned};

/// How an ingredient is measured and what its facts are per.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Facts per 100 ml.
    Liquid,
    /// Facts per 100 g; a spoonful weighs by bulk density.
    Solid,
    /// Counted; facts per 100 g.
    Piece,
}

/// A piece or pack: how much it is, and the word for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Portion {
    /// How much one is.
    pub amount: Amount,
    /// Its word, such as `tin`; `None` where the general words serve.
    pub word: Option<String>,
    /// Where it stands.
    pub span: Span,
}

/// A yield: `62 % of flesh`.
#[derive(Debug, Clone, PartialEq)]
pub struct Yield {
    /// Fraction by mass, 0 to 1.
    pub share: f64,
    /// Its `±`.
    pub plus_minus: Option<f64>,
    /// Of which part; `None` is the whole.
    pub of: Option<String>,
    /// Where it stands.
    pub span: Span,
}

/// A price on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// From when; `None` is always.
    pub date: Option<jiff::civil::DateTime>,
    /// For one pack, exact.
    pub price: Decimal,
    /// Where it stands.
    pub span: Span,
}

/// One ingredient as written; every field may be absent.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemNote {
    /// Its name.
    pub name: Spanned<String>,
    /// The whole item.
    pub span: Span,
    /// Other names.
    pub also: Vec<Spanned<String>>,
    /// Its form, where it says so or its facts do.
    pub form: Option<Form>,
    /// What kind of thing it is, for the pantry pages; built-in items only.
    pub category: Option<String>,
    /// % vol.
    pub abv: Option<Fact>,
    /// g per 100.
    pub sugar: Option<Fact>,
    /// °Bx.
    pub brix: Option<Fact>,
    /// g per 100, as anhydrous citric acid.
    pub acid: Option<Fact>,
    /// g per 100.
    pub fat: Option<Fact>,
    /// g per 100.
    pub protein: Option<Fact>,
    /// g per 100.
    pub solids: Option<Fact>,
    /// g/ml.
    pub density: Option<Fact>,
    /// Relative to sucrose.
    pub sweetness: Option<Fact>,
    /// mg/l.
    pub sulphites: Option<Fact>,
    /// mg/l.
    pub caffeine: Option<Fact>,
    /// One piece.
    pub piece: Option<Portion>,
    /// One pack.
    pub pack: Option<Portion>,
    /// Prices, oldest first as written.
    pub prices: Vec<Price>,
    /// Where it is bought; house edition only.
    pub supplier: Option<String>,
    /// Shares of the whole by mass.
    pub parts: Vec<(String, f64, Span)>,
    /// What can be had of it.
    pub yields: Vec<(String, Yield)>,
    /// Allergen tags; `None` is unknown, empty is none.
    pub allergens: Option<Vec<Spanned<String>>>,
    /// Allergens it may hold traces of.
    pub may_contain: Vec<Spanned<String>>,
    /// A remark that a tag cannot say.
    pub allergen_note: Option<String>,
    /// Whether it is vegan; `None` is unknown.
    pub vegan: Option<bool>,
    /// How long it keeps.
    pub keeps: Vec<Keeping>,
    /// Tags of the safety rules, and free ones.
    pub tags: Vec<Spanned<String>>,
    /// Tags that its name suggests, or that the generic item bears, and that it has not.
    pub is_not: Vec<Spanned<String>>,
    /// Where the facts come from.
    pub source: Option<String>,
    /// How the built-in figures were obtained.
    pub how: Option<String>,
}

impl ItemNote {
    /// An item with a name and nothing else.
    #[must_use]
    pub fn named(name: Spanned<String>, span: Span) -> Self {
        Self {
            name,
            span,
            also: Vec::new(),
            form: None,
            category: None,
            abv: None,
            sugar: None,
            brix: None,
            acid: None,
            fat: None,
            protein: None,
            solids: None,
            density: None,
            sweetness: None,
            sulphites: None,
            caffeine: None,
            piece: None,
            pack: None,
            prices: Vec::new(),
            supplier: None,
            parts: Vec::new(),
            yields: Vec::new(),
            allergens: None,
            may_contain: Vec::new(),
            allergen_note: None,
            vegan: None,
            keeps: Vec::new(),
            tags: Vec::new(),
            is_not: Vec::new(),
            source: None,
            how: None,
        }
    }
}

/// Reads a pantry file: a list of items.
pub fn items(node: Node, problems: &mut Vec<Problem>) -> Vec<ItemNote> {
    match node {
        Node::List(list, _) => list.into_iter().filter_map(|n| item(n, problems)).collect(),
        other => {
            problems.push(
                wrong_type(&other, "a pantry file is a list of ingredients")
                    .help("start each ingredient with `- name: …`"),
            );
            Vec::new()
        }
    }
}

fn item(node: Node, problems: &mut Vec<Problem>) -> Option<ItemNote> {
    let mut f = Fields::open(node, "an ingredient", problems)?;
    let span = f.span;
    let found = problems.len();
    let name = f.string("name", problems);
    // A name of the wrong kind is one fault, not two.
    let name_reported = problems.len() > found;
    let mut item = ItemNote::named(name.clone().unwrap_or_else(|| Spanned::new(String::new(), span)), span);
    item.also = spanned(f.texts("also", problems));
    item.form = form(&mut f, problems);
    for (key, kind, slot) in [
        ("abv", Kind::Strength, &mut item.abv),
        ("sugar", Kind::Content, &mut item.sugar),
        ("brix", Kind::Brix, &mut item.brix),
        ("acid", Kind::Content, &mut item.acid),
        ("fat", Kind::Content, &mut item.fat),
        ("protein", Kind::Content, &mut item.protein),
        ("solids", Kind::Content, &mut item.solids),
        ("density", Kind::Density, &mut item.density),
        ("sweetness", Kind::Ratio, &mut item.sweetness),
        ("sulphites", Kind::Trace, &mut item.sulphites),
        ("caffeine", Kind::Trace, &mut item.caffeine),
    ] {
        *slot = f.text(key, problems).and_then(|t| fact::fact(&t, key, kind, problems));
    }
    item.piece = f.text("piece", problems).and_then(|t| portion(&t, problems));
    item.pack = f.text("pack", problems).and_then(|t| portion(&t, problems));
    item.prices = prices(&mut f, problems);
    item.supplier = f.string("supplier", problems).map(|s| s.value);
    item.parts = parts(&mut f, problems);
    item.yields = yields(&mut f, problems);
    item.allergens = f.take("allergens").map(|n| spanned(Some(super::fields::texts(n, "allergens", problems))));
    item.may_contain = spanned(f.texts("may_contain", problems));
    item.vegan = f.flag("vegan", problems).map(|v| v.value);
    item.keeps = claims(f.texts("keeps", problems).unwrap_or_default(), problems);
    item.tags = spanned(f.texts("tags", problems));
    item.is_not = spanned(f.texts("is_not", problems));
    item.source = f.string("source", problems).map(|s| s.value);
    f.close(problems);
    if name.is_none() {
        if !name_reported {
            problems.push(
                Problem::new(code::MISSING_KEY, span, "this ingredient has no `name`")
                    .help("write `- name: white rum`"),
            );
        }
        return None;
    }
    if item.form.is_none() {
        item.form = implied_form(&item);
    }
    Some(item)
}

fn form(f: &mut Fields, problems: &mut Vec<Problem>) -> Option<Form> {
    let text = f.text("form", problems)?;
    match text.value.as_str() {
        "liquid" => Some(Form::Liquid),
        "solid" => Some(Form::Solid),
        "piece" => Some(Form::Piece),
        other => {
            problems.push(
                Problem::new(code::WRONG_VALUE, text.span, format!("`form` cannot be `{other}`"))
                    .help("choose one of: liquid, solid, piece"),
            );
            None
        }
    }
}

/// Least dry matter in 100 g of a powder, g: gums and starches hold up to 15 % water (common practice, no source).
const LEAST_OF_A_POWDER: f64 = 80.0;

/// An item whose facts are per 100 g is a solid; one that has parts, yields or a weighed piece is counted.
fn implied_form(item: &ItemNote) -> Option<Form> {
    let weighed = |p: &Portion| p.amount.unit.dimension() == crate::measure::Dimension::Mass;
    if !item.parts.is_empty() || !item.yields.is_empty() {
        return Some(Form::Piece);
    }
    let facts = [&item.sugar, &item.acid, &item.fat, &item.protein, &item.solids];
    // `abv: 0` says no more than that there is no alcohol in it, which is as true of a powder.
    let without_alcohol = item.abv.as_ref().is_none_or(|abv| abv.value == 0.0);
    if without_alcohol && facts.iter().any(|f| f.as_ref().is_some_and(|f| f.basis == fact::Basis::Mass)) {
        return Some(Form::Solid);
    }
    if without_alcohol && item.piece.as_ref().is_some_and(weighed) {
        return Some(Form::Piece);
    }
    // Contents that nearly fill 100 g, and weigh more than 100 ml of it do, can only be those of a powder by its bulk density.
    let contents: f64 = facts.iter().filter_map(|f| f.as_ref()).map(|f| f.value).sum();
    let heavier = item.density.as_ref().is_some_and(|d| contents > d.value * 100.0);
    if without_alcohol && heavier && (LEAST_OF_A_POWDER..=100.5).contains(&contents) {
        return Some(Form::Solid);
    }
    None
}

fn spanned(texts: Option<Vec<Text>>) -> Vec<Spanned<String>> {
    texts.unwrap_or_default().into_iter().map(|t| Spanned::new(t.value, t.span)).collect()
}

/// `180 g`, `410 g tin`.
fn portion(text: &Text, problems: &mut Vec<Problem>) -> Option<Portion> {
    let q = value::quantity(text, false, "180 g", problems)?;
    let Some((unit, used)) = Unit::lex(q.unit) else {
        problems.push(
            Problem::new(code::WRONG_UNIT, q.unit_span, format!("`{}` is not a volume or a mass", q.unit))
                .help("write for example `180 g`, `700 ml` or `410 g tin`"),
        );
        return None;
    };
    if q.measured.value.is_zero() {
        problems.push(
            Problem::new(code::BAD_NUMBER, text.span, "a piece or pack of nothing")
                .help("write its size, for example `180 g`"),
        );
        return None;
    }
    let word = q.unit[used..].trim();
    Some(Portion {
        amount: Amount { value: q.measured.value, unit },
        word: (!word.is_empty()).then(|| word.to_lowercase()),
        span: text.span,
    })
}

fn price(text: &Text, problems: &mut Vec<Problem>) -> Option<Decimal> {
    super::fields::plain_number(text, problems)
}

fn prices(f: &mut Fields, problems: &mut Vec<Problem>) -> Vec<Price> {
    let mut list = Vec::new();
    if let Some(text) = f.text("price", problems)
        && let Some(price) = price(&text, problems)
    {
        list.push(Price { date: None, price, span: text.span });
    }
    for node in f.list("prices").unwrap_or_default() {
        let Some(mut row) = Fields::open(node, "a price", problems) else { continue };
        let date = row.text("date", problems).and_then(|t| value::date_time(&t, problems));
        let text = row.text("price", problems);
        let span = row.span;
        row.close(problems);
        match text {
            Some(text) => {
                if let Some(price) = price(&text, problems) {
                    list.push(Price { date: date.map(|d| d.value), price, span: text.span });
                }
            }
            None => problems.push(
                Problem::new(code::MISSING_KEY, span, "this price has no `price`")
                    .help("write for example `{date: 2026-09-01, price: 18.50}`"),
            ),
        }
    }
    list
}

fn share(text: &Text, problems: &mut Vec<Problem>) -> Option<Yield> {
    let q = value::quantity(text, false, "62 % of flesh", problems)?;
    let rest = q.unit.strip_prefix('%').map(str::trim);
    let of = match rest {
        Some("") => None,
        Some(words) => match words.strip_prefix("of ") {
            Some(part) => Some(part.trim().to_lowercase()),
            None => {
                problems.push(wrong_share(text));
                return None;
            }
        },
        None => {
            problems.push(wrong_share(text));
            return None;
        }
    };
    let value = float(q.measured.value);
    if value > 100.0 {
        problems.push(
            Problem::new(code::FACT_OUT_OF_RANGE, text.span, format!("{value} % is more than the whole"))
                .help("a share lies between 0 % and 100 %"),
        );
        return None;
    }
    Some(Yield {
        share: value / 100.0,
        plus_minus: q.measured.plus_minus.map(|d| float(d) / 100.0),
        of,
        span: text.span,
    })
}

fn wrong_share(text: &Text) -> Problem {
    Problem::new(code::WRONG_UNIT, text.span, format!("`{}` is not a share in percent", text.value))
        .help("write for example `62 %` or `62 % of flesh`")
}

fn parts(f: &mut Fields, problems: &mut Vec<Problem>) -> Vec<(String, f64, Span)> {
    let Some(node) = f.take("parts") else { return Vec::new() };
    let span = node.span();
    let Some(fields) = Fields::open(node, "parts", problems) else { return Vec::new() };
    let mut list = Vec::new();
    for (key, node) in fields.rest() {
        let Some(text) = super::fields::text(node, "parts", problems) else { continue };
        if let Some(s) = share(&text, problems) {
            list.push((key.value.to_lowercase(), s.share, text.span));
        }
    }
    let sum: f64 = list.iter().map(|(_, s, _)| s).sum();
    if sum > 1.0 + 1e-9 {
        problems.push(
            Problem::new(
                code::PARTS_OVER_WHOLE,
                span,
                format!("the parts add up to {} %", show::trim(&show::fixed(sum * 100.0, 2))),
            )
            .help("parts are shares of the whole fruit by mass and make at most 100 %"),
        );
    }
    list
}

fn yields(f: &mut Fields, problems: &mut Vec<Problem>) -> Vec<(String, Yield)> {
    let Some(node) = f.take("yields") else { return Vec::new() };
    let Some(fields) = Fields::open(node, "yields", problems) else { return Vec::new() };
    let mut list = Vec::new();
    for (key, node) in fields.rest() {
        let Some(text) = super::fields::text(node, "yields", problems) else { continue };
        if let Some(y) = share(&text, problems) {
            list.push((key.value.to_lowercase(), y));
        }
    }
    list
}

/// Whether a text is a number alone; used for facts of the built-in table.
#[must_use]
pub fn bare_number(text: &str) -> Option<f64> {
    match number::lex(text) {
        Ok(Some((value, used))) if used == text.len() => Some(float(value)),
        _ => None,
    }
}

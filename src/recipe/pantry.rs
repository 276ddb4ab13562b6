//! The pantry in force: the house's items over the generic ones, each turned into mixtures.

use std::collections::BTreeMap;

use super::names::{Names, Target, key};
use crate::measure::{Dimension, Units, float};
use crate::mixture::sheet::{Content, Sheet};
use crate::mixture::{Mixture, Part};
use crate::notebook::Notes;
use crate::notebook::fact::{Basis, Fact};
use crate::notebook::pantry::{Form, ItemNote, Portion};
use crate::problem::{Problem, code};

/// The general words for one piece of anything.
const PIECES: &[&str] = &[
    "piece", "sprig", "leaf", "leave", "cube", "clove", "stick", "sheet", "pod", "egg", "shot", "bunch", "head",
    "berry", "bag",
];
/// The general words for a piece that was cut off another: only a piece of that very word is as large.
const CUTS: &[&str] = &["slice", "wedge", "wheel", "knob", "twist", "strip"];
/// The general words for one pack of anything.
const PACKS: &[&str] =
    &["pack", "packet", "bottle", "tin", "can", "carton", "jar", "box", "sachet", "case", "bag", "tub", "pouch"];

/// Whether a word, in the singular or plural, names a pack of anything.
#[must_use]
pub fn is_pack_word(word: &str) -> bool {
    PACKS.contains(&super::names::singular(&word.to_lowercase()).as_str())
}

/// Whether a word, in the singular or plural, names a piece or a pack of anything.
#[must_use]
pub fn is_portion_word(word: &str) -> bool {
    let singular = super::names::singular(&word.to_lowercase());
    is_pack_word(word) || PIECES.contains(&singular.as_str()) || CUTS.contains(&singular.as_str())
}

/// Moves one fact of a sheet by an amount.
type Shift = fn(&mut Sheet, f64);

/// One ingredient, the house's facts over the generic ones.
#[derive(Debug, Clone)]
pub struct Ingredient {
    /// All that is stated of it.
    pub item: ItemNote,
    /// Its form.
    pub form: Form,
    /// Whether the house wrote it, or wrote over it.
    pub house: bool,
    /// Name of the generic item that it builds on, where it does.
    pub generic: Option<String>,
    /// Its numbers.
    pub sheet: Sheet,
    /// One millilitre of a liquid, one gram of a solid; `None` where its facts contradict each other.
    pub unit: Option<Mixture>,
}

impl Ingredient {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.item.name.value
    }

    /// The portion that a word names: the item's own word, or a general one.
    #[must_use]
    pub fn portion(&self, word: Option<&str>) -> Option<&Portion> {
        let own = |p: &&Portion, w: &str| p.word.as_deref().is_some_and(|own| key(own) == key(w) || w.ends_with(own));
        let (piece, pack) = (self.item.piece.as_ref(), self.item.pack.as_ref());
        match word {
            None => piece,
            Some(word) => {
                let general = super::names::singular(&word.to_lowercase());
                piece
                    .filter(|p| own(p, word))
                    .or_else(|| pack.filter(|p| own(p, word)))
                    .or_else(|| pack.filter(|p| p.word.is_none() && PACKS.contains(&general.as_str())))
                    // A leaf is not a sprig: a general word means a piece that has no word of its own.
                    .or_else(|| {
                        piece.filter(|p| general == "piece" || (p.word.is_none() && PIECES.contains(&general.as_str())))
                    })
            }
        }
    }

    /// Whether a volume of it can be weighed and the reverse.
    #[must_use]
    pub fn is_liquid(&self) -> bool {
        self.form == Form::Liquid
    }

    /// The facts that carry a `±`, as sheets with one fact moved up by it, or down where the facts leave no room above.
    #[must_use]
    pub fn moved_sheets(&self) -> Vec<Sheet> {
        let mut moved = Vec::new();
        let facts: [(&Option<Fact>, Shift); 9] = [
            (&self.item.abv, |s, d| s.abv = s.abv.map(|v| v + d)),
            (&self.item.sugar, |s, d| s.sugar = s.sugar.map(|c| Content { value: c.value + d, ..c })),
            // Where both are stated the sheet goes by the sugar.
            (if self.item.sugar.is_none() { &self.item.brix } else { &None }, |s, d| {
                s.sugar = s.sugar.map(|c| Content { value: c.value + d, ..c })
            }),
            (&self.item.acid, |s, d| s.acid = s.acid.map(|c| Content { value: c.value + d, ..c })),
            (&self.item.fat, |s, d| s.fat = s.fat.map(|c| Content { value: c.value + d, ..c })),
            (&self.item.protein, |s, d| s.protein = s.protein.map(|c| Content { value: c.value + d, ..c })),
            (&self.item.solids, |s, d| s.solids = s.solids.map(|c| Content { value: c.value + d, ..c })),
            (&self.item.density, |s, d| s.density = s.density.map(|v| v + d)),
            (&self.item.sweetness, |s, d| s.sweetness = s.sweetness.map(|v| v + d)),
        ];
        for (fact, shift) in facts {
            if let Some(delta) = fact.as_ref().and_then(|f| f.plus_minus).filter(|d| *d > 0.0) {
                let by = |delta: f64| {
                    let mut sheet = self.sheet.clone();
                    shift(&mut sheet, delta);
                    sheet
                };
                let up = by(delta);
                moved.push(if unit_of(&up).is_ok() { up } else { by(-delta) });
            }
        }
        moved
    }
}

/// One unit of a sheet.
pub(super) fn unit_of(sheet: &Sheet) -> Result<Mixture, crate::mixture::sheet::Contradiction> {
    if sheet.solid { sheet.per_gram() } else { sheet.per_ml() }
}

/// A fruit whose juice the generic pantry knows by volume.
#[derive(Debug, Clone, PartialEq)]
pub struct Pressed {
    /// Index of the juice.
    pub juice: usize,
    /// ml from one fruit.
    pub juice_ml: f64,
    /// Mass of one fruit, g, where stated.
    pub piece_g: Option<f64>,
}

/// How far a stated °Bx may lie from what the stated sugar makes: labels round both, and °Bx counts all that is dissolved.
const BRIX_SLACK: f64 = 2.0;

/// Every ingredient in force.
#[derive(Debug, Clone, Default)]
pub struct Pantry {
    /// Generic items first, in the table's order, then the house's.
    pub ingredients: Vec<Ingredient>,
    /// Fruits by key, with the juice that they give.
    pub pressed: BTreeMap<String, Pressed>,
}

/// Merges the house's pantry over the generic one and names everything.
pub fn merge(notes: &Notes, names: &mut Names, problems: &mut Vec<Problem>) -> Pantry {
    let mut pantry = generic(notes, names, problems);
    let house = distinct(notes, problems);
    for number in as_written(&house) {
        let item = &notes.pantry[number];
        let base = std::iter::once(&item.name).chain(&item.also).find_map(|name| match names.get(&name.value) {
            Some(Target::Ingredient(i)) => notes.builtin.items.get(i),
            _ => None,
        });
        let merged = base.map_or_else(|| item.clone(), |base| over(item, base));
        push(&mut pantry, merged, true, base.map(|b| b.name.value.clone()), problems);
    }
    name_house_items(notes, &house, &pantry, names, problems);
    pantry
}

/// The generic items, under their names and other names.
fn generic(notes: &Notes, names: &mut Names, problems: &mut Vec<Problem>) -> Pantry {
    let mut pantry = Pantry::default();
    for item in &notes.builtin.items {
        push(&mut pantry, item.clone(), false, None, problems);
    }
    for (index, item) in notes.builtin.items.iter().enumerate() {
        for other in &item.also {
            names.insert(&other.value, Target::Ingredient(index));
        }
    }
    for (index, item) in notes.builtin.items.iter().enumerate() {
        names.insert(&item.name.value, Target::Ingredient(index));
    }
    for fruit in &notes.builtin.pressed {
        let pressed = Pressed { juice: fruit.juice, juice_ml: fruit.juice_ml, piece_g: fruit.piece_g };
        pantry.pressed.insert(key(&fruit.fruit), pressed);
    }
    pantry
}

/// The house's items that have a name of their own, by that name.
fn distinct(notes: &Notes, problems: &mut Vec<Problem>) -> BTreeMap<String, usize> {
    let mut items: BTreeMap<String, usize> = BTreeMap::new();
    for (number, item) in notes.pantry.iter().enumerate() {
        let own = key(&item.name.value);
        if own.is_empty() {
            problems.push(
                Problem::new(code::WRONG_VALUE, item.name.span, "this name holds no letters")
                    .help("write a name in words"),
            );
            continue;
        }
        if let Some(&first) = items.get(&own) {
            problems.push(
                Problem::new(
                    code::DUPLICATE_NAME,
                    item.name.span,
                    format!("the pantry has two ingredients called `{}`", item.name.value),
                )
                .label("again here")
                .also(notes.pantry[first].name.span, "first here")
                .help("give one of them another name; case, accents and plurals do not tell names apart"),
            );
            continue;
        }
        items.insert(own, number);
    }
    items
}

/// The items in the order written, which is that of their numbers.
fn as_written(items: &BTreeMap<String, usize>) -> Vec<usize> {
    let mut numbers: Vec<usize> = items.values().copied().collect();
    numbers.sort_unstable();
    numbers
}

/// Names of the house's items. They come last, so that a house name never leads to a generic item, and other names never to
/// another house item's own.
fn name_house_items(
    notes: &Notes,
    house: &BTreeMap<String, usize>,
    pantry: &Pantry,
    names: &mut Names,
    problems: &mut Vec<Problem>,
) {
    let generic = notes.builtin.items.len();
    let mut aliases: BTreeMap<String, usize> = BTreeMap::new();
    for (position, number) in as_written(house).into_iter().enumerate() {
        let target = Target::Ingredient(generic + position);
        for other in &notes.pantry[number].also {
            let alias = key(&other.value);
            let claims = [house.get(&alias), aliases.get(&alias)];
            if let Some(rival) = claims.into_iter().flatten().copied().find(|n| *n != number) {
                problems.push(
                    Problem::new(
                        code::AMBIGUOUS_ALIAS,
                        other.span,
                        format!("`{}` is claimed by two ingredients", other.value),
                    )
                    .label("claimed here")
                    .also(notes.pantry[rival].name.span, "and by this one")
                    .help("leave the name to one of the two"),
                );
                continue;
            }
            aliases.insert(alias, number);
            names.insert(&other.value, target);
        }
        // The generic item's names follow it, unless the house uses them for something else.
        let generic_name = pantry.ingredients[generic + position].generic.as_ref();
        let base = notes.builtin.items.iter().find(|b| Some(&b.name.value) == generic_name);
        for other in base.into_iter().flat_map(|b| std::iter::once(&b.name).chain(&b.also)) {
            let alias = key(&other.value);
            if !house.contains_key(&alias) && !aliases.contains_key(&alias) {
                names.insert(&other.value, target);
            }
        }
    }
    for (position, number) in as_written(house).into_iter().enumerate() {
        names.insert(&notes.pantry[number].name.value, Target::Ingredient(generic + position));
    }
}

fn push(pantry: &mut Pantry, item: ItemNote, house: bool, generic: Option<String>, problems: &mut Vec<Problem>) {
    let form = item.form.unwrap_or(Form::Liquid);
    let sheet = sheet(&item, form);
    if let (true, Some(abv)) = (sheet.solid, &item.abv)
        && abv.value > 0.0
    {
        problems.push(
            Problem::new(
                code::FACTS_CONTRADICT,
                abv.span,
                format!("`{}` is a solid, and a strength by volume is a liquid's", item.name.value),
            )
            .help("leave `abv` out, or write `form: liquid`"),
        );
    }
    let unit = match unit_of(&sheet) {
        Ok(unit) => {
            // Where both are stated the sheet goes by the sugar, and °Bx must follow from it.
            if let (Some(sugar), Some(brix)) = (&item.sugar, &item.brix) {
                let from_sugar = unit.grams(Part::Sugar) / unit.mass_g() * 100.0;
                if (from_sugar - brix.value).abs() > BRIX_SLACK {
                    problems.push(
                        Problem::new(
                            code::FACTS_CONTRADICT,
                            brix.span,
                            format!(
                                "the facts of `{}` cannot all be true: its sugar makes {from_sugar:.1} °Bx",
                                item.name.value
                            ),
                        )
                        .also(sugar.span, "sugar stated here")
                        .help("keep the one that was measured"),
                    );
                }
            }
            Some(unit)
        }
        Err(contradiction) => {
            problems.push(
                Problem::new(
                    code::FACTS_CONTRADICT,
                    item.name.span,
                    format!("the facts of `{}` cannot all be true: {}", item.name.value, contradiction.0),
                )
                .help("check each fact against the label, and that it is per 100 ml; for a powder write `form: solid` and facts per 100 g"),
            );
            None
        }
    };
    pantry.ingredients.push(Ingredient { item, form, house, generic, sheet, unit });
}

fn content(fact: &Fact, solid: bool) -> Content {
    Content { value: fact.value, per_mass: !solid && fact.basis == Basis::Mass }
}

fn sheet(item: &ItemNote, form: Form) -> Sheet {
    let solid = form != Form::Liquid;
    let of = |fact: &Option<Fact>| fact.as_ref().map(|f| content(f, solid));
    let value = |fact: &Option<Fact>| fact.as_ref().map(|f| f.value);
    let tagged = |tags: &[&str]| item.tags.iter().any(|t| tags.contains(&t.value.as_str()));
    let bears_sulphite =
        tagged(&["wine-based"]) || item.allergens.as_ref().is_some_and(|a| a.iter().any(|t| t.value == "sulphite"));
    Sheet {
        name: item.name.value.clone(),
        solid,
        abv: value(&item.abv),
        sugar: of(&item.sugar).or_else(|| of(&item.brix)),
        acid: of(&item.acid),
        fat: of(&item.fat),
        protein: of(&item.protein),
        solids: of(&item.solids),
        density: value(&item.density).filter(|_| !solid || form == Form::Solid),
        sweetness: value(&item.sweetness),
        sulphites: value(&item.sulphites),
        caffeine: value(&item.caffeine),
        bears_sulphites: bears_sulphite,
        bears_caffeine: tagged(&["caffeine", "tea", "coffee", "cold-brew"]),
    }
}

/// The house's facts over the generic ones, fact by fact. A generic density goes with the generic contents, so it does not
/// outlive a change to them; sugar and °Bx replace each other.
fn over(house: &ItemNote, generic: &ItemNote) -> ItemNote {
    let mut item = house.clone();
    let changed = [&house.abv, &house.sugar, &house.brix, &house.acid, &house.fat, &house.protein, &house.solids]
        .iter()
        .any(|f| f.is_some());
    let solid = generic.form != Some(Form::Liquid);
    item.form = house.form.or(generic.form);
    item.category = generic.category.clone();
    item.abv = house.abv.clone().or_else(|| generic.abv.clone());
    if house.sugar.is_none() && house.brix.is_none() {
        item.sugar = generic.sugar.clone();
    }
    item.acid = house.acid.clone().or_else(|| generic.acid.clone());
    item.fat = house.fat.clone().or_else(|| generic.fat.clone());
    item.protein = house.protein.clone().or_else(|| generic.protein.clone());
    item.solids = house.solids.clone().or_else(|| generic.solids.clone());
    if house.density.is_none() && (!changed || solid) {
        item.density = generic.density.clone();
    }
    item.sulphites = house.sulphites.clone().or_else(|| generic.sulphites.clone());
    item.caffeine = house.caffeine.clone().or_else(|| generic.caffeine.clone());
    item.piece = house.piece.clone().or_else(|| generic.piece.clone());
    item.allergens = house.allergens.clone().or_else(|| generic.allergens.clone());
    if house.allergens.is_none() {
        item.allergen_note = generic.allergen_note.clone();
    }
    item.vegan = house.vegan.or(generic.vegan);
    for tag in &generic.tags {
        // A pasteurised white is an egg white, and not a raw egg.
        let denied = house.is_not.iter().any(|t| t.value == tag.value);
        if !denied && !item.tags.iter().any(|t| t.value == tag.value) {
            item.tags.push(tag.clone());
        }
    }
    for other in &generic.also {
        if !item.also.iter().any(|o| key(&o.value) == key(&other.value)) && key(&other.value) != key(&item.name.value) {
            item.also.push(other.clone());
        }
    }
    item.source = match (&house.source, &generic.source) {
        (Some(own), _) => Some(own.clone()),
        (None, Some(base)) if changed => Some(format!("house figures; the rest: {base}")),
        (None, base) => base.clone(),
    };
    item.how = generic.how.clone();
    item
}

/// Mass in g or volume in ml of a portion, as a float.
#[must_use]
pub fn portion_base(portion: &Portion, units: &Units) -> Option<(Dimension, f64)> {
    portion.amount.base(units).map(|b| (portion.amount.unit.dimension(), float(b)))
}

//! Allergens and diet: what an ingredient holds is in everything made of it. Unknown is never "none".

mod declaration;
mod garnish;

use std::collections::{BTreeMap, BTreeSet};

pub use declaration::{Declaration, Declared, Regime, contains_words, declaration, gluten, word};
pub use garnish::{Garnish, garnish};

use super::safety;
use crate::notebook::pantry::ItemNote;
use crate::notebook::process_line::ParameterValue;
use crate::process::Process;
use crate::recipe::names::Target;
use crate::recipe::run::Computed;
use crate::source::Spanned;

/// Nuts that the European and British lists name; each counts as `tree-nut` too.
pub const NUTS: &[&str] =
    &["almond", "hazelnut", "walnut", "cashew", "pecan", "brazil-nut", "pistachio", "macadamia", "pine-nut"];

/// Tags that an ingredient's `allergens` may hold (Regulation (EU) No 1169/2011 Annex II, the US nine, sulphites).
pub const DECLARED: &[&str] = &[
    "gluten-cereal",
    "crustacean",
    "egg",
    "fish",
    "peanut",
    "soya",
    "milk",
    "tree-nut",
    "almond",
    "hazelnut",
    "walnut",
    "cashew",
    "pecan",
    "brazil-nut",
    "pistachio",
    "macadamia",
    "pine-nut",
    "celery",
    "mustard",
    "sesame",
    "sulphite",
    "lupin",
    "mollusc",
];

/// What a recipe holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Diet {
    /// Allergen tags with the ingredients that bring them.
    pub contains: BTreeMap<String, BTreeSet<String>>,
    /// Tags that an ingredient may hold traces of.
    pub may_contain: BTreeSet<String>,
    /// Ingredients whose allergens nobody stated.
    pub unknown: BTreeSet<String>,
    /// Remarks of the pantry that a tag cannot say.
    pub remarks: BTreeSet<String>,
    /// Whether it is vegan; `None` where one part is unknown and none is known not to be.
    pub vegan: Option<bool>,
    /// Ingredients that are not vegan.
    pub not_vegan: BTreeSet<String>,
    /// Ingredients of which nobody said whether they are.
    pub vegan_unknown: BTreeSet<String>,
    /// Whether it is vegetarian; `None` where one part is unknown and none is known not to be.
    pub vegetarian: Option<bool>,
    /// Ingredients that are not vegetarian.
    pub not_vegetarian: BTreeSet<String>,
    /// Ingredients of which nobody said whether they are.
    pub vegetarian_unknown: BTreeSet<String>,
    /// Total sulphites as it is drunk, mg/l; `None` where a part that bears them has no figure.
    pub sulphites_mg_per_l: Option<f64>,
    /// Pours that mean nothing yet, so that what is in them is unknown.
    pub unread: bool,
}

impl Diet {
    /// Gives ingredients other names, as for guests who are not told what is in a part.
    pub fn rename(&mut self, names: &BTreeMap<String, String>) {
        let told = |set: &mut BTreeSet<String>| {
            *set = std::mem::take(set).into_iter().map(|name| names.get(&name).cloned().unwrap_or(name)).collect();
        };
        self.contains.values_mut().for_each(told);
        let sets = [
            &mut self.unknown,
            &mut self.not_vegan,
            &mut self.vegan_unknown,
            &mut self.not_vegetarian,
            &mut self.vegetarian_unknown,
        ];
        sets.into_iter().for_each(told);
        // A remark starts with the name of what it is about.
        self.remarks = std::mem::take(&mut self.remarks)
            .into_iter()
            .map(|remark| match remark.split_once(": ").and_then(|(name, said)| Some((names.get(name)?, said))) {
                Some((name, said)) => format!("{name}: {said}"),
                None => remark,
            })
            .collect();
    }
}

/// Every ingredient of a recipe, through the recipes that it uses, to any depth.
#[must_use]
pub fn ingredients(computed: &Computed, recipe: usize) -> BTreeSet<usize> {
    let graph = &computed.graph;
    let mut found = BTreeSet::new();
    for used in graph.closure_of_content(recipe) {
        let node = &graph.nodes[used];
        let known = garnish(computed, used).known;
        found.extend(node.content.iter().chain(&known).filter_map(|t| match t {
            Target::Ingredient(i) => Some(*i),
            Target::Recipe(_) => None,
        }));
    }
    found
}

/// A declared tag, and the group that it belongs to.
pub fn with_group(tag: &str) -> impl Iterator<Item = &str> {
    std::iter::once(tag).chain(NUTS.contains(&tag).then_some("tree-nut"))
}

/// Tags and allergens of what comes from an animal and leaves it alive.
const FROM_LIVING_ANIMALS: &[&str] = &["honey", "egg", "dairy", "milk"];
/// Tags and allergens of what is made of a dead one.
const OF_ANIMALS: &[&str] =
    &["gelatin", "isinglass", "carmine", "shellac", "meat-fat", "raw-seafood", "fish", "crustacean", "mollusc"];

/// Where an ingredient that is called vegan says that it comes of an animal: that allergen, or that tag.
#[must_use]
pub fn against_vegan(item: &ItemNote) -> Option<&Spanned<String>> {
    if item.vegan != Some(true) {
        return None;
    }
    let animal = |tag: &str| FROM_LIVING_ANIMALS.contains(&tag) || OF_ANIMALS.contains(&tag);
    let held = item.allergens.iter().flatten().find(|t| animal(&t.value));
    held.or_else(|| item.tags.iter().find(|t| safety::tags::with_implied(&t.value).iter().any(|t| animal(t))))
}

/// What one ingredient says of diets.
struct Says {
    vegan: Option<bool>,
    vegetarian: Option<bool>,
}

fn says(item: &ItemNote) -> Says {
    let tags: BTreeSet<String> = item.tags.iter().flat_map(|t| safety::tags::with_implied(&t.value)).collect();
    let held: BTreeSet<&str> = item.allergens.iter().flatten().map(|t| t.value.as_str()).collect();
    let any = |list: &[&str]| list.iter().any(|t| tags.contains(*t) || held.contains(t));
    let (living, dead) = (any(FROM_LIVING_ANIMALS), any(OF_ANIMALS));
    Says {
        vegan: if living || dead { Some(false) } else { item.vegan },
        vegetarian: match (dead, item.vegan) {
            (true, _) => Some(false),
            (false, Some(true)) => Some(true),
            // Not vegan for a reason that a vegetarian does not mind; without a reason nobody knows.
            (false, Some(false)) if living => Some(true),
            (false, None | Some(false)) => None,
        },
    }
}

/// What a recipe holds.
#[must_use]
pub fn diet(computed: &Computed, recipe: usize) -> Diet {
    let graph = &computed.graph;
    let mut diet = Diet::default();
    let mut bears_sulphites: BTreeSet<String> = BTreeSet::new();
    // What a figure may be short of: its bearers' own widths, the widest of them taken for all.
    let mut widest = 1.0_f64;
    for index in ingredients(computed, recipe) {
        let ingredient = &graph.pantry.ingredients[index];
        let item = &ingredient.item;
        let name = &item.name.value;
        match &item.allergens {
            None => {
                diet.unknown.insert(name.clone());
            }
            Some(tags) => {
                for tag in tags.iter().flat_map(|t| with_group(&t.value)) {
                    diet.contains.entry(tag.to_owned()).or_default().insert(name.clone());
                }
            }
        }
        if ingredient.sheet.bears_sulphites || ingredient.sheet.sulphites.is_some_and(|mg| mg > 0.0) {
            bears_sulphites.insert(name.clone());
            if let Some(fact) = item.sulphites.as_ref().filter(|f| f.value > 0.0) {
                widest = widest.max(1.0 + fact.plus_minus.unwrap_or(0.0) / fact.value);
            }
        }
        diet.may_contain.extend(item.may_contain.iter().flat_map(|t| with_group(&t.value)).map(str::to_owned));
        if let Some(note) = &item.allergen_note {
            diet.remarks.insert(format!("{name}: {note}"));
        }
        let said = says(item);
        match said.vegan {
            Some(true) => {}
            Some(false) => {
                diet.not_vegan.insert(name.clone());
            }
            None => {
                diet.vegan_unknown.insert(name.clone());
            }
        }
        match said.vegetarian {
            Some(true) => {}
            Some(false) => {
                diet.not_vegetarian.insert(name.clone());
            }
            None => {
                diet.vegetarian_unknown.insert(name.clone());
            }
        }
    }
    for used in graph.closure_of_content(recipe) {
        let node = &graph.nodes[used];
        let unread = graph.notes.recipes[used].unread;
        diet.unread |= unread.mix || unread.process || unread.serve;
        diet.unread |=
            node.mix.iter().chain(&node.finish).any(Option::is_none) || node.process.iter().any(|s| s.broken);
        let gelatin = node.process.iter().any(|step| {
            step.line.process == Process::Clarify
                && step.line.parameters.iter().any(|(_, _, v)| *v == ParameterValue::Word("gelatin"))
        });
        if gelatin {
            diet.not_vegan.insert("gelatin".into());
            diet.not_vegetarian.insert("gelatin".into());
            diet.remarks
                .insert("gelatin: fish gelatin is declared as fish; the exemption is for beer and wine only".into());
        }
        let garnish = garnish(computed, used);
        if let Some(text) = &garnish.unknown {
            diet.remarks.insert(format!("garnish: the pantry does not know `{text}`; check what it holds"));
        }
        for tag in garnish.named.into_iter().flat_map(with_group) {
            let from = diet.contains.entry(tag.to_owned()).or_default();
            if from.is_empty() {
                from.insert("the garnish".into());
            }
        }
    }
    sulphites(computed, recipe, bears_sulphites, widest, &mut diet);
    if diet.unread {
        for list in [&mut diet.unknown, &mut diet.vegan_unknown, &mut diet.vegetarian_unknown] {
            list.insert("a pour that could not be read".into());
        }
    }
    diet.may_contain.retain(|tag| !diet.contains.contains_key(tag));
    let verdict = |not: &BTreeSet<String>, unknown: &BTreeSet<String>| match (not.is_empty(), unknown.is_empty()) {
        (false, _) => Some(false),
        (true, true) => Some(true),
        (true, false) => None,
    };
    diet.vegan = verdict(&diet.not_vegan, &diet.vegan_unknown);
    diet.vegetarian = verdict(&diet.not_vegetarian, &diet.vegetarian_unknown);
    diet
}

/// What one thing that is bought in holds, by its own facts; where that comes from needs no saying.
#[must_use]
pub fn of_item(item: &ItemNote) -> Diet {
    let mut diet = Diet::default();
    let name = &item.name.value;
    match &item.allergens {
        None => {
            diet.unknown.insert(name.clone());
        }
        Some(tags) => {
            for tag in tags.iter().flat_map(|t| with_group(&t.value)) {
                diet.contains.entry(tag.to_owned()).or_default();
            }
        }
    }
    diet.may_contain = item.may_contain.iter().map(|t| t.value.clone()).collect();
    diet.remarks = item.allergen_note.iter().cloned().collect();
    let said = says(item);
    (diet.vegan, diet.vegetarian) = (said.vegan, said.vegetarian);
    let mut put = |verdict: Option<bool>,
                   not: fn(&mut Diet) -> &mut BTreeSet<String>,
                   unknown: fn(&mut Diet) -> &mut BTreeSet<String>| {
        match verdict {
            Some(true) => {}
            Some(false) => {
                not(&mut diet).insert(name.clone());
            }
            None => {
                unknown(&mut diet).insert(name.clone());
            }
        }
    };
    put(said.vegan, |d| &mut d.not_vegan, |d| &mut d.vegan_unknown);
    put(said.vegetarian, |d| &mut d.not_vegetarian, |d| &mut d.vegetarian_unknown);
    diet
}

/// Total SO₂ above which sulphites are declared, mg/l (Regulation (EU) No 1169/2011 Annex II item 12; the US rule says 10 or more).
pub const SULPHITES_MOST: f64 = 10.0;

/// Sulphites are declared by how much is in the drink as it is drunk. Where a part that bears them has no figure, they are.
fn sulphites(computed: &Computed, recipe: usize, bearers: BTreeSet<String>, widest: f64, diet: &mut Diet) {
    let figure = computed.made[recipe].last().mixture.figure_sulphites();
    diet.sulphites_mg_per_l = figure.ok().filter(|mg| mg.is_finite());
    let declared = diet.contains.remove("sulphite").unwrap_or_default();
    let from: BTreeSet<String> = declared.into_iter().chain(bearers).collect();
    if from.is_empty() {
        return;
    }
    // A mix that a reading or a dilution leaves at the limit exactly is declared in the US, and not in Europe.
    let least = |mg: f64| match computed.graph.notes.house.allergens_regime.as_str() {
        "us" => mg >= SULPHITES_MOST,
        _ => mg > SULPHITES_MOST,
    };
    match diet.sulphites_mg_per_l {
        Some(mg) if !least(mg * widest) => {
            diet.remarks.insert(format!(
                "sulphites: what {} brings is, by the pantry's figures, not above the {SULPHITES_MOST:.0} mg/l from which they are declared",
                from.into_iter().collect::<Vec<_>>().join(", ")
            ));
        }
        _ => {
            diet.contains.insert("sulphite".into(), from);
        }
    }
}

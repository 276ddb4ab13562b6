//! Allergens and diet: what an ingredient holds is in everything made of it. Unknown is never "none".

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::safety;
use crate::notebook::pantry::ItemNote;
use crate::notebook::process_line::ParameterValue;
use crate::process::Process;
use crate::recipe::names::{Target, key};
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

/// A garnish, as far as the pantry knows it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Garnish {
    /// Ingredients of the pantry that it names.
    pub known: Vec<Target>,
    /// The garnish, where it names none of them.
    pub unknown: Option<String>,
    /// Allergens whose own word stands in it.
    pub named: Vec<&'static str>,
}

/// Words that part the pieces of a garnish.
const PARTING: &[&str] = &["and", "or", "with", "plus", "on", "in"];
/// Words of things that a garnish is made of and that hold an allergen, beside the lists' own words.
const HOLDING: &[(&str, &str)] = &[
    ("cream", "milk"),
    ("cheese", "milk"),
    ("butter", "milk"),
    ("prawn", "crustacean"),
    ("shrimp", "crustacean"),
    ("crab", "crustacean"),
    ("oyster", "mollusc"),
    ("clam", "mollusc"),
    ("anchovy", "fish"),
    ("wafer", "gluten-cereal"),
    ("biscuit", "gluten-cereal"),
    ("soy", "soya"),
];

/// What the garnish of a recipe is made of: in each piece of it the longest names of the pantry count.
#[must_use]
pub fn garnish(computed: &Computed, recipe: usize) -> Garnish {
    let graph = &computed.graph;
    let mut found = Garnish::default();
    let Some(text) = &graph.notes.recipes[recipe].serve.garnish else { return found };
    if text.value.trim().eq_ignore_ascii_case("none") {
        return found;
    }
    let mut pieces: Vec<Vec<&str>> = vec![Vec::new()];
    for word in text.value.split_whitespace() {
        let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
        if PARTING.contains(&bare) {
            pieces.push(Vec::new());
        } else if let Some(last) = pieces.last_mut().filter(|_| !bare.is_empty()) {
            last.push(bare);
            if word.ends_with([',', ';', ')']) {
                pieces.push(Vec::new());
            }
        }
    }
    for words in pieces.into_iter().filter(|p| !p.is_empty()) {
        let mut from = 0;
        while from < words.len() {
            let longest =
                (from + 1..=words.len()).rev().find_map(|to| match graph.names.get(&words[from..to].join(" ")) {
                    Some(target @ Target::Ingredient(_)) => Some((to, target)),
                    _ => None,
                });
            match longest {
                Some((to, target)) => {
                    found.known.push(target);
                    from = to;
                }
                None => from += 1,
            }
        }
        for word in words.iter().map(|w| key(w)) {
            found.named.extend(DECLARED.iter().copied().filter(|tag| *tag == word));
            found.named.extend(HOLDING.iter().filter(|(thing, _)| *thing == word).map(|(_, tag)| *tag));
        }
    }
    if found.known.is_empty() {
        found.unknown = Some(text.value.clone());
    }
    found.known.sort();
    found.known.dedup();
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

/// The words for an allergen tag, as the lists call it.
#[must_use]
pub fn word(tag: &str) -> &str {
    match tag {
        "gluten-cereal" => "cereals containing gluten",
        "crustacean" => "crustaceans",
        "egg" => "eggs",
        "peanut" => "peanuts",
        "tree-nut" => "nuts",
        "brazil-nut" => "Brazil nuts",
        "pine-nut" => "pine nuts",
        "sulphite" => "sulphites",
        "mollusc" => "molluscs",
        other => other,
    }
}

/// What a recipe contains, in one line; `None` where nothing is declared and nothing unknown.
#[must_use]
pub fn contains_words(diet: &Diet) -> Option<String> {
    let mut words: Vec<&str> = diet.contains.keys().map(|t| word(t)).collect();
    if !diet.unknown.is_empty() {
        words.push("some of it unknown");
    }
    (!words.is_empty()).then(|| format!("contains {}", words.join(", ")))
}

/// A list by which allergens are declared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Regime {
    /// European Union.
    Eu,
    /// United Kingdom, whose list is the European one as retained.
    Uk,
    /// United States: nine major allergens, and sulphites by their own rule.
    Us,
}

/// A declared allergen by one list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Declared {
    /// Its tag.
    pub tag: String,
    /// What that list calls it.
    pub word: String,
    /// Ingredients that bring it.
    pub from: Vec<String>,
}

/// What one list asks to be declared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Declaration {
    /// On the list.
    pub contains: Vec<Declared>,
    /// On the list, as traces.
    pub may_contain: Vec<String>,
    /// Held, but on another list only: worth a word to a guest who asks.
    pub other_lists: Vec<Declared>,
    /// Ingredients whose allergens nobody stated: with these nothing can be called free of anything.
    pub unknown: Vec<String>,
}

impl Regime {
    /// Every list.
    pub const ALL: [Regime; 3] = [Regime::Eu, Regime::Uk, Regime::Us];

    /// Its code in house.yaml.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Eu => "eu",
            Self::Uk => "uk",
            Self::Us => "us",
        }
    }

    /// The list of a code; the European one where the code is another.
    #[must_use]
    pub fn of(code: &str) -> Self {
        Self::ALL.into_iter().find(|r| r.code() == code).unwrap_or(Self::Eu)
    }

    /// Its name in a sentence.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Eu => "the fourteen of the European list",
            Self::Uk => "the fourteen of the British list",
            Self::Us => "the nine of the United States list, and sulphites",
        }
    }

    /// Who says so.
    #[must_use]
    pub fn source(self) -> &'static str {
        match self {
            Self::Eu => "Regulation (EU) No 1169/2011, Annex II",
            Self::Uk => "Regulation (EU) No 1169/2011, Annex II, as retained in the United Kingdom",
            Self::Us => {
                "US FD&C Act s.201(qq) (FALCPA 2004, FASTER Act 2021); FDA, Questions and Answers Regarding Food Allergens, Ed. 5, Jan 2025 (through summaries); 27 CFR 4.32(e) for sulfites"
            }
        }
    }

    /// What the list calls a tag; `None` where it is not on it.
    #[must_use]
    pub fn word(self, tag: &str) -> Option<&str> {
        match (self, tag) {
            (Self::Eu | Self::Uk, "pine-nut") | (Self::Us, "celery" | "mustard" | "lupin" | "mollusc") => None,
            (Self::Us, "gluten-cereal") => {
                Some("wheat, if that is the cereal (barley, rye and oats are not on this list)")
            }
            (Self::Us, "crustacean") => Some("crustacean shellfish (name the species)"),
            (Self::Us, "fish") => Some("fish (name the species)"),
            (Self::Us, "soya") => Some("soybeans"),
            (Self::Us, "sulphite") => Some("sulfites"),
            (Self::Us, "tree-nut") => Some("tree nuts"),
            (_, tag) => DECLARED.contains(&tag).then(|| word(tag)),
        }
    }
}

/// What a list asks to be declared of a recipe.
#[must_use]
pub fn declaration(diet: &Diet, regime: Regime) -> Declaration {
    let declared = |tag: &str, from: &BTreeSet<String>, word: &str| Declared {
        tag: tag.to_owned(),
        word: word.to_owned(),
        from: from.iter().cloned().collect(),
    };
    let mut out = Declaration {
        contains: Vec::new(),
        may_contain: Vec::new(),
        other_lists: Vec::new(),
        unknown: diet.unknown.iter().cloned().collect(),
    };
    for (tag, from) in &diet.contains {
        // Pine nuts are nuts by the list of the United States only.
        let only_pine = tag == "tree-nut" && diet.contains.get("pine-nut") == Some(from) && regime != Regime::Us;
        match regime.word(tag).filter(|_| !only_pine) {
            Some(word) => out.contains.push(declared(tag, from, word)),
            None if !only_pine => out.other_lists.push(declared(tag, from, word(tag))),
            None => {}
        }
    }
    out.may_contain = diet.may_contain.iter().filter_map(|t| regime.word(t)).map(str::to_owned).collect();
    out
}

/// What may be said about gluten, in a sentence without a full stop.
#[must_use]
pub fn gluten(diet: &Diet) -> String {
    let list = |names: &BTreeSet<String>| names.iter().cloned().collect::<Vec<_>>().join(", ");
    match diet.contains.get("gluten-cereal") {
        Some(from) => format!("contains gluten, from {}; name the cereal", list(from)),
        None if diet.may_contain.contains("gluten-cereal") => "may contain traces of gluten".into(),
        None if !diet.unknown.is_empty() => {
            format!("unknown, because nobody stated the allergens of {}", list(&diet.unknown))
        }
        None => "no ingredient declares a cereal containing gluten; distillates of cereals are exempt, and none of this is a promise of gluten-free".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn holding(tags: &[&str]) -> Diet {
        let mut diet = Diet::default();
        for tag in tags.iter().flat_map(|t| with_group(t)) {
            diet.contains.entry(tag.to_owned()).or_default().insert("it".into());
        }
        diet
    }

    #[test]
    fn each_list_declares_its_own() {
        let tags = |diet: &Diet, regime| {
            declaration(diet, regime).contains.into_iter().map(|d| d.tag).collect::<Vec<_>>().join(" ")
        };
        let all = holding(&["celery", "mollusc", "lupin", "mustard", "milk", "sesame"]);
        assert_eq!(tags(&all, Regime::Eu), "celery lupin milk mollusc mustard sesame");
        assert_eq!(tags(&all, Regime::Uk), tags(&all, Regime::Eu));
        assert_eq!(tags(&all, Regime::Us), "milk sesame");
        let pine = holding(&["pine-nut"]);
        assert_eq!((tags(&pine, Regime::Eu).as_str(), tags(&pine, Regime::Us).as_str()), ("", "pine-nut tree-nut"));
        assert_eq!(declaration(&pine, Regime::Eu).other_lists.len(), 1);
        assert_eq!(tags(&holding(&["almond"]), Regime::Eu), "almond tree-nut");
    }

    #[test]
    fn nothing_declared_is_no_promise() {
        assert!(
            gluten(&Diet::default()).contains("no promise")
                || gluten(&Diet::default()).contains("none of this is a promise")
        );
        let unknown = Diet { unknown: BTreeSet::from(["the tincture".into()]), ..Diet::default() };
        assert!(gluten(&unknown).starts_with("unknown"));
    }
}

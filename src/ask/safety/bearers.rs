//! What a name says of itself: `olive oil` is an oil and `rosemary sprigs` a fresh herb, whatever tags their writer gave them.
//!
//! In: a name of the pantry, a garnish or a method. Out: the tags that it points to, and how surely. The table is ours; its tags
//! and their typical bearers are those of `hazard_tags.csv`. Plants and things that poison, burn or freeze are borne by their name
//! alone. Of everything else the writer is asked, because a name misleads: `oyster mushroom`, `almond milk`, `cream of tartar`.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::LazyLock;

use deunicode::deunicode;
use serde::Deserialize;

use super::tags;
use crate::notebook::pantry::ItemNote;
use crate::process::Process;
use crate::recipe::names::singular;

const TABLE: &str = include_str!("bearers.csv");

/// How surely a name bears a tag.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// The name is enough: the tag is borne.
    Bear,
    /// The writer is warned that the tag is missing.
    Warning,
    /// The writer is told.
    Note,
}

/// Where in a name the words must stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum At {
    /// Anywhere: what is made of it has it too.
    Any,
    /// At its end, where English puts the thing itself: garlic is in `black garlic`, not in `garlic salt`.
    Head,
    /// In a method, which speaks of what is done: a tag, or `process:smoke` for a line that `process` should hold.
    Method,
    /// In a garnish alone.
    Garnish,
}

#[derive(Deserialize)]
struct Written {
    names: String,
    at: At,
    tags: String,
    weight: Weight,
    unless: String,
}

#[derive(Debug)]
struct Row {
    tags: Vec<&'static str>,
    weight: Weight,
    unless: BTreeSet<String>,
}

#[derive(Debug, Default)]
struct Table {
    rows: Vec<Row>,
    any: BTreeMap<String, Vec<usize>>,
    head: BTreeMap<String, Vec<usize>>,
    method: BTreeMap<String, Vec<usize>>,
    garnish: BTreeMap<String, Vec<usize>>,
    /// Most words of one name.
    longest: usize,
}

/// A tag that a text points to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// The tag.
    pub tag: &'static str,
    /// How surely.
    pub weight: Weight,
    /// Where in the text the words stand, in bytes.
    pub at: Range<usize>,
}

/// Words for a piece of something, or the state it is in: `rosemary sprigs, chopped` is rosemary.
const PARTS: &[&str] = &[
    "leaf", "sprig", "clove", "bulb", "root", "rhizome", "peel", "zest", "twist", "flesh", "slice", "wedge", "wheel",
    "strip", "piece", "chunk", "half", "quarter", "ribbon", "stick", "needle", "top", "frond", "flower", "petal",
    "blossom", "head", "bud", "powder", "pod", "berry", "chopped", "crushed", "grated", "ground", "whole", "fresh",
    "raw", "dried", "smoked", "toasted", "roasted", "dust", "chip", "shaving", "flake", "stirrer", "twig", "branch",
    "bark", "herb", "garnish", "paste", "granule", "salt",
];
/// Words that `of` puts before what they are made of.
const TURNED: &[&str] = &["oil", "syrup", "tincture", "extract", "essence", "liqueur", "juice"];
/// Words that part a name into things of their own.
const PARTING: &[&str] = &["in", "with", "and", "or", "from", "on", "over", "plus", "for", "under"];
/// What good ice is said to be.
const OF_ICE: &[&str] = &["hard", "clear", "cold", "clean", "fresh", "big", "good", "firm", "very"];
/// Words before which something is spoken of and not used.
const DENYING: &[&str] =
    &["no", "not", "never", "without", "avoid", "don", "nor", "neither", "instead", "like", "than"];

fn build(text: &'static str) -> Result<Table, String> {
    let mut table = Table::default();
    for row in csv::Reader::from_reader(text.as_bytes()).into_deserialize::<Written>() {
        let row = row.map_err(|e| e.to_string())?;
        let mut found = Vec::new();
        for tag in row.tags.split(';') {
            let process = tag.strip_prefix("process:").and_then(Process::from_name).map(Process::name);
            let known = tags::get(tag).map(|t| t.tag.as_str()).or(process);
            found.push(known.ok_or_else(|| format!("`{tag}` is no tag"))?);
        }
        let index = table.rows.len();
        table.rows.push(Row { tags: found, weight: row.weight, unless: plain(&row.unless).into_iter().collect() });
        for name in row.names.split(';') {
            let words = plain(name);
            if words.is_empty() {
                return Err(format!("an empty name in `{}`", row.names));
            }
            table.longest = table.longest.max(words.len());
            let list = match row.at {
                At::Any => &mut table.any,
                At::Head => &mut table.head,
                At::Method => &mut table.method,
                At::Garnish => &mut table.garnish,
            };
            list.entry(words.join(" ")).or_default().push(index);
        }
    }
    Ok(table)
}

fn table() -> &'static Table {
    // The table is part of the program: a fault in it is a bug that `every_row_can_be_used` catches.
    static ROWS: LazyLock<Table> = LazyLock::new(|| build(TABLE).unwrap_or_default());
    &ROWS
}

/// A word as the table compares it, and where it stands.
struct Word {
    word: String,
    at: Range<usize>,
    /// Whether a comma or bracket stands before it, so that another phrase begins.
    parted: bool,
}

fn compared(word: &str) -> String {
    let word = singular(&deunicode(word).to_lowercase());
    // Irregular plurals of the words that matter.
    match word.as_str() {
        "leave" => "leaf".into(),
        "chilly" | "chily" | "chillie" => "chilli".into(),
        "halve" => "half".into(),
        _ => word,
    }
}

fn plain(text: &str) -> Vec<String> {
    words(text).into_iter().map(|w| w.word).collect()
}

fn words(text: &str) -> Vec<Word> {
    let mut list = Vec::new();
    let mut from: Option<usize> = None;
    let mut parted = false;
    for (i, c) in text.char_indices().chain(std::iter::once((text.len(), ' '))) {
        match (c.is_alphanumeric(), from) {
            (true, None) => from = Some(i),
            (false, Some(start)) => {
                list.push(Word { word: compared(&text[start..i]), at: start..i, parted });
                parted = false;
                from = None;
            }
            _ => {}
        }
        if !c.is_alphanumeric() && matches!(c, ',' | ';' | '(' | ')' | '/' | ':' | '+' | '&') {
            parted = true;
        }
    }
    list
}

/// Every tag that a name points to.
#[must_use]
pub fn of_name(name: &str) -> Vec<Named> {
    let table = table();
    let all = words(name);
    let mut found = anywhere(&table.any, &all);
    let mut start = 0;
    for end in 1..=all.len() {
        let ends = all.get(end).is_none_or(|w| w.parted || PARTING.contains(&w.word.as_str()));
        if ends {
            found.extend(head(table, &all, start..end));
            start = end;
        }
    }
    settled(found)
}

/// Tags of an ingredient, with all that they imply: its writer's, and those that its names are enough for. What is called oleander
/// is oleander, whatever its writer says; of a longer name the writer may say what it is not.
#[must_use]
pub fn of_item(item: &ItemNote) -> BTreeSet<String> {
    let mut found: BTreeSet<&str> = item.tags.iter().map(|t| t.value.as_str()).collect();
    found.extend(tags::named(&item.name.value));
    for named in missing(item) {
        // Gin without a strength is still alcohol.
        let unstated = FOR_STRENGTH.contains(&named.tag) && item.abv.is_none();
        if named.weight == Weight::Bear || unstated {
            found.insert(named.tag);
        }
    }
    found.into_iter().flat_map(tags::with_implied).collect()
}

/// Tags that let a rule see alcohol whose strength nobody stated: with a strength they say nothing new.
pub const FOR_STRENGTH: &[&str] = &["alcohol", "bitters", "vanilla-extract"];

/// Tags that an ingredient's names point to, and that its writer neither gave it nor denied.
#[must_use]
pub fn missing(item: &ItemNote) -> Vec<Named> {
    let has: BTreeSet<String> = item.tags.iter().flat_map(|t| tags::with_implied(&t.value)).collect();
    // Quinine within its maker's control is no salt to be dosed, and no bark.
    let controlled = |tag: &str| has.contains("quinine") && ["quinine-salt", "cinchona"].contains(&tag);
    let answered = |tag: &str| has.contains(tag) || controlled(tag) || item.is_not.iter().any(|t| t.value == tag);
    let names = std::iter::once(&item.name).chain(&item.also);
    let all = names.flat_map(|name| of_name(&name.value)).filter(|n| !answered(n.tag));
    let mut list: Vec<Named> = Vec::new();
    for named in all {
        // What another found tag implies needs no saying.
        if !list.iter().any(|n| n.tag == named.tag) {
            list.push(named);
        }
    }
    let implied: BTreeSet<String> =
        list.iter().flat_map(|n| tags::with_implied(n.tag).into_iter().filter(|t| t != n.tag)).collect();
    list.retain(|n| !implied.contains(n.tag));
    list
}

/// Every tag that a garnish points to.
#[must_use]
pub fn of_garnish(text: &str) -> Vec<Named> {
    let mut found = anywhere(&table().garnish, &words(text));
    found.extend(of_name(text));
    settled(found)
}

/// Every tag that a method's words point to surely, or that only a method can speak of, and processes that it speaks of by their
/// name; what is denied is not meant.
#[must_use]
pub fn of_method(text: &str) -> Vec<Named> {
    let table = table();
    let all = words(text);
    let mut found = anywhere(&table.method, &all);
    found.extend(anywhere(&table.any, &all).into_iter().filter(|n| n.weight == Weight::Bear));
    found.retain(|named| {
        let Some(first) = all.iter().position(|w| w.at.start == named.at.start) else { return true };
        let before = &all[first.saturating_sub(4)..first];
        // Ice may be dry, as cold ice is: `hard, dry ice`.
        let of_ice = named.tag == "dry-ice" && before.last().is_some_and(|w| OF_ICE.contains(&w.word.as_str()));
        !of_ice && !before.iter().any(|w| DENYING.contains(&w.word.as_str()))
    });
    settled(found)
}

/// Each tag once, where it stands first.
fn settled(mut found: Vec<Named>) -> Vec<Named> {
    found.sort_by(|a, b| (a.tag, a.weight, a.at.start).cmp(&(b.tag, b.weight, b.at.start)));
    found.dedup_by(|later, first| later.tag == first.tag);
    found
}

fn named(table: &Table, rows: &[usize], all: &[Word], at: Range<usize>) -> Vec<Named> {
    let meant = rows.iter().map(|r| &table.rows[*r]).filter(|row| {
        // What takes it away stands close by; a method is long.
        let near = &all[at.start.saturating_sub(6)..all.len().min(at.end + 6)];
        !near.iter().any(|w| row.unless.contains(&w.word))
    });
    let bytes = all[at.start].at.start..all[at.end - 1].at.end;
    meant
        .flat_map(|row| row.tags.iter().map(|tag| (*tag, row.weight)))
        .map(|(tag, weight)| Named { tag, weight, at: bytes.clone() })
        .collect()
}

fn anywhere(list: &BTreeMap<String, Vec<usize>>, all: &[Word]) -> Vec<Named> {
    let table = table();
    let mut found = Vec::new();
    for from in 0..all.len() {
        for to in from + 1..=all.len().min(from + table.longest) {
            if to > from + 1 && all[to - 1].parted {
                break;
            }
            let phrase = joined(&all[from..to]);
            if let Some(rows) = list.get(&phrase) {
                found.extend(named(table, rows, all, from..to));
            }
        }
    }
    found
}

fn joined(words: &[Word]) -> String {
    words.iter().map(|w| w.word.as_str()).collect::<Vec<_>>().join(" ")
}

/// What the end of a phrase says: the longest name there counts, then the same without words for a piece of it.
fn head(table: &Table, all: &[Word], phrase: Range<usize>) -> Vec<Named> {
    let mut end = phrase.end;
    // `oil of bergamot` is bergamot oil; `leaves of rosemary` are rosemary, which stands at the end already.
    let of = (phrase.start + 1..end).find(|i| all[*i].word == "of" && TURNED.contains(&all[*i - 1].word.as_str()));
    if let Some(of) = of {
        for from in of + 1..=end {
            let turned = format!("{} {}", joined(&all[from..end]), all[of - 1].word);
            if let Some(rows) = table.head.get(turned.trim()) {
                return named(table, rows, all, of - 1..end);
            }
        }
        return Vec::new();
    }
    while end > phrase.start {
        for from in phrase.start.max(end.saturating_sub(table.longest))..end {
            if let Some(rows) = table.head.get(&joined(&all[from..end])) {
                let found = named(table, rows, all, from..end);
                if !found.is_empty() {
                    return found;
                }
            }
        }
        if !PARTS.contains(&all[end - 1].word.as_str()) {
            break;
        }
        end -= 1;
    }
    Vec::new()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(name: &str) -> String {
        of_name(name).iter().map(|n| n.tag).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn every_row_can_be_used() {
        let table = build(TABLE).expect("a sound table");
        assert_eq!(table.rows.len(), TABLE.lines().count() - 1);
    }

    #[test]
    fn every_typical_bearer_is_known_by_its_name() {
        // What the table of tags writes in short, in full. Without words it is not told by its name: a colour or a fining that some
        // products hold, a drink that some yeast is in.
        const IN_FULL: &[(&str, &str, &str)] = &[
            ("aspartame", "some diet mixers", ""),
            ("azo-colour", "some syrups and liqueurs", ""),
            ("bitters", "aromatic", "aromatic bitters"),
            ("buckthorn", "cascara", "cascara sagrada"),
            ("carmine", "some red bitter aperitifs and syrups", ""),
            ("coconut", "cream", "coconut cream"),
            ("coconut", "water", "coconut water"),
            ("coconut", "oil", "coconut oil"),
            ("dried-herb", "oregano", "dried oregano"),
            ("edible-flower", "borage", "borage flower"),
            ("edible-flower", "rose petals grown for food", "rose petals"),
            ("essential-oil", "orange", "orange oil"),
            ("essential-oil", "rose and bergamot oil", "rose oil"),
            ("foraged", "berries", "wild berries"),
            ("foraged", "mushrooms", "wild mushrooms"),
            ("fresh-juice", "lime", "lime juice"),
            ("fresh-juice", "lemon", "lemon juice"),
            ("fresh-juice", "orange", "orange juice, freshly squeezed"),
            ("fresh-juice", "watermelon", "watermelon juice"),
            ("gentian", "tincture", "gentian tincture"),
            ("isinglass", "some wines", ""),
            ("liquorice", "extract", "liquorice extract"),
            ("not-food-grade", "gums and gases", "technical gums"),
            ("oil", "olive", "olive oil"),
            ("oleander", "leaf", "oleander leaf"),
            ("oleander", "stirrer", "oleander stirrer"),
            ("plant-milk", "oat", "oat drink"),
            ("plant-milk", "soya", "soya drink"),
            ("plant-milk", "almond", "almond drink"),
            ("shellac", "glazed fruit", ""),
            ("tobacco", "leaf", "tobacco leaf"),
            ("vanilla-extract", "vanilla", "vanilla extract"),
            ("wormwood", "tincture", "wormwood tincture"),
            ("yew-berry", "yew", "yew berries"),
        ];
        let mut lost = Vec::new();
        for tag in tags::all().values().filter(|t| t.on == tags::On::Ingredient) {
            for typical in tag.typical.split(',').map(str::trim).filter(|t| !t.is_empty() && *t != "-") {
                let full =
                    IN_FULL.iter().find(|(t, short, _)| *t == tag.tag && *short == typical).map(|(_, _, full)| *full);
                if full == Some("") {
                    continue;
                }
                let borne =
                    of_name(full.unwrap_or(typical)).iter().any(|n| tags::with_implied(n.tag).contains(&tag.tag));
                if !borne {
                    lost.push(format!("{}: {typical} ({})", tag.tag, of(typical)));
                }
            }
        }
        assert!(lost.is_empty(), "{}", lost.join("\n"));
    }

    #[test]
    fn a_thing_is_known_by_the_end_of_its_name() {
        for (name, tags) in [
            ("olive oil", "oil"),
            ("Rosemary sprigs", "fresh-herb"),
            ("fresh rosemary, chopped", "fresh-herb"),
            ("leaves of rosemary", "fresh-herb"),
            ("rosemary syrup", ""),
            ("garlic in olive oil", "garlic oil"),
            ("garlic salt", ""),
            ("almond milk", "nut-milk"),
            ("cream of tartar", ""),
            ("oyster mushroom", "mushroom"),
            ("coconut cream", "coconut plant-milk"),
            ("magic mushrooms", "wild-mushroom"),
            ("peanut butter", "nut"),
            ("lemongrass", "fresh-herb"),
            ("oil of bergamot", "essential-oil"),
            ("pasteurised egg white", "egg"),
            ("chamomile tea", ""),
            ("cherry blossom syrup", ""),
        ] {
            assert_eq!(of(name), tags, "{name}");
        }
    }

    #[test]
    fn poisons_are_known_wherever_they_stand_in_a_name() {
        for (name, tag) in [
            ("lily of the valley sprig", "lily-of-the-valley"),
            ("syrup of foxglove leaves", "foxglove"),
            ("apricot kernels, cracked", "apricot-kernel"),
            ("pipe tobacco", "tobacco"),
            ("a yew twig", "yew"),
            ("Queen Anne’s lace", "wild-carrot"),
        ] {
            let found = of_name(name);
            assert!(found.iter().any(|n| n.tag == tag && n.weight == Weight::Bear), "{name}: {found:?}");
        }
        for name in
            ["lily", "sea buckthorn", "ground ivy", "grape hyacinth", "honeydew", "tiger lily petals", "eyewash"]
        {
            assert!(of_name(name).iter().all(|n| n.weight != Weight::Bear), "{name}");
        }
    }

    #[test]
    fn what_a_method_denies_is_not_meant() {
        let of = |text| of_method(text).iter().map(|n| n.tag).collect::<Vec<_>>().join(" ");
        assert_eq!(of("Drop a pellet of dry ice into the jug."), "dry-ice");
        assert_eq!(of("Never use dry ice here."), "");
        assert_eq!(of("Pour over ice; garnish with oleander."), "oleander");
        assert_eq!(of("Warm the spoon, set alight and pour."), "flaming");
        assert_eq!(of("Trap smoke from a smoking gun under a cloche."), "smoke");
        assert_eq!(of("Light the rum in the lime shell."), "flaming");
        assert_eq!(of("Stir with ice for a dry drink."), "");
        assert_eq!(of("Fill with hard, dry ice."), "");
    }
}

//! From a computed recipe to what a note's template is given. Public figures only: computed without readings, nothing of
//! an unpublished recipe but its name, allergens and cautions, nothing that only the house sees.

use serde_json::Value;

use super::data;
use super::{captions, shots};
use crate::ask::diet::{self, Diet};
use crate::ask::equipment::{Need, equipment};
use crate::ask::safety::rules::Show;
use crate::ask::safety::{Hazard, Severity, Survey};
use crate::ask::swap::{self, Swap};
use crate::measure::show;
use crate::notebook::keeping::Keeping;
use crate::notebook::pour::{PourLine, Role};
use crate::notebook::recipe_note::Makes;
use crate::press::amount::{Amount, TakenIn, amounts, behind, manner, systems, taken_in};
use crate::press::words::Words;
use crate::press::{card, film, structured};
use crate::process::Process;
use crate::recipe::graph::{Measure, Pour};
use crate::recipe::names::Target;
use crate::recipe::run::{Computed, Poured};
use crate::relation::standard_drink::REGIMES;

/// The house.
pub(super) fn house(computed: &Computed, words: &Words) -> data::House {
    let house = &computed.graph.notes.house;
    data::House {
        name: house.name.clone(),
        address: house.site_address.as_ref().map(|a| a.value.clone()),
        credit: house.site_credit.clone(),
        language: structured::language(computed),
        links: house.publishing.links.iter().map(|l| l.value.clone()).collect(),
        colours: data::Colours {
            paper: house.colours.paper.hex(),
            ink: house.colours.ink.hex(),
            accent: house.colours.accent.hex(),
        },
        caution: words.say("base.caution"),
        alcohol: words.say("base.alcohol"),
    }
}

/// A list in words: `a`, `a and b`, `a, b and c`.
pub(super) fn and(words: &Words, list: &[String]) -> String {
    match list {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => words.with("said.and", &[("first", &rest.join(", ")), ("second", last)]),
    }
}

/// The word for an allergen tag.
fn allergen(words: &Words, tag: &str) -> String {
    words.find(&format!("allergen.{tag}")).map_or_else(|| diet::word(tag).to_owned(), str::to_owned)
}

/// A thing with its article: `a coupe`, `an old tin mug`; one that was written with an article keeps it.
fn article(words: &Words, thing: &str) -> String {
    let lower = thing.to_lowercase();
    if words.speaks("en") && ["a ", "an ", "the "].iter().any(|a| lower.starts_with(a)) {
        return thing.to_owned();
    }
    let vowel = lower.starts_with(['a', 'e', 'i', 'o']);
    words.with(if vowel { "said.an" } else { "said.a" }, &[("thing", thing)])
}

/// What a thing that is needed is called.
fn called(words: &Words, need: &Need) -> String {
    let of = need.of.as_deref().unwrap_or_default();
    let of = if need.what == "glass" { article(words, of) } else { words.phrase(of) };
    let made = words.phrase(need.made.unwrap_or_default());
    words.with(&format!("need.{}", need.what), &[("of", &of), ("made", &made)])
}

/// Everything about a published recipe.
pub(super) fn recipe(computed: &Computed, recipe: usize, survey: &Survey, words: &Words) -> data::Recipe {
    let notes = &computed.graph.notes;
    let note = &notes.recipes[recipe];
    let made = &computed.made[recipe];
    let body = structured::body(computed, recipe);
    let held = survey.diet(recipe);
    let steps: Vec<data::Step> = structured::steps(computed, recipe, words)
        .into_iter()
        .enumerate()
        .map(|(i, text)| data::Step { number: i + 1, short: short(&text), text })
        .collect();
    let stage = if made.served.is_some() { made.last() } else { made.batch() };
    let abv = stage.mixture.figure_abv();
    let alcohol = match &abv {
        Ok(v) if *v > 0.0 => "yes",
        Ok(_) => "no",
        Err(_) => "unknown",
    };
    let serve = serve(computed, recipe, words);
    let structured_data = structured::recipe(computed, recipe, words);
    let pretty = |value: &Value| serde_json::to_string_pretty(value).unwrap_or_default();
    let film = note.film.as_ref().map(|f| data::Film {
        address: f.address.as_ref().map(|a| a.value.clone()),
        date: f.date.map(|d| d.to_string()),
        length: f.length.map(film::clock),
        chapters: captions::chapters(f),
        captions: captions::cues(f, &steps),
    });
    let picture = note.picture.as_ref().map(|p| {
        let file = p.file.value.replace('\\', "/");
        data::Picture {
            alt: p.alt.as_ref().map_or_else(String::new, |a| a.value.clone()),
            address: structured::whole_address(computed, &format!("media/{file}")),
            file,
        }
    });
    let card_alt = structured::card_words(computed, recipe, words);
    let ingredients = ingredients(computed, recipe, words);
    data::Recipe {
        name: note.name.value.clone(),
        slug: computed.graph.nodes[recipe].slug.clone(),
        makes: words.say(if note.makes == Makes::Prep { "word.prep" } else { "word.drink" }),
        family: note.family.as_ref().map(|f| f.value.clone()),
        version: note.version.clone(),
        tags: note.tags.iter().map(|t| t.value.clone()).collect(),
        summary: structured::description(computed, recipe, words),
        intro: paragraphs(&body.lead_text),
        page: structured::page_address(computed, recipe),
        yields: structured::makes(computed, recipe, words),
        yields_line: yields_line(computed, recipe, words),
        strength: abv.as_ref().ok().map(|v| show::strength(*v)),
        alcohol: alcohol.into(),
        alcohol_line: alcohol_line(alcohol, words),
        strength_line: strength_line(computed, recipe, serve.as_ref(), words),
        serve,
        preps: preps(computed, recipe, words),
        equipment: equipment(computed, recipe).iter().map(|n| called(words, n)).collect(),
        shots: shots::shots(computed, recipe, &steps, words),
        steps,
        allergens: allergens(&held, words),
        cautions: cautions(survey, recipe, words),
        keeps: note.keeps.iter().map(|k| keeping(k, words)).collect(),
        film,
        alt: data::Alt { picture: picture.as_ref().map(|p| p.alt.clone()).filter(|a| !a.is_empty()), card: card_alt },
        picture,
        swaps: swaps(computed, recipe, words),
        structured: pretty(&structured_data),
        share: structured::share(computed, recipe, words)
            .into_iter()
            .map(|(property, content)| data::Property { property: property.into(), content })
            .collect(),
        card: card::card(computed, recipe, words),
        ingredients,
    }
}

fn paragraphs(text: &str) -> Vec<String> {
    text.split("\n\n").map(|p| p.trim().to_owned()).filter(|p| !p.is_empty()).collect()
}

/// Longest step in short, characters.
const SHORT: usize = 140;
/// Words whose full stop ends no sentence.
const ABBREVIATED: &[&str] = &["no", "approx", "ca", "c", "e.g", "i.e", "vs", "max", "min"];

/// Where the sentences of a line end.
fn ends(line: &str) -> impl Iterator<Item = usize> + '_ {
    line.match_indices(['.', '!', '?']).filter_map(|(at, mark)| {
        let mut after = line[at + 1..].chars();
        let space = after.next().is_some_and(char::is_whitespace);
        let capital = after.find(|c| !c.is_whitespace()).is_some_and(|c| !c.is_lowercase());
        let word = line[..at].rsplit(char::is_whitespace).next().unwrap_or("").to_lowercase();
        (space && capital && !ABBREVIATED.contains(&word.as_str())).then_some(at + mark.len())
    })
}

/// A step in short: as many of its sentences as fit, the first in any case.
fn short(text: &str) -> String {
    let line = text.split('\n').next().unwrap_or(text);
    if line.chars().count() <= SHORT {
        return line.to_owned();
    }
    let first = ends(line).next().unwrap_or(line.len());
    let last = ends(line).take_while(|end| line[..*end].chars().count() <= SHORT).last();
    line[..last.unwrap_or(first)].trim().to_owned()
}

/// `7 days at 4 °C, sealed`.
fn keeping(keep: &Keeping, words: &Words) -> String {
    let shown = show::hours(keep.hours);
    let (number, unit) = shown.split_once(' ').unwrap_or((&shown, ""));
    let (one, other) = match unit {
        "d" => ("said.keeps_day_one", "said.keeps_day_other"),
        "h" => ("said.keeps_hour_one", "said.keeps_hour_other"),
        "min" => ("said.keeps_minute_one", "said.keeps_minute_other"),
        _ => ("said.keeps_second_one", "said.keeps_second_other"),
    };
    let time = words.with(if number == "1" { one } else { other }, &[("n", number)]);
    let at = keep.at_c.map_or_else(String::new, |c| {
        let temperature = show::temperature(c).replace('-', "−");
        format!(" {}", words.with("keeping.at", &[("temperature", &temperature)]))
    });
    let closed =
        [("sealed", "said.sealed"), ("vented", "said.vented"), ("open", "said.open"), ("opened", "said.opened")];
    let closed = closed.iter().find(|(written, _)| keep.text.ends_with(written));
    let closed = closed.map_or_else(String::new, |(_, key)| format!(", {}", words.say(key)));
    format!("{time}{at}{closed}")
}

fn serve(computed: &Computed, recipe: usize, words: &Words) -> Option<data::Serve> {
    let note = &computed.graph.notes.recipes[recipe];
    let made = &computed.made[recipe];
    let served = made.served.as_ref()?;
    let glass = &made.last().mixture;
    let known = made.batch().mixture.figure_volume().is_ok();
    let regime = REGIMES.iter().find(|r| r.code == computed.graph.notes.house.drinks_regime);
    Some(data::Serve {
        volume: glass.figure_volume().ok().map(show::volume),
        poured: served.pour_ml.map(show::volume),
        count: known.then(|| served.count.to_string()),
        glass: note.serve.glass.as_ref().map(|g| g.value.clone()),
        line: serve_line(computed, recipe, words),
        ice: note.serve.ice.as_ref().map(|i| match i.value.as_str() {
            "none" => words.say("said.no_ice"),
            "block" => words.say("said.block_of_ice"),
            kind => words.with("said.kind_of_ice", &[("kind", &words.phrase(kind))]),
        }),
        garnish: note.serve.garnish.as_ref().map(|g| g.value.clone()).filter(|g| g != "none"),
        ethanol_g: glass.figure_ethanol().ok().map(|g| show::fixed(g, 1)),
        standard_drinks: regime.and_then(|r| glass.figure_standard_drinks(r).ok()).map(|n| show::fixed(n, 1)),
        standard_drinks_unit: regime.map_or_else(String::new, crate::relation::standard_drink::Regime::short),
        energy_kcal: glass.figure_energy().ok().map(|(_, kcal)| show::fixed(kcal, 0)),
    })
}

/// What a batch comes to, in a sentence; empty for a drink that is made one at a time.
fn yields_line(computed: &Computed, recipe: usize, words: &Words) -> String {
    let made = &computed.made[recipe];
    let Ok(batch) = made.batch().mixture.figure_volume() else { return String::new() };
    match &made.served {
        None => words.with("said.batch_makes", &[("volume", &show::volume(batch))]),
        Some(served) => match served.pour_ml {
            Some(ml) if served.count > 0 => {
                let key = if served.count == 1 { "said.batch_fills_one" } else { "said.batch_fills_other" };
                words.with(key, &[("n", &served.count.to_string()), ("volume", &show::volume(ml))])
            }
            _ => String::new(),
        },
    }
}

/// How it is served, in a sentence: `95 ml in a coupe, no ice, with lemon peel.`
fn serve_line(computed: &Computed, recipe: usize, words: &Words) -> String {
    let serve = &computed.graph.notes.recipes[recipe].serve;
    let poured = computed.made[recipe].served.as_ref().and_then(|s| s.pour_ml);
    let mut parts = Vec::new();
    let glass = serve.glass.as_ref().map(|g| article(words, &g.value));
    match (poured, glass) {
        (Some(ml), Some(glass)) => {
            parts.push(words.with("said.volume_in_glass", &[("volume", &show::volume(ml)), ("glass", &glass)]));
        }
        (Some(ml), None) => parts.push(words.with("said.volume_a_glass", &[("volume", &show::volume(ml))])),
        (None, Some(glass)) => parts.push(words.with("said.in_glass", &[("glass", &glass)])),
        (None, None) => {}
    }
    if let Some(ice) = &serve.ice {
        parts.push(match ice.value.as_str() {
            "none" => words.say("said.no_ice"),
            "block" => words.say("said.over_block"),
            "crushed" | "cracked" => words.with("said.over_kind", &[("kind", &words.phrase(&ice.value))]),
            _ => words.say("said.over_ice"),
        });
    }
    if let Some(garnish) = serve.garnish.as_ref().filter(|g| g.value != "none") {
        parts.push(words.with("said.with_garnish", &[("garnish", &garnish.value)]));
    }
    let text = parts.join(", ");
    if text.is_empty() { text } else { format!("{text}.") }
}

/// What to say of the alcohol in it; empty where there is none.
fn alcohol_line(alcohol: &str, words: &Words) -> String {
    match alcohol {
        "yes" => words.say("said.holds_alcohol"),
        "no" => String::new(),
        _ => words.say("said.may_hold_alcohol"),
    }
}

fn strength_line(computed: &Computed, recipe: usize, serve: Option<&data::Serve>, words: &Words) -> String {
    let made = &computed.made[recipe];
    let stage = if made.served.is_some() { made.last() } else { made.batch() };
    let abv = match stage.mixture.figure_abv() {
        Ok(abv) => abv,
        Err(because) => return words.with("said.strength_untold", &[("because", &because.short())]),
    };
    let shown = show::strength(abv);
    if abv <= 0.0 {
        return words.with("said.no_alcohol", &[("abv", &shown)]);
    }
    match serve {
        Some(data::Serve {
            volume: Some(volume),
            ethanol_g: Some(grams),
            standard_drinks,
            standard_drinks_unit,
            ..
        }) => {
            let glass = [("abv", shown.as_str()), ("volume", volume), ("grams", grams)];
            match standard_drinks {
                Some(n) => {
                    let drinks = [("drinks", n.as_str()), ("unit", standard_drinks_unit)];
                    words.with("said.strength_in_drinks", &[&glass[..], &drinks[..]].concat())
                }
                None => words.with("said.strength_in_glass", &glass),
            }
        }
        _ => words.with("said.strength", &[("abv", &shown)]),
    }
}

fn line(
    computed: &Computed,
    written: &PourLine,
    pour: Option<&Pour>,
    poured: Option<&Poured>,
    why: Option<&str>,
    words: &Words,
) -> data::Line {
    let house = &computed.graph.notes.house;
    let Some(pour) = pour else {
        let text = written.text.value.clone();
        return data::Line {
            amount: String::new(),
            other: None,
            name: text.clone(),
            manner: None,
            preparation: None,
            text,
        };
    };
    let told = |amount: &Amount| {
        let parts = [words.phrase(amount.lead.unwrap_or("")), amount.value.clone(), words.phrase(&amount.unit)];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    };
    let both: Vec<String> = amounts(house, pour, poured, &systems(house)).iter().map(told).collect();
    let (amount, other) = (both[0].clone(), both.get(1).filter(|o| **o != both[0]).cloned());
    let (manner, purpose) = match why {
        Some("finish") => (manner(written, true), None),
        Some(why) => (None, Some(words.say(why))),
        None => (manner(written, false), None),
    };
    let manner = manner.map(|m| words.phrase(m));
    let name = if written.foam {
        words.with("said.foam", &[("name", pour.name.trim_end_matches(" foam"))])
    } else if matches!(pour.measure, Measure::Pieces { .. }) {
        // Pieces are spoken of as written: `12 pears`, not `12 pear`.
        written.name.value.split(',').next().unwrap_or(&pour.name).trim().to_owned()
    } else {
        pour.name.clone()
    };
    let preparation: Vec<String> = [behind(pour), purpose].into_iter().flatten().collect();
    let preparation = (!preparation.is_empty()).then(|| preparation.join(", "));
    let mut text = String::new();
    if let Some(manner) = &manner {
        text.push_str(manner);
        text.push(' ');
    }
    text.push_str(&amount);
    if let Some(other) = &other {
        text.push_str(&format!(" ({other})"));
    }
    text.push_str(&format!(" {name}"));
    if let Some(preparation) = &preparation {
        text.push_str(&format!(", {preparation}"));
    }
    data::Line { amount, other, name, manner, preparation, text: text.trim().to_owned() }
}

/// Why something goes in on the way, by the key of the words.
fn purpose(process: Process) -> &'static str {
    match process {
        Process::MilkClarify | Process::Clarify => "said.to_clarify",
        Process::Infuse => "said.to_infuse",
        Process::FatWash => "said.to_wash",
        Process::Blend => "said.to_blend",
        Process::Juice => "said.to_juice",
        Process::Peel => "said.to_peel",
        _ => "said.on_the_way",
    }
}

/// What a process takes in by itself, as a line: `600 ml (20.29 oz) water, on the way`.
fn taken_line(taken: &TakenIn, process: Process, words: &Words) -> data::Line {
    let both: Vec<String> = taken.amounts.iter().map(Amount::line).collect();
    let amount = both.first().cloned().unwrap_or_default();
    let other = both.get(1).filter(|o| **o != amount).cloned();
    let why = match process {
        Process::Water => words.say("said.to_dilute"),
        Process::AcidAdjust => words.say("said.to_sour"),
        _ => words.say(purpose(process)),
    };
    let shown = other.as_ref().map_or_else(|| amount.clone(), |other| format!("{amount} ({other})"));
    let text = format!("{shown} {}, {why}", taken.name);
    data::Line { amount, other, name: taken.name.clone(), manner: None, preparation: Some(why), text }
}

fn ingredients(computed: &Computed, recipe: usize, words: &Words) -> Vec<data::Group> {
    let (note, node) = (&computed.graph.notes.recipes[recipe], &computed.graph.nodes[recipe]);
    let made = &computed.made[recipe];
    let mut groups = Vec::new();
    let (mut mix, mut way, mut glass) = (Vec::new(), Vec::new(), Vec::new());
    for ((written, pour), poured) in note.mix.iter().zip(&node.mix).zip(&made.pours) {
        let list = if written.role == Role::Mix { &mut mix } else { &mut glass };
        list.push(line(computed, written, pour.as_ref(), poured.as_ref(), None, words));
    }
    let taken = taken_in(computed, recipe, &systems(&computed.graph.notes.house));
    for (index, step) in node.process.iter().enumerate() {
        let taken: Vec<&TakenIn> = taken.iter().filter(|t| t.step == index).collect();
        for pour in step.pours.values().flatten() {
            way.push(line(computed, &pour.line, Some(pour), None, Some(purpose(step.line.process)), words));
        }
        for (target, _) in step.shares.values().flatten() {
            let name = computed.graph.name(*target).to_owned();
            if taken.iter().any(|t| t.name == name) {
                continue;
            }
            let text = words.with("said.as_sour", &[("name", &name)]);
            way.push(data::Line { amount: String::new(), other: None, name, manner: None, preparation: None, text });
        }
        way.extend(taken.into_iter().map(|t| taken_line(t, step.line.process, words)));
    }
    for ((written, pour), i) in note.serve.finish.iter().zip(&node.finish).zip(0..) {
        let poured = made.finish.get(i).and_then(Option::as_ref);
        glass.push(line(computed, written, pour.as_ref(), poured, Some("finish"), words));
    }
    for (title, lines) in [(None, mix), (Some("note.along_the_way"), way), (Some("spec.in_the_glass"), glass)] {
        if !lines.is_empty() {
            groups.push(data::Group { title: title.map(|key| words.say(key)), lines });
        }
    }
    groups
}

/// House-made components, to any depth, in the order in which they are made. What is not published hides what it is made of.
fn preps(computed: &Computed, recipe: usize, words: &Words) -> Vec<data::Prep> {
    let graph = &computed.graph;
    let mut shown = std::collections::BTreeSet::new();
    let mut todo = vec![recipe];
    while let Some(current) = todo.pop() {
        for target in &graph.nodes[current].content {
            if let Target::Recipe(used) = target
                && shown.insert(*used)
                && graph.notes.recipes[*used].publish
            {
                todo.push(*used);
            }
        }
    }
    graph
        .order
        .iter()
        .filter(|i| shown.contains(i))
        .map(|&used| {
            let note = &graph.notes.recipes[used];
            let name = note.name.value.clone();
            if !note.publish {
                let (yields, page) = (None, None);
                return data::Prep { name, published: false, yields, ingredients: Vec::new(), keeps: Vec::new(), page };
            }
            let pours = note.mix.iter().zip(&graph.nodes[used].mix).zip(&computed.made[used].pours);
            let way = graph.nodes[used].process.iter().flat_map(|step| {
                let why = purpose(step.line.process);
                step.pours
                    .values()
                    .flatten()
                    .map(move |pour| line(computed, &pour.line, Some(pour), None, Some(why), words))
            });
            data::Prep {
                name,
                published: true,
                yields: structured::makes(computed, used, words),
                ingredients: pours
                    .map(|((written, pour), poured)| {
                        line(computed, written, pour.as_ref(), poured.as_ref(), None, words)
                    })
                    .chain(way)
                    .collect(),
                keeps: note.keeps.iter().map(|k| keeping(k, words)).collect(),
                page: structured::page_address(computed, used),
            }
        })
        .collect()
}

/// What to take care of; what stands once in the foot of every page is said by the notes in their own words.
fn cautions(survey: &Survey, recipe: usize, words: &Words) -> Vec<data::Caution> {
    // What someone does not eat is told with the allergens; there is nothing to take care of.
    let of_diet = |hazard: &Hazard| hazard.rule.group == "diet" && hazard.severity == Severity::Note;
    let shown = survey.hazards(recipe).iter().filter(|h| h.rule.show == Show::Recipe && !of_diet(h));
    shown
        .map(|hazard| {
            let told = words.hazards.told(&hazard.rule);
            data::Caution {
                severity: hazard.severity.word().into(),
                what: told.what,
                act: told.act,
                limit: hazard.rule.limit.clone(),
            }
        })
        .collect()
}

/// What a substitute changes, in words; nothing where the figures round to the same.
fn changes(swap: &Swap, hidden: bool, words: &Words) -> Vec<String> {
    let mut list = Vec::new();
    for change in swap.figures.iter().filter(|_| !hidden) {
        let (show, unit, figure): (fn(f64) -> String, &str, &str) = match change.figure {
            "strength" => (show::strength, "% vol", "said.strength_figure"),
            "acid" => (show::acid, "g/100 ml", "said.acid_figure"),
            _ => (show::sugar, "g/100 ml", "said.sugar_figure"),
        };
        let figure = words.say(figure);
        match (change.before.map(show), change.after.map(show)) {
            (Some(before), Some(after)) if before != after => {
                let values = [("figure", figure.as_str()), ("before", &before), ("after", &after), ("unit", unit)];
                list.push(words.with("said.from_to", &values));
            }
            (Some(before), None) => {
                let values = [("figure", figure.as_str()), ("before", &before), ("unit", unit)];
                list.push(words.with("said.to_unknown", &values));
            }
            _ => {}
        }
    }
    let names = |tags: &std::collections::BTreeSet<String>| {
        and(words, &tags.iter().map(|t| allergen(words, t)).collect::<Vec<_>>())
    };
    if !swap.brings.is_empty() {
        list.push(words.with("said.brings", &[("names", &names(&swap.brings))]));
    }
    if !swap.takes_away.is_empty() {
        list.push(words.with("said.no_longer_brings", &[("names", &names(&swap.takes_away))]));
    }
    if swap.allergens_unknown {
        list.push(words.say("said.unstated"));
    }
    match swap.vegan {
        (Some(false), Some(true)) => list.push(words.say("said.vegan")),
        (Some(true), Some(false)) => list.push(words.say("said.no_longer_vegan")),
        _ => {}
    }
    list
}

/// Substitutes that the recipe's writer allows. Of one that is not published only its name and its allergens are told.
fn swaps(computed: &Computed, recipe: usize, words: &Words) -> Vec<data::Swap> {
    let node = &computed.graph.nodes[recipe];
    swap::swaps(computed, recipe)
        .into_iter()
        .filter_map(|swap| {
            let pour = node.mix.get(swap.pour)?.as_ref()?;
            let other = pour.or.get(swap.with)?;
            let hidden = matches!(other.target, Target::Recipe(i) if !computed.graph.notes.recipes[i].publish);
            let changes = changes(&swap, hidden, words);
            // Spoken of as its writer does.
            let mut named = other.clone();
            named.name = other.line.name.value.split(',').next().unwrap_or(&other.name).trim().to_owned();
            let with = line(computed, &other.line, Some(&named), None, None, words).text;
            let effect = if !changes.is_empty() {
                changes.join("; ")
            } else if swap.figures.is_empty() || hidden {
                words.say("said.effect_untold")
            } else {
                words.say("said.no_effect")
            };
            let text = words.with("said.in_place", &[("with", &with), ("name", &pour.name), ("effect", &effect)]);
            Some(data::Swap { of: pour.name.clone(), with, changes, text })
        })
        .collect()
}

fn allergens(held: &Diet, words: &Words) -> data::Allergens {
    let contains: Vec<String> = held.contains.keys().map(|t| allergen(words, t)).collect();
    let may_contain: Vec<String> = held.may_contain.iter().map(|t| allergen(words, t)).collect();
    let unknown: Vec<String> = held.unknown.iter().cloned().collect();
    let mut said = Vec::new();
    for (key, list) in [("said.contains", &contains), ("said.may_hold", &may_contain), ("said.nobody_stated", &unknown)]
    {
        if !list.is_empty() {
            said.push(words.with(key, &[("names", &and(words, list))]));
        }
    }
    if said.is_empty() {
        said.push(words.say("said.none_declared"));
    }
    let vegan = match held.vegan {
        Some(true) => "yes",
        Some(false) => "no",
        None => "unknown",
    };
    match held.vegan {
        Some(true) => said.push(words.say("said.is_vegan")),
        Some(false) => {
            let why: Vec<String> = held.not_vegan.iter().cloned().collect();
            said.push(words.with("said.not_vegan", &[("names", &and(words, &why))]));
        }
        None => {}
    }
    data::Allergens { contains, may_contain, unknown, vegan: vegan.into(), line: said.join(" ") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::press::words;

    #[test]
    fn steps_in_short_end_with_a_sentence() {
        let list = |text: &'static str| ends(text).map(|end| &text[..end]).collect::<Vec<_>>();
        assert_eq!(list("Stir at 2.5 °C. Strain."), ["Stir at 2.5 °C."]);
        assert_eq!(list("Ladle in. Shake hard! Then pour."), ["Ladle in.", "Ladle in. Shake hard!"]);
        assert!(list("Use no. 9 cloth and wait.").is_empty());
        assert_eq!(short("Stir. Strain.\nAnd more."), "Stir. Strain.");
        let long = "Wait. ".repeat(60);
        assert!(short(&long).chars().count() <= SHORT && short(&long).ends_with("Wait."));
    }

    #[test]
    fn lists_read_as_people_say_them() {
        let english = words::english(words::Of::Notes);
        let said = |list: &[&str]| and(&english, &list.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>());
        assert_eq!(said(&["milk"]), "milk");
        assert_eq!(said(&["milk", "celery", "nuts"]), "milk, celery and nuts");
    }

    #[test]
    fn a_glass_has_one_article() {
        let english = words::english(words::Of::Notes);
        let said = |glass: &str| article(&english, glass);
        assert_eq!(said("coupe"), "a coupe");
        assert_eq!(said("old tin mug"), "an old tin mug");
        assert_eq!(said("a handled mug"), "a handled mug");
        assert_eq!(said("The long boot"), "The long boot");
    }
}

//! Structured data: what a page or a note tells machines, as schema.org nodes in JSON-LD and as Open Graph properties.
//!
//! It states what the page shows and nothing else: no rating, author or date that nobody wrote, no `image` or `url` as long as
//! the house has no address on the web. Computed recipes come in without readings, as everything public does.

use serde_json::{Map, Value, json};

use super::amount::{amounts, manner, taken_in};
use super::film::duration;
use super::words::{Words, filled};
use super::{address, text};
use crate::ask::prose::evaluate_all;
use crate::measure::show;
use crate::notebook::pour::PourLine;
use crate::notebook::process_line::ParameterValue;
use crate::notebook::recipe_note::{Makes, RecipeNote};
use crate::recipe::graph::Pour;
use crate::recipe::run::{Computed, Poured};

/// Longest description, in characters; search pages cut about there (common practice, no source).
const DESCRIPTION: usize = 160;
/// Kinds of picture that every reader of structured data takes.
const PICTURES: &[&str] = &["jpg", "jpeg", "png", "webp", "gif"];

/// The whole address of a path of the site; `None` as long as the house has no address.
#[must_use]
pub(super) fn whole_address(computed: &Computed, path: &str) -> Option<String> {
    let site = &computed.graph.notes.house.site_address.as_ref()?.value;
    Some(format!("{site}{}", address(path)))
}

/// The whole address of a recipe's page.
#[must_use]
pub(super) fn page_address(computed: &Computed, recipe: usize) -> Option<String> {
    whole_address(computed, &format!("recipes/{}.html", computed.graph.nodes[recipe].slug))
}

/// The whole addresses of a recipe's pictures: its own, then the same cut to a square, to 4:3 and to 16:9, then the cards that the program
/// draws, a wide and a square one.
#[must_use]
pub(super) fn pictures(computed: &Computed, recipe: usize) -> Vec<String> {
    let node = &computed.graph.nodes[recipe];
    let media = &computed.graph.notes.media;
    let file = computed.graph.notes.recipes[recipe].picture.as_ref().map(|p| p.file.value.replace('\\', "/"));
    let cut = file.as_deref().filter(|file| media.iter().any(|a| a.path == *file)).map(super::pictures::crops);
    // The site makes no picture wider than its widest; only one that it keeps as it is has this address.
    let kept = |file: &String| {
        let photo = [".jpg", ".jpeg"].iter().any(|e| file.to_lowercase().ends_with(e));
        let asset = media.iter().find(|a| a.path == *file);
        photo || asset.and_then(|a| a.pixels).is_some_and(|(width, _)| width <= 1600)
    };
    let own = file
        .filter(kept)
        .filter(|file| PICTURES.contains(&file.rsplit('.').next().unwrap_or("").to_lowercase().as_str()));
    let cards = [format!("cards/{}.png", node.slug), format!("cards/{}-square.png", node.slug)];
    let paths = own.map(|file| format!("media/{file}")).into_iter().chain(cut.unwrap_or_default()).chain(cards);
    paths.filter_map(|path| whole_address(computed, &path)).collect()
}

/// One or two sentences about a recipe: the opening of what its writer says of it, or what is in it.
#[must_use]
pub(super) fn description(computed: &Computed, recipe: usize, words: &Words) -> String {
    let lead = body(computed, recipe).lead_text;
    let opening = lead.split("\n\n").next().unwrap_or("");
    if !opening.is_empty() {
        return sentences(opening, DESCRIPTION);
    }
    let note = &computed.graph.notes.recipes[recipe];
    let names: Vec<&str> = computed.graph.nodes[recipe].mix.iter().flatten().map(|p| p.name.as_str()).collect();
    let what = if note.makes == Makes::Prep { "structured.a_prep_of" } else { "structured.a_drink_of" };
    sentences(&words.with(what, &[("names", &names.join(", "))]), DESCRIPTION)
}

/// As many whole sentences as fit, else as many whole words.
#[must_use]
pub(super) fn sentences(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let end = text.char_indices().nth(most).map_or(text.len(), |(i, _)| i);
    let ends = [". ", "! ", "? "].iter().filter_map(|mark| text[..end].rfind(mark).map(|i| i + 1)).max();
    // A sentence that ends in the first third says too little.
    if let Some(at) = ends.filter(|at| *at > end / 3) {
        return text[..at].to_owned();
    }
    let end = text.char_indices().nth(most.saturating_sub(2)).map_or(text.len(), |(i, _)| i);
    let words = text[..end].rfind(' ').map_or(&text[..end], |at| &text[..at]);
    format!("{} …", words.trim_end_matches([',', ';', ':', '–', '-']).trim_end())
}

/// A recipe's body with its values put in.
pub(super) fn body(computed: &Computed, recipe: usize) -> text::Body {
    let note = &computed.graph.notes.recipes[recipe];
    let written = computed.graph.notes.sources.text(note.body);
    let values = evaluate_all(computed, Some(recipe), written, note.body);
    text::body(written, &values, &|_| None)
}

/// The steps of a recipe as text: the ordered list of its body, else its processes.
#[must_use]
pub(super) fn steps(computed: &Computed, recipe: usize, words: &Words) -> Vec<String> {
    let steps = body(computed, recipe).step_texts;
    if !steps.is_empty() {
        return steps;
    }
    let note = &computed.graph.notes.recipes[recipe];
    let mut list: Vec<String> = vec![words.say("structured.together")];
    list.extend(note.process.iter().map(|line| {
        let times = line.parameters.iter().filter_map(|(key, _, value)| match value {
            ParameterValue::Time(h) if *key == "for" => {
                Some(words.with("structured.for", &[("time", &show::hours(*h))]))
            }
            ParameterValue::Temperature(c) if *key == "to" => {
                Some(words.with("structured.to", &[("temperature", &show::temperature(*c))]))
            }
            _ => None,
        });
        let said: Vec<String> =
            std::iter::once(words.phrase(line.process.name()).replace('-', " ")).chain(times).collect();
        format!("{}.", capital(&said.join(" ")))
    }));
    list
}

/// A pour in one line, in the first unit that the house shows: `120 ml lemon juice, strained`.
fn ingredient(
    computed: &Computed,
    line: &PourLine,
    pour: Option<&Pour>,
    poured: Option<&Poured>,
    finish: bool,
    words: &Words,
) -> String {
    let house = &computed.graph.notes.house;
    let Some(pour) = pour else { return line.text.value.clone() };
    let first = house.show.first().copied().unwrap_or(crate::measure::Unit::Ml);
    let amount = amounts(house, pour, poured, &[first]).first().map_or(String::new(), super::amount::Amount::line);
    let foam = if line.foam { format!("{} ", words.say("spec.foam_of")) } else { String::new() };
    let manner = manner(line, finish).map_or(String::new(), |m| format!("{} ", words.phrase(m)));
    let behind = pour.preparation.as_ref().map_or(String::new(), |p| format!(", {p}"));
    format!("{manner}{amount} {foam}{}{behind}", pour.name).trim().to_owned()
}

fn ingredients(computed: &Computed, recipe: usize, words: &Words) -> Vec<String> {
    let (note, node) = (&computed.graph.notes.recipes[recipe], &computed.graph.nodes[recipe]);
    let made = &computed.made[recipe];
    let mix = note.mix.iter().zip(&node.mix).zip(&made.pours);
    let mut list: Vec<String> = mix
        .map(|((line, pour), poured)| ingredient(computed, line, pour.as_ref(), poured.as_ref(), false, words))
        .collect();
    let way = node.process.iter().flat_map(|step| step.pours.values().flatten());
    list.extend(way.map(|pour| ingredient(computed, &pour.line, Some(pour), None, false, words)));
    let first = computed.graph.notes.house.show.first().copied().unwrap_or(crate::measure::Unit::Ml);
    let taken = taken_in(computed, recipe, &[first]).into_iter();
    list.extend(taken.filter_map(|t| Some(format!("{} {}", t.amounts.first()?.line(), t.name))));
    let finish = note.serve.finish.iter().zip(&node.finish).zip(0..);
    list.extend(finish.map(|((line, pour), i)| {
        ingredient(computed, line, pour.as_ref(), made.finish.get(i).and_then(Option::as_ref), true, words)
    }));
    list
}

/// How much a recipe makes: `16 glasses of 95 ml`, `1 glass of 161 ml`, `1.55 l`.
#[must_use]
pub(super) fn makes(computed: &Computed, recipe: usize, words: &Words) -> Option<String> {
    let made = &computed.made[recipe];
    let batch = made.batch().mixture.figure_volume();
    match &made.served {
        // Without a pour the whole is one glass, of whatever size.
        Some(served)
            if served.pour_ml.is_none() && (batch.is_err() || made.last().mixture.figure_volume().is_err()) =>
        {
            Some(words.say("structured.a_glass"))
        }
        Some(served) => {
            batch.ok()?;
            let glass = made.last().mixture.figure_volume().ok()?;
            let volume = show::volume(served.pour_ml.unwrap_or(glass));
            Some(filled(&words.count("structured.glasses", served.count as usize), &[("volume", &volume)]))
        }
        None => batch.ok().map(show::volume),
    }
}

/// The language tag of what the house writes.
#[must_use]
pub(super) fn language(computed: &Computed) -> String {
    computed.graph.notes.house.languages.first().map_or_else(|| "en".to_owned(), |l| l.value.clone())
}

/// Time from the first pour to the glass, if every process says how long it takes; whole seconds.
fn total_time(note: &RecipeNote) -> Option<u64> {
    let hours: Option<Vec<f64>> = note
        .process
        .iter()
        .map(|line| {
            let times = line.parameters.iter().filter_map(|(_, _, v)| match v {
                ParameterValue::Time(hours) => Some(*hours),
                _ => None,
            });
            times.reduce(|a, b| a + b)
        })
        .collect();
    let sum: f64 = hours.filter(|h| !h.is_empty())?.iter().sum();
    (sum.is_finite() && sum < 1e6).then(|| libm::round(sum * 3600.0) as u64).filter(|s| *s > 0)
}

/// Strength as a statement: `13.9 % vol in the glass`; `None` where it is not known.
#[must_use]
pub(super) fn strength(computed: &Computed, recipe: usize, words: &Words) -> Option<String> {
    let made = &computed.made[recipe];
    let (stage, key) = match made.served {
        Some(_) => (made.last(), "structured.in_the_glass"),
        None => (made.batch(), "structured.strength"),
    };
    let abv = stage.mixture.figure_abv().ok()?;
    // What rounds to nothing is not said to hold alcohol, nor to be free of it.
    Some(words.with(key, &[("strength", &show::strength(abv))]))
}

fn holds_alcohol(computed: &Computed, recipe: usize) -> Option<bool> {
    let made = &computed.made[recipe];
    let stage = if made.served.is_some() { made.last() } else { made.batch() };
    stage.mixture.figure_abv().ok().map(|abv| abv > 0.0)
}

/// The film as a `VideoObject` with its chapters as `Clip`s. Readers of structured data refuse one without its address, its
/// date and a picture, so `None` without them.
#[must_use]
pub(super) fn film(computed: &Computed, recipe: usize, words: &Words) -> Option<Value> {
    let note = &computed.graph.notes.recipes[recipe];
    let film = note.film.as_ref()?;
    let seen_at = &film.address.as_ref()?.value;
    let date = film.date?;
    let thumbnails = pictures(computed, recipe);
    if thumbnails.is_empty() {
        return None;
    }
    let clips: Vec<Value> = film
        .chapters
        .iter()
        .enumerate()
        .map(|(i, (start, title))| {
            // The time in an address by Media Fragments URI 1.0 (W3C), 4.2.1: `#t=140`.
            let mut clip = json!({
                "@type": "Clip", "name": title, "startOffset": start, "url": format!("{seen_at}#t={start}"),
            });
            let end = film.chapters.get(i + 1).map(|(next, _)| *next).or(film.length);
            if let (Some(end), Some(map)) = (end, clip.as_object_mut()) {
                map.insert("endOffset".into(), json!(end));
            }
            clip
        })
        .collect();
    let mut video = Map::new();
    let mut put = |key: &str, value: Value| video.insert(key.into(), value);
    put("@type", json!("VideoObject"));
    put("name", json!(note.name.value));
    put("description", json!(description(computed, recipe, words)));
    put("thumbnailUrl", json!(thumbnails[0]));
    put("uploadDate", json!(date.to_string()));
    put("contentUrl", json!(seen_at));
    if let Some(length) = film.length {
        put("duration", json!(duration(u64::from(length))));
    }
    if !clips.is_empty() {
        put("hasPart", json!(clips));
    }
    Some(Value::Object(video))
}

/// A recipe as a schema.org `Recipe`, its context included.
#[must_use]
pub(super) fn recipe(computed: &Computed, recipe: usize, words: &Words) -> Value {
    let notes = &computed.graph.notes;
    let note = &notes.recipes[recipe];
    let made = &computed.made[recipe];
    let page = page_address(computed, recipe);
    let mut map = Map::new();
    let mut put = |key: &str, value: Value| map.insert(key.into(), value);
    put("@context", json!("https://schema.org"));
    put("@type", json!("Recipe"));
    put("name", json!(note.name.value));
    if let Some(page) = &page {
        put("url", json!(page));
    }
    let strength = strength(computed, recipe, words);
    let stated = strength.as_ref().map_or(String::new(), |s| format!(" {}.", capital(s)));
    put("description", json!(format!("{}{stated}", description(computed, recipe, words))));
    let pictures = pictures(computed, recipe);
    if !pictures.is_empty() {
        put("image", json!(pictures));
    }
    let mut author = json!({ "@type": "Organization", "name": notes.house.name });
    if let (Some(site), Some(map)) = (&notes.house.site_address, author.as_object_mut()) {
        map.insert("url".into(), json!(site.value));
    }
    put("author", author);
    if let Some(credit) = &notes.house.site_credit {
        put("creditText", json!(credit));
    }
    if let Some(day) = note.published {
        put("datePublished", json!(day.to_string()));
    }
    put("inLanguage", json!(language(computed)));
    if let Some(version) = &note.version {
        put("version", json!(version));
    }
    put(
        "recipeCategory",
        json!(capital(&words.say(if note.makes == Makes::Prep { "word.prep" } else { "word.drink" }))),
    );
    let mut keywords: Vec<String> = note.tags.iter().map(|t| t.value.clone()).collect();
    match holds_alcohol(computed, recipe) {
        Some(true) => keywords.push(words.say("structured.contains_alcohol")),
        Some(false) => {}
        None => keywords.push(words.say("structured.strength_unknown")),
    }
    if !keywords.is_empty() {
        put("keywords", json!(keywords.join(", ")));
    }
    if let Some(makes) = makes(computed, recipe, words) {
        put("recipeYield", json!(makes));
    }
    put("recipeIngredient", json!(ingredients(computed, recipe, words)));
    let steps: Vec<Value> = steps(computed, recipe, words)
        .into_iter()
        .enumerate()
        .map(|(i, step)| {
            let mut step = json!({ "@type": "HowToStep", "position": i + 1, "text": step });
            if let (Some(page), Some(map)) = (&page, step.as_object_mut()) {
                map.insert("url".into(), json!(format!("{page}#step-{}", i + 1)));
            }
            step
        })
        .collect();
    put("recipeInstructions", json!(steps));
    if let Some(seconds) = total_time(note) {
        put("totalTime", json!(duration(seconds)));
    }
    if made.served.is_some()
        && let (Ok((_, kcal)), Ok(ml)) = (made.last().mixture.figure_energy(), made.last().mixture.figure_volume())
    {
        let calories = format!("{} kcal", show::fixed(kcal, 0));
        put(
            "nutrition",
            json!({ "@type": "NutritionInformation", "servingSize": show::volume(ml), "calories": calories }),
        );
    }
    if let Some(film) = film(computed, recipe, words) {
        put("video", film);
    }
    Value::Object(map)
}

/// A list of recipes, for the front page or a chapter; `None` as long as the house has no address, since its entries need one.
#[must_use]
pub(super) fn list(computed: &Computed, name: &str, recipes: &[usize]) -> Option<Value> {
    let items: Option<Vec<Value>> = recipes
        .iter()
        .enumerate()
        .map(|(i, r)| {
            let name = &computed.graph.notes.recipes[*r].name.value;
            Some(json!({ "@type": "ListItem", "position": i + 1, "name": name, "url": page_address(computed, *r)? }))
        })
        .collect();
    let items = items.filter(|i| !i.is_empty())?;
    Some(json!({ "@context": "https://schema.org", "@type": "ItemList", "name": name, "itemListElement": items }))
}

/// Open Graph properties of a recipe's page, in order; none as long as the house has no address, since all four that the
/// protocol requires cannot be given.
#[must_use]
pub(super) fn share(computed: &Computed, recipe: usize, words: &Words) -> Vec<(&'static str, String)> {
    let note = &computed.graph.notes.recipes[recipe];
    let card = whole_address(computed, &format!("cards/{}.png", computed.graph.nodes[recipe].slug));
    let (Some(page), Some(card)) = (page_address(computed, recipe), card) else { return Vec::new() };
    let house = &computed.graph.notes.house;
    vec![
        ("og:title", note.name.value.clone()),
        ("og:type", "article".into()),
        ("og:image", card),
        ("og:image:width", "1200".into()),
        ("og:image:height", "630".into()),
        ("og:image:alt", card_words(computed, recipe, words)),
        ("og:url", page),
        ("og:description", description(computed, recipe, words)),
        ("og:site_name", house.name.clone()),
        ("twitter:card", "summary_large_image".into()),
    ]
}

/// What a drawn card says, for those who do not see it.
#[must_use]
pub(super) fn card_words(computed: &Computed, recipe: usize, words: &Words) -> String {
    let note = &computed.graph.notes.recipes[recipe];
    let strength = strength(computed, recipe, words).map_or(String::new(), |s| format!(", {s}"));
    let kind = match (&note.family, note.makes) {
        (_, Makes::Prep) => words.say("word.prep"),
        (Some(family), _) => words.with("structured.of_family", &[("family", &family.value)]),
        (None, _) => words.say("structured.a_drink"),
    };
    format!("{}: {kind}{strength}. {}.", note.name.value, computed.graph.notes.house.name)
}

/// A node as text that may stand inside a `script` element.
#[must_use]
pub(super) fn in_html(node: &Value) -> String {
    node.to_string().replace("</", "<\\/").replace("<!--", "<\\u0021--")
}

/// A text with its first letter a capital.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_text_ends_with_a_sentence_or_a_word() {
        assert_eq!(sentences("One two. Three four five six.", 20), "One two.");
        assert_eq!(sentences("One, two three four five six", 12), "One, two …");
        assert_eq!(sentences("Short.", 12), "Short.");
    }

    #[test]
    fn a_node_cannot_end_its_script() {
        let node = json!({ "name": "</script><!--" });
        let text = in_html(&node);
        assert!(!text.contains("</") && !text.contains("<!--"), "{text}");
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), node);
    }
}

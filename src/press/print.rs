//! Print: the spec book, cards, batch sheets, labels and staff tests as PDFs, typeset by a library.
//!
//! Each output is data first (plain values, every number already text, see `templates/print/DATA.md`) and then a template
//! that places it. What a page of a recipe says is what its page of the site says: both come from `press::site`.

mod argument;
mod batch;
mod book;
mod cards;
mod glyphs;
mod labels;
mod paper;
mod picture;
mod prose;
mod safe;
mod sheets;
mod staff_test;
mod world;

use serde_json::{Value, json};
use sha2::{Digest, Sha256};

pub use argument::{NotPrinted, WrongArgument};
pub use labels::LabelSettings;
pub use paper::{Card, LabelSheet, Labels, Paper};
pub use staff_test::TestSettings;

use super::Edition;
use super::publication::Publication;
use super::words::{self, Of};
use crate::ask::safety::Survey;
use crate::notebook::Notes;
use crate::notebook::walk::Asset;
use crate::problem::{Problem, code};
use crate::recipe::run::{Computed, for_guests};
use crate::source::Span;

/// A way to the bytes of a picture of the notebook; `None` where it cannot be read.
pub type Pictures<'a> = &'a (dyn Fn(&Asset) -> Option<Vec<u8>> + Sync);

/// What every printed thing may be asked.
#[derive(Debug, Clone, Default)]
pub struct Settings {
    /// The sheets it is printed on.
    pub paper: Paper,
    /// A date, or any other words, that every page carries; nothing asks the clock.
    pub dated: Option<String>,
    /// Only these chapters, by name; empty for all.
    pub chapters: Vec<String>,
    /// Only these recipes, by name; empty for all.
    pub recipes: Vec<String>,
}

/// A printed thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Printed {
    /// The file.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// Warnings: what could not be drawn as it was written.
    pub problems: Vec<Problem>,
}

/// Data for a template, and the files that it places.
struct Document {
    /// Which template: `book`.
    template: &'static str,
    /// What the document is called, beside the house's name.
    title: String,
    /// What the template gets under its own name.
    body: Value,
    /// Pictures by virtual path.
    files: Vec<(String, Vec<u8>)>,
}

/// Makes the spec book.
///
/// # Errors
/// A chapter or recipe that is not there; problems with templates or fonts that the house brought along, at their place.
pub fn book(
    computed: &Computed,
    edition: Edition,
    settings: &Settings,
    pictures: Pictures<'_>,
) -> Result<Printed, NotPrinted> {
    Ok(book_ready(computed, edition, settings, pictures)?.set()?)
}

/// Makes spec cards, as many to a sheet as fit, or one to a page of its own size; backs stand behind fronts.
///
/// # Errors
/// As [`book`].
pub fn cards(
    computed: &Computed,
    edition: Edition,
    settings: &Settings,
    card: Card,
    single: bool,
) -> Result<Printed, NotPrinted> {
    with_site(computed, edition, |site, survey| {
        let chapters = chosen(site, settings)?;
        Ok(print(site, settings, cards::document(site, survey, settings, &chapters, card, single))?)
    })
}

/// Makes labels for preps and batches, on a sheet of labels.
///
/// # Errors
/// As [`book`]; a recipe, an amount, a day or a first label that cannot be read or is not there.
pub fn labels(
    computed: &Computed,
    edition: Edition,
    settings: &Settings,
    labels: &LabelSettings,
) -> Result<Printed, NotPrinted> {
    with_site(computed, edition, |site, survey| {
        let chapters = chosen(site, settings)?;
        let (document, warnings) = labels::document(site, survey, &chapters, labels)?;
        let mut printed = print(site, settings, document)?;
        printed.problems.extend(warnings);
        Ok(printed)
    })
}

/// Makes batch sheets for `batches`, each `NAME=AMOUNT` or a name alone; without any, for every prep as it is written.
///
/// # Errors
/// As [`book`]; a recipe or an amount that cannot be read, a size that the recipe cannot have.
pub fn sheets(
    computed: &Computed,
    edition: Edition,
    settings: &Settings,
    batches: &[String],
    made: Option<&str>,
    lot: Option<&str>,
) -> Result<Printed, NotPrinted> {
    with_site(computed, edition, |site, survey| {
        let chapters = chosen(site, settings)?;
        let mut list = batch::read(site, batches)?;
        if batches.is_empty() {
            list = batch::preps(site, &chapters);
        }
        let (document, warnings) = sheets::document(site, survey, &list, made, lot)?;
        let mut printed = print(site, settings, document)?;
        printed.problems.extend(warnings);
        Ok(printed)
    })
}

/// Makes a blank test and its answers for each chapter that has drinks.
///
/// # Errors
/// As [`book`].
pub fn tests(
    computed: &Computed,
    edition: Edition,
    settings: &Settings,
    test: TestSettings,
) -> Result<Printed, NotPrinted> {
    with_site(computed, edition, |site, survey| {
        let chapters = chosen(site, settings)?;
        Ok(print(site, settings, staff_test::document(site, survey, &chapters, test))?)
    })
}

/// The edition's own view of the notebook: the public one knows no readings. What is dangerous is judged by all that is known.
fn with_site<T>(
    computed: &Computed,
    edition: Edition,
    then: impl FnOnce(&Publication<'_>, &Survey) -> Result<T, NotPrinted>,
) -> Result<T, NotPrinted> {
    let (words, _) = words::words(&computed.graph.notes, Of::Print)?;
    let estimated = match edition {
        Edition::Public => for_guests(computed),
        Edition::House => None,
    };
    let site = Publication::new(estimated.as_ref().unwrap_or(computed), computed, edition).speaking(words);
    then(&site, &site.safety)
}

/// A chapter: its folder, its name, its recipes.
struct Chapter {
    folder: String,
    name: String,
    recipes: Vec<usize>,
}

/// The chapters that were asked for: those with more drinks than preps first, else by folder.
fn chosen(site: &Publication<'_>, settings: &Settings) -> Result<Vec<Chapter>, Vec<WrongArgument>> {
    use crate::notebook::recipe_note::Makes;
    use crate::recipe::names::key;
    let all: Vec<Chapter> = super::content::chapters::chapters(site)
        .into_iter()
        .map(|(folder, recipes)| Chapter { name: site.chapter_name(&folder), folder, recipes })
        .collect();
    let same = |c: &Chapter, wanted: &str| key(&c.name) == key(wanted) || c.folder == wanted;
    let mut unknown: Vec<WrongArgument> = settings
        .chapters
        .iter()
        .filter(|wanted| !all.iter().any(|c| same(c, wanted)))
        .map(|wanted| {
            let names: Vec<&str> = all.iter().map(|c| c.name.as_str()).collect();
            let message = format!("`--chapter {wanted}`: no chapter is called that");
            let help = argument::near(wanted, &names, &format!("choose from: {}", names.join(", ")));
            WrongArgument::new(code::NO_SUCH_CHAPTER, message, help)
        })
        .collect();
    let mut picked = std::collections::BTreeSet::new();
    for wanted in &settings.recipes {
        match argument::recipe(site, "--recipe", wanted) {
            Ok(recipe) => {
                picked.insert(recipe);
            }
            Err(wrong) => unknown.push(wrong),
        }
    }
    if !unknown.is_empty() {
        return Err(unknown);
    }
    let wanted = |c: &Chapter| settings.chapters.is_empty() || settings.chapters.iter().any(|w| same(c, w));
    let mut list: Vec<Chapter> = all.into_iter().filter(wanted).collect();
    if !picked.is_empty() {
        list.iter_mut().for_each(|c| c.recipes.retain(|r| picked.contains(r)));
        list.retain(|c| !c.recipes.is_empty());
    }
    let of_preps = |c: &Chapter| {
        let preps = c.recipes.iter().filter(|r| site.note(**r).makes == Makes::Prep).count();
        preps * 2 > c.recipes.len()
    };
    list.sort_by_key(of_preps);
    Ok(list)
}

/// A document with its data ready, which only the typesetter has still to set.
pub struct Ready {
    world: world::House,
    problems: Vec<Problem>,
}

impl Ready {
    /// Sets it.
    ///
    /// # Errors
    /// What the typesetter finds wrong with the templates.
    pub fn set(&self) -> Result<Printed, Vec<Problem>> {
        let made = self.world.typeset()?;
        let problems = self.problems.iter().cloned().chain(made.problems).collect();
        Ok(Printed { pdf: made.pdf, pages: made.pages, problems })
    }
}

/// The spec book up to the point where the typesetter takes over, so that the two can be timed apart.
///
/// # Errors
/// As [`book`].
pub fn book_ready(
    computed: &Computed,
    edition: Edition,
    settings: &Settings,
    pictures: Pictures<'_>,
) -> Result<Ready, NotPrinted> {
    with_site(computed, edition, |site, survey| {
        let chapters = chosen(site, settings)?;
        Ok(ready(site, settings, book::document(site, survey, settings, &chapters, pictures))?)
    })
}

/// Typesets a document.
fn print(site: &Publication<'_>, settings: &Settings, document: Document) -> Result<Printed, Vec<Problem>> {
    ready(site, settings, document)?.set()
}

/// Makes a document's data fit to be set.
fn ready(site: &Publication<'_>, settings: &Settings, document: Document) -> Result<Ready, Vec<Problem>> {
    let notes = &site.computed.graph.notes;
    let mut world = world::House::open(notes)?;
    let mut body = document.body;
    // A language without words for print was taken for English, and whoever prints hears of it.
    let mut problems = words::words(notes, Of::Print)?.1;
    let missing = glyphs::tidy(&mut body, &|c| world.draws(c));
    if !missing.is_empty() {
        let shown: Vec<String> = missing.iter().take(12).map(char::to_string).collect();
        let more = if missing.len() > 12 { " and others" } else { "" };
        problems.push(
            Problem::new(
                code::FONT_LACKS,
                missing.iter().find_map(|c| written(notes, *c)).unwrap_or_else(|| Span::new(notes.house.file, 0, 0)),
                format!("no font for print has {}{more}; they are written with the nearest letters", shown.join(" ")),
            )
            .help("put a font that has them, as .ttf or .otf, into `templates/print/fonts/`"),
        );
    }
    let mut doc = common(site, settings, &document.title, &world);
    let _ = glyphs::tidy(&mut doc, &|c| world.draws(c));
    // The print mark changes when anything printed changes, so that an old sheet gives itself away.
    let said = json!(site.words().all());
    let whole = json!({ "doc": doc, "body": body, "words": said });
    let mark: String =
        Sha256::digest(whole.to_string().as_bytes()).iter().take(3).map(|b| format!("{b:02x}")).collect();
    if let Some(map) = doc.as_object_mut() {
        map.insert("mark".into(), json!(mark));
    }
    let mut data = serde_json::Map::new();
    data.insert("doc".into(), doc);
    data.insert("words".into(), said);
    data.insert(document.template.into(), body);
    world.load(document.template, &Value::Object(data), document.files)?;
    Ok(Ready { world, problems })
}

/// Where a character is written first.
fn written(notes: &Notes, c: char) -> Option<Span> {
    let own = notes.sources.iter().filter(|(_, source)| !source.path.starts_with("templates/"));
    own.into_iter().find_map(|(file, source)| {
        let at = source.text.find(c)?;
        Some(Span::new(file, at, at + c.len_utf8()))
    })
}

/// What every template gets under `doc`.
fn common(site: &Publication<'_>, settings: &Settings, title: &str, world: &world::House) -> Value {
    let house = site.house();
    let tag = house.languages.first().map_or("en", |l| l.value.as_str());
    let mut parts = tag.split('-');
    let letters = |p: &str, from: usize, to: usize| {
        ((from..=to).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_alphabetic())).then(|| p.to_lowercase())
    };
    let lang = parts.next().and_then(|p| letters(p, 2, 3)).unwrap_or_else(|| "en".into());
    let region = parts.find_map(|p| letters(p, 2, 2));
    let mut families = world.house_families().to_vec();
    families.extend(world::FAMILIES.iter().map(|f| (*f).to_owned()));
    json!({
        "house": house.name,
        "title": format!("{} – {title}", house.name),
        "what": title,
        "lang": lang,
        "region": region,
        "edition": if site.is_house() { "house" } else { "public" },
        "edition_word": site.say(if site.is_house() { "print.house_edition" } else { "print.public_edition" }),
        "edition_note": site.is_house().then(|| site.say("print.house_note")),
        "keywords": site.say("print.keywords").split(',').map(str::trim).collect::<Vec<_>>(),
        "dated": settings.dated,
        "credit": house.site_credit,
        "paper": settings.paper.name(),
        "small": settings.paper == Paper::A5,
        "fonts": families,
        "code_fonts": world::CODE_FAMILIES,
        "caution": site.say("base.caution"),
        "alcohol": site.say("base.alcohol"),
    })
}

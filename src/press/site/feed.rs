//! The feed of published recipes (Atom, RFC 4287), the site map (sitemaps.org 0.9) and what robots are told.
//!
//! A date is what the recipe says: `publish: 2026-11-20`, else the day of its film. A recipe that says neither stands at the first of January
//! 2000 plus one day for each version, so that a new version still is news, the order is stable, and no clock is asked.

use atom_syndication::{
    Category, Content as Body, Entry, Feed, FixedDateTime, Generator, Link, Person, Text, WriteConfig,
};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use sha2::{Digest, Sha256};

use crate::notebook::recipe_note::RecipeNote;
use crate::press::publication::Publication;
use crate::press::structured;

/// Where the feed lies.
pub(super) const FEED: &str = "feed.xml";
/// Where the site map lies.
pub(super) const SITEMAP: &str = "sitemap.xml";

/// The day that a recipe itself states.
fn stated(note: &RecipeNote) -> Option<Date> {
    note.published.or_else(|| note.film.as_ref().and_then(|f| f.date))
}

/// The day that stands in the feed.
fn day(note: &RecipeNote) -> Date {
    stated(note).unwrap_or_else(|| {
        let digits: String = note.version.iter().flat_map(|v| v.chars()).take_while(char::is_ascii_digit).collect();
        let version: i64 = digits.parse::<i64>().unwrap_or(0).clamp(0, 9999);
        date(2000, 1, 1).checked_add(version.days()).unwrap_or(date(2000, 1, 1))
    })
}

/// Midnight of a day in UTC.
fn moment(day: Date) -> FixedDateTime {
    format!("{day}T00:00:00Z").parse().unwrap_or_default()
}

/// A name for good: a version 8 UUID (RFC 9562, 5.8) of the house's name and the recipe's address, so that it stays when the site moves.
fn id(house: &str, what: &str) -> String {
    let hash = Sha256::digest(format!("costrel feed\n{house}\n{what}"));
    let mut bytes: Vec<u8> = hash.iter().copied().take(16).collect();
    bytes[6] = bytes[6] & 0x0f | 0x80;
    bytes[8] = bytes[8] & 0x3f | 0x80;
    let hex: String = bytes.iter().map(|b| format!("{b:02x}")).collect();
    format!("urn:uuid:{}-{}-{}-{}-{}", &hex[..8], &hex[8..12], &hex[12..16], &hex[16..20], &hex[20..])
}

fn link(rel: &str, href: String, kind: &str) -> Link {
    Link { rel: rel.into(), href, mime_type: Some(kind.into()), ..Link::default() }
}

/// An address of the site: whole if the house has one on the web, else as it is reached from the feed.
fn address(site: &Publication<'_>, path: &str) -> String {
    structured::whole_address(site.computed, path).unwrap_or_else(|| crate::press::address(path))
}

/// The feed.
pub(super) fn feed(site: &Publication<'_>) -> Vec<u8> {
    let house = &site.house().name;
    let mut recipes: Vec<usize> = site.recipes().collect();
    let name = |r: usize| crate::recipe::names::key(&site.note(r).name.value);
    recipes.sort_by(|a, b| day(site.note(*b)).cmp(&day(site.note(*a))).then_with(|| name(*a).cmp(&name(*b))));
    let entries: Vec<Entry> = recipes.iter().map(|r| entry(site, *r)).collect();
    let newest = recipes.first().map_or(date(2000, 1, 1), |r| day(site.note(*r)));
    let feed = Feed {
        title: Text::plain(house.clone()),
        id: id(house, ""),
        updated: moment(newest),
        authors: vec![Person { name: house.clone(), ..Person::default() }],
        generator: Some(Generator { value: "Costrel".into(), ..Generator::default() }),
        links: vec![
            link("self", address(site, FEED), "application/atom+xml"),
            link("alternate", address(site, "index.html"), "text/html"),
        ],
        subtitle: Some(Text::plain(site.say("base.description"))),
        lang: Some(site.words.language.clone()),
        entries,
        ..Feed::default()
    };
    let mut out = Vec::new();
    let layout = WriteConfig { write_document_declaration: true, indent_size: Some(1) };
    // Writing to memory does not fail.
    let _ = feed.write_with_config(&mut out, layout);
    out.push(b'\n');
    out
}

fn entry(site: &Publication<'_>, recipe: usize) -> Entry {
    let note = site.note(recipe);
    let node = structured::recipe(site.computed, recipe, &site.words);
    let pours = node["recipeIngredient"].as_array().into_iter().flatten().filter_map(|p| p.as_str());
    let list: String = pours.map(|p| format!("<li>{}</li>", escaped(p))).collect();
    let description = structured::description(site.computed, recipe, &site.words);
    let html = format!("<p>{}</p><ul>{list}</ul>", escaped(&description));
    let path = site.recipe_href(recipe);
    Entry {
        title: Text::plain(note.name.value.clone()),
        id: id(&site.house().name, &path),
        updated: moment(day(note)),
        published: stated(note).map(moment),
        links: vec![link("alternate", address(site, &path), "text/html")],
        summary: Some(Text::plain(description)),
        content: Some(Body { value: Some(html), content_type: Some("html".into()), ..Body::default() }),
        categories: note.tags.iter().map(|t| Category { term: t.value.clone(), ..Category::default() }).collect(),
        ..Entry::default()
    }
}

/// Text for HTML or XML.
fn escaped(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '&' => "&amp;".to_owned(),
            '<' => "&lt;".to_owned(),
            '>' => "&gt;".to_owned(),
            '"' => "&quot;".to_owned(),
            // No document holds these.
            c if c.is_control() && !matches!(c, '\n' | '\t') => String::new(),
            c => c.to_string(),
        })
        .collect()
}

/// The site map; `None` as long as the house has no address on the web, since every entry is a whole address.
pub(super) fn sitemap(site: &Publication<'_>, pages: &[String]) -> Option<Vec<u8>> {
    site.house().site_address.as_ref()?;
    let days: std::collections::BTreeMap<String, Date> =
        site.recipes().filter_map(|r| Some((site.recipe_href(r), stated(site.note(r))?))).collect();
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<urlset xmlns=\"http://www.sitemaps.org/schemas/sitemap/0.9\">\n",
    );
    for page in pages.iter().filter(|p| *p != "404.html") {
        let Some(whole) = structured::whole_address(site.computed, page) else { continue };
        let changed = days.get(page).map_or(String::new(), |d| format!("<lastmod>{d}</lastmod>"));
        out.push_str(&format!("<url><loc>{}</loc>{changed}</url>\n", escaped(&whole)));
    }
    out.push_str("</urlset>\n");
    Some(out.into_bytes())
}

/// `robots.txt`: everything of the public edition, nothing of the house's.
pub(super) fn robots(site: &Publication<'_>) -> Vec<u8> {
    let mut out = String::from("User-agent: *\n");
    out.push_str(if site.is_house() { "Disallow: /\n" } else { "Allow: /\n" });
    if let Some(map) = structured::whole_address(site.computed, SITEMAP).filter(|_| !site.is_house()) {
        out.push_str(&format!("Sitemap: {map}\n"));
    }
    out.into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_a_uuid_that_stays() {
        let own = id("The Lantern Lock", "recipes/towpath.html");
        assert_eq!(own, id("The Lantern Lock", "recipes/towpath.html"));
        assert_ne!(own, id("The Lantern Lock", "recipes/weir.html"));
        assert_eq!((own.len(), &own[23..24]), (45, "8"), "{own}");
        assert!(matches!(&own[28..29], "8" | "9" | "a" | "b"), "{own}");
    }
}

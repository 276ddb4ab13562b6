//! Addresses: no two chapters and no two pages end up in one file of the site, where the second would take the first's place.

use std::collections::BTreeMap;

use crate::problem::{Problem, code};
use crate::recipe::names::slug;
use crate::recipe::run::Computed;
use crate::source::Span;

pub(super) fn check(computed: &Computed, problems: &mut Vec<Problem>) {
    let notes = &computed.graph.notes;
    // Recipes at the top are the chapter `recipes`.
    let chapters = notes.recipes.iter().map(|r| {
        let chapter = if r.chapter.is_empty() { "recipes" } else { r.chapter.as_str() };
        let folder = if r.chapter.is_empty() { "recipes".to_owned() } else { format!("recipes/{}", r.chapter) };
        (folder, slug(chapter), Span::new(r.file, 0, 0))
    });
    distinct("folder", chapters, problems);
    let pages = notes.pages.iter().map(|p| (format!("pages/{}.md", p.path), slug(&p.path), Span::new(p.file, 0, 0)));
    distinct("page", pages, problems);
}

fn distinct(what: &str, named: impl Iterator<Item = (String, String, Span)>, problems: &mut Vec<Problem>) {
    let mut taken: BTreeMap<String, (String, Span)> = BTreeMap::new();
    let mut seen: Vec<String> = Vec::new();
    for (path, address, at) in named {
        if seen.contains(&path) {
            continue;
        }
        seen.push(path.clone());
        if address.is_empty() {
            problems.push(
                Problem::new(
                    code::WRONG_VALUE,
                    at,
                    format!("the {what} `{path}` has a name without letters, so it has no address"),
                )
                .help("give it a name with a letter or a digit in it"),
            );
        } else if let Some((first, place)) = taken.get(&address) {
            problems.push(
                Problem::new(
                    code::DUPLICATE_SLUG,
                    at,
                    format!("the {what} `{path}` makes the address `{address}`, which `{first}` has taken"),
                )
                .also(*place, "taken by this one")
                .help("rename one of the two by a letter or a word"),
            );
        } else {
            taken.insert(address, (path, at));
        }
    }
}

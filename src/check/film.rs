//! Films: chapters that hosts of films will show as a list, and a length that tells where the last one ends.

use super::Asked;
use crate::notebook::recipe_note::Film;
use crate::problem::{Problem, code};

/// Fewest chapters that make a list (Vevo support, YouTube Chapters).
const FEWEST: usize = 3;
/// Shortest chapter, seconds (same page).
const SHORTEST: u32 = 10;
/// Longest title, characters; a longer one is cut (same page).
const LONGEST_TITLE: usize = 49;

/// What readers of structured data refuse a film without (schema.org `VideoObject` as search engines read it): its address, its
/// day and a picture. The picture is the card that the program draws, whose address begins with the house's.
fn unseen(asked: &Asked<'_>, film: &Film, problems: &mut Vec<Problem>) {
    let site = asked.computed.graph.notes.house.site_address.is_some();
    let (lacks, help) = match (film.address.is_some(), film.date.is_some()) {
        (true, true) if site => return,
        (true, true) => (
            "its picture has no address as long as the site has none",
            "add for example `site: {address: \"https://bar.example\"}` to house.yaml",
        ),
        (true, false) => ("it has no day on which it came out", "add for example `date: 2026-11-06`"),
        (false, true) => ("it has no address", "add for example `address: \"https://films.example/towpath\"`"),
        (false, false) => (
            "it has no address and no day on which it came out",
            "add for example `address: \"https://films.example/towpath\", date: 2026-11-06`",
        ),
    };
    let message = format!("structured data leaves this film out: {lacks}");
    problems.push(Problem::new(code::FILM_UNSEEN, film.span, message).help(help));
}

pub(super) fn check(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    for (_, recipe) in asked.notes() {
        let Some(film) = &recipe.film else { continue };
        if recipe.publish {
            unseen(asked, film, problems);
        }
        let count = film.chapters.len();
        if (1..FEWEST).contains(&count) {
            let message = format!("{count} of the at least {FEWEST} chapters that hosts of films want for a list");
            problems.push(
                Problem::new(code::FILM_LIST, film.span, message)
                    .help(format!("write {FEWEST} chapters or more, or none")),
            );
        }
        for (i, ((start, title), span)) in film.chapters.iter().zip(&film.chapter_spans).enumerate() {
            let end = film.chapters.get(i + 1).map(|(next, _)| *next).or(film.length);
            // One that is out of order is an error of its own.
            let seconds = end.and_then(|end| end.checked_sub(*start)).filter(|s| *s > 0);
            if let Some(seconds) = seconds.filter(|s| *s < SHORTEST) {
                problems.push(
                    Problem::new(
                        code::FILM_LIST,
                        *span,
                        format!("this chapter is {seconds} s long, and hosts of films show none under {SHORTEST} s"),
                    )
                    .help("join it to its neighbour"),
                );
            }
            let letters = title.chars().count();
            if letters > LONGEST_TITLE {
                problems.push(
                    Problem::new(
                        code::FILM_LIST,
                        *span,
                        format!("this title has {letters} characters, and hosts of films cut it after {LONGEST_TITLE}"),
                    )
                    .help("say it in fewer words"),
                );
            }
        }
        if film.length.is_none() && count > 0 {
            problems.push(
                Problem::new(
                    code::FILM_LENGTH,
                    film.span,
                    "nobody wrote how long this film is, so the last chapter has no end",
                )
                .help("add for example `length: \"12:40\"`"),
            );
        }
    }
}

//! Chapters and captions of a film: what is in it and when.
//!
//! Chapters run end to end, the last to the end of the film. Captions are a skeleton: the words are the recipe's steps, spread
//! over the film by their length, for somebody to set to what is said.

use unicode_width::UnicodeWidthStr;

use super::data;
use crate::notebook::recipe_note::Film;
use crate::press::film::{clock, timestamp};

/// Most characters of a caption's line (common practice, no source).
const LINE: usize = 42;
/// Lines of a caption (common practice, no source).
const LINES: usize = 2;

/// The chapters of a film.
pub(super) fn chapters(film: &Film) -> Vec<data::Chapter> {
    let milliseconds = |s: u32| u64::from(s) * 1000;
    film.chapters
        .iter()
        .enumerate()
        .map(|(i, (start, title))| {
            let end = film.chapters.get(i + 1).map(|(next, _)| *next).or(film.length);
            data::Chapter {
                at: clock(*start),
                seconds: *start,
                title: title.clone(),
                start: timestamp(milliseconds(*start)),
                end: end.map(|end| timestamp(milliseconds(end))),
            }
        })
        .collect()
}

/// The words of a text in captions of at most two lines, broken between words.
fn captions(text: &str) -> Vec<Vec<String>> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.width() + 1 + word.width() <= LINE => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines.chunks(LINES).map(<[String]>::to_vec).collect()
}

/// Cues from the steps. They begin with the second chapter, where there is one, since films open on the finished drink.
pub(super) fn cues(film: &Film, steps: &[data::Step]) -> Vec<data::Cue> {
    let Some(length) = film.length else { return Vec::new() };
    let start = u64::from(film.chapters.get(1).map_or(0, |(at, _)| *at).min(length)) * 1000;
    let texts: Vec<Vec<String>> = steps.iter().flat_map(|s| captions(&s.text)).collect();
    let letters = |lines: &[String]| lines.iter().map(|l| l.chars().count() as u64).sum::<u64>();
    let all: u64 = texts.iter().map(|t| letters(t)).sum();
    let room = u64::from(length) * 1000 - start;
    // Less than a tenth of a second a caption is no skeleton of anything.
    if all == 0 || room < texts.len() as u64 * 100 {
        return Vec::new();
    }
    let mut before = 0;
    texts
        .into_iter()
        .map(|lines| {
            let from = start + room * before / all;
            before += letters(&lines);
            let to = start + room * before / all;
            data::Cue { start: timestamp(from), end: timestamp(to), lines }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{FileId, Span};

    fn film(length: Option<u32>, chapters: &[(u32, &str)]) -> Film {
        let span = Span::new(FileId(0), 0, 0);
        Film {
            span,
            length,
            chapters: chapters.iter().map(|(at, t)| (*at, (*t).to_owned())).collect(),
            chapter_spans: vec![span; chapters.len()],
            address: None,
            date: None,
        }
    }

    fn step(text: &str) -> data::Step {
        data::Step { number: 1, text: text.into(), short: text.into() }
    }

    #[test]
    fn ten_hours_run_end_to_end() {
        let list = chapters(&film(Some(36_000), &[(0, "a"), (3_600, "b")]));
        assert_eq!((list[1].at.as_str(), list[1].start.as_str()), ("1:00:00", "01:00:00.000"));
        assert_eq!(list[0].end.as_deref(), Some("01:00:00.000"));
        assert_eq!(list[1].end.as_deref(), Some("10:00:00.000"));
    }

    #[test]
    fn a_film_of_unknown_length_has_an_open_end_and_no_captions() {
        let film = film(None, &[(0, "a")]);
        assert_eq!(chapters(&film)[0].end, None);
        assert!(cues(&film, &[step("Stir.")]).is_empty());
    }

    #[test]
    fn captions_keep_to_two_short_lines_and_follow_each_other() {
        let text =
            "Pour the punch slowly into the milk, not the other way about, and watch it break into curds. ".repeat(9);
        let list = cues(&film(Some(600), &[(0, "a"), (60, "b")]), &[step(&text), step("Wait.")]);
        assert_eq!(list[0].start, "00:01:00.000");
        assert_eq!(list[list.len() - 1].end, "00:10:00.000");
        for cue in &list {
            assert!(cue.start < cue.end && cue.lines.len() <= 2 && cue.lines.iter().all(|l| l.chars().count() <= 42));
        }
        assert!(list.windows(2).all(|w| w[0].end <= w[1].start));
    }
}

//! Problems for people: the place first, then the fact, an excerpt, and how to mend it.
//!
//! The look is our own (see the guide); no library draws it, because the ones that draw excerpts
//! also print another program's headings.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::{Label, Problem, Severity};
use crate::source::Sources;

const LONGEST_LINE: usize = 110;

fn style(severity: Severity) -> Style {
    let color = match severity {
        Severity::Error => AnsiColor::Red,
        Severity::Warning => AnsiColor::Yellow,
        Severity::Note => AnsiColor::Cyan,
    };
    Style::new().bold().fg_color(Some(color.into()))
}

/// Renders one problem. `prefix` is put before the notebook's paths so that a terminal can link them.
/// Colour codes are always written; the caller's stream strips them where they are not wanted.
#[must_use]
pub fn render(problem: &Problem, sources: &Sources, prefix: &str) -> String {
    let mut out = String::new();
    let file = sources.get(problem.at.span.file);
    let (line, column) = file.line_column(problem.at.span.start);
    let (paint, bold, dim) = (style(problem.severity), Style::new().bold(), Style::new().dimmed());
    let _ = writeln!(
        out,
        "{bold}{prefix}{}:{line}:{column}{bold:#}  {paint}{}{paint:#}  {dim}{}{dim:#}",
        clean(&file.path),
        problem.severity.word(),
        problem.code.name()
    );
    let _ = writeln!(out, "  {}", clean(&problem.message));
    excerpt(&mut out, &problem.at, sources, paint, None);
    for label in &problem.also {
        let other = sources.get(label.span.file);
        let place = (label.span.file != problem.at.span.file).then(|| format!("{prefix}{}", other.path));
        excerpt(&mut out, label, sources, dim, place);
    }
    if let Some(help) = &problem.help {
        let _ = writeln!(out, "  {}", clean(help));
    }
    out
}

fn excerpt(out: &mut String, label: &Label, sources: &Sources, paint: Style, place: Option<String>) {
    let file = sources.get(label.span.file);
    let (line, column) = file.line_column(label.span.start);
    let text = file.line(line);
    if text.trim().is_empty() && label.text.is_empty() {
        return;
    }
    let dim = Style::new().dimmed();
    if let Some(place) = place {
        let _ = writeln!(out, "    {dim}{}:{line}:{column}{dim:#}", clean(&place));
    }
    let covered = sources.text(label.span);
    let marked = covered.split(['\n', '\r']).next().unwrap_or("");
    let marked = start_of(marked, LONGEST_LINE);
    // The bytes of the line before the place. Only a window of a very long line is looked at, and shown: a file that is one line
    // of a megabyte may hold thousands of problems.
    let from_line = text.as_ptr() as usize - file.text.as_ptr() as usize;
    let before = (label.span.start as usize).checked_sub(from_line).and_then(|n| text.get(..n)).unwrap_or("");
    let long =
        text.len() > LONGEST_LINE && (text.len() > 8 * LONGEST_LINE || UnicodeWidthStr::width(text) > LONGEST_LINE);
    let lead = if long { end_of(before, 40) } else { before };
    let shown = start_of(&text[before.len() - lead.len()..], LONGEST_LINE);
    let width = UnicodeWidthStr::width(clean(marked).as_str()).clamp(1, LONGEST_LINE);
    let dots = if lead.len() < before.len() { "…" } else { "" };
    let _ = writeln!(out, "  {dim}{line:>5} |{dim:#} {dots}{}", clean(shown));
    let pad = UnicodeWidthStr::width(clean(lead).as_str()) + dots.chars().count();
    let words = if label.text.is_empty() { String::new() } else { format!(" {}", clean(&label.text)) };
    let _ = writeln!(out, "  {dim}      |{dim:#} {}{paint}{}{words}{paint:#}", " ".repeat(pad), "~".repeat(width));
}

/// The first `most` characters.
fn start_of(text: &str, most: usize) -> &str {
    text.char_indices().nth(most).map_or(text, |(end, _)| &text[..end])
}

/// The last `most` characters.
fn end_of(text: &str, most: usize) -> &str {
    text.char_indices().rev().nth(most.saturating_sub(1)).map_or(text, |(start, _)| &text[start..])
}

/// Text that a notebook wrote, made safe for a terminal: control characters become visible, tabs one space.
#[must_use]
pub fn clean(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' => ' ',
            c if c.is_control() => '␦',
            // Invisible direction marks could hide what a message says.
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '␦',
            c if c.width().is_none() => '␦',
            c => c,
        })
        .collect()
}

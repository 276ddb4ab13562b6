//! Prose for the typesetter: Markdown, already made safe, as a tree of blocks and runs.

use pulldown_cmark::{Event, HeadingLevel, Tag};
use serde::Serialize;

/// Lists and quotes nest no deeper than this on paper; what is deeper stands at this depth.
const DEEPEST: usize = 5;
/// What nests deeper than anyone writes gives its words only, so that no writer can exhaust the stack.
const TOO_DEEP: usize = 24;

/// A block of prose.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub(super) enum Block {
    /// Running text.
    Paragraph { runs: Vec<Run> },
    /// A list; `start` is the first number of a numbered one.
    List { start: Option<u64>, items: Vec<Vec<Block>> },
    /// A quotation.
    Quote { blocks: Vec<Block> },
    /// Text kept as it was written.
    Code { lines: Vec<String> },
    /// A table.
    Table { head: Vec<Vec<Run>>, rows: Vec<Vec<Vec<Run>>> },
    /// A heading inside a page; 2 is the highest.
    Heading { depth: u8, runs: Vec<Run> },
    /// A line across.
    Rule,
}

/// A run of text.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub(super) enum Run {
    /// Words.
    Text { text: String },
    /// Words kept as they were written.
    Code { text: String },
    /// A new line.
    Break,
    /// Stressed.
    Emph { runs: Vec<Run> },
    /// Strongly stressed.
    Strong { runs: Vec<Run> },
    /// Struck out.
    Strike { runs: Vec<Run> },
    /// Leads to the web (`dest`) or to a place in the document (`to`).
    Link { dest: Option<String>, to: Option<String>, runs: Vec<Run> },
}

/// Which places of the document a link may lead to.
pub(super) type Places<'a> = &'a dyn Fn(&str) -> Option<String>;

/// The blocks of a list of events.
pub(super) fn blocks(events: &[Event<'static>], places: Places<'_>) -> Vec<Block> {
    let mut reader = Reader { events, at: 0, places };
    reader.blocks(0)
}

struct Reader<'a> {
    events: &'a [Event<'static>],
    at: usize,
    places: Places<'a>,
}

impl Reader<'_> {
    fn next(&mut self) -> Option<&Event<'static>> {
        let event = self.events.get(self.at);
        self.at += 1;
        event
    }

    /// Blocks up to the end of what holds them; words that stand alone become a paragraph.
    fn blocks(&mut self, depth: usize) -> Vec<Block> {
        let mut out = Vec::new();
        while let Some(event) = self.events.get(self.at) {
            match event {
                Event::End(_) => break,
                Event::Start(tag) if is_block(tag) => {
                    let tag = tag.clone();
                    self.at += 1;
                    if depth > TOO_DEEP {
                        let text = self.words_to_end();
                        out.push(Block::Paragraph { runs: vec![Run::Text { text }] });
                    } else {
                        self.block(&tag, depth, &mut out);
                    }
                }
                Event::Rule => {
                    self.at += 1;
                    out.push(Block::Rule);
                }
                _ => {
                    let runs = self.runs(depth);
                    if !runs.is_empty() {
                        out.push(Block::Paragraph { runs });
                    }
                }
            }
        }
        out
    }

    /// A block whose opening was read; it reads past its end.
    fn block(&mut self, tag: &Tag<'static>, depth: usize, out: &mut Vec<Block>) {
        match tag {
            Tag::List(start) => {
                let mut items = Vec::new();
                while let Some(Event::Start(Tag::Item)) = self.events.get(self.at) {
                    self.at += 1;
                    items.push(self.blocks(depth + 1));
                    self.at += 1;
                }
                if depth >= DEEPEST {
                    out.extend(items.into_iter().flatten());
                } else {
                    out.push(Block::List { start: *start, items });
                }
            }
            Tag::BlockQuote(_) => {
                let blocks = self.blocks(depth + 1);
                if depth >= DEEPEST {
                    out.extend(blocks);
                } else {
                    out.push(Block::Quote { blocks });
                }
            }
            Tag::CodeBlock(_) => {
                let mut text = String::new();
                while let Some(Event::Text(t)) = self.events.get(self.at) {
                    text.push_str(t);
                    self.at += 1;
                }
                out.push(Block::Code { lines: text.lines().map(str::to_owned).collect() });
            }
            Tag::Heading { level, .. } => {
                let depth_of = match level {
                    HeadingLevel::H1 | HeadingLevel::H2 => 2,
                    HeadingLevel::H3 => 3,
                    _ => 4,
                };
                let runs = self.runs(depth);
                out.push(Block::Heading { depth: depth_of, runs });
            }
            Tag::Table(_) => out.push(self.table()),
            _ => {
                let runs = self.runs(depth);
                if !runs.is_empty() {
                    out.push(Block::Paragraph { runs });
                }
                // A block inside what only holds words: take it up behind them.
                out.extend(self.blocks(depth + 1));
            }
        }
        self.at += 1;
    }

    fn table(&mut self) -> Block {
        let (mut head, mut rows) = (Vec::new(), Vec::new());
        while let Some(Event::Start(tag)) = self.events.get(self.at) {
            let is_head = matches!(tag, Tag::TableHead);
            self.at += 1;
            let mut row = Vec::new();
            while let Some(Event::Start(Tag::TableCell)) = self.events.get(self.at) {
                self.at += 1;
                row.push(self.runs(0));
                self.at += 1;
            }
            self.at += 1;
            if is_head { head = row } else { rows.push(row) }
        }
        Block::Table { head, rows }
    }

    /// Runs up to the end of what holds them, or to a block.
    fn runs(&mut self, depth: usize) -> Vec<Run> {
        let mut out: Vec<Run> = Vec::new();
        while let Some(event) = self.events.get(self.at) {
            match event {
                Event::End(_) => break,
                Event::Start(tag) if is_block(tag) => break,
                _ => {}
            }
            let Some(event) = self.next().cloned() else { break };
            match event {
                Event::Text(t) => words(&mut out, &t),
                Event::SoftBreak => words(&mut out, " "),
                Event::HardBreak => out.push(Run::Break),
                Event::Code(t) => out.push(Run::Code { text: t.to_string() }),
                Event::Start(tag) => {
                    let runs = if depth > TOO_DEEP {
                        vec![Run::Text { text: self.words_to_end() }]
                    } else {
                        let runs = self.runs(depth + 1);
                        self.words_to_end();
                        runs
                    };
                    match tag {
                        Tag::Emphasis => out.push(Run::Emph { runs }),
                        Tag::Strong => out.push(Run::Strong { runs }),
                        Tag::Strikethrough => out.push(Run::Strike { runs }),
                        Tag::Link { dest_url, .. } => out.push(self.link(&dest_url, runs)),
                        _ => out.extend(runs),
                    }
                }
                _ => {}
            }
        }
        out
    }

    /// The words up to the end of what was opened last, and past it.
    fn words_to_end(&mut self) -> String {
        let (mut open, mut text) = (1, String::new());
        while open > 0 {
            match self.next() {
                Some(Event::Start(_)) => open += 1,
                Some(Event::End(_)) => open -= 1,
                Some(Event::Text(t) | Event::Code(t)) => text.push_str(t),
                // What marks a value for machines is no word.
                Some(Event::InlineHtml(_)) => {}
                Some(_) => text.push(' '),
                None => break,
            }
        }
        text.trim().to_owned()
    }

    fn link(&self, target: &str, runs: Vec<Run>) -> Run {
        let web = ["https://", "http://", "mailto:"].iter().any(|s| target.to_lowercase().starts_with(s));
        if web {
            return Run::Link { dest: Some(target.to_owned()), to: None, runs };
        }
        Run::Link { dest: None, to: (self.places)(target), runs }
    }
}

fn is_block(tag: &Tag<'_>) -> bool {
    !matches!(tag, Tag::Emphasis | Tag::Strong | Tag::Strikethrough | Tag::Link { .. } | Tag::Image { .. })
}

/// Adds words, joined to those before them.
fn words(out: &mut Vec<Run>, more: &str) {
    if let Some(Run::Text { text }) = out.last_mut() {
        text.push_str(more);
    } else {
        out.push(Run::Text { text: more.to_owned() });
    }
}

/// The words of blocks.
pub(super) fn plain(blocks: &[Block]) -> String {
    fn of_runs(runs: &[Run], out: &mut String) {
        for run in runs {
            match run {
                Run::Text { text } | Run::Code { text } => out.push_str(text),
                Run::Break => out.push(' '),
                Run::Emph { runs } | Run::Strong { runs } | Run::Strike { runs } | Run::Link { runs, .. } => {
                    of_runs(runs, out);
                }
            }
        }
    }
    fn of_blocks(blocks: &[Block], out: &mut String) {
        for block in blocks {
            match block {
                Block::Paragraph { runs } | Block::Heading { runs, .. } => of_runs(runs, out),
                Block::List { items, .. } => items.iter().for_each(|i| of_blocks(i, out)),
                Block::Quote { blocks } => of_blocks(blocks, out),
                Block::Code { lines } => out.push_str(&lines.join(" ")),
                Block::Table { head, rows } => {
                    for cell in head.iter().chain(rows.iter().flatten()) {
                        of_runs(cell, out);
                        out.push(' ');
                    }
                }
                Block::Rule => {}
            }
            out.push(' ');
        }
    }
    let mut out = String::new();
    of_blocks(blocks, &mut out);
    out.trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::press::text;

    fn read(markdown: &str) -> Vec<Block> {
        let parts = text::parts(markdown, &[], &|_| None);
        blocks(&parts.lead, &|_| None)
    }

    fn text_run(text: &str) -> Run {
        Run::Text { text: text.into() }
    }

    #[test]
    fn runs_and_blocks() {
        let made = read("One *two*\nthree.\n\n- a\n- b\n\n> q\n");
        assert_eq!(
            made,
            [
                Block::Paragraph {
                    runs: vec![text_run("One "), Run::Emph { runs: vec![text_run("two")] }, text_run(" three.")]
                },
                Block::List {
                    start: None,
                    items: vec![
                        vec![Block::Paragraph { runs: vec![text_run("a")] }],
                        vec![Block::Paragraph { runs: vec![text_run("b")] }]
                    ]
                },
                Block::Quote { blocks: vec![Block::Paragraph { runs: vec![text_run("q")] }] },
            ]
        );
    }

    #[test]
    fn what_nests_without_end_is_laid_flat() {
        let made = read(&format!("{}deep\n", "> ".repeat(200)));
        let mut depth = 0;
        let mut at = &made;
        while let Some(Block::Quote { blocks }) = at.first() {
            depth += 1;
            at = blocks;
        }
        assert_eq!(depth, DEEPEST);
        assert_eq!(plain(&made), "deep");
    }

    #[test]
    fn a_table_has_its_head() {
        let made = read("| a | b |\n|---|---|\n| 1 | 2 |\n");
        assert_eq!(
            made,
            [Block::Table {
                head: vec![vec![text_run("a")], vec![text_run("b")]],
                rows: vec![vec![vec![text_run("1")], vec![text_run("2")]]]
            }]
        );
    }
}

//! Problems: one diagnostic type for everything a writer should hear, and its renderings.

pub mod code;
pub mod json;
pub mod terminal;

use crate::source::{Sources, Span};
pub use code::Code;

/// How much a problem weighs. Errors stop `press`; warnings and notes do not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Nothing may be made until this is mended.
    Error,
    /// Probably wrong, or outside what is usual.
    Warning,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word used in the terminal and in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// A place with a few words about what stands there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The place.
    pub span: Span,
    /// What stands here; may be empty.
    pub text: String,
}

/// One located message: what is wrong, where, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Which problem this is.
    pub code: Code,
    /// Its weight; usually the code's own.
    pub severity: Severity,
    /// The fact, in lower case and without a full stop.
    pub message: String,
    /// Where it is.
    pub at: Label,
    /// Other places that belong to it, such as the first of two equal names.
    pub also: Vec<Label>,
    /// One action, with something to type.
    pub help: Option<String>,
}

impl Problem {
    /// A problem of a code at a place, with the code's own severity.
    #[must_use]
    pub fn new(code: Code, span: Span, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: code.severity(),
            message: within(message.into(), LONGEST_MESSAGE),
            at: Label { span, text: String::new() },
            also: Vec::new(),
            help: None,
        }
    }

    /// Says what stands at the place.
    #[must_use]
    pub fn label(mut self, text: impl Into<String>) -> Self {
        self.at.text = text.into();
        self
    }

    /// Points at a second place.
    #[must_use]
    pub fn also(mut self, span: Span, text: impl Into<String>) -> Self {
        self.also.push(Label { span, text: text.into() });
        self
    }

    /// Says how to mend it.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help = Some(within(text.into(), LONGEST_HELP));
        self
    }

    /// Changes the weight, for example when a house acknowledged it.
    #[must_use]
    pub fn severity(mut self, severity: Severity) -> Self {
        self.severity = severity;
        self
    }

    /// Whether this stops `press`.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// Most characters of a message and of its help. Both repeat what was written, which may be a line of megabytes.
const LONGEST_MESSAGE: usize = 400;
const LONGEST_HELP: usize = 1200;

fn within(mut text: String, most: usize) -> String {
    if let Some((end, _)) = text.char_indices().nth(most) {
        text.truncate(end);
        text.push('…');
    }
    text
}

/// Puts problems into their one stable order (by file, place, weight, code, message) and drops exact repeats.
pub fn sort(problems: &mut Vec<Problem>, sources: &Sources) {
    problems.sort_by(|a, b| {
        let key = |p: &Problem| (p.at.span.start, p.severity, p.code.name(), p.at.span.end);
        sources
            .get(a.at.span.file)
            .path
            .cmp(&sources.get(b.at.span.file).path)
            .then_with(|| key(a).cmp(&key(b)))
            .then_with(|| a.message.cmp(&b.message))
    });
    problems.dedup();
}

/// How many problems of each weight.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Errors.
    pub errors: usize,
    /// Warnings.
    pub warnings: usize,
    /// Notes.
    pub notes: usize,
}

/// Counts problems by weight.
#[must_use]
pub fn count(problems: &[Problem]) -> Count {
    problems.iter().fold(Count::default(), |mut c, p| {
        match p.severity {
            Severity::Error => c.errors += 1,
            Severity::Warning => c.warnings += 1,
            Severity::Note => c.notes += 1,
        }
        c
    })
}

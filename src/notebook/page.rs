//! Plain pages: an optional title and Markdown.

use super::fields::Fields;
use super::yaml::Node;
use crate::problem::Problem;
use crate::source::{FileId, Span, Spanned};

/// One page.
#[derive(Debug, Clone, PartialEq)]
pub struct PageNote {
    /// The file.
    pub file: FileId,
    /// Path below `pages/`, without `.md`.
    pub path: String,
    /// Its title: from the front matter, else its first heading, else its file name.
    pub title: Spanned<String>,
    /// Whether it goes into the public edition; pages do unless they say no.
    pub publish: bool,
    /// Place of the Markdown body.
    pub body: Span,
}

/// Reads a page.
pub fn page(
    node: Option<Node>,
    file: FileId,
    path: &str,
    body: Span,
    text: &str,
    problems: &mut Vec<Problem>,
) -> PageNote {
    let (mut title, mut publish) = (None, true);
    if let Some(mut f) = node.and_then(|n| Fields::open(n, "a page", problems)) {
        title = f.string("title", problems);
        publish = f.flag("publish", problems).is_none_or(|b| b.value);
        f.close(problems);
    }
    let title = title.unwrap_or_else(|| first_heading(text, body).unwrap_or_else(|| from_path(file, path)));
    PageNote { file, path: path.to_owned(), title, publish, body }
}

fn first_heading(text: &str, body: Span) -> Option<Spanned<String>> {
    let mut at = body.start as usize;
    for line in text[body.start as usize..body.end as usize].split_inclusive('\n') {
        if let Some(title) = line.strip_prefix("# ") {
            return Some(Spanned::new(title.trim().to_owned(), Span::new(body.file, at, at + line.trim_end().len())));
        }
        at += line.len();
    }
    None
}

fn from_path(file: FileId, path: &str) -> Spanned<String> {
    let stem = path.rsplit('/').next().unwrap_or(path).replace(['-', '_'], " ");
    let mut letters = stem.chars();
    let title = letters.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + letters.as_str());
    Spanned::new(title, Span::new(file, 0, 0))
}

//! Source files and the places in them: what every message and every printed number points back to.
//!
//! Nothing here reads the disk; `notebook::walk` hands the text in.

use std::fmt;

/// Index of a file in [`Sources`]; ordered as the files were added, which is by path.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub u32);

/// A half-open range of bytes in one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte; equal to `start` for a point.
    pub end: u32,
}

impl Span {
    /// A range of bytes, clamped so that `end` is never before `start`.
    #[must_use]
    pub fn new(file: FileId, start: usize, end: usize) -> Self {
        let clamp = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Self { file, start: clamp(start), end: clamp(end.max(start)) }
    }

    /// The part of this span from `from` to `to` bytes after its start.
    #[must_use]
    pub fn part(self, from: usize, to: usize) -> Self {
        let start = self.start as usize;
        Self::new(self.file, start + from, (start + to).min(self.end as usize).max(start + from))
    }

    /// Whether `other` lies inside this span.
    #[must_use]
    pub fn holds(self, other: Span) -> bool {
        self.file == other.file && self.start <= other.start && other.end <= self.end
    }
}

/// A value and the place it was written at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Pairs a value with its place.
    pub fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }

    /// The same place with another value.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Spanned<U> {
        Spanned { value: f(self.value), span: self.span }
    }
}

impl<T: fmt::Display> fmt::Display for Spanned<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.value.fmt(f)
    }
}

/// One file of the notebook, or one that the program carries.
#[derive(Debug, Clone)]
pub struct SourceFile {
    /// Path inside the notebook, with `/` between its parts.
    pub path: String,
    /// The text, without byte-order mark; carriage returns are kept so that offsets stay true.
    pub text: String,
    line_starts: Vec<u32>,
}

impl SourceFile {
    /// Indexes the lines of a text.
    #[must_use]
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        let mut line_starts = vec![0];
        line_starts.extend(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i as u32 + 1));
        Self { path: path.into(), text, line_starts }
    }

    /// Line and column of a byte, both counted from 1; columns count characters.
    #[must_use]
    pub fn line_column(&self, byte: u32) -> (usize, usize) {
        let line = self.line_starts.partition_point(|start| *start <= byte).max(1);
        let start = self.line_starts[line - 1] as usize;
        let end = (byte as usize).min(self.text.len());
        let column = self.text.get(start..end).map_or(1, |s| s.chars().count() + 1);
        (line, column)
    }

    /// The text of a line (from 1) without its line end; empty past the last.
    #[must_use]
    pub fn line(&self, line: usize) -> &str {
        let Some(&start) = line.checked_sub(1).and_then(|i| self.line_starts.get(i)) else {
            return "";
        };
        let end = self.line_starts.get(line).map_or(self.text.len(), |e| *e as usize);
        self.text.get(start as usize..end).unwrap_or("").trim_end_matches(['\n', '\r'])
    }
}

/// All files read in one run.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    /// Adds a file and returns its number.
    pub fn add(&mut self, file: SourceFile) -> FileId {
        self.files.push(file);
        FileId(self.files.len() as u32 - 1)
    }

    /// The file of a number; every [`FileId`] comes from [`Sources::add`].
    #[must_use]
    pub fn get(&self, id: FileId) -> &SourceFile {
        &self.files[id.0 as usize]
    }

    /// All files in the order they were added.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files.iter().enumerate().map(|(i, f)| (FileId(i as u32), f))
    }

    /// The text that a span covers.
    #[must_use]
    pub fn text(&self, span: Span) -> &str {
        self.get(span.file).text.get(span.start as usize..span.end as usize).unwrap_or("")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_and_lines_end_at_either_line_end() {
        let file = SourceFile::new("a.md", "é½x\r\nb\n");
        assert_eq!(file.line_column(4), (1, 3));
        assert_eq!(file.line(1), "é½x");
        assert_eq!(file.line_column(7), (2, 1));
        assert_eq!(file.line(9), "");
    }
}

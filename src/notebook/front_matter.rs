//! Splitting a Markdown file into its front matter and its body.

use crate::problem::{Problem, code};
use crate::source::{FileId, Span};

/// The two halves of a Markdown file, as byte ranges of its text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Halves {
    /// The YAML between the two rules.
    pub yaml: (usize, usize),
    /// What follows.
    pub body: (usize, usize),
}

fn is_rule(line: &str) -> bool {
    line.trim_end() == "---"
}

/// Finds the front matter. A file that does not open with `---` has none: `None` without a problem if `optional`.
pub fn split(text: &str, file: FileId, optional: bool, problems: &mut Vec<Problem>) -> Option<Halves> {
    let mut start = 0;
    let mut lines = text.split_inclusive('\n');
    let first = loop {
        match lines.next() {
            Some(line) if line.trim().is_empty() => start += line.len(),
            other => break other,
        }
    };
    let Some(first) = first.filter(|l| is_rule(l)) else {
        if !optional {
            let end = text[start..].find('\n').map_or(text.len(), |i| start + i);
            problems.push(
                Problem::new(
                    code::FRONT_MATTER_MISSING,
                    Span::new(file, start, end),
                    "a recipe opens with `---` and its front matter",
                )
                .help("write `---`, then `name:` and `mix:`, then `---`, then the method"),
            );
        }
        return None;
    };
    let yaml_start = start + first.len();
    let mut at = yaml_start;
    for line in lines {
        if is_rule(line) {
            let body = at + line.len();
            return Some(Halves { yaml: (yaml_start, at), body: (body, text.len()) });
        }
        at += line.len();
    }
    problems.push(
        Problem::new(
            code::FRONT_MATTER_UNCLOSED,
            Span::new(file, start, start + 3),
            "this front matter is never closed",
        )
        .label("opened here")
        .help("put a line `---` where the front matter ends and the method begins"),
    );
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves() {
        let text = "---\r\nname: a\r\n---\r\nbody\r\n";
        let mut problems = Vec::new();
        let halves = split(text, FileId(0), false, &mut problems).unwrap();
        assert_eq!(&text[halves.yaml.0..halves.yaml.1], "name: a\r\n");
        assert_eq!(&text[halves.body.0..halves.body.1], "body\r\n");
        assert!(split("---\nname: a\n", FileId(0), false, &mut problems).is_none());
        assert_eq!(problems[0].code, code::FRONT_MATTER_UNCLOSED);
        assert!(split("# about\n", FileId(0), true, &mut problems).is_none());
        assert_eq!(problems.len(), 1);
    }
}

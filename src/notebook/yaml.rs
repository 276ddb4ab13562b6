//! YAML text to a tree in which every scalar is text and every node knows its place.
//!
//! Reading into a tree first, and not straight into structs, is what lets one run report every fault of a
//! file: a struct deserialiser stops at the first. The parser is serde-saphyr's own (its re-exported event
//! parser). Scalars stay text, so `no`, `on` and `12:30` are text, and numbers keep the digits written.

use std::collections::BTreeMap;

use serde_saphyr::granit_parser::{Event, Marker, Parser, ScalarStyle};

use crate::problem::{Problem, code};
use crate::source::{FileId, Span};

/// Deepest nesting a notebook needs is about five; more is a mistake or an attack.
const DEEPEST: usize = 24;
/// Nodes in one document, aliases counted each time they are used.
const MOST_NODES: usize = 100_000;

/// A scalar: its value and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// The value, escapes resolved.
    pub value: String,
    /// Where it stands; without its quotes where `exact`.
    pub span: Span,
    /// Whether each byte of `value` is the byte at the same offset of `span`, so that a place inside can be shown.
    pub exact: bool,
    /// Whether it was written in quotes or as a block.
    pub quoted: bool,
}

impl Text {
    /// The place of the bytes `from..to` of the value; the whole scalar where they cannot be told apart.
    #[must_use]
    pub fn part(&self, from: usize, to: usize) -> Span {
        if self.exact { self.span.part(from, to) } else { self.span }
    }
}

/// A node of a YAML document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Node {
    /// Nothing: an empty value, `~` or `null`.
    Null(Span),
    /// A scalar.
    Text(Text),
    /// A sequence.
    List(Vec<Node>, Span),
    /// A mapping, in the order written.
    Map(Vec<(Text, Node)>, Span),
}

impl Node {
    /// Where the node stands.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            Self::Null(span) | Self::List(_, span) | Self::Map(_, span) => *span,
            Self::Text(text) => text.span,
        }
    }

    /// What kind of node it is, in words for a message.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Null(_) => "nothing",
            Self::Text(_) => "text",
            Self::List(..) => "a list",
            Self::Map(..) => "a mapping",
        }
    }

    fn size(&self) -> usize {
        1 + match self {
            Self::Null(_) | Self::Text(_) => 0,
            Self::List(items, _) => items.iter().map(Node::size).sum(),
            Self::Map(entries, _) => entries.iter().map(|(_, v)| 1 + v.size()).sum(),
        }
    }
}

struct Reader<'a> {
    parser: Parser<'a, serde_saphyr::granit_parser::StrInput<'a>>,
    text: &'a str,
    file: FileId,
    offset: usize,
    anchors: BTreeMap<usize, Node>,
    nodes: usize,
    problems: &'a mut Vec<Problem>,
}

/// Reads one document. `offset` is where `text` starts in the file, so that spans are the file's.
///
/// Returns `None` where the text is not YAML at all (a problem says where) or holds nothing.
pub fn read(text: &str, file: FileId, offset: usize, problems: &mut Vec<Problem>) -> Option<Node> {
    let mut reader =
        Reader { parser: Parser::new_from_str(text), text, file, offset, anchors: BTreeMap::new(), nodes: 0, problems };
    match reader.document() {
        Ok(node) => node,
        Err(problem) => {
            reader.problems.push(*problem);
            None
        }
    }
}

type Fault = Box<Problem>;

impl Reader<'_> {
    fn byte(&self, marker: Marker) -> usize {
        let local = marker
            .byte_offset()
            .unwrap_or_else(|| self.text.char_indices().nth(marker.index()).map_or(self.text.len(), |(i, _)| i));
        self.offset + local.min(self.text.len())
    }

    fn span(&self, start: Marker, end: Marker) -> Span {
        Span::new(self.file, self.byte(start), self.byte(end))
    }

    fn next(&mut self) -> Result<Option<(Event<'static>, Span)>, Fault> {
        match self.parser.next() {
            None => Ok(None),
            Some(Ok((event, span))) => {
                let span = self.span(span.start, span.end);
                Ok(Some((owned(event), span)))
            }
            Some(Err(error)) => {
                let at = self.span(*error.marker(), *error.marker());
                Err(Box::new(self.syntax(at, &error.info())))
            }
        }
    }

    fn syntax(&self, at: Span, info: &str) -> Problem {
        let (message, help) = plain_words(info);
        Problem::new(code::YAML_SYNTAX, at, message).help(help)
    }

    fn document(&mut self) -> Result<Option<Node>, Fault> {
        let mut root = None;
        while let Some((event, span)) = self.next()? {
            match event {
                Event::StreamStart | Event::DocumentStart(..) | Event::DocumentEnd => {}
                Event::StreamEnd => break,
                _ if root.is_some() => {
                    return Err(Box::new(
                        Problem::new(code::YAML_FEATURE, span, "a second YAML document starts here")
                            .help("keep one document in a file"),
                    ));
                }
                other => root = Some(self.node(other, span, 0)?),
            }
        }
        Ok(root)
    }

    fn node(&mut self, event: Event<'static>, span: Span, depth: usize) -> Result<Node, Fault> {
        self.nodes += 1;
        if depth > DEEPEST || self.nodes > MOST_NODES {
            return Err(Box::new(
                Problem::new(code::YAML_TOO_DEEP, span, "this YAML nests too deep or holds too much to be a recipe")
                    .help("write the values out plainly, without aliases that repeat one another"),
            ));
        }
        match event {
            Event::Scalar(value, style, anchor, tag) => {
                self.no_tag(tag.is_some(), span);
                let node = self.scalar(&value, style, span);
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::SequenceStart(_, anchor, tag) => {
                self.no_tag(tag.is_some(), span);
                let mut items = Vec::new();
                let mut end = span;
                while let Some((event, at)) = self.next()? {
                    end = at;
                    if matches!(event, Event::SequenceEnd) {
                        break;
                    }
                    items.push(self.node(event, at, depth + 1)?);
                }
                let node = Node::List(items, self.whole(span, end));
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::MappingStart(_, anchor, tag) => {
                self.no_tag(tag.is_some(), span);
                let mut entries: Vec<(Text, Node)> = Vec::new();
                let mut seen = BTreeMap::new();
                let mut end = span;
                while let Some((event, at)) = self.next()? {
                    end = at;
                    if matches!(event, Event::MappingEnd) {
                        break;
                    }
                    let key = self.node(event, at, depth + 1)?;
                    let Some((event, at)) = self.next()? else { break };
                    let value = self.node(event, at, depth + 1)?;
                    self.entry(&mut entries, &mut seen, key, value);
                }
                let node = Node::Map(entries, self.whole(span, end));
                self.keep(anchor, &node);
                Ok(node)
            }
            Event::Alias(id) => {
                let Some(node) = self.anchors.get(&id) else {
                    return Err(Box::new(self.syntax(span, "this alias stands inside its own anchor")));
                };
                self.nodes += node.size();
                if self.nodes > MOST_NODES {
                    return Err(Box::new(
                        Problem::new(
                            code::YAML_TOO_DEEP,
                            span,
                            "the aliases of this file repeat one another without end",
                        )
                        .help("write the values out plainly"),
                    ));
                }
                Ok(node.clone())
            }
            _ => Ok(Node::Null(span)),
        }
    }

    fn no_tag(&mut self, tagged: bool, span: Span) {
        if tagged {
            self.problems.push(
                Problem::new(code::YAML_FEATURE, span, "YAML tags such as `!!str` have no use here")
                    .help("remove the tag; every value is read as text"),
            );
        }
    }

    fn entry(&mut self, entries: &mut Vec<(Text, Node)>, seen: &mut BTreeMap<String, Span>, key: Node, value: Node) {
        let key = match key {
            Node::Text(text) => text,
            // `~: x` and `null: x` are written as words and meant as words.
            Node::Null(span) => Text { value: self.slice(span).to_owned(), span, exact: true, quoted: false },
            other => {
                self.problems.push(
                    Problem::new(code::WRONG_TYPE, other.span(), format!("{} cannot be a key", other.kind()))
                        .help("write a word and a colon"),
                );
                return;
            }
        };
        if key.value == "<<" {
            self.problems.push(
                Problem::new(code::YAML_FEATURE, key.span, "merge keys (`<<`) are not part of YAML 1.2")
                    .help("write the keys out"),
            );
            return;
        }
        if let Some(first) = seen.insert(key.value.clone(), key.span) {
            seen.insert(key.value.clone(), first);
            self.problems.push(
                Problem::new(code::DUPLICATE_KEY, key.span, format!("the key `{}` stands twice", key.value))
                    .label("again here")
                    .also(first, "first here")
                    .help("keep one of the two"),
            );
            return;
        }
        entries.push((key, value));
    }

    fn slice(&self, span: Span) -> &str {
        let from = (span.start as usize).saturating_sub(self.offset);
        let to = (span.end as usize).saturating_sub(self.offset);
        self.text.get(from..to).unwrap_or("")
    }

    fn scalar(&self, value: &str, style: ScalarStyle, span: Span) -> Node {
        let quoted = style != ScalarStyle::Plain;
        if !quoted && matches!(value, "" | "~" | "null" | "Null" | "NULL") {
            return Node::Null(span);
        }
        let raw = self.slice(span);
        if raw == value {
            return Node::Text(Text { value: value.to_owned(), span, exact: true, quoted });
        }
        let inner = raw.len().checked_sub(1).and_then(|end| raw.get(1..end));
        if quoted && inner == Some(value) {
            let span = Span::new(span.file, span.start as usize + 1, span.end as usize - 1);
            return Node::Text(Text { value: value.to_owned(), span, exact: true, quoted });
        }
        // A plain scalar's span may take in what follows on its line; the value itself is what counts.
        if raw.starts_with(value) {
            let span = span.part(0, value.len());
            return Node::Text(Text { value: value.to_owned(), span, exact: true, quoted });
        }
        Node::Text(Text { value: value.to_owned(), span, exact: false, quoted })
    }

    fn whole(&self, start: Span, end: Span) -> Span {
        Span::new(self.file, start.start as usize, end.end.max(start.end) as usize)
    }

    fn keep(&mut self, anchor: usize, node: &Node) {
        if anchor > 0 {
            self.anchors.insert(anchor, node.clone());
        }
    }
}

/// What the parser says, in the words of somebody who writes recipes.
fn plain_words(info: &str) -> (String, &'static str) {
    let said = |part: &str| info.contains(part);
    if said("mapping values are not allowed") {
        ("a second colon stands here, and YAML takes it for another key".into(), "put the whole value in quotes")
    } else if said("placement of ':'") {
        (
            "a key starts here, but a bracket or brace above it is still open".into(),
            "close the list with `]` or the mapping with `}`",
        )
    } else if said("tabs ") {
        ("a tab stands in the indentation".into(), "indent with spaces")
    } else if said("expected key") {
        ("YAML wants a key and a colon here".into(), "check the indentation, and the line before this one")
    } else if said("unclosed quote") {
        ("this quote is never closed".into(), "put the same quotation mark at its end")
    } else if said("unclosed bracket") || said("unclosed brace") {
        ("this bracket is never closed".into(), "close it on its line, or write one `- item` a line")
    } else {
        (
            format!("this is not YAML: {info}"),
            "check the indentation, and put text that holds `: `, ` #` or a leading `-`, `[`, `{`, `&`, `*` or `@` in quotes",
        )
    }
}

fn owned(event: Event<'_>) -> Event<'static> {
    match event {
        Event::Scalar(value, style, anchor, tag) => Event::Scalar(
            value.into_owned().into(),
            style,
            anchor,
            tag.map(|t| std::borrow::Cow::Owned(t.into_owned())),
        ),
        Event::SequenceStart(style, anchor, tag) => {
            Event::SequenceStart(style, anchor, tag.map(|t| std::borrow::Cow::Owned(t.into_owned())))
        }
        Event::MappingStart(style, anchor, tag) => {
            Event::MappingStart(style, anchor, tag.map(|t| std::borrow::Cow::Owned(t.into_owned())))
        }
        Event::Alias(id) => Event::Alias(id),
        Event::StreamStart => Event::StreamStart,
        Event::StreamEnd => Event::StreamEnd,
        Event::DocumentStart(explicit, version) => Event::DocumentStart(explicit, version),
        Event::SequenceEnd => Event::SequenceEnd,
        Event::MappingEnd => Event::MappingEnd,
        _ => Event::DocumentEnd,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree(text: &str) -> (Option<Node>, Vec<Problem>) {
        let mut problems = Vec::new();
        let node = read(text, FileId(0), 0, &mut problems);
        (node, problems)
    }

    #[test]
    fn scalars_stay_text_and_know_their_place() {
        let (node, problems) = tree("a: no\nb: \"x y\" # c\nc: [1.50, 12:30]\n");
        assert!(problems.is_empty());
        let Some(Node::Map(entries, _)) = node else { panic!("a mapping") };
        let text = |i: usize| match &entries[i].1 {
            Node::Text(t) => (t.value.clone(), t.span.start, t.span.end, t.exact),
            other => panic!("{other:?}"),
        };
        assert_eq!(text(0), ("no".into(), 3, 5, true));
        assert_eq!(text(1), ("x y".into(), 10, 13, true));
        let Node::List(items, _) = &entries[2].1 else { panic!("a list") };
        assert_eq!(items.len(), 2);
        assert!(matches!(&items[0], Node::Text(t) if t.value == "1.50"));
    }

    #[test]
    fn duplicate_keys_and_bombs_are_refused() {
        let (_, problems) = tree("a: 1\na: 2\n");
        assert_eq!(problems[0].code, code::DUPLICATE_KEY);
        let mut bomb = String::from("a0: &a0 [x, x, x, x, x, x, x, x, x]\n");
        for i in 1..9 {
            let refs = vec![format!("*a{}", i - 1); 9].join(", ");
            bomb.push_str(&format!("a{i}: &a{i} [{refs}]\n"));
        }
        let (_, problems) = tree(&bomb);
        assert_eq!(problems[0].code, code::YAML_TOO_DEEP);
        let (_, problems) = tree("a: [1, 2\nb: 3");
        assert_eq!(problems[0].code, code::YAML_SYNTAX);
    }
}

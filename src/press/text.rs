//! Markdown to HTML and to plain text: expressions put in as text, raw HTML shown as text, links that could run something
//! taken out.

use pulldown_cmark::{CowStr, Event, HeadingLevel, LinkType, Options, Parser, Tag, TagEnd, html};

use crate::ask::prose::{Evaluated, Expression, Kind, Printed};

/// Private-use characters that stand for an expression while Markdown is read, so that its value can never become markup.
const OPEN: char = '\u{e000}';
const CLOSE: char = '\u{e001}';

/// A piece of prose under a heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Section {
    /// The heading as plain text; `None` before the first.
    pub heading: Option<String>,
    /// Its HTML.
    pub html: String,
    /// The same without markup.
    pub text: String,
}

/// A Markdown body taken apart.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Body {
    /// What stands before the steps and the first heading.
    pub lead: String,
    /// The same without markup.
    pub lead_text: String,
    /// The items of the first ordered list.
    pub steps: Vec<String>,
    /// The same without markup.
    pub step_texts: Vec<String>,
    /// Everything else.
    pub sections: Vec<Section>,
}

/// Puts placeholders in place of expressions; returns the text and the values in order.
fn with_placeholders(text: &str, values: &[(Expression, Evaluated)]) -> (String, Vec<Printed>) {
    let clean = |s: &str| s.replace([OPEN, CLOSE], "\u{fffd}");
    let mut out = String::with_capacity(text.len());
    let mut shown = Vec::new();
    let mut at = 0;
    for (expression, value) in values {
        out.push_str(&clean(&text[at..expression.range.0]));
        out.push(OPEN);
        out.push_str(&shown.len().to_string());
        out.push(CLOSE);
        // A press with a faulty expression is refused before it comes here.
        shown.push(value.clone().unwrap_or_default());
        at = expression.range.1;
    }
    out.push_str(&clean(&text[at..]));
    (out, shown)
}

/// A text taken apart at its placeholders.
enum Piece<'t, 'v> {
    Words(&'t str),
    Value(&'v Printed),
}

fn pieces<'t, 'v>(text: &'t str, values: &'v [Printed]) -> Vec<Piece<'t, 'v>> {
    let mut out = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find(OPEN) {
        out.push(Piece::Words(&rest[..open]));
        let after = &rest[open + OPEN.len_utf8()..];
        let Some(close) = after.find(CLOSE) else {
            out.push(Piece::Words(after));
            return out;
        };
        if let Some(value) = after[..close].parse::<usize>().ok().and_then(|i| values.get(i)) {
            out.push(Piece::Value(value));
        }
        rest = &after[close + CLOSE.len_utf8()..];
    }
    out.push(Piece::Words(rest));
    out
}

/// A text with its values put in as words.
fn filled(text: &str, values: &[Printed]) -> String {
    pieces(text, values)
        .into_iter()
        .map(|piece| match piece {
            Piece::Words(words) => words,
            Piece::Value(value) => value.text.as_str(),
        })
        .collect()
}

/// A value as events: its words, marked for machines and scripts, or with a link.
fn value_events(value: &Printed, linked: bool, local: &dyn Fn(&str) -> Option<String>, out: &mut Vec<Event<'_>>) {
    let text = Event::Text(value.text.clone().into());
    let attribute =
        |text: &str| text.replace('&', "&amp;").replace('"', "&quot;").replace('<', "&lt;").replace('>', "&gt;");
    let mut wrapped = |open: String, close: &'static str, text| {
        out.extend([Event::InlineHtml(open.into()), text, Event::InlineHtml(close.into())]);
    };
    match &value.kind {
        Kind::Amount { value, unit } => {
            let (value, unit) = (attribute(value), attribute(unit));
            wrapped(format!("<data class=\"amount\" value=\"{value}\" data-unit=\"{unit}\">"), "</data>", text);
        }
        Kind::Figure { value } => wrapped(format!("<data value=\"{}\">", attribute(value)), "</data>", text),
        Kind::Time(seconds) => {
            wrapped(format!("<time datetime=\"{}\">", super::film::duration(*seconds)), "</time>", text);
        }
        Kind::Link(path) => match local(path).filter(|_| !linked) {
            Some(dest) => {
                let (dest_url, title, id) = (dest.into(), "".into(), "".into());
                out.push(Event::Start(Tag::Link { link_type: LinkType::Inline, dest_url, title, id }));
                out.push(text);
                out.push(Event::End(TagEnd::Link));
            }
            None => out.push(text),
        },
        Kind::Text | Kind::Unnamed => out.push(text),
    }
}

/// Where a link of the prose may lead: the web, a mail address, a place on the page, or what `local` makes of a path.
fn safe_link(target: &str, local: &dyn Fn(&str) -> Option<String>) -> Option<String> {
    let lower = target.trim().to_lowercase();
    if ["https://", "http://", "mailto:", "#"].iter().any(|s| lower.starts_with(s)) {
        return Some(target.trim().to_owned());
    }
    if lower.contains(':') || lower.starts_with('/') || lower.starts_with('\\') {
        return None;
    }
    local(target.trim())
}

/// The events of a text, made safe.
fn events<'a>(text: &'a str, values: &[Printed], local: &dyn Fn(&str) -> Option<String>) -> Vec<Event<'a>> {
    let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
    let mut open_links: Vec<bool> = Vec::new();
    let mut out = Vec::new();
    for event in Parser::new_ext(text, options) {
        match event {
            Event::Text(t) => {
                let linked = open_links.contains(&true);
                for piece in pieces(&t, values) {
                    match piece {
                        Piece::Words("") => {}
                        Piece::Words(words) => out.push(Event::Text(words.to_owned().into())),
                        Piece::Value(value) => value_events(value, linked, local, &mut out),
                    }
                }
            }
            Event::Code(t) => out.push(Event::Code(filled(&t, values).into())),
            Event::Html(t) | Event::InlineHtml(t) => out.push(Event::Text(filled(&t, values).into())),
            Event::Start(Tag::HtmlBlock) => out.push(Event::Start(Tag::Paragraph)),
            Event::End(TagEnd::HtmlBlock) => out.push(Event::End(TagEnd::Paragraph)),
            Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
                match safe_link(&filled(&dest_url, values), local) {
                    Some(dest) => {
                        open_links.push(true);
                        let title: CowStr<'a> = filled(&title, values).into();
                        out.push(Event::Start(Tag::Link { link_type, dest_url: dest.into(), title, id }));
                    }
                    None => open_links.push(false),
                }
            }
            Event::End(TagEnd::Link) => {
                if open_links.pop().unwrap_or(false) {
                    out.push(Event::End(TagEnd::Link));
                }
            }
            // Pictures stand in `picture:`, with their sizes; one in the prose leaves its words.
            Event::Start(Tag::Image { .. }) | Event::End(TagEnd::Image) => {}
            other => out.push(other),
        }
    }
    out
}

fn to_html<'a>(events: impl IntoIterator<Item = Event<'a>>) -> String {
    let mut out = String::new();
    html::push_html(&mut out, events.into_iter());
    out.trim().to_owned()
}

fn plain(events: &[Event<'_>]) -> String {
    let words = events.iter().filter_map(|e| match e {
        Event::Text(t) | Event::Code(t) => Some(t.to_string()),
        Event::SoftBreak | Event::HardBreak => Some(" ".into()),
        _ => None,
    });
    words.collect::<String>().trim().to_owned()
}

/// A Markdown body taken apart, before it is put into any form: events of `pulldown_cmark`, made safe.
#[derive(Debug, Clone, Default)]
pub(super) struct Parts {
    /// What stands before the steps and the first heading.
    pub lead: Vec<Event<'static>>,
    /// What stands inside each item of the first ordered list.
    pub steps: Vec<Vec<Event<'static>>>,
    /// Everything else, by heading; a heading that held nothing but the steps has done its work and is left out.
    pub sections: Vec<(String, Vec<Event<'static>>)>,
}

/// Takes a recipe's body apart: lead, steps, and the rest by heading.
pub(super) fn parts(text: &str, values: &[(Expression, Evaluated)], local: &dyn Fn(&str) -> Option<String>) -> Parts {
    let (text, shown) = with_placeholders(text, values);
    let events: Vec<Event<'static>> = events(&text, &shown, local).into_iter().map(Event::into_static).collect();
    let mut parts = Parts::default();
    let mut at = 0;
    while at < events.len() {
        let end = block_end(&events, at);
        match &events[at] {
            Event::Start(Tag::Heading { .. }) => parts.sections.push((plain(&events[at..end]), Vec::new())),
            Event::Start(Tag::List(Some(_))) if parts.steps.is_empty() => {
                parts.steps = item_events(&events[at..end]).map(<[Event<'static>]>::to_vec).collect();
            }
            _ => {
                let list = parts.sections.last_mut().map_or(&mut parts.lead, |(_, list)| list);
                list.extend(events[at..end].iter().cloned());
            }
        }
        at = end;
    }
    parts.sections.retain(|(_, list)| !list.is_empty());
    parts
}

/// Takes a recipe's body apart, as HTML and as plain text.
pub(super) fn body(text: &str, values: &[(Expression, Evaluated)], local: &dyn Fn(&str) -> Option<String>) -> Body {
    let parts = parts(text, values, local);
    let sections = parts.sections.into_iter().map(|(heading, events)| Section {
        heading: Some(heading),
        text: without_markup(&events),
        html: to_html(events),
    });
    Body {
        lead_text: without_markup(&parts.lead),
        lead: to_html(parts.lead),
        step_texts: parts.steps.iter().map(|s| without_markup(s)).collect(),
        steps: parts.steps.iter().map(|s| item(s)).collect(),
        sections: sections.filter(|s| !s.html.is_empty()).collect(),
    }
}

/// One past the event that closes the block that opens at `at`.
fn block_end(events: &[Event<'_>], at: usize) -> usize {
    let mut depth = 0usize;
    for (i, event) in events.iter().enumerate().skip(at) {
        match event {
            Event::Start(_) => depth += 1,
            Event::End(_) => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth == 0 {
            return i + 1;
        }
    }
    events.len()
}

/// What stands inside each item of a list.
fn item_events<'l, 'e>(list: &'l [Event<'e>]) -> impl Iterator<Item = &'l [Event<'e>]> {
    let mut at = 1;
    std::iter::from_fn(move || {
        while at + 1 < list.len() {
            let (start, end) = (at, block_end(list, at));
            at = end;
            if matches!(list[start], Event::Start(Tag::Item)) {
                return Some(&list[start + 1..end - 1]);
            }
        }
        None
    })
}

/// An item of a list as HTML.
fn item(inner: &[Event<'_>]) -> String {
    let loose = matches!(inner.first(), Some(Event::Start(Tag::Paragraph)));
    let html = to_html(inner.iter().cloned());
    if loose { html } else { wrap(inner, html) }
}

/// Words without markup: paragraphs apart, the items of a list each on a line of its own.
fn without_markup(events: &[Event<'_>]) -> String {
    let mut out = String::new();
    let mut lists = 0usize;
    let line = |out: &mut String, lines: usize| {
        let end = out.trim_end().len();
        let had = out[end..].bytes().filter(|b| *b == b'\n').count();
        out.truncate(end);
        if !out.is_empty() {
            out.push_str(&"\n".repeat(lines.max(had)));
        }
    };
    for event in events {
        match event {
            Event::Text(t) | Event::Code(t) => out.push_str(t),
            Event::SoftBreak | Event::HardBreak => out.push(' '),
            // The first paragraph of an item stands behind its dash.
            Event::Start(Tag::Paragraph) if out.ends_with("- ") => {}
            Event::Start(Tag::Paragraph | Tag::Heading { .. } | Tag::BlockQuote(_) | Tag::CodeBlock(_)) => {
                line(&mut out, 2);
            }
            Event::Start(Tag::List(_)) => {
                line(&mut out, if lists == 0 { 2 } else { 1 });
                lists += 1;
            }
            Event::Start(Tag::Item) => {
                line(&mut out, 1);
                out.push_str("- ");
            }
            Event::Start(Tag::TableRow | Tag::TableHead) => line(&mut out, 1),
            Event::End(TagEnd::TableCell) => out.push_str("  "),
            Event::End(TagEnd::List(_)) => {
                lists = lists.saturating_sub(1);
                line(&mut out, if lists == 0 { 2 } else { 1 });
            }
            Event::End(TagEnd::Paragraph | TagEnd::Heading(_)) => line(&mut out, 2),
            _ => {}
        }
    }
    out.trim().to_owned()
}

/// A tight item's words become a paragraph; a list inside it stands behind them.
fn wrap(inner: &[Event<'_>], html: String) -> String {
    match inner
        .iter()
        .position(|e| matches!(e, Event::Start(Tag::List(_) | Tag::CodeBlock(_) | Tag::BlockQuote(_) | Tag::Table(_))))
    {
        Some(at) => {
            let words = to_html(inner[..at].iter().cloned());
            let rest = to_html(inner[at..].iter().cloned());
            format!("<p>{words}</p>\n{rest}")
        }
        None => format!("<p>{html}</p>"),
    }
}

/// A plain page as HTML.
pub(super) fn page(
    text: &str,
    title: &str,
    values: &[(Expression, Evaluated)],
    local: &dyn Fn(&str) -> Option<String>,
) -> String {
    to_html(page_events(text, title, values, local))
}

/// A plain page: headings one level down, since the page's title is the first; a first heading that repeats the title goes.
pub(super) fn page_events(
    text: &str,
    title: &str,
    values: &[(Expression, Evaluated)],
    local: &dyn Fn(&str) -> Option<String>,
) -> Vec<Event<'static>> {
    let (text, shown) = with_placeholders(text, values);
    let mut events: Vec<Event<'static>> = events(&text, &shown, local).into_iter().map(Event::into_static).collect();
    if let Some(Event::Start(Tag::Heading { .. })) = events.first() {
        let end = block_end(&events, 0);
        if plain(&events[..end]) == title {
            events.drain(..end);
        }
    }
    // The shallowest heading of the page becomes a second-level one, and no level is skipped below it.
    let mut stack: Vec<HeadingLevel> = Vec::new();
    let mut mapped = HeadingLevel::H2;
    let events = events.into_iter().map(|event| match event {
        Event::Start(Tag::Heading { level, id, classes, attrs }) => {
            stack.retain(|open| *open < level);
            stack.push(level);
            mapped = match stack.len() {
                1 => HeadingLevel::H2,
                2 => HeadingLevel::H3,
                3 => HeadingLevel::H4,
                4 => HeadingLevel::H5,
                _ => HeadingLevel::H6,
            };
            Event::Start(Tag::Heading { level: mapped, id, classes, attrs })
        }
        Event::End(TagEnd::Heading(_)) => Event::End(TagEnd::Heading(mapped)),
        other => other,
    });
    events.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn none(_: &str) -> Option<String> {
        None
    }

    #[test]
    fn a_body_is_taken_apart() {
        let body = body("Words first.\n\n1. One.\n2. Two *hot*.\n\n## Why\n\nBecause.\n", &[], &none);
        assert_eq!(body.lead, "<p>Words first.</p>");
        assert_eq!(body.steps, ["<p>One.</p>", "<p>Two <em>hot</em>.</p>"]);
        assert_eq!(body.sections[0].heading.as_deref(), Some("Why"));
        assert_eq!(body.step_texts, ["One.", "Two hot."]);
    }

    #[test]
    fn words_without_markup_keep_their_paragraphs() {
        let text = "A *b*\nc.\n\nD [e](https://x.example/).\n\n- f\n- g\n";
        assert_eq!(body(text, &[], &none).lead_text, "A b c.\n\nD e.\n\n- f\n- g");
    }

    #[test]
    fn nothing_of_a_writer_runs() {
        let text = "<script>x()</script>\n\n[a](javascript:x()) [b](https://x.example/) <b onclick=x>c</b>\n";
        let html = body(text, &[], &none).lead;
        assert!(!html.contains("<script") && !html.contains("javascript:") && !html.contains("<b "), "{html}");
        assert!(html.contains("<a href=\"https://x.example/\">b</a>"));
    }

    #[test]
    fn values_are_text_and_never_markup() {
        let expression = crate::ask::prose::find("{{ abv }}").remove(0);
        let values = [(expression, Ok(Printed::text("**<i>x</i>**")))];
        let html = body("{{ abv }} strong", &values, &none).lead;
        assert_eq!(html, "<p>**&lt;i&gt;x&lt;/i&gt;** strong</p>");
    }

    #[test]
    fn values_are_marked_for_machines_and_lead_somewhere() {
        let kinds = [
            (
                Kind::Amount { value: "70".into(), unit: "ml".into() },
                "<data class=\"amount\" value=\"70\" data-unit=\"ml\">a&lt;b</data>",
            ),
            (Kind::Figure { value: "14.1".into() }, "<data value=\"14.1\">a&lt;b</data>"),
            (Kind::Time(90), "<time datetime=\"PT1M30S\">a&lt;b</time>"),
            (Kind::Link("x".into()), "<a href=\"to-x\">a&lt;b</a>"),
            (Kind::Link("\" onclick=\"".into()), "<a href=\"to-%22%20onclick=%22\">a&lt;b</a>"),
            (Kind::Text, "a&lt;b"),
        ];
        for (kind, html) in kinds {
            let mut printed = Printed::text("a<b");
            printed.kind = kind;
            let values = [(crate::ask::prose::find("{{ abv }}").remove(0), Ok(printed))];
            let local = |path: &str| Some(format!("to-{path}"));
            let parts = body("{{ abv }}", &values, &local);
            assert_eq!((parts.lead.as_str(), parts.lead_text.as_str()), (format!("<p>{html}</p>").as_str(), "a<b"));
            // Inside a link of the prose's own there is no second one.
            let mut values = values;
            values[0].0.range = (1, 10);
            let twice = body("[{{ abv }}](https://x.example/)", &values, &local).lead;
            assert_eq!(twice.matches("<a ").count(), 1, "{twice}");
        }
    }

    #[test]
    fn headings_of_a_page_leave_no_gap() {
        let html = page("# T\n\n# A\n\n### B\n\n# C\n", "T", &[], &none);
        assert_eq!(html, "<h2>A</h2>\n<h3>B</h3>\n<h2>C</h2>");
    }
}

//! A glossary: a page whose every paragraph opens with a term in bold becomes a list of terms, each with an address of its own.

use serde_json::{Value, json};

use crate::press::content::figures::id;

/// The terms of a page's HTML, if it is a glossary; else `None`.
pub(super) fn terms(html: &str) -> Option<Vec<Value>> {
    let mut taken = std::collections::BTreeSet::new();
    let paragraphs: Vec<&str> = html.split("</p>").map(str::trim).filter(|p| !p.is_empty()).collect();
    let terms: Option<Vec<Value>> = paragraphs
        .iter()
        .map(|paragraph| {
            let (term, rest) = paragraph.strip_prefix("<p><strong>")?.split_once("</strong>")?;
            let rest = rest.trim();
            if term.contains('<') || rest.is_empty() {
                return None;
            }
            // The template escapes it again.
            let term = term.trim_end_matches(['.', ':']);
            let term = term.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
            let base = id("term", &term);
            let mut own = base.clone();
            let mut n = 2;
            while !taken.insert(own.clone()) {
                own = format!("{base}-{n}");
                n += 1;
            }
            Some(json!({ "id": own, "term": term, "html": format!("<p>{rest}</p>") }))
        })
        .collect();
    terms.filter(|t| t.len() > 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_page_of_terms_is_a_glossary() {
        let list = terms("<p><strong>Top.</strong> Fill up.</p>\n<p><strong>A &amp; B.</strong> Both.</p>").unwrap();
        assert_eq!(list[0], json!({ "id": "term-top", "term": "Top", "html": "<p>Fill up.</p>" }));
        assert_eq!(list[1]["term"], "A & B");
        assert!(terms("<p>Words.</p>\n<p><strong>Top.</strong> Fill up.</p>").is_none());
        assert!(terms("<p><strong>Only.</strong> One.</p>").is_none());
    }
}

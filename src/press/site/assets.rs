//! Files beside the pages: style sheets, scripts, the mark and its icons; and what makes every file small and its name new when it
//! changes.

use std::collections::BTreeMap;

use sha2::{Digest, Sha256};

use super::theme::extras;
use crate::notebook::Notes;
use crate::press::{Content, Output};
use crate::problem::{Problem, code};
use crate::source::Span;

/// Text files that the program carries. A house's file of the same name in `templates/site/` wins.
const BUILT_IN: &[(&str, &str)] = &[
    // One request for both: the second is what scaling in the page needs.
    (
        "site.css",
        concat!(include_str!("../../../templates/site/site.css"), include_str!("../../../templates/site/scale.css")),
    ),
    ("pages.css", include_str!("../../../templates/site/pages.css")),
    ("site.js", include_str!("../../../templates/site/site.js")),
    ("work.css", include_str!("../../../templates/site/work.css")),
    ("work.js", include_str!("../../../templates/site/work.js")),
    ("find.js", include_str!("../../../templates/site/find.js")),
    ("lists.js", include_str!("../../../templates/site/lists.js")),
    ("scale.js", include_str!("../../../templates/site/scale.js")),
    ("mark.svg", include_str!("../../../templates/site/mark.svg")),
];

/// Sizes of the icon, in pixels: the two that an installed page needs.
pub(super) const ICONS: &[u32] = &[192, 512];

/// Longest mark that stands in the head of every page, in bytes.
const LARGEST_ICON: usize = 1000;

/// The name of an icon.
pub(super) fn icon(size: u32) -> String {
    format!("icon-{size}.png")
}

/// Files beside the pages, by path.
pub(super) struct Assets(BTreeMap<String, Vec<u8>>);

impl Assets {
    /// All of them. `made` are those that depend on the recipes.
    ///
    /// # Errors
    /// A file of the house that cannot be read, or a mark that is no drawing.
    pub(super) fn new(notes: &Notes, made: impl IntoIterator<Item = (String, Vec<u8>)>) -> Result<Self, Vec<Problem>> {
        let mut files: BTreeMap<String, Vec<u8>> =
            BUILT_IN.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect();
        files.extend(made);
        let mut mark_at = None;
        for (name, asset) in extras(notes) {
            files.insert(name.to_owned(), asset.bytes.clone());
            if name == "mark.svg" {
                mark_at = asset.file;
            }
        }
        if let Some(own) = notes.templates.iter().find(|a| a.path == "site/house.css") {
            let sheet = files.entry("site.css".into()).or_default();
            sheet.push(b'\n');
            sheet.extend(&own.bytes);
        }
        for (name, bytes) in &mut files {
            if let Ok(text) = std::str::from_utf8(bytes) {
                match name.rsplit('.').next() {
                    Some("css") => *bytes = squeeze_style(text).into_bytes(),
                    Some("js") => *bytes = squeeze_script(text).into_bytes(),
                    _ => {}
                }
            }
        }
        let mark = files.get("mark.svg").cloned().unwrap_or_default();
        for size in ICONS {
            match draw(&mark, *size) {
                Ok(png) => {
                    files.insert(icon(*size), png);
                }
                Err(words) => {
                    let span = Span::new(mark_at.unwrap_or(notes.house.file), 0, 0);
                    return Err(vec![
                        Problem::new(code::TEMPLATE_ERROR, span, format!("the mark cannot be drawn: {words}"))
                            .help("save it as a plain SVG with a `viewBox`"),
                    ]);
                }
            }
        }
        Ok(Self(files))
    }

    /// The address of each file with the first digits of what it holds, so that a reader never has half of an old edition.
    pub(super) fn addresses(&self) -> BTreeMap<String, String> {
        self.0.iter().map(|(name, bytes)| (name.clone(), format!("{name}?v={}", digest(bytes)))).collect()
    }

    /// The mark as a `data:` address, so that no page asks for it; `None` where it is too large to stand in every page.
    pub(super) fn icon_address(&self) -> Option<String> {
        let mark = std::str::from_utf8(self.0.get("mark.svg")?).ok()?;
        let kept = |c: char| c.is_ascii_alphanumeric() || " =:/.-,()".contains(c);
        let mut bytes = [0; 4];
        let written: String = mark
            .trim()
            .replace('"', "'")
            .chars()
            .map(|c| {
                if kept(c) {
                    c.to_string()
                } else {
                    c.encode_utf8(&mut bytes).bytes().map(|b| format!("%{b:02X}")).collect()
                }
            })
            .collect();
        (written.len() <= LARGEST_ICON).then(|| format!("data:image/svg+xml,{}", written.replace(' ', "%20")))
    }

    /// Puts the files into the output.
    pub(super) fn put(self, output: &mut Output) {
        output.extend(self.0.into_iter().map(|(name, bytes)| (name, Content::Bytes(bytes))));
    }
}

/// The first eight digits of the SHA-256 of some bytes.
pub(super) fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(4).map(|b| format!("{b:02x}")).collect()
}

/// A drawing as a square PNG.
fn draw(svg: &[u8], size: u32) -> Result<Vec<u8>, String> {
    use resvg::{tiny_skia, usvg};
    let tree = usvg::Tree::from_data(svg, &usvg::Options::default()).map_err(|e| e.to_string())?;
    let mut pixels = tiny_skia::Pixmap::new(size, size).ok_or("it has no size")?;
    let side = tree.size().width().max(tree.size().height());
    let scale = size as f32 / side;
    let middle = |own: f32| (side - own) / 2.0 * scale;
    let place = tiny_skia::Transform::from_row(
        scale,
        0.0,
        0.0,
        scale,
        middle(tree.size().width()),
        middle(tree.size().height()),
    );
    resvg::render(&tree, place, &mut pixels.as_mut());
    pixels.encode_png().map_err(|e| e.to_string())
}

/// A page without what only its writer needs: indentation and empty lines. Text that is laid out by hand is kept.
pub(super) fn squeeze_page(html: &str) -> String {
    let mut out = String::with_capacity(html.len());
    let mut kept: Option<&str> = None;
    for line in html.lines() {
        let shown = if kept.is_some() { line } else { line.trim() };
        if !shown.is_empty() || kept.is_some() {
            out.push_str(shown);
            out.push('\n');
        }
        for (open, close) in [("<pre", "</pre>"), ("<textarea", "</textarea>")] {
            let opens = line.rfind(open);
            let closes = line.rfind(close);
            if opens.is_some() && opens > closes {
                kept = Some(close);
            } else if kept == Some(close) && closes.is_some() {
                kept = None;
            }
        }
    }
    out
}

/// A style sheet without comments and indentation.
fn squeeze_style(css: &str) -> String {
    let mut out = String::with_capacity(css.len());
    let mut rest = css;
    while let Some((before, after)) = rest.split_once("/*") {
        out.push_str(before);
        rest = after.split_once("*/").map_or("", |(_, behind)| behind);
    }
    out.push_str(rest);
    // Spaces and line ends beside braces, colons and semicolons mean nothing outside quotes; `a :hover` has none behind its colon.
    let tight = |text: &str| {
        [
            ("{\n", "{"),
            ("}\n", "}"),
            (";\n", ";"),
            (",\n", ","),
            (" {", "{"),
            ("{ ", "{"),
            (" }", "}"),
            (": ", ":"),
            ("; ", ";"),
            (";}", "}"),
            (", ", ","),
            (" > ", ">"),
        ]
        .iter()
        .fold(text.to_owned(), |text, (from, to)| text.replace(from, to))
    };
    let lines = lines(&out, |_| true);
    let quoted = |(i, part): (usize, &str)| if i % 2 == 0 { tight(part) } else { part.to_owned() };
    lines.split('"').enumerate().map(quoted).collect::<Vec<_>>().join("\"")
}

/// A script without its whole-line comments and indentation. A template literal of several lines is a comment's only enemy, so the
/// scripts have none.
fn squeeze_script(js: &str) -> String {
    lines(js, |line| !line.starts_with("//"))
}

fn lines(text: &str, keep: fn(&str) -> bool) -> String {
    let mut out: String =
        text.lines().map(str::trim).filter(|l| !l.is_empty() && keep(l)).collect::<Vec<_>>().join("\n");
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_lose_their_indentation_and_nothing_else() {
        let html = "<p>\n   a\n\n   b</p>\n<pre>  c\n\n   d</pre>\n   <p>e</p>\n";
        assert_eq!(squeeze_page(html), "<p>\na\nb</p>\n<pre>  c\n\n   d</pre>\n<p>e</p>\n");
        assert_eq!(squeeze_page("<pre>a</pre>\n  b"), "<pre>a</pre>\nb\n");
    }

    #[test]
    fn style_sheets_and_scripts_lose_their_comments() {
        assert_eq!(squeeze_style("/* a\n b */\n  p { color: red; }\n\n"), "p{color:red}");
        assert_eq!(squeeze_style("a :hover::after { content: \": {\"; }"), "a :hover::after{content:\": {\"}");
        assert_eq!(squeeze_script("// why\n  let a = 1; // kept\n"), "let a = 1; // kept\n");
        assert!(!squeeze_script(BUILT_IN[2].1).contains('`'), "a template literal may hold what looks like a comment");
    }

    #[test]
    fn the_mark_is_drawn_in_both_sizes() {
        let mark = BUILT_IN.iter().find(|(name, _)| *name == "mark.svg").unwrap().1;
        for size in ICONS {
            let png = draw(mark.as_bytes(), *size).unwrap();
            assert_eq!(imagesize::blob_size(&png).unwrap().width, *size as usize);
        }
        assert!(draw(b"<p>", 192).is_err());
    }
}

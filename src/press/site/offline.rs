//! Reading without a signal: the web manifest and the service worker.
//!
//! The worker keeps every file under the hash of what it holds. An edition replaces another as a whole, when the reader says so, and
//! files that did not change are not fetched again.

use serde_json::{Value, json};

use super::assets::{ICONS, digest, icon};
use crate::press::publication::Publication;
use crate::press::{Content, Output, address};
use crate::problem::{Problem, code};
use crate::source::Span;

const WORKER: &str = include_str!("../../../templates/site/sw.js");

/// Name of the manifest and of the worker.
pub(super) const MANIFEST: &str = "manifest.webmanifest";
pub(super) const WORKER_NAME: &str = "sw.js";

/// `application/manifest+json`: all paths relative, so that the folder may lie anywhere.
pub(super) fn manifest(site: &Publication<'_>, icons: impl Fn(&str) -> String) -> Value {
    let icons: Vec<Value> = ICONS
        .iter()
        .map(|size| json!({ "src": icons(&icon(*size)), "sizes": format!("{size}x{size}"), "type": "image/png", "purpose": "any" }))
        .collect();
    let name = if site.is_house() {
        format!("{} · {}", site.house().name, site.say("base.house_edition"))
    } else {
        site.house().name.clone()
    };
    json!({
        "name": name,
        "short_name": site.house().name,
        "description": site.say("base.description"),
        "lang": site.words.language,
        "dir": site.words.direction(),
        "id": "./",
        "start_url": "./index.html",
        "scope": "./",
        "display": "minimal-ui",
        "background_color": "#141a1b",
        "theme_color": "#141a1b",
        "icons": icons,
        "shortcuts": [
            { "name": site.say("find.title"), "url": "./find.html" },
            { "name": site.say("allergens.title"), "url": "./allergens.html" },
        ],
    })
}

/// Whether a reader needs the file: not the cards and cut pictures that other sites show, nor what only machines ask for.
fn is_read(path: &str) -> bool {
    let machines = ["robots.txt", super::feed::FEED, super::feed::SITEMAP, super::export::DATA, super::export::SCHEMA];
    !path.starts_with("cards/") && !path.starts_with(crate::press::pictures::CROPS) && !machines.contains(&path)
}

/// The worker for an output: every file that is read with the hash of what it holds.
///
/// # Errors
/// A picture that can no longer be read.
pub(super) fn worker(site: &Publication<'_>, output: &Output) -> Result<String, Box<Problem>> {
    let mut files: Vec<(String, String)> = Vec::new();
    for (path, content) in output.iter().filter(|(path, _)| is_read(path)) {
        let hash = match content {
            Content::Bytes(bytes) => digest(bytes),
            Content::Copy(from) => {
                let media = &site.computed.graph.notes.media;
                let bytes = media.iter().find(|a| a.on_disk == *from).map(crate::notebook::walk::Asset::read);
                match bytes {
                    Some(Ok(bytes)) => digest(&bytes),
                    Some(Err(error)) => {
                        let at = Span::new(site.house().file, 0, 0);
                        return Err(Box::new(
                            Problem::new(code::UNREADABLE_FILE, at, format!("`{path}` cannot be read: {error}"))
                                .help("check the file and its permissions"),
                        ));
                    }
                    None => continue,
                }
            }
        };
        files.push((address(path), hash));
    }
    let list = serde_json::to_string(&files).unwrap_or_default().replace("],[", "],\n[");
    let edition = digest(list.as_bytes());
    let body: Vec<&str> = WORKER.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with("//")).collect();
    Ok(format!("const EDITION = \"{edition}\";\nconst FILES = {list};\n{}\n", body.join("\n")))
}

//! Putting output where it belongs: one JSON document on stdout, progress on a terminal, files into a folder as a whole.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;
use sha2::{Digest, Sha256};
use walkdir::WalkDir;

use crate::press::{Content, Edition, Output};

/// Prints one JSON document on stdout. A reader that went away is not a fault of ours.
pub(super) fn document(value: &impl Serialize) {
    let mut out = io::stdout().lock();
    let _ = serde_json::to_writer_pretty(&mut out, value);
    let _ = out.write_all(b"\n");
}

/// A word about long work, on a terminal only, and only once it is long.
pub(super) struct Progress(Option<ProgressBar>);

impl Progress {
    /// Starts it.
    pub fn start(what: &'static str) -> Self {
        if !io::stderr().is_terminal() {
            return Self(None);
        }
        let bar = ProgressBar::new_spinner().with_message(what);
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {elapsed}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(300));
        Self(Some(bar))
    }

    /// Takes it away.
    pub fn end(self) {
        if let Some(bar) = self.0 {
            bar.finish_and_clear();
        }
    }
}

/// Name of the list of what Costrel wrote into a folder, in the format of `sha256sum`.
pub(super) const LIST: &str = "costrel-files.txt";

/// Name of that list in a folder that holds what only the house sees.
const HOUSE_LIST: &str = "costrel-files-house.txt";

/// Folders of a notebook that are read: nothing is written into them.
const SOURCES: [&str; 6] = ["recipes", "pantry", "pages", "log", "media", "templates"];

/// Why a folder could not be written.
#[derive(Debug, thiserror::Error)]
pub(super) enum Refusal {
    /// The path is a file.
    #[error("`{}` is a file, not a folder\n  choose another path with `--to`", .0.display())]
    IsFile(PathBuf),
    /// The folder holds files that are not ours, or were changed since.
    #[error("`{}` holds files that Costrel did not write, so nothing was changed: {}\n  move them away, or choose another folder with `--to`", .0.display(), .1.join(", "))]
    Occupied(PathBuf, Vec<String>),
    /// The path is a folder.
    #[error("`{}` is a folder, not a file\n  name the file to write with `--to`", .0.display())]
    IsFolder(PathBuf),
    /// The file is not ours.
    #[error("`{}` was not written by Costrel, so nothing was changed\n  move it away, or choose another name with `--to`", .0.display())]
    Stranger(PathBuf),
    /// The folder holds the public edition, and the house's was to go there.
    #[error("`{}` holds the public edition, and what only the house sees must not land there\n  choose another folder with `--to`, for example one named `site-house`", .0.display())]
    Public(PathBuf),
    /// The path lies in a folder of the notebook that is read.
    #[error("`{}` lies in `{}/` of the notebook, which is read and not written\n  choose another path with `--to`", .0.display(), .1)]
    Source(PathBuf, &'static str),
    /// The disk or its permissions.
    #[error("cannot write `{}`: {}", .0.display(), .1)]
    Disk(PathBuf, io::Error),
}

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

/// What Costrel wrote into a folder the last time: the checksum of each file, by path. Nothing, where there is no list.
pub(super) fn last_list(folder: &Path) -> io::Result<BTreeMap<String, String>> {
    let mut list = String::new();
    for name in [LIST, HOUSE_LIST] {
        match fs::read_to_string(folder.join(name)) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => {}
            read => list.push_str(&read?),
        }
    }
    Ok(list.lines().filter_map(|l| l.split_once("  ")).map(|(h, p)| (p.to_owned(), h.to_owned())).collect())
}

/// Files of a folder that are not as Costrel wrote them.
fn strangers(folder: &Path) -> Result<Vec<String>, Refusal> {
    let disk = |e: io::Error| Refusal::Disk(folder.to_path_buf(), e);
    let ours = last_list(folder).map_err(disk)?;
    let mut found = Vec::new();
    for entry in WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.map_err(|e| disk(e.into()))?;
        if entry.file_type().is_dir() {
            continue;
        }
        let below = entry.path().strip_prefix(folder).unwrap_or(entry.path());
        let path = below.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
        if path == LIST || path == HOUSE_LIST {
            continue;
        }
        let same = entry.file_type().is_file()
            && ours.get(&path).is_some_and(|h| fs::read(entry.path()).is_ok_and(|bytes| hash(&bytes) == *h));
        if !same {
            found.push(path);
            // Somebody's whole disk need not be read to be left alone.
            if found.len() > MOST_STRANGERS {
                break;
            }
        }
    }
    Ok(found)
}

/// Files of somebody else that are looked for before a folder is refused.
const MOST_STRANGERS: usize = 500;

/// Whether a folder may be written: it is not there, or holds only what Costrel wrote. Files that Costrel did not write are
/// never touched: their presence is a [`Refusal`].
///
/// A folder that holds the public edition is published by someone, so the house's edition is refused there.
pub(super) fn ready(target: &Path, edition: Edition) -> Result<(), Refusal> {
    if edition == Edition::House && target.join(LIST).is_file() {
        return Err(Refusal::Public(target.to_path_buf()));
    }
    match fs::symlink_metadata(target) {
        Ok(meta) if meta.is_dir() => {
            let others = strangers(target)?;
            if others.is_empty() {
                return Ok(());
            }
            let shown = others.iter().take(5).cloned().chain((others.len() > 5).then(|| match others.len() {
                n if n > MOST_STRANGERS => "and many more".to_owned(),
                n => format!("and {} more", n - 5),
            }));
            Err(Refusal::Occupied(target.to_path_buf(), shown.collect()))
        }
        Ok(_) => Err(Refusal::IsFile(target.to_path_buf())),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(e) => Err(Refusal::Disk(target.to_path_buf(), e)),
    }
}

/// Whether a PDF may be written to a path: nothing is there, or an earlier one of ours, which says so in its own text.
pub(super) fn file_ready(target: &Path) -> Result<(), Refusal> {
    match fs::symlink_metadata(target) {
        Ok(meta) if meta.is_dir() => Err(Refusal::IsFolder(target.to_path_buf())),
        Ok(meta) if meta.is_file() => {
            let bytes = fs::read(target).map_err(|e| Refusal::Disk(target.to_path_buf(), e))?;
            let says = |what: &[u8]| bytes.windows(what.len()).any(|w| w == what);
            let ours = bytes.starts_with(b"%PDF-") && says(b"<xmp:CreatorTool>Costrel</xmp:CreatorTool>");
            if ours { Ok(()) } else { Err(Refusal::Stranger(target.to_path_buf())) }
        }
        Ok(_) => Err(Refusal::Stranger(target.to_path_buf())),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(e) => Err(Refusal::Disk(target.to_path_buf(), e)),
    }
}

/// Writes a file as a whole, if it is [`file_ready`]: beside it first, then in its place.
pub(super) fn file(target: &Path, bytes: &[u8]) -> Result<(), Refusal> {
    file_ready(target)?;
    let disk = |e: io::Error| Refusal::Disk(target.to_path_buf(), e);
    let parent = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    fs::create_dir_all(&parent).map_err(disk)?;
    let mut builder = tempfile::Builder::new();
    // Readable as any file that a program writes: the library's own default is the owner only.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut fresh = builder.prefix(".costrel-").tempfile_in(&parent).map_err(disk)?;
    fresh.write_all(bytes).map_err(disk)?;
    fresh.persist(target).map_err(|e| disk(e.error))?;
    Ok(())
}

/// Whether a path lies outside of what a notebook's folders of sources hold.
pub(super) fn no_source(root: &Path, target: &Path) -> Result<(), Refusal> {
    let (Ok(root), Ok(whole)) = (root.canonicalize(), std::path::absolute(target)) else { return Ok(()) };
    // Links are followed as far as the path is there; what is not there yet is made below that.
    let there = whole.ancestors().find_map(|a| Some((a, a.canonicalize().ok()?)));
    let whole = match &there {
        Some((ancestor, real)) => real.join(whole.strip_prefix(ancestor).unwrap_or(Path::new(""))),
        None => whole,
    };
    match SOURCES.into_iter().find(|folder| whole.starts_with(root.join(folder))) {
        Some(folder) => Err(Refusal::Source(target.to_path_buf(), folder)),
        None => Ok(()),
    }
}

/// Writes a folder as a whole, if it is [`ready`]: everything is written beside it first and put in its place at the end, so
/// that a failure leaves what was there.
pub(super) fn folder(target: &Path, files: &Output, edition: Edition) -> Result<(), Refusal> {
    ready(target, edition)?;
    let disk = |e: io::Error| Refusal::Disk(target.to_path_buf(), e);
    let parent = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    fs::create_dir_all(&parent).map_err(disk)?;
    let stage = tempfile::Builder::new().prefix(".costrel-").tempdir_in(&parent).map_err(disk)?;
    let fresh = stage.path().join("new");
    let mut list = String::new();
    for (path, content) in files {
        let copied;
        let bytes = match content {
            Content::Bytes(bytes) => bytes,
            Content::Copy(from) => {
                copied = fs::read(from).map_err(|e| Refusal::Disk(from.clone(), e))?;
                &copied
            }
        };
        let to = fresh.join(path);
        if let Some(dir) = to.parent() {
            fs::create_dir_all(dir).map_err(disk)?;
        }
        fs::write(&to, bytes).map_err(disk)?;
        list.push_str(&format!("{}  {path}\n", hash(bytes)));
    }
    fs::create_dir_all(&fresh).map_err(disk)?;
    let name = if edition == Edition::House { HOUSE_LIST } else { LIST };
    fs::write(fresh.join(name), list).map_err(disk)?;
    let old = stage.path().join("old");
    let had = target.exists();
    if had {
        fs::rename(target, &old).map_err(disk)?;
    }
    if let Err(e) = fs::rename(&fresh, target) {
        if had {
            // Put back what was there; if even that fails, the stage is kept on disk.
            if fs::rename(&old, target).is_err() {
                let _ = stage.keep();
            }
        }
        return Err(disk(e));
    }
    Ok(())
}

//! Walking the notebook's folders and reading its text files: the only place that reads a notebook from disk.

use std::fs;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use walkdir::WalkDir;

use crate::problem::{Code, Problem, code};
use crate::source::{FileId, SourceFile, Sources, Span};

/// Largest source file: 4 MiB.
pub const LARGEST: u64 = 4 * 1024 * 1024;

/// What a file is, by where it lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// `house.yaml`.
    House,
    /// `pantry/**/*.yaml`.
    Pantry,
    /// `recipes/**/*.md`.
    Recipe,
    /// `pages/**/*.md`.
    Page,
    /// `log/**/*.yaml`.
    Log,
}

/// A text file that was read.
#[derive(Debug, Clone, Copy)]
pub struct TextFile {
    /// Its number.
    pub id: FileId,
    /// What it is.
    pub kind: Kind,
}

/// A file that is copied or used as it is: a picture, a template.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asset {
    /// Path below its folder, with `/`.
    pub path: String,
    /// Where it lies on disk.
    pub on_disk: PathBuf,
    /// Width and height in pixels, for a picture whose kind says so in its first bytes.
    pub pixels: Option<(usize, usize)>,
    /// What it holds, for a template; pictures stay on disk until they are asked for.
    pub bytes: Vec<u8>,
    /// Its text among the sources, for a template that is text: where a problem with it stands.
    pub file: Option<FileId>,
}

impl Asset {
    /// What the file holds now.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn read(&self) -> std::io::Result<Vec<u8>> {
        fs::read(&self.on_disk)
    }
}

/// What the walk found.
#[derive(Debug, Default)]
pub struct Found {
    /// Text files, in path order.
    pub texts: Vec<TextFile>,
    /// Files below `media/`.
    pub media: Vec<Asset>,
    /// Files below `templates/`.
    pub templates: Vec<Asset>,
}

/// The folders of a notebook.
const FOLDERS: &[&str] = &["pantry", "recipes", "pages", "log", "media", "templates", "out"];

/// Endings of templates that must be text.
const TEMPLATE_TEXTS: &[&str] = &["css", "html", "js", "json", "md", "svg", "txt", "typ", "xml", "yaml"];

struct Walk<'a> {
    root: PathBuf,
    canonical: PathBuf,
    sources: &'a mut Sources,
    problems: &'a mut Vec<Problem>,
    found: Found,
}

/// Walks the notebook at `root` and reads its texts into `sources`.
pub fn walk(root: &Path, sources: &mut Sources, problems: &mut Vec<Problem>) -> Found {
    let canonical = fs::canonicalize(root).unwrap_or_else(|_| root.to_path_buf());
    let mut walk = Walk { root: root.to_path_buf(), canonical, sources, problems, found: Found::default() };
    walk.house();
    walk.misnamed();
    for (folder, extension, kind) in [
        ("pantry", "yaml", Kind::Pantry),
        ("recipes", "md", Kind::Recipe),
        ("pages", "md", Kind::Page),
        ("log", "yaml", Kind::Log),
    ] {
        walk.texts(folder, extension, kind);
    }
    walk.found.media = walk.assets("media");
    walk.found.templates = walk.assets("templates");
    walk.found
}

impl Walk<'_> {
    fn relative(&self, path: &Path) -> String {
        let below = path.strip_prefix(&self.root).unwrap_or(path);
        below.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
    }

    /// A problem with a file that gave no text.
    fn fault(&mut self, path: &str, code: Code, message: String, help: &str) {
        let id = self.sources.add(SourceFile::new(path, ""));
        self.problems.push(Problem::new(code, Span::new(id, 0, 0), message).help(help));
    }

    fn house(&mut self) {
        let path = self.root.join("house.yaml");
        if path.is_file() {
            if self.inside(&path) {
                self.read(&path, Kind::House);
            }
        } else {
            let help = if self.root.join("house.yml").is_file() {
                "rename `house.yml` to `house.yaml`"
            } else {
                "write a house.yaml with at least `name:`, or start one with `costrel begin`"
            };
            let message = "this folder has no house.yaml, so it is not a notebook";
            self.fault("house.yaml", code::NO_NOTEBOOK, message.into(), help);
        }
    }

    /// Folders beside `recipes/` whose name is nearly one that is read: what they hold would be missed without a word.
    fn misnamed(&mut self) {
        let Ok(entries) = fs::read_dir(&self.root) else { return };
        let mut names: Vec<String> = entries
            .flatten()
            .filter(|e| e.path().is_dir())
            .map(|e| e.file_name().to_string_lossy().into_owned())
            .filter(|n| !n.starts_with('.') && !FOLDERS.contains(&n.as_str()))
            .collect();
        names.sort();
        for name in names {
            let near = FOLDERS.iter().find(|f| strsim::damerau_levenshtein(f, &name.to_lowercase()) <= 2);
            // Two letters of three are another word: `bag` is not `log`.
            if let Some(near) = near.filter(|f| f.len() > 3 || name.to_lowercase() == **f) {
                let message = format!("nothing in `{name}/` is read");
                self.fault(&name, code::UNEXPECTED_FILE, message, &format!("did you mean `{near}/`?"));
            }
        }
    }

    fn inside(&mut self, path: &Path) -> bool {
        match fs::canonicalize(path) {
            Ok(real) if real.starts_with(&self.canonical) => true,
            Ok(_) => {
                let shown = self.relative(path);
                self.fault(
                    &shown,
                    code::SYMLINK_OUTSIDE,
                    "this link leads out of the notebook".into(),
                    "copy what it points at into the notebook, or remove the link",
                );
                false
            }
            Err(error) => {
                let shown = self.relative(path);
                self.fault(
                    &shown,
                    code::UNREADABLE_FILE,
                    format!("cannot be read: {error}"),
                    "check the file and its permissions",
                );
                false
            }
        }
    }

    fn entries(&mut self, folder: &str) -> Vec<PathBuf> {
        let start = self.root.join(folder);
        if fs::symlink_metadata(&start).is_err() {
            return Vec::new();
        }
        if !self.inside(&start) {
            return Vec::new();
        }
        let mut files = Vec::new();
        let walker = WalkDir::new(&start).follow_links(true).sort_by_file_name().into_iter();
        let visible = |e: &walkdir::DirEntry| e.depth() == 0 || !e.file_name().to_string_lossy().starts_with('.');
        let mut walker = walker.filter_entry(visible);
        loop {
            match walker.next() {
                None => break,
                Some(Ok(entry)) => {
                    if entry.path_is_symlink() && !self.inside(entry.path()) {
                        if entry.file_type().is_dir() {
                            walker.skip_current_dir();
                        }
                        continue;
                    }
                    if entry.file_type().is_file() {
                        files.push(entry.into_path());
                    } else if !entry.file_type().is_dir() {
                        // A pipe or a device would keep its reader waiting.
                        let shown = self.relative(entry.path());
                        self.fault(
                            &shown,
                            code::UNREADABLE_FILE,
                            "this is neither a file nor a folder".into(),
                            "remove it, or put a file in its place",
                        );
                    }
                }
                Some(Err(error)) => {
                    let shown = error.path().map_or_else(|| folder.to_owned(), |p| self.relative(p));
                    if error.loop_ancestor().is_some() {
                        self.fault(
                            &shown,
                            code::SYMLINK_OUTSIDE,
                            "this link leads round in a circle".into(),
                            "remove the link",
                        );
                    } else if fs::symlink_metadata(self.root.join(&shown)).is_ok_and(|m| m.file_type().is_symlink()) {
                        self.fault(
                            &shown,
                            code::UNREADABLE_FILE,
                            "this link leads nowhere".into(),
                            "remove the link, or put back what it pointed at",
                        );
                    } else {
                        let message = error.io_error().map_or_else(|| error.to_string(), ToString::to_string);
                        self.fault(
                            &shown,
                            code::UNREADABLE_FILE,
                            format!("cannot be read: {message}"),
                            "check the folder and its permissions",
                        );
                    }
                }
            }
        }
        files
    }

    fn texts(&mut self, folder: &str, extension: &str, kind: Kind) {
        for path in self.entries(folder) {
            let ends = path.extension().map(|e| e.to_string_lossy().to_lowercase());
            let matches = ends.as_deref().is_some_and(|e| e == extension || (extension == "yaml" && e == "yml"));
            if matches {
                self.read(&path, kind);
            } else {
                let shown = self.relative(&path);
                self.fault(
                    &shown,
                    code::UNEXPECTED_FILE,
                    format!("only `.{extension}` files are read in `{folder}/`"),
                    "move it to `media/` if it is a picture, or out of the notebook",
                );
            }
        }
    }

    fn assets(&mut self, folder: &str) -> Vec<Asset> {
        let start = self.root.join(folder);
        self.entries(folder)
            .into_iter()
            .map(|on_disk| {
                let below = on_disk.strip_prefix(&start).unwrap_or(&on_disk);
                let path = below.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
                let pixels = imagesize::size(&on_disk).ok().map(|s| (s.width, s.height)).or_else(|| svg_size(&on_disk));
                let bytes = if folder == "templates" { fs::read(&on_disk).unwrap_or_default() } else { Vec::new() };
                let file = if folder == "templates" { self.template(&on_disk, &bytes) } else { None };
                Asset { path, on_disk, pixels, bytes, file }
            })
            .collect()
    }

    /// A template's text among the sources. A font or a picture has none.
    fn template(&mut self, path: &Path, bytes: &[u8]) -> Option<FileId> {
        let shown = self.relative(path);
        let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
        match std::str::from_utf8(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)) {
            Ok(text) => Some(self.sources.add(SourceFile::new(shown, text))),
            Err(_) if TEMPLATE_TEXTS.contains(&ending.as_str()) => {
                self.fault(
                    &shown,
                    code::NOT_UTF8,
                    "this is not UTF-8 text".into(),
                    "save the file as UTF-8 text in your editor",
                );
                None
            }
            Err(_) => None,
        }
    }

    fn read(&mut self, path: &Path, kind: Kind) {
        let shown = self.relative(path);
        let mut bytes = Vec::new();
        let read = fs::File::open(path).and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes));
        if let Err(error) = read {
            self.fault(
                &shown,
                code::UNREADABLE_FILE,
                format!("cannot be read: {error}"),
                "check the file and its permissions",
            );
            return;
        }
        if bytes.len() as u64 > LARGEST {
            self.fault(
                &shown,
                code::FILE_TOO_LARGE,
                "this file is larger than 4 MiB".into(),
                "a recipe is a few kilobytes; check that this is the right file",
            );
            return;
        }
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
        let (text, fault) = match std::str::from_utf8(bytes) {
            Ok(text) => {
                let nul = text.find('\0');
                (text.to_owned(), nul.map(|at| (at, code::NUL_BYTE, "a NUL byte stands here; this is not a text file")))
            }
            Err(error) => {
                let at = error.valid_up_to();
                let lossy = String::from_utf8_lossy(bytes).into_owned();
                (lossy, Some((at, code::NOT_UTF8, "this is not UTF-8 text")))
            }
        };
        let empty = text.trim().is_empty();
        let id = self.sources.add(SourceFile::new(shown, text));
        if let Some((at, code, message)) = fault {
            self.problems.push(
                Problem::new(code, Span::new(id, at, at), message).help("save the file as UTF-8 text in your editor"),
            );
            return;
        }
        if empty {
            self.problems.push(
                Problem::new(code::EMPTY_FILE, Span::new(id, 0, 0), "this file is empty")
                    .help("write something in it, or remove it"),
            );
            return;
        }
        self.found.texts.push(TextFile { id, kind });
    }
}

/// Width and height of an SVG by its `viewBox`, rounded up.
fn svg_size(path: &Path) -> Option<(usize, usize)> {
    if path.extension().is_none_or(|e| !e.eq_ignore_ascii_case("svg")) {
        return None;
    }
    let mut head = String::new();
    fs::File::open(path).ok()?.take(4096).read_to_string(&mut head).ok()?;
    let numbers = head.split_once("viewBox=")?.1.get(1..)?.split(['"', '\'']).next()?;
    let mut sides = numbers.split([' ', ',']).filter(|n| !n.is_empty()).skip(2).map(|n| n.parse::<f64>().ok());
    let side = |n: f64| (n.is_finite() && (1.0..=100_000.0).contains(&n)).then_some(libm::ceil(n) as usize);
    Some((side(sides.next()??)?, side(sides.next()??)?))
}

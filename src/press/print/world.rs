//! The typesetter's world: it holds our templates, our fonts and one document's data, and answers for nothing else.
//!
//! A house's own files below `templates/print/` stand in front of the shipped ones of the same name; its fonts, below
//! `templates/print/fonts/`, in front of the shipped fonts. What the typesetter finds wrong is told at its place in the
//! house's file. There is no clock, no network, no package and no file of the system here.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde_json::Value;
use typst::diag::{FileError, FileResult, Severity as Weight, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Feature, Library, LibraryExt, World, WorldExt};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::notebook::Notes;
use crate::problem::{Problem, Severity, code};
use crate::source::{FileId as HouseFile, Span};

/// Templates that the program carries, by the name that a house overrides.
const TEMPLATES: &[(&str, &str)] = &[
    ("book.typ", include_str!("../../../templates/print/book.typ")),
    ("cards.typ", include_str!("../../../templates/print/cards.typ")),
    ("labels.typ", include_str!("../../../templates/print/labels.typ")),
    ("parts.typ", include_str!("../../../templates/print/parts.typ")),
    ("sheets.typ", include_str!("../../../templates/print/sheets.typ")),
    ("tests.typ", include_str!("../../../templates/print/tests.typ")),
];

/// Families of the shipped fonts that text is set in, the first choice first.
pub(super) const FAMILIES: &[&str] = &["Libertinus Serif", "DejaVu Sans Mono"];
/// The same for what is kept as it was written.
pub(super) const CODE_FAMILIES: &[&str] = &["DejaVu Sans Mono"];

/// The shipped fonts. Both families may be embedded: Libertinus Serif by the SIL Open Font License 1.1, DejaVu Sans Mono by
/// the Bitstream Vera licence; the mathematical family beside them is left out, since nothing here sets formulas.
static SHIPPED: LazyLock<Vec<Font>> = LazyLock::new(|| {
    typst_assets::fonts()
        .flat_map(|bytes| Font::iter(Bytes::new(bytes)))
        .filter(|f| FAMILIES.contains(&f.info().family.as_str()))
        .collect()
});

static LIBRARY: LazyLock<LazyHash<Library>> =
    // The feature gives tables headers for their rows too, which readers of tagged files are told.
    LazyLock::new(|| {
        LazyHash::new(Library::builder().with_features(std::iter::once(Feature::A11yExtras).collect()).build())
    });

/// Where a template came from.
#[derive(Clone, Copy)]
enum Origin {
    Shipped,
    House(HouseFile),
}

/// Templates and fonts in force for a notebook.
pub(super) struct House {
    sources: HashMap<FileId, (Source, Origin)>,
    files: HashMap<FileId, Bytes>,
    fonts: Vec<Font>,
    book: LazyHash<FontBook>,
    own_families: Vec<String>,
    /// Where problems without a place stand.
    place: Span,
    main: FileId,
}

/// A typeset file.
pub(super) struct Typeset {
    pub pdf: Vec<u8>,
    pub pages: usize,
    pub problems: Vec<Problem>,
}

fn file_id(path: &str) -> Option<FileId> {
    Some(RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).ok()?).intern())
}

impl House {
    /// Takes the shipped templates and fonts, and the house's own in front of them.
    pub(super) fn open(notes: &Notes) -> Result<Self, Vec<Problem>> {
        let place = Span::new(notes.house.file, 0, 0);
        let mut sources = HashMap::new();
        let mut files = HashMap::new();
        let mut problems = Vec::new();
        let mut own: Vec<Font> = Vec::new();
        for (name, text) in TEMPLATES {
            for path in [(*name).to_owned(), format!("builtin/{name}")] {
                if let Some(id) = file_id(&path) {
                    sources.insert(id, (Source::new(id, (*text).to_owned()), Origin::Shipped));
                }
            }
        }
        for asset in notes.templates.iter() {
            let Some(name) = asset.path.strip_prefix("print/") else { continue };
            let Some(id) = file_id(name) else { continue };
            let ends = name.rsplit('.').next().unwrap_or("").to_lowercase();
            if name.starts_with("fonts/") && matches!(ends.as_str(), "ttf" | "otf" | "ttc" | "otc") {
                let before = own.len();
                own.extend(Font::iter(Bytes::new(asset.bytes.clone())));
                if own.len() == before {
                    let message = format!("`templates/{}` is no font that can be read", asset.path);
                    problems.push(
                        Problem::new(code::TEMPLATE_ERROR, place, message)
                            .help("put an OpenType or TrueType font there, or remove the file"),
                    );
                }
            } else if ends == "typ" {
                match asset.file {
                    Some(file) => {
                        let text = notes.sources.get(file).text.clone();
                        sources.insert(id, (Source::new(id, text), Origin::House(file)));
                    }
                    None => problems.push(
                        Problem::new(
                            code::TEMPLATE_ERROR,
                            place,
                            format!("`templates/{}` is not UTF-8 text", asset.path),
                        )
                        .help("save it as UTF-8"),
                    ),
                }
            } else {
                files.insert(id, Bytes::new(asset.bytes.clone()));
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let mut own_families: Vec<String> = Vec::new();
        for font in &own {
            let family = font.info().family.as_str().to_owned();
            if !own_families.contains(&family) {
                own_families.push(family);
            }
        }
        own.extend(SHIPPED.iter().cloned());
        let book = LazyHash::new(FontBook::from_fonts(&own));
        let main = file_id("book.typ").ok_or_else(Vec::new)?;
        Ok(Self { sources, files, fonts: own, book, own_families, place, main })
    }

    /// Families that the house brought along, in the order of its files.
    pub(super) fn house_families(&self) -> &[String] {
        &self.own_families
    }

    /// Whether some font here has a picture of a character.
    pub(super) fn draws(&self, c: char) -> bool {
        self.fonts.iter().any(|f| f.info().coverage.contains(u32::from(c)))
    }

    /// Takes up a document: its template, its data, its pictures.
    pub(super) fn load(
        &mut self,
        template: &str,
        data: &Value,
        pictures: Vec<(String, Vec<u8>)>,
    ) -> Result<(), Vec<Problem>> {
        let lost = || vec![self.fault("the typesetter has no room for another file")];
        self.main = file_id(&format!("{template}.typ")).ok_or_else(lost)?;
        let data = serde_json::to_vec(data).unwrap_or_default();
        for (path, bytes) in std::iter::once(("data.json".to_owned(), data)).chain(pictures) {
            if let Some(id) = file_id(&path) {
                self.files.insert(id, Bytes::new(bytes));
            }
        }
        Ok(())
    }

    /// Typesets what was loaded: tagged, by PDF/UA-1, the same bytes for the same input.
    pub(super) fn typeset(&self) -> Result<Typeset, Vec<Problem>> {
        let compiled = typst::compile::<PagedDocument>(self);
        let mut problems: Vec<Problem> =
            compiled.warnings.iter().filter_map(|w| self.problem(w)).filter(|p| !self.is_ours(p)).collect();
        let document = compiled.output.map_err(|errors| self.all(&errors))?;
        let standards = PdfStandards::new(&[PdfStandard::Ua_1])
            .map_err(|e| vec![self.fault(&format!("the standard is not known to the typesetter: {}", e.message()))])?;
        let options = PdfOptions {
            ident: Smart::Custom(self.main.vpath().get_without_slash().to_owned()),
            creator: Smart::Custom(Some("Costrel".into())),
            timestamp: None,
            page_ranges: None,
            standards,
            tagged: true,
            pretty: false,
        };
        let pdf = typst_pdf::pdf(&document, &options).map_err(|errors| self.all(&errors))?;
        let pages = document.pages().len();
        // What the typesetter remembers between runs would only grow: each document is its own.
        typst::comemo::evict(0);
        problems.sort_by(|a, b| a.message.cmp(&b.message));
        problems.dedup();
        Ok(Typeset { pdf, pages, problems })
    }

    fn all(&self, errors: &[SourceDiagnostic]) -> Vec<Problem> {
        let list: Vec<Problem> = errors.iter().filter_map(|e| self.problem(e)).collect();
        if list.is_empty() { vec![self.fault("the typesetter gave no reason")] } else { list }
    }

    fn fault(&self, words: &str) -> Problem {
        Problem::new(code::TEMPLATE_ERROR, self.place, format!("a template cannot be used: {words}"))
            .help("mend the file in `templates/print/`, or remove it to use the built-in one")
    }

    fn is_ours(&self, problem: &Problem) -> bool {
        problem.at.span.file == self.place.file
    }

    /// The place of a diagnostic in a file of the house: its own, else the nearest caller that stands in one.
    fn at(&self, diagnostic: &SourceDiagnostic) -> Option<Span> {
        let own = diagnostic.span.id().map(|id| (id, self.range(diagnostic.span)));
        let callers = diagnostic.trace.iter().map(|t| t.span.id().map(|id| (id, self.range(t.span))));
        std::iter::once(own).chain(callers).flatten().find_map(|(id, range)| match self.sources.get(&id) {
            Some((_, Origin::House(file))) => {
                let range = range.unwrap_or(0..0);
                Some(Span::new(*file, range.start, range.end))
            }
            _ => None,
        })
    }

    fn problem(&self, diagnostic: &SourceDiagnostic) -> Option<Problem> {
        let severity = match diagnostic.severity {
            Weight::Error => Severity::Error,
            Weight::Warning => Severity::Warning,
        };
        let hints: Vec<&str> = diagnostic.hints.iter().map(|h| h.v.as_str()).collect();
        let words = diagnostic.message.to_string();
        let problem = match self.at(diagnostic) {
            Some(span) => {
                let help = if hints.is_empty() {
                    "mend it, or remove the file to use the built-in one".to_owned()
                } else {
                    hints.join("; ")
                };
                Problem::new(code::TEMPLATE_ERROR, span, format!("this template cannot be used: {words}")).help(help)
            }
            None => {
                // In a shipped template: either the house's parts do not fit it, or the fault is ours.
                let place = diagnostic.span.id().and_then(|id| {
                    let start = self.range(diagnostic.span)?.start;
                    let (source, _) = self.sources.get(&id)?;
                    let (line, column) = source.lines().byte_to_line_column(start)?;
                    Some(format!("{}:{}:{}: ", id.vpath().get_without_slash(), line + 1, column + 1))
                });
                self.fault(&format!("{}{words}", place.unwrap_or_default()))
            }
        };
        Some(problem.severity(severity))
    }
}

impl World for House {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.sources.get(&id).map(|(source, _)| source.clone()).ok_or_else(|| absent(id))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files.get(&id).cloned().ok_or_else(|| absent(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

/// Nothing but the templates, the fonts and the data is here; packages and other folders are refused.
fn absent(id: FileId) -> FileError {
    match id.root() {
        VirtualRoot::Project => FileError::NotFound(id.vpath().get_without_slash().into()),
        VirtualRoot::Package(_) => FileError::AccessDenied,
    }
}

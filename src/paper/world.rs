//! All that Typst sees of the outside: the built-in fonts and those given, the templates, `data.json`.
//!
//! In: a template, its data, fonts. Out: PDF bytes, or what Typst says is wrong. Any other file is
//! denied, there is no network and no clock.

use std::sync::LazyLock;

use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt as _, World, comemo};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use super::{Fonts, SHARED, Template};

/// The fonts that are part of the program: Libertinus Serif, New Computer Modern and DejaVu Sans Mono.
pub(super) fn built_in() -> &'static [Font] {
    static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
        let files = typst_assets::fonts();
        files
            .flat_map(|file| Font::iter(Bytes::new(file)))
            .collect()
    });
    &FONTS
}

fn library() -> &'static LazyHash<Library> {
    static LIBRARY: LazyLock<LazyHash<Library>> =
        LazyLock::new(|| LazyHash::new(Library::default()));
    &LIBRARY
}

/// Draws a document. What Typst remembers of it is dropped afterwards, or it would grow with each.
pub(super) fn pdf(
    template: Template,
    creator: String,
    json: Vec<u8>,
    fonts: &Fonts,
) -> Result<Vec<u8>, Vec<String>> {
    let drawn = Virtual::new(template, json, fonts).and_then(|world| world.pdf(creator));
    comemo::evict(0);
    drawn
}

struct Virtual<'a> {
    main: Source,
    shared: Vec<Source>,
    data: (FileId, Bytes),
    book: LazyHash<FontBook>,
    fonts: &'a Fonts,
}

impl<'a> Virtual<'a> {
    fn new(template: Template, json: Vec<u8>, fonts: &'a Fonts) -> Result<Self, Vec<String>> {
        let all = built_in().iter().chain(&fonts.more);
        Ok(Self {
            main: source(&template)?,
            shared: SHARED.iter().map(source).collect::<Result<_, _>>()?,
            data: (file("data.json")?, Bytes::new(json)),
            book: LazyHash::new(FontBook::from_fonts(all)),
            fonts,
        })
    }

    fn pdf(&self, creator: String) -> Result<Vec<u8>, Vec<String>> {
        let document = typst::compile::<PagedDocument>(self).output;
        let document = document.map_err(|errors| self.words(&errors))?;
        let standards = PdfStandards::new(&[PdfStandard::Ua_1]);
        let options = PdfOptions {
            creator: Smart::Custom(Some(creator)),
            standards: standards.map_err(|error| vec![error.message().to_string()])?,
            ..PdfOptions::default()
        };
        typst_pdf::pdf(&document, &options).map_err(|errors| self.words(&errors))
    }

    /// Errors in words, each with its place in a template.
    fn words(&self, errors: &[SourceDiagnostic]) -> Vec<String> {
        let words = errors.iter().map(|error| {
            let mut words = error.message.to_string();
            for hint in &error.hints {
                words += &format!(" ({})", hint.v);
            }
            if let Some(id) = error.span.id() {
                let line = typst::WorldExt::range(self as &dyn World, error.span)
                    .and_then(|range| self.source(id).ok()?.lines().byte_to_line(range.start));
                if let Some(line) = line {
                    let file = id.get().vpath().get_without_slash();
                    words += &format!(" [{file}:{}]", line + 1);
                }
            }
            words
        });
        words.collect()
    }
}

fn source(template: &Template) -> Result<Source, Vec<String>> {
    let text = template.text.to_owned();
    Ok(Source::new(file(template.name)?, text))
}

fn file(name: &str) -> Result<FileId, Vec<String>> {
    let path = VirtualPath::new(name).map_err(|error| vec![format!("{name}: {error:?}")])?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

impl World for Virtual<'_> {
    fn library(&self) -> &LazyHash<Library> {
        library()
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let mut all = [&self.main].into_iter().chain(&self.shared);
        let found = all.find(|source| source.id() == id);
        found.cloned().ok_or(FileError::AccessDenied)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data.0 {
            return Ok(self.data.1.clone());
        }
        self.source(id)
            .map(|source| Bytes::from_string(source.text().to_owned()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        let built_in = built_in();
        match index.checked_sub(built_in.len()) {
            None => built_in.get(index),
            Some(more) => self.fonts.more.get(more),
        }
        .cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

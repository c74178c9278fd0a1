//! PDFs on the command line: how they are printed, and putting them in a folder.
//!
//! In: options and a folder. Out: files that appear whole or not at all. Refused: a folder that is not
//! there, a file of that name that is no document of the same kind and sheet, fonts that are none.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use crate::diagnostic::{Diagnostic, Severity};
use crate::files::{self, Draft, FileError};
use crate::paper::{self, Fonts, PageSize, Template};
use crate::record::{Issue, Record};
use crate::workflow::{self, Failure, Findings, Layout, PrintRequest, Printed, StackOrder};

use super::report;

/// How papers are printed.
#[derive(Debug, clap::Args)]
pub(super) struct PrintArguments {
    /// Start each paper on a new sheet, for printing on both sides
    #[arg(long)]
    duplex: bool,
    #[command(flatten)]
    slips: SlipArguments,
}

/// How a stack is printed, papers or slips.
#[derive(Debug, clap::Args)]
pub(super) struct SlipArguments {
    /// The size of the pages
    #[arg(long, value_name = "SIZE", default_value = "a4")]
    page: Size,
    /// The order of the stack: as on the roster, or by paper code, in which no name shows
    #[arg(long, value_name = "ORDER", default_value = "roster")]
    order: Order,
    /// Print paper codes and no names; `issue` then puts a list of both into `codes.pdf`
    #[arg(long)]
    nameless: bool,
    #[command(flatten)]
    fonts: FontArguments,
}

/// Fonts besides the built-in ones.
#[derive(Debug, clap::Args)]
struct FontArguments {
    /// A font (.ttf, .otf) for letters that the built-in ones lack; may be given several times
    #[arg(long = "font", value_name = "FILE")]
    files: Vec<PathBuf>,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Size {
    A4,
    Letter,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Order {
    Roster,
    Code,
}

impl PrintArguments {
    pub(super) fn layout(&self) -> Layout {
        Layout {
            duplex: self.duplex,
            ..self.slips.layout()
        }
    }

    pub(super) fn fonts(&self) -> Result<Fonts, Failure> {
        self.slips.fonts()
    }
}

impl SlipArguments {
    pub(super) fn layout(&self) -> Layout {
        Layout {
            page: match self.page {
                Size::A4 => PageSize::A4,
                Size::Letter => PageSize::Letter,
            },
            duplex: false,
            order: match self.order {
                Order::Roster => StackOrder::Roster,
                Order::Code => StackOrder::Code,
            },
            nameless: self.nameless,
        }
    }

    pub(super) fn fonts(&self) -> Result<Fonts, Failure> {
        self.fonts.read()
    }
}

impl FontArguments {
    /// The built-in fonts and those named.
    fn read(&self) -> Result<Fonts, Failure> {
        let mut read = Vec::new();
        for path in &self.files {
            let name = path.to_string_lossy().into_owned();
            let bytes = files::read_bytes(path)?;
            read.push((name, bytes));
        }
        Fonts::with(read).map_err(|list| Failure::input(list, Vec::new()))
    }
}

/// The PDFs of an issue, begun in a folder; none where this program draws none.
pub(super) struct Pdfs {
    papers: Option<Draft>,
    key: Option<Draft>,
    codes: Option<Draft>,
}

impl Pdfs {
    /// Begins them: the list of codes only for papers without names.
    pub(super) fn begin(
        folder: &Path,
        papers: &str,
        layout: Layout,
        code: &str,
    ) -> Result<Self, Failure> {
        let begin = |name: &str, kind| begin(&folder.join(name), kind, code);
        let codes = layout.nameless.then(|| begin("codes.pdf", paper::CODES));
        Ok(Self {
            papers: begin(papers, paper::PAPERS)?,
            key: begin("key.pdf", paper::KEY)?,
            codes: codes.transpose()?.flatten(),
        })
    }

    /// Draws them and puts them in their places: the papers asked for; key and codes of all that are about.
    pub(super) fn write(
        self,
        request: &PrintRequest<'_>,
        all: &[Issue],
        record: &Record,
    ) -> Result<(), Failure> {
        let (Some(papers), Some(key)) = (self.papers, self.key) else {
            report::show(&not_built("papers.pdf"));
            return Ok(());
        };
        let printed = workflow::print_papers(request, record)?;
        put(papers, &printed)?;
        // What is said of the papers need not be said of the key again.
        let said = printed.findings.list;
        let rest = |mut printed: Printed| {
            printed.findings.list.retain(|one| !said.contains(one));
            printed
        };
        let request = PrintRequest {
            papers: all,
            ..*request
        };
        put(key, &rest(workflow::print_key(&request)?))?;
        match self.codes {
            Some(codes) => put(codes, &rest(workflow::print_codes(&request)?)),
            None => Ok(()),
        }
    }
}

/// A PDF in the making, in place of one of its kind and its sheet; none where this program draws none.
fn begin(path: &Path, kind: Template, code: &str) -> Result<Option<Draft>, Failure> {
    if !paper::IS_BUILT_IN {
        return Ok(None);
    }
    Ok(Some(Draft::create_holding(path, kind.mark(code))?))
}

/// The same, refused where this program draws none.
pub(super) fn begin_or_fail(path: &Path, kind: Template, code: &str) -> Result<Draft, Failure> {
    let name = path.to_string_lossy();
    begin(path, kind, code)?
        .ok_or_else(|| Failure::input(vec![paper::not_built(&name)], Vec::new()))
}

/// Puts a PDF in its place and says what there is to say of it.
pub(super) fn put(mut draft: Draft, printed: &Printed) -> Result<(), Failure> {
    let name = draft.name().to_owned();
    let written = draft.write_all(&printed.bytes);
    written.map_err(|error| FileError::from_io(&name, &error))?;
    draft.commit()?;
    report::show(&printed.findings);
    Ok(())
}

/// That no PDFs were drawn, and what to do.
fn not_built(file: &str) -> Findings {
    let note = Diagnostic {
        severity: Severity::Note,
        ..paper::not_built(file)
    };
    Findings {
        list: vec![note],
        sources: Vec::new(),
    }
}

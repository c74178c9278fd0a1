//! How PDFs are printed, as the command line says it.
//!
//! In: options. Out: a layout, and fonts. Refused: fonts that are none.

use std::path::PathBuf;

use crate::files;
use crate::paper::{Fonts, PageSize};
use crate::workflow::{Failure, Layout, StackOrder};

/// How papers are printed.
#[derive(Debug, clap::Args)]
pub(super) struct PrintArguments {
    /// Start each paper on a new sheet, for printing on both sides
    #[arg(long)]
    duplex: bool,
    #[command(flatten)]
    slips: SlipArguments,
}

/// Pages, and what is drawn on them with.
#[derive(Debug, clap::Args)]
pub(super) struct PageArguments {
    /// The size of the pages
    #[arg(long, value_name = "SIZE", default_value = "a4")]
    page: Size,
    #[command(flatten)]
    fonts: FontArguments,
}

/// How a stack is printed, papers or slips.
#[derive(Debug, clap::Args)]
pub(super) struct SlipArguments {
    #[command(flatten)]
    page: PageArguments,
    /// The order of the stack: as on the roster, or by paper code, in which no name shows
    #[arg(long, value_name = "ORDER", default_value = "roster")]
    order: Order,
    /// Print paper codes and no names; `issue` then puts a list of both into `codes.pdf`
    #[arg(long)]
    nameless: bool,
}

/// Fonts besides the built-in ones.
#[derive(Debug, clap::Args)]
struct FontArguments {
    /// A font (.ttf, .otf or .ttc) for letters that the built-in ones lack; may be given several times
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

impl PageArguments {
    /// Everything but the size of the pages as it is usual.
    pub(super) fn layout(&self) -> Layout {
        Layout {
            page: match self.page {
                Size::A4 => PageSize::A4,
                Size::Letter => PageSize::Letter,
            },
            ..Layout::default()
        }
    }

    pub(super) fn fonts(&self) -> Result<Fonts, Failure> {
        self.fonts.read()
    }
}

impl SlipArguments {
    pub(super) fn layout(&self) -> Layout {
        Layout {
            order: match self.order {
                Order::Roster => StackOrder::Roster,
                Order::Code => StackOrder::Code,
            },
            nameless: self.nameless,
            ..self.page.layout()
        }
    }

    pub(super) fn fonts(&self) -> Result<Fonts, Failure> {
        self.page.fonts()
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

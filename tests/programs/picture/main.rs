//! Draws the picture of the marking screen for the README: runs the program in a terminal of its own,
//! keys a paper of the shipped class, and writes what the terminal shows as SVG.
//!
//! `cargo build && cargo run --example picture -- assets/desk.svg`. In: the built program, the
//! shipped assignment and roster. Out: the SVG file.

#![allow(
    dead_code,
    reason = "the terminal is shared with the tests, which use more of it"
)]
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a program for contributors, which stops where it fails"
)]

#[path = "../../suite/hands/session.rs"]
mod session;

use std::fmt::Write as _;
use std::path::Path;

use portable_pty::CommandBuilder;
use session::Session;

const COLUMNS: u16 = 100;
const LINES: u16 = 30;

/// Size of a cell in the picture.
const CELL: (f32, f32) = (8.4, 18.0);

/// What is keyed: a paper with a right answer without its unit, a slip, and what follows from it.
const KEYS: [&str; 6] = [
    "004841\r",
    "up\r",
    "0.231\t",
    "25.1\r",
    "11.5 N\r",
    "2\x1b[A\x1b[A",
];

fn main() {
    let out = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "assets/desk.svg".into());
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut command = CommandBuilder::new(root.join("target/debug/paperweight"));
    command.args([
        "mark",
        "assignments/ropes-1.toml",
        "--roster",
        "rosters/set-3.csv",
        "--record",
        ":memory:",
    ]);
    command.cwd(root);
    let mut session = Session::start(command, COLUMNS, LINES);
    session.wait_for("find a paper");
    for keys in KEYS {
        session.send(keys);
        std::thread::sleep(std::time::Duration::from_millis(300));
    }
    session.send("\x0f");
    session.wait_for("against key");
    let svg = session.screen(picture);
    session.send("\x03\x03");
    session.end();
    let path = root.join(out);
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).unwrap();
    }
    std::fs::write(path, svg).unwrap();
}

/// The screen as SVG: a text for each run of cells of one style.
fn picture(screen: &vt100::Screen) -> String {
    let (width, height) = (f32::from(COLUMNS) * CELL.0, f32::from(LINES) * CELL.1);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" role=\"img\" aria-label=\"The marking screen: a paper with its entries, what was understood, verdicts and points\">\n<rect width=\"100%\" height=\"100%\" rx=\"8\" fill=\"#16181d\"/>\n<g font-family=\"ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace\" font-size=\"14\" fill=\"#d8dadf\" xml:space=\"preserve\">\n",
        width + 24.0,
        height + 24.0
    );
    for line in 0..LINES {
        let mut column = 0;
        while column < COLUMNS {
            let start = column;
            let style = style(screen, line, column);
            let mut text = String::new();
            while column < COLUMNS && self::style(screen, line, column) == style {
                let contents = screen
                    .cell(line, column)
                    .map_or(String::new(), |cell| cell.contents().to_owned());
                text.push_str(if contents.is_empty() { " " } else { &contents });
                column += 1;
            }
            run(&mut svg, line, start, column - start, &text, &style);
        }
    }
    svg.push_str("</g>\n</svg>\n");
    svg
}

#[derive(PartialEq)]
struct Style {
    fill: &'static str,
    bold: bool,
    dim: bool,
    inverse: bool,
}

fn style(screen: &vt100::Screen, line: u16, column: u16) -> Style {
    let Some(cell) = screen.cell(line, column) else {
        return Style {
            fill: "#d8dadf",
            bold: false,
            dim: false,
            inverse: false,
        };
    };
    Style {
        fill: match cell.fgcolor() {
            vt100::Color::Idx(1) => "#f07178",
            vt100::Color::Idx(2) => "#9ece6a",
            vt100::Color::Idx(3) => "#e6c07b",
            vt100::Color::Idx(6) => "#6fc3df",
            _ => "#d8dadf",
        },
        bold: cell.bold(),
        dim: cell.dim(),
        inverse: cell.inverse(),
    }
}

fn run(svg: &mut String, line: u16, column: u16, cells: u16, text: &str, style: &Style) {
    let x = f32::from(column) * CELL.0 + 12.0;
    let y = f32::from(line) * CELL.1 + 12.0;
    if style.inverse {
        let _ = writeln!(
            svg,
            "<rect x=\"{x}\" y=\"{y}\" width=\"{}\" height=\"{}\" fill=\"{}\"/>",
            f32::from(cells) * CELL.0,
            CELL.1,
            style.fill
        );
    }
    if text.trim().is_empty() {
        return;
    }
    let fill = if style.inverse { "#16181d" } else { style.fill };
    let mut more = String::new();
    if style.bold {
        more.push_str(" font-weight=\"bold\"");
    }
    if style.dim {
        more.push_str(" opacity=\"0.62\"");
    }
    let text = text
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;");
    let _ = writeln!(
        svg,
        "<text x=\"{x}\" y=\"{}\" textLength=\"{}\" fill=\"{fill}\"{more}>{text}</text>",
        y + 13.5,
        f32::from(cells) * CELL.0
    );
}

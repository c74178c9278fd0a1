//! The built program in a terminal of its own: keys in, the screen out.

use std::io::{Read, Write};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

/// How long to wait for a screen: builds and other tests may keep the machine busy.
const PATIENCE: Duration = Duration::from_secs(60);

/// A program in a terminal.
pub(crate) struct Session {
    pub(crate) child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
    keys: Box<dyn Write + Send>,
    screen: Arc<Mutex<Seen>>,
}

/// What the terminal shows, and what it showed.
struct Seen {
    parser: vt100::Parser,
    /// Each line of the foot that said `saved`.
    saved: Vec<String>,
    /// Whether the program has closed the terminal.
    closed: bool,
}

impl Session {
    /// Starts a program in a terminal of so many columns and lines.
    pub(crate) fn start(mut command: CommandBuilder, columns: u16, lines: u16) -> Self {
        let size = PtySize {
            rows: lines,
            cols: columns,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = native_pty_system().openpty(size).unwrap();
        command.env("TERM", "xterm-256color");
        command.env_remove("NO_COLOR");
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let mut output = pair.master.try_clone_reader().unwrap();
        let keys = pair.master.take_writer().unwrap();
        let screen = Arc::new(Mutex::new(Seen {
            parser: vt100::Parser::new(cells(lines), cells(columns), 0),
            saved: Vec::new(),
            closed: false,
        }));
        let seen = Arc::clone(&screen);
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count @ 1..) = output.read(&mut bytes) {
                let mut seen = seen.lock().unwrap();
                seen.parser.process(&bytes[..count]);
                seen.note();
            }
            seen.lock().unwrap().closed = true;
        });
        Self {
            child,
            master: pair.master,
            keys,
            screen,
        }
    }

    /// Types.
    pub(crate) fn send(&mut self, keys: &str) {
        // A program that is gone takes no keys.
        let _ = self.keys.write_all(keys.as_bytes());
        let _ = self.keys.flush();
    }

    /// The text on the screen.
    pub(crate) fn text(&self) -> String {
        self.screen.lock().unwrap().parser.screen().contents()
    }

    /// The screen itself.
    pub(crate) fn screen<T>(&self, look: impl FnOnce(&vt100::Screen) -> T) -> T {
        look(self.screen.lock().unwrap().parser.screen())
    }

    /// All that was ever shown as saved.
    pub(crate) fn saved(&self) -> Vec<String> {
        self.screen.lock().unwrap().saved.clone()
    }

    /// Waits until the screen is as wanted, and gives its text.
    pub(crate) fn wait(&self, wanted: impl Fn(&str) -> bool) -> String {
        let started = Instant::now();
        loop {
            let text = self.text();
            if wanted(&text) {
                return text;
            }
            assert!(
                started.elapsed() < PATIENCE,
                "waited in vain; the screen:\n{text}"
            );
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    /// Waits for a text on the screen.
    pub(crate) fn wait_for(&self, wanted: &str) -> String {
        self.wait(|text| text.contains(wanted))
    }

    /// Waits for the end of the program, and of what it wrote.
    pub(crate) fn end(&mut self) -> u32 {
        let started = Instant::now();
        let code = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status.exit_code();
            }
            assert!(
                started.elapsed() < PATIENCE,
                "does not end; the screen:\n{}",
                self.text()
            );
            std::thread::sleep(Duration::from_millis(2));
        };
        while !self.screen.lock().unwrap().closed && started.elapsed() < PATIENCE {
            std::thread::sleep(Duration::from_millis(2));
        }
        code
    }

    /// Gives the terminal another size.
    pub(crate) fn resize(&self, columns: u16, lines: u16) {
        let size = PtySize {
            rows: lines,
            cols: columns,
            pixel_width: 0,
            pixel_height: 0,
        };
        self.screen
            .lock()
            .unwrap()
            .parser
            .screen_mut()
            .set_size(cells(lines), cells(columns));
        self.master.resize(size).unwrap();
    }
}

/// A terminal has at least one cell.
fn cells(count: u16) -> std::num::NonZero<u16> {
    std::num::NonZero::new(count).unwrap()
}

impl Seen {
    /// Keeps the line that says what is saved.
    fn note(&mut self) {
        let screen = self.parser.screen();
        let (lines, columns) = screen.size();
        let (lines, columns) = (lines.get(), columns.get());
        // A frame that is only half here leaves the cursor where it is writing.
        if screen.cursor_position().0 + 2 == lines {
            return;
        }
        let Some(line) = screen
            .rows(0, columns)
            .nth(usize::from(lines).saturating_sub(2))
        else {
            return;
        };
        if let Some(words) = line.trim().strip_prefix("saved") {
            let words = words.trim().to_owned();
            if self.saved.last() != Some(&words) {
                self.saved.push(words);
            }
        }
    }
}

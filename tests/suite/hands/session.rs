//! The built program in a terminal of its own: keys in, the screen out.

use std::io::{Read, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

/// How long to wait for a screen: builds and other tests may keep the machine busy.
const PATIENCE: Duration = Duration::from_secs(60);

/// A program in a terminal.
pub(crate) struct Session {
    pub(crate) child: Box<dyn Child + Send + Sync>,
    /// The terminal's own end, and the way keys go in; none once it has hung up.
    terminal: Option<(Box<dyn MasterPty + Send>, Box<dyn Write + Send>)>,
    screen: Arc<Mutex<Seen>>,
    /// Whoever reads what the program writes stops after the next piece of it.
    deaf: Arc<AtomicBool>,
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
        let deaf = Arc::new(AtomicBool::new(false));
        let ears = Arc::clone(&deaf);
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count @ 1..) = output.read(&mut bytes) {
                if ears.load(Ordering::Relaxed) {
                    break;
                }
                let mut seen = seen.lock().unwrap();
                seen.parser.process(&bytes[..count]);
                seen.note();
            }
            drop(output);
            seen.lock().unwrap().closed = true;
        });
        Self {
            child,
            terminal: Some((pair.master, keys)),
            screen,
            deaf,
        }
    }

    /// Types.
    pub(crate) fn send(&mut self, keys: &str) {
        if let Some((_, into)) = &mut self.terminal {
            // A program that is gone takes no keys.
            let _ = into.write_all(keys.as_bytes());
            let _ = into.flush();
        }
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
        if let Some((master, _)) = &self.terminal {
            master.resize(size).unwrap();
        }
    }

    /// Closes the terminal, as a window is closed or a line is lost: nobody holds its own end any more.
    pub(crate) fn hang_up(&mut self) {
        self.deaf.store(true, Ordering::Relaxed);
        // The reader waits in a read: the program draws for another size, and so wakes it.
        let lines = self.screen(|screen| screen.size().0.get());
        self.resize(90, lines);
        let started = Instant::now();
        while !self.screen.lock().unwrap().closed {
            assert!(started.elapsed() < PATIENCE, "the terminal stays open");
            std::thread::sleep(Duration::from_millis(1));
        }
        self.terminal = None;
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

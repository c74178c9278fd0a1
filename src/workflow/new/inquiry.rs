//! The form, asked line by line.
//!
//! In: somebody who answers. Out: a file that can be checked, and what that found. An answer that the file
//! could not hold is asked for again, with what is wrong in words; a name that is there already is put in
//! anew. Refused: answers that end before there is an assignment.

use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::text;

use super::super::check::{self, Checked};
use super::form::{Entry, Form, Part};
use super::lines::{EQUATIONS, GIVENS, List, UNKNOWNS, own_tolerance, stem};
use super::{Failure, Figures, NewRequest, Room, read};

/// Somebody who answers.
pub trait Ask {
    /// The next line, without its end; nothing where there are no more.
    ///
    /// # Errors
    /// Lines that cannot be read.
    fn line(&mut self, prompt: &str) -> Result<Option<String>, Failure>;

    /// Something to know before the next answer. It is harmless for terminals.
    fn say(&mut self, text: &str);
}

/// A form that was filled in.
pub(super) struct Filled {
    pub(super) code: String,
    pub(super) text: String,
    pub(super) checked: Checked,
}

/// What may be put in anew.
const AGAIN: &str = "title, code, text, givens, unknowns, equations or parts";

pub(super) fn fill(
    request: &NewRequest<'_>,
    room: &Room,
    ask: &mut dyn Ask,
) -> Result<Filled, Failure> {
    let mut inquiry = Inquiry {
        form: Form {
            seed: request.seed,
            ..Form::default()
        },
        room,
        ask,
    };
    inquiry.ask.say("Each answer is a line. An empty line ends a list; a name that is there already is put in anew, and -NAME strikes it out.");
    inquiry.title(request.title)?;
    inquiry.code(request.code)?;
    inquiry.givens()?;
    inquiry.text()?;
    inquiry.unknowns()?;
    inquiry.equations()?;
    inquiry.parts()?;
    inquiry.finish()
}

struct Inquiry<'a> {
    form: Form,
    room: &'a Room,
    ask: &'a mut dyn Ask,
}

impl Inquiry<'_> {
    fn line(&mut self, prompt: &str) -> Result<String, Failure> {
        match self.ask.line(prompt)? {
            Some(line) => Ok(line.trim().to_owned()),
            None => {
                let message = format!("the answers end before the form is filled in, at: {prompt}");
                let error = Diagnostic::error("-", Place::File, message);
                let help = "nothing was written; answer every question, and end each list with an empty line";
                Err(Failure::of(error.help(help)))
            }
        }
    }

    /// Takes over what the form becomes with an answer if nothing is wrong with that; says so if not.
    fn keep(&mut self, tried: Form, entry: Entry) -> bool {
        let faults = tried.faults(entry);
        self.tell(&faults);
        let is_kept = faults.is_empty();
        if is_kept {
            self.form = tried;
        }
        is_kept
    }

    fn tell(&mut self, faults: &[Diagnostic]) {
        for (at, fault) in faults.iter().enumerate() {
            // What is wrong with a unit is wrong wherever the form puts it.
            let is_said = faults[..at]
                .iter()
                .any(|before| before.message == fault.message);
            if is_said {
                continue;
            }
            self.ask.say(&format!("  {}", text::safe(&fault.message)));
            if let Some(help) = &fault.help {
                self.ask.say(&format!("    {}", text::safe(help)));
            }
        }
    }

    fn title(&mut self, known: Option<&str>) -> Result<(), Failure> {
        let mut known = known.map(str::to_owned);
        loop {
            let title = match known.take() {
                Some(title) => title,
                None => self.line("Title")?,
            };
            let form = Form {
                title,
                ..self.form.clone()
            };
            if self.keep(form, Entry::Title) {
                return Ok(());
            }
        }
    }

    fn code(&mut self, known: Option<&str>) -> Result<(), Failure> {
        let offered = self.room.next(&stem(&self.form.title));
        let prompt = format!("Code, short and without blanks (empty: {offered})");
        let mut known = known.map(str::to_owned);
        loop {
            let mut code = match known.take() {
                Some(code) => code,
                None => self.line(&prompt)?,
            };
            if code.is_empty() {
                code.clone_from(&offered);
            }
            let mut faults = self.room.faults(&code);
            let path = self.room.path(&code);
            if faults.is_empty() && path.exists() {
                let message = format!("{} stands there already", path.display());
                let fault = Diagnostic::error("form", Place::File, message);
                faults.push(fault.help("it is not replaced: take another code"));
            }
            self.tell(&faults);
            if faults.is_empty() {
                self.form.code = code;
                return Ok(());
            }
            if self.room.out.is_some() && path.exists() {
                return Err(Failure::input(faults, Vec::new()));
            }
        }
    }

    fn list(&mut self, list: &List) -> Result<(), Failure> {
        loop {
            let line = self.line(list.prompt)?;
            if line.is_empty() {
                if !(list.of)(&mut self.form).is_empty() {
                    return Ok(());
                }
                self.ask.say(&format!("  {}", list.none));
                continue;
            }
            match line.as_str() {
                "givens" => {
                    self.givens()?;
                    continue;
                }
                "unknowns" => {
                    self.unknowns()?;
                    continue;
                }
                _ => {}
            }
            if let Some(name) = line.strip_prefix('-') {
                let entries = (list.of)(&mut self.form);
                let before = entries.len();
                entries.retain(|(known, _)| known != name.trim());
                if entries.len() == before {
                    self.ask.say("  nothing of that name is there");
                }
                continue;
            }
            match (list.read)(&self.form, &line) {
                Ok((name, value)) => {
                    let mut form = self.form.clone();
                    let entries = (list.of)(&mut form);
                    match entries.iter_mut().find(|(known, _)| *known == name) {
                        Some(entry) => entry.1 = value,
                        None => entries.push((name.clone(), value)),
                    }
                    self.keep(form, (list.entry)(name));
                }
                Err(message) => self.ask.say(&format!("  {}", text::safe(&message))),
            }
        }
    }

    fn givens(&mut self) -> Result<(), Failure> {
        self.list(&GIVENS)
    }

    fn text(&mut self) -> Result<(), Failure> {
        let names = self
            .form
            .givens
            .iter()
            .map(|(name, _)| format!("{{{name}}}"));
        let names: Vec<String> = names.collect();
        let prompt = format!(
            "Text of the problem, with {} where the numbers stand",
            names.join(" ")
        );
        let mut lines: Vec<String> = Vec::new();
        loop {
            let line = match lines.is_empty() {
                true => self.line(&prompt)?,
                false => {
                    self.line("Text, next line (empty: done; - strikes out the line above)")?
                }
            };
            if line.is_empty() && !lines.is_empty() {
                return Ok(());
            }
            if line == "-" && lines.pop().is_some() {
                self.form.text.clone_from(&lines);
                continue;
            }
            let mut form = self.form.clone();
            form.text.clone_from(&lines);
            form.text.push(line.clone());
            if line.is_empty() {
                self.ask.say("  write what the students read");
            } else if self.keep(form, Entry::Text) {
                lines.push(line);
            }
        }
    }

    fn unknowns(&mut self) -> Result<(), Failure> {
        self.list(&UNKNOWNS)
    }

    /// Equations until they can be solved.
    fn equations(&mut self) -> Result<(), Failure> {
        loop {
            self.list(&EQUATIONS)?;
            let mut form = self.form.clone();
            form.parts.clear();
            form.asking_for_all();
            for part in &mut form.parts {
                // Any will do: equations alone are tried.
                part.tolerance = own_tolerance(&self.form, &part.answer).map(str::to_owned);
            }
            match self.check(&form) {
                Ok(_) => return Ok(()),
                Err(failure) => {
                    self.tell(&failure.findings().list);
                    self.ask
                        .say("  `unknowns` or `givens` as an answer leads back to those");
                }
            }
        }
    }

    fn check(&self, form: &Form) -> Result<Checked, Failure> {
        let name = self.room.path(&form.code);
        let loaded = read(&name.to_string_lossy(), form.file())?;
        check::of_loaded(loaded, |sheet| Figures {
            figures: vec![None; sheet.problems.len()],
            ..Figures::default()
        })
    }

    fn parts(&mut self) -> Result<(), Failure> {
        let names: Vec<String> = self.form.unknowns.iter().map(|at| at.0.clone()).collect();
        self.form.parts.clear();
        while self.form.parts.is_empty() {
            for name in &names {
                self.part(name)?;
            }
            if self.form.parts.is_empty() {
                self.ask.say("  ask for one of them at least");
            }
        }
        Ok(())
    }

    fn part(&mut self, answer: &str) -> Result<(), Failure> {
        let prompt = format!("Question that asks for {answer} (- for none)");
        loop {
            let ask = self.line(&prompt)?;
            if ask == "-" {
                return Ok(());
            }
            let points = self.points()?;
            let tolerance = match own_tolerance(&self.form, answer) {
                Some(example) => {
                    let prompt = format!(
                        "Tolerance, since a percentage of it has no meaning (empty: {example})"
                    );
                    let own = self.line(&prompt)?;
                    Some(if own.is_empty() {
                        example.to_owned()
                    } else {
                        own
                    })
                }
                None => None,
            };
            let mut form = self.form.clone();
            form.parts.push(Part {
                answer: answer.to_owned(),
                ask,
                points,
                tolerance,
            });
            if self.keep(form, Entry::Part(answer.to_owned())) {
                return Ok(());
            }
        }
    }

    /// The points of a part, asked for until they are a number.
    fn points(&mut self) -> Result<String, Failure> {
        loop {
            let points = self.line("Points (empty: 1)")?.replace(',', ".");
            let is_number = |byte: u8| byte.is_ascii_digit() || byte == b'.';
            if points.is_empty() {
                return Ok("1".to_owned());
            } else if points.bytes().all(is_number) {
                return Ok(points);
            }
            self.ask
                .say("  points are a number, such as 2 or 0.5: the points once more");
        }
    }

    /// Checks the whole, and puts in anew what is named until nothing is found or it is to be kept as it is.
    fn finish(mut self) -> Result<Filled, Failure> {
        loop {
            let outcome = self.check(&self.form);
            let (faults, can_stay) = match &outcome {
                Ok(checked) => (checked.report.findings.clone(), true),
                Err(failure) => (failure.findings().list.clone(), false),
            };
            let is_clean = faults.iter().all(|fault| fault.severity == Severity::Note);
            if !(can_stay && is_clean) {
                self.ask.say("Found by `check`:");
                self.tell(&faults);
                let prompt = match can_stay {
                    true => format!("Put in anew: {AGAIN} (empty: keep it as it is)"),
                    false => format!("Put in anew: {AGAIN}"),
                };
                // Where the answers end here, what can stay does.
                let word = match self.ask.line(&prompt)? {
                    Some(word) => word.trim().to_lowercase(),
                    None if can_stay => String::new(),
                    None => return Err(self.unfinished(outcome)),
                };
                let is_kept = word.is_empty() && can_stay;
                if !is_kept {
                    self.again(&word)?;
                    continue;
                }
            }
            return outcome.map(|checked| Filled {
                code: self.form.code.clone(),
                text: self.form.file(),
                checked,
            });
        }
    }

    fn unfinished(&self, outcome: Result<Checked, Failure>) -> Failure {
        let name = self.room.path(&self.form.code);
        let message =
            "this cannot be solved as it stands, and the answers end; nothing was written";
        let note = Diagnostic::note(&name.to_string_lossy(), Place::File, message);
        match outcome {
            Ok(_) => Failure::of(note),
            Err(failure) => failure.besides(note),
        }
    }

    fn again(&mut self, word: &str) -> Result<(), Failure> {
        match word {
            "title" => self.title(None),
            "code" => self.code(None),
            "text" => self.text(),
            "givens" => self.givens(),
            "unknowns" => self.unknowns().and_then(|()| self.parts()),
            "equations" => self.equations(),
            "parts" => self.parts(),
            _ => {
                self.ask.say(&format!("  expected {AGAIN}"));
                Ok(())
            }
        }
    }
}

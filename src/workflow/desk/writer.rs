//! The thread that owns the record: saves acts one after the other, reads for the desk, and looks
//! whether others wrote something.
//!
//! In: acts with provisional numbers, in their order. Out: their real numbers once they are
//! durable, or why they are not; then they are kept here and tried again, before any that came
//! later. Nothing is given up while the thread lives; [`Writer::close`] waits until all is saved or
//! cannot be. Refused, in words: anything else that is asked of the record while acts sent before it
//! are not saved. What others wrote is told between two jobs and while nothing is to be done, never in
//! a key's way.

use std::collections::VecDeque;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use rustc_hash::FxHashMap;

use crate::diagnostic::{Diagnostic, Place};
use crate::record::{Act, ActId, Deed, NewAct, Record, RecordError};

use super::super::{Failure, Findings, Kept};
use super::watch::{News, Watch};

/// How long to wait before what failed is tried again, and before it is looked what others wrote.
const AGAIN: Duration = Duration::from_secs(1);

/// What became of acts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// They are durable: the provisional number of the first, and all real ones.
    Saved(ActId, Vec<ActId>),
    /// They are not, and are tried again; in words.
    Failed(String),
    /// Somebody else wrote to the record; with what is new of the stack watched.
    Came(News),
}

/// The record and what is watched in it, or why neither is to be had now.
type Free<'a> = Result<(&'a mut Record, &'a mut Option<Watch>), Failure>;

type Work = Box<dyn FnOnce(Free<'_>) + Send>;

enum Job {
    Save(Vec<Act>),
    With(Work),
}

/// A record on its thread.
#[derive(Debug)]
pub struct Writer {
    jobs: Option<Sender<Job>>,
    thread: Option<JoinHandle<()>>,
}

impl Writer {
    /// Gives the record its thread, with the stack that is watched, if one is open already; `tell` hears
    /// what becomes of acts, there.
    pub fn start(
        record: Record,
        watch: Option<Watch>,
        tell: impl Fn(Outcome) + Send + 'static,
    ) -> Self {
        let (jobs, queue) = mpsc::channel();
        let thread = thread::spawn(move || run(record, watch, &queue, &tell));
        Self {
            jobs: Some(jobs),
            thread: Some(thread),
        }
    }

    /// Has acts saved, in one transaction.
    pub fn save(&self, acts: Vec<Act>) {
        self.send(Job::Save(acts));
    }

    /// Does something with the record, after all that was sent before.
    ///
    /// # Errors
    /// What was sent before cannot be saved; then this is not done. The record's thread is gone; what
    /// `work` says.
    pub fn with<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Record) -> Result<T, Failure> + Send + 'static,
    ) -> Result<T, Failure> {
        self.work(|record, _| work(record))
    }

    /// Reads what the record holds of a sheet for a class, and watches that from then on.
    ///
    /// # Errors
    /// As [`with`](Self::with).
    pub fn open(&self, sheet: String, class: String) -> Result<Kept, Failure> {
        self.work(move |record, watch| {
            let kept = Kept::of(record, &sheet, &class)?;
            *watch = Some(Watch::of(&kept, &sheet, &class));
            Ok(kept)
        })
    }

    /// Does something with the record, and gives what is new of the stack then: what this writer saved
    /// as well, whether or not it was heard that it is saved.
    ///
    /// # Errors
    /// As [`with`](Self::with).
    pub fn then_look<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Record) -> Result<T, Failure> + Send + 'static,
    ) -> Result<(T, News), Failure> {
        self.work(|record, watch| {
            let done = work(record)?;
            let news = watch.as_mut().map(|watch| watch.look(record));
            Ok((done, news.transpose()?.unwrap_or_default()))
        })
    }

    fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Record, &mut Option<Watch>) -> Result<T, Failure> + Send + 'static,
    ) -> Result<T, Failure> {
        let (done, result) = mpsc::channel();
        self.send(Job::With(Box::new(move |free| {
            // Who asked may be gone by now.
            let _ = done.send(free.and_then(|(record, watch)| work(record, watch)));
        })));
        result.recv().unwrap_or_else(|_| Err(gone()))
    }

    /// Ends the thread once all is saved, or the record takes no more.
    pub fn close(mut self) {
        self.jobs = None;
        if let Some(thread) = self.thread.take() {
            // A panic there was told already.
            let _ = thread.join();
        }
    }

    fn send(&self, job: Job) {
        if let Some(jobs) = &self.jobs {
            // The thread ends only when this sender is gone, or with a panic, which is told.
            let _ = jobs.send(job);
        }
    }
}

/// Only a fault of ours ends the record's thread early.
fn gone() -> Failure {
    let message = "the record cannot be reached any more";
    let said = Diagnostic::error("record", Place::File, message);
    Failure::Machine(Findings {
        list: vec![said.help("open the desk again")],
        sources: Vec::new(),
    })
}

/// Why nothing else is done before what waits is saved.
fn unsaved(error: &RecordError) -> Failure {
    let mut said = error.diagnostic().clone();
    said.message = format!(
        "this is done once all that was keyed is saved, and now the record takes nothing: {}",
        said.message
    );
    Failure::Machine(Findings {
        list: vec![said],
        sources: Vec::new(),
    })
}

fn run(
    mut record: Record,
    mut watch: Option<Watch>,
    queue: &Receiver<Job>,
    tell: &dyn Fn(Outcome),
) {
    // Of a stack that was opened before this thread began anything may be new.
    let mut version = if watch.is_some() {
        None
    } else {
        record.version().ok()
    };
    let mut waiting: VecDeque<Vec<Act>> = VecDeque::new();
    let mut real: FxHashMap<ActId, ActId> = FxHashMap::default();
    loop {
        let job = queue.recv_timeout(AGAIN);
        let is_last = matches!(job, Err(RecvTimeoutError::Disconnected));
        let work = match job {
            Ok(Job::Save(acts)) => {
                waiting.push_back(acts);
                None
            }
            Ok(Job::With(work)) => Some(work),
            Err(_) => None,
        };
        let saved = save_all(&mut record, &mut waiting, &mut real, tell);
        if let Some(work) = work {
            work(match saved {
                Ok(()) => Ok((&mut record, &mut watch)),
                Err(error) => Err(unsaved(&error)),
            });
        }
        if is_last {
            return;
        }
        // What cannot be read now is read the next time.
        if let Ok(now) = record.version()
            && version != Some(now)
            && let Ok(news) = watch.as_mut().map(|watch| watch.look(&record)).transpose()
        {
            version = Some(now);
            tell(Outcome::Came(news.unwrap_or_default()));
        }
    }
}

/// Saves what waits, in its order, up to what cannot be saved now.
fn save_all(
    record: &mut Record,
    waiting: &mut VecDeque<Vec<Act>>,
    real: &mut FxHashMap<ActId, ActId>,
    tell: &dyn Fn(Outcome),
) -> Result<(), RecordError> {
    while let Some(acts) = waiting.front() {
        match save(record, acts, real) {
            Ok(ids) => {
                let first = acts.first().map_or(ActId(0), |act| act.id);
                waiting.pop_front();
                tell(Outcome::Saved(first, ids));
            }
            Err(error) => {
                let said = error.diagnostic();
                let help = said
                    .help
                    .as_deref()
                    .map_or(String::new(), |help| format!("; {help}"));
                tell(Outcome::Failed(format!(
                    "{}: {}{help}",
                    said.file, said.message
                )));
                return Err(error);
            }
        }
    }
    Ok(())
}

/// Saves acts, with real numbers in the place of provisional ones that they take back.
fn save(
    record: &mut Record,
    acts: &[Act],
    real: &mut FxHashMap<ActId, ActId>,
) -> Result<Vec<ActId>, RecordError> {
    let new: Vec<NewAct> = acts
        .iter()
        .map(|act| {
            let deed = match &act.deed {
                Deed::TakeBack { act } => Deed::TakeBack {
                    act: real.get(act).copied().unwrap_or(*act),
                },
                other => other.clone(),
            };
            NewAct::new(act.at, act.issue, deed)
        })
        .collect();
    let ids = record.append(&new)?;
    real.extend(acts.iter().map(|act| act.id).zip(ids.iter().copied()));
    Ok(ids)
}

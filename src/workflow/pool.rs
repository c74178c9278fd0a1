//! Pieces of work through several threads, and back in their order.
//!
//! In: how many pieces, what fills one, what works on it, what takes it when it is done. Out:
//! nothing but what those did. Pieces are filled and taken by the calling thread alone, in their
//! order; as few are on their way as keep all threads busy, so memory does not grow with their
//! number. Refused: whatever filling or taking refuses, and a thread that died.

use std::sync::mpsc;
use std::thread;

use crate::diagnostic::{Diagnostic, Place};

use super::{Failure, Findings};

/// Pieces of work on their way for each thread.
const AHEAD: usize = 2;

/// Runs `count` pieces through `threads` threads (at least one): piece by piece to one thread after
/// the other, and back in the same order. Each thread makes its own `worker`.
///
/// # Errors
/// What `fill` or `take` refuse, at once; a thread that died before its work was done.
pub(super) fn in_order<B: Default + Send, W: FnMut(&mut B)>(
    count: usize,
    threads: usize,
    worker: &(impl Fn() -> W + Sync),
    fill: &mut dyn FnMut(usize, &mut B) -> Result<(), Failure>,
    take: &mut dyn FnMut(&mut B) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let threads = threads.max(1);
    thread::scope(|scope| {
        let mut to = Vec::with_capacity(threads);
        let mut from = Vec::with_capacity(threads);
        let mut handles = Vec::with_capacity(threads);
        for _ in 0..threads {
            let (send, work) = mpsc::sync_channel::<B>(AHEAD);
            let (done, receive) = mpsc::sync_channel::<B>(AHEAD);
            to.push(send);
            from.push(receive);
            handles.push(scope.spawn(move || {
                let mut worker = worker();
                for mut piece in work {
                    worker(&mut piece);
                    if done.send(piece).is_err() {
                        return;
                    }
                }
            }));
        }
        let outcome = feed(count, &to, &from, fill, take);
        // Without more work, and nobody to take it, every thread ends.
        drop((to, from));
        // One that is not joined would take its panic through this whole scope.
        let ends: Vec<_> = handles.into_iter().map(|handle| handle.join()).collect();
        if ends.iter().any(Result::is_err) {
            return Err(lost());
        }
        outcome
    })
}

fn feed<B: Default>(
    count: usize,
    to: &[mpsc::SyncSender<B>],
    from: &[mpsc::Receiver<B>],
    fill: &mut dyn FnMut(usize, &mut B) -> Result<(), Failure>,
    take: &mut dyn FnMut(&mut B) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let threads = to.len();
    let mut spare: Vec<B> = Vec::new();
    let mut sent = 0;
    let mut taken = 0;
    while taken < count {
        if sent < count && sent - taken < threads * AHEAD {
            let mut piece = spare.pop().unwrap_or_default();
            fill(sent, &mut piece)?;
            to[sent % threads].send(piece).map_err(|_| lost())?;
            sent += 1;
            continue;
        }
        let mut piece = from[taken % threads].recv().map_err(|_| lost())?;
        take(&mut piece)?;
        spare.push(piece);
        taken += 1;
    }
    Ok(())
}

/// A thread ended before its work was done, which only a fault of ours can cause.
pub(super) fn lost() -> Failure {
    let message = "a thread stopped before its work was done: this is a fault of the program";
    let help = "no file was changed; please report it with the files that lead to it";
    Failure::Machine(Findings {
        list: vec![Diagnostic::error("paperweight", Place::File, message).help(help)],
        sources: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Squares 0..count on so many threads; the piece `at` fails as told.
    fn squares(
        count: usize,
        threads: usize,
        dies: Option<usize>,
        refused: Option<usize>,
    ) -> Result<Vec<usize>, Failure> {
        let mut out = Vec::new();
        in_order(
            count,
            threads,
            &|| {
                move |piece: &mut usize| {
                    assert!(Some(*piece) != dies, "a fault of a thread, made by a test");
                    *piece *= *piece;
                }
            },
            &mut |at, piece| {
                *piece = at;
                Ok(())
            },
            &mut |piece| {
                if Some(out.len()) == refused {
                    return Err(Failure::input(Vec::new(), Vec::new()));
                }
                out.push(*piece);
                Ok(())
            },
        )?;
        Ok(out)
    }

    #[test]
    fn pieces_come_back_in_their_order() {
        for threads in [0, 1, 2, 7] {
            for count in [0, 1, 5, 100] {
                let expected: Vec<usize> = (0..count).map(|at| at * at).collect();
                assert_eq!(squares(count, threads, None, None).unwrap(), expected);
            }
        }
    }

    #[test]
    fn a_thread_that_dies_is_a_failure_of_the_machine() {
        for (threads, dies) in [(1, 0), (2, 99), (3, 50)] {
            let failure = squares(100, threads, Some(dies), None).unwrap_err();
            assert!(matches!(failure, Failure::Machine(_)));
            let told = &failure.findings().list[0].message;
            assert!(told.contains("a fault of the program"), "{told}");
        }
    }

    #[test]
    fn what_is_refused_ends_the_work() {
        let failure = squares(100, 3, None, Some(10)).unwrap_err();
        assert!(matches!(failure, Failure::Input(_)));
    }
}

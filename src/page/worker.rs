//! One thread has the open set and answers everything that is quick, one question after the other.
//!
//! Assembled lenses borrow from the set they belong to, so they live on this thread's stack for as long as the version of the
//! set does: nothing is locked, and no answer can belong to another version than it says.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, TrySendError, sync_channel};
use std::thread;

use tokio::sync::{oneshot, watch};

use super::answers::{Letterings, NoAnswer, Shown, Stand, View, Views};
use super::documents::{Changed, LensShown, State, text};
use super::open_set::{OpenSet, Refused};
use super::state::state;
use crate::model::{RingKind, Set};
use crate::process::ProcessKind;
use crate::set::Faults;
use crate::set::edit::Edit;

/// The most questions that wait; further ones are refused and may be sent again.
const WAITING: usize = 64;

/// As for reading a set file: nested tables take room.
const STACK: usize = 32 << 20;

/// What can be asked.
pub(super) enum Question {
    State(ProcessKind),
    Lens(View, usize),
    At(View, usize, RingKind, Stand),
    Strips(View, usize),
    Plot(View, usize),
    Next(View, usize),
}

/// What can be done to the set.
pub(super) enum Command {
    Edit {
        base: u64,
        edits: Vec<Edit>,
        what: String,
        mark: String,
    },
    Undo(u64),
    Redo(u64),
    /// The version on disk stands, or the one here.
    Settle {
        theirs: bool,
    },
}

/// How something ended.
pub(super) enum Reply {
    /// As it is sent.
    Answer(String),
    NoAnswer(NoAnswer),
    /// What was to be changed is not as it was; the state as it is.
    Refused(Refused, Box<State>),
}

/// The set as it is read now, for what takes longer than a keystroke.
pub(super) struct Snapshot {
    pub(super) set: Result<Arc<Set>, Faults>,
    pub(super) path: std::path::PathBuf,
}

enum Job {
    Ask(Question, oneshot::Sender<Reply>),
    /// What to do, and which lens is looked at while it is done.
    Do(Command, View, Option<usize>, oneshot::Sender<Reply>),
    Snapshot(oneshot::Sender<Snapshot>),
    Look,
}

/// Sends questions to the thread.
#[derive(Clone)]
pub(super) struct Worker {
    jobs: SyncSender<Job>,
    news: watch::Receiver<u64>,
}

/// Why there is no answer.
#[derive(Debug, PartialEq)]
pub(super) enum Unanswered {
    /// Too much is waiting.
    Busy,
    /// The answer could not be computed.
    Lost,
}

impl Worker {
    /// Starts the thread.
    pub(super) fn start(open: OpenSet) -> std::io::Result<Worker> {
        let (jobs, waiting) = sync_channel(WAITING);
        let (tell, news) = watch::channel(1);
        let named = thread::Builder::new().name("set".to_string()).stack_size(STACK);
        named.spawn(move || {
            let mut open = open;
            // a panic loses the answer to its own question, and nothing else
            while catch_unwind(AssertUnwindSafe(|| work(&mut open, &waiting, &tell))).is_err() {}
        })?;
        Ok(Worker { jobs, news })
    }

    pub(super) async fn ask(&self, question: Question) -> Result<Reply, Unanswered> {
        let (reply, answer) = oneshot::channel();
        self.send(Job::Ask(question, reply))?;
        answer.await.map_err(|_| Unanswered::Lost)
    }

    pub(super) async fn act(&self, command: Command, view: View, lens: Option<usize>) -> Result<Reply, Unanswered> {
        let (reply, answer) = oneshot::channel();
        self.send(Job::Do(command, view, lens, reply))?;
        answer.await.map_err(|_| Unanswered::Lost)
    }

    pub(super) async fn snapshot(&self) -> Result<Snapshot, Unanswered> {
        let (reply, answer) = oneshot::channel();
        self.send(Job::Snapshot(reply))?;
        answer.await.map_err(|_| Unanswered::Lost)
    }

    /// Compares the files on disk.
    pub(super) fn look(&self) {
        // where too much is waiting, the next comparison finds the change
        let _ = self.jobs.try_send(Job::Look);
    }

    /// A count that grows with every change.
    pub(super) fn news(&self) -> watch::Receiver<u64> {
        self.news.clone()
    }

    fn send(&self, job: Job) -> Result<(), Unanswered> {
        self.jobs.try_send(job).map_err(|error| match error {
            TrySendError::Full(_) => Unanswered::Busy,
            TrySendError::Disconnected(_) => Unanswered::Lost,
        })
    }
}

fn work(open: &mut OpenSet, jobs: &Receiver<Job>, tell: &watch::Sender<u64>) {
    let mut readable: Option<Arc<Set>> = None;
    let letterings = Letterings::default();
    let mut deferred: Option<(View, Option<usize>, oneshot::Sender<Reply>)> = None;
    loop {
        let read = open.set().map(Arc::new);
        if let Ok(set) = &read {
            readable = Some(Arc::clone(set));
        }
        // while the text cannot be read, the last set that could be is shown
        let shown_set = readable.clone();
        let views = Views::default();
        let shown = Shown::new(shown_set.as_deref(), &views, &letterings);
        let tell_state =
            |open: &OpenSet, process| state(open, read.as_ref().err(), shown_set.as_deref(), process, *tell.borrow());
        if let Some((view, lens, reply)) = deferred.take() {
            let lens = lens
                .map(|lens| shown.lens(view, lens).unwrap_or_else(|none| LensShown::Missing { unfit: [none.words] }));
            let _ = reply.send(Reply::Answer(text(&Changed { state: tell_state(open, view.process), lens })));
        }
        loop {
            let Ok(job) = jobs.recv() else { return };
            match job {
                Job::Ask(question, reply) => {
                    let answer = match question {
                        Question::State(process) => Ok(text(&tell_state(open, process))),
                        Question::Lens(view, lens) => shown.lens(view, lens).map(|lens| text(&lens)),
                        Question::At(view, lens, ring, stand) => {
                            shown.at(view, lens, ring, &stand).map(|under| text(&under))
                        }
                        Question::Strips(view, lens) => shown.strips(view, lens).map(|strips| text(&strips)),
                        Question::Plot(view, lens) => shown.plot(view, lens).map(|plot| text(&plot)),
                        Question::Next(view, lens) => shown.next(view, lens).map(|next| text(&next)),
                    };
                    // the page may have closed the connection
                    let _ = reply.send(answer.map_or_else(Reply::NoAnswer, Reply::Answer));
                }
                Job::Snapshot(reply) => {
                    let set = read.clone();
                    let _ = reply.send(Snapshot { set, path: open.path().to_path_buf() });
                }
                Job::Look => {
                    let before = open.version();
                    if open.look() {
                        tell.send_modify(|news| *news += 1);
                    }
                    open.settle_on_disk();
                    if open.version() != before {
                        break;
                    }
                }
                Job::Do(command, view, lens, reply) => {
                    let before = open.version();
                    let done = match command {
                        Command::Edit { base, edits, what, mark } => open.edit(base, &edits, &what, &mark),
                        Command::Undo(base) => open.undo(base),
                        Command::Redo(base) => open.redo(base),
                        Command::Settle { theirs } => {
                            open.settle(theirs);
                            Ok(())
                        }
                    };
                    match done {
                        Err(refused) => {
                            let _ = reply.send(Reply::Refused(refused, Box::new(tell_state(open, view.process))));
                        }
                        Ok(()) => {
                            deferred = Some((view, lens, reply));
                            if open.version() != before {
                                tell.send_modify(|news| *news += 1);
                            }
                            break;
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A worker whose thread takes `taken` questions and drops them.
    fn dropping(waiting: usize, taken: usize) -> Worker {
        let (jobs, questions) = sync_channel(waiting);
        let (_, news) = watch::channel(1);
        thread::spawn(move || {
            questions.iter().take(taken).for_each(drop);
            thread::park();
        });
        Worker { jobs, news }
    }

    fn asked(worker: &Worker) -> Option<Unanswered> {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap();
        runtime.block_on(worker.ask(Question::State(ProcessKind::Film))).err()
    }

    #[test]
    fn a_question_whose_answer_is_lost_is_lost_and_not_refused_as_busy() {
        assert_eq!(asked(&dropping(8, 1)), Some(Unanswered::Lost));
    }

    #[test]
    fn a_question_beyond_those_that_wait_is_refused_as_busy() {
        let worker = dropping(1, 0);
        worker.look();
        assert_eq!(asked(&worker), Some(Unanswered::Busy));
    }
}

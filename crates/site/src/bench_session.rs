//! A version of a plan with its tests, jobs and logbook, asked by the bench pages.
//!
//! As with `opened`, what is worked out borrows from the plan's text, so it lives on a thread of its own.

use crate::logged::Desk;
use crate::numbers::Kept;
use crate::opened::NoAnswer;
use analysis::Analysis;
use commissioning::TestLoad;
use drawing::Frame;
use schedule::{Choices, Job};
use std::cell::OnceCell;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;
use tokio::sync::oneshot;

/// Tests, jobs and logbook of a version.
pub(crate) struct BenchView<'j, 'p> {
    pub desk: Desk<'j, 'p>,
    /// Whether entries can be made: a demo plan has no logbook.
    pub is_file: bool,
    /// The drawing, once it was asked for.
    frame: OnceCell<Frame>,
}

impl BenchView<'_, '_> {
    /// The drawing from above; none of a plan so long that nobody would wait for it.
    pub fn frame(&self) -> Option<&Frame> {
        let job = self.desk.job();
        (!analysis::is_large(&job.facts.circuit)).then(|| self.frame.get_or_init(|| drawing::whole(job)))
    }
}

/// Why a version has no bench.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NoBench {
    /// It is not understood.
    #[error("The plan as it stands is not understood, and its tests would not be true. Fix the text first.")]
    NotUnderstood,
    /// Its tests cannot be worked out, or its logbook cannot be read.
    #[error("{0}")]
    Refused(String),
}

type Question = Box<dyn FnOnce(Result<&mut BenchView<'_, '_>, &NoBench>) + Send>;

/// A version that can be asked.
#[derive(Clone)]
pub(crate) struct BenchSession {
    questions: Sender<Question>,
}

impl BenchSession {
    /// Works out tests and jobs on a thread of its own, and opens the logbook of the file.
    pub fn open(bytes: Arc<[u8]>, kept: Option<Arc<Kept>>, file: Option<PathBuf>) -> std::io::Result<BenchSession> {
        let (questions, asked) = channel::<Question>();
        std::thread::Builder::new().name("bench".to_owned()).stack_size(16 << 20).spawn(move || {
            // Where this falls over, the questions that wait are dropped, and whoever asked them is told.
            let _ = catch_unwind(AssertUnwindSafe(|| answer(&bytes, kept.as_deref(), file, &asked)));
        })?;
        Ok(BenchSession { questions })
    }

    /// Asks, and waits for the answer, but not for ever.
    pub async fn ask<T: Send + 'static>(
        &self,
        patience: Duration,
        question: impl FnOnce(Result<&mut BenchView<'_, '_>, &NoBench>) -> T + Send + 'static,
    ) -> Result<T, NoAnswer> {
        let (answer, answered) = oneshot::channel();
        let question = move |bench: Result<&mut BenchView<'_, '_>, &NoBench>| {
            // Where nobody waits any more, nobody wants the answer; whoever sent an entry sends it again.
            if !answer.is_closed() {
                let _ = answer.send(question(bench));
            }
        };
        self.questions.send(Box::new(question)).map_err(|_| NoAnswer::FellOver)?;
        match tokio::time::timeout(patience, answered).await {
            Ok(answered) => answered.map_err(|_| NoAnswer::FellOver),
            Err(_) => Err(NoAnswer::NotYet),
        }
    }
}

fn answer(bytes: &[u8], kept: Option<&Kept>, file: Option<PathBuf>, asked: &Receiver<Question>) {
    let refuse = |why: NoBench| asked.iter().for_each(|question| question(Err(&why)));
    let (text, reading) = plan::read_bytes(bytes);
    if !reading.understood() {
        return refuse(NoBench::NotUnderstood);
    }
    let facts = Analysis::of(&text, &reading.plan, &reading.names);
    let record = kept.and_then(|kept| kept.record_of(&reading.names));
    let job = Job::carried_where_kept(facts, Choices::usual(&reading.plan), record);
    let work = match commissioning::work(&job, TestLoad::default()) {
        Ok(work) => work,
        Err(why) => return refuse(NoBench::Refused(why.to_string())),
    };
    let is_file = file.is_some();
    for question in asked {
        // What keeps the logbook from being read may be gone at the next question.
        let desk = match Desk::open(file.as_deref().unwrap_or(std::path::Path::new("")), &job, &work) {
            Ok(desk) => desk,
            Err(why) => {
                question(Err(&NoBench::Refused(format!("{why}: {}", why.help()))));
                continue;
            }
        };
        let mut view = BenchView { desk, is_file, frame: OnceCell::new() };
        question(Ok(&mut view));
        for question in asked {
            let _ = catch_unwind(AssertUnwindSafe(|| match view.desk.refresh() {
                Ok(()) => question(Ok(&mut view)),
                Err(why) => question(Err(&NoBench::Refused(format!("{why}: {}", why.help())))),
            }));
        }
    }
}

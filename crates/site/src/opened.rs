//! A version of a plan, read and reviewed once, and then asked many times.
//!
//! What the engines found borrows from the plan's text. So it lives on the stack of a thread of its own, and questions
//! are sent there. There are two, so that nobody waits for a drawing who did not ask for one. They end when nobody holds the version any more.

use crate::numbers::Kept;
use analysis::Analysis;
use circuit::Circuit;
use drawing::Frame;
use finding::Lines;
use plan::PlanReading;
use review::Review;
use schedule::{Choices, Job};
use std::cell::OnceCell;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Duration;
use tokio::sync::oneshot;

/// How long an answer is waited for.
const PATIENCE: Duration = Duration::from_secs(2);

/// What is known of a version.
pub(crate) struct VersionView<'p> {
    /// The text; broken bytes are replaced.
    pub text: &'p str,
    /// The bytes it came from.
    pub bytes: &'p [u8],
    pub lines: Lines<'p>,
    pub review: &'p Review,
    reading: &'p OnceCell<PlanReading>,
    analysis: &'p OnceCell<Analysis<'p>>,
    /// What can be drawn; none where the plan is not understood, or the question does not need it.
    pub drawn: Option<Drawn<'p>>,
}

impl<'p> VersionView<'p> {
    /// The analysis of the version; none where it is not understood. Each part of it is worked out for the first question that
    /// needs it.
    pub fn analysis(&self) -> Option<&Analysis<'p>> {
        if let Some(drawn) = &self.drawn {
            return Some(&drawn.job.facts);
        }
        let reading = understood(self.text, self.review, self.reading)?;
        Some(self.analysis.get_or_init(|| Analysis::of(self.text, &reading.plan, &reading.names)))
    }
}

/// The plan of a text, where it is understood.
fn understood<'p>(text: &str, review: &Review, reading: &'p OnceCell<PlanReading>) -> Option<&'p PlanReading> {
    // Broken bytes are a fault of the bytes, which the text with its replacements no longer has.
    review.summary.understood.then(|| reading.get_or_init(|| plan::read(text))).filter(|reading| reading.understood())
}

pub(crate) struct Drawn<'p> {
    pub job: Job<'p>,
    pub above: Frame,
    pub below: Frame,
}

impl Drawn<'_> {
    pub fn circuit(&self) -> &Circuit {
        &self.job.facts.circuit
    }

    /// The drawing from above or from below.
    pub fn seen(&self, below: bool) -> &Frame {
        if below { &self.below } else { &self.above }
    }
}

type Question = Box<dyn FnOnce(&VersionView<'_>) + Send>;

/// What a question needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Needs {
    /// The text and its review.
    Review,
    /// The circuit and the drawing too. Laying out a long plan takes a while, and other questions do not wait for it.
    Drawing,
}

/// A version that can be asked.
#[derive(Clone)]
pub(crate) struct PlanSession {
    read: Arc<Read>,
    review: Sender<Question>,
    /// Begun when the first question needs it.
    drawing: Arc<Mutex<Option<Sender<Question>>>>,
}

/// What both threads work from.
struct Read {
    bytes: Arc<[u8]>,
    kept: Option<Arc<Kept>>,
    reviewed: OnceLock<(String, Review)>,
}

/// Why a question has no answer.
#[derive(Debug, thiserror::Error)]
pub(crate) enum NoAnswer {
    /// An engine fell over. That is our fault and never the plan's.
    #[error("this plan brought the program out of step, which is a fault of the program; the plan file is untouched")]
    FellOver,
    /// It takes longer than somebody is left to wait.
    #[error("it is not ready yet")]
    NotYet,
    /// The system has no thread left.
    #[error("the system refuses: {0}")]
    System(#[from] std::io::Error),
}

impl PlanSession {
    /// Reads and reviews on a thread of its own; questions wait until it is done.
    ///
    /// Wires, gaps and joints go on with the numbers that papers made before have given them.
    pub fn open(bytes: Arc<[u8]>, kept: Option<Arc<Kept>>) -> std::io::Result<PlanSession> {
        let read = Arc::new(Read { bytes, kept, reviewed: OnceLock::new() });
        let review = begin(&read, Needs::Review)?;
        Ok(PlanSession { read, review, drawing: Arc::default() })
    }

    /// Whether it is known by now that this version is understood.
    pub fn is_understood(&self) -> bool {
        self.read.reviewed.get().is_some_and(|(_, review)| review.summary.understood)
    }

    /// Whether it goes on from these numbers.
    pub fn goes_on_from(&self, kept: Option<&Arc<Kept>>) -> bool {
        self.read.kept.as_ref() == kept
    }

    fn thread(&self, needs: Needs) -> std::io::Result<Sender<Question>> {
        if needs == Needs::Review {
            return Ok(self.review.clone());
        }
        let mut drawing = self.drawing.lock().unwrap_or_else(PoisonError::into_inner);
        match drawing.as_ref() {
            Some(begun) => Ok(begun.clone()),
            None => Ok(drawing.insert(begin(&self.read, needs)?).clone()),
        }
    }

    /// Asks, and waits for the answer, but not for ever.
    pub async fn ask<T: Send + 'static>(
        &self,
        needs: Needs,
        question: impl FnOnce(&VersionView<'_>) -> T + Send + 'static,
    ) -> Result<T, NoAnswer> {
        let (answer, answered) = oneshot::channel();
        let question = move |opened: &VersionView<'_>| {
            // Where nobody waits any more, nobody wants the answer.
            if !answer.is_closed() {
                let _ = answer.send(question(opened));
            }
        };
        self.thread(needs)?.send(Box::new(question)).map_err(|_| NoAnswer::FellOver)?;
        match tokio::time::timeout(PATIENCE, answered).await {
            Ok(answered) => answered.map_err(|_| NoAnswer::FellOver),
            Err(_) => Err(NoAnswer::NotYet),
        }
    }
}

/// Starts a thread that reads a version, and then answers.
fn begin(read: &Arc<Read>, needs: Needs) -> std::io::Result<Sender<Question>> {
    let (questions, asked) = channel::<Question>();
    let read = Arc::clone(read);
    std::thread::Builder::new().name("plan".to_owned()).stack_size(16 << 20).spawn(move || {
        // Where this falls over, the questions that wait are dropped, and whoever asked them is reported.
        let _ = catch_unwind(AssertUnwindSafe(|| {
            let (text, review) = read.reviewed.get_or_init(|| review::review_bytes(&read.bytes));
            let kept = read.kept.as_deref();
            let (reading, analysis) = (OnceCell::new(), OnceCell::new());
            let to_draw = || understood(text, review, &reading);
            let drawn = (needs == Needs::Drawing).then(to_draw).flatten().map(|reading| {
                let facts = Analysis::of(text, &reading.plan, &reading.names);
                let record = kept.and_then(|kept| kept.record_of(&reading.names));
                let job = Job::carried_where_kept(facts, Choices::usual(&reading.plan), record);
                let above = drawing::whole(&job);
                let below = above.mirrored();
                Drawn { job, above, below }
            });
            let (reading, analysis) = (&reading, &analysis);
            let lines = Lines::new(text).with_origins(review.expansion.origins());
            let opened = VersionView { text, bytes: &read.bytes, lines, review, reading, analysis, drawn };
            for question in asked {
                let _ = catch_unwind(AssertUnwindSafe(|| question(&opened)));
            }
        }));
    })?;
    Ok(questions)
}

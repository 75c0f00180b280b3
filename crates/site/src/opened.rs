//! A version of a plan, read and reviewed once, and then asked many times.
//!
//! What the engines found borrows from the plan's text. So it lives on the stack of a thread of its own, and questions
//! are sent there. The thread ends when nobody holds the version any more.

use circuit::Circuit;
use drawing::Frame;
use finding::Lines;
use review::Review;
use schedule::{Choices, Job};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Sender, channel};
use tokio::sync::oneshot;

/// What is known of a version.
pub(crate) struct Opened<'p> {
    /// The text; broken bytes are replaced.
    pub text: &'p str,
    /// The bytes it came from.
    pub bytes: &'p [u8],
    pub lines: Lines<'p>,
    pub review: &'p Review,
    /// What can be drawn; none where the plan is not understood.
    pub drawn: Option<Drawn<'p>>,
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
}

type Question = Box<dyn FnOnce(&Opened<'_>) + Send>;

/// A version that can be asked.
#[derive(Clone)]
pub(crate) struct Asked {
    questions: Sender<Question>,
}

/// Why a question has no answer: an engine fell over. That is our fault and never the plan's.
#[derive(Debug, thiserror::Error)]
#[error("this plan brought the program out of step, which is a fault of the program; the plan file is untouched")]
pub(crate) struct FellOver;

impl Asked {
    /// Reads and reviews on a thread of its own; questions wait until it is done.
    pub fn open(bytes: std::sync::Arc<[u8]>) -> std::io::Result<Asked> {
        let (questions, asked) = channel::<Question>();
        std::thread::Builder::new().name("plan".to_owned()).stack_size(16 << 20).spawn(move || {
            // Where this falls over, the questions that wait are dropped, and whoever asked them is told.
            let _ = catch_unwind(AssertUnwindSafe(|| {
                let (text, review) = review::review_bytes(&bytes);
                let reading = plan::read(&text);
                // Broken bytes are a fault of the bytes, which the text with its replacements no longer has.
                let understood = review.summary.understood && reading.understood();
                let drawn = understood.then(|| {
                    let facts = review::facts(&text, &reading.plan, &reading.names);
                    let job = Job::new(facts, Choices::default());
                    let above = drawing::whole(&job);
                    let below = above.mirrored();
                    Drawn { job, above, below }
                });
                let lines = Lines::new(&text);
                let opened = Opened { text: &text, bytes: &bytes, lines, review: &review, drawn };
                for question in asked {
                    let _ = catch_unwind(AssertUnwindSafe(|| question(&opened)));
                }
            }));
        })?;
        Ok(Asked { questions })
    }

    /// Asks, and waits for the answer.
    pub async fn ask<T: Send + 'static>(
        &self,
        question: impl FnOnce(&Opened<'_>) -> T + Send + 'static,
    ) -> Result<T, FellOver> {
        let (answer, answered) = oneshot::channel();
        let question = move |opened: &Opened<'_>| {
            // Where nobody waits any more, nobody wants the answer.
            let _ = answer.send(question(opened));
        };
        self.questions.send(Box::new(question)).map_err(|_| FellOver)?;
        answered.await.map_err(|_| FellOver)
    }
}

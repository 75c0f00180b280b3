//! Work orders in building order, and tests with what they should read and what a mistake would read.
//!
//! ```text
//! circuit ─ supplies unplugged ─▶ unpowered ─▶ candidates ─ with each mistake in turn ─▶ assessed ─▶ cover ─▶ sheet
//! ```
//! Every expected reading, every limit and what each mistake would read comes from the network with that mistake in it
//! (`ohms`), none from a constant. A sheet is the least set of tests that notices whatever one of them notices
//! (`cover`); what none notices is said, with the reason.

pub mod assess;
pub mod assess_long;
pub mod assessed;
pub mod candidates;
pub mod changes;
pub mod cold;
pub mod cover;
pub mod enabling;
pub mod entry_keys;
pub mod explain;
pub mod hot;
mod hot_motors;
mod hot_phase;
mod hot_words;
pub mod measured;
pub mod meter;
pub mod mistake;
mod numbering;
pub mod ohms;
pub mod orders;
mod orders_owners;
mod orders_paper;
mod orders_tasks;
pub mod print;
mod printed;
mod printed_hot;
mod sentences;
mod sheets;
pub mod task;
pub mod test;
pub mod test_load;
pub mod unpowered;
pub mod warmth;
pub mod words;
pub mod work;
pub mod yearly;

pub use cold::{ColdSheet, NotProved, cold_sheet};
pub use hot::{HotSheet, hot_sheet};
pub use mistake::Mistake;
pub use orders::orders;
pub use sentences::{BEFORE_COLD, MILLIVOLTS, SQUARE_WAVE, load as load_words, places};
pub use task::Task;
pub use test::{Element, How, ProbePoint, Test, TestKind, WouldRead};
pub use test_load::{BadLoad, TestLoad};
pub use unpowered::Age;
pub use work::{Work, WorkError, work};

use schedule::Job;
use schedule::paper::{Block, Paper};

/// Work orders, cold tests, hot tests with a load of 1 A, and what to read again once a year.
pub fn papers(job: &Job<'_>) -> Vec<Paper> {
    match work(job, TestLoad::default()) {
        Ok(work) => {
            let orders = || orders_paper::orders_paper(job, &work.tasks, &work.cold.tests);
            let others = || (sheets::hot_paper(job, &work), sheets::yearly_paper(job, &work.yearly));
            let ((orders, cold), (hot, yearly)) =
                rayon::join(|| rayon::join(orders, || sheets::cold_paper(job, &work.cold)), others);
            vec![orders, cold, hot, yearly]
        }
        // A paper that says why it is empty is found sooner than one that is missing.
        Err(why) => {
            vec![Paper::new("tests", "Tests", vec![Block::Text(why.to_string())])]
        }
    }
}

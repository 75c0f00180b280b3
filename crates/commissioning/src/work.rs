//! All of a job's bench work together, as papers and as text take it.

use crate::cold::{ColdSheet, cold_sheet};
use crate::hot::{HotSheet, hot_sheet};
use crate::orders::orders;
use crate::task::Task;
use crate::test::Test;
use crate::test_load::TestLoad;
use crate::unpowered::Age;
use crate::yearly::yearly;
use schedule::Job;

/// Tests and tasks of a job.
#[derive(Clone, Debug)]
pub struct Work {
    /// The cold sheet.
    pub cold: ColdSheet,
    /// The hot tests.
    pub hot: HotSheet,
    /// What is read again once a year.
    pub yearly: Vec<Test>,
    /// The work orders.
    pub tasks: Vec<Task>,
    /// The load the hot tests are made with.
    pub load: TestLoad,
}

/// Why there are no tests.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WorkError {
    /// A resistance is none that can be calculated with.
    #[error("a resistance of the plan cannot be used: {0}")]
    Resistance(#[from] network::BadConductance),
    /// There are no numbers.
    #[error(transparent)]
    NoNumbers(#[from] electrics::Failed),
}

/// Works all of it out.
///
/// # Errors
/// Where a resistance is none that can be calculated with.
pub fn work(job: &Job<'_>, load: TestLoad) -> Result<Work, WorkError> {
    // Neither asks anything of the other.
    let (cold, hot) = rayon::join(|| cold_sheet(job, Age::New), || hot_sheet(job, load));
    let (mut cold, mut hot) = (cold?, hot?);
    crate::numbering::number(job, &mut cold.tests, &mut hot.tests);
    let (yearly, tasks) = rayon::join(|| yearly(job, &cold.tests), || orders(job, &cold.tests));
    let (yearly, tasks) = (yearly?, tasks?);
    Ok(Work { cold, hot, yearly, tasks, load })
}

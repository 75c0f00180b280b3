//! Work orders: what is to be done, in an order in which it can be done, and the cold tests that close each task.

use crate::mistake::gaps;
use crate::orders_tasks::Planner;
use crate::task::Task;
use crate::test::{Element, Test};
use circuit::{Circuit, EdgeId};
use network::BadConductance;
use schedule::Job;

/// The tasks of a plan, each behind all that it waits for, and closed by the tests of a cold sheet.
///
/// # Errors
/// When a resistance is none that can be calculated with.
pub fn orders(job: &Job<'_>, tests: &[Test]) -> Result<Vec<Task>, BadConductance> {
    let mut tasks = Planner::new(job).tasks();
    let enabled_by = crate::enabling::enabling_tasks(&job.facts.circuit, &tasks, tests)?;
    for (test, task) in tests.iter().zip(enabled_by) {
        if let Some(task) = tasks.get_mut(task) {
            task.closed_by.push(test.name.clone());
        }
    }
    Ok(tasks)
}

/// Everything that some task must make: each piece that is no rail, and each gap.
pub fn to_make(circuit: &Circuit) -> Vec<Element> {
    let pieces = EdgeId::each(&circuit.edges).filter(|(_, e)| e.kind != circuit::EdgeKind::Rail);
    let gaps = gaps(circuit).into_iter().map(|(a, b)| Element::Gap(a, b));
    pieces.map(|(id, _)| Element::Edge(id)).chain(gaps).collect()
}

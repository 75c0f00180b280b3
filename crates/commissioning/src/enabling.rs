//! Which task a cold test closes: the first after which its reading means what the sheet says.

use crate::meter::TEST_AMPS;
use crate::ohms::PairReader;
use crate::task::{Stage, Task};
use crate::test::{Element, How, Test};
use crate::unpowered::{Age, unpowered};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId};
use electrics::Level;
use network::BadConductance;
use std::collections::BTreeMap;

/// Tasks times edges beyond which readings are not taken again after each task; tests then close the last of the tasks that
/// make what they prove or touch.
const MOST_WORK: usize = 500_000;

/// Whether a plan is so long that readings are sure to hold only once all is wired.
pub fn is_long(circuit: &Circuit, tasks: &[Task]) -> bool {
    tasks.len().saturating_mul(circuit.edges.len()) > MOST_WORK
}

/// For each test the index of the task it closes.
///
/// A sheet's readings are those of the whole wiring. While parts of it are missing there is less beside what is measured, and
/// by Rayleigh's law a reading is never less than in the end; so it comes down to its limits once, after some task, and stays
/// within them. What proves nothing by itself closes the last task before ballast.
pub(crate) fn enabling_tasks(circuit: &Circuit, tasks: &[Task], tests: &[Test]) -> Result<Vec<usize>, BadConductance> {
    let mut made_in: BTreeMap<Element, usize> = BTreeMap::new();
    for (index, task) in tasks.iter().enumerate() {
        made_in.extend(task.makes.iter().map(|&element| (element, index)));
    }
    let last_wired = tasks.iter().rposition(|t| t.stage < Stage::Ballast).unwrap_or(0);
    let neighbours = circuit.neighbours();
    // The bus under a probe must be there, and one of the pieces that end where it touches.
    let under = |node: NodeId| {
        let ends = neighbours[node].iter().map(|e| e.1);
        let rail = |e: &EdgeId| circuit.edges[*e].kind == EdgeKind::Rail;
        if ends.clone().any(|e| rail(&e)) { None } else { ends.filter_map(|e| made_in.get(&Element::Edge(e))).min() }
    };
    let earliest: Vec<usize> = tests
        .iter()
        .map(|test| {
            let proved = test.proves.iter().filter_map(|e| made_in.get(e));
            let probed = test.between.iter().flatten().filter_map(|p| under(p.node));
            if test.proves.is_empty() { last_wired } else { proved.chain(probed).copied().max().unwrap_or(last_wired) }
        })
        .collect();
    if tests.is_empty() || is_long(circuit, tasks) {
        return Ok(earliest);
    }
    let whole = unpowered(circuit, Age::New);
    let pairs: Vec<[NodeId; 2]> =
        tests.iter().filter_map(|t| t.between.as_ref()).map(|b| b.each_ref().map(|p| p.node)).collect();
    let mut closed: Vec<Option<usize>> = vec![None; tests.len()];
    for index in 0..last_wired {
        let due = |i: &usize| closed[*i].is_none() && earliest[*i] <= index;
        let due: Vec<usize> = (0..tests.len()).filter(due).collect();
        if due.is_empty() || pairs.len() != tests.len() {
            continue;
        }
        let so_far = made_by(&whole, &made_in, index);
        let mut network = PairReader::new(&so_far, &pairs, &[])?;
        let mut of_setting: BTreeMap<&[Option<u8>], Vec<usize>> = BTreeMap::new();
        due.into_iter().for_each(|i| of_setting.entry(&tests[i].setting).or_default().push(i));
        for (setting, here) in of_setting {
            let high = network.read(setting, Level::High, None)?;
            for i in here {
                let reading = if tests[i].how == How::Millivolts { high[i] * TEST_AMPS * 1e3 } else { high[i] };
                if reading <= tests[i].passes[1] {
                    closed[i] = Some(index);
                }
            }
        }
    }
    Ok(closed.into_iter().map(|c| c.unwrap_or(last_wired)).collect())
}

/// The wiring once a task and all before it are done.
pub fn made_by(whole: &Circuit, made_in: &BTreeMap<Element, usize>, task: usize) -> Circuit {
    let mut so_far = whole.clone();
    for (id, edge) in EdgeId::all(whole.edges.len()).zip(&mut so_far.edges) {
        if made_in.get(&Element::Edge(id)).is_some_and(|&made| made > task) {
            edge.removed = true;
        }
    }
    so_far
}

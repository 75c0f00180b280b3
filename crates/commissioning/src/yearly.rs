//! What ages first, read again once a year.

use crate::meter::{self, limits};
use crate::ohms::{PairReader, around};
use crate::test::{Element, How, Test};
use crate::unpowered::{Age, unpowered};
use circuit::{EdgeKind, NodeId};
use network::BadConductance;
use schedule::Job;
use std::collections::BTreeMap;

/// A test and the nodes its probes touch.
type Probed<'t> = (&'t Test, [NodeId; 2]);

/// The tests of a cold sheet that look at what is pressed together (sliding joints, blades, contacts), with the limits of
/// wiring that has aged as far as the handbook goes; those first whose readings ageing moves most. They keep their names,
/// so that this year's reading stands beside that of the day it was built.
///
/// # Errors
/// When a resistance is none that can be calculated with.
pub fn yearly(job: &Job<'_>, cold: &[Test]) -> Result<Vec<Test>, BadConductance> {
    let circuit = unpowered(&job.facts.circuit, Age::Aged);
    let ages = |e: &Element| match e {
        Element::Edge(edge) => {
            matches!(circuit.edges[*edge].kind, EdgeKind::SlidingJoint | EdgeKind::Blade | EdgeKind::Contact)
        }
        Element::Gap(..) => false,
    };
    let chosen = cold.iter().filter(|t| t.how == How::Millivolts && t.proves.iter().any(ages));
    let mut of_setting: BTreeMap<&[Option<u8>], Vec<Probed<'_>>> = BTreeMap::new();
    for test in chosen {
        if let Some(pair) = test.between.as_ref().map(|between| between.each_ref().map(|p| p.node)) {
            of_setting.entry(&test.setting).or_default().push((test, pair));
        }
    }
    let neighbours = circuit.neighbours();
    let mut found: Vec<(f64, Test)> = Vec::new();
    for (setting, tests) in of_setting {
        let pairs: Vec<[NodeId; 2]> = tests.iter().map(|t| t.1).collect();
        // Only what these pieces are joined to bears on them.
        let Some((part, own)) = around(&circuit, &neighbours, setting, &pairs, None) else { continue };
        let levels = PairReader::new(&part, &own, &[])?.levels(setting, None)?;
        for (index, (test, _)) in tests.into_iter().enumerate() {
            let mut test = test.clone();
            let expected = levels.each().map(|level| level[index]).times(meter::TEST_AMPS * 1e3);
            let range = meter::millivolt_range(expected.high);
            let passes = limits(expected, &range);
            (test.range, test.expected, test.passes) = (range.words.to_owned(), Some(expected), passes);
            found.push((expected.high / expected.typical, test));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0)); // stable: by setting and sheet where equal
    Ok(found.into_iter().map(|f| f.1).collect())
}

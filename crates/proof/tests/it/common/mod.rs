//! What the tests of several questions share: plans as text, and current followed by walking, edge by edge.
#![allow(clippy::unwrap_used, dead_code)]

use circuit::{Circuit, ControlId, NodeId};
use oracle::ladders::{LadderShape, plan};
use proof::{Proof, Storage};

pub const HEAD: &str = r#"
[layout]
name = "test"
scale = "OO"
joint = "soldered"
[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4 A" }
[[bus]]
name = "bus"
supply = "booster"
wire = "1.5 mm²"
length = "5 m"
"#;

pub struct Made {
    pub text: String,
    pub reading: plan::PlanReading,
    pub circuit: Circuit,
}

impl Made {
    /// The control of a turnout.
    pub fn turnout(&self, index: usize) -> ControlId {
        self.circuit.work_controls[&(plan::Kind::Turnout, index)][0]
    }
}

pub fn made(text: &str) -> Made {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}\n{text}", reading.findings);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    Made { text: text.to_owned(), reading, circuit }
}

/// The storage policies of a plan.
fn storage(reading: &plan::PlanReading) -> Option<Storage> {
    let mut all = Storage { tracks: Vec::new(), live: Vec::new(), pick_up: None };
    for policy in reading.plan.storage.iter() {
        for track in policy.value.tracks.iter() {
            all.tracks.push(reading.names.get(&track.value).unwrap().1);
            all.live.push(policy.value.live.value);
        }
    }
    (!reading.plan.storage.is_empty()).then_some(all)
}

pub fn proved(text: &str) -> (Made, Proof) {
    let made = made(text);
    let storage = storage(&made.reading);
    let proof = proof::prove(&made.circuit, storage.as_ref()).unwrap();
    (made, proof)
}

pub fn demo(name: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans").join(name).join("plan.toml");
    std::fs::read_to_string(path).unwrap()
}

pub const DEMOS: [&str; 7] =
    ["balloon", "seven-tracks", "thistle-dock", "thistle-dock-mended", "two-districts", "two-ladders", "wye"];

/// Nodes that can be reached from one over edges that a test calls closed.
pub fn reached(circuit: &Circuit, from: &[NodeId], closed: impl Fn(usize) -> bool) -> Vec<bool> {
    let mut seen = vec![false; circuit.nodes.len()];
    from.iter().for_each(|&n| seen[n] = true);
    // Slow and plain: over all edges until nothing changes.
    loop {
        let mut changed = false;
        for (i, e) in circuit.edges.iter().enumerate() {
            let (a, b) = (e.a.index(), e.b.index());
            if seen[a] != seen[b] && closed(i) {
                seen[a] = true;
                seen[b] = true;
                changed = true;
            }
        }
        if !changed {
            return seen;
        }
    }
}

/// Every setting of controls with so many positions each.
pub fn settings(positions: &[usize]) -> Vec<Vec<u8>> {
    let mut all = vec![Vec::new()];
    for &count in positions {
        all = all.into_iter().flat_map(|s| (0..count as u8).map(move |p| [s.as_slice(), &[p]].concat())).collect();
    }
    all
}

pub fn positions(circuit: &Circuit) -> Vec<usize> {
    circuit.controls.iter().map(|c| c.positions.len()).collect()
}

/// Numbers that look random and are the same each time (splitmix64).
pub struct Numbers(pub u64);

impl Numbers {
    pub fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}

/// The circuit of a long plan, and its storage policy.
pub fn long(shape: LadderShape, turnouts: usize) -> (Circuit, Option<Storage>) {
    let reading = plan::read(&plan(shape, turnouts));
    assert!(reading.understood(), "{:?}", reading.findings.first());
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let storage = storage(&reading);
    (circuit, storage)
}

//! Circuits for the tests and benchmarks of this crate.
#![allow(dead_code, clippy::unwrap_used)] // each user takes its own part; a plan that does not read is a broken test

use circuit::{
    Circuit, Control, ControlId, Edge, EdgeId, EdgeKind, Literal, Node, NodeId, Probe, RailLine, RailOwner, Segment,
    SegmentEnd, Source, Stop,
};
use electrics::worst::{Setting, Settings, Zone};
use electrics::{Grid, Level};
use handbook::Spread;
use std::fmt::Write as _;

/// The circuit of a plan, which must read without an error.
pub fn circuit(text: &str, probes: &[Probe]) -> Circuit {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}", reading.findings);
    Circuit::with_probes(&reading.plan, &reading.names, probes)
}

/// The plan with two docks.
pub fn thistle_dock() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../plans/thistle-dock/plan.toml");
    std::fs::read_to_string(path).unwrap()
}

/// A yard of `docks` tracks on a ladder with live frogs. The right rail of each dock but the last is switched with its
/// turnout; a toggle for each dock feeds its left rail a second time when it is on.
pub fn yard(docks: usize) -> String {
    let mut text = "
[layout]
name = \"yard\"
scale = \"OO\"
[[supply]]
name = \"booster\"
voltage = \"15 V\"
rating = \"4 A\"
source = \"0.08 Ω\"
[[bus]]
name = \"bus\"
supply = \"booster\"
wire = \"2.5 mm²\"
length = \"9 m\"
[[track]]
name = \"approach\"
from = \"beyond\"
to = \"T1.points\"
length = \"3 m\"
left = \"bus.A\"
right = \"bus.B\"
stock = \"0.9 m\"
along = { bus = \"bus\", from = \"0 m\", to = \"3 m\" }
feeders = [\"0.3 m\", \"2.4 m\"]
"
    .to_owned();
    for k in 1..docks {
        write!(
            text,
            "
[[turnout]]
name = \"T{k}\"
number = 5
hand = \"left\"
wiring = \"live-bonded\"
[[motor]]
name = \"M{k}\"
moves = \"T{k}\"
kind = \"stall\"
contact = [
  {{ common = \"T{k}.frog\", through = \"bus.A\", diverging = \"bus.B\" }},
  {{ common = \"bus.B\", diverging = \"dock {k}.right @ 0.4 m\" }},
]
[[toggle]]
name = \"S{k}\"
contact = [{{ common = \"bus.A\", on = \"dock {k}.left @ 4.2 m\" }}]
[[track]]
name = \"dock {k}\"
from = \"T{k}.diverging\"
to = \"buffer\"
length = \"4.5 m\"
left = \"bus.A\"
stock = \"0.9 m\"
along = {{ bus = \"bus\", from = \"3.5 m\", to = \"8 m\" }}
feeders = [{{ at = \"0.4 m\", rail = \"left\" }}]
gaps = [{{ at = \"0.09 m\", rail = \"right\" }}]
"
        )
        .unwrap();
        if k + 1 < docks {
            write!(
                text,
                "
[[track]]
name = \"lead {k}\"
from = \"T{k}.through\"
to = \"T{}.points\"
length = \"0.3 m\"
left = \"bus.A\"
right = \"bus.B\"
along = {{ bus = \"bus\", from = \"3 m\", to = \"3.3 m\" }}
feeders = [\"0.2 m\"]
gaps = [{{ at = \"0.09 m\", rail = \"left\" }}]
",
                k + 1
            )
            .unwrap();
        }
    }
    write!(
        text,
        "
[[track]]
name = \"dock {docks}\"
from = \"T{}.through\"
to = \"buffer\"
length = \"4.5 m\"
left = \"bus.A\"
right = \"bus.B\"
stock = \"0.9 m\"
along = {{ bus = \"bus\", from = \"3.5 m\", to = \"8 m\" }}
feeders = [\"0.4 m\"]
gaps = [{{ at = \"0.09 m\", rail = \"left\" }}]
",
        docks - 1
    )
    .unwrap();
    text
}

/// A circuit put together by hand. Every resistance is an input of its own, low half and high twice its typical value.
#[derive(Default)]
pub struct ByHand(pub Circuit);

impl ByHand {
    pub fn node(&mut self, name: &str) -> NodeId {
        let id = NodeId::new(self.0.nodes.len());
        self.0.nodes.push(Node { name: name.to_owned(), span: 0..0, spot: circuit::Spot::Loose });
        id
    }

    /// Nodes `a`, `b`, ... by the number wanted.
    pub fn nodes<const N: usize>(&mut self) -> [NodeId; N] {
        std::array::from_fn(|k| self.node(&format!("node {k}")))
    }

    pub fn edge(&mut self, a: NodeId, b: NodeId, ohms: f64) -> EdgeId {
        self.switch(a, b, ohms, &[])
    }

    /// An edge that is closed while each of these controls is in position 1.
    pub fn switch(&mut self, a: NodeId, b: NodeId, ohms: f64, controls: &[usize]) -> EdgeId {
        let id = self.0.edges.len();
        for &control in controls {
            while self.0.controls.len() <= control {
                let positions = vec!["off".to_owned(), "on".to_owned()];
                self.0.controls.push(Control {
                    name: format!("S{control}"),
                    parts: Vec::new(),
                    toggles: Vec::new(),
                    positions,
                    usual: 0,
                    settles: false,
                    span: 0..0,
                });
            }
        }
        self.0.edges.push(Edge {
            a,
            b,
            guard: controls.iter().map(|&control| Literal { control: ControlId::new(control), position: 1 }).collect(),
            removed: false,
            ohms: Spread::new(ohms / 2.0, ohms, ohms * 2.0),
            henries: Spread::new(ohms * 0.5e-5, ohms * 1e-5, ohms * 2e-5),
            kind: EdgeKind::Rail,
            part: circuit::Part::Loose,
            name: format!("edge {id}"),
            span: 0..0,
            input: id,
        });
        EdgeId::new(id)
    }

    /// A source of so many volts with its terminals A and B; its resistance lies before A.
    pub fn source(&mut self, volts: f64, ohms: f64) -> [NodeId; 2] {
        let [plus, a, b] = ["inside", "A", "B"].map(|word| self.node(word));
        let edge = self.edge(plus, a, ohms);
        self.0.edges[edge].kind = EdgeKind::Source;
        let number = self.0.sources.len();
        self.0.sources.push(Source {
            supply: number,
            name: format!("supply {number}"),
            plus,
            node: [a, b],
            volts,
            square_wave: true,
        });
        [a, b]
    }

    /// A track whose rails have their stops at these places and nodes.
    pub fn track(&mut self, rails: [RailLine; 2]) -> usize {
        let index = self.0.segments.len();
        self.0.segments.push(Segment {
            name: format!("track {index}"),
            owner: RailOwner::Track(index),
            guard: Vec::new(),
            length: rails[0].stops.last().unwrap().x,
            rails,
            ends: [SegmentEnd::default(), SegmentEnd::default()],
            span: 0..0,
        });
        self.0.tracks = self.0.segments.len();
        index
    }
}

/// A rail by its stops (place, node) and the edges between them.
pub fn line(stops: &[(f64, NodeId)], pieces: &[EdgeId]) -> RailLine {
    let stops = stops.iter().map(|&(x, node)| Stop { x, before: node, after: node }).collect();
    RailLine { stops, pieces: pieces.to_vec() }
}

/// Supply 12 V behind 0.5 ohm, feeders of 0.1 ohm at the start, 2 m of rail with 1 ohm each.
pub fn two_rails() -> (ByHand, usize) {
    let mut hand = ByHand::default();
    let [a, b] = hand.source(12.0, 0.5);
    let [l0, l2, r0, r2] = hand.nodes();
    hand.edge(a, l0, 0.1);
    hand.edge(b, r0, 0.1);
    let left = hand.edge(l0, l2, 1.0);
    let right = hand.edge(r2, r0, 1.0); // its ends the other way round
    let track = hand.track([line(&[(0.0, l0), (2.0, l2)], &[left]), line(&[(0.0, r0), (2.0, r2)], &[right])]);
    (hand, track)
}

/// A cheap sequence of numbers in 0..1, the same every time.
pub fn noise(mut state: u64) -> impl FnMut() -> f64 {
    move || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// All zones of a circuit: what lies between gaps.
pub fn zones(circuit: &Circuit) -> Vec<Zone> {
    let of_segment = |(segment, s): (usize, &circuit::Segment)| {
        let mut cuts: Vec<f64> = circuit.gaps_of(segment).iter().map(|g| g.x).chain([0.0, s.length]).collect();
        cuts.sort_by(f64::total_cmp);
        cuts.dedup();
        cuts.windows(2).map(|w| (segment, [w[0], w[1]])).collect::<Vec<_>>()
    };
    circuit.segments.iter().enumerate().flat_map(of_segment).collect()
}

/// Settings that count for every zone: those listed in which both its rails are fed, as a search finds out by itself.
pub struct Listed<'c> {
    pub circuit: &'c Circuit,
    pub settings: Vec<Vec<u8>>,
    /// For each zone and setting.
    pub fed: Vec<Vec<bool>>,
}

impl<'c> Listed<'c> {
    pub fn new(circuit: &'c Circuit, zones: &[Zone], settings: Vec<Vec<u8>>) -> Listed<'c> {
        let fed = |&(segment, [from, to]): &Zone, setting: &Vec<u8>| {
            let set: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
            let grid = Grid::new(circuit, &set, Level::Typical).unwrap();
            let pieces = grid.resistances().profile(segment).pieces;
            pieces.iter().any(|p| p.from >= from - 1e-9 && p.to <= to + 1e-9 && p.loop_ohms.is_some())
        };
        let fed = zones.iter().map(|z| settings.iter().map(|s| fed(z, s)).collect()).collect();
        Listed { circuit, settings, fed }
    }

    /// All settings of a circuit.
    pub fn all(circuit: &'c Circuit, zones: &[Zone]) -> Listed<'c> {
        let mut settings: Vec<Vec<u8>> = vec![Vec::new()];
        for control in &circuit.controls {
            let longer =
                |s: &Vec<u8>| (0..control.positions.len() as u8).map(move |p| (s.clone(), p)).collect::<Vec<_>>();
            settings = settings
                .iter()
                .flat_map(longer)
                .map(|(mut s, p)| {
                    s.push(p);
                    s
                })
                .collect();
        }
        Listed::new(circuit, zones, settings)
    }

    fn fitting<'s>(&'s self, zone: usize, given: &'s [Option<u8>]) -> impl Iterator<Item = &'s Vec<u8>> {
        let fits = |s: &&Vec<u8>| given.iter().zip(*s).all(|(g, p)| g.is_none_or(|g| g == *p));
        let listed = self.settings.iter().zip(&self.fed[zone]).filter(|s| *s.1).map(|s| s.0);
        listed.filter(move |s| fits(s))
    }
}

impl Settings for Listed<'_> {
    fn holds(&self, zone: usize, setting: &[u8]) -> bool {
        self.settings.iter().position(|s| s == setting).is_some_and(|at| self.fed[zone][at])
    }

    fn implied(&self, zone: usize, given: &[Option<u8>]) -> Option<Setting> {
        let first = self.fitting(zone, given).next()?;
        let same = |control: usize| self.fitting(zone, given).all(|s| s[control] == first[control]);
        Some((0..first.len()).map(|control| same(control).then_some(first[control])).collect())
    }

    fn complete(&self, zone: usize, given: &[Option<u8>]) -> Option<Vec<u8>> {
        self.fitting(zone, given).next().cloned()
    }
}

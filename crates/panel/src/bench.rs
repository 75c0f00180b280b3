//! What a meter reads on a panel by itself, before it is joined to the layout: which terminals of the strip it finds while one button is
//! pressed. Every wire and diode of the matrix shows in one of these readings: a test leaves out each, turns each diode and bridges it.

use crate::wiring::{PanelEnd, PanelWire, PanelWireKind, SupplyMatrix, WiredPanel};
use plan::Pole;
use std::collections::{BTreeMap, VecDeque};

/// What a meter on its diode range says between its two leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BenchReading {
    /// Nothing leads from the one to the other.
    Open,
    /// Wires alone: it beeps.
    Wire,
    /// So many diodes in a row, each with its drop.
    Diodes(usize),
}

/// One button pressed, or none, and what is read at each coil's terminal of the strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BenchTest {
    /// The part whose button is pressed; none at first.
    pub pressed: Option<usize>,
    /// What is read, by terminal.
    pub readings: Vec<(PanelEnd, BenchReading)>,
}

/// The tests of the matrix of one supply: where one lead stays, whether that is the red one, and what is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MatrixBench {
    /// The terminal from which the buttons are fed.
    pub feed: PanelEnd,
    /// Whether current goes from there to the coils: then the red lead stays there.
    pub feed_is_red: bool,
    /// The tests.
    pub tests: Vec<BenchTest>,
}

/// The tests of a matrix of a panel; none where nothing feeds its buttons.
pub fn matrix_bench(wired: &WiredPanel, matrix: &SupplyMatrix) -> Option<MatrixBench> {
    let fed = |w: &&PanelWire| {
        w.kind == PanelWireKind::Feed && matches!(w.ends[0], PanelEnd::Supply(supply, _) if supply == matrix.supply)
    };
    let feed = wired.wires.iter().find(fed)?.ends[1].clone();
    let feed_is_red = wired.common == Pole::B;
    let tests = std::iter::once(None).chain(matrix.buttons.iter().map(|&b| Some(b))).map(|pressed| {
        let strip = matrix.coils.iter().map(|&coil| PanelEnd::CoilStrip(coil));
        let readings = strip.map(|end| {
            let [red, black] = if feed_is_red { [&feed, &end] } else { [&end, &feed] };
            let read = reading(&wired.wires, pressed, red, black);
            (end, read)
        });
        BenchTest { pressed, readings: readings.collect() }
    });
    let tests = tests.collect();
    Some(MatrixBench { feed, feed_is_red, tests })
}

/// What is read from the red lead to the black one over some wires and diodes, by the way with the fewest diodes.
pub fn reading(wires: &[PanelWire], pressed: Option<usize>, red: &PanelEnd, black: &PanelEnd) -> BenchReading {
    let mut best: BTreeMap<&PanelEnd, usize> = BTreeMap::from([(red, 0)]);
    let mut waiting: VecDeque<(&PanelEnd, usize)> = VecDeque::from([(red, 0)]);
    let terminals: Vec<&PanelEnd> = wires.iter().flat_map(|w| &w.ends).collect();
    while let Some((at, passed)) = waiting.pop_front() {
        if best.get(at).is_some_and(|b| *b < passed) {
            continue;
        }
        let mut next: Vec<(&PanelEnd, usize)> = Vec::new();
        for wire in wires {
            let [one, other] = [&wire.ends[0], &wire.ends[1]];
            match wire.kind {
                PanelWireKind::Diode if at == one => next.push((other, 1)),
                PanelWireKind::Diode => {}
                _ if at == one => next.push((other, 0)),
                _ if at == other => next.push((one, 0)),
                _ => {}
            }
        }
        if let PanelEnd::Part(part, terminal) = at
            && pressed == Some(*part)
        {
            // Terminals of a contact are an odd one and the next.
            let over = if terminal % 2 == 1 { terminal + 1 } else { terminal - 1 };
            let over = PanelEnd::Part(*part, over);
            next.extend(terminals.iter().filter(|t| ***t == over).map(|t| (*t, 0)));
        }
        for (to, more) in next {
            if best.get(to).is_none_or(|b| *b > passed + more) {
                best.insert(to, passed + more);
                if more == 0 { waiting.push_front((to, passed)) } else { waiting.push_back((to, passed + more)) }
            }
        }
    }
    match best.get(black) {
        None => BenchReading::Open,
        Some(0) => BenchReading::Wire,
        Some(diodes) => BenchReading::Diodes(*diodes),
    }
}

//! Layouts as they might really be: parts drawn over years, a fault planted, read with meters that err. A second opinion on what a
//! hunt for faults claims: nothing here knows the program's networks, its closed forms or its idea of how parts are spread.
//!
//! Node equations are assembled and eliminated as in any textbook of circuits, the node of fewest neighbours first. Parts lie
//! between the ends of the handbook's bands, and further up the older the layout is: half of the way is common to all contacts of a
//! layout, half each part's own.

use circuit::{Circuit, Edge, EdgeKind, NodeId, Part, WorkPiece};
use handbook::Spread;
use std::collections::{BTreeMap, BTreeSet};

/// Numbers from 0 to 1 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014).
#[derive(Clone, Debug)]
pub struct Draw(pub u64);

impl Draw {
    /// From 0 to 1.
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Anywhere between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Anywhere between two numbers above 0, alike in their logarithms.
    pub fn log_between(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.unit())
    }

    /// One of so many.
    pub fn one_of(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }
}

/// Something planted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Planted {
    /// An edge that does not conduct.
    Open(usize),
    /// So many ohms more in an edge.
    More(usize, f64),
    /// A gap whose sides touch.
    Bridged(NodeId, NodeId),
    /// Two edges exchanged at their far ends.
    Exchanged(usize, usize),
    /// An edge whose far end is at another node.
    Moved(usize, NodeId),
}

/// A layout as it is.
#[derive(Clone, Debug)]
pub struct Layout {
    /// Its wiring, blades that touch beside a bond among the edges.
    pub circuit: Circuit,
    /// Years since it was built.
    pub years: f64,
    unplugged: Vec<bool>,
}

impl Layout {
    /// A sound layout of some age, its parts drawn.
    pub fn drawn(meant: &Circuit, years: f64, draw: &mut Draw) -> Layout {
        let mut circuit = meant.clone();
        circuit.edges.append(&mut circuit.touching);
        let settles = |edge: &Edge| edge.guard.iter().any(|l| circuit.controls[l.control].settles);
        let unplugged = circuit.edges.iter().map(|e| e.kind == EdgeKind::Source || settles(e)).collect();
        let way = (years / 15.0).clamp(0.0, 1.0);
        let (alloy, common) = (draw.unit(), draw.unit());
        for edge in &mut circuit.edges {
            edge.ohms = Spread::exactly(part(edge, way, alloy, common, draw));
        }
        Layout { circuit, years, unplugged }
    }

    /// A layout of which every part's resistance is given, blades that touch beside a bond behind the others.
    pub fn with_ohms(meant: &Circuit, ohms: impl Fn(usize) -> f64) -> Layout {
        let mut layout = Layout::drawn(meant, 0.0, &mut Draw(0));
        for (index, edge) in layout.circuit.edges.iter_mut().enumerate() {
            edge.ohms = Spread::exactly(ohms(index));
        }
        layout
    }

    /// With something wrong.
    pub fn plant(&mut self, planted: Planted) {
        let edges = &mut self.circuit.edges;
        match planted {
            Planted::Open(edge) => edges[edge].removed = true,
            Planted::More(edge, ohms) => edges[edge].ohms = edges[edge].ohms.map(|r| r + ohms),
            Planted::Bridged(a, b) => {
                let mut bridge = Edge { a, b, guard: Vec::new(), removed: false, ..edges[0].clone() };
                bridge.kind = EdgeKind::SolderedJoint;
                bridge.ohms = Spread::exactly(1e-3);
                edges.push(bridge);
                self.unplugged.push(false);
            }
            Planted::Exchanged(one, other) => {
                let ends = (edges[one].b, edges[other].b);
                (edges[other].b, edges[one].b) = ends;
            }
            Planted::Moved(edge, to) => edges[edge].b = to,
        }
    }

    /// Ohms between two nodes in a setting, some edges pulled; with power the supplies themselves stand in the network, each an ideal
    /// source behind its own resistance. None where nothing joins them.
    pub fn ohms(
        &self,
        pair: [NodeId; 2],
        setting: &[Option<u8>],
        pulled: &BTreeSet<usize>,
        powered: bool,
    ) -> Option<f64> {
        let mut merged: BTreeMap<usize, usize> = BTreeMap::new();
        if powered {
            for source in &self.circuit.sources {
                merged.insert(source.plus.index(), source.node[1].index());
            }
        }
        let at = |node: NodeId| merged.get(&node.index()).copied().unwrap_or(node.index());
        if at(pair[0]) == at(pair[1]) {
            return Some(0.0);
        }
        let mut branches = Vec::new();
        for (index, edge) in self.circuit.edges.iter().enumerate() {
            let here = edge.is_closed(setting) && (powered || !self.unplugged[index]) && !pulled.contains(&index);
            if here && at(edge.a) != at(edge.b) {
                branches.push((at(edge.a), at(edge.b), 1.0 / edge.ohms.typical));
            }
        }
        between(&branches, at(pair[0]), at(pair[1]))
    }
}

impl Layout {
    /// Volts between two nodes for an ampere through two others, in ohms: half of four resistances, two of them less (reciprocity).
    pub fn transfer(
        &self,
        (force, sense): ([NodeId; 2], [NodeId; 2]),
        setting: &[Option<u8>],
        pulled: &BTreeSet<usize>,
        powered: bool,
    ) -> Option<f64> {
        if force == sense {
            return self.ohms(force, setting, pulled, powered);
        }
        let between =
            |a: NodeId, b: NodeId| if a == b { Some(0.0) } else { self.ohms([a, b], setting, pulled, powered) };
        let [p, q] = force;
        let [c, d] = sense;
        Some(0.5 * (between(p, d)? + between(q, c)? - between(p, c)? - between(q, d)?))
    }
}

/// What a part resists.
fn part(edge: &Edge, way: f64, alloy: f64, common: f64, draw: &mut Draw) -> f64 {
    let Spread { low, typical, high } = edge.ohms;
    let typical = typical.max(1e-6);
    let joint = typical * draw.log_between(1.0 / 3.0, 3.0) * 3.3_f64.powf(way * (0.5 * common + 0.5 * draw.unit()));
    match (edge.kind, &edge.part) {
        (EdgeKind::Rail, _) if low > 0.0 => low * (high / low).powf(alloy) * draw.between(0.9, 1.1),
        (EdgeKind::Source, _) => typical * draw.between(0.8, 1.3),
        (EdgeKind::SlidingJoint | EdgeKind::Blade | EdgeKind::Contact, _) => {
            let aged = (high / typical).max(1.0).powf(way * (0.5 * common + 0.5 * draw.unit()));
            typical * aged * draw.log_between(0.55, 1.8)
        }
        (EdgeKind::SolderedJoint | EdgeKind::Tap, _) => joint,
        (_, Part::BusLead { .. } | Part::Common { .. } | Part::Work { piece: WorkPiece::Bond, .. }) => joint,
        (EdgeKind::BusWire, _) => typical * draw.between(0.9, 1.2),
        _ => typical * draw.log_between(0.7, 1.5),
    }
}

/// Ohms between two nodes of a network of conductances, by elimination of the assembled node equations.
pub fn between(branches: &[(usize, usize, f64)], from: usize, to: usize) -> Option<f64> {
    // Only what is joined to one of them.
    let mut neighbours: BTreeMap<usize, BTreeMap<usize, f64>> = BTreeMap::new();
    for &(a, b, siemens) in branches {
        *neighbours.entry(a).or_default().entry(b).or_default() += siemens;
        *neighbours.entry(b).or_default().entry(a).or_default() += siemens;
    }
    let mut reached = BTreeSet::from([from]);
    let mut queue = vec![from];
    while let Some(node) = queue.pop() {
        for &next in neighbours.get(&node).into_iter().flat_map(|n| n.keys()) {
            if reached.insert(next) {
                queue.push(next);
            }
        }
    }
    if !reached.contains(&to) {
        return None;
    }
    // Row of each node: its diagonal, and the others. `to` is the reference; an ampere goes into `from`.
    let mut diagonal: BTreeMap<usize, f64> = BTreeMap::new();
    for &node in &reached {
        diagonal.insert(node, neighbours[&node].values().sum());
    }
    let mut rows: BTreeMap<usize, BTreeMap<usize, f64>> = BTreeMap::new();
    for &node in reached.iter().filter(|&&node| node != to) {
        let row = neighbours[&node].iter().filter(|(n, _)| **n != to).map(|(n, g)| (*n, -g)).collect();
        rows.insert(node, row);
    }
    // Fewest neighbours first, `from` last: its diagonal is then the conductance that is asked for.
    let mut order: BTreeSet<(usize, usize)> = rows.iter().map(|(n, row)| (row.len(), *n)).collect();
    while let Some((degree, node)) = order.pop_first() {
        if node == from {
            if order.is_empty() {
                break;
            }
            // Put behind everything else.
            order.insert((usize::MAX, node));
            if degree == usize::MAX {
                continue;
            }
            continue;
        }
        let row = rows.remove(&node)?;
        let pivot = diagonal[&node];
        let list: Vec<(usize, f64)> = row.into_iter().collect();
        for &(other, value) in &list {
            let theirs = rows.get_mut(&other)?;
            let before = theirs.len();
            theirs.remove(&node);
            *diagonal.get_mut(&other)? -= value * value / pivot;
            for &(third, next) in &list {
                if third != other {
                    *theirs.entry(third).or_default() -= value * next / pivot;
                }
            }
            let after = theirs.len();
            let key = if other == from && order.contains(&(usize::MAX, from)) { usize::MAX } else { before };
            if order.remove(&(key, other)) {
                order.insert((if key == usize::MAX { key } else { after }, other));
            }
        }
    }
    let siemens = diagonal[&from];
    (siemens > 0.0).then(|| 1.0 / siemens)
}

/// A meter, with what is wrong with it on this day.
#[derive(Clone, Debug)]
pub struct Meter {
    /// What the leads' zero left, in ohms.
    pub zero: f64,
    /// By what part its current, or its reading, is off.
    pub gain: f64,
}

impl Meter {
    /// One off the shelf.
    pub fn drawn(draw: &mut Draw) -> Meter {
        Meter { zero: draw.between(-0.08, 0.08), gain: draw.between(-0.01, 0.01) }
    }

    /// An ohmmeter that shows tenths; none where it shows that nothing is joined.
    pub fn ohmmeter(&self, ohms: Option<f64>, draw: &mut Draw) -> Option<f64> {
        let ohms = ohms.filter(|ohms| *ohms < 1e5)?;
        let read = ohms * (1.0 + draw.between(-0.008, 0.008)) + self.zero + draw.between(-0.05, 0.05);
        Some(((read * 10.0).round() / 10.0).max(0.0))
    }

    /// One ampere and millivolts, told in ohms; none where the ampere does not come about at 3 V.
    pub fn bench(&self, ohms: Option<f64>, draw: &mut Draw) -> Option<f64> {
        let ohms = ohms.filter(|ohms| *ohms < 3.0)?;
        let read = ohms * (1.0 + self.gain) * (1.0 + draw.between(-0.005, 0.005)) + draw.between(-3e-4, 3e-4);
        let step = if read < 0.2 {
            1e-4
        } else if read < 2.0 {
            1e-3
        } else {
            1e-2
        };
        Some(((read / step).round() * step).max(0.0))
    }

    /// Volts that a load of an ampere takes; none where there are none.
    pub fn load(&self, ohms: Option<f64>, draw: &mut Draw) -> Option<f64> {
        let ohms = ohms.filter(|ohms| *ohms < 10.0)?;
        let read = ohms * (1.0 + self.gain) + draw.between(-0.015, 0.015) + draw.between(-0.015, 0.015);
        Some(((read * 100.0).round() / 100.0).max(0.0))
    }
}

/// A track of so many places with a sliding joint between each two, in both rails, and a feeder to both rails at every so many-th.
pub fn ladder(places: usize, every: usize) -> String {
    let step = 0.5;
    let list = |at: &mut dyn Iterator<Item = f64>| at.map(|x| format!("\"{x:.3} m\"")).collect::<Vec<_>>().join(", ");
    let joints = list(&mut (1..places).map(|k| k as f64 * step));
    let feeders = list(&mut (0..places).step_by(every).map(|k| (k as f64 + 0.5) * step));
    let length = places as f64 * step;
    format!(
        "[layout]\nname = \"places\"\nscale = \"HO\"\nrail = \"code 100 nickel silver\"\njoint = \"soldered\"\n\
         [[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\ntrips = {{ at = \"4 A\" }}\n\
         [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"2.5 mm²\"\nlength = \"{:.1} m\"\n\
         [[track]]\nname = \"line\"\nfrom = \"buffer\"\nto = \"buffer\"\nlength = \"{length:.3} m\"\nleft = \"bus.A\"\n\
         right = \"bus.B\"\nalong = {{ bus = \"bus\", from = \"0 m\", to = \"{length:.3} m\" }}\n\
         feeders = [{feeders}]\nslides = [{joints}]\n",
        length + 1.0
    )
}

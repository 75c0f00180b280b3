//! A bus: what feeds it, its two conductors downwards, and what taps them in the order of place.

use super::draft::{Draft, Drop, WireSide, measured};
use super::nets::Nets;
use super::sheet::{NamedEnd, Pin, SchematicOwner, SchematicSheet, SymbolKind};
use circuit::{EdgeId, NodeId, Part, Spot};
use handbook::quantity::Quantity;
use plan::{Kind, Pole};
use std::collections::BTreeMap;
use std::ops::Range;

/// What taps a bus at a place, of each pole.
#[derive(Clone)]
struct BusPlace {
    metres: f64,
    nodes: [Option<NodeId>; 2],
    /// Which of the taps, from and to, where there are too many at one place for one row after the other.
    part: Range<usize>,
}

/// The most taps of a pole that are kept together.
const TOGETHER: usize = 6;

/// The pieces of a conductor, by the node that each comes from, counted from the start.
type Pieces = BTreeMap<NodeId, (EdgeId, NodeId)>;

/// The bus in parts: the first no higher than `first` where it can be, the others no higher than `whole`.
pub(crate) fn drawn(
    nets: &Nets<'_>,
    bus: usize,
    (em, width): (f64, f64),
    [first, whole]: [f64; 2],
) -> Vec<SchematicSheet> {
    let of = SchematicOwner::Bus(bus);
    let title = title(nets, bus);
    let places = places(nets, bus);
    let wide =
        places.iter().map(|place| measured(&nets.places.length(place.metres), em, false)).fold(4.0 * em, f64::max);
    let start = |title: &str| {
        let mut draft = Draft::new(nets, of, title, (em, width));
        let zone = wide + 1.6 * em;
        draft.x = [0.0, (width - zone) / 2.0, (width + zone) / 2.0, width];
        for (pole, side) in [WireSide::Left, WireSide::Right].into_iter().enumerate() {
            let taps: Vec<Drop> =
                places.iter().filter_map(|place| place.nodes[pole]).flat_map(|node| draft.taps(node, bus)).collect();
            draft.make_room(side, &taps);
        }
        draft
    };
    let pieces = Pole::ALL.map(|pole| pieces(nets, bus, pole));
    let mut draft = start(&title);
    let mut above = draft.feed(bus);
    let mut done: Vec<SchematicSheet> = Vec::new();
    let mut rows = 0;
    for (count, place) in places.iter().enumerate() {
        let room = if done.is_empty() { first } else { whole };
        let taps = |node: NodeId| draft.taps(node, bus).into_iter().skip(place.part.start).take(place.part.len());
        let drops = place.nodes.map(|node| node.map_or_else(Vec::new, |node| taps(node).collect::<Vec<Drop>>()));
        let high = (0..2).map(|pole| draft.rows(pole, &drops[pole])).max().unwrap_or(1).max(1) as f64 * draft.pitch();
        if rows > 1 && draft.y + high + 2.3 * draft.pitch() > room {
            // What runs on ends at words, and starts at words again.
            draft.y += draft.pitch();
            let y = draft.y;
            let pieces = above.each_ref().map(|above| {
                let (node, ..) = (*above)?;
                // At one place it runs on without a piece between.
                if place.nodes.contains(&Some(node)) {
                    return None;
                }
                pieces.iter().find_map(|p| p.get(&node)).copied()
            });
            for (pole, piece) in pieces.into_iter().enumerate() {
                draft.run(&mut above, pole, piece, y, true);
                if let (None, Some((node, from))) = (piece, above[pole]) {
                    draft.link(&[from, [from[0], y]]);
                    draft.sheet.ends.push(NamedEnd { node, at: [from[0], y] });
                }
            }
            let next = start(&format!("{title}, continued"));
            done.push(std::mem::replace(&mut draft, next).done());
            draft.y += 0.4 * draft.pitch();
            let y = draft.y + 0.6 * draft.pitch();
            for (pole, before) in before(&places, count).into_iter().enumerate() {
                above[pole] = before.map(|node| (node, [draft.x[1 + pole], y]));
                if let Some(node) = before {
                    draft.sheet.ends.push(NamedEnd { node, at: [draft.x[1 + pole], y] });
                }
            }
            let words = nets.places.length(places[count - 1].metres);
            draft.place_words(&format!("from {words}"), y - 0.5 * em);
            draft.y = y;
            rows = 0;
        }
        draft.y += draft.pitch();
        let y = draft.y;
        for pole in 0..2 {
            let Some(node) = place.nodes[pole] else { continue };
            let at = [draft.x[1 + pole], y];
            let piece = above[pole].and_then(|(before, _)| pieces[pole].get(&before).copied());
            match above[pole] {
                Some((before, from)) if before == node => draft.link(&[from, at]),
                Some(_) => draft.run(&mut above, pole, piece.filter(|piece| piece.1 == node), y, false),
                None => {}
            }
            let side = [WireSide::Left, WireSide::Right][pole];
            // Where the bus starts, or a piece of it ends, there is a joint though nothing taps it.
            if drops[pole].is_empty() {
                draft.dot(node, at);
            }
            let mut down = at;
            for (row, drop) in drops[pole].iter().enumerate() {
                if row > 0 {
                    draft.link(&[[at[0], down[1]], at_row(at, draft.rows(pole, &drops[pole][..row]), draft.pitch())]);
                }
                down = at_row(at, draft.rows(pole, &drops[pole][..row]), draft.pitch());
                draft.dot(node, down);
                draft.wire_row(side, down, drop);
            }
            above[pole] = Some((node, down));
        }
        draft.place_words(&nets.places.length(place.metres), y + 0.36 * em);
        draft.y += high - draft.pitch();
        rows += 1;
    }
    draft.far_end(bus, &above);
    done.push(draft.done());
    done
}

fn at_row([x, y]: [f64; 2], rows: usize, pitch: f64) -> [f64; 2] {
    [x, y + rows as f64 * pitch]
}

/// Of each pole the last node before a place.
fn before(places: &[BusPlace], count: usize) -> [Option<NodeId>; 2] {
    [0, 1].map(|pole| places[..count].iter().rev().find_map(|place| place.nodes[pole]))
}

fn title(nets: &Nets<'_>, bus: usize) -> String {
    let table = &nets.plan.bus[bus];
    let labels = Pole::ALL.map(|pole| {
        nets.buses.get(&(bus, pole)).map_or_else(String::new, |(_, label)| format!("{} {label}", pole.word()))
    });
    format!("{}: {}, {}", table.name.value, labels.join(", "), table.wire.value)
}

/// The places of a bus where something is, in order.
fn places(nets: &Nets<'_>, bus: usize) -> Vec<BusPlace> {
    let mut found: Vec<(f64, usize, NodeId)> = Vec::new();
    for (id, node) in NodeId::each(&nets.circuit.nodes) {
        if let Spot::Bus { bus: of, pole, x } = node.spot
            && of == bus
        {
            found.push((x, usize::from(pole == Pole::B), id));
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut places: Vec<BusPlace> = Vec::new();
    for (metres, pole, node) in found {
        let near = places.last().is_some_and(|p| metres - p.metres < 1e-5 && p.nodes[pole].is_none());
        if !near {
            places.push(BusPlace { metres, nodes: [None, None], part: 0..TOGETHER });
        }
        if let Some(place) = places.last_mut() {
            place.nodes[pole] = Some(node);
        }
    }
    let parts = |place: BusPlace| {
        let most = place.nodes.iter().flatten().map(|node| nets.wires_at(*node).len()).max().unwrap_or(0);
        (0..most.max(1)).step_by(TOGETHER).map(move |from| BusPlace { part: from..from + TOGETHER, ..place.clone() })
    };
    places.into_iter().flat_map(parts).collect()
}

fn pieces(nets: &Nets<'_>, bus: usize, pole: Pole) -> Pieces {
    let x = |node: NodeId| match nets.circuit.nodes[node].spot {
        Spot::Bus { x, .. } => x,
        _ => 0.0,
    };
    let own = |part: &Part| *part == Part::BusRun { bus, pole };
    let piece = |id: EdgeId| {
        let edge = &nets.circuit.edges[id];
        let (from, to) = if x(edge.a) <= x(edge.b) { (edge.a, edge.b) } else { (edge.b, edge.a) };
        (from, (id, to))
    };
    nets.edges(own).into_iter().map(piece).collect()
}

/// Of each pole the node that was drawn last, and where.
type LastPoints = [Option<(NodeId, [f64; 2])>; 2];

impl Draft<'_, '_> {
    /// What is drawn of each tap: all wires at the node but the leads from the bus's own supply.
    fn taps(&self, node: NodeId, bus: usize) -> Vec<Drop> {
        let lead = |wire: usize| {
            let edge = self.nets.wires[wire].edges.first().map(|&edge| &self.nets.circuit.edges[edge].part);
            matches!(edge, Some(Part::BusLead { bus: of, .. }) if *of == bus)
        };
        self.drops(node, "", &[]).into_iter().filter(|drop| !lead(drop.wire)).collect()
    }

    fn rows(&self, pole: usize, drops: &[Drop]) -> usize {
        drops.iter().map(|drop| self.far_rows([WireSide::Left, WireSide::Right][pole], drop)).sum()
    }

    /// Words between both conductors.
    fn place_words(&mut self, words: &str, y: f64) {
        let wide = measured(words, self.em, false);
        let middle = (self.x[1] + self.x[2]) / 2.0;
        self.words([middle - wide / 2.0, y], words, false, None);
    }

    /// A conductor from the node that was drawn last down to the next one; where it runs on on another part, to words.
    fn run(&mut self, above: &mut LastPoints, pole: usize, piece: Option<(EdgeId, NodeId)>, y: f64, ends: bool) {
        let (Some((_, from)), Some((edge, to))) = (above[pole], piece) else { return };
        let at = [from[0], y];
        let number = self.nets.job.numbers.of_edge(edge);
        self.line(number, &[edge], &[from, at]);
        above[pole] = Some((to, at));
        if ends {
            self.sheet.ends.push(NamedEnd { node: to, at });
            let words = match self.nets.circuit.nodes[to].spot {
                Spot::Bus { x, .. } => format!("on to {}", self.nets.places.length(x)),
                _ => String::new(),
            };
            let wide = measured(&words, self.em, false);
            let x = if pole == 0 { at[0] - wide - 0.4 * self.em } else { at[0] + 0.4 * self.em };
            self.words([x, y + 0.36 * self.em], &words, false, None);
        }
    }

    /// What feeds a bus, down to its start: a supply with all that is at its terminals.
    fn feed(&mut self, bus: usize) -> LastPoints {
        let nets = self.nets;
        let (em, pitch) = (self.em, self.pitch());
        let leads = Pole::ALL.map(|pole| {
            let found =
                nets.edges(|part| matches!(part, Part::BusLead { bus: b, pole: p, .. } if (*b, *p) == (bus, pole)));
            found.first().copied()
        });
        let Some((supply, lead)) = leads.iter().flatten().find_map(|&lead| match nets.circuit.edges[lead].part {
            Part::BusLead { supply, .. } => Some((supply, lead)),
            _ => None,
        }) else {
            return [None, None];
        };
        let terminal = |lead: EdgeId| {
            let edge = &nets.circuit.edges[lead];
            if matches!(nets.circuit.nodes[edge.a].spot, Spot::Supply { .. }) {
                (edge.a, edge.b)
            } else {
                (edge.b, edge.a)
            }
        };
        let name = nets.places.name(Kind::Supply, supply);
        let words = supply_words(nets, supply);
        self.y += 1.2 * em;
        self.words([0.0, self.y], &format!("from {name}{words}"), false, None);
        self.y += 1.3 * pitch;
        let y = self.y;
        let behind = nets.edges(|part| matches!(part, Part::Breaker { supply: s, .. } if *s == supply));
        let inside = nets.edges(|part| matches!(part, Part::Inside { supply: s } if *s == supply));
        let is_root = nets.plan.supply[supply].behind.is_none();
        let terminals = leads.map(|lead| lead.map(terminal));
        let below = if is_root { y } else { y + 1.4 * pitch };
        if is_root {
            let pins =
                [0, 1].into_iter().filter_map(|pole| Some(Pin { node: terminals[pole]?.0, at: [self.x[1 + pole], y] }));
            let trips = nets.plan.supply[supply].trips.is_some();
            let kind = if trips { SymbolKind::SourceWithBreaker } else { SymbolKind::Source };
            self.symbol(kind, pins.collect(), inside);
        } else {
            for &edge in &behind {
                let of = &nets.circuit.edges[edge];
                let Part::Breaker { pole, .. } = of.part else { continue };
                let pole = usize::from(pole == Pole::B);
                let Some((own, _)) = terminals[pole] else { continue };
                let upstream = if of.a == own { of.b } else { of.a };
                let x = self.x[1 + pole];
                let pins = vec![Pin { node: upstream, at: [x, y] }, Pin { node: own, at: [x, below] }];
                self.symbol(SymbolKind::Breaker, pins, vec![edge]);
                let words = nets.places.words(upstream);
                let wide = measured(&words, em, false);
                let end = if pole == 0 { x - 1.2 * em } else { x + 1.2 * em };
                self.link(&[[x, y], [end, y]]);
                self.sheet.ends.push(NamedEnd { node: upstream, at: [end, y] });
                self.words(
                    [if pole == 0 { end - wide - 0.4 * em } else { end + 0.4 * em }, y + 0.36 * em],
                    &words,
                    false,
                    None,
                );
            }
        }
        let own = |wire: usize| {
            nets.wires[wire].edges.contains(&lead)
                || leads.iter().flatten().any(|lead| nets.wires[wire].edges.contains(lead))
        };
        let mut above: LastPoints = [None, None];
        let mut bottom = below;
        for pole in 0..2 {
            let Some((node, start)) = terminals[pole] else { continue };
            let mut from = [self.x[1 + pole], below];
            let drops: Vec<Drop> = self.drops(node, "", &[]).into_iter().filter(|drop| !own(drop.wire)).collect();
            let side = [WireSide::Left, WireSide::Right][pole];
            let usual = self.over;
            self.make_room(side, &drops);
            for drop in &drops {
                let at = [from[0], from[1] + pitch];
                self.link(&[from, at]);
                self.dot(node, at);
                let rows = self.wire_row(side, at, drop);
                from = at;
                if rows > 1 {
                    let more = [at[0], at[1] + (rows - 1) as f64 * pitch];
                    self.link(&[at, more]);
                    from = more;
                }
            }
            self.over = usual;
            bottom = bottom.max(from[1]);
            above[pole] = Some((start, from));
        }
        self.y = bottom + 0.9 * pitch;
        let y = self.y + 0.3 * pitch;
        for pole in 0..2 {
            let (Some(lead), Some((start, from))) = (leads[pole], above[pole]) else { continue };
            let at = [from[0], y];
            let wire = nets.wires.iter().find(|wire| wire.edges.contains(&lead));
            let number = wire.map(|wire| wire.number);
            let mut edges = vec![lead];
            if let Some(wire) = wire {
                edges.clone_from(&wire.edges);
                let wide = measured(&wire.label, em, false);
                let x = if pole == 0 { at[0] - wide - 0.4 * em } else { at[0] + 0.4 * em };
                self.words([x, y - 0.45 * em], &wire.label, false, number);
            }
            self.line(number, &edges, &[from, at]);
            above[pole] = Some((start, at));
        }
        self.y = y;
        above
    }

    /// The conductors run on to their ends.
    fn far_end(&mut self, bus: usize, above: &LastPoints) {
        let length = self.nets.plan.bus[bus].length.value.si();
        self.y += 1.1 * self.pitch();
        let y = self.y;
        for at in above.iter().flatten() {
            self.link(&[at.1, [at.1[0], y]]);
        }
        let words = format!("ends at {}", self.nets.places.length(length));
        self.y += 1.1 * self.em;
        let y = self.y;
        self.place_words(&words, y);
    }
}

/// What there is to say of a supply, behind its name.
fn supply_words(nets: &Nets<'_>, supply: usize) -> String {
    let table = &nets.plan.supply[supply];
    let volts = table.voltage.as_ref().map(|volts| format!("{} V", volts.value.si()));
    let trips = table.trips.as_ref().map(|trips| format!("trips at {} A", trips.value.at.value.si()));
    [volts, trips].into_iter().flatten().map(|words| format!(", {words}")).collect()
}

//! Schematics: the net list read back off the drawing is that of the circuit, and nothing is drawn over anything else.

use crate::plans;
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, Part, Spot};
use drawing::{Area, Conductor, Point, SchematicOwner, SchematicSheet, contact_trees, schematics};
use plan::Kind;
use schedule::{Choices, Job};
use std::collections::{BTreeMap, BTreeSet};

/// Sheets of A4 and Letter that lie, and of A4 that stand, less their margins.
const SIZES: [Point; 3] = [[276.5, 145.0], [258.9, 150.0], [180.0, 232.0]];

fn each(then: impl Fn(&str, &Job<'_>, &[SchematicSheet])) {
    let mut list = plans::all();
    list.extend(plans::wired());
    for (name, text) in list {
        let reading = plan::read(&text);
        assert!(reading.understood(), "{name}: {:?}", reading.findings);
        // Large print wants a sheet that lies.
        let large = SIZES[..2].iter().map(|&size| (size, true));
        for (size, large_print) in SIZES.into_iter().map(|size| (size, false)).chain(large) {
            let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
            let job = Job::new(facts, Choices { large_print, ..Choices::usual(&reading.plan) });
            let sheets = schematics(&job, size);
            then(&format!("{name} on {size:?}, large {large_print}"), &job, &sheets);
            for sheet in &sheets {
                assert!(sheet.size[0] <= size[0] + 1e-6 && sheet.size[1] <= size[1] + 1e-6, "{name}: {:?}", sheet.size);
            }
        }
    }
}

fn near(a: Point, b: Point) -> bool {
    (a[0] - b[0]).abs() < 1e-6 && (a[1] - b[1]).abs() < 1e-6
}

/// Whether a place lies on a line that runs level and upright.
fn on(at: Point, line: &Conductor) -> bool {
    line.points.windows(2).any(|s| {
        let within = |i: usize| s[0][i].min(s[1][i]) - 1e-6 <= at[i] && at[i] <= s[0][i].max(s[1][i]) + 1e-6;
        within(0) && within(1)
    })
}

fn ends(line: &Conductor) -> [Point; 2] {
    [line.points[0], line.points[line.points.len() - 1]]
}

/// Of each line the nodes at its ends, as pins, named ends, dots and the lines within one node say it.
fn nodes_at_ends(whose: &str, sheet: &SchematicSheet) -> Vec<[NodeId; 2]> {
    let pins = sheet.symbols.iter().flat_map(|symbol| symbol.pins.iter().map(|pin| (pin.at, pin.node)));
    let named = sheet.ends.iter().map(|end| (end.at, end.node));
    let dots = sheet.dots.iter().map(|dot| (dot.at, dot.node));
    let known: Vec<(Point, NodeId)> = pins.chain(named).chain(dots).collect();
    for (at, node) in &known {
        let other = known.iter().find(|(there, of)| near(*at, *there) && of != node);
        assert!(other.is_none(), "{whose}: two nodes at {at:?}");
    }
    let mut link: Vec<Option<NodeId>> = vec![None; sheet.lines.len()];
    loop {
        let mut more = false;
        for (index, line) in sheet.lines.iter().enumerate().filter(|(_, line)| line.edges.is_empty()) {
            let direct = known.iter().filter(|(at, _)| on(*at, line)).map(|k| k.1);
            let by = (0..sheet.lines.len()).filter_map(|other| {
                let touches = ends(line).iter().any(|&at| on(at, &sheet.lines[other]))
                    || sheet.lines[other].edges.is_empty() && ends(&sheet.lines[other]).iter().any(|&at| on(at, line));
                if touches && sheet.lines[other].edges.is_empty() { link[other] } else { None }
            });
            let found: BTreeSet<NodeId> = direct.chain(by).collect();
            assert!(found.len() <= 1, "{whose}: a line within one node joins {found:?}");
            if let (None, Some(&node)) = (link[index], found.first()) {
                link[index] = Some(node);
                more = true;
            }
        }
        if !more {
            break;
        }
    }
    let node = |at: Point| -> NodeId {
        let direct = known.iter().find(|(there, _)| near(at, *there)).map(|k| k.1);
        let by = || (0..sheet.lines.len()).find_map(|l| link[l].filter(|_| on(at, &sheet.lines[l])));
        direct.or_else(by).unwrap_or_else(|| panic!("{whose}: a line ends at {at:?}, where nothing is"))
    };
    sheet.lines.iter().map(|line| ends(line).map(node)).collect()
}

fn other(circuit: &Circuit, edge: EdgeId, node: NodeId) -> Option<NodeId> {
    let edge = &circuit.edges[edge];
    if edge.a == node {
        Some(edge.b)
    } else if edge.b == node {
        Some(edge.a)
    } else {
        None
    }
}

/// Taps at the far ends of these edges belong to the same wires.
fn with_taps(circuit: &Circuit, edges: BTreeSet<EdgeId>) -> BTreeSet<EdgeId> {
    let ends: BTreeSet<NodeId> = edges.iter().flat_map(|&e| [circuit.edges[e].a, circuit.edges[e].b]).collect();
    let taps = EdgeId::each(&circuit.edges).filter(|(_, e)| e.kind == EdgeKind::Tap && ends.contains(&e.a));
    let more: Vec<EdgeId> = taps.map(|(id, _)| id).collect();
    edges.into_iter().chain(more).collect()
}

/// All edges at the nodes of which this is true.
fn at_nodes(circuit: &Circuit, is: impl Fn(&Spot) -> bool) -> BTreeSet<EdgeId> {
    let of = |node: NodeId| is(&circuit.nodes[node].spot);
    EdgeId::each(&circuit.edges).filter(|(_, e)| of(e.a) || of(e.b)).map(|(id, _)| id).collect()
}

/// What a schematic has to hold, by the circuit alone.
fn due(job: &Job<'_>, trees: &[Vec<(Kind, usize, usize)>], of: SchematicOwner) -> Option<BTreeSet<EdgeId>> {
    let circuit = &job.facts.circuit;
    Some(match of {
        SchematicOwner::Bus(bus) => {
            let mut edges = at_nodes(circuit, |spot| matches!(spot, Spot::Bus { bus: b, .. } if *b == bus));
            // Behind each tap its wire; a reverser's own contacts are its inside.
            let taps: BTreeSet<NodeId> = edges
                .iter()
                .filter(|&&e| circuit.edges[e].kind == EdgeKind::Tap)
                .map(|&e| circuit.edges[e].a)
                .filter(|&node| matches!(circuit.nodes[node].spot, Spot::Tap { .. }))
                .collect();
            let wires = EdgeId::each(&circuit.edges)
                .filter(|(_, e)| e.kind != EdgeKind::Contact && (taps.contains(&e.a) || taps.contains(&e.b)));
            let wires: Vec<EdgeId> = wires.map(|(id, _)| id).collect();
            edges.extend(wires);
            // What feeds it, with all that is at the terminals.
            let supply = edges.iter().find_map(|&e| match circuit.edges[e].part {
                Part::BusLead { bus: b, supply, .. } if b == bus => Some(supply),
                _ => None,
            });
            if let Some(supply) = supply {
                let at = at_nodes(circuit, |spot| matches!(spot, Spot::Supply { supply: s, .. } if *s == supply));
                // The insides of breakers behind this one are on the schematics of theirs.
                let own = |e: &EdgeId| match circuit.edges[*e].part {
                    Part::Breaker { supply: s, .. } => s == supply,
                    _ => true,
                };
                edges.extend(with_taps(circuit, at.into_iter().filter(own).collect()));
            }
            edges
        }
        SchematicOwner::Tree(tree) => {
            let is = |spot: &Spot| match spot {
                Spot::Terminal { kind, index, contact, .. } => trees[tree].contains(&(*kind, *index, *contact)),
                _ => false,
            };
            with_taps(circuit, at_nodes(circuit, is))
        }
        SchematicOwner::Device(kind, index) => {
            let is = |spot: &Spot| match *spot {
                // A contact that hands on to others is on the schematic of their tree.
                Spot::Terminal { kind: k, index: i, contact, .. } => {
                    (k, i) == (kind, index) && !trees.iter().any(|tree| tree.contains(&(k, i, contact)))
                }
                Spot::Motor { motor, .. } => (Kind::Motor, motor) == (kind, index),
                Spot::Coil { relay, .. } => (Kind::Relay, relay) == (kind, index),
                Spot::Reverser { reverser, .. } => (Kind::Reverser, reverser) == (kind, index),
                Spot::Detector { detector, .. } => (Kind::Detector, detector) == (kind, index),
                Spot::Driver { driver, terminal } => {
                    use circuit::DriverTerminal::{Commands, Output, Power, Side};
                    // Outputs of decoders are on the schematics of their motors.
                    let switch = !job.facts.plan.driver[driver].kind.value.has_address();
                    (Kind::Driver, driver) == (kind, index)
                        && match terminal {
                            Power(_) | Commands(_) | Side { .. } => true,
                            Output { .. } => switch,
                        }
                }
                _ => false,
            };
            with_taps(circuit, at_nodes(circuit, is))
        }
        SchematicOwner::Others => return None,
    })
}

#[test]
fn the_net_list_of_each_schematic_is_that_of_the_circuit() {
    let (mut lines, mut trees_seen) = (0, 0);
    let counts = std::cell::RefCell::new((&mut lines, &mut trees_seen));
    each(|name, job, sheets| {
        let circuit = &job.facts.circuit;
        let trees = contact_trees(job);
        let mut drawn: BTreeMap<SchematicOwner, BTreeSet<EdgeId>> = BTreeMap::new();
        for (at, sheet) in sheets.iter().enumerate() {
            let whose = format!("{name}, sheet {}", at + 1);
            let nodes = nodes_at_ends(&whose, sheet);
            for (line, [from, to]) in sheet.lines.iter().zip(nodes) {
                let mut here = from;
                for &edge in &line.edges {
                    here = other(circuit, edge, here).unwrap_or_else(|| {
                        panic!("{whose}: {} does not begin at {}", circuit.edges[edge].name, circuit.nodes[here].name)
                    });
                }
                assert_eq!(here, to, "{whose}: {:?} ends elsewhere", line.number);
                let numbers: BTreeSet<_> = line.edges.iter().filter_map(|&e| job.numbers.of_edge(e)).collect();
                assert!(numbers.iter().all(|n| Some(*n) == line.number), "{whose}: {numbers:?} as {:?}", line.number);
                drawn.entry(sheet.blocks[line.block].of).or_default().extend(&line.edges);
                *counts.borrow_mut().0 += 1;
            }
            for symbol in &sheet.symbols {
                let pins: BTreeSet<NodeId> = symbol.pins.iter().map(|pin| pin.node).collect();
                for &edge in &symbol.edges {
                    for node in [circuit.edges[edge].a, circuit.edges[edge].b] {
                        let inside = matches!(circuit.nodes[node].spot, Spot::Inside { .. });
                        assert!(inside || pins.contains(&node), "{whose}: {} has no pin", circuit.nodes[node].name);
                    }
                }
                drawn.entry(sheet.blocks[symbol.block].of).or_default().extend(&symbol.edges);
            }
        }
        for (of, edges) in &drawn {
            let Some(due) = due(job, &trees, *of) else { continue };
            let names = |edges: BTreeSet<EdgeId>| -> Vec<&str> {
                edges.iter().map(|&e| circuit.edges[e].name.as_str()).collect()
            };
            let (missing, more) = (names(&due - edges), names(edges - &due));
            assert!(missing.is_empty() && more.is_empty(), "{name}: {of:?} lacks {missing:?}, has {more:?}");
        }
        *counts.borrow_mut().1 += trees.len();
        // Nothing that is wired is on no schematic.
        let all: BTreeSet<EdgeId> = drawn.values().flatten().copied().collect();
        let spots = |e: &circuit::Edge| [e.a, e.b].map(|n| &circuit.nodes[n].spot);
        let left: Vec<&str> = EdgeId::each(&circuit.edges)
            .filter(|(id, e)| {
                let wired = matches!(e.kind, EdgeKind::Feeder | EdgeKind::Tap | EdgeKind::BusWire | EdgeKind::Wire)
                    || matches!(e.part, Part::Contact { .. } | Part::Reverser { .. });
                let bond = matches!(spots(e), [Spot::Work { .. }, Spot::Work { .. }]);
                wired && !bond && !all.contains(id)
            })
            .map(|(_, e)| e.name.as_str())
            .collect();
        assert!(left.is_empty(), "{name}: on no schematic: {left:?}");
        for (kind, count) in [(Kind::Motor, job.facts.plan.motor.len()), (Kind::Driver, job.facts.plan.driver.len())] {
            for index in 0..count {
                let wired = due(job, &trees, SchematicOwner::Device(kind, index)).is_some_and(|d| !d.is_empty());
                assert_eq!(drawn.contains_key(&SchematicOwner::Device(kind, index)), wired, "{name}: {kind:?} {index}");
            }
        }
        for tree in 0..trees.len() {
            assert!(drawn.contains_key(&SchematicOwner::Tree(tree)), "{name}: tree {tree}");
        }
    });
    assert!(lines > 2000 && trees_seen > 20, "{lines} lines and {trees_seen} trees");
}

fn meet(a: Area, b: Area) -> bool {
    let near = 1e-6;
    a[0] < b[2] - near && b[0] < a[2] - near && a[1] < b[3] - near && b[1] < a[3] - near
}

/// Whether a level or upright piece of a line comes into an area.
fn enters(s: &[Point], area: Area) -> bool {
    let low = [0, 1].map(|i| s[0][i].min(s[1][i]));
    let high = [0, 1].map(|i| s[0][i].max(s[1][i]));
    (0..2).all(|i| low[i] < area[i + 2] - 1e-6 && high[i] > area[i] + 1e-6)
}

#[test]
fn nothing_is_drawn_over_anything_else() {
    each(|name, _, sheets| {
        for (at, sheet) in sheets.iter().enumerate() {
            let whose = format!("{name}, sheet {}", at + 1);
            let words: Vec<(Area, &str)> =
                sheet.words.iter().map(|w| (w.area(sheet.letters), w.text.as_str())).collect();
            for (i, (area, text)) in words.iter().enumerate() {
                let on = words[..i].iter().find(|(other, _)| meet(*area, *other));
                assert!(on.is_none(), "{whose}: {text:?} on {on:?}");
                let on = sheet.symbols.iter().find(|symbol| meet(*area, symbol.area));
                assert!(on.is_none(), "{whose}: {text:?} on a symbol {on:?}");
                for line in &sheet.lines {
                    let on = line.points.windows(2).any(|s| enters(s, *area));
                    assert!(!on, "{whose}: {text:?} {area:?} on line {:?} {:?}", line.number, line.points);
                }
                let [width, height] = sheet.size;
                let within =
                    area[0] >= -1e-6 && area[1] >= -1e-6 && area[2] <= width + 1e-6 && area[3] <= height + 1e-6;
                assert!(within, "{whose}: {text:?} leaves the sheet: {area:?} of {width} by {height}");
            }
            for (i, one) in sheet.symbols.iter().enumerate() {
                assert!(!sheet.symbols[..i].iter().any(|two| meet(one.area, two.area)), "{whose}: symbols {one:?}");
            }
            for (i, one) in sheet.blocks.iter().enumerate() {
                assert!(!sheet.blocks[..i].iter().any(|two| meet(one.area, two.area)), "{whose}: {}", one.title);
            }
        }
    });
}

/// Lines that are joined have a dot, a pin or a corner there; lines that cross have none.
#[test]
fn what_is_joined_has_a_dot_and_what_crosses_has_none() {
    each(|name, _, sheets| {
        for (at, sheet) in sheets.iter().enumerate() {
            let whose = format!("{name}, sheet {}", at + 1);
            let nodes = nodes_at_ends(&whose, sheet);
            let is_pin = |at: Point| sheet.symbols.iter().any(|s| s.pins.iter().any(|pin| near(pin.at, at)));
            let dot = |at: Point| sheet.dots.iter().find(|dot| near(dot.at, at));
            for (i, line) in sheet.lines.iter().enumerate() {
                for (end, &node) in ends(line).iter().zip(&nodes[i]) {
                    // How many ways lead away from here.
                    let mut ways = 0;
                    for (j, other) in sheet.lines.iter().enumerate() {
                        let at_end = ends(other).iter().any(|&o| near(o, *end));
                        if !at_end && !on(*end, other) {
                            continue;
                        }
                        ways += if at_end { 1 } else { 2 };
                        let same = nodes[j].contains(&node);
                        assert!(same, "{whose}: {:?} touches {:?} at {end:?}", line.number, other.number);
                    }
                    let joined = ways > 2;
                    assert!(!joined || dot(*end).is_some() || is_pin(*end), "{whose}: no dot at {end:?}");
                }
            }
            for dot in &sheet.dots {
                let ways: usize = sheet
                    .lines
                    .iter()
                    .map(|line| {
                        let at_end = ends(line).iter().filter(|&&end| near(end, dot.at)).count();
                        if at_end > 0 { at_end } else { 2 * usize::from(on(dot.at, line)) }
                    })
                    .sum();
                assert!(ways >= 2, "{whose}: a dot at {:?} joins nothing", dot.at);
            }
        }
    });
}

//! The papers agree with the circuit and with each other.

use crate::common::{EVERYTHING, demos, with_job};
use circuit::{EdgeId, EdgeKind, Spot};
use schedule::paper::{Block, Cell, Paper, Table};
use schedule::tables::{Prices, papers, papers_with_prices, shopping_list};
use schedule::wires::{cut_length, wires};
use schedule::{ColourChoice, Job};
use std::collections::{BTreeMap, BTreeSet};

fn tables(papers: &[Paper]) -> BTreeMap<String, Table> {
    let mut tables = BTreeMap::new();
    for paper in papers {
        for block in &paper.blocks {
            if let Block::Table(table) = block {
                let before = tables.insert(table.name.to_string(), table.clone());
                assert!(before.is_none(), "two tables are called {}", table.name);
            }
        }
    }
    tables
}

/// A column of a table, by its title.
fn column<'t>(table: &'t Table, title: &str) -> Vec<&'t Cell> {
    let at = table.columns.iter().position(|c| c.title == title).unwrap();
    table.rows.iter().map(|row| &row.cells[at]).collect()
}

fn words(table: &Table, title: &str) -> Vec<String> {
    column(table, title).iter().map(|cell| cell.shown().to_owned()).collect()
}

fn all(name: &str, job: &Job<'_>) {
    let papers = papers(job);
    let tables = tables(&papers);
    let circuit = &job.facts.circuit;
    // Every wire of the circuit once, with both its ends.
    let list = wires(job);
    let mut of_edge: BTreeMap<EdgeId, usize> = BTreeMap::new();
    list.iter().flat_map(|w| &w.edges).for_each(|&edge| *of_edge.entry(edge).or_default() += 1);
    for (id, edge) in EdgeId::each(&circuit.edges) {
        use EdgeKind::{BusWire, Feeder, Tap, Wire};
        let inside = matches!(edge.part, circuit::Part::Detector { .. });
        let due = usize::from(matches!(edge.kind, BusWire | Feeder | Tap | Wire) && !inside);
        assert_eq!(of_edge.get(&id).copied().unwrap_or(0), due, "{name}: {}", edge.name);
    }
    let numbers = words(&tables["wires"], "number");
    assert_eq!(numbers.len(), numbers.iter().collect::<BTreeSet<_>>().len(), "{name}: a wire stands twice");
    assert_eq!(numbers, list.iter().map(|w| w.number.to_string()).collect::<Vec<_>>(), "{name}");
    for end in ["from", "to"] {
        assert!(words(&tables["wires"], end).iter().all(|w| !w.is_empty()), "{name}: a wire without {end}");
    }
    never_across_a_supply(name, job, &list);
    // Every gap in the gap list, once.
    let gaps: BTreeSet<String> =
        circuit.gaps.iter().map(|g| job.numbers.of_gap(g.before, g.after).unwrap().to_string()).collect();
    let listed = words(&tables["gaps"], "number");
    assert_eq!(listed.iter().cloned().collect::<BTreeSet<_>>(), gaps, "{name}");
    assert_eq!(listed.len(), gaps.len(), "{name}");
    assert!(words(&tables["gaps"], "purpose").iter().all(|p| !p.is_empty()), "{name}");
    // Every wire that ends on a rail or frog in the feeder list.
    let on_rail = |e: &&circuit::Edge| match (e.kind, &circuit.nodes[e.b].spot) {
        (EdgeKind::Feeder, _) => true,
        (EdgeKind::Wire, circuit::Spot::Rail { .. } | circuit::Spot::Work { .. }) => {
            matches!(e.part, circuit::Part::ContactWire { .. })
        }
        _ => false,
    };
    let above: Vec<_> = EdgeId::each(&circuit.edges).filter(|(_, e)| on_rail(e)).collect();
    let above: BTreeSet<String> =
        above.into_iter().map(|(id, _)| job.numbers.of_edge(id).unwrap().to_string()).collect();
    assert_eq!(words(&tables["feeders"], "number").into_iter().collect::<BTreeSet<_>>(), above, "{name}");
    assert_eq!(tables["feeders"].rows.len(), above.len(), "{name}");
    sums(name, job, &tables, &list);
    // Two labels for each wire that is no bond.
    let labelled = list.iter().filter(|w| w.what != "bond").count();
    let blocks = papers.iter().filter(|p| p.name == "labels").flat_map(|p| &p.blocks);
    let mut sheets = blocks.filter_map(|block| if let Block::Labels(labels) = block { Some(labels) } else { None });
    let labels = sheets.next().map_or(0, Vec::len);
    assert_eq!(labels, 2 * labelled, "{name}");
}

/// No wire joins a motor or a coil to a supply or a bus: something that can switch it off or turn it round is always between,
/// but for the return of a split switch. A motor without a driver has no wire at all but those of its contacts.
fn never_across_a_supply(name: &str, job: &Job<'_>, list: &[schedule::wires::ScheduledWire]) {
    let plan = job.facts.plan;
    let wired: Vec<usize> = (0..plan.motor.len()).filter(|&m| plan.motor[m].driver.is_some()).collect();
    let mut ends: BTreeMap<usize, usize> = BTreeMap::new();
    for wire in list {
        let spots = [0, 1].map(|end| wire.ends[end].node.map(|n| &job.facts.circuit.nodes[n].spot));
        for (here, there) in [(spots[0], spots[1]), (spots[1], spots[0])] {
            if let Some(Spot::Motor { motor, .. }) = here {
                *ends.entry(*motor).or_default() += 1;
            }
            if let Some(Spot::Motor { .. } | Spot::Coil { .. }) = here {
                // A coil over a contact has that at its one end, and at the other the conductor that the plan names.
                let coil =
                    matches!(here, Some(Spot::Coil { relay, .. }) if !job.facts.plan.relay[*relay].coil.0.is_empty());
                let named =
                    coil && matches!(there, Some(Spot::Terminal { .. } | Spot::Tap { .. } | Spot::Supply { .. }));
                let apart = named || matches!(there, Some(Spot::Driver { .. } | Spot::Middle { .. }));
                assert!(apart, "{name}: {} joins {} to {}", wire.number, wire.ends[0].words, wire.ends[1].words);
            }
        }
    }
    assert_eq!(ends.keys().copied().collect::<Vec<_>>(), wired, "{name}");
    assert!(ends.values().all(|n| (2..=3).contains(n)), "{name}: {ends:?}");
}

/// The shopping list is what the other lists come to.
fn sums(name: &str, job: &Job<'_>, tables: &BTreeMap<String, Table>, list: &[schedule::wires::ScheduledWire]) {
    let shopping = shopping_list(job);
    let bought = |what: &str| shopping.iter().filter(|l| l.name == what).map(|l| l.net).sum::<f64>();
    let mut by_kind: BTreeMap<String, f64> = BTreeMap::new();
    let wires = &tables["wires"];
    let cells = words(wires, "colour").into_iter().zip(words(wires, "size")).zip(column(wires, "cut"));
    for ((colour, size), cut) in cells {
        if let Cell::Number { value, .. } = cut {
            *by_kind.entry(format!("wire, {colour}, {size}")).or_default() += value / 1e3;
        }
    }
    for (what, metres) in &by_kind {
        assert!((bought(what) - metres).abs() < 1e-9, "{name}: {what}: {} and {metres}", bought(what));
    }
    // What panels are wired with is what their own lists cut.
    let panels = schedule::tables::panels::panels(job);
    let cut: f64 = panels.iter().flat_map(|p| &p.wires).filter_map(|w| w.cut).sum();
    let on_panels: f64 = shopping.iter().filter(|l| l.name.starts_with("wire, panel, ")).map(|l| l.net).sum();
    assert!((on_panels - cut).abs() < 1e-9, "{name}: {on_panels} and {cut}");
    let of_layout = |l: &&schedule::tables::ShoppingLine| !l.name.starts_with("wire, panel, ");
    let wire_lines = shopping.iter().filter(of_layout).filter(|l| l.unit == "m" && l.net > 0.0).count();
    assert_eq!(wire_lines, by_kind.len(), "{name}");
    for line in shopping.iter().filter(|l| l.unit == "m") {
        assert!(line.buy >= line.net * 1.1 - 1e-9 && line.buy < line.net * 1.1 + 0.1 + 1e-9, "{line:?}");
    }
    assert_eq!(bought("rail joiner") as usize, tables["joints"].rows.len(), "{name}");
    let made = words(&tables["gaps"], "made by");
    let of = |what: &str| made.iter().filter(|m| m.starts_with(what)).count();
    assert_eq!(bought("insulating joiner") as usize, of("insulating joiner"), "{name}");
    assert_eq!(bought("filler for a saw cut") as usize, of("saw cut"), "{name}");
    assert_eq!(bought("position of a terminal strip") as usize, tables["strips"].rows.len(), "{name}");
    let circuit = &job.facts.circuit;
    let is_tap = |e: &&circuit::EdgeId| circuit.edges[**e].kind == EdgeKind::Tap && !circuit.plugs.contains_key(*e);
    let taps: usize = list.iter().flat_map(|w| &w.edges).filter(is_tap).count();
    let tapped: f64 = shopping.iter().filter(|l| l.name.starts_with("tap ")).map(|l| l.net).sum();
    assert_eq!(tapped as usize, taps, "{name}");
    let contacts = shopping.iter().filter_map(|line| {
        let words = line.name.strip_prefix("plug and socket, ")?;
        Some(words.split_once(" contact")?.0.parse::<usize>().ok()? * line.net as usize)
    });
    assert_eq!(contacts.sum::<usize>(), circuit.plugs.len(), "{name}: {shopping:?}");
}

#[test]
fn papers_of_every_demo_plan_agree_with_its_circuit() {
    for (name, text) in demos() {
        with_job(&text, |job| all(&name, job));
    }
}

#[test]
fn two_runs_give_the_same() {
    for (name, text) in demos() {
        let once = with_job(&text, papers);
        assert_eq!(once, with_job(&text, papers), "{name}");
    }
}

#[test]
fn cut_lengths_have_their_slack() {
    // A tenth and 100 mm more, to the next centimetre.
    let check = |run: f64, cut: f64| assert!((cut_length(run) - cut).abs() < 1e-9, "{run}: {}", cut_length(run));
    check(0.0, 0.1);
    check(0.3, 0.43);
    check(0.25, 0.38);
    check(1.0, 1.2);
    check(5.0, 5.6);
}

fn purposes(text: &str) -> BTreeMap<String, String> {
    with_job(text, |job| {
        let gaps = tables(&papers(job)).remove("gaps").unwrap();
        words(&gaps, "one side").into_iter().zip(words(&gaps, "purpose")).collect()
    })
}

#[test]
fn gaps_are_for_what_they_are_for() {
    let demo = |name: &str| demos().into_iter().find(|d| d.0 == name).unwrap().1;
    let dock = purposes(&demo("thistle-dock-mended"));
    assert_eq!(dock["dock 1.right @ 90 mm, near side"], "frog, storage");
    assert_eq!(dock["dock 2.left @ 90 mm, near side"], "frog");
    assert_eq!(dock["dock 2.right @ 90 mm, near side"], "storage");
    let districts = purposes(&demo("two-districts"));
    assert!(districts.values().any(|p| p == "frog, district"), "{districts:?}");
    let balloon = purposes(&demo("balloon"));
    assert!(balloon.values().any(|p| p.starts_with("reversing")), "{balloon:?}");
}

#[test]
fn what_stands_across_a_gap_is_what_the_ways_make() {
    let text = demos().into_iter().find(|d| d.0 == "thistle-dock-mended").unwrap().1;
    with_job(&text, |job| {
        let gaps = tables(&papers(job)).remove("gaps").unwrap();
        let across: BTreeMap<String, String> =
            words(&gaps, "one side").into_iter().zip(words(&gaps, "across it")).collect();
        // Behind the frog of a left-hand turnout set through the frog is A as the road's left rail; diverging it is B.
        assert_eq!(across["dock 2.left @ 90 mm, near side"], "0 V or 15 V");
        // The stock rail is B; the road's rail is B too, or depends on nothing.
        assert_eq!(across["dock 2.right @ 90 mm, near side"], "0 V or one side not fed");
    });
}

#[test]
fn colours_are_those_of_the_code() {
    let colours = |text: &str, code: ColourChoice| {
        let reading = plan::read(text);
        assert!(reading.understood(), "{:?}", reading.findings);
        let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
        let job = Job::new(facts, schedule::Choices { colours: code, ..Default::default() });
        let of = |w: &schedule::wires::ScheduledWire| (w.function.clone(), w.colour);
        wires(&job).iter().map(of).collect::<BTreeMap<_, _>>()
    };
    let usual = colours(EVERYTHING, ColourChoice::Plan);
    assert_eq!(usual["feeder of left road, left rail"], Some("red"));
    assert_eq!(usual["feeder of left road, right rail"], Some("black"));
    assert_eq!(usual["feed of W1's left frog from contact MW left.1"], Some("blue"));
    assert_eq!(usual["feeder of turned, left rail"], Some("blue"));
    // What a toggle hands on is A and nothing else.
    assert_eq!(usual["feed of right road, left rail, from contact S.1"], Some("red"));
    assert_eq!(usual["throws motor MW left"], Some("yellow"));
    // Source: NEM 605, edition 2014, table 1.
    let nem = colours(EVERYTHING, ColourChoice::Nem605);
    assert_eq!(nem["feeder of left road, left rail"], Some("red"));
    assert_eq!(nem["feeder of left road, right rail"], Some("brown"));
    assert_eq!(nem["throws motor MW left"], Some("green"));
    let own = format!(
        "{EVERYTHING}\n[colours]\na = \"white\"\nconductors = [{{ of = [\"branch bus.A\", \"W1.left frog\"], is = \"pink\" }}]\n"
    );
    let own = colours(&own, ColourChoice::Nem605);
    assert_eq!(own["feeder of left road, left rail"], Some("pink"));
    assert_eq!(own["feeder of left road, right rail"], Some("brown"));
    assert_eq!(own["feed of W1's left frog from contact MW left.1"], Some("pink"));
    assert_eq!(own["feeder of +main, left rail"], Some("white"));
}

#[test]
fn prices_come_to_a_total() {
    let prices = Prices::read("what,price\r\nrail joiner,0.25\r\n\"wire, red, 0.75 mm²\",1.20\r\n").unwrap();
    with_job(EVERYTHING, |job| {
        let shopping = tables(&papers_with_prices(job, Some(&prices))).remove("shopping").unwrap();
        let bought = |name: &str| shopping_list(job).into_iter().find(|l| l.name == name).unwrap().buy;
        let due = 0.25 * bought("rail joiner") + 1.20 * bought("wire, red, 0.75 mm²");
        let Cell::Number { value, .. } = column(&shopping, "price").last().copied().unwrap().clone() else { panic!() };
        assert!((value - due).abs() < 1e-9 && due > 1.0, "{value} and {due}");
    });
    assert_eq!(Prices::read("a,1\nb,free\n").map_err(|e| e.line), Err(2));
    assert_eq!(Prices::read("a,-1\nb,-1\n").map_err(|e| e.line), Err(2));
    assert_eq!(Prices::read("a,1,2\n").map_err(|e| e.line), Err(1));
}

#[test]
fn contacts_must_bear_what_trips_the_breaker_above() {
    let text = demos().into_iter().find(|d| d.0 == "seven-tracks").unwrap().1;
    with_job(&text, |job| {
        let contacts = tables(&papers(job)).remove("contacts").unwrap();
        let bear = words(&contacts, "must bear");
        // The booster of the plan trips at 4.5 A.
        assert!(!bear.is_empty() && bear.iter().all(|b| b == "4.5"), "{bear:?}");
    });
}

/// The names of findings about colours, with `[colours]` put behind the plan of everything.
fn told_of(colours: &str) -> Vec<String> {
    let text = format!("{EVERYTHING}\n[colours]\n{colours}\n");
    let review = review::review(&text);
    let about = ["two-colours-joined", "contradiction", "no-such-name", "unknown-word"];
    review.findings.iter().filter(|f| about.contains(&f.name)).map(|f| f.name.to_owned()).collect()
}

#[test]
fn colours_that_meet_or_are_none_are_told() {
    let check = |colours: &str, due: &[&str]| assert_eq!(told_of(colours), due, "{colours}");
    check("a = \"red\"\nb = \"black\"", &[]);
    // A branch is one conductor with its trunk, a frog behind a contact is none with it.
    check("a = \"red\"\nconductors = [{ of = \"branch bus.A\", is = \"pink\" }]", &["two-colours-joined"]);
    check("a = \"red\"\nconductors = [{ of = \"branch bus.A\", is = \"red\" }]", &[]);
    check("a = \"red\"\nconductors = [{ of = \"W1.left frog\", is = \"pink\" }]", &[]);
    // A breaker parts what hangs behind it, but for the pole it does not open.
    check("a = \"red\"\nconductors = [{ of = \"yard bus.A\", is = \"pink\" }]", &[]);
    check("b = \"black\"\nconductors = [{ of = \"yard bus.B\", is = \"pink\" }]", &["two-colours-joined"]);
    // One colour said alone is held against nothing.
    check("conductors = [{ of = \"branch bus.A\", is = \"pink\" }]", &[]);
    check("conductors = [{ of = \"main bus.A @ 1 m\", is = \"pink\" }]", &["no-such-name"]);
    check("conductors = [{ of = [\"main bus.A\", \"main bus.A\"], is = \"pink\" }]", &["contradiction"]);
}

/// The example of the language reference: feeders that end at another track's rail and at a frog.
#[test]
fn feeders_that_end_at_a_rail_or_a_frog() {
    let reference = include_str!("../../../../docs/language.md");
    let example = reference.split("```toml\n").find(|block| block.contains("to = \"T1.frog\"")).unwrap();
    let example = example.split("```").next().unwrap();
    let text = format!(
        r#"layout = {{ name = "base", scale = "OO" }}
supply = [{{ name = "booster", voltage = "15 V", trips = {{ at = "4 A" }} }}]
bus = [{{ name = "main bus", supply = "booster", wire = "2.5 mm²", length = "6 m" }}]
turnout = [{{ name = "T1", hand = "left", wiring = "live-bonded", lead = "150 mm", tail = "50 mm" }}]
[[track]]
name = "approach"
from = "beyond"
to = "T1.points"
length = "2 m"
left = "main bus.A"
right = "main bus.B"
feeders = ["1 m"]
{example}"#
    );
    with_job(&text, |job| {
        let list = schedule::wires::wires(job);
        let neck = |side: &str| {
            let start = format!("neck.{side} @ 200 mm");
            list.iter().find(|w| w.what == "feeder" && w.ends[0].words.starts_with(&start)).unwrap()
        };
        // 0.2 m back to the turnout, 50 mm tail, 150 mm lead, 0.1 m on the approach, and 0.3 m down; to the frog only the tail.
        assert!(neck("left").ends[1].words.starts_with("approach.left @ 1900 mm"));
        assert_eq!((neck("left").run, neck("left").assumed.length), (Some(0.8), true));
        assert_eq!(neck("right").ends[1].words, "T1 frog");
        assert_eq!(neck("right").run, Some(0.55));
        let papers = schedule::tables::papers(job);
        let feeders = papers.iter().flat_map(|p| p.tables()).find(|t| t.name == "feeders").unwrap();
        assert_eq!(feeders.rows.iter().filter(|row| row.group.as_deref() == Some("neck")).count(), 2);
    });
}

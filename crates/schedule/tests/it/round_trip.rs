//! The tables of a plan rebuild its circuit.

use crate::common::{demos, with_job};
use circuit::{EdgeKind, NodeId, Spot};
use proptest::prelude::*;
use schedule::Job;
use schedule::csv::table_csv;
use schedule::places::PlaceNames;
use schedule::read_back::{ReadBack, Texts, read_back};
use schedule::tables::circuit_tables;
use schedule::wires::wires;
use std::collections::{BTreeMap, BTreeSet};

type Edges = BTreeMap<(EdgeKind, [String; 2], String), Vec<f64>>;

fn sorted(mut ends: [String; 2]) -> [String; 2] {
    ends.sort();
    ends
}

/// The edges of a job's circuit by the words for their ends.
fn edges_of(job: &Job<'_>) -> Edges {
    let circuit = &job.facts.circuit;
    let places = PlaceNames::new(circuit, job.facts.plan, job.choices.units);
    // The wire's side of a tap is named by its wire, a reverser's by its input.
    let mut taps: BTreeMap<NodeId, String> = BTreeMap::new();
    for wire in wires(job) {
        let at = |node: Option<NodeId>| node.filter(|n| matches!(circuit.nodes[*n].spot, Spot::Tap { .. }));
        if let Some(node) = at(wire.ends[1].node) {
            let words = match wire.what {
                "reverser input" => wire.ends[1].words.clone(),
                _ => format!("tap of {}", wire.number),
            };
            assert_eq!(taps.insert(node, words), None, "a tap of two wires");
        }
    }
    let mut names = BTreeSet::new();
    let words: Vec<String> = NodeId::all(circuit.nodes.len())
        .map(|node| {
            let words = taps.get(&node).cloned().unwrap_or_else(|| places.words(node));
            assert!(names.insert(words.clone()), "two nodes are called {words}");
            words
        })
        .collect();
    let mut edges = Edges::new();
    for edge in &circuit.edges {
        let ends = sorted([edge.a, edge.b].map(|n| words[n].clone()));
        let when: Vec<String> = edge
            .guard
            .iter()
            .map(|&l| circuit.literal_words(l))
            .map(|(control, position)| format!("{control} = {position}"))
            .collect();
        edges.entry((edge.kind, ends, when.join(", "))).or_default().push(edge.ohms.typical);
    }
    edges
}

fn read(job: &Job<'_>) -> ReadBack {
    let [wires, gaps, joints, rails, contacts, sources] = circuit_tables(job).map(|table| table_csv(&table));
    let texts =
        Texts { wires: &wires, gaps: &gaps, joints: &joints, rails: &rails, contacts: &contacts, sources: &sources };
    read_back(&texts, job.choices.units).unwrap()
}

fn check(name: &str, job: &Job<'_>) {
    let mut due = edges_of(job);
    let back = read(job);
    let mut found = Edges::new();
    for edge in back.edges {
        found.entry((edge.kind, sorted(edge.ends), edge.when)).or_default().push(edge.ohms);
    }
    let keys = |edges: &Edges| edges.iter().map(|(k, v)| (k.clone(), v.len())).collect::<BTreeMap<_, _>>();
    let (of_plan, of_tables) = (keys(&due), keys(&found));
    let missing: Vec<_> = of_plan.iter().filter(|(k, n)| of_tables.get(*k) != Some(n)).take(3).collect();
    assert!(missing.is_empty(), "{name}: the tables do not have {missing:?}");
    let made_up: Vec<_> = of_tables.iter().filter(|(k, n)| of_plan.get(*k) != Some(n)).take(3).collect();
    assert!(made_up.is_empty(), "{name}: the circuit does not have {made_up:?}");
    for (key, ohms) in &mut due {
        let mut theirs = found[key].clone();
        ohms.sort_by(f64::total_cmp);
        theirs.sort_by(f64::total_cmp);
        for (one, other) in ohms.iter().zip(&theirs) {
            // Six digits are printed, places to a hundredth of a millimetre: of the thinnest bus wire 5 µΩ.
            assert!((one - other).abs() <= 2e-6 * one.abs() + 1e-6, "{name}: {key:?}: {one} and {other}");
        }
    }
    let circuit = &job.facts.circuit;
    let places = PlaceNames::new(circuit, job.facts.plan, job.choices.units);
    let gaps: BTreeSet<[String; 2]> =
        circuit.gaps.iter().map(|g| sorted([g.before, g.after].map(|n| places.words(n)))).collect();
    assert_eq!(back.gaps.into_iter().map(sorted).collect::<BTreeSet<_>>(), gaps, "{name}");
}

#[test]
fn the_tables_of_every_demo_plan_rebuild_its_circuit() {
    for (name, text) in demos() {
        with_job(&text, |job| check(&name, job));
    }
}

/// Every row counts: without any one of them the tables no longer rebuild the same.
#[test]
fn a_row_left_out_is_noticed() {
    with_job(crate::common::EVERYTHING, |job| {
        let whole = read(job);
        let texts = circuit_tables(job).map(|table| table_csv(&table));
        for table in 0..texts.len() {
            let rows: Vec<&str> = texts[table].split_inclusive("\r\n").collect();
            for left_out in 1..rows.len() {
                let without: String =
                    rows.iter().enumerate().filter(|(i, _)| *i != left_out).map(|(_, row)| *row).collect();
                let of = |i: usize| if i == table { without.as_str() } else { texts[i].as_str() };
                let texts =
                    Texts { wires: of(0), gaps: of(1), joints: of(2), rails: of(3), contacts: of(4), sources: of(5) };
                let back = read_back(&texts, job.choices.units);
                assert_ne!(back.as_ref(), Ok(&whole), "nobody missed {}", rows[left_out]);
            }
        }
    });
}

/// A line of tracks with anything on them anywhere.
fn any_plan() -> impl Strategy<Value = String> {
    let place = || 1..2999u32;
    let track = (
        proptest::collection::btree_set(place(), 0..4),
        proptest::collection::btree_set(place(), 0..3),
        proptest::collection::btree_set(place(), 0..3),
        any::<bool>(),
        0..3usize,
        prop_oneof![Just("2.5 mm²"), Just("14 AWG"), Just("0.75 mm²")],
    );
    (proptest::collection::vec(track, 1..5), any::<bool>(), 0..4usize).prop_map(|(tracks, branch, plugs)| {
        let mut text = "[layout]\nname = \"any\"\nscale = \"OO\"\n[[supply]]\nname = \"s\"\nvoltage = \"15 V\"\n\
                        [[bus]]\nname = \"trunk\"\nsupply = \"s\"\nwire = \"2.5 mm²\"\nlength = \"9 m\"\n"
            .to_owned();
        if branch {
            text += "[[bus]]\nname = \"limb\"\nfrom = \"trunk @ 1.234 m\"\nwire = \"1 mm²\"\nlength = \"4 m\"\n";
            text += ["", "plug = true\n", "plug = { resistance = \"17 mΩ\" }\n", ""][plugs];
        }
        // Every other track on a board, with a plug in what runs over its edge or without one.
        let odd: Vec<String> = (1..tracks.len()).step_by(2).map(|k| format!("\"t{k}\"")).collect();
        if !odd.is_empty() && plugs > 0 {
            text += &format!("[[board]]\nname = \"odd\"\nholds = [{}]\n", odd.join(", "));
            text += ["", "plug = true\n", "", "plug = { resistance = \"9 mΩ\", rating = \"3 A\" }\n"][plugs];
        }
        for (k, (feeders, gaps, slides, soldered, joint, wire)) in tracks.iter().enumerate() {
            let bus = if branch && k % 2 == 1 { "limb" } else { "trunk" };
            let mm = |x: &u32| format!("\"{}.{} mm\"", x / 10 + 1, x % 10);
            let list = |set: &std::collections::BTreeSet<u32>| set.iter().map(mm).collect::<Vec<_>>().join(", ");
            let to = if k + 1 == tracks.len() { "buffer".to_owned() } else { format!("t{}.from", k + 1) };
            let from = if k == 0 { "beyond".to_owned() } else { format!("t{}.to", k - 1) };
            let joint = ["soldered", "sliding", "gap"][*joint];
            text += &format!(
                "[[track]]\nname = \"t{k}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"301 mm\"\njoint = \"{joint}\"\n\
                 left = \"{bus}.A\"\nright = \"{bus}.B\"\nfeeder_wire = \"{wire}\"\n\
                 along = {{ bus = \"{bus}\", from = \"0.1 m\", to = \"0.{}7 m\" }}\n\
                 feeders = [{}]\ngaps = [{}]\n",
                k + 2,
                match plugs {
                    2 => {
                        let own = |x: &u32| format!("{{ at = {}, plug = {{ resistance = \"11 mΩ\" }} }}", mm(x));
                        feeders.iter().map(own).collect::<Vec<_>>().join(", ")
                    }
                    _ => list(feeders),
                },
                list(&gaps.difference(slides).copied().collect()),
            );
            if *soldered {
                text += &format!("slides = [{}]\n", list(slides));
            }
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn the_tables_of_any_plan_rebuild_its_circuit(text in any_plan()) {
        let reading = plan::read(&text);
        prop_assume!(reading.understood());
        let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
        check("any plan", &Job::new(facts, schedule::Choices::default()));
    }
}

#[test]
fn a_table_with_a_column_missing_is_told() {
    let texts =
        Texts { wires: "", gaps: "number,one side\r\nG1,x\r\n", joints: "", rails: "", contacts: "", sources: "" };
    let told = read_back(&texts, schedule::choices::Units::Metric).map_err(|e| e.to_string());
    assert_eq!(told, Err("line 2: the column `other side` is missing".to_owned()));
}

#[test]
fn cells_that_look_like_formulas_are_defused_and_come_back() {
    use text::csv::{escape_formula, unescape_formula};
    for text in ["=1+1", "+main.left @ 3 mm", "-x", "@home", "'quoted", "'=1", "plain", "", "\tx"] {
        let cell = escape_formula(text);
        assert!(!cell.starts_with(['=', '+', '-', '@', '\t']), "{cell}");
        assert_eq!(unescape_formula(&cell), text);
    }
    assert_eq!(unescape_formula("'plain"), "'plain");
}

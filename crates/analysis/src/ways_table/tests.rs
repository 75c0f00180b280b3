#![allow(clippy::unwrap_used)]

use super::*;
use circuit::NodeId;
use plan::tables::RailSide;

const DOCK: &str = include_str!("../../../../plans/thistle-dock/plan.toml");
const SEVEN: &str = include_str!("../../../../plans/seven-tracks/plan.toml");
const LADDERS: &str = include_str!("../../../../plans/two-ladders/plan.toml");
const BALLOON: &str = include_str!("../../../../plans/balloon/plan.toml");

fn table(text: &str, from: Option<&str>, to: Option<&str>) -> WaysTable {
    let wanted = WantedWays { from: from.map(str::to_owned), to: to.map(str::to_owned) };
    ask(text, &wanted).unwrap()
}

fn ask(text: &str, wanted: &WantedWays) -> Result<WaysTable, BadReference> {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}", reading.findings);
    Analysis::of(text, &reading.plan, &reading.names).ways_table(wanted)
}

fn names(table: &WaysTable) -> Vec<&str> {
    table.ways.iter().map(|w| w.name.as_str()).collect()
}

/// Whether both rails of the middle of a track are on opposite poles in a full setting, found by walking.
fn live(circuit: &Circuit, track: usize, setting: &[Option<u8>]) -> bool {
    let neighbours = circuit.neighbours();
    let walk = |from: NodeId| {
        let mut seen = vec![false; circuit.nodes.len()];
        seen[from] = true;
        let mut queue = vec![from];
        while let Some(at) = queue.pop() {
            for &(next, edge) in &neighbours[at] {
                let closed = circuit.edges[edge].is_closed(setting);
                if closed && !std::mem::replace(&mut seen[next], true) {
                    queue.push(next);
                }
            }
        }
        seen
    };
    let middle = circuit.segments[track].length / 2.0;
    let rail = |side: RailSide| {
        let stops = &circuit.segments[track].rails[side].stops;
        stops.iter().rev().find(|s| s.x <= middle).unwrap().after.index()
    };
    let [a, b] = circuit.sources[0].node.map(walk);
    RailSide::ALL.into_iter().any(|side| a[rail(side)] && b[rail(side.other())])
}

/// Every cell of the truth table, against every setting in which its way is lined, walked one by one.
#[test]
fn the_truth_table_is_that_of_all_settings() {
    for text in [DOCK, SEVEN, LADDERS] {
        let reading = plan::read(text);
        let circuit = Circuit::from_plan(&reading.plan, &reading.names);
        let ways = circuit::ways::ways(&circuit, 100);
        let tracks = crate::storage(&reading.plan, &reading.names).unwrap().tracks;
        let table = table(text, None, None);
        let storage = table.storage.as_ref().unwrap();
        assert_eq!(storage.live.len(), ways.list.len());
        let n = circuit.controls.len();
        for (row, name) in storage.live.iter().zip(names(&table)) {
            let way = ways.list.iter().find(|w| w.name == name).unwrap();
            for (&track, &shown) in tracks.iter().zip(row) {
                let mut seen = [0, 0];
                for bits in 0..1u32 << n {
                    let setting: Vec<Option<u8>> = (0..n).map(|i| Some((bits >> i & 1) as u8)).collect();
                    if way.setting.iter().all(|(&c, &p)| setting[c] == Some(p)) {
                        seen[usize::from(live(&circuit, track, &setting))] += 1;
                    }
                }
                let due = match seen {
                    [0, _] => StorageStanding::Always,
                    [_, 0] => StorageStanding::Never,
                    _ => StorageStanding::Depends,
                };
                assert_eq!(shown, due, "{name}, {}", circuit.segments[track].name);
            }
        }
    }
}

/// A tree of n contacts: track i depends on i of them, the last two on all n. Source: derived, n contacts, n + 1 outputs,
/// exactly one live in every state.
#[test]
fn a_contact_tree_feeds_one_track_at_a_time() {
    let table = table(SEVEN, None, None);
    let storage = table.storage.unwrap();
    for (way, row) in storage.live.iter().enumerate() {
        let due: Vec<StorageStanding> =
            (0..7).map(|t| if t == way { StorageStanding::Always } else { StorageStanding::Never }).collect();
        assert_eq!(*row, due, "way {way}");
    }
    let contacts: Vec<usize> = storage.feeds.iter().map(|f| f.contacts.len()).collect();
    assert_eq!(contacts, [1, 2, 3, 4, 5, 6, 6]);
    for feed in &storage.feeds {
        // Each contact 50 mΩ, aged 100 mΩ [practice/memory, very uncertain].
        let n = feed.contacts.len() as f64;
        assert!((feed.ohms.typical - 0.05 * n).abs() < 1e-9 && (feed.ohms.high - 0.1 * n).abs() < 1e-9, "{feed:?}");
        assert!(feed.share.iter().all(|s| (0.0..1.0).contains(s)));
    }
    assert_eq!(storage.feeds[2].contacts, ["M1.2.through", "M2.2.through", "M3.2.diverging"]);
}

#[test]
fn a_track_without_its_gap_is_live_unlined() {
    let storage = table(DOCK, None, None).storage.unwrap();
    use StorageStanding::{Always, Never};
    assert_eq!(storage.live, [vec![Always, Always], vec![Never, Always]]);
    assert_eq!(storage.feeds[0].contacts, ["M1.2.diverging"]);
    assert!(storage.feeds[1].contacts.is_empty());
}

#[test]
fn positions_come_in_the_order_of_the_journey() {
    let set = |table: &WaysTable| -> Vec<String> {
        table.ways[0].set.iter().map(|(control, position)| format!("{control} {position}")).collect()
    };
    let east = table(LADDERS, Some("west lead"), Some("road 2"));
    assert_eq!(names(&east), ["west lead to east lead, W2 diverging"]);
    assert_eq!(set(&east), ["W1 through", "W2 diverging", "E3 diverging", "E2 through", "E1 through"]);
    let west = table(LADDERS, Some("east lead"), Some("road 2"));
    assert_eq!(names(&west), ["east lead to west lead, W2 diverging"]);
    assert_eq!(set(&west), ["E1 through", "E2 through", "E3 diverging", "W2 diverging", "W1 through"]);
    assert_eq!(east.ways[0].numbers, west.ways[0].numbers);
}

#[test]
fn ways_are_found_by_either_end_and_by_what_they_run_over() {
    assert_eq!(names(&table(DOCK, None, Some("approach"))), ["dock 1 to approach", "dock 2 to approach"]);
    assert_eq!(names(&table(DOCK, Some("dock 2"), None)), ["dock 2 to approach"]);
    assert!(names(&table(LADDERS, Some("road 1"), Some("road 2"))).is_empty());
    let missing = ask(DOCK, &WantedWays { to: Some("dok 2".to_owned()), from: None });
    assert!(missing.unwrap_err().to_string().contains("did you mean `dock 2`?"));
}

#[test]
fn a_way_into_a_loop_is_marked_and_leads_out_again() {
    let all = table(BALLOON, None, None);
    assert_eq!(all.ways.len(), 2);
    assert!(all.ways.iter().all(|w| w.ends_in_loop && w.to == "loop"));
    assert!(all.storage.is_none());
    // Out of it a train goes by either leg; the other end is where it waits.
    let out = table(BALLOON, Some("loop"), Some("valley line"));
    assert_eq!(out.ways.len(), 2);
    let leaves = |w: &WayRow| (w.from.as_str(), w.to.as_str(), w.ends_in_loop) == ("loop", "valley line", false);
    assert!(out.ways.iter().all(leaves));
    assert!(out.ways.iter().all(|w| w.name.starts_with("loop out to valley line, T1 ")));
}

/// Where ways are more than are listed, that is said.
#[test]
fn more_ways_than_are_listed() {
    let mut text = String::from("[layout]\nname = \"many\"\nscale = \"OO\"\n");
    // Ten times a main and a passing track side by side: 2^10 ways.
    for i in 0..10 {
        text.push_str(&format!(
            "[[turnout]]\nname = \"A{i}\"\nhand = \"left\"\nwiring = \"live-unfed\"\n\
             [[turnout]]\nname = \"B{i}\"\nhand = \"right\"\nwiring = \"live-unfed\"\n"
        ));
        for leg in ["through", "diverging"] {
            text.push_str(&format!(
                "[[track]]\nname = \"{leg} {i}\"\nfrom = \"A{i}.{leg}\"\nto = \"B{i}.{leg}\"\nlength = \"1 m\"\n"
            ));
        }
        let to = if i == 9 { "beyond".to_owned() } else { format!("A{}.points", i + 1) };
        text.push_str(&format!(
            "[[track]]\nname = \"link {i}\"\nfrom = \"B{i}.points\"\nto = \"{to}\"\nlength = \"1 m\"\n"
        ));
    }
    text.push_str("[[track]]\nname = \"start\"\nfrom = \"beyond\"\nto = \"A0.points\"\nlength = \"1 m\"\n");
    let table = table(&text, None, None);
    assert!(!table.complete);
}

//! The state tables of turntables and sector plates, as literal tests: which conductors there are in which position.
//!
//! Derived from first principles, as those of other trackwork; common practice, no source.

use crate::trackwork::{HEAD, circuit_of, groups, routes, tracks, turntable};
use circuit::Circuit;

const DECK: [(&str, &str); 2] = [("DL", "TT left deck rail in the middle"), ("DR", "TT right deck rail in the middle")];

// The tracks lead away from the deck: their right rail is on the left of somebody who looks at the deck.

#[test]
fn turntable_fed_by_its_stalls() {
    let circuit = turntable("");
    assert_eq!(circuit.controls[0].positions, ["stall 1", "stall 2"]);
    assert_eq!(groups(&circuit, &DECK, &[Some(0)]), ["DL s1R", "DR s1L", "s2L", "s2R"]);
    assert_eq!(groups(&circuit, &DECK, &[Some(1)]), ["DL s2R", "DR s2L", "s1L", "s1R"]);
    assert_eq!(routes(&circuit, &[Some(1)]), ["TT stall 2"]);
    assert!(circuit.gaps.is_empty());
}

#[test]
fn turntable_with_a_feed_of_its_own_can_stand_turned() {
    let circuit = turntable("left = \"bus.A\"\nright = \"bus.B\"");
    assert_eq!(circuit.controls[0].positions, ["stall 1", "stall 1 turned", "stall 2", "stall 2 turned"]);
    let letters = [DECK[0], DECK[1], ("A", "booster.A"), ("B", "booster.B")];
    assert_eq!(groups(&circuit, &letters, &[Some(0)]), ["A DL s1R", "B DR s1L", "s2L", "s2R"]);
    assert_eq!(groups(&circuit, &letters, &[Some(1)]), ["A DL s1L", "B DR s1R", "s2L", "s2R"]);
    assert_eq!(groups(&circuit, &letters, &[Some(3)]), ["A DL s2L", "B DR s2R", "s1L", "s1R"]);
    assert_eq!(routes(&circuit, &[Some(3)]), ["TT stall 2 turned"]);
}

#[test]
fn sector_plate_never_turns_and_a_deck_may_touch_nothing() {
    let plate = turntable("kind = \"sector plate\"\nleft = \"bus.A\"\nright = \"bus.B\"");
    assert_eq!(plate.controls[0].positions, ["stall 1", "stall 2"]);
    let apart = turntable("joint = \"gap\"");
    assert_eq!(groups(&apart, &DECK, &[Some(0)]), ["DL", "DR", "s1L", "s1R", "s2L", "s2R"]);
    assert_eq!(apart.gaps.len(), 4);
}

fn four_stalls(more: &str) -> Circuit {
    let ends = [("s1", "TT.stall 1"), ("s2", "TT.stall 2"), ("s3", "TT.stall 3"), ("s4", "TT.stall 4")];
    circuit_of(&format!(
        "{HEAD}[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
         [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"1 m\"\n\
         [[turntable]]\nname = \"TT\"\nlength = \"0.3 m\"\nstalls = 4\n{more}\n{}",
        tracks(&ends, &[])
    ))
}

// A track that leads away on this side and one on the other: the right rail of the one runs on as the left rail of the other.

#[test]
fn a_deck_joins_stalls_that_lie_opposite_each_other() {
    let circuit = four_stalls("opposite = [[1, 3]]");
    assert_eq!(circuit.controls[0].positions, ["stall 1 to 3", "stall 2", "stall 4"]);
    let through = ["DL s1R s3L", "DR s1L s3R", "s2L", "s2R", "s4L", "s4R"];
    assert_eq!(groups(&circuit, &DECK, &[Some(0)]), through);
    let second = ["DL s2R", "DR s2L", "s1L", "s1R", "s3L", "s3R", "s4L", "s4R"];
    assert_eq!(groups(&circuit, &DECK, &[Some(1)]), second);
    assert_eq!(routes(&circuit, &[Some(0)]), ["TT stall 1 to 3"]);
    // A train runs on from the one to the other.
    let route = circuit.segments.iter().find(|s| s.name == "TT stall 1 to 3").expect("a route");
    let next: Vec<usize> = route.ends.iter().flat_map(|end| end.next.iter().map(|n| n.0)).collect();
    assert_eq!(next, [0, 2]);
}

#[test]
fn a_fed_deck_joins_opposite_stalls_either_way_round() {
    let circuit = four_stalls("opposite = [[1, 3], [2, 4]]\nleft = \"bus.A\"\nright = \"bus.B\"");
    let positions = ["stall 1 to 3", "stall 1 to 3 turned", "stall 2 to 4", "stall 2 to 4 turned"];
    assert_eq!(circuit.controls[0].positions, positions);
    let letters = [DECK[0], DECK[1], ("A", "booster.A"), ("B", "booster.B")];
    assert_eq!(groups(&circuit, &letters, &[Some(0)]), ["A DL s1R s3L", "B DR s1L s3R", "s2L", "s2R", "s4L", "s4R"]);
    assert_eq!(groups(&circuit, &letters, &[Some(3)]), ["A DL s2L s4R", "B DR s2R s4L", "s1L", "s1R", "s3L", "s3R"]);
    let apart = four_stalls("opposite = [[1, 3]]\njoint = \"gap\"");
    // Two rails at each end of the deck: of three places one has stalls at both ends.
    assert_eq!(apart.gaps.len(), 8);
}

#[test]
fn a_sector_plate_joins_one_stall_with_several() {
    let plate = four_stalls("kind = \"sector plate\"\nopposite = [[1, 2], [1, 3], [1, 4]]");
    assert_eq!(plate.controls[0].positions, ["stall 1 to 2", "stall 1 to 3", "stall 1 to 4"]);
    for (position, track) in [(0, 2), (1, 3), (2, 4)] {
        let found = groups(&plate, &DECK, &[Some(position)]);
        assert_eq!(found[..2], [format!("DL s1R s{track}L"), format!("DR s1L s{track}R")]);
        assert_eq!(found.len(), 6);
    }
}

#[test]
fn a_sector_plate_has_several_tracks_side_by_side() {
    let deck: Vec<(String, String)> = (1..=3)
        .flat_map(|track| {
            ["left", "right"].map(|side| {
                let letter = if side == "left" { 'L' } else { 'R' };
                (format!("{track}{letter}"), format!("TT {side} deck track {track} rail in the middle"))
            })
        })
        .collect();
    let deck: Vec<(&str, &str)> = deck.iter().map(|(letter, words)| (letter.as_str(), words.as_str())).collect();
    let plate = |stalls: usize, more: &str| {
        let ends: Vec<(String, String)> = (1..=stalls).map(|s| (format!("s{s}"), format!("TT.stall {s}"))).collect();
        let ends: Vec<(&str, &str)> = ends.iter().map(|(track, end)| (track.as_str(), end.as_str())).collect();
        circuit_of(&format!(
            "{HEAD}[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
             [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"1 m\"\n\
             [[turntable]]\nname = \"TT\"\nkind = \"sector plate\"\nlength = \"0.9 m\"\ntracks = 3\nstalls = {stalls}\n{more}\n{}",
            tracks(&ends, &[])
        ))
    };
    let one = plate(1, "");
    assert_eq!(one.controls[0].positions, ["track 1 at stall 1", "track 2 at stall 1", "track 3 at stall 1"]);
    assert_eq!(groups(&one, &deck, &[Some(1)]), ["1L", "1R", "2L s1R", "2R s1L", "3L", "3R"]);
    assert_eq!(routes(&one, &[Some(1)]), ["TT track 2 at stall 1"]);
    // Two lines beside each other: the plate can be too far to one side for either of them.
    let two = plate(2, "");
    let positions = [
        "track 1 at stall 2",
        "track 1 at stall 1 and track 2 at stall 2",
        "track 2 at stall 1 and track 3 at stall 2",
        "track 3 at stall 1",
    ];
    assert_eq!(two.controls[0].positions, positions);
    assert_eq!(groups(&two, &deck, &[Some(2)]), ["1L", "1R", "2L s1R", "2R s1L", "3L s2R", "3R s2L"]);
    assert_eq!(groups(&two, &deck, &[Some(0)]), ["1L s2R", "1R s2L", "2L", "2R", "3L", "3R", "s1L", "s1R"]);
    // A feed goes to every track of the plate.
    let fed = plate(1, "left = \"bus.A\"\nright = \"bus.B\"");
    let mut letters = deck.clone();
    letters.extend([("A", "booster.A"), ("B", "booster.B")]);
    assert_eq!(groups(&fed, &letters, &[Some(0)]), ["1L 2L 3L A s1R", "1R 2R 3R B s1L"]);
}

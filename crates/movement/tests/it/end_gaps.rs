//! Gaps and joints written at the very end of a track: they are the one with the neighbour, whoever says so.

use circuit::{Circuit, EdgeKind, Part, RailOwner};
use movement::Movement;

/// Two tracks of 1 m and 2 m that meet, the second turned round or not, and what each says.
fn plan(layout: &str, turned: bool, first: &str, second: &str) -> String {
    let (to, from, end) = if turned { ("b.to", "buffer", "a.to") } else { ("b.from", "a.to", "buffer") };
    format!(
        "[layout]\nname = \"t\"\nscale = \"OO\"\n{layout}\n\
         [room]\nlaid = {{ temperature = \"20 °C\", humidity = \"50 %\" }}\n\
         coldest = {{ temperature = \"10 °C\", humidity = \"50 %\" }}\n\
         hottest = {{ temperature = \"30 °C\", humidity = \"50 %\" }}\n\
         [base]\nmaterial = \"XPS foam\"\n\
         [[supply]]\nname = \"s\"\nvoltage = \"15 V\"\ntrips = {{ at = \"4 A\" }}\n\
         [[bus]]\nname = \"b, main\"\nsupply = \"s\"\nwire = \"2.5 mm²\"\nlength = \"9 m\"\n\
         [[track]]\nname = \"a\"\nfrom = \"buffer\"\nto = \"{to}\"\nlength = \"1 m\"\n{first}\n\
         [[track]]\nname = \"b\"\nfrom = \"{from}\"\nto = \"{end}\"\nlength = \"2 m\"\n{second}\n"
    )
}

fn read(text: &str) -> (Circuit, Movement) {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}\n{text}", reading.findings);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let movement = movement::movement(&reading.plan, &circuit).unwrap();
    (circuit, movement)
}

/// By hand: half of 1 m and half of 2 m move into the place between the tracks, by 0.465 mm/m: 0.6975 mm.
const CLOSES: f64 = 0.6975e-3;

#[track_caller]
fn check(text: &str, gaps: usize, of_track: usize, joined: &[EdgeKind]) {
    let (circuit, movement) = read(text);
    assert_eq!(circuit.gaps.len(), gaps, "{text}");
    let track = |segment: usize| circuit.segments[segment].owner == RailOwner::Track(of_track);
    assert!(circuit.gaps.iter().all(|gap| track(gap.segment)), "{text}");
    let joints = circuit.edges.iter().filter(|e| matches!(e.part, Part::EndJoint { .. })).map(|e| e.kind);
    assert_eq!(joints.collect::<Vec<_>>(), joined, "{text}");
    // A piece of rail on either side of each gap, and no sliver between.
    let sliding = joined.iter().filter(|kind| **kind == EdgeKind::SlidingJoint).count();
    assert_eq!(movement.places.len(), gaps + sliding, "{text}");
    for place in &movement.places {
        assert!((place.closes[0].typical - CLOSES).abs() < 1e-9, "{}\n{text}", place.closes[0].typical);
    }
    assert_eq!(movement.places.iter().filter(|place| place.is_gap).count(), gaps, "{text}");
}

#[test]
fn a_gap_at_the_end_is_the_joint_there() {
    use EdgeKind::{SlidingJoint, SolderedJoint};
    for (layout, joint) in [
        ("joint = \"sliding\"", SlidingJoint),
        ("joint = \"soldered\"", SolderedJoint),
        // Where nothing says it joints slide.
        ("", SlidingJoint),
    ] {
        for turned in [false, true] {
            let there = if turned { "2 m" } else { "0 m" };
            let check = |first: &str, second: &str, gaps, of_track, joined: &[EdgeKind]| {
                check(&plan(layout, turned, first, second), gaps, of_track, joined);
            };
            check("gaps = [\"1 m\"]", "", 2, 0, &[]);
            check("gaps = [\"100 cm\"]", &format!("gaps = [\"{there}\"]"), 2, 0, &[]);
            check("", &format!("gaps = [\"{there}\"]"), 2, 1, &[]);
            for rail in ["left", "right"] {
                check(&format!("gaps = [{{ at = \"1 m\", rail = \"{rail}\" }}]"), "", 1, 0, &[joint]);
                let theirs = format!("joints = [{{ at = \"{there}\", rail = \"{rail}\", kind = \"gap\" }}]");
                check("", &theirs, 1, 1, &[joint]);
            }
            check("", "", 0, 0, &[joint, joint]);
        }
    }
}

/// What is said of how wide it is left holds, whichever table says it, of gaps and of joints that slide.
#[test]
fn a_width_at_the_end_holds() {
    let widths = |first: &str, second: &str| {
        let places = read(&plan("", false, first, second)).1.places;
        places.iter().map(|place| (place.left * 1e6).round() as i64).collect::<Vec<_>>()
    };
    assert_eq!(widths("gaps = [{ at = \"1 m\", width = \"0.8 mm\" }]", ""), [800, 800]);
    assert_eq!(widths("", "gaps = [{ at = \"0 m\", rail = \"left\", width = \"0.9 mm\" }]"), [500, 900]);
    assert_eq!(widths("slides = [{ at = \"1 m\", width = \"0.7 mm\" }]", ""), [700, 700]);
    assert_eq!(widths("", "joints = [{ at = \"0 m\", kind = \"sliding\", width = \"0.6 mm\" }]"), [600, 600]);
}

/// At a turnout as between tracks; where the plan ends the gap parts the rail from what is beyond it.
#[test]
fn a_gap_at_the_end_beside_a_turnout_or_beyond() {
    let text = plan("joint = \"sliding\"", false, "gaps = [\"1 m\"]", "")
        .replace("to = \"b.from\"", "to = \"T1.points\"")
        .replace("from = \"a.to\"", "from = \"T1.through\"")
        + "[[turnout]]\nname = \"T1\"\nhand = \"left\"\nwiring = \"insulated-bonded\"\n\
           [[track]]\nname = \"c\"\nfrom = \"T1.diverging\"\nto = \"beyond\"\nlength = \"3 m\"\n\
           gaps = [{ at = \"3 m\", rail = \"right\" }]\n";
    let (circuit, movement) = read(&text);
    let listed: Vec<(usize, f64)> = circuit.gaps.iter().map(|gap| (gap.segment, gap.x)).collect();
    assert_eq!(listed, [(0, 1.0), (0, 1.0), (2, 3.0)]);
    // Sliding joints of the other two ends in both rails, and the two gaps with rail on either side.
    assert_eq!(movement.places.iter().filter(|place| place.is_gap).count(), 2);
    assert_eq!(movement.places.len(), 6);
}

//! Which rails move as one in a plan, and what their gaps do, worked out by hand.

use circuit::{Circuit, EdgeId};
use movement::runs::RigidRuns;
use movement::season::{OpeningVerdict, WidthFit};
use movement::{Movement, movement};

/// A layout with this track and turnouts, on plywood.
fn layout(head: &str, tables: &str) -> String {
    format!(
        "[layout]\nname = \"t\"\nscale = \"OO\"\n{head}\n\
         [room]\nlaid = {{ temperature = \"20 °C\", humidity = \"50 %\" }}\n\
         coldest = {{ temperature = \"10 °C\", humidity = \"50 %\" }}\n\
         hottest = {{ temperature = \"30 °C\", humidity = \"50 %\" }}\n\
         [base]\nmaterial = \"XPS foam\"\n\
         [[supply]]\nname = \"s\"\nvoltage = \"15 V\"\ntrips = {{ at = \"4 A\" }}\n\
         [[bus]]\nname = \"b\"\nsupply = \"s\"\nwire = \"2.5 mm²\"\nlength = \"9 m\"\n{tables}"
    )
}

fn track(name: &str, from: &str, to: &str, metres: f64, more: &str) -> String {
    format!("[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"{metres} m\"\n{more}\n")
}

fn circuit(text: &str) -> (plan::Plan, Circuit) {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}\n{text}", reading.findings);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    (reading.plan, circuit)
}

fn moved(text: &str) -> Movement {
    let (plan, circuit) = circuit(text);
    movement(&plan, &circuit).unwrap()
}

#[track_caller]
fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 1e-9, "{value} is not {expected}");
}

#[test]
fn a_gap_between_two_rails() {
    // By hand: foam and rail part by (16.5 − 63)·10⁻⁶ a kelvin; from 20 to 10 °C the rail grows past the foam by
    // 0.465 mm/m. Half of 1 m and half of 2 m of it come into the gap: 0.6975 mm.
    let m = moved(&layout("gap_width = \"1 mm\"", &track("a", "beyond", "buffer", 3.0, "gaps = [\"1 m\"]")));
    assert_eq!((m.runs.list.len(), m.places.len()), (4, 2));
    let place = &m.places[0];
    near(place.closes[0].typical, 0.6975e-3);
    near(place.closes[1].typical, -0.6975e-3);
    near(place.widths(place.left)[0].typical, 0.3025e-3);
    near(place.swing(), 1.395e-3);
    assert_eq!(
        (place.verdict(0.7e-3), place.verdict(1.0e-3), place.verdict(1.4e-3)),
        (OpeningVerdict::Closes, OpeningVerdict::Well, OpeningVerdict::Opens)
    );
    assert_eq!(place.leave.fit, WidthFit::Sure);
    // The gap keeps 0.1 mm: no less than 0.7975 mm, to the next twentieth.
    assert!(place.leave.width >= 0.7975e-3 && place.leave.width < 0.9e-3, "{:?}", place.leave);
    assert!(m.defaults.iter().all(|d| !d.what.starts_with("width of")));
}

#[test]
fn a_grip_holds_rail_back() {
    // By hand: E·A = 121·10⁹ · 2.22·10⁻⁶ = 268 620 N; gripped with 100 N/m the end of a rail of 2 m moves by
    // 0.465 mm/m · 1 m − 100·1²/(2·268 620) m
    let text = layout("", &track("a", "buffer", "buffer", 4.0, "gaps = [\"2 m\"]"));
    let free = moved(&text);
    let gripped = moved(&text.replace("\"XPS foam\"", "\"XPS foam\"\ngrip = \"100 N/m\""));
    near(free.places[0].closes[0].typical, 0.93e-3);
    near(gripped.places[0].closes[0].typical, 2.0 * (0.465e-3 - 100.0 / 537_240.0));
}

#[test]
fn solder_and_turnouts_carry_movement_on() {
    let turnout = "[[turnout]]\nname = \"T\"\nhand = \"left\"\nwiring = \"insulated-routed\"\nlead = \"200 mm\"\ntail = \"100 mm\"\n";
    let tables = |joint: &str| {
        format!(
            "{}{}{}{turnout}joint = \"{joint}\"\n",
            track("in", "beyond", "T.points", 1.0, "joint = \"soldered\"\nstock = \"0.4 m\""),
            track("out", "T.through", "buffer", 2.0, ""),
            track("off", "T.diverging", "buffer", 1.5, "")
        )
    };
    let (plan, circuit) = circuit(&layout("", &tables("soldered")));
    let runs = RigidRuns::from_circuit(&plan, &circuit);
    // In, right stock rail and out; in, left stock rail and off; left closure rail and out; right closure rail and off.
    let mut lengths: Vec<f64> = runs.list.iter().map(|r| (r.length * 1e6).round() / 1e6).collect();
    lengths.sort_by(f64::total_cmp);
    assert_eq!(lengths, [1.8, 2.3, 2.8, 3.3]);
    assert!(runs.openings.is_empty() && runs.list.iter().all(|r| !r.branched && !r.closed && r.ends == 2));
    assert_eq!(runs.list.iter().map(|r| r.soldered.len()).sum::<usize>(), 4 + 6);
    // Left to slide, the turnout parts them.
    let (plan, circuit) = self::circuit(&layout("", &tables("sliding")));
    let runs = RigidRuns::from_circuit(&plan, &circuit);
    assert_eq!((runs.list.len(), runs.openings.len()), (10, 6));
    for opening in &runs.openings {
        let halves = opening.runs.map(|r| runs.list[r].length / 2.0);
        assert!((0..2).all(|e| (opening.reach[e] - halves[e]).abs() < 1e-9), "{opening:?}");
    }
}

#[test]
fn a_rail_that_turns_round_keeps_its_sides() {
    // Two tracks that look at each other's `to` ends: left runs on as right, and the coordinate turns.
    let tables = track("a", "buffer", "c.to", 1.0, "")
        + &track("c", "buffer", "a.to", 3.0, "gaps = [{ at = \"1 m\", rail = \"right\" }]");
    let (plan, circuit) = circuit(&layout("joint = \"soldered\"", &tables));
    let runs = RigidRuns::from_circuit(&plan, &circuit);
    assert_eq!(runs.list.len(), 3);
    let gap = &runs.openings[0];
    near(gap.reach[0], 0.5);
    near(gap.reach[1], 1.5);
}

#[test]
fn a_soldered_circle_is_closed_and_one_slide_opens_it() {
    let text = |more: &str| layout("joint = \"soldered\"", &track("o", "o.to", "o.from", 5.0, more));
    let closed = |text: &str| {
        let (plan, circuit) = circuit(text);
        RigidRuns::from_circuit(&plan, &circuit).list.iter().map(|r| r.closed).collect::<Vec<_>>()
    };
    assert_eq!(closed(&text("")), [true, true]);
    assert_eq!(closed(&text("slides = [\"2 m\"]")), [false, false]);
    assert_eq!(closed(&text("slides = [{ at = \"2 m\", rail = \"right\" }]")), [true, false]);
    // With pins the closed ones are pressed; the ring that slides has 2 mm for 5 m, and is pressed by the rest.
    let pinned = |more: &str| {
        moved(&text(more).replace("\"XPS foam\"", "\"XPS foam\"\nfixing = { pins = \"100 mm\" }")).pressed()
    };
    let [left, right] = pinned("slides = [{ at = \"2 m\", rail = \"right\", width = \"2 mm\" }]").try_into().unwrap();
    near(left.strain, 0.465e-3);
    near(right.strain, 0.465e-3 - 0.4e-3);
    assert!(pinned("slides = [{ at = \"2 m\", width = \"2.4 mm\" }]").is_empty());
}

#[test]
fn a_passing_loop_is_no_ring() {
    // The loop is half a metre longer than the main line beside it; everything is soldered.
    let turnout = |name: &str| {
        format!(
            "[[turnout]]\nname = \"{name}\"\nhand = \"left\"\nwiring = \"insulated-bonded\"\nlead = \"200 mm\"\ntail = \"100 mm\"\n"
        )
    };
    let tables = track("in", "beyond", "W.points", 1.0, "")
        + &turnout("W")
        + &track("main", "W.through", "E.through", 2.0, "")
        + &track("loop", "W.diverging", "E.diverging", 2.5, "")
        + &turnout("E")
        + &track("out", "E.points", "beyond", 1.0, "");
    let (plan, circuit) = circuit(&layout("joint = \"soldered\"", &tables));
    let runs = RigidRuns::from_circuit(&plan, &circuit);
    assert!(runs.list.iter().any(|r| r.branched) && runs.list.iter().all(|r| !r.closed), "{:?}", runs.list);
    // Joined the other way about, in and out make it a ring with a loop in it.
    let ring = tables.replace("\"beyond\"\nto = \"W.points\"", "\"out.to\"\nto = \"W.points\"");
    let ring = ring.replace("from = \"E.points\"\nto = \"beyond\"", "from = \"E.points\"\nto = \"in.from\"");
    let (plan, circuit) = self::circuit(&layout("joint = \"soldered\"", &ring));
    assert!(RigidRuns::from_circuit(&plan, &circuit).list.iter().any(|r| r.closed));
}

#[test]
fn the_least_slides_of_a_plan_give_room() {
    let text = layout(
        "joint = \"soldered\"",
        &track("a", "buffer", "buffer", 8.0, "stock = \"0.9 m\"\ngaps = [{ at = \"4 m\", rail = \"left\" }]"),
    );
    let (plan, circuit) = circuit(&text);
    let m = movement(&plan, &circuit).unwrap();
    let reliefs = m.reliefs(&plan, &circuit);
    assert_eq!((reliefs.len(), reliefs[0].tight.as_slice(), reliefs[0].exact), (1, &[0][..], true));
    let slides: Vec<_> = reliefs[0].slides.as_ref().unwrap().iter().map(|j| j.edge.unwrap()).collect();
    let holds = |slides: &[EdgeId]| {
        let runs = RigidRuns::with_slides(&plan, &circuit, slides);
        runs.openings.iter().all(|p| {
            let room = if p.joint.edge.is_none() { 1.9e-3 } else { 2e-3 };
            0.93e-3 * (p.reach[0] + p.reach[1]) <= room + 1e-9
        })
    };
    assert!(!holds(&[]) && holds(&slides));
    // Tried one and two at a time over every joint of the rail, which shows the set to be the least.
    let all: Vec<EdgeId> =
        m.runs.list.iter().filter(|r| r.length < 7.9).flat_map(|r| r.soldered.iter().filter_map(|j| j.edge)).collect();
    let fewer: Vec<Vec<EdgeId>> = match slides.len() {
        2 => all.iter().map(|&a| vec![a]).collect(),
        3 => all.iter().flat_map(|&a| all.iter().map(move |&b| vec![a, b])).collect(),
        n => panic!("{n} slides: the example should take two or three"),
    };
    assert!(fewer.iter().all(|set| !holds(set)), "{slides:?}");
}

#[test]
fn rail_that_branches_is_tried_joint_by_joint() {
    let turnout = "[[turnout]]\nname = \"T\"\nhand = \"left\"\nwiring = \"insulated-bonded\"\nlead = \"200 mm\"\ntail = \"100 mm\"\n";
    let tables = track("in", "beyond", "T.points", 0.5, "")
        + turnout
        + &track("out", "T.through", "buffer", 3.5, "stock = \"0.9 m\"\ngaps = [{ at = \"3.3 m\", rail = \"left\" }]")
        + &track("off", "T.diverging", "buffer", 0.4, "");
    let (plan, circuit) = circuit(&layout("joint = \"soldered\"", &tables));
    let m = movement(&plan, &circuit).unwrap();
    let gap = &m.runs.openings[0];
    assert!(gap.runs.iter().any(|&r| m.runs.list[r].branched) && m.places[0].leave.fit == WidthFit::None);
    let reliefs = m.reliefs(&plan, &circuit);
    let [relief] = reliefs.as_slice() else { panic!("{reliefs:?}") };
    let slides = relief.slides.as_ref().unwrap();
    assert_eq!((slides.len(), relief.exact), (1, true));
    let after = RigidRuns::with_slides(&plan, &circuit, &[slides[0].edge.unwrap()]);
    for opening in &after.openings {
        let room = if opening.joint.edge.is_none() { 1.9e-3 } else { 2e-3 };
        assert!(0.93e-3 * (opening.reach[0] + opening.reach[1]) <= room, "{opening:?}");
    }
}

#[test]
fn what_is_not_told_is_named() {
    let text = layout("", &track("a", "beyond", "buffer", 3.0, "gaps = [\"1 m\"]"));
    let (plan, circuit) = circuit(&text.replace("hottest = { temperature = \"30 °C\", humidity = \"50 %\" }\n", ""));
    assert_eq!(movement(&plan, &circuit).unwrap_err().missing, ["`hottest` under `[room]`"]);
    let reversed = plan::read(&text.replace("\"30 °C\"", "\"5 °C\""));
    assert_eq!(
        reversed.findings.iter().map(|f| (f.name, f.message.as_str())).collect::<Vec<_>>(),
        [("contradiction", "the coldest temperature is more than the hottest")]
    );
}

/// Rail that is fast at one end moves its whole growth to the other: 3 m by 0.465 mm/m, where rail that is fast nowhere moves half.
/// (Free thermal growth `ΔL = α·L·ΔT`, as in any textbook of mechanics, at the end that is not held.)
#[test]
fn a_rail_that_is_held_grows_to_its_free_end() {
    let text = |held: &str| layout("", &track("a", "buffer", "buffer", 5.0, &format!("gaps = [\"3 m\"]\n{held}")));
    let closes = |held: &str| moved(&text(held)).places[0].closes[0].typical;
    near(closes(""), 0.465e-3 * (1.5 + 1.0));
    near(closes("held = \"from\""), 0.465e-3 * (3.0 + 1.0));
    near(closes("held = \"to\""), 0.465e-3 * (1.5 + 2.0));
    near(closes("held = [\"from\", \"to\"]"), 0.465e-3 * 5.0);
    // A held end does not move at all: nothing comes into a gap there.
    let at_the_end = layout(
        "",
        &(track("a", "buffer", "c.from", 3.0, "held = \"to\"\njoint = \"sliding\"")
            + &track("c", "a.to", "buffer", 2.0, "")),
    );
    near(moved(&at_the_end).places[0].closes[0].typical, 0.465e-3 * 1.0);
    // With a grip of 20 N/m the free end of 3 m moves by 0.465 mm/m · 3 m − 20·3²/(2·268 620) m.
    let gripped = text("held = \"from\"").replace("\"XPS foam\"", "\"XPS foam\"\ngrip = \"20 N/m\"");
    let other = 0.465e-3 * 1.0 - 20.0 / 537_240.0;
    near(moved(&gripped).places[0].closes[0].typical, 0.465e-3 * 3.0 - 180.0 / 537_240.0 + other);
}

/// Held at both ends it does not grow at all, and is pressed with all of its strain.
#[test]
fn a_rail_that_is_held_at_both_ends_is_pressed() {
    use movement::pressed::WhyPressed;
    let text = |held: &str| {
        layout("", &track("a", "buffer", "buffer", 3.0, held))
            .replace("\"XPS foam\"", "\"XPS foam\"\nfixing = { pins = \"200 mm\" }")
    };
    let held = moved(&text("held = [\"from\", \"to\"]"));
    let pressed = held.pressed();
    assert_eq!(pressed.len(), 2);
    for rail in pressed {
        assert_eq!((rail.why, rail.air), (WhyPressed::Held, 0));
        near(rail.strain, 0.465e-3);
    }
    assert!(moved(&text("held = \"from\"")).pressed().is_empty());
}

#[test]
fn a_board_in_other_air() {
    // By hand: 1 m of rail to either side of the gap's edge moves into it. On the rest 0.465 mm for 10 K, on the board, which
    // gets 20 K colder, 0.93 mm.
    let tables =
        [track("near", "buffer", "far.from", 2.0, "gaps = [\"2 m\"]"), track("far", "near.to", "buffer", 2.0, "")];
    let board =
        "[[board]]\nname = \"yard\"\nholds = [\"far\"]\ncoldest = { temperature = \"0 °C\", humidity = \"50 %\" }\n";
    let m = moved(&layout("joint = \"soldered\"", &format!("{}{}{board}", tables[0], tables[1])));
    assert_eq!(m.places.len(), 2);
    near(m.places[0].closes[0].typical, (0.465 + 0.93) * 1e-3);
    near(m.places[0].closes[1].typical, -2.0 * 0.465e-3);
    let boards: Vec<Option<usize>> =
        m.places.iter().zip(&m.runs.openings).map(|(_, o)| m.runs.list[o.runs[1]].board).collect();
    assert_eq!(boards, [Some(0), Some(0)]);
    // A board that says nothing of its own is as the rest; one that lies on something else moves as a layout on that does.
    let alike = moved(&layout(
        "joint = \"soldered\"",
        &format!("{}{}[[board]]\nname = \"yard\"\nholds = [\"far\"]\n", tables[0], tables[1]),
    ));
    near(alike.places[0].closes[0].typical, 2.0 * 0.465e-3);
    let ply = board.replace("coldest", "material = \"MDF\"\ncoldest").replace("0 °C", "10 °C");
    let other = moved(&layout("joint = \"soldered\"", &format!("{}{}{ply}", tables[0], tables[1])));
    let own = moved(&layout("joint = \"soldered\"", &format!("{}{}", tables[0], tables[1])).replace("XPS foam", "MDF"));
    let half = |m: &Movement| m.places[0].closes[0].typical / 2.0;
    near(other.places[0].closes[0].typical, half(&own) + 0.465e-3);
}

#[test]
fn a_board_that_holds_its_track_otherwise() {
    let tables =
        [track("near", "buffer", "far.from", 2.0, "gaps = [\"2 m\"]"), track("far", "near.to", "buffer", 2.0, "")];
    let plan = |base: &str, board: &str| {
        let text = layout("joint = \"soldered\"", &format!("{}{}{board}", tables[0], tables[1]));
        moved(&text.replace("material = \"XPS foam\"", &format!("material = \"XPS foam\"\n{base}")))
    };
    let board = |own: &str| format!("[[board]]\nname = \"yard\"\nholds = [\"far\"]\n{own}\n");
    // Gripped rail moves less at its end, on the board alone: half of what a layout does that is gripped all over, and half of one
    // that is not.
    let all = plan("grip = \"60 N/m\"", "").places[0].closes[0].typical;
    let none = plan("", "").places[0].closes[0].typical;
    assert!(all < 0.9 * none, "{all} {none}");
    let there = plan("", &board("grip = \"60 N/m\""));
    near(there.places[0].closes[0].typical, (all + none) / 2.0);
    // Where most of it is gripped a board may have been measured otherwise.
    let freer = plan("grip = \"60 N/m\"", &board("grip = \"0.1 N/m\""));
    assert!((freer.places[0].closes[0].typical - (all + none) / 2.0).abs() < 2e-6);
    // Pins on the board tell at which strain its rail buckles, and nothing of the rest.
    let pinned = plan("", &board("fixing = { pins = \"150 mm\" }"));
    let of = |on: Option<usize>| pinned.runs.list.iter().position(|run| run.board == on).unwrap();
    assert!(pinned.buckles(of(Some(0))).is_some() && pinned.buckles(of(None)).is_none());
}

//! Reversing sections, and closed ways that lack one.
//!
//! That a section is longer than the longest metal-wheeled train and that two never touch is common practice, no source; that
//! its phase must change follows from trying every choice of poles, which is done here.

use crate::common::{DEMOS, HEAD, Numbers, demo, proved};
use proof::{Proof, ReversingSection};
use std::fmt::Write;

fn names(made: &crate::common::Made, segments: &[usize]) -> Vec<String> {
    segments.iter().map(|&s| made.circuit.segments[s].name.clone()).collect()
}

fn only(proof: &Proof) -> &ReversingSection {
    let [section] = proof.reversing.as_slice() else { panic!("{:#?}", proof.reversing) };
    section
}

#[test]
fn a_balloon_loop_is_one_section_that_follows_its_turnout() {
    let (made, proof) = proved(&demo("balloon"));
    let section = only(&proof);
    assert_eq!(names(&made, &section.cycle), ["loop", "T1 diverging", "T1 through"]);
    // The plan says that both rails are gapped at both ends, and 15 ft 6 in between.
    assert_eq!((section.ends, section.gaps.len(), section.runs_through), (2, 4, true));
    assert!((section.length.unwrap() - 15.5 * 0.3048).abs() < 1e-9);
    assert_eq!(section.controls, [made.turnout(0)]);
    assert!(section.agrees && section.touches.is_empty() && proof.odd_cycles.is_empty());
}

#[test]
fn gaps_further_in_make_the_section_shorter() {
    let text = demo("balloon").replace("joint  = \"gap\"\n", "gaps = [\"3 in\", \"15 ft 3 in\"]\n");
    let (_, proof) = proved(&text);
    let section = only(&proof);
    assert!((section.length.unwrap() - 15.0 * 0.3048).abs() < 1e-9, "{section:?}");
    // Gaps that do not stand opposite each other: what counts is the distance between the inner ones.
    let staggered = "gaps = [{ at = \"3 in\", rail = \"left\" }, { at = \"6 in\", rail = \"right\" }, \
                     { at = \"15 ft\", rail = \"left\" }, { at = \"15 ft 3 in\", rail = \"right\" }]\n";
    let (_, proof) = proved(&demo("balloon").replace("joint  = \"gap\"\n", staggered));
    assert!((only(&proof).length.unwrap() - 14.5 * 0.3048).abs() < 1e-9, "{:?}", proof.reversing);
}

#[test]
fn the_tail_of_a_triangle_is_a_section_with_an_end_of_its_own() {
    let (made, proof) = proved(&demo("wye"));
    let section = only(&proof);
    let tail = made.reading.names.get("tail").unwrap().1;
    assert!(section.parts.contains(&(tail, [0.0, 1.45])), "{section:?}");
    assert!(!section.runs_through && section.agrees);
    // From the frog of the wye turnout to the buffer: the tail and the turnout's lead.
    let lead = section.parts.iter().find(|p| p.0 >= made.circuit.tracks).unwrap().1[1];
    assert!((section.length.unwrap() - 1.45 - lead).abs() < 1e-9);
    assert_eq!(section.controls, [made.turnout(2)]);
}

#[test]
fn a_triangle_of_constant_phases_has_a_closed_way_without_a_section() {
    let constant = demo("wye")
        .replace(
            "along  = { bus = \"main bus\", from = \"2.6 m\", to = \"2.6 m\" }\n",
            "feeders = [\"0.5 m\"]\nleft = \"main bus.A\"\nright = \"main bus.B\"\n",
        )
        .replace("  { common = \"tail.left @ 0.5 m\", left = \"main bus.B\", right = \"main bus.A\" },\n", "")
        .replace("  { common = \"tail.right @ 0.5 m\", left = \"main bus.A\", right = \"main bus.B\" },\n", "");
    let (made, proof) = proved(&constant);
    assert!(proof.reversing.is_empty(), "{:?}", proof.reversing);
    let [cycle] = proof.odd_cycles.as_slice() else { panic!("{:?}", proof.odd_cycles) };
    let over = names(&made, &cycle.segments);
    for piece in ["west leg", "east leg", "between", "TN left", "TN right"] {
        assert!(over.iter().any(|n| n == piece), "{piece} is not in {over:?}");
    }
    // Somewhere on it a train joins opposite poles: that is what the finding tells.
    assert!(proof.bridges.iter().any(|b| cycle.segments.contains(&made.circuit.gaps[b.gap].segment)));
}

#[test]
fn plans_that_never_turn_a_train_have_neither() {
    for name in DEMOS.iter().filter(|n| !["balloon", "wye"].contains(n)) {
        let (_, proof) = proved(&demo(name));
        assert!(proof.reversing.is_empty() && proof.odd_cycles.is_empty(), "{name}");
    }
}

#[test]
fn two_sections_end_to_end_touch_only_where_their_phases_can_differ() {
    let plan = |same_contacts: bool| {
        let mut text = HEAD.to_owned();
        text.push_str(
            r#"
[[track]]
name = "line"
from = "beyond"
to = "T1.points"
length = "3 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]
[[turnout]]
name = "T1"
hand = "left"
wiring = "live-bonded"
[[track]]
name = "loop"
from = "T1.diverging"
to = "back.from"
length = "3 m"
gaps = ["0 m"]
[[track]]
name = "back"
from = "loop.to"
to = "T1.through"
length = "3 m"
gaps = ["0 m", "3 m"]
[[toggle]]
name = "turn"
contact = [{ common = "back.left @ 1 m", off = "bus.A", on = "bus.B" }, { common = "back.right @ 1 m", off = "bus.B", on = "bus.A" }]
[[motor]]
name = "M1"
moves = "T1"
contact = [
  { common = "T1.frog", through = "bus.A", diverging = "bus.B" },
  { common = "loop.left @ 1 m", through = "bus.B", diverging = "bus.A" },
  { common = "loop.right @ 1 m", through = "bus.A", diverging = "bus.B" },
]
"#,
        );
        if !same_contacts {
            return text;
        }
        let start = text.find("[[toggle]]").unwrap();
        let end = text.find("[[motor]]").unwrap();
        text.replace_range(start..end, "");
        text.replace("\"loop.left @ 1 m\"", "[\"loop.left @ 1 m\", \"back.left @ 1 m\"]")
            .replace("\"loop.right @ 1 m\"", "[\"loop.right @ 1 m\", \"back.right @ 1 m\"]")
    };
    let (_, proof) = proved(&plan(false));
    assert_eq!(proof.reversing.len(), 2, "{:?}", proof.reversing);
    assert!(proof.reversing.iter().all(|s| s.touches.len() == 1));
    // Gaps that do not stand opposite each other part them no better.
    let staggered = plan(false).replace(
        r#"gaps = ["0 m", "3 m"]"#,
        r#"gaps = [{ at = "0 m", rail = "left" }, { at = "0.2 m", rail = "right" }, "3 m"]"#,
    );
    let (_, proof) = proved(&staggered);
    assert_eq!(proof.reversing.len(), 2, "{:?}", proof.reversing);
    assert!(proof.reversing.iter().all(|s| s.touches.len() == 1), "{:?}", proof.reversing);
    // Both halves on the same contacts: one section, with a gap too many in its middle.
    let (_, proof) = proved(&plan(true));
    let section = only(&proof);
    assert!(section.touches.is_empty());
    assert!((section.length.unwrap() - 6.0).abs() < 1e-9, "{section:?}");
}

/// A plan of tracks and turnouts joined at random, fed by nothing.
struct Sketch {
    turnouts: usize,
    /// What each track joins: a turnout and one of its ports (0 points), or nothing.
    tracks: Vec<[Option<(usize, usize)>; 2]>,
}

const PORTS: [&str; 3] = ["points", "through", "diverging"];

impl Sketch {
    fn random(numbers: &mut Numbers) -> Sketch {
        let turnouts = 1 + numbers.below(3);
        let mut open: Vec<(usize, usize)> = (0..turnouts).flat_map(|t| (0..3).map(move |p| (t, p))).collect();
        let mut tracks = Vec::new();
        while !open.is_empty() {
            let one = open.swap_remove(numbers.below(open.len()));
            let other = (!open.is_empty() && numbers.below(5) > 0).then(|| open.swap_remove(numbers.below(open.len())));
            tracks.push(if numbers.below(2) == 0 { [Some(one), other] } else { [other, Some(one)] });
        }
        Sketch { turnouts, tracks }
    }

    fn text(&self) -> String {
        let mut text = "[layout]\nname = \"sketch\"\nscale = \"OO\"\n".to_owned();
        for t in 0..self.turnouts {
            let hand = ["left", "right"][t % 2];
            let _ = write!(text, "[[turnout]]\nname = \"T{t}\"\nhand = \"{hand}\"\nwiring = \"insulated-bonded\"\n");
        }
        for (i, ends) in self.tracks.iter().enumerate() {
            let word = |end: Option<(usize, usize)>| match end {
                Some((t, p)) => format!("T{t}.{}", PORTS[p]),
                None => "buffer".to_owned(),
            };
            let (from, to) = (word(ends[0]), word(ends[1]));
            let _ = write!(
                text,
                "[[track]]\nname = \"t{i}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"{} m\"\n",
                i + 1
            );
        }
        text
    }

    /// Whether poles can be given to all rails for good: every choice is tried. A track's choice is whether A
    /// is on its left, seen from its start; a turnout's, whether A is on the left, seen from its points.
    fn agrees(&self) -> bool {
        let count = self.tracks.len() + self.turnouts;
        (0u32..1 << count).any(|choice| {
            let left_is_a = |i: usize| choice >> i & 1 == 1;
            self.tracks.iter().enumerate().all(|(i, ends)| {
                ends.iter().enumerate().all(|(end, joined)| {
                    joined.is_none_or(|(turnout, port)| {
                        // Looking out of a track at its start one sees left and right exchanged; so does who looks
                        // into a turnout from behind.
                        let track = left_is_a(i) ^ (end == 0);
                        let inward = left_is_a(self.tracks.len() + turnout) ^ (port > 0);
                        track == inward
                    })
                })
            })
        })
    }
}

#[test]
fn odd_cycles_are_there_exactly_where_no_choice_of_poles_agrees() {
    let mut numbers = Numbers(7);
    let (mut well, mut ill) = (0, 0);
    for _ in 0..400 {
        let mut sketch = Sketch::random(&mut numbers);
        let text = sketch.text();
        let (made, proof) = proved(&text);
        assert_eq!(proof.odd_cycles.is_empty(), sketch.agrees(), "{text}");
        if proof.odd_cycles.is_empty() {
            well += 1;
            continue;
        }
        ill += 1;
        // Opened at the first candidate of each, nothing is left that turns.
        for cycle in &proof.odd_cycles {
            assert!(!cycle.gapped, "{text}");
            let (tracks, length) = &cycle.candidates[0];
            let sum: f64 = tracks.iter().map(|&t| made.circuit.segments[t].length).sum();
            assert!((sum - length).abs() < 1e-9);
            tracks.iter().for_each(|&t| sketch.tracks[t] = [None, None]);
        }
        assert!(sketch.agrees(), "{text}");
    }
    assert!(well > 50 && ill > 50, "{well} without, {ill} with");
}

//! What small changes of a plan do to its drawing, and how the work grows with its size.

use crate::{plans, with};
use drawing::{Frame, Subject};
use oracle::ladders::{LadderShape, plan};
use oracle::museum::{self, Faults};
use std::collections::BTreeMap;
use std::time::{Duration, Instant};

fn drawn(text: &str) -> Frame {
    with(text, |subject| subject.whole())
}

/// Draws a plan before and after a change: heights stay as they are, and nothing moves far.
fn check(text: &str, from: &str, to: &str) {
    assert!(text.contains(from), "{from} is not in the plan");
    let (before, after) = (drawn(text), drawn(&text.replacen(from, to, 1)));
    let works: BTreeMap<_, _> = before.works.iter().map(|w| ((w.kind, w.index), w.at)).collect();
    let mut moved: Vec<f64> = Vec::new();
    for work in &after.works {
        let [x, y] = works[&(work.kind, work.index)];
        assert!((work.at[1] - y).abs() < 1e-6, "{} rose or fell with {to}", work.name);
        moved.push((work.at[0] - x).abs());
    }
    for (one, other) in before.endings.iter().zip(&after.endings) {
        assert_eq!(one.track, other.track);
        assert!((one.at[1] - other.at[1]).abs() < 1e-6, "track {} rose or fell with {to}", one.track);
        moved.push((one.at[0] - other.at[0]).abs());
    }
    moved.sort_by(f64::total_cmp);
    let most = moved.last().copied().unwrap_or(0.0);
    // A place more on a track is 5.2 mm; a name that grows takes what it needs.
    assert!(most <= 16.0, "something moves {most:.1} mm with {to}");
    assert!(moved[moved.len() / 2] <= 6.0, "half of all moves {:.1} mm with {to}", moved[moved.len() / 2]);
}

#[test]
fn small_changes_move_little() {
    let yard = plans::stub_ladder(9, "left");
    check(&yard, "feeders = [\"750 mm\"]", "feeders = [\"750 mm\", \"900 mm\"]");
    check(&yard, "name = \"road 4\"", "name = \"the coal road\"");
    check(&yard, "length = \"1500 mm\"", "length = \"1540 mm\"");
    check(&yard, "gaps = [{ at = \"40 mm\", rail = \"right\" }]", "gaps = [\"40 mm\", \"700 mm\"]");
    let double = plans::double_ended(6);
    check(&double, "feeders = [\"950 mm\"]", "feeders = [\"950 mm\", \"500 mm\"]");
    check(&double, "length = \"1900 mm\"", "length = \"1930 mm\"");
    for (name, text) in plans::demos() {
        let Some(at) = text.find("feeders = [\"") else { panic!("{name} has no feeders") };
        let line = text[at..].lines().next().unwrap();
        check(&text, line, &line.replacen("[\"", "[\"0.21 m\", \"", 1));
    }
}

/// The least time of some tries: what else the machine does can only add to it.
fn time(subject: &Subject<'_>) -> Duration {
    let one = |_| {
        let start = Instant::now();
        let frame = subject.in_sheets();
        let length: usize =
            (0..frame.sheets.len()).map(|s| drawing::svg(&frame, s, &drawing::Look::default()).len()).sum();
        assert!(length > 0);
        start.elapsed()
    };
    (0..3).map(one).min().unwrap()
}

#[test]
fn work_grows_hardly_faster_than_the_plan() {
    let few = with(&plan(LadderShape::Yards, 30), time);
    let many = with(&plan(LadderShape::Yards, 240), time);
    // Eight times as long; with a square it would be 64 times the work, which a busy machine cannot hide.
    assert!(many < 40 * few, "30 turnouts {few:?}, 240 turnouts {many:?}");
}

#[test]
fn a_part_of_a_museum_is_drawn_whole() {
    with(&museum::plan(4, Faults::None), |subject| {
        let frame = subject.in_sheets();
        assert_eq!(frame.works.len(), 4 * museum::TURNOUTS);
        assert!(frame.left_out.is_empty(), "no room for {:?}", frame.left_out);
        let cuts: usize = frame.sheets.iter().map(|s| s.cuts.len()).sum();
        let mut letters: BTreeMap<&str, usize> = BTreeMap::new();
        frame.sheets.iter().flat_map(|s| &s.cuts).for_each(|c| *letters.entry(&c.letters).or_default() += 1);
        assert!(cuts > 0 && letters.values().all(|&n| n == 2), "{letters:?}");
        let all: usize = (0..frame.sheets.len())
            .filter(|&s| drawing::svg(&frame, s, &drawing::Look::default()).len() > 2000)
            .count();
        assert_eq!(all, frame.sheets.len());
        println!("museum: 80 turnouts on {} sheets, {:?}", frame.sheets.len(), time(subject));
    });
}

//! What is reported between two plans: all of it and no more.

use crate::common::{EVERYTHING, demos, names_of, renamed};
use schedule::changes::{ChangeAct, Changes, changes};
use schedule::wires::{ScheduledWire, wires};
use schedule::{Choices, Job};
use std::collections::BTreeMap;

fn changed(old: &str, new: &str) -> Changes {
    let (one, other) = (plan::read(old), plan::read(new));
    assert!(one.understood() && other.understood(), "{:?}\n{new}", other.findings);
    let before = analysis::Analysis::of(old, &one.plan, &one.names);
    let after = analysis::Analysis::of(new, &other.plan, &other.names);
    changes(before, after, Choices::default(), None)
}

/// A plan with one text of it exchanged.
fn with(text: &str, old: &str, new: &str) -> String {
    let made = text.replacen(old, new, 1);
    assert_ne!(made, text, "{old} is not in the plan");
    made
}

/// What is to be done: acts with their numbers and places.
fn acts(changes: &Changes) -> Vec<String> {
    changes
        .list
        .iter()
        .map(|c| format!("{} {} {}", c.act.words(), c.number.map_or_else(String::new, |n| n.to_string()), c.what))
        .collect()
}

fn counts(changes: &Changes) -> BTreeMap<ChangeAct, usize> {
    let mut counts = BTreeMap::new();
    changes.list.iter().for_each(|c| *counts.entry(c.act).or_insert(0) += 1);
    counts
}

#[test]
fn the_same_plan_changes_nothing() {
    for (name, text) in demos() {
        let found = changed(&text, &text);
        assert_eq!(acts(&found), Vec::<String>::new(), "{name}");
        assert!(found.retest.is_empty(), "{name}: {:?}", found.retest);
    }
}

#[test]
fn other_words_of_the_same_change_nothing() {
    for (name, text) in demos() {
        let text = text.replace("\r\n", "\n");
        let blocks: Vec<&str> = text.split("\n\n").collect();
        // A table that begins with a blank line can stand anywhere behind the first ones.
        let (mut head, mut tables): (Vec<&str>, Vec<&str>) =
            blocks.into_iter().partition(|block| !block.trim_start().starts_with("[["));
        tables.reverse();
        head.append(&mut tables);
        let turned = head.join("\n\n");
        if !plan::read(&turned).understood() {
            continue;
        }
        let found = changed(&text, &turned);
        assert_eq!(acts(&found), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn a_new_name_alone_prints_labels() {
    for (plan, text) in demos() {
        // Every third name of each plan: all kinds of things have some.
        for name in names_of(&text).into_iter().step_by(3) {
            let new = renamed(&text, &name, "quite another name");
            let found = changed(&text, &new);
            let other: Vec<_> = found.list.iter().filter(|c| c.act != ChangeAct::Relabel).collect();
            assert!(other.is_empty(), "{plan}: {name}: {other:?}");
            assert!(found.retest.is_empty(), "{plan}: {name}: {:?}", found.retest);
            // Only labels that say the name.
            for label in &found.list {
                assert!(label.how.contains("quite another name"), "{label:?}");
            }
        }
    }
}

#[test]
fn a_feeder_more() {
    let text = &demos().into_iter().find(|d| d.0 == "thistle-dock-mended").unwrap().1;
    let new = with(text, "feeders = [\"0.3 m\", \"1.8 m\"]", "feeders = [\"0.3 m\", \"1 m\", \"1.8 m\"]");
    let found = changed(text, &new);
    assert_eq!(
        acts(&found),
        [
            "add wire F-7 feeder of approach, left rail: approach.left @ 1000 mm — main bus.A @ 1000 mm",
            "add wire F-8 feeder of approach, right rail: approach.right @ 1000 mm — main bus.B @ 1000 mm",
            "print label F-7 label at approach.left @ 1000 mm",
            "print label F-7 label at main bus.A @ 1000 mm",
            "print label F-8 label at approach.right @ 1000 mm",
            "print label F-8 label at main bus.B @ 1000 mm",
        ]
    );
    // Its rails go on over soldered and sliding joints into the turnout, and what is behind it reads better too.
    assert!(found.retest.tracks.contains(&"approach".to_owned()), "{:?}", found.retest);
    assert!(found.retest.buses.is_empty() && found.retest.contacts.is_empty(), "{:?}", found.retest);
}

#[test]
fn a_wire_is_never_made_longer() {
    let check = |length: &str, act: ChangeAct| {
        let new = with(EVERYTHING, "length = \"400 mm\" }", &format!("length = \"{length}\" }}"));
        let found = changed(EVERYTHING, &new);
        assert_eq!(found.list.iter().map(|c| c.act).collect::<Vec<_>>(), [act], "{length}: {found:?}");
        assert_eq!(
            found.list[0].what,
            "feeder of left road, left rail: left road.left @ 750 mm — branch bus.A @ 950 mm"
        );
        assert!(found.retest.tracks.contains(&"left road".to_owned()));
    };
    check("500 mm", ChangeAct::ReplaceWire);
    check("300 mm", ChangeAct::ShortenWire);
}

#[test]
fn another_size_or_colour_is_another_wire() {
    let thicker = with(EVERYTHING, "wire = \"1 mm²\"", "wire = \"1.5 mm²\"");
    let found = changed(EVERYTHING, &thicker);
    assert_eq!(counts(&found), BTreeMap::from([(ChangeAct::ReplaceWire, 1)]), "{found:?}");
    let coloured = format!("{EVERYTHING}\n[colours]\nmotors = \"green\"\n");
    let found = changed(EVERYTHING, &coloured);
    // Two wires of each of two motors, two of each of two relays' coils.
    assert_eq!(counts(&found), BTreeMap::from([(ChangeAct::ReplaceWire, 8)]), "{found:?}");
    assert!(found.retest.is_empty());
}

#[test]
fn a_gap_put_in_is_cut_and_one_taken_out_is_closed() {
    let more = with(EVERYTHING, "gaps = [{ at = \"1.2 m\", rail = \"left\" }]", "gaps = [\"1.2 m\"]");
    let found = changed(EVERYTHING, &more);
    let gap: Vec<String> = acts(&found).into_iter().filter(|a| a.contains("gap")).collect();
    assert_eq!(gap.len(), 1, "{gap:?}");
    assert!(gap[0].starts_with("cut gap G") && gap[0].ends_with(" +main.right @ 1200 mm"), "{gap:?}");
    assert_eq!(found.list.len(), 1, "{found:?}");
    let back = changed(&more, EVERYTHING);
    assert_eq!(counts(&back), BTreeMap::from([(ChangeAct::CloseGap, 1)]), "{back:?}");
}

#[test]
fn a_joint_that_slides_now_is_changed() {
    let text = &demos().into_iter().find(|d| d.0 == "balloon").unwrap().1;
    let new = with(
        text,
        "slides  = [{ at = \"3 ft\", rail = \"left\" }, ",
        "joints = [{ at = \"3 ft\", rail = \"left\" }]\nslides  = [",
    );
    let found = changed(text, &new);
    assert_eq!(counts(&found), BTreeMap::from([(ChangeAct::ChangeJoint, 1)]), "{found:?}");
    assert_eq!(found.list[0].how, "sliding joint → soldered joint");
}

#[test]
fn a_contact_wire_that_goes_elsewhere_is_moved_and_its_contact_tested() {
    let text = &demos().into_iter().find(|d| d.0 == "thistle-dock-mended").unwrap().1;
    let new = with(text, "through = \"dock 2.right @ 0.4 m\"", "through = \"dock 2.right @ 0.3 m\"");
    let found = changed(text, &new);
    assert_eq!(counts(&found), BTreeMap::from([(ChangeAct::MoveWire, 1), (ChangeAct::Relabel, 1)]), "{found:?}");
    assert_eq!(found.list[0].how, "dock 2.right @ 400 mm → dock 2.right @ 300 mm");
    // Where the old one does not reach it is replaced, and that is said once.
    let further = with(text, "through = \"dock 2.right @ 0.4 m\"", "through = \"dock 2.right @ 0.6 m\"");
    let longer = changed(text, &further);
    assert_eq!(counts(&longer), BTreeMap::from([(ChangeAct::ReplaceWire, 1), (ChangeAct::Relabel, 1)]), "{longer:?}");
    assert_eq!(found.retest.contacts, ["M1"]);
    assert!(found.retest.tracks.contains(&"dock 2".to_owned()) && !found.retest.tracks.contains(&"dock 1".to_owned()));
}

#[test]
fn a_district_of_its_own_is_not_tested_for_the_other() {
    let text = &demos().into_iter().find(|d| d.0 == "two-districts").unwrap().1;
    let plan = plan::read(text).plan;
    let all = plan.track.len();
    let at = text.find("feeders").unwrap();
    let list = at + text[at..].find('[').unwrap() + 1;
    let new = format!("{}\"0.123 m\", {}", &text[..list], &text[list..]);
    let found = changed(text, &new);
    assert!(!found.retest.tracks.is_empty() && found.retest.tracks.len() < all, "{:?}", found.retest);
}

/// A wire as a builder could find it changed.
fn whole(wire: &ScheduledWire) -> String {
    let ends = [0, 1].map(|end| wire.ends[end].words.clone());
    format!("{} {ends:?} {:?} {:?} {:?}", wire.what, wire.colour, wire.size, wire.cut())
}

/// Wires of a plan that are not in another one, counted without regard to numbers.
fn not_in(one: &str, other: &str) -> usize {
    let all = |text: &str| {
        let reading = plan::read(text);
        let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
        let mut count: BTreeMap<String, usize> = BTreeMap::new();
        wires(&Job::new(facts, Choices::default())).iter().for_each(|w| *count.entry(whole(w)).or_default() += 1);
        count
    };
    let other = all(other);
    all(one).iter().map(|(wire, n)| n.saturating_sub(other.get(wire).copied().unwrap_or(0))).sum()
}

/// Edits that change no name: what is reported must be as many wires as cannot be found again whole, and turned round it must
/// be the reverse.
#[test]
fn what_is_told_is_the_least_and_the_way_back_is_its_reverse() {
    let mut tried = 0;
    for (name, text) in demos() {
        let keys = ["feeders = [", "gaps    = [", "gaps = ["];
        let mut edited: Vec<String> = Vec::new();
        for key in keys {
            for (place, _) in text.match_indices(key) {
                let place = place + key.len();
                edited.push(format!("{}\"0.0431 m\", {}", &text[..place], &text[place..]));
                edited.push(format!("{}{{ at = \"0.0377 m\", rail = \"right\" }}, {}", &text[..place], &text[place..]));
                let end = text[place..].find(']').unwrap();
                edited.push(format!("{}{}", &text[..place], &text[place + end..]));
            }
        }
        for key in ["wire_length = \"", "feeder_length = \""] {
            if let Some(place) = text.find(key) {
                let (start, end) = (place + key.len(), text[place + key.len()..].find('"').unwrap());
                edited.push(format!("{}0.7 m{}", &text[..start], &text[start + end..]));
            }
        }
        let understood: Vec<&String> = edited.iter().filter(|new| plan::read(new).understood()).collect();
        // A few of each plan, spread over all of its tables.
        for new in understood.iter().step_by(understood.len().div_ceil(6).max(1)) {
            tried += 1;
            let (there, back) = (changed(&text, new), changed(new, &text));
            let touched = |c: &Changes, with: [ChangeAct; 4]| {
                let numbers = c.list.iter().filter(|c| with.contains(&c.act)).filter_map(|c| c.number);
                numbers.collect::<std::collections::BTreeSet<_>>().len()
            };
            use ChangeAct::{AddWire, MoveWire, RemoveWire, ReplaceWire, ShortenWire};
            assert_eq!(
                touched(&there, [RemoveWire, MoveWire, ReplaceWire, ShortenWire]),
                not_in(&text, new),
                "{name}\n{there:?}"
            );
            assert_eq!(
                touched(&there, [AddWire, MoveWire, ReplaceWire, ShortenWire]),
                not_in(new, &text),
                "{name}\n{there:?}"
            );
            let of = |c: &Changes, act| counts(c).get(&act).copied().unwrap_or(0);
            for (one, other) in [
                (ChangeAct::PutIn, ChangeAct::TakeOut),
                (AddWire, RemoveWire),
                (MoveWire, MoveWire),
                (ChangeAct::CutGap, ChangeAct::CloseGap),
                (ChangeAct::MakeJoint, ChangeAct::UndoJoint),
                (ChangeAct::ChangeJoint, ChangeAct::ChangeJoint),
            ] {
                assert_eq!(of(&there, one), of(&back, other), "{name}: {one:?}\n{there:?}\n{back:?}");
                assert_eq!(of(&there, other), of(&back, one), "{name}: {other:?}");
            }
            let again = |c: &Changes| of(c, ReplaceWire) + of(c, ShortenWire);
            assert_eq!(again(&there), again(&back), "{name}");
            assert_eq!(there.retest.tracks, back.retest.tracks, "{name}");
            assert_eq!(there.retest.trackwork, back.retest.trackwork, "{name}");
        }
    }
    assert!(tried > 50, "only {tried} edits were tried");
}

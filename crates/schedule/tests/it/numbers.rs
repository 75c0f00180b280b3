//! Numbers stay what they were.

use crate::common::{EVERYTHING, demos, names_of, renamed, with_circuit};
use circuit::EdgeId;
use proptest::prelude::*;
use schedule::items::{Item, items};
use schedule::things::Things;
use schedule::{Number, Numbers, NumbersRecord};
use std::collections::{BTreeMap, BTreeSet};

/// Numbers in the order of the plan, and the record that is kept of them.
fn fresh(text: &str) -> (Numbers, NumbersRecord) {
    with_circuit(text, |circuit, plan, _| {
        let numbers = Numbers::in_order(circuit, plan);
        let record = NumbersRecord::new(circuit, plan, &numbers);
        // What is kept is a file.
        (numbers, NumbersRecord::read(&record.to_csv()).unwrap())
    })
}

fn carried(text: &str, record: &NumbersRecord) -> (Numbers, NumbersRecord) {
    with_circuit(text, |circuit, plan, _| {
        let numbers = Numbers::carried(circuit, plan, &[record]);
        let record = NumbersRecord::new(circuit, plan, &numbers);
        (numbers, NumbersRecord::read(&record.to_csv()).unwrap())
    })
}

/// What each number stands on, in words without numbers of things.
fn by_words(text: &str, numbers: &Numbers) -> BTreeMap<Number, String> {
    with_circuit(text, |circuit, plan, names| {
        let things = Things::from_plan(plan, names);
        let words = |item: &Item| {
            let ends = item.ends.clone().map(|p| {
                let thing = p.thing.and_then(|t| things.at(t)).map(|t| things.list[t].name.clone());
                format!("{thing:?} {} {:?}", p.part, p.place)
            });
            format!("{} {ends:?}", item.what)
        };
        let all = items(circuit, Some(plan));
        let found: BTreeMap<Number, String> = all.iter().map(|i| (numbers.number(i).unwrap(), words(i))).collect();
        assert_eq!(found.len(), all.len(), "a number stands on two things");
        found
    })
}

#[test]
fn a_record_is_read_as_it_was_written() {
    for (name, text) in demos() {
        with_circuit(&text, |circuit, plan, _| {
            let record = NumbersRecord::new(circuit, plan, &Numbers::in_order(circuit, plan));
            assert_eq!(NumbersRecord::read(&record.to_csv()).as_ref(), Ok(&record), "{name}");
        });
    }
}

#[test]
fn nothing_of_a_plan_may_be_called_like_a_number() {
    for class in schedule::NumberClass::ALL {
        let number = Number { class, count: 12 }.to_string();
        assert!(plan::NUMBER_LETTERS.iter().any(|letter| number == format!("{letter}-12")), "{number}");
        let called = |name: &str| {
            let text = renamed(&demos()[0].1, names_of(&demos()[0].1).first().unwrap(), name);
            plan::read(&text).findings.iter().any(|finding| finding.name == "unfit-name")
        };
        assert!(called(&number), "{number}");
        assert!(!called(&number.replace('-', "")) && !called(&format!("{number} east")), "{number}");
    }
}

#[test]
fn everything_that_is_wired_cut_or_joined_has_one_number() {
    for (name, text) in demos() {
        with_circuit(&text, |circuit, plan, _| {
            let numbers = Numbers::in_order(circuit, plan);
            use circuit::EdgeKind::{BusWire, Feeder, SlidingJoint, SolderedJoint, Wire};
            for (id, edge) in EdgeId::each(&circuit.edges) {
                let due = matches!(edge.kind, Feeder | Wire | BusWire | SlidingJoint | SolderedJoint);
                // What is inside a detector is no wire.
                let due = due && !matches!(edge.part, circuit::Part::Detector { .. });
                let has = numbers.of_edge(EdgeId::new(id.index())).is_some();
                assert!(!due || has, "{name}: {} has no number", edge.name);
            }
            assert!(circuit.gaps.iter().all(|g| numbers.of_gap(g.before, g.after).is_some()), "{name}");
            by_words(&text, &numbers);
            // What the drawing is numbered by agrees.
            let few = Numbers::fresh(circuit);
            for id in EdgeId::all(circuit.edges.len()) {
                assert!(few.of_edge(id).is_none_or(|n| Some(n) == numbers.of_edge(id)), "{name}");
            }
        });
    }
}

#[test]
fn a_new_name_changes_no_number() {
    for (plan, text) in demos() {
        let (numbers, record) = fresh(&text);
        for name in names_of(&text) {
            let new = renamed(&text, &name, "quite another name");
            assert_ne!(new, text);
            assert_eq!(fresh(&new).0, numbers, "{plan}: {name}");
            assert_eq!(carried(&new, &record).0, numbers, "{plan}: {name}, carried");
        }
    }
}

#[test]
fn new_names_for_all_change_no_number() {
    for (plan, text) in demos() {
        let (numbers, record) = fresh(&text);
        let names = names_of(&text);
        let new = names.iter().enumerate().fold(text.clone(), |t, (i, name)| renamed(&t, name, &format!("n{i}")));
        assert_eq!(fresh(&new).0, numbers, "{plan}");
        assert_eq!(carried(&new, &record).0, numbers, "{plan}, carried");
    }
}

#[test]
fn a_feeder_put_in_changes_no_other_number() {
    let (numbers, record) = fresh(EVERYTHING);
    let new = EVERYTHING.replace("feeders = [\"0.5 m\", \"2.5 m\"]", "feeders = [\"0.2 m\", \"0.5 m\", \"2.5 m\"]");
    let (before, after) = (by_words(EVERYTHING, &numbers), by_words(&new, &carried(&new, &record).0));
    let added: Vec<String> =
        after.iter().filter(|(number, words)| before.get(number) != Some(words)).map(|(n, _)| n.to_string()).collect();
    let feeders = before.keys().filter(|n| n.class == schedule::NumberClass::Feeder).count();
    assert_eq!(added, [format!("F-{}", feeders + 1), format!("F-{}", feeders + 2)]);
    assert_ne!(by_words(&new, &fresh(&new).0)[&"F-5".parse().unwrap()], before[&"F-5".parse().unwrap()]);
}

#[test]
fn a_number_that_was_given_up_is_not_given_again() {
    let (_, record) = fresh(EVERYTHING);
    let line = "left = \"turner.A\"\nright = \"turner.B\"\nfeeders = [\"0.5 m\"]\n";
    let without = EVERYTHING.replace(line, "");
    assert_ne!(without, EVERYTHING);
    let (_, record) = carried(&without, &record);
    let (again, _) = carried(EVERYTHING, &record);
    let (first, _) = fresh(EVERYTHING);
    let highest = |n: &Numbers| n.highest()[&schedule::NumberClass::Feeder];
    assert_eq!(highest(&again), highest(&first) + 2);
}

#[test]
fn a_track_taken_out_changes_no_other_number() {
    for (plan, text) in demos() {
        let (numbers, record) = fresh(&text);
        let before = by_words(&text, &numbers);
        // Whatever stands behind a blank line and begins so is a table of its own.
        for block in text.split("\n\n").filter(|b| b.contains("[[track]]") && b.contains("\"buffer\"")) {
            let new = text.replace(block, "");
            if !plan::read(&new).understood() {
                continue;
            }
            let after = by_words(&new, &carried(&new, &record).0);
            for (number, words) in after {
                assert_eq!(before.get(&number), Some(&words), "{plan}: {number} without\n{block}");
            }
        }
    }
}

#[test]
fn a_text_that_is_no_record_is_told_with_its_line() {
    let check = |text: &str, line: u64| assert_eq!(NumbersRecord::read(text).map_err(|e| e.line), Err(line), "{text}");
    check("", 1);
    check("number,F-1\r\n", 1);
    check("record,1\r\nthing,planet,x,\r\n", 2);
    check("record,1\r\nnumber,Q1,feeder,a,b,1,c,d,2\r\n", 2);
    check("record,1\r\nnumber,F-1,feeder,a,b,1,c,d,2\r\nnumber,F-1,feeder,a,b,1,c,d,3\r\n", 3);
    check("record,1\r\nhighest,F,-1\r\n", 2);
    check("record,1\r\nthing,track,x,1,from\r\n", 2);
}

/// One random edit of a plan's text.
#[derive(Clone, Debug)]
enum Edit {
    Rename(usize),
    AddFeeder(usize, u32),
    DropFeeder(usize),
    AddGap(usize, u32),
}

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let one = prop_oneof![
        any::<usize>().prop_map(Edit::Rename),
        (any::<usize>(), 30..70u32).prop_map(|(t, at)| Edit::AddFeeder(t, at)),
        any::<usize>().prop_map(Edit::DropFeeder),
        (any::<usize>(), 30..70u32).prop_map(|(t, at)| Edit::AddGap(t, at)),
    ];
    proptest::collection::vec(one, 1..6)
}

/// Does an edit; where it makes a plan that cannot be read, leaves the plan as it is.
fn edit(text: &str, edit: &Edit, count: usize) -> String {
    let list = |key: &str, which: usize| {
        let places: Vec<usize> = text.match_indices(key).map(|m| m.0 + key.len()).collect();
        places.get(which.checked_rem(places.len())?).copied()
    };
    let new = match *edit {
        Edit::Rename(which) => {
            let names = names_of(text);
            renamed(text, &names[which % names.len()], &format!("renamed {count}"))
        }
        Edit::AddFeeder(which, at) => match list("feeders = [", which) {
            Some(place) => format!("{}\"0.0{at}{count} m\", {}", &text[..place], &text[place..]),
            None => text.to_owned(),
        },
        Edit::DropFeeder(which) => match list("feeders = [", which) {
            Some(place) => {
                let rest = &text[place..];
                let end = rest.find(']').unwrap();
                let cut = rest[..end].find("\", ").map_or(end, |c| c + 3);
                format!("{}{}", &text[..place], &rest[cut..])
            }
            None => text.to_owned(),
        },
        Edit::AddGap(which, at) => match list("\nlength", which) {
            Some(_) => {
                let places: Vec<usize> = text.match_indices("gaps = [").map(|m| m.0 + 8).collect();
                if places.is_empty() {
                    return text.to_owned();
                }
                let place = places[which % places.len()];
                format!("{}{{ at = \"0.0{at}{count} m\", rail = \"left\" }}, {}", &text[..place], &text[place..])
            }
            None => text.to_owned(),
        },
    };
    if plan::read(&new).understood() { new } else { text.to_owned() }
}

/// All numbers that each thing identified by its words has.
fn numbers_of(by_words: &BTreeMap<Number, String>) -> BTreeMap<&String, BTreeSet<&Number>> {
    let mut numbers: BTreeMap<_, BTreeSet<_>> = BTreeMap::new();
    for (number, words) in by_words {
        numbers.entry(words).or_default().insert(number);
    }
    numbers
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// After any edits what is still there word for word has its number, and what is new a higher one than ever.
    #[test]
    fn numbers_are_carried_over_any_edits(which in any::<usize>(), edits in edits()) {
        let plans = demos();
        let (_, mut text) = plans[which % plans.len()].clone();
        let (mut numbers, mut record) = fresh(&text);
        let mut ever: BTreeSet<Number> = by_words(&text, &numbers).into_keys().collect();
        for (count, one) in edits.iter().enumerate() {
            let new = edit(&text, one, count);
            let (next, kept) = carried(&new, &record);
            let (before, after) = (by_words(&text, &numbers), by_words(&new, &next));
            if !matches!(one, Edit::Rename(_)) {
                // Two feeders may stand at one place in the same words: neither is then the first one.
                let (old, new) = (numbers_of(&before), numbers_of(&after));
                for (words, old) in &old {
                    if let Some(new) = new.get(words) {
                        prop_assert!(old.is_subset(new) || new.is_subset(old), "{}: {:?} {:?} {:?}", words, old, new, one);
                    }
                }
            } else {
                prop_assert_eq!(&next, &numbers);
            }
            for number in after.keys().filter(|n| !before.contains_key(n)) {
                prop_assert!(ever.insert(*number), "{} was given before", number);
            }
            (text, numbers, record) = (new, next, kept);
        }
    }
}

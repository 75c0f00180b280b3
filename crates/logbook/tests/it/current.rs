//! Which entries hold.

use crate::common::{entry, moment, reading};
use logbook::entry::WITHDRAWN;
use logbook::{Entry, current};

fn corrected(old: &Entry, value: f64, hour: i32) -> Entry {
    let mut draft = reading("a", &value.to_string(), value, &moment(2026, hour));
    draft.supersedes = Some(old.id);
    entry(draft)
}

fn values(entries: &[Entry]) -> Vec<f64> {
    current(entries).iter().filter_map(|entry| entry.says.value).collect()
}

#[test]
fn a_correction_holds_and_what_it_corrects_does_not() {
    let first = entry(reading("a", "1", 1.0, &moment(2026, 1)));
    let other = entry(reading("b", "9", 9.0, &moment(2026, 2)));
    let second = corrected(&first, 2.0, 3);
    let third = corrected(&second, 3.0, 4);
    assert_eq!(values(&[first.clone(), other.clone(), second.clone(), third.clone()]), [9.0, 3.0]);
    // Whatever order they came in, and where what was corrected never came here.
    assert_eq!(values(&[third.clone(), second.clone(), other.clone(), first.clone()]), [9.0, 3.0]);
    assert_eq!(values(&[third, other]), [9.0, 3.0]);
    // Two hands corrected the same entry on two copies, one of them twice: the one made last holds.
    let on_one = corrected(&first, 4.0, 5);
    let on_other = corrected(&first, 5.0, 6);
    let again = corrected(&on_one, 6.0, 7);
    assert_eq!(values(&[again.clone(), on_other.clone(), on_one.clone(), first.clone()]), [6.0]);
    let mut taken_back = corrected(&again, 0.0, 8);
    taken_back.says.typed = WITHDRAWN.to_owned();
    assert_eq!(values(&[again, on_other, on_one, first, taken_back]), [0.0; 0]);
}

#[test]
fn a_correction_holds_where_the_clock_of_its_maker_is_behind() {
    let first = entry(reading("a", "1", 1.0, &moment(2026, 1)));
    let mut early = corrected(&first, 2.0, 2);
    early.id = logbook::EntryId::new(&moment(2025, 0));
    let again = corrected(&early, 3.0, 3);
    assert_eq!(values(&[first.clone(), early.clone()]), [2.0]);
    assert_eq!(values(&[again, early, first]), [3.0]);
}

#[test]
fn entries_that_stand_in_place_of_each_other_do_not_both_vanish() {
    let mut one = entry(reading("a", "1", 1.0, &moment(2026, 1)));
    let two = corrected(&one, 2.0, 2);
    one.says.supersedes = Some(two.id);
    assert_eq!(values(&[one.clone(), two]), [2.0]);
    one.says.supersedes = Some(one.id);
    assert_eq!(values(&[one]), [1.0]);
}

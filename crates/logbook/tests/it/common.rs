//! Entries to test with.

use logbook::{Draft, Entry, EntryId, EntryKind, Moment};
use proptest::prelude::*;

/// A moment in a year: some hours after its first.
pub fn moment(year: i32, hours: i32) -> Moment {
    let (day, hour) = (1 + hours / 24 % 28, hours % 24);
    Moment::parse(&format!("{year:04}-01-{day:02}T{hour:02}:00:00.000+01:00")).unwrap()
}

/// A reading.
pub fn reading(key: &str, typed: &str, value: f64, time: &Moment) -> Draft {
    let draft = Draft::new(EntryKind::Reading, time.clone());
    Draft { what: key.to_owned(), typed: typed.to_owned(), value: Some(value), unit: "mV".to_owned(), ..draft }
}

/// A draft as an entry, without a file.
pub fn entry(draft: Draft) -> Entry {
    Entry { id: EntryId::new(&draft.time), says: draft }
}

/// Words that look like something else: formulas, separators, quotes, lines, other scripts, controls.
fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ -~é線צ\u{0}\r\n\t;,\"']{0,16}",
        Just("=1+1".to_owned()),
        Just("'@x".to_owned()),
        Just("a\r\nb".to_owned()),
        Just("track \"x, y\"; z".to_owned()),
    ]
}

/// Any entry at all.
pub fn any_entry() -> impl Strategy<Value = Entry> {
    let number = prop_oneof![
        Just(None),
        Just(Some(f64::INFINITY)),
        any::<f64>().prop_filter_map("a number", |n| n.is_finite().then_some(Some(n))),
    ];
    let finite = || proptest::option::of(-1e3..1e3_f64);
    let text = proptest::collection::vec(words(), 11);
    let kind = 0..EntryKind::ALL.len();
    (text, kind, number, finite(), finite(), (1990..2100, 0..600), any::<bool>()).prop_map(
        |(mut text, kind, value, lead_zero, air, (year, hours), supersedes)| {
            let time = moment(year, hours);
            let mut word = || text.pop().unwrap();
            let says = Draft {
                device: word(),
                plan: word(),
                what: word(),
                setting: word(),
                typed: word(),
                value,
                unit: word(),
                range: word(),
                instrument: word(),
                lead_zero,
                air,
                who: word(),
                note: word(),
                judged: word(),
                supersedes: supersedes.then(|| EntryId::new(&moment(1980, 1))),
                ..Draft::new(EntryKind::ALL[kind], time.clone())
            };
            Entry { id: EntryId::new(&time), says }
        },
    )
}

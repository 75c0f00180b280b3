//! The file: what is added stays, older forms are brought up, newer ones and other files are left alone, copies merge.

use crate::common::{any_entry, moment, reading};
use logbook::{Entry, EntryId, Logbook, LogbookError, Merged, Moment, Place, VERSION};
use proptest::prelude::*;
use rusqlite::Connection;
use std::path::Path;

fn sorted(mut entries: Vec<Entry>) -> Vec<Entry> {
    entries.sort_by_key(|entry| entry.id);
    entries
}

#[test]
fn what_was_added_is_there_for_the_next_program() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("yard, east.logbook");
    let mut log = Logbook::open_or_create(&path).unwrap();
    // Write-ahead log; 2 is FULL: https://sqlite.org/pragma.html#pragma_synchronous
    assert_eq!(log.durability().unwrap(), ("wal".to_owned(), 2));
    let first = log.append(reading("a", "0,4", 0.4, &moment(2026, 0))).unwrap();
    let rest = log.append_all(vec![
        reading("b", "OL", f64::INFINITY, &moment(2026, 1)),
        reading("a", "1", 1.0, &moment(2025, 0)),
    ]);
    let rest = rest.unwrap();
    let mut other = Logbook::open(&path).unwrap();
    let there = other.since(Place::default()).unwrap();
    assert_eq!(there.iter().map(|(_, entry)| entry.clone()).collect::<Vec<_>>(), [&[first], &rest[..]].concat());
    // What came after a place, and no more.
    assert_eq!(log.since(there[1].0).unwrap(), &there[2..]);
    let last = other.append(reading("c", "2", 2.0, &moment(2026, 2))).unwrap();
    assert_eq!(log.since(there[2].0).unwrap().into_iter().map(|(_, entry)| entry).collect::<Vec<_>>(), [last]);
    assert_eq!(log.verified().unwrap(), 4);
    drop((log, other));
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|file| file.unwrap().file_name()).collect();
    assert_eq!(left, ["yard, east.logbook"], "nothing else is left in the folder");
}

#[test]
fn nothing_changes_or_deletes_an_entry() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.logbook");
    Logbook::open_or_create(&path).unwrap().append(reading("a", "1", 1.0, &moment(2026, 0))).unwrap();
    let by_other_means = Connection::open(&path).unwrap();
    for sql in ["UPDATE entry SET value = 2", "UPDATE entry SET note = 'x'", "DELETE FROM entry"] {
        let error = by_other_means.execute(sql, []).unwrap_err().to_string();
        assert!(error.starts_with("an entry is never"), "{sql}: {error}");
    }
}

#[test]
fn ids_that_are_made_together_follow_each_other() {
    let now = Moment::now();
    let ids = EntryId::several(&now, 10_000);
    assert!(ids.is_sorted_by(|a, b| a < b));
    // RFC 9562, 5.7: the version is 7, the variant 0b10, the first 48 bits are the milliseconds.
    let text = ids[0].to_string();
    assert_eq!(text.as_bytes()[14], b'7');
    assert!(matches!(text.as_bytes()[19], b'8' | b'9' | b'a' | b'b'));
    let known = EntryId::new(&Moment::parse("2022-02-22T14:22:22.000-05:00").unwrap()).to_string();
    // The moment of the RFC's own example of version 7 (appendix A.6): 0x017F22E279B0.
    assert_eq!(&known[..13], "017f22e2-79b0");
}

/// A file as a program of that version wrote it, with one entry.
fn older(path: &Path, version: usize) -> EntryId {
    logbook_file(path, version);
    let connection = Connection::open(path).unwrap();
    let id = EntryId::new(&moment(2020, 0));
    let sql = "INSERT INTO entry (id, device, time, plan, kind, what, setting, typed, value, unit, range, instrument, lead_zero, \
               air, who, note, supersedes) VALUES (?1,'bench','2020-01-01T00:00:00.000+01:00','ab12','reading','key','T1 diverging',\
               '0,4',0.4,'Ω','200 Ω','red meter',0.3,18.5,'Kim','first',NULL)";
    connection.execute(sql, [id.to_string()]).unwrap();
    id
}

/// The statements that each version of the program ran on a new file, as they were then: never to be changed.
const AS_IT_WAS: [&str; 1] = ["CREATE TABLE entry (
        seq INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL UNIQUE CHECK (length(id) = 36), device TEXT NOT NULL,
        time TEXT NOT NULL, plan TEXT NOT NULL, kind TEXT NOT NULL, what TEXT NOT NULL, setting TEXT NOT NULL, typed TEXT NOT NULL,
        value REAL, unit TEXT NOT NULL, range TEXT NOT NULL, instrument TEXT NOT NULL, lead_zero REAL, air REAL, who TEXT NOT NULL,
        note TEXT NOT NULL, supersedes TEXT) STRICT;
    CREATE TRIGGER entries_stay BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
    CREATE TRIGGER entries_last BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END;
    PRAGMA application_id = 1198552940; PRAGMA user_version = 1; PRAGMA journal_mode = WAL;"];

fn logbook_file(path: &Path, version: usize) {
    Connection::open(path).unwrap().execute_batch(AS_IT_WAS[version - 1]).unwrap();
}

#[test]
fn every_older_form_is_brought_up_and_keeps_what_is_in_it() {
    assert_eq!(AS_IT_WAS.len() as i64, VERSION - 1, "a new form: keep how the last one was written here");
    for version in 1..=AS_IT_WAS.len() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("old.logbook");
        let id = older(&path, version);
        // Merged from, it stays as it is.
        let before = std::fs::read(&path).unwrap();
        let mut new = Logbook::open_or_create(&folder.path().join("new.logbook")).unwrap();
        assert_eq!(new.merge(&path).unwrap(), Merged { new: 1, known: 0 });
        assert_eq!(std::fs::read(&path).unwrap(), before, "version {version}");
        // Opened, it is brought up, and both say the same.
        let mut old = Logbook::open(&path).unwrap();
        let entries = old.entries().unwrap();
        assert_eq!((entries[0].id, entries[0].says.typed.as_str(), entries[0].says.judged.as_str()), (id, "0,4", ""));
        assert_eq!(entries, new.entries().unwrap());
        old.append(reading("a", "1", 1.0, &moment(2026, 0))).unwrap();
        drop(old);
        let version: i64 =
            Connection::open(&path).unwrap().pragma_query_value(None, "user_version", |row| row.get(0)).unwrap();
        assert_eq!(version, VERSION);
        assert_eq!(Logbook::open(&path).unwrap().verified().unwrap(), 2);
    }
}

#[test]
fn what_a_newer_program_wrote_is_refused_and_not_touched() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.logbook");
    drop(Logbook::open_or_create(&path).unwrap());
    Connection::open(&path)
        .unwrap()
        .execute_batch(&format!("ALTER TABLE entry ADD COLUMN mood TEXT; PRAGMA user_version = {}", VERSION + 1))
        .unwrap();
    let before = std::fs::read(&path).unwrap();
    let mut other = Logbook::open_or_create(&folder.path().join("other.logbook")).unwrap();
    for refused in
        [Logbook::open(&path).map(|_| ()), Logbook::open_or_create(&path).map(|_| ()), other.merge(&path).map(|_| ())]
    {
        assert!(matches!(refused, Err(LogbookError::Newer { version, .. }) if version == VERSION + 1));
    }
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn other_files_are_refused_and_not_touched() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.logbook");
    assert!(matches!(Logbook::open(&path), Err(LogbookError::NotThere(_))));
    assert!(!path.exists());
    for content in [
        &b""[..],
        b"id,device,time\n",
        &[0xff; 4096],
        b"SQLite format 3\0",
        &[&b"SQLite format 3\0"[..], &[7; 5000]].concat(),
    ] {
        std::fs::write(&path, content).unwrap();
        let refused = Logbook::open_or_create(&path);
        assert!(matches!(refused, Err(LogbookError::NotALogbook(_) | LogbookError::Damaged { .. })), "{refused:?}");
        assert_eq!(std::fs::read(&path).unwrap(), content);
    }
    std::fs::remove_file(&path).unwrap();
    Connection::open(&path).unwrap().execute_batch("CREATE TABLE other (x); PRAGMA user_version = 1").unwrap();
    let before = std::fs::read(&path).unwrap();
    assert!(matches!(Logbook::open(&path), Err(LogbookError::NotALogbook(_))));
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn what_is_left_of_another_files_log_does_not_get_into_a_new_one() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.logbook");
    let mut log = Logbook::open_or_create(&path).unwrap();
    log.append(reading("a", "1", 1.0, &moment(2026, 0))).unwrap();
    // The logbook was taken away while it was written, its log stays.
    let left = std::fs::read(path.with_extension("logbook-wal")).unwrap();
    drop(log);
    std::fs::remove_file(&path).unwrap();
    std::fs::write(path.with_extension("logbook-wal"), &left).unwrap();
    assert!(matches!(Logbook::open_or_create(&path), Err(LogbookError::LogAlone(_))));
    assert!(!path.exists());
    assert_eq!(std::fs::read(path.with_extension("logbook-wal")).unwrap(), left);
}

#[test]
fn a_backup_holds_all_and_replaces_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut log = Logbook::open_or_create(&folder.path().join("x.logbook")).unwrap();
    for hour in 0..50 {
        log.append(reading("a", "1", 1.0, &moment(2026, hour))).unwrap();
    }
    let to = folder.path().join("it's a \"backup\".logbook");
    assert_eq!(log.backup(&to).unwrap(), 50);
    assert_eq!(Logbook::open(&to).unwrap().entries().unwrap(), log.entries().unwrap());
    assert!(matches!(log.backup(&to), Err(LogbookError::AlreadyThere(_))));
    assert!(matches!(log.backup(&folder.path().join("none/x")), Err(LogbookError::Disk { .. })));
    let names = std::fs::read_dir(folder.path()).unwrap().count();
    assert!(names <= 4, "the copy on the way is gone: {names} files");
}

#[test]
fn an_entry_that_was_changed_by_other_means_stops_a_merge() {
    let folder = tempfile::tempdir().unwrap();
    let mut log = Logbook::open_or_create(&folder.path().join("x.logbook")).unwrap();
    let entry = log.append(reading("a", "1", 1.0, &moment(2026, 0))).unwrap();
    let mut changed = entry.clone();
    changed.says.value = Some(2.0);
    let new = crate::common::entry(reading("b", "3", 3.0, &moment(2026, 1)));
    let refused = log.take_over(&[new, changed]);
    assert!(matches!(refused, Err(LogbookError::Differs(ids)) if ids == [entry.id]));
    assert_eq!(log.entries().unwrap(), [entry], "all or none");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn copies_merge_to_one_set_in_any_order(
        entries in proptest::collection::vec(any_entry(), 0..12),
        shares in proptest::collection::vec(proptest::collection::vec(any::<bool>(), 12), 3),
        order in Just([0, 1, 2]).prop_shuffle(),
    ) {
        let folder = tempfile::tempdir().unwrap();
        let paths = [0, 1, 2].map(|copy| folder.path().join(format!("{copy}.logbook")));
        let mut union = std::collections::BTreeSet::new();
        for (path, share) in paths.iter().zip(&shares) {
            let own: Vec<Entry> = entries.iter().zip(share).filter(|(_, own)| **own).map(|(e, _)| e.clone()).collect();
            union.extend(own.iter().map(|entry| entry.id));
            Logbook::open_or_create(path).unwrap().take_over(&own).unwrap();
        }
        let all = |name: &str, order: &[usize]| {
            let mut log = Logbook::open_or_create(&folder.path().join(name)).unwrap();
            for copy in order {
                log.merge(&paths[*copy]).unwrap();
            }
            sorted(log.entries().unwrap())
        };
        let one = all("one", &[0, 1, 2]);
        prop_assert_eq!(&one, &all("other", &order));
        prop_assert_eq!(&one, &all("twice", &[order[0], order[1], order[0], order[2], order[1]]));
        prop_assert_eq!(one.iter().map(|entry| entry.id).collect::<Vec<_>>(), union.into_iter().collect::<Vec<_>>());
    }
}

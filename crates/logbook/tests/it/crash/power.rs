//! What a power cut may leave of the files: all that was flushed, and of what was written after it any part, old, new or garbled, by
//! sectors of 512 bytes.

use super::{GROUP, check};
use crate::common::{moment, reading};
use logbook::Logbook;
use rusqlite::Connection;
use std::path::{Path, PathBuf};

const SECTOR: usize = 512;

/// The database and the log beside it, at one moment.
#[derive(Clone)]
struct Files {
    main: Vec<u8>,
    log: Vec<u8>,
}

fn log_of(path: &Path) -> PathBuf {
    path.with_extension("logbook-wal")
}

fn files(path: &Path) -> Files {
    Files { main: std::fs::read(path).unwrap(), log: std::fs::read(log_of(path)).unwrap_or_default() }
}

fn group(number: usize) -> String {
    format!("group {number}")
}

fn append(log: &mut Logbook, number: usize) {
    let draft = |part: usize| {
        let mut draft = reading(&group(number), &part.to_string(), 0.0, &moment(2026, 0));
        draft.note = "n".repeat(300 * (number % 4));
        draft
    };
    log.append_all((0..GROUP).map(draft).collect()).unwrap();
}

/// Opens what a power cut left, and gives how many groups are there: all up to `acknowledged` must be.
fn after_the_cut(folder: &Path, left: &Files, acknowledged: usize) -> usize {
    let path = folder.join("cut.logbook");
    let _ = std::fs::remove_file(folder.join("cut.logbook-shm"));
    std::fs::write(&path, &left.main).unwrap();
    std::fs::write(log_of(&path), &left.log).unwrap();
    let there = check(&path, &(0..acknowledged).map(group).collect::<Vec<_>>());
    // It can be written to again, and what is written holds.
    let mut log = Logbook::open(&path).unwrap();
    append(&mut log, 1000);
    drop(log);
    assert_eq!(check(&path, &[group(1000)]), there + 1);
    there
}

fn garbled(bytes: &mut [u8], seed: usize) {
    bytes
        .iter_mut()
        .enumerate()
        .for_each(|(at, byte)| *byte = (at.wrapping_mul(31) ^ seed.wrapping_mul(97) ^ 0x5a) as u8);
}

#[test]
fn a_cut_while_the_log_grows() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.logbook");
    let mut log = Logbook::open_or_create(&path).unwrap();
    let mut at_acknowledgement = vec![files(&path)];
    for number in 0..4 {
        append(&mut log, number);
        at_acknowledgement.push(files(&path));
    }
    let mut cuts = 0;
    for (number, pair) in at_acknowledgement.windows(2).enumerate() {
        let [before, after] = pair else { unreachable!() };
        assert!(after.log.len() > before.log.len() && after.log.starts_with(&before.log), "the log only grows");
        // What belongs to the commit that was on its way: none of it is flushed yet, so any part may be there.
        let sure = before.log.len();
        for end in (sure..=after.log.len()).step_by(SECTOR).chain([sure + 1, after.log.len() - 1, after.log.len()]) {
            let shortened = Files { main: before.main.clone(), log: after.log[..end].to_vec() };
            let there = after_the_cut(folder.path(), &shortened, number);
            assert_eq!(there, number + usize::from(end == after.log.len()), "whole or not at all");
            for seed in 0..2 {
                // The length is there, the content from here on is not: zeros, or what stood on the disk before.
                let mut log = after.log.clone();
                if seed == 0 {
                    log[end..].fill(0)
                } else {
                    garbled(&mut log[end..], end)
                }
                after_the_cut(folder.path(), &Files { main: before.main.clone(), log }, number);
                cuts += 1;
            }
            // One sector in the middle did not arrive, all others did.
            if end + SECTOR <= after.log.len() {
                let mut log = after.log.clone();
                garbled(&mut log[end..end + SECTOR], end);
                let there = after_the_cut(folder.path(), &Files { main: before.main.clone(), log }, number);
                assert_eq!(there, number, "what is torn is not taken for whole");
            }
            cuts += 2;
        }
    }
    println!("{cuts} cuts while the log grew");
    assert!(cuts > 250, "{cuts}");
}

#[test]
fn a_cut_while_the_log_is_written_into_the_database_and_begun_anew() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.logbook");
    let mut log = Logbook::open_or_create(&path).unwrap();
    const ALL: usize = 12;
    for number in 0..ALL {
        append(&mut log, number);
    }
    let before = files(&path);
    let other = Connection::open(&path).unwrap();
    let busy: i64 = other.query_row("PRAGMA wal_checkpoint(FULL)", [], |row| row.get(0)).unwrap();
    assert_eq!(busy, 0);
    let after = files(&path);
    assert_eq!(before.log, after.log, "the log stays until it is begun anew");
    assert!(before.main != after.main);
    // Of the database any sectors may be new, old or garbled; it may not even be as long yet. The log was flushed before.
    let sectors = after.main.len().div_ceil(SECTOR);
    let mut cuts = 0;
    for sector in 0..sectors {
        let at = sector * SECTOR..((sector + 1) * SECTOR).min(after.main.len());
        let mut mixed = after.main.clone();
        for odd in (0..sectors).filter(|s| s % 3 == sector % 3) {
            let at = odd * SECTOR..((odd + 1) * SECTOR).min(before.main.len());
            if at.start < at.end {
                mixed[at.clone()].copy_from_slice(&before.main[at]);
            }
        }
        let mut shorter = before.main.clone();
        shorter.truncate(at.start.max(SECTOR));
        let mut torn = after.main.clone();
        garbled(&mut torn[at], sector);
        for main in [mixed, shorter, torn] {
            // What no page of the log replaces was not written, so that no power cut can have torn it.
            if !is_rewritten(&main, &before, &after) {
                continue;
            }
            let there = after_the_cut(folder.path(), &Files { main, log: before.log.clone() }, ALL);
            assert_eq!(there, ALL);
            cuts += 1;
        }
    }
    // The database is flushed; the log is begun anew from its first byte, over what it held.
    append(&mut log, ALL);
    let anew = files(&path);
    assert_eq!(anew.main, after.main);
    assert_eq!(anew.log.len(), after.log.len());
    let changed = anew.log.iter().zip(&after.log).rposition(|(a, b)| a != b).unwrap() + 1;
    for end in (0..=changed).step_by(SECTOR).chain([changed]) {
        let mut mixed = after.log.clone();
        mixed[..end].copy_from_slice(&anew.log[..end]);
        let there = after_the_cut(folder.path(), &Files { main: anew.main.clone(), log: mixed }, ALL);
        assert!(there == ALL || there == ALL + 1 && end + SECTOR > changed, "{there} groups at {end} of {changed}");
        let mut torn = anew.log.clone();
        garbled(&mut torn[end.min(changed - 1)..changed], end);
        assert_eq!(after_the_cut(folder.path(), &Files { main: anew.main.clone(), log: torn }, ALL), ALL);
        cuts += 2;
    }
    println!("{cuts} cuts while the database was written and the log begun anew");
    assert!(cuts > 60, "{cuts}");
}

/// Whether all that differs from the database after the checkpoint lies in pages which the checkpoint wrote, so that the log has them.
fn is_rewritten(main: &[u8], before: &Files, after: &Files) -> bool {
    let page = usize::from(u16::from_be_bytes([after.main[16], after.main[17]]));
    // A frame of the log: 24 bytes of header, of which the first four are the number of the page, then the page (file format, 4.1).
    let frames = before.log[32..].chunks_exact(24 + page);
    let in_log: std::collections::BTreeSet<usize> =
        frames.map(|frame| u32::from_be_bytes([frame[0], frame[1], frame[2], frame[3]]) as usize).collect();
    let pages = after.main.chunks(page).enumerate().map(|(index, new)| (index + 1, new));
    pages.into_iter().all(|(number, new)| {
        let start = ((number - 1) * page).min(main.len());
        let there = &main[start..(start + page).min(main.len())];
        there == new || in_log.contains(&number)
    })
}

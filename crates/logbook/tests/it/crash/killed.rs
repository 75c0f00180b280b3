//! Writers that are killed.

use super::{WRITER, acknowledged, check, write_groups, writer};
use logbook::Logbook;
use std::io::Read as _;
use std::path::Path;
use std::time::Duration;

/// Kills before a new logbook is begun, so that the checks do not get longer and longer.
const KILLS_A_FILE: usize = 40;

#[test]
fn a_dozen_kills_lose_nothing_that_was_acknowledged() {
    kills("crash::killed::a_dozen_kills_lose_nothing_that_was_acknowledged", 12);
}

#[test]
#[ignore = "takes long; .ci/run does it, `GAPWRIGHT_KILLS=1000` kills so often"]
fn hundreds_of_kills_lose_nothing_that_was_acknowledged() {
    let count = std::env::var("GAPWRIGHT_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(300);
    kills("crash::killed::hundreds_of_kills_lose_nothing_that_was_acknowledged", count);
}

/// Two writers at a time on one logbook, both killed at any moment, again and again.
fn kills(test: &str, count: usize) {
    if let Some(path) = std::env::var_os(WRITER) {
        return write_groups(Path::new(&path), usize::MAX);
    }
    // On a machine with other work writers take longer to begin: they are given more time after a kill that came before any commit.
    let (mut all, mut cut_short, mut patience) = (0, 0, 1);
    for file in 0..count.div_ceil(KILLS_A_FILE) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("x.logbook");
        drop(Logbook::open_or_create(&path).unwrap());
        let (mut kept, mut more): (Vec<String>, usize) = (Vec::new(), 0);
        for kill in (file * KILLS_A_FILE..count).take(KILLS_A_FILE) {
            let before = kept.len();
            let mut writers = [0, 1].map(|_| writer(test, &path).spawn().unwrap());
            // From before the first commit to well into them.
            std::thread::sleep(Duration::from_micros(patience * (3000 + (kill as u64 * 7919) % 60_000)));
            writers.iter_mut().for_each(|writer| writer.kill().unwrap());
            for mut writer in writers {
                let mut said = Vec::new();
                writer.stdout.take().unwrap().read_to_end(&mut said).unwrap();
                assert!(!writer.wait().unwrap().success(), "it was killed");
                assert!(!String::from_utf8_lossy(&said).contains("refused"), "{}", String::from_utf8_lossy(&said));
                kept.extend(acknowledged(&said));
            }
            patience = if kept.len() > before { (patience / 2).max(1) } else { (patience * 2).min(32) };
            let there = check(&path, &kept);
            // What was on the disk before its writer could say so.
            cut_short += usize::from(there - kept.len() > more);
            more = there - kept.len();
        }
        all += kept.len();
    }
    println!(
        "{count} kills, {all} groups acknowledged, all there; after {cut_short} kills more was there than was acknowledged"
    );
    assert!(all > count, "writers wrote: {all} groups in {count} kills");
}

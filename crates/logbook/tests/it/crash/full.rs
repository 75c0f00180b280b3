//! A disk that is full: writes beyond the n-th kilobyte of a file fail, n = 4, 8, … until the run survives.
#![cfg(unix)]

use super::{WRITER, acknowledged, check, write_groups, writer};
use logbook::Logbook;
use std::path::Path;
use std::process::{Command, Stdio};

const GROUPS: usize = 12;

#[test]
fn a_full_disk_is_told_and_loses_nothing_that_was_acknowledged() {
    if let Some(path) = std::env::var_os(WRITER) {
        return write_groups(Path::new(&path), GROUPS);
    }
    for (refused, kilobytes) in (4..).step_by(4).enumerate() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("x.logbook");
        drop(Logbook::open_or_create(&path).unwrap());
        let run = writer("crash::full::a_full_disk_is_told_and_loses_nothing_that_was_acknowledged", &path);
        // A shell sets the limit, and that a write beyond it fails instead of ending the program. Bash counts kilobytes.
        let mut limited = Command::new("bash");
        limited.args(["-c", &format!("trap '' XFSZ; ulimit -f {kilobytes}; exec \"$0\" \"$@\"")]);
        limited.arg(run.get_program()).args(run.get_args()).env(WRITER, &path).stderr(Stdio::null());
        let said = limited.output().unwrap().stdout;
        let kept = acknowledged(&said);
        let there = check(&path, &kept);
        let was_refused = String::from_utf8_lossy(&said).contains("refused");
        assert!(was_refused || kept.len() == GROUPS, "{}", String::from_utf8_lossy(&said));
        // And once there is room again it goes on.
        write_once(&path);
        assert!(check(&path, &kept) > there);
        if !was_refused {
            println!("refused at {refused} sizes, then it had room");
            assert!(refused > 10, "{refused}");
            return;
        }
        assert!(kilobytes < 4000, "it never survives");
    }
}

fn write_once(path: &Path) {
    let mut log = Logbook::open(path).unwrap();
    let draft = |part: usize| crate::common::reading("again", &part.to_string(), 0.0, &crate::common::moment(2026, 0));
    log.append_all((0..super::GROUP).map(draft).collect()).unwrap();
}

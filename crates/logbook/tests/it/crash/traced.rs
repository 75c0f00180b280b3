//! The file layer under a tracer (`strace`): that an entry is flushed before it is acknowledged, and what is left where the n-th write,
//! flush or shortening fails, or the program ends at it, n = 1, 2, … until the run survives.
#![cfg(target_os = "linux")]

use super::{WRITER, acknowledged, check, write_groups, writer};
use logbook::Logbook;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const GROUPS: usize = 5;

/// Runs a writer under the tracer; gives what it said and the trace.
fn traced(test: &str, path: &Path, options: &[&str]) -> (Vec<u8>, String) {
    let trace: PathBuf = path.with_extension("trace");
    let run = writer(test, path);
    let mut command = Command::new("strace");
    command.args(["-f", "-y", "-s", "16", "-o"]).arg(&trace).args(options).arg(run.get_program()).args(run.get_args());
    let said = command.env(WRITER, path).stderr(Stdio::null()).output().expect("strace is there").stdout;
    (said, std::fs::read_to_string(trace).unwrap())
}

fn new_logbook() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.logbook");
    drop(Logbook::open_or_create(&path).unwrap());
    (folder, path)
}

#[test]
#[ignore = "wants strace; .ci/run does it"]
fn what_is_acknowledged_was_flushed_before() {
    if let Some(path) = std::env::var_os(WRITER) {
        return write_groups(Path::new(&path), GROUPS);
    }
    let (_folder, path) = new_logbook();
    let test = "crash::traced::what_is_acknowledged_was_flushed_before";
    let (said, trace) = traced(test, &path, &["-e", "trace=write,pwrite64,fsync,fdatasync"]);
    assert_eq!(acknowledged(&said).len(), GROUPS);
    let (mut written, mut flushed, mut acknowledgements) = (0, true, 0);
    for line in trace.lines() {
        let of_log = line.contains("x.logbook-wal>");
        if of_log && line.contains("pwrite64(") {
            written += 1;
            flushed = false;
        } else if of_log && line.contains("sync(") && line.ends_with("= 0") {
            flushed = true;
        } else if line.contains("write(1<") && line.contains("\"kept ") {
            acknowledgements += 1;
            assert!(flushed && written > 0, "acknowledged before it was flushed:\n{trace}");
            written = 0;
        }
    }
    assert_eq!(acknowledgements, GROUPS, "{trace}");
}

#[test]
#[ignore = "wants strace; .ci/run does it"]
fn the_nth_call_that_fails_or_ends_the_program_loses_nothing() {
    if let Some(path) = std::env::var_os(WRITER) {
        return write_groups(Path::new(&path), GROUPS);
    }
    let test = "crash::traced::the_nth_call_that_fails_or_ends_the_program_loses_nothing";
    for call in ["pwrite64", "fsync", "ftruncate"] {
        for fault in ["error=EIO", "error=ENOSPC", "signal=KILL"] {
            let mut told = 0;
            let mut n = 1;
            loop {
                let (_folder, path) = new_logbook();
                let inject = format!("inject={call}:{fault}:when={n}");
                let (said, trace) = traced(test, &path, &["-e", &format!("trace={call}"), "-e", &inject]);
                let hit = trace.contains("(INJECTED)") || trace.contains("killed by SIGKILL");
                let kept = acknowledged(&said);
                check(&path, &kept);
                let refused = String::from_utf8_lossy(&said).contains("refused");
                told += usize::from(refused);
                assert!(
                    hit || (kept.len() == GROUPS && !refused),
                    "{call} {fault} {n}: {}",
                    String::from_utf8_lossy(&said)
                );
                if !hit {
                    break;
                }
                n += 1;
                assert!(n < 400, "it never survives");
            }
            println!(
                "{call} {fault}: failed at each of {} calls, {told} times refused; nothing acknowledged was lost",
                n - 1
            );
            // Without a call that fails nothing would be checked; the log is shortened only at times.
            assert!(n > 1 || call == "ftruncate", "{call} is never called");
        }
    }
}

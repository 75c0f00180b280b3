//! The command as a builder meets it: how it ends, what it prints, what it writes.

#![allow(missing_docs)] // a test's helpers are read where they are used

mod asking;
mod mending;
mod netlists;
mod output;
mod profiles;
mod serving;
mod signals;
mod statuses;
mod wiring;

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What the command did: its exit status, and what it printed.
pub struct Ended {
    pub status: i32,
    pub out: Vec<u8>,
    pub err: Vec<u8>,
}

impl Ended {
    pub fn out(&self) -> &str {
        std::str::from_utf8(&self.out).expect("what is printed is UTF-8")
    }

    pub fn err(&self) -> &str {
        std::str::from_utf8(&self.err).expect("what is printed is UTF-8")
    }
}

/// Runs the command to its end. It must end by itself, and not by a panic.
pub fn run(args: &[impl AsRef<OsStr>]) -> Ended {
    let done = Command::new(env!("CARGO_BIN_EXE_gapwright"))
        .args(args)
        .stdin(Stdio::null())
        .env("COLUMNS", "80")
        .output()
        .expect("the command starts");
    let ended = Ended { status: done.status.code().expect("no signal ends it"), out: done.stdout, err: done.stderr };
    assert!((0..=2).contains(&ended.status), "status {}: {}", ended.status, String::from_utf8_lossy(&ended.err));
    assert!(!String::from_utf8_lossy(&ended.err).contains("panicked"), "{}", String::from_utf8_lossy(&ended.err));
    ended
}

/// Runs the command on a plan: `run_on(path, "check --format json")`.
pub fn run_on(plan: &Path, words: &str) -> Ended {
    let (act, rest) = words.split_once(' ').unwrap_or((words, ""));
    let mut args: Vec<&OsStr> = vec![act.as_ref(), plan.as_os_str()];
    args.extend(rest.split_whitespace().map(OsStr::new));
    run(&args)
}

/// The folder of a demo plan's file.
pub fn demo(name: &str) -> PathBuf {
    demos().join(name).join("plan.toml")
}

fn demos() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans")
}

/// Every demo plan, in the order of their names.
pub fn all_demos() -> Vec<PathBuf> {
    let mut plans: Vec<PathBuf> = std::fs::read_dir(demos())
        .expect("the demo plans are part of the repository")
        .map(|entry| entry.expect("a folder can be listed").path().join("plan.toml"))
        .filter(|path| path.is_file())
        .collect();
    plans.sort();
    assert!(plans.len() >= 7, "{plans:?}");
    plans
}

pub fn demo_text(name: &str) -> String {
    std::fs::read_to_string(demo(name)).expect("the demo plan is part of the repository")
}

/// A folder that is gone at the end of the test, and a file in it with this content.
pub fn file(content: impl AsRef<[u8]>) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder can be made");
    let path = folder.path().join("plan.toml");
    std::fs::write(&path, content).expect("a file can be written");
    (folder, path)
}

//! `new`: asks, writes a plan that passes its review, overwrites nothing.

use super::{Ended, run, run_on};
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

/// Answers typed in at the questions, a line each.
fn answered(plan: &Path, typed: &str) -> Ended {
    let mut child = Command::new(env!("CARGO_BIN_EXE_gapwright"))
        .args(["new".as_ref(), plan.as_os_str()])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command starts");
    let mut stdin = child.stdin.take().expect("an input");
    // It may have ended before all is typed in, where that is what is looked at.
    let _ = stdin.write_all(typed.as_bytes());
    drop(stdin);
    let done = child.wait_with_output().expect("it ends");
    Ended { status: done.status.code().expect("no signal ends it"), out: done.stdout, err: done.stderr }
}

#[test]
fn writes_what_is_answered() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("yard.toml");
    // The roads' number is asked again until it is one.
    let ended = answered(&plan, &format!("Moss End\n\nN\n\n\nmany\n1\n3\n{}", "\n".repeat(20)));
    assert_eq!(ended.status, 0, "{}", ended.err());
    assert_eq!(ended.out().matches("a whole number from 2 to 40").count(), 2, "{}", ended.out());
    let text = std::fs::read_to_string(&plan).expect("a plan");
    assert!(text.contains("name    = \"Moss End\"") && text.contains("scale   = \"N\""), "{text}");
    assert_eq!(text.matches("[[turnout]]").count(), 2);
    let review = run_on(&plan, "check --format concise");
    assert_eq!((review.status, review.out()), (0, ""), "nothing is found in it");
}

#[test]
fn overwrites_nothing_and_leaves_nothing_behind() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("yard.toml");
    std::fs::write(&plan, "mine").expect("written");
    let taken = run(&["new".as_ref(), plan.as_os_str(), "--as-proposed".as_ref()]);
    assert_eq!((taken.status, taken.err().contains("is there already")), (2, true), "{}", taken.err());
    assert_eq!(std::fs::read_to_string(&plan).expect("a plan"), "mine");

    let new = folder.path().join("other.toml");
    let broken_off = answered(&new, "Moss End\n\n");
    assert_eq!((broken_off.status, broken_off.err().contains("nothing is written")), (2, true), "{}", broken_off.err());
    let too_near = run(&["new", &new.display().to_string(), "--as-proposed", "--answer", "centres=20 mm"]);
    assert_eq!((too_near.status, too_near.err().contains("the least is")), (2, true), "{}", too_near.err());
    for wrong in ["roads=forty", "colour=red", "roads"] {
        let ended = run(&["new", &new.display().to_string(), "--as-proposed", "--answer", wrong]);
        assert_eq!(ended.status, 2, "{wrong}: {}", ended.err());
    }
    assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 1);
}

//! `mend`: shows before it writes, changes nothing but what it says, and leaves a plan that is well.

use super::{demo_text, file, run_on};
use std::path::Path;

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).expect("the plan is there")
}

/// Thistle Dock with a comment of its own on every line, and one above every table.
fn commented() -> String {
    let mut text = String::new();
    for (number, line) in demo_text("thistle-dock").lines().enumerate() {
        if line.starts_with('[') {
            text.push_str(&format!("# note {number} above\n"));
        }
        let blank = if line.is_empty() { "" } else { "  " };
        text.push_str(&format!("{line}{blank}# note {number}, Ω\n"));
    }
    text
}

fn comments(text: &str) -> Vec<&str> {
    text.lines().filter_map(|line| line.find('#').map(|at| &line[at..])).collect()
}

#[test]
fn shows_and_does_not_write() {
    let before = demo_text("thistle-dock");
    let (folder, plan) = file(&before);
    let ended = run_on(&plan, "fix");
    assert!(ended.out().contains("add --write"), "{}", ended.out());
    assert!(ended.out().contains("dock 2.right @"), "{}", ended.out());
    assert_eq!(read(&plan), before);
    assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 1, "nothing is left beside it");
}

#[test]
fn writes_a_plan_that_is_well() {
    let before = commented();
    let (folder, plan) = file(&before);
    assert_eq!(run_on(&plan, "check").status, 1);
    let ended = run_on(&plan, "fix --write");
    assert_eq!(ended.status, 0, "{}", ended.err());
    assert!(ended.out().contains(&format!("written to {}\n", plan.display())), "{}", ended.out());
    let after = read(&plan);
    let checked = run_on(&plan, "check");
    assert_eq!(checked.status, 0, "{}", checked.out());
    assert!(checked.out().contains("no findings"), "{}", checked.out());

    assert_eq!(comments(&after), comments(&before), "every comment stays, in its order");
    // The lines of the contact, of the feeders and of the gaps; every other line stays as it was.
    let changed: Vec<(&str, &str)> = before.lines().zip(after.lines()).filter(|(b, a)| b != a).collect();
    assert_eq!(before.lines().count(), after.lines().count());
    assert_eq!(changed.len(), 3, "{changed:#?}");
    for ((was, _), word) in changed.iter().zip(["diverging = \"dock 1.right", "feeders", "gaps"]) {
        assert!(was.contains(word), "{changed:#?}");
    }
    let numbers = plan.with_extension("numbers.csv");
    assert!(ended.out().contains("keep their numbers") && numbers.is_file(), "{}", ended.out());
    assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 2, "nothing else is left beside it");

    let again = run_on(&plan, "fix --write");
    assert_eq!(again.status, 0);
    assert!(again.out().contains("no proposed edit"), "{}", again.out());
    assert_eq!(read(&plan), after);
}

/// Lines that end as another system ends them go on doing so.
#[test]
fn keeps_line_ends() {
    let before = commented().replace('\n', "\r\n");
    let (_folder, plan) = file(&before);
    assert_eq!(run_on(&plan, "fix --write").status, 0);
    let after = read(&plan);
    assert_eq!(after.matches("\r\n").count(), before.matches("\r\n").count());
    assert_eq!(after.matches('\n').count(), after.matches("\r\n").count());
    assert_eq!(run_on(&plan, "check").status, 0);
}

#[test]
fn a_plan_without_a_mend_is_left_alone() {
    let before = demo_text("thistle-dock").replace("length = \"2.1 m\"", "length = 2.1");
    let (_folder, plan) = file(&before);
    let modified = || std::fs::metadata(&plan).and_then(|m| m.modified()).expect("the file's time");
    let (earlier, ended) = (modified(), run_on(&plan, "fix --write"));
    assert_eq!(ended.status, 1, "its errors are still there");
    assert_eq!((read(&plan), modified()), (before, earlier));
}

#[cfg(unix)]
#[test]
fn writes_through_a_link() {
    let (folder, real) = file(demo_text("thistle-dock"));
    let other = tempfile::tempdir().expect("a folder can be made");
    let first = other.path().join("first.toml");
    let link = other.path().join("link.toml");
    std::os::unix::fs::symlink(&real, &first).expect("a link can be made");
    // By way of another link, and by a path that only holds where the link lies.
    std::os::unix::fs::symlink("first.toml", &link).expect("a link can be made");
    assert_eq!(run_on(&link, "fix --write").status, 0);
    for path in [&link, &first] {
        assert!(std::fs::symlink_metadata(path).expect("it is there").is_symlink(), "the link is still a link");
    }
    assert!(read(&real).contains("dock 2.right @"), "the plan behind it is mended");
    assert_eq!(run_on(&real, "check").status, 0);
    for folder in [folder.path(), other.path()] {
        let left = std::fs::read_dir(folder).expect("a folder").count();
        // The numbers lie beside the plan itself, not beside a link to it.
        assert_eq!(left, 2, "nothing is left beside it");
    }
}

#[cfg(unix)]
#[test]
fn keeps_permissions() {
    use std::os::unix::fs::PermissionsExt as _;
    for mode in [0o600, 0o640, 0o664, 0o755] {
        let (_folder, plan) = file(demo_text("thistle-dock"));
        std::fs::set_permissions(&plan, std::fs::Permissions::from_mode(mode)).expect("its owner can say so");
        assert_eq!(run_on(&plan, "fix --write").status, 0, "{mode:o}");
        let kept = std::fs::metadata(&plan).expect("it is there").permissions().mode() & 0o7777;
        assert_eq!(kept, mode, "{kept:o}");
        assert!(read(&plan).contains("dock 2.right @"));
    }
}

/// Moving another file over it would go round its permissions.
#[test]
fn a_read_only_plan_is_left_alone() {
    let (_folder, plan) = file(demo_text("thistle-dock"));
    let mut read_only = std::fs::metadata(&plan).expect("it is there").permissions();
    let allowed = read_only.clone();
    read_only.set_readonly(true);
    std::fs::set_permissions(&plan, read_only).expect("its owner can say so");
    let ended = run_on(&plan, "fix --write");
    std::fs::set_permissions(&plan, allowed).expect("its owner can say so");
    assert_eq!(ended.status, 2);
    assert!(ended.err().contains("is read-only; nothing was written"), "{}", ended.err());
    assert_eq!(read(&plan), demo_text("thistle-dock"));
}

/// A plan with two names is mended under both.
#[cfg(unix)]
#[test]
fn other_names_of_a_plan_stay() {
    let (folder, plan) = file(demo_text("thistle-dock"));
    let other = folder.path().join("other-name.toml");
    std::fs::hard_link(&plan, &other).expect("linked");
    assert_eq!(run_on(&plan, "fix --write").status, 0);
    assert!(read(&other).contains("dock 2.right @"));
}

/// Whoever changes the plan keeps the numbers: those on labels still stand for the same wires, and tests are the tests they were.
#[test]
fn numbers_stay_over_a_mend() {
    let (folder, plan) = file(demo_text("thistle-dock"));
    let papers = folder.path().join("papers");
    let make = format!("papers --out {}", papers.display());
    // A plan with faults still has papers; they say so.
    assert_eq!(run_on(&plan, &make).status, 1);
    let numbers = papers.join("numbers.csv");
    // A wire and a test whose numbers are not those of the order of the plan.
    let kept = read(&numbers).replacen("number,F-1,", "number,F-77,", 1).replacen("test,1,", "test,990,", 1);
    assert!(kept.contains("F-77") && kept.contains("test,990,"), "{kept}");
    std::fs::write(&numbers, &kept).expect("written");
    assert!(run_on(&plan, "tests --format csv").out().contains(",990\n"), "the command has the number of the papers");
    assert_eq!(run_on(&plan, "fix --write").status, 0);
    let beside = read(&plan.with_extension("numbers.csv"));
    assert!(beside.contains("number,F-77,") && beside.contains("test,990,"), "{beside}");
    assert!(run_on(&plan, "tests --format csv").out().contains(",990\n"));
    // Papers made then go on from both: what is old has its number, what the mend brought has the one of the file.
    assert_eq!(run_on(&plan, &make).status, 0);
    let of = |text: &str, class: &str| -> Vec<String> {
        text.lines().filter(|line| line.starts_with(class)).map(str::to_owned).collect()
    };
    assert_eq!(of(&read(&numbers), "number,"), of(&beside, "number,"));
    assert_eq!(of(&read(&numbers), "test,"), of(&beside, "test,"));
    // A record that is none is left as it is, and told.
    let (_folder, plan) = file(demo_text("thistle-dock"));
    std::fs::write(plan.with_extension("numbers.csv"), "mine\n").expect("written");
    let ended = run_on(&plan, "fix --write");
    assert!(ended.out().contains("numbers are not kept"), "{}", ended.out());
    assert_eq!(read(&plan.with_extension("numbers.csv")), "mine\n");
}

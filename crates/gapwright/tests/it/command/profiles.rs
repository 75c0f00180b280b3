//! `gapwright profile`: what it prints, what it writes, what it refuses.

use super::{Ended, all_demos, demo, run};
use std::path::Path;

fn profile(plan: &Path, args: &[&str]) -> Ended {
    let mut all = vec!["profile", plan.to_str().expect("a path in letters")];
    all.extend(args);
    run(&all)
}

#[test]
fn tables_of_every_demo_plan_fit_in_80_columns() {
    for plan in all_demos() {
        let ended = profile(&plan, &[]);
        assert_eq!((ended.status, ended.err()), (0, ""), "{}", plan.display());
        for line in ended.out().lines() {
            assert!(line.chars().count() <= 80, "too wide: {line}");
            assert_eq!(line, line.trim_end(), "blanks at the end");
        }
        assert!(ended.out().contains("worst of all"), "{}", ended.out());
    }
}

#[test]
fn the_dock_word_for_word() {
    let due = "\
Thistle Dock
approach to dock 2, 4.72 m
set T1 through
volts with 700 mA (train `harbour goods`); accepted down to 14.25 V of booster's
15 V, 5 % less
decoder: what is left behind its rectifier once each reversal of the signal has
turned the current round
a short through wheels of 200 mΩ (aged 1 Ω); due 6.75 A to trip booster (1.5
times its 4.5 A)

";
    let ended = profile(&demo("thistle-dock"), &["--route", "2"]);
    assert!(ended.out().starts_with(due), "{}", ended.out());
    let named = profile(&demo("thistle-dock"), &["--route", "approach to dock 2"]);
    let asked = profile(&demo("thistle-dock"), &["--from", "approach", "--to", "dock 2", "--route", "1"]);
    assert!(ended.out == named.out && ended.out == asked.out);
    // The numbers of `gapwright routes` for it.
    assert!(ended.out().contains("@ 2.4 m   14.67 (14.48)  14.58    22.5 A (8.63 A)"), "{}", ended.out());
}

/// The file holds what is printed otherwise; what was in it is gone, its permissions stay, and nothing lies beside it.
#[test]
fn a_file_holds_what_is_printed_otherwise() {
    let folder = tempfile::tempdir().expect("a folder can be made");
    for format in ["csv", "svg"] {
        let printed = profile(&demo("wye"), &["--format", format]);
        assert!(printed.status == 0 && printed.out.len() > 1000);
        assert_eq!(printed.out, profile(&demo("wye"), &["--format", format]).out, "the same bytes every time");
        let file = folder.path().join(format!("way.{format}"));
        let args = ["--format", format, "--out", file.to_str().expect("a path in letters")];
        let ended = profile(&demo("wye"), &args);
        assert_eq!((ended.status, ended.out(), ended.err()), (0, "", ""));
        assert_eq!(std::fs::read(&file).expect("it was written"), printed.out);
        std::fs::write(&file, "something longer than nothing").expect("a file can be written");
        let mut permissions = std::fs::metadata(&file).expect("it is there").permissions();
        permissions.set_readonly(true);
        std::fs::set_permissions(&file, permissions).expect("a file can be made read-only");
        assert_eq!(profile(&demo("wye"), &args).status, 0);
        assert_eq!(std::fs::read(&file).expect("it was written"), printed.out);
        assert!(std::fs::metadata(&file).expect("it is there").permissions().readonly());
    }
    assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 2);
    assert!(profile(&demo("wye"), &["--format", "svg"]).out().starts_with("<svg xmlns="));
}

/// Others read a new file as they read any other: it is not for its owner alone, as a file in passing is.
#[cfg(unix)]
#[test]
fn a_new_file_has_the_permissions_of_any_other() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().expect("a folder can be made");
    let [own, other] = ["plot.svg", "other"].map(|name| folder.path().join(name));
    std::fs::write(&other, "").expect("a file can be written");
    assert_eq!(profile(&demo("wye"), &["--out", own.to_str().expect("a path in letters")]).status, 0);
    let mode = |path: &Path| std::fs::metadata(path).expect("it is there").permissions().mode();
    assert_eq!(mode(&own), mode(&other));
}

#[test]
fn what_cannot_be_done_is_2_and_says_why() {
    let folder = tempfile::tempdir().expect("a folder can be made");
    let nowhere = folder.path().join("none").join("plot.svg");
    let at = |path: &Path| path.to_str().expect("a path in letters").to_owned();
    for (args, due) in [
        (vec!["--route", "approach to dok 1"], "did you mean `approach to dock 1`?"),
        (vec!["--route", "7"], "from 1 to 2"),
        (vec!["--to", "dok 1"], "did you mean `dock 1`?"),
        (vec!["--from", "dock 1", "--to", "dock 2"], "no route goes over these tracks"),
        (vec!["--out", &at(&nowhere)], "cannot write"),
        (vec!["--out", &at(folder.path())], "it is no file"),
    ] {
        let ended = profile(&demo("thistle-dock"), &args);
        assert_eq!((ended.status, ended.out()), (2, ""), "{args:?}");
        assert!(ended.err().starts_with("error: ") && ended.err().contains(due), "{args:?}: {}", ended.err());
    }
    let (_folder, plan) = super::file("[[track]]\n");
    let ended = profile(&plan, &[]);
    assert!(ended.status == 2 && ended.err().contains("the plan has errors"), "{}", ended.err());
    assert!(profile(Path::new("none.toml"), &[]).err().contains("cannot read"));
}

//! `gapwright papers`, run as a builder runs it.

use crate::common::{PLANS, fits, path, printed, refused};
use std::collections::BTreeMap;
use std::path::Path;

/// All files below a folder with their bytes.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(here) = folders.pop() {
        for entry in std::fs::read_dir(&here).expect("a folder").map(|entry| entry.expect("an entry").path()) {
            if entry.is_dir() {
                folders.push(entry);
            } else {
                let name = entry.strip_prefix(folder).expect("below it").display().to_string();
                found.insert(name, std::fs::read(&entry).expect("a file"));
            }
        }
    }
    found
}

fn words(path: &Path) -> &str {
    path.to_str().expect("a path of words")
}

#[test]
fn two_runs_make_the_same_bytes_in_their_own_folders() {
    let place = tempfile::tempdir().expect("a folder");
    let [one, other] = ["one", "a/new/other"].map(|name| place.path().join(name));
    for folder in [&one, &other] {
        let told = printed(&["papers", &path("thistle-dock-mended"), "--out", words(folder)]);
        assert!(told.contains("binder.pdf") && told.contains("of plan "), "{told}");
        // The clock of a workbook's archive steps in twos of seconds.
        std::thread::sleep(std::time::Duration::from_millis(2100));
    }
    let made = files(&one);
    assert!(made.contains_key("binder.pdf") && made.contains_key("web/index.html") && made.contains_key("tables.xlsx"));
    assert_eq!(made, files(&other));
    // A third run over the first changes nothing.
    printed(&["papers", &path("thistle-dock-mended"), "--out", words(&one)]);
    assert_eq!(made, files(&one));
}

#[test]
fn every_demo_plan_without_faults_has_papers_in_imperial_units_and_letter() {
    let place = tempfile::tempdir().expect("a folder");
    for plan in PLANS.iter().filter(|plan| **plan != "thistle-dock") {
        let folder = place.path().join(plan);
        let told =
            printed(&["papers", &path(plan), "--out", words(&folder), "--page", "Letter", "--units", "imperial"]);
        fits(&told);
        assert!(files(&folder).len() >= 8, "{plan}");
    }
}

#[test]
fn a_run_replaces_its_own_files_and_takes_away_what_it_no_longer_makes() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    printed(&["papers", &path("seven-tracks"), "--out", words(folder)]);
    let before = files(folder);
    // Another layout has other wires: its numbers do not go on from these.
    std::fs::remove_file(folder.join("numbers.csv")).expect("removed");
    printed(&[
        "papers",
        &path("balloon"),
        "--out",
        words(folder),
        "--page",
        "Letter",
        "--large",
        "--date",
        "a day in May",
    ]);
    let after = files(folder);
    let fresh = tempfile::tempdir().expect("a folder");
    printed(&[
        "papers",
        &path("balloon"),
        "--out",
        words(fresh.path()),
        "--page",
        "Letter",
        "--large",
        "--date",
        "a day in May",
    ]);
    assert_eq!(after, files(fresh.path()), "nothing of the other plan is left");
    assert_ne!(before["binder.pdf"], after["binder.pdf"]);
}

#[test]
fn nothing_of_anybody_elses_is_lost() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    let run = || refused(&["papers", &path("wye"), "--out", words(folder)]);
    // A folder with something in it that is not ours.
    std::fs::write(folder.join("notes.txt"), "mine").expect("written");
    let told = run();
    assert!(told.contains("notes.txt") && told.contains("help:"), "{told}");
    assert_eq!(files(folder).len(), 1);
    std::fs::remove_file(folder.join("notes.txt")).expect("removed");

    // The numbers of the last run may be there before the papers are, and stay; so does what is laid beside the papers.
    std::fs::write(folder.join("numbers.csv"), "of the last run").expect("written");
    let told = refused(&["papers", &path("wye"), "--out", words(folder)]);
    assert!(told.contains("no record of numbers") && files(folder).len() == 1, "{told}");
    // In this record a wire has a number that it would not be given today.
    let elsewhere = tempfile::tempdir().expect("a folder");
    printed(&["papers", &path("wye"), "--out", words(elsewhere.path())]);
    let kept = String::from_utf8(files(elsewhere.path())["numbers.csv"].clone()).expect("text");
    let kept = kept.replacen("number,F-1,", "number,F-77,", 1);
    std::fs::write(folder.join("numbers.csv"), &kept).expect("written");
    printed(&["papers", &path("wye"), "--out", words(folder)]);
    let wires = String::from_utf8(files(folder)["tables/wires.csv"].clone()).expect("text");
    assert!(wires.lines().any(|line| line.starts_with("F-77,")), "{wires}");
    let kept = files(folder)["numbers.csv"].clone();
    std::fs::write(folder.join("notes.txt"), "mine").expect("written");
    printed(&["papers", &path("wye"), "--out", words(folder)]);
    let made = files(folder);
    assert_eq!((made["numbers.csv"].as_slice(), made["notes.txt"].as_slice()), (kept.as_slice(), &b"mine"[..]));

    // A file of ours that somebody has filled in.
    std::fs::write(folder.join("tables/wires.csv"), "filled in").expect("written");
    let told = run();
    assert!(told.contains("wires.csv") && told.contains("changed since it was made"), "{told}");
    let mut due = made.clone();
    due.insert("tables/wires.csv".to_owned(), b"filled in".to_vec());
    assert_eq!(files(folder), due, "nothing was written");
    std::fs::rename(folder.join("tables/wires.csv"), folder.join("tables/mine.csv")).expect("renamed");
    printed(&["papers", &path("wye"), "--out", words(folder)]);
    let last = files(folder);
    assert_eq!(
        (&last["tables/wires.csv"], &last["tables/mine.csv"]),
        (&made["tables/wires.csv"], &b"filled in".to_vec())
    );

    // A file where one of ours would go, and that we never wrote.
    let list = std::fs::read_to_string(folder.join("gapwright-papers.txt")).expect("the list");
    let without: String = list.lines().filter(|l| !l.ends_with("binder.pdf")).map(|l| format!("{l}\n")).collect();
    std::fs::write(folder.join("gapwright-papers.txt"), without).expect("written");
    std::fs::write(folder.join("binder.pdf"), "another binder").expect("written");
    assert!(run().contains("binder.pdf"));
    assert_eq!(files(folder)["binder.pdf"], b"another binder");
}

#[test]
fn a_list_leads_to_no_file_outside_its_folder() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path().join("papers");
    printed(&["papers", &path("wye"), "--out", words(&folder)]);
    let outside = place.path().join("precious.txt");
    std::fs::write(&outside, "precious").expect("written");
    let digest = papers::revision::digest(b"precious");
    let list = folder.join("gapwright-papers.txt");
    let text = std::fs::read_to_string(&list).expect("the list");
    std::fs::write(&list, format!("{text}{digest}  ../precious.txt\n")).expect("written");
    printed(&["papers", &path("wye"), "--out", words(&folder)]);
    assert_eq!(std::fs::read(&outside).expect("still there"), b"precious");
}

#[test]
fn a_plan_with_faults_has_papers_that_say_so_and_one_that_cannot_be_read_has_none() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path().join("papers");
    let run = |plan: &str| {
        std::process::Command::new(env!("CARGO_BIN_EXE_gapwright"))
            .args(["papers", plan, "--out", words(&folder)])
            .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
            .output()
            .expect("the command runs")
    };
    let broken = place.path().join("broken.toml");
    std::fs::write(&broken, "[layout]\nname = \"x\"\nscale = \"no such scale\"\ntrack = 5\n").expect("written");
    let output = run(words(&broken));
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stdout).contains("FAULT "), "the findings are told");
    assert!(String::from_utf8_lossy(&output.stderr).contains("no papers were made"));
    assert!(!folder.exists(), "nothing is made");

    let output = run(&path("thistle-dock"));
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stdout).contains("plan has 1 fault: not for building"));
    let made = files(&folder);
    for (name, bytes) in made.iter().filter(|(name, _)| name.ends_with(".html")) {
        assert!(String::from_utf8_lossy(bytes).contains("plan has 1 fault: not for building"), "{name}");
    }
}

//! Exit statuses: 0 nothing must be fixed, 1 the plan has errors, 2 the command could not do its work.

use super::{all_demos, demo, demo_text, file, run, run_on};

#[test]
fn well_is_0_and_errors_are_1() {
    for plan in all_demos() {
        let faulty = plan == demo("thistle-dock");
        let ended = run_on(&plan, "check");
        assert_eq!(ended.status, i32::from(faulty), "{}: {}", plan.display(), ended.out());
        assert!(ended.err.is_empty(), "{}", ended.err());
    }
}

/// Warnings and notes do not stop a builder.
#[test]
fn warnings_alone_are_0() {
    let text = demo_text("thistle-dock-mended").replace("trips   = { at = \"4.5 A\", after = \"120 ms\" }\n", "");
    let (_folder, plan) = file(&text);
    let ended = run_on(&plan, "check --format concise");
    assert!(ended.out().contains("(trip-unknown)"), "{}", ended.out());
    assert!(!ended.out().contains(": error: "), "{}", ended.out());
    assert_eq!(ended.status, 0);
}

#[test]
fn what_cannot_be_read_is_2() {
    let (folder, plan) = file(demo_text("thistle-dock"));
    let missing = folder.path().join("no such plan.toml");
    let under_a_file = plan.join("plan.toml");
    for (path, act) in [(&missing, "check"), (&missing, "fix"), (&missing, "fix --write"), (&missing, "netlist")]
        .into_iter()
        .chain([(&under_a_file, "check"), (&under_a_file, "netlist")])
    {
        let ended = run_on(path, act);
        assert_eq!(ended.status, 2, "{act}: {}", ended.out());
        assert!(ended.out.is_empty(), "{act}: {}", ended.out());
        assert!(ended.err().starts_with("error: cannot read `"), "{}", ended.err());
        assert!(ended.err().contains("help: "), "{}", ended.err());
    }
    assert!(!missing.exists(), "a plan that is not there is not made");
}

#[test]
fn a_folder_is_2() {
    let (folder, _) = file("");
    for act in ["check", "fix", "fix --write", "netlist"] {
        let ended = run_on(folder.path(), act);
        assert_eq!(ended.status, 2, "{act}");
        assert!(ended.out.is_empty() && ended.err().contains("cannot read `"), "{}", ended.err());
    }
}

/// Who may read everything, as the system's own user may, reads this too; nobody else does.
#[cfg(unix)]
#[test]
fn a_plan_that_may_not_be_read_is_2() {
    use std::os::unix::fs::PermissionsExt as _;
    let (_folder, plan) = file(demo_text("thistle-dock"));
    std::fs::set_permissions(&plan, std::fs::Permissions::from_mode(0o000)).expect("its owner can say so");
    let due = if std::fs::read(&plan).is_ok() { 1 } else { 2 };
    assert_eq!(run_on(&plan, "check").status, due);
}

#[cfg(unix)]
#[test]
fn a_link_to_nothing_is_2() {
    let (folder, _) = file("");
    let link = folder.path().join("link.toml");
    std::os::unix::fs::symlink(folder.path().join("gone.toml"), &link).expect("a link can be made");
    for act in ["check", "fix --write"] {
        assert_eq!(run_on(&link, act).status, 2);
    }
    assert!(!folder.path().join("gone.toml").exists());
}

/// A name that is no text is a name all the same.
#[cfg(target_os = "linux")]
#[test]
fn a_path_that_is_not_text() {
    use std::os::unix::ffi::OsStringExt as _;
    let (folder, plan) = file(demo_text("thistle-dock"));
    let path = folder.path().join(std::ffi::OsString::from_vec(b"pl\xff\x1b[31mn.toml".to_vec()));
    std::fs::rename(plan, &path).expect("any bytes but 0 and / make a name");
    for format in ["full", "concise", "json"] {
        let ended = run_on(&path, &format!("check --format {format}"));
        assert_eq!(ended.status, 1);
        assert!(!ended.out.contains(&0x1b), "{format}: {}", ended.out());
    }
    let ended = run_on(&path.join("missing"), "check");
    assert_eq!(ended.status, 2);
    assert!(!ended.err.contains(&0x1b), "{}", ended.err());
}

#[test]
fn wrong_words_are_2() {
    for args in [vec![], vec!["chek"], vec!["check"], vec!["check", "a", "b"], vec!["check", "--format", "loud", "a"]]
        .into_iter()
        .chain([vec!["fix"], vec!["netlist"], vec!["schema", "x"], vec!["check", "--most", "-1", "a"]])
    {
        let ended = run(&args);
        assert_eq!(ended.status, 2, "{args:?}");
        assert!(ended.out.is_empty() && !ended.err.is_empty(), "{args:?}: {}", ended.out());
    }
    for args in [["--help"], ["--version"]] {
        assert_eq!(run(&args).status, 0);
    }
}

#[test]
fn every_listed_name_is_explained() {
    let list = run(&["explain"]);
    assert_eq!(list.status, 0);
    let mut names = 0;
    let pages = list.out();
    let (pages, words) = pages.split_once("\n\n").expect("the words of the trade stand below");
    for word in words.trim_start_matches("words of the trade:").split(',') {
        let word = word.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(run(&["explain", &word]).out().starts_with(&word), "{word}");
    }
    for line in pages.lines() {
        let (name, title) = line.split_once("  ").expect("a name and its title");
        let page = run(&["explain", name]);
        assert_eq!(page.status, 0, "{name}");
        assert!(page.err.is_empty(), "{name}: {}", page.err());
        assert!(page.out().starts_with(&format!("{name}: {}\n\n", title.trim())), "{name}: {}", page.out());
        let text = page.out().lines().skip(2).collect::<Vec<_>>().join(" ");
        assert!(text.split_whitespace().count() >= 7, "a sentence at least on {name}: {}", page.out());
        assert!(page.out().lines().skip(1).all(|l| l.chars().count() <= 80), "{name}");
        names += 1;
    }
    assert!(names >= 38, "only {names} findings");
}

/// Whatever a review names can be looked up.
#[test]
fn what_a_check_names_is_explained() {
    let ended = run_on(&demo("thistle-dock"), "check --format concise");
    let name = ended.out().trim_end().rsplit_once('(').expect("a name at the end").1.trim_end_matches(')');
    assert_eq!(name, "storage-live-unlined");
    assert_eq!(run(&["explain", name]).status, 0);
}

#[test]
fn an_unknown_name_is_2_and_says_how_to_find_one() {
    for name in ["no-such-finding", "", "SHORT-CIRCUIT", "long circuit", "\u{1b}[31m"] {
        let ended = run(&["explain", name]);
        assert_eq!(ended.status, 2, "{name}");
        assert!(ended.out.is_empty());
        assert!(ended.err().contains("there is no finding and no word `"), "{}", ended.err());
        assert!(ended.err().contains("lists them all"), "{}", ended.err());
        assert!(!ended.err.contains(&0x1b), "{}", ended.err());
    }
}

#[test]
fn not_utf8_empty_and_far_too_long() {
    let mut broken = demo_text("thistle-dock").into_bytes();
    broken[500] = 0xff;
    let long = demo_text("thistle-dock") + &"# a long story\n".repeat(700_000);
    assert!(long.len() > 10_000_000);
    let cases: [(&[u8], &str); 6] = [
        (&broken, "plan-not-text"),
        (&[0xff, 0xfe, b'[', 0], "plan-not-text"),
        (b"", "missing-key"),
        (b"\n\n\n", "missing-key"),
        (long.as_bytes(), "plan-too-large"),
        (&vec![0xff; 10 << 20], "plan-too-large"),
    ];
    for (content, due) in cases {
        let (_folder, plan) = file(content);
        for format in ["full", "concise", "json"] {
            let ended = run_on(&plan, &format!("check --format {format}"));
            assert_eq!(ended.status, 1, "{due} {format}: {}", ended.err());
            assert!(ended.err.is_empty(), "{due} {format}: {}", ended.err());
            assert!(ended.out().contains(due), "{due} {format}: {}", ended.out());
            assert!(ended.out().len() < 5000, "{due} {format}: {} bytes of words", ended.out().len());
        }
        let mended = run_on(&plan, "fix --write");
        assert_eq!(mended.status, 1, "{due}: {}", mended.err());
        assert_eq!(std::fs::read(&plan).expect("it is still there"), content, "{due}: nothing is written");
        assert_eq!(run_on(&plan, "netlist").status, 2, "{due}");
    }
}

/// A file far beyond any plan is refused without being read to its end.
#[test]
fn a_file_of_gigabytes_is_2() {
    let (_folder, plan) = file("");
    let made = std::fs::OpenOptions::new().write(true).open(&plan).expect("it is there");
    made.set_len(3 << 30).expect("a file with holes takes no room");
    let ended = run_on(&plan, "check");
    assert_eq!(ended.status, 2, "{}", ended.out());
    assert!(ended.err().contains("no plan is so long"), "{}", ended.err());
}

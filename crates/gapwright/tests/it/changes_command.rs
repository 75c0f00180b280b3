//! `gapwright changes`, run as a builder runs it.

use crate::common::{PLANS, fits, path, printed, refused};

const DOCK: &str = "thistle-dock";
const MENDED: &str = "thistle-dock-mended";

#[test]
fn nothing_changes_from_a_plan_to_itself() {
    for plan in PLANS {
        let told = printed(&["changes", &path(plan), &path(plan)]);
        assert_eq!(told, "nothing changes: no wire, gap, joint or label, and no test to repeat\n", "{plan}");
    }
}

#[test]
fn what_the_mend_of_the_dock_asks_for() {
    let told = printed(&["changes", &path(DOCK), &path(MENDED)]);
    fits(&told);
    assert!(told.contains("cut gap          G-5"), "{told}");
    assert!(told.contains("tests to repeat") && told.contains("dock 2"), "{told}");
    for words in ["  cold tests", "  new tests"] {
        let line = told.lines().find(|line| line.starts_with(words)).unwrap_or_else(|| panic!("{told}"));
        assert!(line.bytes().any(|b| b.is_ascii_digit()), "{line}");
    }
    let csv = printed(&["changes", &path(DOCK), &path(MENDED), "--format", "csv"]);
    assert!(csv.starts_with("act,number,what,how,done\r\n") && csv.contains("cut gap,G-5,"), "{csv}");
}

#[test]
fn what_is_no_plan_or_no_record_is_refused() {
    let check = |arguments: &[&str], due: &str| {
        let told = refused(arguments);
        assert!(told.contains(due), "{told}");
    };
    check(&["changes", &path(MENDED), "no such file"], "cannot read");
    check(&["changes", &path(MENDED), &path(MENDED), "--record", &path(MENDED)], "no record of numbers");
}

//! The commands about what moves, run as a builder runs them.

use crate::common::{PLANS, fits, path, printed, refused};

#[test]
fn gaps_of_every_demo_plan_fit_in_80_columns() {
    for plan in PLANS {
        let text = printed(&["gaps", &path(plan)]);
        fits(&text);
        assert!(text.contains("as planned") && text.contains("well"), "{text}");
        // The demo plans leave their gaps wide enough, and not too wide.
        assert!(!text.contains("CLOSES") && !text.contains("TOO FAR"), "{text}");
    }
}

#[test]
fn gaps_of_the_dock_word_for_word() {
    let due = "\
Thistle Dock
cut on a day of 16 °C, 60 %; coldest 3 °C, 78 %, hottest 31 °C, 42 %
  to the coldest air (3 °C, 78 %), a metre of nickel silver rail shrinks by 0.21
  mm, a metre of birch plywood grows by 0.48 mm, damp alone 0.56 mm
  to the hottest air (31 °C, 42 %), a metre of nickel silver rail grows by 0.25
  mm, a metre of birch plywood shrinks by 0.31 mm, drying alone 0.4 mm
  code 100 nickel silver that cannot move at all pushes with up to 150 N, as if
  warmed by 33.9 °C; the plan does not say what holds it sideways

widths in mm: to leave on the day, then in the coldest and the hottest air
       leave   coldest (band)       hottest (band)       as planned
`dock 1`'s right rail at 90 mm, held open with 2 thin gauges
  G-1  1.00 ?  1.84 (1.49 to 2.20)  0.33 (0.05 to 0.58)  0.90: usually well
`dock 2`'s left rail at 90 mm, held open with 2 thin gauges
  G-2  1.00 ?  1.84 (1.49 to 2.20)  0.33 (0.05 to 0.58)  0.90: usually well
and 8 more with more to spare; `--most` shows them, `--format csv` has all
? = fine with typical values; no width suits every wood and alloy
gaps inside trackwork are its maker's and are not listed

not in the plan, and taken as
  least width of a gap: 0.1 mm (our own default)
  greatest width of a gap or joint: 2 mm (our own default: a small wheel hardly
  dips into it)
  grip on the rail: none, which moves it most (our own default)
";
    let text = printed(&["gaps", &path("thistle-dock"), "--most", "2"]);
    let (text, next) = text.split_once("\nnext: ").expect("what to do next");
    assert!(next.starts_with("gapwright gaps ") && next.contains("--day"), "{next}");
    assert_eq!(text, due);
}

#[test]
fn another_day_asks_for_other_widths() {
    let leave = |day: &str| {
        let csv = printed(&["gaps", &path("thistle-dock"), "--day", day, "--format", "csv"]);
        let line = csv.lines().find(|l| l.starts_with("G-1,")).expect("a gap").to_owned();
        line.split(',').nth(3).and_then(|w| w.parse::<f64>().ok()).expect("a width")
    };
    // The warmer and drier the day, the less is left to close until the hottest.
    let widths = ["8 °C, 75 %", "16 °C, 60 %", "28 °C, 45 %"].map(leave);
    assert!(widths[0] > widths[1] && widths[1] > widths[2], "{widths:?}");
    for wrong in ["22 °C", "22 °C, 145 %", "22 V, 45 %", "warm, dry"] {
        assert!(refused(&["gaps", &path("wye"), "--day", wrong]).contains("is no air"), "{wrong}");
    }
}

#[test]
fn a_plot_goes_to_a_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("gaps.svg");
    let name = file.to_str().expect("a name");
    assert_eq!(printed(&["gaps", &path("wye"), "--format", "svg", "--out", name]), "");
    let text = std::fs::read_to_string(&file).expect("a file");
    assert!(text.starts_with("<svg ") && text.contains("Sallow Fork"), "{text}");
    assert_eq!(text, printed(&["gaps", &path("wye"), "--format", "svg"]));
}

#[test]
fn what_is_not_told_is_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("plan.toml");
    let name = file.to_str().expect("a name");
    let text = "[layout]\nname = \"bare\"\nscale = \"OO\"\n[[track]]\nname = \"a\"\nfrom = \"beyond\"\nto = \"buffer\"\nlength = \"1 m\"\n";
    std::fs::write(&file, text).expect("written");
    let told = refused(&["gaps", name]);
    assert!(told.contains("it lacks `laid` under `[room]`") && told.contains("`material` under `[base]`"), "{told}");
    assert!(refused(&["linkage", name]).contains("no motor of the plan has a `throw_wire`"));
}

#[test]
fn the_throw_wire_of_the_balloon() {
    let text = printed(&["linkage", &path("balloon")]);
    fits(&text);
    for due in ["this one: well", "TOO SOFT", "TOO STIFF", "drill from below", "NMRA S-3.2"] {
        assert!(text.contains(due), "{due} in\n{text}");
    }
}

/// Where numbers come from: what the plan says leads to its line, what it does not say to a source.
#[test]
fn sources_are_told_where_they_are_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let plan = folder.path().join("plan.toml");
    let text = std::fs::read_to_string(format!("../../{}", path("thistle-dock-mended"))).unwrap();
    std::fs::write(&plan, format!("{text}\n[limits]\nslack = \"7 %\"\n")).unwrap();
    let plan = plan.to_str().unwrap();
    let line = text.lines().count() + 3;
    let sheet = printed(&["lengths", plan, "--sources"]);
    let told = sheet.split_once("where these numbers come from").unwrap().1;
    assert!(told.contains(&format!("room for slack and couplings: 7 %\n      your plan, line {line}\n")), "{told}");
    assert!(told.contains("not in your plan; usual: common practice, no source"), "{told}");
    assert!(!printed(&["lengths", plan]).contains("where these numbers come from"));
    // Every value of every topic has somebody who says it.
    let all = printed(&["check", plan, "--sources"]);
    let told = all.split_once("where these numbers come from\n").unwrap().1;
    let rows = told.lines().filter(|l| l.starts_with("  ") && !l.starts_with("      ")).count();
    assert!(rows > 30, "{told}");
    for topic in ["volts and amperes", "wires, filters and decoders", "gaps and movement", "lengths"] {
        assert!(told.contains(&format!("\n{topic}\n")), "{topic}");
    }
    assert!(refused(&["check", plan, "--format", "json", "--sources"]).contains("printed for reading"));
}

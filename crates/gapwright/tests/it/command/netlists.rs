//! Netlists, and words for settings and loads that do not fit.

use super::{demo, run};

fn netlist(args: &[&str]) -> super::Ended {
    let plan = demo("thistle-dock");
    let mut all = vec!["netlist", plan.to_str().expect("the demo's path is text")];
    all.extend_from_slice(args);
    run(&all)
}

#[test]
fn a_setting_and_a_load() {
    let plain = netlist(&[]);
    assert_eq!(plain.status, 0, "{}", plain.err());
    assert!(plain.out().trim_end().ends_with(".end"), "{}", plain.out());
    let loaded = netlist(&["--setting", "T1=diverging", "--load", "dock 1 @ 1.2 m=0.7 A"]);
    assert_eq!(loaded.status, 0, "{}", loaded.err());
    let sources = |text: &str| text.lines().filter(|l| l.starts_with('I')).count();
    assert_eq!((sources(plain.out()), sources(loaded.out())), (0, 1));
    // What is not named stands in its first position.
    assert_eq!(netlist(&["--setting", "T1=through"]).out, plain.out);
    assert_ne!(netlist(&["--setting", "T1=diverging"]).out, plain.out);
    // Units and blanks are the builder's own.
    assert_eq!(
        netlist(&["--setting", " T1 = diverging ", "--load", "dock 1 @ 1200 mm = 700 mA"]).out().lines().count(),
        loaded.out().lines().count()
    );
}

/// Each is refused, and the words name what would do.
#[test]
fn what_does_not_fit_is_2_and_says_what_would() {
    for (args, due) in [
        (["--setting", "T1"], "write `T1=diverging`"),
        (["--setting", ""], "write `T1=diverging`"),
        (["--setting", "T1=sideways"], "through and diverging"),
        (["--setting", "T1="], "through and diverging"),
        (["--setting", "T9=through"], "did you mean `T1`?"),
        (["--setting", "=through"], "there is T1"),
        (["--setting", "dock 1=through"], "there is T1"),
        (["--load", "dock 1 @ 1.2 m"], "write `dock 1 @ 1.2 m=0.7 A`"),
        (["--load", ""], "write `dock 1 @ 1.2 m=0.7 A`"),
        (["--load", "=0.7 A"], "the plan has `approach`"),
        (["--load", "dock 1=0.7 A"], "such as `dock 1 @ "),
        (["--load", "dock 9 @ 1.2 m=0.7 A"], "did you mean `dock 1`"),
        (["--load", "T1 @ 1.2 m=0.7 A"], "`approach`, `dock 1` and `dock 2`"),
        (["--load", "dock 1 @ 1.2=0.7 A"], "units that would do: `m`"),
        (["--load", "dock 1 @ 1.2 V=0.7 A"], "`V` is a unit of voltage; units that would do: `m`"),
        (["--load", "dock 1 @ 99 m=0.7 A"], "from 0 to 2.4 m"),
        (["--load", "dock 1 @ -1 m=0.7 A"], "from 0 to 2.4 m"),
        (["--load", "dock 1.left @ 1.2 m=0.7 A"], "write `dock 1 @ 1.2 m`"),
        (["--load", "dock 1.middle @ 1.2 m=0.7 A"], "`left` and `right`"),
        (["--load", "dock 1 @ 1.2 m=0.7"], "units that would do: `A`"),
        (["--load", "dock 1 @ 1.2 m=0.7 V"], "`A`"),
        (["--load", "dock 1 @ 1.2 m=-0.7 A"], "from 0 A to 100 A"),
        (["--load", "dock 1 @ 1.2 m=1e9 A"], "from 0 A to 100 A"),
        (["--load", "dock 1 @ 1.2 m=NaN A"], "`4.5 A`"),
    ] {
        let ended = netlist(&args);
        assert_eq!(ended.status, 2, "{args:?}: {}", ended.out());
        assert!(ended.out.is_empty(), "{args:?}");
        assert!(ended.err().starts_with("error: "), "{args:?}: {}", ended.err());
        assert!(ended.err().contains(due), "{args:?} should name {due:?}: {}", ended.err());
    }
}

/// A control in two positions at once is a slip of the pen, not a setting.
#[test]
fn the_same_control_twice_is_2() {
    let ended = netlist(&["--setting", "T1=through", "--setting", "T1=diverging"]);
    assert_eq!(ended.status, 2, "{}", ended.out());
    assert!(ended.err().contains("`T1` is set twice"), "{}", ended.err());
}

#[test]
fn a_plan_with_errors_has_no_netlist() {
    let (_folder, plan) = super::file("[[track]]\n");
    let ended = super::run_on(&plan, "netlist");
    assert_eq!(ended.status, 2);
    assert!(ended.err().contains("the plan has errors") && ended.err().contains("gapwright check"), "{}", ended.err());
}

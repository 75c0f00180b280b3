//! The commands for tests and work orders, run as a builder runs them.

use crate::common::{PLANS, fits, path, printed, refused};

#[test]
fn sheets_of_every_demo_plan_fit_in_80_columns() {
    for plan in PLANS {
        for asked in [&["tests"][..], &["tests", "--yearly"], &["orders"]] {
            let mut arguments = asked.to_vec();
            let plan = path(plan);
            arguments.push(&plan);
            fits(&printed(&arguments));
        }
    }
}

#[test]
fn a_cold_test_word_for_word() {
    let text = printed(&["tests", "--cold", &path("thistle-dock-mended")]);
    let due = "\
  15  feeder of dock 1 left rail at 400 mm [F-5, tap on main bus.A at 2.7 m]
      probes  dock 1 left rail at 400 mm – main bus.A at 2.7 m
      reads   12.9 mV; well: 7.7 to 25.4 mV
      wrong   104.3 mV: tap on main bus.A at 2.7 m open, or F-5 left off
      wrong   94.5 mV: 1 Ω in tap on main bus.A at 2.7 m or F-5
";
    assert!(text.contains(due), "{text}");
    assert!(text.contains("These 33 tests catch 106 of the 108 mistakes the program knows."), "{text}");
    assert!(!text.contains("hot tests\n"), "{text}");
}

#[test]
fn the_load_a_builder_owns() {
    let plan = path("thistle-dock-mended");
    // 15 V over a loop of 551 mΩ: 0.55 V at 1 A, twice that at 2 A, 15 · 0.551 / 15.551 with a resistor of 15 Ω.
    for (load, due) in [("1 A", "0.55 V"), ("2 A", "1.10 V"), ("15 Ω", "0.53 V")] {
        let text = printed(&["tests", "--hot", "--load", load, &plan]);
        let drop = text.split("drop at dock 1 at 2.4 m").nth(1).expect("a drop");
        let reads = drop.lines().find(|l| l.trim_start().starts_with("reads")).expect("a reading");
        assert!(reads.contains(due), "{load}: {reads}");
    }
    assert!(refused(&["tests", "--load", "1 m", &plan]).contains("is no load"));
    assert!(refused(&["tests", "--load", "0 A", &plan]).contains("tells nothing"));
    assert!(refused(&["tests", "plans/none.toml"]).contains("cannot read"));
}

#[test]
fn tests_for_a_spreadsheet() {
    let text = printed(&["tests", "--format", "csv", &path("two-districts")]);
    let mut lines = text.lines();
    let columns = lines.next().expect("a header").split(',').count();
    assert!(lines.clone().count() > 100);
    assert!(lines.clone().any(|l| l.starts_with("hot coin at ")));
    // No quoted field of this plan has a comma in it but those of sets, pieces and mistakes.
    let simple = lines.find(|l| !l.contains('"')).expect("a simple line");
    assert_eq!(simple.split(',').count(), columns, "{simple}");
}

#[test]
fn orders_say_what_closes_them_and_what_to_beware_of() {
    let text = printed(&["orders", &path("thistle-dock-mended")]);
    for due in [
        "wear eye protection",
        "Flux fume brings on asthma",
        "Low voltage still starts fires",
        "licensed or registered electrician",
        "done when: tug each wire: it holds",
        "below: its wires to the terminals their labels name",
        "contacts M1",
        "F-1 to F-6, W-7",
        "cold tests  ",
    ] {
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let due = due.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(&due), "{due} in\n{text}");
    }
}

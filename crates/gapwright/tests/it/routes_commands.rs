//! The commands for the bench, run as a builder runs them.

use crate::common::{PLANS, fits, path, printed, refused};

#[test]
fn ways_of_every_demo_plan_fit_in_80_columns() {
    for plan in PLANS {
        let text = printed(&["routes", &path(plan)]);
        fits(&text);
        assert!(text.contains("worst"), "{text}");
    }
}

#[test]
fn ways_of_the_dock_word_for_word() {
    let due = "\
Thistle Dock
2 routes
volts are the least with 700 mA (train `harbour goods`), aged in brackets

to dock 1
  1  from approach, 4.72 m
     set    T1 diverging
     worst  14.62 V (14.39 V), shorted 20 A (8.01 A), at dock 1 @ 2.4 m

to dock 2
  2  from approach, 4.72 m
     set    T1 through
     worst  14.67 V (14.48 V), shorted 22.5 A (8.63 A), at dock 2 @ 2.4 m

storage, live: lined
  L = live, - = dead, d = depends on turnouts that the route does not set
  route                  dock 1  dock 2
  1  approach to dock 1  L       L
  2  approach to dock 2  -       L

what feeds each storage track at its worst place
  track   contacts in series  together (aged)  of the loop (aged)
  dock 1  M1.2.diverging      50 mΩ (100 mΩ)   9 % (11 %)
  dock 2  none
";
    let text = printed(&["routes", &path("thistle-dock")]);
    let (text, next) = text.split_once("\nnext: ").expect("what to do next");
    assert!(next.starts_with("gapwright profile "), "{next}");
    assert_eq!(text, due);
}

#[test]
fn ways_as_a_record() {
    let text = printed(&["routes", &path("two-ladders"), "--to", "road 3", "--format", "json"]);
    let record: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(record["format"], "gapwright-routes");
    assert_eq!(record["routes"].as_array().map(Vec::len), Some(1));
    assert_eq!(record["routes"][0]["set"][2]["control"], "W3");
    assert_eq!(record["storage"]["live"][0][2], "live");
    let volts = &record["routes"][0]["numbers"]["volts"];
    assert!(volts["low"].as_f64() < volts["typical"].as_f64());
}

#[test]
fn ways_ask_for_tracks_that_are_there() {
    let told = refused(&["routes", &path("two-ladders"), "--to", "roda 3"]);
    assert!(told.contains("did you mean `road 3`?"), "{told}");
    let none = printed(&["routes", &path("two-ladders"), "--from", "road 1", "--to", "road 3"]);
    assert!(none.contains("no route goes over these tracks"), "{none}");
    assert!(printed(&["routes", &path("balloon")]).contains("ends waiting in a loop"));
}

#[test]
fn traces_fit_in_80_columns() {
    for (plan, place) in [
        ("thistle-dock", "dock 1 @ 1 m"),
        ("seven-tracks", "road 7 @ 1 m"),
        ("two-ladders", "road 2 @ 1 m"),
        ("balloon", "loop @ 3 m"),
        ("wye", "tail @ 1 m"),
        ("two-districts", "crossover @ 30 mm"),
    ] {
        fits(&printed(&["trace", &path(plan), place]));
    }
}

#[test]
fn a_trace_word_for_word() {
    let due = "\
Thistle Dock
set as you say: T1=diverging

dock 1.right @ 1 m is joined to booster.B

  from booster.B                                      usual     (aged)  plan
  booster to main bus.B                                1 mΩ     (1 mΩ)  line 37
  main bus.B                                        16.8 mΩ  (17.5 mΩ)  line 36
  tap on main bus.B                                    3 mΩ     (3 mΩ)  line 80
  wire from M1.2.common to main bus.B               11.7 mΩ  (12.2 mΩ)  line 80
  contact M1.2, diverging                             50 mΩ   (100 mΩ)  line 80
  wire from M1.2.diverging to dock 1.right @ 0.4 m  36.3 mΩ  (37.8 mΩ)  line 80
  dock 1 right rail                                   48 mΩ  (87.6 mΩ)  line 84
  together                                           167 mΩ   (259 mΩ)
  with all that lies beside it                       166 mΩ   (259 mΩ)
";
    let plan = path("thistle-dock");
    assert_eq!(printed(&["trace", &plan, "dock 1.right @ 1 m", "--setting", "T1=diverging"]), due);
    let dead = printed(&["trace", &plan, "dock 1.right @ 1 m"]);
    assert!(dead.contains("not named, so in the first position: T1=through"), "{dead}");
    assert!(dead.contains("contact M1.2, diverging: closes when T1 is diverging, line 80"), "{dead}");
}

#[test]
fn a_trace_of_what_is_not_there_is_refused_in_words() {
    let plan = path("thistle-dock");
    assert!(refused(&["trace", &plan, "dok 1 @ 1 m"]).contains("did you mean `dock 1`?"));
    assert!(refused(&["trace", &plan, "dock 1 @ 1 m", "--setting", "T9=through"]).contains("did you mean `T1`?"));
    assert!(refused(&["trace", "plans/none.toml", "dock 1 @ 1 m"]).contains("cannot read"));
}

#[test]
fn every_type_is_found_again_by_the_readings_it_prints() {
    for wiring in plan::tables::Wiring::WORDS {
        for hand in ["left", "right", "wye"] {
            let page = printed(&["turnout", wiring, "--hand", hand]);
            fits(&page);
            let bench = page.split("the bench test").nth(1).expect("a bench test");
            let readings: Vec<&str> = bench
                .lines()
                .filter_map(|l| l.split_whitespace().last())
                .filter(|w| ["joined", "open"].contains(w))
                .collect();
            assert_eq!(readings.len(), 6, "{page}");
            let found = printed(&["turnout", "--readings", &readings.join(","), "--hand", hand]);
            fits(&found);
            assert!(found.contains(&format!("\n  {wiring}: ")), "{wiring}: {found}");
        }
    }
}

#[test]
fn readings_that_fit_nothing_name_the_nearest() {
    let told = printed(&["turnout", "--readings", "joined,open,open,joined,joined,joined"]);
    assert!(told.contains("no type reads like this"), "{told}");
    assert!(told.contains("live-bonded, if reading 4 open"), "{told}");
}

#[test]
fn a_turnout_of_a_plan_with_what_is_wired_to_it() {
    let text = printed(&["turnout", "--plan", &path("thistle-dock"), "T1"]);
    fits(&text);
    for due in [
        "motor M1, stall, driver D1, address 21",
        "fed by contact M1.1",
        "dock 1.right @ 90 mm, line 91",
        "a left-hand turnout",
    ] {
        assert!(text.contains(due), "{due} in\n{text}");
    }
    assert!(refused(&["turnout", "--plan", &path("thistle-dock"), "T2"]).contains("did you mean `T1`?"));
}

#[test]
fn turnouts_and_readings_that_are_none() {
    fits(&printed(&["turnout"]));
    assert!(refused(&["turnout", "live-bnded"]).contains("did you mean `live-bonded`?"));
    assert!(refused(&["turnout", "--readings", "joined,shut,open,open,open,open"]).contains("`shut` is no reading"));
    assert!(refused(&["turnout", "--readings", "joined"]).contains("6 readings are due"));
    assert!(refused(&["turnout", "--plan", &path("wye")]).contains("which turnout"));
}

//! The common acts: what they change is changed, what they leave alone stays byte for byte, what does not fit is refused.
//!
//! What should be read back is worked out on the values of the TOML alone, without the places that the edits go by.

use plan::acts::{ActRefused, Acted, PlanAct, open_ends, perform};
use plan::{Kind, PlanReading};
use proptest::prelude::*;
use toml::{Table, Value};

const DEMOS: [&str; 7] =
    ["balloon", "seven-tracks", "thistle-dock", "thistle-dock-mended", "two-districts", "two-ladders", "wye"];

fn demo(name: &str) -> String {
    let path = format!("{}/../../plans/{name}/plan.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("the demo plans are part of the repository")
}

fn values(text: &str) -> Table {
    text.parse().unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn words(value: &str) -> Value {
    Value::String(value.to_owned())
}

/// The table of a name among those of a kind.
fn named<'t>(plan: &'t mut Table, kind: &str, name: &str) -> &'t mut Table {
    let list = plan.get_mut(kind).and_then(Value::as_array_mut).expect("tables of that kind");
    let found = list.iter_mut().filter_map(Value::as_table_mut).find(|t| t["name"].as_str() == Some(name));
    found.unwrap_or_else(|| panic!("no {kind} {name}"))
}

fn list<'t>(plan: &'t mut Table, key: &str) -> &'t mut Vec<Value> {
    plan.entry(key).or_insert_with(|| Value::Array(Vec::new())).as_array_mut().expect("a list")
}

fn table(keys: &[(&str, &str)]) -> Value {
    Value::Table(keys.iter().map(|(key, value)| ((*key).to_owned(), words(value))).collect())
}

/// The comment of a line; quotes of the demo plans hold no `#`.
fn comment(line: &str) -> Option<&str> {
    line.find('#').map(|at| &line[at..])
}

/// Holds that all lines but `most` stay as they are and in their order, and no comment is lost.
fn lines_stay(before: &str, after: &str, most: usize) {
    let (old, new): (Vec<&str>, Vec<&str>) = (before.split('\n').collect(), after.split('\n').collect());
    let same = |(a, b): &(&&str, &&str)| a == b;
    let head = old.iter().zip(&new).take_while(same).count();
    let (old, new) = (&old[head..], &new[head..]);
    let tail = old.iter().rev().zip(new.iter().rev()).take_while(same).count();
    let (old, new) = (&old[..old.len() - tail], &new[..new.len() - tail]);
    // The most lines that both have in one order; what is left of the old ones is gone.
    let mut common = vec![0; new.len() + 1];
    for line in old {
        let mut diagonal = 0;
        for (n, other) in new.iter().enumerate() {
            let up = common[n + 1];
            common[n + 1] = if line == other { diagonal + 1 } else { up.max(common[n]) };
            diagonal = up;
        }
    }
    let gone = old.len() - common[new.len()];
    assert!(gone <= most, "{gone} of the lines {old:?} are not in {new:?} of\n{after}");
    for comment in before.lines().filter_map(comment) {
        assert!(after.contains(comment), "lost: {comment}");
    }
}

/// Does an act, and holds what it changed against what it should; then the other parts of the text.
fn check(text: &str, act: &PlanAct<'_>, most: usize, should: impl Fn(&mut Table)) -> Acted {
    let acted = perform(text, act).unwrap_or_else(|refused| panic!("{act:?}: {refused:?}\n{text}"));
    let mut due = values(text);
    should(&mut due);
    assert_eq!(values(&acted.text), due, "{act:?} of\n{text}\nmade\n{}", acted.text);
    lines_stay(text, &acted.text, most);
    assert_eq!(acted.text.matches('#').count(), text.matches('#').count());
    assert_eq!(finding::apply(text, &acted.edits).as_deref(), Ok(acted.text.as_str()));
    let bare = |text: &str| text.matches('\n').count() - text.matches("\r\n").count();
    if text.contains("\r\n") {
        assert_eq!(bare(&acted.text), 0, "line breaks of one kind");
    }
    acted
}

fn understood(text: &str) -> PlanReading {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}\n{text}", reading.findings);
    reading
}

/// Every act, on each thing of a plan that it can be about.
fn every_act(text: &str) {
    let reading = understood(text);
    let plan = &reading.plan;
    for track in &plan.track {
        let name = track.name.value.as_str();
        check(text, &PlanAct::Length { of: name, length: "31.4 m" }, 1, |p| {
            named(p, "track", name)["length"] = words("31.4 m");
        });
        check(text, &PlanAct::Wire { of: name, feeder: None, wire: "0.75 mm²" }, 1, |p| {
            named(p, "track", name).insert("feeder_wire".to_owned(), words("0.75 mm²"));
        });
        for (index, feeder) in track.feeders.iter().enumerate() {
            let act = PlanAct::Wire { of: name, feeder: Some(index + 1), wire: "18 AWG" };
            let acted = check(text, &act, 1, |p| {
                let item = &mut list(named(p, "track", name), "feeders")[index];
                if let Value::String(at) = item {
                    *item = table(&[("at", at)]);
                }
                item.as_table_mut().expect("a table").insert("wire".to_owned(), words("18 AWG"));
            });
            let now = understood(&acted.text).plan.track.into_iter().find(|t| t.name.value == name).expect("there");
            assert_eq!(now.feeders.items[index].value.at.value, feeder.value.at.value);
        }
        check(text, &PlanAct::AddGap { track: name, at: "47.3 mm", rail: "left" }, 2, |p| {
            list(named(p, "track", name), "gaps").push(table(&[("at", "47.3 mm"), ("rail", "left")]));
        });
        check(text, &PlanAct::AddGap { track: name, at: "47.3 mm", rail: "both" }, 2, |p| {
            list(named(p, "track", name), "gaps").push(words("47.3 mm"));
        });
        if let Some(bus) = plan.bus.first() {
            let to = format!("{}.A", bus.name.value);
            check(text, &PlanAct::AddFeeder { track: name, at: "1.9 in", rail: "right", to: &to }, 2, |p| {
                let item = table(&[("at", "1.9 in"), ("rail", "right"), ("to", &to)]);
                list(named(p, "track", name), "feeders").push(item);
            });
        }
    }
    for bus in &plan.bus {
        let name = bus.name.value.as_str();
        check(text, &PlanAct::Wire { of: name, feeder: None, wire: "4 mm²" }, 1, |p| {
            named(p, "bus", name)["wire"] = words("4 mm²");
        });
        check(text, &PlanAct::Length { of: name, length: "60 ft" }, 1, |p| {
            named(p, "bus", name)["length"] = words("60 ft")
        });
    }
    new_things(text, &reading);
}

fn new_things(text: &str, reading: &PlanReading) {
    let ends = open_ends(&reading.plan, &reading.names);
    assert!(!ends.is_empty(), "no demo plan is without an open end");
    for end in &ends {
        let act = PlanAct::AddTrack {
            name: "spur, new",
            from: &end.words,
            to: "buffer",
            length: "35 mm",
            left: "",
            right: "",
        };
        let split = |words: &str| words.rsplit_once('.').map(|(n, e)| (n.to_owned(), e.to_owned())).expect("an end");
        let joined = |p: &mut Table, to: &str| {
            if end.now.is_some() {
                let (name, which) = split(&end.words);
                named(p, "track", &name)[&which] = words(to);
            }
        };
        let acted = check(text, &act, 1, |p| {
            joined(p, "spur, new.from");
            let keys = [("name", "spur, new"), ("from", end.words.as_str()), ("to", "buffer"), ("length", "35 mm")];
            list(p, "track").push(table(&keys));
        });
        understood(&acted.text);
        if end.now.is_some() {
            let act = PlanAct::AddTurnout {
                name: "T 99",
                hand: "wye",
                wiring: "insulated-bonded",
                number: "6,5",
                joins: &end.words,
                by: "diverging",
            };
            let acted = check(text, &act, 1, |p| {
                joined(p, "T 99.right");
                let mut new = table(&[("name", "T 99"), ("hand", "wye"), ("wiring", "insulated-bonded")]);
                new.as_table_mut().expect("a table").insert("number".to_owned(), Value::Float(6.5));
                list(p, "turnout").push(new);
            });
            let reading = understood(&acted.text);
            assert!(matches!(reading.names.get("T 99"), Some((Kind::Turnout, _))));
            // Its two other ends are open now, and a track can join them.
            let open = open_ends(&reading.plan, &reading.names);
            assert!(open.iter().any(|e| e.words == "T 99.left") && open.iter().all(|e| e.words != "T 99.right"));
        }
    }
}

#[test]
fn every_act_on_every_demo_plan() {
    for name in DEMOS {
        every_act(&demo(name));
    }
}

#[test]
fn line_breaks_of_two_characters_stay_so() {
    for name in DEMOS {
        every_act(&demo(name).replace('\n', "\r\n"));
    }
}

#[test]
fn tables_with_headers_of_their_own_are_not_torn() {
    let text = "[layout]\nname = \"x\"\nscale = \"N\"\n\n[[track]] # one\nname = \"a\"\nfrom = \"buffer\"\nto = \"buffer\" # end\n\
                length = \"1 m\" # long\n[[track.gaps]]\nat = \"0.3 m\" # here\n[track.along]\nbus = \"b\"\nfrom = \"0 m\"\nto = \"1 m\" # last\n\n\
                # the bus\n[[bus]]\nname = \"b\"\nsupply = \"s\"\nwire = \"14 AWG\"\nlength = \"2 m\"\n[[supply]]\nname = \"s\"\nvoltage = \"12 V\"";
    understood(text);
    check(text, &PlanAct::Wire { of: "a", feeder: None, wire: "20 AWG" }, 0, |p| {
        named(p, "track", "a").insert("feeder_wire".to_owned(), words("20 AWG"));
    });
    let act = PlanAct::AddTrack { name: "n", from: "a.to", to: "beyond", length: "2 m", left: "b.A", right: "b.B" };
    let acted = check(text, &act, 1, |p| {
        named(p, "track", "a")["to"] = words("n.from");
        let keys =
            [("name", "n"), ("from", "a.to"), ("to", "beyond"), ("length", "2 m"), ("left", "b.A"), ("right", "b.B")];
        list(p, "track").push(table(&keys));
    });
    assert!(acted.text.contains("# last\n\n[[track]]\nname   = \"n\"\n"), "{}", acted.text);
    let refused =
        perform(text, &PlanAct::AddGap { track: "a", at: "0.5 m", rail: "left" }).expect_err("not in brackets");
    assert!(refused.instead.contains("in the text"));
}

/// A list with comments in it, closed on a line of its own, with and without a last comma.
#[test]
fn lists_keep_the_comments_in_them() {
    for gaps in [
        "[ # none yet\n]",
        "[\n  \"0.2 m\", # one\n]",
        "[\n  \"0.2 m\" # one, two ]\n]",
        "[\"0.2 m\", # a\n]",
        "[]",
        "[\n \"0.2 m\"\n ,\n]",
    ] {
        let text = demo("thistle-dock")
            .replace("gaps    = [{ at = \"0.09 m\", rail = \"left\" }]", &format!("gaps = {gaps} # gaps"));
        for text in [text.clone(), text.replace('\n', "\r\n")] {
            check(&text, &PlanAct::AddGap { track: "dock 2", at: "1 m", rail: "both" }, 2, |p| {
                list(named(p, "track", "dock 2"), "gaps").push(words("1 m"));
            });
        }
    }
}

#[test]
fn a_refusal_names_the_field_and_what_would_do() {
    let text = demo("thistle-dock");
    let track =
        PlanAct::AddTrack { name: "dock 3", from: "dock 2.to", to: "buffer", length: "1 m", left: "", right: "" };
    let PlanAct::AddTrack { name, from, to, length, left, right } = track else { unreachable!() };
    let turnout = |hand, wiring, number, joins, by| PlanAct::AddTurnout { name: "T2", hand, wiring, number, joins, by };
    for (act, field) in [
        (PlanAct::AddTrack { name: " ", from, to, length, left, right }, "name"),
        (PlanAct::AddTrack { name: "T1", from, to, length, left, right }, "name"),
        (PlanAct::AddTrack { name: "beyond", from, to, length, left, right }, "name"),
        (PlanAct::AddTrack { name, from: "T1.points", to, length, left, right }, "from"),
        (PlanAct::AddTrack { name, from: "approach.to", to, length, left, right }, "from"),
        (PlanAct::AddTrack { name, from: "nowhere", to, length, left, right }, "from"),
        (PlanAct::AddTrack { name, from, to: from, length, left, right }, "to"),
        (PlanAct::AddTrack { name, from, to, length: "1.2", left, right }, "length"),
        (PlanAct::AddTrack { name, from, to, length: "0 m", left, right }, "length"),
        (PlanAct::AddTrack { name, from, to, length: "2 A", left, right }, "length"),
        (PlanAct::AddTrack { name, from, to, length, left: "booster 2.A", right }, "left"),
        (PlanAct::AddTrack { name, from, to, length, left: "main bus.A", right: "main bus.A" }, "right"),
        (turnout("straight", "live-bonded", "5", "", ""), "hand"),
        (turnout("left", "soldered", "5", "", ""), "wiring"),
        (turnout("left", "live-bonded", "a lot", "", ""), "number"),
        (turnout("left", "live-bonded", "5", "T1.points", "points"), "joins"),
        (turnout("left", "live-bonded", "5", "buffer", "points"), "joins"),
        (turnout("left", "live-bonded", "5", "dock 1.to", "side"), "by"),
        (PlanAct::AddFeeder { track: "dock 3", at: "1 m", rail: "left", to: "" }, "of"),
        (PlanAct::AddFeeder { track: "dock 1", at: "2.5 m", rail: "left", to: "" }, "at"),
        (PlanAct::AddFeeder { track: "dock 1", at: "-1 m", rail: "left", to: "" }, "at"),
        (PlanAct::AddFeeder { track: "dock 1", at: "400 mm", rail: "left", to: "" }, "at"),
        (PlanAct::AddFeeder { track: "dock 1", at: "1 m", rail: "middle", to: "" }, "rail"),
        (PlanAct::AddFeeder { track: "dock 1", at: "1 m", rail: "right", to: "" }, "to"),
        (PlanAct::AddFeeder { track: "dock 1", at: "1 m", rail: "both", to: "" }, "to"),
        (PlanAct::AddFeeder { track: "dock 2", at: "1 m", rail: "both", to: "main bus.A" }, "to"),
        (PlanAct::AddGap { track: "dock 1", at: "90 mm", rail: "both" }, "at"),
        (PlanAct::AddGap { track: "dock 1", at: "soon", rail: "left" }, "at"),
        (PlanAct::Length { of: "T1", length: "1 m" }, "of"),
        (PlanAct::Length { of: "dock 1", length: "" }, "length"),
        (PlanAct::Wire { of: "main bus", feeder: None, wire: "5 bananas" }, "wire"),
        (PlanAct::Wire { of: "main bus", feeder: Some(1), wire: "14 AWG" }, "of"),
        (PlanAct::Wire { of: "dock 1", feeder: Some(9), wire: "14 AWG" }, "of"),
    ] {
        let ActRefused { field: told, why, instead } = perform(&text, &act).expect_err(&format!("{act:?}"));
        assert_eq!(told, field, "{act:?}: {why}");
        assert!(!why.is_empty() && !instead.is_empty(), "{act:?}: {why}; {instead}");
    }
    assert!(perform("[layout", &track).is_err_and(|r| r.field.is_empty()), "a plan that is not understood");
    perform(&text, &track).expect("what all these differ from is done");
}

#[test]
fn what_makes_a_plan_not_understood_is_done_and_can_be_seen() {
    let text = demo("thistle-dock");
    let acted = perform(&text, &PlanAct::Length { of: "dock 1", length: "35 mm" }).expect("it is a length");
    assert!(!plan::read(&acted.text).understood(), "its gap and its feeder are not on it any more");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Comments at line ends and on lines of their own, blank lines and spaces, anywhere.
    #[test]
    fn comments_anywhere_are_kept(which in 0usize..7, notes in proptest::collection::vec((0usize..400, 0u8..4), 1..40)) {
        let text = demo(DEMOS[which]);
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        for (count, (at, how)) in notes.into_iter().enumerate() {
            let at = at % lines.len();
            match how {
                0 if !lines[at].contains('#') => lines[at].push_str(&format!(" # note {count}, [ready]")),
                1 => lines.insert(at, format!("# line {count}")),
                2 => lines.insert(at, String::new()),
                _ => lines[at].push_str("  "),
            }
        }
        every_act(&(lines.join("\n") + "\n"));
    }
}

/// The act of a form, from its answers in their order.
fn act_of<'s>(which: usize, said: &'s [String; 6], feeder: Option<usize>) -> PlanAct<'s> {
    let [a, b, c, d, e, f] = said.each_ref().map(String::as_str);
    match which {
        0 => PlanAct::AddTrack { name: a, from: b, to: c, length: d, left: e, right: f },
        1 => PlanAct::AddTurnout { name: a, hand: b, wiring: c, number: d, joins: e, by: f },
        2 => PlanAct::AddFeeder { track: a, at: b, rail: c, to: d },
        3 => PlanAct::AddGap { track: a, at: b, rail: c },
        4 => PlanAct::Length { of: a, length: b },
        _ => PlanAct::Wire { of: a, feeder, wire: b },
    }
}

/// Answers: those that fit the question mostly, and anything at all.
fn answers() -> impl Strategy<Value = (usize, [String; 6])> {
    const FIT: [[&str; 6]; 6] = [
        ["spur", "dock 2.to", "buffer", "1 m", "main bus.A", ""],
        ["T2", "left", "live-bonded", "5", "dock 1.to", "points"],
        ["dock 1", "1 m", "left", "", "", ""],
        ["dock 2", "35 mm", "both", "", "", ""],
        ["dock 1", "3 m", "", "", "", ""],
        ["approach", "14 AWG", "", "", "", ""],
    ];
    let odd = prop_oneof![
        prop::sample::select(vec![
            "\"",
            "x\"\nname = \"y",
            "'''",
            "\\",
            "x # y",
            "]",
            "}",
            "[[track]]",
            "\r\n",
            "\u{0}",
            "T1",
            "dock 1.from",
            "beyond",
            "1e9 m",
        ])
        .prop_map(str::to_owned),
        "\\PC{0,12}",
    ];
    (0usize..6, proptest::collection::vec(proptest::option::weighted(0.3, odd), 6)).prop_map(|(which, odd)| {
        let mut said = FIT[which].map(str::to_owned);
        for (said, odd) in said.iter_mut().zip(odd) {
            if let Some(odd) = odd {
                *said = odd;
            }
        }
        (which, said)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// Whatever is said, it is refused, or it is a value and cannot break out of its quotes: all else reads as before.
    #[test]
    fn nothing_that_is_said_breaks_out((which, said) in answers(), feeder in proptest::option::of(0usize..4)) {
        let text = demo("thistle-dock");
        let act = act_of(which, &said, feeder);
        if let Ok(acted) = perform(&text, &act) {
            let (before, after) = (values(&text), values(&acted.text));
            let count = |plan: &Table, kind: &str| plan.get(kind).and_then(Value::as_array).map_or(0, Vec::len);
            prop_assert_eq!(before.keys().collect::<Vec<_>>(), after.keys().collect::<Vec<_>>());
            for kind in ["track", "turnout", "bus", "motor", "supply", "train"] {
                let more = usize::from((which, kind) == (0, "track") || (which, kind) == (1, "turnout"));
                prop_assert_eq!(count(&after, kind), count(&before, kind) + more, "{:?}", act);
            }
            lines_stay(&text, &acted.text, 3);
            prop_assert!(!plan::read(&acted.text).findings.iter().any(|f| f.name == "plan-syntax" || f.name == "unknown-key"));
        }
    }
}

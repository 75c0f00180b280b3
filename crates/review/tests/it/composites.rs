//! What composites stand for is sound, and fixes of it are made in the builder's own words.

use finding::Severity;
use review::{fix_all, review};

const WIRINGS: [&str; 7] =
    ["insulated-routed", "insulated-bonded", "metal-tip", "live-routed", "live-assisted", "live-bonded", "live-unfed"];

/// A plan around some tables: supplies, a bus, a driver and a track that leads to them.
fn plan(tables: &str) -> String {
    format!(
        r#"[layout]
name = "around"
scale = "H0"
joint = "soldered"

[[supply]]
name = "booster"
voltage = "15 V"
rating = "3 A"
trips = {{ at = "3.5 A", after = "100 ms" }}

[[supply]]
name = "points supply"
kind = "accessory"
voltage = "12 V"
rating = "1 A"
trips = {{ at = "1.2 A", after = "100 ms" }}

[[bus]]
name = "points bus"
supply = "points supply"
wire = "1.5 mm²"
length = "4 m"

[[driver]]
name = "D1"
kind = "decoder"
outputs = 16
address = 21
from = "points bus @ 1 m"

[[bus]]
name = "main bus"
supply = "booster"
wire = "4 mm²"
pair = "twisted"
length = "12 m"

[[track]]
name = "lead"
from = "beyond"
length = "1.5 m"
left = "main bus.A"
right = "main bus.B"
along = {{ bus = "main bus", from = "0 m", to = "1.5 m" }}
feeders = ["0.3 m", "1.2 m"]

{tables}"#
    )
}

/// Faults that a composite of its own would be to blame for: not that no train is said, or how far a rail moves.
fn faults(text: &str) -> Vec<String> {
    let found = review(text).findings.into_iter();
    // Blades and contact of an assisted turnout never change at one moment (docs/trackwork.md).
    let assisted = text.contains("live-assisted");
    // A frog that nothing feeds is dead, and with it the rails within the turnout behind it.
    let unfed = text.contains("live-unfed");
    let of_its_kind = |f: &finding::Finding| {
        (assisted && f.name == "mid-throw-short")
            || (unfed && f.name == "dead-rail" && (f.message.contains(" diverging`") || f.message.contains(" right`")))
    };
    let found = found.filter(|f| f.severity != Severity::Note && !of_its_kind(f));
    found.map(|f| format!("{}: {}", f.name, f.message)).collect()
}

/// That none of these plans has a fault.
fn sound(plans: &[String]) {
    let faulty: Vec<(Vec<String>, &String)> =
        plans.iter().map(|text| (faults(text), text)).filter(|(found, _)| !found.is_empty()).collect();
    let told: Vec<String> = faulty
        .iter()
        .map(|(found, text)| {
            format!("{found:#?}\n{}", text.split("feeders = [\"0.3 m\", \"1.2 m\"]").nth(1).unwrap_or(text))
        })
        .collect();
    assert!(faulty.is_empty(), "{} of {}:\n{}", faulty.len(), plans.len(), told.join("\n"));
}

#[test]
fn ladders_of_every_kind_are_sound() {
    let mut all = Vec::new();
    for wiring in WIRINGS {
        for hand in ["left", "right", "wye"] {
            for onward in ["through", "diverging"] {
                for live in ["", "live = \"lined\"", "live = \"always\"", "live = \"by hand\""] {
                    all.push(plan(&format!(
                        "[[ladder]]\nname = \"quay\"\nfrom = \"lead\"\nonward = \"{onward}\"\nturnout = {{ number = 6, hand = \"{hand}\", wiring = \"{wiring}\" }}\ntracks = [\"2.4 m\", \"2.1 m\", \"1.8 m\"]\nmotor = {{ kind = \"stall\", driver = \"D1\", wire = \"1.5 mm²\" }}\nfeeders = {{ every = \"1 m\", wire = \"1 mm²\" }}\n{live}\n"
                    )));
                }
            }
        }
    }
    sound(&all);
}

#[test]
fn yards_of_every_kind_are_sound() {
    let mut all = Vec::new();
    for wiring in WIRINGS {
        for hand in ["left", "right"] {
            for live in ["", "live = \"both ends agree\"", "live = \"either end\"", "live = \"always\""] {
                all.push(plan(&format!(
                    "[[track]]\nname = \"exit\"\nto = \"beyond\"\nlength = \"1 m\"\nleft = \"main bus.A\"\nright = \"main bus.B\"\nfeeders = [\"0.5 m\"]\n\n[[yard]]\nname = \"yard\"\nfrom = \"lead\"\nto = \"exit\"\nturnout = {{ number = 6, hand = \"{hand}\", wiring = \"{wiring}\" }}\ntracks = [\"2.4 m\"]\ncount = 4\nmotor = {{ kind = \"stall\", driver = \"D1\", wire = \"1.5 mm²\" }}\nfeeders = {{ every = \"1 m\", wire = \"1 mm²\" }}\n{live}\n"
                )));
            }
        }
    }
    sound(&all);
}

#[test]
fn loops_of_every_kind_are_sound() {
    let mut all = Vec::new();
    for wiring in WIRINGS {
        for hand in ["left", "right", "wye"] {
            for phase in ["contacts", "reverser"] {
                all.push(plan(&format!(
                    "[[turning_loop]]\nname = \"loop\"\nfrom = \"lead\"\nturnout = {{ number = 6, hand = \"{hand}\", wiring = \"{wiring}\" }}\ntrack = \"4.8 m\"\nphase = \"{phase}\"\nmotor = {{ kind = \"stall\", driver = \"D1.1\", wire = \"1.5 mm²\" }}\n"
                )));
            }
        }
    }
    sound(&all);
}

#[test]
fn crossovers_of_every_kind_are_sound() {
    let mut all = Vec::new();
    let around = r#"[[bus_run]]
name     = "main bus"
tracks   = ["west", "east"]
starts   = "2 m"
feeders  = { every = "0.8 m" }

[[bus_run]]
name     = "main bus"
tracks   = ["far east", "far west"]
starts   = "2 m"
a        = "right"
feeders  = { every = "0.8 m" }

[[track]]
name = "west"
from = "lead.to"
to = "X a.points"
length = "1 m"

[[track]]
name = "east"
from = "X a.through"
to = "beyond"
length = "1 m"
gaps = ["50 mm"]

[[track]]
name = "far east"
from = "beyond"
to = "X b.points"
length = "1 m"

[[track]]
name = "far west"
from = "X b.through"
to = "beyond"
length = "1 m"
gaps = ["50 mm"]
"#;
    for wiring in WIRINGS {
        for hand in ["left", "right"] {
            let crossover = format!(
                "[[crossover]]\nname = \"X\"\nturnout = {{ number = 6, hand = \"{hand}\", wiring = \"{wiring}\" }}\nbetween = \"200 mm\"\nmotor = {{ kind = \"stall\", driver = \"D1.1\" }}\n"
            );
            // Those of a run say what their rails belong to, so the run stands above what asks.
            let text = plan(&format!("{around}\n{crossover}"));
            let text = text.replacen("from = \"beyond\"\n", "from = \"beyond\"\nto = \"west.from\"\n", 1);
            all.push(text);
        }
    }
    sound(&all);
}

#[test]
fn a_fix_of_what_a_ladder_stands_for_is_a_table_that_overrides_it() {
    // Without its gaps the frog of each turnout meets what is fed beyond it.
    let ladder = r#"[[ladder]]
name    = "quay"
from    = "lead"
turnout = { number = 6, hand = "right", wiring = "live-bonded" }
tracks  = ["2.4 m", { length = "2.1 m", gaps = [] }, "1.8 m"] # the second one's gap was forgotten
motor   = { kind = "stall", driver = "D1", wire = "1.5 mm²" }
feeders = { every = "1 m" }
"#;
    for line_break in ["\n", "\r\n"] {
        let text = plan(ladder).replace('\n', line_break);
        let found = review(&text);
        let first = found.findings.iter().find(|f| f.severity == Severity::Error).expect("a short");
        let place = first.place().expect("a place");
        assert!(place.span.end <= text.len(), "{first:#?}");
        let fixed = fix_all(text.as_bytes());
        assert!(!fixed.steps.is_empty(), "{:#?}", found.findings);
        assert!(!fixed.errors_left, "{}", fixed.text);
        assert!(fixed.text.contains(&text[..text.find("[[ladder]]").unwrap()]), "what stands before stays");
        assert!(fixed.text.contains("# the second one's gap was forgotten"));
        let breaks = fixed.text.matches('\n').count();
        assert_eq!(fixed.text.matches(line_break).count(), breaks, "{:?}", fixed.text);
        println!("{}", fixed.text.split("[[ladder]]").nth(1).unwrap());
        sound(&[fixed.text]);
    }
}

//! What is proposed for wires that are too thin.

use crate::questions::{changed, names, told};

/// The change that is proposed for the first finding of a name.
fn proposal(text: &str, name: &str) -> finding::Proposal {
    let found = review::review(text).findings.into_iter().find(|f| f.name == name);
    found.and_then(|f| f.proposal).unwrap_or_else(|| panic!("nothing is proposed for {name}:\n{text}"))
}

#[test]
fn a_wire_that_is_too_thin_is_made_as_thick_as_it_must_be() {
    let text = changed("wire-too-thin", &[]);
    let fix = proposal(&text, "wire-too-thin");
    assert_eq!(told(&finding::apply(&text, &fix.edits).unwrap(), "wire-too-thin").len(), 0, "{}", fix.says);
    // In American sizes it is one that shops have.
    let text = text.replace("0.14 mm²", "27 AWG");
    let fix = proposal(&text, "wire-too-thin");
    assert!(["24 AWG", "22 AWG", "20 AWG", "18 AWG"].iter().any(|size| fix.says.starts_with(size)), "{}", fix.says);
    assert_eq!(told(&finding::apply(&text, &fix.edits).unwrap(), "wire-too-thin").len(), 0);
}

#[test]
fn a_bus_far_too_thin_gets_the_first_size_that_is_enough() {
    // 60 m of 36 AWG: the next three sizes do not bring what is missing.
    let plan = |wire: &str| {
        format!(
            r#"
[layout]
name = "thin"
scale = "OO"
rail = "code 100 nickel silver"

[[supply]]
name = "booster"
voltage = "15 V"
rating = "4 A"
trips = {{ at = "4 A", after = "100 ms" }}

[[bus]]
name = "main"
supply = "booster"
wire = "{wire}"
length = "60 m"
pair = "twisted"

[[track]]
name = "line"
from = "buffer"
to = "buffer"
length = "3 m"
left = "main.A"
right = "main.B"
feeders = ["0.5 m", "1.5 m", "2.5 m"]
"#
        )
    };
    let text = plan("36 AWG");
    let fix = proposal(&text, "voltage-drop");
    assert_eq!(told(&finding::apply(&text, &fix.edits).unwrap(), "voltage-drop").len(), 0, "{}", fix.says);
    // The wire is too thin for its breaker, too, which no short opens: one edit is enough for both.
    let fix = proposal(&text, "wire-too-thin");
    let after = names(&finding::apply(&text, &fix.edits).unwrap());
    assert!(!after.contains(&"wire-too-thin") && !after.contains(&"breaker-may-not-trip"), "{}: {after:?}", fix.says);
    // Where the wiring would take more than the supply has, no volts are left; they are not less than none.
    let text = plan("36 AWG").replace("60 m", "900 m");
    let line = &review::review(&text).figures.unwrap().tracks[0];
    assert_eq!((line.volts.low, line.volts.typical), (0.0, 0.0));
}

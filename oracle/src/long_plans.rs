//! Plans of any size, right by construction.

use std::fmt::Write as _;

fn head(bus_metres: f64) -> String {
    format!(
        "[layout]\nname = \"large\"\nscale = \"OO\"\nrail = \"code 100 nickel silver\"\n\
         [limits]\ndrop = \"90 %\"\nfault_margin = 1.0\n\
         [[train]]\nname = \"railcar\"\nlength = \"0.3 m\"\ndraws = {{ running = \"1 mA\" }}\n\
         [[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\nrating = \"1 A\"\ntrips = {{ at = \"1 mA\" }}\n\
         [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"6 mm²\"\nlength = \"{bus_metres} m\"\n"
    )
}

/// A line of so many tracks of 0.3 m, end to end, each with feeders of its own.
pub fn chain(tracks: usize) -> String {
    let mut text = head(tracks as f64 * 0.3 + 2.0);
    for k in 0..tracks {
        let from = if k == 0 { "beyond".to_owned() } else { format!("piece {}.to", k - 1) };
        let to = if k + 1 == tracks { "beyond".to_owned() } else { format!("piece {}.from", k + 1) };
        let start = k as f64 * 0.3;
        let end = start + 0.3;
        let _ = write!(
            text,
            "[[track]]\nname = \"piece {k}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"0.3 m\"\n\
             left = \"bus.A\"\nright = \"bus.B\"\nalong = {{ bus = \"bus\", from = \"{start:.1} m\", to = \"{end:.1} m\" }}\n\
             feeders = [\"0.1 m\"]\n"
        );
    }
    text
}

/// A yard of left-hand turnouts `T1`, `T2` and so on, one behind the other's through leg, each with a road;
/// `wrong` has the two wires of its frog contact exchanged.
pub fn ladder(turnouts: usize, wrong: Option<usize>) -> String {
    let mut text = head(20.0);
    let track = |name: String, from: String, to: String, gap: &str, text: &mut String| {
        let _ = write!(
            text,
            "[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"0.3 m\"\n\
             left = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"0.1 m\"]\n"
        );
        if !gap.is_empty() {
            let _ = writeln!(text, "gaps = [{{ at = \"20 mm\", rail = \"{gap}\" }}]");
        }
    };
    for k in 1..=turnouts {
        // The frog has the phase of the stock rail that the closed blade touches: the near one, A, set through
        // (docs/trackwork.md; common practice, no source).
        let (through, diverging) = if wrong == Some(k) { ("B", "A") } else { ("A", "B") };
        let from = if k == 1 { "beyond".to_owned() } else { format!("T{}.through", k - 1) };
        track(format!("lead {k}"), from, format!("T{k}.points"), if k == 1 { "" } else { "left" }, &mut text);
        track(format!("road {k}"), format!("T{k}.diverging"), "buffer".to_owned(), "right", &mut text);
        let _ = write!(
            text,
            "[[turnout]]\nname = \"T{k}\"\nnumber = 5\nhand = \"left\"\nwiring = \"live-bonded\"\n\
             [[motor]]\nname = \"M{k}\"\nmoves = \"T{k}\"\n\
             contact = [{{ common = \"T{k}.frog\", through = \"bus.{through}\", diverging = \"bus.{diverging}\" }}]\n"
        );
    }
    track("last road".to_owned(), format!("T{turnouts}.through"), "buffer".to_owned(), "left", &mut text);
    text
}

/// A line with so many passing loops, one behind the other: each doubles the ways. West to east, left is A.
pub fn passing_loops(loops: usize) -> String {
    let mut text = head(20.0);
    let track = |name: String, from: String, to: String, gaps: &str, text: &mut String| {
        let _ = write!(
            text,
            "[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"0.3 m\"\n\
             left = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"0.1 m\"]\n{gaps}"
        );
    };
    for k in 1..=loops {
        let from = if k == 1 { "beyond".to_owned() } else { format!("E{}.points", k - 1) };
        track(format!("line {k}"), from, format!("W{k}.points"), "", &mut text);
        // Behind the frogs: the north rail of the main track, the south rail of the loop, at both ends.
        for (name, leg, side) in [("main", "through", "left"), ("loop", "diverging", "right")] {
            let gaps = ["20 mm", "280 mm"].map(|at| format!("{{ at = \"{at}\", rail = \"{side}\" }}")).join(", ");
            let (from, to) = (format!("W{k}.{leg}"), format!("E{k}.{leg}"));
            track(format!("{name} {k}"), from, to, &format!("gaps = [{gaps}]\n"), &mut text);
        }
        // Both loops lie to the north: to the left seen from the west, to the right seen from the east.
        for (turnout, hand) in [("W", "left"), ("E", "right")] {
            let _ = write!(
                text,
                "[[turnout]]\nname = \"{turnout}{k}\"\nnumber = 5\nhand = \"{hand}\"\nwiring = \"live-bonded\"\n\
                 [[motor]]\nname = \"M{turnout}{k}\"\nmoves = \"{turnout}{k}\"\n\
                 contact = [{{ common = \"{turnout}{k}.frog\", through = \"bus.A\", diverging = \"bus.B\" }}]\n"
            );
        }
    }
    track("last line".to_owned(), format!("E{loops}.points"), "beyond".to_owned(), "", &mut text);
    text
}

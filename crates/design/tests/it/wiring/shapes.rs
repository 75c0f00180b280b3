//! Bare plans of the shapes that track takes, in every wiring type.

use std::fmt::Write;

/// All wiring types.
pub(crate) const WIRINGS: [&str; 7] =
    ["live-bonded", "live-routed", "live-assisted", "live-unfed", "metal-tip", "insulated-bonded", "insulated-routed"];

const HEAD: &str = "[layout]\nname = \"bare\"\nscale = \"OO\"\n[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
                    trips = { at = \"4 A\", after = \"100 ms\" }\n";

/// A plan of these tracks (name, from, to, length), turnouts (name, hand), and whatever more.
pub(crate) fn plan(wiring: &str, tracks: &[[&str; 4]], turnouts: &[[&str; 2]], more: &str) -> String {
    let mut text = HEAD.to_owned();
    for [name, from, to, length] in tracks {
        let _ = write!(text, "[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"{length}\"\n");
    }
    for [name, hand] in turnouts {
        let _ = write!(text, "[[turnout]]\nname = \"{name}\"\nnumber = 6\nhand = \"{hand}\"\nwiring = \"{wiring}\"\n");
    }
    text + more
}

const TRAIN: &str = "[[train]]\nname = \"t\"\nlength = \"1.1 m\"\n";

/// A loop at the end of a line.
pub(crate) fn balloon(wiring: &str) -> String {
    let tracks = [["lead", "beyond", "T1.points", "1 m"], ["loop", "T1.through", "T1.diverging", "4 m"]];
    plan(wiring, &tracks, &[["T1", "right"]], TRAIN)
}

/// A circle with a siding.
pub(crate) fn oval(wiring: &str) -> String {
    let tracks = [
        ["main", "E.points", "W.points", "6 m"],
        ["platform", "W.through", "E.through", "2 m"],
        ["siding", "W.diverging", "E.diverging", "2 m"],
    ];
    plan(wiring, &tracks, &[["W", "left"], ["E", "right"]], "")
}

/// Two lines beside each other, joined.
pub(crate) fn crossover(wiring: &str) -> String {
    let tracks = [
        ["north west", "beyond", "T1.points", "2 m"],
        ["north east", "T1.through", "beyond", "2 m"],
        ["south west", "beyond", "T2.through", "2 m"],
        ["south east", "T2.points", "beyond", "2 m"],
        ["link", "T1.diverging", "T2.diverging", "100 mm"],
    ];
    plan(wiring, &tracks, &[["T1", "right"], ["T2", "right"]], "")
}

/// A triangle with a tail.
pub(crate) fn wye(wiring: &str) -> String {
    let tracks = [
        ["west", "beyond", "TW.points", "1.5 m"],
        ["between", "TW.through", "TE.through", "1.2 m"],
        ["east", "TE.points", "beyond", "1.5 m"],
        ["west leg", "TW.diverging", "TN.right", "1.25 m"],
        ["east leg", "TE.diverging", "TN.left", "1.25 m"],
        ["tail", "TN.points", "buffer", "1.45 m"],
    ];
    plan(wiring, &tracks, &[["TW", "left"], ["TE", "right"], ["TN", "wye"]], TRAIN)
}

/// A line with a loop at either end.
pub(crate) fn dog_bone(wiring: &str) -> String {
    let tracks = [
        ["line", "T1.points", "T2.points", "5 m"],
        ["loop a", "T1.through", "T1.diverging", "4 m"],
        ["loop b", "T2.diverging", "T2.through", "4 m"],
    ];
    plan(wiring, &tracks, &[["T1", "right"], ["T2", "left"]], TRAIN)
}

/// A loop with a passing place in it.
pub(crate) fn loop_with_sidings(wiring: &str) -> String {
    let tracks = [
        ["lead", "beyond", "T1.points", "1 m"],
        ["in", "T1.through", "T2.points", "2 m"],
        ["out", "T1.diverging", "T3.points", "2 m"],
        ["siding 1", "T2.through", "T3.through", "2 m"],
        ["siding 2", "T2.diverging", "T3.diverging", "2 m"],
    ];
    plan(wiring, &tracks, &[["T1", "right"], ["T2", "left"], ["T3", "right"]], TRAIN)
}

/// A ladder of so many turnouts with a storage policy, and the word for the policy.
pub(crate) fn stub_yard(wiring: &str, turnouts: usize, live: &str) -> String {
    let names: Vec<String> = (1..=turnouts + 1).map(|k| format!("road {k}")).collect();
    let mut tracks: Vec<[String; 4]> = vec![["lead", "beyond", "T1.points", "1 m"].map(str::to_owned)];
    for k in 1..=turnouts {
        if k < turnouts {
            tracks.push([
                format!("mid {k}"),
                format!("T{k}.through"),
                format!("T{}.points", k + 1),
                "80 mm".to_owned(),
            ]);
        }
        tracks.push([names[k - 1].clone(), format!("T{k}.diverging"), "buffer".to_owned(), "2 m".to_owned()]);
    }
    tracks.push([names[turnouts].clone(), format!("T{turnouts}.through"), "buffer".to_owned(), "2 m".to_owned()]);
    let works: Vec<String> = (1..=turnouts).map(|k| format!("T{k}")).collect();
    let tracks: Vec<[&str; 4]> = tracks.iter().map(|t| t.each_ref().map(String::as_str)).collect();
    let works: Vec<[&str; 2]> = works.iter().map(|t| [t.as_str(), "left"]).collect();
    let list: Vec<String> = names.iter().map(|n| format!("\"{n}\"")).collect();
    let more = format!("[storage]\ntracks = [{}]\nlive = \"{live}\"\n", list.join(", "));
    plan(wiring, &tracks, &works, &more)
}

/// Three tracks between two ladders, with a storage policy.
pub(crate) fn double_ended(wiring: &str, live: &str) -> String {
    let tracks = [
        ["lead", "beyond", "W1.points", "1 m"],
        ["west ladder", "W1.through", "W2.points", "80 mm"],
        ["r1", "W1.diverging", "E2.through", "2 m"],
        ["r2", "W2.diverging", "E2.diverging", "2 m"],
        ["r3", "W2.through", "E1.diverging", "2 m"],
        ["east ladder", "E1.through", "E2.points", "80 mm"],
        ["out", "E1.points", "beyond", "1 m"],
    ];
    let more = format!("[storage]\ntracks = [\"r1\", \"r2\", \"r3\"]\nlive = \"{live}\"\n");
    plan(wiring, &tracks, &[["W1", "left"], ["W2", "left"], ["E1", "left"], ["E2", "left"]], &more)
}

/// Two lines that cross on the level, or a slip: `table` says which.
pub(crate) fn four_ends(table: &str, more: &str) -> String {
    let tracks = [
        ["w1", "beyond", "X.west 1", "1 m"],
        ["w2", "beyond", "X.west 2", "1 m"],
        ["e1", "X.east 1", "beyond", "1 m"],
        ["e2", "X.east 2", "beyond", "1 m"],
    ];
    plan("", &tracks, &[], &format!("{table}{more}"))
}

/// Trackwork other than turnouts: what it is, and a bare plan.
pub(crate) fn special() -> Vec<(&'static str, String)> {
    let crossing = |more: &str| format!("[[crossing]]\nname = \"X\"\nnumber = 4\n{more}");
    let live = |phases: &str| crossing(&format!("frogs = \"live\"\nphases = \"{phases}\"\nfollows = \"route\"\n"));
    let slip = |kind: &str, frogs: &str| {
        format!("[[slip]]\nname = \"X\"\nnumber = 4\nkind = \"{kind}\"\nfrogs = \"{frogs}\"\n")
    };
    let toggle = "[[toggle]]\nname = \"route\"\n";
    let ways = [
        ["lead", "beyond", "W.points", "1 m"],
        ["l", "W.left", "buffer", "1 m"],
        ["m", "W.middle", "buffer", "1 m"],
        ["r", "W.right", "buffer", "1 m"],
    ];
    let three =
        |frogs: &str| plan("", &ways, &[], &format!("[[three_way]]\nname = \"W\"\nnumber = 5\nfrogs = \"{frogs}\"\n"));
    let eight = [["a", "X.east 1", "X.west 2", "3 m"], ["b", "X.east 2", "X.west 1", "3 m"]];
    let stalls = [
        ["lead", "beyond", "D.stall 1", "1 m"],
        ["s2", "D.stall 2", "buffer", "0.5 m"],
        ["s3", "D.stall 3", "buffer", "0.5 m"],
    ];
    vec![
        ("diamond", four_ends(&crossing("frogs = \"insulated\"\n"), "")),
        ("live diamond, same", four_ends(&live("same"), toggle)),
        ("live diamond, opposite", four_ends(&live("opposite"), toggle)),
        ("single slip", four_ends(&slip("single", "insulated"), "")),
        ("live single slip", four_ends(&slip("single", "live"), "")),
        ("live double slip", four_ends(&slip("double", "live"), "")),
        ("three-way", three("insulated")),
        ("live three-way", three("live")),
        ("figure of eight", plan("", &eight, &[], &format!("{}{toggle}", live("same")))),
        ("turntable", plan("", &stalls, &[], "[[turntable]]\nname = \"D\"\nstalls = 3\nlength = \"0.3 m\"\n")),
    ]
}

//! A random plan as it is written.

use super::{Bus, GrownContact, GrownSide, GrownTrack, Model, SIDES, bus_name, conductor};
use std::fmt::Write;

pub(crate) fn render(model: &Model) -> String {
    let mut text = String::from("[layout]\nname = \"random\"\nscale = \"OO\"\n");
    text.push_str("[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\ntrips = { at = \"4 A\" }\n");
    for (index, bus) in model.buses.iter().enumerate() {
        let supply = match bus {
            Bus::Branch => {
                let rated = model.boards.iter().any(|board| board.bus == Some(index) && board.rated);
                let _ = writeln!(text, "[[bus]]\nname = \"{}\"\nfrom = \"{} @ 4 m\"", bus_name(index), bus_name(0));
                let _ = writeln!(text, "plug = {}\nwire = \"1.5 mm²\"\nlength = \"3 m\"", plug(rated));
                continue;
            }
            Bus::Plain => "booster".to_owned(),
            Bus::SubBreaker => {
                let _ = write!(text, "[[supply]]\nname = \"breaker {index}\"\nbehind = \"booster\"\n");
                let _ = writeln!(text, "trips = {{ at = \"3 A\" }}");
                format!("breaker {index}")
            }
            Bus::Booster => {
                let _ = write!(text, "[[supply]]\nname = \"booster {index}\"\nvoltage = \"15 V\"\n");
                let _ = writeln!(text, "trips = {{ at = \"4 A\" }}");
                format!("booster {index}")
            }
        };
        let _ = write!(text, "[[bus]]\nname = \"{}\"\nsupply = \"{supply}\"\n", bus_name(index));
        text.push_str("wire = \"1.5 mm²\"\nlength = \"9 m\"\n");
    }
    for turnout in &model.turnouts {
        let _ = write!(text, "[[turnout]]\nname = \"{}\"\nhand = \"{}\"\n", turnout.name, turnout.hand);
        let _ = writeln!(text, "wiring = \"{}\"", turnout.wiring);
    }
    for (index, motor) in model.motors.iter().enumerate() {
        let moves: Vec<String> = motor.turnouts.iter().map(|&t| format!("\"{}\"", model.turnouts[t].name)).collect();
        let _ = write!(text, "[[motor]]\nname = \"M{}\"\nmoves = [{}]\n", index + 1, moves.join(", "));
        let words = motor.turnouts.first().map_or(["through", "diverging"], |&t| model.turnouts[t].positions());
        let contacts: Vec<String> = motor.contacts.iter().map(|c| contact(c, words)).collect();
        let _ = writeln!(text, "contact = [{}]", contacts.join(", "));
    }
    model.tracks.iter().for_each(|t| track(&mut text, t));
    if let Some(live) = model.storage {
        let tracks = model.tracks.iter().filter(|t| t.switched.is_some());
        let names: Vec<String> = tracks.map(|t| format!("\"{}\"", t.name)).collect();
        let _ = write!(text, "[storage]\ntracks = [{}]\nlive = \"{live}\"\n", names.join(", "));
    }
    for (index, board) in model.boards.iter().enumerate() {
        let buses = board.bus.map(|bus| format!("\"{}\"", bus_name(bus)));
        let tracks = board.tracks.iter().map(|&track| format!("\"{}\"", model.tracks[track].name));
        let holds: Vec<String> = tracks.chain(buses).collect();
        let _ = write!(text, "[[board]]\nname = \"board {}\"\nholds = [{}]\n", index + 1, holds.join(", "));
        let _ = writeln!(text, "plug = {}", plug(board.rated));
    }
    text
}

fn plug(rated: bool) -> &'static str {
    if rated { "{ rating = \"9 A\", resistance = \"12 mΩ\" }" } else { "true" }
}

fn contact(contact: &GrownContact, words: [&str; 2]) -> String {
    let mut keys = Vec::new();
    if !contact.common.is_empty() {
        let common: Vec<String> = contact.common.iter().map(|c| format!("\"{c}\"")).collect();
        keys.push(format!("common = [{}]", common.join(", ")));
    }
    for (word, wired) in words.iter().zip(&contact.positions) {
        if let Some(wired) = wired {
            keys.push(format!("{word} = \"{wired}\""));
        }
    }
    format!("{{ {} }}", keys.join(", "))
}

/// A track's own words for a place on it and for a rail, whichever way it is written.
pub(crate) fn place(track: &GrownTrack, side: GrownSide, at: f64) -> String {
    let at = if track.flipped { track.length - at } else { at };
    format!("{}.{} @ {at:.2} m", track.name, rail(track, side))
}

fn rail(track: &GrownTrack, side: GrownSide) -> &'static str {
    if track.flipped { side.other().word() } else { side.word() }
}

fn track(text: &mut String, track: &GrownTrack) {
    let [mut from, mut to] = track.ends.clone();
    if track.flipped {
        std::mem::swap(&mut from, &mut to);
    }
    let at = |x: f64| format!("{:.2} m", if track.flipped { track.length - x } else { x });
    let _ = write!(text, "[[track]]\nname = \"{}\"\nfrom = \"{from}\"\nto = \"{to}\"\n", track.name);
    let _ = writeln!(text, "length = \"{} m\"", track.length);
    for side in SIDES.into_iter().filter(|_| track.fixed) {
        let _ = writeln!(text, "{} = \"{}\"", rail(track, side), conductor(track.bus, side.pole()));
    }
    let gaps = track.gaps.iter().map(|g| format!("{{ at = \"{}\", rail = \"{}\" }}", at(g.at), rail(track, g.side)));
    let _ = writeln!(text, "gaps = [{}]", gaps.collect::<Vec<_>>().join(", "));
    let feeders = track.feeders.iter().map(|f| {
        let to = f.to.as_ref().map_or(String::new(), |to| format!(", to = \"{to}\""));
        format!("{{ at = \"{}\", rail = \"{}\"{to} }}", at(f.at), rail(track, f.side))
    });
    let _ = writeln!(text, "feeders = [{}]", feeders.collect::<Vec<_>>().join(", "));
}

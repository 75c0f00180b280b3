//! What fits where, as a table for people.

use analysis::lengths_table::{LengthsTable, SpacingRow, TrackRow, TurnoutRow};
use analysis::words::list;
use handbook::quantity::{Fraction, Quantity, Units, show_percent};
use handbook::scales::TURNOUT_LEAD_SOURCE;
use movement::clear_length::{ClearBound, StretchEnd};
use text::escape_control_chars;
use text::{paragraph, table};

/// The tables in lines of at most `width` columns where words allow it.
pub fn render(lengths: &LengthsTable, width: usize) -> String {
    let mut out = paragraph("", &escape_control_chars(&lengths.layout), width);
    if let Some((centres, source)) = &lengths.centres {
        let slack = show_percent(Fraction(lengths.slack.0));
        let shown = format!(
            "parallel tracks {} apart ({source}); {slack} of a train kept for slack and couplings ({})",
            lengths.units.length(*centres),
            lengths.slack.1
        );
        out.push_str(&paragraph("", &shown, width));
    }
    turnouts(&mut out, lengths, width);
    plastic_frogs(&mut out, lengths, width);
    tracks(&mut out, lengths, width);
    spacings(&mut out, lengths, width);
    if !lengths.reversing.is_empty() {
        out.push_str("\nreversing sections\n");
        let row = |r: &analysis::lengths_table::ReversingRow| {
            let length = r.length.map_or("on, off the plan".to_owned(), |x| lengths.units.metres(x));
            let trains = match r.too_long.as_slice() {
                [] => "every train fits".to_owned(),
                names => format!("TOO SHORT for {}", list(names)),
            };
            vec![escape_control_chars(&r.name), length, escape_control_chars(&trains)]
        };
        out.push_str(&table(&lengths.reversing.iter().map(row).collect::<Vec<_>>()));
    }
    out
}

fn turnouts(out: &mut String, lengths: &LengthsTable, width: usize) {
    if lengths.turnouts.is_empty() {
        return;
    }
    out.push_str("\nturnouts: a gap behind the frog lies between frog and clear\n");
    let mut rows = vec![["turnout", "frog", "lead", "clear from the frog", ""].map(str::to_owned).to_vec()];
    let row = |t: &TurnoutRow| {
        let angle = t.clearance.angle.to_degrees();
        let clear = |leg: usize| {
            t.clearance.legs[leg].clear_from_frog.map_or("NOWHERE".to_owned(), |x| lengths.units.metres(x))
        };
        let [one, two] = [clear(0), clear(1)];
        let legs = [0, 1].map(|leg| &t.clearance.legs[leg].end);
        let clear = if one == two { one } else { format!("{} {one}, {} {two}", legs[0], legs[1]) };
        let mut shown = Vec::new();
        if t.guessed {
            shown.push("the plan does not say its frog");
        }
        if !t.clearance.straight {
            shown.push("curves laid out");
        }
        if t.clearance.legs.iter().any(|leg| leg.within_ruler) {
            shown.push("tracks beyond up to 0.5 mm (0.02 in) too near, taken for clear");
        }
        vec![
            escape_control_chars(&t.name),
            format!("no. {}, {angle:.2}°", round(t.number)),
            lead(lengths.units, t),
            clear,
            shown.join("; "),
        ]
    };
    rows.extend(lengths.turnouts.iter().map(row));
    out.push_str(&table(&rows));
    if lengths.turnouts.iter().any(|t| t.guessed) {
        let shown = "a frog that the plan does not say is taken as no. 6; say its `number`, `one_in` or `angle`";
        out.push_str(&paragraph("  ", shown, width));
    }
    if lengths.turnouts.iter().any(|t| t.lead_band.is_some()) {
        let shown =
            format!("a lead in brackets is not in the plan: {TURNOUT_LEAD_SOURCE}; measure yours and say `lead`");
        out.push_str(&paragraph("  ", &shown, width));
    }
}

/// How far from plastic frogs the rails begin.
fn plastic_frogs(out: &mut String, lengths: &LengthsTable, width: usize) {
    for (due, names) in &lengths.plastic_frogs {
        let names: Vec<String> = names.iter().map(|name| escape_control_chars(name)).collect();
        let shown = format!(
            "metal rails behind a plastic frog begin at least {} from its point, or treads bridge them: {}",
            lengths.units.metres(due.si()),
            list(&names)
        );
        out.push_str(&paragraph("  ", &shown, width));
    }
}

/// The lead, with its band where it is an estimate.
fn lead(units: Units, t: &TurnoutRow) -> String {
    let shown = units.metres(t.lead);
    match t.lead_band {
        None => shown,
        Some(band) => format!("{shown} ({} to {})", units.metres(band.low), units.metres(band.high)),
    }
}

/// A number without digits that only rounding made.
fn round(number: f64) -> f64 {
    (number * 1e3).round() / 1e3
}

fn bound(units: Units, end: &StretchEnd) -> String {
    let at = |what: String| if end.inward > 0.0 { format!("{what} + {}", units.metres(end.inward)) } else { what };
    match &end.bound {
        ClearBound::Buffer => "buffer".to_owned(),
        ClearBound::Beyond => "off the plan".to_owned(),
        ClearBound::Points(name) => format!("{name} points"),
        ClearBound::Fouling(name) => at(name.clone()),
        ClearBound::NeverClear(name) => format!("NEVER CLEAR of {name}"),
        ClearBound::Gap => at("gap".to_owned()),
        ClearBound::Trackwork(name) => name.clone(),
        ClearBound::Ring => "a ring".to_owned(),
    }
}

fn tracks(out: &mut String, lengths: &LengthsTable, width: usize) {
    if lengths.tracks.is_empty() {
        return;
    }
    out.push_str("\ntracks: what a train can stand on, clear of what it says at either end\n");
    let mut rows = vec![["track", "length", "from", "to", "clear", "train up to"].map(str::to_owned).to_vec()];
    let clear = |x: f64| if x > 0.0 { lengths.units.metres(x) } else { "-".to_owned() };
    let row = |t: &TrackRow| {
        let [from, to] = [0, 1].map(|e| escape_control_chars(&bound(lengths.units, &t.stretch.ends[e])));
        vec![
            escape_control_chars(&list(&t.names)),
            lengths.units.metres(t.stretch.length),
            from,
            to,
            clear(t.stretch.clear),
            clear(t.longest),
        ]
    };
    rows.extend(lengths.tracks.iter().map(row));
    out.push_str(&table(&rows));
    if lengths.trains.is_empty() {
        return;
    }
    out.push_str("\ntrains\n");
    let mut rows = Vec::new();
    let yard: Vec<&TrackRow> = lengths.tracks.iter().filter(|t| t.storage).collect();
    let among = if yard.is_empty() { lengths.tracks.iter().collect() } else { yard.clone() };
    for (index, (name, length)) in lengths.trains.iter().enumerate() {
        let fits: Vec<String> = among.iter().filter(|t| t.fit.contains(&index)).map(|t| list(&t.names)).collect();
        let words = match fits.len() {
            0 if yard.is_empty() => "longer than every track".to_owned(),
            0 => "fits NO storage track".to_owned(),
            n if n == among.len() => "fits everywhere".to_owned(),
            _ => format!("fits {}", list(&fits)),
        };
        let stands = lengths.tracks.iter().find(|t| t.stand.contains(name));
        let stands = match stands {
            Some(t) if !t.fit.contains(&index) => format!("; stands on {}, which is TOO SHORT", list(&t.names)),
            Some(t) => format!("; stands on {}", list(&t.names)),
            None => String::new(),
        };
        rows.push((
            escape_control_chars(name),
            lengths.units.metres(*length),
            escape_control_chars(&format!("{words}{stands}")),
        ));
    }
    let [first, second] = [0, 1].map(|c| {
        let cell = |r: &(String, String, String)| [&r.0, &r.1][c].chars().count();
        rows.iter().map(cell).max().unwrap_or(0)
    });
    for (name, length, words) in &rows {
        out.push_str(&paragraph(&format!("  {name:<first$}  {length:<second$}  "), words, width));
    }
    if !yard.is_empty() {
        let clear: f64 = yard.iter().map(|t| t.stretch.clear).sum();
        let trains: f64 = yard.iter().map(|t| t.longest).sum();
        let shown = format!(
            "the {} storage tracks have {} clear, room for {} of trains",
            yard.len(),
            lengths.units.metres(clear),
            lengths.units.metres(trains)
        );
        out.push_str(&paragraph("  ", &shown, width));
    }
}

fn spacings(out: &mut String, lengths: &LengthsTable, width: usize) {
    let Some((centres, _)) = lengths.centres.filter(|_| !lengths.spacings.is_empty()) else { return };
    out.push_str("\nladders: tracks that leave turnouts in a row side by side\n");
    let due = format!("between, for {}", lengths.units.length(centres));
    let head = ["turnouts", "tracks", "apart", "pitch", "between", due.as_str()];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    let row = |s: &SpacingRow| {
        let due = if s.due < 0.0 { "turnouts TOO LONG".to_owned() } else { lengths.units.metres(s.due) };
        vec![
            escape_control_chars(&format!("{} to {}", s.turnouts[0], s.turnouts[1])),
            escape_control_chars(&format!("{}, {}", s.tracks[0], s.tracks[1])),
            lengths.units.metres(s.spacing.apart),
            lengths.units.metres(s.spacing.pitch),
            lengths.units.metres(s.spacing.between),
            due,
        ]
    };
    rows.extend(lengths.spacings.iter().map(row));
    out.push_str(&table(&rows));
    let shown = "pitch is along the ladder, from where one turnout's centre lines part to where the next one's do";
    out.push_str(&paragraph("  ", shown, width));
}

//! The table of the tracks: the worst place of each, and which have no numbers.

use crate::context::Context;
use analysis::Figures;
use analysis::figures::TrackLine;
use circuit::{Circuit, NodeId};
use handbook::Spread;
use handbook::quantity::{Amps, Units, Volts, show_amps, show_volts};
use proof::Short;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// Tracks that are listed in the table; of more, the worst.
const MOST_TRACKS: usize = 24;

pub(crate) fn volts(v: f64) -> String {
    show_volts(Volts(v))
}

pub(crate) fn amps(v: f64) -> String {
    show_amps(Amps(v))
}

fn band(band: &Spread<f64>, show: impl Fn(f64) -> String) -> String {
    format!("{} ({})", show(band.typical), show(band.low))
}

/// Tracks that have no numbers, and why: those that a short takes down before those that nothing feeds.
pub(crate) fn without_numbers(facts: &Context<'_>) -> Vec<(String, &'static str)> {
    let circuit = &facts.circuit;
    let (figures, Ok(proof)) = (facts.figures(), facts.proof()) else { return Vec::new() };
    let with: BTreeSet<usize> = figures.iter().flat_map(|f| &f.tracks).map(|line| line.track).collect();
    let missing: Vec<usize> = (0..circuit.tracks).filter(|track| !with.contains(track)).collect();
    if missing.is_empty() || circuit.sources.is_empty() {
        return Vec::new();
    }
    // What a short takes down is told as such, whatever else it is joined to.
    let (own, between): (Vec<&Short>, Vec<&Short>) =
        proof.shorts.iter().take(MOST_SHORTS).partition(|short| short.poles[0].source == short.poles[1].source);
    let mut down: BTreeMap<usize, &'static str> = BTreeMap::new();
    for (shorts, why) in [(own, "short circuit"), (between, "joined to another supply")] {
        for short in shorts {
            let mut setting = vec![Some(0); circuit.controls.len()];
            short.witness.setting.iter().for_each(|l| setting[l.control.index()] = Some(l.position));
            for track in joined_to(circuit, short.poles[0].node(circuit), &setting, &missing) {
                down.entry(track).or_insert(why);
            }
        }
    }
    let otherwise = if figures.is_some_and(|f| f.tracks_left_out > 0) { "not worked out" } else { "no power" };
    let rest: Vec<usize> = missing.into_iter().filter(|track| !down.contains_key(track)).collect();
    let named = |(track, why): (usize, &'static str)| (circuit.segments[track].name.clone(), why);
    down.into_iter().chain(rest.into_iter().map(|track| (track, otherwise))).map(named).collect()
}

/// Shorts whose tracks are looked for.
const MOST_SHORTS: usize = 16;

/// Those of some tracks that are joined to a node in a setting.
fn joined_to(circuit: &Circuit, start: NodeId, setting: &[Option<u8>], tracks: &[usize]) -> Vec<usize> {
    let neighbours = circuit.neighbours();
    let mut reached = BTreeSet::from([start]);
    let mut todo = vec![start];
    while let Some(node) = todo.pop() {
        for &(next, edge) in &neighbours[node] {
            if circuit.edges[edge].is_closed(setting) && reached.insert(next) {
                todo.push(next);
            }
        }
    }
    let is_joined = |track: &usize| {
        let rails = circuit.segments[*track].rails.iter();
        rails.flat_map(|line| &line.stops).any(|stop| reached.contains(&stop.before) || reached.contains(&stop.after))
    };
    tracks.iter().copied().filter(is_joined).collect()
}

/// How many more tracks there are than are listed.
pub(crate) fn more_tracks(out: &mut String, tracks: usize) {
    if tracks > MOST_TRACKS {
        let _ = writeln!(out, "  and {} more tracks", tracks - MOST_TRACKS);
    }
}

/// The rows of the table of tracks, its head first.
pub(crate) fn rows(units: Units, lines: &[&TrackLine], without: &[(String, &'static str)]) -> Vec<Vec<String>> {
    let mut rows = vec![vec![
        "track".to_owned(),
        "volts (aged)".to_owned(),
        "at".to_owned(),
        "decoder".to_owned(),
        "if shorted (aged)".to_owned(),
        "at".to_owned(),
        "times trip (aged)".to_owned(),
    ]];
    for (name, why) in without.iter().take(MOST_TRACKS) {
        let mut cells = vec![text::escape_control_chars(name)];
        cells.extend([why, "-", "-", why, "-", "-"].map(str::to_owned));
        rows.push(cells);
    }
    for line in lines {
        rows.push(vec![
            text::escape_control_chars(&line.name),
            band(&line.volts, volts),
            units.metres(line.volts_at),
            line.decoder.map_or("-".to_owned(), |(d, _)| volts(d.typical)),
            band(&line.fault_amps, amps),
            units.metres(line.fault_at),
            line.margin.map_or("no trip known".to_owned(), |m| band(&m, |v| format!("{v:.1} ×"))),
        ]);
    }
    rows
}

/// The worst place of each track.
pub(crate) fn table(out: &mut String, units: Units, figures: &Figures, without: &[(String, &'static str)]) {
    let mut lines: Vec<_> = figures.tracks.iter().collect();
    if lines.len() > MOST_TRACKS {
        lines.sort_by(|a, b| (a.volts.typical / a.supply_volts).total_cmp(&(b.volts.typical / b.supply_volts)));
        lines.truncate(MOST_TRACKS);
    }
    let Some(first) = lines.first() else { return };
    let _ = writeln!(
        out,
        "\nthe worst place of each track, from {} with {} ({})",
        volts(first.supply_volts),
        amps(figures.load_case.train_amps),
        figures.load_case.train_from
    );
    out.push_str(&text::table(&rows(units, &lines, without)));
    more_tracks(out, without.len());
    if figures.tracks.len() > MOST_TRACKS {
        let _ = writeln!(out, "  and {} more tracks, all better than these", figures.tracks.len() - MOST_TRACKS);
    }
}

/// The tracks that miss what the plan asks of volts or shorts, and the lowest of the rest on one line.
pub(crate) fn weak_tracks(units: Units, figures: &Figures, width: usize) -> String {
    let asked = &figures.load_case;
    let is_weak = |line: &&TrackLine| {
        line.volts.typical < line.supply_volts * (1.0 - asked.drop)
            || line.margin.is_some_and(|margin| margin.typical < asked.fault_margin)
    };
    let (mut weak, fine): (Vec<&TrackLine>, Vec<&TrackLine>) = figures.tracks.iter().partition(is_weak);
    let share = |line: &TrackLine| line.volts.typical / line.supply_volts;
    let mut out = String::new();
    if !weak.is_empty() {
        weak.sort_by(|a, b| share(a).total_cmp(&share(b)));
        let more = weak.len().saturating_sub(MOST_WEAK);
        weak.truncate(MOST_WEAK);
        out.push_str(&text::table(&rows(units, &weak, &[])));
        if more > 0 {
            let _ = writeln!(out, "  and {more} more like these");
        }
    }
    let Some(lowest) = fine.iter().copied().min_by(|a, b| share(a).total_cmp(&share(b))) else { return out };
    let least_short = fine.iter().copied().min_by(|a, b| a.fault_amps.typical.total_cmp(&b.fault_amps.typical));
    let fine = match fine.len() {
        1 => "voltage and short-circuit current are enough on 1 track".to_owned(),
        n => format!("voltage and short-circuit current are enough on {n} tracks"),
    };
    let short = least_short.map_or_else(String::new, |line| {
        let name = text::escape_control_chars(&line.name);
        format!("; weakest short circuit {} on {name}", amps(line.fault_amps.typical))
    });
    let words = format!(
        "{fine}: lowest voltage {} of {}, with {}, at {} on {}{short}",
        volts(lowest.volts.typical),
        volts(lowest.supply_volts),
        amps(asked.train_amps),
        units.metres(lowest.volts_at),
        text::escape_control_chars(&lowest.name),
    );
    out.push_str(&text::paragraph("  ", &words, width));
    out
}

/// Tracks that miss what is asked and are listed.
const MOST_WEAK: usize = 8;

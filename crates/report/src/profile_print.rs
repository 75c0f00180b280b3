//! The profile of a way as a table for people.

use analysis::way_piece::PointResult;
use analysis::way_profile::marks::WayMarkKind;
use analysis::way_profile::{WayProfile, WayStep};
use analysis::words::{few, list};
use electrics::Level;
use handbook::quantity::{Amps, Fraction, Ohms, Volts, show_amps, show_ohms, show_percent, show_volts};
use text::escape_control_chars;
use text::{paragraph, table};

/// Places nearer than this share a row, in metres.
const SAME_ROW: f64 = 5e-4;

/// The table in lines of at most `width` columns where words allow it. A row for each place where something stands, for
/// the worst place of each track, and where power ends; joints between lengths of rail are only counted.
pub fn render(profile: &WayProfile, width: usize) -> String {
    let mut out = paragraph("", &escape_control_chars(&profile.layout), width);
    let way = profile.chosen.map_or_else(String::new, |why| format!(", {why}"));
    out.push_str(&paragraph(
        "",
        &escape_control_chars(&format!("{}, {}{way}", profile.name, profile.units.metres(profile.length))),
        width,
    ));
    out.push_str(&paragraph("set ", &escape_control_chars(&set_words(profile)), width));
    for report in asked_words(profile) {
        out.push_str(&paragraph("", &escape_control_chars(&report), width));
    }
    out.push('\n');
    render_rows(&mut out, profile, width);
    out
}

/// What is to be set for it: `T1 diverging, T2 through`.
pub(crate) fn set_words(profile: &WayProfile) -> String {
    let set: Vec<String> = profile.set.iter().map(|(control, position)| format!("{control} {position}")).collect();
    if set.is_empty() { "nothing".to_owned() } else { set.join(", ") }
}

/// What is asked of every place, supply by supply and breaker by breaker.
fn asked_words(profile: &WayProfile) -> Vec<String> {
    let asked = &profile.load_case;
    let mut limits: Vec<String> = Vec::new();
    let mut trips: Vec<String> = Vec::new();
    for fed in profile.pieces.iter().filter_map(|p| p.feed.as_ref().ok()) {
        let least = show_volts(Volts(profile.volts_limit(fed)));
        let words = format!("{least} of {}'s {}", fed.supply, show_volts(Volts(fed.supply_volts)));
        if !limits.contains(&words) {
            limits.push(words);
        }
        let words = match &fed.trip {
            Some((breaker, trip)) => {
                let due = show_amps(Amps(trip * asked.fault_margin));
                format!("{due} to trip {breaker} ({} times its {})", asked.fault_margin, show_amps(Amps(*trip)))
            }
            None => "an amount that is not known, since no trip current is said".to_owned(),
        };
        if !trips.contains(&words) {
            trips.push(words);
        }
    }
    if limits.is_empty() {
        return vec!["no place of it is powered".to_owned()];
    }
    let train = format!("{} ({})", show_amps(Amps(asked.train_amps)), asked.train_from);
    let bridge = asked.bridge_ohms.map(|ohms| show_ohms(Ohms(ohms)));
    let drop = show_percent(Fraction(asked.drop));
    let standing = asked.standing.iter().map(|(name, s)| format!("`{name}` {}", show_amps(Amps(s.amps))));
    let standing = match asked.standing.len() {
        0 => String::new(),
        _ => format!("; standing elsewhere: {}", few(standing)),
    };
    vec![
        format!("volts with {train}{standing}; accepted down to {}, {drop} less", list(&limits)),
        "decoder: what is left behind its rectifier once each reversal of the signal has turned the current round"
            .to_owned(),
        format!("a short through wheels of {} (aged {}); due {}", bridge.typical, bridge.high, list(&trips)),
    ]
}

/// A row before it is printed.
struct ProfileRow {
    along: f64,
    step: usize,
    what: Vec<String>,
}

struct Rows<'p> {
    profile: &'p WayProfile,
    rows: Vec<ProfileRow>,
}

impl Rows<'_> {
    /// Something at a place; where a segment ends, it is reported where the next one starts.
    fn put(&mut self, along: f64, step: usize, what: String) {
        let steps = &self.profile.steps;
        let step = if along > steps[step].to - SAME_ROW && step + 1 < steps.len() { step + 1 } else { step };
        let row = match self.rows.iter_mut().find(|r| r.step == step && (r.along - along).abs() < SAME_ROW) {
            Some(row) => row,
            None => {
                self.rows.push(ProfileRow { along, step, what: Vec::new() });
                let last = self.rows.len() - 1;
                &mut self.rows[last]
            }
        };
        let report = &mut row.what;
        if !what.is_empty() && !report.contains(&what) {
            report.push(what);
        }
    }
}

/// The rows, in order.
fn rows(profile: &WayProfile) -> Vec<ProfileRow> {
    let mut rows = Rows { profile, rows: Vec::new() };
    for (number, step) in profile.steps.iter().enumerate() {
        rows.put(step.from, number, String::new());
    }
    for mark in profile.marks.iter().filter(|m| m.kind != WayMarkKind::StockJoint) {
        rows.put(mark.along, mark.step, mark.words());
    }
    let least = |only: Option<usize>, level| profile.least(|p| only.is_none_or(|o| p.step == o), level, |g| g.volts);
    let all = [Level::Typical, Level::High].map(|level| least(None, level));
    if let [Some(usual), Some(aged)] = &all {
        let alike = usual.step == aged.step && (usual.along - aged.along).abs() < SAME_ROW;
        rows.put(usual.along, usual.step, if alike { "worst of all, aged too" } else { "worst of all" }.to_owned());
        if !alike {
            rows.put(aged.along, aged.step, "worst of all when aged".to_owned());
        }
    }
    for (number, step) in profile.steps.iter().enumerate().filter(|(_, step)| step.is_track) {
        let report = all[0].as_ref().is_some_and(|all| all.step == number);
        if let Some(worst) = least(Some(number), Level::Typical).filter(|_| !report) {
            rows.put(worst.along, number, format!("worst of {}", step.name));
        }
    }
    for (from, to, _) in profile.breaks() {
        let on = |along: f64, end: bool| {
            let here = |s: &WayStep| if end { along <= s.to } else { along < s.to - SAME_ROW };
            profile.steps.iter().position(here).unwrap_or(profile.steps.len().saturating_sub(1))
        };
        rows.put(from, on(from, false), "from here no voltage".to_owned());
        rows.put(to, on(to, true), "up to here no voltage".to_owned());
    }
    if let Some(last) = profile.steps.len().checked_sub(1) {
        rows.put(profile.length, last, "the end".to_owned());
    }
    let mut rows = rows.rows;
    rows.sort_by(|a, b| a.step.cmp(&b.step).then(a.along.total_cmp(&b.along)));
    for row in &mut rows {
        row.what.extend(too_little(profile, row.along).into_iter().map(str::to_owned));
    }
    rows
}

/// What is wrong with what a place gets.
fn too_little(profile: &WayProfile, along: f64) -> Vec<&'static str> {
    let mut report = Vec::new();
    let here = profile.pieces.iter().filter(|p| p.from - SAME_ROW <= along && along <= p.to + SAME_ROW);
    for piece in here {
        let (Ok(fed), Some(got)) = (&piece.feed, piece.point_result(along, &profile.load_case)) else { continue };
        if got.volts.typical < profile.volts_limit(fed) {
            report.push("TOO LITTLE VOLTAGE");
        }
        match &fed.trip {
            Some((_, trip)) if got.noticed.typical < profile.load_case.fault_margin * trip => {
                report.push("A SHORT MAY NOT TRIP");
            }
            Some((_, trip)) if got.noticed.low < *trip => report.push("A SHORT MAY NOT TRIP WHEN AGED"),
            _ => {}
        }
    }
    report.sort_unstable();
    report.dedup();
    report
}

fn render_rows(out: &mut String, profile: &WayProfile, width: usize) {
    let rows = rows(profile);
    let mut cells = vec![["along", "place", "volts (aged)", "decoder", "if shorted (aged)", ""].map(str::to_owned)];
    for row in &rows {
        let step = &profile.steps[row.step];
        let [volts, decoder, amps] = profile.got(row.along).map_or(["-"; 3].map(str::to_owned), |got| shown(&got));
        let place = format!("@ {}", profile.units.narrow(step.place(row.along)));
        cells.push([
            profile.units.narrow(row.along),
            place,
            volts,
            decoder,
            amps,
            escape_control_chars(&row.what.join("; ")),
        ]);
    }
    let widest = |c: usize| cells.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
    let room = width.saturating_sub((0..5).map(widest).sum::<usize>() + 12).max(9);
    // Lines of the table, and before which of them a segment is named.
    let mut lines: Vec<Vec<String>> = Vec::new();
    let mut named: Vec<(usize, usize)> = Vec::new();
    let mut last = None;
    for (index, row) in cells.iter().enumerate() {
        if let Some(step) = index.checked_sub(1).map(|i| rows[i].step).filter(|&s| last != Some(s)) {
            named.push((lines.len(), step));
            last = Some(step);
        }
        let wrapped = paragraph("", &row[5], room);
        for (part, words) in wrapped.lines().enumerate() {
            let mut line: Vec<String> =
                (0..5).map(|c| if part == 0 { row[c].clone() } else { String::new() }).collect();
            line.push(words.to_owned());
            lines.push(line);
        }
    }
    let mut named = named.into_iter().peekable();
    for (number, line) in table(&lines).lines().enumerate() {
        while let Some((_, step)) = named.next_if(|n| n.0 == number) {
            let joints = profile.marks.iter().filter(|m| m.step == step && m.kind == WayMarkKind::StockJoint).count();
            let joints = match joints {
                0 => String::new(),
                1 => ", jointed once between lengths of rail".to_owned(),
                n => format!(", jointed {n} times between lengths of rail"),
            };
            out.push_str(&paragraph(
                "",
                &escape_control_chars(&format!("{}{joints}", profile.steps[step].name)),
                width,
            ));
        }
        out.push_str(line);
        out.push('\n');
    }
}

/// Volts on the rails and behind a decoder's rectifier, and amperes, as usual, aged in brackets.
fn shown(got: &PointResult) -> [String; 3] {
    // The heading says volts: of a narrow line they take half.
    let volts = |v| {
        let shown = show_volts(Volts(v));
        shown.strip_suffix(" V").map_or(shown.clone(), str::to_owned)
    };
    let amps = |a| show_amps(Amps(a));
    [
        format!("{} ({})", volts(got.volts.typical), volts(got.volts.low)),
        got.decoder.map_or("-".to_owned(), |d| volts(d.typical)),
        format!("{} ({})", amps(got.fault_amps.typical), amps(got.fault_amps.low)),
    ]
}

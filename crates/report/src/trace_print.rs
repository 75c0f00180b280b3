//! A trace as text.

use analysis::trace::{Between, Missing, OpenPart, PolePath, Trace, TracedPoint};
use analysis::words::list;
use handbook::Spread;
use handbook::quantity::{Amps, Ohms, Volts, show_amps, show_ohms, show_volts};
use text::escape_control_chars;
use text::paragraph;

/// Members of a conductor that are listed.
const MOST_MEMBERS: usize = 10;

/// The trace in lines of at most `width` columns where words allow it.
pub fn render(trace: &Trace, width: usize) -> String {
    let mut out = paragraph("", &escape_control_chars(&trace.layout), width);
    out.push_str(&setting(trace, width));
    for point in &trace.points {
        out.push('\n');
        render_point(&mut out, point, width);
    }
    if let Some(between) = &trace.between {
        out.push('\n');
        render_between(&mut out, between, width);
    }
    out
}

fn setting(trace: &Trace, width: usize) -> String {
    let part = |named: bool| -> Vec<String> {
        let these = trace.setting.iter().filter(|s| s.2 == named);
        these.map(|(control, position, _)| escape_control_chars(&format!("{control}={position}"))).collect()
    };
    let (said, rest) = (part(true), part(false));
    let mut out = String::new();
    if !said.is_empty() {
        out.push_str(&paragraph("set as you say: ", &said.join(", "), width));
    }
    if !rest.is_empty() {
        out.push_str(&paragraph("not named, so in the first position: ", &rest.join(", "), width));
    }
    out
}

fn render_point(out: &mut String, point: &TracedPoint, width: usize) {
    let name = escape_control_chars(&point.name);
    let poles: Vec<String> = point.paths.iter().map(|p| p.pole.clone()).collect();
    let fact = match poles.as_slice() {
        [] => format!("{name} is joined to no pole"),
        [one] => match &point.intended_pole {
            Some(meant) if meant != one => format!("{name} is joined to {one}, but is meant for {meant}"),
            _ => format!("{name} is joined to {one}"),
        },
        several => format!("{name} is joined to {}: a short", list(several)),
    };
    out.push_str(&paragraph("", &escape_control_chars(&fact), width));
    for path in &point.paths {
        out.push('\n');
        render_path(out, path, width);
    }
    if point.paths.is_empty() {
        render_missing(out, point, width);
    }
}

fn ohms(spread: Spread<f64>) -> [String; 2] {
    [show_ohms(Ohms(spread.typical)), format!("({})", show_ohms(Ohms(spread.high)))]
}

fn render_path(out: &mut String, path: &PolePath, width: usize) {
    let mut rows: Vec<[String; 4]> =
        vec![[format!("from {}", path.pole), "usual".into(), "(aged)".into(), "plan".into()]];
    for piece in &path.pieces {
        let [typical, aged] = ohms(piece.ohms);
        rows.push([piece.name.clone(), typical, aged, format!("line {}", piece.line)]);
    }
    let [typical, aged] = ohms(path.along);
    rows.push(["together".into(), typical, aged, String::new()]);
    if let Some(beside) = path.beside
        && beside.typical < 0.999 * path.along.typical
    {
        let [typical, aged] = ohms(beside);
        rows.push(["with all that lies beside it".into(), typical, aged, String::new()]);
    }
    let widest = |c: usize| rows.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
    let [typical, aged, line] = [1, 2, 3].map(widest);
    // Two columns before each of the five.
    let room = width.saturating_sub(typical + aged + line + 8).max(24);
    let first = widest(0).min(room);
    for row in rows {
        let wrapped = paragraph("", &escape_control_chars(&row[0]), first);
        let mut lines: Vec<&str> = wrapped.lines().collect();
        let last = lines.pop().unwrap_or_default();
        for line in lines {
            out.push_str(&format!("  {line}\n"));
        }
        let pad = " ".repeat(first.saturating_sub(last.chars().count()));
        let text = format!("  {last}{pad}  {:>typical$}  {:>aged$}  {}", row[1], row[2], row[3]);
        out.push_str(text.trim_end());
        out.push('\n');
    }
}

fn render_missing(out: &mut String, point: &TracedPoint, width: usize) {
    let mut members: Vec<String> = point.conductor.iter().take(MOST_MEMBERS).map(|m| escape_control_chars(m)).collect();
    if point.conductor.len() > MOST_MEMBERS {
        members.push(format!("{} more", point.conductor.len() - MOST_MEMBERS));
    }
    if !members.is_empty() {
        out.push_str(&paragraph("  one conductor: ", &members.join("; "), width));
    }
    for missing in &point.missing {
        let meant = if point.intended_pole.as_ref() == Some(&missing.pole) { ", which it is meant for" } else { "" };
        out.push_str(&missing_words(missing, meant, width));
    }
}

fn missing_words(Missing { pole, open }: &Missing, meant: &str, width: usize) -> String {
    let Some(open) = open else {
        return paragraph("  ", &escape_control_chars(&format!("{pole}{meant}: no wire or rail leads there")), width);
    };
    let verb = if open.len() == 1 { "stands" } else { "stand" };
    let mut out =
        paragraph("  ", &escape_control_chars(&format!("from {pole}{meant}: {} {verb} between", open.len())), width);
    for OpenPart { words, line } in open {
        out.push_str(&paragraph("    ", &format!("{}, line {line}", escape_control_chars(words)), width));
    }
    out
}

fn render_between(out: &mut String, between: &Between, width: usize) {
    if let Some(why) = between.why_not {
        out.push_str(&paragraph("", &format!("a train here gets nothing: {why}"), width));
        return;
    }
    let band = |show: &dyn Fn(f64) -> String, b: &Spread<f64>| format!("{} ({} aged)", show(b.typical), show(b.low));
    let volts = band(&|v| show_volts(Volts(v)), &between.volts);
    let amps = band(&|a| show_amps(Amps(a)), &between.fault_amps);
    let [typical, aged] = ohms(between.loop_ohms);
    out.push_str(&paragraph("  loop     ", &format!("{typical} {}", aged.replace(')', " aged)")), width));
    let train = format!(
        "{volts} from {} with {} ({})",
        show_volts(Volts(between.supply_volts)),
        show_amps(Amps(between.train_amps)),
        escape_control_chars(&between.train_from)
    );
    out.push_str(&paragraph("  train    ", &train, width));
    out.push_str(&paragraph("  shorted  ", &amps, width));
}

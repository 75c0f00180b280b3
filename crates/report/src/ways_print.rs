//! The ways of a plan as text and as a record.

use analysis::figures::WayLine;
use analysis::throwing::Throw;
use analysis::ways_table::{StorageTable, WayRow, WaysTable};
use analysis::words::list;
use handbook::Spread;
use handbook::quantity::{Amps, Ohms, Seconds, Units, Volts, show_amps, show_ohms, show_seconds, show_volts};
use proof::StorageStanding;
use serde_json::{Value, json};
use text::escape_control_chars;
use text::{paragraph, table};

/// Contacts that are named one by one.
const MOST_CONTACTS: usize = 6;

/// The table in lines of at most `width` columns where words allow it, at most `most` ways of it.
pub fn render(ways: &WaysTable, width: usize, most: usize) -> String {
    let mut out = paragraph("", &escape_control_chars(&ways.layout), width);
    let count = |n: usize| if n == 1 { "1 route".to_owned() } else { format!("{n} routes") };
    let all = if ways.complete { count(ways.found) } else { format!("more than {}", count(ways.found)) };
    let extent =
        if ways.ways.len() == ways.found && ways.complete { all } else { format!("{} of {all}", ways.ways.len()) };
    out.push_str(&paragraph("", &extent, width));
    if !ways.complete {
        let shown = "the routes are too many to list; every track is on at least one of those that were found";
        out.push_str(&paragraph("", shown, width));
    }
    if ways.ways.is_empty() && ways.found > 0 {
        out.push_str("no route goes over these tracks one after the other\n");
        return out;
    }
    if let Some((amps, from)) = &ways.train {
        let shown = format!(
            "volts are the least with {} ({}), aged in brackets",
            show_amps(Amps(*amps)),
            escape_control_chars(from)
        );
        out.push_str(&paragraph("", &shown, width));
    }
    let number_width = ways.ways.len().min(most).to_string().len();
    let mut destination = None;
    for (index, way) in ways.ways.iter().take(most).enumerate() {
        if destination != Some(&way.to) {
            destination = Some(&way.to);
            let verb = if way.from == way.to { "over" } else { "to" };
            out.push_str(&format!("\n{verb} {}\n", escape_control_chars(&way.to)));
        }
        render_way(&mut out, ways.units, way, (index + 1, number_width), width);
    }
    if ways.ways.len() > most {
        let shown = format!("and {} more; name a track with --to or --from", ways.ways.len() - most);
        out.push_str(&paragraph("\n", &shown, width));
    }
    if let Some(storage) = &ways.storage {
        render_storage(&mut out, ways, storage, width, most);
    }
    out
}

fn render_way(out: &mut String, units: Units, way: &WayRow, (number, number_width): (usize, usize), width: usize) {
    let label = format!("  {number:>number_width$}  ");
    let indent = " ".repeat(label.chars().count());
    let mut what = if way.from == way.to { way.name.clone() } else { format!("from {}", way.from) };
    what.push_str(&format!(", {}", units.metres(way.length)));
    if way.ends_in_loop {
        what.push_str("; ends waiting in a loop");
    }
    out.push_str(&paragraph(&label, &escape_control_chars(&what), width));
    let set: Vec<String> = way.set.iter().map(|(control, position)| format!("{control} {position}")).collect();
    let set = if set.is_empty() { "nothing".to_owned() } else { set.join(", ") };
    out.push_str(&paragraph(&format!("{indent}set    "), &escape_control_chars(&set), width));
    if let Some(throws) = way.throws.as_ref().filter(|t| t.len() > 1) {
        let group = |(index, throw): (usize, &Throw)| match (index, throw.wait) {
            (0, _) => list(&throw.motors),
            (_, wait) if wait > 0.0 => format!("{} later {}", show_seconds(Seconds(wait)), list(&throw.motors)),
            _ => format!("then {}", list(&throw.motors)),
        };
        let words: Vec<String> = throws.iter().enumerate().map(group).collect();
        out.push_str(&paragraph(&format!("{indent}throw  "), &escape_control_chars(&words.join("; ")), width));
    }
    let Some(line) = &way.numbers else {
        out.push_str(&paragraph(&indent, "no place of it is powered", width));
        return;
    };
    let place = |(segment, x): &(String, f64)| escape_control_chars(&format!("{segment} @ {}", units.metres(*x)));
    let volts = band(&line.volts, |v| show_volts(Volts(v)));
    let amps = band(&line.fault_amps, |a| show_amps(Amps(a)));
    if line.volts_at == line.fault_at {
        let shown = format!("{volts}, shorted {amps}, at {}", place(&line.volts_at));
        out.push_str(&paragraph(&format!("{indent}worst  "), &shown, width));
    } else {
        out.push_str(&paragraph(&format!("{indent}worst  "), &format!("{volts} at {}", place(&line.volts_at)), width));
        let shown = format!("shorted {amps} at {}", place(&line.fault_at));
        out.push_str(&paragraph(&format!("{indent}       "), &shown, width));
    }
}

fn band(band: &Spread<f64>, show: impl Fn(f64) -> String) -> String {
    format!("{} ({})", show(band.typical), show(band.low))
}

fn mark(standing: StorageStanding) -> &'static str {
    match standing {
        StorageStanding::Always => "L",
        StorageStanding::Never => "-",
        StorageStanding::Depends => "d",
    }
}

fn render_storage(out: &mut String, ways: &WaysTable, storage: &StorageTable, width: usize, most: usize) {
    out.push_str(&format!("\nstorage, live: {}\n", storage.policy));
    if storage.live.is_empty() && !ways.ways.is_empty() {
        out.push_str("  which tracks are live could not be proved\n");
    } else {
        let shown = "L = live, - = dead, d = depends on turnouts that the route does not set";
        out.push_str(&paragraph("  ", shown, width));
        truth_table(out, ways, storage, width, most);
    }
    out.push_str("\nwhat feeds each storage track at its worst place\n");
    let mut rows = vec![["track", "contacts in series", "together (aged)", "of the loop (aged)"].map(str::to_owned)];
    for feed in &storage.feeds {
        let mut row = [escape_control_chars(&feed.track), String::new(), String::new(), String::new()];
        if feed.set.is_none() {
            row[1] = "powered in no setting".to_owned();
        } else if feed.contacts.is_empty() {
            row[1] = "none".to_owned();
        } else {
            let rest = feed.contacts.len().saturating_sub(MOST_CONTACTS);
            let named = feed.contacts[..feed.contacts.len() - rest].join(", ");
            row[1] = escape_control_chars(&if rest > 0 { format!("{named} and {rest} more") } else { named });
            row[2] = format!("{} ({})", show_ohms(Ohms(feed.ohms.typical)), show_ohms(Ohms(feed.ohms.high)));
            row[3] = format!("{:.0} % ({:.0} %)", 100.0 * feed.share[0], 100.0 * feed.share[1]);
        }
        rows.push(row);
    }
    let widest = |c: usize| rows.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
    let room = width.saturating_sub(widest(0) + widest(2) + widest(3) + 8).max(18);
    let mut lines: Vec<Vec<String>> = Vec::new();
    for [track, contacts, ohms, share] in &rows {
        let wrapped = paragraph("", contacts, room);
        for (index, part) in wrapped.lines().enumerate() {
            let first = |text: &String| if index == 0 { text.clone() } else { String::new() };
            lines.push(vec![first(track), part.to_owned(), first(ohms), first(share)]);
        }
    }
    out.push_str(&table(&lines));
}

fn truth_table(out: &mut String, ways: &WaysTable, storage: &StorageTable, width: usize, most: usize) {
    let names: Vec<String> = storage.tracks.iter().map(|t| escape_control_chars(t)).collect();
    let rows: Vec<(String, &Vec<StorageStanding>)> = ways
        .ways
        .iter()
        .zip(&storage.live)
        .take(most)
        .enumerate()
        .map(|(i, (way, live))| (format!("{}  {}", i + 1, escape_control_chars(&way.name)), live))
        .collect();
    let label = rows.iter().map(|r| r.0.chars().count()).max().unwrap_or(0);
    let named = 2 + label + names.iter().map(|n| n.chars().count() + 2).sum::<usize>();
    // Where the names do not fit, the columns are lettered.
    let letters = (0..).map(column_letters);
    let heads: Vec<String> = if named <= width { names.clone() } else { letters.take(names.len()).collect() };
    let mut lines = vec![std::iter::once("route".to_owned()).chain(heads.iter().cloned()).collect::<Vec<_>>()];
    lines.extend(
        rows.into_iter().map(|(name, live)| {
            std::iter::once(name).chain(live.iter().map(|&s| mark(s).to_owned())).collect::<Vec<_>>()
        }),
    );
    out.push_str(&table(&lines));
    if named > width {
        let key: Vec<String> = heads.iter().zip(&names).map(|(letters, name)| format!("{letters} {name}")).collect();
        out.push_str(&paragraph("  ", &key.join(", "), width));
    }
}

/// `A` to `Z`, then `AA` and so on.
fn column_letters(index: usize) -> String {
    let letter = |i: usize| char::from(b'A' + u8::try_from(i % 26).unwrap_or(0));
    if index < 26 { letter(index).to_string() } else { format!("{}{}", column_letters(index / 26 - 1), letter(index)) }
}

/// The table as a record for other programs: JSON, described in `docs/routes-record.md`; `path` is how the plan is
/// called.
pub fn to_json(ways: &WaysTable, path: &str) -> String {
    let spread = |b: &Spread<f64>| json!({ "low": b.low, "typical": b.typical, "high": b.high });
    let place = |(segment, x): &(String, f64)| json!({ "segment": segment, "metres": x });
    let numbers = |line: &WayLine| {
        json!({
            "volts": spread(&line.volts), "volts_at": place(&line.volts_at),
            "fault_amps": spread(&line.fault_amps), "fault_at": place(&line.fault_at),
        })
    };
    let positions = |set: &[(String, String)]| {
        set.iter().map(|(c, p)| json!({ "control": c, "position": p })).collect::<Vec<Value>>()
    };
    let rows: Vec<Value> = ways
        .ways
        .iter()
        .map(|way| {
            let set = positions(&way.set);
            let throws = way.throws.as_ref().map(|throws| {
                let group = |t: &Throw| json!({ "wait_seconds": t.wait, "motors": t.motors });
                throws.iter().map(group).collect::<Vec<Value>>()
            });
            json!({
                "name": way.name, "from": way.from, "to": way.to, "set": set, "throws": throws, "metres": way.length,
                "ends_in_loop": way.ends_in_loop, "numbers": way.numbers.as_ref().map(numbers),
            })
        })
        .collect();
    let word = |s: &StorageStanding| match s {
        StorageStanding::Always => "live",
        StorageStanding::Never => "dead",
        StorageStanding::Depends => "depends",
    };
    let storage = ways.storage.as_ref().map(|storage| {
        let live: Vec<Vec<&str>> = storage.live.iter().map(|row| row.iter().map(word).collect()).collect();
        let feeds: Vec<Value> = storage
            .feeds
            .iter()
            .map(|f| {
                json!({
                    "track": f.track, "set": f.set.as_ref().map(|s| positions(s)), "contacts": f.contacts, "ohms": spread(&f.ohms),
                    "share": { "typical": f.share[0], "aged": f.share[1] },
                })
            })
            .collect();
        json!({ "policy": storage.policy, "tracks": storage.tracks, "live": live, "feeds": feeds })
    });
    let record = json!({
        "format": "gapwright-routes",
        "version": 2,
        "plan": path,
        "layout": ways.layout,
        "found": ways.found,
        "complete": ways.complete,
        "left_out": ways.left_out,
        "routes": rows,
        "train": ways.train.as_ref().map(|(amps, from)| json!({ "amps": amps, "from": from })),
        "storage": storage,
    });
    // Strings and numbers always serialize; not-a-number becomes null.
    serde_json::to_string_pretty(&record).unwrap_or_default() + "\n"
}

#[cfg(test)]
mod tests {
    use analysis::Analysis;

    #[test]
    fn more_than_are_listed_is_said() {
        let plan = oracle::long_plans::passing_loops(10);
        let reading = plan::read(&plan);
        let table = Analysis::of(&plan, &reading.plan, &reading.names).all_ways();
        let shown = super::render(&table, 80, 5);
        assert!(shown.contains("too many to list") && shown.contains("name a track with --to or --from"), "{shown}");
    }
}

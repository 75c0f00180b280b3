//! A trace in a builder's words: what was sent, what is out of tolerance, how wide the half-bits were.

use signal::decoder::{Bytes, Marginal};
use signal::packet::hex;
use signal::statistics::Measured;
use signal::timing::{ACCEPTED, Picos, SENT, show_micros, show_millis};
use signal::vcd::{Notes, Timescale};
use signal::{Event, Packet, PacketReading, SignalFault, Statistics};
use std::collections::BTreeMap;
use text::{paragraph, table};

/// Packets that are counted one by one; more are told by how many there are.
const MOST_KINDS: usize = 1_000;

/// What a packet says, in words.
pub type Words<'w> = &'w dyn Fn(&Packet, &[u8]) -> String;

/// What is kept of a trace for printing: no more of each list than is printed.
pub struct TraceReport<'w> {
    words: Words<'w>,
    most: usize,
    timescale: Timescale,
    rows: Vec<PacketRow>,
    more_rows: u64,
    /// Each packet once, in the order they came first.
    kinds: Vec<PacketRow>,
    kind_of: BTreeMap<Vec<u8>, usize>,
    more_kinds: u64,
    faults: Vec<(Picos, String)>,
    more_faults: u64,
    marginal: Vec<(Picos, String)>,
    more_marginal: u64,
    fewest_ones: Option<u32>,
    /// The last packet, which the next one may repeat, whether it has a row or not.
    last: Option<Bytes>,
    cut_off: bool,
    notes: Notes,
}

/// A packet, when it was sent first, and how often: before another one came, or in all.
struct PacketRow {
    time: Picos,
    times: u64,
    bytes: String,
    words: String,
}

impl PacketRow {
    fn from_reading(reading: &PacketReading, words: Words<'_>) -> PacketRow {
        let (bytes, words) = (hex(&reading.bytes), words(&reading.packet(), &reading.bytes));
        PacketRow { time: reading.start, times: 1, bytes, words }
    }
}

impl<'w> TraceReport<'w> {
    pub fn new(most: usize, timescale: Timescale, words: Words<'w>) -> TraceReport<'w> {
        TraceReport {
            words,
            most,
            timescale,
            rows: Vec::new(),
            more_rows: 0,
            kinds: Vec::new(),
            kind_of: BTreeMap::new(),
            more_kinds: 0,
            faults: Vec::new(),
            more_faults: 0,
            marginal: Vec::new(),
            more_marginal: 0,
            fewest_ones: None,
            last: None,
            cut_off: false,
            notes: Notes::default(),
        }
    }

    pub fn event(&mut self, event: &Event) {
        match event {
            Event::Packet(reading) => {
                self.fewest_ones = Some(self.fewest_ones.map_or(reading.preamble, |few| few.min(reading.preamble)));
                self.in_all(reading);
                self.in_order(reading);
                if reading.marginal.any() {
                    if self.marginal.len() < self.most {
                        self.marginal.push((reading.start, marginal_words(&reading.marginal, reading.preamble)));
                    } else {
                        self.more_marginal += 1;
                    }
                }
            }
            Event::Fault(SignalFault::Gap { .. }) => {}
            Event::Fault(fault) => {
                // What was repeated is told anew behind a fault.
                self.last = None;
                if self.faults.len() < self.most {
                    self.faults.push((fault.time(), fault.to_string()));
                } else {
                    self.more_faults += 1;
                }
            }
        }
    }

    fn in_all(&mut self, reading: &PacketReading) {
        if let Some(&kind) = self.kind_of.get(&reading.bytes[..]) {
            self.kinds[kind].times += 1;
        } else if self.kinds.len() < MOST_KINDS {
            self.kind_of.insert(reading.bytes.to_vec(), self.kinds.len());
            self.kinds.push(PacketRow::from_reading(reading, self.words));
        } else {
            self.more_kinds += 1;
        }
    }

    fn in_order(&mut self, reading: &PacketReading) {
        if self.last == Some(reading.bytes) {
            // Where the row is no longer kept, neither is its count.
            if self.more_rows == 0
                && let Some(row) = self.rows.last_mut()
            {
                row.times += 1;
            }
        } else if self.rows.len() < self.most {
            self.rows.push(PacketRow::from_reading(reading, self.words));
        } else {
            self.more_rows += 1;
        }
        self.last = Some(reading.bytes);
    }

    pub fn end(&mut self, cut_off: bool, notes: Notes) {
        (self.cut_off, self.notes) = (cut_off, notes);
    }
}

fn marginal_words(marginal: &Marginal, ones: u32) -> String {
    let mut words = Vec::new();
    let many = |n: u32, one: &str, more: &str| if n == 1 { one.to_owned() } else { format!("{n} {more}") };
    if let Some((time, width)) = marginal.first_half {
        let halves = many(marginal.halves, "a half", "halves, the first");
        words.push(format!("{halves} of {} at {}", show_micros(width), show_millis(time)));
    }
    if let Some((time, difference)) = marginal.first_uneven {
        let ones = many(marginal.uneven, "a one", "ones, the first");
        words.push(format!("{ones} with halves {} apart at {}", show_micros(difference), show_millis(time)));
    }
    if marginal.short_preamble {
        words.push(format!("a preamble of {ones} ones"));
    }
    words.join("; ")
}

/// The whole report in lines of at most `width` columns where words allow it.
pub fn render(report: &TraceReport<'_>, statistics: &Statistics, path: &str, width: usize) -> String {
    let mut out = paragraph("", &text::escape_control_chars(path), width);
    let count = |n: u64, one: &str, more: &str| format!("{n} {}", if n == 1 { one } else { more });
    let mut extent = format!(
        "{} in steps of {}, {}, {}",
        show_millis(statistics.length()),
        report.timescale,
        count(statistics.packets, "packet", "packets"),
        count(statistics.faults, "fault", "faults")
    );
    if statistics.marginal > 0 {
        extent.push_str(&format!(", {} accepted though not as they should be sent", statistics.marginal));
    }
    if statistics.gaps > 0 {
        extent.push_str(&format!(", {} between packets, as is allowed", count(statistics.gaps, "gap", "gaps")));
    }
    out.push_str(&paragraph("", &extent, width));
    if report.notes.unknown > 0 {
        let line = report.notes.first_unknown_line.unwrap_or(0);
        let note = match report.notes.unknown {
            1 => format!("once the level is neither high nor low, in line {line}"),
            many => format!("{many} times the level is neither high nor low, first in line {line}"),
        };
        out.push_str(&paragraph("note: ", &note, width));
    }
    if report.cut_off {
        out.push_str(&paragraph("note: ", "the trace ends in the middle of a packet", width));
    }
    if statistics.packets == 0 {
        out.push_str(&paragraph("", &no_packet(statistics), width));
    }
    if report.rows.len() as u64 + report.more_rows > report.kinds.len() as u64 {
        let shown = report.kinds.len().min(report.most);
        let more = report.more_kinds + (report.kinds.len() - shown) as u64;
        rows(&mut out, "what was sent, each packet where it came first", &report.kinds[..shown], more, width);
        rows(&mut out, "in order", &report.rows, report.more_rows, width);
    } else {
        rows(&mut out, "what was sent", &report.rows, report.more_rows, width);
    }
    let list = |out: &mut String, title: &str, items: &[(Picos, String)], more: u64| {
        if !items.is_empty() {
            out.push_str(&format!("\n{title}\n"));
            let deep = items.iter().map(|(time, _)| show_millis(*time).len()).max().unwrap_or(0);
            for (time, words) in items {
                out.push_str(&paragraph(&format!("  {:>deep$}  ", show_millis(*time)), words, width));
            }
        }
        tell_more(out, more);
    };
    list(&mut out, "not accepted", &report.faults, report.more_faults);
    list(&mut out, "accepted, though not as it should be sent", &report.marginal, report.more_marginal);
    widths(&mut out, report, statistics);
    out
}

/// Why no packet may have been found.
fn no_packet(statistics: &Statistics) -> String {
    if statistics.halves() == 0 {
        return "no packet: the signal does not change".to_owned();
    }
    if statistics.one.count == 0 {
        let why = "no half-bit is as wide as that of a one; is this the track signal, and the timescale right?";
        return format!("no packet: {why}");
    }
    if statistics.zero.count == 0 {
        return "no packet: no half-bit is as wide as that of a zero, so nothing is said".to_owned();
    }
    match statistics.longest_preamble {
        enough if enough >= ACCEPTED.preamble => "no packet: none came to its end unhurt".to_owned(),
        few => format!("no packet: the longest preamble has {few} whole ones, and a decoder wants 10"),
    }
}

fn tell_more(out: &mut String, more: u64) {
    if more > 0 {
        out.push_str(&format!("  and {more} more; --most prints more of them, --format csv all\n"));
    }
}

fn rows(out: &mut String, title: &str, rows: &[PacketRow], more: u64, width: usize) {
    if rows.is_empty() {
        return;
    }
    out.push_str(&format!("\n{title}\n"));
    let cell = |row: &PacketRow| [show_millis(row.time), format!("{} ×", row.times), row.bytes.clone()];
    let cells: Vec<[String; 3]> = rows.iter().map(cell).collect();
    let deep = |at: usize| cells.iter().map(|c| c[at].chars().count()).max().unwrap_or(0);
    let [time, times, bytes] = [deep(0), deep(1), deep(2)];
    for (row, [at, count, hex]) in rows.iter().zip(&cells) {
        // What was sent once needs no number.
        let count = if row.times == 1 { "" } else { count };
        out.push_str(&paragraph(&format!("  {at:>time$}  {count:>times$}  {hex:<bytes$}  "), &row.words, width));
    }
    tell_more(out, more);
}

fn widths(out: &mut String, report: &TraceReport<'_>, statistics: &Statistics) {
    if statistics.halves() == 0 {
        return;
    }
    let range = |[low, high]: [Picos; 2]| format!("{} to {}", low / 1_000_000, show_micros(high));
    let most = |most: Picos| format!("≤ {}", show_micros(most));
    let row = |name: &str, m: &Measured, sent: String, accepted: String| {
        // Hundredths are enough for a table, and keep it on the page.
        let value = |v: Picos| if m.count == 0 { "-".to_owned() } else { show_micros((v + 5_000) / 10_000 * 10_000) };
        vec![name.to_owned(), value(m.least), value(m.mean().unwrap_or(0)), value(m.most), sent, accepted]
    };
    let mut all = vec![
        ["half-bits", "least", "mean", "most", "sent", "accepted"].map(str::to_owned).to_vec(),
        row("of a one", &statistics.one, range(SENT.one), range(ACCEPTED.one)),
        row("their difference", &statistics.difference, most(SENT.difference), most(ACCEPTED.difference)),
        row("of a zero", &statistics.zero, range(SENT.zero), range(ACCEPTED.zero)),
        row("a whole zero", &statistics.zero_in_all, most(SENT.zero_in_all), most(ACCEPTED.zero_in_all)),
    ];
    if statistics.neither.count > 0 {
        all.push(row("of neither", &statistics.neither, "none".to_owned(), "none".to_owned()));
    }
    if let Some(ones) = report.fewest_ones {
        let [sent, accepted] = [SENT.preamble, ACCEPTED.preamble].map(|ones| format!("{ones} or more"));
        all.push(vec!["preamble, ones".to_owned(), ones.to_string(), String::new(), String::new(), sent, accepted]);
    }
    out.push('\n');
    out.push_str(&table(&all));
}

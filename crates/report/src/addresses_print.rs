//! The address table as text and for a spreadsheet.

use analysis::addresses::{AddressRow, AddressTable};
use analysis::words::list;
use signal::packet::hex;
use signal::{Counting, ValueMeaning};
use std::fmt::Write as _;
use text::csv;
use text::escape_control_chars;
use text::{paragraph, table};

/// Runs of free numbers that are named.
const MOST_RUNS: usize = 12;

/// The table in lines of at most `width` columns where words allow it.
pub fn render(addresses: &AddressTable, width: usize) -> String {
    let mut out = paragraph("", &escape_control_chars(&addresses.layout), width);
    if addresses.rows.is_empty() {
        out.push_str("no motor of the plan has an address\n");
        return out;
    }
    out.push_str(&paragraph("", &counted(addresses), width));
    out.push('\n');
    let head = ["address", "motor", "moves", "linear", "four-off", "board/pair", "in the packet"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(addresses.rows.iter().map(|row| {
        let mut cells =
            vec![row.number.to_string(), escape_control_chars(&row.motor), escape_control_chars(&row.moves)];
        cells.extend(Counting::ALL.map(|counting| row.address.number(counting).to_string()));
        cells.push(format!("{}/{}", row.address.board(), row.address.pair()));
        cells.push(format!("{}{}", row.address.bits(), remark(row)));
        cells
    }));
    out.push_str(&table(&rows));
    out.push_str("\nwhat sets them: a packet on the track, or an event on a layout bus\n");
    let mut rows = vec![["motor", "position", "output", "packet", "event"].map(str::to_owned).to_vec()];
    for row in &addresses.rows {
        for (at, set) in row.sets.iter().enumerate() {
            let motor = if at == 0 { escape_control_chars(&row.motor) } else { String::new() };
            let output = u8::from(set.output).to_string();
            rows.push(vec![motor, set.position.clone(), output, hex(&set.bytes), set.event.to_string()]);
        }
    }
    out.push_str(&table(&rows));
    out.push('\n');
    for note in notes(addresses) {
        out.push_str(&paragraph("", &note, width));
    }
    out
}

fn counted(addresses: &AddressTable) -> String {
    let how = match addresses.counting {
        Counting::Linear => "1 is the first pair of board 1",
        Counting::FourOff => "1 is the first pair of board 0",
    };
    let said = if addresses.counting_said { "as the plan says" } else { "which the plan does not say" };
    format!("addresses count {}, {said}: {how}", addresses.counting.word())
}

/// What is odd about a row.
fn remark(row: &AddressRow) -> &'static str {
    match row.address.standing() {
        ValueMeaning::Broadcast => ", every decoder's",
        ValueMeaning::BoardZero => ", board 0",
        ValueMeaning::Ordinary => "",
    }
}

fn notes(addresses: &AddressTable) -> Vec<String> {
    let mut notes = Vec::new();
    let reversed: Vec<String> =
        addresses.rows.iter().filter(|r| r.reversed).map(|r| escape_control_chars(&r.motor)).collect();
    let common = "commonly output 1 sets a turnout through and output 0 diverging; try it, and write `reversed = true` at a \
                  motor that does it the other way round";
    notes.push(common.to_owned());
    if !reversed.is_empty() {
        notes.push(format!("reversed: {}", list(&reversed)));
    }
    let shared: Vec<String> = addresses.shared().iter().map(u32::to_string).collect();
    if !shared.is_empty() {
        notes.push(format!("more than one motor has {}; see `gapwright explain address-shared`", list(&shared)));
    }
    let free = addresses.free();
    let run = |&[low, high]: &[u32; 2]| if low == high { low.to_string() } else { format!("{low} to {high}") };
    let mut runs: Vec<String> = free.iter().take(MOST_RUNS).map(run).collect();
    if free.len() > MOST_RUNS {
        runs.push(format!("{} runs more", free.len() - MOST_RUNS));
    }
    if !runs.is_empty() {
        notes.push(format!("free in between: {}", list(&runs)));
    }
    if !addresses.without.is_empty() {
        let without: Vec<String> = addresses.without.iter().map(|m| escape_control_chars(m)).collect();
        notes.push(format!("without an address: {}", list(&without)));
    }
    notes
}

/// A line for each motor and position, with a header.
pub fn to_csv(addresses: &AddressTable) -> String {
    let mut out =
        "address,motor,moves,linear,four_off,board,pair,in_packet,reversed,position,output,packet,event\n".to_owned();
    for row in &addresses.rows {
        for set in &row.sets {
            let a = row.address;
            let [linear, four_off] = Counting::ALL.map(|counting| a.number(counting));
            let [motor, moves, position] = [&row.motor, &row.moves, &set.position].map(|text| csv::field(text));
            let _ = writeln!(
                out,
                "{},{motor},{moves},{linear},{four_off},{},{},{},{},{position},{},{},{}",
                row.number,
                a.board(),
                a.pair(),
                a.bits(),
                u8::from(row.reversed),
                u8::from(set.output),
                hex(&set.bytes),
                set.event
            );
        }
    }
    out
}

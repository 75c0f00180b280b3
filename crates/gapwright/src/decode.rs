//! `gapwright decode`: what was sent on a track whose signal a logic analyser recorded.

use crate::check::width;
use crate::decode_print::{TraceReport, Words, render};
use crate::exit::{self, CliError, print};
use crate::routes::ADDRESSES_UNTRUE;
use clap::{Args, ValueEnum};
use signal::packet::hex;
use signal::timing::{MICRO, Picos};
use signal::vcd::{Header, VcdError};
use signal::{Decoder, Event, Packet};
use std::collections::BTreeMap;
use std::io::{BufReader, BufWriter, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

/// `gapwright decode`.
#[derive(Args)]
pub struct DecodeCommand {
    /// The trace, a value-change dump as logic analysers write it
    trace: PathBuf,
    /// The signal to read, where the dump has several
    #[arg(long, value_name = "NAME")]
    signal: Option<String>,
    /// The plan whose motors are meant: packets that set one of them say so
    #[arg(long, value_name = "PLAN")]
    plan: Option<PathBuf>,
    /// How to print it
    #[arg(long, value_enum, default_value_t = TraceFormat::Full)]
    format: TraceFormat,
    /// Print at most this many lines of each list
    #[arg(long, default_value_t = 60)]
    most: usize,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum TraceFormat {
    /// For reading: packets, what is out of tolerance, how wide the half-bits were
    Full,
    /// For a spreadsheet: a line for each packet and each fault
    Csv,
}

/// Reads a trace and prints what was sent; false where something in it is not accepted, or no packet is there.
pub fn decode(asked: &DecodeCommand) -> Result<bool, CliError> {
    let path = asked.trace.as_path();
    let file = std::fs::File::open(path).map_err(|e| CliError::reading(path, &e))?;
    let header = Header::read(BufReader::with_capacity(1 << 20, file)).map_err(bad(path))?;
    let meant = packets_of_plan(asked.plan.as_deref())?;
    let words = |packet: &Packet, bytes: &[u8]| match meant.get(bytes) {
        Some(meant) => format!("{packet} ({meant})"),
        None => packet.to_string(),
    };
    let mut report = TraceReport::new(asked.most, header.timescale(), &words);
    let mut edges = header.edges(asked.signal.as_deref()).map_err(bad(path))?;
    let mut decoder = Decoder::new();
    let mut csv = (asked.format == TraceFormat::Csv).then(|| Csv::new(std::io::stdout().lock()));
    if let Some(csv) = &mut csv {
        csv.line("time_us,kind,bytes,words,preamble_ones,marginal")?;
    }
    for edge in edges.by_ref() {
        let Some(event) = decoder.edge(edge.map_err(bad(path))?) else { continue };
        match &mut csv {
            Some(csv) => csv.event(&event, &words)?,
            None => report.event(&event),
        }
    }
    let statistics = decoder.statistics();
    match &mut csv {
        Some(csv) => csv.flush()?,
        None => {
            report.end(decoder.is_in_packet(), edges.notes());
            print(&render(&report, statistics, &path.display().to_string(), width()))?;
        }
    }
    Ok(statistics.faults == 0 && statistics.packets > 0)
}

/// The packets that set motors of a plan, by their bytes, and what they set.
fn packets_of_plan(plan: Option<&Path>) -> Result<BTreeMap<Vec<u8>, String>, CliError> {
    let Some(path) = plan else { return Ok(BTreeMap::new()) };
    let table = exit::ask(path, ADDRESSES_UNTRUE, |facts| Ok(facts.addresses()))?;
    let mut meant: BTreeMap<Vec<u8>, Vec<String>> = BTreeMap::new();
    for row in table.rows {
        for set in row.sets {
            let words = format!("{}: {} {}", row.motor, row.moves, set.position);
            meant.entry(set.bytes).or_default().push(text::escape_control_chars(&words));
        }
    }
    Ok(meant.into_iter().map(|(bytes, words)| (bytes, words.join("; "))).collect())
}

fn bad(path: &Path) -> impl Fn(VcdError) -> CliError {
    move |error| match error {
        VcdError::Reading(error) => CliError::reading(path, &error),
        error => CliError::new(format!("cannot read `{}`: {error}", path.display())).help(error.fix()),
    }
}

/// Lines to the output, which may go away.
struct Csv<W: std::io::Write> {
    out: BufWriter<W>,
    gone: bool,
}

impl<W: std::io::Write> Csv<W> {
    fn new(out: W) -> Csv<W> {
        Csv { out: BufWriter::new(out), gone: false }
    }

    fn done(&mut self, written: std::io::Result<()>) -> Result<(), CliError> {
        match written {
            Err(error) if error.kind() == ErrorKind::BrokenPipe => {
                self.gone = true;
                Ok(())
            }
            Err(error) => Err(CliError::new(format!("cannot write the output: {error}"))),
            Ok(()) => Ok(()),
        }
    }

    fn line(&mut self, line: &str) -> Result<(), CliError> {
        if self.gone {
            return Ok(());
        }
        let written = writeln!(self.out, "{line}");
        self.done(written)
    }

    fn event(&mut self, event: &Event, words: Words<'_>) -> Result<(), CliError> {
        match event {
            Event::Packet(reading) => {
                let words = words(&reading.packet(), &reading.bytes).replace('"', "\"\"");
                let marginal = u8::from(reading.marginal.any());
                let (time, bytes) = (micros(reading.start), hex(&reading.bytes));
                self.line(&format!("{time},packet,{bytes},\"{words}\",{},{marginal}", reading.preamble))
            }
            Event::Fault(fault) => {
                let kind = if fault.is_allowed() { "gap" } else { "fault" };
                self.line(&format!("{},{kind},,\"{fault}\",,", micros(fault.time())))
            }
        }
    }

    fn flush(&mut self) -> Result<(), CliError> {
        let written = if self.gone { Ok(()) } else { self.out.flush() };
        self.done(written)
    }
}

fn micros(time: Picos) -> String {
    format!("{}.{:03}", time / MICRO, time % MICRO / 1_000)
}

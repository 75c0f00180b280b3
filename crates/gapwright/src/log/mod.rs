//! `gapwright log`: what was done and measured.

mod correct;
mod enter;
mod guide;
mod list;
mod record;
mod show;
mod tick;
mod transfer;
mod years;

use crate::check::width;
use crate::exit::{CliError, check_it, understood};
use commissioning::{TestLoad, work};
use logbook::{Entry, LogbookError, Moment};
use schedule::{Choices, Job};
use site::logged::{Desk, DeskError, Hand};
use std::path::{Path, PathBuf};

/// Keep what was done and measured, and say at once whether a reading is well; without more words, be led from one job or test to
/// the next
#[derive(clap::Args)]
pub struct LogCommand {
    /// The plan, a TOML file; the logbook lies beside it
    plan: PathBuf,
    #[command(subcommand)]
    act: Option<LogAction>,
    /// Who did it; your login where it is left out
    #[arg(long, global = true, value_name = "NAME")]
    who: Option<String>,
    /// When it was so, such as `2026-05-01 18:20`; now where it is left out
    #[arg(long, global = true, value_name = "TIME")]
    at: Option<String>,
    /// The load you test with power on: what it draws, or its resistance, such as `15 Ω`
    #[arg(long, global = true, value_name = "LOAD", default_value = "1 A")]
    load: String,
}

#[derive(clap::Subcommand)]
enum LogAction {
    /// Tick jobs of the work orders by their numbers: `tick 12`, `tick 2 to 14`
    Tick {
        /// The numbers, or a job's name
        #[arg(required = true)]
        orders: Vec<String>,
    },
    /// Enter what a test read: `reading 12 0.4 ohm --with meter --air "18 °C"`
    Reading(enter::ReadingArgs),
    /// Enter what somebody saw go wrong: `symptom "dock 1" engine stalls at the far end`
    Symptom(enter::AboutArgs),
    /// Enter what was repaired, by its number or name: `repair F-12 soldered anew`
    Repair(enter::AboutArgs),
    /// Enter how warm the air is; it holds for readings of the next 12 hours
    Air {
        /// The temperature, such as `18 °C`
        #[arg(required = true)]
        air: Vec<String>,
    },
    /// Enter a meter on one range: `instrument "red meter" --resolution "0.1 ohm" --accuracy "0.8 % + 5 digits"`
    Instrument(enter::InstrumentArgs),
    /// Enter anything else worth knowing
    Remark {
        /// The words
        #[arg(required = true)]
        words: Vec<String>,
    },
    /// Enter the readings of a table: CSV or XLSX with the columns `test` and `reading`
    File(transfer::FileArgs),
    /// Put an entry right: `correct 12 0.5 ohm` for the last reading of test 12, or by an entry's sign; `withdrawn` takes it back
    Correct(correct::CorrectArgs),
    /// Show what is done, what fails, what is blocked and what is due this year
    Progress,
    /// Show readings over the years, and when a limit will be crossed
    Years {
        /// Only this test
        test: Option<usize>,
    },
    /// List entries, the last ones last
    List(list::ListArgs),
    /// Write the record to print and keep: each test with its last reading, symptoms, repairs, meters
    Record {
        /// The file to write: PDF, or CSV of the tests where it ends with `.csv`
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
    },
    /// Write all entries as comma-separated values
    Export {
        /// Write them to this file instead
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Take over entries that `export` wrote, CSV or XLSX
    Import(transfer::OtherArgs),
    /// Take over the entries of another copy of this logbook, which stays as it is
    Merge(transfer::OtherArgs),
    /// Write a copy of the whole logbook, which is read once to be sure
    Backup {
        /// The file to write; it must not be there yet
        to: PathBuf,
    },
}

/// Keeps what was done and measured; false where a reading fails.
pub fn log(asked: &LogCommand) -> Result<bool, CliError> {
    let now = Moment::now();
    let time = match &asked.at {
        None => now.clone(),
        Some(typed) => Moment::from_typed(&typed.replace('\u{2212}', "-"), &now).ok_or_else(|| {
            CliError::new(format!("`{typed}` is no time"))
                .help("write `--at \"2026-05-01 18:20\"`, or `--at 18:20` for today")
        })?,
    };
    if time > now {
        return Err(
            CliError::new(format!("{} is not yet", time.minute())).help("check `--at`, and the clock of this machine")
        );
    }
    let hand = Hand { who: who(asked.who.as_deref()), device: device() };
    let load = TestLoad::read(&asked.load).map_err(|why| CliError::new(why.to_string()))?;
    let at = At { plan: asked.plan.clone(), hand, time, given: asked.at.is_some(), load };
    match &asked.act {
        None => guide::guide(&at),
        Some(LogAction::Tick { orders }) => tick::tick(&at, &orders.join(" ")),
        Some(LogAction::Reading(reading)) => enter::reading(&at, reading),
        Some(LogAction::Symptom(about)) => enter::about(&at, logbook::EntryKind::Symptom, about),
        Some(LogAction::Repair(about)) => enter::about(&at, logbook::EntryKind::Repair, about),
        Some(LogAction::Air { air }) => enter::air(&at, &air.join(" ")),
        Some(LogAction::Instrument(meter)) => enter::instrument(&at, meter),
        Some(LogAction::Remark { words }) => enter::remark(&at, &words.join(" ")),
        Some(LogAction::File(file)) => transfer::file(&at, file),
        Some(LogAction::Correct(correct)) => correct::correct(&at, correct),
        Some(LogAction::Progress) => show::progress(&at),
        Some(LogAction::Years { test }) => years::years(&at, *test),
        Some(LogAction::List(wanted)) => list::list(&at, wanted),
        Some(LogAction::Record { out }) => record::record(&at, out),
        Some(LogAction::Export { out }) => transfer::export(&at.plan, out.as_deref()),
        Some(LogAction::Import(other)) => transfer::import(&at.plan, other),
        Some(LogAction::Merge(other)) => transfer::merge(&at.plan, other),
        Some(LogAction::Backup { to }) => transfer::backup(&at.plan, to),
    }
}

/// Where, by whom and when something is entered.
struct At {
    plan: PathBuf,
    hand: Hand,
    time: Moment,
    /// Whether the time was said.
    given: bool,
    load: TestLoad,
}

impl At {
    /// The plan as it is written on a command line.
    fn shown(&self) -> String {
        let path = self.plan.display().to_string();
        let plain = path.chars().all(|c| c.is_alphanumeric() || matches!(c, '.' | '/' | '\\' | '-' | '_' | ':'));
        if plain { path } else { format!("\"{path}\"") }
    }

    /// The time of an entry that is made now, in a dialogue.
    fn moment(&self) -> Moment {
        if self.given { self.time.clone() } else { Moment::now() }
    }
}

/// Reads a plan, works out its tests and jobs, and opens its logbook.
fn with_desk(at: &At, does: impl FnOnce(&mut Desk<'_, '_>) -> Result<bool, CliError>) -> Result<bool, CliError> {
    let path = &at.plan;
    let (text, reading) =
        understood(path, "the plan has errors; nothing was entered, since its tests would not be true")?;
    let kept = site::numbers::kept_for(path, &reading.names);
    let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
    let job = Job::carried_where_kept(facts, Choices::usual(&reading.plan), kept.as_ref());
    let work = work(&job, at.load).map_err(check_it(path))?;
    let mut desk = Desk::open(path, &job, &work).map_err(refused)?;
    does(&mut desk)
}

/// Adds entries. With the first on a text of the plan its numbers are kept beside it, so that the papers in hand stay true.
fn append(at: &At, desk: &mut Desk<'_, '_>, drafts: Vec<logbook::Draft>) -> Result<Vec<Entry>, CliError> {
    let first = desk.is_new_text();
    let entries = desk.append(drafts).map_err(refused)?;
    if first {
        let bytes = desk.job().facts.written_text().as_bytes();
        if let Err(why) = site::numbers::keep(&at.plan, bytes, bytes) {
            say(&format!(
                "The numbers of tests could not be kept beside the plan: {why}. Keep the papers you work by."
            ))?;
        }
    }
    Ok(entries)
}

fn refused(error: LogbookError) -> CliError {
    CliError::new(error.to_string()).help(error.help())
}

/// What was typed and cannot be entered; `line` makes a right line of a right rest.
fn not_entered(at: &At, act: &str) -> impl Fn(DeskError) -> CliError {
    let line = format!("gapwright log {} {act}", at.shown());
    move |error| match error {
        DeskError::Logbook(error) => refused(error),
        DeskError::Typed(why) if why.help.contains('`') => {
            CliError::new(format!("{}; nothing was entered", why.what)).help(why.help)
        }
        DeskError::Typed(why) => CliError::new(format!("{}; nothing was entered", why.what))
            .help(format!("write what your meter shows, in this form: `{line} {}`", why.help)),
    }
}

/// Prints a paragraph; words of a plan may be in it, and a terminal must not obey them.
fn say(words: &str) -> Result<(), CliError> {
    say_behind("", words)
}

/// The same behind a label.
fn say_behind(label: &str, words: &str) -> Result<(), CliError> {
    crate::exit::print(&text::paragraph(label, &text::escape_control_chars(words), width()))
}

fn who(said: Option<&str>) -> String {
    let login = || ["GAPWRIGHT_WHO", "USER", "USERNAME"].iter().find_map(|name| std::env::var(name).ok());
    said.map(str::to_owned).or_else(login).unwrap_or_default()
}

/// The name of this machine.
fn device() -> String {
    let named = ["GAPWRIGHT_DEVICE", "COMPUTERNAME", "HOSTNAME"].iter().find_map(|name| std::env::var(name).ok());
    let kernel = || std::fs::read_to_string(Path::new("/proc/sys/kernel/hostname")).ok();
    named.or_else(kernel).map_or_else(|| "this machine".to_owned(), |name| name.trim().to_owned())
}

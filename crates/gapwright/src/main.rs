//! `gapwright`: reads plans, reviews them, explains what it found.

mod changes;
mod check;
mod commands;
mod decode;
mod decode_print;
mod drawing;
mod exit;
mod hunt;
mod hunt_print;
mod hunt_readings;
mod hunt_session;
mod hunt_tree;
mod import;
mod log;
mod moving;
mod new;
mod own_files;
mod packaging;
mod packets;
mod papers;
mod routes;
mod serve;
mod sheets;
mod wire;

use analysis::sources::SourceTopic;
use clap::{CommandFactory as _, Parser, Subcommand, ValueEnum};
use handbook::quantity::Units;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Parser)]
#[command(
    name = "gapwright",
    version,
    about = "Proves the wiring of a model railway before it is built",
    max_term_width = 100,
    disable_help_subcommand = true
)]
struct Command {
    #[command(subcommand)]
    act: Action,
    /// Say lengths, temperatures and wire sizes in these units, whatever the plan uses
    #[arg(long, global = true, value_enum, value_name = "UNITS")]
    units: Option<UnitsWord>,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum UnitsWord {
    /// Metres, degrees Celsius, mm²
    Metric,
    /// Feet and inches, degrees Fahrenheit, AWG
    Imperial,
}

#[derive(clap::Args)]
struct SourcesFlag {
    /// Tell last where the numbers come from: a line of the plan, or the handbook and its source
    #[arg(long)]
    sources: bool,
}

#[derive(Subcommand)]
enum Action {
    New(new::NewCommand),
    Import(import::ImportCommand),
    /// Review a plan: what shorts, what is dead, where the voltage is too low, and why
    Check {
        /// The plan, a TOML file
        plan: PathBuf,
        /// How to print the review
        #[arg(long, value_enum, default_value_t = Format::Full)]
        format: Format,
        /// Print at most this many findings in full
        #[arg(long, default_value_t = 30)]
        most: usize,
        /// Print every track's numbers and everything else there is to know
        #[arg(long)]
        all: bool,
        /// Leave the lines of the plan out
        #[arg(long)]
        no_source: bool,
        #[command(flatten)]
        sources: SourcesFlag,
    },
    /// Say what a finding or a word of the trade means, in half a page
    Explain {
        /// The finding's name, or a word such as `frog`; all of them where it is left out
        name: Option<String>,
    },
    /// Show the edits that put a plan right, and make them
    Fix {
        /// The plan, a TOML file
        plan: PathBuf,
        /// Write the plan; without this the edits are only shown
        #[arg(long)]
        write: bool,
    },
    Wire(wire::WireCommand),
    /// Print the plan with its ladders, yards, loops and other composite tables written out as the ordinary tables they stand for
    Expand {
        /// The plan, a TOML file
        plan: PathBuf,
        /// Write it to this file instead; it must not be there yet
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Write a setting of the plan as a SPICE netlist
    Netlist {
        /// The plan, a TOML file
        plan: PathBuf,
        /// A position, such as `T1=diverging`; whatever is not named stands in its first position
        #[arg(long, value_name = "NAME=POSITION")]
        setting: Vec<String>,
        /// A load, such as `dock 1 @ 1.2 m=0.7 A`
        #[arg(long, value_name = "PLACE=CURRENT")]
        load: Vec<String>,
    },
    /// List the routes: which turnouts to set for each, what a train gets there, which storage tracks are live then
    Routes {
        /// The plan, a TOML file
        plan: PathBuf,
        /// Only routes that end on this track or go over it
        #[arg(long, value_name = "TRACK")]
        to: Option<String>,
        /// Only routes that come from this track or over it
        #[arg(long, value_name = "TRACK")]
        from: Option<String>,
        /// How to print them: `full` or `json`, a record described in docs/routes-record.md
        #[arg(long, value_enum, default_value_t = TableFormat::Full)]
        format: TableFormat,
        /// Print at most this many routes
        #[arg(long, default_value_t = 60)]
        most: usize,
        #[command(flatten)]
        sources: SourcesFlag,
    },
    /// Tell the voltage and the short-circuit current along a route, as a table, for a spreadsheet, or as a plot
    Profile {
        /// The plan, a TOML file
        plan: PathBuf,
        /// The route: its number or its name, as `gapwright routes` lists it with the same `--from` and `--to`; where it is
        /// left out, the one that gets the least voltage
        #[arg(long, value_name = "NUMBER OR NAME")]
        route: Option<String>,
        /// Only routes that come from this track or over it
        #[arg(long, value_name = "TRACK")]
        from: Option<String>,
        /// Only routes that end on this track or go over it
        #[arg(long, value_name = "TRACK")]
        to: Option<String>,
        /// How to print it
        #[arg(long, value_enum, default_value_t = routes::ProfileFormat::Table)]
        format: routes::ProfileFormat,
        /// Write it to this file instead
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        #[command(flatten)]
        sources: SourcesFlag,
    },
    /// Show what fits where: clearances behind turnouts, clear lengths, trains that fit, spacing of ladders
    Lengths {
        /// The plan, a TOML file
        plan: PathBuf,
        #[command(flatten)]
        sources: SourcesFlag,
    },
    /// Show how wide to leave each gap and sliding joint, and how wide it gets over the year
    Gaps {
        /// The plan, a TOML file
        plan: PathBuf,
        /// The air of the day on which gaps are cut, such as `22 °C, 45 %`; that of laying where it is left out
        #[arg(long, value_name = "TEMPERATURE, HUMIDITY", allow_hyphen_values = true)]
        day: Option<String>,
        /// How to print it
        #[arg(long, value_enum, default_value_t = moving::GapsFormat::Table)]
        format: moving::GapsFormat,
        /// Write it to this file instead
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        /// Print at most this many rows of the table
        #[arg(long, default_value_t = 60)]
        most: usize,
        #[command(flatten)]
        sources: SourcesFlag,
    },
    /// Show whether the wires from motors to throwbars do their work, which sizes do, and where to drill
    Linkage {
        /// The plan, a TOML file
        plan: PathBuf,
    },
    /// Show how current gets to a place, piece by piece, or what keeps it away
    Trace {
        /// The plan, a TOML file
        plan: PathBuf,
        /// The place: `dock 1.right @ 1 m`; `dock 1 @ 1 m` for both rails; `T1.frog`; `M1.2.common`
        place: String,
        /// A position, such as `T1=diverging`; whatever is not named stands in its first position
        #[arg(long, value_name = "NAME=POSITION")]
        setting: Vec<String>,
        #[command(flatten)]
        sources: SourcesFlag,
    },
    /// Tell the wiring types of turnouts apart, with a meter; print one of them, or a turnout of a plan
    Turnout {
        /// A wiring type, such as `live-bonded`; with `--plan` a turnout of the plan
        #[arg(conflicts_with = "readings")]
        name: Option<String>,
        /// The plan whose turnout is meant
        #[arg(long, conflicts_with = "readings")]
        plan: Option<PathBuf>,
        /// What the meter read, in the order that `gapwright turnout` prints
        #[arg(long, value_name = "joined,open,...")]
        readings: Option<String>,
        /// To which side it diverges; a turnout of a plan says so itself
        #[arg(long, value_enum, default_value_t = HandWord::Right, conflicts_with = "plan")]
        hand: HandWord,
    },
    /// List the address of every motor as each way to count has it, and what is sent to set it
    Addresses {
        /// The plan, a TOML file
        plan: PathBuf,
        /// How to print it
        #[arg(long, value_enum, default_value_t = routes::AddressFormat::Table)]
        format: routes::AddressFormat,
    },
    /// Say what to send on the track so that something happens, bit by bit; or explain bytes
    Packet(packets::PacketCommand),
    /// Read a recorded track signal: what was sent, and what is out of tolerance
    Decode(decode::DecodeCommand),
    /// Print the tests to make, with what each should read and what mistakes would read
    Tests(sheets::TestsCommand),
    /// Find a fault: what readings and symptoms say is wrong, how sure that is, and what to measure next
    Hunt(hunt::HuntCommand),
    /// Print the work orders: what to do, in an order in which it can be done, and the tests that close each task
    Orders {
        /// The plan, a TOML file
        plan: PathBuf,
    },
    Log(log::LogCommand),
    /// Draw the layout: both rails with gaps, joints, feeders, names and numbers, as SVG
    Drawing(drawing::DrawingCommand),
    /// Make the papers of a plan: a binder to print, web pages to read under the layout, tables, drawings, templates
    Papers(papers::PapersCommand),
    /// Tell what to move, cut, label and test so that a layout becomes that of a new plan: the least
    Changes(changes::ChangesCommand),
    Serve(serve::ServeCommand),
    /// Print the JSON Schema of plans, for editors that complete and check
    Schema,
    /// Write manual pages and completions for shells into a folder, for packages
    #[command(hide = true)]
    Packaging {
        /// The folder
        folder: PathBuf,
    },
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For reading: summary, findings with their places, numbers
    Full,
    /// One line for each finding
    Concise,
    /// A record for other programs, described in docs/review-record.md
    Json,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum TableFormat {
    /// For reading
    Full,
    /// A record for other programs
    Json,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum HandWord {
    Left,
    Right,
    Wye,
}

impl SourcesFlag {
    /// Does an act and, where that was asked and can be read there, tells where its numbers come from.
    fn after(
        &self,
        plan: &Path,
        topics: &[SourceTopic],
        readable: bool,
        act: impl FnOnce() -> Result<bool, exit::CliError>,
    ) -> Result<bool, exit::CliError> {
        if self.sources && !readable {
            return Err(exit::CliError::new("`--sources` goes with what is printed for reading")
                .help("leave `--format` and `--out` away, or `--sources`"));
        }
        let done = act()?;
        if self.sources {
            commands::sources(plan, topics)?;
        }
        Ok(done)
    }
}

impl HandWord {
    fn hand(self) -> plan::tables::Hand {
        match self {
            HandWord::Left => plan::tables::Hand::Left,
            HandWord::Right => plan::tables::Hand::Right,
            HandWord::Wye => plan::tables::Hand::Wye,
        }
    }
}

/// The arguments. What `log` is told may be a number below zero, which must not be taken for an option: its minus becomes the sign of
/// mathematics, which is read as one.
fn arguments() -> Vec<std::ffi::OsString> {
    let mut arguments: Vec<std::ffi::OsString> = std::env::args_os().collect();
    if arguments.get(1).is_some_and(|act| act == "log") {
        for argument in arguments.iter_mut().skip(2) {
            let below = argument.to_str().and_then(|words| words.strip_prefix('-'));
            let number = |rest: &str| rest.trim_start_matches(['.', ',']).starts_with(|c: char| c.is_ascii_digit());
            if let Some(rest) = below.filter(|rest| number(rest)) {
                *argument = format!("\u{2212}{rest}").into();
            }
        }
    }
    arguments
}

fn main() -> ExitCode {
    let command = Command::parse_from(arguments());
    match command.units {
        Some(UnitsWord::Metric) => exit::say_in(Units::Metric),
        Some(UnitsWord::Imperial) => exit::say_in(Units::Imperial),
        None => {}
    }
    let done = match command.act {
        Action::New(asked) => new::new(&asked),
        Action::Import(asked) => import::import(&asked),
        Action::Check { plan, format, most, all, no_source, sources } => {
            let look = check::CheckLook { format, most, all, source: !no_source };
            let readable = format == Format::Full;
            sources.after(&plan, &SourceTopic::ALL, readable, || check::check(&plan, &look))
        }
        Action::Explain { name } => commands::explain(name.as_deref()),
        Action::Fix { plan, write } => commands::fix(&plan, write),
        Action::Wire(asked) => wire::wire(&asked),
        Action::Expand { plan, out } => commands::expand(&plan, out.as_deref()),
        Action::Netlist { plan, setting, load } => commands::netlist(&plan, &setting, &load),
        Action::Routes { plan, to, from, format, most, sources } => {
            let json = format == TableFormat::Json;
            let wanted = analysis::ways_table::WantedWays { from, to };
            sources.after(&plan, &[SourceTopic::Current], !json, || routes::ways(&plan, &wanted, json, most))
        }
        Action::Profile { plan, route, from, to, format, out, sources } => {
            let wanted = analysis::way_profile::WantedProfile { way: route, from, to };
            let readable = format == routes::ProfileFormat::Table && out.is_none();
            let act = || routes::profile(&plan, &wanted, format, out.as_deref());
            sources.after(&plan, &[SourceTopic::Current], readable, act)
        }
        Action::Lengths { plan, sources } => {
            sources.after(&plan, &[SourceTopic::Lengths], true, || routes::lengths(&plan))
        }
        Action::Gaps { plan, day, format, out, most, sources } => {
            let readable = format == moving::GapsFormat::Table && out.is_none();
            let act = || moving::gaps(&plan, day.as_deref(), format, out.as_deref(), most);
            sources.after(&plan, &[SourceTopic::Movement], readable, act)
        }
        Action::Linkage { plan } => moving::linkage(&plan),
        Action::Trace { plan, place, setting, sources } => {
            sources.after(&plan, &[SourceTopic::Current], true, || routes::trace(&plan, &place, &setting))
        }
        Action::Turnout { name, plan, readings, hand } => routes::turnout(&routes::AskedTurnout {
            name: name.as_deref(),
            plan: plan.as_deref(),
            readings: readings.as_deref(),
            hand: hand.hand(),
        }),
        Action::Addresses { plan, format } => routes::addresses(&plan, format),
        Action::Packet(asked) => packets::packet(&asked),
        Action::Decode(asked) => decode::decode(&asked),
        Action::Tests(asked) => sheets::tests(&asked),
        Action::Hunt(asked) => hunt::hunt(&asked),
        Action::Orders { plan } => sheets::orders(&plan),
        Action::Log(asked) => log::log(&asked),
        Action::Drawing(asked) => drawing::drawing(&asked),
        Action::Papers(asked) => papers::papers(&asked),
        Action::Changes(asked) => changes::run(&asked),
        Action::Serve(asked) => serve::serve(&asked),
        Action::Schema => commands::schema(),
        Action::Packaging { folder } => packaging::write(&folder, Command::command()),
    };
    exit::code(done)
}

//! `gapwright`: reads plans, reviews them, explains what it found.

mod check;
mod commands;
mod exit;

use clap::{Parser, Subcommand, ValueEnum};
use std::path::PathBuf;
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
    act: Act,
}

#[derive(Subcommand)]
enum Act {
    /// Review a plan: what would short, what would be dead, what would sag, and why
    Check {
        /// The plan, a TOML file
        plan: PathBuf,
        /// How to print the review
        #[arg(long, value_enum, default_value_t = Format::Full)]
        format: Format,
        /// Print at most this many findings in full
        #[arg(long, default_value_t = 30)]
        most: usize,
    },
    /// Say what a finding means, in half a page
    Explain {
        /// The finding's name, as it stands behind its message; all names where it is left out
        name: Option<String>,
    },
    /// Apply the edits that a review proposes
    Mend {
        /// The plan, a TOML file
        plan: PathBuf,
        /// Write the plan; without this the edits are only shown
        #[arg(long)]
        write: bool,
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
    /// Print the JSON Schema of plans, for editors that complete and check
    Schema,
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

fn main() -> ExitCode {
    let command = Command::parse();
    let done = match command.act {
        Act::Check { plan, format, most } => check::check(&plan, format, most),
        Act::Explain { name } => commands::explain(name.as_deref()),
        Act::Mend { plan, write } => commands::mend(&plan, write),
        Act::Netlist { plan, setting, load } => commands::netlist(&plan, &setting, &load),
        Act::Schema => commands::schema(),
    };
    exit::code(done)
}

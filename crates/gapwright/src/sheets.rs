//! `gapwright tests` and `gapwright orders`.

use crate::check::width;
use crate::exit::{CliError, check_it, print, understood};
use commissioning::{TestLoad, Work, print as sheet, work};
use schedule::{Choices, Job};
use std::path::{Path, PathBuf};

/// What `gapwright tests` is asked.
#[derive(clap::Args)]
pub struct TestsCommand {
    /// The plan, a TOML file
    plan: PathBuf,
    /// Only the tests without power
    #[arg(long, conflicts_with_all = ["hot", "yearly"])]
    cold: bool,
    /// Only the tests with power on
    #[arg(long, conflicts_with = "yearly")]
    hot: bool,
    /// What to read again once a year, what ages most first
    #[arg(long)]
    yearly: bool,
    /// The load you test with: what it draws, or its resistance, such as `15 Ω`
    #[arg(long, value_name = "LOAD", default_value = "1 A")]
    load: String,
    /// How to print them
    #[arg(long, value_enum, default_value_t = SheetFormat::Table)]
    format: SheetFormat,
}

/// How tests are printed.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum SheetFormat {
    /// For reading
    Table,
    /// For a spreadsheet: a line for each test
    Csv,
}

/// Prints the sheets of tests.
pub fn tests(asked: &TestsCommand) -> Result<bool, CliError> {
    let load = TestLoad::read(&asked.load).map_err(|why| CliError::new(why.to_string()))?;
    with_work(&asked.plan, load, |job, work| {
        let both = !asked.cold && !asked.hot && !asked.yearly;
        let (cold, hot) = (asked.cold || both, asked.hot || both);
        if asked.format == SheetFormat::Csv {
            let mut tests = Vec::new();
            tests.extend(work.cold.tests.iter().filter(|_| cold).cloned());
            tests.extend(work.hot.tests.iter().filter(|_| hot).cloned());
            tests.extend(work.yearly.iter().filter(|_| asked.yearly).cloned());
            return sheet::to_csv(&tests);
        }
        let mut parts = Vec::new();
        if cold {
            parts.push(sheet::cold(job, &work.cold, width()));
        }
        if hot {
            parts.push(sheet::hot(job, work, width()));
        }
        if asked.yearly {
            parts.push(sheet::yearly(job, &work.yearly, width()));
        }
        parts.join("\n")
    })
}

/// Prints the work orders.
pub fn orders(plan: &Path) -> Result<bool, CliError> {
    with_work(plan, TestLoad::default(), |job, work| sheet::orders(job, work, width()))
}

/// Reads a plan, works out its tests and tasks, and prints what is made of them.
fn with_work(path: &Path, load: TestLoad, shown: impl FnOnce(&Job<'_>, &Work) -> String) -> Result<bool, CliError> {
    let (text, reading) = understood(path, "the plan has errors; its tests would not be true")?;
    let kept = site::numbers::kept_for(path, &reading.names);
    let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
    let job = Job::carried_where_kept(facts, Choices::usual(&reading.plan), kept.as_ref());
    let work = work(&job, load).map_err(check_it(path))?;
    print(&shown(&job, &work))?;
    Ok(true)
}

//! Acts for the bench: ways, a trace, a turnout in the hand.

use crate::check::{next, width};
use crate::exit::{CliError, ask, check_it, print, read, read_plan, write_output};
use analysis::Analysis;
use analysis::turnout_readings::TurnoutReadings;
use analysis::way_profile::WantedProfile;
use analysis::ways_table::WantedWays;
use circuit::trackwork::touch_points::WIRINGS;
use plan::tables::{Hand, Wiring};
use report::{
    addresses_print, lengths_print, profile_csv, profile_plot, profile_print, trace_print, turnout_print, ways_print,
};
use std::path::Path;

/// Lists the ways of a plan.
pub fn ways(path: &Path, wanted: &WantedWays, json: bool, most: usize) -> Result<bool, CliError> {
    let untrue = "the plan has errors; its routes would not be true";
    let table = ask(path, untrue, |facts| facts.ways_table(wanted).map_err(check_it(path)))?;
    let text = if json {
        ways_print::to_json(&table, &path.display().to_string())
    } else {
        // The numbers are those of this list: the same tracks have to be asked for.
        let over = [("from", &wanted.from), ("to", &wanted.to)];
        let over: String = over
            .into_iter()
            .filter_map(|(flag, track)| {
                Some(format!(" --{flag} {}", review::terminal::quoted_argument(track.as_ref()?)))
            })
            .collect();
        let voltage =
            format!("gapwright profile {}{over} --route 1 shows where the voltage is lost on a route", path.display());
        ways_print::render(&table, width(), most) + &next(&voltage)
    };
    print(&text)?;
    Ok(true)
}

/// How a profile is printed.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum ProfileFormat {
    /// For reading: a row for each place where something is
    Table,
    /// For a spreadsheet: a line for each stretch of rail, units in the headers
    Csv,
    /// For looking at: a plot on one sheet of paper
    Svg,
}

/// Tells what trains and shorts get along a way.
pub fn profile(
    path: &Path,
    wanted: &WantedProfile,
    format: ProfileFormat,
    to: Option<&Path>,
) -> Result<bool, CliError> {
    let help = format!("`gapwright routes {}` lists the routes with their numbers", path.display());
    let (text, reading) = read_plan(&read(path)?);
    if !reading.understood() {
        return Err(CliError::new("the plan has errors; a profile of it would not be true").help(help));
    }
    let facts = Analysis::of(&text, &reading.plan, &reading.names);
    let profile = facts.way_profile(wanted).map_err(|why| CliError::new(why.to_string()).help(help))?;
    let text = match format {
        ProfileFormat::Table => profile_print::render(&profile, if to.is_some() { 100 } else { width() }),
        ProfileFormat::Csv => profile_csv::to_csv(&profile),
        ProfileFormat::Svg => profile_plot::to_svg(&profile),
    };
    write_output(&text, to)
}

/// Tells what fits where.
pub fn lengths(path: &Path) -> Result<bool, CliError> {
    let untrue = "the plan has errors; its lengths would not be true";
    let table = ask(path, untrue, |facts| Ok(facts.lengths_table()))?;
    let gaps = format!("gapwright gaps {} tells how wide to leave each gap", path.display());
    print(&(lengths_print::render(&table, width()) + &next(&gaps)))?;
    Ok(true)
}

/// How an address table is printed.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum AddressFormat {
    /// For reading
    Table,
    /// For a spreadsheet: a line for each position of each motor
    Csv,
}

/// What is said where the addresses of a plan with errors are asked for.
pub const ADDRESSES_UNTRUE: &str = "the plan has errors; its addresses would not be true";

/// Lists the address of every motor, and what sets it.
pub fn addresses(path: &Path, format: AddressFormat) -> Result<bool, CliError> {
    let addresses = ask(path, ADDRESSES_UNTRUE, |facts| Ok(facts.addresses()))?;
    print(&match format {
        AddressFormat::Table => {
            let orders = format!("gapwright orders {} says when to set each address and try it", path.display());
            addresses_print::render(&addresses, width()) + &next(&orders)
        }
        AddressFormat::Csv => addresses_print::to_csv(&addresses),
    })?;
    Ok(true)
}

/// Tells how current gets to a place, or what keeps it from there.
pub fn trace(path: &Path, place: &str, setting: &[String]) -> Result<bool, CliError> {
    let untrue = "the plan has errors; a trace through it would not be true";
    let trace = ask(path, untrue, |facts| facts.trace(place, setting).map_err(check_it(path)))?;
    print(&trace_print::render(&trace, width()))?;
    Ok(true)
}

/// What `gapwright turnout` was asked.
pub struct AskedTurnout<'a> {
    /// A wiring type or, with a plan, a turnout of it.
    pub name: Option<&'a str>,
    /// The plan.
    pub plan: Option<&'a Path>,
    /// What a meter read.
    pub readings: Option<&'a str>,
    /// The hand of the turnout, where no plan says it.
    pub hand: Hand,
}

/// Prints a wiring type, a turnout of a plan, or the type that readings fit.
pub fn turnout(asked: &AskedTurnout<'_>) -> Result<bool, CliError> {
    let text = match (asked.name, asked.plan, asked.readings) {
        (_, _, Some(readings)) => {
            let test = TurnoutReadings::find();
            let taken = taken(&test, readings)?;
            turnout_print::verdict(&test, &taken, asked.hand, width())
        }
        (Some(name), Some(path), None) => {
            let untrue = "the plan has errors; what is wired would not be true";
            let wired = ask(path, untrue, |facts| facts.turnout_wired(name).map_err(check_it(path)))?;
            let shown = turnout_print::wired(&wired, width());
            format!("{shown}\n{}", turnout_print::one_type(wired.wiring, wired.hand, width()))
        }
        (None, Some(_), None) => {
            return Err(
                CliError::new("which turnout of the plan?").help("add its name: `gapwright turnout --plan PLAN T1`")
            );
        }
        (Some(name), None, None) => turnout_print::one_type(wiring(name)?, asked.hand, width()),
        (None, None, None) => turnout_print::all_types(asked.hand, width()),
    };
    print(&text)?;
    Ok(true)
}

fn wiring(name: &str) -> Result<Wiring, CliError> {
    WIRINGS.into_iter().find(|w| w.word() == name).ok_or_else(|| {
        let trouble = CliError::new(format!("there is no wiring type `{name}`"));
        trouble.help(match plan::nearest_name(name, Wiring::WORDS.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("the types are {}; for a turnout of a plan add `--plan PLAN`", Wiring::WORDS.join(", ")),
        })
    })
}

/// Readings from words; none for one not taken.
fn taken(test: &TurnoutReadings, readings: &str) -> Result<Vec<Option<bool>>, CliError> {
    let help = "`gapwright turnout` tells which readings to take, and in which order";
    let taken = readings.split(',').map(|word| match word.trim() {
        "joined" => Ok(Some(true)),
        "open" => Ok(Some(false)),
        "?" => Ok(None),
        other => Err(CliError::new(format!("`{other}` is no reading; write `joined`, `open` or `?`")).help(help)),
    });
    let taken = taken.collect::<Result<Vec<_>, _>>()?;
    let due = test.readings.len();
    if taken.len() != due {
        return Err(CliError::new(format!("{due} readings are due, {} are here", taken.len())).help(help));
    }
    if taken.iter().all(Option::is_none) {
        return Err(CliError::new("no reading was taken").help(help));
    }
    Ok(taken)
}

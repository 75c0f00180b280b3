//! `gapwright papers`.

use crate::check::width;
use crate::exit::{self, CliError, print};
use crate::own_files;
use ::papers::files::{BOOKLET, NETLIST, NUMBERS};
use ::papers::{binder_of_plan, files};
use finding::Style;
use schedule::{Choices, ColourChoice, NumbersRecord, PageSize};
use std::path::PathBuf;

/// Make the papers of a plan.
#[derive(clap::Args)]
pub struct PapersCommand {
    /// The plan, a TOML file
    plan: PathBuf,
    /// The folder the papers go to; one that is there must be empty, or hold papers made before
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// The paper in the printer; A4 for a metric plan, Letter for one in feet and inches, where not said
    #[arg(long, value_enum)]
    page: Option<PageArgument>,
    /// Set everything in large print
    #[arg(long)]
    large: bool,
    /// Where the colours of wires come from: the plan, or NEM 605
    #[arg(long, value_enum, default_value_t = ColoursArgument::Plan)]
    colours: ColoursArgument,
    /// A date or other words for the foot of every page; without it no paper has a date
    #[arg(long, value_name = "TEXT")]
    date: Option<String>,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum PageArgument {
    /// 210 mm by 297 mm
    #[value(name = "A4", alias = "a4")]
    A4,
    /// 8½ in by 11 in
    #[value(name = "Letter", alias = "letter")]
    Letter,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum ColoursArgument {
    /// As the plan says
    Plan,
    /// As NEM 605 says
    #[value(name = "nem-605")]
    Nem605,
}

impl PapersCommand {
    fn choices(&self, plan: &plan::Plan) -> Choices {
        let units = plan.units();
        Choices {
            page: match self.page {
                None => PageSize::usual(units),
                Some(PageArgument::A4) => PageSize::A4,
                Some(PageArgument::Letter) => PageSize::Letter,
            },
            units,
            colours: match self.colours {
                ColoursArgument::Plan => ColourChoice::Plan,
                ColoursArgument::Nem605 => ColourChoice::Nem605,
            },
            large_print: self.large,
        }
    }
}

fn read_record(text: &str, asked: &PapersCommand) -> Result<NumbersRecord, CliError> {
    NumbersRecord::read(text).map_err(|error| {
        CliError::new(format!("`{}`: {error}", asked.out.join(NUMBERS).display()))
            .help("put back the file as it was; without it, move it away, all numbers are given anew")
    })
}

/// Makes the papers of a plan; false where the plan has faults, which every sheet then says.
pub fn papers(asked: &PapersCommand) -> Result<bool, CliError> {
    let bytes = exit::read(&asked.plan)?;
    let (text, reading) = exit::read_plan(&bytes);
    let name = asked.plan.display().to_string();
    if !reading.understood() {
        let review = review::review_reading(&text, reading, false);
        let style = Style { width: width(), ..Style::default() };
        print(&finding::render_full(&review.findings, &text, &name, style))?;
        return Err(CliError::new(format!("`{name}` cannot be understood, so that no papers were made"))
            .help("put right what stands above, and try again"));
    }
    let kept = own_files::kept(&asked.out, NUMBERS)?;
    let kept = kept.as_deref().map(|text| read_record(text, asked)).transpose()?;
    // What the folder's papers gave stands on labels; what a change of the plan gave since then goes on from there.
    let beside = site::numbers::kept_for(&asked.plan, &reading.names);
    let records: Vec<&NumbersRecord> = kept.iter().chain(&beside).collect();
    let choices = asked.choices(&reading.plan);
    let (binder, record, renumbered) = binder_of_plan(&text, reading, choices, &records, asked.date.as_deref());
    let mut files = files(&binder).map_err(|error| CliError::new(error.to_string()))?;
    files.insert(NUMBERS.to_owned(), record.to_csv().into_bytes());
    own_files::write_files(&asked.out, &files)?;
    let file = site::numbers::file_beside(&asked.plan);
    if file.is_file() {
        exit::write_whole(&file, record.to_csv().as_bytes())?;
    }
    let count = binder.papers.len();
    let has_panel = files.contains_key(BOOKLET);
    let mut shown = format!("{count} papers of plan {} in {}\n", binder.revision, asked.out.display());
    for (file, what) in [
        ("binder.pdf", "to print"),
        (BOOKLET, "the panel, to print; panel-drilling.dxf for a machine"),
        ("web/index.html", "to read under the layout"),
        (NUMBERS, "keeps each wire's number the next time papers are made here"),
        ("tables.xlsx", "for a spreadsheet; tables/ has each table as CSV"),
        ("tables.json", "the same for programs of your own"),
        (NETLIST, "the wiring as at first for a circuit simulator (SPICE)"),
    ] {
        if file == BOOKLET && !has_panel {
            continue;
        }
        shown.push_str(&format!("  {file:14}  {what}\n"));
    }
    if !renumbered.is_empty() {
        let words: Vec<String> = renumbered.iter().map(|(then, now)| format!("{then} is {now} now")).collect();
        shown.push_str(&format!(
            "these have other numbers than before; print their labels anew: {}\n",
            words.join(", ")
        ));
    }
    if let Some(warning) = binder.warning() {
        shown.push_str(&format!("{warning}; `gapwright check {name}` tells what is wrong\n"));
    }
    print(&made_plain(&shown))?;
    Ok(binder.faults.is_empty())
}

/// What a terminal must not obey is made visible, line by line.
fn made_plain(shown: &str) -> String {
    shown.lines().map(|line| text::escape_control_chars(line) + "\n").collect()
}

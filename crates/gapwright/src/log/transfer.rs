//! Tables and other copies: readings of a file, export, import, merge, backup.

use super::enter::{WithArgs, kept_as, test_of};
use super::{At, append, refused, say, say_behind, with_desk};
use crate::exit::{self, CliError, write_output};
use logbook::typed::typed;
use logbook::{Draft, Entry, EntryKind, Logbook, LogbookError, Moment, sheet, table};
use site::logged::{Desk, Verdict};
use std::path::{Path, PathBuf};
use text::csv::{Columns, ColumnsRow};

/// A table of readings.
#[derive(clap::Args)]
pub struct FileArgs {
    /// The file: CSV or XLSX with the columns `test` and `reading`; also `unit`, `time`, `air`, `meter`, `range`, `zero`, `who`, `note`
    file: PathBuf,
    #[command(flatten)]
    with: WithArgs,
}

/// Another copy, or a table of entries.
#[derive(clap::Args)]
pub struct OtherArgs {
    /// The file
    file: PathBuf,
    /// Take it over even if it seems to be of another layout
    #[arg(long)]
    anyway: bool,
}

/// Names that people give to the columns.
const COLUMNS: [(&str, &[&str]); 10] = [
    ("test", &["test", "no.", "no", "number", "test no.", "test number"]),
    ("reading", &["reading", "read", "value", "measured"]),
    ("unit", &["unit"]),
    ("time", &["time", "date", "when"]),
    ("air", &["air", "temperature", "air temperature"]),
    ("meter", &["meter", "instrument", "with"]),
    ("range", &["range"]),
    ("zero", &["zero", "leads", "lead zero"]),
    ("who", &["who", "by", "name"]),
    ("note", &["note", "remark", "remarks", "comment"]),
];

/// Enters the readings of a table, all or none; false where one fails.
pub fn file(at: &At, args: &FileArgs) -> Result<bool, CliError> {
    let name = args.file.display();
    let table = read_table(&args.file)?;
    let column = |wanted: &str| {
        let names = COLUMNS.iter().find(|(name, _)| *name == wanted).map_or(&[][..], |(_, names)| names);
        table.titles().iter().find(|title| names.contains(&title.trim().to_lowercase().as_str())).map(String::as_str)
    };
    let (Some(test), Some(reading)) = (column("test"), column("reading")) else {
        let help = "the first line names the columns: `test,reading,unit,time,air,meter,note`; `test` and `reading` must be there";
        return Err(CliError::new(format!("`{name}` has no columns `test` and `reading`")).help(help));
    };
    let titles = Titles { test, reading, others: COLUMNS.map(|(name, _)| (name, column(name))) };
    with_desk(at, |desk| {
        let (mut drafts, mut wrong, mut fails, mut known) = (Vec::new(), Vec::new(), Vec::new(), 0);
        for row in table.rows().filter(|row| !row.is_empty()) {
            match of_row(at, desk, args, &titles, &row) {
                Ok(None) => {}
                Ok(Some((index, draft, _))) if titles.says("time") && is_known(desk, index, &draft) => known += 1,
                Ok(Some((index, draft, verdict))) => {
                    if verdict == Verdict::Fails {
                        fails.push((index, draft.typed.clone()));
                    }
                    drafts.push(draft);
                }
                Err(what) => wrong.push(format!("line {}: {what}", row.line)),
            }
        }
        if !wrong.is_empty() {
            let more = wrong.len().saturating_sub(12);
            wrong.truncate(12);
            let more = if more > 0 { format!("; and {more} more") } else { String::new() };
            let help = "nothing was entered; put these lines right and try again";
            return Err(CliError::new(format!("`{name}`: {}{more}", wrong.join("; "))).help(help));
        }
        let count = drafts.len();
        if count > 0 {
            let kept = append(at, desk, drafts)?;
            kept_as(&kept)?;
        }
        for (index, typed) in &fails {
            let test = desk.tests()[*index];
            say_behind(
                "FAIL: ",
                &format!("test {}, {}: read {typed}; well: {}", test.number, test.name, test.passes_words()),
            )?;
        }
        let before = if known > 0 { format!("; {known} were there before") } else { String::new() };
        say(&format!("{count} readings entered, {} fail{before}", fails.len()))?;
        Ok(fails.is_empty())
    })
}

struct Titles<'t> {
    test: &'t str,
    reading: &'t str,
    others: [(&'static str, Option<&'t str>); 10],
}

impl Titles<'_> {
    fn says(&self, name: &str) -> bool {
        self.others.iter().any(|(other, title)| *other == name && title.is_some())
    }

    fn cell<'r>(&self, row: &ColumnsRow<'r>, name: &str) -> &'r str {
        let title = self.others.iter().find(|(other, _)| *other == name).and_then(|(_, title)| *title);
        title.and_then(|title| row.cell(title).ok()).map_or("", str::trim)
    }
}

/// What a row says; nothing where nothing was read yet.
fn of_row(
    at: &At,
    desk: &Desk<'_, '_>,
    args: &FileArgs,
    titles: &Titles<'_>,
    row: &ColumnsRow<'_>,
) -> Result<Option<(usize, Draft, Verdict)>, String> {
    let cell = |title: &str| row.cell(title).map(str::trim).unwrap_or_default();
    let number = cell(titles.test);
    if cell(titles.reading).is_empty() {
        return Ok(None);
    }
    let index = test_of(at, desk, number).map_err(|_| format!("there is no test `{number}`"))?;
    let unit = titles.cell(row, "unit");
    // A number and a unit beside it; where the unit stands with the number already it is not said twice.
    let plain = matches!(typed(cell(titles.reading)), Ok(logbook::typed::Typed::Bare(_)));
    let reading = if plain && !unit.is_empty() {
        format!("{} {unit}", cell(titles.reading))
    } else {
        cell(titles.reading).to_owned()
    };
    let mut asked = args.with.asked(&reading);
    for (name, field) in [
        ("air", &mut asked.air),
        ("meter", &mut asked.instrument),
        ("range", &mut asked.range),
        ("zero", &mut asked.lead_zero),
        ("note", &mut asked.note),
    ] {
        let said = titles.cell(row, name);
        if !said.is_empty() {
            *field = Some(said.to_owned());
        }
    }
    let time = match titles.cell(row, "time") {
        "" => at.time.clone(),
        time => Moment::from_typed(time, &at.time)
            .ok_or_else(|| format!("`{time}` is no time; write `2026-05-01 18:20`"))?,
    };
    let mut hand = at.hand.clone();
    let who = titles.cell(row, "who");
    if !who.is_empty() {
        hand.who = who.to_owned();
    }
    let entered = desk.reading(index, &asked, &hand, time).map_err(|error| error.to_string())?;
    Ok(Some((index, entered.draft, entered.judged.verdict)))
}

/// Whether the same reading of the same moment is there already: a file may be given twice.
fn is_known(desk: &Desk<'_, '_>, index: usize, draft: &Draft) -> bool {
    desk.readings(index).iter().any(|entry| entry.says.time == draft.time && entry.says.typed == draft.typed)
}

fn read_table(path: &Path) -> Result<Columns, CliError> {
    let bytes = exit::read(path)?;
    sheet::read(&bytes).map_err(|error| {
        CliError::new(format!("`{}`: {error}", path.display()))
            .help("save it as CSV or XLSX, the names of the columns in its first line")
    })
}

/// The logbook beside a plan, which must be there.
fn there(plan: &Path) -> Result<Logbook, CliError> {
    let path = logbook::file_beside(plan);
    Logbook::open(&path).map_err(|error| match error {
        LogbookError::NotThere(_) => CliError::new(format!("`{}` has no logbook yet", plan.display()))
            .help("the first entry makes one: `gapwright log PLAN` leads through jobs and tests"),
        other => refused(other),
    })
}

/// Writes all entries as comma-separated values.
pub fn export(plan: &Path, to: Option<&Path>) -> Result<bool, CliError> {
    let entries = there(plan)?.entries().map_err(refused)?;
    write_output(&table::to_csv(&entries), to)?;
    if let Some(to) = to {
        say(&format!("{} entries in {}", entries.len(), to.display()))?;
    }
    Ok(true)
}

/// Takes over entries of a table.
pub fn import(plan: &Path, other: &OtherArgs) -> Result<bool, CliError> {
    let file = &other.file;
    let wrong = |error: text::csv::ReadError| {
        CliError::new(format!("`{}`: {error}", file.display()))
            .help("nothing was taken over; only what `export` wrote is read")
    };
    let entries = table::from_columns(&read_table(file)?).map_err(wrong)?;
    take_over(plan, other, &entries)
}

/// Takes over the entries of another copy.
pub fn merge(plan: &Path, other: &OtherArgs) -> Result<bool, CliError> {
    let entries = Logbook::read(&other.file).map_err(refused)?;
    take_over(plan, other, &entries)
}

fn take_over(plan: &Path, other: &OtherArgs, entries: &[Entry]) -> Result<bool, CliError> {
    let (_, reading) = plan::read_bytes(&exit::read(plan)?);
    let path = logbook::file_beside(plan);
    let own = if path.exists() { Logbook::read(&path).map_err(refused)? } else { Vec::new() };
    if !other.anyway && is_of_another_layout(&reading.names, &own, entries) {
        let words =
            format!("`{}` seems to be of another layout: hardly anything in it is in this plan", other.file.display());
        return Err(CliError::new(words).help("entries are never deleted, so be sure; `--anyway` takes them over"));
    }
    let mut log = Logbook::open_or_create(&path).map_err(refused)?;
    let merged = log.take_over(entries).map_err(refused)?;
    say(&format!("{} entries taken over, {} were there already", merged.new, merged.known))?;
    Ok(true)
}

/// Whether entries tell of texts of which this logbook knows none, and of things of which this plan has less than half.
fn is_of_another_layout(names: &plan::Names, own: &[Entry], theirs: &[Entry]) -> bool {
    let texts = |entries: &[Entry]| -> std::collections::BTreeSet<String> {
        entries.iter().filter(|e| e.says.kind == EntryKind::Things).map(|e| e.says.plan.clone()).collect()
    };
    let things = theirs.iter().filter(|entry| entry.says.kind == EntryKind::Things);
    let is_known = |entry: &Entry| {
        let there = schedule::entry_keys::names_of(&entry.says.typed);
        2 * there.iter().filter(|name| names.get(name).is_some()).count() >= there.len()
    };
    texts(own).is_disjoint(&texts(theirs)) && things.clone().next().is_some() && !things.into_iter().any(is_known)
}

/// Writes a copy of the whole logbook.
pub fn backup(plan: &Path, to: &Path) -> Result<bool, CliError> {
    let count = there(plan)?.backup(to).map_err(refused)?;
    say(&format!("{count} entries in {}, read back and sound", to.display()))?;
    Ok(true)
}

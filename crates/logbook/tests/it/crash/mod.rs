//! What a program that is killed, a disk that is full and a power cut leave behind: every entry that was acknowledged, and none half.
//!
//! A writer is this test program once more, told by a variable what to write. [`killed`] ends writers by SIGKILL at any moment: what
//! the operating system was given stays, so that this shows that a commit is whole, not that it is flushed. [`full`] lets each write
//! beyond the n-th kilobyte fail. [`power`] makes the files that a power cut may leave, of files copied after each acknowledgement:
//! nothing that was written after the last flush is sure. It takes from SQLite's documentation that a commit is flushed before it comes
//! back (`synchronous = FULL`, read back in `store`); that the disk then holds what it says it holds no test can show.

mod full;
mod killed;
mod power;
mod traced;

use crate::common::{moment, reading};
use logbook::{Entry, Logbook};
use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

/// The variable that makes this program a writer, and holds the path of the logbook.
const WRITER: &str = "GAPWRIGHT_LOGBOOK_WRITER";
/// Entries that a writer adds at once.
const GROUP: usize = 3;

/// A command that runs a test of this program as a writer.
fn writer(test: &str, path: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.args(["--exact", test, "--nocapture", "--include-ignored", "--test-threads", "1"]);
    command.env(WRITER, path).stdout(Stdio::piped()).stderr(Stdio::null());
    command
}

/// Adds groups of entries and says each one's number once it is acknowledged, until it is killed, told to stop or refused. `most`: how
/// many.
fn write_groups(path: &Path, most: usize) {
    let mut out = std::io::stdout();
    let mut log = match Logbook::open(path) {
        Ok(log) => log,
        Err(error) => return writeln!(out, "refused {error}").unwrap(),
    };
    let me = std::process::id();
    for group in 0..most {
        let draft = |part: usize| {
            let mut draft = reading(&format!("{me} {group}"), &part.to_string(), part as f64, &moment(2026, 0));
            draft.note = "n".repeat(40 * (group % 7));
            draft
        };
        match log.append_all((0..GROUP).map(draft).collect()) {
            Ok(_) => writeln!(out, "kept {me} {group}").unwrap(),
            Err(error) => return writeln!(out, "refused {error}").unwrap(),
        }
        out.flush().unwrap();
    }
}

/// The groups a writer said it was acknowledged. A line that the end cut short says nothing.
fn acknowledged(said: &[u8]) -> Vec<String> {
    let text = String::from_utf8_lossy(said);
    let whole = text.rfind('\n').map_or("", |end| &text[..end]);
    // The program that runs tests writes lines of its own, without ends of their own.
    whole.lines().filter_map(|line| line.split("kept ").nth(1)).map(str::to_owned).collect()
}

/// Checks a logbook: the file is sound, what was acknowledged is there, and no group is there in part. Gives how many groups there are.
fn check(path: &Path, acknowledged: &[String]) -> usize {
    let log = Logbook::open(path).unwrap();
    log.verified().unwrap();
    let entries = log.entries().unwrap();
    let mut groups: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
    entries.iter().for_each(|entry| groups.entry(&entry.says.what).or_default().push(entry));
    for (group, entries) in &groups {
        let parts: Vec<&str> = entries.iter().map(|entry| entry.says.typed.as_str()).collect();
        assert_eq!(parts, ["0", "1", "2"], "group {group} is there in part");
    }
    for group in acknowledged {
        assert!(groups.contains_key(group.as_str()), "group {group} was acknowledged and is gone");
    }
    groups.len()
}

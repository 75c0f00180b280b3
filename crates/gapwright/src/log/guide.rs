//! The guided dialogue: the next job or test, a line typed, the next one.

use super::enter::{how_to, keep_air, keep_reading, needs_reminding, shown_air};
use super::show::summary;
use super::tick::tick_orders;
use super::{At, say, say_behind, with_desk};
use crate::exit::{CliError, print};
use commissioning::{BEFORE_COLD, MILLIVOLTS, TestKind};
use logbook::progress::Next;
use logbook::typed::{Typed, typed};
use site::logged::{Desk, DeskError, ReadingAsked, Subject};
use std::collections::BTreeSet;
use std::io::BufRead;

/// Leads from one job or test to the next; false where a reading failed.
pub fn guide(at: &At) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let mut lines = std::io::stdin().lock().lines();
        let mut all_well = true;
        summary(desk, &desk.progress(at.time.year()))?;
        say(
            "Type what the meter shows, or y when a job is done, then Enter. Enter alone goes on to the next one, q leaves.",
        )?;
        if desk.air_at(&at.moment()).is_none() && !ask_air(at, desk, &mut lines)? {
            return Ok(true);
        }
        let mut skipped: BTreeSet<(bool, usize)> = BTreeSet::new();
        let mut cautioned: BTreeSet<&'static str> = BTreeSet::new();
        loop {
            let next = desk.progress(at.time.year()).next;
            let key = |next: &Next| match next {
                Next::Test(index) => (true, *index),
                Next::Job(index) => (false, *index),
            };
            let Some(next) = next.into_iter().find(|next| !skipped.contains(&key(next))) else {
                say("\nNothing else can be done now.")?;
                return Ok(all_well);
            };
            print("\n")?;
            match next {
                Next::Test(index) => show_test(desk, index, &mut cautioned)?,
                Next::Job(index) => show_job(desk, index, &mut cautioned)?,
            }
            let Some(line) = ask("> ", &mut lines)? else { return Ok(all_well) };
            let line = line.trim();
            match (line, next) {
                ("q" | "quit", _) => return Ok(all_well),
                ("", _) => {
                    skipped.insert(key(&next));
                }
                (_, Next::Job(index)) => match (typed(line), other(desk, line)) {
                    (Ok(Typed::Yes), _) => {
                        tick_orders(at, desk, &[index])?;
                    }
                    (Ok(Typed::No), _) => {
                        skipped.insert(key(&next));
                    }
                    (_, Some((test, reading))) => {
                        let remind = needs_reminding(desk, test);
                        all_well &= take(at, desk, test, reading, remind)?.unwrap_or(true);
                    }
                    _ => {
                        let words = "Type y when it is done, a test's number and what it read, Enter to go on to another, q to leave.";
                        say(words)?;
                    }
                },
                (_, Next::Test(index)) => {
                    // A test that fails is shown again when all others were: the next line may be about its repair.
                    let (test, reading) = other(desk, line).unwrap_or((index, line));
                    if let Some(well) = take(at, desk, test, reading, false)? {
                        all_well &= well;
                        if test == index {
                            skipped.insert(key(&next));
                        }
                    }
                }
            }
        }
    })
}

/// The other test that a line is about, where it begins with a number and is no reading as a whole; and what was read.
fn other<'l>(desk: &Desk<'_, '_>, line: &'l str) -> Option<(usize, &'l str)> {
    let (number, rest) = line.split_once(' ')?;
    match desk.subject(number) {
        Some(Subject::Test(index)) if typed(line).is_err() && typed(rest).is_ok() => Some((index, rest)),
        _ => None,
    }
}

/// Takes what a test read; none where it is no reading.
fn take(at: &At, desk: &mut Desk<'_, '_>, index: usize, reading: &str, remind: bool) -> Result<Option<bool>, CliError> {
    let asked = ReadingAsked { typed: reading.to_owned(), ..ReadingAsked::default() };
    match desk.reading(index, &asked, &at.hand, at.moment()) {
        Ok(entered) => keep_reading(at, desk, index, entered, None, remind).map(Some),
        Err(DeskError::Typed(why)) => {
            let right = if why.help.contains('`') { why.help } else { format!("type `{}`", why.help) };
            say(&format!("{}; nothing was entered. Please {right}.", why.what))?;
            Ok(None)
        }
        Err(DeskError::Logbook(why)) => Err(super::refused(why)),
    }
}

/// Asks for the air; false where whoever is asked leaves.
fn ask_air(
    at: &At,
    desk: &mut Desk<'_, '_>,
    lines: &mut impl Iterator<Item = std::io::Result<String>>,
) -> Result<bool, CliError> {
    loop {
        let Some(line) = ask("How warm is the air? ", lines)? else { return Ok(false) };
        match line.trim() {
            "" => return Ok(true),
            "q" | "quit" => return Ok(false),
            typed => match desk.air(typed) {
                Ok(celsius) => {
                    keep_air(at, desk, typed, celsius)?;
                    say(&format!("{}, for the next 12 hours", shown_air(desk, celsius)))?;
                    return Ok(true);
                }
                Err(why) => say(&format!("{}: {}", why.what, why.help))?,
            },
        }
    }
}

fn ask(prompt: &str, lines: &mut impl Iterator<Item = std::io::Result<String>>) -> Result<Option<String>, CliError> {
    print(prompt)?;
    match lines.next() {
        None => {
            print("\n")?;
            Ok(None)
        }
        Some(line) => line.map(Some).map_err(|error| CliError::new(format!("cannot read what is typed: {error}"))),
    }
}

fn show_test(desk: &Desk<'_, '_>, index: usize, cautioned: &mut BTreeSet<&'static str>) -> Result<(), CliError> {
    let test = desk.tests()[index];
    for caution in desk.cautions(index) {
        if cautioned.insert(caution) {
            say_behind("CAUTION: ", caution)?;
        }
    }
    let before: &[&'static str] = if test.kind == TestKind::Cold { &[BEFORE_COLD, MILLIVOLTS] } else { &[] };
    for words in before {
        if cautioned.insert(words) {
            say(words)?;
        }
    }
    say(&format!("test {}: {}", test.number, how_to(test)))?;
    say_behind("  ", &format!("{}; well: {}", test.range, test.passes_words()))?;
    if let Some(last) = desk.readings(index).last() {
        say_behind("  ", &format!("last read {}: {}", last.says.time.day(), last.says.typed))?;
    }
    Ok(())
}

fn show_job(desk: &Desk<'_, '_>, index: usize, cautioned: &mut BTreeSet<&'static str>) -> Result<(), CliError> {
    let task = &desk.work().tasks[index];
    for caution in task.stage.cautions() {
        if cautioned.insert(caution) {
            say_behind("CAUTION: ", caution)?;
        }
    }
    say(&format!("{}: {}", desk.called(Subject::Task(index)), task.does))?;
    say_behind("  ", &format!("done when: {}", task.stage.check()))
}

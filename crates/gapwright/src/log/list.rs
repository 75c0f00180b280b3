//! Entries as a list.

use super::{At, say, say_behind, with_desk};
use crate::exit::CliError;
use logbook::{Entry, EntryKind};
use site::logged::{Desk, Subject};

/// Which entries are listed.
#[derive(clap::Args)]
pub struct ListArgs {
    /// Only those about this: a number of the papers, such as `F-12`, that of a test, or a name of the plan
    about: Option<String>,
    /// Those that were put right or taken back, too
    #[arg(long)]
    all: bool,
    /// At most this many, the last ones
    #[arg(long, default_value_t = 40)]
    most: usize,
}

/// Lists entries.
pub fn list(at: &At, wanted: &ListArgs) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let about = match &wanted.about {
            None => None,
            Some(words) => match desk.subject(words) {
                Some(subject) => Some(subject),
                None => {
                    let help = "name a number of the papers, that of a test, or a name of the plan";
                    return Err(CliError::new(format!("nothing is called `{words}`")).help(help));
                }
            },
        };
        let mut shown: Vec<(Option<Subject>, &Entry)> = desk
            .current()
            .filter(|(of, entry)| entry.says.kind != EntryKind::Things && (about.is_none() || *of == about))
            .collect();
        if wanted.all {
            let known: std::collections::BTreeSet<_> = shown.iter().map(|(_, entry)| entry.id).collect();
            let others = desk.entries().iter().filter(|entry| !known.contains(&entry.id) && about.is_none());
            shown.extend(others.filter(|entry| entry.says.kind != EntryKind::Things).map(|entry| (None, entry)));
            shown.sort_by(|(_, a), (_, b)| (&a.says.time, a.id).cmp(&(&b.says.time, b.id)));
        }
        let left = shown.len().saturating_sub(wanted.most);
        if left > 0 {
            say(&format!("{left} earlier ones are left out; `--most {}` shows them", shown.len()))?;
        }
        for (of, entry) in &shown[left..] {
            line(desk, *of, entry)?;
        }
        if shown.is_empty() {
            say("nothing is in the logbook about that yet")?;
        }
        Ok(true)
    })
}

fn line(desk: &Desk<'_, '_>, of: Option<Subject>, entry: &Entry) -> Result<(), CliError> {
    let says = &entry.says;
    let about = of.map_or_else(String::new, |of| format!(" {}", desk.called(of)));
    // What it was about is there no more: say it in the words of its time.
    let lost = if of.is_none() && !says.what.is_empty() { " (of what the plan no longer has)" } else { "" };
    let (mut words, meter) = match says.kind {
        EntryKind::Instrument => (format!("meter {}: {}", says.instrument, says.typed), ""),
        kind => (format!("{}{about}{lost}: {}", kind.word(), says.typed), says.instrument.as_str()),
    };
    let judged = says.judged.split(';').next().unwrap_or_default();
    for (what, said) in [("", judged), ("with ", meter), ("", &says.note), ("by ", &says.who)] {
        if !said.is_empty() {
            words.push_str(&format!("; {what}{said}"));
        }
    }
    if let Some(air) = says.air.filter(|_| says.kind == EntryKind::Reading) {
        words.push_str(&format!("; air {}", super::enter::shown_air(desk, air)));
    }
    if let Some(old) = says.supersedes {
        words.push_str(&format!("; in place of {}", old.short()));
    }
    say_behind(&format!("{}  {}  ", entry.id.short(), says.time.minute()), &words)
}

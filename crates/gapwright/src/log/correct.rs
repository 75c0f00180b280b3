//! Putting entries right: by one that stands in the place of another.

use super::enter::{WithArgs, keep_reading, kept_as, plain_minus, test_of};
use super::{At, append, not_entered, say, with_desk};
use crate::exit::CliError;
use logbook::entry::WITHDRAWN;
use logbook::instrument::Instrument;
use logbook::{Draft, Entry, EntryKind};
use site::logged::{Desk, DeskError, Subject};

/// What is put right.
#[derive(clap::Args)]
pub struct CorrectArgs {
    /// The number of a test, for its last reading; or an entry's sign, as `gapwright log PLAN list` shows it
    entry: String,
    /// What is right; `withdrawn` takes the entry back
    #[arg(required = true)]
    reading: Vec<String>,
    #[command(flatten)]
    with: WithArgs,
}

/// Puts an entry right by one that stands in its place.
pub fn correct(at: &At, args: &CorrectArgs) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let (subject, old) = named(at, desk, &args.entry)?;
        let right = plain_minus(&args.reading.join(" "));
        if right.trim() == WITHDRAWN {
            let draft = Draft { typed: WITHDRAWN.to_owned(), value: None, ..again(at, &old) };
            let kept = append(at, desk, vec![draft])?;
            say(&format!("taken back: {} of {}: {}", old.says.kind.word(), old.says.time.minute(), old.says.typed))?;
            kept_as(&kept)?;
            return Ok(true);
        }
        if let (Some(Subject::Test(index)), EntryKind::Reading) = (subject, old.says.kind) {
            if !desk.is_same_load(desk.tests()[index], &old) {
                let what = format!("it was read with {}; nothing was entered", old.says.range);
                return Err(CliError::new(what).help("say so with `--load`"));
            }
            let mut asked = args.with.asked(&right);
            // What is not said anew is as it was.
            let was = |said: &str| Some(said.to_owned()).filter(|said| !said.is_empty());
            asked.instrument = asked.instrument.or_else(|| was(&old.says.instrument));
            asked.range = asked.range.or_else(|| was(&old.says.range));
            asked.note = asked.note.or_else(|| was(&old.says.note));
            asked.lead_zero = asked.lead_zero.or_else(|| old.says.lead_zero.map(|zero| format!("{zero} ohm")));
            asked.air = asked.air.or_else(|| old.says.air.map(|air| format!("{air} °C")));
            let time = if at.given { at.time.clone() } else { old.says.time.clone() };
            let entered = desk.reading(index, &asked, &at.hand, time).map_err(not_entered(at, "correct"))?;
            say(&format!("in place of {}, read {}:", old.says.typed, old.says.time.minute()))?;
            return keep_reading(at, desk, index, entered, Some(&old), false);
        }
        let value = match old.says.kind {
            EntryKind::Air => Some(desk.air(&right).map_err(|why| not_entered(at, "correct")(DeskError::Typed(why)))?),
            EntryKind::Instrument => {
                Instrument::parse(&right).map_err(|why| not_entered(at, "correct")(DeskError::Typed(why)))?;
                None
            }
            EntryKind::Tick | EntryKind::Things => {
                let help = format!("write `gapwright log {} correct {} withdrawn`", at.shown(), args.entry);
                return Err(CliError::new(format!(
                    "a {} can only be taken back; nothing was entered",
                    old.says.kind.word()
                ))
                .help(help));
            }
            _ => None,
        };
        let air = if old.says.kind == EntryKind::Air { value } else { old.says.air };
        let draft =
            Draft { typed: right, value, air, note: args.with.note.clone().unwrap_or_default(), ..again(at, &old) };
        let kept = append(at, desk, vec![draft])?;
        say(&format!("in place of `{}`, {}", old.says.typed, old.says.time.minute()))?;
        kept_as(&kept)?;
        Ok(true)
    })
}

/// A draft that says the same again, in place of it.
fn again(at: &At, old: &Entry) -> Draft {
    let (who, device) = (at.hand.who.clone(), at.hand.device.clone());
    Draft { supersedes: Some(old.id), who, device, judged: String::new(), ..old.says.clone() }
}

/// The entry of a sign, or the last reading of a test.
fn named(at: &At, desk: &Desk<'_, '_>, words: &str) -> Result<(Option<Subject>, Entry), CliError> {
    let words = words.trim().to_lowercase();
    let long = words.len() >= 6;
    let of_sign: Vec<(Option<Subject>, &Entry)> =
        desk.current().filter(|(_, entry)| long && entry.id.to_string().ends_with(&words)).collect();
    match of_sign.as_slice() {
        [(subject, entry)] => return Ok((*subject, (*entry).clone())),
        [] => {}
        _ => {
            return Err(CliError::new(format!("several entries end in `{words}`; nothing was entered"))
                .help("write more of the sign"));
        }
    }
    let index = test_of(at, desk, &words)?;
    let last = desk.readings(index).into_iter().max_by_key(|entry| entry.id).cloned();
    let none = || {
        CliError::new(format!("test {words} has no reading yet; nothing was entered"))
            .help("`list` shows all entries with their signs")
    };
    Ok((Some(Subject::Test(index)), last.ok_or_else(none)?))
}

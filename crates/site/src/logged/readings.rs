//! Readings: taken as typed, judged, entered.

use crate::logged::desk::{Desk, DeskError, Hand};
use crate::logged::judge::{Judged, TakenWith, Verdict, as_yes_or_no, judge};
use crate::logged::subjects::Subject;
use commissioning::{How, Test};
use logbook::instrument::{Instrument, Reads};
use logbook::typed::{NotTyped, Typed, air, typed};
use logbook::{Draft, Entry, EntryKind, Moment};
use schedule::Units;
use std::collections::BTreeMap;

/// What is known of a reading besides what was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadingAsked {
    /// What was read, as it was typed.
    pub typed: String,
    /// The meter, by the name it was entered under.
    pub instrument: Option<String>,
    /// The range it stood on.
    pub range: Option<String>,
    /// What its leads read, as it was typed.
    pub lead_zero: Option<String>,
    /// How warm the air was, as it was typed.
    pub air: Option<String>,
    /// A remark.
    pub note: Option<String>,
}

/// A reading ready to be entered.
#[derive(Clone, Debug)]
pub struct Entered {
    /// What is to be entered.
    pub draft: Draft,
    /// What it says.
    pub judged: Judged,
}

/// Hours for which an entry of the air's warmth holds.
const AIR_HOLDS: f64 = 12.0;
/// Days after which a reading is one of another year.
const A_YEAR: f64 = 0.8;

impl Desk<'_, '_> {
    /// Takes a reading of a test: what it says, and what is to be entered.
    ///
    /// # Errors
    /// Where it is no reading of this test; with a line that would be right.
    pub fn reading(&self, index: usize, asked: &ReadingAsked, hand: &Hand, time: Moment) -> Result<Entered, DeskError> {
        let test = self.tests[index];
        let read = typed(&asked.typed)?;
        if test.how == How::Open && matches!(asked.typed.trim(), "1" | "1." | "1.0") {
            // Older meters show a lone 1 where others show OL.
            let help =
                format!("type `{} OL` if the display showed a 1 alone, else `{} 1 ohm`", test.number, test.number);
            return Err(NotTyped {
                what: "a lone 1 may be the sign of some meters for more than the range".to_owned(),
                help,
            }
            .into());
        }
        let mut draft = self.draft(EntryKind::Reading, Some(Subject::Test(index)), hand, time);
        let air_typed = asked.air.as_deref().map(|typed| self.air(typed)).transpose()?;
        draft.air = air_typed.or_else(|| self.air_at(&draft.time));
        let lead_zero = asked.lead_zero.as_deref().map(ohms).transpose()?;
        let range = asked.range.clone().unwrap_or_default();
        let most = typed(&range).ok().and_then(|range| match range {
            Typed::Ohms(most) => Some(most),
            _ => None,
        });
        let name = asked.instrument.clone().unwrap_or_default();
        let meters = self.meters();
        let meter = meters.get(&(name.clone(), reads(read, test)));
        let with = TakenWith { instrument: meter, lead_zero, most, typed: &asked.typed };
        let aged = self.aged.get(&test.number).copied().filter(|_| self.was_well_before(index, &draft.time));
        let mut judged = judge(test, aged, read, &with)?;
        if !name.is_empty() && !meters.keys().any(|(known, _)| *known == name) {
            judged.hints.push(format!("the meter `{name}` is not in the logbook yet: enter it with `instrument`"));
        }
        let in_ohms = matches!(read, Typed::Ohms(_)) || matches!(read, Typed::Bare(_)) && test.how.unit() == "Ω";
        draft.setting = test.set.iter().map(|(c, p)| format!("{c} {p}")).collect::<Vec<_>>().join(", ");
        draft.typed.clone_from(&asked.typed);
        draft.value = judged.value;
        draft.unit = if judged.value.is_some() { test.how.unit().to_owned() } else { String::new() };
        draft.note = asked.note.clone().unwrap_or_default();
        if test.how == How::Drop {
            // What a load makes of the volts depends on the load, and hardly on the meter's range.
            draft.range = self.load();
            if !range.is_empty() && range != draft.range {
                draft.note = [format!("meter on {range}"), draft.note].join("; ").trim_end_matches("; ").to_owned();
            }
        } else {
            draft.range = range;
        }
        draft.instrument = name;
        draft.lead_zero =
            lead_zero.or_else(|| meter.map(|meter| meter.lead_zero).filter(|zero| in_ohms && *zero != 0.0));
        draft.judged = format!("{}; well: {}", judged.verdict.word(), test.passes_words());
        Ok(Entered { draft, judged })
    }

    /// The air's temperature in °C, as it was typed in the units of the plan.
    ///
    /// # Errors
    /// Where it is none.
    pub fn air(&self, typed: &str) -> Result<f64, NotTyped> {
        air(typed, self.job.choices.units == Units::Imperial)
    }

    /// How warm the air was at a moment, where somebody said so not long before.
    pub fn air_at(&self, time: &Moment) -> Option<f64> {
        let said = self.current().filter(|(_, entry)| entry.says.kind == EntryKind::Air);
        let near = |entry: &&Entry| (0.0..=AIR_HOLDS).contains(&time.hours_since(&entry.says.time));
        said.map(|(_, entry)| entry).rfind(near).and_then(|entry| entry.says.value)
    }

    /// The meters that were entered, by their names and what they read.
    pub fn meters(&self) -> BTreeMap<(String, ReadsWord), Instrument> {
        let said = self.current().filter(|(_, entry)| entry.says.kind == EntryKind::Instrument);
        let meter = |entry: &Entry| {
            let (meter, reads) = Instrument::parse(&entry.says.typed).ok()?;
            Some(((entry.says.instrument.clone(), word(reads)), meter))
        };
        said.filter_map(|(_, entry)| meter(entry)).collect()
    }

    /// What an entry says of a test, by the limits of the plan as it is now.
    pub fn verdict(&self, index: usize, entry: &Entry) -> Verdict {
        let test = self.tests[index];
        if !self.is_same_load(test, entry) {
            return said_then(entry);
        }
        let typed = typed(&entry.says.typed).map(|typed| as_yes_or_no(test, typed));
        match (entry.says.value, typed) {
            (Some(value), _) if entry.says.unit == test.how.unit() => {
                let aged = || self.aged.get(&test.number).is_some_and(|aged| aged.is_well(value));
                match test.is_well(value) {
                    true => Verdict::Well,
                    // What did not tell when it was read does not tell now.
                    false if said_then(entry) == Verdict::Unclear => Verdict::Unclear,
                    false if aged() && self.was_well_before(index, &entry.says.time) => Verdict::Aged,
                    false => Verdict::Fails,
                }
            }
            (None, Ok(Typed::Yes)) => Verdict::Well,
            (None, Ok(Typed::No)) => Verdict::Fails,
            _ => Verdict::Unclear,
        }
    }

    /// Whether an entry was read with the load that the limits are now worked out for; for tests without a load it is.
    pub fn is_same_load(&self, test: &Test, entry: &Entry) -> bool {
        test.how != How::Drop || entry.says.range == self.load()
    }

    fn load(&self) -> String {
        commissioning::load_words(self.work.load)
    }

    /// Whether a test read well by the limits of new wiring in an earlier year.
    fn was_well_before(&self, index: usize, time: &Moment) -> bool {
        let test = self.tests[index];
        self.readings(index).iter().any(|entry| {
            time.years_since(&entry.says.time) > A_YEAR && entry.says.value.is_some_and(|value| test.is_well(value))
        })
    }

    /// The readings of a test that hold, in order of time.
    pub fn readings(&self, index: usize) -> Vec<&Entry> {
        self.about(Subject::Test(index), EntryKind::Reading)
    }
}

/// Which readings a meter's words are about.
pub type ReadsWord = &'static str;

fn word(reads: Reads) -> ReadsWord {
    match reads {
        Reads::Ohms => "Ω",
        Reads::Millivolts => "mV",
        Reads::Volts => "V",
        Reads::Amps => "A",
    }
}

/// What a meter was read in: what was typed, else the test's unit.
fn reads(read: Typed, test: &Test) -> ReadsWord {
    match read {
        Typed::Ohms(_) => "Ω",
        _ => test.how.unit(),
    }
}

/// What was said of an entry when it was made.
fn said_then(entry: &Entry) -> Verdict {
    let word = entry.says.judged.split(';').next().unwrap_or_default();
    let all = [Verdict::Well, Verdict::Aged, Verdict::Fails, Verdict::Unclear];
    all.into_iter().find(|verdict| verdict.word() == word).unwrap_or(Verdict::Unclear)
}

/// Ohms of leads.
fn ohms(text: &str) -> Result<f64, NotTyped> {
    match typed(text)? {
        Typed::Ohms(ohms) | Typed::Bare(ohms) if (0.0..10.0).contains(&ohms) => Ok(ohms),
        _ => Err(NotTyped {
            what: format!("`{text}` is nothing that leads read"),
            help: "type it as `0.3 ohm`".to_owned(),
        }),
    }
}

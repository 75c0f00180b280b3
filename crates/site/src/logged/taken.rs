//! Entries that come from pages: each with an id that whoever wrote it made, so that one sent twice is kept once.

use crate::logged::desk::Desk;
use crate::logged::subjects::Subject;
use commissioning::{How, TestKind};
use logbook::{Draft, Entry, EntryId, EntryKind, LogbookError, Moment};
use sha2::{Digest as _, Sha256};

/// How an entry was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The entry as it is in the logbook.
    pub entry: Entry,
    /// Whether it was there before: it was sent once more.
    pub was_there: bool,
}

/// Things of texts that were shown before this one, by revision.
pub type EarlierThings<'t> = &'t [(String, String)];

impl Desk<'_, '_> {
    /// Takes an entry under the id it came with. One of that id which says the same is there already is given back as it is; one
    /// which says something else stays, and this one gets an id made of both.
    ///
    /// `earlier` are things of texts that entries may still be about; those of the entry's own text are kept with it.
    ///
    /// # Errors
    /// Where it could not be written; then it is not in the logbook.
    pub fn take(&mut self, id: EntryId, says: Draft, earlier: EarlierThings<'_>) -> Result<Taken, LogbookError> {
        self.refresh()?;
        let mut id = id;
        if let Some(there) = self.entry(id) {
            if says_the_same(&there.says, &says) {
                return Ok(Taken { entry: there.clone(), was_there: true });
            }
            id = another(id, &says);
            if let Some(there) = self.entry(id) {
                return Ok(Taken { entry: there.clone(), was_there: true });
            }
        }
        let mut entries = Vec::new();
        if !says.what.is_empty() && !self.knows_things_of(&says.plan) {
            let things = match earlier.iter().find(|(revision, _)| *revision == says.plan) {
                Some((_, things)) => Some(things.clone()),
                None => (says.plan == self.revision()).then(|| self.subjects.things.clone()),
            };
            if let Some(things) = things {
                let now = Moment::now();
                let (who, device, plan) = (says.who.clone(), says.device.clone(), says.plan.clone());
                let draft = Draft { typed: things, plan, who, device, ..Draft::new(EntryKind::Things, now.clone()) };
                entries.push(Entry { id: EntryId::new(&now), says: draft });
            }
        }
        entries.push(Entry { id, says });
        let taken = self.open_or_create()?.take_over(&entries);
        self.refresh()?;
        match (taken, self.entry(id)) {
            // Another program was quicker with the same entry.
            (Ok(_) | Err(LogbookError::Differs(_)), Some(entry)) => {
                Ok(Taken { entry: entry.clone(), was_there: false })
            }
            (Err(error), _) => Err(error),
            (Ok(_), None) => Err(LogbookError::NotThere(self.path().to_owned())),
        }
    }

    /// The entry of an id.
    pub fn entry(&self, id: EntryId) -> Option<&Entry> {
        self.entries().iter().find(|entry| entry.id == id)
    }

    /// What entries about something of the plan say they are about.
    pub fn what(&self, subject: Subject) -> String {
        self.subjects.text(subject)
    }

    /// What an entry of another text would be about in the plan as it is now.
    pub fn subject_of(&self, what: &str, revision: &str, earlier: EarlierThings<'_>) -> Option<Subject> {
        let kept = self.entries().iter().filter(|entry| entry.says.kind == EntryKind::Things);
        let mut all: Vec<(String, String)> =
            kept.map(|entry| (entry.says.plan.clone(), entry.says.typed.clone())).collect();
        all.extend(earlier.iter().cloned());
        let asked = [(revision.to_owned(), what.to_owned())];
        self.subjects.found(&asked, &all).first().copied().flatten()
    }

    /// The things of the plan, as entries need them to be found again.
    pub fn things(&self) -> (String, String) {
        (self.revision().to_owned(), self.subjects.things.clone())
    }

    fn knows_things_of(&self, revision: &str) -> bool {
        self.entries().iter().any(|entry| entry.says.kind == EntryKind::Things && entry.says.plan == revision)
    }

    /// What to beware of at a test.
    pub fn cautions(&self, index: usize) -> Vec<&'static str> {
        let test = self.tests[index];
        match (test.kind, test.how) {
            (TestKind::Cold, How::Millivolts) => vec![UNPLUG, CLIPPED, MAINS],
            (TestKind::Cold, _) => vec![UNPLUG, MAINS],
            (TestKind::Hot, How::Coin) => vec![COLD_FIRST, COIN, MAINS],
            (TestKind::Hot, _) => vec![COLD_FIRST, MAINS],
        }
    }
}

const UNPLUG: &str =
    "cold tests are read with every supply, booster, breaker, driver and decoder unplugged and the track empty";
const CLIPPED: &str = "set the bench supply to 1 A and no more than 3 V before you clip it on";
const COLD_FIRST: &str = "power goes on only when every cold test reads well";
const COIN: &str = "lift the coin after a second if nothing trips; it sparks, so hold it with insulated pliers";
const MAINS: &str = "low-voltage side only; nothing here is on the mains side";

/// What somebody said, without what the program adds to it.
fn says_the_same(one: &Draft, other: &Draft) -> bool {
    let of = |draft: &Draft| {
        let Draft { kind, what, typed, note, supersedes, .. } = draft;
        (*kind, what.clone(), typed.clone(), note.clone(), *supersedes)
    };
    of(one) == of(other)
}

/// An id made of an id and of what is said under it; the same for the same.
fn another(id: EntryId, says: &Draft) -> EntryId {
    let words = format!("{id}|{:?}|{}|{}|{}|{:?}", says.kind, says.what, says.typed, says.note, says.supersedes);
    let digest = Sha256::digest(words.as_bytes());
    let random: String = digest.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    // The time of a UUID of version 7 is in front, the version and variant are in the middle (RFC 9562, 5.7).
    let text = id.to_string();
    EntryId::parse(&format!("{}{}-{}", &text[..20], &random[..3], &random[3..15])).unwrap_or(id)
}

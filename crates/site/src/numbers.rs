//! The numbers that wires, gaps, joints and tests were given before: a builder has labels with them on the wires.
//!
//! `gapwright papers` keeps them in the folder it makes. Whoever changes a plan file, a page or `gapwright fix`, keeps them in
//! a file beside the plan ([`keep`]): that file is the truth where it is there; else the folders beside the plan are looked
//! through for one of papers, which is read and never written here.

use analysis::Analysis;
use commissioning::TestLoad;
use papers::files::{LIST, NUMBERS};
use schedule::{Choices, Job, NumbersRecord};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

/// Folders beside the plan that are looked into.
const MOST_FOLDERS: usize = 200;
/// A record of a layout of thousands of wires has some hundred kilobytes.
const MOST_BYTES: u64 = 16 << 20;

/// Why the numbers of earlier papers cannot be read. It is compared and kept, so that what the disk says is kept as words.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NoRecord {
    /// It is longer than any record.
    #[error("it is too long")]
    TooLong,
    /// The disk refuses.
    #[error("{0}")]
    Disk(String),
    /// It is no record.
    #[error("{0}")]
    Content(String),
}

/// Why numbers could not be kept over a change of a plan.
#[derive(Debug, thiserror::Error)]
pub enum NotKept {
    /// What is there is no record, and is left as it is.
    #[error("`{0}` cannot be read: {1}")]
    Unreadable(String, String),
    /// The disk refuses.
    #[error("`{0}` cannot be written: {1}")]
    Writing(String, std::io::Error),
}

/// Numbers that were given before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Kept {
    /// The name of the folder of papers, or of the file beside the plan.
    pub folder: String,
    /// Whether they are in a file beside the plan.
    pub beside: bool,
    /// The record, or why it cannot be read.
    pub record: Result<NumbersRecord, NoRecord>,
    stamp: Stamp,
}

/// What the disk says of a file of numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Stamp {
    path: PathBuf,
    written: Option<SystemTime>,
    length: u64,
    /// Whether it lies beside the plan, and in no folder of papers.
    beside: bool,
}

/// The numbers beside one plan file, read again when they were written anew.
#[derive(Debug, Default)]
pub(crate) struct KeptNumbers {
    last: Mutex<Option<Arc<Kept>>>,
}

impl KeptNumbers {
    /// The numbers for a plan file; none where no folder beside it holds papers, or several do and none has a name that tells.
    pub fn beside(&self, plan: &Path) -> Option<Arc<Kept>> {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        let stamp = found(plan);
        if last.as_ref().map(|kept| &kept.stamp) != stamp.as_ref() {
            *last = stamp.map(|stamp| Arc::new(read(stamp)));
        }
        last.clone()
    }
}

/// Where numbers are kept beside a plan file: `quay.numbers.csv` beside `quay.toml`.
pub fn file_beside(plan: &Path) -> PathBuf {
    // Beside the file itself, not beside a link to it.
    std::fs::canonicalize(plan).unwrap_or_else(|_| plan.to_owned()).with_extension(NUMBERS)
}

/// The numbers that were given before to what is in a plan file: those kept beside it, or of papers made of it.
pub fn kept_for(plan: &Path, names: &plan::Names) -> Option<NumbersRecord> {
    read(found(plan)?).record_of(names).cloned()
}

/// Edges of a circuit beyond which a change alone does not work out the tests: they are numbered when papers are made.
const MOST_EDGES: usize = 20_000;

/// Keeps the numbers of wires, gaps, joints and tests over a change of a plan file, in a file beside it. Where a text is not
/// understood what is known so far is kept. Gives the file, where there is something to keep.
///
/// # Errors
/// Where the file there is no record of numbers, or cannot be written.
pub fn keep(plan: &Path, before: &[u8], after: &[u8]) -> Result<Option<PathBuf>, NotKept> {
    let file = file_beside(plan);
    let mut record = None;
    if let Some(kept) = found(plan).map(read) {
        if let (true, Err(why)) = (kept.beside, &kept.record) {
            return Err(NotKept::Unreadable(file.display().to_string(), why.to_string()));
        }
        record = kept.record.ok();
    }
    for bytes in [before, after] {
        let (text, reading) = plan::read_bytes(bytes);
        if !reading.understood() {
            continue;
        }
        // The record of another layout is none of this one.
        let known = record.take().filter(|record| is_of(record, &reading.names));
        let facts = Analysis::of(&text, &reading.plan, &reading.names);
        let job = Job::carried_where_kept(facts, Choices::default(), known.as_ref());
        let numbered = known.as_ref().is_some_and(NumbersRecord::has_tests) && bytes == before;
        if !numbered && job.facts.circuit.edges.len() <= MOST_EDGES {
            // Without tests the record keeps those that were known.
            let _ = commissioning::work(&job, TestLoad::default());
        }
        record = Some(job.record());
    }
    let Some(record) = record else { return Ok(None) };
    let text = record.to_csv();
    if std::fs::read(&file).is_ok_and(|there| there == text.as_bytes()) {
        return Ok(Some(file));
    }
    match files::write_whole(&file, text.as_bytes()) {
        Ok(()) => Ok(Some(file)),
        Err(error) => Err(NotKept::Writing(file.display().to_string(), error)),
    }
}

/// Whether a record is one of a plan with these names: at least half of what it holds is there.
fn is_of(record: &NumbersRecord, names: &plan::Names) -> bool {
    let [there, all] = record.known_to(names);
    2 * there >= all
}

/// The file of numbers that belongs to a plan file.
fn found(plan: &Path) -> Option<Stamp> {
    let own = file_beside(plan);
    if let Ok(is) = std::fs::metadata(&own)
        && is.is_file()
    {
        return Some(Stamp { path: own, written: is.modified().ok(), length: is.len(), beside: true });
    }
    let beside = plan.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let stem = plan.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
    let folders =
        std::fs::read_dir(beside).ok()?.filter_map(Result::ok).filter(|entry| entry.path().is_dir()).take(MOST_FOLDERS);
    let mut all: BTreeMap<String, Stamp> = BTreeMap::new();
    for folder in folders {
        let path = folder.path();
        let Some(name) = folder.file_name().to_str().map(str::to_owned) else { continue };
        if !path.join(LIST).is_file() {
            continue;
        }
        let numbers = path.join(NUMBERS);
        if let Ok(usual_names) = std::fs::metadata(&numbers)
            && usual_names.is_file()
        {
            let (written, length) = (usual_names.modified().ok(), usual_names.len());
            all.insert(name, Stamp { path: numbers, written, length, beside: false });
        }
    }
    let usual_names = [format!("{stem}-papers"), stem.to_owned(), "papers".to_owned()];
    let named = usual_names.iter().find_map(|name| all.get(name)).cloned();
    named.or_else(|| if all.len() == 1 { all.into_values().next() } else { None })
}

fn read(stamp: Stamp) -> Kept {
    let named = if stamp.beside { Some(stamp.path.as_path()) } else { stamp.path.parent() };
    let folder = named.and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned());
    let record = if stamp.length > MOST_BYTES {
        Err(NoRecord::TooLong)
    } else {
        let text = std::fs::read_to_string(&stamp.path).map_err(|error| NoRecord::Disk(error.to_string()));
        text.and_then(|text| NumbersRecord::read(&text).map_err(|error| NoRecord::Content(error.to_string())))
    };
    Kept { folder: folder.unwrap_or_default(), beside: stamp.beside, record, stamp }
}

impl Kept {
    /// The record, where it is one of this layout: at least half of what it holds is there.
    pub fn record_of(&self, names: &plan::Names) -> Option<&NumbersRecord> {
        self.record.as_ref().ok().filter(|record| is_of(record, names))
    }
}

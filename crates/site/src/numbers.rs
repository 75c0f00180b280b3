//! The numbers that papers made before have given: a builder has labels with them on the wires.
//!
//! `gapwright papers` keeps them in the folder that it was reported. Here the folders beside the plan are looked through for one of
//! papers; they are read and never written.

use papers::files::{LIST, NUMBERS};
use schedule::NumbersRecord;
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

/// Numbers of papers that were made before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Kept {
    /// The folder's name.
    pub folder: String,
    /// The record, or why it cannot be read.
    pub record: Result<NumbersRecord, NoRecord>,
    stamp: Stamp,
}

/// What the disk says of a file: when it was last written, and its length.
type Stamp = (PathBuf, Option<SystemTime>, u64);

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

/// The file of numbers that belongs to a plan file.
fn found(plan: &Path) -> Option<Stamp> {
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
            all.insert(name, (numbers, usual_names.modified().ok(), usual_names.len()));
        }
    }
    let usual_names = [format!("{stem}-papers"), stem.to_owned(), "papers".to_owned()];
    let named = usual_names.iter().find_map(|name| all.get(name)).cloned();
    named.or_else(|| if all.len() == 1 { all.into_values().next() } else { None })
}

fn read(stamp: Stamp) -> Kept {
    let folder = stamp.0.parent().and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned());
    let record = if stamp.2 > MOST_BYTES {
        Err(NoRecord::TooLong)
    } else {
        let text = std::fs::read_to_string(&stamp.0).map_err(|error| NoRecord::Disk(error.to_string()));
        text.and_then(|text| NumbersRecord::read(&text).map_err(|error| NoRecord::Content(error.to_string())))
    };
    Kept { folder: folder.unwrap_or_default(), record, stamp }
}

impl Kept {
    /// The record, where it is one of this layout: at least half of what it holds is there.
    pub fn record_of(&self, names: &plan::Names) -> Option<&NumbersRecord> {
        let record = self.record.as_ref().ok()?;
        let [there, all] = record.known_to(names);
        (2 * there >= all).then_some(record)
    }
}

//! One plan file that several people change at once: an editor on the disk, and browsers.
//!
//! The file on the disk is the truth. Its version is a hash of its content, and a change says on which version it is based;
//! where that is no longer the one on the disk nothing is written, and both texts are reported. What was in the file
//! before is kept in memory for undoing, whoever wrote it.

use files::Prepared;
use sha2::{Digest as _, Sha256};
use std::fmt;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::SystemTime;

/// Texts that can be undone; of more, the oldest are forgotten.
const MOST_UNDO: usize = 200;
/// Bytes of all of them together.
const MOST_UNDO_BYTES: usize = 64 << 20;
/// Files beyond this many bytes are not read: they are no plans, or have no end.
const MOST_BYTES: usize = 4 * plan::LARGEST_PLAN;

/// Which content: the first 16 bytes of its SHA-256, in hexadecimal.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Version(String);

impl Version {
    /// The version of a content.
    pub fn from_content(content: &[u8]) -> Version {
        Version(Sha256::digest(content).iter().take(16).map(|byte| format!("{byte:02x}")).collect())
    }

    /// A version as a page sent it back. One that never was fits no content.
    pub fn from_untrusted(words: &str) -> Version {
        Version(words.to_owned())
    }
}

impl fmt::Display for Version {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What a file held at one moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredPlan {
    /// Its bytes.
    pub bytes: Arc<[u8]>,
    /// Their version.
    pub version: Version,
    /// Whether there is something to undo, and to make again.
    pub can: [bool; 2],
}

/// How a change ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Saved {
    /// It is on the disk.
    Done(StoredPlan),
    /// Nothing was written: the file is no longer what the change was based on.
    Conflict {
        /// What was to be written.
        mine: Arc<[u8]>,
        /// What the file holds.
        theirs: StoredPlan,
    },
    /// There is nothing to undo, or to make again.
    Nothing(StoredPlan),
}

/// What keeps a store from its work.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// There is no file of its name any more.
    #[error("the plan file is gone: somebody moved, renamed or deleted it")]
    Gone,
    /// The file may not be written to.
    #[error("the plan file is read-only")]
    ReadOnly,
    /// There is no room for it.
    #[error("the disk is full")]
    Full,
    /// The file cannot be read.
    #[error("the plan file cannot be read: {0}")]
    Reading(io::Error),
    /// The file cannot be written.
    #[error("the plan file cannot be written: {0}")]
    Writing(io::Error),
}

impl StoreError {
    fn reading(error: io::Error) -> StoreError {
        if error.kind() == io::ErrorKind::NotFound { StoreError::Gone } else { StoreError::Reading(error) }
    }

    fn writing(error: io::Error) -> StoreError {
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => StoreError::Full,
            io::ErrorKind::ReadOnlyFilesystem => StoreError::ReadOnly,
            _ => StoreError::Writing(error),
        }
    }

    /// What whoever wanted to write can do.
    pub fn help(&self) -> &'static str {
        match self {
            StoreError::Gone => "Put the file back under its name, or write your text into a new file of that name.",
            StoreError::ReadOnly => "Allow writing to the file, then send this form again.",
            StoreError::Full => "Make room on the disk, then send this form again. The file is as it was.",
            StoreError::Reading(_) | StoreError::Writing(_) => {
                "Look at the disk and the file, then send this form again."
            }
        }
    }
}

/// What keeps a plan from being changed now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Barrier {
    /// Its file is gone.
    Gone,
    /// Its file is read-only.
    ReadOnly,
}

/// When the disk says a file was last written, and its length.
type Stamp = (SystemTime, u64);

/// A plan file.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    inner: Mutex<Inner>,
}

#[derive(Debug)]
struct Inner {
    bytes: Arc<[u8]>,
    version: Version,
    /// As it was at the last reading.
    stamp: Option<Stamp>,
    undo: Vec<Arc<[u8]>>,
    redo: Vec<Arc<[u8]>>,
}

impl Inner {
    fn content(&self) -> StoredPlan {
        let can = [!self.undo.is_empty(), !self.redo.is_empty()];
        StoredPlan { bytes: Arc::clone(&self.bytes), version: self.version.clone(), can }
    }

    /// Takes what is now in the file; what was before can be undone.
    fn take(&mut self, bytes: Arc<[u8]>) {
        self.undo.push(std::mem::replace(&mut self.bytes, bytes));
        self.version = Version::from_content(&self.bytes);
        let mut room = MOST_UNDO_BYTES;
        let fit = self.undo.iter().rev().take(MOST_UNDO).take_while(|text| {
            let fits = text.len() <= room;
            room = room.saturating_sub(text.len());
            fits
        });
        let keep = fit.count();
        self.undo.drain(..self.undo.len() - keep);
    }
}

/// Which way through what was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HistoryStep {
    /// Back to the text before.
    Undo,
    /// Forward again.
    Redo,
}

impl Store {
    /// Opens a plan file.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub fn open(path: &Path) -> Result<Store, StoreError> {
        let (bytes, stamp) = read(path).map_err(StoreError::Reading)?;
        files::sweep(&std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned()));
        let version = Version::from_content(&bytes);
        let inner = Inner { bytes, version, stamp, undo: Vec::new(), redo: Vec::new() };
        Ok(Store { path: path.to_owned(), inner: Mutex::new(inner) })
    }

    /// Where the file lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// What the file held when it was last looked at; [`Store::look`] looks.
    pub fn content(&self) -> StoredPlan {
        self.lock().content()
    }

    /// What keeps the plan from being changed now; none where nothing is known to.
    pub fn barrier(&self) -> Option<Barrier> {
        match files::is_read_only(&self.path) {
            Ok(true) => Some(Barrier::ReadOnly),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Some(Barrier::Gone),
            Ok(false) | Err(_) => None,
        }
    }

    /// Writes a text into a new file of the plan's name, where the file is gone.
    ///
    /// # Errors
    /// Where there is a file again, or the disk refuses.
    pub fn write_again(&self, text: &[u8]) -> Result<StoredPlan, StoreError> {
        let mut inner = self.lock();
        files::write_new(&self.path, text).map_err(StoreError::writing)?;
        self.reread(&mut inner)?;
        Ok(inner.content())
    }

    /// What the file held before the last change, whoever made it; none where there was none.
    pub fn before(&self) -> Option<Arc<[u8]>> {
        self.lock().undo.last().cloned()
    }

    /// Looks whether somebody else wrote the file, and takes what is in it then. Gives whether it was changed.
    ///
    /// # Errors
    /// Where the file cannot be read, as while an editor is moving a new one into its place.
    pub fn look(&self) -> Result<bool, StoreError> {
        let mut inner = self.lock();
        let stamp = std::fs::metadata(&self.path).map_err(StoreError::reading)?;
        // A write within the resolution of the disk's clock, to the same length, would show the same stamp; so a file
        // that was written just now is read again.
        let fresh = stamp.modified().ok().and_then(|at| at.elapsed().ok()).is_none_or(|age| age.as_secs() < 3);
        if !fresh && stamp.modified().ok().map(|at| (at, stamp.len())) == inner.stamp {
            return Ok(false);
        }
        self.reread(&mut inner)
    }

    /// Puts a text in the place of the version it is based on.
    ///
    /// Between the last look at the file and the moving of the new one into its place lie some microseconds, in which an
    /// editor on the disk could write unseen; the plan's own pages cannot, they wait for each other.
    ///
    /// # Errors
    /// Where the file cannot be read or written; it then is as it was.
    pub fn save(&self, text: &[u8], based_on: &Version) -> Result<Saved, StoreError> {
        let mut inner = self.lock();
        let text: Arc<[u8]> = text.into();
        if let Some(theirs) = self.put(&mut inner, &text, based_on)? {
            return Ok(Saved::Conflict { mine: text, theirs });
        }
        Ok(Saved::Done(inner.content()))
    }

    /// Goes back to the text before, or forward again. A step is a change like any other and can conflict.
    ///
    /// # Errors
    /// As [`Store::save`].
    pub fn step(&self, step: HistoryStep, based_on: &Version) -> Result<Saved, StoreError> {
        let mut inner = self.lock();
        self.reread(&mut inner)?;
        let (from, back) = (&inner.undo, step == HistoryStep::Undo);
        let Some(text) = (if back { from.last() } else { inner.redo.last() }).cloned() else {
            return Ok(Saved::Nothing(inner.content()));
        };
        let (undo, redo, before) = (inner.undo.clone(), inner.redo.clone(), Arc::clone(&inner.bytes));
        if let Some(theirs) = self.put(&mut inner, &text, based_on)? {
            return Ok(Saved::Conflict { mine: text, theirs });
        }
        (inner.undo, inner.redo) = (undo, redo);
        let [from, to] = {
            let Inner { undo, redo, .. } = &mut *inner;
            if back { [undo, redo] } else { [redo, undo] }
        };
        from.pop();
        to.push(before);
        Ok(Saved::Done(inner.content()))
    }

    /// Writes, or gives what is there where that is not what the text is based on.
    fn put(&self, inner: &mut Inner, text: &Arc<[u8]>, based_on: &Version) -> Result<Option<StoredPlan>, StoreError> {
        self.reread(inner)?;
        if inner.version != *based_on {
            // Both wrote the same: there is nothing to tell apart.
            return Ok((inner.bytes != *text).then(|| inner.content()));
        }
        if inner.bytes == *text {
            return Ok(None);
        }
        if self.barrier() == Some(Barrier::ReadOnly) {
            return Err(StoreError::ReadOnly);
        }
        let prepared = Prepared::new(&self.path, text).map_err(StoreError::writing)?;
        // Flushing takes its time; somebody may have written meanwhile.
        if self.reread(inner)? {
            return Ok(Some(inner.content()));
        }
        prepared.finish().map_err(StoreError::writing)?;
        inner.take(Arc::clone(text));
        inner.redo.clear();
        inner.stamp = None;
        Ok(None)
    }

    /// Reads the file; gives whether it is another than before.
    fn reread(&self, inner: &mut Inner) -> Result<bool, StoreError> {
        let (bytes, stamp) = read(&self.path).map_err(StoreError::reading)?;
        inner.stamp = stamp;
        if bytes == inner.bytes {
            return Ok(false);
        }
        inner.take(bytes);
        inner.redo.clear();
        Ok(true)
    }

    /// A thread that fell over while it held the lock left a whole state: each is made before it is put.
    fn lock(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn read(path: &Path) -> io::Result<(Arc<[u8]>, Option<Stamp>)> {
    let file = std::fs::File::open(path)?;
    let stat = file.metadata()?;
    if !stat.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is no file"));
    }
    let mut bytes = Vec::new();
    file.take(MOST_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    if bytes.len() > MOST_BYTES {
        return Err(io::Error::new(io::ErrorKind::InvalidData, "it is too long to be a plan"));
    }
    Ok((bytes.into(), stat.modified().ok().map(|at| (at, stat.len()))))
}

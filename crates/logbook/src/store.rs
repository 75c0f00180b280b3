//! The logbook as a file: an SQLite database to which entries are added, and from which none is ever taken.

use crate::clock::Moment;
use crate::entry::{Draft, Entry, EntryId};
use crate::error::LogbookError;
use crate::rows;
use crate::schema::{self, VERSION};
use rusqlite::{Connection, ErrorCode, OpenFlags, TransactionBehavior};
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long one program waits for another that is writing.
const PATIENCE: Duration = Duration::from_secs(10);

/// Where an entry stands in one file, in the order in which it came there; other copies have other places.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place(pub i64);

/// A logbook that is open.
#[derive(Debug)]
pub struct Logbook {
    connection: Connection,
    path: PathBuf,
}

/// What adding entries of another copy came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Merged {
    /// Entries that were new.
    pub new: usize,
    /// Entries that were there already.
    pub known: usize,
}

/// Where the logbook of a plan lies: `quay.logbook` beside `quay.toml`.
pub fn file_beside(plan: &Path) -> PathBuf {
    // Beside the file itself, not beside a link to it.
    std::fs::canonicalize(plan).unwrap_or_else(|_| plan.to_owned()).with_extension("logbook")
}

impl Logbook {
    /// Opens the logbook at a path; one that is not there is made: beside it under another name, flushed to the disk, renamed.
    ///
    /// # Errors
    /// Where there is something else, or a newer program's; where the disk refuses.
    pub fn open_or_create(path: &Path) -> Result<Logbook, LogbookError> {
        let disk = |error: io::Error| LogbookError::Disk { path: path.to_owned(), what: error.to_string() };
        if !path.try_exists().map_err(disk)? {
            // SQLite would write what is left of another file's log into the new one.
            if std::fs::metadata(log_beside(path)).is_ok_and(|log| log.len() > 0) {
                return Err(LogbookError::LogAlone(log_beside(path)));
            }
            let new = schema::new_file(schema::MIGRATIONS.len()).map_err(|e| told(path, &e))?;
            match files::write_new(path, &new) {
                // Another program was faster: its file is as good.
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                done => done.map_err(disk)?,
            }
        }
        Logbook::open(path)
    }

    /// Opens a logbook that is there, and brings one of an older form to this one.
    ///
    /// # Errors
    /// Where there is none, or a newer program's, which is left as it is; where the disk refuses.
    pub fn open(path: &Path) -> Result<Logbook, LogbookError> {
        check_header(path)?;
        let connection =
            Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX);
        let mut connection = connection.map_err(|e| told(path, &e))?;
        connection.busy_timeout(PATIENCE).map_err(|e| told(path, &e))?;
        refuse_unknown(&connection, path)?;
        prepare(&mut connection).map_err(|e| told(path, &e))?;
        Ok(Logbook { connection, path: path.to_owned() })
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Adds an entry. When this comes back it is on the disk: that is the acknowledgement.
    ///
    /// # Errors
    /// Where it could not be written; then it is not in the logbook.
    pub fn append(&mut self, draft: Draft) -> Result<Entry, LogbookError> {
        let mut entries = self.append_all(vec![draft])?;
        Ok(entries.remove(0))
    }

    /// Adds several entries, all or none.
    ///
    /// # Errors
    /// Where they could not be written; then none is in the logbook.
    pub fn append_all(&mut self, drafts: Vec<Draft>) -> Result<Vec<Entry>, LogbookError> {
        let now = Moment::now();
        let ids = EntryId::several(&now, drafts.len());
        let entries: Vec<Entry> = ids.into_iter().zip(drafts).map(|(id, says)| Entry { id, says }).collect();
        self.take_over(&entries)?;
        Ok(entries)
    }

    /// Merges a replica: takes over entries of another copy, all or none; the book is a grow-only set (a CRDT). Those that are there already are left; it does not matter which copy is
    /// taken over by which, nor in which order.
    ///
    /// # Errors
    /// Where one is there already and says something else, so that one of both was changed by other means.
    pub fn take_over(&mut self, entries: &[Entry]) -> Result<Merged, LogbookError> {
        let path = self.path.clone();
        let refused = |error: rusqlite::Error| told(&path, &error);
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(refused)?;
        let (mut merged, mut differ) = (Merged::default(), Vec::new());
        for entry in entries {
            if rows::insert(&transaction, entry).map_err(refused)? {
                merged.new += 1;
                continue;
            }
            merged.known += 1;
            if rows::by_id(&transaction, entry.id).map_err(refused)?.as_ref() != Some(entry) {
                differ.push(entry.id);
            }
        }
        if !differ.is_empty() {
            return Err(LogbookError::Differs(differ));
        }
        transaction.commit().map_err(refused)?;
        Ok(merged)
    }

    /// Takes over another copy of the logbook, which stays as it is.
    ///
    /// # Errors
    /// Where the other is none, or see [`Logbook::take_over`].
    pub fn merge(&mut self, other: &Path) -> Result<Merged, LogbookError> {
        self.take_over(&Logbook::read(other)?)
    }

    /// The entries of a copy of a logbook, which is left as it is, also where its form is an older one.
    ///
    /// # Errors
    /// Where there is none, or a newer program's.
    pub fn read(path: &Path) -> Result<Vec<Entry>, LogbookError> {
        read_copy(path)
    }

    /// Everything, in the order in which it came here.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub fn entries(&self) -> Result<Vec<Entry>, LogbookError> {
        Ok(self.since(Place::default())?.into_iter().map(|(_, entry)| entry).collect())
    }

    /// What came here after a place, each with its own.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub fn since(&self, place: Place) -> Result<Vec<(Place, Entry)>, LogbookError> {
        let found = rows::since(&self.connection, place.0).map_err(|e| told(&self.path, &e))?;
        Ok(found.into_iter().map(|(seq, entry)| (Place(seq), entry)).collect())
    }

    /// Writes a copy of the whole logbook as it is now, while others may go on writing; it is read once before it gets its name.
    ///
    /// # Errors
    /// Where there is a file of that name already, or the disk refuses.
    pub fn backup(&self, to: &Path) -> Result<usize, LogbookError> {
        let disk = |error: io::Error| match error.kind() {
            io::ErrorKind::AlreadyExists => LogbookError::AlreadyThere(to.to_owned()),
            _ => LogbookError::Disk { path: to.to_owned(), what: error.to_string() },
        };
        if to.try_exists().map_err(disk)? {
            return Err(LogbookError::AlreadyThere(to.to_owned()));
        }
        let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let beside = tempfile::Builder::new().prefix(".gapwright-").tempdir_in(folder).map_err(disk)?;
        let copy = beside.path().join("copy");
        let written = self.connection.execute("VACUUM INTO ?1", [copy.to_string_lossy()]);
        written.map_err(|e| told(to, &e))?;
        let count = Logbook::open(&copy)?.verified()?;
        files::write_new(to, &std::fs::read(&copy).map_err(disk)?).map_err(disk)?;
        Ok(count)
    }

    /// Checks the whole file, as SQLite and as a logbook; gives the number of its entries.
    ///
    /// # Errors
    /// Where something in it is damaged.
    pub fn verified(&self) -> Result<usize, LogbookError> {
        let said: String = self
            .connection
            .query_row("PRAGMA integrity_check", [], |row| row.get(0))
            .map_err(|e| told(&self.path, &e))?;
        if said != "ok" {
            return Err(LogbookError::Damaged { path: self.path.clone(), what: said });
        }
        Ok(self.entries()?.len())
    }

    /// How SQLite keeps it: the journal and the level of flushing, read back from the connection.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub fn durability(&self) -> Result<(String, i64), LogbookError> {
        let asked = |error: rusqlite::Error| told(&self.path, &error);
        let journal = self.connection.pragma_query_value(None, "journal_mode", |row| row.get(0)).map_err(asked)?;
        let synchronous = self.connection.pragma_query_value(None, "synchronous", |row| row.get(0)).map_err(asked)?;
        Ok((journal, synchronous))
    }
}

/// The entries of a copy of a logbook, which is left as it is: an older form is brought to this one in memory alone.
fn read_copy(path: &Path) -> Result<Vec<Entry>, LogbookError> {
    check_header(path)?;
    let disk = |error: io::Error| LogbookError::Disk { path: path.to_owned(), what: error.to_string() };
    let mut image = match image(path) {
        // On a stick that cannot be written SQLite cannot read beside a log; a copy of both files elsewhere it can.
        Err(LogbookError::Disk { .. }) => {
            let elsewhere = tempfile::tempdir().map_err(disk)?;
            let copy = elsewhere.path().join("copy");
            std::fs::copy(path, &copy).map_err(disk)?;
            if log_beside(path).try_exists().map_err(disk)? {
                std::fs::copy(log_beside(path), log_beside(&copy)).map_err(disk)?;
            }
            image(&copy)?
        }
        done => done?,
    };
    // Bytes 18 and 19 of the header say that a log lies beside the file (SQLite file format, 1.3.3); beside memory none does.
    image[18..20].fill(1);
    let refused = |error: rusqlite::Error| told(path, &error);
    let mut memory = Connection::open_in_memory().map_err(refused)?;
    memory.deserialize_read_exact("main", &mut &image[..], image.len(), false).map_err(refused)?;
    schema::migrate(&mut memory, schema::MIGRATIONS.len()).map_err(refused)?;
    let found = rows::since(&memory, 0).map_err(refused)?;
    Ok(found.into_iter().map(|(_, entry)| entry).collect())
}

/// What a file and the log beside it hold together.
fn image(path: &Path) -> Result<Vec<u8>, LogbookError> {
    let refused = |error: rusqlite::Error| told(path, &error);
    let mut other = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(refused)?;
    other.busy_timeout(PATIENCE).map_err(refused)?;
    refuse_unknown(&other, path)?;
    Ok(other.serialize("main").map_err(refused)?.to_vec())
}

/// The log that SQLite keeps beside a file while it is written.
fn log_beside(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push("-wal");
    PathBuf::from(name)
}

/// Looks at the first bytes before SQLite does, which would make a database of an empty file.
fn check_header(path: &Path) -> Result<(), LogbookError> {
    use std::io::Read as _;
    let mut file = match std::fs::File::open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Err(LogbookError::NotThere(path.to_owned())),
        Err(error) => return Err(LogbookError::Disk { path: path.to_owned(), what: error.to_string() }),
    };
    let mut head = [0; 16];
    match file.read_exact(&mut head) {
        Ok(()) if head == *b"SQLite format 3\0" => Ok(()),
        // A power cut may have left the first page in pieces; then it stands in the log, and SQLite takes it from there.
        _ if std::fs::metadata(log_beside(path)).is_ok_and(|log| log.len() > 0) => Ok(()),
        _ => Err(LogbookError::NotALogbook(path.to_owned())),
    }
}

/// Refuses what is no logbook, and what a newer program wrote, before anything is written.
fn refuse_unknown(connection: &Connection, path: &Path) -> Result<(), LogbookError> {
    let asked = |error: rusqlite::Error| told(path, &error);
    if schema::application_id(connection).map_err(asked)? != schema::APPLICATION_ID {
        return Err(LogbookError::NotALogbook(path.to_owned()));
    }
    let version = schema::version(connection).map_err(asked)?;
    if version > VERSION {
        return Err(LogbookError::Newer { path: path.to_owned(), version, known: VERSION });
    }
    Ok(())
}

/// A commit comes back once it is flushed to the disk; some 24,000 rows in thirty years never need it faster.
fn prepare(connection: &mut Connection) -> rusqlite::Result<()> {
    connection.pragma_update(None, "journal_mode", "WAL")?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "trusted_schema", false)?;
    schema::migrate(connection, schema::MIGRATIONS.len())
}

/// What SQLite says, as this room says it.
fn told(path: &Path, error: &rusqlite::Error) -> LogbookError {
    let path = path.to_owned();
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => LogbookError::Busy(path),
        Some(ErrorCode::NotADatabase) => LogbookError::NotALogbook(path),
        Some(ErrorCode::DatabaseCorrupt) => LogbookError::Damaged { path, what: error.to_string() },
        Some(_) => LogbookError::Disk { path, what: error.to_string() },
        None => LogbookError::Damaged { path, what: error.to_string() },
    }
}

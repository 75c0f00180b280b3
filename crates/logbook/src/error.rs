//! What can go wrong with a logbook.

use crate::entry::EntryId;
use std::path::PathBuf;

/// What can go wrong with a logbook.
#[derive(Debug, thiserror::Error)]
pub enum LogbookError {
    /// A newer program wrote it.
    #[error("`{}` was written by a newer program (its form is {version}, this program knows {known}); nothing was changed in it", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// The version of its form.
        version: i64,
        /// The highest version this program knows.
        known: i64,
    },
    /// The file is something else.
    #[error("`{}` is no logbook; nothing was changed in it", .0.display())]
    NotALogbook(PathBuf),
    /// There is no such file.
    #[error("there is no logbook `{}`", .0.display())]
    NotThere(PathBuf),
    /// A log that SQLite kept lies there, and the logbook it belongs to does not.
    #[error("`{}` is there without its logbook", .0.display())]
    LogAlone(PathBuf),
    /// There is a file already.
    #[error("`{}` is there already", .0.display())]
    AlreadyThere(PathBuf),
    /// Another program holds it.
    #[error("`{}` is held by another program", .0.display())]
    Busy(PathBuf),
    /// What is in it cannot be read.
    #[error("`{}` is damaged: {what}", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What was found.
        what: String,
    },
    /// The disk refuses, or there is no room left on it.
    #[error("`{}` cannot be used: {what}", path.display())]
    Disk {
        /// The file.
        path: PathBuf,
        /// What the disk says.
        what: String,
    },
    /// Entries that are there already say something else under the same id.
    #[error("{} of the same id say{} something else in the logbook: {}", if .0.len() == 1 { "an entry" } else { "some entries" },
        if .0.len() == 1 { "s" } else { "" }, .0.iter().map(EntryId::short).collect::<Vec<_>>().join(", "))]
    Differs(Vec<EntryId>),
    /// A table cannot be read.
    #[error(transparent)]
    Table(#[from] text::csv::ReadError),
}

impl LogbookError {
    /// What to do about it.
    pub fn help(&self) -> &'static str {
        match self {
            LogbookError::Newer { .. } => "use the newer program, or export the logbook with it",
            LogbookError::NotALogbook(_) => "check the name of the file",
            LogbookError::NotThere(_) => "check the name and place of the file",
            LogbookError::LogAlone(_) => {
                "it may hold the last entries: put the logbook back beside it, or move it away to begin a new one"
            }
            LogbookError::AlreadyThere(_) => "name a file that is not there yet",
            LogbookError::Busy(_) => "wait until it is done, then try again; nothing was lost",
            LogbookError::Damaged { .. } => {
                "keep a copy of it, then go on from the last backup and import what came since"
            }
            LogbookError::Disk { .. } => "check that the disk is there and has room; what was confirmed before is kept",
            LogbookError::Differs(_) => {
                "entries are never changed, a correction is a new one: take out what was changed by other means; nothing was taken over"
            }
            LogbookError::Table(_) => "nothing was taken over; put that line right and try again",
        }
    }
}

//! The form of the file, and how one of an older form becomes one of this form.

use rusqlite::Connection;

/// What tells that an SQLite file is a logbook: `Gpwl` (`PRAGMA application_id`).
pub(crate) const APPLICATION_ID: i64 = 0x4770_776c;

/// What makes a file of each version one of the next; the first makes it of nothing. Never change one that was handed out: add
/// another.
pub(crate) const MIGRATIONS: [&str; 2] = [
    "CREATE TABLE entry (
        seq INTEGER PRIMARY KEY AUTOINCREMENT,
        id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
        device TEXT NOT NULL,
        time TEXT NOT NULL,
        plan TEXT NOT NULL,
        kind TEXT NOT NULL,
        what TEXT NOT NULL,
        setting TEXT NOT NULL,
        typed TEXT NOT NULL,
        value REAL,
        unit TEXT NOT NULL,
        range TEXT NOT NULL,
        instrument TEXT NOT NULL,
        lead_zero REAL,
        air REAL,
        who TEXT NOT NULL,
        note TEXT NOT NULL,
        supersedes TEXT
    ) STRICT;
    CREATE TRIGGER entries_stay BEFORE UPDATE ON entry
        BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
    CREATE TRIGGER entries_last BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END;",
    // What was said of a reading when it was entered: limits change with the plan, what was told then does not.
    "ALTER TABLE entry ADD COLUMN judged TEXT NOT NULL DEFAULT '';",
];

/// The version of the form that this program writes.
pub const VERSION: i64 = MIGRATIONS.len() as i64;

/// The version of the form of a file.
pub(crate) fn version(connection: &Connection) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, "user_version", |row| row.get(0))
}

pub(crate) fn application_id(connection: &Connection) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, "application_id", |row| row.get(0))
}

/// Brings a file to a version of the form, in one transaction: after whatever interrupts it, it is of the old one or of the new.
pub(crate) fn migrate(connection: &mut Connection, to: usize) -> rusqlite::Result<()> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    // Another program may have done it while this one waited.
    let from = usize::try_from(version(&transaction)?).unwrap_or(0);
    for migration in MIGRATIONS.iter().take(to).skip(from) {
        transaction.execute_batch(migration)?;
    }
    if from < to {
        transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
        transaction.pragma_update(None, "user_version", i64::try_from(to).unwrap_or(i64::MAX))?;
    }
    transaction.commit()
}

/// A new file of a version of the form, as bytes.
pub(crate) fn new_file(version: usize) -> rusqlite::Result<Vec<u8>> {
    let mut connection = Connection::open_in_memory()?;
    migrate(&mut connection, version)?;
    Ok(connection.serialize("main")?.to_vec())
}

//! Entries as rows of the database.

use crate::clock::Moment;
use crate::entry::{Draft, Entry, EntryId, EntryKind};
use rusqlite::types::Type;
use rusqlite::{Connection, OptionalExtension as _, Row, params};

const COLUMNS: &str = "id, device, time, plan, kind, what, setting, typed, value, unit, range, instrument, lead_zero, air, who, \
                       note, judged, supersedes";

/// Puts an entry in, if none of its id is there; says whether.
pub(crate) fn insert(connection: &Connection, entry: &Entry) -> rusqlite::Result<bool> {
    let says = &entry.says;
    let sql = format!(
        "INSERT INTO entry ({COLUMNS}) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14,?15,?16,?17,?18) \
         ON CONFLICT (id) DO NOTHING"
    );
    let changed = connection.prepare(&sql)?.execute(params![
        entry.id.to_string(),
        says.device,
        says.time.as_str(),
        says.plan,
        says.kind.word(),
        says.what,
        says.setting,
        says.typed,
        says.value,
        says.unit,
        says.range,
        says.instrument,
        says.lead_zero,
        says.air,
        says.who,
        says.note,
        says.judged,
        says.supersedes.map(|id| id.to_string()),
    ])?;
    Ok(changed == 1)
}

/// The entry of an id.
pub(crate) fn by_id(connection: &Connection, id: EntryId) -> rusqlite::Result<Option<Entry>> {
    let sql = format!("SELECT {COLUMNS} FROM entry WHERE id = ?1");
    connection.prepare(&sql)?.query_row([id.to_string()], |row| read(row, 0)).optional()
}

/// Entries behind a place, each with its own.
pub(crate) fn since(connection: &Connection, seq: i64) -> rusqlite::Result<Vec<(i64, Entry)>> {
    let sql = format!("SELECT seq, {COLUMNS} FROM entry WHERE seq > ?1 ORDER BY seq");
    connection.prepare(&sql)?.query_map([seq], |row| Ok((row.get(0)?, read(row, 1)?)))?.collect()
}

fn read(row: &Row<'_>, first: usize) -> rusqlite::Result<Entry> {
    let wrong = |column: usize, what: &str| {
        rusqlite::Error::FromSqlConversionFailure(first + column, Type::Text, what.to_owned().into())
    };
    let text = |column: usize| row.get::<_, String>(first + column);
    let number = |column: usize| row.get::<_, Option<f64>>(first + column);
    let id = |text: &str| EntryId::parse(text);
    let supersedes = row.get::<_, Option<String>>(first + 17)?;
    Ok(Entry {
        id: id(&text(0)?).ok_or_else(|| wrong(0, "no id of an entry"))?,
        says: Draft {
            device: text(1)?,
            time: Moment::parse(&text(2)?).ok_or_else(|| wrong(2, "no time"))?,
            plan: text(3)?,
            kind: EntryKind::from_word(&text(4)?).ok_or_else(|| wrong(4, "no kind of entry"))?,
            what: text(5)?,
            setting: text(6)?,
            typed: text(7)?,
            value: number(8)?,
            unit: text(9)?,
            range: text(10)?,
            instrument: text(11)?,
            lead_zero: number(12)?,
            air: number(13)?,
            who: text(14)?,
            note: text(15)?,
            judged: text(16)?,
            supersedes: match supersedes {
                Some(old) => Some(id(&old).ok_or_else(|| wrong(17, "no id of an entry"))?),
                None => None,
            },
        },
    })
}

//! Readings of a hunt in forms and in the logbook: the places are words, since a hunt reads between any two.

use crate::address::Fields;
use crate::hunted::{BadRow, ReadingRow, observation};
use crate::logged::Desk;
use diagnosis::{Hunt, Options, Wording};
use logbook::{Entry, EntryKind};
use maud::{Markup, html};

/// What a remark says that ends a hunt.
pub(super) const OVER: &str = "hunt over";
/// What the note of a hunt's reading begins with; then its row as `gapwright hunt --readings` takes it.
const MARK: &str = "hunt: ";

/// The row of a form; none where the form is no reading of a hunt.
pub(crate) fn row_of(fields: &Fields) -> Option<ReadingRow> {
    let said = |name: &str| fields.get(name).unwrap_or_default().trim().to_owned();
    let (from, to) = (said("from"), said("to"));
    if from.is_empty() || to.is_empty() {
        return None;
    }
    Some(ReadingRow {
        line: 0,
        from,
        to,
        setting: said("setting"),
        pulled: said("pulled"),
        kit: said("kit"),
        reading: said("typed"),
        load: [said("load-from"), said("load-to")],
    })
}

/// What a form carries of a row besides its reading.
pub(super) fn fields_of(row: &ReadingRow) -> Markup {
    let [load_from, load_to] = &row.load;
    let all = [
        ("from", &row.from),
        ("to", &row.to),
        ("setting", &row.setting),
        ("pulled", &row.pulled),
        ("kit", &row.kit),
        ("load-from", load_from),
        ("load-to", load_to),
    ];
    html! { @for (name, value) in all { @if !value.is_empty() { input type="hidden" name=(name) value=(value); } } }
}

/// Holds that a row can be used: its places are there and its reading is one.
pub(crate) fn check_row(desk: &Desk<'_, '_>, row: &ReadingRow) -> Result<(), BadRow> {
    let job = desk.job();
    let hunt = Hunt::new(&job.facts.circuit, Options::default());
    observation(&Wording::new(job), &hunt, row).map(|_| ())
}

/// The note of the entry of a row.
pub(crate) fn note_of(row: &ReadingRow) -> String {
    let [load_from, load_to] = &row.load;
    let cells = [&row.from, &row.to, &row.setting, &row.pulled, &row.kit, &row.reading, load_from, load_to];
    let line: Vec<String> = cells.iter().map(|cell| text::csv::field(cell)).collect();
    format!("{MARK}{}", line.join(","))
}

/// The row of an entry; none where it is no reading of a hunt.
pub(super) fn row_of_entry(entry: &Entry) -> Option<ReadingRow> {
    let note = entry.says.note.strip_prefix(MARK).filter(|_| entry.says.kind == EntryKind::Reading)?;
    let lines = text::csv::read(note).ok()?;
    let (_, cells) = lines.into_iter().next()?;
    let [from, to, setting, pulled, kit, reading, load_from, load_to] = <[String; 8]>::try_from(cells).ok()?;
    Some(ReadingRow { line: 0, from, to, setting, pulled, kit, reading, load: [load_from, load_to] })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{note_of, row_of_entry};
    use crate::hunted::ReadingRow;
    use logbook::{Draft, Entry, EntryId, EntryKind, Moment};

    #[test]
    fn a_row_comes_back_from_its_note() {
        let row = ReadingRow {
            line: 0,
            from: "a, \"b\".left @ 1 m".to_owned(),
            to: "=c".to_owned(),
            setting: "T1=diverging; T2=x".to_owned(),
            pulled: "F-1; F-2".to_owned(),
            kit: "bench".to_owned(),
            reading: "12,4".to_owned(),
            load: [String::new(), "d".to_owned()],
        };
        let now = Moment::now();
        let says = Draft { note: note_of(&row), ..Draft::new(EntryKind::Reading, now.clone()) };
        let back = row_of_entry(&Entry { id: EntryId::new(&now), says }).unwrap();
        assert_eq!(format!("{back:?}"), format!("{row:?}"));
    }
}

//! The tables of a binder as JSON, for programs of the builder's own.

use crate::binder::Binder;
use schedule::paper::{Cell, Paper, Table, TableRow};
use serde::Serialize;
use serde::ser::{SerializeMap as _, Serializer};

/// What stands around the tables.
#[derive(Serialize)]
struct Whole<'b> {
    layout: &'b str,
    revision: &'b str,
    faults: &'b [String],
    tables: Vec<One<'b>>,
}

/// A table and the paper it stands on.
struct One<'b>(&'b Paper, &'b Table);

#[derive(Serialize)]
struct JsonColumn<'b> {
    title: &'b str,
    unit: Option<&'b str>,
}

struct JsonRow<'b>(&'b Table, &'b TableRow);

struct JsonCell<'b>(&'b Cell);

/// The tables of all papers: what the plan is, then for each table its paper, its columns with their units, and its rows. Numbers
/// are numbers in the unit of their column; what is empty or to be ticked is null.
///
/// # Errors
/// None is known: everything has a form in JSON.
pub fn tables(binder: &Binder) -> Result<Vec<u8>, serde_json::Error> {
    let tables = binder.papers.iter().flat_map(|paper| paper.tables().map(move |table| One(paper, table)));
    let whole =
        Whole { layout: &binder.layout, revision: &binder.revision, faults: &binder.faults, tables: tables.collect() };
    let mut out = serde_json::to_vec(&whole)?;
    out.push(b'\n');
    Ok(out)
}

impl Serialize for One<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let One(paper, table) = self;
        let columns = table.columns.iter().map(|c| JsonColumn { title: &c.title, unit: c.unit.as_deref() });
        let mut map = to.serialize_map(None)?;
        map.serialize_entry("paper", &*paper.name)?;
        map.serialize_entry("table", &*table.name)?;
        map.serialize_entry("columns", &columns.collect::<Vec<_>>())?;
        map.serialize_entry("rows", &table.rows.iter().map(|row| JsonRow(table, row)).collect::<Vec<_>>())?;
        map.end()
    }
}

impl Serialize for JsonRow<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let JsonRow(table, row) = self;
        let mut map = to.serialize_map(None)?;
        if let Some(group) = &row.group {
            map.serialize_entry("group", group)?;
        }
        for (column, cell) in table.columns.iter().zip(&row.cells) {
            map.serialize_entry(&*column.title, &JsonCell(cell))?;
        }
        map.end()
    }
}

impl Serialize for JsonCell<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self.0 {
            Cell::Number { value, .. } => to.serialize_f64(*value),
            other if other.shown().is_empty() => to.serialize_none(),
            other => to.serialize_str(other.shown()),
        }
    }
}

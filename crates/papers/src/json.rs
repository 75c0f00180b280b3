//! The tables of a binder as JSON, for programs of the builder's own.

use crate::binder::Binder;
use schedule::paper::{Block, Cell, Column, Row, Table};
use serde_json::{Map, Value, json};

/// The tables of all papers: what the plan is, then for each table its paper, its columns with their units, and its rows. Numbers
/// are numbers in the unit of their column; what is empty or to be ticked is null.
pub fn tables(binder: &Binder) -> String {
    let of_paper = |paper: &schedule::paper::Paper| -> Vec<Value> {
        let blocks = paper.blocks.iter();
        let tables = blocks.filter_map(|block| if let Block::Table(table) = block { Some(table) } else { None });
        tables.map(|table| of_table(&paper.name, table)).collect()
    };
    let tables: Vec<Value> = binder.papers.iter().flat_map(of_paper).collect();
    let whole =
        json!({ "layout": binder.layout, "revision": binder.revision, "faults": binder.faults, "tables": tables });
    format!("{whole}\n")
}

fn of_table(paper: &str, table: &Table) -> Value {
    let column = |c: &Column| json!({ "title": c.title, "unit": c.unit });
    json!({
        "paper": paper,
        "table": table.name,
        "columns": table.columns.iter().map(column).collect::<Vec<_>>(),
        "rows": table.rows.iter().map(|row| of_row(table, row)).collect::<Vec<_>>(),
    })
}

fn of_row(table: &Table, row: &Row) -> Value {
    let group = row.group.iter().map(|group| ("group".to_owned(), Value::from(group.as_str())));
    let cells = table.columns.iter().zip(&row.cells).map(|(c, cell)| (c.title.to_string(), of_cell(cell)));
    Value::Object(group.chain(cells).collect::<Map<_, _>>())
}

fn of_cell(cell: &Cell) -> Value {
    match cell {
        Cell::Number { value, .. } => Value::from(*value),
        other if other.shown().is_empty() => Value::Null,
        other => Value::from(other.shown()),
    }
}

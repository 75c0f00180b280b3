//! STAND-IN, to be deleted when `schedule::papers` gives the wire list: the wires of the circuit with both ends, and nothing else.

use circuit::EdgeKind;
use schedule::Job;
use schedule::paper::{Block, Cell, Column, Paper, Set, Table};

/// The wires of the circuit.
pub fn wires(job: &Job<'_>) -> Paper {
    let columns = vec![
        Column::short("wire"),
        Column::words("what it is"),
        Column::words("from"),
        Column::words("to"),
        Column { title: "done".into(), unit: None, set: Set::Box },
    ];
    let mut table = Table::new("wire-list", columns);
    let circuit = &job.facts.circuit;
    for (id, edge) in circuit.edges.iter().enumerate() {
        let wanted = matches!(edge.kind, EdgeKind::Feeder | EdgeKind::Wire);
        let Some(number) = job.numbers.of_edge(id as u32).filter(|_| wanted) else { continue };
        let end = |node: u32| Cell::words(circuit.nodes[node as usize].name.clone());
        let cells =
            vec![Cell::words(number.to_string()), Cell::words(edge.name.clone()), end(edge.a), end(edge.b), Cell::Box];
        table.push(None, cells);
    }
    Paper { name: "wire-list".into(), title: "Wire list".to_owned(), blocks: vec![Block::Table(table)] }
}

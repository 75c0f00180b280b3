//! Label sheets: both ends of every wire, strips, panels.

use super::{Sheets, paper, printed, strips};
use crate::paper::{Block, Label, Paper};

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let own = sheets.printed.wires.iter().filter(|wire| wire.size.is_some());
    let printed_both: Vec<Label> = own
        .flat_map(|wire| {
            let says = |end: usize| printed::wires::label(sheets, wire, end);
            [0, 1].map(|end| Label { number: wire.number.to_string(), says: says(end) })
        })
        .collect();
    let labels = |end: usize| {
        // A bond inside trackwork bears no label.
        let wires = sheets.wires.iter().filter(|wire| wire.size.is_some());
        wires.map(move |wire| Label { number: wire.number.to_string(), says: wire.label(end) })
    };
    let mut both = Vec::new();
    for (one, other) in labels(0).zip(labels(1)) {
        both.extend([one, other]);
    }
    let panels = sheets.job.facts.plan.panel.iter().map(|panel| Label {
        number: panel.name.value.clone(),
        says: panel.controls.iter().map(|c| c.value.as_str()).collect::<Vec<_>>().join(", "),
    });
    let mut blocks = vec![
        Block::Text(
            "Two labels for each wire: the number, and where the other end is. Put one on before the wire is cut."
                .to_owned(),
        ),
        Block::Heading("Wires".to_owned()),
        Block::Labels(both),
    ];
    let strips: Vec<Label> = strips::labels(sheets).into_iter().chain(panels).collect();
    if !strips.is_empty() {
        blocks.push(Block::Heading("Strips and panels".to_owned()));
        blocks.push(Block::Labels(strips));
    }
    let printed = blocks.iter().map(|block| match block {
        Block::Labels(labels) if labels.len() == printed_both.len() => Block::Labels(printed_both.clone()),
        other => other.clone(),
    });
    let printed = printed.collect();
    paper("labels", "Labels", blocks).with_print(printed)
}

//! What a wheel meets that bridges two pieces of rail, such as both sides of a gap.

use crate::loops::bend;
use crate::{Failed, Feed, Grid, Level};
use circuit::{Circuit, NodeId};

/// The loop between two nodes on opposite poles of one source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Across {
    /// The source.
    pub source: usize,
    /// Its resistance, without that of the wheel, ohms.
    pub ohms: f64,
    /// Its inductance, henries.
    pub henries: f64,
}

/// The loop that a bridge between two nodes closes, in a setting, at a level; none where they are not on opposite poles of one source.
///
/// # Errors
/// [`Failed::Resistance`].
pub fn across(
    circuit: &Circuit,
    setting: &[Option<u8>],
    level: Level,
    nodes: [NodeId; 2],
) -> Result<Option<Across>, Failed> {
    let mut grid = Grid::new(circuit, setting, level)?;
    let Feed::Powered { source } = grid.feed_between(nodes[0], nodes[1]) else { return Ok(None) };
    let loop_ohms = |grid: &Grid<'_>| {
        let resistances = grid.resistances();
        nodes.map(|node| resistances.to_source(node, source)).into_iter().sum::<Option<f64>>()
    };
    let Some(ohms) = loop_ohms(&grid) else { return Ok(None) };
    let henries = match bend(circuit, level).filter(|_| circuit.sources[source].square_wave) {
        Some(seconds) => {
            grid.set_bent(setting, level, seconds)?;
            loop_ohms(&grid).map_or(0.0, |bent| (ohms - bent) / seconds).max(0.0)
        }
        None => 0.0,
    };
    Ok(Some(Across { source, ohms, henries }))
}

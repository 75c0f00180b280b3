//! Writing a dump of one signal.

use super::Timescale;
use crate::timing::Picos;
use std::io::{self, Write};

/// Writes the edges of a signal that is low before the first of them. Times are rounded down to the timescale. A dump begins
/// at 0, so that an edge there is none: begin later. It ends a step behind the last edge, or readers would not see that.
///
/// # Errors
/// Where the writer fails.
pub fn write(
    out: &mut impl Write,
    name: &str,
    timescale: Timescale,
    edges: impl Iterator<Item = Picos>,
) -> io::Result<()> {
    let name: String = name.chars().map(|c| if c.is_whitespace() || c == '.' { '_' } else { c }).collect();
    writeln!(out, "$comment the track signal; each change of level begins a half-bit $end")?;
    writeln!(out, "$timescale {timescale} $end")?;
    writeln!(out, "$scope module layout $end\n$var wire 1 ! {name} $end\n$upscope $end\n$enddefinitions $end")?;
    writeln!(out, "#0\n$dumpvars\n0!\n$end")?;
    let (mut high, mut last) = (false, 0);
    for edge in edges {
        high = !high;
        last = timescale.ticks(edge);
        writeln!(out, "#{last}\n{}!", u8::from(high))?;
    }
    writeln!(out, "#{}", last.saturating_add(1))
}

//! Findings in one line each.

use std::fmt::Write;

use crate::model::Finding;
use crate::place::Lines;
use text::escape_control_chars;

/// Tells each finding in one line, `path:line:column: error: message (name)`, in the order of [`crate::sort`]. A
/// finding without a place has no line and column.
pub fn render_concise(findings: &[Finding], source: &str, path: &str) -> String {
    let lines = Lines::new(source);
    let path = escape_control_chars(path);
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted.sort_by(|left, right| left.order().cmp(&right.order()));
    let mut out = String::new();
    for finding in sorted {
        out.push_str(&path);
        if let Some(place) = finding.place() {
            let (line, column) = lines.line_column(place.span.start);
            let _ = write!(out, ":{line}:{column}");
        }
        let _ = writeln!(
            out,
            ": {}: {} ({})",
            finding.severity.word(),
            escape_control_chars(&finding.message),
            finding.name
        );
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Harm, Place};

    #[test]
    fn one_line_each_in_order() {
        let source = "[layout]\nname = \"Thistle\u{1b}[31m Dock\"\n";
        let findings = [
            Finding::note("defaults-used", Harm::GoodToKnow, "3 values come from the handbook"),
            Finding::error("short-circuit", Harm::CanBurn, "`yard\n\u{1b}[31mA` meets `yard B`")
                .at(Place::new(16..23), "here"),
        ];
        assert_eq!(
            render_concise(&findings, source, "thistle.toml"),
            "thistle.toml:2:8: error: `yard ␛[31mA` meets `yard B` (short-circuit)\n\
             thistle.toml: note: 3 values come from the handbook (defaults-used)\n"
        );
        assert_eq!(render_concise(&[], source, "thistle.toml"), "");
    }
}

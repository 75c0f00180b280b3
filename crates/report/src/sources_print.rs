//! Where numbers come from, for people.

use analysis::Analysis;
use analysis::sources::{SourceTopic, ValueSource, said_by};
use text::{escape_control_chars, paragraph};

/// The values on these topics, each with who says it, in lines of at most `width` columns where words allow it; `text` is that of the plan.
pub fn render(facts: &Analysis<'_>, text: &str, topics: &[SourceTopic], width: usize) -> String {
    let lines = finding::Lines::new(text);
    let line = |span: &std::ops::Range<usize>| lines.line_at(facts.names.expansion.origin(span).start);
    let mut out = "\nwhere these numbers come from\n".to_owned();
    let mut topic = None;
    for ValueSource { topic: own, name, value, origin } in facts.sources(topics) {
        if topic != Some(own) {
            out.push_str(&format!("\n{}\n", own.title()));
            topic = Some(own);
        }
        out.push_str(&paragraph("  ", &escape_control_chars(&format!("{name}: {value}")), width));
        out.push_str(&paragraph("      ", &escape_control_chars(&said_by(&origin, line)), width));
    }
    out
}

//! Findings told in full, at a terminal.

use std::fmt::Write;

use annotate_snippets::renderer::{AnsiColor, Effects, Renderer, Style as Paint};
use annotate_snippets::{Element, Group, Level};

use crate::model::{Finding, FindingWitness, Harm, Severity};
use crate::patch::{PatchRow, rows_of};
use crate::place::Lines;
use crate::source::SourceView;
use crate::words::digits;
use text::wrap::{fill, wrap};
use text::{escape_control_chars, width};

/// How findings are reported in full.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// With the escape sequences for colour and weight.
    pub color: bool,
    /// Columns of the terminal; fewer than 40 are taken as 40, more than 120 as 120.
    pub width: usize,
    /// How many findings are reported before the rest is only counted.
    pub most: usize,
    /// Whether the lines of the plan are shown with each.
    pub source: bool,
}

impl Default for Style {
    fn default() -> Style {
        Style { color: false, width: 80, most: 30, source: true }
    }
}

/// The columns of the words in front of what is said of a finding.
const LABEL: usize = 9;

/// What the drawing library puts where it folds lines.
const FOLDED: &str = "...";

/// Most named pieces of a path that are reported, and most controls of a setting.
const MOST_PIECES: usize = 40;

/// Tells findings in full: each with its message, the setting and the path that show it, its reasons, what to do and, last, its
/// lines in the plan with the words underlined. They are sorted by harm, with a heading over each harm there is, and counted
/// in the last line.
///
/// `path` is how the plan is called in front of line and column.
pub fn render_full(findings: &[Finding], source: &str, path: &str, style: Style) -> String {
    let lines = Lines::new(source);
    let writer = Writer::new(&lines, escape_control_chars(path), style);
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted.sort_by(|left, right| left.order().cmp(&right.order()));

    let mut out = String::new();
    let mut heading = None;
    for finding in sorted.iter().take(style.most) {
        if heading != Some(finding.harm) {
            writer.heading(&mut out, finding.harm);
            heading = Some(finding.harm);
        }
        writer.finding(&mut out, finding);
        out.push('\n');
    }
    if let Some(left) = sorted.get(style.most..).filter(|left| !left.is_empty()) {
        let are = if left.len() == 1 { "is" } else { "are" };
        let shown = format!("{} more {are} not shown: {}", left.len(), in_words(left.iter().copied()));
        writer.lines(&mut out, &wrap(&format!("{shown}; `--most {}` shows them all", sorted.len()), writer.width));
    }
    let counted = wrap(&format!("{}: {}", writer.path, counts(findings)), writer.width);
    for line in counted {
        let _ = writeln!(out, "{}", writer.paint(BOLD, &line));
    }
    out
}

/// Edits shown as lines that go and lines that come, each with its number: of the plan as it is, or as it will be.
pub fn render_edits(source: &str, edits: &[crate::Edit], width: usize) -> String {
    let lines = Lines::new(source);
    let gutter = digits(lines.count());
    let mut out = String::new();
    for row in rows_of(edits, &lines, width) {
        let number = |n: Option<usize>| n.map_or(String::new(), |n| n.to_string());
        let _ = match row {
            PatchRow::Out(n, text) => writeln!(out, "{:>gutter$} - {text}", number(n)),
            PatchRow::In(n, text) => writeln!(out, "{:>gutter$} + {text}", number(n)),
            PatchRow::Skip(text) => writeln!(out, "{:>gutter$} … {text}", ""),
        };
    }
    out
}

/// How many findings there are of each severity, in words: `2 errors, 1 note`.
pub fn counts(findings: &[Finding]) -> String {
    in_words(findings.iter())
}

fn in_words<'f>(findings: impl Iterator<Item = &'f Finding> + Clone) -> String {
    let parts: Vec<String> = [Severity::Error, Severity::Warning, Severity::Note]
        .into_iter()
        .filter_map(|severity| match findings.clone().filter(|finding| finding.severity == severity).count() {
            0 => None,
            1 => Some(format!("1 {}", said(severity))),
            many => Some(format!("{many} {}s", said(severity))),
        })
        .collect();
    if parts.is_empty() { "no findings".into() } else { parts.join(", ") }
}

/// What a builder calls it.
fn said(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "fault",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

const BOLD: Paint = Paint::new().effects(Effects::BOLD);
const DIM: Paint = Paint::new().effects(Effects::DIMMED);
const ERROR: Paint = AnsiColor::Red.on_default().effects(Effects::BOLD);
const WARNING: Paint = AnsiColor::Yellow.on_default().effects(Effects::BOLD);
const NOTE: Paint = AnsiColor::BrightBlue.on_default().effects(Effects::BOLD);
const MEND: Paint = AnsiColor::Cyan.on_default().effects(Effects::BOLD);
const ALSO: Paint = AnsiColor::BrightBlue.on_default();
const GUTTER: Paint = DIM;
const OUT: Paint = AnsiColor::Red.on_default();
const IN: Paint = AnsiColor::Green.on_default();

fn paint_of(severity: Severity) -> Paint {
    match severity {
        Severity::Error => ERROR,
        Severity::Warning => WARNING,
        Severity::Note => NOTE,
    }
}

struct Writer<'l> {
    lines: &'l Lines<'l>,
    path: String,
    width: usize,
    color: bool,
    source: bool,
    renderer: Renderer,
}

impl<'l> Writer<'l> {
    fn new(lines: &'l Lines<'l>, path: String, style: Style) -> Writer<'l> {
        // Lines are cut and labels broken before they are handed over, so the library is told of room enough.
        let renderer = Renderer::plain().term_width(10_000);
        let renderer = if style.color {
            renderer.error(ERROR).warning(WARNING).note(NOTE).help(MEND).emphasis(BOLD).context(ALSO).line_num(GUTTER)
        } else {
            renderer
        };
        Writer { lines, path, width: style.width.clamp(40, 120), color: style.color, source: style.source, renderer }
    }

    fn paint(&self, paint: Paint, text: &str) -> String {
        if self.color && !text.is_empty() { format!("{paint}{text}{paint:#}") } else { text.to_owned() }
    }

    fn lines(&self, out: &mut String, lines: &[String]) {
        for line in lines {
            out.push_str(line);
            out.push('\n');
        }
    }

    fn heading(&self, out: &mut String, harm: Harm) {
        let words = harm.heading();
        let rule = "─".repeat(self.width.min(80).saturating_sub(width(words) + 4));
        let _ = writeln!(out, "{} {} {}\n", self.paint(DIM, "──"), self.paint(BOLD, words), self.paint(DIM, &rule));
    }

    fn finding(&self, out: &mut String, finding: &Finding) {
        let rows =
            finding.proposal.as_ref().map_or(Vec::new(), |proposal| rows_of(&proposal.edits, self.lines, self.width));
        let highest = rows.iter().filter_map(PatchRow::number).max().unwrap_or(0);
        let view = SourceView::new(finding, self.lines, self.width, digits(highest));
        let drawn_gutter = view.as_ref().map_or(0, SourceView::digits);
        let gutter = drawn_gutter.max(digits(highest)).max(2);
        self.title(out, finding);
        if let Some(witness) = &finding.witness {
            self.witness(out, witness);
        }
        for (number, fact) in finding.facts.iter().enumerate() {
            self.row(out, if number == 0 { "why" } else { "" }, wrap(fact, self.room()));
        }
        if let Some(help) = &finding.help {
            self.row(out, "do", wrap(help, self.room()));
        }
        if let Some(proposal) = &finding.proposal {
            self.row(out, "fix", wrap(&proposal.says, self.room()));
        }
        self.row(out, "plan", vec![self.origin(finding)]);
        if !self.source {
            return;
        }
        for (name, words) in view.iter().flat_map(|view| &view.apart) {
            self.row(out, "", wrap(&format!("{name}: {words}"), self.room()));
        }
        if let Some(view) = &view {
            let level = match finding.severity {
                Severity::Error => Level::ERROR,
                Severity::Warning => Level::WARNING,
                Severity::Note => Level::NOTE,
            };
            let group = Group::with_level(level).elements([Element::from(view.snippet())]);
            let drawn = self.renderer.render(&[group]);
            // The library's gutter is as wide as its own line numbers; the patch below may have longer ones.
            let indent = " ".repeat(gutter - drawn_gutter);
            let folded = self.paint(GUTTER, FOLDED);
            for line in drawn.lines() {
                let line = line.trim_end();
                // The mark of folded lines stands at the very left.
                let indent = if line == folded { "" } else { &indent };
                let _ = writeln!(out, "{indent}{line}");
            }
        }
        self.patch(out, &rows, gutter);
    }

    /// `FAULT    the fact`, broken below itself.
    fn title(&self, out: &mut String, finding: &Finding) {
        let word = match finding.severity {
            Severity::Error => "FAULT",
            Severity::Warning => "WARNING",
            Severity::Note => "NOTE",
        };
        for (index, line) in wrap(&finding.message, self.room()).iter().enumerate() {
            let word = if index == 0 { word } else { "" };
            let label = self.paint(paint_of(finding.severity), &format!("{word:<LABEL$}"));
            let _ = writeln!(out, "{}{}", label, self.paint(BOLD, line));
        }
    }

    /// Something said of a finding, behind a word for what it is.
    fn row(&self, out: &mut String, label: &str, lines: Vec<String>) {
        for (index, line) in lines.iter().enumerate() {
            let label = if index == 0 { label } else { "" };
            let shown = format!("{}{line}", self.paint(DIM, &format!("{label:<LABEL$}")));
            let _ = writeln!(out, "{}", shown.trim_end());
        }
    }

    /// `plan.toml:16:17, dead-rail`.
    fn origin(&self, finding: &Finding) -> String {
        let place = finding.place().map_or_else(String::new, |place| {
            let (line, column) = self.lines.line_column(place.span.start);
            format!(":{line}:{column}")
        });
        format!("{}{place}, {}", self.path, finding.name)
    }

    fn witness(&self, out: &mut String, witness: &FindingWitness) {
        if !witness.setting.is_empty() {
            let shown = witness.setting.iter().map(|(control, position)| {
                format!("{} = {}", escape_control_chars(control), escape_control_chars(position))
            });
            let mut units: Vec<String> = shown.take(MOST_PIECES).collect();
            let more = witness.setting.len() - units.len();
            if more > 0 {
                units.push(format!("and {more} more"));
            }
            let last = units.len() - 1;
            units[..last].iter_mut().for_each(|unit| unit.push(','));
            self.row(out, "when", fill(&units, self.room()));
        }
        if !witness.path.is_empty() {
            let mut pieces: Vec<String> = witness.path.iter().map(|piece| escape_control_chars(piece)).collect();
            if pieces.len() > MOST_PIECES {
                let half = MOST_PIECES / 2;
                let left_out = format!("({} more)", pieces.len() - 2 * half);
                pieces.splice(half..pieces.len() - half, [left_out]);
            }
            pieces.iter_mut().skip(1).for_each(|piece| piece.insert_str(0, "→ "));
            self.row(out, "current", fill(&pieces, self.room()));
        }
    }

    /// The columns there are for words behind a label.
    fn room(&self) -> usize {
        self.width - LABEL
    }

    /// The lines the proposal takes away and puts there, hung on the same gutter.
    fn patch(&self, out: &mut String, rows: &[PatchRow], gutter: usize) {
        if rows.is_empty() {
            return;
        }
        let bar = format!("{} {}\n", " ".repeat(gutter), self.paint(GUTTER, "|"));
        out.push_str(&bar);
        for row in rows {
            let number = row.number().map_or(String::new(), |number| number.to_string());
            let number = self.paint(GUTTER, &format!("{number:>gutter$}"));
            let line = match row {
                PatchRow::Out(first, text) => {
                    let sign = if first.is_some() { "-" } else { ":" };
                    format!("{number} {}", self.paint(OUT, format!("{sign} {text}").trim_end()))
                }
                PatchRow::In(first, text) => {
                    let sign = if first.is_some() { "+" } else { ":" };
                    format!("{number} {}", self.paint(IN, format!("{sign} {text}").trim_end()))
                }
                PatchRow::Skip(words) if words.is_empty() => self.paint(GUTTER, FOLDED),
                PatchRow::Skip(words) => self.paint(GUTTER, &format!("{FOLDED} {words}")),
            };
            out.push_str(&line);
            out.push('\n');
        }
        out.push_str(&bar);
    }
}

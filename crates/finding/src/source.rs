//! The part of the plan that shows a finding: the lines near its places, with the words underlined.

use std::collections::BTreeMap;
use std::ops::Range;

use annotate_snippets::{Annotation, AnnotationKind, Snippet};

use crate::cut::cut;
use crate::model::{Finding, FindingLabel};
use crate::place::Lines;
use crate::words::digits;
use text::wrap::wrap;
use text::{escape_control_chars, width};

/// How many of the other places are drawn; the rest is only counted.
const MOST_PLACES: usize = 8;

/// Other places further away than this many lines are named and not drawn. The drawing library is handed every line
/// between the first and the last, so this is also what keeps a finding's cost apart from the length of the plan.
const FARTHEST: usize = 1000;

/// Fewest columns worth breaking words into below an underline.
const NARROWEST: usize = 20;

/// What is drawn of the plan for one finding.
pub(crate) struct SourceView {
    /// The lines from the first place to the last, those without a place left empty.
    text: String,
    first_line: usize,
    last_line: usize,
    underlines: Vec<Underline>,
    /// What did not fit beside the lines: where, and the words.
    pub(crate) apart: Vec<(String, String)>,
}

struct Underline {
    range: Range<usize>,
    words: Option<String>,
    at_fault: bool,
}

struct LineMark<'f> {
    label: &'f FindingLabel,
    range: Range<usize>,
    line: usize,
    at_fault: bool,
}

impl SourceView {
    /// Chooses and cuts the lines; none if the finding has no place. `width` is that of the whole view, with a gutter for
    /// line numbers of at least so many digits.
    pub(crate) fn new(finding: &Finding, lines: &Lines, width: usize, least_digits: usize) -> Option<SourceView> {
        let labels =
            finding.at.iter().map(|label| (label, true)).chain(finding.also.iter().map(|label| (label, false)));
        let mut marks: Vec<LineMark> = labels
            .take(MOST_PLACES + 1)
            .map(|(label, at_fault)| {
                let range = label.place.clamped(lines.source());
                LineMark { label, line: lines.line_at(range.start), range, at_fault }
            })
            .collect();
        let left_out = usize::from(finding.at.is_some()) + finding.also.len() - marks.len();
        let anchor = marks.first()?.line;
        let far = marks.extract_if(.., |mark| mark.line.abs_diff(anchor) > FARTHEST).collect::<Vec<_>>();

        let mut by_line: BTreeMap<usize, Vec<LineMark>> = BTreeMap::new();
        for mark in marks {
            by_line.entry(mark.line).or_default().push(mark);
        }
        let (first_line, last_line) = (*by_line.first_key_value()?.0, *by_line.last_key_value()?.0);
        let room = width.saturating_sub(digits(last_line).max(least_digits).max(2) + 3);
        let mut view =
            SourceView { text: String::new(), first_line, last_line, underlines: Vec::new(), apart: Vec::new() };
        for line in first_line..=last_line {
            if let Some(marks) = by_line.get_mut(&line) {
                view.draw(lines, line, marks, room);
            } else if by_line.contains_key(&(line + 1)) && by_line.contains_key(&(line - 1)) {
                // A single line between two is shown; longer stretches are folded and need no text.
                view.text.push_str(&cut(lines.text(line), &[], room).text);
            }
            view.text.push('\n');
        }
        for mark in far {
            let words = escape_control_chars(&mark.label.words);
            view.apart
                .push((format!("line {}", mark.line), if words.is_empty() { "this place too".into() } else { words }));
        }
        if left_out > 0 {
            let places = if left_out == 1 { "place" } else { "places" };
            view.apart.push(("also".into(), format!("{left_out} more {places} in the plan")));
        }
        Some(view)
    }

    /// Columns of the gutter's line numbers.
    pub(crate) fn digits(&self) -> usize {
        digits(self.last_line)
    }

    /// What the drawing library is handed.
    pub(crate) fn snippet(&self) -> Snippet<'_, Annotation<'_>> {
        let annotations = self.underlines.iter().map(|underline| {
            let kind = if underline.at_fault { AnnotationKind::Primary } else { AnnotationKind::Context };
            kind.span(underline.range.clone()).label(underline.words.as_deref())
        });
        Snippet::source(self.text.as_str()).line_start(self.first_line).annotations(annotations)
    }

    fn draw(&mut self, lines: &Lines, line: usize, marks: &mut [LineMark], room: usize) {
        marks.sort_by_key(|mark| (mark.range.start, mark.range.end));
        let within = lines.range(line);
        let text = &lines.source()[within.clone()];
        // Of a place on several lines the first is underlined, and its words say how far it goes.
        let keep: Vec<Range<usize>> = marks
            .iter()
            .map(|mark| {
                let start = mark.range.start.clamp(within.start, within.end);
                let end = mark.range.end.clamp(start, within.end);
                let words = lines.source()[start..end].trim_end();
                start - within.start..start + words.len() - within.start
            })
            .collect();
        let shown = cut(text, &keep, room);
        let offset = self.text.len();
        self.text.push_str(&shown.text);
        if shown.text.is_empty() {
            // The drawing library has no last line if there is nothing on it to underline.
            self.text.push(' ');
        }
        let last_start = shown.ranges.iter().map(|range| range.start).max().unwrap_or(0);
        for (mark, range) in marks.iter().zip(&shown.ranges) {
            let column = width(&shown.text[..range.start]);
            let beside = width(&shown.text[range.clone()]).max(1) + 1;
            let words = self.words_of(mark, lines);
            let underline =
                |words| Underline { range: range.start + offset..range.end + offset, words, at_fault: mark.at_fault };
            let taken = if range.start == last_start { column + beside } else { column };
            if words.is_empty() {
                self.underlines.push(underline(None));
            } else if taken + width(&words) <= room {
                self.underlines.push(underline(Some(words)));
            } else if column + NARROWEST <= room {
                // Several labels for the same bytes are drawn below each other: a label of several lines.
                self.underlines.extend(wrap(&words, room - column).into_iter().map(|row| underline(Some(row))));
            } else {
                self.underlines.push(underline(None));
                let name = if mark.at_fault { "here".to_owned() } else { format!("line {line}") };
                self.apart.push((name, words));
            }
        }
    }

    /// A mark's words, and how far it goes if that is further than its line.
    fn words_of(&self, mark: &LineMark, lines: &Lines) -> String {
        let words = escape_control_chars(&mark.label.words);
        let covered = lines.source()[mark.range.clone()].trim_end();
        let last = lines.line_at(mark.range.start + covered.len().saturating_sub(1));
        match (last > mark.line, words.is_empty()) {
            (false, _) => words,
            (true, true) => format!("to line {last}"),
            (true, false) => format!("{words} (to line {last})"),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::{Harm, Place};

    fn finding(places: &[usize]) -> Finding {
        let finding = Finding::error("short-circuit", Harm::CanBurn, "A meets B");
        let finding = finding.at(Place::new(places[0]..places[0] + 1), "here");
        places[1..].iter().fold(finding, |finding, &at| finding.also(Place::new(at..at + 1), "and here"))
    }

    /// The library is handed little, however long the plan or its lines: that is what a finding's cost depends on.
    #[test]
    fn what_is_drawn_does_not_grow_with_the_plan() {
        let many_lines = "a\n".repeat(1_000_000);
        let view = SourceView::new(&finding(&[40, 60, 1_900_000]), &Lines::new(&many_lines), 80, 1).unwrap();
        assert_eq!((view.first_line, view.last_line, view.text.as_str()), (21, 31, "a\n\n\n\n\n\n\n\n\n\na\n"));
        assert_eq!(view.apart, [("line 950001".to_owned(), "and here".to_owned())]);

        let long_line = "a".repeat(1_000_000);
        let view = SourceView::new(&finding(&[10, 500_000, 999_999]), &Lines::new(&long_line), 80, 1).unwrap();
        assert!(view.text.len() < 120, "{:?}", view.text);
        assert_eq!(view.text.matches('…').count(), 3, "{:?}", view.text);
    }

    #[test]
    fn only_so_many_places_are_drawn() {
        let source = "a\n".repeat(40);
        let places: Vec<usize> = (0..30).map(|line| 2 * line).collect();
        let view = SourceView::new(&finding(&places), &Lines::new(&source), 80, 1).unwrap();
        assert_eq!(view.underlines.len(), 9);
        assert_eq!(view.apart, [("also".to_owned(), "21 more places in the plan".to_owned())]);
    }

    #[test]
    fn a_line_between_two_is_shown_and_a_place_on_several_lines_says_so() {
        let source = "a\nbetween\r\nb\n\n[table]\nx = 1\n";
        let finding = finding(&[0, 11]).also(Place::new(13..source.len()), "this table");
        let view = SourceView::new(&finding, &Lines::new(source), 80, 1).unwrap();
        assert_eq!(view.text, "a\nbetween\nb\n \n");
        assert_eq!(view.underlines[2].words.as_deref(), Some("this table (to line 6)"));
    }
}

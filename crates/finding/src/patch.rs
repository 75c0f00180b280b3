//! A proposal as the lines it takes away and the lines it puts there.
//!
//! Drawn here and not by the snippet library: that one shows a line as taken away which stays, when whole lines are
//! replaced, and leaves out blank lines that are added at an end. What is shown here is what `apply` does.

use std::ops::Range;

use crate::edit::{Edit, in_order};
use crate::place::Lines;
use crate::words::digits;
use text::shown;
use text::wrap::rows;

/// Most lines shown of what one hunk takes away, and of what it adds.
const MOST_LINES: usize = 24;

/// Most rows of the terminal one line may take.
const MOST_ROWS: usize = 6;

/// Most hunks shown.
const MOST_HUNKS: usize = 12;

/// Bytes of unchanged text around a change that are looked at when a line is very long.
const AROUND: usize = 60;

/// Lines with fewer bytes than this are shown whole.
const LONG: usize = 240;

/// Most bytes of a change that are looked at: more than can be shown.
const MOST_BYTES: usize = 16 * 1024;

/// One row of the patch view.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum PatchRow {
    /// A line that goes, with its number in the plan as it is.
    Out(Option<usize>, String),
    /// A line that comes, with its number in the plan as it will be.
    In(Option<usize>, String),
    /// Something is not shown; the words say what, if it can be said.
    Skip(String),
}

/// The rows for these edits, none if they cannot be made or change nothing that can be seen. `width` is that of the
/// whole view, gutter included.
pub(crate) fn rows_of(edits: &[Edit], lines: &Lines, width: usize) -> Vec<PatchRow> {
    let Ok(edits) = in_order(lines.source(), edits) else {
        return Vec::new();
    };
    let hunks = hunks(&edits, lines);
    let room = width.saturating_sub(digits(lines.count()) + 3).max(16);
    let mut drawn: Vec<PatchRow> = Vec::new();
    let mut shift: isize = 0;
    let count = hunks.len();
    for hunk in hunks.into_iter().take(MOST_HUNKS) {
        let change = HunkChange::new(&hunk, lines);
        let rows = change.rows(shift, room);
        if !rows.is_empty() && !drawn.is_empty() {
            drawn.push(PatchRow::Skip(String::new()));
        }
        drawn.extend(rows);
        shift += change.growth;
    }
    if count > MOST_HUNKS {
        drawn.push(PatchRow::Skip(format!("{} more places", count - MOST_HUNKS)));
    }
    drawn
}

/// Edits that share lines.
struct Hunk<'e> {
    first_line: usize,
    last_line: usize,
    edits: Vec<&'e Edit>,
}

impl Hunk<'_> {
    /// Whether the hunk's last line is there before and after, because the last edit ends just before it.
    fn last_line_stays(&self, lines: &Lines) -> bool {
        let starts_line = |offset: usize| lines.range(lines.line_at(offset)).start == offset;
        self.edits.last().is_some_and(|edit| {
            let Range { start, end } = edit.place.span;
            starts_line(end) && (edit.text.ends_with('\n') || edit.text.is_empty() && starts_line(start))
        })
    }
}

fn hunks<'e>(edits: &[&'e Edit], lines: &Lines) -> Vec<Hunk<'e>> {
    let mut hunks: Vec<Hunk> = Vec::new();
    for &edit in edits {
        let Range { start, end } = edit.place.span;
        let (first_line, last_line) = (lines.line_at(start), lines.line_at(end));
        match hunks.last_mut() {
            // On a very long line, edits far apart are better shown apart.
            Some(hunk)
                if hunk.last_line >= first_line
                    && hunk.edits.last().is_some_and(|before| start - before.place.span.end <= LONG) =>
            {
                hunk.last_line = hunk.last_line.max(last_line);
                hunk.edits.push(edit);
            }
            _ => hunks.push(Hunk { first_line, last_line, edits: vec![edit] }),
        }
    }
    hunks
}

/// A hunk's lines before and after, without those that are the same at both ends.
struct HunkChange {
    first_line: usize,
    old: Vec<String>,
    new: Vec<String>,
    /// Lines that are not in the lists because there are too many.
    old_more: usize,
    new_more: usize,
    /// Lines the plan is longer by afterwards.
    growth: isize,
}

impl HunkChange {
    fn new(hunk: &Hunk, lines: &Lines) -> HunkChange {
        let source = lines.source();
        let (mut old, mut new) = (Text::default(), Text::default());
        let (mut breaks_in, mut breaks_out) = (0, 0);
        let mut kept_from = lines.range(hunk.first_line).start;
        for (index, edit) in hunk.edits.iter().enumerate() {
            let span = edit.place.span.clone();
            let kept = &source[kept_from.min(span.start)..span.start];
            let kept = if index == 0 { ending(kept) } else { kept.to_owned() };
            old.push(&kept);
            new.push(&kept);
            old.push(&source[span.clone()]);
            new.push(&edit.text);
            breaks_out += lines.line_at(span.end) - lines.line_at(span.start);
            breaks_in += edit.text.bytes().filter(|&byte| byte == b'\n').count();
            kept_from = span.end;
        }
        let kept = beginning(&source[kept_from..lines.range(hunk.last_line).end.max(kept_from)]);
        old.push(&kept);
        new.push(&kept);

        let growth = breaks_in.cast_signed() - breaks_out.cast_signed();
        let (mut old_lines, mut new_lines) = (old.lines(), new.lines());
        let (mut old_more, mut new_more) = (0, 0);
        // From the end first: of a table put in with a blank line before it, that blank line is the one to show.
        if old.whole && new.whole {
            let same = same(old_lines.iter().rev(), new_lines.iter().rev());
            old_lines.truncate(old_lines.len() - same);
            new_lines.truncate(new_lines.len() - same);
        } else {
            let stays = usize::from(hunk.last_line_stays(lines));
            new_lines.truncate(breaks_in + 1 - stays);
            old_lines.truncate(breaks_out + 1 - stays);
            old_more = breaks_out + 1 - stays - old_lines.len();
            new_more = breaks_in + 1 - stays - new_lines.len();
        }
        let same = same(old_lines.iter(), new_lines.iter());
        old_lines.drain(..same);
        new_lines.drain(..same);
        old_more += old_lines.len().saturating_sub(MOST_LINES);
        new_more += new_lines.len().saturating_sub(MOST_LINES);
        old_lines.truncate(MOST_LINES);
        new_lines.truncate(MOST_LINES);
        let first_line = hunk.first_line + same;
        HunkChange { first_line, old: old_lines, new: new_lines, old_more, new_more, growth }
    }

    fn rows(&self, shift: isize, room: usize) -> Vec<PatchRow> {
        let mut rows = Vec::new();
        let new_first = self.first_line.saturating_add_signed(shift);
        push_rows(&mut rows, &self.old, self.first_line, room, PatchRow::Out);
        skip(&mut rows, self.old_more, "taken away");
        push_rows(&mut rows, &self.new, new_first, room, PatchRow::In);
        skip(&mut rows, self.new_more, "added");
        rows
    }
}

fn push_rows(
    drawn: &mut Vec<PatchRow>,
    lines: &[String],
    first: usize,
    room: usize,
    row: fn(Option<usize>, String) -> PatchRow,
) {
    for (index, line) in lines.iter().enumerate() {
        let mut pieces = rows(line, room);
        if pieces.len() > MOST_ROWS {
            pieces.truncate(MOST_ROWS);
            if let Some(last) = pieces.last_mut() {
                last.pop();
                last.push('…');
            }
        }
        for (piece_index, piece) in pieces.into_iter().enumerate() {
            drawn.push(row((piece_index == 0).then_some(first + index), piece));
        }
    }
}

fn skip(drawn: &mut Vec<PatchRow>, more: usize, done: &str) {
    match more {
        0 => {}
        1 => drawn.push(PatchRow::Skip(format!("1 more line {done}"))),
        more => drawn.push(PatchRow::Skip(format!("{more} more lines {done}"))),
    }
}

/// How many lines are the same at the start of both.
fn same<'s>(old: impl Iterator<Item = &'s String>, new: impl Iterator<Item = &'s String>) -> usize {
    old.zip(new).take_while(|(old, new)| old == new).count()
}

/// Text that stops growing when there is more than can be shown.
struct Text {
    text: String,
    whole: bool,
}

impl Default for Text {
    fn default() -> Text {
        Text { text: String::new(), whole: true }
    }
}

impl Text {
    fn push(&mut self, more: &str) {
        if !self.whole {
            return;
        }
        let mut end = more.len().min(MOST_BYTES);
        while !more.is_char_boundary(end) {
            end -= 1;
        }
        self.text.push_str(&more[..end]);
        self.whole = end == more.len();
    }

    fn lines(&self) -> Vec<String> {
        let line = |line: &str| line.strip_suffix('\r').unwrap_or(line).chars().flat_map(visible).collect();
        self.text.split('\n').map(line).collect()
    }
}

/// What is shown for a character: four spaces for a tab.
fn visible(character: char) -> impl Iterator<Item = char> {
    let (character, times) = if character == '\t' { (' ', 4) } else { (shown(character), 1) };
    std::iter::repeat_n(character, times)
}

/// The end of an unchanged text before a change.
fn ending(text: &str) -> String {
    if text.len() <= LONG {
        return text.to_owned();
    }
    let mut start = text.len() - AROUND;
    while !text.is_char_boundary(start) {
        start += 1;
    }
    format!("…{}", &text[start..])
}

/// The beginning of an unchanged text after a change.
fn beginning(text: &str) -> String {
    if text.len() <= LONG {
        return text.to_owned();
    }
    let mut end = AROUND;
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    format!("{}…", &text[..end])
}

impl PatchRow {
    /// The line number in front of the row.
    pub(crate) fn number(&self) -> Option<usize> {
        match self {
            PatchRow::Out(number, _) | PatchRow::In(number, _) => *number,
            PatchRow::Skip(_) => None,
        }
    }
}

#[cfg(test)]
mod tests;

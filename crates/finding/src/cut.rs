//! A line of the plan cut down to what fits beside a gutter, with a map from its bytes to what is shown of them.

use std::ops::Range;

use text::shown;
use text::wrap::columns;

/// Columns a tab is shown as.
const TAB: &str = "    ";

/// Stands where something was left out.
const LEFT_OUT: char = '…';

/// What is shown of a line.
pub(crate) struct CutText {
    /// The text to show: no control characters, no tabs.
    pub(crate) text: String,
    /// For each range that was asked for, where it is in the text.
    pub(crate) ranges: Vec<Range<usize>>,
}

/// Cuts `line` so that it takes about `room` columns and shows the start of every range in `keep`, as much of the rest
/// as there is room for, and marks where something is missing. The ranges are sorted, inside the line and on character
/// boundaries. Costs what is shown, not what the line is long.
pub(crate) fn cut(line: &str, keep: &[Range<usize>], room: usize) -> CutText {
    let room = room.max(8);
    let mut text = String::new();
    let mut places: Vec<(usize, usize)> = Vec::new();
    let mut shown_to = 0;
    for window in windows(line, keep, room) {
        if window.start > shown_to {
            places.push((shown_to, text.len()));
            text.push(LEFT_OUT);
        }
        for (at, character) in line[window.clone()].char_indices() {
            places.push((window.start + at, text.len()));
            match character {
                '\t' => text.push_str(TAB),
                other => text.push(shown(other)),
            }
        }
        shown_to = window.end;
    }
    places.push((shown_to, text.len()));
    if shown_to < line.len() {
        text.push(LEFT_OUT);
        places.push((line.len(), text.len()));
    }
    let place_of = |offset: usize| {
        let next = places.partition_point(|&(at, _)| at <= offset);
        places[next.saturating_sub(1)].1
    };
    let ranges = keep.iter().map(|range| place_of(range.start)..place_of(range.end)).collect();
    CutText { text, ranges }
}

/// The parts of the line to show, in order and apart from each other.
fn windows(line: &str, keep: &[Range<usize>], room: usize) -> Vec<Range<usize>> {
    if step(line, 0, room) == line.len() {
        return std::iter::once(0..line.len()).collect();
    }
    let (Some(first), Some(last)) = (keep.first(), keep.iter().map(|range| range.end).max()) else {
        return std::iter::once(0..step(line, 0, room - 1)).collect();
    };
    // All ranges in one window if they fit; what room is left goes to both sides, and to one if the other needs none.
    let inner = room - 2;
    if step(line, first.start, inner) >= last {
        let spare = inner - line[first.start..last].chars().map(wide).sum::<usize>();
        let after = line[last..step(line, last, spare / 2)].chars().map(wide).sum::<usize>();
        let start = back(line, first.start, spare - after);
        return std::iter::once(start..step(line, start, inner)).collect();
    }
    let share = (room / keep.len()).max(12);
    let mut windows: Vec<Range<usize>> = Vec::new();
    for range in keep {
        let start = back(line, range.start, share / 4);
        let end = step(line, start, share - 1);
        match windows.last_mut() {
            Some(before) if before.end >= start => before.end = before.end.max(end),
            _ => windows.push(start..end),
        }
    }
    windows
}

/// Columns a character is shown in, and at least one, so that a line of nothing but accents is cut as well.
fn wide(character: char) -> usize {
    if character == '\t' { TAB.len() } else { columns(character).max(1) }
}

/// Where one is after at most `room` columns from `start` on.
fn step(line: &str, start: usize, room: usize) -> usize {
    let mut left = room;
    for (at, character) in line[start..].char_indices() {
        match left.checked_sub(wide(character)) {
            Some(rest) => left = rest,
            None => return start + at,
        }
    }
    line.len()
}

/// Where one is after at most `room` columns from `end` backwards.
fn back(line: &str, end: usize, room: usize) -> usize {
    let mut left = room;
    for (at, character) in line[..end].char_indices().rev() {
        match left.checked_sub(wide(character)) {
            Some(rest) => left = rest,
            None => return at + character.len_utf8(),
        }
    }
    0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use text::width;

    /// Cuts the line around the words between the brackets and puts brackets around them in what is shown.
    fn check(marked: &str, room: usize, expected: &str) {
        let (before, rest) = marked.split_once('[').expect("an opening bracket");
        let (words, after) = rest.split_once(']').expect("a closing bracket");
        let line = format!("{before}{words}{after}");
        let range = before.len()..before.len() + words.len();
        let mut shown = cut(&line, std::slice::from_ref(&range), room);
        shown.text.insert(shown.ranges[0].end, ']');
        shown.text.insert(shown.ranges[0].start, '[');
        assert_eq!(shown.text, expected);
    }

    #[test]
    fn cuts_to_the_place() {
        check("left = [\"A\"]", 40, "left = [\"A\"]");
        check("aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa[here]bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb", 20, "…aaaaaaa[here]bbbbbbb…");
        check("[here]bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb", 20, "[here]bbbbbbbbbbbbbb…");
        check("aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa[here]bb", 20, "…aaaaaaaaaaaa[here]bb");
        check("aaaaaaaaaaaaaaaaaaaa[wordswordswordswordswords]", 20, "…aaaaa[wordswordsword…]");
        check("aaaaaaaaaaaaaaaaaaaa[]bbbbbbbbbbbbbbbbbbbb", 20, "…aaaaaaaaa[]bbbbbbbbb…");
        check("\tname\u{1b}[2J[\u{202e}]".replacen('[', "(", 1).as_str(), 40, "    name␛(2J[�]");
    }

    #[test]
    fn far_ranges_get_a_window_each() {
        let line = format!("one{}two{}", "-".repeat(100), "-".repeat(100));
        let shown = cut(&line, &[0..3, 103..106], 40);
        assert_eq!(shown.text, "one----------------…-----two-----------…");
        assert_eq!(shown.ranges.iter().map(|range| &shown.text[range.clone()]).collect::<Vec<_>>(), ["one", "two"]);
    }

    proptest! {
        #[test]
        fn shown_text_fits_and_ranges_are_inside(line in "[a\tΩ線\u{301}\u{1b}]{0,80}", picks in proptest::collection::vec((0usize..80, 0usize..80), 0..3), room in 40usize..60) {
            let boundaries: Vec<usize> = line.char_indices().map(|(at, _)| at).chain([line.len()]).collect();
            let mut keep: Vec<Range<usize>> = picks.iter().map(|&(a, b)| {
                let (a, b) = (boundaries[a % boundaries.len()], boundaries[b % boundaries.len()]);
                a.min(b)..a.max(b)
            }).collect();
            keep.sort_by_key(|range| (range.start, range.end));
            let shown = cut(&line, &keep, room);
            prop_assert!(width(&shown.text) <= room + 1, "{:?}", shown.text);
            prop_assert!(!shown.text.contains(char::is_control));
            for range in &shown.ranges {
                prop_assert!(shown.text.get(range.clone()).is_some(), "{:?} in {:?}", range, shown.text);
            }
        }
    }
}

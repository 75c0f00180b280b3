//! Edits of the plan's text.

use thiserror::Error;

use crate::place::Place;

/// Some bytes of the plan replaced by a text. An empty place is an insertion, an empty text a deletion.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The bytes that go.
    pub place: Place,
    /// What comes in their stead.
    pub text: String,
}

impl Edit {
    /// The words at a place replaced by others.
    pub fn replace(place: Place, text: impl Into<String>) -> Edit {
        Edit { place, text: text.into() }
    }

    /// A text put in just before the byte at `offset`.
    pub fn insert(offset: usize, text: impl Into<String>) -> Edit {
        Edit { place: Place::point(offset), text: text.into() }
    }
}

/// Why edits cannot be made. Edits that go wrong are our fault, so these are reported to whoever fixes the program.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum EditError {
    /// A place is reversed or reaches past the end of the text.
    #[error("edit of bytes {start}..{end} reaches outside a text of {length} bytes")]
    OutOfRange {
        /// First byte.
        start: usize,
        /// Byte after the last.
        end: usize,
        /// Length of the text.
        length: usize,
    },
    /// A place begins or ends in the middle of a character.
    #[error("edit at byte {offset} would cut a character in two")]
    InsideCharacter {
        /// The byte that is not the first of a character.
        offset: usize,
    },
    /// Two edits want the same bytes, or one puts something into what the other takes out.
    #[error("edits at bytes {first} and {second} overlap")]
    Overlap {
        /// Where the earlier edit begins.
        first: usize,
        /// Where the later one begins.
        second: usize,
    },
    /// Two edits put something in at the same point, and nothing says which comes first.
    #[error("two insertions at byte {offset}, and no telling which comes first")]
    SamePoint {
        /// The point.
        offset: usize,
    },
}

/// The text with all edits made.
///
/// Edits are given in any order and the result does not depend on it. Bytes outside the edited places are kept.
///
/// # Errors
/// When a place lies outside the text or cuts a character, when edits overlap, and when two insert at one point.
pub fn apply(source: &str, edits: &[Edit]) -> Result<String, EditError> {
    let edits = in_order(source, edits)?;
    let added: usize = edits.iter().map(|edit| edit.text.len()).sum();
    let mut edited = String::with_capacity(source.len() + added);
    let mut kept_to = 0;
    for edit in edits {
        edited.push_str(&source[kept_to..edit.place.span.start]);
        edited.push_str(&edit.text);
        kept_to = edit.place.span.end;
    }
    edited.push_str(&source[kept_to..]);
    Ok(edited)
}

/// The edits from the start of the text to its end, once they are known to fit it and each other.
pub(crate) fn in_order<'e>(source: &str, edits: &'e [Edit]) -> Result<Vec<&'e Edit>, EditError> {
    for edit in edits {
        let (start, end) = (edit.place.span.start, edit.place.span.end);
        if start > end || end > source.len() {
            return Err(EditError::OutOfRange { start, end, length: source.len() });
        }
        if let Some(offset) = [start, end].into_iter().find(|&offset| !source.is_char_boundary(offset)) {
            return Err(EditError::InsideCharacter { offset });
        }
    }
    let mut sorted: Vec<&Edit> = edits.iter().collect();
    sorted.sort_by_key(|edit| (edit.place.span.start, edit.place.span.end));
    for pair in sorted.windows(2) {
        let (first, second) = (&pair[0].place.span, &pair[1].place.span);
        if first == second && first.is_empty() {
            return Err(EditError::SamePoint { offset: first.start });
        }
        if first.end > second.start {
            return Err(EditError::Overlap { first: first.start, second: second.start });
        }
    }
    Ok(sorted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check(source: &str, edits: &[Edit], expected: &str) {
        assert_eq!(apply(source, edits).as_deref(), Ok(expected));
        let backwards: Vec<Edit> = edits.iter().rev().cloned().collect();
        assert_eq!(apply(source, &backwards).as_deref(), Ok(expected), "in the other order");
    }

    #[test]
    fn replaces_inserts_and_deletes() {
        check("dock 1", &[], "dock 1");
        check("dock 1", &[Edit::replace(Place::new(5..6), "2")], "dock 2");
        check("dock 1", &[Edit::insert(0, "the "), Edit::insert(6, "0")], "the dock 10");
        check("dock 1", &[Edit::replace(Place::new(4..6), "")], "dock");
        // Neighbours touch without overlapping, and an insertion may stand on either side of a replacement.
        check("abcd", &[Edit::replace(Place::new(0..2), "X"), Edit::replace(Place::new(2..4), "Y")], "XY");
        check("abcd", &[Edit::insert(1, "<"), Edit::replace(Place::new(1..3), "-"), Edit::insert(3, ">")], "a<->d");
        check("12 Ω # red\r\n", &[Edit::replace(Place::new(0..5), "8 Ω")], "8 Ω # red\r\n");
    }

    #[test]
    fn refuses_what_does_not_fit() {
        let refuse = |edits: &[Edit]| apply("aΩb", edits).expect_err("these edits cannot be made");
        assert_eq!(refuse(&[Edit::insert(5, "x")]), EditError::OutOfRange { start: 5, end: 5, length: 4 });
        #[allow(clippy::reversed_empty_ranges)]
        let reversed = Edit::replace(Place::new(3..1), "x");
        assert_eq!(refuse(&[reversed]), EditError::OutOfRange { start: 3, end: 1, length: 4 });
        assert_eq!(refuse(&[Edit::insert(2, "x")]), EditError::InsideCharacter { offset: 2 });
        let both = [Edit::replace(Place::new(1..4), "x"), Edit::replace(Place::new(0..3), "y")];
        assert_eq!(refuse(&both), EditError::Overlap { first: 0, second: 1 });
        let inside = [Edit::replace(Place::new(0..4), "x"), Edit::insert(1, "y")];
        assert_eq!(refuse(&inside), EditError::Overlap { first: 0, second: 1 });
        let twice = [Edit::replace(Place::new(0..1), "x"), Edit::replace(Place::new(0..1), "x")];
        assert_eq!(refuse(&twice), EditError::Overlap { first: 0, second: 0 });
        assert_eq!(refuse(&[Edit::insert(1, "x"), Edit::insert(1, "x")]), EditError::SamePoint { offset: 1 });
        assert_eq!(refuse(&[Edit::insert(5, "x")]).to_string(), "edit of bytes 5..5 reaches outside a text of 4 bytes");
    }

    /// A text cut into pieces, and for every second piece what it is to become.
    fn pieces() -> impl Strategy<Value = Vec<(String, String, bool)>> {
        proptest::collection::vec(("[aΩ🚂\r\n]{0,4}", "[xÿ\n]{0,4}", any::<bool>()), 0..8)
    }

    proptest! {
        #[test]
        fn edits_change_their_places_and_nothing_else(pieces in pieces(), turn in 0usize..8) {
            let (mut source, mut expected, mut edits) = (String::new(), String::new(), Vec::new());
            let mut last_end = None;
            for (old, new, changed) in pieces {
                let start = source.len();
                source.push_str(&old);
                // An empty piece right after an edit could be a second insertion at one point.
                if changed && !(old.is_empty() && last_end == Some(start)) {
                    expected.push_str(&new);
                    edits.push(Edit::replace(Place::new(start..source.len()), new));
                    last_end = Some(source.len());
                } else {
                    expected.push_str(&old);
                }
            }
            if !edits.is_empty() {
                let by = turn % edits.len();
                edits.rotate_left(by);
            }
            prop_assert_eq!(apply(&source, &edits), Ok(expected));
        }

        #[test]
        fn edits_of_any_kind_never_panic(source in "[aΩ\n]{0,8}",
                                         edits in proptest::collection::vec((0usize..14, 0usize..14, "[xÿ]{0,2}"), 0..5)) {
            let edits: Vec<Edit> = edits.into_iter().map(|(start, end, text)| Edit::replace(Place::new(start..end), text)).collect();
            let backwards: Vec<Edit> = edits.iter().rev().cloned().collect();
            // Which fault is reported first may depend on the order; whether there is one may not.
            prop_assert_eq!(apply(&source, &edits).ok(), apply(&source, &backwards).ok());
        }
    }
}

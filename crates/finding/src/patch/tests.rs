use super::*;
use crate::edit::apply;
use crate::place::Place;
use proptest::prelude::*;

fn drawn(source: &str, edits: &[Edit], width: usize) -> String {
    let rows = rows_of(edits, &Lines::new(source), width);
    let numbered = |number: &Option<usize>| number.map_or(String::new(), |number| number.to_string());
    let row = |row: &PatchRow| match row {
        PatchRow::Out(number, text) => format!("{:>2} - {text}\n", numbered(number)),
        PatchRow::In(number, text) => format!("{:>2} + {text}\n", numbered(number)),
        PatchRow::Skip(words) => format!("...{words}\n"),
    };
    rows.iter().map(row).collect()
}

const PLAN: &str = "one = 1\ntwo = 2\nthree = 3\nfour = 4\n";

fn check(edits: &[Edit], expected: &str) {
    assert_eq!(drawn(PLAN, edits, 80), expected);
    // A plan with the other line breaks looks the same.
    let returned = PLAN.replace('\n', "\r\n");
    let moved = |at: usize| at + PLAN[..at].matches('\n').count();
    let edits: Vec<Edit> = edits
        .iter()
        .map(|edit| {
            let span = &edit.place.span;
            Edit::replace(Place::new(moved(span.start)..moved(span.end)), edit.text.replace('\n', "\r\n"))
        })
        .collect();
    assert_eq!(drawn(&returned, &edits, 80), expected);
}

#[test]
fn shows_what_goes_and_what_comes() {
    check(&[Edit::replace(Place::new(14..15), "20")], " 2 - two = 2\n 2 + two = 20\n");
    check(&[Edit::insert(16, "new = 0\n")], " 3 + new = 0\n");
    check(&[Edit::insert(15, "\nnew = 0")], " 3 + new = 0\n");
    check(&[Edit::insert(PLAN.len(), "\n[table]\nx = 1\n")], " 5 +\u{20}\n 6 + [table]\n 7 + x = 1\n");
    check(&[Edit::replace(Place::new(8..16), "")], " 2 - two = 2\n");
    check(&[Edit::replace(Place::new(8..26), "both = 5\n")], " 2 - two = 2\n 3 - three = 3\n 2 + both = 5\n");
    check(&[], "");
    check(&[Edit::replace(Place::new(14..15), "2")], "");
}

#[test]
fn numbers_of_added_lines_are_those_of_the_plan_to_be() {
    check(
        &[Edit::replace(Place::new(33..34), "5"), Edit::insert(0, "zero = 0\nhalf = 0.5\n")],
        " 1 + zero = 0\n 2 + half = 0.5\n...\n 4 - four = 4\n 6 + four = 5\n",
    );
    check(
        &[Edit::replace(Place::new(0..8), ""), Edit::replace(Place::new(33..34), "5")],
        " 1 - one = 1\n...\n 4 - four = 4\n 3 + four = 5\n",
    );
}

#[test]
fn edits_on_one_line_are_shown_together() {
    check(
        &[Edit::replace(Place::new(8..11), "2"), Edit::replace(Place::new(14..15), "two")],
        " 2 - two = 2\n 2 + 2 = two\n",
    );
}

#[test]
fn edits_that_cannot_be_made_are_not_shown() {
    let overlapping = [Edit::replace(Place::new(0..5), "x"), Edit::replace(Place::new(3..8), "y")];
    assert!(apply(PLAN, &overlapping).is_err());
    check(&overlapping, "");
    assert_eq!(drawn(PLAN, &[Edit::insert(999, "x")], 80), "");
}

#[test]
fn long_texts_are_cut_and_counted() {
    let table: String = (0..100).map(|line| format!("x{line} = 1\n")).collect();
    let shown = drawn(PLAN, &[Edit::insert(8, table)], 80);
    assert_eq!(shown.lines().count(), MOST_LINES + 1);
    assert!(shown.ends_with("25 + x23 = 1\n...76 more lines added\n"), "{shown}");

    let source = "y = 1\n".repeat(10_000);
    let shown = drawn(&source, &[Edit::replace(Place::new(0..source.len()), "")], 80);
    assert!(shown.ends_with("...9976 more lines taken away\n"), "{shown}");

    let long = "z".repeat(1_000_000);
    let shown = drawn(&long, &[Edit::insert(500_000, "HERE"), Edit::replace(Place::new(900_000..999_000), "x")], 40);
    assert!(shown.len() < 3_000, "{}", shown.len());
    assert!(shown.contains("HERE") && shown.contains('…'), "{shown}");
}

#[test]
fn what_a_terminal_would_obey_is_made_visible() {
    assert_eq!(drawn("a = \"\u{1b}[2J\"\n", &[Edit::insert(0, "\tb\u{7}\n")], 80), " 1 +     b␇\n");
}

/// Lines as they are shown: without a carriage return.
fn lines_of(text: &str) -> Vec<&str> {
    text.split('\n').collect()
}

proptest! {
    /// The lines taken away and put in are exactly what makes the edited plan of the plan.
    #[test]
    fn what_is_shown_is_what_is_done(
        source in "[ab\n]{0,30}",
        picks in proptest::collection::vec((0usize..31, 0usize..6, "[abc\n]{0,6}"), 0..4),
    ) {
        let edits: Vec<Edit> = picks
            .into_iter()
            .map(|(start, length, text)| Edit::replace(Place::new(start..start + length), text))
            .collect();
        let Ok(edited) = apply(&source, &edits) else {
            return Ok(());
        };
        let (mut old, mut new): (Vec<Option<&str>>, Vec<Option<&str>>) =
            (lines_of(&source).into_iter().map(Some).collect(), lines_of(&edited).into_iter().map(Some).collect());
        for row in rows_of(&edits, &Lines::new(&source), 200) {
            let (side, number, text) = match row {
                PatchRow::Out(number, text) => (&mut old, number, text),
                PatchRow::In(number, text) => (&mut new, number, text),
                PatchRow::Skip(words) => {
                    prop_assert_eq!(words, "");
                    continue;
                }
            };
            let index = number.expect("no row is long enough to be broken") - 1;
            prop_assert_eq!(side[index].take(), Some(text.as_str()));
        }
        let kept = |lines: Vec<Option<&str>>| lines.into_iter().flatten().map(str::to_owned).collect::<Vec<_>>();
        prop_assert_eq!(kept(old), kept(new));
    }
}

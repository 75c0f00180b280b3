//! Nothing that a file may hold makes the reader panic, hang, or call it well.

use plan::{read, read_bytes};
use proptest::prelude::*;

fn demo() -> String {
    std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../plans/thistle-dock/plan.toml"))
        .expect("the demo plan is part of the repository")
}

/// Cut at any byte, a plan is never taken for the whole one unless only blank space is missing.
#[test]
fn cut_at_any_byte() {
    let text = demo();
    let whole = text.trim_end().len();
    for cut in 0..text.len() {
        let (_, reading) = read_bytes(&text.as_bytes()[..cut]);
        let tables = reading.plan.track.len() + reading.plan.storage.len();
        // A cut between two tables leaves a smaller plan; then it must know less.
        assert!(!reading.understood() || tables < 4 || cut >= whole, "cut at {cut} passed as whole");
    }
}

#[test]
fn ten_megabytes() {
    for text in ["x".repeat(10 << 20), "[[track]]\n".repeat(1 << 20), "\"".repeat(10 << 20)] {
        let (_, reading) = read_bytes(text.as_bytes());
        assert_eq!(reading.findings.len(), 1);
        assert_eq!(reading.findings[0].name, "plan-too-large");
    }
}

/// Just under the limit, the worst kinds of text still end, and are not well.
#[test]
fn almost_too_large() {
    repeated(&["[[track]]\n", "\"", "[", "a.", "x = ["]);
}

#[test]
fn almost_too_large_otherwise() {
    repeated(&["{", "[[track]]\nname = \"a\"\n", "é", "= \n", "'''"]);
}

/// As many of each as a plan may just have.
fn repeated(parts: &[&str]) {
    let size = plan::LARGEST_PLAN - 1;
    for part in parts {
        let mut text = part.repeat(size / part.len());
        text.truncate(text.floor_char_boundary(size));
        let reading = read(&text);
        assert!(!reading.understood(), "{part:?} repeated passed");
        assert!(reading.findings.len() <= 501, "{part:?} gives {} findings", reading.findings.len());
    }
}

#[test]
fn not_text() {
    let mut bytes = demo().into_bytes();
    bytes[200] = 0xFF;
    let (_, reading) = read_bytes(&bytes);
    assert_eq!(reading.findings[0].name, "plan-not-text");
    let (_, reading) = read_bytes(&[0; 1000]);
    assert!(!reading.understood());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_text(text in "\\PC{0,400}") {
        let reading = read(&text);
        prop_assert!(!reading.understood());
    }

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let (_, reading) = read_bytes(&bytes);
        prop_assert!(!reading.understood());
    }

    /// Pieces of a real plan, cut and put together anew, with places inside the text.
    #[test]
    fn shuffled_pieces(cuts in proptest::collection::vec((0usize..3000, 0usize..80), 1..20)) {
        let text = demo();
        let mut made = text.clone();
        for (at, length) in cuts {
            let start = text.floor_char_boundary(at.min(text.len()));
            let end = text.floor_char_boundary((start + length).min(text.len()));
            let to = made.floor_char_boundary(at / 2 % (made.len() + 1));
            made.insert_str(to, &text[start..end]);
        }
        for finding in read(&made).findings {
            let place = finding.place().map_or(0..0, |p| p.span.clone());
            prop_assert!(place.start <= place.end && place.end <= made.len(), "{:?}", finding);
        }
    }
}

/// A count that nobody means costs no memory.
#[test]
fn counts_out_of_all_reason() {
    let plan = |stalls: &str, tracks: &str| {
        format!(
            "[layout]\nname = \"x\"\nscale = \"OO\"\n[[turntable]]\nname = \"TT\"\nkind = \"sector plate\"\nlength = \"1 m\"\n\
             stalls = {stalls}\ntracks = {tracks}\n[[track]]\nname = \"a\"\nfrom = \"beyond\"\nto = \"TT.stall 1\"\nlength = \"1 m\"\n"
        )
    };
    assert!(read(&plan("2", "3")).understood());
    for (stalls, tracks) in
        [("4294967295", "3"), ("2", "4294967295"), ("2", "0"), ("0", "0"), ("4294967295", "4294967295")]
    {
        let reading = read(&plan(stalls, tracks));
        assert!(
            reading.findings.iter().any(|f| f.name == "out-of-range"),
            "{stalls}, {tracks}: {:?}",
            reading.findings
        );
    }
}

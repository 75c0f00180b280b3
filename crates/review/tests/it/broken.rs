//! Whatever has become of a plan's text, a review ends, can be shown, and does not call it well.

use finding::Style;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use review::Review;

fn demo(name: &str) -> String {
    let path = format!("{}/../../plans/{name}/plan.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("the demo plan is part of the repository")
}

const DEMOS: [&str; 7] =
    ["balloon", "seven-tracks", "thistle-dock", "thistle-dock-mended", "two-districts", "two-ladders", "wye"];

/// Reviews bytes and shows what was found in all three ways; each must be whole.
fn reviewed(bytes: &[u8]) -> Review {
    let (text, review) = review::review_bytes(bytes);
    let full = finding::render_full(&review.findings, &text, "plan.toml", Style::default());
    let concise = finding::render_concise(&review.findings, &text, "plan.toml");
    let record = review::record::to_json(&review, &text, "plan.toml");
    let summary = review.summary.render(80);
    assert!(!full.is_empty() && full.ends_with('\n'), "{full:?}");
    assert_eq!(concise.lines().count(), review.findings.len());
    let parsed: serde_json::Value = serde_json::from_str(&record).expect("the record is JSON");
    assert_eq!(parsed["findings"].as_array().map(Vec::len), Some(review.findings.len()));
    assert_eq!(parsed["understood"], review.summary.understood);
    for shown in [&full, &concise, &summary] {
        let obeyed = shown.chars().find(|&c| c.is_control() && c != '\n');
        assert_eq!(obeyed, None, "{shown:?}");
    }
    for finding in &review.findings {
        if let Some(proposal) = &finding.proposal {
            finding::apply(&text, &proposal.edits).expect("a proposal can be made");
        }
    }
    // Not understood means an error that says why; numbers are numbers.
    assert!(review.summary.understood || review.has_errors(), "not understood, and nobody says why");
    for track in review.figures.iter().flat_map(|f| &f.tracks) {
        let numbers = [track.volts.low, track.volts.typical, track.volts.high, track.fault_amps.typical];
        assert!(numbers.iter().all(|n| n.is_finite()), "{track:?}");
    }
    review
}

/// How much a plan says: tracks, and questions that were asked of it.
fn extent(review: &Review) -> (usize, usize) {
    let tracks = review.summary.extent.split(' ').next().and_then(|n| n.parse().ok()).unwrap_or(0);
    (tracks, review.summary.answers.len())
}

/// Cut between two tables a plan is a smaller plan, and may be a good one; then it knows of fewer tracks or
/// has no policy to hold them to. Any other cut is reported.
fn cut_at_every_byte(name: &str) -> usize {
    let text = demo(name);
    let all = extent(&reviewed(text.as_bytes()));
    let whole = text.trim_end().len();
    let mut smaller = 0;
    for cut in 0..whole {
        let review = reviewed(&text.as_bytes()[..cut]);
        if review.has_errors() {
            continue;
        }
        let (tracks, questions) = extent(&review);
        let less = tracks < all.0 || (tracks == all.0 && questions < all.1);
        let within_a_line = !text[..cut].trim_end().ends_with(['"', ']', '}']) && !in_comment(&text[..cut]);
        assert!(less || !review.findings.is_empty(), "{name} cut at {cut} is taken for the whole");
        assert!(!within_a_line, "{name} cut at {cut}, inside a value, passes: …{:?}", &text[cut.max(30) - 30..cut]);
        smaller += 1;
    }
    assert_eq!(extent(&reviewed(&text.as_bytes()[..whole])), all);
    smaller
}

fn in_comment(text: &str) -> bool {
    text.lines().next_back().is_some_and(|line| line.contains('#'))
}

#[test]
fn thistle_dock_cut_at_every_byte() {
    // Behind the last line of `approach` before anything joins it, and so on: some cuts leave a plan.
    let smaller = cut_at_every_byte("thistle-dock");
    assert!((1..400).contains(&smaller), "{smaller} cuts leave a smaller plan");
}

#[test]
fn the_mended_plan_cut_at_every_byte() {
    let smaller = cut_at_every_byte("thistle-dock-mended");
    assert!((1..700).contains(&smaller), "{smaller} cuts leave a smaller plan");
}

/// What is done to a plan's bytes.
#[derive(Clone, Debug)]
enum Slip {
    Set(usize, u8),
    Insert(usize, u8),
    Remove(usize, usize),
    /// A piece is written again elsewhere.
    Copy(usize, usize, usize),
    /// Two lines change places.
    Swap(usize, usize),
    /// A line is gone.
    Drop(usize),
    /// A quoted value takes the place of another, so that the text stays TOML.
    Retell(usize, usize),
    /// A line takes the value of another with the same key, so that the plan may still be understood.
    Borrow(usize, usize),
    /// A digit becomes another.
    Digit(usize, u8),
}

fn slips() -> impl Strategy<Value = Vec<Slip>> {
    let at = || 0usize..10_000;
    let kept = prop_oneof![Just(b'"'), Just(b'['), Just(b'\n'), Just(b'='), Just(b'#'), Just(b'.'), any::<u8>()];
    let one = prop_oneof![
        2 => (at(), kept.clone()).prop_map(|(a, b)| Slip::Set(a, b)),
        2 => (at(), kept).prop_map(|(a, b)| Slip::Insert(a, b)),
        2 => (at(), 1usize..40).prop_map(|(a, n)| Slip::Remove(a, n)),
        1 => (at(), 1usize..200, at()).prop_map(|(a, n, b)| Slip::Copy(a, n, b)),
        2 => (at(), at()).prop_map(|(a, b)| Slip::Swap(a, b)),
        3 => at().prop_map(Slip::Drop),
        4 => (at(), at()).prop_map(|(a, b)| Slip::Retell(a, b)),
        12 => (at(), at()).prop_map(|(a, b)| Slip::Borrow(a, b)),
        6 => (at(), b'0'..=b'9').prop_map(|(a, d)| Slip::Digit(a, d)),
    ];
    proptest::collection::vec(one, 1..4)
}

/// Every quoted value, as bytes between its quotes.
fn quoted(bytes: &[u8]) -> Vec<std::ops::Range<usize>> {
    let quotes: Vec<usize> = (0..bytes.len()).filter(|&i| bytes[i] == b'"').collect();
    quotes.chunks_exact(2).map(|pair| pair[0] + 1..pair[1]).collect()
}

fn lines(bytes: &[u8]) -> Vec<Vec<u8>> {
    bytes.split_inclusive(|&b| b == b'\n').map(<[u8]>::to_vec).collect()
}

fn slipped(bytes: &mut Vec<u8>, slip: &Slip) {
    if bytes.is_empty() {
        return;
    }
    let length = bytes.len();
    match *slip {
        Slip::Set(at, byte) => bytes[at % length] = byte,
        Slip::Insert(at, byte) => bytes.insert(at % length, byte),
        Slip::Remove(at, n) => {
            let start = at % length;
            bytes.drain(start..(start + n).min(length));
        }
        Slip::Copy(at, n, to) => {
            let start = at % length;
            let piece = bytes[start..(start + n).min(length)].to_vec();
            let to = to % length;
            bytes.splice(to..to, piece);
        }
        Slip::Swap(a, b) => {
            let mut all = lines(bytes);
            let count = all.len();
            all.swap(a % count, b % count);
            *bytes = all.concat();
        }
        Slip::Drop(a) => {
            let mut all = lines(bytes);
            all.remove(a % all.len());
            *bytes = all.concat();
        }
        Slip::Retell(a, b) => {
            let all = quoted(bytes);
            if !all.is_empty() {
                let piece = bytes[all[b % all.len()].clone()].to_vec();
                bytes.splice(all[a % all.len()].clone(), piece);
            }
        }
        Slip::Borrow(a, b) => {
            let mut all = lines(bytes);
            let a = a % all.len();
            let key = |line: &[u8]| line.iter().position(|&b| b == b'=').map(|at| line[..at].trim_ascii().to_vec());
            let like: Vec<usize> = (0..all.len()).filter(|&i| key(&all[i]) == key(&all[a])).collect();
            all[a] = all[like[b % like.len()]].clone();
            *bytes = all.concat();
        }
        Slip::Digit(a, digit) => {
            let digits: Vec<usize> = (0..length).filter(|&i| bytes[i].is_ascii_digit()).collect();
            if !digits.is_empty() {
                bytes[digits[a % digits.len()]] = digit;
            }
        }
    }
}

/// Plans with slips of the pen, the same ones in every run.
#[test]
fn slips_of_the_pen() {
    slips_are_survived(300);
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn a_thousand_slips_of_the_pen() {
    slips_are_survived(1000);
}

fn slips_are_survived(cases: u32) {
    let demos: Vec<Vec<u8>> = DEMOS.iter().map(|name| demo(name).into_bytes()).collect();
    let config = Config { cases, failure_persistence: None, ..Config::default() };
    let mut runner = TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]));
    let seen = std::cell::Cell::new((0, 0));
    let run = runner.run(&(0..demos.len(), slips()), |(which, slips)| {
        let mut bytes = demos[which].clone();
        for slip in &slips {
            slipped(&mut bytes, slip);
        }
        let review = reviewed(&bytes);
        let (understood, unlike) = seen.get();
        seen.set((understood + u32::from(review.summary.understood), unlike + u32::from(review.has_errors())));
        Ok(())
    });
    if let Err(error) = run {
        panic!("{error}");
    }
    // Enough of them get past the reader for the engines to be tried, and enough do not.
    let (understood, faulty) = seen.get();
    assert!(understood > cases / 6 && faulty > cases / 2, "{understood} understood, {faulty} with errors");
}

/// A typing error further down does not hide which plan it is in.
#[test]
fn the_layouts_name_stands_above_a_typing_error() {
    let good = include_str!("../../../../plans/thistle-dock/plan.toml");
    for (right, wrong) in [
        ("length = \"2.1 m\"", "length = 2.1 m"),
        ("length = \"2.1 m\"", "length = \"2.1 m"),
        ("[[turnout]]", "[[turnout"),
        ("[[turnout]]", "[turnout]"),
        ("scale = \"OO\"", "scale = \"00\""),
        ("scale = \"OO\"", "scale = "),
        ("hand   = \"left\"", "hand = left"),
    ] {
        let bad = good.replacen(right, wrong, 1);
        let bad = if bad == good { good.replacen("[[motor]]", "[[motor]] = 3", 1) } else { bad };
        assert_ne!(bad, good, "{right}");
        let review = review::review(&bad);
        assert!(review.has_errors(), "{wrong}");
        assert_eq!(review.summary.name, "Thistle Dock", "{wrong}");
        assert!(review.summary.render(80).starts_with("Thistle Dock\n"), "{wrong}");
    }
    // A name with what looks like the beginning of a table, a comment behind the head, and none at all.
    let named = |text: &str| review::review(text).summary.name;
    assert_eq!(named("[layout] # mine\nname = \"a [b]\"\n[[track]]\nname = x"), "a [b]");
    assert_eq!(named("[[track]]\nname = x"), "a plan without a name");
}

/// Every track is in the table, one in a short too.
#[test]
fn a_shorted_track_is_in_the_table() {
    let plan = |gaps: &str| {
        format!(
            r#"layout = {{ name = "two roads", scale = "OO" }}
supply = [{{ name = "booster", voltage = "15 V", trips = {{ at = "4 A" }} }}]
bus = [{{ name = "bus", supply = "booster", wire = "2.5 mm²", length = "4 m" }}]
turnout = [{{ name = "T1", hand = "left", wiring = "live-bonded" }}]
motor = [{{ name = "M1", moves = "T1", contact = [{{ common = "T1.frog", through = "bus.B", diverging = "bus.A" }}] }}]
[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]
[[track]]
name = "road 1"
from = "T1.through"
to = "buffer"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]
{gaps}
[[track]]
name = "apart"
from = "beyond"
to = "buffer"
length = "1 m"
"#
        )
    };
    let rows = |text: &str| -> Vec<String> {
        let shown = review::review(text).summary.render(120);
        let table = shown.split("the worst place of each track").nth(1).unwrap_or_else(|| panic!("no table: {shown}"));
        table.lines().map(str::to_owned).collect()
    };
    let row = |rows: &[String], name: &str| {
        rows.iter()
            .find(|line| line.trim_start().starts_with(name))
            .unwrap_or_else(|| panic!("no {name}: {rows:?}"))
            .clone()
    };
    // A feeder on the wrong conductor: shorted whatever is set.
    let shorted = rows(&plan("").replace("left = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"1 m\"]\n[[track]]\nname = \"road 1\"",
        "left = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"1 m\", { at = \"1.5 m\", rail = \"left\", to = \"bus.B\" }]\n[[track]]\nname = \"road 1\""));
    for name in ["lead", "road 1"] {
        let found = row(&shorted, name);
        assert_eq!(found.matches("short circuit").count(), 2, "{found}");
    }
    let apart = row(&shorted, "apart");
    assert!(apart.contains("no power") && !apart.contains("short circuit"), "{apart}");
    // All well but the piece that nothing feeds.
    let well = rows(&plan("gaps = [{ at = \"0.1 m\", rail = \"left\" }]"));
    assert!(row(&well, "lead").contains('V') && row(&well, "apart").contains("no power"), "{well:?}");
}

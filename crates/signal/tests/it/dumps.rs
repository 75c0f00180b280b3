//! Value-change dumps: what is written is read again, what others write is read, and what is damaged is reported with its line.

use proptest::prelude::*;
use signal::timing::Picos;
use signal::vcd::{Header, TimeUnit, Timescale, VcdError, write};
use signal::{Decoder, micros};
use std::io::BufReader;

const HEADER: &str = "$date today $end\n$version any $end\n$timescale 1 us $end\n$scope module top $end\n\
     $var wire 1 ! track $end\n$var wire 8 \" bus $end\n$upscope $end\n$enddefinitions $end\n";

fn edges(text: &[u8], signal: Option<&str>) -> Result<Vec<Picos>, VcdError> {
    // A buffer of a few bytes, so that words lie across its end.
    Header::read(BufReader::with_capacity(7, text))?.edges(signal)?.collect()
}

/// The body behind the header above gives edges at these microseconds.
fn check(body: &str, due: &[u64]) {
    let read = edges(format!("{HEADER}{body}").as_bytes(), None).expect(body);
    assert_eq!(read, due.iter().copied().map(micros).collect::<Vec<_>>(), "{body}");
}

/// The text cannot be read; the message holds these words.
fn refused(text: &str, words: &str) {
    let error = edges(text.as_bytes(), None).expect_err(text);
    assert!(error.to_string().contains(words), "{error}");
    assert!(!error.fix().is_empty());
}

/// However its lines are parted, a dump is the same: what comes a time and a level a line, as most programs write it, takes a
/// way of its own through the reader.
#[test]
fn blanks_and_line_ends_do_not_matter() {
    let mut body = String::from("#0\n0!\n");
    let mut level = false;
    for k in 1..2000_u64 {
        level = !level;
        body.push_str(&format!("#{}\n{}!\n", 100_000_000 * (k % 3) + 300_000_000 * k, u8::from(level)));
    }
    let due = edges(format!("{HEADER}{body}").as_bytes(), None).expect("it is well");
    assert_eq!(due.len(), 1999);
    for with in ["\r\n", " \n", "\t", "\n\n"] {
        let parted = body.replace('\n', with);
        assert_eq!(edges(format!("{HEADER}{parted}").as_bytes(), None).expect(with), due, "{with:?}");
    }
    let doubled = body.replace("!\n", "!\n5\"\n").replace("5\"", "b101 \"");
    assert_eq!(edges(format!("{HEADER}{doubled}").as_bytes(), None).expect("another signal between"), due);
    // A time that runs back is reported with its line, behind thousands of others.
    let lines = format!("{HEADER}{body}").lines().count();
    refused(&format!("{HEADER}{body}#5\n1!\n"), &format!("{}", lines + 1));
    for digits in ["1234567a", "12345678a", "a2345678", "99999999999999999999999", "1234567890123456789012"] {
        refused(&format!("{HEADER}#0\n0!\n#{digits}\n1!\n"), "is no time");
    }
}

#[test]
fn levels() {
    check("#0\n$dumpvars\n0!\n$end\n#10\n1!\n#68\n0!\n", &[10, 68]);
    check("#5 1! #10 0! #10 1! #20 0!", &[20]); // of several at one time the last holds
    check("#0 1! #3 1! #4 0!", &[4]); // told again is no edge
    check("#0 b0 ! #3 b1 ! #4 B0000 ! #9 b01 !", &[3, 4, 9]);
    check("#0 0! #2 b10101010 \" #3 1! #4 bxxxx \" $comment 0! #1 $end #9 0!", &[3, 9]);
    check("#0 0! r1.5 ? sword ? #7 1!", &[7]);
    check("#0 0 ! #3 1 !", &[3]); // a blank before the code
    check("#0 0! #3 1!\n#9", &[3]);
    check("", &[]);
    let own_line_before = format!("META samplerate: 10000000\n{HEADER}#0 0! #3 1!");
    assert_eq!(edges(own_line_before.as_bytes(), None).expect("a dump"), [micros(3)]);
    check("#0 0! #4 x! #6 1! #8 z! #9 1! #12 Z! #14 0!", &[6, 14]);
}

#[test]
fn levels_that_are_neither_are_counted() {
    let text = format!("{HEADER}#0\n0!\n#4\nx!\n#6\n1!\n#8\nz!\n");
    let mut edges = Header::read(text.as_bytes()).expect("a header").edges(None).expect("a signal");
    assert_eq!(edges.by_ref().count(), 1);
    assert_eq!((edges.notes().unknown, edges.notes().first_unknown_line), (2, Some(12)));
}

#[test]
fn timescales() {
    let mut femtos = 1_000_000_000_000_000_u64;
    for unit in TimeUnit::ALL {
        for (number, text) in [(100, "100 "), (10, "10 "), (1, "1")] {
            let text = format!("{text}{}", unit.word());
            let scale = Timescale::parse(&text).expect(&text);
            assert_eq!(Some(scale), Timescale::new(number, unit));
            assert_eq!(scale.picos(3000), Some(3 * u64::from(number) * femtos), "3000 × {text}");
            assert_eq!(scale.ticks(3 * u64::from(number) * femtos), 3000);
        }
        femtos /= 1000;
    }
    assert_eq!(Timescale::parse("1 s").expect("one second").picos(u64::MAX), None);
    for bad in ["", "1", "us", "2 us", "1 min", "1.0 us", "-1 us", "1000 ns", "１ us"] {
        assert_eq!(Timescale::parse(bad), None, "{bad}");
    }
}

#[test]
fn signals_are_chosen() {
    let text = "$timescale 1 ns $end $scope module a $end $var wire 1 ! x $end $scope module b $end $var wire 1 # x $end \
         $var reg 1 $ y [3] $end $var wire 4 % bus $end $upscope $end $upscope $end $enddefinitions $end \
         #0 0! 0# 0$ #1 1! #2 1# #3 1$";
    for (name, at) in [("a.x", 1), ("a.b.x", 2), ("a.b.y[3]", 3), ("y[3]", 3)] {
        assert_eq!(edges(text.as_bytes(), Some(name)).expect(name), [at * 1000], "{name}");
    }
    for (name, words, mend) in [
        (None, "several signals", "`a.x`, `a.b.x`, `a.b.y[3]`"),
        (Some("x"), "more than one signal", "say `a.x` or `a.b.x`"),
        (Some("z"), "no signal `z`", "`a.b.x`"),
        (Some("bus"), "has 4 bits", "`a.x`"),
    ] {
        let error = edges(text.as_bytes(), name).expect_err(words);
        assert!(error.to_string().contains(words) && error.fix().contains(mend), "{error}: {}", error.fix());
    }
}

#[test]
fn damaged_dumps_are_told_with_their_line() {
    refused("", "line 1: the file ends before its header");
    refused("name = \"x\"\n", "line 1: `name` is no beginning of a value-change dump");
    refused(&"word ".repeat(100), "line 1: `word` is no beginning");
    refused("\0\0\0\0", "line 1: ");
    refused("$date x", "ends inside $date");
    refused("$timescale 3 us $end", "`3us` is no timescale");
    refused("$timescale 1 us", "the file ends where the timescale is due");
    refused("$var wire 1 ! a $end $enddefinitions $end", "no timescale");
    refused("$timescale 1 us $end\n$var wire one ! a $end", "line 2: `one` is no number of bits");
    refused("$timescale 1 us $end $var wire 4 ! a $end $enddefinitions $end", "no signal of one bit");
    refused(&format!("{HEADER}#5\n1!\n#3\n0!\n"), "line 11: time runs back, from #5 to #3");
    refused(&format!("{HEADER}#five\n"), "`#five` is no time");
    refused(&format!("{HEADER}#\n"), "`#` is no time");
    refused(&format!("{HEADER}#99999999999999999999999\n"), "is no time");
    refused(&format!("{HEADER}#18446744073709551616\n"), "is no time");
    refused(&format!("{HEADER}#1 1! #18446744073710\n"), "is no time"); // in microseconds beyond 64 bits of picoseconds
    refused(&format!("{HEADER}#12a\n"), "`#12a` is no time");
    refused(&format!("{HEADER}#1\nhello\n"), "line 10: `hello` is neither a time nor a level");
    refused(&format!("{HEADER}#1\nr1.5 !\n"), "no level");
    refused(&format!("{HEADER}#1\nb\n"), "the code of a signal is due");
    refused(&format!("{HEADER}#1 b{} !", "01".repeat(3000)), "no level");
    refused(&format!("$timescale 1 us $end $var wire 1 {} x $end", "!".repeat(3000)), "more than 1024 characters");
    refused(&"$scope module a $end ".repeat(1000), "more than 100 scopes");
    refused(&format!("$timescale 1 us $end {}", "$var wire 1 ! a $end ".repeat(100_001)), "more than 100000 signals");
}

/// A word without an end takes no more memory than one that is kept.
#[test]
fn words_without_an_end() {
    for begin in ["$comment ", "", "$timescale 1 us $end $var wire 1 ! a $end $enddefinitions $end #1 b"] {
        let text = format!("{begin}{}", "1".repeat(20 << 20));
        assert!(edges(text.as_bytes(), None).is_err());
    }
}

fn written(scale: Timescale, times: &[Picos]) -> Vec<u8> {
    let mut text = Vec::new();
    write(&mut text, "track", scale, times.iter().copied()).expect("memory takes it");
    text
}

proptest! {
    /// What is written is read again, to the timescale.
    #[test]
    fn written_and_read(gaps in prop::collection::vec(1_u64..1_000_000, 0..100), unit in 1..4_usize, number in 0..3_usize) {
        let scale = Timescale::new([1, 10, 100][number], TimeUnit::ALL[unit + 1]).expect("a timescale");
        let step = scale.picos(1).expect("short").max(1);
        let mut now = 0;
        let times: Vec<Picos> = gaps.iter().map(|gap| { now += gap * step; now }).collect();
        prop_assert_eq!(edges(&written(scale, &times), Some("track")).expect("it is a dump"), times);
    }

    /// A dump with some bytes changed, cut out or put in again ends, with times in order or an error with a line.
    #[test]
    fn hurt(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0..4_u8), 1..12)) {
        let mut text = format!("{HEADER}#0\n0!\n#58\n1!\nb0101 \"\n#116\n0!\n$comment x $end\n#174\n1!\n#999\nx!\n").into_bytes();
        for (at, byte, what) in changes {
            let at = at.index(text.len());
            match what {
                0 => text[at] = byte,
                1 => { text.remove(at); }
                2 => text.insert(at, byte),
                _ => text.extend_from_within(at..),
            }
            if text.is_empty() { break; }
        }
        if let Ok(times) = edges(&text, None) {
            prop_assert!(times.is_sorted());
            let mut decoder = Decoder::new();
            for time in times { decoder.edge(time); }
        }
    }

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = edges(&bytes, None);
        let _ = edges(&[HEADER.as_bytes(), &bytes].concat(), Some("track"));
    }

    /// Words of the language in any order.
    #[test]
    fn any_words(words in prop::collection::vec(prop::sample::select(vec![
        "$date", "$end", "$timescale", "1", "us", "$scope", "module", "$upscope", "$var", "wire", "!", "track", "[0]",
        "$enddefinitions", "#0", "#5", "#3", "0!", "1!", "x!", "b1", "r2", "$dumpvars", "$comment", "b",
    ]), 0..60)) {
        let text = words.join(" ");
        let _ = edges(text.as_bytes(), None);
        let _ = edges(format!("{HEADER}{text}").as_bytes(), None);
    }
}

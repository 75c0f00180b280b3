//! `packet` and `decode`: what is said is what is sent, and what was sent is read.

use super::{Ended, run};
use std::path::{Path, PathBuf};

fn packet(words: &str) -> Ended {
    run(&std::iter::once("packet").chain(words.split(' ')).collect::<Vec<_>>())
}

/// The bytes that such words send.
fn sends(words: &str, bytes: &str) {
    let ended = packet(words);
    assert_eq!(ended.status, 0, "{words}: {}", ended.err());
    let line = ended.out().lines().find_map(|line| line.strip_prefix("bytes  ")).unwrap_or_default();
    assert_eq!(line, bytes, "{words}");
    for line in ended.out().lines() {
        assert!(line.chars().count() <= 80, "too wide: {line}");
    }
}

/// Bytes as in the tests of `signal`, where their sources stand.
#[test]
fn words_and_their_bytes() {
    sends("idle", "FF 00 FF");
    sends("reset", "00 00 00");
    sends("stop", "00 70 70");
    sends("speed 55 6", "37 74 43");
    sends("speed 3 1 --of 126", "03 3F 82 BE");
    sends("speed 1234 1 --of 126", "C4 D2 3F 82 AB");
    sends("accessory 1 --output 0 --on", "81 F8 79");
    sends("accessory 1 --output 1", "81 F9 78");
    sends("accessory 5 --output 1 --addresses four-off", "81 F9 78");
    sends("accessory 1/1 --output 1", "81 F9 78");
    sends("accessory 512 --output 1", "80 DF 5F");
    sends("extended 100 --aspect 0", "99 77 00 EE");
    sends("stop-accessories", "BF 86 39");
    sends("accessory 2044 --output 0 --off", "BF 86 39");
    let plan = super::demo("thistle-dock").display().to_string();
    sends(&format!("turnout T1 diverging --plan {plan}"), "86 F8 7E");
    sends(&format!("turnout M1 through --plan {plan}"), "86 F9 7F");
    sends("bytes 99FE67", "99 FE 67");
    sends("bytes 0x99 0xFE,67", "99 FE 67");
}

#[test]
fn a_turnout_word_for_word() {
    let due = "\
accessory 21: output 0 on
address 21 (four-off 25, board 6 pair 1, in the packet 24)

bytes  86 F8 7E

  86  10        to an accessory
      000110    A7 to A2 of the address
  F8  1         a basic packet
      111       A10 to A8, upside down: board 6
      1         switch on
      00        A1 A0: pair 1 of the board's four
      0         R: output 0 of the pair
  7E  01111110  error byte: the exclusive or of the others

takes  5964 µs: 14 ones, 3 bytes each behind a zero, a one; halves of 58 µs in a
       one, of 100 µs in a zero
event  01.01.02.00.00.FF.00.30 on a layout bus (S-9.7.0.4)
";
    assert_eq!(packet("accessory 21 --output 0 --on").out(), due);
}

#[test]
fn an_address_of_all_says_so() {
    assert!(packet("accessory 2041 --output 0").out().contains("care: every accessory decoder obeys"));
    assert!(packet("accessory 2048 --output 0").out().contains("care: this is board 0"));
    assert!(!packet("accessory 2040 --output 0").out().contains("care"));
}

#[test]
fn what_cannot_be_sent_is_2() {
    for (words, due) in [
        ("accessory 0 --output 0", "there is no accessory `0`"),
        ("accessory 2049 --output 0", "numbers run from 1 to 2048"),
        ("accessory 6/5 --output 0", "there is no accessory `6/5`"),
        ("accessory 21 --output 2", "invalid value"),
        ("accessory 21", "--output"),
        ("accessory 21 --output 0 --on --off", "cannot be used with"),
        ("speed 3 29", "they run from 1 to 28"),
        ("speed 0 1", "there is no locomotive 0"),
        ("speed 10240 1", "there is no locomotive 10240"),
        ("speed 3 fast", "`fast` is no speed"),
        ("bytes 81 F8 78", "with the error byte that is due, 81 F8 79, it would say: accessory 1: output 0 on"),
        ("bytes 81 F8", "too few"),
        ("bytes 8", "`8` is no byte"),
        ("bytes +1 +2 +3", "is no byte"),
        ("bytes é", "is no byte"),
        ("bytes 1 2 3 4 5 6 7 8", "is no byte"),
        ("bytes 00 00 00 00 00 00 00", "too many"),
    ] {
        let ended = packet(words);
        assert_eq!(ended.status, 2, "{words}: {}", ended.out());
        assert!(ended.out.is_empty() && ended.err().contains(due), "{words}: {}", ended.err());
    }
    let plan = super::demo("thistle-dock").display().to_string();
    for (words, due) in [
        ("turnout T9 through", "no motor with an address is called `T9`"),
        ("turnout T1 left", "`left` is no position of `M1`; it has `through` and `diverging`"),
    ] {
        let ended = packet(&format!("{words} --plan {plan}"));
        assert!(ended.status == 2 && ended.err().contains(due), "{words}: {}", ended.err());
    }
}

fn written(folder: &Path, words: &str) -> PathBuf {
    let path = folder.join("trace.vcd");
    let ended = packet(&format!("{words} --vcd {}", path.display()));
    assert_eq!(ended.status, 0, "{}", ended.err());
    path
}

fn decode(path: &Path, more: &[&str]) -> Ended {
    let path = path.display().to_string();
    run(&["decode", &path].into_iter().chain(more.iter().copied()).collect::<Vec<_>>())
}

#[test]
fn what_is_written_is_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "accessory 21 --output 0 --repeat 4");
    let ended = decode(&path, &[]);
    let due = format!(
        "\
{}
23.856 ms in steps of 100 ns, 4 packets, 0 faults

what was sent
  2.624 ms  4 ×  86 F8 7E  accessory 21: output 0 on

  half-bits         least   mean    most    sent           accepted
  of a one          58 µs   58 µs   58 µs   55 to 61 µs    52 to 64 µs
  their difference  0 µs    0 µs    0 µs    ≤ 3 µs         ≤ 6 µs
  of a zero         100 µs  100 µs  100 µs  95 to 9900 µs  90 to 10000 µs
  a whole zero      200 µs  200 µs  200 µs  ≤ 12000 µs     ≤ 12000 µs
  preamble, ones    14                      14 or more     10 or more
",
        path.display()
    );
    // A long name of a folder may take more lines.
    assert!(ended.out().ends_with(due.split_once('\n').expect("lines").1), "{}", ended.out());
    assert_eq!(ended.status, 0);
    let csv = decode(&path, &["--format", "csv", "--signal", "layout.track"]);
    let lines: Vec<&str> = csv.out().lines().collect();
    assert_eq!(lines.len(), 5);
    assert_eq!(lines[1], "2624.000,packet,86 F8 7E,\"accessory 21: output 0 on\",14,0");
}

/// With a plan, packets to its motors name them.
#[test]
fn a_plan_names_its_motors() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "accessory 21 --output 0");
    let plan = super::demo("thistle-dock").display().to_string();
    let line = "86 F8 7E  accessory 21: output 0 on (M1: T1 diverging)\n";
    let ended = decode(&path, &["--plan", &plan]);
    assert!(ended.out().contains(line), "{}{}", ended.out(), ended.err());
    let csv = decode(&path, &["--plan", &plan, "--format", "csv"]);
    assert!(csv.out().contains(",86 F8 7E,\"accessory 21: output 0 on (M1: T1 diverging)\",14,0\n"), "{}", csv.out());
    let no_plan = decode(&path, &["--plan", &path.display().to_string()]);
    assert_eq!(no_plan.status, 2);
    assert!(no_plan.err().contains("the plan has errors"), "{}", no_plan.err());
}

/// A trace with one edge moved; gives what `decode` says of it.
fn with_an_edge_moved(from: &str, to: &str) -> Ended {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "idle --repeat 2");
    let text = std::fs::read_to_string(&path).expect("a dump");
    assert!(text.contains(&format!("#{from}\n")), "there is an edge at {from}");
    std::fs::write(&path, text.replace(&format!("#{from}\n"), &format!("#{to}\n"))).expect("written");
    decode(&path, &[])
}

#[test]
fn out_of_tolerance_is_told_with_its_time() {
    // The first preamble ends at 1000 + 14 × 116 = 2624 µs; the start bit's halves meet at 2724 µs.
    let fault = with_an_edge_moved("27240", "26990");
    assert_eq!(fault.status, 1);
    assert!(fault.out().contains("1 packet, 1 fault"), "{}", fault.out());
    assert!(fault.out().contains("  2.624 ms  a half of 75 µs, neither of a one"), "{}", fault.out());
    // Accepted, though not as it is to be sent: no reason to end with 1.
    let marginal = with_an_edge_moved("27240", "27170");
    assert_eq!(marginal.status, 0);
    assert!(marginal.out().contains("  2.624 ms  a half of 93 µs at 2.624 ms\n"), "{}", marginal.out());
}

#[test]
fn what_is_no_dump_is_2() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "idle");
    let text = std::fs::read_to_string(&path).expect("a dump");
    let header = "$timescale 1 us $end $var wire 1 ! a $end $var wire 1 # b $end $enddefinitions $end\n";
    for (changed, due, mend) in [
        ("name = \"x\"".to_owned(), "line 1: `name` is no beginning of a value-change dump", "export the trace"),
        (text.replace("#11160\n", "#9\n"), "line 15: time runs back, from #10580 to #9", "damaged"),
        (text.replace("#11160\n", "noise\n"), "line 15: `noise` is neither a time nor a level", "damaged"),
        (header.to_owned(), "several signals", "say which with `--signal`; its signals of one bit are `a`, `b`"),
        (text.replace("$timescale 100 ns $end\n", ""), "no timescale", "$timescale 1 us $end"),
    ] {
        std::fs::write(&path, changed).expect("written");
        let ended = decode(&path, &[]);
        assert_eq!(ended.status, 2, "{}", ended.out());
        assert!(ended.out.is_empty() && ended.err().contains(due), "{}", ended.err());
        assert!(ended.err().contains("help: ") && ended.err().contains(mend), "{}", ended.err());
    }
    assert_eq!(decode(&folder.path().join("none.vcd"), &[]).status, 2);
    assert_eq!(decode(folder.path(), &[]).status, 2);
}

#[test]
fn a_trace_without_a_packet_is_1() {
    let folder = tempfile::tempdir().expect("a folder");
    for (words, due) in [
        ("idle --preamble 9", "the longest preamble has 9 whole ones, and a decoder wants 10"),
        ("idle --preamble 10", "1 packet, 0 faults, 1 accepted though not as they should be sent"),
    ] {
        let ended = decode(&written(folder.path(), words), &[]);
        let said = ended.out().replace('\n', " ");
        assert_eq!(ended.status, i32::from(words.ends_with('9')));
        assert!(said.contains(due), "{said}");
    }
}

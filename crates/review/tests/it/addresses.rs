//! Accessory addresses: when the rules speak and when they keep silent, and what the table says.

use crate::ask;
use report::addresses_print::{render, to_csv};
use review::rules::RULES;

fn example(name: &str) -> &'static str {
    RULES.iter().find(|r| r.page.name == name).unwrap().page.example
}

/// The example of a finding with some words exchanged.
fn changed(name: &str, changes: &[(&str, &str)]) -> String {
    changes.iter().fold(example(name).to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old:?} is not in the example of {name}");
        text.replace(old, new)
    })
}

/// What a plan is reported of its addresses, by name and message: that nothing throws the motors is another matter.
fn told(text: &str) -> Vec<(&'static str, String)> {
    let found = review::review(text).findings.into_iter().map(|f| (f.name, f.message));
    found.filter(|f| f.0 != "motor-without-driver").collect()
}

fn check(name: &str, changes: &[(&str, &str)], due: &[(&str, &str)]) {
    let found = told(&changed(name, changes));
    assert_eq!(found.len(), due.len(), "{found:?}");
    for ((name, message), (due_name, due_words)) in found.iter().zip(due) {
        assert!(name == due_name && message.contains(due_words), "{name}: {message}");
    }
}

#[test]
fn one_finding_for_one_shared_address() {
    check("address-shared", &[], &[("address-shared", "`M1` and `M2` have one address, 31,")]);
    check("address-shared", &[("moves = \"T2\"\naddress = 31", "moves = \"T2\"\naddress = 32")], &[]);
    check("address-shared", &[("moves = \"T2\"\naddress = 31", "moves = \"T2\"")], &[]);
    // One motor that moves both is what the plan may say instead.
    let second = "[[motor]]\nname = \"M2\"\nmoves = \"T2\"\naddress = 31\n";
    check("address-shared", &[("moves = \"T1\"", "moves = [\"T1\", \"T2\"]"), (second, "")], &[]);
    // Shared and everybody's are two causes.
    check(
        "address-shared",
        &[("address = 31", "address = 2041")],
        &[
            ("address-shared", "2041"),
            ("reserved-address", "every accessory decoder obeys the address of `M1` and `M2`"),
        ],
    );
}

#[test]
fn eight_addresses_are_reserved() {
    let all = ("reserved-address", "every accessory decoder obeys");
    let board = ("reserved-address", "board 0");
    for (linear, due) in [(2040, None), (2041, Some(all)), (2044, Some(all)), (2045, Some(board)), (2048, Some(board))]
    {
        let due: Vec<_> = due.into_iter().collect();
        check("reserved-address", &[("2042", &linear.to_string())], &due);
    }
    // The same values of the packet, counted four-off.
    let off = ("scale = \"OO\"", "scale = \"OO\"\naddresses = \"four-off\"");
    for (number, due) in
        [(1, Some(board)), (4, Some(board)), (5, None), (2044, None), (2045, Some(all)), (2048, Some(all))]
    {
        let due: Vec<_> = due.into_iter().collect();
        check("reserved-address", &[("2042", &number.to_string()), off], &due);
    }
    let yes = ("2042", "40\nreversed = \"perhaps\"");
    check("reserved-address", &[yes], &[("wrong-kind", "")]);
    for none in ["0", "2049", "4294967295"] {
        check("reserved-address", &[("2042", none)], &[("out-of-range", "accessory address")]);
    }
}

#[test]
fn the_table_word_for_word() {
    let text = changed(
        "address-shared",
        &[
            ("scale = \"OO\"", "scale = \"OO\"\naddresses = \"four-off\""),
            ("moves = \"T1\"\naddress = 31", "moves = \"T1\"\naddress = 104\nreversed = true"),
            ("moves = \"T2\"\naddress = 31", "moves = \"T2\"\naddress = 5"),
        ],
    );
    // Four-off 5 is user 1 and 104 is user 100: packets and events as in the tests of `signal`, where their sources stand.
    let due = "\
two motors, one number
addresses count four-off, as the plan says: 1 is the first pair of board 0

  address  motor  moves  linear  four-off  board/pair  in the packet
  5        M2     T2     1       5         1/1         4
  104      M1     T1     100     104       25/4        103

what sets them: a packet on the track, or an event on a layout bus
  motor  position   output  packet    event
  M2     through    1       81 F9 78  01.01.02.00.00.FF.00.09
         diverging  0       81 F8 79  01.01.02.00.00.FF.00.08
  M1     through    0       99 FE 67  01.01.02.00.00.FF.00.CE
         diverging  1       99 FF 66  01.01.02.00.00.FF.00.CF

commonly output 1 sets a turnout through and output 0 diverging; try it, and
write `reversed = true` at a motor that does it the other way round
reversed: M1
free in between: 6 to 103
";
    let table = ask(&text, |facts| facts.addresses());
    assert_eq!(render(&table, 80), due);
    let csv = to_csv(&table);
    assert_eq!(csv.lines().count(), 5);
    assert!(csv.contains("\n104,M1,T1,100,104,25,4,103,1,diverging,1,99 FF 66,01.01.02.00.00.FF.00.CF\n"), "{csv}");
}

#[test]
fn what_is_odd_stands_below_the_table() {
    let shared = render(&ask(example("address-shared"), |facts| facts.addresses()), 80);
    assert!(shared.contains("more than one motor has 31;"), "{shared}");
    let reserved = render(&ask(example("reserved-address"), |facts| facts.addresses()), 80);
    assert!(reserved.contains("2045, every decoder's"), "{reserved}");
    let none = changed("reserved-address", &[("address = 2042\n", "")]);
    let none = render(&ask(&none, |facts| facts.addresses()), 80);
    assert!(none.ends_with("no motor of the plan has an address\n"), "{none}");
}

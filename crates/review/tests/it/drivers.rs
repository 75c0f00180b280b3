//! Drivers: what trips, locks out and falls short behind them.

use review::rules::RULES;

fn example(name: &str) -> &'static str {
    RULES.iter().find(|r| r.page.name == name).unwrap().page.example
}

/// The messages of a finding in the example of a rule with some words exchanged.
fn told(of: &str, changes: &[(&str, &str)], name: &str) -> Vec<String> {
    let text = changes.iter().fold(example(of).to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old:?} is not in the example of {of}");
        text.replace(old, new)
    });
    let review = review::review(&text);
    assert!(review.summary.understood, "{:?}\n{text}", review.findings);
    review.findings.into_iter().filter(|f| f.name == name).map(|f| f.message).collect()
}

const APART: &str = "[[supply]]\nname = \"points supply\"\nkind = \"accessory\"\nvoltage = \"12 V\"\n\n[[bus]]\nname = \"points bus\"\n\
                     supply = \"points supply\"\nwire = \"1 mm²\"\nlength = \"2 m\"\n\n";

#[test]
fn a_driver_on_the_track_bus_goes_dead_with_it_and_so_do_its_commands() {
    let with = |driver: &str| {
        let motor = format!("{APART}[[driver]]\nname = \"D1\"\nkind = \"decoder\"\n{driver}\n\n[[motor]]");
        told(
            "self-lockout",
            &[("[[motor]]", &motor), ("supply = \"booster\"\ncontact", "driver = \"D1\"\ncontact")],
            "self-lockout",
        )
    };
    let power = with("from = \"bus @ 1 m\"");
    assert_eq!(power, ["a short at `T1` trips `booster`, its own supply, so `M1` cannot throw it clear"]);
    let commands = with("from = \"points bus @ 1 m\"\ncommands = \"bus @ 1 m\"");
    assert_eq!(commands.len(), 1);
    assert!(commands[0].contains("its driver hears no commands from there"), "{commands:?}");
    // The near miss: power and commands from elsewhere.
    assert_eq!(with("from = \"points bus @ 1 m\""), [""; 0]);
}

#[test]
fn a_motor_that_is_meant_to_be_thrown_by_nothing_is_told_and_others_are_not() {
    let of = |changes: &[(&str, &str)]| told("motor-without-driver", changes, "motor-without-driver");
    let address = "kind = \"stall\"\naddress = 21\n";
    assert_eq!(of(&[]), ["nothing in the plan throws `M1`"]);
    assert_eq!(of(&[(address, "kind = \"stall\"\nsupply = \"points supply\"\n")]).len(), 1);
    assert_eq!(of(&[(address, "kind = \"stall\"\n")]), [""; 0], "nothing is said of what throws it");
    assert_eq!(of(&[(address, "kind = \"hand\"\naddress = 21\n")]), [""; 0], "a hand throws it");
    assert_eq!(of(&[(address, "kind = \"stall\"\ndriver = \"D1\"\n")]), [""; 0]);
}

#[test]
fn a_supply_that_all_its_servos_trip_is_told() {
    let servo = |amps: &str| {
        let trips = format!("rating = \"1 A\"\ntrips = {{ at = \"{amps}\", after = \"50 ms\" }}");
        let changes = [
            ("rating = \"1 A\"", trips.as_str()),
            ("kind = \"decoder\"", "kind = \"servo\"\nvoltage = \"5 V\""),
            ("kind = \"stall\"\naddress = 21", "kind = \"servo\"\ndriver = \"D1\""),
        ];
        told("motor-without-driver", &changes, "switch-on-trips")
    };
    // 0.6 A of the servo and 30 mA of its driver.
    assert_eq!(
        servo("0.62 A"),
        ["`points supply` trips when it is switched on: its drivers and 1 motor draw 630 mA at once"]
    );
    assert_eq!(servo("0.64 A"), [""; 0]);
}

/// The wires of a driver are held against the breaker above it as others are.
#[test]
fn thin_wires_of_drivers_are_told() {
    let of = |wire: &str| {
        let from = format!("from = \"points bus @ 1 m\"\nwire = \"{wire}\"");
        let trips = "rating = \"1 A\"\ntrips = { at = \"5 A\", after = \"100 ms\" }";
        told(
            "motor-without-driver",
            &[("from = \"points bus @ 1 m\"", &from), ("rating = \"1 A\"", trips)],
            "wire-too-thin",
        )
    };
    assert_eq!(of("0.14 mm²").len(), 1);
    assert_eq!(of("1.5 mm²"), [""; 0]);
}

//! What the reader says of drivers and of motors on them.

use plan::driven::{self, Output};
use plan::read;
use plan::tables::MotorKind;

/// A plan with every kind of driver, to be broken.
const GOOD: &str = r#"[layout]
name = "yard"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"

[[supply]]
name = "points supply"
kind = "dc"
voltage = "24 V"
middle = true

[[bus]]
name = "main bus"
supply = "booster"
wire = "2.5 mm²"
length = "5 m"

[[bus]]
name = "points bus"
supply = "points supply"
wire = "1 mm²"
length = "5 m"

[[bus]]
name = "points branch"
from = "points bus @ 2 m"
wire = "1 mm²"
length = "2 m"

[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "2 m"
left = "main bus.A"
right = "main bus.B"
feeders = ["0.3 m"]

[[turnout]]
name = "T1"
hand = "left"
wiring = "insulated-bonded"

[[turnout]]
name = "T2"
hand = "left"
wiring = "insulated-bonded"

[[turnout]]
name = "T3"
hand = "left"
wiring = "insulated-bonded"

[[toggle]]
name = "box"

[[driver]]
name = "D"
kind = "decoder"
outputs = 4
address = 21
from = "points branch @ 1 m"
commands = "main bus @ 1 m"

[[driver]]
name = "P"
kind = "pulse"
from = "main bus @ 2 m"

[[driver]]
name = "H"
kind = "switch"
from = "points bus @ 3 m"
follows = "box"

[[driver]]
name = "X"
kind = "split switch"
from = "points bus @ 4 m"

[[motor]]
name = "M1"
moves = "T1"
kind = "stall"
driver = "D.1"

[[motor]]
name = "M2"
moves = "T2"
driver = "P"

[[motor]]
name = "M3"
moves = "T3"
driver = "D.3"
address = 60

[[relay]]
name = "R"
follows = "M1"
driver = "D.1"

[[track]]
name = "dock 1"
from = "T1.diverging"
to = "buffer"
length = "2 m"
"#;

/// A coil over a contact: what it must end at.
#[test]
fn a_coil_lies_over_a_contact_of_what_its_relay_follows() {
    let plan = |coil: &str| {
        let contact = "contact = [{ common = \"points bus.A @ 1 m\" }]";
        let with_contacts = GOOD
            .replace("kind = \"stall\"\ndriver = \"D.1\"", &format!("kind = \"stall\"\ndriver = \"D.1\"\n{contact}"))
            .replace("address = 60", &format!("address = 60\n{contact}"));
        with_contacts.replace("follows = \"M1\"\ndriver = \"D.1\"", &format!("follows = \"M1\"\n{coil}"))
    };
    for coil in [
        "coil = [\"M1.1.diverging\", \"points bus.B\"]",
        "coil = [\"points branch.B @ 1 m\", \"M1.1.diverging\"]",
        "coil = [\"M1.1.diverging\", \"points supply.B\"]",
    ] {
        assert_eq!(told(&plan(coil)), [], "{coil}");
    }
    for (coil, name, message) in [
        ("coil = [\"M1.1.diverging\"]", "contradiction", "a coil has two ends"),
        ("coil = [\"points bus.A\", \"points bus.B\"]", "contradiction", "nothing switches the coil of `R`"),
        ("coil = [\"M1.1.diverging\", \"M1.1.through\"]", "contradiction", "nothing feeds the coil of `R`"),
        ("coil = [\"M1.1.through\", \"points bus.B\"]", "contradiction", "fed the wrong way round"),
        ("coil = [\"M1.1.common\", \"points bus.B\"]", "contradiction", "fed the wrong way round"),
        (
            "coil = [\"M1.1.diverging\", \"points bus.A\"]",
            "contradiction",
            "both ends of its coil are on one conductor",
        ),
        ("coil = [\"M1.1.diverging\", \"main bus.B\"]", "motor-misfit", "a relay needs steady current"),
        ("coil = [\"M1.1.diverging\", \"lead.left @ 1 m\"]", "contradiction", "no contact, bus or supply"),
        ("coil = [\"M3.1.diverging\", \"points bus.B\"]", "contradiction", "follows `M1`, and this contact does not"),
        ("coil = [\"M7.1.diverging\", \"points bus.B\"]", "no-such-name", "M7"),
        (
            "driver = \"D.1\"\ncoil = [\"M1.1.diverging\", \"points bus.B\"]",
            "contradiction",
            "an output and over a contact",
        ),
    ] {
        let found = told(&plan(coil));
        assert_eq!(found.len(), 1, "{coil}: {found:?}");
        assert!(found[0].0 == name && found[0].1.contains(message), "{coil}: {found:?}");
    }
}

/// The findings that are errors: their names, and the words they point at.
fn told(text: &str) -> Vec<(&'static str, String, String)> {
    let reading = read(text);
    let errors = reading.findings.into_iter().filter(|f| f.severity == finding::Severity::Error);
    errors
        .map(|f| {
            let at = f.at.map_or(0..0, |l| l.place.span);
            (f.name, f.message, text[at].to_owned())
        })
        .collect()
}

/// The good plan with one thing changed must give one error, of this name, with these words, pointing there.
fn one(from: &str, to: &str, name: &str, message: &str, at: &str) {
    assert_eq!(GOOD.matches(from).count(), 1, "{from}");
    let text = GOOD.replace(from, to);
    let told = told(&text);
    assert_eq!(told.len(), 1, "{to}: {told:?}");
    assert!(told[0].0 == name && told[0].1.contains(message) && told[0].2 == at, "{to}: {told:?}");
}

#[test]
fn a_plan_with_every_kind_of_driver_is_read() {
    assert_eq!(told(GOOD), []);
    let reading = read(GOOD);
    let (plan, names) = (&reading.plan, &reading.names);
    assert_eq!(driven::of_motor(plan, names, 0), Some(Output { driver: 0, output: 0 }));
    assert_eq!(driven::motor_kind(plan, names, 1), Some(MotorKind::Solenoid), "what its driver throws");
    let addresses: Vec<_> = (0..3).map(|m| driven::address(plan, names, m).map(|a| a.value)).collect();
    assert_eq!(addresses, [Some(21), None, Some(60)], "counted up, none, and a motor's own");
    let supplies: Vec<_> = (0..3).map(|m| driven::supply_of_motor(plan, names, m).map(|s| s.0)).collect();
    assert_eq!(supplies, [Some(1), Some(0), Some(1)], "through the branch, from the track bus");
}

#[test]
fn a_motor_names_an_output_that_is_there() {
    one("\"D.1\"\n\n[[motor]]", "\"E.1\"\n\n[[motor]]", "no-such-name", "there is no driver `E`", "E");
    one("\"D.3\"", "\"D.5\"", "no-such-name", "driver `D` has no output `5`", "5");
    one("\"D.3\"", "\"D.0\"", "no-such-name", "driver `D` has no output `0`", "0");
    one("\"D.3\"", "\"D\"", "no-such-name", "which output of `D` is meant?", "");
    one("\"D.3\"", "\"M1\"", "no-such-name", "`M1` is a motor, which does not fit here", "M1");
}

#[test]
fn a_motor_is_one_that_its_driver_can_throw() {
    let kind = "driver = \"D.3\"";
    one(kind, "driver = \"D.3\"\nkind = \"solenoid\"", "motor-misfit", "the solenoid can burn", "\"D.3\"");
    one(kind, "driver = \"D.3\"\nkind = \"servo\"", "motor-misfit", "needs a signal", "\"D.3\"");
    one(kind, "driver = \"D.3\"\nkind = \"hand\"", "motor-misfit", "thrown by hand", "\"D.3\"");
    let pulse = "driver = \"P\"";
    one(pulse, "driver = \"P\"\nkind = \"stall\"", "motor-misfit", "gives pulses", "\"P\"");
    // The near miss: what it throws, said once more.
    assert_eq!(told(&GOOD.replace(pulse, "driver = \"P\"\nkind = \"solenoid\"")), []);
}

#[test]
fn an_output_is_shared_by_stall_motors_of_one_address_alone() {
    let third = "driver = \"D.3\"\naddress = 60";
    assert_eq!(told(&GOOD.replace(third, "driver = \"D.1\"")), []);
    assert_eq!(told(&GOOD.replace(third, "driver = \"D.1\"\naddress = 21")), []);
    one(third, "driver = \"D.1\"\naddress = 60", "contradiction", "their addresses are 21 and 60", "60");
    one(third, "driver = \"D.1\"\nreversed = true", "contradiction", "one is reversed", "\"D.1\"");
    one(third, "driver = \"P\"", "contradiction", "only stall motors can", "\"P\"");
    assert_eq!(told(&GOOD.replace("address = 60", "address = 22")), [], "nothing else has output 2");
    one("address = 60", "address = 21", "contradiction", "address 21 is that of output `D.1`", "21");
}

#[test]
fn a_driver_is_fed_by_what_suits_it() {
    one("from = \"points bus @ 3 m\"", "from = \"points bus @ 6 m\"", "place-off-track", "", "\"points bus @ 6 m\"");
    one(
        "from = \"points bus @ 3 m\"",
        "from = \"points supply\"",
        "no-such-name",
        "is a supply, not a bus",
        "points supply",
    );
    one(
        "from = \"points bus @ 3 m\"",
        "from = \"main bus @ 3 m\"",
        "contradiction",
        "gives the track signal",
        "\"main bus @ 3 m\"",
    );
    one("middle = true", "middle = false", "contradiction", "needs the middle of its supply", "\"points bus @ 4 m\"");
    one("follows = \"box\"", "address = 5", "contradiction", "listens to no address", "5");
    one("commands = \"main bus @ 1 m\"", "follows = \"box\"", "contradiction", "follows its address", "\"box\"");
    one(
        "driver = \"D.3\"\n",
        "driver = \"D.3\"\nsupply = \"booster\"\n",
        "contradiction",
        "from `points supply`",
        "\"booster\"",
    );
    one("outputs = 4", "outputs = 65", "out-of-range", "number of outputs", "65");
    one("address = 21", "address = 2046", "out-of-range", "accessory address", "2046");
}

#[test]
fn a_relay_lies_across_the_output_of_what_it_follows() {
    let coil = "follows = \"M1\"\ndriver = \"D.1\"";
    one(
        coil,
        "follows = \"M1\"\ndriver = \"D.3\"",
        "contradiction",
        "the relay follows `M1`, and `D.3` does not",
        "\"D.3\"",
    );
    one(coil, "follows = \"M2\"\ndriver = \"P\"", "motor-misfit", "a relay needs steady current", "\"P\"");
    one(coil, "follows = \"box\"\ndriver = \"D.1\"", "contradiction", "the relay follows `box`", "\"D.1\"");
    assert_eq!(told(&GOOD.replace(coil, "follows = \"box\"\ndriver = \"H\"")), []);
}

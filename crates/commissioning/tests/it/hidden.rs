//! What cannot be noticed is said, with the reason.

use circuit::EdgeId;
use commissioning::{Age, Mistake, cold_sheet};
use schedule::{Choices, Job};

/// Two feeders a hand's breadth apart on short wires: one of them left off hides behind the other.
const DOUBLED: &str = r#"
[layout]
name = "doubled"
scale = "OO"
joint = "soldered"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4 A" }

[[bus]]
name = "bus"
supply = "booster"
wire = "2.5 mm²"
length = "2 m"

[[track]]
name = "line"
from = "buffer"
to = "buffer"
length = "1 m"
left = "bus.A"
right = "bus.B"
along = { bus = "bus", from = "0.5 m", to = "1.5 m" }
feeders = [{ at = "0.50 m", rail = "left" }, { at = "0.51 m", rail = "left" }, { at = "0.5 m", rail = "right" }]
"#;

#[test]
fn a_doubled_feeder_left_off_is_told_as_not_proved() {
    let reading = plan::read(DOUBLED);
    assert!(reading.understood(), "{:#?}", reading.findings);
    let job = Job::new(analysis::Analysis::of(DOUBLED, &reading.plan, &reading.names), Choices::default());
    let sheet = cold_sheet(&job, Age::New).unwrap();
    let feeder = |name: &str| EdgeId::each(&job.facts.circuit.edges).find(|e| e.1.name == name).unwrap().0;
    let doubled = Mistake::Open(feeder("feeder of line left rail at 500 mm"));
    let told = sheet.not_proved.iter().find(|n| n.mistake == Some(doubled)).expect("told");
    assert!(told.why.starts_with("seen as a rule, not surely: "), "{}", told.why);
    let single = Mistake::Open(feeder("feeder of line right rail at 500 mm"));
    assert!(sheet.not_proved.iter().all(|n| n.mistake != Some(single)));
}

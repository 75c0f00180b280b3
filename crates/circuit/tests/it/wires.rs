//! What wires of contacts resist and how far they run, where each says it for itself.

use circuit::{Circuit, Edge, EdgeId, Part, RunSource, WireRun};

/// A turnout whose motor's contacts are these; the bus runs beside the lead and beside the road.
fn plan(motor: &str) -> String {
    format!(
        "[layout]\nname = \"t\"\nscale = \"OO\"\nfeeder_wire = \"1 mm²\"\n\
         [[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
         [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"9 m\"\n\
         [[bus]]\nname = \"far bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"9 m\"\n\
         [[turnout]]\nname = \"T1\"\nhand = \"left\"\nwiring = \"live-bonded\"\nlead = \"0.2 m\"\ntail = \"0.1 m\"\n\
         [[track]]\nname = \"lead\"\nfrom = \"beyond\"\nto = \"T1.points\"\nlength = \"1 m\"\nleft = \"bus.A\"\n\
         right = \"bus.B\"\nfeeders = [\"0.5 m\"]\nalong = {{ bus = \"bus\", from = \"0 m\", to = \"1 m\" }}\n\
         [[track]]\nname = \"road\"\nfrom = \"T1.through\"\nto = \"buffer\"\nlength = \"4 m\"\n\
         along = {{ bus = \"bus\", from = \"3 m\", to = \"7 m\" }}\n\
         [[motor]]\nname = \"M1\"\nmoves = \"T1\"\n{motor}\n"
    )
}

/// The wires of contact 1 by the terminal they leave.
fn wires(motor: &str) -> Vec<(&'static str, Edge, WireRun)> {
    let text = plan(motor);
    let reading = plan::read(&text);
    assert!(reading.understood(), "{:?}", reading.findings);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let all = EdgeId::each(&circuit.edges).filter_map(|(id, edge)| match edge.part {
        Part::ContactWire { contact: 0, terminal, .. } => Some((terminal, edge.clone(), circuit.runs[&id].clone())),
        _ => None,
    });
    all.collect()
}

fn of<'w>(wires: &'w [(&'static str, Edge, WireRun)], terminal: &str) -> &'w (&'static str, Edge, WireRun) {
    wires.iter().find(|w| w.0 == terminal).expect("a wire from that terminal")
}

/// IEC 60228, greatest resistance of flexible conductors, mΩ/m at 20 °C.
const HALF: f64 = 39.0;
const ONE: f64 = 19.5;
const ONE_AND_A_HALF: f64 = 13.3;

#[test]
fn what_is_said_nearest_to_a_wire_holds() {
    let found = wires(
        "wire = \"0.5 mm²\"\nwire_length = \"2 m\"\ncontact = [{ common = \"T1.frog\", \
         through = { to = \"bus.A @ 1 m\", length = \"70 cm\", wire = \"1.5 mm²\" }, diverging = \"bus.B @ 1 m\", length = \"3 m\" }]",
    );
    let ohms = |terminal: &str| of(&found, terminal).1.ohms.typical;
    let near = |found: f64, due: f64| assert!((found - due).abs() < 1e-9, "{found} is not {due}");
    near(ohms("common"), 3.0 * HALF * 1e-3);
    near(ohms("through"), 0.7 * ONE_AND_A_HALF * 1e-3);
    near(ohms("diverging"), 3.0 * HALF * 1e-3);
    assert!(matches!(of(&found, "through").2.source, RunSource::Plan(_)));

    // What the contact does not say, its motor does; what that does not say, the layout does.
    let found = wires(
        "wire_length = \"2 m\"\ncontact = [{ common = \"T1.frog\", through = \"bus.A @ 1 m\", diverging = \"bus.B @ 1 m\" }]",
    );
    near(of(&found, "common").1.ohms.typical, 2.0 * ONE * 1e-3);
    // 24 strands of 0.2 mm are π/4·0.96 mm² of copper of 1.7241e-8 Ω·m.
    let found = wires(
        "contact = [{ common = { to = \"T1.frog\", length = \"1 m\", wire = \"24/0.2\" }, through = \"bus.A\" }]",
    );
    near(of(&found, "common").1.ohms.low, 1.7241e-8 / (0.96e-6 * std::f64::consts::FRAC_PI_4));
}

#[test]
fn a_wire_that_is_led_along_a_bus_goes_its_way() {
    // The motor sits at the points, where the bus is at 1 m; the road's 2 m mark lies beside the bus at 5 m.
    let target = "road.left @ 2 m";
    let run = |keys: &str| {
        let found = wires(&format!("contact = [{{ common = \"T1.frog\", through = {keys} }}]"));
        of(&found, "through").2.clone()
    };
    let direct = run(&format!("\"{target}\""));
    let along = run(&format!("{{ to = \"{target}\", run = \"bus\" }}"));
    // Along the track: lead and tail of the turnout, and 2 m of the road.
    let near = |found: f64, due: f64| assert!((found - due).abs() < 1e-6, "{found} is not {due}");
    near(direct.way.expect("a way along the track"), 0.2 + 0.1 + 2.0);
    near(along.way.expect("a way along the track"), 5.0 - 1.0);
    near(along.metres, 4.0 + 0.3);
    assert_eq!(along.source, RunSource::Geometry);
    // A length that is written wins; the way is what it is held against.
    let short = run(&format!("{{ to = \"{target}\", run = \"bus\", length = \"2.5 m\" }}"));
    near(short.metres, 2.5);
    near(short.way.expect("a way along the track"), 4.0);
}

#[test]
fn a_run_that_nobody_knows_is_told() {
    let read = |run: &str| {
        let text = plan(&format!("contact = [{{ common = \"T1.frog\", through = \"bus.A\", run = \"{run}\" }}]"));
        let findings = plan::read(&text).findings;
        let told = findings.into_iter().filter(|f| f.name != "end-unjoined");
        told.map(|f| (f.name, f.message)).collect::<Vec<_>>()
    };
    assert!(read("bus").is_empty());
    assert_eq!(read("far bus"), [("missing-key", "no track says where bus `far bus` runs".to_owned())]);
    assert_eq!(read("buss").len(), 1);
}

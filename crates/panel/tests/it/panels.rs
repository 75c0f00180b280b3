//! Panels of plans: what buttons fire, over which wires, with which energy, and where parts lie.

use panel::bench::{BenchReading, matrix_bench};
use panel::energy::energy;
use panel::fired::NoRoute;
use panel::parts::PartKind;
use panel::wiring::network_of;
use panel::{Fired, MotorCoil, PanelEnd, PanelWireKind, WiredPanel, wired_panels};

const YARD: &str = include_str!("gull_sidings.toml");

fn with<T>(text: &str, question: impl FnOnce(&analysis::Analysis<'_>, &[WiredPanel]) -> T) -> T {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}", reading.findings);
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let fired = Fired { plan: facts.plan, names: facts.names, circuit: &facts.circuit, ways: facts.ways() };
    let panels = wired_panels(&fired);
    question(&facts, &panels)
}

/// A road's button throws every turnout on its route, named either way round; the wires do exactly that.
#[test]
fn a_button_fires_the_coils_of_its_route_and_no_other() {
    with(YARD, |_, panels| {
        let matrix = &panels[0].matrices[0];
        let coil = |motor, position| MotorCoil { motor, position };
        let asked: Vec<Vec<MotorCoil>> = (0..4)
            .map(|b| {
                (0..matrix.coils.len()).filter(|&c| matrix.wanted[c].contains(&b)).map(|c| matrix.coils[c]).collect()
            })
            .collect();
        assert_eq!(
            asked,
            [
                vec![coil(0, 1)],
                vec![coil(0, 0), coil(1, 1)],
                vec![coil(0, 0), coil(1, 0), coil(2, 1)],
                vec![coil(0, 0), coil(1, 0), coil(2, 0)],
            ]
        );
        // By hand: 4·3/2 - 1 diodes, see the ladder among the matrices.
        assert_eq!(matrix.matrix.diodes.len(), 5);
        assert_eq!(matrix.chained_diodes, 4);
        assert_eq!(matrix.faults.as_deref(), Some(&[][..]));
    });
}

/// The proof is made of the wires as they are listed: each wire or diode that is left out, and each diode turned round, is found.
#[test]
fn every_wire_of_the_list_is_needed() {
    for common in ["A", "B"] {
        let text = YARD.replace("common = \"B\"", &format!("common = \"{common}\""));
        with(&text, |_, panels| {
            let (panel, matrix) = (&panels[0], &panels[0].matrices[0]);
            let wires: Vec<_> = panel
                .wires
                .iter()
                .filter(|w| !matches!(w.kind, PanelWireKind::Lamp | PanelWireKind::Command))
                .cloned()
                .collect();
            let faults = |wires: &[panel::PanelWire]| {
                network_of(wires, matrix.supply, &matrix.buttons, &matrix.coils).faults(&matrix.wanted).unwrap()
            };
            assert_eq!(faults(&wires), []);
            for at in 0..wires.len() {
                let mut less = wires.clone();
                less.remove(at);
                assert_ne!(faults(&less), [], "common on {common}: nothing needs {:?}", wires[at]);
                if wires[at].kind == PanelWireKind::Diode {
                    let mut turned = wires.clone();
                    turned[at].ends.reverse();
                    assert_ne!(faults(&turned), [], "common on {common}: {:?} may be either way round", wires[at]);
                    let mut bridged = wires.clone();
                    bridged[at].kind = PanelWireKind::Coil;
                    assert_ne!(faults(&bridged), [], "common on {common}: {:?} may be a wire", wires[at]);
                }
            }
        });
    }
}

/// Whoever makes the readings of the bench notices every wire between buttons and strip that is left out, and every diode that is left
/// out, turned round or bridged: some reading is another one.
#[test]
fn readings_at_the_bench_notice_every_mistake() {
    let mut mistakes = 0;
    for (common, diodes) in [("A", "single"), ("B", "single"), ("A", "chained"), ("B", "chained")] {
        let text = YARD.replace("common = \"B\"", &format!("common = \"{common}\"\ndiodes = \"{diodes}\""));
        with(&text, |_, panels| {
            let (panel, matrix) = (&panels[0], &panels[0].matrices[0]);
            let sound = matrix_bench(panel, matrix).unwrap();
            assert_eq!(sound.tests.len(), 5);
            // By hand, road 2: its own coil beeps, T1's is behind a diode.
            let due = [(0, 0, BenchReading::Diodes(1)), (1, 1, BenchReading::Wire), (0, 1, BenchReading::Open)];
            for (motor, position, reading) in due {
                let end = PanelEnd::CoilStrip(MotorCoil { motor, position });
                assert_eq!(
                    sound.tests[2].readings.iter().find(|r| r.0 == end).unwrap().1,
                    reading,
                    "{common} {diodes}"
                );
            }
            assert!(sound.tests[0].readings.iter().all(|r| r.1 == BenchReading::Open));
            let mut noticed = |wires: Vec<panel::PanelWire>, what: &panel::PanelWire| {
                mistakes += 1;
                let other = WiredPanel { wires, ..panel.clone() };
                assert_ne!(matrix_bench(&other, matrix).as_ref(), Some(&sound), "{common} {diodes}: {what:?}");
            };
            let inside = |wire: &panel::PanelWire| {
                wire.ends
                    .iter()
                    .all(|e| matches!(e, PanelEnd::Part(..) | PanelEnd::CoilStrip(_) | PanelEnd::PartStrip(..)))
            };
            for at in (0..panel.wires.len()).filter(|&at| inside(&panel.wires[at])) {
                let wire = &panel.wires[at];
                let mut less = panel.wires.clone();
                less.remove(at);
                noticed(less, wire);
                if wire.kind == PanelWireKind::Diode {
                    let mut turned = panel.wires.clone();
                    turned[at].ends.reverse();
                    noticed(turned, wire);
                    let mut bridged = panel.wires.clone();
                    bridged[at].kind = PanelWireKind::Coil;
                    noticed(bridged, wire);
                }
            }
        });
    }
    assert!(mistakes > 70, "{mistakes}");
}

/// The route that is meant where several join two tracks, and what is said where it is not clear.
#[test]
fn a_route_is_that_between_two_tracks() {
    let act = |button: &str| {
        let (before, _) = YARD.split_once("button = [").unwrap();
        let text = format!("{before}button = [{button}]\n");
        with(&text, |_, panels| match &panels[0].parts.parts[0].kind {
            PartKind::Button(act) => act.clone(),
            other => panic!("{other:?}"),
        })
    };
    let whole = act("{ name = \"a\", route = { from = \"road 3, long\", to = \"lead\" } }");
    assert!(whole.whole.is_some() && whole.set.len() == 3, "{whole:?}");
    // Part of a route sets what lies between.
    let part = act("{ name = \"a\", route = { from = \"link 1\", to = \"road 2\" } }");
    assert_eq!((part.whole, part.set.len(), part.coils.len()), (None, 1, 1), "{part:?}");
    assert_eq!(act("{ name = \"a\", route = { from = \"road 1\", to = \"road 2\" } }").no_route, Some(NoRoute::None));
    assert_eq!(act("{ name = \"a\", route = { from = \"lead\", to = \"lead\" } }").no_route, Some(NoRoute::None));
    // What stands beside it is set too; two positions of one thing are told.
    let more = act("{ name = \"a\", route = { from = \"lead\", to = \"road 1\" }, sets = [\"T3 diverging\"] }");
    assert_eq!((more.set.len(), more.twice.len()), (2, 0), "{more:?}");
    let twice = act("{ name = \"a\", route = { from = \"lead\", to = \"road 1\" }, sets = [\"T1 through\"] }");
    assert_eq!(twice.twice.len(), 1, "{twice:?}");
}

/// By hand: 10 mF at 24 V hold 2.88 J; a coil of 3 A takes 24 V · 3 A · 50 ms = 3.6 J, more with a diode's 0.9 V before it.
#[test]
fn energy_is_what_the_formulas_give() {
    with(YARD, |facts, _| {
        let coil = |motor| MotorCoil { motor, position: 0 };
        let one = energy(facts.plan, 1, &[(coil(0), 0)]);
        assert!((one.needs.typical - 3.6).abs() < 1e-9 && (one.needs.low - one.needs.high).abs() < 1e-9, "{one:?}");
        let holds = one.holds.unwrap();
        assert!((holds.typical - 2.88).abs() < 1e-9 && (holds.low - 2.304).abs() < 1e-9, "{holds:?}");
        let two = energy(facts.plan, 1, &[(coil(0), 1), (coil(2), 1)]);
        assert!((two.needs.typical - 2.0 * 24.9 * 3.0 * 0.05).abs() < 1e-9, "{two:?}");
        assert_eq!((two.is_enough(), two.is_sure(), two.assumed.len()), (Some(false), Some(false), 0));
        let unsaid = energy(facts.plan, 1, &[(coil(1), 1)]);
        assert_eq!(unsaid.assumed, ["current", "pulse"]);
        assert!((unsaid.needs.high - 25.1 * 5.0 * 0.1).abs() < 1e-9, "{unsaid:?}");
    });
}

/// What has no place gets one beside what has, on the panel; what has a place keeps it, counted from the side that the plan names.
#[test]
fn parts_without_a_place_get_one() {
    with(YARD, |_, panels| {
        let parts = &panels[0].parts;
        assert!(parts.off_edge.is_empty() && parts.too_near.is_empty(), "{parts:?}");
        let assumed: Vec<&str> = parts.parts.iter().filter(|p| p.at_assumed).map(|p| p.name.as_str()).collect();
        assert_eq!(assumed, ["4"]);
        assert_eq!(parts.parts[0].at, [0.04, 0.06]);
        // Not upon the lettering at the top either.
        let four = &parts.parts[3];
        assert!(four.at[1] - four.hole / 2.0 > 0.015 + 0.003 || (four.at[0] - 0.11).abs() > 0.035, "{four:?}");
        assert!((parts.letters - 0.00448).abs() < 1e-5);
    });
    with(&YARD.replace("common = \"B\"", "common = \"B\"\nseen = \"back\""), |_, panels| {
        let at = panels[0].parts.parts[0].at;
        assert!((at[0] - 0.18).abs() < 1e-9 && (at[1] - 0.06).abs() < 1e-9, "{at:?}");
    });
    let near = YARD.replace("left = \"85 mm\"", "left = \"50 mm\"");
    with(&near, |_, panels| assert_eq!(panels[0].parts.too_near, [[0, 1]]));
}

/// A panel of which only what it controls is said gets a button for each position, all of it assumed; a plan in feet likewise.
#[test]
fn what_a_panel_controls_is_laid_out() {
    for demo in oracle::demos().unwrap() {
        with(&demo.text, |facts, panels| {
            for wired in panels {
                let parts = &wired.parts;
                assert!(parts.off_edge.is_empty() && parts.too_near.is_empty(), "{}: {parts:#?}", demo.name);
                let table = &facts.plan.panel[parts.panel];
                if table.button.is_empty() && table.switch.is_empty() {
                    assert!(parts.parts.iter().all(|p| p.said.is_none() && p.at_assumed), "{}", demo.name);
                    assert!(!parts.is_empty() || !parts.not_set.is_empty(), "{}", demo.name);
                }
                for part in &parts.parts {
                    if let PartKind::Button(act) = &part.kind {
                        assert!(act.no_route.is_none() && act.twice.is_empty(), "{}: {part:?}", demo.name);
                    }
                }
            }
        });
    }
}

/// Motors with drivers are thrown by commands; a button's second contact closes nothing of the first.
#[test]
fn commands_have_contacts_of_their_own() {
    let both = YARD.replace(
        "name   = \"M2\"\nmoves  = \"T2\"\nkind   = \"solenoid\"\nsupply = \"points unit\"",
        "name = \"M2\"\nmoves = \"T2\"\ndriver = \"D\"",
    ) + "\n[[driver]]\nname = \"D\"\nkind = \"decoder\"\naddress = 7\nfrom = \"bus @ 1 m\"\n";
    with(&both, |_, panels| {
        let inputs: Vec<usize> = panels[0]
            .wires
            .iter()
            .filter_map(|w| if let PanelEnd::Input(part) = w.ends[1] { Some(part) } else { None })
            .collect();
        // Road 1 lies before T2.
        assert_eq!(inputs, [1, 2, 3]);
        assert_eq!(panels[0].contacts(0), 1);
        assert_eq!(panels[0].contacts(1), 2);
        assert_eq!(panels[0].matrices[0].faults.as_deref(), Some(&[][..]));
    });
}

/// The table of routes: a yard's roads share its lead; a supply for one train keeps two lines apart that no rail does.
#[test]
fn routes_exclude_each_other_over_tracks_and_supplies() {
    with(YARD, |facts, _| {
        let table = panel::interlocked::route_table(facts, &[0, 1, 2, 3]).unwrap();
        for one in 0..4 {
            for other in (0..4).filter(|&o| o != one) {
                assert_eq!(table.go_together(one, other), Some(false));
            }
        }
    });
    let line = |name: &str| {
        format!(
            "[[track]]\nname = \"{name}\"\nfrom = \"beyond\"\nto = \"{name}T.points\"\nlength = \"1 m\"\nleft = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"0.5 m\"]\n[[turnout]]\nname = \"{name}T\"\nhand = \"left\"\nwiring = \"insulated-bonded\"\n"
        )
    };
    let text = |rating: &str| {
        format!(
            "[layout]\nname = \"two\"\nscale = \"OO\"\n[[supply]]\nname = \"s\"\nvoltage = \"15 V\"\nrating = \"{rating}\"\n\
             [[bus]]\nname = \"bus\"\nsupply = \"s\"\nwire = \"1.5 mm²\"\nlength = \"2 m\"\n[[train]]\nname = \"t\"\nlength = \"1 m\"\n\
             draws = {{ running = \"0.6 A\" }}\n{}{}",
            line("up"),
            line("down")
        )
    };
    for (rating, together) in [("1.2 A", true), ("1.1 A", false)] {
        with(&text(rating), |facts, _| {
            let routes: Vec<usize> = (0..facts.ways().list.len()).collect();
            let table = panel::interlocked::route_table(facts, &routes).unwrap();
            let place = |name: &str| facts.ways().list.iter().position(|w| w.name.contains(name)).unwrap();
            assert_eq!(table.go_together(place("up"), place("down")), Some(together), "{rating}");
        });
    }
}

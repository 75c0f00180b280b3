//! A club's spreadsheet becomes a plan.

use design::sheet::{SheetError, Sheets, plan_from_sheets};
use design::wiring::propose_wiring;

fn made(sheets: Sheets<'_>) -> design::sheet::SheetPlan {
    plan_from_sheets(Sheets { name: "Club", scale: "HO", ..sheets }).unwrap_or_else(|why| panic!("{why}"))
}

/// What is wrong with a table of tracks.
fn wrong(tracks: &str) -> String {
    plan_from_sheets(Sheets { tracks, name: "Club", scale: "HO", ..Sheets::default() })
        .expect_err("an error")
        .to_string()
}

#[test]
fn tracks_alone_become_a_plan_that_can_be_wired() {
    // As a spreadsheet writes it where a comma is in a number; ends named as people do.
    let tracks = "\u{feff}Track;From;To;Length (m)\r\n\"lead, outer\";edge;T1 points;1,5\r\nroad 1;T1.diverging;bumper;2\r\n\
                  road 2;T1.through;road 3;2 ft\r\nroad 3;road 2;;0,8\r\n;;;\r\n";
    let plan = made(Sheets { tracks, ..Sheets::default() });
    assert_eq!(plan.counts, [4, 1]);
    let reading = plan::read(&plan.text);
    assert!(reading.understood(), "{}\n{:?}", plan.text, reading.findings);
    assert_eq!(reading.plan.track[0].name.value, "lead, outer");
    assert_eq!(reading.plan.track[2].to.value, "road 3.from");
    assert!(plan.assumed.iter().any(|a| a.contains("hand of `T1`")), "{:?}", plan.assumed);
    assert_eq!(plan.text.matches("# assumed").count(), 4, "{}", plan.text);
    let proposed = propose_wiring(&plan.text).expect("a proposal");
    assert!(proposed.left.is_empty(), "{:?}", proposed.left);
}

#[test]
fn turnouts_and_wires_are_taken_as_they_are_said() {
    let tracks =
        "name,from,to,length\nlead,beyond,T1.points,6 ft\nmain,T1.through,beyond,8 ft\nspur,T1.diverging,buffer,4 ft\n";
    let turnouts = "name,hand,number,wiring\nT1,RH,6,live-bonded\n";
    let wires = "from,to,wire,length\nlead.left @ 1 ft,bus.A,20 AWG,10 in\nbus.B,lead right @ 1 ft,20 AWG,\n\
                 M1.1.common,T1.frog,,\nM1.1.through,bus.B,,\nbus.A,M1.1.diverging,,\nspur.left @ 1 ft,bus.B,,\n";
    let plan = made(Sheets { tracks, turnouts: Some(turnouts), wires: Some(wires), ..Sheets::default() });
    let reading = plan::read(&plan.text);
    assert!(reading.understood(), "{}\n{:?}", plan.text, reading.findings);
    let motor = &reading.plan.motor[0];
    assert_eq!((motor.moves.0[0].value.as_str(), motor.contact.items.len()), ("T1", 1));
    let lead = &reading.plan.track[0];
    assert_eq!(lead.feeders.items.len(), 2);
    assert_eq!(lead.right.as_ref().map(|r| r.value.as_str()), Some("bus.B"));
    assert_eq!(reading.plan.turnout[0].hand.value, plan::tables::Hand::Right);
}

#[test]
fn what_is_wrong_names_its_line() {
    let head = "name,from,to,length\n";
    for (tracks, says) in [
        ("", "there is nothing in it"),
        ("a,b\n1,2\n", "no column is called name, from, to, length"),
        (&format!("{head}a,beyond,buffer,long\n"), "line 2: `long` is no length"),
        (&format!("{head}a,beyond,buffer,2\n"), "write its unit"),
        (&format!("{head}a,beyond,buffer,2 m\nb,T1.heel,buffer,2 m\n"), "line 3: `T1.heel` is no end"),
        (&format!("{head}a,b,buffer,2 m\nb,beyond,buffer,2 m\n"), "line 2: which end of `b` is meant?"),
        (&format!("{head},beyond,buffer,2 m\n"), "line 2: this track has no name"),
        (&format!("{head}a,beyond,buffer,\n"), "line 2: this track has no length"),
    ] {
        let why = wrong(tracks);
        assert!(why.contains(says), "{tracks}: {why}");
    }
    let scale = plan_from_sheets(Sheets { tracks: head, name: "x", scale: "HOO", ..Sheets::default() });
    assert!(matches!(scale, Err(SheetError::Scale { .. })));
    let wires = Some("from,to\na.left @ 1 m,nowhere\n");
    let tracks = &format!("{head}a,beyond,buffer,2 m\n");
    let why = plan_from_sheets(Sheets { tracks, wires, name: "x", scale: "N", ..Sheets::default() })
        .expect_err("a wrong wire");
    assert!(why.to_string().contains("line 2: `nowhere` is nothing a wire can end at"), "{why}");
}

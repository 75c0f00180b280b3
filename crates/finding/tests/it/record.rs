//! The record other programs get, field by field.

use finding::{Edit, Finding, FindingRecord, FindingWitness, Harm, Place, to_record};

#[test]
fn every_field_in_its_order() {
    let plan = "name = \"Ω\"\nwiring = \"live-bonded\"\n";
    let finding = Finding::error("short-circuit", Harm::CanBurn, "A meets B")
        .at(Place::new(21..34), "bonded here")
        .also(Place::new(7..10), "")
        .witness(FindingWitness {
            setting: vec![("T1".into(), "diverging".into())],
            path: vec!["booster.A".into(), "booster.B".into()],
        })
        .fact("41 A")
        .help("cut a gap")
        .proposal("cut it", vec![Edit::replace(Place::new(21..34), "\"live-gapped\"")]);
    let record = to_record(&finding, plan);
    let json = serde_json::to_string(&record).expect("a record is JSON");
    let fault =
        r#"{"line":2,"column":10,"end_line":2,"end_column":23,"byte_start":21,"byte_end":34,"text":"\"live-bonded\""}"#;
    let other = r#"{"line":1,"column":8,"end_line":1,"end_column":10,"byte_start":7,"byte_end":10,"text":"\"Ω"}"#;
    let expected = [
        r#"{"name":"short-circuit","severity":"error","harm":"can-burn","message":"A meets B","#,
        &format!(
            r#""place":{fault},"labels":[{{"place":{fault},"words":"bonded here"}},{{"place":{other},"words":""}}],"#
        ),
        r#""witness":{"setting":[{"control":"T1","position":"diverging"}],"path":["booster.A","booster.B"]},"#,
        r#""facts":["41 A"],"help":"cut a gap","#,
        r#""proposal":{"says":"cut it","edits":[{"byte_start":21,"byte_end":34,"text":"\"live-gapped\""}]}}"#,
    ];
    assert_eq!(json, expected.concat());
    let back: FindingRecord = serde_json::from_str(&json).expect("and can be read back");
    assert_eq!(back, record);
}

#[test]
fn what_is_not_there_is_null() {
    let record = to_record(&Finding::note("defaults-used", Harm::GoodToKnow, "3 values"), "");
    assert_eq!(
        serde_json::to_string(&record).expect("a record is JSON"),
        r#"{"name":"defaults-used","severity":"note","harm":"good-to-know","message":"3 values","place":null,"labels":[],"witness":null,"facts":[],"help":null,"proposal":null}"#
    );
}

#[test]
fn long_text_is_cut_and_places_are_not() {
    let plan = "Ω".repeat(1000);
    let record = to_record(&Finding::note("seen", Harm::GoodToKnow, "m").at(Place::new(0..usize::MAX), ""), &plan);
    let place = record.place.expect("it has a place");
    assert_eq!((place.line, place.column, place.end_line, place.end_column), (1, 1, 1, 1001));
    assert_eq!((place.byte_start, place.byte_end), (0, 2000));
    assert_eq!(place.text, format!("{}…", "Ω".repeat(400)));
}

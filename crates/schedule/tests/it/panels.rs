//! Wires of panels: their numbers last, and what stands on paper does what the buttons should.

use crate::common::{names_of, renamed};
use panel::sneak::{FiringNetwork, Link, MINUS, PLUS, SneakFault};
use schedule::paper::Table;
use schedule::tables::panels::{PanelTables, panels};
use schedule::{Choices, Job, Number, NumbersRecord, panel_wires};
use std::collections::BTreeMap;

const YARD: &str = include_str!("../../../panel/tests/it/gull_sidings.toml");

fn job<T>(text: &str, kept: Option<&NumbersRecord>, then: impl FnOnce(&Job<'_>) -> T) -> T {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}", reading.findings);
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    then(&Job::carried_where_kept(facts, Choices::default(), kept))
}

/// Each wire and diode by what it ends at.
fn numbered(job: &Job<'_>) -> BTreeMap<[String; 2], Number> {
    let wired = job.panels();
    let wires = wired.iter().flat_map(|w| panel_wires::scheduled(job, w));
    wires.map(|wire| (wire.ends.clone(), wire.number)).collect()
}

/// A button more in the midst, another place, another name of the panel: what still joins the same two terminals keeps its number, and
/// what is gone gives its number to nothing else.
#[test]
fn numbers_of_panel_wires_last() {
    let (first, record) = job(YARD, None, |job| (numbered(job), job.record()));
    assert!(first.len() > 20, "{first:?}");
    assert_eq!(NumbersRecord::read(&record.to_csv()).as_ref(), Ok(&record));
    let more = YARD.replace(
        "  { name = \"2\",",
        "  { name = \"1a\", sets = [\"T1 through\"], at = { left = \"62 mm\", top = \"85 mm\" } },\n  { name = \"2\",",
    );
    for text in [
        more.clone(),
        more.replace("gull panel", "another, name"),
        YARD.replace("left = \"85 mm\"", "left = \"90 mm\""),
    ] {
        let (now, then) = job(&text, Some(&record), |job| (numbered(job), job.record()));
        let mut same = 0;
        for (ends, number) in &now {
            if let Some(before) = first.get(ends) {
                assert_eq!(before, number, "{ends:?}");
                same += 1;
            }
        }
        assert!(same + 3 >= first.len(), "{same} of {}", first.len());
        // Back again: nothing has moved.
        let again = job(YARD, Some(&then), numbered);
        let kept = again.iter().filter(|(ends, number)| first.get(*ends) == Some(number)).count();
        assert!(kept + 3 >= first.len(), "{kept} of {}", first.len());
    }
    // A number that was given up is given to nothing else.
    let line = "  { name = \"2\", route = { from = \"lead\", to = \"road 2\" }, at = { left = \"85 mm\", top = \"60 mm\" } },\n";
    let without = YARD.replace(line, "");
    assert_ne!(without, YARD);
    let (less, then) = job(&without, Some(&record), |job| (numbered(job), job.record()));
    let gone: Vec<Number> = first.values().filter(|n| !less.values().any(|l| l == *n)).copied().collect();
    assert!(gone.len() > 2, "{gone:?}");
    let with_other = without.replace("name = \"4\"", "name = \"5\", sets = [\"T2 diverging\"] },\n  { name = \"4\"");
    let other = job(&with_other, Some(&then), numbered);
    assert!(other.len() > less.len());
    assert!(other.values().all(|number| !gone.contains(number)), "{gone:?} {other:?}");
}

/// What tracks, motors, turnouts, buttons, lamps and the panel are called changes no number, with a record and without: not even where
/// all of it is called otherwise at once.
#[test]
fn new_names_change_no_number_of_a_panel() {
    let by_wire = |job: &Job<'_>| -> Vec<Number> {
        let panels = job.panels();
        panels
            .iter()
            .flat_map(|w| (0..w.wires.len()).filter_map(|at| job.numbers.of_panel(w.parts.panel, at)))
            .collect()
    };
    let extra = "\n[[panel]]\nname = \"second\"\n";
    let yard = format!("{YARD}{extra}");
    let (first, record) = job(&yard, None, |job| (by_wire(job), job.record()));
    assert!(first.len() > 20);
    let record = NumbersRecord::read(&record.to_csv()).unwrap();
    let mut names = names_of(YARD);
    names.extend(["gull panel", "1", "2", "3", "4"].map(str::to_owned));
    // Each thing by itself, in an order of names that is another one.
    let new_name = |at: usize| format!("{}, {at} to x", char::from(b'z' - (at % 20) as u8));
    for (at, name) in names.iter().enumerate() {
        let text = called(&yard, name, &new_name(at));
        assert_ne!(text, yard, "{name}");
        assert_eq!(job(&text, None, by_wire), first, "{name}");
        assert_eq!(job(&text, Some(&record), by_wire), first, "{name}, carried");
    }
    let all = names.iter().enumerate().fold(yard.clone(), |t, (at, name)| called(&t, name, &new_name(at)));
    assert_eq!(job(&all, None, by_wire), first);
    assert_eq!(job(&all, Some(&record), by_wire), first, "carried");
}

fn called(text: &str, old: &str, new: &str) -> String {
    // What buttons are called stands nowhere else; `"1.5 mm²"` is none of them.
    if old.len() == 1 {
        return text.replace(&format!("name = \"{old}\""), &format!("name = \"{new}\""));
    }
    renamed(text, old, new)
}

/// Rows of a table as the words in two of its columns.
fn ends(table: &Table, columns: [&str; 2]) -> Vec<[String; 2]> {
    let at = columns.map(|title| table.columns.iter().position(|c| c.title == title).expect("a column"));
    table.rows.iter().map(|row| at.map(|column| row.cells[column].shown().to_owned())).collect()
}

/// The network that the words of the papers make, read by somebody who knows nothing but them.
fn built(tables: &PanelTables, buttons: &[&str], coils: &[&str], supply: &str) -> FiringNetwork {
    let mut network = FiringNetwork::new(buttons.len(), coils.len());
    let mut points: BTreeMap<String, usize> = BTreeMap::new();
    points.insert(format!("{supply}.A (+)"), PLUS);
    points.insert(format!("{supply}.B (-)"), MINUS);
    let mut links = Vec::new();
    let mut point =
        |network: &mut FiringNetwork, words: &str| *points.entry(words.to_owned()).or_insert_with(|| network.point());
    let wires = ends(&tables.wire_list, ["from", "to"]).into_iter().map(|e| (e, Link::Wire));
    let diodes = ends(&tables.diodes, ["end without band at", "banded end at"]).into_iter().map(|e| (e, Link::Diode));
    for ([one, other], link) in wires.chain(diodes) {
        let (one, other) = (point(&mut network, &one), point(&mut network, &other));
        links.push((one, other, link));
    }
    for (number, name) in buttons.iter().enumerate() {
        let (one, other) = (
            point(&mut network, &format!("button {name}, terminal 1")),
            point(&mut network, &format!("button {name}, terminal 2")),
        );
        links.push((one, other, Link::Button(number)));
    }
    for (number, name) in coils.iter().enumerate() {
        let motor = name.split(' ').next().unwrap_or_default();
        let (one, other) = (point(&mut network, name), point(&mut network, &format!("{motor} common")));
        links.push((one, other, Link::Coil(number)));
    }
    network.links = links;
    network
}

#[test]
fn what_is_built_from_the_papers_fires_what_it_should() {
    let coils = [
        "M1 coil through",
        "M1 coil diverging",
        "M2 coil through",
        "M2 coil diverging",
        "M3 coil through",
        "M3 coil diverging",
    ];
    // Road by road, from the drawing of the yard: M1 diverging for road 1, through for all others, and so on.
    let wanted = [vec![1, 2, 3], vec![0], vec![2, 3], vec![1], vec![3], vec![2]];
    for (common, diodes) in [("A", "single"), ("B", "single"), ("A", "chained"), ("B", "chained")] {
        let text = YARD.replace("common = \"B\"", &format!("common = \"{common}\"\ndiodes = \"{diodes}\""));
        job(&text, None, |job| {
            let tables = &panels(job)[0];
            let network = built(tables, &["1", "2", "3", "4"], &coils, "points unit");
            assert_eq!(network.faults(&wanted).unwrap(), [], "{common} {diodes}");
            // Somebody who forgets the second road's button finds that out.
            let faults = network.faults(&[vec![1, 2, 3], vec![0], vec![2, 3], vec![], vec![3], vec![2]]).unwrap();
            assert!(matches!(faults.as_slice(), [SneakFault::Sneak { coil: 3, .. }]), "{faults:?}");
            assert_eq!(tables.diodes.rows.len(), if diodes == "single" { 5 } else { 4 });
        });
    }
}

/// The components are those that the wires need; the shopping list has them.
#[test]
fn components_are_counted() {
    job(YARD, None, |job| {
        let list = schedule::tables::shopping_list(job);
        let count = |name: &str| list.iter().filter(|l| l.name.starts_with(name)).map(|l| l.net).sum::<f64>();
        assert_eq!(count("diode, 3 A"), 5.0);
        assert_eq!(count("push button"), 4.0);
        assert_eq!(count("light-emitting diode, green"), 1.0);
        // By hand: (15 V - 2 V) / 5 mA = 2.6 kΩ; the next of the series is 2.7 kΩ.
        assert_eq!(list.iter().filter(|l| l.name.starts_with("resistor 2.7 kΩ")).count(), 1, "{list:#?}");
    });
    for (ohms, next) in [(2600.0, 2700.0), (1000.0, 1000.0), (8300.0, 10_000.0), (0.99, 1.0), (120.1, 150.0)] {
        assert!((schedule::tables::panel_components::next_resistor(ohms) - next).abs() < 1e-6 * next, "{ohms}");
    }
}

/// Holes in inches are those of the next drill: 12 mm are 0.4724 in, between 30 and 31 sixty-fourths.
#[test]
fn holes_are_told_as_drills() {
    use schedule::Units;
    use schedule::tables::panel_words::drill;
    for (millimetres, inches) in
        [(12.0, "31/64 in"), (12.7, "1/2 in"), (30.5, "1 13/64 in"), (25.4, "1 in"), (5.0, "13/64 in")]
    {
        assert_eq!(drill(Units::Imperial, millimetres / 1e3), inches);
    }
    assert_eq!([16.2, 12.0].map(|mm| drill(Units::Metric, mm / 1e3)), ["16.2 mm", "12 mm"]);
}

//! Things, places and tests as cells of a line: of the record of numbers, and of what an entry of a logbook is about.

use crate::items::KeyPoint;
use crate::test_key::TestKey;
use crate::things::{Join, Thing, ThingId, Things};
use plan::Kind;

/// The third cell of what is a position and no place.
const POSITION: &str = "set";

/// Kinds of things that wires end at, by their word in the record.
const KINDS: [Kind; 15] = [
    Kind::Supply,
    Kind::Bus,
    Kind::Track,
    Kind::Turnout,
    Kind::Crossing,
    Kind::Slip,
    Kind::ThreeWay,
    Kind::Turntable,
    Kind::Driver,
    Kind::Motor,
    Kind::Relay,
    Kind::Toggle,
    Kind::Reverser,
    Kind::Detector,
    Kind::Panel,
];

/// A thing: `thing`, kind, name, what it is, then joins by threes.
pub(crate) fn thing_cells(thing: &Thing) -> Vec<&str> {
    let joins = thing.joins.iter().flat_map(|j| [j.port.as_str(), &j.other, &j.part]);
    ["thing", thing.kind.word(), &thing.name, &thing.own].into_iter().chain(joins).collect()
}

/// The thing of the cells behind `thing`; or what is wrong with them.
pub(crate) fn thing_from_cells(cells: &[&str]) -> Result<Thing, &'static str> {
    let [kind, name, own, joins @ ..] = cells else { return Err("a thing has a kind, a name and what it is") };
    let kind = KINDS.into_iter().find(|k| k.word() == *kind).ok_or("this kind of thing is not known")?;
    let joins = joins.chunks(3).map(|join| match join {
        [port, other, part] => {
            Ok(Join { port: (*port).to_owned(), other: (*other).to_owned(), part: (*part).to_owned() })
        }
        _ => Err("what it joins is said by threes: part, other, part of the other"),
    });
    Ok(Thing { kind, name: (*name).to_owned(), own: (*own).to_owned(), joins: joins.collect::<Result<_, _>>()? })
}

/// A test: what is looked at, then by threes: places, positions.
pub(crate) fn test_cells(key: &TestKey, things: &Things) -> Vec<String> {
    let name_of = |thing: Option<ThingId>| {
        thing.and_then(|t| things.list.get(t.listed()?)).map_or_else(String::new, |t| t.name.clone())
    };
    let mut cells = vec![key.what.clone()];
    for end in &key.ends {
        cells.extend([name_of(end.thing), end.part.clone(), end.place.map_or_else(String::new, |p| p.to_string())]);
    }
    for (thing, position) in &key.set {
        cells.extend([name_of(*thing), position.clone(), POSITION.to_owned()]);
    }
    cells
}

/// The test of its cells, in the order in which they stand.
pub(crate) fn test_from_cells(what: &str, rest: &[&str], things: &Things) -> TestKey {
    let mut key = TestKey { what: what.to_owned(), ends: Vec::new(), set: Vec::new() };
    for triple in rest.chunks(3) {
        match triple {
            [thing, position, POSITION] => {
                let thing = things.named(thing).map(ThingId::Listed);
                key.set.push((thing, (*position).to_owned()));
            }
            [thing, part, place] => key.ends.push(point([thing, part, place], things)),
            _ => {}
        }
    }
    key
}

/// A place: thing, part, hundredths of a millimetre or which part of a panel.
pub(crate) fn point([thing, part, place]: [&str; 3], things: &Things) -> KeyPoint {
    let thing = things.named(thing);
    let kind = thing.map(|t| things.list[t].kind);
    KeyPoint {
        thing: thing.map(ThingId::Listed),
        own: !matches!(kind, Some(Kind::Bus | Kind::Supply) | None),
        is_member: kind == Some(Kind::Panel),
        part: part.to_owned(),
        place: place.parse().ok(),
    }
}

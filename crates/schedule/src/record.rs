//! The record of the numbers that were given: a file the builder keeps beside the plan, so that the next papers go on
//! from it.
//!
//! It holds the things of the plan as well as the numbers, so that a thing that was renamed meanwhile is found again. It
//! is comma-separated values; the first cell of each line says what it is:
//!
//! ```text
//! record,1
//! thing,track,dock 1,240000,from,T1,diverging,to,,buffer     kind, name, what it is, then joins by threes
//! number,F-12,feeder,dock 1,left,40000,main bus,A,230000      what, then both ends: thing, part, place in 1/100 mm
//! highest,F,17                                               the highest number of a class that was ever given
//! ```

use crate::items::{ItemKey, KeyPoint, items};
use crate::number::{Number, NumberClass};
use crate::numbers::Numbers;
use crate::recognise::recognise;
use crate::things::{Join, Thing, ThingId, Things};
use circuit::Circuit;
use plan::tables::Plan;
use plan::{Kind, Names};
use std::collections::BTreeMap;
use text::csv::{ReadError, escape_formula, lines, read};

/// Which number each wire, gap and joint of a plan was given.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NumbersRecord {
    pub(crate) things: Things,
    pub(crate) numbered: Vec<(Number, ItemKey)>,
    pub(crate) highest: BTreeMap<NumberClass, u32>,
}

/// Kinds of things that wires end at, by their word in the record.
const KINDS: [Kind; 14] = [
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
];

/// The highest number that a record can hold; a hundred times what the largest plan has.
const MOST_GIVEN: u32 = 9_999_999;
const TOO_HIGH: &str = "no number is higher than 9999999; go on from a copy of the record that is whole";

impl NumbersRecord {
    /// The record of a plan's numbers.
    pub fn new(circuit: &Circuit, plan: &Plan, numbers: &Numbers) -> NumbersRecord {
        let things = Things::from_plan(plan, &Names::from_plan(plan));
        let items = items(circuit, Some(plan));
        let numbered =
            items.iter().filter_map(|item| Some((numbers.number(item)?, ItemKey::from_item(item, &things)))).collect();
        NumbersRecord { things: things.without_indices(), numbered, highest: numbers.highest().clone() }
    }

    /// How many of the things it holds a plan has under the same names, and how many it holds: where hardly any is there, it is
    /// the record of another layout.
    pub fn known_to(&self, names: &Names) -> [usize; 2] {
        let there = |thing: &&Thing| names.get(&thing.name).is_some_and(|(kind, _)| kind == thing.kind);
        [self.things.list.iter().filter(there).count(), self.things.list.len()]
    }

    /// The record as comma-separated values.
    pub fn to_csv(&self) -> String {
        let row =
            |cells: Vec<&str>| cells.into_iter().map(|cell| escape_formula(cell).into_owned()).collect::<Vec<_>>();
        let head = std::iter::once(row(vec!["record", "1"]));
        let things = self.things.list.iter().map(|thing| {
            let joins = thing.joins.iter().flat_map(|j| [j.port.as_str(), &j.other, &j.part]);
            row(["thing", thing.kind.word(), &thing.name, &thing.own].into_iter().chain(joins).collect())
        });
        let numbers = self.numbered.iter().map(|(number, key)| {
            let mut cells = row(vec!["number", &number.to_string(), &key.what]);
            for end in &key.ends {
                let thing = end.thing.and_then(|t| self.things.list.get(t.listed()?)).map_or("", |t| t.name.as_str());
                let place = end.place.map_or_else(String::new, |p| p.to_string());
                cells.extend(row(vec![thing, &end.part]));
                cells.push(place);
            }
            cells
        });
        let highest = self
            .highest
            .iter()
            .map(|(class, count)| row(vec!["highest", &class.letter().to_string(), &count.to_string()]));
        lines(head.chain(things).chain(numbers).chain(highest))
    }

    /// Reads a record.
    ///
    /// # Errors
    /// With the line, where it is none.
    pub fn read(text: &str) -> Result<NumbersRecord, ReadError> {
        let mut record = NumbersRecord::default();
        let rows = read(text)?;
        let first = rows.first().map(|(_, cells)| cells.iter().map(String::as_str).collect::<Vec<_>>());
        if first.as_deref() != Some(&["record", "1"]) {
            return Err(ReadError {
                line: 1,
                what: "this is no record of numbers; it begins with `record,1`".to_owned(),
            });
        }
        let mut given = std::collections::BTreeSet::new();
        for (line, cells) in &rows[1..] {
            let wrong = |what: &str| ReadError { line: *line, what: what.to_owned() };
            match cells.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
                ["thing", kind, name, own, joins @ ..] => {
                    let kind = KINDS.into_iter().find(|k| k.word() == *kind);
                    let kind = kind.ok_or_else(|| wrong("this kind of thing is not known"))?;
                    let joins = joins.chunks(3).map(|join| match join {
                        [port, other, part] => {
                            Ok(Join { port: (*port).to_owned(), other: (*other).to_owned(), part: (*part).to_owned() })
                        }
                        _ => Err(wrong("what it joins is said by threes: part, other, part of the other")),
                    });
                    let joins = joins.collect::<Result<_, _>>()?;
                    record.things.push(Thing { kind, name: (*name).to_owned(), own: (*own).to_owned(), joins });
                }
                ["number", number, what, one @ .., a, b, c] if one.len() == 3 => {
                    let number: Number = number.parse().map_err(|()| wrong("this is no number such as `F-12`"))?;
                    if number.count > MOST_GIVEN {
                        return Err(wrong(TOO_HIGH));
                    }
                    let ends = [[one[0], one[1], one[2]], [*a, *b, *c]].map(|[thing, part, place]| {
                        let thing = record.things.named(thing);
                        let kind = thing.map(|t| record.things.list[t].kind);
                        let own = !matches!(kind, Some(Kind::Bus | Kind::Supply) | None);
                        KeyPoint {
                            thing: thing.map(ThingId::Listed),
                            own,
                            part: part.to_owned(),
                            place: place.parse().ok(),
                        }
                    });
                    if !given.insert(number) {
                        return Err(wrong("this number is given twice"));
                    }
                    let highest = record.highest.entry(number.class).or_default();
                    *highest = number.count.max(*highest);
                    record.numbered.push((number, ItemKey { class: number.class, what: (*what).to_owned(), ends }));
                }
                ["highest", class, count] => {
                    let class = NumberClass::ALL.into_iter().find(|c| c.letter().to_string() == *class);
                    let class = class.ok_or_else(|| wrong("this class of numbers is not known"))?;
                    let count: u32 = count.parse().map_err(|_| wrong("this is no count"))?;
                    if count > MOST_GIVEN {
                        return Err(wrong(TOO_HIGH));
                    }
                    let highest = record.highest.entry(class).or_default();
                    *highest = count.max(*highest);
                }
                _ => return Err(wrong("a line says `thing`, `number` or `highest` and what belongs to it")),
            }
        }
        Ok(record)
    }
}

impl Numbers {
    /// The numbers that an earlier record gives to what is still there, and new ones, higher than any that was ever
    /// given, to what is new. The number of what is gone is not given again.
    pub fn carried(circuit: &Circuit, plan: &Plan, record: &NumbersRecord) -> Numbers {
        let things = Things::from_plan(plan, &Names::from_plan(plan));
        let to = things.matched(&record.things);
        let items = items(circuit, Some(plan));
        let keys: Vec<ItemKey> = items.iter().map(|item| ItemKey::from_item(item, &things)).collect();
        let old: Vec<ItemKey> = record.numbered.iter().map(|(_, key)| key.clone().renumbered(&to)).collect();
        let of = recognise(&old, &keys);
        Numbers::given(&items, |i| of[i].map(|o| record.numbered[o].0), record.highest.clone())
    }
}

//! The record of the numbers that were given: a file the builder keeps beside the plan, so that the next papers go on
//! from it.
//!
//! It holds the things of the plan as well as the numbers, so that a thing that was renamed meanwhile is found again. It
//! is comma-separated values; the first cell of each line says what it is:
//!
//! ```text
//! record,1
//! thing,track,dock 1,240000,from,T1,diverging,to,,buffer     kind, name, what it is, then joins by threes
//! thing,panel,box,,button,1,,lamp,road 1,                    a panel's parts, in the order in which places count them
//! number,F-12,feeder,dock 1,left,40000,main bus,A,230000      what, then both ends: thing, part, place in 1/100 mm
//! test,31,cold gap,dock 1,left,9000,T1,diverging right,,T1,1 diverging,set   number, what, then by threes: places, positions
//! highest,F,17                                               the highest number of a class that was ever given
//! highest,test,140
//! ```

use crate::items::ItemKey;
use crate::members::MembersMatched;
use crate::number::{Number, NumberClass};
use crate::numbers::Numbers;
use crate::panel_wires::all_items;
use crate::recognise::recognise;
use crate::record_cells::{point, test_cells, test_from_cells, thing_cells, thing_from_cells};
use crate::test_key::TestKey;
use crate::things::{Thing, ThingId, Things};
use circuit::Circuit;
use plan::Names;
use plan::tables::Plan;
use std::collections::BTreeMap;
use text::csv::{ReadError, escape_formula, lines, read};

/// Which number each wire, gap and joint of a plan was given.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NumbersRecord {
    pub(crate) things: Things,
    pub(crate) numbered: Vec<(Number, ItemKey)>,
    pub(crate) highest: BTreeMap<NumberClass, u32>,
    pub(crate) tests: Vec<(u32, TestKey)>,
    pub(crate) highest_test: u32,
}

/// What stands for the class where the highest number of a test is told.
const TEST: &str = "test";

/// The highest number that a record can hold; a hundred times what the largest plan has.
const MOST_GIVEN: u32 = 9_999_999;
const TOO_HIGH: &str = "no number is higher than 9999999; go on from a copy of the record that is whole";

impl NumbersRecord {
    /// The record of a plan's numbers.
    pub fn new(circuit: &Circuit, plan: &Plan, numbers: &Numbers) -> NumbersRecord {
        let things = Things::from_plan(plan, &Names::from_plan(plan));
        let items = all_items(circuit, plan);
        let numbered =
            items.iter().filter_map(|item| Some((numbers.number(item)?, ItemKey::from_item(item, &things)))).collect();
        let highest = numbers.highest().clone();
        NumbersRecord { things: things.without_indices(), numbered, highest, ..NumbersRecord::default() }
    }

    /// The same with the numbers of tests.
    pub(crate) fn with_tests(self, (tests, highest_test): (Vec<(u32, TestKey)>, u32)) -> NumbersRecord {
        NumbersRecord { tests, highest_test, ..self }
    }

    /// Whether it gave this number to something.
    pub(crate) fn has(&self, number: Number) -> bool {
        self.numbered.iter().any(|(given, _)| *given == number)
    }

    /// Whether it knows the numbers of tests.
    pub fn has_tests(&self) -> bool {
        !self.tests.is_empty()
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
        let things = self.things.list.iter().map(|thing| row(thing_cells(thing)));
        let name_of = |thing: Option<ThingId>| {
            thing.and_then(|t| self.things.list.get(t.listed()?)).map_or("", |t| t.name.as_str())
        };
        let numbers = self.numbered.iter().map(|(number, key)| {
            let mut cells = row(vec!["number", &number.to_string(), &key.what]);
            for end in &key.ends {
                cells.extend(row(vec![name_of(end.thing), &end.part]));
                cells.push(end.place.map_or_else(String::new, |p| p.to_string()));
            }
            cells
        });
        let tests = self.tests.iter().map(|(number, key)| {
            let cells = test_cells(key, &self.things);
            row([TEST, &number.to_string()].into_iter().chain(cells.iter().map(String::as_str)).collect())
        });
        let highest_test = (self.highest_test > 0).then(|| row(vec!["highest", TEST, &self.highest_test.to_string()]));
        let highest = self
            .highest
            .iter()
            .map(|(class, count)| row(vec!["highest", &class.letter().to_string(), &count.to_string()]));
        lines(head.chain(things).chain(numbers).chain(tests).chain(highest).chain(highest_test))
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
                ["thing", rest @ ..] => record.things.push(thing_from_cells(rest).map_err(wrong)?),
                ["number", number, what, one @ .., a, b, c] if one.len() == 3 => {
                    let number: Number = number.parse().map_err(|()| wrong("this is no number such as `F-12`"))?;
                    if number.count > MOST_GIVEN {
                        return Err(wrong(TOO_HIGH));
                    }
                    let ends = [[one[0], one[1], one[2]], [*a, *b, *c]].map(|end| point(end, &record.things));
                    if !given.insert(number) {
                        return Err(wrong("this number is given twice"));
                    }
                    let highest = record.highest.entry(number.class).or_default();
                    *highest = number.count.max(*highest);
                    record.numbered.push((number, ItemKey { class: number.class, what: (*what).to_owned(), ends }));
                }
                [TEST, number, what, rest @ ..] if rest.len() % 3 == 0 => {
                    let number: u32 = number.parse().map_err(|_| wrong("this is no number of a test"))?;
                    if number > MOST_GIVEN {
                        return Err(wrong(TOO_HIGH));
                    }
                    if record.tests.iter().any(|(given, _)| *given == number) {
                        return Err(wrong("this number is given twice"));
                    }
                    record.highest_test = record.highest_test.max(number);
                    record.tests.push((number, test_from_cells(what, rest, &record.things)));
                }
                ["highest", TEST, count] => {
                    let count: u32 = count.parse().map_err(|_| wrong("this is no count"))?;
                    if count > MOST_GIVEN {
                        return Err(wrong(TOO_HIGH));
                    }
                    record.highest_test = record.highest_test.max(count);
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
                _ => return Err(wrong("a line says `thing`, `number`, `test` or `highest` and what belongs to it")),
            }
        }
        Ok(record)
    }
}

impl Numbers {
    /// The numbers that earlier records give to what is still there, and new ones, higher than any that was ever given, to
    /// what is new. The number of what is gone is not given again. What a record before knows has the number of that one; what
    /// a later one gave may be its number only where none before it can have given that.
    pub fn carried(circuit: &Circuit, plan: &Plan, records: &[&NumbersRecord]) -> Numbers {
        let things = Things::from_plan(plan, &Names::from_plan(plan));
        let items = all_items(circuit, plan);
        let keys: Vec<ItemKey> = items.iter().map(|item| ItemKey::from_item(item, &things)).collect();
        let mut known: Vec<Option<Number>> = vec![None; items.len()];
        let mut highest: BTreeMap<NumberClass, u32> = BTreeMap::new();
        for record in records {
            let to = things.matched(&record.things);
            let members = MembersMatched::new(&record.things, &things, &to);
            let is_free = |number: &Number| highest.get(&number.class).is_none_or(|h| number.count > *h);
            let old: Vec<(Number, ItemKey)> =
                record.numbered.iter().map(|(number, key)| (*number, key.clone().renumbered(&to, &members))).collect();
            let (numbers, old_keys): (Vec<Number>, Vec<ItemKey>) = old.into_iter().unzip();
            for (place, found) in recognise(&old_keys, &keys).into_iter().enumerate() {
                let number = found.map(|o| numbers[o]).filter(is_free);
                known[place] = known[place].or(number);
            }
            for (class, count) in &record.highest {
                let highest = highest.entry(*class).or_default();
                *highest = (*count).max(*highest);
            }
        }
        Numbers::given(&items, |i| known[i], highest)
    }
}

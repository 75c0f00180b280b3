//! What there is to do so that the layout of an earlier plan becomes that of this one: the least.
//!
//! Wires, gaps and joints are recognised by their numbers, which the new plan has from the old one (see
//! [`crate::numbers`]). What is the same is not told: a new name alone reprints labels and does nothing else. A wire is
//! never made longer; one that may become shorter is cut.

use crate::items::{Item, ItemKey, KeyPoint, items};
use crate::number::{Number, NumberClass};
use crate::pair::PlanPair;
use crate::places::PlaceNames;
use crate::retest::{Retest, retest};
use crate::wires::{ScheduledWire, wires};
use crate::{Choices, Job, NumbersRecord};
use analysis::Analysis;
use handbook::limits::WIRE_SLACK;
use handbook::quantity::Quantity as _;
use plan::Kind;
use plan::tables::RailSide;
use std::collections::{BTreeMap, BTreeSet};

/// What is to be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChangeAct {
    /// A thing is gone: take it out.
    TakeOut,
    /// A thing is new: put it in.
    PutIn,
    /// A thing is another one now: its length, address, wiring.
    Alter,
    /// Take a wire out.
    RemoveWire,
    /// Put a wire in.
    AddWire,
    /// Move an end of a wire.
    MoveWire,
    /// Put in another wire in its place: longer, or of another size or colour.
    ReplaceWire,
    /// Cut a wire shorter, if it is to lie neatly.
    ShortenWire,
    /// Solder a gap shut.
    CloseGap,
    /// Cut a gap.
    CutGap,
    /// Take a joint apart.
    UndoJoint,
    /// Make a joint.
    MakeJoint,
    /// Solder a joint that slid, or free one that was soldered.
    ChangeJoint,
    /// Print a label anew.
    Relabel,
}

impl ChangeAct {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            ChangeAct::TakeOut => "take out",
            ChangeAct::PutIn => "put in",
            ChangeAct::Alter => "alter",
            ChangeAct::RemoveWire => "remove wire",
            ChangeAct::AddWire => "add wire",
            ChangeAct::MoveWire => "move wire",
            ChangeAct::ReplaceWire => "replace wire",
            ChangeAct::ShortenWire => "wire may be cut",
            ChangeAct::CloseGap => "close gap",
            ChangeAct::CutGap => "cut gap",
            ChangeAct::UndoJoint => "undo joint",
            ChangeAct::MakeJoint => "make joint",
            ChangeAct::ChangeJoint => "change joint",
            ChangeAct::Relabel => "print label",
        }
    }
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Change {
    /// What.
    pub act: ChangeAct,
    /// The number of the wire, gap or joint.
    pub number: Option<Number>,
    /// To what, in words.
    pub what: String,
    /// How it was and how it is to be.
    pub how: String,
}

/// Tests by their numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TestsToRepeat {
    /// Cold tests to make again.
    pub cold: Vec<usize>,
    /// Hot tests to make again.
    pub hot: Vec<usize>,
    /// Tests that the sheets did not have.
    pub new: Vec<usize>,
    /// Tests that are no longer on the sheets.
    pub gone: Vec<usize>,
}

impl TestsToRepeat {
    /// Each list with its words.
    pub fn lists(&self) -> [(&'static str, &[usize]); 4] {
        [("cold tests", &self.cold), ("hot tests", &self.hot), ("new tests", &self.new), ("tests gone", &self.gone)]
    }
}

/// All there is to do, and what to test again afterwards.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Changes {
    /// What to do: things, then wires, gaps, joints and labels.
    pub list: Vec<Change>,
    /// Whose tests to repeat.
    pub retest: Retest,
    /// Those tests by their numbers, where who asked knows tests.
    pub tests: TestsToRepeat,
    /// The numbers of the new plan, to be kept.
    pub record: NumbersRecord,
}

/// What there is to do from an old plan to a new one; `record` has the numbers of the old one where they are not simply in
/// its order.
pub fn changes(old: Analysis<'_>, new: Analysis<'_>, choices: Choices, record: Option<&NumbersRecord>) -> Changes {
    let old = Job::carried_where_kept(old, choices, record);
    let new = Job::carried(new, choices, &old.record());
    between(&old, &new)
}

/// The same of two jobs whose numbers are those of one another.
pub fn between(old: &Job<'_>, new: &Job<'_>) -> Changes {
    let pair = PlanPair::new(old, new, &old.record());
    let mut list = pair.things();
    pair.wires(&mut list);
    pair.gaps(&mut list);
    pair.joints(&mut list);
    pair.panel_wires(&mut list);
    list.sort();
    Changes { list, retest: retest(&pair), tests: TestsToRepeat::default(), record: new.record() }
}

impl PlanPair<'_> {
    fn things(&self) -> Vec<Change> {
        let mut list = Vec::new();
        let change = |act, kind: Kind, name: &str, how: String| {
            let what = format!("{} {name}", kind.word());
            Change { act, number: None, what, how }
        };
        for (o, thing) in self.old_things.list.iter().enumerate() {
            match self.to[o].map(|n| &self.new_things.list[n]) {
                None => list.push(change(ChangeAct::TakeOut, thing.kind, &thing.name, String::new())),
                Some(now) if !same_own(&now.own, &thing.own) => {
                    let how =
                        format!("{} → {}", self.own_words(&thing.own, thing.kind), self.own_words(&now.own, now.kind));
                    list.push(change(ChangeAct::Alter, now.kind, &now.name, how));
                }
                Some(_) => {}
            }
        }
        let known: BTreeSet<usize> = self.to.iter().flatten().copied().collect();
        for (_, thing) in self.new_things.list.iter().enumerate().filter(|(n, _)| !known.contains(n)) {
            list.push(change(ChangeAct::PutIn, thing.kind, &thing.name, String::new()));
        }
        list
    }

    /// What a thing is by itself, in words.
    fn own_words(&self, own: &str, kind: Kind) -> String {
        let length = |hundredths: &str| {
            let metres = hundredths.parse::<f64>().unwrap_or(0.0) * 1e-5;
            self.new.choices.units.length(handbook::quantity::Metres(metres))
        };
        match (kind, own.rsplit_once(' ')) {
            (Kind::Track, _) => length(own),
            (Kind::Bus, Some((wire, rest))) => format!("{wire}, {}", length(rest)),
            _ => own.to_owned(),
        }
    }

    /// What an item of the old plan ends at, by the things of the new one.
    pub(crate) fn old_key(&self, item: &Item) -> ItemKey {
        ItemKey::from_item(item, &self.old_things).renumbered(&self.to, &self.members)
    }

    fn wires(&self, list: &mut Vec<Change>) {
        let old: BTreeMap<Number, ScheduledWire> = wires(self.old).into_iter().map(|w| (w.number, w)).collect();
        let new: BTreeMap<Number, ScheduledWire> = wires(self.new).into_iter().map(|w| (w.number, w)).collect();
        let change = |act, wire: &ScheduledWire, how: String| {
            let what = format!("{}: {} — {}", wire.function, wire.ends[0].words, wire.ends[1].words);
            Change { act, number: Some(wire.number), what, how }
        };
        for wire in old.values().filter(|w| !new.contains_key(&w.number)) {
            list.push(change(ChangeAct::RemoveWire, wire, String::new()));
        }
        for wire in new.values() {
            let Some(before) = old.get(&wire.number) else {
                list.push(change(ChangeAct::AddWire, wire, self.make_words(wire)));
                for end in 0..2 {
                    list.push(self.label(wire, end));
                }
                continue;
            };
            let mut moves = Vec::new();
            for end in 0..2 {
                if self.moved(before, wire, end) {
                    moves.push(format!("{} → {}", before.ends[end].words, wire.ends[end].words));
                }
                // A bond inside trackwork bears no label.
                if wire.size.is_some() && before.label(end) != wire.label(end) {
                    list.push(self.label(wire, end));
                }
            }
            let words = |wire: &ScheduledWire| {
                [wire.colour.unwrap_or_default(), wire.size.as_deref().unwrap_or_default()].join(" ").trim().to_owned()
            };
            // What the plan does not say and the slack gives is no work.
            let needed =
                if wire.assumed.length { wire.run.map(|run| run + WIRE_SLACK.value.1.si()) } else { wire.cut() };
            let longer = matches!((before.cut(), needed), (Some(a), Some(b)) if b > a + 1e-9);
            let shorter = matches!((before.cut(), wire.cut()), (Some(a), Some(b)) if b < a - 1e-9);
            if words(before) != words(wire) {
                let how = format!("{} → {}", words(before), self.make_words(wire));
                list.push(change(ChangeAct::ReplaceWire, wire, how));
            } else if longer {
                let how = format!("{} → {}", self.cut_words(before), self.cut_words(wire));
                // A wire that is replaced is not moved first.
                moves.push(format!("{how}: too short now"));
                list.push(change(ChangeAct::ReplaceWire, wire, moves.join("; ")));
                continue;
            } else if shorter && moves.is_empty() && !wire.assumed.length {
                let how = format!("{} → {}", self.cut_words(before), self.cut_words(wire));
                list.push(change(ChangeAct::ShortenWire, wire, how));
            }
            list.extend(moves.into_iter().map(|how| change(ChangeAct::MoveWire, wire, how)));
        }
    }

    /// Whether an end of a wire ends elsewhere now.
    fn moved(&self, before: &ScheduledWire, now: &ScheduledWire, end: usize) -> bool {
        let then = &before.ends[end].point;
        let thing = then.thing.and_then(|t| self.old_things.at(t)).and_then(|o| self.to[o]);
        let there = &now.ends[end].point;
        thing != there.thing.and_then(|t| self.new_things.at(t))
            || then.part != there.part
            || !same_place(then.place, there.place)
    }

    fn label(&self, wire: &ScheduledWire, end: usize) -> Change {
        let what = format!("label at {}", wire.ends[end].words);
        Change { act: ChangeAct::Relabel, number: Some(wire.number), what, how: wire.label(end) }
    }

    fn cut_words(&self, wire: &ScheduledWire) -> String {
        wire.cut()
            .map_or_else(|| "measure".to_owned(), |cut| self.new.choices.units.length(handbook::quantity::Metres(cut)))
    }

    /// What a wire is made of.
    fn make_words(&self, wire: &ScheduledWire) -> String {
        let parts = [wire.colour.unwrap_or_default(), wire.size.as_deref().unwrap_or("as its maker made it")];
        let words = parts.iter().filter(|p| !p.is_empty()).copied().collect::<Vec<_>>().join(" ");
        if wire.size.is_some() { format!("{words}, {}", self.cut_words(wire)) } else { words }
    }

    fn of_class(&self, job: &Job<'_>, class: NumberClass, is_old: bool) -> BTreeMap<Number, (Item, ItemKey)> {
        let all = items(&job.facts.circuit, Some(job.facts.plan)).into_iter().filter(|item| item.class == class);
        let keyed = all.filter_map(|item| {
            let key = if is_old { self.old_key(&item) } else { ItemKey::from_item(&item, &self.new_things) };
            Some((job.numbers.number(&item)?, (item, key)))
        });
        keyed.collect()
    }

    fn places(&self) -> [PlaceNames<'_>; 2] {
        [self.old, self.new].map(|job| PlaceNames::new(&job.facts.circuit, job.facts.plan, job.choices.units))
    }

    fn gaps(&self, list: &mut Vec<Change>) {
        let old = self.of_class(self.old, NumberClass::Gap, true);
        let new = self.of_class(self.new, NumberClass::Gap, false);
        // A gap inside trackwork comes and goes with it.
        let cut = |item: &Item| item.ends.iter().any(|e| matches!(e.thing, Some((Kind::Track, _))));
        let [old_places, new_places] = self.places();
        let change = |act, number, places: &PlaceNames<'_>, item: &Item| Change {
            act,
            number: Some(number),
            what: place_words(places, item),
            how: String::new(),
        };
        for (&number, (item, key)) in old.iter().filter(|(_, (item, _))| cut(item)) {
            if new.get(&number).is_none_or(|(_, now)| !same_ends(key, now)) {
                list.push(change(ChangeAct::CloseGap, number, &old_places, item));
            }
        }
        for (&number, (item, key)) in new.iter().filter(|(_, (item, _))| cut(item)) {
            if old.get(&number).is_none_or(|(_, then)| !same_ends(then, key)) {
                list.push(change(ChangeAct::CutGap, number, &new_places, item));
            }
        }
    }

    fn joints(&self, list: &mut Vec<Change>) {
        let old = self.of_class(self.old, NumberClass::Joint, true);
        let new = self.of_class(self.new, NumberClass::Joint, false);
        let [old_places, new_places] = self.places();
        let change = |act, number, places: &PlaceNames<'_>, item: &Item, how: &str| Change {
            act,
            number: Some(number),
            what: place_words(places, item),
            how: how.to_owned(),
        };
        for (&number, (item, key)) in &old {
            if new.get(&number).is_none_or(|(_, now)| !same_ends(key, now)) {
                list.push(change(ChangeAct::UndoJoint, number, &old_places, item, item.what));
            }
        }
        for (&number, (item, key)) in &new {
            match old.get(&number) {
                Some((then, was)) if same_ends(was, key) => {
                    if then.what != item.what {
                        let how = format!("{} → {}", then.what, item.what);
                        list.push(change(ChangeAct::ChangeJoint, number, &new_places, item, &how));
                    }
                }
                _ => list.push(change(ChangeAct::MakeJoint, number, &new_places, item, item.what)),
            }
        }
    }
}

/// Whether two ends are the same, whichever is named first.
fn same_ends(one: &ItemKey, other: &ItemKey) -> bool {
    let same = |a: &KeyPoint, b: &KeyPoint| {
        (a.thing, a.own, &a.part) == (b.thing, b.own, &b.part) && same_place(a.place, b.place)
    };
    let [a, b] = &one.ends;
    let [c, d] = &other.ends;
    same(a, c) && same(b, d) || same(a, d) && same(b, c)
}

/// A length that is said in another unit is rounded otherwise: a hundredth of a millimetre is none.
const ROUNDING: i64 = 1;

fn same_place(one: Option<i64>, other: Option<i64>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => (one - other).abs() <= ROUNDING,
        _ => one == other,
    }
}

/// Whether a thing is by itself what it was: its last word is a length in hundredths of a millimetre where it is a number.
fn same_own(one: &str, other: &str) -> bool {
    let parted = |own: &str| {
        let (rest, last) = own.rsplit_once(' ').unwrap_or(("", own));
        last.parse::<i64>().ok().map(|length| (rest.to_owned(), length))
    };
    match (parted(one), parted(other)) {
        (Some(one), Some(other)) => one.0 == other.0 && same_place(Some(one.1), Some(other.1)),
        _ => one == other,
    }
}

/// Where a gap or joint is.
fn place_words(places: &PlaceNames<'_>, item: &Item) -> String {
    let words = item.ends.clone().map(|point| match (point.thing, point.place) {
        (Some((Kind::Track, track)), Some(x)) => {
            let side = if point.part == RailSide::Right.word() { RailSide::Right } else { RailSide::Left };
            places.rail(track, side, x as f64 * 1e-5)
        }
        (Some((kind, index)), _) => format!("{} {}", places.name(kind, index), point.part),
        (None, _) => point.part,
    });
    if words[0] == words[1] { words[0].clone() } else { words.join(" and ") }
}

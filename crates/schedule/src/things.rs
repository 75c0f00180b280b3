//! The things of a plan that wires and gaps end at, and which of an earlier plan's things they are.
//!
//! A thing is what it is by its name. Where a name is not found again it is looked for by what it joins and what it is:
//! its ends, neighbours, kind, length and order. So a renamed track stays the track it was.

use plan::tables::{PanelPartId, Plan};
use plan::{EndOf, Kind, Names, Terminal, TrackEnd};
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// What one end or part of a thing joins.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Join {
    /// Which end or part of it: `from`, `points`, `moves`.
    pub port: String,
    /// The name of the other thing; empty where it is none, as a buffer.
    pub other: String,
    /// Which end or part of the other.
    pub part: String,
}

/// A thing of a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Thing {
    /// What it is.
    pub kind: Kind,
    /// Its name.
    pub name: String,
    /// What it is by itself, in words that can be compared: length, hand, wire.
    pub own: String,
    /// What it joins.
    pub joins: Vec<Join>,
}

/// The things of a plan, in its order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Things {
    /// The things.
    pub list: Vec<Thing>,
    of: BTreeMap<(Kind, usize), usize>,
    /// Where in the plan's text each name stands.
    at: BTreeMap<usize, usize>,
    by_name: BTreeMap<String, usize>,
}

/// A thing, by its place in a list of things.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum ThingId {
    /// One of the list.
    Listed(usize),
    /// One that an earlier plan had and that is gone, by its place in that plan's list: it is no thing of this one.
    Gone(Reverse<usize>),
}

impl ThingId {
    /// The same thing in a later list, where that says which thing of it each of this one is.
    pub(crate) fn renumbered(self, to: &[Option<usize>]) -> ThingId {
        match self {
            ThingId::Listed(t) => to.get(t).copied().flatten().map_or(ThingId::Gone(Reverse(t)), ThingId::Listed),
            gone @ ThingId::Gone(_) => gone,
        }
    }

    /// Its place in the list, of what is there.
    pub(crate) fn listed(self) -> Option<usize> {
        match self {
            ThingId::Listed(t) => Some(t),
            ThingId::Gone(_) => None,
        }
    }
}

/// A length as it is compared: hundredths of a millimetre.
pub(crate) fn hundredths(metres: f64) -> i64 {
    (metres * 1e5).round() as i64
}

impl Things {
    /// The things of a plan that was read without errors.
    pub fn from_plan(plan: &Plan, names: &Names) -> Things {
        let mut things = Things::default();
        for (kind, index, name) in plan::names::each_name(plan) {
            if matches!(kind, Kind::Train | Kind::Board) {
                continue;
            }
            things.of.insert((kind, index), things.list.len());
            things.at.insert(name.span.start, things.list.len());
            things.push(Thing { kind, name: name.value.clone(), own: own(plan, kind, index), joins: Vec::new() });
        }
        for (index, track) in plan.track.iter().enumerate() {
            for (end, text) in [(TrackEnd::From, &track.from), (TrackEnd::To, &track.to)] {
                let (other, part) = match names.end(plan, &text.value) {
                    Ok(EndOf::Track(other, end)) => (plan.track[other].name.value.clone(), end.word().to_owned()),
                    Ok(EndOf::Work(kind, work, port)) => (things.name((kind, work)), port),
                    Ok(EndOf::Buffer) => (String::new(), "buffer".to_owned()),
                    Ok(EndOf::Beyond) => (String::new(), "beyond".to_owned()),
                    Err(_) => continue,
                };
                if names.get(&other).is_some_and(|n| n.0 != Kind::Track) {
                    things.join(&other, &part, (&track.name.value, end.word()));
                }
                things.join(&track.name.value, end.word(), (&other, &part));
            }
            for (port, text) in [("left", &track.left), ("right", &track.right)] {
                let Some(text) = text else { continue };
                if let Ok(Terminal::Detector(detector)) = names.terminal(plan, &text.value) {
                    things.join_at((Kind::Track, index), port, &plan.detector[detector].name.value, "");
                }
                let (other, pole) = match names.terminal(plan, &text.value) {
                    Ok(Terminal::Bus(bus, pole, _)) => (&plan.bus[bus].name, pole),
                    Ok(Terminal::Supply(supply, pole)) => (&plan.supply[supply].name, pole),
                    Ok(Terminal::Reverser(reverser, pole)) => (&plan.reverser[reverser].name, pole),
                    _ => continue,
                };
                things.join_at((Kind::Track, index), port, &other.value, pole.word());
            }
        }
        for (index, supply) in plan.supply.iter().enumerate() {
            supply.behind.iter().for_each(|t| things.join_at((Kind::Supply, index), "behind", &t.value, ""));
        }
        for (index, bus) in plan.bus.iter().enumerate() {
            bus.supply.iter().for_each(|t| things.join_at((Kind::Bus, index), "supply", &t.value, ""));
            let from = bus.from.as_ref().and_then(|t| names.bus_place(&t.value).ok());
            from.iter().for_each(|f| things.join_at((Kind::Bus, index), "from", &plan.bus[f.0].name.value, ""));
        }
        for (index, motor) in plan.motor.iter().enumerate() {
            motor.moves.0.iter().for_each(|t| things.join_at((Kind::Motor, index), "moves", &t.value, ""));
            motor.supply.iter().for_each(|t| things.join_at((Kind::Motor, index), "supply", &t.value, ""));
            if let Some(output) = plan::driven::of_motor(plan, names, index) {
                let name = &plan.driver[output.driver].name.value;
                things.join_at((Kind::Motor, index), "driver", name, &(output.output + 1).to_string());
            }
        }
        for (index, driver) in plan.driver.iter().enumerate() {
            let from = names.bus_place(&driver.from.value).ok();
            from.iter().for_each(|f| things.join_at((Kind::Driver, index), "from", &plan.bus[f.0].name.value, ""));
        }
        for (index, relay) in plan.relay.iter().enumerate() {
            things.join_at((Kind::Relay, index), "follows", &relay.follows.value, "");
        }
        for (index, reverser) in plan.reverser.iter().enumerate() {
            if let Ok((bus, _)) = names.bus_place(&reverser.from.value) {
                things.join_at((Kind::Reverser, index), "from", &plan.bus[bus].name.value, "");
            }
        }
        for index in 0..plan.detector.len() {
            if let Some((bus, pole, _)) = circuit::detectors::fed_from(plan, names, index) {
                things.join_at((Kind::Detector, index), "from", &plan.bus[bus].name.value, pole.word());
            }
        }
        for index in 0..plan.panel.len() {
            if let Some(&thing) = things.of.get(&(Kind::Panel, index)) {
                things.list[thing].joins = parts_of_panel(plan, index);
            }
        }
        things
    }

    pub(crate) fn push(&mut self, thing: Thing) {
        self.by_name.entry(thing.name.clone()).or_insert(self.list.len());
        self.list.push(thing);
    }

    fn join_at(&mut self, of: (Kind, usize), port: &str, other: &str, part: &str) {
        let Some(&thing) = self.of.get(&of) else { return };
        self.list[thing].joins.push(Join { port: port.to_owned(), other: other.to_owned(), part: part.to_owned() });
    }

    fn join(&mut self, name: &str, port: &str, (other, part): (&str, &str)) {
        let Some(thing) = self.named(name) else { return };
        self.list[thing].joins.push(Join { port: port.to_owned(), other: other.to_owned(), part: part.to_owned() });
    }

    fn name(&self, of: (Kind, usize)) -> String {
        self.of.get(&of).map_or_else(String::new, |&t| self.list[t].name.clone())
    }

    /// The thing of a kind and index of the plan.
    pub fn at(&self, of: (Kind, usize)) -> Option<usize> {
        self.of.get(&of).copied()
    }

    /// The thing whose name stands here in the plan's text.
    pub(crate) fn spanned(&self, span: &std::ops::Range<usize>) -> Option<usize> {
        self.at.get(&span.start).copied()
    }

    /// The thing of a name.
    pub fn named(&self, name: &str) -> Option<usize> {
        self.by_name.get(name).copied()
    }

    /// The same without what only its own plan can use, as it is once it was written and read.
    pub(crate) fn without_indices(mut self) -> Things {
        self.of.clear();
        self.at.clear();
        self
    }

    /// For each thing of an earlier plan, which of these it is.
    pub fn matched(&self, old: &Things) -> Vec<Option<usize>> {
        Matching::new(old, self).to
    }
}

/// The parts of a panel: kind and name, in the order in which places count them.
fn parts_of_panel(plan: &Plan, panel: usize) -> Vec<Join> {
    let join = |(id, name): (PanelPartId, &plan::At<String>)| {
        let port = match id {
            PanelPartId::Button(_) => "button",
            PanelPartId::Switch(_) => "switch",
            PanelPartId::Lamp(_) => "lamp",
        };
        Join { port: port.to_owned(), other: name.value.clone(), part: String::new() }
    };
    plan.panel[panel].parts().map(join).collect()
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// What a thing is by itself.
fn own(plan: &Plan, kind: Kind, index: usize) -> String {
    match kind {
        Kind::Track => format!("{}", hundredths(length(plan.track[index].length.value))),
        Kind::Bus => format!("{} {}", plan.bus[index].wire.value, hundredths(length(plan.bus[index].length.value))),
        Kind::Supply => plan.supply[index].voltage.as_ref().map_or_else(String::new, |v| format!("{:?}", v.value)),
        Kind::Turnout => {
            format!("{} {}", plan.turnout[index].hand.value.word(), plan.turnout[index].wiring.value.word())
        }
        Kind::Turntable => {
            let table = &plan.turntable[index];
            let stalls = counted(table.stalls.value as usize, "stall");
            match table.deck_tracks() {
                1 => stalls,
                tracks => format!("{stalls}, {tracks} tracks on its deck"),
            }
        }
        Kind::Driver => {
            let outputs = counted(plan::driven::outputs(plan, index) as usize, "output");
            format!("{}, {outputs}", plan.driver[index].kind.value.word())
        }
        Kind::Motor => format!(
            "{}, address {}",
            counted(plan.motor[index].contact.items.len(), "contact"),
            plan.motor[index].address.as_ref().map_or_else(String::new, |a| a.value.to_string())
        ),
        Kind::Relay => format!("{} contacts", plan.relay[index].contact.items.len()),
        Kind::Toggle => format!("{} contacts", plan.toggle[index].contact.items.len()),
        _ => String::new(),
    }
}

fn length(metres: handbook::quantity::Metres) -> f64 {
    handbook::quantity::Quantity::si(metres)
}

/// How much of a thing must be the same for it to be taken for the same.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Same {
    /// What it joins and what it is; of what is not matched yet only that it is there.
    All,
    /// What it joins of what is matched.
    Joins,
    /// What it is, where that is something.
    Own,
}

/// Rounds in which what was just matched may tell more apart; renamed things in a row of more than so many alike are
/// matched in their order.
const MOST_ROUNDS: usize = 24;

struct Matching<'t> {
    old: &'t Things,
    new: &'t Things,
    /// For each old thing the new one.
    to: Vec<Option<usize>>,
    /// For each new thing the old one.
    from: Vec<Option<usize>>,
}

impl<'t> Matching<'t> {
    fn new(old: &'t Things, new: &'t Things) -> Matching<'t> {
        let mut matching = Matching { old, new, to: vec![None; old.list.len()], from: vec![None; new.list.len()] };
        for (o, thing) in old.list.iter().enumerate() {
            let same = new.named(&thing.name).filter(|&n| new.list[n].kind == thing.kind);
            if let Some(n) = same.filter(|&n| matching.from[n].is_none()) {
                matching.put(o, n);
            }
        }
        for (same, in_order) in
            [(Same::All, false), (Same::Joins, false), (Same::All, true), (Same::Joins, true), (Same::Own, false)]
        {
            let mut rounds = 0;
            while matching.round(same, in_order) && rounds < MOST_ROUNDS {
                rounds += 1;
            }
        }
        matching
    }

    fn put(&mut self, old: usize, new: usize) {
        self.to[old] = Some(new);
        self.from[new] = Some(old);
    }

    /// Matches what is alike and the only such one, or as many as there are in their order. Says whether any was.
    fn round(&mut self, same: Same, in_order: bool) -> bool {
        type Group = (Vec<usize>, Vec<usize>);
        let mut groups: BTreeMap<(Kind, String), Group> = BTreeMap::new();
        for (o, thing) in self.old.list.iter().enumerate().filter(|(o, _)| self.to[*o].is_none()) {
            let of = |name: &str| self.old.named(name).map(|t| self.to[t]);
            signature(thing, same, of).into_iter().for_each(|s| groups.entry((thing.kind, s)).or_default().0.push(o));
        }
        for (n, thing) in self.new.list.iter().enumerate().filter(|(n, _)| self.from[*n].is_none()) {
            let of = |name: &str| self.new.named(name).map(|t| self.from[t].map(|_| t));
            signature(thing, same, of).into_iter().for_each(|s| groups.entry((thing.kind, s)).or_default().1.push(n));
        }
        let mut any = false;
        for (old, new) in groups.into_values() {
            let fits = if in_order { old.len() == new.len() } else { old.len() == 1 && new.len() == 1 };
            if fits {
                any |= !old.is_empty();
                old.into_iter().zip(new).for_each(|(o, n)| self.put(o, n));
            }
        }
        any
    }
}

/// What is compared of a thing; none where that would be nothing. `of` gives what a name was matched to.
fn signature(thing: &Thing, same: Same, of: impl Fn(&str) -> Option<Option<usize>>) -> Option<String> {
    let mut joins: Vec<String> = Vec::new();
    for join in &thing.joins {
        let matched = of(&join.other);
        match (same, matched) {
            (Same::Own, _) | (Same::Joins, Some(None)) => {}
            (Same::Joins, None) => {}
            (_, Some(Some(to))) => joins.push(format!("{} {to} {}", join.port, join.part)),
            (Same::All, _) => joins.push(format!("{} ? {}", join.port, join.part)),
        }
    }
    joins.sort();
    match same {
        Same::All => Some(format!("{}; {}", thing.own, joins.join("; "))),
        Same::Joins => (!joins.is_empty()).then(|| joins.join("; ")),
        Same::Own => (!thing.own.is_empty()).then(|| thing.own.clone()),
    }
}

//! Special trackwork and what it hangs on: what motors move, what crossings follow, what feeds a deck.

use super::wiring::RailWords;
use super::{Check, unclear};
use crate::names::{Kind, Moved};
use crate::tables::{
    Crossing, CrossingRoutes, FrogMaking, Hand, JointKind, Motor, StallPair, Turntable, TurntableKind,
};
use crate::value::At;
use std::collections::BTreeMap;
use std::ops::Range;

impl Check<'_, '_> {
    /// What a motor moves: each thing once, and turntables each by itself. Gives the positions of its contacts.
    pub(super) fn moves(
        &mut self,
        motor: &Motor,
        taken: &mut BTreeMap<Moved, Range<usize>>,
    ) -> &'static [&'static str] {
        if motor.moves.0.is_empty() {
            self.reader.missing_key(&motor.place, "motor", "moves");
        }
        for text in &motor.moves.0 {
            let found = self.names.moved(&text.value);
            let Some(moved) = self.resolve(text, found) else { continue };
            if let Some(first) = taken.get(&moved) {
                self.reader.tell(
                    unclear("contradiction", format!("two motors move `{}`", text.value))
                        .at(text.span.clone(), "moved here")
                        .also(first.clone(), "and here"),
                );
            }
            taken.insert(moved, text.span.clone());
            if moved.kind == Kind::Turntable && motor.moves.0.len() > 1 {
                self.reader.tell(
                    unclear("contradiction", format!("a motor that moves `{}` moves nothing else", text.value))
                        .at(text.span.clone(), "a turntable")
                        .help("give it a motor of its own"),
                );
            }
        }
        self.positions(motor)
    }

    /// The positions of the contacts of a motor.
    pub(super) fn positions(&self, motor: &Motor) -> &'static [&'static str] {
        let moved = || motor.moves.0.iter().filter_map(|text| self.names.moved(&text.value).ok());
        let is_wye = |m: Moved| m.kind == Kind::Turnout && self.plan.turnout[m.index].hand.value == Hand::Wye;
        if moved().any(|m| m.kind == Kind::Turntable) {
            &[]
        } else if moved().any(is_wye) {
            &["left", "right"]
        } else {
            &["through", "diverging"]
        }
    }

    /// Crossings, turntables and reversers: what they follow and what feeds them.
    pub(super) fn special(&mut self) {
        let plan = self.plan;
        for crossing in &plan.crossing {
            match &crossing.follows {
                Some(text) => {
                    let found = self.names.of_kind(&text.value, &[Kind::Motor, Kind::Relay, Kind::Toggle]);
                    if self.resolve(text, found).is_some() {
                        self.two_positions(text, "a crossing");
                    }
                }
                None if crossing.frogs.value == FrogMaking::Live => {
                    self.reader.missing_key(&crossing.place, "crossing with live frogs", "follows");
                }
                None => {}
            }
            if let Some(routes) = &crossing.routes {
                self.crossing_routes(crossing, routes);
            }
        }
        for slip in &plan.slip {
            let legs = slip.routes.iter().flat_map(|r| [&r.value.west, &r.value.east]).flatten();
            for legs in legs {
                self.one_and_two([legs.value.through.as_ref(), legs.value.diverging.as_ref()], "leg");
            }
        }
        for turntable in &plan.turntable {
            let whose = RailWords {
                owner: "deck",
                due: "a deck rail belongs to a bus conductor or a reverser's output",
                wrong: "neither of them",
                help: "write `main bus.A`",
            };
            self.own_conductors(&turntable.name, [&turntable.left, &turntable.right], &whose);
            if let Some(joint) = turntable.joint.as_ref().filter(|j| j.value == JointKind::Soldered) {
                self.reader.tell(
                    unclear("contradiction", "a deck that moves is soldered to nothing")
                        .at(joint.span.clone(), "soldered")
                        .help("write `sliding` where contacts join it to the stall it stands before, else `gap`"),
                );
            }
            self.opposite_stalls(turntable);
            // A position is kept in a byte.
            self.deck_tracks(turntable);
            if turntable.positions().len() > if turntable.turns() { 120 } else { 250 } {
                self.reader.tell(
                    unclear("out-of-range", "a deck stands in at most 250 places, one with a feed of its own in 120")
                        .at(turntable.stalls.span.clone(), "out of range"),
                );
            }
        }
        for reverser in &plan.reverser {
            if let Some(text) = &reverser.follows
                && self.names.of_kind(&text.value, &[Kind::Toggle]).is_err()
                && let Ok((_, motor)) = self.names.of_kind(&text.value, &[Kind::Motor])
                && self.positions(&plan.motor[motor]).is_empty()
                && !self.turns(motor)
            {
                self.two_positions(text, "a reverser");
            }
        }
        for supply in plan.supply.iter().filter(|s| s.behind.is_none()) {
            if let Some(opens) = &supply.opens {
                self.reader.tell(
                    unclear("contradiction", "only a sub-breaker can leave a pole common")
                        .at(opens.span.clone(), "it hangs behind nothing")
                        .help("leave out `opens`, or say what it is `behind`"),
                );
            }
        }
    }

    /// Which routes of a crossing are set: by positions that what it follows has.
    fn crossing_routes(&mut self, crossing: &Crossing, routes: &At<CrossingRoutes>) {
        let Some(follows) = &crossing.follows else {
            self.reader.tell(
                unclear(
                    "contradiction",
                    format!("`{}` follows nothing that could set its routes", crossing.name.value),
                )
                .at(routes.span.clone(), "which position sets which route")
                .help("say what it `follows`"),
            );
            return;
        };
        let leader = self.names.get(&follows.value).and_then(|l| crate::driven::leader(self.plan, self.names, l));
        let positions: &[&str] = match leader {
            Some((Kind::Motor, motor)) => self.positions(&self.plan.motor[motor]),
            Some((Kind::Toggle, _)) => &["off", "on"],
            _ => return,
        };
        let r = &routes.value;
        let all = [
            ("through", &r.through),
            ("diverging", &r.diverging),
            ("left", &r.left),
            ("right", &r.right),
            ("off", &r.off),
            ("on", &r.on),
        ];
        for (word, said) in all {
            if let Some(said) = said.as_ref().filter(|_| !positions.contains(&word)) {
                self.reader.tell(
                    unclear("contradiction", format!("`{}` has no position `{word}`", follows.value))
                        .at(said.span.clone(), "this sets nothing")
                        .also(follows.span.clone(), "what the crossing follows")
                        .help(format!("its positions are {}", positions.join(" and "))),
                );
            }
        }
        self.one_and_two(r.said(), "route");
    }

    /// Two numbers, each 1 or 2, and not the same.
    fn one_and_two(&mut self, said: [Option<&At<u32>>; 2], what: &str) {
        for number in said.into_iter().flatten().filter(|n| !(1..=2).contains(&n.value)) {
            self.reader.tell(
                unclear("out-of-range", format!("there is no {what} {}", number.value))
                    .at(number.span.clone(), "out of range")
                    .help(format!("write {what} 1 or 2")),
            );
        }
        if let [Some(one), Some(other)] = said
            && one.value == other.value
        {
            self.reader.tell(
                unclear("contradiction", format!("both positions give {what} {}", one.value))
                    .at(other.span.clone(), "the same again")
                    .also(one.span.clone(), "said here first")
                    .help(format!("one of them gives {what} 1, the other {what} 2")),
            );
        }
    }

    /// Whether a motor moves a turntable whose deck can stand either way round.
    fn turns(&self, motor: usize) -> bool {
        let moved = self.plan.motor[motor].moves.0.iter().filter_map(|text| self.names.moved(&text.value).ok());
        moved.filter(|m| m.kind == Kind::Turntable).any(|m| self.plan.turntable[m.index].turns())
    }

    /// Only what swings, and ends at its pivot, can have several tracks.
    fn deck_tracks(&mut self, table: &Turntable) {
        let Some(tracks) = table.tracks.as_ref().filter(|t| t.value > 1) else { return };
        if table.kind.as_ref().is_none_or(|k| k.value != TurntableKind::SectorPlate) {
            self.reader.tell(
                unclear("contradiction", format!("`{}` turns, and has {} tracks", table.name.value, tracks.value))
                    .at(tracks.span.clone(), "several tracks lie side by side on a sector plate only")
                    .help("say `kind = \"sector plate\"`; the deck of a turntable has one track"),
            );
        }
        if let Some(pair) = table.opposite.iter().next() {
            self.reader.tell(
                unclear("contradiction", format!("the tracks of `{}` have stalls at both ends", table.name.value))
                    .at(pair.span.clone(), "stalls opposite each other")
                    .also(tracks.span.clone(), "several tracks on the deck")
                    .help("leave out `opposite`: where the deck has several tracks, all stalls lie at one end of it"),
            );
        }
    }

    /// Stalls that lie opposite each other are there, and a straight deck joins no more than two.
    fn opposite_stalls(&mut self, table: &Turntable) {
        let stalls = table.stalls.value;
        let sector = table.kind.as_ref().is_some_and(|k| k.value == TurntableKind::SectorPlate);
        let mut seen: Vec<(&At<StallPair>, [u32; 2])> = Vec::new();
        for pair in table.opposite.iter() {
            let [one, other] = pair.value.0;
            if let Some(missing) = [one, other].into_iter().find(|stall| !(1..=stalls).contains(stall)) {
                self.reader.tell(
                    unclear("no-such-name", format!("`{}` has no stall {missing}", table.name.value))
                        .at(pair.span.clone(), format!("its stalls are 1 to {stalls}"))
                        .help("name two of its stalls: `opposite = [[1, 4]]`"),
                );
                continue;
            }
            let twice = |before: &[u32; 2]| {
                one == other
                    || *before == [one, other]
                    || *before == [other, one]
                    || (!sector && before.iter().any(|s| [one, other].contains(s)))
            };
            let (message, first) = match seen.iter().find(|(_, before)| twice(before)) {
                _ if one == other => (format!("stall {one} lies opposite itself"), None),
                Some((before, _)) if sector => {
                    (format!("stalls {one} and {other} are said to be opposite twice"), Some(before))
                }
                Some((before, _)) => {
                    (format!("a deck joins two stalls, and `{}` joins more", table.name.value), Some(before))
                }
                None => {
                    seen.push((pair, [one, other]));
                    continue;
                }
            };
            let mut finding = unclear("contradiction", message).at(pair.span.clone(), "cannot be");
            if let Some(before) = first {
                finding = finding.also(before.span.clone(), "beside this");
            }
            self.reader.tell(finding.help(
                "name each stall once: `opposite = [[1, 4], [2, 5]]`; where several meet one, it is a `kind = \"sector plate\"`",
            ));
        }
        // What one stall is joined with on a sector plate stands at its other end.
        let both = seen.iter().find(|(_, [one, _])| seen.iter().any(|(_, [_, other])| one == other));
        if let Some((pair, [stall, _])) = both {
            self.reader.tell(
                unclear(
                    "contradiction",
                    format!("stall {stall} of `{}` lies at both ends of the deck", table.name.value),
                )
                .at(pair.span.clone(), "first of a pair here, and second of another")
                .help("write the stall where the tracks come together first in each pair: `[[1, 2], [1, 3]]`"),
            );
        }
    }

    /// What is followed must have two positions.
    fn two_positions(&mut self, text: &At<String>, who: &str) {
        let mut leader = self.names.get(&text.value);
        if let Some((Kind::Relay, relay)) = leader {
            leader = self.names.get(&self.plan.relay[relay].follows.value);
        }
        if let Some((Kind::Motor, motor)) = leader
            && self.positions(&self.plan.motor[motor]).is_empty()
        {
            self.reader.tell(
                unclear("contradiction", format!("{who} follows something with two positions"))
                    .at(text.span.clone(), "this moves a turntable")
                    .help("name the motor of a turnout, or a toggle"),
            );
        }
    }
}

//! Grows a plan without a fault.

use super::text::place;
use super::{
    Bus, GrownContact, GrownFeeder, GrownGap, GrownSide, GrownTrack, GrownTurnout, GrownWhy, LENGTH, Model, Motor,
    NEAR_END, PlantedFault, Random, SIDES, conductor,
};

const WIRINGS: [&str; 6] =
    ["insulated-bonded", "insulated-routed", "metal-tip", "live-bonded", "live-assisted", "live-routed"];

/// An end from which a plan goes on outwards.
#[derive(Clone)]
struct GrowingEnd {
    end: String,
    bus: usize,
    /// Whose leg it is, if it is one: the turnout, and 0 for its through leg.
    leg: Option<(usize, usize)>,
}

struct Grower<'r> {
    model: Model,
    random: &'r mut Random,
    controls_left: usize,
    legs_fed: Vec<[bool; 2]>,
}

pub(crate) fn model(random: &mut Random, most_controls: usize, fault: PlantedFault) -> Model {
    let mut grower = Grower { model: Model::default(), random, controls_left: most_controls, legs_fed: Vec::new() };
    let root = match fault {
        PlantedFault::JoinedSupplies => 3,
        PlantedFault::StorageFromBus => 5,
        _ => grower.random.below(6),
    };
    let first = if grower.random.once_in(3) { Bus::SubBreaker } else { Bus::Plain };
    grower.model.buses.push(first);
    match root {
        3 => grower.pair(),
        4 if grower.controls_left >= 2 => grower.oval(),
        5 => grower.storage(),
        _ => grower.line(),
    }
    // Now and then a second line, apart from the first.
    if grower.controls_left > 1 && grower.random.once_in(4) {
        grower.line();
    }
    for (turnout, fed) in grower.model.turnouts.iter_mut().zip(&grower.legs_fed) {
        turnout.legs_fed = *fed == [true, true];
    }
    grower.model
}

impl Grower<'_> {
    fn turnout(&mut self, bus: usize, reversed: bool, hands: &[&'static str], may_be_unfed: bool) -> usize {
        let wiring = match self.random.below(12) {
            0 if may_be_unfed => "live-unfed",
            _ => self.random.pick(&WIRINGS).copied().unwrap_or(WIRINGS[0]),
        };
        let hand = self.random.pick(hands).copied().unwrap_or("left");
        self.model.parts.extend([wiring, hand]);
        let index = self.model.turnouts.len();
        let name = format!("T{}", index + 1);
        self.model.turnouts.push(GrownTurnout { name, hand, wiring, reversed, bus, legs_fed: false });
        self.legs_fed.push([false, false]);
        index
    }

    /// A motor for turnouts, with the contacts that their frogs need. Takes one control.
    fn motor(&mut self, turnouts: &[usize]) -> usize {
        self.controls_left = self.controls_left.saturating_sub(1);
        let frog = |t: &GrownTurnout| GrownContact {
            common: vec![format!("{}.frog", t.name)],
            // The phase of the stock rail that the closed blade touches: the near one when set through.
            positions: [t.near(), t.near().other()].map(|side| Some(conductor(t.bus, side.pole()))),
            frog: true,
        };
        let of = turnouts.iter().map(|&t| &self.model.turnouts[t]);
        let fed = of.filter(|t| ["live-bonded", "live-assisted", "metal-tip"].contains(&t.wiring));
        let contacts = fed.map(frog).collect();
        self.model.motors.push(Motor { turnouts: turnouts.to_vec(), contacts });
        self.model.motors.len() - 1
    }

    fn leg(&self, turnout: usize, leg: usize) -> GrowingEnd {
        let t = &self.model.turnouts[turnout];
        GrowingEnd { end: t.leg(leg), bus: t.bus, leg: Some((turnout, leg)) }
    }

    fn points(&self, turnout: usize) -> GrowingEnd {
        let t = &self.model.turnouts[turnout];
        GrowingEnd { end: format!("{}.points", t.name), bus: t.bus, leg: None }
    }

    /// A track from an inner end to an outer one, gapped where it lies behind a live frog.
    fn track(&mut self, inner: &GrowingEnd, outer: &GrowingEnd, feeders: bool) -> usize {
        let mut gaps = Vec::new();
        for (end, at) in [(inner, NEAR_END), (outer, LENGTH - NEAR_END)] {
            let Some((turnout, leg)) = end.leg else { continue };
            let t = &self.model.turnouts[turnout];
            self.legs_fed[turnout][leg] |= feeders;
            let why = if t.wiring == "live-unfed" { GrownWhy::UnfedFrog } else { GrownWhy::Frog };
            if t.wiring.starts_with("live") {
                gaps.push(GrownGap { at, side: t.frog_rail(leg), why });
            }
        }
        let index = self.model.tracks.len();
        let feeders =
            SIDES.into_iter().filter(|_| feeders).map(|side| GrownFeeder { at: 0.9, side, to: None }).collect();
        let flipped = self.random.once_in(2);
        self.model.tracks.push(GrownTrack {
            name: format!("t{}", index + 1),
            ends: [inner.end.clone(), outer.end.clone()],
            flipped,
            bus: inner.bus,
            length: LENGTH,
            fixed: true,
            gaps,
            feeders,
            switched: None,
            leaf: false,
        });
        index
    }

    /// A line from the edge of the plan, and what grows from it.
    fn line(&mut self) {
        self.grow(GrowingEnd { end: "beyond".to_owned(), bus: 0, leg: None });
    }

    fn grow(&mut self, start: GrowingEnd) {
        let mut open = vec![start];
        while let Some(at) = (!open.is_empty()).then(|| self.random.below(open.len())) {
            let inner = open.swap_remove(at);
            let last = open.is_empty();
            match self.random.below(10) {
                0 | 1 if self.controls_left >= 2 => {
                    let (west, east) = self.ladders(inner.bus);
                    self.track(&inner, &west, true);
                    open.push(east);
                }
                2 if self.controls_left >= 1 => self.balloon(&inner),
                3..=6 if self.controls_left >= 1 => open.extend(self.branch(&inner)),
                _ if self.controls_left >= 1 && last => open.extend(self.branch(&inner)),
                _ => self.leaf(&inner),
            }
        }
    }

    fn branch(&mut self, inner: &GrowingEnd) -> [GrowingEnd; 2] {
        let turnout = self.turnout(inner.bus, false, &["left", "right", "wye"], true);
        self.motor(&[turnout]);
        self.track(inner, &self.points(turnout), true);
        [self.leg(turnout, 0), self.leg(turnout, 1)]
    }

    /// Track up to a stop or the edge of the plan, at times in two pieces.
    fn leaf(&mut self, inner: &GrowingEnd) {
        let bus = inner.bus;
        let word = if self.random.once_in(2) { "buffer" } else { "beyond" };
        let end = GrowingEnd { end: word.to_owned(), bus, leg: None };
        let wiring = inner.leg.map_or("", |(turnout, _)| self.model.turnouts[turnout].wiring);
        let routed = ["insulated-routed", "insulated-bonded", "live-routed"].contains(&wiring);
        if routed && self.random.once_in(3) {
            // Fed by nothing but its turnout, and then a live frog needs no gap either.
            let track = self.track(inner, &end, false);
            self.model.tracks[track].gaps.clear();
            self.model.parts.insert("fed by its turnout");
        } else if self.random.once_in(4) {
            let first = self.track(inner, &end, true);
            let inner_word = if self.model.tracks[first].flipped { "from" } else { "to" };
            let joined = GrowingEnd { end: format!("{}.{inner_word}", self.model.tracks[first].name), bus, leg: None };
            let fed = self.random.once_in(2);
            let second = self.track(&joined, &end, fed);
            let outer_word = if self.model.tracks[second].flipped { "to" } else { "from" };
            self.model.tracks[first].ends[1] = format!("{}.{outer_word}", self.model.tracks[second].name);
            self.model.parts.insert("track joined to track");
        } else {
            let track = self.track(inner, &end, true);
            self.model.tracks[track].leaf = true;
        }
    }

    /// Two ladders over the same roads: the west points, by which one comes in, and the east ones.
    fn ladders(&mut self, bus: usize) -> (GrowingEnd, GrowingEnd) {
        self.model.parts.insert("double-ended");
        let count = if self.controls_left >= 4 && self.random.once_in(2) { 2 } else { 1 };
        let mut pairs = Vec::new();
        for _ in 0..count {
            let west = self.turnout(bus, false, &["left", "right"], false);
            let east = self.turnout(bus, true, &["left", "right"], false);
            if self.random.once_in(4) {
                self.motor(&[west, east]);
                self.model.parts.insert("two turnouts on one motor");
            } else {
                self.motor(&[west]);
                self.motor(&[east]);
            }
            pairs.push((west, east));
        }
        for (k, &(west, east)) in pairs.iter().enumerate() {
            self.track(&self.leg(west, 1), &self.leg(east, 1), true);
            match pairs.get(k + 1) {
                Some(&(next_west, next_east)) => {
                    self.track(&self.leg(west, 0), &self.points(next_west), true);
                    self.track(&self.points(next_east), &self.leg(east, 0), true);
                }
                None => {
                    self.track(&self.leg(west, 0), &self.leg(east, 0), true);
                }
            }
        }
        (self.points(pairs[0].0), self.points(pairs[0].1))
    }

    /// A loop in which trains turn; its phase follows the turnout by which they come and go.
    fn balloon(&mut self, inner: &GrowingEnd) {
        self.model.parts.insert("balloon");
        let turnout = self.turnout(inner.bus, false, &["left", "right", "wye"], false);
        let motor = self.motor(&[turnout]);
        self.track(inner, &self.points(turnout), true);
        // Out by the diverging leg, back by the through leg.
        let index = self.track(&self.leg(turnout, 1), &self.leg(turnout, 0), false);
        let t = self.model.turnouts[turnout].clone();
        let track = &mut self.model.tracks[index];
        (track.fixed, track.gaps) = (false, Vec::new());
        for side in SIDES {
            // The rail that runs on from a stock rail is always fed beyond the gap. Who comes back sees left and
            // right exchanged.
            let stock = [side != t.frog_rail(1), side == t.frog_rail(0)];
            for (stock, at) in stock.into_iter().zip([NEAR_END, LENGTH - NEAR_END]) {
                let why = if stock { GrownWhy::Section } else { GrownWhy::Boundary };
                track.gaps.push(GrownGap { at, side, why });
            }
        }
        for side in SIDES {
            let common = vec![place(track, side, 1.0)];
            let positions = [side.other(), side].map(|s| Some(conductor(t.bus, s.pole())));
            self.model.motors[motor].contacts.push(GrownContact { common, positions, frog: false });
        }
    }

    /// Two lines side by side, each its own district, and a crossover from one to the other.
    fn pair(&mut self) {
        self.model.parts.insert("crossover");
        let second = if self.random.once_in(2) { Bus::SubBreaker } else { Bus::Booster };
        self.model.buses.push(second);
        let hands: &[&'static str] = if self.random.once_in(2) { &["left"] } else { &["right"] };
        let up = self.turnout(0, false, hands, false);
        let down = self.turnout(1, true, hands, false);
        self.motor(&[up, down]);
        let edge = |bus| GrowingEnd { end: "beyond".to_owned(), bus, leg: None };
        self.track(&edge(0), &self.points(up), true);
        self.track(&edge(1), &self.leg(down, 0), true);
        let crossover = self.track(&self.leg(up, 1), &self.leg(down, 1), false);
        let track = &mut self.model.tracks[crossover];
        track.fixed = false;
        // So short that its middle is within both fouling points.
        track.length = 0.2;
        track.gaps =
            SIDES.into_iter().map(|side| GrownGap { at: track.length / 2.0, side, why: GrownWhy::Boundary }).collect();
        self.grow(self.leg(up, 0));
        self.grow(self.points(down));
    }

    /// A circle with a passing place, and at times a branch off it.
    fn oval(&mut self) {
        self.model.parts.insert("oval");
        self.model.circle = true;
        let (west, east) = self.ladders(0);
        if self.controls_left >= 1 && self.random.once_in(2) {
            let [onward, branch] = {
                let junction = self.turnout(0, false, &["left", "right"], false);
                self.motor(&[junction]);
                self.track(&east, &self.points(junction), true);
                [self.leg(junction, 0), self.leg(junction, 1)]
            };
            self.track(&onward, &west, true);
            self.grow(branch);
        } else {
            self.track(&east, &west, true);
        }
    }

    /// A ladder to tracks where trains wait, each live only while it is lined: a tree of contacts.
    fn storage(&mut self) {
        self.model.parts.insert("storage");
        let always = self.random.once_in(5);
        self.model.storage = Some(if always { "always" } else { "lined" });
        let switched = SIDES[self.random.below(2)];
        let count = 1 + self.random.below(self.controls_left.clamp(1, 6));
        let mut inner = GrowingEnd { end: "beyond".to_owned(), bus: 0, leg: None };
        let mut fed_from = Some(conductor(0, switched.pole()));
        for k in 0..count {
            let turnout = self.turnout(0, false, &["left", "right", "wye"], false);
            let motor = self.motor(&[turnout]);
            self.track(&inner, &self.points(turnout), true);
            let onward = self.random.below(2);
            let mut positions = [None, None];
            positions[1 - onward] = Some(self.road(&self.leg(turnout, 1 - onward), switched, always));
            inner = self.leg(turnout, onward);
            positions[onward] = Some(if k + 1 == count {
                self.road(&inner, switched, always)
            } else {
                // The next motor has the frog's contact first, if its turnout needs one; told once it is known.
                String::new()
            });
            let number = self.model.motors[motor].contacts.len() + 1;
            if let Some(before) = motor.checked_sub(1).filter(|_| k > 0) {
                let last = self.model.motors[before].contacts.last_mut();
                let wired = last.into_iter().flat_map(|c| &mut c.positions).flatten().filter(|p| p.is_empty());
                wired.for_each(|p| *p = format!("M{}.{number}.common", motor + 1));
            }
            let common = fed_from.take().into_iter().collect();
            self.model.motors[motor].contacts.push(GrownContact { common, positions, frog: false });
        }
        if always {
            // The switched rail is fed from the bus as well, and the tree is left out.
            self.model.motors.iter_mut().for_each(|m| m.contacts.retain(|c| c.frog));
        }
    }

    /// A storage track; gives the place where its switched rail is fed.
    fn road(&mut self, inner: &GrowingEnd, switched: GrownSide, always: bool) -> String {
        let end = GrowingEnd { end: "buffer".to_owned(), bus: inner.bus, leg: None };
        let index = self.track(inner, &end, true);
        if let Some((turnout, leg)) = inner.leg {
            self.legs_fed[turnout][leg] = false;
        }
        let track = &mut self.model.tracks[index];
        track.leaf = true;
        track.switched = Some(switched);
        track.gaps.retain(|g| g.side != switched);
        track.gaps.push(GrownGap { at: NEAR_END, side: switched, why: GrownWhy::Storage });
        track.feeders.retain(|f| always || f.side != switched);
        place(track, switched, 1.0)
    }
}

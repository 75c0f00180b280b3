//! Which buttons fire which coil: the exact condition, over every set of buttons that can be pressed at once.
//!
//! What stands between the two poles of a supply is a graph: wires and closed buttons let current through both ways, a diode one
//! way, and a coil both ways with a resistance. A point is above the negative pole exactly if a path leads to it from the
//! positive one over no other pole, each diode in its direction: along such a path no drop can end at zero, since current that
//! flows into a point at zero would have to leave it downwards. So a coil whose far end lies on a pole carries current exactly
//! when its near end can be reached; the condition is the least fixed point of "reached, or behind what is reached", and it is
//! kept as a decision diagram over the buttons ([`network::Diagrams`]), so that it holds for all sets of buttons at once.
//! A coil whose far end has come off its pole is told to fire in no fewer cases than it can: there the condition that both its
//! ends are joined to opposite poles, apart from the coil itself, is what is asked.

use network::{Condition, Diagrams, Overgrown, Variable};
use std::collections::VecDeque;

/// Nodes that one condition may need.
const LARGEST: usize = 1 << 20;

/// What joins two points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Link {
    /// A wire.
    Wire,
    /// A diode: current flows from the first point to the second.
    Diode,
    /// The contact of a button, by its number: closed while it is pressed.
    Button(usize),
    /// A coil, by its number.
    Coil(usize),
}

/// Points of a panel's wiring, 0 and up, and what joins them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FiringNetwork {
    /// How many points there are; the first two are the positive and the negative pole.
    pub points: usize,
    /// What joins which two.
    pub links: Vec<(usize, usize, Link)>,
    /// How many buttons there are.
    pub buttons: usize,
    /// How many coils there are.
    pub coils: usize,
}

/// The positive pole.
pub const PLUS: usize = 0;
/// The negative pole.
pub const MINUS: usize = 1;

/// Something that a panel's wiring does otherwise than its buttons should.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SneakFault {
    /// A coil fires though no button that is pressed asks for it.
    Sneak {
        /// The coil.
        coil: usize,
        /// Buttons of which none can be left out.
        pressed: Vec<usize>,
        /// The points that the current goes over, from the positive pole to the negative one.
        path: Vec<usize>,
    },
    /// A button does not fire a coil that it should.
    Missing {
        /// The coil.
        coil: usize,
        /// The button.
        button: usize,
    },
    /// The poles of the supply are joined without a coil between them.
    Short {
        /// Buttons of which none can be left out; none where it is shorted for good.
        pressed: Vec<usize>,
    },
}

impl FiringNetwork {
    /// A network with both poles and nothing between them.
    pub fn new(buttons: usize, coils: usize) -> FiringNetwork {
        FiringNetwork { points: 2, links: Vec::new(), buttons, coils }
    }

    /// One more point.
    pub fn point(&mut self) -> usize {
        self.points += 1;
        self.points - 1
    }

    /// For each coil the condition under which current can flow through it, over the buttons as variables.
    ///
    /// # Errors
    /// When a condition outgrows its limit.
    pub fn fires(&self, diagrams: &Diagrams) -> Result<Vec<Condition>, Overgrown> {
        self.contracted().fires_between_points(diagrams)
    }

    /// What is joined by wires for good is one point: the first of them, so that a pole stays a pole.
    fn contracted(&self) -> FiringNetwork {
        let of = self.conductors();
        let links = self.links.iter().filter(|l| l.2 != Link::Wire).map(|&(a, b, link)| (of[a], of[b], link));
        FiringNetwork { links: links.collect(), ..self.clone() }
    }

    /// For each point the first of those that wires join it to.
    fn conductors(&self) -> Vec<usize> {
        let mut of: Vec<usize> = (0..self.points).collect();
        loop {
            let before = of.clone();
            for &(a, b, _) in self.links.iter().filter(|l| l.2 == Link::Wire) {
                let least = of[a].min(of[b]);
                (of[a], of[b]) = (least, least);
            }
            if of == before {
                return of;
            }
        }
    }

    fn fires_between_points(&self, diagrams: &Diagrams) -> Result<Vec<Condition>, Overgrown> {
        let mut fires = vec![Condition::NEVER; self.coils];
        for (at, &(one, other, link)) in self.links.iter().enumerate() {
            let Link::Coil(coil) = link else { continue };
            let mut above = self.reached(diagrams, PLUS, true, Some(at))?;
            let mut below = self.reached(diagrams, MINUS, false, Some(at))?;
            // No current flows out of the negative pole, or into the positive one.
            (above[MINUS], below[PLUS]) = (Condition::NEVER, Condition::NEVER);
            let there = diagrams.and(above[one], below[other])?;
            let back = diagrams.and(above[other], below[one])?;
            fires[coil] = diagrams.or(fires[coil], diagrams.or(there, back)?)?;
        }
        Ok(fires)
    }

    /// When the poles are joined over no coil.
    fn shorted(&self, diagrams: &Diagrams) -> Result<Condition, Overgrown> {
        if self.conductors()[MINUS] == PLUS {
            return Ok(Condition::ALWAYS);
        }
        let mut bare = self.contracted();
        bare.links.retain(|l| !matches!(l.2, Link::Coil(_)));
        Ok(bare.reached(diagrams, PLUS, true, None)?[MINUS])
    }

    /// For each point when a path leads there from a pole over no other pole, along the diodes or against them, one link left out.
    fn reached(
        &self,
        diagrams: &Diagrams,
        from: usize,
        forwards: bool,
        without: Option<usize>,
    ) -> Result<Vec<Condition>, Overgrown> {
        let other_pole = if from == PLUS { MINUS } else { PLUS };
        let mut next: Vec<Vec<(usize, Condition)>> = vec![Vec::new(); self.points];
        for (at, &(one, other, link)) in self.links.iter().enumerate() {
            if Some(at) == without {
                continue;
            }
            let when = match link {
                Link::Button(button) => diagrams.literal(Variable::new(button), true),
                _ => Condition::ALWAYS,
            };
            if link != Link::Diode || forwards {
                next[one].push((other, when));
            }
            if link != Link::Diode || !forwards {
                next[other].push((one, when));
            }
        }
        let mut reached = vec![Condition::NEVER; self.points];
        reached[from] = Condition::ALWAYS;
        let mut waiting = VecDeque::from([from]);
        while let Some(at) = waiting.pop_front() {
            if at == other_pole {
                continue;
            }
            for &(to, when) in &next[at] {
                let all = diagrams.or(reached[to], diagrams.and(reached[at], when)?)?;
                if all != reached[to] {
                    reached[to] = all;
                    waiting.push_back(to);
                }
            }
        }
        Ok(reached)
    }

    /// The path of the current through a coil while some buttons are pressed: the fewest links.
    fn path(&self, coil: usize, pressed: &[usize]) -> Vec<usize> {
        let closed = |link: Link| !matches!(link, Link::Button(b) if !pressed.contains(&b));
        let of = self.conductors();
        let walk = |from: usize, forwards: bool, without: usize| {
            let other_pole = if from == PLUS { MINUS } else { PLUS };
            let mut before: Vec<Option<usize>> = vec![None; self.points];
            let mut waiting = VecDeque::from([from]);
            while let Some(at) = waiting.pop_front() {
                for (index, &(one, other, link)) in self.links.iter().enumerate() {
                    let both = link != Link::Diode;
                    for (here, to, may) in [(one, other, both || forwards), (other, one, both || !forwards)] {
                        let free = to != from && before[to].is_none() && of[to] != other_pole;
                        if index != without && here == at && may && free && closed(link) {
                            before[to] = Some(at);
                            waiting.push_back(to);
                        }
                    }
                }
            }
            before
        };
        let line = |before: &[Option<usize>], from: usize, to: usize| {
            let mut line = vec![to];
            while let Some(at) = before[line[line.len() - 1]] {
                line.push(at);
            }
            (line[line.len() - 1] == from).then_some(line)
        };
        for (at, &(one, other, link)) in self.links.iter().enumerate().filter(|(_, l)| l.2 == Link::Coil(coil)) {
            let (above, below) = (walk(PLUS, true, at), walk(MINUS, false, at));
            for (near, far) in [(one, other), (other, one)] {
                if let (Some(mut first), Some(last)) = (line(&above, PLUS, near), line(&below, MINUS, far)) {
                    first.reverse();
                    first.extend(last);
                    return first;
                }
            }
            debug_assert!(matches!(link, Link::Coil(_)));
        }
        Vec::new()
    }

    /// Everything that the wiring does otherwise than wanted; nothing exactly if each coil fires, in every set of buttons, when and
    /// only when one of the buttons that ask for it is pressed. `wanted` has for each coil the buttons that ask for it.
    ///
    /// # Errors
    /// When a condition outgrows its limit: then nothing is proved.
    pub fn faults(&self, wanted: &[Vec<usize>]) -> Result<Vec<SneakFault>, Overgrown> {
        let diagrams = Diagrams::new(self.buttons, LARGEST);
        let mut faults = Vec::new();
        let shorted = self.shorted(&diagrams)?;
        if !shorted.is_false() {
            faults.push(SneakFault::Short { pressed: fewest_pressed(&diagrams, shorted) });
        }
        for (coil, fires) in self.fires(&diagrams)?.into_iter().enumerate() {
            let asked = wanted.get(coil).map_or(&[][..], Vec::as_slice);
            let mut due = Condition::NEVER;
            for &button in asked {
                due = diagrams.or(due, diagrams.literal(Variable::new(button), true))?;
            }
            if fires == due {
                continue;
            }
            for &button in asked {
                let alone = |v: Variable| v.index() == button;
                if !diagrams.value(fires, alone) {
                    faults.push(SneakFault::Missing { coil, button });
                }
            }
            let sneak = diagrams.and_not(fires, due)?;
            if !sneak.is_false() {
                let pressed = fewest_pressed(&diagrams, sneak);
                let path = self.path(coil, &pressed);
                faults.push(SneakFault::Sneak { coil, pressed, path });
            }
        }
        Ok(faults)
    }
}

/// Buttons that make a condition hold while no other is pressed, of which none can be left out: one where one will do.
fn fewest_pressed(diagrams: &Diagrams, condition: Condition) -> Vec<usize> {
    let holds = |pressed: &[usize]| diagrams.value(condition, |v| pressed.contains(&v.index()));
    let one = diagrams.support(condition).into_iter().map(Variable::index).find(|&b| holds(&[b]));
    if let Some(button) = one {
        return vec![button];
    }
    let clause = diagrams.most_free_clause(condition).unwrap_or_default();
    let mut pressed: Vec<usize> = clause.into_iter().filter(|c| c.1).map(|c| c.0.index()).collect();
    for button in pressed.clone() {
        let without: Vec<usize> = pressed.iter().copied().filter(|&b| b != button).collect();
        if holds(&without) {
            pressed = without;
        }
    }
    pressed
}

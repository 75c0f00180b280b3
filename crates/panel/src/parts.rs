//! What is on a panel and where: as the plan says, and laid out where it does not.

use crate::fired::{self, ButtonAct, Fired, ThrownBy};
use handbook::panel as usual;
use handbook::quantity::{Metres, Quantity};
use plan::tables::{Panel, PanelPartId, Side};
use plan::{At, Kind, driven};
use std::collections::BTreeSet;

/// What a part is.
#[derive(Clone, Debug, PartialEq)]
pub enum PartKind {
    /// A push button, and what it sets.
    Button(ButtonAct),
    /// The lever of a toggle of the plan, by its index.
    Switch(usize),
    /// A lamp, by its index among the panel's.
    Lamp(usize),
}

/// A part of a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub kind: PartKind,
    /// Where the plan says it; none of one that follows from what the panel controls.
    pub said: Option<PanelPartId>,
    /// The middle of its hole, metres from the left and the top edge as seen from the front.
    pub at: [f64; 2],
    /// Whether that place is the program's.
    pub at_assumed: bool,
    /// The diameter of its hole, metres.
    pub hole: f64,
    /// Whether that is the handbook's usual one.
    pub hole_assumed: bool,
}

/// Words on a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Lettering {
    /// What they say.
    pub text: String,
    /// The middle of their line, as [`Part::at`].
    pub at: [f64; 2],
    /// How high capitals are, metres.
    pub height: f64,
}

/// A panel as it is to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelParts {
    /// Index of the panel in the plan.
    pub panel: usize,
    /// Width and height, metres.
    pub size: [f64; 2],
    /// Which of these are the program's.
    pub size_assumed: [bool; 2],
    /// From how far it is read, metres.
    pub viewed: f64,
    /// Whether that is the handbook's.
    pub viewed_assumed: bool,
    /// How high capitals are where nothing says otherwise, metres.
    pub letters: f64,
    /// Its parts: buttons, then switches, then lamps, in the order of the plan, then what follows from its controls.
    pub parts: Vec<Part>,
    /// Words on it that are no part's name.
    pub lettering: Vec<Lettering>,
    /// Things that it controls and no part of it sets: they are moved by hand, or by what the plan does not say.
    pub not_set: Vec<String>,
    /// Parts that are nearer to each other than they may be.
    pub too_near: Vec<[usize; 2]>,
    /// Parts that are too near to an edge, or for which there was no room.
    pub off_edge: Vec<usize>,
}

/// What is free beside a hole at the edge of a panel, metres, its own half not counted. Our own default.
const EDGE: f64 = 0.010;
/// How wide a letter is beside the height of a capital, on average. Our own default, from the face that papers are set in.
const LETTER_WIDTH: f64 = 0.95;
/// What is free between a hole and the capitals below it, beside their height.
const BELOW_HOLE: f64 = 1.0;

/// How much of a panel the name of a part takes: half its width, and how far below the hole's middle it reaches.
pub fn name_room(part: &Part, letters: f64) -> [f64; 2] {
    let width = part.name.chars().count() as f64 * LETTER_WIDTH * letters;
    [width / 2.0, part.hole / 2.0 + (BELOW_HOLE + 1.0) * letters]
}

impl PanelParts {
    /// What is on a panel of a plan.
    pub fn new(fired: &Fired<'_>, panel: usize) -> PanelParts {
        let table = &fired.plan.panel[panel];
        let viewed = table.viewed.as_ref().map_or(usual::VIEWED.value, |v| v.value);
        let mut made = PanelParts {
            panel,
            size: [0.0; 2],
            size_assumed: [table.width.is_none(), table.height.is_none()],
            viewed: viewed.si(),
            viewed_assumed: table.viewed.is_none(),
            letters: usual::letter_height(viewed).si(),
            parts: Vec::new(),
            lettering: Vec::new(),
            not_set: Vec::new(),
            too_near: Vec::new(),
            off_edge: Vec::new(),
        };
        let mut placed = made.said(fired, table);
        made.controlled(fired, table, &mut placed);
        made.size = [&table.width, &table.height].map(|s| s.as_ref().map_or(0.0, |s| s.value.si()));
        let words = table.lettering.iter().map(|words| Lettering {
            text: words.value.text.value.clone(),
            at: [words.value.at.value.left.value.si(), words.value.at.value.top.value.si()],
            height: words.value.height.as_ref().map_or(made.letters, |h| h.value.si()),
        });
        made.lettering = words.collect();
        // Places are those of the side that the plan names, until all is laid out.
        made.lay_out(&placed);
        let from_back = table.seen.as_ref().is_some_and(|s| s.value == Side::Back);
        if from_back {
            let width = made.size[0];
            made.parts.iter_mut().for_each(|part| part.at[0] = width - part.at[0]);
            made.lettering.iter_mut().for_each(|words| words.at[0] = width - words.at[0]);
        }
        made.check();
        made
    }

    /// The parts that the plan says; whether each has a place.
    fn said(&mut self, fired: &Fired<'_>, table: &Panel) -> Vec<bool> {
        let mut placed = Vec::new();
        let mut add = |said,
                       name: &At<String>,
                       kind,
                       at: Option<&At<plan::tables::PanelPlace>>,
                       hole: Option<Metres>,
                       usual: Metres| {
            placed.push(at.is_some());
            self.parts.push(Part {
                name: name.value.clone(),
                kind,
                said: Some(said),
                at: at.map_or([0.0; 2], |at| [at.value.left.value.si(), at.value.top.value.si()]),
                at_assumed: at.is_none(),
                hole: hole.unwrap_or(usual).si(),
                hole_assumed: hole.is_none(),
            });
        };
        for (i, button) in table.button.iter().enumerate() {
            let b = &button.value;
            let kind = PartKind::Button(fired.button(b));
            let hole = b.hole.as_ref().map(|h| h.value);
            add(PanelPartId::Button(i), &b.name, kind, b.at.as_ref(), hole, usual::BUTTON_HOLE.value);
        }
        for (i, switch) in table.switch.iter().enumerate() {
            let s = &switch.value;
            let Ok((_, toggle)) = fired.names.of_kind(&s.toggle.value, &[Kind::Toggle]) else { continue };
            let hole = s.hole.as_ref().map(|h| h.value);
            add(
                PanelPartId::Switch(i),
                &s.toggle,
                PartKind::Switch(toggle),
                s.at.as_ref(),
                hole,
                usual::SWITCH_HOLE.value,
            );
        }
        for (i, lamp) in table.lamp.iter().enumerate() {
            let l = &lamp.value;
            let hole = l.hole.as_ref().map(|h| h.value);
            add(PanelPartId::Lamp(i), &l.name, PartKind::Lamp(i), l.at.as_ref(), hole, usual::LAMP_HOLE.value);
        }
        placed
    }

    /// A button for each position, or a switch, for what the panel controls and nothing on it sets.
    fn controlled(&mut self, fired: &Fired<'_>, table: &Panel, placed: &mut Vec<bool>) {
        let (plan, names, circuit) = (fired.plan, fired.names, fired.circuit);
        let mut set: BTreeSet<_> = BTreeSet::new();
        let mut toggles: BTreeSet<usize> = BTreeSet::new();
        for part in &self.parts {
            match &part.kind {
                PartKind::Button(act) => set.extend(act.set.keys().copied()),
                PartKind::Switch(toggle) => {
                    toggles.insert(*toggle);
                }
                PartKind::Lamp(_) => {}
            }
        }
        let motors = fired::motors(plan, names, circuit);
        for control in table.controls.iter() {
            let Some((kind, index)) = names.get(&control.value) else { continue };
            let (kind, index) = match kind {
                Kind::Relay => driven::leader(plan, names, (kind, index)).unwrap_or((kind, index)),
                _ => (kind, index),
            };
            if kind == Kind::Toggle {
                if toggles.insert(index) {
                    self.add_assumed(plan.toggle[index].name.value.clone(), PartKind::Switch(index), placed);
                }
                continue;
            }
            let moved: Vec<_> = match kind {
                Kind::Motor => {
                    let moves = plan.motor[index].moves.0.iter().filter_map(|t| names.moved(&t.value).ok());
                    moves.filter_map(|m| circuit.work_controls.get(&(m.kind, m.index))?.get(m.part).copied()).collect()
                }
                _ => circuit.work_controls.get(&(kind, index)).cloned().unwrap_or_default(),
            };
            for id in moved {
                let by = motors.get(&id).and_then(|m| m.first()).map(|&m| fired::thrown_by(plan, names, m));
                match by {
                    _ if set.contains(&id) => {}
                    Some(ThrownBy::Toggle(toggle)) => {
                        if toggles.insert(toggle) {
                            self.add_assumed(plan.toggle[toggle].name.value.clone(), PartKind::Switch(toggle), placed);
                        }
                    }
                    Some(ThrownBy::Coil(_) | ThrownBy::Command) => {
                        let control = &circuit.controls[id];
                        for (position, word) in (0u8..).zip(&control.positions) {
                            let act = fired.positions(&[(id, position)]);
                            self.add_assumed(format!("{} {word}", control.name), PartKind::Button(act), placed);
                        }
                        set.insert(id);
                    }
                    Some(ThrownBy::Nothing) | None => {
                        self.not_set.push(circuit.controls[id].name.clone());
                        set.insert(id);
                    }
                }
            }
        }
    }

    fn add_assumed(&mut self, name: String, kind: PartKind, placed: &mut Vec<bool>) {
        let hole = if matches!(kind, PartKind::Switch(_)) { usual::SWITCH_HOLE } else { usual::BUTTON_HOLE };
        let hole = hole.value.si();
        placed.push(false);
        self.parts.push(Part { name, kind, said: None, at: [0.0; 2], at_assumed: true, hole, hole_assumed: true });
    }

    /// Finds a place for each part that has none, row by row from the top left, and a size for a panel that has none.
    fn lay_out(&mut self, placed: &[bool]) {
        let letters = self.letters;
        let room = |part: &Part| {
            let hole = usual::mounting_hole(Metres(part.hole));
            let [half, below] = name_room(part, letters);
            let up = part.hole / 2.0 + letters;
            [(2.0 * half + letters).max(hole.across.si()), (up + below).max(hole.down.si())]
        };
        let free: Vec<usize> = (0..self.parts.len()).filter(|&i| !placed.get(i).copied().unwrap_or(false)).collect();
        let cell =
            free.iter().map(|&i| room(&self.parts[i])).fold([0.0f64; 2], |a, b| [a[0].max(b[0]), a[1].max(b[1])]);
        let said = |axis: usize| {
            let far =
                self.parts.iter().zip(placed).filter(|(_, p)| **p).map(|(part, _)| part.at[axis] + room(part)[axis]);
            far.fold(0.0, f64::max)
        };
        let far = [said(0), said(1)];
        // Rows of no more than so many that a panel is about twice as wide as it is high.
        let across = ((free.len() as f64 * 2.0 * cell[1] / cell[0].max(1e-3)).sqrt().ceil()).max(1.0);
        if self.size_assumed[0] {
            let wide = across.min(free.len() as f64) * cell[0] + 2.0 * EDGE;
            self.size[0] = (wide.max(far[0] + EDGE).max(0.05) * 200.0).ceil() / 200.0;
        }
        let columns = (((self.size[0] - 2.0 * EDGE) / cell[0].max(1e-3)).floor() as usize).max(1);
        if self.size_assumed[1] {
            let rows = free.len().div_ceil(columns) as f64;
            self.size[1] = ((far[1] + rows * cell[1] + 2.0 * EDGE).max(0.05) * 200.0).ceil() / 200.0;
        }
        // The middle of the first cell; what is left over lies half on either side.
        let left = (self.size[0] - columns.min(free.len().max(1)) as f64 * cell[0]) / 2.0 + cell[0] / 2.0;
        let up = |part: &Part| part.hole / 2.0 + letters;
        let highest = free.iter().map(|&i| up(&self.parts[i])).fold(0.0, f64::max);
        let rows = (((self.size[1] - 2.0 * EDGE) / cell[1].max(1e-3)).floor() as usize).max(1);
        let mut cells = (0..rows).flat_map(|row| (0..columns).map(move |column| [column, row]));
        let mut done: Vec<usize> = (0..self.parts.len()).filter(|i| !free.contains(i)).collect();
        for &index in &free {
            let place = cells.find_map(|[column, row]| {
                let at = [left + column as f64 * cell[0], EDGE + highest + row as f64 * cell[1]];
                let mut part = self.parts[index].clone();
                part.at = at;
                let clear = done.iter().all(|&other| !too_near(&part, &self.parts[other], letters))
                    && self.lettering.iter().all(|words| !over_words(&part, words, letters));
                clear.then_some(at)
            });
            match place {
                Some(at) => {
                    self.parts[index].at = at;
                    done.push(index);
                }
                None => self.off_edge.push(index),
            }
        }
    }

    fn check(&mut self) {
        for (i, one) in self.parts.iter().enumerate() {
            if self.off_edge.contains(&i) {
                continue;
            }
            let inside = (0..2).all(|axis| {
                let least = one.hole / 2.0;
                one.at[axis] >= least && one.at[axis] <= self.size[axis] - least
            });
            if !inside {
                self.off_edge.push(i);
            }
            for (j, other) in self.parts.iter().enumerate().skip(i + 1) {
                if !self.off_edge.contains(&j) && holes_too_near(one, other) {
                    self.too_near.push([i, j]);
                }
            }
        }
    }

    /// The parts for which there is room, with their indices.
    pub fn on_panel(&self) -> impl Iterator<Item = (usize, &Part)> {
        self.parts.iter().enumerate().filter(|(i, _)| !self.off_edge.contains(i))
    }

    /// Whether anything is on it.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }
}

/// Whether two parts' holes are nearer to each other than parts of their sizes may be: half of what each needs.
fn holes_too_near(one: &Part, other: &Part) -> bool {
    let [a, b] = [one, other].map(|p| usual::mounting_hole(Metres(p.hole)));
    let across = (a.across.si() + b.across.si()) / 2.0;
    let down = (a.down.si() + b.down.si()) / 2.0;
    let near = 1e-6;
    (one.at[0] - other.at[0]).abs() < across - near && (one.at[1] - other.at[1]).abs() < down - near
}

/// The same with their names.
fn too_near(one: &Part, other: &Part, letters: f64) -> bool {
    overlap(reach(one, letters), reach(other, letters)) || holes_too_near(one, other)
}

/// Whether a part or its name would lie on words.
fn over_words(part: &Part, words: &Lettering, letters: f64) -> bool {
    let half = words.text.chars().count() as f64 * LETTER_WIDTH * words.height / 2.0;
    let [x, y] = words.at;
    let free = words.height / 2.0;
    overlap(reach(part, letters), [x - half - free, x + half + free, y - words.height - free, y + words.height + free])
}

/// Left, right, top and bottom of a part with its name.
fn reach(part: &Part, letters: f64) -> [f64; 4] {
    let [half, below] = name_room(part, letters);
    let half = half.max(part.hole / 2.0);
    [part.at[0] - half, part.at[0] + half, part.at[1] - part.hole / 2.0, part.at[1] + below]
}

fn overlap(a: [f64; 4], b: [f64; 4]) -> bool {
    a[0] < b[1] && b[0] < a[1] && a[2] < b[3] && b[2] < a[3]
}

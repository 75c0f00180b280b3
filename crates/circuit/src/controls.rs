//! What has positions: what motors move, toggles, reversers that change over by themselves.

use crate::builder::Builder;
use crate::trackwork::{LocalControl, turntable};
use crate::{Control, ControlId};
use plan::names::{each_name, parts};
use plan::tables::{ReverserKind, TogglePosition};
use plan::{At, Kind, Moved, driven};

impl<'p> Builder<'p> {
    /// Makes the controls: each motor is one, with everything it moves; what no motor moves is one by itself.
    pub(crate) fn controls(&mut self) {
        let plan = self.plan;
        let moved_by = |motor: &plan::tables::Motor| -> Vec<Moved> {
            motor.moves.0.iter().filter_map(|text| self.names.moved(&text.value).ok()).collect()
        };
        // Motors on one output of a driver are thrown together: one control, that of the first of them.
        let leaders = driven::leaders(plan, self.names);
        let mut moved_together: Vec<Vec<Moved>> = vec![Vec::new(); plan.motor.len()];
        for (motor, &leader) in plan.motor.iter().zip(&leaders) {
            moved_together[leader].extend(moved_by(motor));
        }
        for (index, (motor, moved)) in plan.motor.iter().zip(moved_together).enumerate() {
            if let Some(&control) = self.control_of.get(&(Kind::Motor, leaders[index])) {
                self.control_of.insert((Kind::Motor, index), control);
                continue;
            }
            let Some(&first) = moved.first() else { continue };
            let words: Vec<String> = moved.iter().map(|&m| self.moved_name(m)).collect();
            let control = self.control(words, self.positions(first), false, &motor.name);
            self.control_of.insert((Kind::Motor, index), control);
            self.moved_by.extend(moved.into_iter().map(|m| (m, control)));
        }
        for (kind, index, name) in each_name(plan) {
            if !matches!(kind, Kind::Turnout | Kind::Slip | Kind::ThreeWay | Kind::Turntable) {
                continue;
            }
            for part in 0..parts(kind).len().max(1) {
                let moved = Moved { kind, index, part };
                if !self.moved_by.contains_key(&moved) {
                    let control = self.control(vec![self.moved_name(moved)], self.positions(moved), false, name);
                    self.moved_by.insert(moved, control);
                }
            }
        }
        for (index, toggle) in plan.toggle.iter().enumerate() {
            // A toggle whose contacts are a driver is one control with what that throws: off is the first position.
            let thrown = driven::motor_of_toggle(plan, self.names, index);
            if let Some(&control) = thrown.and_then(|motor| self.control_of.get(&(Kind::Motor, motor))) {
                self.control_of.insert((Kind::Toggle, index), control);
                self.circuit.controls[control].toggles.push(toggle.name.value.clone());
                continue;
            }
            let words = if toggle.centre.is_some() { TogglePosition::WORDS } else { &TogglePosition::WORDS[..2] };
            let positions: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
            let usual = toggle.usual.as_ref().and_then(|usual| words.iter().position(|w| *w == usual.value.word()));
            let control = self.control(vec![toggle.name.value.clone()], positions, false, &toggle.name);
            self.circuit.controls[control].usual = usual.and_then(|u| u8::try_from(u).ok()).unwrap_or(0);
            self.control_of.insert((Kind::Toggle, index), control);
        }
        for (index, relay) in plan.relay.iter().enumerate() {
            self.follow((Kind::Relay, index), &relay.follows);
        }
        for (index, reverser) in plan.reverser.iter().enumerate() {
            match (&reverser.follows, reverser.kind.value) {
                (Some(follows), ReverserKind::Following) => self.follow((Kind::Reverser, index), follows),
                _ => {
                    let positions = vec!["straight".to_owned(), "swapped".to_owned()];
                    let control = self.control(vec![reverser.name.value.clone()], positions, true, &reverser.name);
                    self.control_of.insert((Kind::Reverser, index), control);
                }
            }
        }
    }

    fn control(&mut self, parts: Vec<String>, positions: Vec<String>, settles: bool, at: &At<String>) -> ControlId {
        let id = ControlId::new(self.circuit.controls.len());
        self.circuit.controls.push(Control {
            name: parts.join("+"),
            parts,
            toggles: Vec::new(),
            positions,
            usual: 0,
            settles,
            span: at.span.clone(),
        });
        id
    }

    fn follow(&mut self, who: (Kind, usize), leader: &At<String>) {
        if let Some(leader) = self.names.get(&leader.value).and_then(|l| driven::leader(self.plan, self.names, l))
            && let Some(&control) = self.control_of.get(&leader)
        {
            self.control_of.insert(who, control);
        }
    }

    /// The name of the trackwork that something moved is part of.
    pub(crate) fn name_of(&self, moved: Moved) -> &'p str {
        let (plan, index) = (self.plan, moved.index);
        match moved.kind {
            Kind::Turnout => &plan.turnout[index].name.value,
            Kind::Slip => &plan.slip[index].name.value,
            Kind::ThreeWay => &plan.three_way[index].name.value,
            Kind::Turntable => &plan.turntable[index].name.value,
            _ => "",
        }
    }

    fn moved_name(&self, moved: Moved) -> String {
        let name = self.name_of(moved);
        match parts(moved.kind).get(moved.part) {
            Some(part) => format!("{name}.{part}"),
            None => name.to_owned(),
        }
    }

    /// The names of the positions of what a motor moves, as its template has them.
    fn positions(&self, moved: Moved) -> Vec<String> {
        let template = self.template(moved.kind, moved.index, crate::work_lengths::WorkLengths::default());
        let own = template.and_then(|t| t.controls.into_iter().nth(moved.part));
        let words = |c: LocalControl| c.positions.into_iter().map(|p| p.into_owned()).collect();
        own.map_or_else(Vec::new, words)
    }

    /// The positions of a control in which whatever follows it is changed over: the second one; of a turntable those in
    /// which the deck stands the other way round.
    pub(crate) fn changed_over(&self, control: ControlId) -> Vec<bool> {
        let positions = &self.circuit.controls[control].positions;
        let turntable = self.moved_by.iter().any(|(m, &c)| c == control && m.kind == Kind::Turntable);
        let changed = |(i, word): (usize, &String)| if turntable { word.ends_with(turntable::TURNED) } else { i == 1 };
        positions.iter().enumerate().map(changed).collect()
    }
}

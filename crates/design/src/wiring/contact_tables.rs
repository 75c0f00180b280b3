//! Contacts written into a plan: on the motors and toggles it has, on new ones, on relays where a motor has too few.

use super::contacts::{Duty, Target};
use super::edits::{NewTable, Writing, keys_edit};
use super::feeders::Belongs;
use finding::Edit;
use plan::Kind;
use plan::edit::quoted;
use std::collections::{BTreeMap, BTreeSet};

/// What moves a contact, once it has a name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Owner {
    Motor(usize),
    Toggle(usize),
    /// A motor of the control, by the control's number, or a toggle of a track's.
    New(String),
    /// A relay that follows a motor with too few contacts.
    Relay(usize),
}

impl Writing<'_, '_> {
    /// Who moves each contact, and which of its contacts it is.
    fn owners(&self) -> Vec<(Owner, usize)> {
        let plan = self.sketch.plan;
        let mut counts: BTreeMap<Owner, usize> = BTreeMap::new();
        let mut owners = Vec::new();
        for duty in &self.contacts.duties {
            let mut owner = self.owner(duty);
            if let Owner::Motor(motor) = owner
                && let Some(most) = &plan.motor[motor].contacts
                && counts.get(&owner).copied().unwrap_or(0) >= most.value as usize
            {
                owner = Owner::Relay(motor);
            }
            let count = counts.entry(owner.clone()).or_insert(0);
            *count += 1;
            owners.push((owner, *count));
        }
        owners
    }

    fn owner(&self, duty: &Duty) -> Owner {
        let (plan, names) = (self.sketch.plan, self.sketch.names);
        let Some(control) = duty.control else {
            let track = duty.toggle.map_or("", |track| plan.track[track].name.value.as_str());
            return Owner::New(self.free_name(&format!("{track} power")));
        };
        let control = &self.sketch.circuit.controls[control];
        let part = control.parts.first().map_or("", String::as_str);
        if let Some((Kind::Toggle, index)) = names.get(part) {
            return Owner::Toggle(index);
        }
        let moves = |motor: &plan::tables::Motor| motor.moves.0.iter().any(|m| control.parts.contains(&m.value));
        match plan.motor.iter().position(moves) {
            Some(motor) => Owner::Motor(motor),
            None => Owner::New(self.free_name(&motor_name(part))),
        }
    }

    fn owner_name(&self, owner: &Owner) -> String {
        let plan = self.sketch.plan;
        match owner {
            Owner::Motor(index) => plan.motor[*index].name.value.clone(),
            Owner::Toggle(index) => plan.toggle[*index].name.value.clone(),
            Owner::New(name) => name.clone(),
            Owner::Relay(motor) => self.free_name(&format!("{} relay", plan.motor[*motor].name.value)),
        }
    }

    pub(crate) fn contacts(&self, edits: &mut Vec<Edit>, tables: &mut Vec<NewTable>) {
        let plan = self.sketch.plan;
        let owners = self.owners();
        let mut done: BTreeSet<Owner> = BTreeSet::new();
        for (first, (owner, _)) in owners.iter().enumerate() {
            if !done.insert(owner.clone()) {
                continue;
            }
            let own = owners.iter().enumerate().filter(|(_, o)| o.0 == *owner).map(|(number, _)| number);
            let rows: Vec<String> = own.map(|number| format!("  {},\n", self.contact(number, &owners))).collect();
            let list = format!("[\n{}]", rows.concat());
            let inline = rows.iter().map(|r| r.trim().trim_end_matches(',').to_owned()).collect::<Vec<_>>().join(", ");
            let wire = ("wire", quoted(self.choices.contact_wire));
            let table = |place: &plan::value::TablePlace, said: bool| {
                let list = if place.inline { format!("[{inline}]") } else { list.clone() };
                let mut keys = vec![("contact", list)];
                if !said {
                    keys.insert(0, wire.clone());
                }
                keys_edit(place, &keys)
            };
            match owner {
                Owner::Motor(m) => edits.extend(table(&plan.motor[*m].place, plan.motor[*m].wire.is_some())),
                Owner::Toggle(t) => edits.extend(table(&plan.toggle[*t].place, plan.toggle[*t].wire.is_some())),
                Owner::New(name) => {
                    let mut keys = vec![("name", quoted(name))];
                    let duty = &self.contacts.duties[first];
                    let kind = match duty.control {
                        Some(control) => {
                            let parts: Vec<String> =
                                self.sketch.circuit.controls[control].parts.iter().map(|p| quoted(p)).collect();
                            keys.push((
                                "moves",
                                if let [one] = &parts[..] { one.clone() } else { format!("[{}]", parts.join(", ")) },
                            ));
                            "motor"
                        }
                        None => "toggle",
                    };
                    keys.push(wire.clone());
                    keys.push(("contact", list));
                    tables.push(NewTable { kind, keys });
                }
                Owner::Relay(motor) => {
                    let table = &plan.motor[*motor];
                    let mut keys =
                        vec![("name", quoted(&self.owner_name(owner))), ("follows", quoted(&table.name.value))];
                    let steady = table.kind.as_ref().is_some_and(|k| k.value == plan::tables::MotorKind::Stall);
                    match (&table.driver, &table.supply) {
                        (Some(driver), _) if steady => keys.push(("driver", quoted(&driver.value))),
                        (_, Some(supply)) => keys.push(("supply", quoted(&supply.value))),
                        _ => keys.extend(self.accessory_supply().map(|name| ("supply", quoted(name)))),
                    }
                    keys.push(wire.clone());
                    keys.push(("contact", list));
                    tables.push(NewTable { kind: "relay", keys });
                }
            }
        }
    }

    fn accessory_supply(&self) -> Option<&str> {
        let kind = |s: &&plan::tables::Supply| {
            s.kind
                .as_ref()
                .is_some_and(|k| matches!(k.value, plan::tables::SupplyKind::Accessory | plan::tables::SupplyKind::Dc))
        };
        self.sketch.plan.supply.iter().find(kind).map(|s| s.name.value.as_str())
    }

    fn contact(&self, number: usize, owners: &[(Owner, usize)]) -> String {
        let duty = &self.contacts.duties[number];
        let mut parts = Vec::new();
        let common = self.targets(&duty.common, owners);
        parts.extend(common.map(|c| format!("common = {c}")));
        for (position, wires) in duty.to.iter().enumerate() {
            let word = match duty.control {
                Some(control) => self.sketch.position(control, position),
                None => ["off", "on"][position.min(1)],
            };
            // Of a turntable or a toggle with a centre no contact has such a terminal.
            parts.extend(self.targets(wires, owners).map(|w| format!("{word} = {w}")));
        }
        format!("{{ {} }}", parts.join(", "))
    }

    fn targets(&self, targets: &[Target], owners: &[(Owner, usize)]) -> Option<String> {
        let all: Vec<String> = targets.iter().map(|t| quoted(&self.target(t, owners))).collect();
        match all.as_slice() {
            [] => None,
            [one] => Some(one.clone()),
            _ => Some(format!("[{}]", all.join(", "))),
        }
    }

    fn target(&self, target: &Target, owners: &[(Owner, usize)]) -> String {
        let plan = self.sketch.plan;
        match target {
            Target::Conductor(feed) => self.belongs(Belongs::Bus(*feed)),
            Target::Rail { track, side, x } => {
                format!("{}.{} @ {}", plan.track[*track].name.value, side.word(), self.units().written(*x))
            }
            Target::Frog { kind, index, word } => {
                let name = plan::names::each_name(plan).find(|(k, i, _)| (k, i) == (kind, index));
                format!("{}.{word}", name.map_or("", |n| n.2.value.as_str()))
            }
            Target::Common(duty) => {
                let (owner, number) = &owners[*duty];
                format!("{}.{number}.common", self.owner_name(owner))
            }
        }
    }
}

/// The name of a motor by what it moves: `M1` of `T1`.
fn motor_name(part: &str) -> String {
    match part.strip_prefix('T') {
        Some(number) if !number.is_empty() && number.chars().all(|c| c.is_ascii_digit()) => format!("M{number}"),
        _ => format!("{} motor", part.replace('.', " ")),
    }
}

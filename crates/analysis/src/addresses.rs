//! Every motor's accessory address: as the plan counts, as others count, and what is sent to set it.

use crate::Analysis;
use circuit::{Circuit, Control};
use plan::tables::{Addresses, Motor};
use plan::{Names, Plan, driven};
use signal::event_id::EventId;
use signal::{Counting, Packet, RawAddress};
use std::collections::BTreeMap;

/// The address table of a plan.
pub struct AddressTable {
    /// What the builder calls the layout.
    pub layout: String,
    /// How the plan's numbers count.
    pub counting: Counting,
    /// Whether the plan says so itself.
    pub counting_said: bool,
    /// Motors with an address, in the order of their numbers.
    pub rows: Vec<AddressRow>,
    /// Motors without one, and what they move.
    pub without: Vec<String>,
}

/// One motor.
pub struct AddressRow {
    /// Its number, as the plan counts.
    pub number: u32,
    /// What the builder calls it.
    pub motor: String,
    /// What it moves.
    pub moves: String,
    /// Its address.
    pub address: RawAddress,
    /// Whether output 1 sets it diverging.
    pub reversed: bool,
    /// How each of its positions is set; none for what has more than two, which one address cannot tell apart.
    pub sets: Vec<AddressSetting>,
}

/// What sets one position of a motor.
pub struct AddressSetting {
    /// The position.
    pub position: String,
    /// The output of its pair that is switched on.
    pub output: bool,
    /// The packet's bytes.
    pub bytes: Vec<u8>,
    /// The event on a layout bus.
    pub event: EventId,
}

/// How a plan's addresses count.
pub fn counting(plan: &Plan) -> Counting {
    let said = plan.layout.as_ref().and_then(|l| l.value.addresses.as_ref());
    match said.map(|a| a.value) {
        Some(Addresses::FourOff) => Counting::FourOff,
        Some(Addresses::Linear) | None => Counting::Linear,
    }
}

/// The address of a motor: its own, or its driver's counted up.
pub fn motor_address(plan: &Plan, names: &Names, motor: usize) -> Option<RawAddress> {
    RawAddress::from_number(driven::address(plan, names, motor)?.value, counting(plan))
}

impl Analysis<'_> {
    /// The address table of the plan.
    pub fn addresses(&self) -> AddressTable {
        AddressTable::from_plan(self.plan, self.names, &self.circuit)
    }
}

impl AddressTable {
    fn from_plan(plan: &Plan, names: &Names, circuit: &Circuit) -> AddressTable {
        let moves = |motor: &Motor| motor.moves.0.iter().map(|m| m.value.as_str()).collect::<Vec<_>>().join(" + ");
        let layout = plan.layout.as_ref().map(|l| &l.value);
        let mut table = AddressTable {
            layout: layout.map_or_else(String::new, |l| l.name.value.clone()),
            counting: counting(plan),
            counting_said: layout.is_some_and(|l| l.addresses.is_some()),
            rows: Vec::new(),
            without: Vec::new(),
        };
        let leaders = driven::leaders(plan, names);
        let control_at: BTreeMap<usize, &Control> = circuit.controls.iter().map(|c| (c.span.start, c)).collect();
        for (index, motor) in plan.motor.iter().enumerate() {
            let (Some(number), Some(address)) =
                (driven::address(plan, names, index), motor_address(plan, names, index))
            else {
                table.without.push(format!("{} ({})", motor.name.value, moves(motor)));
                continue;
            };
            let reversed = driven::is_reversed(plan, index);
            let leader = &plan.motor[leaders[index]];
            let control = control_at.get(&leader.name.span.start);
            table.rows.push(AddressRow {
                number: number.value,
                motor: motor.name.value.clone(),
                moves: moves(motor),
                address,
                reversed,
                sets: control.map_or_else(Vec::new, |c| sets(&c.positions, address, reversed)),
            });
        }
        table.rows.sort_by(|a, b| (a.number, &a.motor).cmp(&(b.number, &b.motor)));
        table
    }

    /// Runs of numbers that no motor has, between the lowest and the highest that one has.
    pub fn free(&self) -> Vec<[u32; 2]> {
        let pairs = self.rows.windows(2).filter_map(|pair| match pair {
            [low, high] if high.number > low.number + 1 => Some([low.number + 1, high.number - 1]),
            _ => None,
        });
        pairs.collect()
    }

    /// Numbers that more than one motor has.
    pub fn shared(&self) -> Vec<u32> {
        let pairs = self.rows.windows(2).filter(|pair| matches!(pair, [a, b] if a.number == b.number));
        let mut shared: Vec<u32> = pairs.filter_map(|pair| pair.first().map(|row| row.number)).collect();
        shared.dedup();
        shared
    }
}

/// What sets each of two positions. The first, through, is commonly output 1 and the other output 0 (as signals are: 1 for
/// proceed; common practice, from memory); of a reversed motor it is the other way round.
fn sets(positions: &[String], address: RawAddress, reversed: bool) -> Vec<AddressSetting> {
    let [first, second] = positions else { return Vec::new() };
    let set = |position: &String, output: bool| -> Option<AddressSetting> {
        let bytes = Packet::Accessory { address, output, on: true }.bytes().ok()?;
        Some(AddressSetting {
            position: position.clone(),
            output,
            bytes,
            event: EventId::accessory(address, output, true),
        })
    };
    [set(first, !reversed), set(second, reversed)].into_iter().flatten().collect()
}

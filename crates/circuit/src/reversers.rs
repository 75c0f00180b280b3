//! Reversers: two outputs that are joined to the two inputs straight or crossed.

use crate::builder::Builder;
use crate::bus::Buses;
use crate::wire::TapPlace;
use crate::{EdgeKind, Literal, Part, Spot};
use handbook::quantity::Quantity;
use plan::{At, Kind, Pole};

impl Builder<'_> {
    /// The outputs of every reverser, each joined by a contact to one of two taps on the bus it is fed from.
    ///
    /// Straight, A is A; changed over, A is B. Following ones are changed over in the second position of what they
    /// follow; those that sense shorts have a control of their own that settles by itself.
    pub(crate) fn reversers(&mut self, buses: &mut Buses) {
        let plan = self.plan;
        for (index, reverser) in plan.reverser.iter().enumerate() {
            let name = &reverser.name;
            let outputs = Pole::ALL.map(|pole| {
                self.node(
                    format!("{}.{}", name.value, pole.word()),
                    &name.span,
                    Spot::Reverser { reverser: index, pole },
                )
            });
            for (pole, node) in Pole::ALL.into_iter().zip(outputs) {
                self.reverser_outputs.insert((index, pole), node);
            }
            let (Some(&control), Ok((bus, at))) =
                (self.control_of.get(&(Kind::Reverser, index)), self.names.bus_place(&reverser.from.value))
            else {
                continue;
            };
            let text = At { value: reverser.from.value.clone(), span: reverser.from.span.clone() };
            let place = at.map_or(TapPlace::Unknown, |a| TapPlace::Said(a.si()));
            let inputs = Pole::ALL.map(|pole| buses.tap(self, bus, pole, place, &text));
            for (position, swapped) in self.changed_over(control).into_iter().enumerate() {
                for pole in Pole::ALL {
                    let brings = if swapped { pole.other() } else { pole };
                    let (ohms, input) = self.contact_ohms(EdgeKind::Contact);
                    let part = Part::Reverser { reverser: index, pole, swapped };
                    let guard = vec![Literal { control, position: position as u8 }];
                    let ends = [outputs[pole], inputs[brings]];
                    self.edge(ends, EdgeKind::Contact, ohms, guard, input, part, &name.span);
                }
            }
        }
    }
}

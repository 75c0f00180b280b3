//! Coils of relays that lie over a contact: what feeds them, and when.

use super::{Check, unclear};
use crate::driven;
use crate::names::{Contact, Kind, Pole, Terminal};
use crate::tables::SupplyKind;
use crate::value::At;

/// A conductor that a coil ends at.
struct CoilFeed<'p> {
    text: &'p At<String>,
    supply: Option<usize>,
    pole: Pole,
}

const BOTH: &str =
    "one end is a terminal of a contact, the other a conductor: `coil = [\"R1.1.diverging\", \"points bus.B\"]`";

impl<'p> Check<'p, '_> {
    /// A coil has two ends: a contact of what the relay follows, closed in its second position, and a conductor of the other pole.
    pub(super) fn coil_over_a_contact(&mut self, relay: usize) {
        let plan = self.plan;
        let table = &plan.relay[relay];
        let name = &table.name.value;
        let Some(first) = table.coil.0.first() else { return };
        if let Some(driver) = &table.driver {
            let message = format!("the coil of `{name}` lies across an output and over a contact");
            return self.coil_cannot(message, driver, "an output here", "leave out `driver`, or `coil`");
        }
        let [one, other] = &table.coil.0[..] else {
            let message = format!("a coil has two ends, and that of `{name}` is said to have {}", table.coil.0.len());
            return self.coil_cannot(message, first, "its ends", BOTH);
        };
        let (mut contact, mut feed) = (None, None);
        for text in [one, other] {
            let found = self.names.terminal(plan, &text.value);
            match self.resolve(text, found) {
                None => return,
                Some(Terminal::Contact(c)) => contact = Some((text, c)),
                Some(Terminal::Bus(bus, pole, at)) => {
                    self.on_bus(bus, at, text);
                    let supply = driven::supply_of_bus(plan, self.names, bus);
                    feed = Some(CoilFeed { text, supply, pole });
                }
                Some(Terminal::Supply(supply, pole)) => feed = Some(CoilFeed { text, supply: Some(supply), pole }),
                Some(_) => {
                    let message = format!("the coil of `{name}` ends at what is no contact, bus or supply");
                    return self.coil_cannot(message, text, "not here", BOTH);
                }
            }
        }
        match (contact, feed) {
            (Some((text, c)), Some(feed)) => self.coil_of_contact(relay, (text, &c), &feed),
            (None, _) => self.coil_cannot(format!("nothing switches the coil of `{name}`"), one, "its ends", BOTH),
            (_, None) => self.coil_cannot(format!("nothing feeds the coil of `{name}`"), one, "its ends", BOTH),
        }
    }

    /// It is pulled in when what it follows stands in its second position.
    fn coil_of_contact(&mut self, relay: usize, (text, c): (&'p At<String>, &Contact), feed: &CoilFeed<'p>) {
        let plan = self.plan;
        let table = &plan.relay[relay];
        let name = &table.name.value;
        let leader = |of| driven::leader(plan, self.names, of);
        let own = leader((Kind::Relay, relay));
        // A relay that follows nothing has been told elsewhere.
        if own.is_some() && leader((c.owner, c.index)) != own {
            let message = format!("`{name}` follows `{}`, and this contact does not", table.follows.value);
            return self.coil_cannot(message, text, "another contact", "name a contact of what the relay follows");
        }
        if !["diverging", "right", "on"].contains(&c.terminal.as_str()) {
            let message = format!("the coil of `{name}` would be fed the wrong way round");
            let help = "a relay is pulled in in the second position: name `diverging`, `right` or `on`, and let `common` bring the other pole";
            return self.coil_cannot(message, text, "closed in the first position, or in both", help);
        }
        let kind = feed.supply.and_then(|supply| plan.supply[supply].kind.as_ref()).map(|kind| kind.value);
        if feed.supply.is_some() && !matches!(kind, Some(SupplyKind::Accessory | SupplyKind::Dc)) {
            self.reader.tell(
                unclear("motor-misfit", format!("a relay needs steady current, and `{name}` would get track power"))
                    .at(feed.text.span.clone(), "this reverses with every half bit")
                    .help("feed the coil from an accessory or direct-current supply"),
            );
            return;
        }
        let list = match c.owner {
            Kind::Motor => &plan.motor[c.index].contact,
            Kind::Relay => &plan.relay[c.index].contact,
            _ => &plan.toggle[c.index].contact,
        };
        // What another contact brings is that one's matter.
        let Some(common) = list.items.get(c.contact).and_then(|contact| contact.value.common.0.first()) else { return };
        let common = &common.value.to;
        let brought = match self.names.terminal(plan, &common.value) {
            Ok(Terminal::Bus(bus, pole, _)) => (driven::supply_of_bus(plan, self.names, bus), pole),
            Ok(Terminal::Supply(supply, pole)) => (Some(supply), pole),
            _ => return,
        };
        let what = match (brought.0 == feed.supply, brought.1 == feed.pole) {
            (true, false) => return,
            (true, true) => "both ends of its coil are on one conductor",
            (false, _) => "the two ends of its coil belong to two supplies",
        };
        self.reader.tell(
            unclear("contradiction", format!("`{name}` never pulls in: {what}"))
                .at(feed.text.span.clone(), "one end here")
                .also(common.span.clone(), "what the contact brings")
                .help("let the contact bring the other pole of the same supply"),
        );
    }

    fn coil_cannot(&mut self, message: String, at: &At<String>, label: &'static str, help: &'static str) {
        self.reader.tell(unclear("contradiction", message).at(at.span.clone(), label).help(help));
    }
}

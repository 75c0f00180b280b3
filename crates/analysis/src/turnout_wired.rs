//! What is wired to one turnout of a plan: what throws it, which contacts follow it, what it joins, its gaps.

use crate::Analysis;
use crate::words::BadReference;
use circuit::{Circuit, Gap, RailOwner};
use finding::Lines;
use plan::driven;
use plan::tables::{ContactTable, Hand, WiredTo, Wiring};
use plan::value::OneOrMany;
use plan::{Kind, Names, Plan, TrackEnd};

/// A turnout and what is wired to it, in lines of words.
#[derive(Clone, Debug, PartialEq)]
pub struct TurnoutWired {
    /// Its name.
    pub name: String,
    /// The layout's name.
    pub layout: String,
    /// Its wiring type.
    pub wiring: Wiring,
    /// Its hand.
    pub hand: Hand,
    /// What throws it: motor, kind, address, supply.
    pub thrown_by: Vec<String>,
    /// Contacts that follow it, and what each is wired to.
    pub contacts: Vec<String>,
    /// What is wired to its frog.
    pub frog: Vec<String>,
    /// The track at each of its ends.
    pub joins: Vec<String>,
    /// Gaps of its own and of the tracks at its ends, those in the half towards it.
    pub gaps: Vec<String>,
}

impl Analysis<'_> {
    /// What is wired to a turnout, by its name.
    ///
    /// # Errors
    /// When there is no such turnout.
    pub fn turnout_wired(&self, name: &str) -> Result<TurnoutWired, BadReference> {
        let (_, index) = self.names.of_kind(name, &[Kind::Turnout]).map_err(BadReference)?;
        Ok(self.wired_to_turnout(index, &self.lines()))
    }

    /// The same by its index, where the lines of the text are known already.
    pub fn wired_to_turnout(&self, index: usize, lines: &Lines<'_>) -> TurnoutWired {
        let (plan, names, circuit) = (self.plan, self.names, &self.circuit);
        let name = plan.turnout[index].name.value.as_str();
        let turnout = &plan.turnout[index];
        let contacts = contacts(plan, names, name);
        let frog = format!("{name}.frog");
        let mut feeds: Vec<String> = contacts
            .iter()
            .filter(|(_, c)| terminals(c).iter().any(|(_, wires)| wires.references().any(|w| w.value == frog)))
            .map(|(label, _)| format!("fed by contact {label}"))
            .collect();
        if feeds.is_empty() {
            feeds.push("no contact of its own motor is wired to it".to_owned());
        }
        TurnoutWired {
            name: name.to_owned(),
            layout: self.layout(),
            wiring: turnout.wiring.value,
            hand: turnout.hand.value,
            thrown_by: thrown_by(plan, names, name),
            contacts: contacts.iter().map(|(label, c)| contact_words(label, c)).collect(),
            frog: feeds,
            joins: joins(plan, name),
            gaps: gaps(plan, circuit, lines, index, name),
        }
    }
}

fn thrown_by(plan: &Plan, names: &Names, name: &str) -> Vec<String> {
    let motors = plan.motor.iter().enumerate().filter(|(_, m)| m.moves.0.iter().any(|t| t.value == name));
    let mut shown: Vec<String> = motors
        .map(|(index, motor)| {
            let mut words = vec![format!("motor {}", motor.name.value)];
            words.extend(driven::motor_kind(plan, names, index).map(|k| k.word().to_owned()));
            let output = driven::of_motor(plan, names, index).map(|o| driven::output_words(plan, o));
            words.extend(output.map(|o| format!("driver {o}")));
            words.extend(driven::address(plan, names, index).map(|a| format!("address {}", a.value)));
            words.extend(motor.supply.as_ref().map(|s| format!("from {}", s.value)));
            let with: Vec<&str> = motor.moves.0.iter().map(|t| t.value.as_str()).filter(|t| *t != name).collect();
            if !with.is_empty() {
                words.push(format!("together with {}", with.join(" and ")));
            }
            let used = motor.contact.items.len();
            words.push(match &motor.contacts {
                Some(has) => format!("{used} of its {} contacts used", has.value),
                None => format!("{used} {} used", if used == 1 { "contact" } else { "contacts" }),
            });
            words.join(", ")
        })
        .collect();
    if shown.is_empty() {
        shown.push("nothing in the plan; by hand".to_owned());
    }
    shown
}

/// Contacts of the turnout's motor and of relays that follow it, with their labels: `M1.2`.
fn contacts<'p>(plan: &'p Plan, names: &Names, name: &str) -> Vec<(String, &'p ContactTable)> {
    let mut all = Vec::new();
    for (index, motor) in plan.motor.iter().enumerate() {
        if !motor.moves.0.iter().any(|t| t.value == name) {
            continue;
        }
        let root = |relay| plan::driven::leader(plan, names, (Kind::Relay, relay));
        let relays = plan.relay.iter().enumerate().filter(|(r, _)| root(*r) == Some((Kind::Motor, index)));
        let lists = std::iter::once((&motor.name.value, &motor.contact))
            .chain(relays.map(|(_, r)| (&r.name.value, &r.contact)));
        for (owner, list) in lists {
            all.extend(list.iter().enumerate().map(|(n, c)| (format!("{owner}.{}", n + 1), &c.value)));
        }
    }
    all
}

fn terminals(contact: &ContactTable) -> [(&'static str, &OneOrMany<WiredTo>); 5] {
    [
        ("common", &contact.common),
        ("through", &contact.through),
        ("diverging", &contact.diverging),
        ("left", &contact.left),
        ("right", &contact.right),
    ]
}

fn contact_words(label: &str, contact: &ContactTable) -> String {
    let wires: Vec<String> = terminals(contact)
        .iter()
        .filter(|(_, wires)| !wires.0.is_empty())
        .map(|(terminal, wires)| {
            let to: Vec<&str> = wires.references().map(|w| w.value.as_str()).collect();
            format!("{terminal} to {}", to.join(" and "))
        })
        .collect();
    format!("{label}: {}", wires.join(", "))
}

/// Each track end at the turnout: which of the turnout's ends, the track, and which end of it.
fn ends<'p>(plan: &'p Plan, name: &str) -> Vec<(&'p str, usize, TrackEnd)> {
    let mut found = Vec::new();
    for (index, track) in plan.track.iter().enumerate() {
        for (end, text) in [(TrackEnd::From, &track.from), (TrackEnd::To, &track.to)] {
            if let Some(port) = text.value.strip_prefix(name).and_then(|rest| rest.strip_prefix('.')) {
                found.push((port, index, end));
            }
        }
    }
    found
}

fn joins(plan: &Plan, name: &str) -> Vec<String> {
    ends(plan, name).iter().map(|(port, track, _)| format!("{port}: {}", plan.track[*track].name.value)).collect()
}

fn gaps(plan: &Plan, circuit: &Circuit, lines: &Lines, index: usize, name: &str) -> Vec<String> {
    let mut shown = Vec::new();
    for (port, track, end) in ends(plan, name) {
        let half = circuit.segments[track].length / 2.0;
        let towards = |g: &&Gap| g.segment == track && (g.x < half) == (end == TrackEnd::From);
        let mut here: Vec<&Gap> = circuit.gaps.iter().filter(towards).collect();
        here.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.side.cmp(&b.side)));
        for gap in here {
            let line = lines.line_at(gap.span.start);
            let track = &circuit.segments[track].name;
            shown.push(format!("{port}: {track}.{} @ {}, line {line}", gap.side.word(), circuit.units.metres(gap.x)));
        }
    }
    let own = |g: &&Gap| matches!(&circuit.segments[g.segment].owner, RailOwner::Work { kind: Kind::Turnout, index: i, .. } if *i == index);
    let mut between: Vec<[&str; 2]> =
        circuit.gaps.iter().filter(own).map(|g| [g.before, g.after].map(|n| circuit.nodes[n].name.as_str())).collect();
    between.sort_unstable();
    between.dedup();
    let bare = |words: &str| words.strip_prefix(name).map_or(words, str::trim_start).to_owned();
    shown.extend(between.iter().map(|[a, b]| format!("built in: between {} and {}", bare(a), bare(b))));
    if shown.is_empty() {
        shown.push("none".to_owned());
    }
    shown
}

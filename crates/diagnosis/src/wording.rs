//! Places, faults and measurements in a builder's words, and back.

use crate::fault::{Element, Fault, TOO_MUCH};
use crate::hunt::Hunt;
use crate::observation::{Kit, Measurement, Value};
use circuit::{EdgeId, EdgeKind, NodeId, Spot};
use commissioning::words::{JobWords, set_words};
use handbook::quantity::{Ohms, Quantity as _, show_ohms};
use plan::tables::RailSide;
use schedule::Job;
use schedule::places::PlaceNames;
use std::collections::BTreeMap;

/// Words for a hunt on one job; the hunt must be on the job's own circuit.
pub struct Wording<'j, 'p> {
    job: &'j Job<'p>,
    words: JobWords<'j, 'p>,
    names: Vec<String>,
    by_name: BTreeMap<String, NodeId>,
}

/// Why words name no place, wire or setting.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadPlace {
    /// Nothing is called so.
    #[error("`{0}` is no place of this plan; write one such as {1}")]
    Unknown(String, String),
    /// A track has two rails.
    #[error("`{0}` does not say which rail; write `{1}`")]
    WhichRail(String, String),
    /// No wire is called so.
    #[error("`{0}` is no wire that can be pulled; write its number, such as `F-3`")]
    NoWire(String),
}

impl<'j, 'p> Wording<'j, 'p> {
    /// Words for a job.
    pub fn new(job: &'j Job<'p>) -> Wording<'j, 'p> {
        let circuit = &job.facts.circuit;
        let places = PlaceNames::new(circuit, job.facts.plan, job.choices.units);
        let mut names: Vec<String> = Vec::new();
        let mut by_name = BTreeMap::new();
        for (node, n) in NodeId::each(&circuit.nodes) {
            // The wire's side of a tap lies where the bus is.
            let place = places.words(node);
            let mut name = match n.spot {
                Spot::Tap { bus, pole, x } => format!("{}, wire's end", places.bus(bus, pole, x)),
                _ => place,
            };
            let base = name.clone();
            let mut count = 1;
            while by_name.contains_key(&key(&name)) {
                count += 1;
                name = format!("{base} ({count})");
            }
            by_name.insert(key(&name), node);
            names.push(name);
        }
        Wording { job, words: JobWords::new(job), names, by_name }
    }

    /// A place: `dock 1.right @ 400 mm, far side`.
    pub fn place(&self, node: NodeId) -> &str {
        &self.names[node.index()]
    }

    /// The node that words name: a name as [`Wording::place`] gives it, or a place on a rail or bus near one.
    ///
    /// # Errors
    /// When there is no such place.
    pub fn node(&self, text: &str) -> Result<NodeId, BadPlace> {
        if let Some(&node) = self.by_name.get(&key(text)) {
            return Ok(node);
        }
        let (facts, typed) = (&self.job.facts, text.trim());
        let circuit = &facts.circuit;
        if let Ok(found) = facts.names.rail_place(typed) {
            let Some(side) = found.side else {
                let right = typed.replacen(" @", ".right @", 1);
                return Err(BadPlace::WhichRail(typed.to_owned(), right));
            };
            let stops = &circuit.segments[found.track].rails[side].stops;
            let x = found.at.si();
            let nearest = stops.iter().min_by(|a, b| (a.x - x).abs().total_cmp(&(b.x - x).abs()));
            if let Some(stop) = nearest.filter(|stop| (stop.x - x).abs() < 0.011) {
                let last = stops.last().is_some_and(|last| last == stop);
                return Ok(if last { stop.before } else { stop.after });
            }
        }
        // A place on a conductor of a bus: the node nearest to it.
        if let Some((head, place)) = typed.split_once('@')
            && let Some((bus, pole)) = head.trim().rsplit_once('.')
            && let Ok((bus, Some(at))) = facts.names.bus_place(&format!("{bus} @ {}", place.trim()))
        {
            let on = NodeId::each(&circuit.nodes).filter_map(|(node, n)| match n.spot {
                Spot::Bus { bus: b, pole: p, x } if b == bus && p.word().eq_ignore_ascii_case(pole) => {
                    Some(((x - at.si()).abs(), node))
                }
                _ => None,
            });
            if let Some((_, node)) = on.min_by(|a, b| a.0.total_cmp(&b.0)) {
                return Ok(node);
            }
        }
        let like = plan::nearest_name(typed, self.names.iter().map(String::as_str)).map(str::to_owned);
        let like = like.or_else(|| {
            let rail = circuit.segments[..circuit.tracks].first()?.rails[RailSide::Right].stops.first()?;
            Some(self.names[rail.after.index()].clone())
        });
        Err(BadPlace::Unknown(typed.to_owned(), format!("`{}`", like.unwrap_or_default())))
    }

    /// The wire that a number or a name means.
    ///
    /// # Errors
    /// When there is none that can be pulled.
    pub fn wire(&self, hunt: &Hunt, text: &str) -> Result<EdgeId, BadPlace> {
        let typed = key(text);
        EdgeId::all(self.job.facts.circuit.edges.len())
            .filter(|&edge| hunt.can_be_pulled(edge))
            .find(|&edge| key(&self.words.short(edge)) == typed || key(&self.words.edge_name(edge)) == typed)
            .ok_or_else(|| BadPlace::NoWire(text.trim().to_owned()))
    }

    /// A thing that can be at fault: `F-5 feeder of dock 1 left rail at 400 mm`.
    pub fn element(&self, element: Element) -> String {
        match element {
            Element::Edge(edge) => self.edge(edge),
            Element::Gap(a, b) => format!("{} at {}", self.words.gap(a, b), self.place(a)),
            Element::Pair(one, other) => format!("{} and {}", self.words.short(one), self.words.short(other)),
            Element::Conductor(tap) => self.edge(tap),
        }
    }

    fn edge(&self, edge: EdgeId) -> String {
        let circuit = &self.job.facts.circuit;
        match (edge.index() < circuit.edges.len(), circuit.plugs.contains_key(&edge)) {
            (true, true) => format!("{}, or its contact in a plug", self.words.edge(edge)),
            (true, false) => self.words.edge(edge),
            (false, _) => "a blade".to_owned(),
        }
    }

    /// A fault: `F-5 feeder of dock 1 left rail at 400 mm: about 1.4 Ω too much`.
    pub fn fault(&self, fault: Fault) -> String {
        let what = self.element(fault.element());
        match fault {
            Fault::Open(edge) => match self.job.facts.circuit.edges.get(edge.index()).map(|e| e.kind) {
                Some(EdgeKind::Feeder | EdgeKind::Wire) => format!("{what}: broken, or off at one end"),
                Some(EdgeKind::BusWire) => format!("{what}: broken"),
                _ => format!("{what}: does not conduct"),
            },
            Fault::More(_, step) => {
                let ohms = show_ohms(Ohms(TOO_MUCH[usize::from(step)]));
                format!("{what}: about {ohms} more than it should have")
            }
            Fault::Bridged(..) => format!("{what}: its two sides touch"),
            Fault::Exchanged(..) => format!("{what}: exchanged"),
            Fault::OtherConductor { .. } => format!("{what}: on the other conductor of its bus"),
        }
    }

    /// Faults together: none is `nothing is wrong`.
    pub fn faults(&self, faults: &[Fault]) -> String {
        match faults {
            [] => "nothing is wrong".to_owned(),
            [one] => self.fault(*one),
            [one, other, ..] => format!("{}; and {}", self.fault(*one), self.fault(*other)),
        }
    }

    /// How everything must be set for a measurement: positions that are not the usual ones.
    pub fn set(&self, measurement: &Measurement) -> String {
        let circuit = &self.job.facts.circuit;
        let set = set_words(circuit, &measurement.conditions.setting);
        set.iter().map(|(control, position)| format!("{control} {position}")).collect::<Vec<_>>().join(", ")
    }

    /// The same as it is written into a file: `T1=diverging; T2=through`.
    pub fn set_cell(&self, measurement: &Measurement) -> String {
        let set = set_words(&self.job.facts.circuit, &measurement.conditions.setting);
        set.iter().map(|(control, position)| format!("{control}={position}")).collect::<Vec<_>>().join("; ")
    }

    /// The wires that are pulled, by their numbers: `F-3; F-4`.
    pub fn pulled_cell(&self, measurement: &Measurement) -> String {
        let pulled = measurement.conditions.pulled.iter().map(|edge| self.words.short(*edge));
        pulled.collect::<Vec<_>>().join("; ")
    }

    /// The wires that are pulled, with their names.
    pub fn pulled(&self, measurement: &Measurement) -> Vec<String> {
        measurement.conditions.pulled.iter().map(|edge| self.words.edge(*edge)).collect()
    }

    /// How a measurement is taken, one sentence each: what is set, pulled, clipped on and read.
    pub fn steps(&self, measurement: &Measurement) -> Vec<String> {
        let mut steps = Vec::new();
        let set = self.set(measurement);
        let set = if set.is_empty() {
            "everything in its usual position".to_owned()
        } else {
            format!("{set}, the rest as usual")
        };
        steps.push(format!("set: {set}"));
        let pulled = self.pulled(measurement);
        if !pulled.is_empty() {
            steps.push(format!("pull: {}", pulled.join("; ")));
        }
        let [one, other] = measurement.sense.map(|node| self.place(node));
        let read = match measurement.kit {
            Kit::Buzzer => format!("touch with the probes: {one} – {other}"),
            Kit::Ohmmeter => format!("probes: {one} – {other}; read ohms, the leads' own taken off"),
            Kit::Bench => format!("clip 1 A on outside the probes; probes: {one} – {other}; read millivolts"),
            Kit::Volts if measurement.sense == measurement.force => {
                format!("put the 1 A load across: {one} – {other}; read by how many volts they fall")
            }
            Kit::Volts => {
                let [from, to] = measurement.force.map(|node| self.place(node));
                steps.push(format!("put the 1 A load across: {from} – {to}"));
                format!("probes: {one} – {other}; read by how many volts the load moves them")
            }
        };
        steps.push(read);
        steps
    }

    /// A reading as it would be shown, from ohms.
    pub fn reading(&self, kit: Kit, ohms: f64) -> String {
        if kit == Kit::Buzzer {
            return kit.shown(Value::Sounds(ohms < kit.errors().most));
        }
        kit.shown(if ohms < kit.errors().most { Value::Ohms(ohms) } else { Value::Open })
    }

    /// The job.
    pub fn job(&self) -> &'j Job<'p> {
        self.job
    }
}

/// Words without what a hand may type otherwise: case, blanks.
fn key(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Cautions before measurements with a kit.
pub fn cautions(kit: Kit) -> &'static [&'static str] {
    const COLD: &str = "Unplug every supply and booster, at the mains too, and take all engines off the track.";
    const DECODERS: &str = "Unplug decoders and relays that hang on the bus: what is inside them conducts.";
    match kit {
        Kit::Buzzer | Kit::Ohmmeter => &[COLD, DECODERS],
        Kit::Bench => &[
            COLD,
            DECODERS,
            "Set the bench supply to 1 A and no more than 3 V before you clip it on; never clip it on with the layout's own supplies plugged in.",
        ],
        Kit::Volts => &[
            "Low-voltage side only. Leave whatever is on the mains to a licensed electrician.",
            "The load gets hot: a lamp or resistor that bears its current, held on for seconds.",
            "If the breaker trips, put a lamp in series with the track feed before you look further: it limits the short.",
        ],
    }
}

//! What composites are made of: turnouts with their frogs, motors with their drivers, feeders at equal distances.

use super::ordinary::{OrdinaryTable, Words};
use super::scene::{Scene, length};
use crate::edit::quoted;
use crate::keys::{KeySaid, Keys};
use crate::stops::canonical;
use crate::tables::{FeederSpacing, Hand, Leg, OfMotors, OfTurnouts, Wiring};
use crate::value::At;
use handbook::quantity::{Metres, Quantity, Units};
use std::ops::Range;

/// The left and the right rail.
pub(crate) const LEFT: usize = 0;
pub(crate) const RIGHT: usize = 1;
pub(crate) const SIDES: [&str; 2] = ["left", "right"];

/// Most feeders of one track: nobody drills more.
const MOST_FEEDERS: f64 = 200.0;

/// What turnouts of a composite are, as conductors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TurnoutShape {
    hand: Hand,
    wiring: Wiring,
    /// From the points to the far ends, metres.
    pub(crate) length: f64,
    /// From the far ends to where a vehicle stands clear between straight legs, metres; negative where that is within the turnout.
    clear: f64,
}

impl TurnoutShape {
    /// As the builder says; none where hand or wiring is missing or no word of the language, which reading the turnouts tells, or
    /// this where it is missing.
    pub(crate) fn read(keys: &At<Keys<OfTurnouts>>, scene: &mut Scene<'_, '_>) -> Option<TurnoutShape> {
        let keys = &keys.value;
        for key in ["hand", "wiring"] {
            if keys.get(key).is_none() {
                let message = format!("these turnouts do not say their `{key}`");
                scene.missing(&keys.place.header, message, format!("add `{key} = …` to `turnout`"));
            }
        }
        let hand = match canonical(&keys.get("hand")?.text()?, Hand::WORDS) {
            Some("left") => Hand::Left,
            Some("right") => Hand::Right,
            Some("wye") => Hand::Wye,
            _ => return known(keys.get("hand"), Hand::WORDS, "hand", scene),
        };
        let said = canonical(&keys.get("wiring")?.text()?, Wiring::WORDS);
        let all = [
            Wiring::InsulatedRouted,
            Wiring::InsulatedBonded,
            Wiring::MetalTip,
            Wiring::LiveRouted,
            Wiring::LiveAssisted,
            Wiring::LiveBonded,
            Wiring::LiveUnfed,
        ];
        let Some(wiring) = all.into_iter().find(|wiring| Some(wiring.word()) == said) else {
            return known(keys.get("wiring"), Wiring::WORDS, "wiring type", scene);
        };
        let number = keys.get("number").and_then(KeySaid::number).filter(|n| (1.0..=100.0).contains(n)).unwrap_or(6.0);
        let measured = ["lead", "tail"].map(|key| keys.get(key).and_then(KeySaid::quantity::<Metres>));
        let (length, clear) = (scene.turnout_length(number, measured), scene.clear_behind(number, measured[1]));
        Some(TurnoutShape { hand, wiring, length, clear })
    }

    /// The word of a leg's end and position.
    pub(crate) fn leg(self, leg: Leg) -> &'static str {
        match (self.hand, leg) {
            (Hand::Wye, Leg::Through) => "left",
            (Hand::Wye, Leg::Diverging) => "right",
            (_, leg) => leg.word(),
        }
    }

    /// The rail that lies behind the frog on a leg, seen from the points.
    pub(crate) fn inner(self, leg: Leg) -> usize {
        let near = if self.hand == Hand::Left { LEFT } else { RIGHT };
        if leg == Leg::Through { near } else { 1 - near }
    }

    /// Whether rails behind the frog take the frog's phase, so that they are cut there.
    pub(crate) fn is_live(self) -> bool {
        matches!(self.wiring, Wiring::LiveRouted | Wiring::LiveAssisted | Wiring::LiveBonded | Wiring::LiveUnfed)
    }

    /// Where the gap behind a frog is, where nothing is said: metres from the turnout. A frog that nothing feeds is dead up to there.
    pub(crate) fn usual_gap(self, units: Units) -> f64 {
        match (self.wiring == Wiring::LiveUnfed, units) {
            // In small scales and behind short turnouts half way to where vehicles stand clear: a saw slips.
            (false, _) if self.is_live() && self.clear < USUAL_GAP => units.ruled(self.clear / 2.0).max(LEAST_GAP),
            (false, Units::Metric) => 0.1,
            (false, Units::Imperial) => 4.0 * 0.0254,
            (true, Units::Metric) => 0.012,
            (true, Units::Imperial) => 0.5 * 0.0254,
        }
    }

    /// Whether the frog is fed over a contact.
    pub(crate) fn has_frog_wire(self) -> bool {
        matches!(self.wiring, Wiring::MetalTip | Wiring::LiveAssisted | Wiring::LiveBonded)
    }

    /// The contact that gives the frog the phase of the stock rail that the closed blade touches.
    pub(crate) fn frog_contact(self, turnout: &str, conductors: &[String; 2]) -> String {
        let near = self.inner(Leg::Through);
        let [through, diverging] = [Leg::Through, Leg::Diverging].map(|leg| self.leg(leg));
        format!(
            "{{ common = {}, {through} = {}, {diverging} = {} }}",
            quoted(&format!("{turnout}.frog")),
            quoted(&conductors[near]),
            quoted(&conductors[1 - near])
        )
    }
}

/// As far behind a turnout as a gap is put where there is room, metres.
const USUAL_GAP: f64 = 4.0 * 0.0254;
/// The least from a turnout to a gap, metres.
const LEAST_GAP: f64 = 0.0127;

fn known<T>(said: Option<&KeySaid>, words: &[&str], due: &str, scene: &mut Scene<'_, '_>) -> Option<T> {
    let said = said?;
    let message = format!("there is no {due} `{}`", crate::reader::short(&said.text().unwrap_or_default()));
    let help = format!("write {}", crate::reader::listed(words));
    scene.tell(
        finding::Finding::error("unknown-word", finding::Harm::Unclear, message)
            .at(said.span.clone(), "not known")
            .help(help),
    );
    None
}

/// A turnout of a composite.
pub(crate) fn turnout(keys: &At<Keys<OfTurnouts>>, name: &str, scene: &mut Scene<'_, '_>) {
    let mut table = OrdinaryTable::new("turnout", name, &keys.span);
    table.take(&keys.value, &[]);
    scene.push(table);
}

/// What throws the motors of a composite, one after the other.
pub(crate) struct Motors<'k> {
    keys: Option<&'k At<Keys<OfMotors>>>,
    outputs: Vec<Words>,
    address: Option<(u32, Range<usize>)>,
    given: usize,
}

impl<'k> Motors<'k> {
    /// For so many motors.
    pub(crate) fn new(keys: Option<&'k At<Keys<OfMotors>>>, count: usize, scene: &mut Scene<'_, '_>) -> Motors<'k> {
        let said = |key| keys.and_then(|keys| keys.value.get(key));
        let outputs = said("driver").map_or_else(Vec::new, |said| outputs(said, count, scene));
        let address = said("address").and_then(|said| Some((said.words.parse().ok()?, said.span.clone())));
        Motors { keys, outputs, address, given: 0 }
    }

    /// The next motor.
    pub(crate) fn next(
        &mut self,
        name: &str,
        moves: &[&str],
        contacts: &[String],
        of: &Range<usize>,
        scene: &mut Scene<'_, '_>,
    ) {
        let span = self.keys.map_or(of, |keys| &keys.span);
        let mut table = OrdinaryTable::new("motor", name, span);
        let moves = match moves {
            [one] => quoted(one),
            all => format!("[{}]", all.iter().map(|name| quoted(name)).collect::<Vec<_>>().join(", ")),
        };
        table.set("moves", Words::made(moves, span));
        if let Some(keys) = self.keys {
            table.take(&keys.value, &["driver", "address"]);
        }
        if let Some(output) = self.outputs.get(self.given) {
            table.set("driver", output.clone());
        } else if let Some(said) =
            self.keys.and_then(|keys| keys.value.get("driver")).filter(|_| self.outputs.is_empty())
        {
            table.set("driver", Words::from(said));
        }
        if let Some((first, at)) = &self.address {
            table.set("address", Words::made(first.saturating_add(self.given as u32).to_string(), at));
        } else if let Some(said) = self.keys.and_then(|keys| keys.value.get("address")) {
            table.set("address", Words::from(said));
        }
        if !contacts.is_empty() {
            table.set("contact", Words::list(contacts, true, of));
        }
        self.given += 1;
        scene.push(table);
    }
}

/// The outputs that throw so many motors: counted on from the one that is said, then from the next driver of the list. Nothing
/// where a driver is not there: then each motor says the builder's own words, and reading them tells it.
fn outputs(said: &KeySaid, count: usize, scene: &mut Scene<'_, '_>) -> Vec<Words> {
    let list: Vec<String> = match said.text() {
        Some(one) => vec![one],
        None => said.texts().unwrap_or_default(),
    };
    let mut found = Vec::new();
    for driver in &list {
        let (name, first) = match driver.rsplit_once('.') {
            _ if scene.is("driver", driver) => (driver.as_str(), 1),
            Some((name, number)) if scene.is("driver", name) => match number.parse::<u32>() {
                Ok(first) => (name, first),
                Err(_) => return Vec::new(),
            },
            _ => {
                scene.tell(
                    finding::Finding::error(
                        "no-such-name",
                        finding::Harm::Unclear,
                        format!("there is no driver `{}`", crate::reader::short(driver)),
                    )
                    .at(said.span.clone(), "not found")
                    .help("write the name of a `[[driver]]`, or an output of it such as `D1.3`"),
                );
                return Vec::new();
            }
        };
        match scene.count("driver", name, "outputs").unwrap_or(1) {
            1 if first == 1 => found.push(Words::text(name, &said.span)),
            many => found.extend(
                (first..=many.min(crate::driven::MOST_OUTPUTS))
                    .map(|n| Words::text(&format!("{name}.{n}"), &said.span)),
            ),
        }
    }
    if found.len() < count {
        let message = format!("{count} motors are to be thrown, and from there on are {} outputs", found.len());
        scene.wrong(&said.span, message, "name a further driver: `driver = [\"D1\", \"D2\"]`");
    }
    found.truncate(count);
    found
}

/// Feeders of a track: on both rails, or on one.
pub(crate) struct FeederPlaces {
    /// Metres from the `from` end.
    pub(crate) places: Vec<f64>,
    pub(crate) units: Units,
    /// The words that say so.
    pub(crate) of: Range<usize>,
}

impl FeederPlaces {
    /// Evenly along a track, to the centimetre or half inch where it is long enough.
    pub(crate) fn new(
        spacing: Option<&At<FeederSpacing>>,
        track: f64,
        units: Units,
        of: &Range<usize>,
        scene: &mut Scene<'_, '_>,
    ) -> FeederPlaces {
        let step = match spacing {
            Some(said) if said.value.every.value.si() > 0.0 => said.value.every.value.si(),
            Some(said) => {
                scene.wrong(&said.value.every.span, "feeders cannot be so near", "write a length, such as \"1 m\"");
                track
            }
            None => track,
        };
        let count = (track / step - 1e-6).ceil().clamp(1.0, MOST_FEEDERS);
        let grain = if units == Units::Metric { 0.01 } else { 0.0127 };
        let place = |k: usize| {
            let exact = track * (k as f64 + 0.5) / count;
            let steps = (exact / grain * 1e6).round() / 1e6;
            if track / count < 10.0 * grain { exact } else { steps.round_ties_even() * grain }
        };
        let of = spacing.map_or(of, |said| &said.span).clone();
        FeederPlaces { places: (0..count as usize).map(place).collect(), units, of }
    }

    /// As a list of TOML, of the rails that are fed.
    pub(crate) fn words(&self, fed: [bool; 2]) -> Option<Words> {
        let one = |x: &f64| match fed {
            [true, true] => Some(length(self.units, *x)),
            [true, false] => Some(on_rail(self.units, *x, LEFT)),
            [false, true] => Some(on_rail(self.units, *x, RIGHT)),
            _ => None,
        };
        let items: Option<Vec<String>> = self.places.iter().map(one).collect();
        Some(Words::list(&items?, false, &self.of))
    }
}

/// A place on one rail.
pub(crate) fn on_rail(units: Units, metres: f64, side: usize) -> String {
    format!("{{ at = {}, rail = \"{}\" }}", length(units, metres), SIDES[side])
}

/// A track's feeder wire and length, as the spacing says them.
pub(crate) fn feeder_wires(spacing: Option<&At<FeederSpacing>>, table: &mut OrdinaryTable, scene: &Scene<'_, '_>) {
    let Some(said) = spacing else { return };
    if let Some(wire) = &said.value.wire {
        table.set("feeder_wire", scene.words(&wire.span));
    }
    if let Some(length) = &said.value.length {
        table.set("feeder_length", scene.words(&length.span));
    }
}

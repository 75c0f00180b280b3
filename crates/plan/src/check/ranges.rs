//! Values within reason: what is out of range is a slip of the pen, and would make nonsense later.

use super::{Check, unclear};
use crate::driven::MOST_OUTPUTS;
use crate::tables::{Climate, Fixing, MOST_DECK_TRACKS, MOST_STALLS};
use crate::value::At;
use handbook::quantity::{Amps, Fraction, Metres, NewtonsPerMetre, Quantity};

/// The longest single length that is believed, in metres.
const LONGEST: f64 = 1000.0;
/// The shortest stock length of rail that is believed, in metres; bounds the number of joints.
const SHORTEST_STOCK: f64 = 0.05;
/// The most pieces of rail a whole plan may come to.
const MOST_JOINTS: f64 = 200_000.0;
/// Above this a supply is no longer low voltage and outside what this program covers.
const HIGHEST_VOLTAGE: f64 = 60.0;

/// Whether a length is one that places can be held against; if not, that is told already.
pub(crate) fn believed(length: f64) -> bool {
    (1e-5..=LONGEST).contains(&length)
}

impl Check<'_, '_> {
    pub(super) fn ranges(&mut self) {
        let plan = self.plan;
        if let Some(l) = &plan.layout.0 {
            self.length("feeder length", &l.value.feeder_length);
            self.gap_width(l.value.gap_width.as_ref());
        }
        if let Some(base) = &plan.base.0 {
            self.quantity("thickness", base.value.thickness.as_ref(), 1e-3, 0.5, "from 1 mm to 500 mm");
            self.fastening(base.value.fixing.as_ref(), base.value.grip.as_ref(), base.value.sideways.as_ref());
        }
        if let Some(l) = &plan.layout.0 {
            self.length("distance between tracks", &l.value.centres);
        }
        if let Some(room) = &plan.room.0 {
            for climate in [&room.value.laid, &room.value.coldest, &room.value.hottest].into_iter().flatten() {
                self.climate(climate);
            }
            self.colder(room.value.coldest.as_ref(), room.value.hottest.as_ref());
        }
        for board in &plan.board {
            for climate in [&board.laid, &board.coldest, &board.hottest].into_iter().flatten() {
                self.climate(climate);
            }
            // What it does not say is the room's.
            let room = plan.room.0.as_ref().map(|r| &r.value);
            let coldest = board.coldest.as_ref().or(room.and_then(|r| r.coldest.as_ref()));
            let hottest = board.hottest.as_ref().or(room.and_then(|r| r.hottest.as_ref()));
            if board.coldest.is_some() || board.hottest.is_some() {
                self.colder(coldest, hottest);
            }
        }
        if let Some(l) = &plan.limits.0 {
            let l = &l.value;
            self.share("voltage drop", &l.drop);
            self.between("fault margin", l.fault_margin.as_ref(), 1.0, 20.0, "a number from 1 to 20");
            self.length("dead length", &l.dead_length);
            self.length("gap", &l.smallest_gap);
            self.length("gap", &l.largest_gap);
            self.share("slack", &l.slack);
            self.no_more("smallest gap", l.smallest_gap.as_ref(), "largest gap", l.largest_gap.as_ref());
        }
        for t in &plan.train {
            self.length("train length", &Some(t.length.clone()));
            self.length("length over metal wheels", &t.metal_wheels);
            self.length("pick-up length", &t.pick_up);
            self.no_more("length over metal wheels", t.metal_wheels.as_ref(), "train", Some(&t.length));
            self.no_more("pick-up length", t.pick_up.as_ref(), "train", Some(&t.length));
            if let Some(speed) = &t.speed {
                self.length("timed length", &Some(speed.value.over.clone()));
                self.quantity("time", Some(&speed.value.takes), 0.1, 3600.0, "from 0.1 s to an hour");
            }
            if let Some(v) = &t.vehicle {
                self.length("vehicle", &Some(v.value.length.clone()));
                self.length("distance of bogies", &Some(v.value.bogies.clone()));
                self.no_more("distance of bogies", Some(&v.value.bogies), "vehicle", Some(&v.value.length));
            }
            if let Some(d) = &t.draws {
                for current in [&d.value.running, &d.value.standing, &d.value.inrush] {
                    self.current(current);
                }
                let words = "from 1 nF to 10 mF";
                self.quantity("reservoir", d.value.reservoir.as_ref(), 1e-9, 1e-2, words);
                self.quantity("charging resistance", d.value.charging.as_ref(), 0.0, 1e4, "from 0 Ω to 10 kΩ");
            }
        }
        for s in &plan.supply {
            let words = "from 1 V to 60 V; this program covers low voltage only";
            self.quantity("voltage", s.voltage.as_ref(), 1.0, HIGHEST_VOLTAGE, words);
            self.current(&s.rating);
            self.quantity("source resistance", s.source.as_ref(), 0.0, 1e3, "from 0 Ω to 1 kΩ");
            if let Some(trips) = &s.trips {
                self.current(&Some(trips.value.at.clone()));
                self.quantity("trip delay", trips.value.after.as_ref(), 0.0, 60.0, "from 0 s to 60 s");
            }
        }
        for r in &plan.reverser {
            if let Some(trips) = &r.trips {
                self.current(&Some(trips.value.at.clone()));
                self.quantity("delay", trips.value.after.as_ref(), 0.0, 60.0, "from 0 s to 60 s");
            }
        }
        for b in &plan.bus {
            self.length("bus length", &Some(b.length.clone()));
            if let Some(filter) = &b.filter {
                let f = &filter.value;
                self.quantity("filter resistance", Some(&f.resistance), 1.0, 1e4, "from 1 Ω to 10 kΩ");
                self.quantity("filter capacitance", Some(&f.capacitance), 1e-12, 1e-4, "from 1 pF to 100 µF");
                self.quantity("filter power", f.power.as_ref(), 1e-3, 1e3, "from 1 mW to 1 kW");
            }
            self.quantity("clamp", b.clamp.as_ref(), 1.0, 2.0 * HIGHEST_VOLTAGE, "from 1 V to 120 V");
            if let Some(At { value: crate::tables::Pairing::Spacing(d), span }) = &b.pair {
                self.length("spacing", &Some(At { value: *d, span: span.clone() }));
            }
        }
        for t in &plan.turnout {
            self.between("frog number", t.number.as_ref(), 1.5, 40.0, "a number from 1.5 to 40");
            self.between("frog", t.one_in.as_ref(), 1.5, 40.0, "1 in a number from 1.5 to 40");
            let words = "from 1° to 45°";
            self.quantity("frog angle", t.angle.as_ref(), 1f64.to_radians(), 45f64.to_radians(), words);
            self.length("lead", &t.lead);
            self.length("tail", &t.tail);
            self.quantity("throw", t.throw.as_ref(), 1e-4, 0.05, "from 0.1 mm to 50 mm");
        }
        let numbers = plan.crossing.iter().map(|c| &c.number);
        let numbers = numbers.chain(plan.slip.iter().map(|s| &s.number));
        for number in numbers.chain(plan.three_way.iter().map(|t| &t.number)) {
            self.between("frog number", number.as_ref(), 1.0, 40.0, "a number from 1 to 40");
        }
        let insulations = plan.turnout.iter().map(|t| &t.insulation);
        let insulations = insulations.chain(plan.crossing.iter().map(|c| &c.insulation));
        for insulation in insulations.chain(plan.slip.iter().map(|s| &s.insulation)) {
            self.quantity("insulation", insulation.as_ref(), 1e-4, 0.2, "from 0.1 mm to 200 mm");
        }
        for c in &plan.crossing {
            let words = "from 1° to 90°";
            let most = 90.5f64.to_radians(); // written in degrees, rounded in radians
            self.quantity("crossing angle", c.angle.as_ref(), 1f64.to_radians(), most, words);
        }
        for s in &plan.supply {
            if let Some(unit) = &s.discharge {
                let words = "from 1 µF to 1 F";
                self.quantity("discharge capacitor", Some(&unit.value.capacitance), 1e-6, 1.0, words);
                self.quantity("recharge time", unit.value.recharge.as_ref(), 1e-3, 600.0, "from 1 ms to 10 min");
            }
        }
        self.driver_ranges();
        self.contact_wire_ranges();
        self.detector_ranges();
        self.board_ranges();
        for m in &plan.motor {
            let volts = "from 1 V to 60 V; this program covers low voltage only";
            self.quantity("voltage", m.voltage.as_ref(), 1.0, HIGHEST_VOLTAGE, volts);
            self.quantity("pulse", m.pulse.as_ref(), 1e-3, 10.0, "from 1 ms to 10 s");
            self.current(&m.current);
            self.current(&m.contact_rating);
            self.contacts_owned(&m.contacts);
            self.length("wire length", &m.wire_length);
            self.length("lead length", &m.lead_length);
            // Eleven bits (NMRA S-9.2.1).
            let address = m.address.as_ref().map(|a| At { value: f64::from(a.value), span: a.span.clone() });
            self.between("accessory address", address.as_ref(), 1.0, 2048.0, "from 1 to 2048");
            if let Some(wire) = &m.throw_wire {
                let w = &wire.value;
                let arm = "from 1 mm to 500 mm";
                self.quantity("wire diameter", Some(&w.diameter), 1e-4, 5e-3, "from 0.1 mm to 5 mm");
                self.quantity("travel", Some(&w.travel), 1e-4, 0.1, "from 0.1 mm to 100 mm");
                self.quantity("length below the fulcrum", Some(&w.below), 1e-3, 0.5, arm);
                self.quantity("length above the fulcrum", w.above.as_ref(), 1e-3, 0.5, arm);
                self.quantity("hole", w.hole.as_ref(), 1e-4, 0.1, "from 0.1 mm to 100 mm");
            }
        }
        for r in &plan.relay {
            self.current(&r.contact_rating);
            self.contacts_owned(&r.contacts);
            self.length("lead length", &r.lead_length);
        }
        for table in &plan.turntable {
            self.length("deck length", &Some(table.length.clone()));
            let stalls = At { value: f64::from(table.stalls.value), span: table.stalls.span.clone() };
            self.between("number of stalls", Some(&stalls), 1.0, f64::from(MOST_STALLS), "from 1 to 200");
            let tracks = table.tracks.as_ref().map(|t| At { value: f64::from(t.value), span: t.span.clone() });
            self.between(
                "number of tracks on a deck",
                tracks.as_ref(),
                1.0,
                f64::from(MOST_DECK_TRACKS),
                "from 1 to 50",
            );
        }
        self.track_ranges();
    }

    /// Lengths of wires that a contact or one of its wires says for itself, and those of relays and toggles.
    fn contact_wire_ranges(&mut self) {
        let plan = self.plan;
        let relays = plan.relay.iter().map(|r| (&r.contact, r.wire_length.as_ref()));
        let toggles = plan.toggle.iter().map(|t| (&t.contact, t.wire_length.as_ref()));
        // A motor's own length is held with the rest of its values.
        for (contacts, own) in plan.motor.iter().map(|m| (&m.contact, None)).chain(relays).chain(toggles) {
            self.wire_length(own);
            for contact in contacts.iter() {
                self.wire_length(contact.value.length.as_ref());
                contact.value.wires().for_each(|wired| self.wire_length(wired.length.as_ref()));
            }
        }
    }

    pub(super) fn wire_length(&mut self, value: Option<&At<Metres>>) {
        self.quantity("wire length", value, 1e-5, LONGEST, "more than 0 and at most 1 km");
    }

    fn driver_ranges(&mut self) {
        for d in &self.plan.driver {
            let number = |n: &At<u32>| At { value: f64::from(n.value), span: n.span.clone() };
            let most = f64::from(MOST_OUTPUTS);
            self.between("number of outputs", d.outputs.as_ref().map(number).as_ref(), 1.0, most, "from 1 to 64");
            // The last output has an address too.
            let outputs = d.outputs.as_ref().map_or(1, |n| n.value.clamp(1, MOST_OUTPUTS));
            let last = f64::from(2049 - outputs);
            let words = format!("from 1 to {last}, so that every output has one up to 2048");
            self.between("accessory address", d.address.as_ref().map(number).as_ref(), 1.0, last, &words);
            self.current(&d.current);
            self.length("wire length", &d.wire_length);
            let volts = "from 1 V to 60 V; this program covers low voltage only";
            self.quantity("voltage", d.voltage.as_ref(), 1.0, HIGHEST_VOLTAGE, volts);
        }
    }

    fn track_ranges(&mut self) {
        let plan = self.plan;
        let mut joints = 0.0;
        for t in &plan.track {
            self.length("track length", &Some(t.length.clone()));
            self.length("feeder length", &t.feeder_length);
            let words = "from 0.1 mΩ/m to 10 Ω/m";
            self.quantity("rail resistance", t.rail_resistance.as_ref(), 1e-4, 10.0, words);
            self.quantity("stock length", t.stock.as_ref(), SHORTEST_STOCK, LONGEST, "from 50 mm to 1 km");
            if let Some(stock) = &t.stock
                && stock.value.0 >= SHORTEST_STOCK
            {
                joints += t.length.value.0 / stock.value.0;
                if joints > MOST_JOINTS {
                    self.reader.tell(
                        unclear("out-of-range", "the plan comes to more than 200,000 pieces of rail")
                            .at(stock.span.clone(), "this stock length makes too many joints")
                            .help("check the lengths; no layout has so many"),
                    );
                    break;
                }
            }
            let length = t.length.value.0;
            let places = t
                .joints
                .iter()
                .map(|j| &j.value.at)
                .chain(t.gaps.iter().map(|g| &g.value.at))
                .chain(t.slides.iter().map(|s| &s.value.at))
                .chain(t.feeders.iter().map(|f| &f.value.at));
            for at in places {
                self.on_track(at, length, &t.name.value);
            }
            let spots = t.gaps.iter().chain(t.slides.iter()).map(|s| &s.value.width);
            for width in spots.chain(t.joints.iter().map(|j| &j.value.width)) {
                self.gap_width(width.as_ref());
            }
            for feeder in t.feeders.iter() {
                self.length("feeder length", &feeder.value.length);
            }
        }
    }

    /// A place must lie on its track.
    pub(super) fn on_track(&mut self, at: &At<Metres>, length: f64, track: &str) {
        // A hair of slack: 3 ft is written as 91.4 cm in the next line and both are meant.
        if !believed(length) {
            return;
        }
        if at.value.0 < 0.0 || at.value.0 > length + 1e-9 {
            let words =
                format!("track `{track}` runs from 0 to {}; this place is not on it", self.plan.units().metres(length));
            self.reader.tell(unclear("place-off-track", words).at(at.span.clone(), "not on the track"));
        }
    }

    /// The coldest air is no warmer than the hottest.
    fn colder(&mut self, coldest: Option<&At<Climate>>, hottest: Option<&At<Climate>>) {
        if let (Some(cold), Some(hot)) = (coldest, hottest) {
            self.no_more("coldest temperature", Some(&cold.value.temperature), "hottest", Some(&hot.value.temperature));
        }
    }

    fn climate(&mut self, climate: &At<Climate>) {
        let c = &climate.value;
        let t = Some(&c.temperature);
        self.quantity("temperature", t, -60.0, 90.0, "from -60 °C to 90 °C");
        self.quantity("humidity", Some(&c.humidity), 0.0, 1.0, "from 0 % to 100 %");
    }

    fn length(&mut self, what: &str, value: &Option<At<Metres>>) {
        self.quantity(what, value.as_ref(), 1e-5, LONGEST, "more than 0 and at most 1 km");
    }

    fn gap_width(&mut self, value: Option<&At<Metres>>) {
        self.quantity("width of a gap", value, 0.0, 0.02, "from 0 to 20 mm");
    }

    /// One value must not be greater than another.
    fn no_more<Q: Quantity>(&mut self, what: &str, value: Option<&At<Q>>, than: &str, bound: Option<&At<Q>>) {
        let (Some(value), Some(bound)) = (value, bound) else { return };
        if value.value.si() > bound.value.si() {
            self.reader.tell(
                unclear("contradiction", format!("the {what} is more than the {than}"))
                    .at(value.span.clone(), "more than")
                    .also(bound.span.clone(), "this"),
            );
        }
    }

    fn current(&mut self, value: &Option<At<Amps>>) {
        self.quantity("current", value.as_ref(), 1e-4, 100.0, "from 0.1 mA to 100 A");
    }

    /// How many contacts a motor or relay has; none at all is an answer too.
    fn contacts_owned(&mut self, value: &Option<At<u32>>) {
        let number = value.as_ref().map(|n| At { value: f64::from(n.value), span: n.span.clone() });
        self.between("number of contacts", number.as_ref(), 0.0, 100.0, "from 0 to 100");
    }

    fn share(&mut self, what: &str, value: &Option<At<Fraction>>) {
        self.quantity(what, value.as_ref(), 1e-3, 0.9, "from 0.1 % to 90 %");
    }

    /// What holds track to its base.
    pub(super) fn fastening(
        &mut self,
        fixing: Option<&At<Fixing>>,
        grip: Option<&At<NewtonsPerMetre>>,
        sideways: Option<&At<NewtonsPerMetre>>,
    ) {
        let words = "from 0.1 N/m to 10 kN/m";
        self.quantity("grip", grip, 0.1, 1e4, words);
        self.quantity("resistance sideways", sideways, 0.1, 1e4, words);
        if let Some(At { value: Fixing::Pins(pins), span }) = fixing {
            let pins = At { value: *pins, span: span.clone() };
            self.quantity("spacing of pins", Some(&pins), 1e-3, 10.0, "from 1 mm to 10 m");
        }
    }

    pub(super) fn quantity<Q: Quantity>(
        &mut self,
        what: &str,
        value: Option<&At<Q>>,
        low: f64,
        high: f64,
        words: &str,
    ) {
        let plain = value.map(|v| At { value: v.value.si(), span: v.span.clone() });
        self.between(what, plain.as_ref(), low, high, words);
    }

    fn between(&mut self, what: &str, value: Option<&At<f64>>, low: f64, high: f64, words: &str) {
        let Some(At { value, span }) = value else { return };
        if !(low..=high).contains(value) {
            self.reader.tell(
                unclear("out-of-range", format!("this {what} is out of all reason"))
                    .at(span.clone(), "out of range")
                    .help(format!("it may be {words}")),
            );
        }
    }
}

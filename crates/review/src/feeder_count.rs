//! How many feeders a track needs by itself, and where, in a builder's words.

use crate::context::Context;
use analysis::figures::TrackLine;
use analysis::{feeds, words};
use circuit::Part;
use electrics::feeder_count::LoneTrack;
use handbook::quantity::Quantity;
use handbook::{contacts, limits, wires};
use plan::Terminal;
use plan::tables::RailSide;

/// More feeders on one track are not proposed.
const MOST: usize = 6;

/// The fewest feeders with which a track by itself keeps the plan's limits, as usual: volts, and the current that a direct voltage
/// drives through a short. None where the track is not fed by one bus alone, or where a gap cuts it.
pub(crate) fn words_of(facts: &Context<'_>, line: &TrackLine) -> Option<String> {
    // While a change is proved nobody reads it.
    let track = lone_track(facts, line).filter(|_| facts.may_fix && !analysis::is_large(&facts.circuit))?;
    let figures = facts.figures()?;
    let asked = &figures.load_case;
    let by_volts = asked.drop * line.supply_volts / asked.train_amps;
    // What trips the breaker that trips first, from the margin against a direct voltage.
    let trip_amps = line.upper_margin.map(|margin| line.fault_amps.typical / margin.typical);
    let by_fault = trip_amps
        .map_or(f64::INFINITY, |trip| line.supply_volts / (asked.fault_margin * trip) - asked.bridge_ohms.typical);
    let limit = by_volts.min(by_fault);
    let name = &line.name;
    Some(match track.fewest(limit, MOST) {
        Some(found) => {
            let places: Vec<String> = found.at.iter().map(|&x| facts.plan.units().metres(x)).collect();
            let feeders =
                if places.len() == 1 { "1 feeder is".to_owned() } else { format!("{} feeders are", places.len()) };
            format!("for `{name}` by itself {feeders} enough, at {}", words::list(&places))
        }
        None => format!("no number of feeders is enough for `{name}`: what lies before them is too long or too thin"),
    })
}

fn lone_track(facts: &Context<'_>, line: &TrackLine) -> Option<LoneTrack> {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    let track = &plan.track[line.track];
    if !circuit.gaps_of(line.track).is_empty() {
        return None;
    }
    let bus_of = |text: &Option<plan::At<String>>| match facts.names.terminal(plan, &text.as_ref()?.value).ok()? {
        Terminal::Bus(bus, ..) => Some(bus),
        _ => None,
    };
    let bus = bus_of(&track.left).filter(|&bus| bus_of(&track.right) == Some(bus))?;
    let length = track.length.value.si();
    let (mut rail, mut feeders) = (0.0, Vec::new());
    for edge in &circuit.edges {
        match edge.part {
            Part::Rail { track, .. } | Part::Joint { track, .. } if track == line.track => rail += edge.ohms.typical,
            Part::Feeder { track, .. } if track == line.track => feeders.push(edge.ohms.typical),
            _ => {}
        }
    }
    let wire = wires::wire(feeds::wire_size(track.feeder_wire.as_ref().or(feeds::feeder_wire(plan)))).ok()?;
    let usual = wire.resistance_per_metre.typical.si() * limits::FEEDER_LENGTH.value.si();
    // As thick and long as the track's feeders are on average.
    let feeder = if feeders.is_empty() { usual } else { feeders.iter().sum::<f64>() / feeders.len() as f64 };
    let tap = contacts::TAP_CONNECTOR.value.typical.si();
    let per_metre =
        |bus: usize| Some(2.0 * wires::wire(&plan.bus[bus].wire.value).ok()?.resistance_per_metre.typical.si());
    let along = track.along.as_ref().map(|a| &a.value).filter(|a| a.bus.value == plan.bus[bus].name.value);
    let (from, to) = match along {
        Some(along) => (along.from.value.si(), along.to.value.si()),
        None => (plan.bus[bus].length.value.si(), plan.bus[bus].length.value.si()),
    };
    let breaker = &circuit.breakers[feeds::breaker_of_bus(facts, bus)?];
    let joint = 2.0 * contacts::SOLDERED_JOINT.value.typical.si();
    let mut supply = feeds::inside_ohms(facts, breaker) + joint + per_metre(bus)? * from.min(to);
    // The buses it branches from, as far as the plan says where.
    for (branch, trunk) in feeds::buses_up(facts, bus).zip(feeds::buses_up(facts, bus).skip(1)) {
        let (_, at) = facts.names.bus_place(&plan.bus[branch].from.as_ref()?.value).ok()?;
        supply += 2.0 * tap + per_metre(trunk)? * at.map_or(plan.bus[trunk].length.value.si(), |at| at.si());
    }
    let sides = RailSide::ALL.len() as f64;
    Some(LoneTrack {
        length,
        rail: rail / length,
        supply,
        bus: per_metre(bus)? * (to - from).abs() / length,
        from_far_end: to < from,
        feeder: sides * (feeder + tap),
    })
}

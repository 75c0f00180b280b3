//! How many feeders a track needs by itself, and where, in a builder's words.

use crate::context::Context;
use analysis::figures::TrackLine;
use analysis::{feeds, words};
use circuit::{Edge, Part};
use electrics::feeder_count::{LoneTrack, LoneValues};
use electrics::square_short::SquareShort;
use handbook::quantity::Quantity;
use handbook::{contacts, limits, wires};
use plan::Terminal;
use plan::tables::RailSide;

/// More feeders on one track are not proposed.
const MOST: usize = 6;

/// The fewest feeders with which a track by itself keeps the plan's limits, as usual: volts, and what the breaker that trips first
/// notices of a short. None where the track is not fed by one bus alone, or where a gap cuts it.
pub(crate) fn words_of(facts: &Context<'_>, line: &TrackLine) -> Option<String> {
    // While a change is proved nobody reads it.
    let track = lone_track(facts, line).filter(|_| facts.may_fix && !analysis::is_large(&facts.circuit))?;
    let figures = facts.figures()?;
    let asked = &figures.load_case;
    let by_volts = asked.drop * line.supply_volts / asked.train_amps;
    let noticed = &line.noticed;
    let trip_amps = line.margin.map(|margin| noticed.amps().typical / margin.typical);
    let half_bit = if noticed.square_wave { asked.half_bit.typical } else { f64::INFINITY };
    // How often over what is allowed: no more than once.
    let cost = |ohms: f64, henries: f64| {
        let short = SquareShort { volts: line.supply_volts, ohms: ohms + asked.bridge_ohms.typical, henries, half_bit };
        let by_fault = trip_amps.map_or(0.0, |trip| asked.fault_margin * trip / noticed.counts(&short.sensed()));
        (ohms / by_volts).max(by_fault)
    };
    let name = &line.name;
    Some(match track.fewest(1.0, MOST, &cost) {
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
    let (mut rail, mut feeders) = ([0.0; 2], Vec::new());
    let values = |edge: &Edge| [edge.ohms.typical, edge.henries.typical];
    for edge in &circuit.edges {
        match edge.part {
            Part::Rail { track, .. } | Part::Joint { track, .. } if track == line.track => {
                rail.iter_mut().zip(values(edge)).for_each(|(sum, value)| *sum += value / length);
            }
            Part::Feeder { track, .. } if track == line.track => feeders.push(values(edge)),
            _ => {}
        }
    }
    let wire = wires::wire(feeds::wire_size(track.feeder_wire.as_ref().or(feeds::feeder_wire(plan)))).ok()?;
    let usual = limits::FEEDER_LENGTH.value.si();
    let usual =
        [wire.resistance_per_metre.typical.si() * usual, circuit::wire_henries_per_metre(&wire).typical * usual];
    // As thick and long as the track's feeders are on average.
    let mean = |which: usize| feeders.iter().map(|f| f[which]).sum::<f64>() / feeders.len() as f64;
    let feeder = if feeders.is_empty() { usual } else { [mean(0), mean(1)] };
    let tap = contacts::TAP_CONNECTOR.value.typical.si();
    let per_metre = |bus: usize| {
        let copper = 2.0 * wires::wire(&plan.bus[bus].wire.value).ok()?.resistance_per_metre.typical.si();
        Some([copper, circuit::bus_henries_per_metre(&plan.bus[bus])?.typical])
    };
    let along = track.along.as_ref().map(|a| &a.value).filter(|a| a.bus.value == plan.bus[bus].name.value);
    let (from, to) = match along {
        Some(along) => (along.from.value.si(), along.to.value.si()),
        None => (plan.bus[bus].length.value.si(), plan.bus[bus].length.value.si()),
    };
    let breaker = &circuit.breakers[feeds::breaker_of_bus(facts, bus)?];
    let joint = 2.0 * contacts::SOLDERED_JOINT.value.typical.si();
    let own = per_metre(bus)?;
    let before = from.min(to);
    let mut supply = [feeds::inside_ohms(facts, breaker) + joint + own[0] * before, own[1] * before];
    // The buses it branches from, as far as the plan says where.
    for (branch, trunk) in feeds::buses_up(facts, bus).zip(feeds::buses_up(facts, bus).skip(1)) {
        let (_, at) = facts.names.bus_place(&plan.bus[branch].from.as_ref()?.value).ok()?;
        let run = at.map_or(plan.bus[trunk].length.value.si(), |at| at.si());
        let [ohms, henries] = per_metre(trunk)?;
        supply = [supply[0] + 2.0 * tap + ohms * run, supply[1] + henries * run];
    }
    let sides = RailSide::ALL.len() as f64;
    let taps = [tap, 0.0];
    let [ohms, henries] = [0, 1].map(|which| LoneValues {
        rail: rail[which],
        supply: supply[which],
        bus: own[which] * (to - from).abs() / length,
        feeder: sides * (feeder[which] + taps[which]),
    });
    Some(LoneTrack { length, from_far_end: to < from, ohms, henries })
}

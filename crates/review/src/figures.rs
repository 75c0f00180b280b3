//! The numbers of a plan, as a report shows them: the worst place of each track, and what it hangs on.

use crate::reckoned::Reckoned;
use circuit::ways::Ways;
use circuit::{Circuit, Origin};
use electrics::commutation::SquareLoop;
use electrics::{
    Demand, Extremes, Found, Grid, Level, Passed, Place, Standing, TrackFailure, TrackFigures, margin, setting_of,
};
use handbook::quantity::Quantity;
use handbook::{Spread, contacts, limits, scales};
use plan::Plan;

/// What is asked of every place, and what the answers are held against.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// What a train draws, in amperes.
    pub train_amps: f64,
    /// Who says so.
    pub train_from: String,
    /// Other trains that stand meanwhile, each on its track: by name.
    pub standing: Vec<(String, Standing)>,
    /// The largest voltage drop that is accepted, as a share.
    pub drop: f64,
    /// How many times the trip current a short must draw.
    pub fault_margin: f64,
    /// The resistance of a short as wheels make it, in ohms.
    pub bridge_ohms: Spread<f64>,
}

/// The worst places of one track, over all ways that run over it.
#[derive(Clone, Debug, PartialEq)]
pub struct TrackLine {
    /// Index of the track.
    pub track: usize,
    /// Its name.
    pub name: String,
    /// The voltage of the supply that feeds the worst place.
    pub supply_volts: f64,
    /// The least voltage under a train, aged to as-new, and where it is met as usual, in metres.
    pub volts: Spread<f64>,
    /// Where.
    pub volts_at: f64,
    /// What of the supply's voltage standing trains take there, in volts.
    pub standing_volts: f64,
    /// What a decoder there sees once each reversal of the track signal has turned the current in the wiring's inductance
    /// round, in volts, aged to as-new; and that inductance, in henries. Of a long plan it is known of the weakest tracks
    /// only.
    pub decoder: Option<(Spread<f64>, f64)>,
    /// The least current of a short.
    pub fault_amps: Spread<f64>,
    /// Where.
    pub fault_at: f64,
    /// That current over what trips the first breaker it passes; none where no trip current is known.
    pub margin: Option<Spread<f64>>,
    /// Index of the way on which the least current of a short is met; none as below.
    pub fault_way: Option<usize>,
    /// Index of the way on which the worst voltage is met; none where it is a bound for all ways, found with
    /// every contact open.
    pub way: Option<usize>,
}

/// The numbers of one way.
#[derive(Clone, Debug, PartialEq)]
pub struct WayLine {
    /// Index of the way.
    pub way: usize,
    /// Its name.
    pub name: String,
    /// The voltage of the supply that feeds the worst place.
    pub supply_volts: f64,
    /// The least voltage under a train.
    pub volts: Spread<f64>,
    /// Where: the segment's name and metres from its start.
    pub volts_at: (String, f64),
    /// The least current of a short.
    pub fault_amps: Spread<f64>,
    /// Where.
    pub fault_at: (String, f64),
}

/// A part of the loop resistance of the worst place.
#[derive(Clone, Debug, PartialEq)]
pub struct HangsOn {
    /// What: `rail resistance, code 100 nickel silver`.
    pub name: String,
    /// Its value in words.
    pub value: String,
    /// Who says so.
    pub origin: Origin,
    /// Its share of the loop resistance.
    pub share: f64,
    /// By how many volts the answer moves as the input goes through its band.
    pub swing_volts: f64,
}

/// The numbers of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// What was asked.
    pub asked: Asked,
    /// Tracks that are powered on some way, in the order of the plan.
    pub tracks: Vec<TrackLine>,
    /// Ways with power somewhere, of those that were reckoned.
    pub ways: Vec<WayLine>,
    /// How many ways were reckoned one by one.
    pub ways_reckoned: usize,
    /// Whether those are all there are. If not, what is always fed stands with the numbers it has with every contact
    /// open, than which no way is worse; what contacts feed, with those of the ways that were reckoned.
    pub all_ways: bool,
    /// Tracks of which nothing is known: not fed unless contacts are closed, and on no way that was reckoned.
    pub tracks_left_out: usize,
    /// What the worst place of all hangs on, the greatest share first.
    pub hangs_on: Vec<HangsOn>,
    /// The track of the worst place of all: an index into `tracks`.
    pub worst: Option<usize>,
}

/// Tracks of a large circuit whose inductance is reckoned.
pub(crate) const WEAKEST: usize = 16;

/// What the worst single failure leaves of each track, on the way on which a short there draws least.
pub fn openings(circuit: &Circuit, ways: &Ways, figures: &Figures) -> Vec<TrackFailure> {
    if crate::is_large(circuit) {
        return Vec::new();
    }
    let of: Vec<(usize, usize)> = figures.tracks.iter().filter_map(|t| Some((t.track, t.fault_way?))).collect();
    let demand = Demand { amps: figures.asked.train_amps, standing: &[], bridge_ohms: figures.asked.bridge_ohms };
    electrics::failures(circuit, &ways.list, &of, &demand).unwrap_or_default()
}

/// Reckons them; none where nothing feeds the layout, or a resistance is no number to reckon with.
pub fn figures(plan: &Plan, circuit: &Circuit, ways: &Ways) -> Option<Figures> {
    let asked = asked(plan);
    let standing: Vec<Standing> = asked.standing.iter().map(|s| s.1).collect();
    let demand = Demand { amps: asked.train_amps, standing: &standing, bridge_ohms: asked.bridge_ohms };
    if circuit.sources.is_empty() {
        return None;
    }
    let (reckoned, all) = Reckoned::of(circuit, ways, &demand).ok()?;
    let mut grid = Grid::new(circuit, &[], Level::Typical).ok()?;
    let passed = breakers_passed(circuit, &reckoned, &mut grid, &all.tracks)?;
    let powered = all.tracks.iter().filter_map(|t| Some((t.track, t.extremes.as_ref()?)));
    let henries = loop_henries(circuit, &reckoned, &mut grid, &all.tracks)?;
    let tracks: Vec<TrackLine> = powered
        .zip(passed.iter().zip(henries))
        .map(|((track, extremes), (passed, henries))| {
            let decoder = henries.map(|henries| decoder(extremes, henries, demand.amps));
            track_line((circuit, &reckoned), track, extremes, passed, demand.amps, decoder)
        })
        .collect();
    let lines =
        all.ways.iter().filter_map(|w| Some(way_line(circuit, ways, reckoned.of[w.way]?, w.extremes.as_ref()?)));
    let ways_lines: Vec<WayLine> = lines.collect();
    let (ways_reckoned, all_ways) = (reckoned.ways(), reckoned.of.last().is_none_or(Option::is_some));
    let mut known = vec![all_ways; circuit.tracks];
    tracks.iter().for_each(|t| known[t.track] = true);
    reckoned.list[..ways_reckoned].iter().flat_map(|w| &w.steps).for_each(|&(segment, _)| {
        known.get_mut(segment).into_iter().for_each(|known| *known = true);
    });
    let tracks_left_out = known.iter().filter(|known| !**known).count();
    let worst = (0..tracks.len()).min_by(|&a, &b| share_left(&tracks[a]).total_cmp(&share_left(&tracks[b])));
    let hangs_on = worst
        .and_then(|w| all.tracks.iter().find(|t| t.track == tracks[w].track)?.extremes)
        .and_then(|extremes| hangs_on(circuit, &reckoned, &mut grid, &extremes.volts.typical, asked.train_amps))
        .unwrap_or_default();
    Some(Figures { asked, tracks, ways: ways_lines, ways_reckoned, all_ways, tracks_left_out, hangs_on, worst })
}

fn share_left(line: &TrackLine) -> f64 {
    line.volts.typical / line.supply_volts
}

/// What the plan, or else the handbook, asks.
pub fn asked(plan: &Plan) -> Asked {
    let limits_said = plan.limits.as_ref().map(|l| &l.value);
    let drop = limits_said.and_then(|l| l.drop.as_ref()).map_or(limits::VOLTAGE_DROP.value.si(), |d| d.value.si());
    let fault_margin =
        limits_said.and_then(|l| l.fault_margin.as_ref()).map_or(limits::FAULT_MARGIN.value, |m| m.value);
    let running = plan.train.iter().enumerate().filter_map(|(index, t)| {
        let amps = t.draws.as_ref()?.value.running.as_ref()?.value.si();
        Some((amps, index))
    });
    let running = running.max_by(|a, b| a.0.total_cmp(&b.0));
    let (train_amps, train_from) = match running {
        Some((amps, index)) => (amps, format!("train `{}`", plan.train[index].name.value)),
        None => {
            let scale = plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
            let amps = scale.map_or(0.5, |s| s.train_running_current.value.typical.si());
            let name = scale.map_or("", |s| s.name);
            (amps, format!("the handbook's train for {name}, {}", scale.map_or("", |s| s.train_running_current.source)))
        }
    };
    let bridge_ohms = contacts::WHEEL_SHORT.value.map(|o| o.si());
    let others = plan.train.iter().enumerate().filter(|(index, _)| running.is_none_or(|r| r.1 != *index));
    let standing = others.filter_map(|(_, t)| {
        let amps = t.draws.as_ref()?.value.standing.as_ref()?.value.si();
        let on = &t.stands.as_ref()?.value;
        let segment = plan.track.iter().position(|track| track.name.value == *on)?;
        Some((t.name.value.clone(), Standing { segment, amps }))
    });
    Asked { train_amps, train_from, standing: standing.collect(), drop, fault_margin, bridge_ohms }
}

fn amounts(band: &Spread<Found>) -> Spread<f64> {
    band.map(|f| f.amount)
}

/// For each track that is powered, the breakers that a short at its worst place passes.
fn breakers_passed(
    circuit: &Circuit,
    reckoned: &Reckoned,
    grid: &mut Grid<'_>,
    tracks: &[TrackFigures],
) -> Option<Vec<Vec<Passed>>> {
    let faults: Vec<&Found> = tracks.iter().filter_map(|t| Some(&t.extremes.as_ref()?.fault_amps.typical)).collect();
    let all = (0..faults.len()).collect();
    let mut passed = vec![Vec::new(); faults.len()];
    way_by_way((circuit, reckoned), grid, &faults, all, |i, grid, place| {
        passed[i] = grid.breakers_passed(place);
        Some(())
    })?;
    Some(passed)
}

/// For each track that is powered, the inductance of the loop at the place of its least voltage.
fn loop_henries(
    circuit: &Circuit,
    reckoned: &Reckoned,
    grid: &mut Grid<'_>,
    tracks: &[TrackFigures],
) -> Option<Vec<Option<f64>>> {
    let places: Vec<&Found> = tracks.iter().filter_map(|t| Some(&t.extremes.as_ref()?.volts.typical)).collect();
    let mut asked: Vec<usize> = (0..places.len()).collect();
    if crate::is_large(circuit) {
        // Each costs a solve over the whole circuit.
        let left = |i: &usize| places[*i].amount / circuit.sources[places[*i].at.source].volts;
        asked.sort_by(|a, b| left(a).total_cmp(&left(b)));
        asked.truncate(WEAKEST);
    }
    let mut henries = vec![None; places.len()];
    way_by_way((circuit, reckoned), grid, &places, asked, |i, grid, place| {
        henries[i] = Some(grid.loop_henries(place)?);
        Some(())
    })?;
    Some(henries)
}

/// Asks something at some of the places; the grid is set once for each way that has one.
fn way_by_way(
    (circuit, reckoned): (&Circuit, &Reckoned),
    grid: &mut Grid<'_>,
    places: &[&Found],
    mut asked: Vec<usize>,
    mut ask: impl FnMut(usize, &Grid<'_>, &Place) -> Option<()>,
) -> Option<()> {
    asked.sort_by_key(|&i| places[i].way);
    let mut set = None;
    for i in asked {
        let way = places[i].way;
        if set.replace(way) != Some(way) {
            grid.set(&setting_of(circuit, reckoned.list.get(way)?), Level::Typical).ok()?;
        }
        ask(i, grid, &places[i].at.place)?;
    }
    Some(())
}

/// What a decoder sees at the place of a track's least voltage, and the inductance that costs it.
fn decoder(extremes: &Extremes, henries: f64, amps: f64) -> (Spread<f64>, f64) {
    (extremes.volts.map(|found| decoder_volts(found.amount, found.at.loop_ohms, henries, amps)), henries)
}

/// What a decoder sees at a place of this loop resistance, where its rails have some volts under a train.
pub(crate) fn decoder_volts(rail_volts: f64, ohms: f64, henries: f64, amps: f64) -> f64 {
    // Standing trains take theirs before it comes to the loop.
    let volts = rail_volts + amps * ohms;
    SquareLoop { volts, ohms, henries, hertz: crate::filters::track_hertz() }.rectified(amps).volts()
}

fn track_line(
    (circuit, reckoned): (&Circuit, &Reckoned),
    track: usize,
    extremes: &Extremes,
    passed: &[Passed],
    amps: f64,
    decoder: Option<(Spread<f64>, f64)>,
) -> TrackLine {
    let fault_amps = amounts(&extremes.fault_amps);
    let fault = &extremes.fault_amps.typical;
    let volts = &extremes.volts.typical;
    let supply_volts = circuit.sources[volts.at.source].volts;
    let margin_of = |amps: f64| margin(circuit, passed, amps);
    let margin = margin_of(fault_amps.typical).map(|typical| {
        let of = |amps: f64| margin_of(amps).unwrap_or(typical);
        Spread::new(of(fault_amps.low), typical, of(fault_amps.high))
    });
    TrackLine {
        track,
        name: circuit.segments[track].name.clone(),
        supply_volts,
        volts: amounts(&extremes.volts),
        volts_at: volts.at.place.x,
        standing_volts: (supply_volts - amps * volts.at.loop_ohms - volts.amount).max(0.0),
        decoder,
        fault_amps,
        fault_at: fault.at.place.x,
        margin,
        fault_way: reckoned.of.get(fault.way).copied().flatten(),
        way: reckoned.of.get(extremes.volts.typical.way).copied().flatten(),
    }
}

fn way_line(circuit: &Circuit, ways: &Ways, way: usize, extremes: &Extremes) -> WayLine {
    let place = |found: &Found| {
        let place = &found.at.place;
        (circuit.segments[place.segment].name.clone(), place.x)
    };
    WayLine {
        way,
        name: ways.list[way].name.clone(),
        supply_volts: circuit.sources[extremes.volts.typical.at.source].volts,
        volts: amounts(&extremes.volts),
        volts_at: place(&extremes.volts.typical),
        fault_amps: amounts(&extremes.fault_amps),
        fault_at: place(&extremes.fault_amps.typical),
    }
}

/// The parts of the loop resistance at a place, by where they come from.
fn hangs_on(
    circuit: &Circuit,
    reckoned: &Reckoned,
    grid: &mut Grid<'_>,
    found: &Found,
    amps: f64,
) -> Option<Vec<HangsOn>> {
    grid.set(&setting_of(circuit, reckoned.list.get(found.way)?), Level::Typical).ok()?;
    let shares = grid.shares(&found.at.place)?;
    let total: f64 = shares.iter().map(|s| s.ohms).sum();
    Some(
        shares
            .iter()
            .map(|s| {
                let input = &circuit.inputs[s.input];
                HangsOn {
                    name: input.name.clone(),
                    value: input.value.clone(),
                    origin: input.origin.clone(),
                    share: s.ohms / total,
                    swing_volts: s.swing() * amps,
                }
            })
            .collect(),
    )
}

//! Voltage and fault current along one way, piece by piece, exact along the rails.

use crate::load_case::LoadCase;
use crate::numbers::{self, Promised, Zones};
use crate::way_choice::WayError;
use crate::way_piece::{PointResult, StretchFeed, WayPiece, result_at_level};
use crate::{Analysis, way_choice, ways_table};
use circuit::{Circuit, RailOwner, Way};
use electrics::worst::{Missing, Setting};
use electrics::{Failed, Feed, Grid, Level, Parabola, ProfilePiece, StandingTrain, setting_of};
use handbook::Spread;
use handbook::quantity::Units;
use plan::names::each_name;
use plan::{Plan, TrackEnd};
use proof::Promises;
use std::collections::{BTreeMap, BTreeSet};

pub mod marks;

use marks::WayMark;

/// Two places nearer than this are one, in metres: sums of lengths leave less than that over.
const SAME_PLACE: f64 = 1e-9;

/// Which way is asked for.
#[derive(Clone, Debug, Default)]
pub struct WantedProfile {
    /// Of the ways that fit, this one: its number as `gapwright routes` counts them, or its name. Where it is left out, the
    /// one with the least share of its supply's voltage.
    pub way: Option<String>,
    /// Only ways that go over this track before they come to `to`.
    pub from: Option<String>,
    /// Only ways that end on this track or go over it.
    pub to: Option<String>,
}

/// What a train meets along a way that is lined, with everything open that the way does not need.
#[derive(Clone, Debug, PartialEq)]
pub struct WayProfile {
    /// The layout's name.
    pub layout: String,
    /// In which units places are said.
    pub units: Units,
    /// The way's name: `approach to dock 1`.
    pub name: String,
    /// Why this one and no other, where nobody named it.
    pub chosen: Option<&'static str>,
    /// Positions to set, in the order in which a train comes to them.
    pub set: Vec<(String, String)>,
    /// Its length in metres.
    pub length: f64,
    /// What is asked of every place.
    pub load_case: LoadCase,
    /// The segments it runs over, in order.
    pub steps: Vec<WayStep>,
    /// Stretches over which neither rail has a stop, in order and without a break.
    pub pieces: Vec<WayPiece>,
    /// What stands along it, in order.
    pub marks: Vec<WayMark>,
}

/// A segment of a way.
#[derive(Clone, Debug, PartialEq)]
pub struct WayStep {
    /// Its name: `dock 1`, `T1 diverging`.
    pub name: String,
    /// What it is called where there is little room: trackwork without its route, `T1`.
    pub label: String,
    /// Whether it is plain line.
    pub is_track: bool,
    /// Where it starts, metres along the way.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Whether it is gone from its end to its start, so that its left rail is on the right.
    pub turned: bool,
}

impl WayStep {
    /// Metres from the segment's start of a place along the way.
    pub fn place(&self, along: f64) -> f64 {
        (if self.turned { self.to - along } else { along - self.from }).clamp(0.0, self.to - self.from)
    }

    /// Metres along the way of a place from the segment's start.
    pub fn along(&self, x: f64) -> f64 {
        if self.turned { self.to - x } else { self.from + x }
    }
}

/// The worst of a way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstOfWay {
    /// What is got there.
    pub got: f64,
    /// Where, metres along the way.
    pub along: f64,
    /// Index of the step it lies on.
    pub step: usize,
}

impl WayProfile {
    /// What a place gets, metres along the way; where two stretches meet the less of both. None where it is not powered.
    pub fn got(&self, along: f64) -> Option<PointResult> {
        let here = self.pieces.iter().filter(|p| p.from - SAME_PLACE <= along && along <= p.to + SAME_PLACE);
        let less = |a: Spread<f64>, b: Spread<f64>| {
            Spread::new(a.low.min(b.low), a.typical.min(b.typical), a.high.min(b.high))
        };
        here.filter_map(|piece| piece.point_result(along, &self.load_case)).reduce(|a, b| PointResult {
            volts: less(a.volts, b.volts),
            decoder: a.decoder.zip(b.decoder).map(|(a, b)| less(a, b)),
            fault_amps: less(a.fault_amps, b.fault_amps),
            noticed: less(a.noticed, b.noticed),
        })
    }

    /// The least of the volts or of the current of a short over some pieces, by what is got where each piece loses most
    /// voltage and where its loop resistance is greatest: `of` picks it from what is got, `level` says at which level. Exact,
    /// since one of these is where it is.
    pub fn least(
        &self,
        mut only: impl FnMut(&WayPiece) -> bool,
        level: Level,
        of: impl Fn(&PointResult) -> Spread<f64>,
    ) -> Option<WorstOfWay> {
        let mut worst: Option<WorstOfWay> = None;
        for piece in self.pieces.iter().filter(|p| only(p)) {
            let places = [piece.greatest(), piece.most_lost(&self.load_case)];
            for along in places.into_iter().flatten().map(|place| level.pick(place).0) {
                let Some(got) = piece.point_result(along, &self.load_case).map(|got| result_at_level(of(&got), level))
                else {
                    continue;
                };
                if worst.is_none_or(|w| got < w.got) {
                    worst = Some(WorstOfWay { got, along, step: piece.step });
                }
            }
        }
        worst
    }

    /// The least voltage a piece's supply may fall to: the limit of the plan.
    pub fn volts_limit(&self, fed: &StretchFeed) -> f64 {
        fed.supply_volts * (1.0 - self.load_case.drop)
    }

    /// Stretches without power, in order: from where to where, metres along the way, and why.
    pub fn breaks(&self) -> Vec<(f64, f64, &'static str)> {
        let mut breaks: Vec<(f64, f64, &'static str)> = Vec::new();
        for (piece, why) in self.pieces.iter().filter_map(|p| Some((p, *p.feed.as_ref().err()?))) {
            match breaks.last_mut() {
                Some(last) if (last.1 - piece.from).abs() < SAME_PLACE && last.2 == why => last.1 = piece.to,
                _ => breaks.push((piece.from, piece.to, why)),
            }
        }
        breaks
    }

    /// A place in words: `dock 1 @ 90 mm`.
    pub fn place_words(&self, step: usize, along: f64) -> String {
        let step = &self.steps[step];
        format!("{} @ {}", step.name, self.units.metres(step.place(along)))
    }
}

impl Analysis<'_> {
    /// The profile of a way.
    ///
    /// # Errors
    /// When the plan feeds nothing, when there is no such way, or a name is no track.
    pub fn way_profile(&self, wanted: &WantedProfile) -> Result<WayProfile, WayError> {
        let track = |name: &Option<String>| name.as_deref().map(|name| ways_table::track(self.names, name)).transpose();
        let (from, to) = (track(&wanted.from)?, track(&wanted.to)?);
        let Some(figures) = self.figures() else {
            let shorted = self.proof().is_ok_and(|proof| proof.shorts.iter().any(proof::Short::always));
            return Err(if shorted { WayError::Shorted } else { WayError::Unfed });
        };
        let chosen = ways_table::chosen(&self.circuit, self.ways(), from, to);
        let (way, why) = match &wanted.way {
            Some(word) => (way_choice::named(&self.circuit, self.names, chosen, word)?, None),
            None => way_choice::worst(figures, self.ways(), chosen)?,
        };
        Ok(along(self.plan, (&self.circuit, &self.promises()), &way, figures.load_case.clone(), why)?)
    }
}

/// The profile of one way: each place in the setting, of those in which the way is set, that is worst for it.
fn along(
    plan: &Plan,
    (circuit, promises): (&Circuit, &Promises),
    way: &Way,
    asked: LoadCase,
    chosen: Option<&'static str>,
) -> Result<WayProfile, Failed> {
    let mut steps: Vec<WayStep> = Vec::new();
    for &(segment, entered) in &way.steps {
        let from = steps.last().map_or(0.0, |s| s.to);
        let found = &circuit.segments[segment];
        let label = match found.owner {
            RailOwner::Track(_) => None,
            RailOwner::Work { kind, index, .. } => each_name(plan).find(|n| (n.0, n.1) == (kind, index)),
        };
        let (name, is_track) = (found.name.clone(), segment < circuit.tracks);
        let label = label.map_or_else(|| name.clone(), |n| n.2.value.clone());
        steps.push(WayStep { name, label, is_track, from, to: from + found.length, turned: entered == TrackEnd::To });
    }
    let standing: Vec<StandingTrain> = asked.standing.iter().map(|s| s.1).collect();
    let worst = worst_settings((circuit, promises), way, &asked, &standing)?;
    let mut pieces: Vec<WayPiece> = Vec::new();
    let mut grid = Grid::new(circuit, &[], Level::Typical)?;
    // As usual first: the breakers are asked for then, as for the figures of tracks.
    for level in [Level::Typical, Level::Low, Level::High] {
        // By step and zone what its setting gives; each setting is worked out once.
        let mut found: BTreeMap<(usize, usize), Vec<StretchResult>> = BTreeMap::new();
        let zones =
            || worst.iter().enumerate().flat_map(|(step, zones)| zones.iter().enumerate().map(move |z| (step, z)));
        let settings: BTreeSet<&Setting> = zones().map(|(_, (_, zone))| &zone.settings[level as usize]).collect();
        for setting in settings {
            grid.set(setting, level)?;
            let resistances = grid.resistances();
            let of_setting = zones().filter(|(_, (_, zone))| &zone.settings[level as usize] == setting);
            for (step, (zone, StepZone { ends, missing, .. })) in of_setting {
                let segment = way.steps[step].0;
                let missing = &missing[level as usize];
                let inside = |p: &ProfilePiece| p.from >= ends[0] - SAME_PLACE && p.to <= ends[1] + SAME_PLACE;
                let of_zone = resistances.profile(segment).pieces.into_iter().enumerate().filter(|(_, p)| inside(p));
                let with_more = of_zone.map(|(index, piece)| {
                    let as_usual = level == Level::Typical;
                    StretchResult {
                        piece: as_usual.then(|| way_piece(&grid, plan, step, &steps[step], &piece, segment)),
                        ohms: piece.loop_ohms,
                        missing: missing.get(index).copied().unwrap_or(Parabola::NOTHING),
                    }
                });
                found.insert((step, zone), with_more.collect());
            }
        }
        let mut count = 0;
        for (number, step) in steps.iter().enumerate() {
            let mut of_step: Vec<StretchResult> =
                (0..worst[number].len()).flat_map(|zone| found.remove(&(number, zone)).unwrap_or_default()).collect();
            if step.turned {
                of_step.reverse();
            }
            let turned = |p: Parabola| if step.turned { Parabola { start: p.end, end: p.start, ..p } } else { p };
            for StretchResult { piece, ohms, missing } in of_step {
                pieces.extend(piece);
                if let (Some(Ok(fed)), Some(ohms)) = (pieces.get_mut(count).map(|p| p.feed.as_mut()), ohms) {
                    for (band, value) in
                        [(&mut fed.loop_ohms, turned(ohms)), (&mut fed.standing_train_drop, turned(missing))]
                    {
                        match level {
                            Level::Low => band.low = value,
                            Level::Typical => *band = Spread::exactly(value),
                            Level::High => band.high = value,
                        }
                    }
                }
                count += 1;
            }
        }
    }
    Ok(WayProfile {
        units: plan.units(),
        layout: plan.layout.as_ref().map_or_else(String::new, |l| l.value.name.value.clone()),
        name: way.name.clone(),
        chosen,
        set: ways_table::to_set(circuit, way),
        length: steps.last().map_or(0.0, |s| s.to),
        marks: marks::marks(plan, circuit, way, &steps),
        load_case: asked,
        steps,
        pieces,
    })
}

/// What a stretch without a stop gives at one level.
struct StretchResult {
    /// What it is, told once.
    piece: Option<WayPiece>,
    ohms: Option<Parabola>,
    missing: Parabola,
}

/// A zone of a step of a way.
struct StepZone {
    /// From where to where, metres from the segment's start.
    ends: [f64; 2],
    /// In which setting it is worst at each level: least resistance first. Where the plan promises no power while the way is set,
    /// with everything open that the way does not need.
    settings: [Setting; 3],
    /// What trains that stand elsewhere take from it.
    missing: Missing,
}

fn worst_settings(
    (circuit, promises): (&Circuit, &Promises),
    way: &Way,
    asked: &LoadCase,
    standing: &[StandingTrain],
) -> Result<Vec<Vec<StepZone>>, Failed> {
    let demand = asked.demand(standing);
    let (promised, zones) = (Promised(promises), Zones::new(circuit, promises));
    let mut search = numbers::search(circuit, &promised, &zones, demand)?;
    let given = numbers::given(circuit, way);
    let mut all = Vec::new();
    for &(segment, _) in &way.steps {
        let mut of_step = Vec::new();
        for zone in zones.range(segment) {
            let answer = search.worst(zone, &given)?;
            let settings = answer.worst.map(|worst| match worst {
                Some(worst) => search.setting(worst.lost.2).clone(),
                None => setting_of(circuit, way),
            });
            let missing = search.standing_train_drop(zone, &given, &answer)?;
            of_step.push(StepZone { ends: zones.list[zone].1, settings, missing });
        }
        all.push(of_step);
    }
    Ok(all)
}

fn way_piece(
    grid: &Grid<'_>,
    plan: &Plan,
    number: usize,
    step: &WayStep,
    piece: &ProfilePiece,
    segment: usize,
) -> WayPiece {
    let circuit = grid.circuit();
    let trip = trip(grid, piece, segment);
    let fed = match piece.feed {
        Feed::Powered { source } => Ok(StretchFeed {
            supply: circuit.sources[source].name.clone(),
            supply_volts: circuit.sources[source].volts,
            fed_volts: circuit.volts_on(source, segment),
            trip: trip
                .as_ref()
                .map(|(breaker, amps)| (plan.supply[circuit.breakers[*breaker].supply].name.value.clone(), *amps)),
            senses: trip.and_then(|(breaker, _)| circuit.breakers[breaker].senses),
            square_wave: circuit.sources[source].square_wave,
            loop_ohms: Spread::exactly(Parabola::NOTHING),
            standing_train_drop: Spread::exactly(Parabola::NOTHING),
            henries: henries(grid, step, piece),
        }),
        Feed::Dead => Err("no power"),
        Feed::SamePole => Err("both rails on one pole"),
        Feed::Shorted => Err("a short"),
        Feed::SeveralSources => Err("several supplies"),
    };
    let (from, to) = if step.turned { (piece.to, piece.from) } else { (piece.from, piece.to) };
    WayPiece { step: number, from: step.along(from), to: step.along(to), feed: fed }
}

/// Inductance of the loop at four places of a piece, in the order of the way.
fn henries(grid: &Grid<'_>, step: &WayStep, piece: &ProfilePiece) -> Option<[Spread<f64>; 4]> {
    if crate::is_large(grid.circuit()) {
        return None;
    }
    let mut at = [Spread::exactly(0.0); 4];
    for (k, henries) in at.iter_mut().enumerate() {
        *henries = grid.loop_henries(&piece.at_fraction(k as f64 / 3.0)?.place)?;
    }
    if step.turned {
        at.reverse();
    }
    Some(at)
}

/// The breaker that trips first of those a short on a piece passes, and the current at the place that trips it.
fn trip(grid: &Grid<'_>, piece: &ProfilePiece, segment: usize) -> Option<(usize, f64)> {
    let circuit = grid.circuit();
    let at = |x: f64| {
        let place = electrics::places(circuit, segment, x).into_iter().find(|p| p.rail == piece.rail)?;
        let asks = |p: electrics::Passed| Some((p.breaker, circuit.breakers[p.breaker].trip_amps? / p.share));
        grid.breakers_passed(&place).into_iter().filter_map(asks).min_by(|a, b| a.1.total_cmp(&b.1))
    };
    let ends = [piece.from, piece.to].into_iter().filter_map(at);
    ends.max_by(|a, b| a.1.total_cmp(&b.1))
}

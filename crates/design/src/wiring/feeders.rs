//! Feeders: one for each conductor of a board at least, more where the volts or a short's current ask for them.

use super::labels::{Feed, Label};
use super::places::Places;
use super::scheme::Scheme;
use super::sketch::Sketch;
use handbook::quantity::Quantity;
use plan::tables::RailSide;
use std::collections::{BTreeMap, BTreeSet};

/// A feeder to build.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct NewFeeder {
    pub(crate) track: usize,
    pub(crate) side: RailSide,
    /// Metres from the `from` end.
    pub(crate) x: f64,
}

/// Feeders of a scheme.
#[derive(Clone, Debug, Default)]
pub(crate) struct Feeders {
    pub(crate) list: Vec<NewFeeder>,
    /// Feeders that are there already and stay: of which track, which in its list, and on which rails.
    pub(crate) kept: BTreeMap<(usize, usize), Vec<RailSide>>,
    /// What the rails belong to: bus conductors, by district, or a section's reverser.
    pub(crate) belongs: Vec<[Option<Belongs>; 2]>,
    /// As many conductors as need at least one, on each board.
    pub(crate) fewest: usize,
}

/// What a rail belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Belongs {
    Bus(Feed),
    Reverser { section: usize, pole: plan::Pole },
}

/// How near to each other the feeds of rails are.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Spacing {
    /// Metres between feeds; one for each conductor where not said.
    pub(crate) apart: Option<f64>,
    /// The tracks on which that holds; on the others there is one for each conductor.
    pub(crate) tracks: BTreeSet<usize>,
}

impl Spacing {
    /// Metres between the feeds of a track.
    pub(crate) fn on(&self, track: usize) -> Option<f64> {
        self.apart.filter(|_| self.tracks.contains(&track))
    }
}

/// How many feeds a track gets so that none are further apart: one more than it gets joints that slide so far apart.
pub(crate) fn count_of(sketch: &Sketch<'_>, track: usize, apart: f64) -> usize {
    (sketch.circuit.segments[track].length / apart).floor() as usize + 1
}

/// The feeders of a plan that stay, and on which rails: those of rails that keep their pole for good.
fn kept(sketch: &Sketch<'_>, scheme: &Scheme) -> BTreeMap<(usize, usize), Vec<RailSide>> {
    let component = scheme.components(sketch);
    let changing = |label: &Label| !matches!(label, Label::Fixed(_));
    let of_works = scheme.works.iter().filter(|(_, l)| changing(l)).map(|(&c, _)| component[c]);
    let mut switched: BTreeSet<usize> = of_works.collect();
    for (track, rails) in scheme.rails.iter().enumerate() {
        for side in RailSide::ALL {
            if rails[side].as_ref().is_some_and(changing) {
                switched.insert(component[scheme.rail_element(track, side)]);
            }
        }
    }
    let mut kept = BTreeMap::new();
    for (track, table) in sketch.plan.track.iter().enumerate() {
        for (number, feeder) in table.feeders.iter().enumerate() {
            let on = |side: &RailSide| feeder.value.rail.as_ref().is_none_or(|r| r.value == *side);
            let stays = |side: &RailSide| !switched.contains(&component[scheme.rail_element(track, *side)]);
            kept.insert((track, number), RailSide::ALL.into_iter().filter(on).filter(stays).collect());
        }
    }
    kept
}

/// A rail of a track, and how long it is between its gaps, metres.
type FedRail = (usize, RailSide, f64);

/// Shorter rail between gaps takes no feeder, metres.
const TOO_SHORT: f64 = 0.006;

impl Feeders {
    /// With one feeder for each conductor that needs one and, where a spacing is asked for, as many on each rail of runs with room
    /// that no two are further apart.
    pub(crate) fn new(sketch: &Sketch<'_>, scheme: &Scheme, places: &Places, spacing: &Spacing) -> Feeders {
        let component = scheme.components(sketch);
        let mut fed: BTreeMap<usize, Belongs> = BTreeMap::new();
        // Rails that are one conductor, apart by boards: nothing counts on a joint that comes apart with them.
        let mut rails: BTreeMap<(usize, Option<usize>), Vec<FedRail>> = BTreeMap::new();
        for (&conductor, label) in &scheme.works {
            if let Label::Fixed(feed) = label {
                fed.insert(component[conductor], Belongs::Bus(*feed));
            }
        }
        // What changes by a contact is fed by that.
        let switched: BTreeSet<usize> = scheme
            .works
            .iter()
            .filter(|(_, l)| matches!(l, Label::Switched { .. }))
            .map(|(&conductor, _)| component[conductor])
            .collect();
        fed.retain(|component, _| !switched.contains(component));
        let mut belongs = vec![[None, None]; sketch.plan.track.len()];
        for track in 0..sketch.plan.track.len() {
            for side in RailSide::ALL {
                let own = component[scheme.rail_element(track, side)];
                match &scheme.rails[track][side] {
                    Some(Label::Fixed(feed)) => {
                        fed.insert(own, Belongs::Bus(*feed));
                    }
                    Some(Label::Reversed { section, pole }) => {
                        fed.insert(own, Belongs::Reverser { section: *section, pole: *pole });
                    }
                    Some(Label::Own { pole, .. }) => {
                        belongs[track][side] =
                            Some(Belongs::Bus(Feed { district: scheme.district[track], pole: *pole }));
                    }
                    _ => {}
                }
                let [from, to] = places.between_cuts(sketch, scheme, track, side);
                if to - from > TOO_SHORT {
                    rails.entry((own, sketch.board_of(track))).or_default().push((track, side, to - from));
                }
            }
        }
        let kept = kept(sketch, scheme);
        let mut feeders = Feeders {
            kept,
            fewest: rails.keys().filter(|(c, _)| fed.contains_key(c)).count(),
            belongs,
            list: Vec::new(),
        };
        let put = |feeders: &mut Feeders, track: usize, side: RailSide, x: f64, to: Belongs| {
            feeders.belongs[track][side] = Some(to);
            feeders.list.push(NewFeeder { track, side, x });
        };
        for ((component, _), own) in &rails {
            let Some(&to) = fed.get(component) else { continue };
            let mut any = false;
            for &(track, side, _) in own {
                let labelled = scheme.rails[track][side].is_some();
                if labelled {
                    feeders.belongs[track][side] = Some(to);
                }
                let between = places.between_cuts(sketch, scheme, track, side);
                any |= feeders.has_kept(sketch, (track, side), between);
                if labelled && let Some(spacing) = spacing.on(track) {
                    let count = count_of(sketch, track, spacing);
                    for piece in places.pieces(sketch, scheme, (track, side), count) {
                        if feeders.has_kept(sketch, (track, side), piece) {
                            continue;
                        }
                        let x = places.ruled((piece[0] + piece[1]) / 2.0);
                        put(&mut feeders, track, side, x, to);
                        any = true;
                    }
                }
            }
            if any {
                continue;
            }
            // Rail of its own first: what hangs on a frog is dead at times.
            let own_rail = |&(track, side, _): &FedRail| scheme.rails[track][side].is_some();
            let longest = own
                .iter()
                .copied()
                .max_by(|a, b| own_rail(a).cmp(&own_rail(b)).then(a.2.total_cmp(&b.2)).then(b.0.cmp(&a.0)));
            if let Some((track, side, _)) = longest {
                let x = places.along(sketch, scheme, (track, side), 1)[0];
                put(&mut feeders, track, side, x, to);
            }
        }
        feeders.together(sketch, scheme, places);
        feeders
    }

    /// Whether a feeder that is there already feeds a rail between these places.
    fn has_kept(&self, sketch: &Sketch<'_>, (track, side): (usize, RailSide), [from, to]: [f64; 2]) -> bool {
        let own = self.kept.range((track, 0)..(track + 1, 0));
        own.filter(|(_, sides)| sides.contains(&side)).any(|(&(_, number), _)| {
            let x = sketch.plan.track[track].feeders.items[number].value.at.value.si();
            x > from && x < to
        })
    }

    /// Two feeders of one track that lie near each other are wired at one place, where both rails have that place between their gaps.
    fn together(&mut self, sketch: &Sketch<'_>, scheme: &Scheme, places: &Places) {
        let mut list = std::mem::take(&mut self.list);
        list.sort_by(|a, b| (a.track, a.side.index()).cmp(&(b.track, b.side.index())).then(a.x.total_cmp(&b.x)));
        for k in 0..list.len() {
            if list[k].side != RailSide::Right {
                continue;
            }
            let twin = list
                .iter()
                .find(|f| f.track == list[k].track && f.side == RailSide::Left && (f.x - list[k].x).abs() < 0.1);
            let [from, to] = places.between_cuts(sketch, scheme, list[k].track, RailSide::Right);
            if let Some(x) = twin.map(|t| t.x).filter(|x| *x > from + 1e-3 && *x < to - 1e-3) {
                list[k].x = x;
            }
        }
        self.list = list;
    }
}

//! Faults, each planted at a random place that has what it needs.

use super::{GrownFeeder, GrownSide, GrownTrack, GrownWhy, Model, Random, SIDES, conductor};

/// What is wrong with a random plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlantedFault {
    /// Nothing.
    None,
    /// A gap is missing: behind a fed frog, or at an end of a switched section.
    MissingGap,
    /// A feeder is on the other conductor.
    CrossedFeeder,
    /// The two wires of a frog's contact are exchanged.
    ReversedContact,
    /// A turnout has a live frog where the wiring is for an insulated one.
    WrongWiring,
    /// A feeder goes to another supply's or breaker's bus.
    JoinedSupplies,
    /// A rail behind a gap has no feeder.
    MissingFeeder,
    /// A storage track's switched rail is fed straight from the bus too.
    StorageFromBus,
    /// The gap behind a fed frog is so far out that a vehicle clear of the other track reaches it.
    GapBeyondFouling,
}

impl PlantedFault {
    /// All of them.
    pub const ALL: [PlantedFault; 9] = [
        PlantedFault::None,
        PlantedFault::MissingGap,
        PlantedFault::CrossedFeeder,
        PlantedFault::ReversedContact,
        PlantedFault::WrongWiring,
        PlantedFault::JoinedSupplies,
        PlantedFault::MissingFeeder,
        PlantedFault::StorageFromBus,
        PlantedFault::GapBeyondFouling,
    ];
}

/// Plants a fault; false where the plan has no place for it.
pub(crate) fn plant(model: &mut Model, random: &mut Random, fault: PlantedFault) -> bool {
    match fault {
        PlantedFault::None => true,
        PlantedFault::MissingGap => {
            let fed = |t: &GrownTrack, side: GrownSide| t.feeders.iter().any(|f| f.side == side);
            let places = all(&model.tracks, |t| {
                let harmful =
                    |g: &super::GrownGap| (g.why == GrownWhy::Frog && fed(t, g.side)) || g.why == GrownWhy::Section;
                (0..t.gaps.len()).filter(|&i| harmful(&t.gaps[i])).collect()
            });
            let Some(&(track, gap)) = random.pick(&places) else { return false };
            model.tracks[track].gaps.remove(gap);
            true
        }
        PlantedFault::CrossedFeeder => {
            let places = all(&model.tracks, |t| (0..t.feeders.len()).collect());
            let Some(&(track, feeder)) = random.pick(&places) else { return false };
            let track = &mut model.tracks[track];
            let side = track.feeders[feeder].side;
            track.feeders[feeder].to = Some(conductor(track.bus, side.other().pole()));
            true
        }
        PlantedFault::ReversedContact => {
            let places = all(&model.motors, |m| (0..m.contacts.len()).filter(|&i| m.contacts[i].frog).collect());
            let Some(&(motor, contact)) = random.pick(&places) else { return false };
            model.motors[motor].contacts[contact].positions.swap(0, 1);
            true
        }
        PlantedFault::WrongWiring => {
            let fits = |t: &super::GrownTurnout| t.legs_fed && t.wiring.starts_with("insulated");
            let places: Vec<usize> = (0..model.turnouts.len()).filter(|&i| fits(&model.turnouts[i])).collect();
            let Some(&turnout) = random.pick(&places) else { return false };
            let wrong = ["live-routed", "live-bonded", "live-unfed"];
            model.turnouts[turnout].wiring = random.pick(&wrong).copied().unwrap_or("live-bonded");
            true
        }
        PlantedFault::JoinedSupplies => {
            let others = model.buses.len();
            let places = all(&model.tracks, |t| (0..t.feeders.len()).collect());
            if others < 2 {
                return false;
            }
            let Some(&(track, feeder)) = random.pick(&places) else { return false };
            let track = &mut model.tracks[track];
            let GrownFeeder { at, side, .. } = track.feeders[feeder];
            let other = (track.bus + 1 + random.below(others - 1)) % others;
            let to = Some(conductor(other, side.pole()));
            track.feeders.push(GrownFeeder { at: at + 0.2, side, to });
            true
        }
        PlantedFault::MissingFeeder => {
            let places = all(&model.tracks, |t| {
                // The rail must be cut off by its one gap, and nothing may follow on the track.
                let only = |f: &GrownFeeder| {
                    t.gaps.iter().filter(|g| g.side == f.side && g.why == GrownWhy::Frog).count() == 1
                };
                (0..t.feeders.len()).filter(|&i| t.leaf && only(&t.feeders[i])).collect()
            });
            let Some(&(track, feeder)) = random.pick(&places) else { return false };
            model.tracks[track].feeders.remove(feeder);
            true
        }
        PlantedFault::StorageFromBus => {
            let places = all(&model.tracks, |t| (0..2).filter(|&s| t.switched == Some(SIDES[s])).collect());
            let Some(&(track, side)) = random.pick(&places).filter(|_| model.storage == Some("lined")) else {
                return false;
            };
            model.tracks[track].feeders.push(GrownFeeder { at: 1.0, side: SIDES[side], to: None });
            true
        }
        PlantedFault::GapBeyondFouling => {
            let places =
                all(&model.tracks, |t| (0..t.gaps.len()).filter(|&i| t.gaps[i].why == GrownWhy::Frog).collect());
            let Some(&(track, gap)) = random.pick(&places) else { return false };
            model.tracks[track].gaps[gap].at = 0.6;
            true
        }
    }
}

/// Pairs of an item and one of the places in it.
fn all<T>(list: &[T], places: impl Fn(&T) -> Vec<usize>) -> Vec<(usize, usize)> {
    list.iter().enumerate().flat_map(|(i, item)| places(item).into_iter().map(move |p| (i, p))).collect()
}

//! What a zone meets in one setting at one level.

use super::{LeastMet, Met, Profiles, SAME_PLACE, Settings, WorstSearch, Zone};
use crate::loops::{Bent, LoopPiece};
use crate::{Level, ProfilePiece};

impl<S: Settings> WorstSearch<'_, S> {
    /// The profiles of all segments that have a zone.
    pub(super) fn profiles(&self) -> Profiles {
        let resistances = self.grid.resistances();
        let mut profiles = Profiles::new();
        for &(segment, _) in self.zones {
            profiles.entry(segment).or_insert_with(|| resistances.profile(segment));
        }
        profiles
    }

    /// What a zone meets, from the profiles and those with bent resistances, and by how many seconds.
    pub(super) fn met_in(
        &self,
        &(segment, [from, to]): &Zone,
        level: Level,
        profiles: &Profiles,
        bent: Option<&(Profiles, f64)>,
    ) -> Option<Met> {
        let pieces = &profiles.get(&segment)?.pieces;
        let bent = bent.and_then(|(profiles, seconds)| Some((&profiles.get(&segment)?.pieces, *seconds)));
        let mut met: Option<Met> = None;
        for (index, piece) in pieces.iter().enumerate() {
            if piece.from >= from - SAME_PLACE && piece.to <= to + SAME_PLACE {
                self.meet_piece(&mut met, piece, level, bent.map(|(pieces, seconds)| (&pieces[index], seconds)));
            }
        }
        met
    }

    fn meet_piece(
        &self,
        met: &mut Option<Met>,
        piece: &ProfilePiece,
        level: Level,
        bent: Option<Bent<'_>>,
    ) -> Option<()> {
        let ohms = piece.worst()?;
        let on_loop = LoopPiece::new(self.circuit, &self.demand, level, piece, bent)?;
        let (s, lost) = on_loop.ohms.drop_of(self.demand.amps, None).greatest();
        let lost = (lost, piece.at_fraction(s)?);
        let nothing = LeastMet { amps: f64::INFINITY, at: ohms, henries: 0.0 };
        let known = met.get_or_insert(Met { ohms, lost, sensed: [nothing; 3] });
        if ohms.loop_ohms > known.ohms.loop_ohms {
            known.ohms = ohms;
        }
        if lost.0 > known.lost.0 {
            known.lost = lost;
        }
        let less = on_loop.least(known.sensed.map(|s| s.amps));
        for (known, less) in known.sensed.iter_mut().zip(less) {
            let Some(less) = less.filter(|less| less.amps < known.amps) else { continue };
            *known = LeastMet { amps: less.amps, at: piece.at_fraction(less.s)?, henries: less.henries };
        }
        Some(())
    }
}

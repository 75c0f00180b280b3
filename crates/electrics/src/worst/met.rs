//! What a zone meets in one setting at one level.

use super::{LeastMet, Met, SAME_PLACE};
use crate::loops::{Bent, LoopPiece};
use crate::{Demand, Level, Profile, ProfilePiece};
use circuit::Circuit;

/// What a stretch of a segment meets, from the segment's profile and the one with bent resistances, and by how many seconds; what
/// breakers notice only if that is asked for.
pub(super) fn met_in(
    (circuit, demand, with_sensed): (&Circuit, &Demand<'_>, bool),
    [from, to]: [f64; 2],
    level: Level,
    straight: &Profile,
    bent: Option<&(Profile, f64)>,
) -> Option<Met> {
    let mut met: Option<Met> = None;
    for (index, piece) in straight.pieces.iter().enumerate() {
        if piece.from >= from - SAME_PLACE && piece.to <= to + SAME_PLACE {
            let bent = bent.map(|(bent, seconds)| (&bent.pieces[index], *seconds));
            meet_piece((circuit, demand, with_sensed), &mut met, piece, level, bent);
        }
    }
    met
}

fn meet_piece(
    (circuit, demand, with_sensed): (&Circuit, &Demand<'_>, bool),
    met: &mut Option<Met>,
    piece: &ProfilePiece,
    level: Level,
    bent: Option<Bent<'_>>,
) -> Option<()> {
    let ohms = piece.worst()?;
    let on_loop = LoopPiece::new(circuit, demand, level, piece, bent)?;
    let (s, lost) = on_loop.ohms.drop_of(demand.amps, None).greatest();
    let lost = (lost, piece.at_fraction(s)?);
    let nothing = LeastMet { amps: f64::INFINITY, at: ohms, henries: 0.0 };
    let known = met.get_or_insert(Met { ohms, lost, sensed: [nothing; 3] });
    if ohms.loop_ohms > known.ohms.loop_ohms {
        known.ohms = ohms;
    }
    if lost.0 > known.lost.0 {
        known.lost = lost;
    }
    if !with_sensed {
        return Some(());
    }
    let less = on_loop.least(known.sensed.map(|s| s.amps));
    for (known, less) in known.sensed.iter_mut().zip(less) {
        let Some(less) = less.filter(|less| less.amps < known.amps) else { continue };
        *known = LeastMet { amps: less.amps, at: piece.at_fraction(less.s)?, henries: less.henries };
    }
    Some(())
}

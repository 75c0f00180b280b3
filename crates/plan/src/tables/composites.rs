//! Composite tables: what repeats is said once. Each stands for ordinary tables, which `plan::expansion` writes.

use super::{Live, Motor, RailSide, Track, Turnout};
use crate::keys::{HandsOn, Keys};
use crate::value::{At, List, OneOrMany, choice, record};
use handbook::quantity::Metres;

/// Keys of each turnout of a composite.
#[derive(Clone, Debug)]
pub struct OfTurnouts;
impl HandsOn for OfTurnouts {
    type Of = Turnout;
    const GIVEN: &'static [&'static str] = &["name"];
}
/// Keys of each motor of a composite.
#[derive(Clone, Debug)]
pub struct OfMotors;
impl HandsOn for OfMotors {
    type Of = Motor;
    const GIVEN: &'static [&'static str] = &["name", "moves", "contact"];
    const MANY: &'static [&'static str] = &["driver"];
}
/// Keys of a track that leaves a ladder.
#[derive(Clone, Debug)]
pub struct OfTracks;
impl HandsOn for OfTracks {
    type Of = Track;
    const GIVEN: &'static [&'static str] = &["from"];
    const SHORT: Option<&'static str> = Some("length");
}
/// Keys of the tracks between turnouts of a composite.
#[derive(Clone, Debug)]
pub struct OfPieces;
impl HandsOn for OfPieces {
    type Of = Track;
    const GIVEN: &'static [&'static str] = &["name", "from", "to"];
    const SHORT: Option<&'static str> = Some("length");
}
/// Keys of the track of a turning loop.
#[derive(Clone, Debug)]
pub struct OfLoop;
impl HandsOn for OfLoop {
    type Of = Track;
    const GIVEN: &'static [&'static str] = &["name", "from", "to", "left", "right"];
    const SHORT: Option<&'static str> = Some("length");
}

choice! {
    /// A leg of a turnout.
    Leg, "leg" {
        /// The through leg.
        Through = "through",
        /// The diverging leg.
        Diverging = "diverging",
    }
}
record! {
    /// Feeders at equal distances.
    FeederSpacing, "feeder spacing" {
        /// No two feeders of a rail are further apart than this, and none is further than half of it from an end, to a centimetre or half an inch.
        every: At<Metres>,
        /// Their wire, where not the layout's.
        wire: Option<At<String>>,
        /// The length of each, where not the layout's.
        length: Option<At<Metres>>,
    }
}
record! {
    /// Where a ladder runs along a bus.
    LadderAlong, "ladder along a bus" {
        /// The bus.
        bus: At<String>,
        /// The place on the bus under the far end of the first turnout.
        from: At<Metres>,
        /// How far apart the turnouts are, points to points.
        every: At<Metres>,
    }
}
record! {
    /// Names of what a composite stands for: a pattern in which `#` is the number, such as `road #`, or a list of names.
    CompositeNames, "names" {
        /// Of tracks: `quay 1` and so on where not said.
        tracks: OneOrMany<String>,
        /// Of turnouts: `quay T1`.
        turnouts: OneOrMany<String>,
        /// Of motors: `quay M1`.
        motors: OneOrMany<String>,
        /// Of the tracks between turnouts: `quay ladder 1`.
        between: OneOrMany<String>,
        /// Of toggles that switch tracks by hand: `quay power 1`.
        toggles: OneOrMany<String>,
    }
}
record! {
    /// A ladder: turnouts in a row, a track leaving each, and the last going on. It stands for all their tables: turnouts, motors
    /// with their contacts, tracks with gaps and feeders, and the storage policy.
    Ladder, "ladder" {
        /// What the builder calls it; the names of what it stands for begin with it.
        name: At<String>,
        /// What leads to its first turnout: a track, such as `harbour lead`, or an end, such as `harbour lead.from`. That track
        /// need not say that it ends here.
        from: Option<At<String>>,
        /// The length of a track of its own that leads to the first turnout, or any keys of a `[[track]]`; it starts at `from`.
        lead: Option<At<Keys<OfPieces>>>,
        /// Its turnouts: any keys of a `[[turnout]]`.
        turnout: At<Keys<OfTurnouts>>,
        /// The leg of each turnout by which the ladder goes on; `through` where not said.
        onward: Option<At<Leg>>,
        /// The length of the track between two turnouts, or any keys of a `[[track]]`; 60 mm where not said.
        between: Option<At<Keys<OfPieces>>>,
        /// The tracks, from the first turnout on: the length of each, or any keys of a `[[track]]`. The last one is where the ladder
        /// ends, so there is one track more than turnouts. A track ends at a buffer where it does not say `to`.
        tracks: List<Keys<OfTracks>>,
        /// How many tracks, where not as many as are listed: the last one listed is repeated.
        count: Option<At<u32>>,
        /// Its motors: any keys of a `[[motor]]`. `driver` and `address` are those of the first motor and count on; a list of
        /// drivers goes on with the next where one has no more outputs.
        motor: Option<At<Keys<OfMotors>>>,
        /// When its tracks are to be live: gaps, contacts and frog feeds follow from that.
        live: Option<At<Live>>,
        /// Where the gaps of its tracks are, from the turnout; 100 mm or 4 in where not said, or nearer where vehicles would not be clear there, as in small scales; 12 mm or 1/2 in where nothing feeds the frog.
        gap: Option<At<Metres>>,
        /// Where wires from contacts join its tracks, from the turnout; 200 mm or 8 in behind the gaps where not said.
        fed_at: Option<At<Metres>>,
        /// The feeders of its tracks; one at mid-length where not said.
        feeders: Option<At<FeederSpacing>>,
        /// The bus conductor of the left rails, seen from the first turnout's points; that of the track that leads here where not said.
        left: Option<At<String>>,
        /// The bus conductor of the right rails.
        right: Option<At<String>>,
        /// Where it runs along its bus; behind the track that leads here where not said.
        along: Option<At<LadderAlong>>,
        /// Other names.
        names: Option<At<CompositeNames>>,
    }
}
record! {
    /// A turning loop: a turnout whose two legs are joined by a track. It stands for the turnout, its motor and the track, cut off at both ends and fed
    /// in the phase that is due.
    TurningLoop, "turning loop" {
        /// What the builder calls it, and its track.
        name: At<String>,
        /// What leads to its turnout: a track, or an end of one.
        from: Option<At<String>>,
        /// The length of its track, or any keys of a `[[track]]`. It runs from the diverging leg to the through leg.
        track: At<Keys<OfLoop>>,
        /// Its turnout: any keys of a `[[turnout]]`.
        turnout: At<Keys<OfTurnouts>>,
        /// Its motor: any keys of a `[[motor]]`.
        motor: Option<At<Keys<OfMotors>>>,
        /// What gives the loop its phase: two contacts of the motor where not said, or a reverser.
        phase: Option<At<LoopPhase>>,
        /// Where wires join its rails; two places, 1/6 of its length from either end, where not said.
        fed_at: List<Metres>,
        /// The bus conductor of the left rail of the track that leads here, seen towards the loop; that track's own where not said.
        left: Option<At<String>>,
        /// The bus conductor of the right rail.
        right: Option<At<String>>,
        /// The name of its turnout; `loop T` where the loop is called `loop`.
        turnout_name: Option<At<String>>,
        /// The name of its motor; `loop M`.
        motor_name: Option<At<String>>,
    }
}
choice! {
    /// What gives a turning loop its phase.
    LoopPhase, "phase" {
        /// Contacts of its motor.
        Contacts = "contacts",
        /// A reverser that senses shorts.
        Reverser = "reverser",
    }
}
record! {
    /// A crossover: two turnouts that join two tracks beside each other, thrown together. It stands for the turnouts, the track between them with
    /// its gaps, and the motor.
    Crossover, "crossover" {
        /// What the builder calls it.
        name: At<String>,
        /// Its turnouts: any keys of a `[[turnout]]`. They are `NAME a` and `NAME b`; their diverging legs are joined.
        turnout: At<Keys<OfTurnouts>>,
        /// The length of the track between them, or any keys of a `[[track]]`.
        between: At<Keys<OfPieces>>,
        /// What throws both: any keys of a `[[motor]]`.
        motor: Option<At<Keys<OfMotors>>>,
        /// The bus conductor of the left rail at the first turnout, seen from its points; that of the track there where not said.
        left: Option<At<String>>,
        /// The bus conductor of the right rail there.
        right: Option<At<String>>,
        /// The bus conductor of the left rail at the second turnout, seen from its points; the first one's right where not said.
        other_left: Option<At<String>>,
        /// The bus conductor of the right rail there.
        other_right: Option<At<String>>,
        /// Other names: `turnouts` is a list of two, `between` and `motors` one each.
        names: Option<At<CompositeNames>>,
    }
}
record! {
    /// A row of turnouts that are alike, with their motors. Tracks join them as they join any turnout.
    TurnoutRow, "row of turnouts" {
        /// What the builder calls it.
        name: At<String>,
        /// How many there are.
        count: At<u32>,
        /// The turnouts: any keys of a `[[turnout]]`.
        turnout: At<Keys<OfTurnouts>>,
        /// Their motors: any keys of a `[[motor]]`; `driver` and `address` count on.
        motor: Option<At<Keys<OfMotors>>>,
        /// The bus conductor of the left rails, seen from the points, which feeds the frogs.
        left: Option<At<String>>,
        /// The bus conductor of the right rails.
        right: Option<At<String>>,
        /// Other names: `NAME T1` and `NAME M1` where not said.
        names: Option<At<CompositeNames>>,
    }
}
record! {
    /// A bus with tracks above it: tracks in a row that take their power from it, with feeders at equal distances. It stands for the bus and for what
    /// those tracks need not say: their conductors, where they run along the bus, their feeders.
    BusRun, "bus run" {
        /// The name of the bus.
        name: At<String>,
        /// The supply it starts at.
        supply: Option<At<String>>,
        /// The bus and place it branches from.
        origin: Option<At<String>>,
        /// Its wire; where not said, the bus is one that stands in the plan.
        wire: Option<At<String>>,
        /// Its length; 0.3 m or 1 ft beyond the last track where not said.
        length: Option<At<Metres>>,
        /// `"twisted"` where its wires are twisted together.
        pair: Option<At<String>>,
        /// The tracks above it, in order from its start, each in the direction in which it runs away from that.
        tracks: List<String>,
        /// The place on the bus under the start of the first track; its own start where not said.
        starts: Option<At<Metres>>,
        /// The feeders of the tracks; one at mid-length of each where not said.
        feeders: Option<At<FeederSpacing>>,
        /// The rails that belong to A: the left ones where not said.
        a: Option<At<RailSide>>,
    }
}
record! {
    /// A yard with a ladder at either end, and tracks between. It stands for all their tables. Every track runs from the first ladder to the second.
    /// The track that leaves first on the one side comes in last on the other, as where both turn the same way.
    Yard, "yard" {
        /// What the builder calls it; the names of what it stands for begin with it.
        name: At<String>,
        /// What leads to the first ladder: a track, or an end of one.
        from: Option<At<String>>,
        /// What the second ladder leads to: a track, whose `from` end is meant, or an end of one.
        to: Option<At<String>>,
        /// The turnouts of both ladders: any keys of a `[[turnout]]`.
        turnout: At<Keys<OfTurnouts>>,
        /// The length of the track between two turnouts, or any keys of a `[[track]]`; 60 mm where not said.
        between: Option<At<Keys<OfPieces>>>,
        /// The tracks, from the first turnout on: the length of each, or any keys of a `[[track]]`.
        tracks: List<Keys<OfTracks>>,
        /// How many tracks, where not as many as are listed: the last one listed is repeated.
        count: Option<At<u32>>,
        /// The motors, first those of the first ladder: any keys of a `[[motor]]`. `driver` and `address` count on.
        motor: Option<At<Keys<OfMotors>>>,
        /// When its tracks are to be live.
        live: Option<At<Live>>,
        /// Where the gaps of its tracks are, from either turnout; 100 mm or 4 in where not said, or nearer where vehicles would not be clear there, as in small scales; 12 mm or 1/2 in where nothing feeds the frog.
        gap: Option<At<Metres>>,
        /// Where wires from contacts join its tracks, from either turnout; 200 mm or 8 in behind the gaps where not said.
        fed_at: Option<At<Metres>>,
        /// The feeders of its tracks; one at mid-length where not said.
        feeders: Option<At<FeederSpacing>>,
        /// The bus conductor of the left rails, seen along the tracks; that of the track that leads here where not said.
        left: Option<At<String>>,
        /// The bus conductor of the right rails.
        right: Option<At<String>>,
        /// Where the first ladder runs along its bus.
        along: Option<At<LadderAlong>>,
        /// Other names; turnouts and motors are counted on from the first ladder to the second.
        names: Option<At<CompositeNames>>,
    }
}

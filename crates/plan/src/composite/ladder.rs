//! A ladder written out: turnouts, motors, tracks, toggles and the storage policy.

use super::ladder_parts::{BETWEEN, LadderTrack, Lining, Rails, TrackNeeds, along, metres, tracks_of};
use super::ordinary::{OrdinaryTable, Words};
use super::parts::{LEFT, Motors, RIGHT, TurnoutShape, turnout};
use super::scene::{Scene, name_of};
use crate::edit::quoted;
use crate::tables::{Ladder, Leg, Live};
use crate::value::{At, OneOrMany};
use handbook::quantity::Quantity;

pub(super) fn expand(ladder: &Ladder, scene: &mut Scene<'_, '_>) -> Option<()> {
    let name = &ladder.name;
    let shape = TurnoutShape::read(&ladder.turnout, scene)?;
    let tracks = tracks_of(&ladder.tracks, ladder.count.as_ref(), &ladder.place.header, scene)?;
    if let Some(wrong) = ladder.live.as_ref().filter(|l| matches!(l.value, Live::BothEndsAgree | Live::EitherEnd)) {
        let message = format!("a ladder leads to one end of its tracks, so `{}` cannot be kept", wrong.value.word());
        scene.wrong(
            &wrong.span,
            message,
            "write \"lined\", \"always\" or \"by hand\"; a `[[yard]]` has a ladder at either end",
        );
        return None;
    }
    let onward = ladder.onward.as_ref().map_or(Leg::Through, |leg| leg.value);
    let branch = if onward == Leg::Through { Leg::Diverging } else { Leg::Through };
    let of = |list: fn(&crate::tables::CompositeNames) -> &OneOrMany<String>| {
        ladder.names.as_ref().map(|names| list(&names.value).0.as_slice()).filter(|list| !list.is_empty())
    };
    let usual = |word: &'static str| move |n: usize| format!("{} {word}{n}", name.value);
    let turnouts: Vec<String> = (1..tracks.len()).map(|k| name_of(of(|n| &n.turnouts), k, usual("T"))).collect();
    let motors: Vec<String> = (1..tracks.len()).map(|k| name_of(of(|n| &n.motors), k, usual("M"))).collect();
    let roads: Vec<String> = tracks
        .iter()
        .zip(1..)
        .map(|(track, k)| track.own_name().unwrap_or_else(|| name_of(of(|n| &n.tracks), k, usual(""))))
        .collect();

    let rails = Rails::find(ladder, &shape, scene)?;
    let throat = format!("{}.points", turnouts[0]);
    let lead = rails.lead(ladder, &throat, scene);
    let switched = match ladder.live.as_ref().map(|l| l.value) {
        Some(Live::Lined | Live::ByHand) => Some(shape.inner(branch)),
        _ => None,
    };
    let needs = TrackNeeds {
        shape,
        switched,
        gap: ladder.gap.as_ref(),
        fed_at: ladder.fed_at.as_ref(),
        feeders: ladder.feeders.as_ref(),
        place: &ladder.place.header,
    };
    if let Some(lead) = lead {
        needs.lead(lead, &rails, scene);
    }
    for work in &turnouts {
        turnout(&ladder.turnout, work, scene);
    }
    for k in 1..turnouts.len() {
        let name = name_of(of(|n| &n.between), k, |n| format!("{} ladder {n}", name.value));
        let ends = [format!("{}.{}", turnouts[k - 1], shape.leg(onward)), format!("{}.points", turnouts[k])];
        needs.between(ladder.between.as_ref(), &name, &ends, onward, rails.behind(k), &rails, scene);
    }
    let mut landings = Vec::new();
    for (k, track) in tracks.iter().enumerate() {
        let (work, leg) = match turnouts.get(k) {
            Some(work) => (work, branch),
            None => (&turnouts[k - 1], onward),
        };
        let from = format!("{work}.{}", shape.leg(leg));
        let road = LadderTrack { name: &roads[k], from: &from, leg, at: rails.behind((k + 1).min(turnouts.len())) };
        landings.push(needs.road(track, &road, &rails, scene));
    }
    let lining = switched.filter(|_| ladder.live.as_ref().is_some_and(|l| l.value == Live::Lined));
    let lining = lining.map(|side| Lining { side, first: rails.conductors[side].clone() });
    let needs_motors = shape.has_frog_wire() || lining.is_some();
    let mut thrown = Motors::new(ladder.motor.as_ref(), turnouts.len(), scene);
    let number = if shape.has_frog_wire() { 2 } else { 1 };
    for (k, work) in turnouts.iter().enumerate().filter(|_| needs_motors || ladder.motor.is_some()) {
        let mut contacts = Vec::new();
        if shape.has_frog_wire() {
            contacts.push(shape.frog_contact(work, &rails.conductors));
        }
        if let Some(lining) = &lining {
            let onto = match motors.get(k + 1) {
                Some(next) => quoted(&format!("{next}.{number}.common")),
                None => lining.landing(&roads[k + 1], &landings[k + 1]),
            };
            let here = lining.landing(&roads[k], &landings[k]);
            let common = if k == 0 { format!("common = {}, ", quoted(&lining.first)) } else { String::new() };
            contacts.push(format!("{{ {common}{} = {here}, {} = {onto} }}", shape.leg(branch), shape.leg(onward)));
        }
        let of = ladder.live.as_ref().map_or(&ladder.turnout.span, |live| &live.span);
        thrown.next(&motors[k], &[work], &contacts, of, scene);
    }
    if let (Some(live), Some(side)) = (ladder.live.as_ref().filter(|l| l.value == Live::ByHand), switched) {
        for (k, road) in roads.iter().enumerate() {
            let toggle = name_of(of(|n| &n.toggles), k + 1, |n| format!("{} power {n}", name.value));
            let lining = Lining { side, first: rails.conductors[side].clone() };
            let contact =
                format!("{{ common = {}, on = {} }}", quoted(&lining.first), lining.landing(road, &landings[k]));
            let mut table = OrdinaryTable::new("toggle", &toggle, &live.span);
            table.set("contact", Words::list(&[contact], false, &live.span));
            scene.push(table);
        }
    }
    if let Some(live) = &ladder.live {
        store(&roads, live, scene);
    }
    Some(())
}

/// The storage policy of tracks that stand in none of the builder's own.
pub(super) fn store(roads: &[String], live: &At<Live>, scene: &mut Scene<'_, '_>) {
    let here: Vec<String> =
        roads.iter().filter(|road| !scene.stored.contains(*road)).map(|road| quoted(road)).collect();
    if here.is_empty() {
        return;
    }
    let mut table = OrdinaryTable::nameless("storage", &live.span);
    table.set("tracks", Words::list(&here, false, &live.span));
    table.set("live", scene.words(&live.span));
    scene.push(table);
}

impl Rails {
    /// What the rails of a ladder belong to and where it runs: as it says, else as the track that leads to it.
    fn find(ladder: &Ladder, shape: &TurnoutShape, scene: &mut Scene<'_, '_>) -> Option<Rails> {
        let leading = match &ladder.from {
            None => None,
            Some(from) if ladder.lead.is_some() => scene.leading(from, "to", false),
            Some(from) => Some(scene.leading(from, "to", true)?),
        };
        let said = [&ladder.left, &ladder.right];
        let header = &ladder.place.header;
        let conductors = scene.conductors(&ladder.name.value, said, leading.as_ref(), header)?;
        let usual =
            |side: usize| said[side].as_ref().or(ladder.from.as_ref()).map_or(&ladder.place.header, |s| &s.span);
        let places = [LEFT, RIGHT].map(|side| usual(side).clone());
        let between = ladder.between.as_ref().map_or(BETWEEN, |b| metres(&b.value));
        let lead = ladder.lead.as_ref().map_or(0.0, |lead| metres(&lead.value));
        let along = match (&ladder.along, leading.as_ref().and_then(|l| l.along.clone())) {
            (Some(said), _) => {
                let along = &said.value;
                Some((along.bus.value.clone(), along.from.value.si(), along.every.value.si(), said.span.clone()))
            }
            (None, Some((bus, place))) => {
                let of = ladder.from.as_ref().map_or(&ladder.place.header, |from| &from.span);
                Some((bus, place.si() + lead + shape.length, shape.length + between, of.clone()))
            }
            (None, None) => None,
        };
        Some(Rails { conductors, places, along, turnout: shape.length, leading })
    }

    /// The track that leads to the first turnout, where the ladder has one of its own; joins what leads there.
    fn lead(&self, ladder: &Ladder, throat: &str, scene: &mut Scene<'_, '_>) -> Option<OrdinaryTable> {
        let Some(lead) = &ladder.lead else {
            if let (Some(leading), Some(from)) = (&self.leading, &ladder.from) {
                scene.join(leading, throat, &from.span);
            }
            return None;
        };
        let name = format!("{} lead", ladder.name.value);
        let mut table = OrdinaryTable::new("track", &name, &lead.span);
        match (&self.leading, &ladder.from) {
            (Some(leading), Some(from)) => {
                scene.join(leading, &format!("{name}.from"), &from.span);
                table.set("from", Words::text(&format!("{}.{}", leading.track, leading.end), &from.span));
            }
            (None, Some(from)) => table.set("from", Words::text(&from.value, &from.span)),
            (_, None) => table.set("from", Words::text("beyond", &lead.span)),
        }
        table.set("to", Words::text(throat, &lead.span));
        let long = metres(&lead.value);
        if let Some((bus, behind, _, of)) = &self.along {
            let [start, end] = [behind - self.turnout - long, behind - self.turnout];
            if start >= 0.0 {
                table.set("along", along(bus, start, end, scene.units(of), of));
            }
        }
        table.take(&lead.value, &[]);
        Some(table)
    }
}

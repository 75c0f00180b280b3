//! A turning loop written out: its turnout, its track, and what gives it its phase.

use super::ladder_parts::metres;
use super::ordinary::{OrdinaryTable, Words};
use super::parts::{LEFT, Motors, RIGHT, SIDES, TurnoutShape, turnout};
use super::scene::{Scene, length};
use crate::edit::quoted;
use crate::tables::{Leg, LoopPhase, TurningLoop};
use crate::value::At;
use handbook::quantity::Quantity;

pub(super) fn expand(table: &TurningLoop, scene: &mut Scene<'_, '_>) -> Option<()> {
    let (name, header) = (&table.name, &table.place.header);
    let shape = TurnoutShape::read(&table.turnout, scene)?;
    let own = |said: &Option<At<String>>, usual: &str| {
        said.as_ref().map_or_else(|| format!("{} {usual}", name.value), |said| said.value.clone())
    };
    let (work, motor) = (own(&table.turnout_name, "T"), own(&table.motor_name, "M"));
    let leading = match &table.from {
        Some(from) => Some(scene.leading(from, "to", true)?),
        None => scene.joined_at(&format!("{work}.points")),
    };
    let conductors = scene.conductors(&name.value, [&table.left, &table.right], leading.as_ref(), header)?;
    if let (Some(leading), Some(from)) = (&leading, &table.from) {
        scene.join(leading, &format!("{work}.points"), &from.span);
    }
    turnout(&table.turnout, &work, scene);

    let of = &table.track.span;
    let long = metres(&table.track.value);
    let units = table.track.value.get("length").map_or_else(Default::default, |l| scene.units(&l.span));
    let mut track = OrdinaryTable::new("track", &name.value, of);
    track.set("from", Words::text(&format!("{work}.{}", shape.leg(Leg::Diverging)), of));
    track.set("to", Words::text(&format!("{work}.{}", shape.leg(Leg::Through)), of));
    // Joints one by one would be gaps too, where the loop is said to be joined by gaps.
    if ["stock", "joint", "joints"].iter().any(|key| table.track.value.get(key).is_some()) {
        let ends = [0.01, long - 0.01].map(|x| length(units, x));
        track.set("gaps", Words::list(&ends, false, of));
    } else {
        track.set("joint", Words::made("\"gap\"", of));
    }
    let places: Vec<String> = match table.fed_at.items.as_slice() {
        [] => [long / 6.0, long * 5.0 / 6.0].map(|x| units.written(x)).to_vec(),
        said => said.iter().filter_map(|at| scene.said_at(&at.span)).collect(),
    };
    let mut contacts = Vec::new();
    if shape.has_frog_wire() {
        contacts.push(shape.frog_contact(&work, &conductors));
    }
    match table.phase.as_ref().map_or(LoopPhase::Contacts, |phase| phase.value) {
        LoopPhase::Contacts => {
            let [through, diverging] = [Leg::Through, Leg::Diverging].map(|leg| shape.leg(leg));
            for side in [LEFT, RIGHT] {
                let rails: Vec<String> =
                    places.iter().map(|at| quoted(&format!("{}.{} @ {at}", name.value, SIDES[side]))).collect();
                let rails = if let [one] = rails.as_slice() { one.clone() } else { format!("[{}]", rails.join(", ")) };
                // Going in over the diverging leg left is left; coming out over the through leg it is right.
                contacts.push(format!(
                    "{{ common = {rails}, {through} = {}, {diverging} = {} }}",
                    quoted(&conductors[1 - side]),
                    quoted(&conductors[side])
                ));
            }
        }
        LoopPhase::Reverser => {
            let at = table.phase.as_ref().map_or(header, |phase| &phase.span);
            let reverser = format!("{} reverser", name.value);
            let mut feed = OrdinaryTable::new("reverser", &reverser, at);
            feed.set("kind", Words::made("\"short-sensing\"", at));
            let from = match leading.as_ref().and_then(|leading| leading.along.clone()) {
                Some((bus, place)) => format!("{bus} @ {}", units.written(place.si())),
                None => conductors[LEFT]
                    .rsplit_once('.')
                    .map_or_else(|| conductors[LEFT].clone(), |(bus, _)| bus.to_owned()),
            };
            feed.set("from", Words::text(&from, at));
            scene.push(feed);
            for (side, pole) in [(LEFT, "A"), (RIGHT, "B")] {
                track.set(SIDES[side], Words::text(&format!("{reverser}.{pole}"), at));
            }
            track.set("feeders", Words::list(&places.iter().map(|at| quoted(at)).collect::<Vec<_>>(), false, at));
        }
    }
    track.take(&table.track.value, &[]);
    scene.push(track);
    if !contacts.is_empty() || table.motor.is_some() {
        let mut motors = Motors::new(table.motor.as_ref(), 1, scene);
        motors.next(&motor, &[&work], &contacts, of, scene);
    }
    Some(())
}

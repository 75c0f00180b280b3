//! A crossover written out: two turnouts, the track between them cut in the middle, and what throws both.

use super::ladder_parts::metres;
use super::ordinary::{OrdinaryTable, Words};
use super::parts::{LEFT, Motors, RIGHT, SIDES, TurnoutShape, on_rail, turnout};
use super::scene::{Scene, length, name_of};
use crate::tables::{Crossover, Leg};

pub(super) fn expand(table: &Crossover, scene: &mut Scene<'_, '_>) -> Option<()> {
    let (name, header) = (&table.name.value, &table.place.header);
    let shape = TurnoutShape::read(&table.turnout, scene)?;
    let names = table.names.as_ref().map(|names| &names.value);
    let list = |list: Option<&'_ crate::value::OneOrMany<String>>, number, usual: &dyn Fn(usize) -> String| {
        name_of(list.map(|l| l.0.as_slice()).filter(|l| !l.is_empty()), number, usual)
    };
    let turnouts =
        [1, 2].map(|k| list(names.map(|n| &n.turnouts), k, &|k| format!("{name} {}", ["a", "b"][(k - 1).min(1)])));
    let between = list(names.map(|n| &n.between), 1, &|_| name.clone());
    let motor = list(names.map(|n| &n.motors), 1, &|_| format!("{name} M"));

    let leading = scene.joined_at(&format!("{}.points", turnouts[0]));
    let first = scene.conductors(name, [&table.left, &table.right], leading.as_ref(), header)?;
    let other = scene.joined_at(&format!("{}.points", turnouts[1]));
    let of_other = |side: usize| other.as_ref().and_then(|other| other.conductors[side].clone());
    let said = [&table.other_left, &table.other_right];
    // Seen from its own points the other track runs the other way: its left is the first one's right.
    let second = [LEFT, RIGHT].map(|side| {
        said[side]
            .as_ref()
            .map(|s| s.value.clone())
            .or_else(|| of_other(side))
            .unwrap_or_else(|| first[1 - side].clone())
    });
    for work in &turnouts {
        turnout(&table.turnout, work, scene);
    }
    let of = &table.between.span;
    let units = table.between.value.get("length").map_or_else(Default::default, |l| scene.units(&l.span));
    let mut track = OrdinaryTable::new("track", &between, of);
    for (key, work) in [("from", &turnouts[0]), ("to", &turnouts[1])] {
        track.set(key, Words::text(&format!("{work}.{}", shape.leg(Leg::Diverging)), of));
    }
    // Where both tracks belong to the same conductors, so does what lies between.
    if second[RIGHT] == first[LEFT] && second[LEFT] == first[RIGHT] {
        for side in [LEFT, RIGHT] {
            track.set(SIDES[side], Words::text(&first[side], of));
        }
    }
    let long = metres(&table.between.value);
    let gaps = if shape.is_live() {
        // Each frog is cut off near itself; what lies between goes on from the stock rails.
        let near = shape.usual_gap(units).min(0.012).min(long / 4.0);
        let side = shape.inner(Leg::Diverging);
        vec![on_rail(units, near, side), on_rail(units, long - near, 1 - side)]
    } else {
        vec![length(units, long / 2.0)]
    };
    track.set("gaps", Words::list(&gaps, false, of));
    track.take(&table.between.value, &[]);
    scene.push(track);
    let mut contacts = Vec::new();
    if shape.has_frog_wire() {
        contacts.push(shape.frog_contact(&turnouts[0], &first));
        contacts.push(shape.frog_contact(&turnouts[1], &second));
    }
    if !contacts.is_empty() || table.motor.is_some() {
        let mut motors = Motors::new(table.motor.as_ref(), 1, scene);
        motors.next(&motor, &[&turnouts[0], &turnouts[1]], &contacts, &table.turnout.span, scene);
    }
    Some(())
}

//! A row of alike turnouts written out, with their motors.

use super::parts::{Motors, TurnoutShape, turnout};
use super::scene::{Scene, name_of};
use crate::tables::TurnoutRow;

/// Most turnouts of one row.
const MOST: u32 = 200;

pub(super) fn expand(row: &TurnoutRow, scene: &mut Scene<'_, '_>) -> Option<()> {
    let name = &row.name.value;
    let shape = TurnoutShape::read(&row.turnout, scene)?;
    let count = row.count.value;
    if !(1..=MOST).contains(&count) {
        scene.wrong(
            &row.count.span,
            format!("a row cannot have {count} turnouts"),
            format!("from 1 to {MOST} will do"),
        );
        return None;
    }
    let names = row.names.as_ref().map(|names| &names.value);
    let turnouts = names.map(|n| n.turnouts.0.as_slice()).filter(|l| !l.is_empty());
    let motors = names.map(|n| n.motors.0.as_slice()).filter(|l| !l.is_empty());
    let mut thrown = Motors::new(row.motor.as_ref(), count as usize, scene);
    for k in 1..=count as usize {
        let work = name_of(turnouts, k, |k| format!("{name} T{k}"));
        let motor = name_of(motors, k, |k| format!("{name} M{k}"));
        turnout(&row.turnout, &work, scene);
        let mut contacts = Vec::new();
        if shape.has_frog_wire() {
            let leading = scene.joined_at(&format!("{work}.points"));
            let header = &row.place.header;
            let conductors = scene.conductors(&work, [&row.left, &row.right], leading.as_ref(), header)?;
            contacts.push(shape.frog_contact(&work, &conductors));
        }
        if !contacts.is_empty() || row.motor.is_some() {
            thrown.next(&motor, &[&work], &contacts, &row.turnout.span, scene);
        }
    }
    Some(())
}

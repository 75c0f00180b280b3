//! Another value of something that the plan has.

use super::{ActRefused, CurrentPlan, check, refuse};
use crate::edit::{add_key, quoted, replace, set};
use crate::tables::{Feeder, Track};
use crate::{At, Kind};
use finding::Edit;

type Done = Result<(String, Vec<Edit>), ActRefused>;

pub(super) fn length(at: &CurrentPlan<'_>, of: &str, said: &str) -> Done {
    let (_, words) = check::length("length", said)?;
    let now = match at.names.get(of) {
        Some((Kind::Track, index)) => &at.plan.track[index].length,
        Some((Kind::Bus, index)) => &at.plan.bus[index].length,
        _ => return refuse("of", format!("there is no track or bus `{of}`"), "choose one of the plan"),
    };
    Ok((of.to_owned(), vec![set(now, &quoted(words))]))
}

pub(super) fn wire(at: &CurrentPlan<'_>, of: &str, feeder: Option<usize>, said: &str) -> Done {
    let words = quoted(check::wire(said)?);
    let edit = match (at.names.get(of), feeder) {
        (Some((Kind::Bus, index)), None) => set(&at.plan.bus[index].wire, &words),
        (Some((Kind::Track, index)), None) => {
            let track = &at.plan.track[index];
            match &track.feeder_wire {
                Some(now) => set(now, &words),
                None => add_key(&track.place, "feeder_wire", &words),
            }
        }
        (Some((Kind::Track, index)), Some(number)) => of_feeder(at, &at.plan.track[index], number, &words)?,
        _ => return refuse("of", format!("there is no bus or track `{of}`"), "choose one of the plan"),
    };
    Ok((of.to_owned(), vec![edit]))
}

fn of_feeder(at: &CurrentPlan<'_>, track: &Track, number: usize, wire: &str) -> Result<Edit, ActRefused> {
    let Some(item) = number.checked_sub(1).and_then(|n| track.feeders.items.get(n)) else {
        let count = track.feeders.items.len();
        return refuse("of", format!("`{}` lists {count} feeders", track.name.value), "choose one of them");
    };
    if let Some(now) = &item.value.wire {
        return Ok(set(now, wire));
    }
    let written = at.text.get(item.span.clone()).unwrap_or_default();
    Ok(match written.chars().next() {
        Some('{') => {
            let end = last_value(item);
            replace(end..end, &format!(", wire = {wire}"))
        }
        Some('[') => {
            let end = last_value(item);
            replace(end..end, &format!("\nwire = {wire}"))
        }
        _ => replace(item.span.clone(), &format!("{{ at = {written}, wire = {wire} }}")),
    })
}

/// Behind the last value that a feeder's table says.
fn last_value(item: &At<Feeder>) -> usize {
    let Feeder { at, rail, to, wire, length, plug } = &item.value;
    let ends = [
        Some(at.span.end),
        rail.as_ref().map(|v| v.span.end),
        to.as_ref().map(|v| v.span.end),
        wire.as_ref().map(|v| v.span.end),
        length.as_ref().map(|v| v.span.end),
        plug.as_ref().map(|v| v.span.end),
    ];
    ends.into_iter().flatten().max().unwrap_or(at.span.end)
}

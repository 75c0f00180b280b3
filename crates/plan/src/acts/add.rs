//! Something new in a plan.

use super::check::{conductor, length, name, place, rail, same_spot};
use super::ends::join;
use super::{ActRefused, CurrentPlan, PlanAct, refuse};
use crate::edit::{add_to_list, quoted};
use crate::new_table::new_table;
use crate::tables::{Hand, RailSide, Wiring};
use crate::value::{List, TablePlace};
use finding::Edit;

type Done = Result<(String, Vec<Edit>), ActRefused>;

pub(super) fn track(at: &CurrentPlan<'_>, act: &PlanAct<'_>) -> Done {
    let &PlanAct::AddTrack { name: said, from, to, length: long, left, right } = act else {
        return refuse("", "that is no track", "");
    };
    let name = name(at, said)?;
    let [from, to] = [from, to].map(str::trim);
    if from == to && !matches!(from, "buffer" | "beyond") {
        return refuse("to", format!("both its ends would join `{to}`"), "choose another end");
    }
    let mut edits = Vec::new();
    join(at, "from", from, &format!("{name}.from"), &mut edits)?;
    join(at, "to", to, &format!("{name}.to"), &mut edits)?;
    let (_, long) = length("length", long)?;
    let [left, right] = [conductor(at, "left", left)?, conductor(at, "right", right)?];
    if let (Some(l), Some(r)) = (&left, &right)
        && l.1 == r.1
    {
        return refuse("right", "both its rails would go to one conductor, which is a short", "choose the other one");
    }
    let mut keys = vec![("name", quoted(name)), ("from", quoted(from)), ("to", quoted(to)), ("length", quoted(long))];
    keys.extend(left.map(|l| ("left", quoted(l.0))));
    keys.extend(right.map(|r| ("right", quoted(r.0))));
    edits.extend(new_table(at.text, "track", at.plan.track.last().map(|t| &t.place), None, &keys));
    Ok((name.to_owned(), edits))
}

pub(super) fn turnout(at: &CurrentPlan<'_>, act: &PlanAct<'_>) -> Done {
    let &PlanAct::AddTurnout { name: said, hand, wiring, number, joins, by } = act else {
        return refuse("", "that is no turnout", "");
    };
    let name = name(at, said)?;
    let [hand, wiring, number, joins, by] = [hand, wiring, number, joins, by].map(str::trim);
    if !Hand::WORDS.contains(&hand) {
        return refuse("hand", "that is no hand of a turnout", Hand::WORDS.join(", "));
    }
    if !Wiring::WORDS.contains(&wiring) {
        return refuse("wiring", "that is no way to wire a turnout", Wiring::WORDS.join(", "));
    }
    let mut keys = vec![("name", quoted(name))];
    if !number.is_empty() {
        // A comma is how much of the world writes a point.
        let words = number.replace(',', ".");
        match words.parse::<f64>() {
            Ok(n) if (1.5..=40.0).contains(&n) => keys.push(("number", words)),
            _ => return refuse("number", "that is no frog number", "a number from 1.5 to 40, such as 5"),
        }
    }
    keys.extend([("hand", quoted(hand)), ("wiring", quoted(wiring))]);
    let mut edits = Vec::new();
    if !joins.is_empty() {
        let port = match (by, hand) {
            ("points", _) => "points",
            ("through", "wye") => "left",
            ("diverging", "wye") => "right",
            ("through", _) => "through",
            ("diverging", _) => "diverging",
            _ => return refuse("by", "that is no end of a turnout", "points, through or diverging"),
        };
        if matches!(joins, "buffer" | "beyond") || !is_track_end(at, joins) {
            return refuse(
                "joins",
                format!("`{joins}` is no open end of a track"),
                "only tracks can join a turnout; choose the open end of one",
            );
        }
        join(at, "joins", joins, &format!("{name}.{port}"), &mut edits)?;
    }
    let beside = at.plan.track.last().map(|t| &t.place);
    edits.extend(new_table(at.text, "turnout", at.plan.turnout.last().map(|t| &t.place), beside, &keys));
    Ok((name.to_owned(), edits))
}

fn is_track_end(at: &CurrentPlan<'_>, words: &str) -> bool {
    matches!(at.names.end(at.plan, words), Ok(crate::EndOf::Track(..)))
}

pub(super) fn feeder(at: &CurrentPlan<'_>, track: &str, spot: &str, side: &str, to: &str) -> Done {
    let index = at.track(track)?;
    let track = &at.plan.track[index];
    let (metres, words) = place(track, spot)?;
    let side = rail(side)?;
    if track
        .feeders
        .iter()
        .any(|f| same_spot((f.value.at.value, f.value.rail.as_ref().map(|r| r.value)), (metres, side)))
    {
        return refuse("at", "a feeder stands there already", "choose another place, or the other rail");
    }
    let to = conductor(at, "to", to)?;
    match (side, &to) {
        (None, Some(_)) => {
            return refuse(
                "to",
                "both rails would go to one conductor, which is a short",
                "choose one rail, or leave this as it is",
            );
        }
        (_, None) => {
            let own = |side| match side {
                RailSide::Left => &track.left,
                RailSide::Right => &track.right,
            };
            let sides = side.map_or_else(|| vec![RailSide::Left, RailSide::Right], |side| vec![side]);
            if let Some(side) = sides.into_iter().find(|side| own(*side).is_none()) {
                let why =
                    format!("the plan does not say what the {} rail of `{}` goes to", side.word(), track.name.value);
                return refuse(
                    "to",
                    why,
                    format!("choose the {} rail alone, and say here what its feeder goes to", side.word()),
                );
            }
        }
        _ => {}
    }
    let mut keys = vec![("at", quoted(words))];
    keys.extend(side.map(|side| ("rail", quoted(side.word()))));
    keys.extend(to.map(|to| ("to", quoted(to.0))));
    listed(at, &track.feeders, &track.place, "feeders", &keys).map(|edits| (track.name.value.clone(), edits))
}

pub(super) fn gap(at: &CurrentPlan<'_>, track: &str, spot: &str, side: &str) -> Done {
    let index = at.track(track)?;
    let track = &at.plan.track[index];
    let (metres, words) = place(track, spot)?;
    let side = rail(side)?;
    if track.gaps.iter().any(|g| same_spot((g.value.at.value, g.value.rail.as_ref().map(|r| r.value)), (metres, side)))
    {
        return refuse("at", "a gap is there already", "choose another place, or the other rail");
    }
    let mut keys = vec![("at", quoted(words))];
    keys.extend(side.map(|side| ("rail", quoted(side.word()))));
    listed(at, &track.gaps, &track.place, "gaps", &keys).map(|edits| (track.name.value.clone(), edits))
}

/// One more item of a list of places: a bare place where nothing else is said of it.
fn listed<T>(
    at: &CurrentPlan<'_>,
    list: &List<T>,
    table: &TablePlace,
    key: &str,
    keys: &[(&str, String)],
) -> Result<Vec<Edit>, ActRefused> {
    let starts =
        |span: &std::ops::Range<usize>, with: &str| at.text.get(span.clone()).is_some_and(|t| t.starts_with(with));
    if list.items.iter().any(|item| starts(&item.span, "[["))
        || (!list.is_bare() && list.span.as_ref().is_some_and(|span| !starts(span, "[")))
    {
        let why = format!("the plan writes the {key} of this track as tables of their own");
        return refuse("", why, "add it in the text");
    }
    let item = match keys {
        [(_, place)] => place.clone(),
        _ => {
            let keys: Vec<String> = keys.iter().map(|(key, value)| format!("{key} = {value}")).collect();
            format!("{{ {} }}", keys.join(", "))
        }
    };
    Ok(add_to_list(at.text, list, table, key, &item))
}

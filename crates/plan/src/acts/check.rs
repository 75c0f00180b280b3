//! What a form says, held against the plan.

use super::{ActRefused, CurrentPlan, refuse};
use crate::check::believed;
use crate::tables::{RailSide, Track};
use crate::{Pole, Terminal};
use handbook::quantity::{self, Metres, show_length};

/// The most characters of a name.
const LONGEST_NAME: usize = 60;

/// A name for something new.
pub(super) fn name<'s>(at: &CurrentPlan<'_>, said: &'s str) -> Result<&'s str, ActRefused> {
    let name = said.trim();
    let wrong = |c: char| c == '@' || c == '`' || c.is_control();
    if name.is_empty()
        || name.chars().count() > LONGEST_NAME
        || name.contains(wrong)
        || ["buffer", "beyond"].contains(&name)
    {
        let would_do = format!("1 to {LONGEST_NAME} characters, without `@`, and not `buffer` or `beyond`");
        return refuse("name", if name.is_empty() { "it needs a name" } else { "that cannot be its name" }, would_do);
    }
    match at.names.get(name) {
        Some((kind, _)) => {
            refuse("name", format!("a {} is called `{name}` already", kind.word()), "give it another name")
        }
        None => Ok(name),
    }
}

/// A length that can be one of something.
pub(super) fn length<'s>(field: &'static str, said: &'s str) -> Result<(Metres, &'s str), ActRefused> {
    let said = said.trim();
    let metres: Metres = match quantity::parse(said) {
        Ok(metres) => metres,
        Err(error) => return refuse(field, error.message, error.hint),
    };
    if believed(metres.0) {
        Ok((metres, said))
    } else {
        refuse(field, format!("a length of {} is not believed", show_length(metres)), "from 0.01 mm to 1 km will do")
    }
}

/// A place on a track.
pub(super) fn place<'s>(track: &Track, said: &'s str) -> Result<(Metres, &'s str), ActRefused> {
    let said = said.trim();
    let metres: Metres = match quantity::parse(said) {
        Ok(metres) => metres,
        Err(error) => return refuse("at", error.message, error.hint),
    };
    let whole = track.length.value;
    if (0.0..=whole.0).contains(&metres.0) {
        return Ok((metres, said));
    }
    let why = format!("`{}` is {} long; {} is not on it", track.name.value, show_length(whole), show_length(metres));
    refuse("at", why, format!("from 0 m at its `from` end to {}", show_length(whole)))
}

/// One rail, or both.
pub(super) fn rail(said: &str) -> Result<Option<RailSide>, ActRefused> {
    match said.trim() {
        "left" => Ok(Some(RailSide::Left)),
        "right" => Ok(Some(RailSide::Right)),
        "both" => Ok(None),
        _ => refuse("rail", "that is no rail", "`left`, `right` or `both`"),
    }
}

/// Whether two things on rails would lie on each other: at one place, and on one rail.
pub(super) fn same_spot(a: (Metres, Option<RailSide>), b: (Metres, Option<RailSide>)) -> bool {
    (a.0.0 - b.0.0).abs() < 1e-5 && (a.1.is_none() || b.1.is_none() || a.1 == b.1)
}

/// A conductor that a rail's feeders can go to; none where nothing is said.
pub(super) fn conductor<'s>(
    at: &CurrentPlan<'_>,
    field: &'static str,
    said: &'s str,
) -> Result<Option<(&'s str, Terminal)>, ActRefused> {
    let said = said.trim();
    if said.is_empty() {
        return Ok(None);
    }
    match at.names.terminal(at.plan, said) {
        Ok(found @ (Terminal::Bus(..) | Terminal::Supply(..) | Terminal::Reverser(..) | Terminal::Detector(_))) => {
            Ok(Some((said, found)))
        }
        _ => {
            let pole = Pole::A.word();
            let would_do = match at.plan.bus.first() {
                Some(bus) => format!("a conductor of a bus, such as `{}.{pole}`", bus.name.value),
                None => "a conductor of a bus; the plan has none yet".to_owned(),
            };
            refuse(field, format!("`{said}` is no conductor that feeds rails"), would_do)
        }
    }
}

/// A wire that the handbook knows.
pub(super) fn wire(said: &str) -> Result<&str, ActRefused> {
    let said = said.trim();
    match handbook::wires::wire(said) {
        Ok(_) => Ok(said),
        Err(error) => refuse("wire", error.message, error.hint),
    }
}

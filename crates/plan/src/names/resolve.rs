//! References resolved: which end, terminal or place a builder's words mean.

use super::{
    Contact, EndOf, Kind, Moved, Names, Pole, RailOf, RailPlace, RefError, Terminal, TrackEnd, frogs, parts, ports,
};
use crate::reader::{listed, nearest, short};
use crate::tables::{Plan, RailSide};
use handbook::quantity::{self, Metres};
use std::ops::Range;
use std::sync::atomic::Ordering::Relaxed;

impl Names {
    /// The index of what a name stands for, which must be of one of these kinds.
    ///
    /// # Errors
    /// When nothing of these kinds has that name.
    pub fn of_kind(&self, text: &str, kinds: &[Kind]) -> Result<(Kind, usize), RefError> {
        match self.by_name.get(text) {
            Some(&(kind, index)) if kinds.contains(&kind) => Ok((kind, index)),
            Some(&(kind, _)) => Err(RefError::Wrong {
                at: 0..text.len(),
                message: format!("`{}` is a {}, not a {}", short(text), kind.word(), words_of(kinds)),
                hint: self.some_of(kinds),
            }),
            None => Err(self.unknown(text, 0..text.len(), kinds)),
        }
    }

    /// What the end of a track joins.
    ///
    /// # Errors
    /// When there is no such thing, or it has no such end.
    pub fn end(&self, plan: &Plan, text: &str) -> Result<EndOf, RefError> {
        match text {
            "buffer" => return Ok(EndOf::Buffer),
            "beyond" => return Ok(EndOf::Beyond),
            _ => {}
        }
        let (name, rest, kind, index) = self.split(text, WORK_AND_TRACK)?;
        let wrong = |ends: &[&str]| RefError::Wrong {
            at: (name.len() + 1).min(text.len())..text.len(),
            message: match rest {
                Some(rest) => format!("{} `{name}` has no end `{}`", kind.word(), short(rest)),
                None => format!("which end of `{name}` is meant?"),
            },
            hint: format!("its ends are {}", listed(ends)),
        };
        match kind {
            Kind::Track => match rest {
                Some("from") => Ok(EndOf::Track(index, TrackEnd::From)),
                Some("to") => Ok(EndOf::Track(index, TrackEnd::To)),
                _ => Err(wrong(&["from", "to"])),
            },
            _ => {
                let ends = ports(plan, kind, index);
                match rest {
                    Some(rest) if ends.iter().any(|e| e == rest) => Ok(EndOf::Work(kind, index, rest.to_owned())),
                    _ => Err(wrong(&ends.iter().take(12).map(String::as_str).collect::<Vec<_>>())),
                }
            }
        }
    }

    /// What a wire ends at.
    ///
    /// # Errors
    /// When there is no such thing, or it has no such terminal.
    pub fn terminal(&self, plan: &Plan, text: &str) -> Result<Terminal, RefError> {
        let (head, at) = split_place(text)?;
        let (name, rest, kind, index) = self.split(head, TERMINALS)?;
        let part = (name.len() + 1).min(head.len())..head.len();
        let wrong = |message: String, hint: String| RefError::Wrong { at: part.clone(), message, hint };
        let pole = match rest {
            Some("A") => Some(Pole::A),
            Some("B") => Some(Pole::B),
            _ => None,
        };
        let no_place = |t: Terminal| match at {
            None => Ok(t),
            Some(_) => Err(RefError::Wrong {
                at: head.len()..text.len(),
                message: format!("a {} terminal has no place along it", kind.word()),
                hint: "leave out what follows the `@`".to_owned(),
            }),
        };
        let which_pole =
            || wrong(format!("which conductor of `{name}` is meant?"), format!("write `{name}.A` or `{name}.B`"));
        match kind {
            Kind::Bus => Ok(Terminal::Bus(index, pole.ok_or_else(which_pole)?, at)),
            Kind::Supply => no_place(Terminal::Supply(index, pole.ok_or_else(which_pole)?)),
            Kind::Detector => match rest {
                None => no_place(Terminal::Detector(index)),
                Some(_) => Err(wrong(
                    format!("a detector has one output: `{name}`"),
                    format!("write `{name}`; where it is fed from says its own `from`"),
                )),
            },
            Kind::Reverser => no_place(Terminal::Reverser(index, pole.ok_or_else(which_pole)?)),
            Kind::Track => {
                let side = match rest {
                    Some("left") => RailSide::Left,
                    Some("right") => RailSide::Right,
                    _ => {
                        return Err(wrong(
                            format!("which rail of `{name}` is meant?"),
                            format!("write `{name}.left @ 1 m` or `{name}.right @ 1 m`"),
                        ));
                    }
                };
                let at = at.ok_or_else(|| {
                    wrong(format!("where on `{head}` is meant?"), format!("add a place, such as `{head} @ 0.4 m`"))
                })?;
                Ok(Terminal::Rail(RailOf { track: index, side }, at))
            }
            Kind::Motor | Kind::Relay | Kind::Toggle => {
                let contact = rest.and_then(|r| contact_of(plan, kind, index, r)).ok_or_else(|| {
                    wrong(
                        format!("`{}` is no contact of `{name}`", short(rest.unwrap_or(""))),
                        format!("write its number and terminal, such as `{name}.1.common`"),
                    )
                })?;
                no_place(Terminal::Contact(contact))
            }
            _ => {
                let frogs = frogs(plan, kind, index);
                match rest {
                    Some(rest) if frogs.contains(&rest) => no_place(Terminal::Frog(kind, index, rest.to_owned())),
                    _ => Err(wrong(
                        format!("`{}` is nothing a wire can end at", short(head)),
                        match frogs {
                            [] => format!("this {} has no frog that a wire can feed", kind.word()),
                            _ => format!("write `{name}.{}`", frogs.join(&format!("` or `{name}."))),
                        },
                    )),
                }
            }
        }
    }

    /// What a motor moves: `T1`, `W1.left`, `S1.east`.
    ///
    /// # Errors
    /// When it is nothing that a motor moves.
    pub fn moved(&self, text: &str) -> Result<Moved, RefError> {
        let (name, rest, kind, index) = self.split(text, MOVED)?;
        let parts = parts(kind);
        match rest {
            None if parts.is_empty() => Ok(Moved { kind, index, part: 0 }),
            Some(rest) if parts.contains(&rest) => {
                let part = parts.iter().position(|p| *p == rest).unwrap_or_default();
                Ok(Moved { kind, index, part })
            }
            _ => Err(RefError::Wrong {
                at: (name.len() + 1).min(text.len())..text.len(),
                message: match rest {
                    Some(rest) => format!("{} `{name}` has no blades `{}`", kind.word(), short(rest)),
                    None => format!("which blades of `{name}` are meant?"),
                },
                hint: match parts {
                    [] => format!("write `{name}`; it moves as a whole"),
                    _ => format!("write `{name}.{}`", parts.join(&format!("` or `{name}."))),
                },
            }),
        }
    }

    /// A bus and a place on it, such as `main bus @ 2 m`; the far end where no place is said.
    ///
    /// # Errors
    /// When there is no such bus, or the place is no length.
    pub fn bus_place(&self, text: &str) -> Result<(usize, Option<Metres>), RefError> {
        let (head, at) = split_place(text)?;
        let (_, index) = self.of_kind(head, &[Kind::Bus])?;
        Ok((index, at))
    }

    /// A place on a track: `dock 1 @ 1.2 m`, or on one of its rails: `dock 1.right @ 1.2 m`.
    ///
    /// # Errors
    /// When there is no such track, or the place is no length.
    pub fn rail_place(&self, text: &str) -> Result<RailPlace, RefError> {
        let (head, at) = split_place(text)?;
        let (name, rest, _, track) = self.split(head, &[Kind::Track])?;
        let side = match rest {
            None => None,
            Some("left") => Some(RailSide::Left),
            Some("right") => Some(RailSide::Right),
            Some(other) => {
                return Err(RefError::Wrong {
                    at: name.len() + 1..head.len(),
                    message: format!("track `{name}` has no rail `{}`", short(other)),
                    hint: "its rails are `left` and `right`".to_owned(),
                });
            }
        };
        let at = at.ok_or_else(|| RefError::Wrong {
            at: 0..text.len(),
            message: format!("where on `{}` is meant?", short(head)),
            hint: format!("add a place, such as `{} @ 1.2 m`", short(head)),
        })?;
        Ok(RailPlace { track, side, at })
    }

    /// Splits `name.rest` at the longest name that exists, since names may hold dots themselves.
    pub(crate) fn split<'s>(
        &self,
        text: &'s str,
        kinds: &[Kind],
    ) -> Result<(&'s str, Option<&'s str>, Kind, usize), RefError> {
        let whole = std::iter::once(text.len());
        let dots = text.rmatch_indices('.').map(|(i, _)| i);
        let mut first_wrong = None;
        for cut in whole.chain(dots) {
            let name = &text[..cut];
            let rest = text.get(cut + 1..);
            if let Some(&(kind, index)) = self.by_name.get(name) {
                if kinds.contains(&kind) {
                    return Ok((name, rest, kind, index));
                }
                first_wrong.get_or_insert((name, kind));
            } else if self.unread.contains_key(name) {
                return Err(RefError::Unread);
            }
        }
        if let Some((name, kind)) = first_wrong {
            return Err(RefError::Wrong {
                at: 0..name.len(),
                message: format!("`{}` is a {}, which does not fit here", short(name), kind.word()),
                hint: self.some_of(kinds),
            });
        }
        // The words before the first dot are most likely meant as the name.
        let name = text.split('.').next().unwrap_or(text);
        Err(self.unknown(name, 0..name.len(), kinds))
    }

    fn unknown(&self, name: &str, at: Range<usize>, kinds: &[Kind]) -> RefError {
        if self.unread.contains_key(name) {
            return RefError::Unread;
        }
        let left = self.comparisons_left.load(Relaxed);
        let fewer = left.saturating_sub(self.by_name.len());
        self.comparisons_left.store(fewer, Relaxed);
        let compared = if fewer > 0 { self.by_name.len() } else { 0 };
        let of_kinds =
            self.by_name.iter().take(compared).filter(|(_, v)| kinds.contains(&v.0)).map(|(k, _)| k.as_str());
        RefError::Wrong {
            at,
            message: format!("there is no {} `{}`", words_of(kinds), short(name)),
            hint: match nearest(name, of_kinds) {
                Some(near) => format!("did you mean `{near}`?"),
                None => self.some_of(kinds),
            },
        }
    }

    fn some_of(&self, kinds: &[Kind]) -> String {
        let names: Vec<&str> =
            self.by_name.iter().filter(|(_, v)| kinds.contains(&v.0)).map(|(k, _)| k.as_str()).take(8).collect();
        match names.as_slice() {
            [] => format!("the plan has no {} yet", words_of(kinds)),
            names => format!("the plan has {}", listed(names).replace(" or ", " and ")),
        }
    }
}

const WORK_AND_TRACK: &[Kind] =
    &[Kind::Track, Kind::Turnout, Kind::Crossing, Kind::Slip, Kind::ThreeWay, Kind::Turntable];
const MOVED: &[Kind] = &[Kind::Turnout, Kind::Slip, Kind::ThreeWay, Kind::Turntable];
const TERMINALS: &[Kind] = &[
    Kind::Bus,
    Kind::Track,
    Kind::Turnout,
    Kind::Motor,
    Kind::Relay,
    Kind::Toggle,
    Kind::Supply,
    Kind::Reverser,
    Kind::Detector,
    Kind::Crossing,
    Kind::Slip,
    Kind::ThreeWay,
];

fn words_of(kinds: &[Kind]) -> String {
    match kinds {
        WORK_AND_TRACK => "track or turnout".to_owned(),
        MOVED => "turnout".to_owned(),
        [only] => only.word().to_owned(),
        many if many.len() > 4 => "bus, track, turnout or contact".to_owned(),
        many => many.iter().map(|k| k.word()).collect::<Vec<_>>().join(" or "),
    }
}

/// Splits `… @ 1.2 m` into what stands before and the length behind.
fn split_place(text: &str) -> Result<(&str, Option<Metres>), RefError> {
    let Some((head, place)) = text.rsplit_once('@') else { return Ok((text.trim(), None)) };
    let start = text.len() - place.len();
    let lead = place.len() - place.trim_start().len();
    match quantity::parse::<Metres>(place.trim()) {
        Ok(at) => Ok((head.trim_end(), Some(at))),
        Err(error) => Err(RefError::Wrong {
            at: start + lead + error.at.start..start + lead + error.at.end,
            message: error.message,
            hint: error.hint,
        }),
    }
}

fn contact_of(plan: &Plan, owner: Kind, index: usize, text: &str) -> Option<Contact> {
    let (number, terminal) = text.split_once('.')?;
    let number: usize = number.parse().ok()?;
    let contacts = match owner {
        Kind::Motor => plan.motor[index].contact.items.len(),
        Kind::Relay => plan.relay[index].contact.items.len(),
        _ => plan.toggle[index].contact.items.len(),
    };
    let known = ["common", "through", "diverging", "left", "right", "on", "off"].contains(&terminal);
    ((1..=contacts).contains(&number) && known).then(|| Contact {
        owner,
        index,
        contact: number - 1,
        terminal: terminal.to_owned(),
    })
}

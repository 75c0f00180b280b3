//! Names and what refers to them: ends, terminals and places, resolved to indices.

use crate::reader::{listed, nearest, short};
use crate::tables::{Hand, Plan, RailSide};
use handbook::quantity::{self, Metres};
use std::cell::Cell;
use std::collections::BTreeMap;
use std::ops::Range;

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Kind {
    Train,
    Supply,
    Bus,
    Track,
    Turnout,
    Crossing,
    Slip,
    ThreeWay,
    Turntable,
    Motor,
    Relay,
    Toggle,
    Reverser,
    Panel,
}

impl Kind {
    const ALL: [(Kind, &'static str, &'static str); 14] = [
        (Kind::Train, "train", "train"),
        (Kind::Supply, "supply", "supply"),
        (Kind::Bus, "bus", "bus"),
        (Kind::Track, "track", "track"),
        (Kind::Turnout, "turnout", "turnout"),
        (Kind::Crossing, "crossing", "crossing"),
        (Kind::Slip, "slip", "slip"),
        (Kind::ThreeWay, "three_way", "three-way turnout"),
        (Kind::Turntable, "turntable", "turntable"),
        (Kind::Motor, "motor", "motor"),
        (Kind::Relay, "relay", "relay"),
        (Kind::Toggle, "toggle", "toggle"),
        (Kind::Reverser, "reverser", "reverser"),
        (Kind::Panel, "panel", "panel"),
    ];

    /// The kind whose tables are written `[[word]]`.
    pub fn of_table(word: &str) -> Option<Kind> {
        Kind::ALL.iter().find(|k| k.1 == word).map(|k| k.0)
    }

    /// The kind in a builder's words.
    pub fn word(self) -> &'static str {
        Kind::ALL.iter().find(|k| k.0 == self).map_or("thing", |k| k.2)
    }
}

/// One end of a track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TrackEnd {
    /// Where its lengths are counted from.
    From,
    /// The other one.
    To,
}

impl TrackEnd {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            TrackEnd::From => "from",
            TrackEnd::To => "to",
        }
    }
    /// The other end.
    pub fn other(self) -> TrackEnd {
        match self {
            TrackEnd::From => TrackEnd::To,
            TrackEnd::To => TrackEnd::From,
        }
    }
}

/// What an end of a track joins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum End {
    /// A stop.
    Buffer,
    /// Track that is not on the plan.
    Beyond,
    /// An end of a track.
    Track(usize, TrackEnd),
    /// An end of special trackwork, by its word.
    Work(Kind, usize, String),
}

/// One of the two conductors of a bus, supply or reverser.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Pole {
    A,
    B,
}

impl Pole {
    /// The other one.
    pub fn other(self) -> Pole {
        match self {
            Pole::A => Pole::B,
            Pole::B => Pole::A,
        }
    }
    /// "A" or "B".
    pub fn word(self) -> &'static str {
        match self {
            Pole::A => "A",
            Pole::B => "B",
        }
    }
}

/// A rail of a track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Rail {
    /// Index of the track.
    pub track: usize,
    /// Which rail.
    pub side: RailSide,
}

/// A place on a track, on one rail or on both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RailPlace {
    /// Index of the track.
    pub track: usize,
    /// Which rail; both where not said.
    pub side: Option<RailSide>,
    /// Where, from its `from` end.
    pub at: Metres,
}

/// A terminal of a contact: whose, which contact (from 0) and which key of its table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contact {
    /// Motor, relay or toggle.
    pub owner: Kind,
    /// Its index.
    pub index: usize,
    /// Which contact, from 0.
    pub contact: usize,
    /// `common`, `through`, `diverging` and so on.
    pub terminal: String,
}

/// Something a wire can end at.
#[derive(Clone, Debug, PartialEq)]
pub enum Terminal {
    /// A bus conductor, at a place where one is said.
    Bus(usize, Pole, Option<Metres>),
    /// A terminal of a supply.
    Supply(usize, Pole),
    /// An output of a reverser.
    Reverser(usize, Pole),
    /// A contact's terminal.
    Contact(Contact),
    /// A frog: what trackwork, its index, and which frog by its word.
    Frog(Kind, usize, String),
    /// A place on one rail.
    Rail(Rail, Metres),
}

/// Why a reference does not resolve.
#[derive(Clone, Debug, PartialEq)]
pub enum RefError {
    /// It names something that is in the text but could not be read; that has been told already.
    Unread,
    /// It is wrong: the part at fault, what is the matter and what would do.
    Wrong {
        /// Bytes within the reference.
        at: Range<usize>,
        /// What is the matter.
        message: String,
        /// What would do.
        hint: String,
    },
}

/// See `Names::comparisons_left`: some hundred wrong names in a plan of thousands.
const MOST_COMPARISONS: usize = 2_000_000;

/// Names of everything in a plan.
#[derive(Clone, Debug, Default)]
pub struct Names {
    by_name: BTreeMap<String, (Kind, usize)>,
    unread: BTreeMap<String, Kind>,
    /// Comparisons that may still be made in looking for near names, so that a plan of nothing but
    /// wrong names does not take for ever.
    comparisons_left: Cell<usize>,
    /// Names given more than once: the name, where first, where again.
    pub twice: Vec<(String, Range<usize>, Range<usize>)>,
}

impl Names {
    /// Gathers the names of a plan.
    pub fn of(plan: &Plan) -> Names {
        let mut names = Names { comparisons_left: Cell::new(MOST_COMPARISONS), ..Names::default() };
        let mut places: BTreeMap<String, Range<usize>> = BTreeMap::new();
        for (kind, index, name) in each_name(plan) {
            if let Some(first) = places.get(&name.value) {
                names.twice.push((name.value.clone(), first.clone(), name.span.clone()));
            } else {
                places.insert(name.value.clone(), name.span.clone());
                names.by_name.insert(name.value.clone(), (kind, index));
            }
        }
        names
    }

    /// Adds names whose tables could not be read, so that references to them stay silent.
    pub(crate) fn with_unread(mut self, declared: &BTreeMap<String, Kind>) -> Names {
        self.unread = declared
            .iter()
            .filter(|(name, _)| !self.by_name.contains_key(*name))
            .map(|(name, kind)| (name.clone(), *kind))
            .collect();
        self
    }

    /// What a name stands for.
    pub fn get(&self, name: &str) -> Option<(Kind, usize)> {
        self.by_name.get(name).copied()
    }

    /// The index of what a name stands for, which must be of one of these kinds.
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
    pub fn end(&self, plan: &Plan, text: &str) -> Result<End, RefError> {
        match text {
            "buffer" => return Ok(End::Buffer),
            "beyond" => return Ok(End::Beyond),
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
                Some("from") => Ok(End::Track(index, TrackEnd::From)),
                Some("to") => Ok(End::Track(index, TrackEnd::To)),
                _ => Err(wrong(&["from", "to"])),
            },
            _ => {
                let ends = ports(plan, kind, index);
                match rest {
                    Some(rest) if ends.iter().any(|e| e == rest) => Ok(End::Work(kind, index, rest.to_owned())),
                    _ => Err(wrong(&ends.iter().take(12).map(String::as_str).collect::<Vec<_>>())),
                }
            }
        }
    }

    /// What a wire ends at.
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
                Ok(Terminal::Rail(Rail { track: index, side }, at))
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
                let frogs = frogs(kind);
                match rest {
                    Some(rest) if frogs.contains(&rest) => no_place(Terminal::Frog(kind, index, rest.to_owned())),
                    _ => Err(wrong(
                        format!("`{}` is nothing a wire can end at", short(head)),
                        match frogs {
                            [] => format!("a {} has no frog to feed", kind.word()),
                            _ => format!("write `{name}.{}`", frogs.join(&format!("` or `{name}."))),
                        },
                    )),
                }
            }
        }
    }

    /// A bus and a place on it, such as `main bus @ 2 m`; the far end where no place is said.
    pub fn bus_place(&self, text: &str) -> Result<(usize, Option<Metres>), RefError> {
        let (head, at) = split_place(text)?;
        let (_, index) = self.of_kind(head, &[Kind::Bus])?;
        Ok((index, at))
    }

    /// A place on a track: `dock 1 @ 1.2 m`, or on one of its rails: `dock 1.right @ 1.2 m`.
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
    fn split<'s>(&self, text: &'s str, kinds: &[Kind]) -> Result<(&'s str, Option<&'s str>, Kind, usize), RefError> {
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
        let left = self.comparisons_left.get();
        let fewer = left.saturating_sub(self.by_name.len());
        self.comparisons_left.set(fewer);
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
const TERMINALS: &[Kind] = &[
    Kind::Bus,
    Kind::Track,
    Kind::Turnout,
    Kind::Motor,
    Kind::Relay,
    Kind::Toggle,
    Kind::Supply,
    Kind::Reverser,
    Kind::Crossing,
    Kind::Slip,
    Kind::ThreeWay,
];

fn words_of(kinds: &[Kind]) -> String {
    match kinds {
        WORK_AND_TRACK => "track or turnout".to_owned(),
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

/// The ends of a piece of special trackwork.
pub fn ports(plan: &Plan, kind: Kind, index: usize) -> Vec<String> {
    let words: &[&str] = match kind {
        Kind::Turnout => match plan.turnout[index].hand.value {
            Hand::Wye => &["points", "left", "right"],
            _ => &["points", "through", "diverging"],
        },
        Kind::Crossing | Kind::Slip => &["west 1", "east 1", "west 2", "east 2"],
        Kind::ThreeWay => &["points", "left", "middle", "right"],
        Kind::Turntable => {
            return (1..=plan.turntable[index].stalls.value).map(|i| format!("stall {i}")).collect();
        }
        _ => &[],
    };
    words.iter().map(|w| (*w).to_owned()).collect()
}

/// The frogs of a kind of trackwork that a wire can feed.
pub fn frogs(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Turnout => &["frog"],
        Kind::Crossing | Kind::Slip => &["west frog", "east frog"],
        Kind::ThreeWay => &["left frog", "right frog", "centre frog"],
        _ => &[],
    }
}

/// Every name of the plan with its kind and index, tables in the order of the language.
pub fn each_name(plan: &Plan) -> impl Iterator<Item = (Kind, usize, &crate::At<String>)> {
    macro_rules! all {
        ($($kind:ident $list:ident),*) => {
            std::iter::empty()$(.chain(plan.$list.iter().enumerate().map(|(i, t)| (Kind::$kind, i, &t.name))))*
        };
    }
    all!(Train train, Supply supply, Bus bus, Track track, Turnout turnout, Crossing crossing, Slip slip,
        ThreeWay three_way, Turntable turntable, Motor motor, Relay relay, Toggle toggle, Reverser reverser, Panel panel)
}

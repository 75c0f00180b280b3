//! Positions of what moves, in a builder's words: `T1 diverging`.

use super::{Kind, Names, RefError};
use crate::reader::{listed, nearest, short};
use crate::tables::{Hand, Plan};

/// A position of something that is set: turnout, motor, turntable or toggle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Position {
    /// What is set, its index, and which part of it (see [`super::parts`]).
    pub of: (Kind, usize, usize),
    /// The position's word.
    pub word: String,
}

impl Names {
    /// What words such as `T1 diverging` or `yard switch = on` mean.
    ///
    /// # Errors
    /// When nothing of that name is set, or it has no such position.
    pub fn position(&self, plan: &Plan, text: &str) -> Result<Position, RefError> {
        // Names may hold spaces and signs of equality; so may words of positions hold spaces.
        let cuts = text.char_indices().rev().filter(|(_, c)| *c == ' ' || *c == '=');
        let mut wrong = None;
        for (cut, _) in cuts {
            let (name, word) = (text[..cut].trim_end(), text[cut + 1..].trim());
            let Some(of) = self.set_by_hand(name) else { continue };
            let words = positions(plan, self, of);
            if words.iter().any(|known| known == word) {
                return Ok(Position { of, word: word.to_owned() });
            }
            wrong.get_or_insert_with(|| {
                let start = text.len() - text[cut + 1..].trim_start().len();
                let near = nearest(word, words.iter().map(String::as_str));
                RefError::Wrong {
                    at: start.min(text.len())..text.len(),
                    message: format!("`{}` has no position `{}`", short(name), short(word)),
                    hint: match (near, words.as_slice()) {
                        (Some(near), _) => format!("did you mean `{near}`?"),
                        (None, []) => "nothing in the plan says what it moves".to_owned(),
                        (None, all) => {
                            format!("it has {}", listed(&all.iter().take(12).map(String::as_str).collect::<Vec<_>>()))
                        }
                    },
                }
            });
        }
        if let Some(wrong) = wrong {
            return Err(wrong);
        }
        // The words before the last space are most likely meant as the name.
        let name = text.rsplit_once([' ', '=']).map_or(text, |(name, _)| name.trim_end());
        match self.of_kind(name, SET) {
            Ok(_) => Err(RefError::Wrong {
                at: 0..text.len(),
                message: format!("which position of `{}` is meant?", short(name)),
                hint: "write the name and the position, such as `T1 diverging`".to_owned(),
            }),
            Err(error) => Err(error),
        }
    }

    /// What a name stands for that is set to positions.
    fn set_by_hand(&self, name: &str) -> Option<(Kind, usize, usize)> {
        if let Ok(moved) = self.moved(name) {
            return Some((moved.kind, moved.index, moved.part));
        }
        let (kind, index) = self.get(name)?;
        matches!(kind, Kind::Motor | Kind::Toggle).then_some((kind, index, 0))
    }
}

const SET: &[Kind] = &[Kind::Turnout, Kind::Slip, Kind::ThreeWay, Kind::Turntable, Kind::Motor, Kind::Toggle];

/// The words of the positions that something has.
fn positions(plan: &Plan, names: &Names, (kind, index, _): (Kind, usize, usize)) -> Vec<String> {
    let words: &[&str] = match kind {
        Kind::Turnout if plan.turnout[index].hand.value == Hand::Wye => &["left", "right"],
        Kind::Turnout | Kind::Slip | Kind::ThreeWay => &["through", "diverging"],
        Kind::Toggle if plan.toggle[index].centre.is_some() => &["off", "on", "centre"],
        Kind::Toggle => &["off", "on"],
        Kind::Turntable => {
            return plan.turntable[index].positions().into_iter().take(200).map(|position| position.word).collect();
        }
        Kind::Motor => {
            let first = plan.motor[index].moves.0.iter().find_map(|text| names.moved(&text.value).ok());
            return first.map_or_else(Vec::new, |m| positions(plan, names, (m.kind, m.index, m.part)));
        }
        _ => &[],
    };
    words.iter().map(|word| (*word).to_owned()).collect()
}

//! Settings from words: `T1=diverging`.

use circuit::Circuit;
use plan::tables::TogglePosition;

/// Why words are no setting.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SettingError {
    /// There is no `=` in them.
    #[error("`{0}` is no setting; write `T1=diverging`")]
    NoSetting(String),
    /// They name nothing that has positions.
    #[error("nothing named `{name}` has positions; {hint}")]
    UnknownControl {
        /// The name.
        name: String,
        /// What would do.
        hint: String,
    },
    /// They name a position that the control has not.
    #[error("`{name}` has no position `{position}`; it has {}{}", .has.join(" and "), .near.as_ref().map_or_else(String::new, |n| format!("; did you mean `{n}`?")))]
    UnknownPosition {
        /// The control.
        name: String,
        /// The position.
        position: String,
        /// Those it has.
        has: Vec<String>,
        /// The one that was most likely meant.
        near: Option<String>,
    },
    /// They name a control twice.
    #[error("`{0}` is set twice, and not alike")]
    Twice(String),
}

/// A position for each control from words such as `T1=diverging`; those not named stand in their usual one.
///
/// # Errors
/// Where a setting names nothing that has positions, or a position it has not.
pub fn positions(circuit: &Circuit, setting: &[String]) -> Result<Vec<Option<u8>>, SettingError> {
    Ok(circuit.complete(&named(circuit, setting)?))
}

/// A position for each control that is named, none for the others.
///
/// A turnout that moves together with others may be named alone: it stands for all of them. So may a toggle that throws them, by
/// `on` and `off`.
///
/// # Errors
/// As [`positions`].
pub fn named(circuit: &Circuit, setting: &[String]) -> Result<Vec<Option<u8>>, SettingError> {
    let mut positions: Vec<Option<u8>> = vec![None; circuit.controls.len()];
    for words in setting {
        let (name, position) = words.split_once('=').ok_or_else(|| SettingError::NoSetting(words.clone()))?;
        let (name, position) = (name.trim(), position.trim());
        let whole = circuit.controls.iter().position(|c| c.name == name);
        let part = || circuit.controls.iter().position(|c| c.parts.iter().any(|part| part == name));
        let toggle = || circuit.controls.iter().position(|c| c.toggles.iter().any(|toggle| toggle == name));
        let thrown = if whole.or_else(part).is_none() { toggle() } else { None };
        let control = whole.or_else(part).or(thrown).ok_or_else(|| unknown(circuit, name))?;
        // A toggle that throws a motor has positions of its own: off is the motor's first one.
        let own = [TogglePosition::Off, TogglePosition::On].map(|position| position.word().to_owned());
        let list = if thrown.is_some() { &own[..] } else { &circuit.controls[control].positions };
        let index = list.iter().position(|p| p == position).ok_or_else(|| {
            let near = plan::nearest_name(position, list.iter().map(String::as_str)).map(str::to_owned);
            SettingError::UnknownPosition {
                name: name.to_owned(),
                position: position.to_owned(),
                has: list.to_vec(),
                near,
            }
        })?;
        let index = u8::try_from(index).ok();
        if positions[control].is_some_and(|before| Some(before) != index) {
            return Err(SettingError::Twice(name.to_owned()));
        }
        positions[control] = index;
    }
    Ok(positions)
}

fn unknown(circuit: &Circuit, name: &str) -> SettingError {
    let known: Vec<&str> = circuit.controls.iter().map(|c| c.name.as_str()).collect();
    let single = circuit.controls.iter().flat_map(|c| c.parts.iter().chain(&c.toggles)).map(String::as_str);
    let hint = match plan::nearest_name(name, single) {
        Some(near) => format!("did you mean `{near}`?"),
        None if known.is_empty() => "the plan has nothing with positions".to_owned(),
        None if known.len() > 12 => format!("there is {} and {} more", known[..10].join(", "), known.len() - 10),
        None => format!("there is {}", known.join(", ")),
    };
    SettingError::UnknownControl { name: name.to_owned(), hint }
}

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

#[cfg(test)]
mod tests {
    use super::*;

    const LEVER: &str = "layout = { name = \"t\", scale = \"OO\" }\n\
        supply = [{ name = \"s\", kind = \"dc\", voltage = \"12 V\" }]\n\
        bus = [{ name = \"b\", supply = \"s\", wire = \"1 mm²\", length = \"2 m\" }]\n\
        turnout = [{ name = \"T1\", hand = \"left\", wiring = \"insulated-bonded\" }]\n\
        toggle = [{ name = \"lever, left\" }, { name = \"lamp\" }]\n\
        driver = [{ name = \"H\", kind = \"switch\", from = \"b @ 1 m\", follows = \"lever, left\" }]\n\
        motor = [{ name = \"M1\", moves = \"T1\", driver = \"H\" }]\n\
        track = [{ name = \"t\", from = \"beyond\", to = \"T1.points\", length = \"1 m\" }]\n";

    /// A toggle that throws a motor is one control with it, and may be named by either's words.
    #[test]
    fn a_toggle_that_throws_a_motor_is_set_by_its_own_words() {
        let reading = plan::read(LEVER);
        assert!(reading.understood(), "{:?}", reading.findings);
        let circuit = Circuit::from_plan(&reading.plan, &reading.names);
        let set = |words: &[&str]| {
            let words: Vec<String> = words.iter().map(|w| (*w).to_owned()).collect();
            positions(&circuit, &words).map_err(|error| error.to_string())
        };
        assert_eq!(set(&["lever, left=on"]), set(&["T1=diverging"]));
        assert_eq!(set(&["lever, left = off", "lamp=on"]), set(&["T1=through", "lamp=on"]));
        let twice = set(&["lever, left=on", "T1=through"]);
        assert!(twice.as_ref().is_err_and(|why| why.contains("is set twice")), "{twice:?}");
        let wrong = set(&["lever, left=diverging"]);
        assert!(wrong.as_ref().is_err_and(|why| why.contains("it has off and on")), "{wrong:?}");
        let near = set(&["lever=on"]);
        assert!(near.as_ref().is_err_and(|why| why.contains("nothing named `lever`")), "{near:?}");
    }
}

//! Settings from words: `T1=diverging`.

use circuit::Circuit;

/// A position for each control from words such as `T1=diverging`; those not named stand in their first.
///
/// # Errors
/// In words, where a setting names nothing that has positions, or a position it has not.
pub fn positions(circuit: &Circuit, setting: &[String]) -> Result<Vec<Option<u8>>, String> {
    let named = named(circuit, setting)?;
    Ok(named.into_iter().map(|position| Some(position.unwrap_or(0))).collect())
}

/// A position for each control that is named, none for the others.
///
/// A turnout that moves together with others may be named alone: it stands for all of them.
///
/// # Errors
/// As [`positions`].
pub fn named(circuit: &Circuit, setting: &[String]) -> Result<Vec<Option<u8>>, String> {
    let mut positions: Vec<Option<u8>> = vec![None; circuit.controls.len()];
    for words in setting {
        let (name, position) =
            words.split_once('=').ok_or_else(|| format!("`{words}` is no setting; write `T1=diverging`"))?;
        let (name, position) = (name.trim(), position.trim());
        let whole = circuit.controls.iter().position(|c| c.name == name);
        let part = || circuit.controls.iter().position(|c| c.parts.iter().any(|part| part == name));
        let control = whole.or_else(part).ok_or_else(|| unknown(circuit, name))?;
        let list = &circuit.controls[control].positions;
        let index = list.iter().position(|p| p == position).ok_or_else(|| {
            let near = plan::nearest_name(position, list.iter().map(String::as_str));
            let hint = near.map_or_else(String::new, |n| format!("; did you mean `{n}`?"));
            format!("`{name}` has no position `{position}`; it has {}{hint}", list.join(" and "))
        })?;
        let index = u8::try_from(index).ok();
        if positions[control].is_some_and(|before| Some(before) != index) {
            return Err(format!("`{name}` is set twice, and not alike"));
        }
        positions[control] = index;
    }
    Ok(positions)
}

fn unknown(circuit: &Circuit, name: &str) -> String {
    let known: Vec<&str> = circuit.controls.iter().map(|c| c.name.as_str()).collect();
    let single = circuit.controls.iter().flat_map(|c| &c.parts).map(String::as_str);
    let hint = match plan::nearest_name(name, single) {
        Some(near) => format!("did you mean `{near}`?"),
        None if known.is_empty() => "the plan has nothing with positions".to_owned(),
        None if known.len() > 12 => format!("there is {} and {} more", known[..10].join(", "), known.len() - 10),
        None => format!("there is {}", known.join(", ")),
    };
    format!("nothing named `{name}` has positions; {hint}")
}

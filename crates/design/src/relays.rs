//! Relays that help motors whose own contacts do not suffice.

use crate::answers::Answers;

/// The relay that helps a motor.
pub(crate) fn relay(motor: &str) -> String {
    format!("K{}", &motor[1..])
}

/// The contact that has a motor's duty of some number, from 1: one of its own, or one of the relay that follows it.
pub(crate) fn owner(answers: &Answers, motor: &str, number: usize) -> String {
    match number.checked_sub(answers.contacts as usize) {
        None | Some(0) => format!("{motor}.{number}"),
        Some(beyond) => format!("{}.{beyond}", relay(motor)),
    }
}

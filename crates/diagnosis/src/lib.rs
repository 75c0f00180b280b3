//! From readings and symptoms to the fault, and to the measurement that tells most next.
//!
//! ```text
//! circuit ─▶ wiring (suspects, places) ─ setting, age ─▶ state ─ probes ─▶ response ─ fault ─▶ what would be read, its covariance
//!                                                        observations ─▶ likelihood of every hypothesis ─▶ ranking ─▶ next measurement
//! ```
//! Pure functions: no files, no clock, no chance. A hypothesis is an age and no fault, one or two. What it would read is a closed
//! form on one factorisation for each setting and age (`state`); how sure that is comes from the spread of all parts *as they carry
//! current under that hypothesis* (`evidence`).

pub mod age;
pub mod candidates;
pub mod claims;
pub mod dense;
pub mod evidence;
pub mod fault;
pub mod foreseen;
pub mod gaussian;
pub mod hunt;
pub mod next;
pub mod observation;
pub mod ranking;
pub mod state;
pub mod symptom_words;
pub mod typed;
pub mod wiring;
pub mod wording;

pub use candidates::Pairs;
pub use fault::{Element, Fault, TOO_MUCH};
pub use hunt::{Hunt, Minutes, Options, Refused};
pub use next::Advice;
pub use observation::{Conditions, Kit, Measurement, Observation, Running, Symptom, Value};
pub use ranking::{Hypothesis, Ranked, Ranking, odds};
pub use typed::BadValue;
pub use wording::Wording;

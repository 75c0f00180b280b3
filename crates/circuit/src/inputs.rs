//! Where numbers come from: each edge's resistance leads back to a line of the plan or a row of the
//! handbook.

use handbook::Spread;
use handbook::quantity::Units;
use std::collections::BTreeMap;
use std::ops::Range;

/// Index of an input.
pub type InputId = usize;

/// Who said a value.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// The plan, here.
    Plan(Range<usize>),
    /// The handbook, for something the plan names here (a wire, a rail): the source.
    Handbook(&'static str),
    /// The handbook, because the plan does not say: the source.
    Default(&'static str),
}

/// One value that resistances come from.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// What it is: `rail resistance of code 100 nickel silver`.
    pub name: String,
    /// The value in words: `80 mΩ/m (57 to 146)`.
    pub value: String,
    /// Who said it.
    pub origin: Origin,
}

/// The inputs of a circuit as they come up, each once.
#[derive(Debug, Default)]
pub(crate) struct Inputs {
    by_name: BTreeMap<String, InputId>,
    pub(crate) list: Vec<Input>,
}

impl Inputs {
    pub(crate) fn add(&mut self, name: impl Into<String>, value: impl Into<String>, origin: Origin) -> InputId {
        let name = name.into();
        if let Some(&id) = self.by_name.get(&name) {
            return id;
        }
        let id = self.list.len();
        self.by_name.insert(name.clone(), id);
        self.list.push(Input { name, value: value.into(), origin });
        id
    }
}

/// A spread of ohms per metre in words.
pub(crate) fn spread_per_length(units: Units, spread: Spread<f64>) -> String {
    banded(spread, |v| units.ohms_per_length(handbook::quantity::OhmsPerMetre(v)))
}

/// A spread of ohms in words.
pub(crate) fn spread_words(spread: Spread<f64>) -> String {
    banded(spread, |v| handbook::quantity::show_ohms(handbook::quantity::Ohms(v)))
}

/// The usual value, with its band behind where it has one.
fn banded(spread: Spread<f64>, show: impl Fn(f64) -> String) -> String {
    if spread.low == spread.high {
        show(spread.typical)
    } else {
        format!("{} ({} to {})", show(spread.typical), show(spread.low), show(spread.high))
    }
}

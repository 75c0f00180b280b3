//! What of a wire the plan does not say.

/// What the plan does not say of a wire, so that a default or a sum stands in for it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WireAssumed {
    /// Its size is the handbook's usual one.
    pub size: bool,
    /// Its length follows from where its ends are.
    pub length: bool,
    /// Nobody says how long it runs or where its ends are: it is measured on the layout.
    pub measure: bool,
    /// What the contact of its plug resists is the handbook's usual value.
    pub plug: bool,
    /// Its colour is ours.
    pub colour: bool,
}

impl WireAssumed {
    /// In words: `length, size`; `measure` where it must be measured.
    pub fn words(self) -> String {
        let words = [
            (self.measure, "measure"),
            (self.length, "length"),
            (self.size, "size"),
            (self.plug, "plug"),
            (self.colour, "colour"),
        ];
        words.into_iter().filter(|w| w.0).map(|w| w.1).collect::<Vec<_>>().join(", ")
    }
}

//! Values that are known only within a band, and values beside their source.

/// A value known within a band: what the sums use (`typical`) and how far it may be off either way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread<T> {
    /// The least value to calculate with.
    pub low: T,
    /// The value to use where one value must do.
    pub typical: T,
    /// The greatest value to calculate with.
    pub high: T,
}

impl<T: Copy> Spread<T> {
    /// A band from `low` over `typical` to `high`, in that order.
    pub const fn new(low: T, typical: T, high: T) -> Self {
        Self { low, typical, high }
    }

    /// A value without a band: a measured one, or one for which a single figure is all there is.
    pub const fn exactly(value: T) -> Self {
        Self { low: value, typical: value, high: value }
    }

    /// The same band seen through `change`, which must keep the order (or the caller swaps the ends).
    pub fn map<U>(self, mut change: impl FnMut(T) -> U) -> Spread<U> {
        Spread { low: change(self.low), typical: change(self.typical), high: change(self.high) }
    }
}

impl Spread<f64> {
    /// The sum of two values whose errors know nothing of each other.
    pub fn plus(self, other: Self) -> Self {
        Self::new(self.low + other.low, self.typical + other.typical, self.high + other.high)
    }

    /// The difference of two such values.
    pub fn minus(self, other: Self) -> Self {
        self.plus(other.times(-1.0))
    }

    /// So many times the value; a negative number exchanges the ends, so that low stays low.
    pub fn times(self, factor: f64) -> Self {
        let [one, other] = [self.low * factor, self.high * factor];
        Self::new(one.min(other), self.typical * factor, one.max(other))
    }
}

/// A handbook value beside the place it was taken from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// Where it was taken from, in words for a report.
    pub source: &'static str,
}

impl<T> Sourced<T> {
    /// `value`, taken from `source`.
    pub const fn new(value: T, source: &'static str) -> Self {
        Self { value, source }
    }
}

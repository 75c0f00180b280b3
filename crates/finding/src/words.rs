//! Numbers of lines in words.

/// How many digits a number is written with.
pub(crate) fn digits(number: usize) -> usize {
    number.checked_ilog10().unwrap_or(0) as usize + 1
}

#[cfg(test)]
mod tests {
    #[test]
    fn counts_digits() {
        assert_eq!([0, 9, 10, 99, 100, usize::MAX].map(super::digits), [1, 1, 2, 2, 3, 20]);
    }
}

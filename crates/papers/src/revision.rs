//! The revision of a plan: a short word that is another for every other text.

use sha2::{Digest as _, Sha256};

/// The first eight hexadecimal digits of the SHA-256 (FIPS 180-4) of the plan's text.
pub fn revision(text: &str) -> String {
    digest(text.as_bytes())[..8].to_owned()
}

/// The SHA-256 of some bytes in hexadecimal digits.
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn digests_are_those_of_the_standard() {
        // FIPS 180-4 example: the one-block message `abc`.
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(super::digest(b"abc"), abc);
        assert_eq!(super::revision("abc"), "ba7816bf");
    }
}

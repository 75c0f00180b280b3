//! Colours of wires: their words, how they look, and codes of which conductor has which.

use crate::spread::Sourced;

/// A colour of insulation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour {
    /// Its word.
    pub word: &'static str,
    /// Its letters in IEC 60757.
    pub letters: &'static str,
    /// Red, green, blue, for showing it beside its word.
    pub rgb: [u8; 3],
}

/// The colours of insulation with the letters of IEC 60757. The shades are our own; paired with green, yellow is for
/// protective earth alone and is no colour of a layout (NEM 605, section 2.1).
pub const COLOURS: Sourced<[Colour; 12]> = Sourced::new(
    [
        colour("black", "BK", [0x20, 0x20, 0x20]),
        colour("brown", "BN", [0x7a, 0x4a, 0x21]),
        colour("red", "RD", [0xc6, 0x28, 0x28]),
        colour("orange", "OG", [0xe6, 0x7e, 0x00]),
        colour("yellow", "YE", [0xf2, 0xc9, 0x00]),
        colour("green", "GN", [0x2e, 0x7d, 0x32]),
        colour("blue", "BU", [0x15, 0x58, 0xb0]),
        colour("violet", "VT", [0x6a, 0x3d, 0x9a]),
        colour("grey", "GY", [0x80, 0x80, 0x80]),
        colour("white", "WH", [0xff, 0xff, 0xff]),
        colour("pink", "PK", [0xe9, 0x8a, 0xa8]),
        colour("turquoise", "TQ", [0x2a, 0xa8, 0xa8]),
    ],
    "IEC 60757, letters from memory, confirm",
);

/// Which conductor has which colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ColourCode {
    /// What is joined to pole A for good.
    pub a: &'static str,
    /// What is joined to pole B for good.
    pub b: &'static str,
    /// What changes its pole: frogs, reversing sections, wires between contacts of both.
    pub changes: &'static str,
    /// The two wires of a motor.
    pub motors: &'static str,
}

/// The colours where nobody says otherwise.
pub const USUAL_CODE: Sourced<ColourCode> =
    Sourced::new(ColourCode { a: "red", b: "black", changes: "blue", motors: "yellow" }, "our own default");

/// NEM 605, edition 2014, table 1: conductors of digital current, positive impulses red, negative impulses brown; control
/// lines of turnouts green; other lines violet. That frogs and reversing sections are other lines is our reading.
pub const NEM_605: Sourced<ColourCode> = Sourced::new(
    ColourCode { a: "red", b: "brown", changes: "violet", motors: "green" },
    "NEM 605 (2014), table 1; other lines violet for what changes its pole",
);

const fn colour(word: &'static str, letters: &'static str, rgb: [u8; 3]) -> Colour {
    Colour { word, letters, rgb }
}

/// The colour of a word.
pub fn of_word(word: &str) -> Option<&'static Colour> {
    const ALL: &[Colour] = &COLOURS.value;
    ALL.iter().find(|colour| colour.word == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: NEM 605, edition 2014, table 1, with the British letters given there.
    #[test]
    fn letters_are_those_of_the_published_code() {
        let check = |word, letters| assert_eq!(of_word(word).map(|c| c.letters), Some(letters), "{word}");
        check("black", "BK");
        check("red", "RD");
        check("blue", "BU");
        check("grey", "GY");
        check("brown", "BN");
        check("white", "WH");
        check("yellow", "YE");
        check("green", "GN");
        check("orange", "OG");
        check("violet", "VT");
    }

    #[test]
    fn codes_use_colours_that_are_known() {
        for code in [USUAL_CODE.value, NEM_605.value] {
            assert!([code.a, code.b, code.changes, code.motors].iter().all(|c| of_word(c).is_some()), "{code:?}");
        }
    }
}

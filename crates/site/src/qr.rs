//! An address as a square of dark and light that a phone reads, for a terminal.

use qrcodegen::{QrCode, QrCodeEcc};

/// Light modules that must stand around the square (ISO/IEC 18004, quiet zone).
const QUIET: i32 = 4;

/// The square in half blocks, two rows of modules to a line; none where the words are too long for one.
///
/// Light modules are drawn and dark ones left out, as on a terminal with light letters on a dark ground; where it is the other way
/// round, most phones read the square inverted too.
pub fn in_terminal(words: &str) -> Option<String> {
    let code = QrCode::encode_text(words, QrCodeEcc::Medium).ok()?;
    let light = |x: i32, y: i32| y < code.size() + QUIET && !code.get_module(x, y);
    let mut out = String::new();
    for y in (-QUIET..code.size() + QUIET).step_by(2) {
        for x in -QUIET..code.size() + QUIET {
            out.push(match (light(x, y), light(x, y + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        out.push('\n');
    }
    Some(out)
}

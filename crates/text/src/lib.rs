//! Words on their way out of the program: what may be shown, how wide it is and where it may be broken; tables; comma-separated
//! values; what markup makes of them.
//!
//! There is one of each, so that a name in any script, or one that a spreadsheet would take for a formula, is treated alike
//! everywhere. Nothing here knows what the words are about.

pub mod csv;
mod shown;
pub mod table;
pub mod wrap;
pub mod xml;

pub use shown::{escape_control_chars, shown};
pub use table::table;
pub use wrap::{paragraph, width};

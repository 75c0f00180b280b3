//! Stub until the netlist is there.
use libtest_mimic::Trial;
pub fn trials() -> Vec<Trial> {
    Vec::new()
}

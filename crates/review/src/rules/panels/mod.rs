//! Panels: what their buttons set, and whether their parts have room.

use crate::context::Context;
use panel::{Fired, WiredPanel, wired_panels};

pub(super) mod button_sets_nothing;
pub(super) mod panel_too_full;

/// The panels of a plan with their wires.
fn panels(facts: &Context<'_>) -> Vec<WiredPanel> {
    if facts.plan.panel.is_empty() {
        return Vec::new();
    }
    wired_panels(&Fired { plan: facts.plan, names: facts.names, circuit: &facts.circuit, ways: facts.ways() })
}

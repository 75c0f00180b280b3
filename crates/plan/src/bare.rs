//! Plans that are not wired yet: track and trackwork whose rails are neither cut nor switched.

use crate::tables::{JointKind, Plan};

/// What of a plan's wiring is there already, in words; nothing where it has no gap, no contact and no reverser. Feeders may be there.
pub fn wired_already(plan: &Plan) -> Option<String> {
    let gap_joint = |joint: &Option<crate::At<JointKind>>| joint.as_ref().is_some_and(|j| j.value == JointKind::Gap);
    let gap_at = |t: &crate::tables::Track| t.joints.iter().any(|j| gap_joint(&j.value.kind));
    let cut = plan.track.iter().find(|t| !t.gaps.is_empty() || gap_joint(&t.joint) || gap_at(t));
    let motors = plan.motor.iter().map(|m| (&m.name, &m.contact));
    let relays = plan.relay.iter().map(|r| (&r.name, &r.contact));
    let toggles = plan.toggle.iter().map(|t| (&t.name, &t.contact));
    let mut contacts = motors.chain(relays).chain(toggles).filter(|(_, c)| !c.is_empty());
    cut.map(|t| format!("`{}` has gaps", t.name.value))
        .or_else(|| contacts.next().map(|(name, _)| format!("`{}` has contacts", name.value)))
        .or_else(|| plan.reverser.first().map(|r| format!("it has the reverser `{}`", r.name.value)))
}

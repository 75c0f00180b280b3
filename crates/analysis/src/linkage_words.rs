//! Throw wires in a builder's words, and what the rules about them share.

use crate::season_words::mm;
use crate::{Analysis, words};
use finding::Finding;
use handbook::music_wire::HOLDING_FORCE;
use movement::linkage::{Linkage, WireFault, WireFit, linkages};
use plan::edit;

/// The linkages for which something holds, the first in the plan first.
pub fn grouped(facts: &Analysis<'_>, holds: impl Fn(&Linkage) -> bool) -> Vec<Linkage> {
    linkages(facts.plan, facts.names).into_iter().flatten().filter(holds).collect()
}

/// `M1, M2 and 4 more`.
pub fn names(facts: &Analysis<'_>, linkages: &[Linkage]) -> String {
    words::few(linkages.iter().map(|l| format!("`{}`", facts.plan.motor[l.motor].name.value)))
}

/// "0.41 N (0.38 to 0.42)".
pub fn force(fit: &WireFit) -> String {
    let [low, typical, high] = [fit.force.low, fit.force.typical, fit.force.high];
    format!("{typical:.2} N ({low:.2} to {high:.2})")
}

/// The least and the greatest force that is wanted.
pub fn newtons(end: usize) -> String {
    shown(HOLDING_FORCE.value[end].0)
}

/// Newtons, to a hundredth: "0.41 N".
fn shown(newtons: f64) -> String {
    let text = format!("{newtons:.2}");
    format!("{} N", text.trim_end_matches('0').trim_end_matches('.'))
}

/// What travel of its arm suits a wire: "with this wire a travel of 3.4 mm to 8.8 mm holds the points with 0.3 N to 1 N".
pub fn travels(linkage: &Linkage) -> String {
    let [(least, soft), (most, hard)] = linkage.travels();
    if soft > hard {
        return format!("this wire bears no more than {}", shown(hard));
    }
    format!(
        "with this wire a travel of {} to {} holds the points with {} to {}",
        mm(least),
        mm(most),
        shown(soft),
        shown(hard)
    )
}

/// "1690 MPa".
pub fn megapascals(pascals: f64) -> String {
    format!("{:.0} MPa", pascals / 1e6)
}

/// One finding for all wires with this fault: its message from the names and the first of them, then what all such
/// findings say, and the size that would do.
pub fn linkage_finding(
    facts: &Analysis<'_>,
    fault: WireFault,
    message: impl Fn(&str, &Linkage) -> Finding,
) -> Option<Finding> {
    let faulty = grouped(facts, |l| l.fit.fault() == Some(fault));
    let first = faulty.first()?;
    let wire = facts.plan.motor[first.motor].throw_wire.as_ref()?;
    let mut finding =
        message(&names(facts, &faulty), first).at(wire.value.diameter.span.clone(), "this wire").fact(format!(
            "its arm travels {}; {} below and {} above the fulcrum make {} of that, {} of them are the throw",
            mm(first.travel),
            mm(first.wire.below),
            mm(first.wire.above),
            mm(first.free_travel()),
            mm(first.throw)
        ));
    if let Some(source) = first.throw_default {
        finding = finding.fact(format!("the plan does not say the throw: {source}"));
    }
    let travel = travels(first);
    let best = if fault == WireFault::Short { None } else { first.best_size() };
    Some(match best {
        Some(size) => {
            let words = edit::quoted(&mm(size.diameter));
            let edits = faulty
                .iter()
                .filter(|l| l.best_size().map(|s| s.diameter) == Some(size.diameter))
                .filter_map(|l| Some(&facts.plan.motor[l.motor].throw_wire.as_ref()?.value.diameter))
                .map(|diameter| edit::set(diameter, &words));
            finding
                .help(format!("wire of {} holds with {}; or {travel}", mm(size.diameter), force(size)))
                .proposal(format!("take wire of {}", mm(size.diameter)), edits.collect())
        }
        None => finding.help(travel),
    })
}

//! Throw wires in a builder's words, and what the rules about them share.

use crate::{Analysis, words};
use finding::Finding;
use handbook::music_wire::HOLDING_FORCE;
use handbook::quantity::{Newtons, Units};
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
pub fn force(units: Units, fit: &WireFit) -> String {
    let [low, typical, high] = [fit.force.low, fit.force.typical, fit.force.high].map(|n| units.force(Newtons(n)));
    let unit = typical.rsplit_once(' ').map_or("", |(_, unit)| unit);
    let bare = |shown: String| match shown.strip_suffix(unit) {
        Some(number) => number.trim_end().to_owned(),
        None => shown,
    };
    format!("{typical} ({} to {})", bare(low), bare(high))
}

/// The least and the greatest force that is wanted.
pub fn wanted_force(units: Units, end: usize) -> String {
    units.force(HOLDING_FORCE.value[end])
}

/// What travel of its arm suits a wire: "with this wire a travel of 3.4 mm to 8.8 mm holds the points with 0.3 N to 1 N".
pub fn travels(units: Units, linkage: &Linkage) -> String {
    let [(least, soft), (most, hard)] = linkage.travels();
    if soft > hard {
        return format!("this wire bears no more than {}", units.force(Newtons(hard)));
    }
    format!(
        "with this wire a travel of {} to {} holds the points with {} to {}",
        units.fine(least),
        units.fine(most),
        units.force(Newtons(soft)),
        units.force(Newtons(hard))
    )
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
    let units = facts.plan.units();
    let wire = facts.plan.motor[first.motor].throw_wire.as_ref()?;
    let mut finding =
        message(&names(facts, &faulty), first).at(wire.value.diameter.span.clone(), "this wire").fact(format!(
            "its arm travels {}; {} below and {} above the fulcrum make {} of that, {} of them are the throw",
            units.fine(first.travel),
            units.fine(first.wire.below),
            units.fine(first.wire.above),
            units.fine(first.free_travel()),
            units.fine(first.throw)
        ));
    if let Some(source) = first.throw_default {
        finding = finding.fact(format!("the plan does not say the throw: {source}"));
    }
    let travel = travels(units, first);
    let best = if fault == WireFault::Short { None } else { first.best_size() };
    Some(match best {
        Some(size) => {
            let words = edit::quoted(&units.fine(size.diameter));
            let edits = faulty
                .iter()
                .filter(|l| l.best_size().map(|s| s.diameter) == Some(size.diameter))
                .filter_map(|l| Some(&facts.plan.motor[l.motor].throw_wire.as_ref()?.value.diameter))
                .map(|diameter| edit::set(diameter, &words));
            finding
                .help(format!("wire of {} holds with {}; or {travel}", units.fine(size.diameter), force(units, size)))
                .proposal(format!("take wire of {}", units.fine(size.diameter)), edits.collect())
        }
        None => finding.help(travel),
    })
}

//! The throw wires of a plan, for people.

use analysis::Analysis;
use analysis::linkage_words::{force, travels, wanted_force};
use handbook::music_wire::{BENDING_SHARE, ELASTICITY, HOLDING_FORCE, STRENGTH_SOURCE};
use handbook::quantity::Units;
use movement::linkage::{FREE_IN_HOLE, Linkage, LinkageNotTold, OVER_BASE, WireFault, WireFit, linkages};
use movement::throw::LowerEnd;
use plan::Plan;
use text::escape_control_chars;
use text::{paragraph, table};

/// No motor of the plan has a throw wire that it tells of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no motor of the plan has a `throw_wire`")]
pub struct NoThrowWires;

/// What a plan's throw wires do, in lines of at most `width` columns where words allow it.
///
/// # Errors
/// When there are none.
pub fn linkage_sheet(facts: &Analysis<'_>, width: usize) -> Result<String, NoThrowWires> {
    let plan = facts.plan;
    let all = linkages(plan, facts.names);
    if all.is_empty() {
        return Err(NoThrowWires);
    }
    let mut out = String::new();
    // Motors alike are reported once.
    let mut shown: Vec<(String, Vec<String>)> = Vec::new();
    for found in &all {
        let (motor, words) = match found {
            Ok(linkage) => (linkage.motor, one(plan.units(), linkage, width)),
            Err(missing) => (missing.motor, not_told(missing, width)),
        };
        let name = plan.motor[motor].name.value.clone();
        match shown.iter_mut().find(|(known, _)| *known == words) {
            Some((_, names)) => names.push(name),
            None => shown.push((words, vec![name])),
        }
    }
    for (words, names) in shown {
        out.push_str(&paragraph("", &escape_control_chars(&analysis::words::few(names.into_iter())), width));
        out.push_str(&words);
        out.push('\n');
    }
    out.push_str(&sources(plan, width));
    Ok(out)
}

fn not_told(missing: &LinkageNotTold, width: usize) -> String {
    paragraph("  ", &format!("cannot be worked out; the plan must say {}", missing.missing), width)
}

fn one(units: Units, linkage: &Linkage, width: usize) -> String {
    let mut out = String::new();
    let mut line = |words: String| out.push_str(&paragraph("  ", &words, width));
    let end = match linkage.wire.lower_end {
        LowerEnd::Clamped => "clamped in the arm",
        LowerEnd::Pinned => "pinned in the arm",
    };
    let throw = linkage.throw_default.map_or_else(String::new, |source| format!(" ({source})"));
    line(format!(
        "the arm travels {}, {} below the fulcrum, the wire {end}; the throwbar {}{throw}, {} above it",
        units.fine(linkage.travel),
        units.fine(linkage.wire.below),
        units.fine(linkage.throw),
        units.fine(linkage.wire.above)
    ));
    let over = linkage.free_travel() - linkage.throw;
    line(format!(
        "free, the wire would travel {} at the throwbar: {}",
        units.fine(linkage.free_travel()),
        if over > 0.0 {
            format!("{} too much, which hold the points", units.fine(over))
        } else {
            format!("{} too little", units.fine(-over))
        }
    ));
    let mut rows = vec![["wire", "holds with", "stress (share)", "hole", ""].map(str::to_owned).to_vec()];
    rows.push(row(units, &linkage.fit, "this one: "));
    rows.extend(
        linkage.sizes.iter().filter(|s| (s.diameter - linkage.fit.diameter).abs() > 1e-5).map(|s| row(units, s, "")),
    );
    out.push_str(&table(&rows));
    let mut line = |words: String| out.push_str(&paragraph("  ", &words, width));
    line(travels(units, linkage));
    let depth = linkage.thickness.map_or_else(|| "the base".to_owned(), |t| format!("{} of base", units.fine(t)));
    line(format!(
        "drill from below, straight up through {depth}, right under the middle of the throwbar's hole while the points stand \
         half-way; {} wide, or a slot so long along the throwbar's way; the fulcrum is centred under it, the motor's arm {} \
         below that",
        units.fine(linkage.fit.hole),
        units.fine(linkage.wire.below)
    ));
    if linkage.binds() {
        line(format!("the hole of the plan, {}, is too small", units.fine(linkage.hole.unwrap_or_default())));
    }
    out
}

fn row(units: Units, fit: &WireFit, own: &str) -> Vec<String> {
    let words = match fit.fault() {
        None => "well",
        Some(WireFault::Short) => "TOO SHORT",
        Some(WireFault::Stiff) => "TOO STIFF",
        Some(WireFault::Soft) => "TOO SOFT",
        Some(WireFault::Overstressed) => "BENT TOO FAR",
    };
    let share =
        fit.bears.map_or_else(|| "not listed".to_owned(), |bears| format!("{:.0} %", 100.0 * fit.stress / bears));
    let stress = format!("{} ({share})", units.stress(fit.stress));
    vec![units.fine(fit.diameter), force(units, fit), stress, units.fine(fit.hole), format!("{own}{words}")]
}

/// Where the numbers come from.
fn sources(plan: &Plan, width: usize) -> String {
    let units = plan.units();
    let mut out = String::new();
    let above = plan.motor.iter().filter_map(|m| m.throw_wire.as_ref()).any(|w| w.value.above.is_none());
    if above {
        let words = format!(
            "where the length above the fulcrum is not said: the base and {} (our own default)",
            units.fine(OVER_BASE)
        );
        out.push_str(&paragraph("", &words, width));
    }
    let words = format!(
        "music wire {}; {STRENGTH_SOURCE}, of which it bears {:.0} % ({}); wanted are {} to {} ({}); holes have {} to spare \
         (our own default)",
        ELASTICITY.source,
        BENDING_SHARE.value * 100.0,
        BENDING_SHARE.source,
        wanted_force(units, 0),
        wanted_force(units, 1),
        HOLDING_FORCE.source,
        units.fine(FREE_IN_HOLE)
    );
    out.push_str(&paragraph("", &words, width));
    out
}

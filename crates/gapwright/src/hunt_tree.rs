//! A tree of measurements to go by without a phone: what to measure, and where to go on by what it reads.

use crate::hunt_print::set_in;
use crate::hunt_session::Session;
use diagnosis::candidates::most_likely_age;
use diagnosis::claims::SURE;
use diagnosis::wording::cautions;
use diagnosis::{Observation, Refused, Value};
use text::paragraph;

/// Suspects that a leaf names.
const NAMED: usize = 4;
/// Ways on from one measurement.
const WAYS: usize = 3;

/// The whole tree, each measurement with a number.
pub fn tree(session: &mut Session<'_, '_, '_>, depth: usize, width: usize) -> Result<String, Refused> {
    let layout = session.wording.job().facts.layout();
    let mut out = format!("What to measure on {layout}, up to {depth} readings deep, one fault at a time\n");
    for caution in cautions(session.kit) {
        out += &paragraph("  ! ", caution, width);
    }
    out += "Begin at 1. The ends name what is left, the likeliest first.\n";
    // Breadth first, so that numbers grow down the page.
    let mut due: std::collections::VecDeque<(usize, Vec<(diagnosis::Measurement, Value)>)> = Default::default();
    due.push_back((1, Vec::new()));
    let mut last = 1;
    while let Some((number, path)) = due.pop_front() {
        for (measurement, value) in &path {
            session.hunt.observe(Observation::Read { measurement: measurement.clone(), value: *value })?;
        }
        let block = block(session, number, &path, depth, width, &mut last, &mut due);
        path.iter().for_each(|_| session.hunt.forget_last());
        out += &block?;
    }
    Ok(out)
}

type Path = Vec<(diagnosis::Measurement, Value)>;

fn block(
    session: &mut Session<'_, '_, '_>,
    number: usize,
    path: &Path,
    depth: usize,
    width: usize,
    last: &mut usize,
    due: &mut std::collections::VecDeque<(usize, Path)>,
) -> Result<String, Refused> {
    let ranking = session.hunt.rank();
    let mut out = String::new();
    let advice = session.hunt.next(&session.pairs, &ranking)?.into_iter().next();
    let Some(advice) = advice else { return Ok(format!("\n{number:>3}  nothing more can be told with this kit\n")) };
    out += &format!("\n{number:>3}\n");
    for step in session.wording.steps(&advice.measurement) {
        out += &set_in(&step, 5, width);
    }
    let age = most_likely_age(&ranking);
    // Readings that are foreseen, in order, each with its probability.
    let most = advice.measurement.kit.errors().most;
    let mut foreseen: Vec<(f64, f64)> = Vec::new();
    for h in ranking.hypotheses.iter().take(400) {
        foreseen.push((session.hunt.foreseen(&advice.measurement, age, &h.faults)?, h.probability));
    }
    foreseen.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (open, valued): (Vec<_>, Vec<_>) = foreseen.into_iter().partition(|f| f.0 >= most);
    let groups = groups(&valued, WAYS - usize::from(!open.is_empty()));
    let mut ways: Vec<(String, Value)> = Vec::new();
    let kit = advice.measurement.kit;
    for (k, group) in groups.iter().enumerate() {
        let total: f64 = group.iter().map(|g| g.1).sum();
        let middle = group.iter().map(|g| g.0 * g.1).sum::<f64>() / total.max(1e-300);
        let value = if kit == diagnosis::Kit::Buzzer { Value::Sounds(true) } else { Value::Ohms(middle) };
        let words = match (groups.get(k + 1), kit) {
            (_, diagnosis::Kit::Buzzer) => "sounds".to_owned(),
            (Some(next), _) => {
                let (end, start) = (group[group.len() - 1].0, next[0].0);
                let cut = (end.max(1e-5) * start.max(1e-5)).sqrt();
                format!("up to {}", session.wording.reading(kit, cut))
            }
            (None, _) if k == 0 => "any value".to_owned(),
            (None, _) => "more".to_owned(),
        };
        ways.push((words, value));
    }
    if !open.is_empty() {
        let silent = kit == diagnosis::Kit::Buzzer;
        ways.push((
            kit.shown(if silent { Value::Sounds(false) } else { Value::Open }),
            if silent { Value::Sounds(false) } else { Value::Open },
        ));
    }
    for (words, value) in ways {
        session.hunt.observe(Observation::Read { measurement: advice.measurement.clone(), value })?;
        let ranking = session.hunt.rank();
        session.hunt.forget_last();
        let first = ranking.first().map_or(0.0, |f| f.probability);
        if first >= SURE || path.len() + 1 >= depth {
            let named: Vec<String> = ranking
                .ranked
                .iter()
                .filter(|r| r.probability > 0.02)
                .take(NAMED)
                .map(|r| {
                    let h = &ranking.hypotheses[r.best];
                    format!("{} ({:.0} %)", session.wording.faults(&h.faults), 100.0 * r.probability)
                })
                .collect();
            out += &paragraph(&format!("     {words}: "), &named.join("; "), width);
        } else {
            *last += 1;
            let mut on = path.clone();
            on.push((advice.measurement.clone(), value));
            due.push_back((*last, on));
            out += &format!("     {words}: go to {last}\n");
        }
    }
    Ok(out)
}

/// Readings in order parted at the widest steps, as parts of themselves.
fn groups(valued: &[(f64, f64)], most: usize) -> Vec<Vec<(f64, f64)>> {
    let mut cuts: Vec<(f64, usize)> = (1..valued.len())
        .map(|k| (((valued[k].0.max(0.0) + 1e-3) / (valued[k - 1].0.max(0.0) + 1e-3)).ln(), k))
        .filter(|cut| cut.0 > 0.5)
        .collect();
    cuts.sort_by(|a, b| b.0.total_cmp(&a.0));
    cuts.truncate(most.saturating_sub(1));
    let mut at: Vec<usize> = cuts.into_iter().map(|c| c.1).collect();
    at.sort_unstable();
    let mut found = Vec::new();
    let mut from = 0;
    for cut in at.into_iter().chain([valued.len()]) {
        if cut > from {
            found.push(valued[from..cut].to_vec());
        }
        from = cut;
    }
    found
}

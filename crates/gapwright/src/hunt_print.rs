//! What a hunt says: suspects, doubts, the next measurement, and the end.

use crate::hunt_readings::kit_word;
use crate::hunt_session::{Session, Shown};
use diagnosis::candidates::most_likely_age;
use diagnosis::claims::SURE;
use diagnosis::wording::cautions;
use diagnosis::{Advice, Kit, Ranking, Refused, odds};
use serde_json::json;
use text::paragraph;
use text::wrap::wrap;

/// What somebody may have seen, asked for first.
pub const SYMPTOM_LIST: &str = "\
What did you see? Type a line for each thing, Enter when that is all:
  road 3 dead                      no power there at all
  road 3 slow                      slow, dim, or dies under load
  road 3 dead when T3 is diverging
  road 3 slow when warm            only once the room is warm
  short when T3 is thrown          the breaker trips
  road 3 runs, everything runs     what runs is worth telling too
";

/// Below this a suspect is not named by itself.
const LEAST_NAMED: f64 = 0.005;
/// χ² leaves less than this of all sound readings as far off.
const BAD_FIT: f64 = 0.01;

/// Title and cautions.
pub fn opening(session: &Session<'_, '_, '_>, width: usize) -> String {
    let layout = session.wording.job().facts.layout();
    let mut out = format!("Hunt on {layout}, with {}\n", kit_name(session.kit));
    for caution in cautions(session.kit) {
        out += &paragraph("  ! ", caution, width);
    }
    let keys = "Type readings as the meter shows them; `s` for another measurement, `back` takes the last reading back, `q` ends.";
    out += &paragraph("", keys, width);
    out
}

fn kit_name(kit: Kit) -> &'static str {
    match kit {
        Kit::Buzzer => "a buzzer or lamp",
        Kit::Ohmmeter => "an ohmmeter",
        Kit::Bench => "a bench supply at 1 A and millivolts",
        Kit::Volts => "a load of 1 A and a voltmeter",
    }
}

/// Suspects by how likely they are, and what does not fit.
pub fn standing(session: &mut Session<'_, '_, '_>, shown: &Shown, width: usize) -> String {
    let ranking = &shown.ranking;
    let count = session.rows.len();
    let after = match count {
        0 if session.hunt.observations.is_empty() => "before anything was read".to_owned(),
        0 => "after what you saw".to_owned(),
        1 => "after 1 reading".to_owned(),
        n => format!("after {n} readings"),
    };
    let mut out = format!("\nSuspects {after}:\n");
    let (mut named, mut rest) = (0, 0);
    for ranked in &ranking.ranked {
        if named < session.most && ranked.probability >= LEAST_NAMED {
            let words = session.wording.faults(&ranking.hypotheses[ranked.best].faults);
            let untouched = ranking.hypotheses[ranked.best].untouched;
            let words = if untouched {
                let elements: Vec<String> = ranked.elements.iter().map(|e| session.wording.element(*e)).collect();
                format!("{}: not tested yet", elements.join("; "))
            } else {
                words
            };
            out += &paragraph(&format!("  {:>9}  ", odds(ranked.probability)), &words, width);
            named += 1;
        } else if ranked.probability > 1e-6 && ranked.elements.len() < 2 {
            rest += 1;
        }
    }
    if rest > 0 {
        out += &format!("  {rest} more, less likely each\n");
    }
    out += &doubts(session, ranking, width);
    out
}

fn doubts(session: &mut Session<'_, '_, '_>, ranking: &Ranking, width: usize) -> String {
    let Ok(doubted) = session.hunt.doubted(ranking) else { return String::new() };
    let mut out = String::new();
    for doubted in &doubted {
        let Some(row) = session.rows.get(doubted.reading) else { continue };
        let circuit = &session.wording.job().facts.circuit;
        let mut words = format!(
            "reading {} ({} – {}: {}) does not fit what else was read",
            doubted.reading + 1,
            row.from,
            row.to,
            row.reading
        );
        if doubted.decimal_point {
            words += "; a decimal point would explain it";
        }
        for &(control, position) in &doubted.would_fit {
            let (name, position) = circuit.literal_words(circuit::Literal { control, position });
            words += &format!("; it would fit with {name} {position}");
        }
        out += &paragraph("  ? ", &format!("{words}. Take it again."), width);
    }
    let touched = ranking.hypotheses.first().is_some_and(|h| h.likelihood.degrees > 0);
    if touched && doubted.is_empty() {
        if ranking.best_fit < BAD_FIT {
            out += &paragraph(
                "  ? ",
                "nothing the program knows explains these readings well; look for something it does not know",
                width,
            );
        } else if ranking.first().is_some_and(|f| !f.elements.is_empty() && f.probability > 0.5) {
            out += "  Everything else that was read agrees with the first of these.\n";
        }
    }
    out
}

/// Whether one suspect is as good as sure.
pub fn is_settled(shown: &Shown) -> bool {
    shown.ranking.first().is_some_and(|f| f.probability >= SURE)
}

/// The next measurement: how to take it, and what it would read.
pub fn next_measurement(
    session: &mut Session<'_, '_, '_>,
    shown: &Shown,
    advice: &Advice,
    width: usize,
) -> Result<String, Refused> {
    let mut out = format!("\nNext, about {} min:\n", advice.whole_minutes());
    for step in session.wording.steps(&advice.measurement) {
        let (label, words) = step.split_once(": ").unwrap_or(("", &step));
        out += &paragraph(&format!("  {label}: "), words, width);
    }
    for line in foreseen(session, shown, advice)? {
        out += &paragraph("  ", &line, width);
    }
    Ok(out)
}

/// What it would read: all well, then the likeliest suspects.
fn foreseen(session: &mut Session<'_, '_, '_>, shown: &Shown, advice: &Advice) -> Result<Vec<String>, Refused> {
    let age = most_likely_age(&shown.ranking);
    let kit = advice.measurement.kit;
    let range = session.hunt.well_between(&advice.measurement, age)?;
    let [low, high] = range.map(|ohms| session.wording.reading(kit, ohms));
    let well = if low == high { low } else { format!("{low} to {high}") };
    let mut lines = vec![format!("all well: {well}")];
    let mut others: Vec<(String, String)> = Vec::new();
    for ranked in shown.ranking.ranked.iter().filter(|r| !r.elements.is_empty()).take(40) {
        let h = &shown.ranking.hypotheses[ranked.best];
        let ohms = session.hunt.foreseen(&advice.measurement, h.age, &h.faults)?;
        let reading = session.wording.reading(kit, ohms);
        // Within what is well it tells nothing.
        let tells = !(range[0]..=range[1]).contains(&ohms);
        if tells && reading != well && others.len() < 2 && !others.iter().any(|o| o.0 == reading) {
            others.push((reading, session.wording.faults(&h.faults)));
        }
    }
    lines.extend(others.into_iter().map(|(reading, what)| format!("about {reading}: {what}")));
    Ok(lines)
}

/// What to look at where somebody ends a hunt before it is sure.
pub fn likeliest(session: &Session<'_, '_, '_>, shown: &Shown, width: usize) -> String {
    let first = shown.ranking.first().filter(|f| !f.elements.is_empty() && f.probability < SURE);
    first.map_or_else(String::new, |first| {
        let words = session.wording.faults(&shown.ranking.hypotheses[first.best].faults);
        let odds = odds(first.probability);
        paragraph("\nNot sure yet. Look first at the likeliest: ", &format!("{words} ({odds})."), width)
    })
}

/// The end: a claim, or why there is none; `left` are measurements that were skipped.
pub fn ending(session: &mut Session<'_, '_, '_>, shown: &Shown, left: usize, width: usize) -> Result<String, Refused> {
    let Some(first) = shown.ranking.first() else { return Ok(String::new()) };
    let mut out = String::from("\n");
    if is_settled(shown) {
        if first.elements.is_empty() {
            let excluded = session.hunt.excluded(&shown.ranking);
            let all = excluded.well.len() + excluded.untested.len();
            let words = format!(
                "Nothing is wrong with {} of {all} things. Nothing was read yet that would show a small fault in the other {}",
                excluded.well.len(),
                excluded.untested.len()
            );
            out += &paragraph("", &format!("{words}{}.", few(session, &excluded.untested)), width);
        } else {
            let words = session.wording.faults(&shown.ranking.hypotheses[first.best].faults);
            out += &paragraph("Found: ", &format!("{words}."), width);
            out += &paragraph("", "Put it right, take the last reading again, and read once more as a check.", width);
        }
        return Ok(out);
    }
    // Not settled, and nothing tells more.
    let alike: Vec<String> = shown
        .ranking
        .ranked
        .iter()
        .take_while(|r| r.probability > 0.2 * first.probability)
        .filter(|r| !r.elements.is_empty())
        .take(6)
        .map(|r| session.wording.faults(&shown.ranking.hypotheses[r.best].faults))
        .collect();
    out += match left {
        0 => "These readings cannot tell, and no further one with this kit would:\n",
        _ => "These readings cannot tell, and you left out what would tell more. As likely as each other:\n",
    };
    for words in &alike {
        out += &paragraph("  - ", words, width);
    }
    if session.kit != Kit::Bench {
        let kit = std::mem::replace(&mut session.hunt.options.kit, Kit::Bench);
        let better = session.hunt.next(&session.pairs, &shown.ranking);
        session.hunt.options.kit = kit;
        if let Some(better) = better?.first() {
            let [one, other] = better.measurement.sense.map(|node| session.wording.place(node).to_owned());
            let words =
                format!("A bench supply at 1 A and millivolts would, between {one} and {other}: `--kit bench`.");
            out += &paragraph("", &words, width);
        }
    } else {
        out += "Look at them in this order: solder again, press, or exchange.\n";
    }
    Ok(out)
}

fn few(session: &Session<'_, '_, '_>, elements: &[diagnosis::Element]) -> String {
    if elements.is_empty() {
        return String::new();
    }
    let shown: Vec<String> = elements.iter().take(4).map(|e| session.wording.element(*e)).collect();
    let more = if elements.len() > 4 { ", …" } else { "" };
    format!(": {}{more}", shown.join(", "))
}

/// A record for other programs.
pub fn json(session: &mut Session<'_, '_, '_>, shown: &Shown) -> Result<String, Refused> {
    let ranking = &shown.ranking;
    let mut suspects = Vec::new();
    for ranked in ranking.ranked.iter().filter(|r| r.probability >= LEAST_NAMED).take(session.most) {
        let h = &ranking.hypotheses[ranked.best];
        let things: Vec<String> = ranked.elements.iter().map(|e| session.wording.element(*e)).collect();
        suspects.push(json!({
            "fault": session.wording.faults(&h.faults),
            "things": things,
            "probability": round(ranked.probability),
            "tested": !h.untouched,
        }));
    }
    let ages: Vec<_> = session
        .hunt
        .ages
        .iter()
        .zip(&ranking.ages)
        .map(|((years, _), p)| json!({ "years": years, "probability": round(*p) }))
        .collect();
    let doubted: Vec<_> = session
        .hunt
        .doubted(ranking)?
        .into_iter()
        .map(|d| json!({ "reading": d.reading + 1, "probability": round(d.probability), "decimal_point": d.decimal_point }))
        .collect();
    let next = match shown.advice.first() {
        None => serde_json::Value::Null,
        Some(advice) => {
            let [from, to] = advice.measurement.sense.map(|node| session.wording.place(node).to_owned());
            json!({
                "from": from,
                "to": to,
                "setting": session.wording.set_cell(&advice.measurement),
                "pulled": session.wording.pulled_cell(&advice.measurement),
                "bits": round(advice.bits),
                "minutes": round(advice.minutes),
                "would_read": foreseen(session, shown, advice)?,
            })
        }
    };
    let record = json!({
        "layout": session.wording.job().facts.layout(),
        "kit": kit_word(session.kit),
        "readings": session.rows.len(),
        "suspects": suspects,
        "settled": is_settled(shown),
        "fit_without_a_fault": round(ranking.healthy_fit),
        "fit_of_the_first": round(ranking.best_fit),
        "ages": ages,
        "doubted_readings": doubted,
        "next": next,
        "priors_from": diagnosis::hunt::priors_from(),
        "cautions": cautions(session.kit),
    });
    Ok(serde_json::to_string_pretty(&record).unwrap_or_default() + "\n")
}

/// To four figures behind the point.
fn round(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

/// Words in lines of a width, set in.
pub fn set_in(words: &str, indent: usize, width: usize) -> String {
    let blank = " ".repeat(indent);
    wrap(words, width.saturating_sub(indent).max(20)).iter().map(|line| format!("{blank}{line}\n")).collect()
}

//! What a builder wants to know first: does anything short, is anything dead, the worst place of each
//! track, and what that depends on.

use crate::context::Context;
use crate::track_table::{amps, more_tracks, rows, table, volts, weak_tracks, without_numbers};
use crate::what_if::Worth;
use analysis::{Figures, words};
use circuit::{ControlId, Origin};
use finding::{Finding, Severity};
use handbook::quantity::Units;
use plan::Plan;
use plan::tables::Live;
use proof::DeadWhy;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// An answer to one question.
#[derive(Clone, Debug, PartialEq)]
pub struct SummaryAnswer {
    /// The question.
    pub question: &'static str,
    /// Whether all is well; none where nothing could be proved.
    pub well: Option<bool>,
    /// The answer in words.
    pub words: String,
}

/// The first lines of a report.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Summary {
    /// The layout's name.
    pub name: String,
    /// What there is: `3 tracks, 1 turnout, 2 ways, 2 settings`.
    pub extent: String,
    /// Whether the plan was understood and its numbers and proofs are here.
    pub understood: bool,
    /// The questions of the proof.
    pub answers: Vec<SummaryAnswer>,
    /// What to know of the numbers, such as ways that were not calculated.
    pub notes: Vec<String>,
    /// What each change alone would bring at the worst place of all, the most first; left empty by the review itself, since
    /// it takes one for each, see [`crate::review_for_reading`].
    pub worth: Vec<Worth>,
    figures: Option<Figures>,
    units: Units,
    /// Tracks that have no numbers, and why.
    without_numbers: Vec<(String, &'static str)>,
}

/// Inputs of the worst place that are listed.
const MOST_INPUTS: usize = 5;

impl Summary {
    pub(crate) fn of_unread(text: &str, findings: &[Finding]) -> Summary {
        let errors = findings.iter().filter(|f| f.severity == Severity::Error).count();
        let these = if errors == 1 { "its one fault" } else { "its faults" };
        Summary {
            name: plan::layout_name(text).unwrap_or_else(|| NO_NAME.to_owned()),
            notes: vec![format!("the plan is not understood yet: {these} must be fixed before anything is proved")],
            ..Summary::default()
        }
    }

    pub(crate) fn from_context(facts: &Context<'_>) -> Summary {
        let mut summary = Summary {
            units: facts.plan.units(),
            name: name_of(facts.plan),
            extent: extent(facts),
            understood: true,
            answers: answers(facts),
            figures: facts.figures().cloned(),
            without_numbers: without_numbers(facts),
            ..Summary::default()
        };
        // Inputs that no resistance comes from are facts of the layout that had to be assumed.
        let used: std::collections::BTreeSet<_> = facts.circuit.edges.iter().map(|e| e.input).collect();
        for (_, input) in facts.circuit.inputs.iter().enumerate().filter(|(id, _)| !used.contains(id)) {
            summary.notes.push(format!("you did not say {}; assumed: {}", input.name, input.value));
        }
        summary.notes.extend(facts.figures().and_then(left_out));
        if facts.figures().is_none() {
            let why = match facts.proof() {
                _ if facts.circuit.sources.is_empty() => "nothing feeds the rails",
                Ok(proof) if !proof.shorts.is_empty() => "the shorts must go first",
                _ => "a resistance cannot be used",
            };
            summary.notes.push(format!("no numbers: {why}"));
        }
        summary.notes.extend(crate::motor_notes::notes(facts));
        summary.notes.extend(crate::notes::notes(facts));
        summary
    }

    /// The whole summary, in lines of at most `width` columns where words allow it.
    pub fn render(&self, width: usize) -> String {
        format!("{}\n{}{}", self.head(), self.proved(width), self.numbers(width))
    }

    /// What the layout is called, and what there is of it.
    pub fn head(&self) -> String {
        let mut out = format!("{}\n", text::escape_control_chars(&self.name));
        if !self.extent.is_empty() {
            let _ = writeln!(out, "{}", self.extent);
        }
        out
    }

    /// What was proved, a line for each question.
    pub fn proved(&self, width: usize) -> String {
        let mut out = String::new();
        let widest = self.answers.iter().map(|a| a.question.chars().count()).max().unwrap_or(0);
        for answer in &self.answers {
            let mark = match answer.well {
                Some(true) => "ok",
                Some(false) => "NO",
                None => "??",
            };
            let label = format!("  {mark}  {:<widest$}  ", answer.question);
            out.push_str(&text::paragraph(&label, &text::escape_control_chars(&answer.words), width));
        }
        out
    }

    /// Every track's numbers, what they depend on, what would help, and everything else to know.
    pub fn numbers(&self, width: usize) -> String {
        let mut out = String::new();
        if let Some(figures) = &self.figures {
            table(&mut out, self.units, figures, &self.without_numbers);
            contributions(&mut out, figures, width);
            worth(&mut out, &self.worth, width);
        } else if !self.without_numbers.is_empty() {
            out.push_str("\nthe worst place of each track\n");
            out.push_str(&text::table(&rows(self.units, &[], &self.without_numbers)));
            more_tracks(&mut out, self.without_numbers.len());
        }
        if (self.figures.is_some() || !self.without_numbers.is_empty()) && !self.notes.is_empty() {
            out.push('\n');
        }
        for note in &self.notes {
            out.push_str(&text::paragraph("  ", note, width));
        }
        out
    }

    /// The numbers on few lines: only tracks that miss what the plan asks, and one line for the rest.
    pub fn weak_numbers(&self, width: usize) -> String {
        let mut out = String::new();
        if !self.understood {
            for note in &self.notes {
                out.push_str(&text::paragraph("  ", note, width));
            }
            return out;
        }
        for (name, why) in &self.without_numbers {
            let words = format!("{}: {why}", text::escape_control_chars(name));
            out.push_str(&text::paragraph("  ", &words, width));
        }
        if let Some(figures) = &self.figures {
            out.push_str(&weak_tracks(self.units, figures, width));
        }
        if !self.notes.is_empty() {
            let notes = match self.notes.len() {
                1 => "1 more thing to know".to_owned(),
                n => format!("{n} more things to know"),
            };
            out.push_str(&text::paragraph("  ", &format!("{notes}: add --all"), width));
        }
        out
    }
}

/// What the numbers do not tell, where not all settings could be tried.
fn left_out(figures: &Figures) -> Option<String> {
    let bounds = figures.tracks.iter().filter(|t| !t.exact).count();
    if bounds == 0 && figures.tracks_left_out == 0 {
        return None;
    }
    let tracks = if bounds == 1 { "1 track".to_owned() } else { format!("{bounds} tracks") };
    let mut words = format!(
        "the plan is too long to try every setting. For {tracks} the numbers are a bound: rail that is always fed, with \
         every contact open (no setting is worse); rail that contacts feed, the worst of the settings that were tried"
    );
    match figures.tracks_left_out {
        0 => {}
        1 => words.push_str(". 1 track has no numbers"),
        n => {
            let _ = write!(words, ". {n} tracks have no numbers");
        }
    }
    Some(words)
}

/// What a plan is called that has no name.
const NO_NAME: &str = "a plan without a name";

fn name_of(plan: &Plan) -> String {
    plan.layout.as_ref().map_or(NO_NAME, |l| l.value.name.value.as_str()).to_owned()
}

fn extent(facts: &Context<'_>) -> String {
    let count = |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    let settings = settings(&facts.circuit);
    let ways = facts.ways().list.len();
    let ways = if facts.ways().complete { count(ways, "route", "routes") } else { format!("{ways} routes or more") };
    let plan = facts.plan;
    let others = plan.crossing.len() + plan.slip.len() + plan.three_way.len() + plan.turntable.len();
    let others = if others > 0 { format!(", {others} of other trackwork") } else { String::new() };
    format!(
        "{}, {}{others}, {ways}, {settings}",
        count(plan.track.len(), "track", "tracks"),
        count(plan.turnout.len(), "turnout", "turnouts"),
    )
}

/// How many settings there are. What settles by itself is not set by anybody.
fn settings(circuit: &circuit::Circuit) -> String {
    let set: Vec<ControlId> =
        ControlId::all(circuit.controls.len()).filter(|&c| !circuit.controls[c].settles).collect();
    let positions = |control: ControlId| circuit.controls[control].positions.len().max(1);
    let all = set.iter().try_fold(1usize, |all, &c| all.checked_mul(positions(c)));
    let Some(all) = all.filter(|&all| all <= 1 << 20) else {
        let digits: f64 = set.iter().map(|&c| (positions(c) as f64).log2()).sum();
        return format!("2^{digits:.0} settings");
    };
    let there = |mut number: usize| {
        let mut setting = vec![None; circuit.controls.len()];
        for &c in &set {
            setting[c] = Some((number % positions(c)) as u8);
            number /= positions(c);
        }
        circuit.is_legal(&setting)
    };
    let number = if circuit.illegal.is_empty() { all } else { (0..all).filter(|&n| there(n)).count() };
    format!("{number} {}", if number == 1 { "setting" } else { "settings" })
}

fn answers(facts: &Context<'_>) -> Vec<SummaryAnswer> {
    let Ok(proof) = facts.proof() else {
        return vec![SummaryAnswer { question: "proved", well: None, words: "nothing: see below".to_owned() }];
    };
    let all = if facts.circuit.controls.is_empty() { "as it stands" } else { "in any setting" };
    let answer = |question, faults: usize, well: String, ill: String| SummaryAnswer {
        question,
        well: Some(faults == 0),
        words: if faults == 0 { well } else { ill },
    };
    let own = proof.shorts.iter().filter(|s| s.poles[0].source == s.poles[1].source).count();
    let met = proof.shorts.len() - own;
    let longest = crate::rules::longest_dead(facts);
    let long = |d: &&proof::Dead| d.pieces.iter().any(|p| p.to - p.from > longest);
    let dead: Vec<_> = proof.dead.iter().filter(|d| d.why == DeadWhy::SamePole || long(d)).collect();
    let short_dead = proof.dead.len() - dead.len();
    let mut answers = vec![
        answer(
            "no short",
            own,
            format!("nothing shorts {all}"),
            format!("{own} {} to a short", if own == 1 { "cause leads" } else { "causes lead" }),
        ),
        answer(
            "every rail on its phase",
            proof.wrong_phases.len(),
            "every rail is on the conductor the plan says".to_owned(),
            format!("{} can get the wrong pole", pieces(proof.wrong_phases.len())),
        ),
        answer(
            "gaps safe to cross",
            proof.bridges.len(),
            "both sides of every gap agree under a train".to_owned(),
            format!("{} of {} join opposite poles under a train", proof.bridges.len(), facts.circuit.gaps.len()),
        ),
        answer(
            "no dead rail",
            dead.len(),
            match short_dead {
                0 => "every rail under a train is live".to_owned(),
                n => format!("none that would stop a train; {n} short"),
            },
            format!("{} dead under a train", pieces(dead.len())),
        ),
    ];
    if facts.circuit.sources.len() > 1 {
        let well = "no two supplies can be joined".to_owned();
        answers.push(answer("supplies apart", met, well, format!("{met} can be joined")));
    }
    if facts.circuit.breakers.len() > 1 {
        let well = "each breaker guards its own district".to_owned();
        let n = proof.joined.len();
        answers.push(answer(
            "districts apart",
            n,
            well,
            format!("{n} {} joined", if n == 1 { "pair is" } else { "pairs are" }),
        ));
    }
    for storage in facts.plan.storage.iter() {
        let of_it = |name: &String| storage.value.tracks.iter().any(|t| t.value == *name);
        // A track with both rails on one pole has none to give, though each rail is joined to one when wanted.
        let on_one_pole = proof.dead.iter().filter(|dead| dead.why == DeadWhy::SamePole);
        let on_one_pole = on_one_pole.flat_map(|dead| dead.pieces.iter().map(|piece| piece.segment));
        let tracks: BTreeSet<usize> = proof.storage.iter().map(|f| f.track).chain(on_one_pole).collect();
        let names = tracks.into_iter().map(|track| facts.circuit.segments[track].name.clone());
        let faulty: Vec<String> = names.filter(of_it).collect();
        let well = format!(
            "{} live exactly when wanted (`{}`)",
            match (facts.plan.storage.len(), &storage.value.tracks.items[..]) {
                (1, [_]) => "the track is".to_owned(),
                (1, _) => "all tracks are".to_owned(),
                (_, [one]) => format!("{} is", one.value),
                (_, all) => {
                    let names: Vec<String> = all.iter().map(|t| t.value.clone()).collect();
                    format!("{} are", words::list(&names))
                }
            },
            storage.value.live.value.word()
        );
        answers.push(match storage.value.live.value {
            Live::ByHand => SummaryAnswer {
                question: "storage",
                well: None,
                words: "switched by hand: nothing to prove".to_owned(),
            },
            _ => answer("storage", faulty.len(), well, format!("against the policy: {}", words::list(&faulty))),
        });
    }
    // Of settings without a short alone it is asked what else is right: where there is none, nothing is proved.
    let always: Vec<_> = proof.shorts.iter().filter(|short| short.witness.setting.is_empty()).collect();
    if !always.is_empty() {
        let shorted = always.iter().any(|short| short.poles[0].source == short.poles[1].source);
        let what = if shorted { "something is shorted" } else { "two supplies are joined" };
        let unasked =
            |a: &&mut SummaryAnswer| a.well == Some(true) && !matches!(a.question, "no short" | "supplies apart");
        for answer in answers.iter_mut().filter(unasked) {
            answer.well = None;
            answer.words = format!("not proved: {what} in every setting");
        }
    }
    answers
}

fn pieces(n: usize) -> String {
    if n == 1 { "1 piece of rail".to_owned() } else { format!("{n} pieces of rail") }
}

/// What would lift the worst place of all.
fn worth(out: &mut String, worth: &[Worth], width: usize) {
    if worth.is_empty() {
        return;
    }
    out.push_str("\nwhat would help most there, each alone\n");
    for change in worth {
        let more = format!("  +{}, +{} if shorted  ", volts(change.volts), amps(change.amps));
        out.push_str(&text::paragraph(&more, &text::escape_control_chars(&change.says), width));
    }
}

/// What the worst place of all depends on.
fn contributions(out: &mut String, figures: &Figures, width: usize) {
    let Some(worst) = figures.worst.map(|w| &figures.tracks[w]) else { return };
    if figures.contributions.is_empty() {
        return;
    }
    let _ =
        writeln!(out, "\nwhere the voltage is lost on {}, the worst of them", text::escape_control_chars(&worst.name));
    if let Some(kept) = worst.told_detector_volts() {
        let kept = format!("{} stays in the diodes of the detector; of the rest:", volts(kept));
        out.push_str(&text::paragraph("  ", &kept, width));
    }
    let listed = &figures.contributions[..figures.contributions.len().min(MOST_INPUTS)];
    let name_width = listed.iter().map(|h| h.name.chars().count()).max().unwrap_or(0).min(width / 2);
    for part in listed {
        let who = match &part.origin {
            Origin::Plan(_) => "your plan".to_owned(),
            Origin::Handbook(_) => "handbook".to_owned(),
            Origin::Default(_) => "default".to_owned(),
        };
        let swing = if part.swing_volts >= 0.005 {
            format!(", uncertain by {}", volts(part.swing_volts))
        } else {
            String::new()
        };
        let _ = writeln!(
            out,
            "  {:>3.0} %  {:<name_width$}  {}  {who}{swing}",
            part.share * 100.0,
            text::escape_control_chars(&part.name),
            part.value
        );
    }
}

//! What a finding is, and in which order findings are reported.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::edit::Edit;
use crate::place::Place;

/// One fault, or one thing worth knowing, in a plan.
///
/// The message starts in lower case, has no full stop and makes sense alone, in one line on a phone. Texts may name
/// things from the plan as they stand there; renderers make control characters visible.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Kebab-case, names the fault, never changes.
    pub name: &'static str,
    /// What it means for building the layout; decides the exit status.
    pub severity: Severity,
    /// What it does if left; decides the order.
    pub harm: Harm,
    /// The fact.
    pub message: String,
    /// The smallest place that shows it; none if it is about the plan as a whole.
    pub at: Option<FindingLabel>,
    /// Other places that matter.
    pub also: Vec<FindingLabel>,
    /// The setting and the path that show it, if it came from the proof.
    pub witness: Option<FindingWitness>,
    /// Reasons and numbers, one sentence each.
    pub facts: Vec<String>,
    /// What to do, in a sentence.
    pub help: Option<String>,
    /// The same as an edit of the plan.
    pub proposal: Option<Proposal>,
}

/// What a finding means for building the layout, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The layout must not be built like this, or the plan cannot be read.
    Error,
    /// It can be built, and will be regretted.
    Warning,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word in front of a message.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

/// What a fault does if it is left, in the order findings are reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Harm {
    /// The plan cannot be understood here, so that nothing can be said of what follows from it.
    Unclear,
    /// Heat: current where it must not flow, or protection that does not act.
    CanBurn,
    /// A train stands still or is put off the rails.
    CanStop,
    /// It holds today and not for ever.
    WillAge,
    /// No harm; good to know.
    GoodToKnow,
}

impl Harm {
    /// The heading over the findings that do this harm.
    pub fn heading(self) -> &'static str {
        match self {
            Harm::Unclear => "what cannot be understood",
            Harm::CanBurn => "what can burn",
            Harm::CanStop => "what can stop a train",
            Harm::WillAge => "what will age",
            Harm::GoodToKnow => "good to know",
        }
    }
}

/// A place and what there is to say about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FindingLabel {
    /// Where.
    pub place: Place,
    /// A few words, lower case, no full stop; may be empty.
    pub words: String,
    /// Where what it is about stands among the tables that composites of the plan stand for, if it is one of them; `place` is
    /// then where the builder wrote it.
    pub expanded: Option<Place>,
}

impl FindingLabel {
    /// These words at this place.
    pub fn new(place: Place, words: impl Into<String>) -> FindingLabel {
        FindingLabel { place, words: words.into(), expanded: None }
    }
}

/// What shows that a finding is true: somebody can set the layout so and follow the current with a finger.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FindingWitness {
    /// Control and position, such as `T1`, `diverging`; controls that do not matter are left out.
    pub setting: Vec<(String, String)>,
    /// Named pieces the current passes, from pole to pole.
    pub path: Vec<String>,
}

/// A fix, as words and as edits of the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// What the edits do, in the trade's words.
    pub says: String,
    /// The edits; they are made together or not at all.
    pub edits: Vec<Edit>,
}

impl Finding {
    /// A finding with nothing but its message.
    pub fn new(severity: Severity, name: &'static str, harm: Harm, message: impl Into<String>) -> Finding {
        debug_assert!(is_kebab_case(name), "a finding's name is kebab-case: {name:?}");
        Finding {
            name,
            severity,
            harm,
            message: message.into(),
            at: None,
            also: Vec::new(),
            witness: None,
            facts: Vec::new(),
            help: None,
            proposal: None,
        }
    }

    /// The layout must not be built like this, or the plan cannot be read.
    pub fn error(name: &'static str, harm: Harm, message: impl Into<String>) -> Finding {
        Finding::new(Severity::Error, name, harm, message)
    }

    /// It can be built, and will be regretted.
    pub fn warning(name: &'static str, harm: Harm, message: impl Into<String>) -> Finding {
        Finding::new(Severity::Warning, name, harm, message)
    }

    /// Worth knowing.
    pub fn note(name: &'static str, harm: Harm, message: impl Into<String>) -> Finding {
        Finding::new(Severity::Note, name, harm, message)
    }

    /// The smallest place that shows the fault, and a few words for it.
    #[must_use]
    pub fn at(mut self, place: impl Into<Place>, words: impl Into<String>) -> Finding {
        self.at = Some(FindingLabel::new(place.into(), words));
        self
    }

    /// Another place that matters.
    #[must_use]
    pub fn also(mut self, place: impl Into<Place>, words: impl Into<String>) -> Finding {
        self.also.push(FindingLabel::new(place.into(), words));
        self
    }

    /// The setting and the path that show the fault.
    #[must_use]
    pub fn witness(mut self, witness: FindingWitness) -> Finding {
        self.witness = Some(witness);
        self
    }

    /// A reason or a number.
    #[must_use]
    pub fn fact(mut self, fact: impl Into<String>) -> Finding {
        self.facts.push(fact.into());
        self
    }

    /// What to do.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Finding {
        self.help = Some(help.into());
        self
    }

    /// The fix as edits of the plan, and what they do.
    #[must_use]
    pub fn proposal(mut self, says: impl Into<String>, edits: Vec<Edit>) -> Finding {
        self.proposal = Some(Proposal { says: says.into(), edits });
        self
    }

    /// The place at fault, if the finding has one.
    pub fn place(&self) -> Option<&Place> {
        self.at.as_ref().map(|label| &label.place)
    }

    /// What findings are sorted by. A finding without a place is about the whole plan and comes after those with one;
    /// the message is there so that the order does not depend on the order of discovery.
    pub fn order(&self) -> (Harm, Severity, usize, usize, &'static str, &str) {
        let (start, end) = self.place().map_or((usize::MAX, usize::MAX), |place| (place.span.start, place.span.end));
        (self.harm, self.severity, start, end, self.name, &self.message)
    }
}

/// Puts findings in the order they are reported: by harm, then severity, then place, then name.
pub fn sort(findings: &mut [Finding]) {
    findings.sort_by(|left, right| left.order().cmp(&right.order()));
}

/// Removes findings that say the same again: same name, same place, same message. The first one stays.
pub fn dedup(findings: &mut Vec<Finding>) {
    let mut seen = BTreeSet::new();
    findings.retain(|finding| {
        let place = finding.place().map(|place| (place.span.start, place.span.end));
        seen.insert((finding.name, place, finding.message.clone()))
    });
}

fn is_kebab_case(name: &str) -> bool {
    !name.is_empty()
        && name
            .split('-')
            .all(|word| !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn messages(findings: &[Finding]) -> Vec<&str> {
        findings.iter().map(|finding| finding.message.as_str()).collect()
    }

    #[test]
    fn told_by_harm_then_severity_then_place_then_name() {
        let mut findings = vec![
            Finding::note("seen", Harm::GoodToKnow, "9 last").at(Place::point(0), ""),
            Finding::error("gap-closes", Harm::WillAge, "8 ages"),
            Finding::warning("dead-rail", Harm::CanStop, "7 stops").at(Place::point(1), ""),
            Finding::warning("thin-wire", Harm::CanBurn, "6 a warning comes after the errors").at(Place::point(2), ""),
            Finding::error("short-circuit", Harm::CanBurn, "5 no place"),
            Finding::error("short-circuit", Harm::CanBurn, "4 later name").at(Place::new(7..9), ""),
            Finding::error("pole-swap", Harm::CanBurn, "3 earlier name").at(Place::new(7..9), ""),
            Finding::error("short-circuit", Harm::CanBurn, "2 earlier place").at(Place::new(3..9), ""),
            Finding::note("unknown-key", Harm::Unclear, "1 first").at(Place::point(99), ""),
        ];
        sort(&mut findings);
        let first_letters: String = findings.iter().filter_map(|finding| finding.message.chars().next()).collect();
        assert_eq!(first_letters, "123456789", "{:#?}", messages(&findings));
    }

    #[test]
    fn the_same_said_twice_is_said_once() {
        let short = Finding::error("short-circuit", Harm::CanBurn, "A meets B").at(Place::point(4), "here");
        let mut findings = vec![
            short.clone().fact("first"),
            Finding::note("seen", Harm::GoodToKnow, "between"),
            short.clone().fact("second"),
            short.clone().at(Place::point(5), "elsewhere"),
            Finding { message: "C meets D".into(), ..short },
        ];
        dedup(&mut findings);
        assert_eq!(messages(&findings), ["A meets B", "between", "A meets B", "C meets D"]);
        assert_eq!(findings[0].facts, ["first"]);
    }

    #[test]
    fn names_are_kebab_case() {
        assert!(is_kebab_case("short-circuit") && is_kebab_case("two-supplies-2"));
        for wrong in ["", "-", "Short", "short_circuit", "short--circuit", "-short", "é"] {
            assert!(!is_kebab_case(wrong), "{wrong:?}");
        }
    }

    #[test]
    fn harms_are_told_gravest_first() {
        let harms = [Harm::Unclear, Harm::CanBurn, Harm::CanStop, Harm::WillAge, Harm::GoodToKnow];
        assert!(harms.is_sorted());
        assert!([Severity::Error, Severity::Warning, Severity::Note].is_sorted());
    }

    proptest! {
        #[test]
        fn order_does_not_depend_on_discovery(picks in proptest::collection::vec((0usize..5, 0usize..3, 0usize..4, 0usize..3), 0..12),
                                              turn in 0usize..12) {
            let harms = [Harm::Unclear, Harm::CanBurn, Harm::CanStop, Harm::WillAge, Harm::GoodToKnow];
            let severities = [Severity::Error, Severity::Warning, Severity::Note];
            let names = ["short-circuit", "pole-swap", "dead-rail"];
            let mut findings: Vec<Finding> = picks.iter().map(|&(harm, severity, place, name)| {
                let finding = Finding::new(severities[severity], names[name], harms[harm], format!("m{place}"));
                if place == 0 { finding } else { finding.at(Place::point(place), "") }
            }).collect();
            let mut turned = findings.clone();
            if !turned.is_empty() {
                let by = turn % turned.len();
                turned.rotate_left(by);
            }
            sort(&mut findings);
            sort(&mut turned);
            prop_assert_eq!(findings, turned);
        }
    }
}

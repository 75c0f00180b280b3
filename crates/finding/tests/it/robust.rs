//! Whatever the plan and the places are, every renderer comes back with something that can be shown.

use finding::{
    Edit, Finding, FindingLabel, FindingWitness, Harm, Place, Severity, Style, apply, render_concise, render_full,
    to_record, to_records,
};
use proptest::prelude::*;

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ab =\"\\[\\]\n]{0,60}",
        "[a\u{feff}\r\n\tΩ線\u{301}\u{200d}\u{1b}\u{202e}\u{9b}\u{0}🚂]{0,40}",
        "\\PC{0,30}",
        any::<String>(),
        ("[a\n]{0,4}", 0usize..3000, "[bΩ\n]{0,4}").prop_map(|(a, times, b)| format!("{a}{}{b}", "x \t".repeat(times))),
        (0usize..3000).prop_map(|times| "\n".repeat(times)),
    ]
}

fn place() -> impl Strategy<Value = Place> {
    prop_oneof![
        (0usize..60, 0usize..60).prop_map(|(start, end)| Place::new(start..end)),
        (0usize..9000, 0usize..9000).prop_map(|(start, end)| Place::new(start..end)),
        (any::<usize>(), any::<usize>()).prop_map(|(start, end)| Place::new(start..end)),
        Just(Place::new(0..usize::MAX)),
    ]
}

fn label() -> impl Strategy<Value = FindingLabel> {
    (place(), text()).prop_map(|(place, words)| FindingLabel::new(place, words))
}

fn finding() -> impl Strategy<Value = Finding> {
    let harms = [Harm::Unclear, Harm::CanBurn, Harm::CanStop, Harm::WillAge, Harm::GoodToKnow];
    let severities = [Severity::Error, Severity::Warning, Severity::Note];
    let names = ["short-circuit", "a-name-that-is-longer-than-a-phone-is-wide-on-its-longer-side", "x"];
    let witness = (prop::collection::vec((text(), text()), 0..4), prop::collection::vec(text(), 0..4), 0usize..50);
    let edits = prop::collection::vec((place(), text()).prop_map(|(place, text)| Edit { place, text }), 0..4);
    (
        (
            prop::sample::select(severities.to_vec()),
            prop::sample::select(names.to_vec()),
            prop::sample::select(harms.to_vec()),
            text(),
        ),
        prop::option::of(label()),
        prop::collection::vec(label(), 0..12),
        prop::option::of(witness),
        prop::collection::vec(text(), 0..3),
        prop::option::of(text()),
        prop::option::of((text(), edits)),
    )
        .prop_map(|((severity, name, harm, message), at, also, witness, facts, help, proposal)| {
            let mut finding = Finding::new(severity, name, harm, message);
            finding.at = at;
            finding.also = also;
            finding.witness = witness.map(|(setting, path, more)| FindingWitness {
                setting,
                path: path.into_iter().chain((0..more).map(|piece| format!("piece {piece}"))).collect(),
            });
            finding.facts = facts;
            finding.help = help;
            match proposal {
                Some((says, edits)) => finding.proposal(says, edits),
                None => finding,
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, ..ProptestConfig::default() })]

    #[test]
    fn nothing_panics_and_nothing_is_obeyed(
        source in text(),
        path in text(),
        findings in prop::collection::vec(finding(), 0..3),
        width in prop_oneof![0usize..200, Just(usize::MAX)],
        most in 0usize..4,
    ) {
        let full = render_full(&findings, &source, &path, Style { color: false, width, most, source: true });
        for told in [&full, &render_concise(&findings, &source, &path)] {
            let obeyed = |c: char| (c.is_control() && c != '\n') || ('\u{202a}'..='\u{202e}').contains(&c);
            prop_assert!(!told.contains(obeyed), "{:?}", told);
            prop_assert!(told.is_empty() || told.ends_with('\n'));
        }
        prop_assert_eq!(render_concise(&findings, &source, &path).lines().count(), findings.len());
        render_full(&findings, &source, &path, Style { color: true, width, most, source: true });

        let records = to_records(&findings, &source);
        for (finding, record) in findings.iter().zip(&records) {
            prop_assert_eq!(&to_record(finding, &source), record);
            for place in record.labels.iter().map(|label| &label.place) {
                prop_assert!(source.get(place.byte_start..place.byte_end).is_some());
                prop_assert!((place.line, place.column) <= (place.end_line, place.end_column));
            }
            if let Some(proposal) = &finding.proposal {
                let _ = apply(&source, &proposal.edits);
            }
        }
    }

    #[test]
    fn the_same_findings_are_told_the_same_in_any_order(
        source in text(),
        findings in prop::collection::vec(finding(), 0..4),
    ) {
        // Findings that agree in everything the order looks at keep the order they came in; leave one of them.
        let mut findings = findings;
        finding::dedup(&mut findings);
        findings.dedup_by(|a, b| a.message == b.message);
        let mut backwards = findings.clone();
        backwards.reverse();
        prop_assert_eq!(render_concise(&findings, &source, "p"), render_concise(&backwards, &source, "p"));
    }
}

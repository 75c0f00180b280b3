//! What entries of a logbook are about is found again, whatever things are called and wherever they moved.

use crate::common::{PLANS, text_of};
use commissioning::entry_keys::{task_keys, test_keys};
use commissioning::{TestLoad, explain::explanations, warmth::per_kelvin, work};
use oracle::rewrite::Rewrite;
use schedule::entry_keys::{EarlierTexts, key_text, things_text};
use schedule::test_numbers::{TestKey, TestKeys};
use schedule::things::Things;
use schedule::{Choices, Job};
use std::collections::BTreeSet;

/// Keys of tests and tasks of a text, as texts, and its things.
struct Known {
    keys: Vec<TestKey>,
    texts: Vec<String>,
    things: Things,
    /// What papers call them.
    names: Vec<String>,
}

fn known(text: &str) -> Known {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}", reading.findings);
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let job = Job::new(facts, Choices::default());
    let done = work(&job, TestLoad::default()).unwrap();
    let keys = TestKeys::new(&job);
    let tests = || done.cold.tests.iter().chain(&done.hot.tests);
    let mut all = test_keys(&job, &keys, tests());
    all.extend(task_keys(&job, &keys, &done.tasks));
    let names = tests().map(|test| test.name.clone()).chain(done.tasks.iter().map(|task| task.name.clone()));
    let texts = all.iter().map(|key| key_text(key, keys.things())).collect();
    Known { texts, keys: all, names: names.collect(), things: keys.things().clone() }
}

fn entries(revision: &str, known: &Known) -> Vec<(String, String)> {
    known.texts.iter().map(|text| (revision.to_owned(), text.clone())).collect()
}

fn earlier(texts: &[(&str, &Known)]) -> Vec<(String, String)> {
    texts.iter().map(|(revision, known)| ((*revision).to_owned(), things_text(&known.things))).collect()
}

#[test]
fn each_test_and_job_has_a_key_of_its_own() {
    for name in PLANS {
        let known = known(&text_of(name));
        let different: BTreeSet<&String> = known.texts.iter().collect();
        assert_eq!(different.len(), known.texts.len(), "{name}");
        assert!(known.texts.iter().all(|text| !text.contains(['\n', '\r'])));
    }
}

#[test]
fn what_was_written_is_found_after_everything_was_renamed_again_and_again() {
    for name in PLANS {
        let first = known(&text_of(name));
        let hostile = |form: &'static str| {
            let mut rewrite = Rewrite::from_text(&text_of(name));
            rewrite.rename(|_, index| form.replace('#', &index.to_string()));
            known(&rewrite.text())
        };
        let second = hostile("#n to x, \"west\"");
        let third = hostile("#n 東側; צפון = 1");
        let found = |written: &[(String, String)], before: &[(&str, &Known)], now: &Known| {
            let found = EarlierTexts::new(now.things.clone(), &earlier(before)).found(written, &now.keys);
            for (index, found) in
                found.iter().enumerate().filter(|(index, found)| **found != Some(*index) && !before.is_empty())
            {
                println!("{}: {} is {:?}", written[index].0, written[index].1, found.map(|f| &now.texts[f]));
            }
            found
        };
        let each: Vec<Option<usize>> = (0..first.keys.len()).map(Some).collect();
        let both = [("a", &first), ("b", &second)];
        assert_eq!(found(&entries("a", &first), &both, &third), each, "{name}");
        assert_eq!(found(&entries("b", &second), &both, &third), each, "{name}");
        assert_eq!(
            found(&entries("c", &third), &[("a", &first), ("b", &second), ("c", &third)], &third),
            each,
            "{name}"
        );
        // The old text came again.
        assert_eq!(found(&entries("b", &second), &both, &first), each, "{name}");
        // Without its things an entry of other names is about nothing, and one of the same names about the same.
        assert!(
            found(&entries("a", &first), &[], &third).iter().filter(|found| found.is_some()).count() < each.len() / 4
        );
        assert_eq!(found(&entries("a", &first), &[], &first), each, "{name}");
    }
}

#[test]
fn a_feeder_that_moved_keeps_its_readings_and_its_neighbour_does_not_get_them() {
    let plan = |feeders: &str| {
        format!(
            "[layout]\nname = \"x\"\nscale = \"H0\"\n[[supply]]\nname = \"s\"\nvoltage = \"15 V\"\ntrips = {{ at = \"4 A\" }}\n\
             [[bus]]\nname = \"b\"\nsupply = \"s\"\nwire = \"2.5 mm²\"\nlength = \"6 m\"\n\
             [[track]]\nname = \"t\"\nfrom = \"buffer\"\nto = \"buffer\"\nlength = \"6 m\"\nleft = \"b.A\"\nright = \"b.B\"\nfeeders = [{feeders}]\n"
        )
    };
    let before = known(&plan("\"1 m\", \"4 m\""));
    let after = known(&plan("\"1.5 m\", \"4.5 m\""));
    // Only what is about the second feeder was ever read.
    let second = |known: &Known| {
        let about = |(name, text): &(&String, &String)| name.starts_with("cold") && text.contains("t,left,4");
        let found: Vec<String> =
            known.names.iter().zip(&known.texts).filter(about).map(|(_, text)| text.clone()).collect();
        assert!(!found.is_empty(), "{:?}", known.texts);
        found
    };
    let written: Vec<(String, String)> = second(&before).into_iter().map(|text| ("a".to_owned(), text)).collect();
    let texts = EarlierTexts::new(after.things.clone(), &earlier(&[("a", &before)]));
    for found in texts.found(&written, &after.keys) {
        let text = &after.texts[found.expect("it is found")];
        assert!(text.contains("t,left,45"), "{text}");
    }
    // A track that is gone takes its readings with it.
    let other = known(&plan("\"1 m\"").replace("name = \"t\"", "name = \"other\"").replace("6 m", "9 m"));
    let gone = EarlierTexts::new(other.things.clone(), &[]).found(&written, &other.keys);
    assert!(gone.iter().all(Option::is_none), "{gone:?}");
}

#[test]
fn what_a_spreadsheet_cut_short_and_what_is_no_key_is_about_nothing() {
    let now = known(&text_of("quay"));
    let whole = things_text(&now.things);
    let texts = EarlierTexts::new(now.things.clone(), &[("a".to_owned(), whole[..whole.len() / 2].to_owned())]);
    let written =
        ["", ",", "\"", "cold", "x,y", "cold wiring joined,\u{0},,"].map(|text| ("a".to_owned(), text.to_owned()));
    assert!(texts.found(&written, &now.keys).iter().all(Option::is_none));
}

#[test]
fn readings_are_explained_by_the_mistakes_of_the_sheet_and_warmed_by_copper_and_rail() {
    let text = text_of("thistle-dock");
    let reading = plan::read(&text);
    let job = Job::new(analysis::Analysis::of(&text, &reading.plan, &reading.names), Choices::default());
    let done = work(&job, TestLoad::default()).unwrap();
    let mut explained = 0;
    for test in &done.cold.tests {
        // What the sheet says a mistake reads is explained by that mistake, or one that reads the same.
        for mistake in test.mistakes.iter().filter(|m| !test.is_well(m.reading)) {
            let found = explanations(test, mistake.reading);
            assert_eq!(found.first().map(|m| m.reading), Some(mistake.reading), "{}: {}", test.name, mistake.what);
            explained += 1;
        }
        if let Some(expected) = test.expected {
            assert!(explanations(test, expected.typical).is_empty());
        }
        let warmth = per_kelvin(&job, test);
        assert!((0.0..=0.00393).contains(&warmth), "{}: {warmth}", test.name);
    }
    assert!(explained > 50, "{explained}");
    // A bus is copper from end to end; across a soldered joint of nickel silver there is little.
    let buses: Vec<f64> =
        done.cold.tests.iter().filter(|t| t.name.contains("the whole of it")).map(|t| per_kelvin(&job, t)).collect();
    assert!(buses.iter().all(|warmth| *warmth > 0.0039), "{buses:?}");
}

//! The closed forms for long plans against the eliminations for short ones.

use crate::common::each_demo;
use commissioning::candidates::{candidates, settings};
use commissioning::mistake::mistakes;
use commissioning::unpowered::unpowered;
use commissioning::{Age, Mistake, assess, assess_long};

#[test]
fn closed_forms_read_and_notice_what_eliminations_do() {
    let mut compared = 0;
    each_demo(|name, job| {
        let circuit = unpowered(&job.facts.circuit, Age::New);
        let (settings, mistakes) = (settings(&circuit), mistakes(&circuit));
        let of = || candidates(&circuit, &settings, true);
        let short = assess::assess(&circuit, &settings, of(), &mistakes).unwrap();
        let long = assess_long::assess(&circuit, &settings, of(), &mistakes).unwrap();
        assert_eq!(short.len(), long.len());
        for (short, long) in short.iter().zip(&long) {
            assert_eq!(short.candidate, long.candidate);
            for noticed in &long.notices {
                let mistake = &mistakes[*noticed];
                // A piece is looked for in other settings there, too, than where its chain was found.
                assert!(short.notices.contains(noticed), "{name}: {mistake:?} by {:?}", long.candidate);
            }
            for (number, ours) in &long.reads {
                let theirs = short.reads[number];
                let exchanged = matches!(mistakes[*number], Mistake::Exchanged(..));
                let same = *ours == theirs || (ours - theirs).abs() <= 1e-6 * theirs;
                assert!(same || exchanged, "{name}: {:?}: {ours}, {theirs}", mistakes[*number]);
                compared += 1;
            }
        }
    });
    assert!(compared > 2000, "{compared}");
}

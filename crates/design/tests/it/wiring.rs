//! Bare plans made whole: the review finds nothing in what is proposed.

use design::wiring::{NoWiring, ProposedWiring, propose_wiring};
use oracle::bare::{Left, bare};
use oracle::generator::{PlantedFault, sample};

fn left(proposed: &ProposedWiring) -> Vec<String> {
    proposed.left.iter().map(|f| format!("{}: {}", f.name, f.message)).collect()
}

/// Gaps, contacts and feeders against the least.
fn figures(proposed: &ProposedWiring) -> String {
    let count = |c: &design::wiring::WiringCount| match c.least {
        Some(least) => format!("{} {} (least {least})", c.count, c.what),
        None => format!("{} {}", c.count, c.what),
    };
    proposed.counts.iter().map(count).collect::<Vec<_>>().join(", ")
}

#[test]
fn bare_demos_become_whole() {
    let mut wrong = Vec::new();
    for demo in oracle::demos().expect("the demo plans") {
        for keep in [Left::Track, Left::Motors, Left::Conductors] {
            let text = bare(&demo.text, keep).expect("a bare plan");
            match propose_wiring(&text) {
                Ok(proposed) => {
                    println!("{} {keep:?}: {}", demo.name, figures(&proposed));
                    if !proposed.left.is_empty() {
                        wrong.push(format!("{} {keep:?}: {:#?}", demo.name, left(&proposed)));
                    }
                }
                Err(why) => wrong.push(format!("{} {keep:?}: {why}", demo.name)),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Random plans made bare and whole again; gives what is wrong.
fn random(seeds: std::ops::Range<u64>) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut totals = [[0_usize; 2]; 3];
    for seed in seeds {
        let grown = sample(seed, 8, PlantedFault::None);
        let text = bare(&grown.text, Left::Track).expect("a bare plan");
        match propose_wiring(&text) {
            Ok(proposed) => {
                for (total, count) in totals.iter_mut().zip(&proposed.counts) {
                    total[0] += count.count;
                    total[1] += count.least.unwrap_or(0);
                }
                if !proposed.left.is_empty() {
                    wrong.push(format!("{seed} {:?}: {:#?}", grown.parts, left(&proposed)));
                }
            }
            Err(why) => wrong.push(format!("{seed}: {why}")),
        }
    }
    println!("gaps, contacts, feeders proposed and least: {totals:?}");
    wrong
}

#[test]
fn random_bare_plans_become_whole() {
    let wrong = random(0..30);
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
#[ignore = "takes minutes"]
fn five_hundred_random_bare_plans_become_whole() {
    let wrong = random(0..500);
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn what_is_wired_is_left_alone() {
    for demo in oracle::demos().expect("the demo plans") {
        let why = propose_wiring(&demo.text).expect_err("a wired plan");
        assert!(matches!(why, NoWiring::Wired { .. }), "{}: {why}", demo.name);
    }
}

//! What a sheet calls noticed, and what it calls well, with parts drawn at random from the very bands that it was calculated with: read by
//! a general circuit simulator (ngspice).
//!
//! `GAPWRIGHT_DRAWS=20000` draws so many layouts with a mistake; a hundredth of that of sound ones, each measured by its whole sheet.

use crate::enumeration::require;
use crate::test_sheets::simulated;
use circuit::{Circuit, EdgeId, EdgeKind};
use commissioning::{Age, ColdSheet, Mistake, cold_sheet};
use electrics::Level;
use handbook::Spread;
use libtest_mimic::{Failed, Trial};
use oracle::demos;
use schedule::{Choices, Job};
use std::collections::BTreeMap;

/// Layouts with a mistake that are drawn where nothing else is said.
const DRAWS: usize = 180;
/// Of a mistake that is noticed so many of the readings must be outside the limits.
const NOTICED: f64 = 0.999;
/// Of sound layouts so many must pass the whole sheet.
const SOUND: f64 = 0.98;

pub fn trials() -> Vec<Trial> {
    vec![
        // Hundreds of layouts, each measured by its whole sheet.
        Trial::test("draws::what_is_called_noticed", noticed).with_ignored_flag(true),
        Trial::test("draws::sound_layouts_pass_their_sheet", sound).with_ignored_flag(true),
    ]
}

fn count() -> usize {
    std::env::var("GAPWRIGHT_DRAWS").ok().and_then(|n| n.parse().ok()).unwrap_or(DRAWS)
}

/// Numbers from 0 to 1 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014).
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A circuit each of whose parts is somewhere in its band, as often below as above its geometric middle.
    fn circuit(&mut self, unpowered: &Circuit) -> Circuit {
        let mut drawn = unpowered.clone();
        for edge in &mut drawn.edges {
            let Spread { low, high, .. } = edge.ohms;
            edge.ohms = Spread::exactly(low * (high / low).powf(self.next()));
        }
        drawn
    }
}

/// What kind of mistake it is, at what kind of piece.
fn kind(circuit: &Circuit, mistake: &Mistake) -> String {
    let piece = |edge: EdgeId| -> EdgeKind { circuit.edges[edge].kind };
    match *mistake {
        Mistake::Open(edge) => format!("open {:?}", piece(edge)),
        Mistake::Resistive(edge) => format!("an ohm in {:?}", piece(edge)),
        Mistake::Bridged(..) => "bridged gap".to_owned(),
        Mistake::Exchanged(edge, _) => format!("exchanged {:?}", piece(edge)),
    }
}

fn sheets() -> Result<Vec<(String, Circuit, ColdSheet)>, Failed> {
    let mut sheets = Vec::new();
    for demo in &demos()? {
        let facts = analysis::Analysis::of(&demo.text, &demo.reading.plan, &demo.reading.names);
        let job = Job::new(facts, Choices::default());
        let sheet = cold_sheet(&job, Age::New).map_err(|e| format!("{}: {e:?}", demo.name))?;
        sheets.push((demo.name.clone(), commissioning::unpowered::unpowered(&job.facts.circuit, Age::New), sheet));
    }
    Ok(sheets)
}

fn noticed() -> Result<(), Failed> {
    let sheets = sheets()?;
    // By kind: on which sheet, which mistake.
    let mut kinds: BTreeMap<String, Vec<(usize, usize)>> = BTreeMap::new();
    let (mut all, mut unnoticed) = (0, 0);
    for (s, (_, unpowered, sheet)) in sheets.iter().enumerate() {
        all += sheet.mistakes.len();
        for (m, mistake) in sheet.mistakes.iter().enumerate() {
            match sheet.noticed_by[m].is_empty() {
                true => unnoticed += 1,
                false => kinds.entry(kind(unpowered, mistake)).or_default().push((s, m)),
            }
        }
    }
    let each = count().div_ceil(kinds.len().max(1));
    let (mut draw, mut total, mut missed) = (Draw(20_261_130), 0, Vec::new());
    for (kind, list) in &kinds {
        let mut outside = 0;
        for turn in 0..each {
            let (s, m) = list[(draw.next() * list.len() as f64) as usize];
            let (name, unpowered, sheet) = &sheets[s];
            let by = &sheet.noticed_by[m];
            let test = &sheet.tests[by[turn % by.len()]];
            let made = sheet.mistakes[m].circuit_with(&draw.circuit(unpowered));
            let reading = simulated(&made, test, Level::Typical)?;
            if test.is_well(reading) {
                missed.push(format!("{name}, {}: {:?} reads {reading}", test.name, sheet.mistakes[m]));
            } else {
                outside += 1;
            }
        }
        total += each;
        require(f64::from(outside) >= NOTICED * each as f64, || {
            format!("{kind}: {outside} of {each} outside the limits: {missed:#?}")
        })?;
    }
    println!(
        "{total} draws with mistakes of {} kinds, {each} of each, {} not outside the limits; {unnoticed} of {all} mistakes are listed as \
         not surely noticed",
        kinds.len(),
        missed.len()
    );
    Ok(())
}

fn sound() -> Result<(), Failed> {
    let sheets = sheets()?;
    let each = count().div_ceil(100 * sheets.len());
    let (mut draw, mut passed, mut failed) = (Draw(30_112_026), 0, Vec::new());
    for (name, unpowered, sheet) in &sheets {
        for _ in 0..each {
            let drawn = draw.circuit(unpowered);
            let mut off = None;
            for test in &sheet.tests {
                let reading = simulated(&drawn, test, Level::Typical)?;
                // Where nothing is joined the simulator's own leak is read.
                let open = test.expected.is_some_and(|e| e.typical.is_infinite());
                if !(test.is_well(reading) || open && reading > 1e8) {
                    off = Some(format!("{name}, {}: {reading}", test.name));
                }
            }
            match off {
                None => passed += 1,
                Some(off) => failed.push(off),
            }
        }
    }
    let all = each * sheets.len();
    println!("{passed} of {all} sound layouts pass their whole sheet");
    require(f64::from(passed) >= SOUND * all as f64, || format!("{failed:#?}"))
}

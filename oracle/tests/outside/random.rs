//! Random plans, and the same with one fault planted in each, against every setting walked one by one.

use crate::enumeration::require;
use crate::walker::{Faults, Walker};
use circuit::{NodeId, PoleId};
use libtest_mimic::{Failed, Trial};
use oracle::generator::{PlantedFault, Sample, sample};
use oracle::{Demo, settings};
use plan::Pole;
use proof::{Conditions, Proof, Storage};
use std::collections::{BTreeMap, BTreeSet};

/// How many random plans are tried without a fault, and how many with each: every day, and in the long run.
const WELL: [u64; 2] = [60, 180];
const FAULTY: [u64; 2] = [12, 36];
/// Rings of short track.
const RINGS: u64 = 400;

pub fn trials() -> Vec<Trial> {
    vec![
        Trial::test("random::plans_without_a_fault", || many(&[PlantedFault::None], WELL[0])),
        Trial::test("random::plans_with_a_planted_fault", || many(&PlantedFault::ALL[1..], FAULTY[0])),
        Trial::test("random::rings_of_short_track", rings),
        Trial::test("random::many_plans_without_a_fault", || many(&[PlantedFault::None], WELL[1]))
            .with_ignored_flag(true),
        Trial::test("random::many_plans_with_a_planted_fault", || many(&PlantedFault::ALL[1..], FAULTY[1]))
            .with_ignored_flag(true),
    ]
}

/// Controls of a plan: mostly few, at times many.
fn most_controls(seed: u64) -> usize {
    match seed % 50 {
        49 => 13 + 3 * (seed as usize / 50 % 2),
        40..49 => 9,
        _ => 2 + seed as usize % 6,
    }
}

fn many(faults: &[PlantedFault], each: u64) -> Result<(), Failed> {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    let (mut walked, mut found, mut controls) = (0usize, BTreeMap::new(), BTreeMap::new());
    for &fault in faults {
        for seed in 0..each {
            let sample = sample(seed, most_controls(seed), fault);
            let demo = oracle::demo(&format!("random plan {seed} {fault:?}"), sample.text.clone())?;
            walked += compare(&demo)?;
            let told = told(&demo, &sample)?;
            require(told != (fault == PlantedFault::None), || {
                format!("{}: told {told}\n{:#?}\n{}", demo.name, prove(&demo), demo.text)
            })?;
            *found.entry(format!("{fault:?}")).or_insert(0) += usize::from(told);
            *controls.entry(demo.circuit.controls.len()).or_insert(0) += 1;
            sample.parts.iter().for_each(|part| *seen.entry(part).or_insert(0) += 1);
        }
    }
    println!("{walked} settings walked; plans by controls: {controls:?}; made of {seen:?}");
    let plans = each as usize * faults.len();
    let all: usize = found.values().sum();
    if faults == [PlantedFault::None] {
        println!("a fault reported in {all} of {plans} random plans without one");
        require(seen.len() >= 15, || format!("too few parts tried: {seen:?}"))
    } else {
        println!("a fault reported in {all} of {plans} random plans with one planted: {found:?}");
        require(all == plans, || format!("{found:?}"))
    }
}

/// Turnouts joined at random by track on which no train can wait, so that walks come back to where they began: where a train can be
/// does not depend on what was asked before.
fn rings() -> Result<(), Failed> {
    let mut walked = 0;
    for seed in 0..RINGS {
        let mut state = seed + 1;
        // Xorshift (Marsaglia, "Xorshift RNGs", 2003).
        let mut below = |most: usize| {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state % most as u64) as usize
        };
        let turnouts = 2 + below(3);
        let mut ends: Vec<String> =
            (0..turnouts).flat_map(|t| ["points", "through", "diverging"].map(|end| format!("T{t}.{end}"))).collect();
        let mut text = "[layout]\nname = \"rings\"\nscale = \"OO\"\n".to_owned();
        for turnout in 0..turnouts {
            let hand = ["left", "right"][below(2)];
            text += &format!("[[turnout]]\nname = \"T{turnout}\"\nhand = \"{hand}\"\nwiring = \"insulated-bonded\"\n");
        }
        let mut track = 0;
        while !ends.is_empty() {
            let from = ends.swap_remove(below(ends.len()));
            // An end now and then leads away.
            let to = match ends.len() {
                0 => "buffer".to_owned(),
                _ if below(6) == 0 => "buffer".to_owned(),
                left => ends.swap_remove(below(left)),
            };
            let length = if below(5) == 0 { "1 m" } else { "0.15 m" };
            text +=
                &format!("[[track]]\nname = \"t{track}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"{length}\"\n");
            track += 1;
        }
        walked += compare(&oracle::demo(&format!("ring {seed}"), text)?)?;
    }
    println!("{walked} settings walked on {RINGS} rings");
    require(walked > 4 * RINGS as usize, || format!("only {walked} settings"))
}

fn storage(demo: &Demo) -> Option<Storage> {
    analysis::storage(&demo.reading.plan, &demo.reading.names)
}

fn prove(demo: &Demo) -> Result<Proof, Failed> {
    proof::prove(&demo.circuit, storage(demo).as_ref()).map_err(|e| format!("{}: {e:?}", demo.name).into())
}

/// Whether the proof finds any fault, the dead lengths of frogs that are joined to nothing left out.
fn told(demo: &Demo, sample: &Sample) -> Result<bool, Failed> {
    let proof = prove(demo)?;
    let unfed: BTreeSet<NodeId> = (demo.circuit.frogs.iter())
        .filter(|f| sample.unfed.contains(&demo.reading.plan.turnout[f.1].name.value))
        .map(|f| f.2)
        .collect();
    let conductor = proof::Conductors::from_circuit(&demo.circuit, &[]).of;
    let frogs: BTreeSet<u32> = unfed.iter().map(|&n| conductor[n]).collect();
    let dead = proof.dead.iter().any(|d| {
        let mut rails = d.pieces.iter().map(|p| {
            let stops = &demo.circuit.segments[p.segment].rails[p.side].stops;
            stops.iter().rev().find(|s| s.x <= p.from + 1e-9).map(|s| conductor[s.after])
        });
        d.why != proof::DeadWhy::NeverFed || rails.any(|r| r.is_none_or(|r| !frogs.contains(&r)))
    });
    // The one fault that is not of the circuit but of where things are.
    let beyond_fouling =
        || review::review(&demo.text).findings.iter().any(|finding| finding.name == "gap-beyond-fouling");
    Ok(dead
        || beyond_fouling()
        || !proof.shorts.is_empty()
        || !proof.wrong_phases.is_empty()
        || !proof.bridges.is_empty()
        || !proof.joined.is_empty()
        || !proof.storage.is_empty())
}

/// Conditions and faults against every setting; gives how many were walked.
fn compare(demo: &Demo) -> Result<usize, Failed> {
    let circuit = &demo.circuit;
    let walker = Walker::new(circuit);
    let conditions = Conditions::from_circuit(circuit).map_err(|e| format!("{}: {e:?}", demo.name))?;
    let same = proof::Conductors::from_circuit(circuit, &[]).of;
    let mut pairs: BTreeSet<(usize, u32)> = BTreeSet::new();
    pairs.extend(walker.of.iter().copied().zip(same));
    let both: (BTreeSet<usize>, BTreeSet<u32>) = pairs.iter().copied().unzip();
    require(pairs.len() == both.0.len() && pairs.len() == both.1.len(), || format!("{}: conductors", demo.name))?;
    let mut found = Faults { short: walker.poles_merged(), ..Faults::default() };
    let mut walked = 0;
    if !walker.poles_merged() {
        let one_of_each: BTreeMap<usize, NodeId> = NodeId::each(&walker.of).map(|(node, &c)| (c, node)).collect();
        for setting in settings(circuit) {
            let at = walker.walk(&setting);
            let place = |words: &str| format!("{} {setting:?}: {words}\n{}", demo.name, demo.text);
            for (source, live) in at.live.iter().enumerate() {
                let poles = circuit.sources.iter().flat_map(|s| s.node).map(|n| walker.of[n]);
                let poles: BTreeSet<usize> = poles.collect();
                for (&conductor, &node) in one_of_each.iter().filter(|(c, _)| !poles.contains(c)) {
                    for (pole, live) in live.iter().enumerate() {
                        let told = conditions.live(node, PoleId { source, pole: Pole::ALL[pole] }, &setting);
                        require(told == live[conductor], || place(&circuit.nodes[node].name))?;
                    }
                }
                let short = live[0][walker.of[circuit.sources[source].node[1]]];
                require(conditions.shorted(source, &setting) == short, || place("short"))?;
            }
            for (segment, &over) in at.over.iter().enumerate() {
                let told = conditions.is_route_set(segment, &setting);
                require(told == over, || place(&circuit.segments[segment].name))?;
            }
            walker.faults(&setting, &at, storage(demo).as_ref(), &mut found);
            walked += 1;
        }
    }
    let proof = prove(demo)?;
    let told = Faults {
        short: !proof.shorts.is_empty(),
        wrong_phases: proof.wrong_phases.iter().map(|w| (w.track, w.side)).collect(),
        bridges: proof.bridges.iter().map(|b| b.gap).collect(),
        dead: proof.dead.iter().flat_map(|d| d.pieces.iter().map(|p| p.segment)).collect(),
        joined: !proof.joined.is_empty(),
        storage: proof.storage.iter().map(|f| (f.track, f.live)).collect(),
    };
    // Where something is shorted in every setting, the proof goes on with the short cut.
    let always = proof.shorts.iter().any(proof::Short::always);
    let same = if always { found.short } else { found == told };
    require(same, || format!("{}: walked {found:?}\ntold {told:?}\n{}", demo.name, demo.text))?;
    Ok(walked)
}

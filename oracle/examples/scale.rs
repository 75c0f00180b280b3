//! Measures each stage on a long plan: `cargo run --release -p oracle --example scale -- yards 5000`.
use oracle::ladders::{Shape, plan};
use std::time::Instant;
fn main() {
    let shape = match std::env::args().nth(1).as_deref() {
        Some("tree") => Shape::LadderWithTree,
        Some("yards") => Shape::Yards,
        Some("double") => Shape::DoubleEnded,
        _ => Shape::Ladder,
    };
    let n: usize = std::env::args().nth(2).and_then(|s| s.parse().ok()).unwrap_or(200);
    let stages: usize = std::env::args().nth(3).and_then(|s| s.parse().ok()).unwrap_or(9);
    let text = plan(shape, n);
    println!("{shape:?} {n}: {} bytes", text.len());
    let t = Instant::now();
    let reading = plan::read(&text);
    assert!(reading.understood(), "{:#?}", &reading.findings[..1]);
    println!("read {:?}", t.elapsed());
    let t = Instant::now();
    let circuit = circuit::Circuit::of(&reading.plan, &reading.names);
    println!(
        "circuit {:?}: {} nodes {} edges {} segments {} controls",
        t.elapsed(),
        circuit.nodes.len(),
        circuit.edges.len(),
        circuit.segments.len(),
        circuit.controls.len()
    );
    if stages < 1 {
        return;
    }
    let t = Instant::now();
    let storage = review::storage(&reading.plan, &reading.names);
    let proof = proof::prove(&circuit, storage.as_ref()).unwrap();
    println!(
        "prove {:?}: {:?}; {} {} {} {} {}",
        t.elapsed(),
        proof.counts,
        proof.shorts.len(),
        proof.wrong_phases.len(),
        proof.bridges.len(),
        proof.dead.len(),
        proof.storage.len()
    );
    if stages < 2 {
        return;
    }
    let t = Instant::now();
    let ways = circuit::ways::ways(&circuit, 500);
    println!("ways {:?}: {} {}", t.elapsed(), ways.list.len(), ways.complete);
    if stages < 3 {
        return;
    }
    let t = Instant::now();
    let review = review::review(&text);
    println!(
        "review {:?}: {} findings {:?}",
        t.elapsed(),
        review.findings.len(),
        review.findings.iter().take(3).map(|f| (&f.name, &f.message)).collect::<Vec<_>>()
    );
}

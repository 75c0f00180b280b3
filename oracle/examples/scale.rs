//! Measures each stage on a long plan: `cargo run --release -p oracle --example scale -- yards 5000`.
//! Shapes: ladder, tree, yards, double. The times are those of the processor, where the machine tells them.

use oracle::ladders::{Shape, plan};
use std::time::{Duration, Instant};

/// What the processor has worked for this program so far; the time gone by, where that is not told.
fn worked(since: Instant) -> Duration {
    let told = std::fs::read_to_string("/proc/self/schedstat").ok();
    let nanoseconds = told.and_then(|t| t.split_whitespace().next()?.parse().ok());
    nanoseconds.map_or_else(|| since.elapsed(), Duration::from_nanos)
}

fn stage<T>(since: Instant, name: &str, run: impl FnOnce() -> T, tell: impl FnOnce(&T) -> String) -> T {
    let start = worked(since);
    let done = run();
    println!("{name:8} {:9.1} ms  {}", (worked(since) - start).as_secs_f64() * 1e3, tell(&done));
    done
}

fn main() {
    let mut arguments = std::env::args().skip(1);
    let shape = match arguments.next().as_deref() {
        Some("ladder") => Shape::Ladder,
        Some("tree") => Shape::LadderWithTree,
        Some("double") => Shape::DoubleEnded,
        _ => Shape::Yards,
    };
    let turnouts = arguments.next().and_then(|n| n.parse().ok()).unwrap_or(200);
    let text = plan(shape, turnouts);
    println!("{shape:?}, {turnouts} turnouts, {} bytes", text.len());
    let since = Instant::now();
    let reading = stage(since, "read", || plan::read(&text), |r| format!("{} findings", r.findings.len()));
    let circuit = stage(
        since,
        "circuit",
        || circuit::Circuit::of(&reading.plan, &reading.names),
        |c| format!("{} nodes, {} edges, {} segments", c.nodes.len(), c.edges.len(), c.segments.len()),
    );
    let storage = review::storage(&reading.plan, &reading.names);
    let _ = stage(
        since,
        "prove",
        || proof::prove(&circuit, storage.as_ref()),
        |p| match p {
            Ok(proof) => {
                let lists = [proof.shorts.len(), proof.bridges.len(), proof.dead.len(), proof.storage.len()];
                format!("{:?}; shorts, bridges, dead, storage {lists:?}", proof.counts)
            }
            Err(e) => format!("{e:?}"),
        },
    );
    let tell = |w: &circuit::Ways| format!("{} of them, complete: {}", w.list.len(), w.complete);
    stage(since, "ways", || circuit::ways::ways(&circuit, 500), tell);
    stage(since, "review", || review::review(&text), |r| format!("{} findings", r.findings.len()));
}

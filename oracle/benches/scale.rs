//! Measures each stage on a long plan: `cargo bench -p oracle --bench scale -- yards 5000`.
//! Shapes: ladder, tree, yards, double; museum, and with faults museum-gaps and museum-feeders. With a third word, `seasons`, the plan
//! gets a room and a base, so that its rails move. The times are those of the processor, where the machine tells them.

use oracle::ladders::{LadderShape, plan};
use oracle::museum::{self, Faults};
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
    println!("{name:8} {:9.1} ms  {}", worked(since).saturating_sub(start).as_secs_f64() * 1e3, tell(&done));
    done
}

/// A hall that is heated in winter, on plywood.
const SEASONS: &str = r#"
[room]
laid    = { temperature = "18 °C", humidity = "55 %" }
coldest = { temperature = "12 °C", humidity = "65 %" }
hottest = { temperature = "28 °C", humidity = "42 %" }

[base]
material = "birch plywood"
fixing   = { pins = "150 mm" }
"#;

/// The most memory this program ever had, as the system tells it.
fn memory() -> Option<String> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    status.lines().find(|l| l.starts_with("VmHWM")).map(str::to_owned)
}

fn main() {
    let mut arguments = std::env::args().skip(1);
    let shape = arguments.next().filter(|said| said != "--bench").unwrap_or_else(|| "yards".to_owned());
    let turnouts: usize = arguments.next().and_then(|n| n.parse().ok()).unwrap_or(200);
    let museum = |faults| museum::plan(turnouts.div_ceil(museum::TURNOUTS), faults);
    let text = match shape.as_str() {
        "ladder" => plan(LadderShape::Ladder, turnouts),
        "tree" => plan(LadderShape::LadderWithTree, turnouts),
        "double" => plan(LadderShape::DoubleEnded, turnouts),
        "museum" => museum(Faults::None),
        "museum-gaps" => museum(Faults::GapsMissing(2)),
        "museum-feeders" => museum(Faults::FeedersCrossed(5)),
        _ => plan(LadderShape::Yards, turnouts),
    };
    let text = if arguments.next().as_deref() == Some("seasons") { text + SEASONS } else { text };
    println!("{shape}, {turnouts} turnouts, {} bytes", text.len());
    let since = Instant::now();
    let reading = stage(since, "read", || plan::read(&text), |r| format!("{} findings", r.findings.len()));
    let circuit = stage(
        since,
        "circuit",
        || circuit::Circuit::from_plan(&reading.plan, &reading.names),
        |c| format!("{} nodes, {} edges, {} segments", c.nodes.len(), c.edges.len(), c.segments.len()),
    );
    let storage = analysis::storage(&reading.plan, &reading.names);
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
    let _ = stage(
        since,
        "movement",
        || movement::movement(&reading.plan, &circuit),
        |m| match m {
            Ok(m) => format!("{} runs of rail, {} gaps and sliding joints", m.runs.list.len(), m.places.len()),
            Err(e) => format!("not told: {}", e.missing.join(", ")),
        },
    );
    let tell = |w: &circuit::Ways| format!("{} of them, complete: {}", w.list.len(), w.complete);
    stage(since, "ways", || circuit::ways::ways(&circuit, 500), tell);
    let count = |r: &review::Review| format!("{} findings", r.findings.len());
    let review = stage(since, "review", || review::review(&text), count);
    let mut kinds = std::collections::BTreeMap::new();
    review.findings.iter().for_each(|f| *kinds.entry(f.name).or_insert(0) += 1);
    println!("{kinds:?}; {}", memory().unwrap_or_default());
    review.findings.iter().take(4).for_each(|f| println!("{}: {}", f.name, f.message));
}

//! Resistance to ground at every position of radial and looped networks, by the kernel and by its peers, in one run:
//!
//!     python3 -m pip install numpy scipy pandapower
//!     cargo bench --locked -p oracle --bench peers
//!
//! Prints the tables of `docs/performance.md`. Needs `ngspice` and `python3` with the packages named; without any of
//! them it says which and fails. `--quick` leaves out networks of more than 1,000 positions.
use network::{Factor, Pattern, SelectedInverse};
use serde_json::{Value, json};
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::time::{Duration, Instant};

struct Network {
    n: usize,
    edges: Vec<(u32, u32)>,
    ground: Vec<u32>,
    ohms: Vec<f64>,
}

const SHAPES: [&str; 2] = ["radial", "looped"];

/// `radial`: a bus wire with branches of 20 pieces. `looped`: two rails in pieces and their two bus wires, feeders
/// every 6 pieces and a load across the rails every 20. Resistances from 0.01 to 0.11 ohm.
fn network(shape: &str, positions: usize) -> Network {
    let (n, edges, ground): (usize, Vec<(u32, u32)>, Vec<u32>) = if shape == "radial" {
        let before = |node: u32| if node.is_multiple_of(20) { node - 20 } else { node - 1 };
        (positions, (1..positions as u32).map(|node| (before(node), node)).collect(), vec![0])
    } else {
        let sections = (positions / 4) as u32;
        let across = |s: u32| {
            let feeders = s.is_multiple_of(6).then_some([(0, 2), (1, 3)]).into_iter().flatten();
            feeders.chain(s.is_multiple_of(20).then_some((0, 1))).map(move |(a, b)| (4 * s + a, 4 * s + b))
        };
        let along = |s: u32| (0..4).filter(move |_| s + 1 < sections).map(move |line| (4 * s + line, 4 * s + 4 + line));
        (4 * sections as usize, (0..sections).flat_map(|s| along(s).chain(across(s))).collect(), vec![2, 3])
    };
    let mut state = 1u64;
    let mut noise = || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    let ohms = edges.iter().map(|_| 0.01 + 0.1 * noise()).collect();
    Network { n, edges, ground, ohms }
}

/// Conductances, and memory for a warm run.
struct Warm {
    conductance: Vec<f64>,
    to_ground: Vec<f64>,
    factor: Factor,
    inverse: SelectedInverse,
}

impl Warm {
    /// Everything from the edges: order, factor, selected inverse.
    fn new(network: &Network) -> Warm {
        let pattern = Pattern::new(network.n, &network.edges, &network.ground);
        let conductance: Vec<f64> = network.ohms.iter().map(|ohms| 1.0 / ohms).collect();
        let to_ground = pattern.kept_as_ground();
        let factor = Factor::new(&pattern, &conductance, &to_ground).expect("resistances above 0");
        let inverse = factor.selected_inverse();
        Warm { conductance, to_ground, factor, inverse }
    }

    /// New values, everything else as it was.
    fn refactor(&mut self, ohms: &[f64]) {
        for (conductance, ohms) in self.conductance.iter_mut().zip(ohms) {
            *conductance = 1.0 / ohms;
        }
        self.factor.refactor(&self.conductance, &self.to_ground).expect("resistances above 0");
        self.inverse.update(&self.factor);
    }

    /// The resistance of every node.
    fn nodes(&self, resistances: &mut [f64]) {
        for (node, resistance) in resistances.iter_mut().enumerate() {
            *resistance = self.inverse.driving_point(node as u32);
        }
    }

    /// That of the worst place of every edge, which none of the peers gives.
    fn worst_places(&self, network: &Network, resistances: &mut [f64]) {
        for ((edge, resistance), &ohms) in resistances.iter_mut().enumerate().zip(&network.ohms) {
            *resistance = self.inverse.worst_place(edge, ohms).driving_point;
        }
    }
}

/// Seconds of the quickest run within half a second, at least five.
fn best(mut work: impl FnMut()) -> f64 {
    let (start, mut runs, mut best) = (Instant::now(), 0, f64::INFINITY);
    while runs < 5 || start.elapsed() < Duration::from_millis(500) {
        let start = Instant::now();
        work();
        best = best.min(start.elapsed().as_secs_f64());
        runs += 1;
    }
    best
}

/// Seconds warm, seconds for the worst places of all edges on top, and the resistance of every node.
fn warm(network: &Network) -> (f64, f64, Vec<f64>) {
    let (mut nodes, mut edges) = (vec![0.0; network.n], vec![0.0; network.edges.len()]);
    let mut kept = Warm::new(network);
    let warm = best(|| {
        kept.refactor(black_box(&network.ohms));
        kept.nodes(&mut nodes);
        black_box(&nodes);
    });
    let worst = best(|| {
        kept.worst_places(network, &mut edges);
        black_box(&edges);
    });
    (warm, worst, nodes)
}

/// Seconds and growth of the resident memory for all of it in a process that has done nothing else.
/// `--alone SHAPE N`, in a process of its own.
fn alone(shape: &str, positions: usize) -> Result<(), String> {
    let peak = || -> Result<u64, String> {
        let status = std::fs::read_to_string("/proc/self/status").map_err(|e| e.to_string())?;
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).ok_or("no VmHWM")?;
        line.trim().trim_end_matches(" kB").parse().map_err(|e| format!("{line}: {e}"))
    };
    let network = network(shape, positions);
    let mut nodes = vec![0.0; network.n];
    let (before, start) = (peak()?, Instant::now());
    let made = Warm::new(&network);
    made.nodes(&mut nodes);
    let seconds = start.elapsed().as_secs_f64();
    black_box(&nodes);
    println!("{seconds} {}", (peak()? - before) * 1024);
    Ok(())
}

/// The quickest of five processes, each of which starts from the edges, and the memory it took.
fn cold(shape: &str, positions: usize) -> Result<(f64, f64), String> {
    let me = std::env::current_exe().map_err(|e| e.to_string())?;
    let mut best = (f64::INFINITY, 0.0);
    for _ in 0..5 {
        let said = output(Command::new(&me).args(["--alone", shape, &positions.to_string()]))?;
        let (seconds, bytes) = said.split_once(' ').ok_or_else(|| format!("not two numbers: {said}"))?;
        let number = |text: &str| text.parse::<f64>().map_err(|e| format!("{text}: {e}"));
        if number(seconds)? < best.0 {
            best = (number(seconds)?, number(bytes)?);
        }
    }
    Ok(best)
}

fn output(command: &mut Command) -> Result<String, String> {
    let said = command.output().map_err(|e| format!("{command:?}: {e}"))?;
    if !said.status.success() {
        return Err(format!("{command:?}: {}\n{}", said.status, String::from_utf8_lossy(&said.stderr)));
    }
    Ok(String::from_utf8_lossy(&said.stdout).trim().to_owned())
}

fn peer(name: &str, file: &Path) -> Result<Value, String> {
    let script = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("benches/peers.py");
    let said = output(Command::new("python3").arg(script).arg(name).arg(file))?;
    serde_json::from_str(said.lines().last().unwrap_or_default()).map_err(|e| format!("{name}: {e}"))
}

fn time(seconds: f64) -> String {
    match seconds {
        s if s < 1e-3 => format!("{:.3} µs", s * 1e6),
        s if s < 1.0 => format!("{:.3} ms", s * 1e3),
        s => format!("{s:.1} s"),
    }
}

fn against_peers(quick: bool) -> Result<(), String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let file = folder.path().join("network.json");
    let mut notes = Vec::new();
    println!(
        "| network | positions | cold | warm | memory | peer | its time | cold is | warm is | its memory | difference |"
    );
    println!("|---|---:|---:|---:|---:|---|---:|---:|---:|---:|---:|");
    for shape in SHAPES {
        for positions in [200, 1_000, 10_000, 100_000].into_iter().filter(|&n| !quick || n <= 1_000) {
            let network = network(shape, positions);
            let (cold, own) = cold(shape, positions)?;
            let (warm, _, found) = warm(&network);
            let n = positions.to_string();
            let given = json!({
                "n": network.n, "ground": network.ground, "edges": network.edges, "ohms": network.ohms, "found": found
            });
            std::fs::write(&file, given.to_string()).map_err(|e| e.to_string())?;
            for name in ["ngspice", "splu", "pandapower"] {
                if name == "pandapower" && positions > 10_000 {
                    notes.push(format!(
                        "{shape} {n}: pandapower left out, its memory grows as the square of the number"
                    ));
                    continue;
                }
                let theirs = peer(name, &file)?;
                let number = |key: &str| theirs[key].as_f64().ok_or_else(|| format!("{name}: no {key}"));
                let seconds = number("seconds")?;
                println!(
                    "| {shape} | {n} | {} | {} | {:.2} MB | {name} | {} | {:.0} × | {:.2e} × | {:.1} MB | {:.0e} |",
                    time(cold),
                    time(warm),
                    own / 1e6,
                    time(seconds),
                    seconds / cold,
                    seconds / warm,
                    number("bytes")? / 1e6,
                    number("error")?
                );
                let word = |key: &str| theirs[key].as_str().unwrap_or_default().to_owned();
                notes.push(format!(
                    "{shape} {n}: {}, Python {}, {} positions measured; {}",
                    word("version"),
                    word("python"),
                    number("measured")?,
                    word("note")
                ));
            }
        }
    }
    println!("\n{}", notes.join("\n"));
    Ok(())
}

/// Asks the system's allocator for large pages of memory (GNU C library 2.35 and later).
const LARGE_PAGES: (&str, &str) = ("GLIBC_TUNABLES", "glibc.malloc.hugetlb=1");

/// How the times grow, in a process with large pages: with small ones the processor looks up the places of pages the
/// more often the larger a network is, whoever works on it. What is set in the environment stays as it is.
fn slopes(quick: bool) -> Result<(), String> {
    if std::env::var_os(LARGE_PAGES.0).is_some() {
        return slopes_here(quick);
    }
    let me = std::env::current_exe().map_err(|e| e.to_string())?;
    let asked = if quick { "--slopes-quick" } else { "--slopes" };
    let status = Command::new(&me).arg(asked).env(LARGE_PAGES.0, LARGE_PAGES.1).status().map_err(|e| e.to_string())?;
    if status.success() { Ok(()) } else { Err(format!("{}: {status}", me.display())) }
}

/// Each size has its turn in each of several rounds, so that no size has all of its runs while the machine is busy with
/// something else.
fn slopes_here(quick: bool) -> Result<(), String> {
    const ROUNDS: usize = 12;
    let sizes: &[usize] = if quick { &[1_000] } else { &[976, 3_906, 15_625, 62_500, 250_000, 1_000_000] };
    println!("\n| network | positions | cold | four times as many | warm | four times as many | worst places on top |");
    println!("|---|---:|---:|---:|---:|---:|---:|");
    for shape in SHAPES {
        let mut best = vec![[f64::INFINITY; 3]; sizes.len()];
        for _ in 0..ROUNDS {
            for (best, &positions) in best.iter_mut().zip(sizes) {
                let (warm, worst, _) = warm(&network(shape, positions));
                // A process of its own is at the mercy of the moment: the quickest of three.
                let mut cold_seconds = f64::INFINITY;
                for _ in 0..3 {
                    cold_seconds = cold_seconds.min(cold(shape, positions)?.0);
                }
                for (best, now) in best.iter_mut().zip([cold_seconds, warm, worst]) {
                    *best = best.min(now);
                }
            }
        }
        for (k, [cold, warm, worst]) in best.iter().copied().enumerate() {
            let ratio = |now: f64, of: usize| match k.checked_sub(1) {
                Some(before) => format!("{:.2} ×", now / best[before][of]),
                None => "—".to_owned(),
            };
            let (cold_ratio, warm_ratio) = (ratio(cold, 0), ratio(warm, 1));
            let (cold, warm, worst) = (time(cold), time(warm), time(worst));
            println!("| {shape} | {} | {cold} | {cold_ratio} | {warm} | {warm_ratio} | {worst} |", sizes[k]);
        }
    }
    Ok(())
}

fn main() -> ExitCode {
    // The runner says `--bench` behind what its user says.
    let arguments: Vec<String> = std::env::args().skip(1).filter(|said| said != "--bench").collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match arguments[..] {
        ["--alone", shape, positions] => {
            positions.parse().map_err(|e| format!("{positions}: {e}")).and_then(|positions| alone(shape, positions))
        }
        ["--slopes"] => slopes(false),
        ["--slopes-quick"] => slopes(true),
        [] | ["--quick"] => against_peers(!arguments.is_empty()).and_then(|()| slopes(!arguments.is_empty())),
        _ => Err("peers [--quick | --slopes]".to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

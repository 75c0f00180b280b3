//! The table of `docs/diagnosis.md`.
//!
//!     GAPWRIGHT_HUNTS=500 cargo bench -p diagnosis --bench hunts
//!
//! `GAPWRIGHT_ROW` has words of the rows that are wanted.
#![allow(clippy::unwrap_used, dead_code)]

#[path = "../tests/it/by_hand.rs"]
mod by_hand;
#[path = "../tests/it/hunt_rows.rs"]
mod hunt_rows;
#[path = "../tests/it/player.rs"]
mod player;

use diagnosis::Kit;
use hunt_rows::{PLUGS, PULL, demo, ladders, plans};
use player::row;

fn count(otherwise: usize) -> usize {
    std::env::var("GAPWRIGHT_HUNTS").ok().and_then(|n| n.parse().ok()).unwrap_or(otherwise)
}

/// Whether a row of the table is asked for.
fn is_asked(name: &str) -> bool {
    std::env::var("GAPWRIGHT_ROW").map_or(true, |words| name.contains(&words))
}

fn main() {
    table_of_ladders();
    table_of_plans();
}

fn table_of_ladders() {
    let n = count(20);
    println!(
        "case | hunts | right first | first three | first five | readings, median (90 %) | minutes | wrong of claims"
    );
    for (name, every, pull, faults, decimal) in [
        ("one feeder", 100, PULL, 1, false),
        ("feeder every 4th place", 4, PULL, 1, false),
        ("feeder at every place, plugs", 1, PLUGS, 1, false),
        ("feeder at every place, 2.5 minutes to pull one", 1, PULL, 1, false),
        ("feeder at every place, no pulling", 1, None, 1, false),
        ("one feeder, two faults", 100, PULL, 2, false),
        ("one feeder, a decimal point", 100, PULL, 1, true),
    ] {
        if is_asked(name) {
            println!("{name} | {}", row(&ladders(every, pull, faults, decimal, n)));
        }
    }
}

fn table_of_plans() {
    let n = count(20);
    println!(
        "plan, start, kit | hunts | right first | first three | first five | readings, median (90 %) | minutes | wrong of claims | by hand"
    );
    for name in ["thistle-dock-mended", "seven-tracks", "two-ladders", "balloon", "wye", "two-districts"] {
        let meant = demo(name);
        for kit in [Kit::Bench, Kit::Ohmmeter, Kit::Volts] {
            for felt in [true, false] {
                let start = if felt { "something does not run" } else { "all, a quarter of them sound" };
                if !is_asked(&format!("{name}, {start}, {kit:?}")) {
                    continue;
                }
                let (played, mut hands) = plans(&meant, kit, felt, n);
                hands.sort_by_key(|h| h.1);
                let right = hands.iter().filter(|h| h.0).count();
                println!(
                    "{name}, {start}, {kit:?} | {} | {:.0} %, {} ({})",
                    row(&played),
                    100.0 * right as f64 / n as f64,
                    hands[n / 2].1,
                    hands[(9 * n / 10).min(n - 1)].1
                );
            }
        }
    }
}

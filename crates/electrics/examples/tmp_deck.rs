#![allow(clippy::unwrap_used)]
#[path = "../tests/common/mod.rs"]
mod common;
use electrics::*;
use std::process::Command;
fn compare(c: &circuit::Circuit, setting: &[Option<u8>], level: Level, loads: &[Load]) -> (usize, f64, f64) {
    let grid = Grid::new(c, setting, level).unwrap();
    let point = grid.operating_point(loads).unwrap();
    let deck = grid.netlist(loads);
    std::fs::write("/tmp/deck.cir", &deck).unwrap();
    let out = Command::new("ngspice").args(["-b", "/tmp/deck.cir"]).output().unwrap();
    let text = String::from_utf8_lossy(&out.stdout).to_string();
    let err = String::from_utf8_lossy(&out.stderr).to_string();
    for bad in ["singular", "failed", "1 mOhm", "rror"] {
        assert!(!text.contains(bad) && !err.contains(bad), "{text} {err}");
    }
    let mut n = 0;
    let mut worst: f64 = 0.0;
    let mut worst_abs: f64 = 0.0;
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix("v(n") {
            let (id, v) = rest.split_once(") = ").unwrap();
            let v: f64 = v.trim().parse().unwrap();
            let mine = point.volts[id.parse::<usize>().unwrap()].unwrap();
            worst = worst.max((v - mine).abs() / mine.abs().max(1e-9));
            worst_abs = worst_abs.max((v - mine).abs());
            n += 1;
        }
    }
    let fed = point.volts.iter().flatten().count();
    assert_eq!(n + 1, fed, "{text}{err}");
    (n, worst, worst_abs)
}
fn main() {
    let mut random = common::noise(3);
    for trial in 0..20000 {
        let mut h = common::ByHand::default();
        for k in 0..3 {
            h.source(10.0 + 3.0 * k as f64, 0.05 + random());
        }
        let _: [u32; 60] = h.nodes();
        let n = h.0.nodes.len() as f64;
        for _ in 0..(30 + trial % 90) {
            let (a, b) = ((random() * n) as u32, (random() * n) as u32);
            if a != b {
                h.edge(a, b, 10f64.powf(-6.0 + 8.0 * random()));
            }
        }
        let loads: Vec<Load> = (0..4)
            .map(|_| Load { left: (random() * n) as u32, right: (random() * n) as u32, amps: random() })
            .collect();
        let grid = Grid::new(&h.0, &[], Level::Typical).unwrap();
        grid.operating_point(&loads).unwrap_or_else(|e| panic!("{trial} {e}"));
    }
    for trial in 0..300 {
        let mut h = common::ByHand::default();
        for k in 0..3 {
            h.source(10.0 + 3.0 * k as f64, 0.05 + random());
        }
        let _: [u32; 25] = h.nodes();
        let n = h.0.nodes.len() as f64;
        for _ in 0..(15 + trial % 40) {
            let (a, b) = ((random() * n) as u32, (random() * n) as u32);
            if a != b {
                h.edge(a, b, 10f64.powf(-3.0 + 4.0 * random()));
            }
        }
        let loads: Vec<Load> = (0..4)
            .map(|_| Load { left: (random() * n) as u32, right: (random() * n) as u32, amps: random() })
            .collect();
        let grid = Grid::new(&h.0, &[], Level::Typical).unwrap();
        let feeds: Vec<_> = loads.iter().map(|l| grid.feed_between(l.left, l.right)).collect();
        println!("{trial} {:?} {feeds:?}", compare(&h.0, &[], Level::Typical, &loads));
    }
}

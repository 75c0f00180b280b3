//! How long the numbers of a seven-track yard take: the worst of all settings at three levels.

#[path = "../tests/it/common/mod.rs"]
mod common;

use electrics::worst::WorstSearch;
use electrics::{Demand, Grid, Level};
use handbook::Spread;

fn main() {
    let yard = common::circuit(&common::yard(7), &[]);
    let ways = circuit::ways::ways(&yard, 1000);
    println!("{} nodes, {} edges, {} ways", yard.nodes.len(), yard.edges.len(), ways.list.len());
    divan::main();
}

#[divan::bench]
fn a_setting_at_three_levels(bencher: divan::Bencher<'_, '_>) {
    let yard = common::circuit(&common::yard(7), &[]);
    let zones = common::zones(&yard);
    let settings = common::Listed::new(&yard, &zones, vec![vec![0; yard.controls.len()]]);
    let demand = Demand {
        amps: 1.0,
        standing: &[],
        bridge_ohms: Spread::exactly(0.2),
        half_bit: Spread::new(55e-6, 58e-6, 61e-6),
    };
    bencher.bench_local(|| {
        let mut search = WorstSearch::new(&yard, &settings, &zones, demand, 1).expect("resistances");
        let setting = search.bound(&vec![Some(0); yard.controls.len()]).expect("a setting may be asked");
        (0..zones.len()).map(|zone| search.met(zone, setting)).collect::<Result<Vec<_>, _>>()
    });
}

#[divan::bench]
fn one_operating_point(bencher: divan::Bencher<'_, '_>) {
    let yard = common::circuit(&common::yard(7), &[]);
    let grid = Grid::new(&yard, &[], Level::Typical).expect("the yard has resistances to reckon with");
    bencher.bench_local(|| grid.operating_point(&[]));
}

//! How long the numbers of a seven-track yard take: all ways at three levels.

#[path = "../tests/common/mod.rs"]
mod common;

use electrics::{Demand, Grid, Level, figures};
use handbook::Spread;

fn main() {
    let yard = common::circuit(&common::yard(7), &[]);
    let ways = circuit::ways::ways(&yard, 1000);
    println!("{} nodes, {} edges, {} ways", yard.nodes.len(), yard.edges.len(), ways.list.len());
    divan::main();
}

#[divan::bench]
fn all_ways_at_three_levels(bencher: divan::Bencher<'_, '_>) {
    let yard = common::circuit(&common::yard(7), &[]);
    let ways = circuit::ways::ways(&yard, 1000).list;
    let demand = Demand { amps: 1.0, standing: &[], bridge_ohms: Spread::exactly(0.2) };
    bencher.bench_local(|| figures(&yard, &ways, &demand));
}

#[divan::bench]
fn one_operating_point(bencher: divan::Bencher<'_, '_>) {
    let yard = common::circuit(&common::yard(7), &[]);
    let grid = Grid::new(&yard, &[], Level::Typical).expect("the yard has resistances to reckon with");
    bencher.bench_local(|| grid.operating_point(&[]));
}

//! How long the proof of a long plan takes.

#[path = "../tests/it/common/mod.rs"]
mod common;

use oracle::ladders::LadderShape;

fn main() {
    divan::main();
}

const TURNOUTS: [usize; 4] = [50, 200, 1000, 5000];

fn prove(bencher: divan::Bencher<'_, '_>, shape: LadderShape, turnouts: usize) {
    let (circuit, storage) = common::long(shape, turnouts);
    bencher.bench_local(|| proof::prove(&circuit, storage.as_ref()).expect("the conditions stay small"));
}

#[divan::bench(args = TURNOUTS, sample_count = 10)]
fn one_ladder(bencher: divan::Bencher<'_, '_>, turnouts: usize) {
    prove(bencher, LadderShape::Ladder, turnouts);
}

#[divan::bench(args = TURNOUTS, sample_count = 10)]
fn yards_off_a_main_line(bencher: divan::Bencher<'_, '_>, turnouts: usize) {
    prove(bencher, LadderShape::Yards, turnouts);
}

#[divan::bench(args = TURNOUTS, sample_count = 10)]
fn double_ended_with_a_loop_line(bencher: divan::Bencher<'_, '_>, turnouts: usize) {
    prove(bencher, LadderShape::DoubleEnded, turnouts);
}

/// What has to be written down grows with the square here: the last road's condition names every turnout.
#[divan::bench(args = TURNOUTS, sample_count = 3)]
fn one_ladder_with_a_contact_tree(bencher: divan::Bencher<'_, '_>, turnouts: usize) {
    prove(bencher, LadderShape::LadderWithTree, turnouts);
}

//! Printed sheets of tests hold every test once, with what it reads and what each of its mistakes reads.

use crate::common::each_demo;
use commissioning::test::{TestKind, shown};
use commissioning::{Test, TestLoad, papers, work};
use schedule::paper::{Block, Cell, Paper, Table};
use std::collections::BTreeSet;

fn printed<'p>(papers: &'p [Paper], name: &str) -> Vec<&'p Table> {
    let paper = papers.iter().find(|paper| paper.name == name).unwrap();
    paper.on_sheets().iter().filter_map(|b| if let Block::Table(table) = b { Some(table) } else { None }).collect()
}

/// The numbers in words like `1, 3 to 7`.
fn expanded(words: &str) -> Vec<usize> {
    let ends = |run: &str| -> Vec<usize> { run.split(" to ").map(|n| n.parse().unwrap()).collect() };
    words.split(", ").map(ends).flat_map(|ends| ends[0]..=ends[ends.len() - 1]).collect()
}

fn numbers(tables: &[&Table]) -> Vec<usize> {
    let rows = tables.iter().filter(|table| table.columns[0].title == "no.").flat_map(|table| &table.rows);
    let mut numbers: Vec<usize> = rows.flat_map(|row| expanded(row.cells[0].shown())).collect();
    numbers.sort_unstable();
    numbers
}

fn of(tests: &[Test]) -> Vec<usize> {
    let mut numbers: Vec<usize> = tests.iter().map(|test| test.number).collect();
    numbers.sort_unstable();
    numbers
}

#[test]
fn every_test_is_printed_once() {
    each_demo(|name, job| {
        let (papers, work) = (papers(job), work(job, TestLoad::default()).unwrap());
        assert_eq!(numbers(&printed(&papers, "cold-tests")), of(&work.cold.tests), "{name}");
        assert_eq!(numbers(&printed(&papers, "hot-tests")), of(&work.hot.tests), "{name}");
        assert_eq!(numbers(&printed(&papers, "yearly-checks")), of(&work.yearly), "{name}");
        assert!(work.cold.tests.iter().all(|test| test.kind == TestKind::Cold), "{name}");
    });
}

#[test]
fn a_row_says_what_is_well_and_what_each_mistake_reads() {
    each_demo(|name, job| {
        let (papers, work) = (papers(job), work(job, TestLoad::default()).unwrap());
        let tables = printed(&papers, "cold-tests");
        let table = tables.iter().find(|table| table.name == "cold-tests").unwrap();
        let mut asked = 0;
        for (row, test) in table.rows.iter().zip(&work.cold.tests) {
            let words: Vec<&str> = row.cells.iter().map(Cell::shown).collect();
            assert_eq!(words[0], test.number.to_string(), "{name}");
            let reads = test.expected.map_or_else(String::new, |expected| shown(test.how, expected.typical));
            assert_eq!(words[4], reads, "{name}: {}", test.name);
            assert_eq!(row.cells.last(), Some(&Cell::Box), "{name}: a box for the reading");
            for mistake in &test.mistakes {
                let reading = shown(test.how, mistake.reading);
                // Of several readings of one kind the least and the most stand there.
                let told = if mistake.at_own.is_empty() {
                    words[2].contains(&mistake.what) && words[2].contains(&reading)
                } else {
                    words[6..9].iter().any(|cell| *cell == reading || cell.contains(" to "))
                };
                assert!(told, "{name}: {}: {reading}: {} is not in {words:?}", test.name, mistake.what);
                asked += 1;
            }
        }
        assert!(asked > 20, "{name}: {asked}");
        // Each piece that can be wrong is named on the row of a test that proves it.
        let all: BTreeSet<&str> = table.rows.iter().flat_map(|row| row.cells[2].shown().split(", ")).collect();
        assert!(all.len() > 10, "{name}");
    });
}

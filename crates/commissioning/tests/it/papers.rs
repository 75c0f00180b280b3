//! The papers of the demo plans: whole tables, names of their own, the same twice.

use crate::common::each_demo;
use commissioning::{TestLoad, papers, work};
use schedule::paper::{Block, Cell, Table};
use std::collections::BTreeSet;

fn tables(papers: &[schedule::paper::Paper]) -> Vec<&Table> {
    let blocks = papers.iter().flat_map(|p| &p.blocks);
    blocks.filter_map(|b| if let Block::Table(table) = b { Some(table) } else { None }).collect()
}

#[test]
fn tables_are_whole_and_hold_every_test_and_task() {
    each_demo(|name, job| {
        let papers = papers(job);
        assert_eq!(papers, commissioning::papers(job), "{name}: twice the same");
        let titles: Vec<&str> = papers.iter().map(|p| p.name.as_ref()).collect();
        assert_eq!(titles, ["work-orders", "cold-tests", "hot-tests", "yearly-checks"], "{name}");
        let tables = tables(&papers);
        let names: BTreeSet<&str> = tables.iter().map(|t| t.name.as_ref()).collect();
        assert_eq!(names.len(), tables.len(), "{name}: names of tables");
        for table in &tables {
            assert!(!table.rows.is_empty(), "{name}: {} is empty", table.name);
            assert!(table.rows.iter().all(|r| r.cells.len() == table.columns.len()), "{name}: {}", table.name);
        }
        let work = work(job, TestLoad::default()).unwrap();
        let rows =
            |wanted: &str| tables.iter().filter(|t| t.name.starts_with(wanted)).map(|t| t.rows.len()).sum::<usize>();
        assert_eq!(rows("cold-tests"), work.cold.tests.len(), "{name}");
        // Tasks that are alike are one row: `2 to 14`.
        let orders = tables.iter().filter(|t| t.name.starts_with("orders-")).flat_map(|t| &t.rows);
        let numbers: Vec<usize> = orders
            .flat_map(|row| {
                let words = row.cells[0].shown();
                let ends: Vec<usize> = words.split(" to ").map(|n| n.parse().unwrap()).collect();
                ends[0]..=*ends.last().unwrap()
            })
            .collect();
        assert_eq!(numbers, (1..=work.tasks.len()).collect::<Vec<_>>(), "{name}");
        assert_eq!(rows("yearly-checks"), work.yearly.len(), "{name}");
        // Each reading has a box to be written into, and the name that it is kept by.
        let cold = tables.iter().find(|t| t.name == "cold-tests").unwrap();
        for (row, test) in cold.rows.iter().zip(&work.cold.tests) {
            let [.., box_, kept] = row.cells.as_slice() else { panic!("{name}: a row without cells") };
            assert_eq!((box_, format!("cold {}", kept.shown())), (&Cell::Box, test.name.clone()), "{name}");
        }
    });
}

#[test]
fn what_ages_is_read_again_under_the_name_it_had() {
    each_demo(|name, job| {
        let work = work(job, TestLoad::default()).unwrap();
        assert!(!work.yearly.is_empty(), "{name}");
        for test in &work.yearly {
            let built = work.cold.tests.iter().find(|t| t.name == test.name).unwrap();
            let (new, aged) = (built.expected.unwrap(), test.expected.unwrap());
            // Ageing only adds resistance.
            let rounding = 1e-9 * new.high;
            assert!(aged.high >= new.high - rounding, "{name}: {}", test.name);
            assert!((aged.typical - new.typical).abs() <= rounding, "{name}: {}", test.name);
        }
    });
}

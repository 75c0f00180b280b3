//! Prints the papers of a plan as plain text, for reading them through: `cargo run -p schedule --example read_papers -- PLAN
//! [WORD]`, only papers whose name has the word.

use schedule::paper::{Block, Table};
use schedule::{Choices, Job};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut words = std::env::args().skip(1);
    let (text, reading) = plan::read_bytes(&std::fs::read(words.next().ok_or("which plan?")?)?);
    if !reading.understood() {
        return Err("the plan has errors".into());
    }
    let only = words.next().unwrap_or_default();
    let began = std::time::Instant::now();
    let facts = review::facts(&text, &reading.plan, &reading.names);
    let reviewed = began.elapsed();
    let job = Job::new(facts, Choices::default());
    let papers = schedule::tables::papers(&job);
    eprintln!("reviewed in {reviewed:?}, papers made after {:?}", began.elapsed());
    for paper in papers.iter().filter(|p| p.name.contains(&only)) {
        println!("\n=== {} ({})", paper.title, paper.name);
        for block in &paper.blocks {
            match block {
                Block::Heading(words) => println!("\n## {words}"),
                Block::Text(words) => println!("{words}"),
                Block::Caution(words) => println!("! {words}"),
                Block::Table(table) => print(table),
                Block::Labels(labels) => labels.iter().for_each(|l| println!("  [{} | {}]", l.number, l.says)),
                Block::NewPage => println!("----"),
                Block::Drawing(_) | Block::Template(_) => println!("(a drawing)"),
            }
        }
    }
    Ok(())
}

fn print(table: &Table) {
    let titles = table.columns.iter().map(|c| match &c.unit {
        Some(unit) => format!("{} {unit}", c.title),
        None => c.title.to_string(),
    });
    let mut rows: Vec<Vec<String>> = vec![titles.collect()];
    let mut group = None;
    for row in &table.rows {
        if row.group != group {
            group.clone_from(&row.group);
            rows.push(vec![format!("[{}]", group.as_deref().unwrap_or_default())]);
        }
        rows.push(row.cells.iter().map(|c| c.shown().to_owned()).collect());
    }
    println!("({})\n{}", table.name, review::table(&rows));
}

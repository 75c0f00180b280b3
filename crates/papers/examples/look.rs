//! Writes the sample binder in every size, to be looked at: `cargo run -p papers --example look -- DIR [ROWS]`. With rows, a wire
//! list of so many instead, and how long its forms took.

#[path = "../tests/it/sample/mod.rs"]
mod sample;

use std::path::PathBuf;
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().unwrap_or_else(|| ".".to_owned()));
    let rows: Option<usize> = arguments.next().and_then(|rows| rows.parse().ok());
    for (n, choices) in sample::all_choices().into_iter().enumerate() {
        let papers = rows.map_or_else(sample::everything, |rows| vec![sample::wire_list(rows)]);
        let binder = sample::binder(papers, choices);
        let start = Instant::now();
        let pdf = papers::pdf::pdf(&binder)?;
        let told = start.elapsed();
        let start = Instant::now();
        let files = papers::files(&binder)?;
        let all: usize = files.values().map(Vec::len).sum();
        println!(
            "{choices:?}: PDF {told:?}, {} bytes; all {} files {:?}, {all} bytes",
            pdf.len(),
            files.len(),
            start.elapsed()
        );
        std::fs::write(folder.join(format!("look-{n}.pdf")), pdf)?;
        for (name, bytes) in files.iter().filter(|(name, _)| name.starts_with("web/")) {
            std::fs::create_dir_all(folder.join(format!("look-{n}/web")))?;
            std::fs::write(folder.join(format!("look-{n}")).join(name), bytes)?;
        }
    }
    Ok(())
}

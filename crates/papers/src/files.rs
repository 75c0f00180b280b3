//! Every form of a binder as files: names below the folder they go to, and their bytes.

use crate::binder::Binder;
use crate::{PapersError, json, pdf, web, workbook};
use schedule::paper::{Block, Drawing};
use std::collections::BTreeMap;

/// The file that keeps numbers from one making of papers to the next.
pub const NUMBERS: &str = "numbers.csv";
/// The list of the files of a folder of papers, which says whose the folder is. Its lines of digests are those that
/// `sha256sum --check` reads.
pub const LIST: &str = "gapwright-papers.txt";

/// The forms of a binder. Names are relative, with `/` between folders; the same binder gives the same bytes.
///
/// Pages to print take about as long as all the others, so that they are made beside them.
pub fn files(binder: &Binder) -> Result<BTreeMap<String, Vec<u8>>, PapersError> {
    let (printed, others) = bench::at_once(|| pdf::pdf(binder), || other_files(binder));
    let mut files = BTreeMap::new();
    // Two papers of one name would be one file, and one of them lost.
    for (name, bytes) in std::iter::once(("binder.pdf".to_owned(), printed?)).chain(others?) {
        if files.insert(name.clone(), bytes).is_some() {
            return Err(PapersError::Twice(name));
        }
    }
    Ok(files)
}

fn other_files(binder: &Binder) -> Result<Vec<(String, Vec<u8>)>, PapersError> {
    let mut files = Vec::new();
    for (name, page) in web::pages(binder) {
        files.push((format!("web/{name}"), page.into_bytes()));
    }
    for table in binder.tables() {
        files.push((format!("tables/{}.csv", safe(&table.name)), schedule::csv::table_csv(table).into_bytes()));
    }
    files.push(("tables.json".to_owned(), json::tables(binder).map_err(|error| PapersError::Json(error.to_string()))?));
    if let Some(book) = workbook::workbook(binder)? {
        files.push(("tables.xlsx".to_owned(), book));
    }
    for drawing in binder.drawings() {
        files.push((format!("drawings/{}.svg", safe(&drawing.name)), drawing.svg.clone().into_bytes()));
    }
    Ok(files)
}

impl Binder {
    /// Every drawing and template of every paper.
    pub fn drawings(&self) -> impl Iterator<Item = &Drawing> {
        let blocks = self.papers.iter().flat_map(|paper| &paper.blocks);
        blocks.filter_map(|block| match block {
            Block::Drawing(drawing) | Block::Template(drawing) => Some(drawing),
            _ => None,
        })
    }
}

/// A name as a file may have it: letters, digits, `-` and `_`; what else there is becomes `-`.
pub fn safe(name: &str) -> String {
    let mapped: String = name.chars().map(|c| if c.is_alphanumeric() || "-_".contains(c) { c } else { '-' }).collect();
    let mapped: String = mapped.trim_matches('-').chars().take(80).collect();
    if mapped.is_empty() { "unnamed".to_owned() } else { mapped }
}

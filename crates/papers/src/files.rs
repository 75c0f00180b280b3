//! Every form of a binder as files: names below the folder they go to, and their bytes.

pub use crate::file_names::safe;

use crate::binder::Binder;
use crate::{PapersError, json, pdf, web, workbook};
use schedule::paper::{Block, Drawing, Table};
use std::collections::BTreeMap;

/// The file that keeps numbers from one making of papers to the next.
pub const NUMBERS: &str = "numbers.csv";
/// The sheets of the panel.
pub const BOOKLET: &str = "panel.pdf";
/// The netlist.
pub const NETLIST: &str = "netlist.cir";
/// The list of the files of a folder of papers, which says whose the folder is. Its lines of digests are those that
/// `sha256sum --check` reads.
pub const LIST: &str = "gapwright-papers.txt";

/// The forms of a binder. Names are relative, with `/` between folders; the same binder gives the same bytes.
///
/// The forms are made beside each other, those that take longest first.
///
/// # Errors
/// When a form cannot be written: a fault of ours.
pub fn files(binder: &Binder) -> Result<BTreeMap<String, Vec<u8>>, PapersError> {
    let booklet = || binder.booklet().map(|booklet| pdf::pdf(&booklet)).transpose();
    let (printed, (booklet, others)) =
        rayon::join(|| pdf::pdf(binder), || rayon::join(booklet, || other_files(binder)));
    let mut files = BTreeMap::new();
    let booklet = booklet?.map(|bytes| (BOOKLET.to_owned(), bytes));
    // Two papers of one name would be one file, and one of them lost.
    for (name, bytes) in std::iter::once(("binder.pdf".to_owned(), printed?)).chain(booklet).chain(others?) {
        if files.insert(name.clone(), bytes).is_some() {
            return Err(PapersError::Twice(name));
        }
    }
    Ok(files)
}

fn other_files(binder: &Binder) -> Result<Vec<(String, Vec<u8>)>, PapersError> {
    let tables = || -> Vec<(String, Vec<u8>)> {
        let csv =
            |table: &Table| (format!("tables/{}.csv", safe(&table.name)), schedule::csv::table_csv(table).into_bytes());
        binder.tables().map(csv).collect()
    };
    let (book, (pages, (mut files, json))) = rayon::join(
        || workbook::workbook(binder),
        || rayon::join(|| web::pages(binder), || rayon::join(tables, || json::tables(binder))),
    );
    files.extend(book?.map(|book| ("tables.xlsx".to_owned(), book)));
    files.extend(pages.into_iter().map(|(name, page)| (format!("web/{name}"), page.into_bytes())));
    files.push(("tables.json".to_owned(), json.map_err(|error| PapersError::Json(error.to_string()))?));
    if !binder.netlist.is_empty() {
        files.push((NETLIST.to_owned(), binder.netlist.clone().into_bytes()));
    }
    files.extend(binder.machine_files.iter().map(|(name, text)| (name.clone(), text.clone().into_bytes())));
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

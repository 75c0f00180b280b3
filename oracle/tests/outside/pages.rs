//! Binders of the demo plans as other programs read them: how many sheets they take, how small their letters are, whether they say
//! what is a heading, a table, a drawing.
//!
//! Limits of counts and sizes: what the project asks of its papers. Programs: poppler's `pdfinfo` and `pdftotext`. What a tagged
//! document is: ISO 32000-1, 14.8; what an accessible one must have: ISO 14289-1.

use crate::enumeration::require;
use crate::papers::{is_there, run};
use libtest_mimic::{Failed, Trial};
use schedule::{Choices, PageSize, Units};
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

pub fn trials() -> Vec<Trial> {
    let poppler = is_there("pdfinfo", "-v") && is_there("pdftotext", "-v");
    let trial = |name: &str, run: fn() -> Result<(), Failed>| {
        let ignored = !poppler && std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_none();
        Trial::test(name, run).with_ignored_flag(ignored)
    };
    vec![
        trial("pages::binders_take_few_sheets_and_no_small_letters", few_and_large),
        trial("pages::wire_lists_are_dense_and_of_nine_points", dense),
        trial("pages::documents_say_what_is_what", tagged),
    ]
}

/// The most sheets of each binder, and of the same in large print.
const MOST_SHEETS: [(&str, [usize; 2]); 9] = [
    ("balloon", [19, 38]),
    ("quay", [45, 100]),
    ("quay in feet", [49, 116]),
    ("seven-tracks", [36, 70]),
    ("thistle-dock", [18, 38]),
    ("thistle-dock-mended", [18, 38]),
    ("two-districts", [24, 50]),
    ("two-ladders", [32, 70]),
    ("wye", [24, 50]),
];
/// The smallest letters, in points, and in large print.
const SMALLEST: [f64; 2] = [8.0, 14.0];
/// The smallest letters of tables.
const SMALLEST_IN_TABLES: f64 = 9.0;

/// The demo plans, one of them in feet and inches too.
fn plans() -> Result<Vec<(String, String)>, Failed> {
    let mut plans: Vec<(String, String)> = oracle::demos()?.into_iter().map(|demo| (demo.name, demo.text)).collect();
    let feet = oracle::plans_folder().join("quay/plan-in-feet.toml");
    plans.push(("quay in feet".to_owned(), std::fs::read_to_string(feet).map_err(|e| e.to_string())?));
    Ok(plans)
}

/// The binder of a plan as a file, with the plan's own paper and units.
fn written(text: &str, large_print: bool, to: &Path) -> Result<(), Failed> {
    let reading = plan::read(text);
    let units = reading.plan.units();
    let page = if units == Units::Metric { PageSize::A4 } else { PageSize::Letter };
    let choices = Choices { page, units, large_print, ..Choices::default() };
    let (binder, _, _) = ::papers::binder_of_plan(text, reading, choices, &[], None);
    let bytes = ::papers::pdf::pdf(&binder).map_err(|e| e.to_string())?;
    Ok(std::fs::write(to, bytes).map_err(|e| e.to_string())?)
}

fn field(info: &str, name: &str) -> Option<String> {
    let line = info.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(':'))?;
    Some(line.trim().to_owned())
}

/// A word with the page it is on, counted from 1, how far down, and its size in points.
struct Word {
    page: usize,
    y: f64,
    size: f64,
    text: String,
}

fn words(path: &Path) -> Result<Vec<Word>, Failed> {
    let text = run(Command::new("pdftotext").arg("-bbox").arg(path).arg("-"))?;
    let number = |line: &str, name: &str| -> Option<f64> {
        let from = line.find(&format!("{name}=\""))? + name.len() + 2;
        line[from..].split('"').next()?.parse().ok()
    };
    let (mut page, mut found) = (0, Vec::new());
    for line in text.lines().map(str::trim) {
        page += usize::from(line.starts_with("<page "));
        if let (true, Some(from), Some(to)) = (line.starts_with("<word "), number(line, "yMin"), number(line, "yMax")) {
            let shown = line.split_once('>').and_then(|l| l.1.strip_suffix("</word>")).unwrap_or_default();
            found.push(Word { page, y: from, size: to - from, text: shown.to_owned() });
        }
    }
    Ok(found)
}

fn few_and_large() -> Result<(), Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let mut wrong = Vec::new();
    for (name, text) in plans()? {
        let (_, most) = MOST_SHEETS.iter().find(|m| m.0 == name).ok_or_else(|| format!("no limit for {name}"))?;
        for (large, &most) in most.iter().enumerate() {
            let path = folder.path().join("binder.pdf");
            written(&text, large == 1, &path)?;
            let count = field(&run(Command::new("pdfinfo").arg(&path))?, "Pages").ok_or("no count")?;
            let count: usize = count.parse().map_err(|_| format!("{count:?} is no count"))?;
            let words = words(&path)?;
            let smallest = words.iter().min_by(|a, b| a.size.total_cmp(&b.size)).ok_or("no words")?;
            println!(
                "{name}{}: {count} sheets, letters of {:.2} points",
                ["", " in large print"][large],
                smallest.size
            );
            if count > most {
                wrong.push(format!("{name}: {count} sheets, not {most}"));
            }
            // Turned words stand across: their box tells nothing of their size. There are none.
            if smallest.size < SMALLEST[large] - 0.01 {
                let Word { page, size, text, .. } = smallest;
                wrong.push(format!("{name}: {text:?} on page {page} is of {size:.2} points"));
            }
        }
    }
    require(wrong.is_empty(), || wrong.join("\n"))
}

/// Pages that hold the wire list and nothing else hold 30 wires and more, in letters of nine points.
fn dense() -> Result<(), Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let path = folder.path().join("binder.pdf");
    let mut asked = 0;
    for (name, text) in plans()?.into_iter().filter(|(name, _)| name == "quay" || name == "seven-tracks") {
        written(&text, false, &path)?;
        let mut pages: BTreeMap<usize, Vec<Word>> = BTreeMap::new();
        words(&path)?.into_iter().for_each(|word| pages.entry(word.page).or_default().push(word));
        for (page, mut words) in pages {
            words.sort_by(|a, b| a.y.total_cmp(&b.y));
            let (top, foot) = (words[0].y, words[words.len() - 1].y);
            let head: Vec<&str> = words.iter().filter(|w| w.y < top + 2.0).map(|w| w.text.as_str()).collect();
            if !head.ends_with(&["Wire", "list"])
                || head.contains(&"·") && head.iter().filter(|w| **w == "·").count() > 1
            {
                continue;
            }
            let inner: Vec<&Word> = words.iter().filter(|w| w.y > top + 2.0 && w.y < foot - 2.0).collect();
            for word in &inner {
                require(word.size >= SMALLEST_IN_TABLES - 0.01, || {
                    format!("{name}, page {page}: {:?} is of {:.2} points", word.text, word.size)
                })?;
            }
            let wires = inner.iter().filter(|w| ::papers::things::is_number(&w.text)).count();
            require(wires >= 30, || format!("{name}, page {page}: {wires} wires"))?;
            asked += 1;
        }
    }
    require(asked >= 4, || format!("only {asked} pages hold the wire list alone"))
}

/// The kinds of elements of a document, each with how deep it stands.
fn elements(path: &Path) -> Result<Vec<(usize, String)>, Failed> {
    let tree = run(Command::new("pdfinfo").arg("-struct").arg(path))?;
    let element = |line: &str| {
        let words = line.trim_start();
        let kind: String = words.chars().take_while(|c| c.is_ascii_alphanumeric()).collect();
        (!kind.is_empty()).then(|| (line.len() - words.len(), kind))
    };
    Ok(tree.lines().filter_map(element).collect())
}

fn tagged() -> Result<(), Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let path = folder.path().join("binder.pdf");
    for (name, text) in plans()? {
        written(&text, false, &path)?;
        let info = run(Command::new("pdfinfo").arg(&path))?;
        for (of, due) in [("Tagged", "yes"), ("Creator", "gapwright"), ("Producer", "gapwright")] {
            require(field(&info, of).as_deref() == Some(due), || format!("{name}: {of} is not {due}: {info}"))?;
        }
        require(field(&info, "Title").is_some_and(|title| title.contains("plan")), || format!("{name}: {info}"))?;
        // ISO 14289-1, 5: a document says in its XMP metadata that it is one for accessible reading.
        let bytes = std::fs::read(&path).map_err(|e| e.to_string())?;
        let says = b"<pdfuaid:part>1</pdfuaid:part>";
        require(bytes.windows(says.len()).any(|at| at == says), || format!("{name}: is no PDF/UA-1"))?;
        let elements = elements(&path)?;
        let count = |kind: &str| elements.iter().filter(|e| e.1 == kind).count();
        require(count("H1") >= 15 && count("H2") >= 8, || {
            format!("{name}: {} and {} headings", count("H1"), count("H2"))
        })?;
        require(count("Figure") >= 3 && count("TOCI") >= 15, || format!("{name}: figures, lines of contents"))?;
        // Every wire has a row, and all rows of a table have as many cells; a band is as wide as all of them.
        let wires = schedule_wires(&text);
        require(count("TR") > wires && count("TD") > 6 * wires, || {
            format!("{name}: {} rows and {} cells for {wires} wires", count("TR"), count("TD"))
        })?;
        let mut columns = 0;
        let mut cells = 0;
        let mut uneven = 0;
        let mut headers = 0;
        for (_, kind) in elements.iter().chain(std::iter::once(&(0, "TR".to_owned()))) {
            match kind.as_str() {
                "Table" | "TR" => {
                    if headers > 1 {
                        columns = headers;
                    }
                    uneven += usize::from(cells > 0 && cells != columns);
                    (cells, headers) = (0, 0);
                }
                "TH" => headers += 1,
                "TD" => cells += 1,
                _ => {}
            }
        }
        require(uneven == 0, || format!("{name}: {uneven} rows have not as many cells as their table has columns"))?;
    }
    Ok(())
}

fn schedule_wires(text: &str) -> usize {
    let reading = plan::read(text);
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    schedule::wires::wires(&schedule::Job::new(facts, Choices::default())).len()
}

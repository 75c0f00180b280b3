//! The papers read back by programs that know nothing of how they were made: pages by poppler (pdfinfo, pdftotext, pdftoppm) and
//! qpdf, tables by a spreadsheet program.

#[path = "../../../crates/papers/tests/it/sample/mod.rs"]
mod sample;

use crate::enumeration::require;
use libtest_mimic::{Failed, Trial};
use papers::{pdf, workbook};
use schedule::paper::{Block, Cell, Table};
use schedule::{Choices, PageSize};
use std::path::{Path, PathBuf};
use std::process::Command;

pub fn trials() -> Vec<Trial> {
    let poppler = ["pdftoppm", "pdfinfo", "pdftotext"].iter().all(|tool| is_there(tool, "-v"));
    let trial = |name: &str, there: bool, run: fn() -> Result<(), Failed>| {
        // Without the tool a check is shown as ignored, not as passed; where all checks are asked for, it fails.
        let ignored = !there && std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_none();
        Trial::test(name, run).with_ignored_flag(ignored)
    };
    vec![
        trial("papers::templates_are_true_to_a_tenth_of_a_millimetre", poppler, true_sizes),
        trial("papers::pages_have_the_size_of_their_paper", poppler, page_sizes),
        trial("papers::words_can_be_selected", poppler, selectable),
        trial("papers::pages_are_sound", is_there("qpdf", "--version") && poppler, sound),
        trial("papers::a_template_printed_too_small_is_noticed", poppler, too_small),
        trial(
            "papers::workbook_and_csv_have_equal_cells_in_a_spreadsheet",
            is_there("soffice", "--version"),
            spreadsheet,
        ),
    ]
}

pub fn is_there(tool: &str, ask: &str) -> bool {
    Command::new(tool).arg(ask).output().is_ok_and(|output| output.status.success())
}

pub fn run(command: &mut Command) -> Result<String, Failed> {
    let output = command.output().map_err(|e| format!("{command:?}: {e}"))?;
    let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    require(output.status.success(), || format!("{command:?}: {err}"))?;
    Ok(format!("{out}{err}"))
}

/// A binder of everything, as a file.
fn written(folder: &Path, choices: Choices) -> Result<PathBuf, Failed> {
    let binder = sample::binder(sample::everything(), choices);
    let path = folder.join("binder.pdf");
    std::fs::write(&path, pdf::pdf(&binder).map_err(|e| e.to_string())?).map_err(|e| e.to_string())?;
    Ok(path)
}

fn folder() -> Result<tempfile::TempDir, Failed> {
    tempfile::tempdir().map_err(|e| e.to_string().into())
}

fn pages(path: &Path) -> Result<usize, Failed> {
    let info = run(Command::new("pdfinfo").arg(path))?;
    let line = info.lines().find_map(|line| line.strip_prefix("Pages:")).ok_or("no count of pages")?;
    line.trim().parse().map_err(|_| format!("{line:?} is no count").into())
}

const DOTS: f64 = 600.0;

/// The extents in millimetres of all that has the bar's colour on a page, printed at 600 dots to the inch: left, top, width,
/// height. Nothing else on any page has this colour.
fn bar(path: &Path, page: usize) -> Result<Option<[f64; 4]>, Failed> {
    let folder = folder()?;
    let root = folder.path().join("page");
    let page = page.to_string();
    run(Command::new("pdftoppm").args(["-r", "600", "-singlefile", "-f", &page, "-l", &page]).arg(path).arg(&root))?;
    let bytes = std::fs::read(root.with_extension("ppm")).map_err(|e| e.to_string())?;
    let picture = Picture::from_bytes(&bytes).ok_or("no picture")?;
    let is_bar = |[r, g, b]: [u8; 3]| r > 200 && g < 60 && b > 200;
    let mut found: Option<[usize; 4]> = None;
    for (n, pixel) in picture.pixels.chunks_exact(3).enumerate() {
        if is_bar([pixel[0], pixel[1], pixel[2]]) {
            let (x, y) = (n % picture.width, n / picture.width);
            let [left, top, right, bottom] = found.unwrap_or([x, y, x, y]);
            found = Some([left.min(x), top.min(y), right.max(x), bottom.max(y)]);
        }
    }
    let mm = |dots: usize| dots as f64 / DOTS * 25.4;
    Ok(found.map(|[left, top, right, bottom]| [mm(left), mm(top), mm(right + 1 - left), mm(bottom + 1 - top)]))
}

/// A portable pixmap.
struct Picture<'a> {
    width: usize,
    pixels: &'a [u8],
}

impl Picture<'_> {
    fn from_bytes(bytes: &[u8]) -> Option<Picture<'_>> {
        let mut fields = bytes.splitn(4, |byte| byte.is_ascii_whitespace());
        let (kind, width, height) = (fields.next()?, fields.next()?, fields.next()?);
        let number = |field: &[u8]| std::str::from_utf8(field).ok()?.parse::<usize>().ok();
        let (width, height) = (number(width)?, number(height)?);
        let rest = fields.next()?;
        let start = rest.iter().position(|byte| byte.is_ascii_whitespace())? + 1;
        let pixels = rest.get(start..start + 3 * width * height)?;
        (kind == b"P6").then_some(Picture { width, pixels })
    }
}

/// The page on which a template stands.
fn page_of(path: &Path, words: &str) -> Result<usize, Failed> {
    for page in 1..=pages(path)? {
        let number = page.to_string();
        let text = run(Command::new("pdftotext").args(["-f", &number, "-l", &number]).arg(path).arg("-"))?;
        if text.contains(words) {
            return Ok(page);
        }
    }
    Err(format!("{words:?} is on no page").into())
}

fn true_sizes() -> Result<(), Failed> {
    for choices in sample::all_choices() {
        let folder = folder()?;
        let path = written(folder.path(), choices)?;
        let page = page_of(&path, "A frame of 120 mm by 60 mm")?;
        let [_, _, width, height] = bar(&path, page)?.ok_or("no bar")?;
        // The issue asks for a tenth of a millimetre; a dot is 0.042 mm.
        require((width - 100.0).abs() < 0.1 && (height - 2.0).abs() < 0.1, || {
            format!("{choices:?}: the bar of 100 mm by 2 mm is {width} mm by {height} mm")
        })?;
    }
    Ok(())
}

/// The measurement can fail: the same template scaled as a printer that "fits to the page" does it.
fn too_small() -> Result<(), Failed> {
    let folder = folder()?;
    let mut paper = sample::drawings();
    for block in &mut paper.blocks {
        if let Block::Template(drawing) = block {
            drawing.size = drawing.size.map(|length| length * 0.97);
        }
    }
    let binder = sample::binder(vec![paper], Choices::default());
    let path = folder.path().join("small.pdf");
    std::fs::write(&path, pdf::pdf(&binder).map_err(|e| e.to_string())?).map_err(|e| e.to_string())?;
    let page = page_of(&path, "A frame of 120 mm by 60 mm")?;
    let [_, _, width, _] = bar(&path, page)?.ok_or("no bar")?;
    require((width - 97.0).abs() < 0.1, || format!("97 mm measured as {width} mm"))
}

fn page_sizes() -> Result<(), Failed> {
    for choices in sample::all_choices() {
        let folder = folder()?;
        let path = written(folder.path(), choices)?;
        let count = pages(&path)?.to_string();
        let info = run(Command::new("pdfinfo").args(["-f", "1", "-l", &count]).arg(&path))?;
        // ISO 216: 210 mm by 297 mm; ANSI/ASME Y14.1: 8.5 in by 11 in; both in points of 1/72 in.
        let due = match choices.page {
            PageSize::A4 => [210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0],
            PageSize::Letter => [612.0, 792.0],
        };
        let mut asked = 0;
        for line in info.lines().filter(|line| line.starts_with("Page ") && line.contains(" size:")) {
            let numbers: Vec<f64> = line.split_whitespace().filter_map(|word| word.parse().ok()).collect();
            let [.., one, other] = numbers.as_slice() else { return Err(format!("{line:?}").into()) };
            let size = [one.min(*other), one.max(*other)];
            require((0..2).all(|n| (size[n] - due[n]).abs() < 0.02), || format!("{line:?}, not {due:?}"))?;
            asked += 1;
        }
        require(asked >= 10, || format!("only {asked} pages were asked for"))?;
    }
    Ok(())
}

fn selectable() -> Result<(), Failed> {
    let folder = folder()?;
    let path = written(folder.path(), Choices::default())?;
    // In the order it is written, lines of one cell behind each other.
    let text = run(Command::new("pdftotext").arg("-raw").arg(&path).arg("-"))?;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "Größe 7½ & Söhne <Ω> · plan 0a1b2c3d",
        "feeds the left rail of road 1",
        "green/yellow",
        "cut (mm)",
        "size (mm²)",
        "Ω µ ² ³ ß Å ½ ± × → ← ≤ ≥ √ – — … “q” Ж ж λ",
        "print at 100 %, measure this",
        // Words inside a drawing are words too.
        "true-size Größe Ω",
    ] {
        require(text.contains(words), || format!("{words:?} cannot be selected"))?;
    }
    Ok(())
}

fn sound() -> Result<(), Failed> {
    for choices in sample::all_choices() {
        let folder = folder()?;
        let path = written(folder.path(), choices)?;
        let checked = run(Command::new("qpdf").arg("--check").arg(&path))?;
        require(checked.contains("No syntax or stream encoding errors found"), || checked.clone())?;
        // Poppler says on its error output what it had to guess.
        let output = Command::new("pdftotext").arg(&path).arg("-").output().map_err(|e| e.to_string())?;
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        require(output.status.success() && said.is_empty(), || said.clone())?;
        let fonts = run(Command::new("pdffonts").arg(&path))?;
        for line in fonts.lines().skip(2) {
            // Columns: name, type, encoding, embedded, subset, ...
            require(line.contains(" yes yes yes "), || {
                format!("a face is not embedded, or its text not to be read: {line}")
            })?;
        }
        let links = run(Command::new("pdfinfo").arg("-dests").arg(&path))?;
        require(!links.contains("Error"), || links.clone())?;
    }
    Ok(())
}

/// What a spreadsheet program makes of a file, as the fields of its comma-separated values.
fn converted(file: &Path, filter: &str, to: &Path) -> Result<Vec<Vec<String>>, Failed> {
    let profile = to.join("profile");
    run(Command::new("soffice")
        .arg(format!("-env:UserInstallation=file://{}", profile.display()))
        .args(["--headless", "--norestore", "--convert-to", filter, "--outdir"])
        .arg(to)
        .arg(file))?;
    let mut made: Vec<PathBuf> = std::fs::read_dir(to)
        .map_err(|e| e.to_string())?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|e| e == "csv"))
        .collect();
    made.sort();
    let path = made.pop().ok_or("the spreadsheet program made nothing")?;
    let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
    std::fs::remove_file(&path).map_err(|e| e.to_string())?;
    Ok(fields(&text))
}

/// Comma-separated values (RFC 4180) read by a second reader, which is not ours to write tables with.
fn fields(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut field, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
    let mut rest = text.trim_start_matches('\u{feff}').chars().peekable();
    while let Some(c) = rest.next() {
        match c {
            '"' if quoted && rest.peek() == Some(&'"') => field.extend(rest.next()),
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(std::mem::take(&mut field)),
            '\r' if !quoted => {}
            '\n' if !quoted => {
                row.push(std::mem::take(&mut field));
                rows.push(std::mem::take(&mut row));
            }
            other => field.push(other),
        }
    }
    rows
}

/// Comma, double quotes, UTF-8, cells as shown, quotes where needed: the filter's own tokens.
const TO_CSV: &str = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false";

fn spreadsheet() -> Result<(), Failed> {
    let mut compared = 0;
    let papers = vec![sample::wire_list(300), sample::awkward()];
    for paper in papers {
        let tables: Vec<Table> =
            paper.blocks.iter().filter_map(|b| if let Block::Table(t) = b { Some(t.clone()) } else { None }).collect();
        let Some(table) = tables.first() else { continue };
        let folder = folder()?;
        let alone = schedule::paper::Paper { blocks: vec![Block::Table(table.clone())], ..paper.clone() };
        let book = workbook::workbook(&sample::binder(vec![alone], Choices::default())).map_err(|e| e.to_string())?;
        let sources = folder.path().join("sources");
        let out = folder.path().join("out");
        for place in [&sources, &out] {
            std::fs::create_dir(place).map_err(|e| e.to_string())?;
        }
        let (xlsx, comma) = (sources.join("book.xlsx"), sources.join("table.csv"));
        std::fs::write(&xlsx, book.ok_or("no workbook")?).map_err(|e| e.to_string())?;
        std::fs::write(&comma, schedule::csv::table_csv(table)).map_err(|e| e.to_string())?;
        let from_book = converted(&xlsx, TO_CSV, &out)?;
        // Read as UTF-8, comma-separated, every column as text.
        let kinds: Vec<String> = (1..=table.columns.len() + 1).map(|n| format!("{n}/2")).collect();
        let from_csv = converted_from_csv(&comma, &kinds.join("/"), &out)?;
        compared += compare(table, &from_book, false)? + compare(table, &from_csv, true)?;
    }
    println!("{compared} cells compared");
    require(compared > 4000, || format!("only {compared} cells were compared"))
}

fn converted_from_csv(file: &Path, kinds: &str, to: &Path) -> Result<Vec<Vec<String>>, Failed> {
    // The same filter reads it; `--infilter` takes the tokens of reading.
    let profile = to.join("profile");
    run(Command::new("soffice")
        .arg(format!("-env:UserInstallation=file://{}", profile.display()))
        .args(["--headless", "--norestore"])
        .arg(format!("--infilter=Text - txt - csv (StarCalc):44,34,76,1,{kinds}"))
        .args(["--convert-to", TO_CSV, "--outdir"])
        .arg(to)
        .arg(file))?;
    let path = to.join("table.csv");
    let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
    std::fs::remove_file(&path).map_err(|e| e.to_string())?;
    Ok(fields(&text))
}

/// Whether a spreadsheet shows what the table says, cell by cell. `guarded`: words that begin like a formula have an apostrophe.
fn compare(table: &Table, found: &[Vec<String>], guarded: bool) -> Result<usize, Failed> {
    let grouped = usize::from(table.rows.iter().any(|row| row.group.is_some()));
    require(found.len() == table.rows.len() + 1, || format!("{} rows, not {}", found.len(), table.rows.len() + 1))?;
    let mut compared = 0;
    for (row, cells) in table.rows.iter().zip(&found[1..]) {
        for (cell, shown) in row.cells.iter().zip(&cells[grouped..]) {
            let due = match cell {
                Cell::Words(words) if guarded && words.starts_with(['=', '+', '-', '@']) => format!("'{words}"),
                other => other.shown().to_owned(),
            };
            require(*shown == due, || format!("{}: {shown:?} is shown for {due:?}", table.name))?;
            compared += 1;
        }
    }
    Ok(compared)
}

//! The forms of a binder: the same bytes twice, links that lead somewhere, pages that ask nothing of anybody, time in proportion.

use papers::{Binder, files, pdf_of_svg, png};
use schedule::paper::{Block, Cell, Paper, Table, TableColumn};
use schedule::{Choices, Job};
use std::time::{Duration, Instant};

fn demo(name: &str) -> String {
    let path = format!("{}/../../plans/{name}/plan.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

fn binder_of(text: &str, choices: Choices) -> Binder {
    let plan::PlanReading { plan, names, mut findings } = plan::read(text);
    let facts = analysis::Analysis::of(text, &plan, &names);
    let summary = review::run_rules(&facts, &mut findings);
    papers::binder(&Job::new(facts, choices), &findings, &summary, Some("a day in May"))
}

#[test]
fn two_runs_give_the_same_bytes() {
    for choices in crate::sample::all_choices() {
        let once = files(&crate::sample::binder(crate::sample::everything(), choices)).unwrap();
        let again = files(&crate::sample::binder(crate::sample::everything(), choices)).unwrap();
        assert!(once.len() >= 10);
        for (name, bytes) in &once {
            assert!(bytes == &again[name], "{name} differs between two runs");
            assert!(!bytes.is_empty());
        }
    }
}

#[test]
fn every_demo_plan_has_papers() {
    for name in
        ["thistle-dock", "thistle-dock-mended", "seven-tracks", "two-ladders", "balloon", "wye", "two-districts"]
    {
        // The smallest and the largest have them on each size of sheet and in each size of print.
        let most = if ["thistle-dock", "seven-tracks"].contains(&name) { usize::MAX } else { 1 };
        for choices in crate::sample::all_choices().into_iter().take(most) {
            let binder = binder_of(&demo(name), choices);
            let made = files(&binder).unwrap();
            for file in ["binder.pdf", "web/index.html", "tables.xlsx", "tables.json", "web/wire-list.html"] {
                assert!(made.contains_key(file), "{name} has no {file}");
            }
            let page = String::from_utf8(made["web/wire-list.html"].clone()).unwrap();
            // The dock's plan has one fault, on purpose; the others have none.
            assert_eq!(page.contains("not for building"), name == "thistle-dock", "{name}");
        }
    }
}

/// Values of an attribute on a page.
fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let start = format!(" {attribute}=\"");
    page.split(start.as_str()).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn links_of_the_web_pages_lead_to_what_is_there() {
    let mut papers = crate::sample::everything();
    let mut table = Table::new("gaps", vec![TableColumn::short("gap"), TableColumn::words("see")]);
    table.push(None, vec![Cell::words("G-1"), Cell::words("F-1 and F-90, not F-999")]);
    papers.push(Paper::new("gaps", "Gaps", vec![Block::Table(table)]));
    let mut binder = crate::sample::binder(papers, Choices::default());
    // A turnout is called as a wire is numbered.
    binder.names.insert("F-2".to_owned());
    let made = files(&binder).unwrap();
    let page = |name: &str| String::from_utf8(made[name].clone()).unwrap();
    let mut asked = 0;
    for name in made.keys().filter(|name| name.ends_with(".html")) {
        let text = page(name);
        for link in values(&text, "href").into_iter().chain(values(&text, "src")) {
            let (file, place) = link.split_once('#').unwrap_or((link, ""));
            let path = file.strip_prefix("../").map_or_else(|| format!("web/{file}"), str::to_owned);
            assert!(made.contains_key(&path), "{name} leads to {link}, which is not there");
            assert!(place.is_empty() || values(&page(&path), "id").contains(&place), "{name}: no place {link}");
            asked += 1;
        }
    }
    assert!(asked > 20, "only {asked} links were asked for");
    assert!(page("web/gaps.html").contains("<a href=\"wire-list.html#F-90\">F-90</a>"));
    assert!(!page("web/gaps.html").contains("#F-999"));
    assert!(page("web/awkward.html").contains("see <a href=\"wire-list.html#F-1\">F-1</a>, F-2 and <a"));
}

#[test]
fn web_pages_ask_nothing_of_anybody_and_cannot_be_led_astray() {
    let made = files(&crate::sample::binder(crate::sample::everything(), Choices::default())).unwrap();
    for (name, bytes) in made.iter().filter(|(name, _)| name.ends_with(".html")) {
        let text = String::from_utf8(bytes.clone()).unwrap();
        for forbidden in ["<script", "https://", "@import", "url(", "<link", "javascript:", "onload"] {
            assert!(!text.contains(forbidden), "{name} holds {forbidden}");
        }
        // The only address is the name of SVG's own language, which nobody fetches.
        assert_eq!(text.matches("http://").count(), text.matches("http://www.w3.org/2000/svg").count(), "{name}");
        for tag in ["<table", "<caption", "<thead", "<main", "<h1"] {
            let (opened, closed) = (text.matches(tag).count(), text.matches(&tag.replace('<', "</")).count());
            assert_eq!(opened, closed, "{name}: {tag}");
        }
        assert_eq!(
            text.matches("<table").count(),
            text.matches("<caption").count(),
            "{name}: each table has a caption"
        );
    }
    let awkward = String::from_utf8(made["web/awkward.html"].clone()).unwrap();
    assert!(awkward.contains("&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt; &amp; co"));
}

#[test]
fn cells_are_never_formulas() {
    let made = files(&crate::sample::binder(vec![crate::sample::awkward()], Choices::default())).unwrap();
    let csv = String::from_utf8(made["tables/awkward-words.csv"].clone()).unwrap();
    for words in ["'=1+1", "'+SUM(A1)", "'-5 V", "'@x"] {
        assert!(csv.contains(&format!(",{words}\r\n")), "{words} in {csv}");
    }
    assert!(csv.starts_with("no.,words,reading (Ω),value (µF),'=more\r\n"), "{csv}");
}

#[test]
fn single_drawings_become_pictures_and_pages() {
    let drawing = crate::sample::drawing("one", 127.0, 50.8);
    let picture = png(&drawing.svg, 200.0).unwrap();
    assert_eq!(&picture[..8], b"\x89PNG\r\n\x1a\n");
    // 5 in by 2 in at 200 dots to the inch (PNG: width and height are the first words of IHDR).
    let word = |at: usize| u32::from_be_bytes(picture[at..at + 4].try_into().unwrap());
    assert_eq!([word(16), word(20)], [1000, 400]);
    assert!(pdf_of_svg(&drawing.svg).unwrap().starts_with(b"%PDF-"));
    assert!(png("no drawing", 96.0).is_err() && pdf_of_svg("<p>").is_err());
    assert!(png(&drawing.svg, 1e6).is_err(), "a picture of gigabytes is refused");
}

#[test]
fn two_papers_of_one_name_are_refused() {
    let mut twice = crate::sample::wire_list(3);
    twice.name = "another".into();
    let told = files(&crate::sample::binder(vec![crate::sample::wire_list(3), twice], Choices::default())).unwrap_err();
    assert!(told.to_string().contains("tables/wire-list.csv"), "{told}");
}

/// The least of three tries: others use the machine too.
fn time(rows: usize) -> Duration {
    let binder = crate::sample::binder(vec![crate::sample::wire_list(rows)], Choices::default());
    let run = |_| {
        let start = Instant::now();
        files(&binder).unwrap();
        start.elapsed()
    };
    (0..3).map(run).min().unwrap()
}

#[test]
fn eight_times_the_wires_take_about_eight_times_as_long() {
    let (few, many) = (time(300), time(2_400));
    let ratio = many.as_secs_f64() / few.as_secs_f64();
    // With their square it would be 64 times, which a busy machine cannot hide.
    assert!(ratio < 40.0, "300 wires take {few:?}, 2,400 {many:?}: {ratio:.1} times as long");
}

#[test]
fn tables_as_json_hold_every_cell() {
    let binder = binder_of(&demo("two-ladders"), Choices::default());
    let whole: serde_json::Value = serde_json::from_slice(&papers::json::tables(&binder).unwrap()).unwrap();
    let tables = whole["tables"].as_array().unwrap();
    assert_eq!(tables.len(), binder.tables().count());
    for (told, table) in tables.iter().zip(binder.tables()) {
        assert_eq!(told["table"], *table.name);
        let rows = told["rows"].as_array().unwrap();
        assert_eq!(rows.len(), table.rows.len());
        for (told, row) in rows.iter().zip(&table.rows) {
            for (column, cell) in table.columns.iter().zip(&row.cells) {
                let told = &told[&*column.title];
                match cell {
                    // Its reader may be off in the last digit.
                    Cell::Number { value, .. } => {
                        assert!((told.as_f64().unwrap() - value).abs() <= 1e-15 * value.abs())
                    }
                    other if other.shown().is_empty() => assert!(told.is_null()),
                    other => assert_eq!(told, other.shown(), "{}: {}", table.name, column.title),
                }
            }
        }
    }
}

#[test]
fn a_workbook_names_this_program_and_no_other() {
    let binder = crate::sample::binder(crate::sample::everything(), Choices::default());
    let book = papers::workbook::workbook(&binder).unwrap().unwrap();
    assert_eq!(papers::workbook::workbook(&binder).unwrap().unwrap(), book, "the same bytes twice");
    let mut parts = zip::ZipArchive::new(std::io::Cursor::new(book)).unwrap();
    let mut part = |name: &str| {
        let mut text = String::new();
        std::io::Read::read_to_string(&mut parts.by_name(name).unwrap(), &mut text).unwrap();
        text
    };
    // ECMA-376 part 1, 15.2.12.3, and part 2, 8.3: the program, and who made the document.
    let (app, core) = (part("docProps/app.xml"), part("docProps/core.xml"));
    assert!(app.contains("<Application>gapwright</Application>"), "{app}");
    assert!(core.contains("<dc:creator>gapwright</dc:creator>"), "{core}");
}

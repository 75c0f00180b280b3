//! References of binders: each leads to a page where what it names is, in the printed form and on the pages for a screen.

use papers::fonts::Fonts;
use papers::layout::{SheetItem, Target, lay_out};
use schedule::paper::{Block, Cell, Paper};
use schedule::{Choices, Job};

/// Every demo plan, one of them in feet and inches too.
fn plans() -> Vec<(String, String)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans");
    let mut list: Vec<(String, String)> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            (path.display().to_string(), std::fs::read_to_string(path.join("plan.toml")).unwrap())
        })
        .collect();
    let feet = folder.join("quay/plan-in-feet.toml");
    list.push((feet.display().to_string(), std::fs::read_to_string(&feet).unwrap()));
    list.sort();
    assert!(list.len() >= 9);
    list
}

fn each(then: impl Fn(&str, bool, &papers::Binder)) {
    for (name, text) in plans() {
        for large_print in [false, true] {
            let plan::PlanReading { plan, names, mut findings } = plan::read(&text);
            let facts = analysis::Analysis::of(&text, &plan, &names);
            let summary = review::run_rules(&facts, &mut findings);
            let job = Job::new(facts, Choices { large_print, ..Choices::usual(&plan) });
            then(&name, large_print, &papers::binder(&job, &findings, &summary, None));
        }
    }
}

fn paper<'b>(binder: &'b papers::Binder, name: &str) -> &'b Paper {
    binder.papers.iter().find(|paper| paper.name == name).unwrap()
}

#[test]
fn every_reference_leads_to_its_page() {
    let fonts = Fonts::new();
    each(|name, large_print, binder| {
        let layout = lay_out(binder, &fonts);
        let (mut pages, mut things) = (0, 0);
        for (at, sheet) in layout.sheets.iter().enumerate() {
            let whose = format!("{name}, large {large_print}, page {}", at + 1);
            let drawn = sheet.items.iter().any(|item| matches!(item, SheetItem::Drawing { .. }));
            for (n, item) in sheet.items.iter().enumerate() {
                match item {
                    SheetItem::Link { to: Target::Named(named), .. } => {
                        let place = layout.named.get(named).unwrap_or_else(|| panic!("{whose}: {named} is nowhere"));
                        let Some(SheetItem::Words { text, .. }) = sheet.items.get(n - 1) else {
                            panic!("{whose}: no words before the link to {named}")
                        };
                        assert_eq!(*text, (place.sheet + 1).to_string(), "{whose}: {named}");
                        pages += 1;
                    }
                    SheetItem::Link { to: Target::Thing(number), .. } if drawn => {
                        let row = layout.things.get(number);
                        // A thing of the plan may be called as a wire is numbered; such words lead nowhere.
                        assert!(row.is_some() || binder.names.contains(number), "{whose}: no row of {number}");
                        things += 1;
                    }
                    _ => {}
                }
            }
        }
        assert!(large_print || (pages > 20 && things > 20), "{name}: {pages} pages and {things} numbers are named");
    });
}

/// Wire list to schematic and square; schematic to the wire list; strip to schematic and square.
#[test]
fn wires_gaps_and_strips_say_page_and_square() {
    each(|name, large_print, binder| {
        let drawings: Vec<&str> = binder.drawings().map(|drawing| drawing.name.as_str()).collect();
        let on_schematics: Vec<String> = paper(binder, "schematics")
            .blocks
            .iter()
            .filter_map(|block| if let Block::Drawing(drawing) = block { drawing.parts.as_ref() } else { None })
            .flat_map(|parts| parts.links.iter().map(|link| link.number.clone()))
            .collect();
        for block in &paper(binder, "wire-list").blocks {
            let Block::Table(table) = block else { continue };
            if table.name != "wires" {
                continue;
            }
            let column = |title: &str| table.columns.iter().position(|c| c.title == title).unwrap();
            let (page, square, what) = (column("page"), column("square"), column("what"));
            for row in &table.rows {
                let number = row.cells[0].shown();
                if row.cells[what].shown() == "bond" {
                    continue;
                }
                let Cell::Page { of, .. } = &row.cells[page] else {
                    // Conductors of buses stand in the titles of their schematics.
                    assert_eq!(row.cells[what].shown(), "bus", "{name}: {number} is on no schematic");
                    continue;
                };
                assert!(drawings.contains(&of.as_str()), "{name}: {of} is no drawing");
                assert!(
                    on_schematics.iter().any(|n| n == number) || row.cells[what].shown() == "bus",
                    "{name}: {number} is on no schematic"
                );
                if number.starts_with('F') {
                    assert!(!row.cells[square].shown().is_empty(), "{name}: {number} has no square");
                }
            }
        }
        if large_print {
            return;
        }
        let strips = paper(binder, "terminal-strips").on_sheets().iter();
        for table in strips.filter_map(|block| if let Block::Table(table) = block { Some(table) } else { None }) {
            for group in table.rows.iter().filter_map(|row| row.group.as_ref()) {
                let drawing = table.see.get(group).unwrap_or_else(|| panic!("{name}: {group} is on no schematic"));
                assert!(drawings.contains(&drawing.as_str()), "{name}: {drawing} is no drawing");
            }
        }
    });
}

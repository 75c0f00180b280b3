//! Sheets by their geometry: nothing leaves its area or its sheet, nothing is lost, nothing is set over another thing.

use papers::fonts::{ASCENT, DESCENT, Fonts, POINT};
use papers::layout::{Area, LaidSheet, Layout, SheetItem, Target, lay_out};
use schedule::Choices;
use schedule::paper::{Block, Paper};

/// What words cover, by their own widths.
fn covered(fonts: &Fonts, item: &SheetItem) -> Option<(Area, Area, String)> {
    let SheetItem::Words { at: [x, y], size, face, text, within, .. } = item else { return None };
    let em = size * POINT;
    let right = x + fonts.width(*face, *size, text);
    let area = Area { left: *x, top: y - ASCENT * em, right, bottom: y + DESCENT * em };
    Some((area, *within, text.clone()))
}

fn check(papers: Vec<Paper>, choices: Choices, faults: usize) -> Layout {
    let fonts = Fonts::new();
    let mut binder = crate::sample::binder(papers, choices);
    binder.faults = (0..faults).map(|n| format!("fault {n} of the plan")).collect();
    let layout = lay_out(&binder, &fonts);
    for (at, sheet) in layout.sheets.iter().enumerate() {
        check_sheet(&fonts, sheet, &format!("{choices:?}, sheet {}", at + 1));
    }
    layout
}

fn check_sheet(fonts: &Fonts, sheet: &LaidSheet, whose: &str) {
    let whole = Area::at([0.0, 0.0], sheet.size);
    // 3 mm at the edge many printers leave white; holes are punched at the left, or at the top of a sheet that lies.
    let lying = sheet.size[0] > sheet.size[1];
    let printed = Area {
        left: whole.left + if lying { 6.0 } else { 20.0 },
        top: whole.top + if lying { 20.0 } else { 6.0 },
        right: whole.right - 6.0,
        bottom: whole.bottom - 6.0,
    };
    let words: Vec<_> = sheet.items.iter().filter_map(|item| covered(fonts, item)).collect();
    for (area, within, text) in &words {
        assert!(within.holds(area), "{whose}: {text:?} leaves its area: {area:?} in {within:?}");
        assert!(printed.holds(area), "{whose}: {text:?} leaves the sheet: {area:?}");
    }
    for item in &sheet.items {
        let area = match item {
            SheetItem::Box { area, .. } | SheetItem::Link { area, .. } => *area,
            SheetItem::Drawing { clip, .. } => *clip,
            _ => continue,
        };
        assert!(printed.holds(&area), "{whose}: {area:?} leaves the sheet");
    }
    for (n, (one, _, text)) in words.iter().enumerate() {
        // Set over another: what is between the lines may touch, letters may not.
        let inner = |a: &Area| Area { top: a.top + 0.2 * a.height(), bottom: a.bottom - 0.2 * a.height(), ..*a };
        let one = inner(one);
        for (other, _, other_text) in &words[n + 1..] {
            let other = inner(other);
            let apart = one.right <= other.left + 0.01
                || other.right <= one.left + 0.01
                || one.bottom <= other.top
                || other.bottom <= one.top;
            assert!(apart, "{whose}: {text:?} and {other_text:?} are set over each other");
        }
    }
}

fn words_of(layout: &Layout) -> String {
    let item = |item: &SheetItem| if let SheetItem::Words { text, .. } = item { Some(text.clone()) } else { None };
    layout.sheets.iter().flat_map(|sheet| sheet.items.iter().filter_map(item)).collect::<Vec<_>>().concat()
}

/// Letters without what sets them apart.
fn bare(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && !c.is_control()).collect()
}

#[test]
fn nothing_leaves_its_area_or_its_sheet() {
    for choices in crate::sample::all_choices() {
        for faults in [0, 3, 40] {
            check(crate::sample::everything(), choices, faults);
        }
    }
}

#[test]
fn every_word_of_every_paper_is_on_the_sheets() {
    for choices in crate::sample::all_choices() {
        let papers = crate::sample::everything();
        let found = bare(&words_of(&check(papers.clone(), choices, 0)));
        let mut asked = 0;
        for block in papers.iter().flat_map(|paper| &paper.blocks) {
            let texts: Vec<String> = match block {
                Block::Heading(text) | Block::Text(text) => vec![text.clone()],
                Block::Table(table) => table.rows.iter().map(|row| row.cells[0].shown().to_owned()).collect(),
                Block::Labels(labels) => labels.iter().map(|label| label.number.clone() + &label.says).collect(),
                Block::Template(drawing) => vec![drawing.caption.clone()],
                _ => Vec::new(),
            };
            for text in texts {
                assert!(found.contains(&bare(&text)), "{choices:?}: {text:?} is lost");
                asked += 1;
            }
        }
        assert!(asked > 200, "only {asked} texts were asked for");
    }
}

#[test]
fn cells_over_several_lines_and_sheets_lose_no_letter() {
    // All words of the longest cell are there as often as it has them.
    for choices in crate::sample::all_choices() {
        let found = words_of(&check(vec![crate::sample::awkward()], choices, 0));
        assert_eq!(found.matches("another").count(), 420, "{choices:?}");
        assert_eq!(found.matches("cutting").count(), 200, "{choices:?}");
    }
}

#[test]
fn a_sheet_holds_at_most_40_wires_and_a_header() {
    for choices in crate::sample::all_choices() {
        let layout = check(vec![crate::sample::wire_list(500)], choices, 0);
        let mut all = 0;
        for sheet in layout.sheets.iter().filter(|sheet| !sheet.papers.is_empty()) {
            let words: Vec<&str> = sheet
                .items
                .iter()
                .filter_map(|item| if let SheetItem::Words { text, .. } = item { Some(text.as_str()) } else { None })
                .collect();
            let wires = words.iter().filter(|w| papers::things::is_number(w)).count();
            assert!((1..=40).contains(&wires), "{choices:?}: {wires} wires on a sheet");
            assert_eq!(words.iter().filter(|w| **w == "wire").count(), 1, "{choices:?}: the header is repeated");
            assert!(words.iter().any(|w| w.starts_with("bundle")), "{choices:?}: the group is named");
            all += wires;
        }
        assert_eq!(all, 500);
    }
}

#[test]
fn no_heading_stands_alone_at_the_foot_of_a_sheet() {
    let mut blocks = Vec::new();
    for n in 0..40 {
        blocks.push(Block::Heading(format!("Part {n}")));
        let Block::Table(mut table) = crate::sample::wire_list(4).blocks.remove(1) else { panic!("a table") };
        table.rows.iter_mut().for_each(|row| row.cells[1] = schedule::paper::Cell::words("words ".repeat(40 + n)));
        blocks.push(Block::Table(table));
    }
    for choices in crate::sample::all_choices() {
        let layout = check(vec![Paper { blocks: blocks.clone(), ..crate::sample::labels() }], choices, 0);
        let parts = layout.headings.iter().filter(|heading| heading.words.starts_with("Part "));
        for heading in parts {
            let below = layout.sheets[heading.place.sheet].items.iter().any(|item| match item {
                SheetItem::Words { text, at, .. } => at[1] > heading.place.y && text == "F-1",
                _ => false,
            });
            assert!(below, "{choices:?}: {:?} stands alone", heading.words);
        }
    }
}

#[test]
fn small_groups_are_not_parted() {
    // A small one is less than a seventh of a sheet.
    let mut paper = crate::sample::wire_list(500);
    let Block::Table(table) = &mut paper.blocks[1] else { panic!("a table") };
    for (n, row) in table.rows.iter_mut().enumerate() {
        row.group = Some(format!("bundle {}, under a road", n / 4 + 1));
    }
    let layout = check(vec![paper], Choices::default(), 0);
    let words = words_of(&layout);
    assert!(words.contains("bundle 1, under") && !words.contains("continued"));
}

#[test]
fn templates_are_never_scaled_and_have_a_ruler() {
    for choices in crate::sample::all_choices() {
        let layout = check(vec![crate::sample::drawings()], choices, 0);
        let mut parts = 0;
        for sheet in &layout.sheets {
            for item in &sheet.items {
                let SheetItem::Drawing { index, size, clip, at, .. } = item else { continue };
                let svg = &layout.drawings[*index].bare;
                if svg.contains("larger-than-a-sheet") || svg.contains("true-size") {
                    let due = if svg.contains("true-size") { [120.0, 60.0] } else { [620.0, 430.0] };
                    assert_eq!(*size, due);
                    let words = words_on(sheet);
                    assert!(words.contains("print at 100 %, measure this"), "no ruler");
                    assert!(due[0] < 200.0 || words.contains("crosses of like letters upon each other"), "{words}");
                    parts += 1;
                } else {
                    assert!(clip.holds(&Area::at(*at, *size)), "a drawing is cut off");
                }
            }
        }
        assert!(parts >= 7, "{parts} sheets of templates");
    }
}

fn words_on(sheet: &LaidSheet) -> String {
    let item = |item: &SheetItem| if let SheetItem::Words { text, .. } = item { Some(text.clone()) } else { None };
    sheet.items.iter().filter_map(item).collect::<Vec<_>>().join(" ")
}

#[test]
fn parts_of_a_template_cover_it_and_their_marks_meet() {
    for choices in crate::sample::all_choices() {
        let layout = check(vec![crate::sample::drawings()], choices, 0);
        let mut shown: Vec<Area> = Vec::new();
        let mut marks: std::collections::BTreeMap<String, Vec<[f64; 2]>> = std::collections::BTreeMap::new();
        for sheet in &layout.sheets {
            for item in &sheet.items {
                let SheetItem::Drawing { index, at, clip, .. } = item else { continue };
                if !layout.drawings[*index].bare.contains("larger-than-a-sheet") {
                    continue;
                }
                let moved = |a: Area| Area {
                    left: a.left - at[0],
                    right: a.right - at[0],
                    top: a.top - at[1],
                    bottom: a.bottom - at[1],
                };
                shown.push(moved(*clip));
                for mark in &sheet.items {
                    let SheetItem::Words { text, within, .. } = mark else { continue };
                    let is_mark = text.len() == 2 && text.as_bytes()[0].is_ascii_uppercase();
                    if is_mark && text.as_bytes()[1].is_ascii_digit() {
                        let cross = sheet.items.iter().find_map(|item| match item {
                            SheetItem::Line { from, to, .. }
                                if (from[0] + to[0] - 2.0 * within.left).abs() < 20.0
                                    && (from[1] - to[1]).abs() < 1e-9
                                    && ((from[1] + 0.5 - within.top).abs() < 1e-6
                                        || (from[1] - 0.5 - within.bottom).abs() < 1e-6)
                                    && (to[0] - from[0] - 8.0).abs() < 1e-6 =>
                            {
                                Some([(from[0] + to[0]) / 2.0, from[1]])
                            }
                            _ => None,
                        });
                        let [x, y] = cross.unwrap();
                        marks.entry(text.clone()).or_default().push([x - at[0], y - at[1]]);
                    }
                }
            }
        }
        for x in 0..62 {
            for y in 0..43 {
                let point = [f64::from(x) * 10.0 + 5.0, f64::from(y) * 10.0 + 5.0];
                assert!(shown.iter().any(|a| a.holds(&Area::at(point, [0.0, 0.0]))), "{point:?} is on no sheet");
            }
        }
        assert!(!marks.is_empty());
        for (name, places) in marks {
            assert_eq!(places.len(), 2, "{choices:?}: mark {name} is on two sheets");
            let off = (places[0][0] - places[1][0]).hypot(places[0][1] - places[1][1]);
            assert!(off < 1e-9, "mark {name} is {off} mm off");
        }
    }
}

#[test]
fn contents_tell_the_pages_where_papers_start() {
    let papers: Vec<Paper> =
        (0..90).map(|n| Paper { title: format!("Paper {n}"), ..crate::sample::labels() }).collect();
    for choices in crate::sample::all_choices() {
        let layout = check(papers.clone(), choices, 0);
        let mut told = 0;
        for sheet in &layout.sheets {
            for (n, item) in sheet.items.iter().enumerate() {
                let SheetItem::Link { to: Target::Paper(index), .. } = item else { continue };
                let Some(SheetItem::Words { text, .. }) = sheet.items.get(n - 1) else {
                    panic!("no page before a link")
                };
                assert_eq!(text.parse::<usize>().unwrap(), layout.papers[index].sheet + 1);
                assert!(layout.sheets[layout.papers[index].sheet].papers.contains(index));
                told += 1;
            }
        }
        assert_eq!(told, 90);
    }
}

#[test]
fn faults_are_told_in_every_header_and_on_the_first_sheet() {
    let layout = check(crate::sample::everything(), Choices::default(), 12);
    for sheet in &layout.sheets {
        assert!(words_on(sheet).contains("plan has 12 faults: not for building"));
    }
    assert!(words_on(&layout.sheets[0]).contains("fault 0 of the plan"));
    assert!(words_on(&layout.sheets[0]).contains("and 4 more"));
    let without = check(crate::sample::everything(), Choices::default(), 0);
    assert!(!words_of(&without).contains("not for building"));
}

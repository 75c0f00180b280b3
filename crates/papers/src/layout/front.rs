//! The front of the binder: whose layout it is, what is wrong with the plan, what to mind, and where everything is.

use super::flow::Flow;
use super::setting::{TypeSetting, WordsSide, words};
use super::{Area, ElementKind, Layout, SheetItem, Target, Type};
use crate::binder::Binder;
use crate::fonts::{Face, Fonts};

/// What is kept free for the number of a page, millimetres.
const NUMBERED: f64 = 16.0;
/// What is free between two columns of the contents, millimetres.
const BETWEEN: f64 = 8.0;
/// Faults told on the first sheet; the paper of findings has all of them.
const MOST_FAULTS: usize = 8;

/// A line of the contents that waits for the number of its page.
pub struct ContentsLine {
    paper: usize,
    /// The sheet it stands on, and before which of its items the number comes.
    place: [usize; 2],
    row: Area,
    /// The link that the line is.
    element: Option<usize>,
}

/// Lays out the front; the numbers of its contents are put there by [`number_contents`] when all is laid out.
pub fn front(flow: &mut Flow<'_>, binder: &Binder) -> Vec<ContentsLine> {
    flow.sheet(false);
    flow.open(ElementKind::Paper);
    let kind = flow.kind;
    let text = TypeSetting::new(Face::Regular, kind.body);
    flow.y += 4.0;
    flow.paragraph(TypeSetting::new(Face::Bold, kind.title * 1.5), &binder.layout, 1.5);
    flow.paragraph(TypeSetting::new(Face::Regular, kind.heading), &binder.extent, 1.0);
    let mut made = format!("made from plan {}", binder.revision);
    if let Some(date) = &binder.date {
        made.push_str(&format!(", {date}"));
    }
    flow.paragraph(text, &made, 5.0);
    if !binder.faults.is_empty() {
        faults(flow, binder);
    }
    for caution in &binder.cautions {
        flow.caution(caution);
    }
    flow.y += 2.0;
    contents(flow, binder)
}

fn faults(flow: &mut Flow<'_>, binder: &Binder) {
    let bold = TypeSetting::new(Face::Bold, flow.kind.heading);
    let text = TypeSetting::new(Face::Regular, flow.kind.body);
    if let Some(warning) = binder.warning() {
        flow.paragraph(bold, &warning, 1.0);
    }
    for fault in binder.faults.iter().take(MOST_FAULTS) {
        flow.paragraph(text, &format!("– {fault}"), 0.6);
    }
    let more = binder.faults.len().saturating_sub(MOST_FAULTS);
    if more > 0 {
        flow.paragraph(text, &format!("– and {more} more: see the paper “{}”", crate::front::FINDINGS_TITLE), 0.6);
    }
    flow.y += 3.0;
}

fn contents(flow: &mut Flow<'_>, binder: &Binder) -> Vec<ContentsLine> {
    let text = TypeSetting::new(Face::Regular, flow.kind.body);
    flow.heading(TypeSetting::new(Face::Bold, flow.kind.heading), "Contents", true, 3.0 * text.line());
    let around = flow.open(ElementKind::Contents);
    let high = text.line() * 1.2;
    let mut lines = Vec::new();
    let printed: Vec<_> = binder.papers.iter().enumerate().filter(|(_, paper)| paper.is_printed()).collect();
    // In two columns where they fit on the sheet.
    let half = printed.len().div_ceil(2);
    let narrow = (flow.body.width() - BETWEEN) / 2.0;
    let widest = printed.iter().map(|(_, p)| flow.fonts.width(text.face, text.size, &p.title)).fold(0.0, f64::max);
    let both = printed.len() > 5 && flow.fits(half as f64 * high) && widest <= narrow - NUMBERED;
    let (top, width) = (flow.y, if both { narrow } else { flow.body.width() });
    for (at, (index, paper)) in printed.into_iter().enumerate() {
        let second = both && at >= half;
        if both && at == half {
            flow.y = top;
        }
        flow.make_room(high);
        let left = flow.body.left + if second { width + BETWEEN } else { 0.0 };
        let row = Area::at([left, flow.y], [width, high]);
        let title = flow.fonts.shortened(text.face, text.size, &paper.title, row.width() - NUMBERED);
        let right = row.right - 4.0 * flow.fonts.width(text.face, text.size, "0");
        let left = row.left + flow.fonts.width(text.face, text.size, &title);
        let y = row.bottom - high * 0.28;
        if right - left > 8.0 {
            let (from, to) = ([left + 2.0, y], [right - 2.0, y]);
            flow.put(SheetItem::Line { from, to, width: 0.12, grey: 130, dashed: true });
        }
        let of_contents = flow.open(ElementKind::ContentsLine);
        flow.open(ElementKind::Link);
        let element = flow.element;
        flow.put_words(text, &title, Area { right: row.right - 12.0, ..row });
        flow.close(of_contents);
        let sheet = flow.layout.sheets.len() - 1;
        lines.push(ContentsLine { paper: index, place: [sheet, flow.layout.sheets[sheet].items.len()], row, element });
        flow.y += high;
    }
    flow.y = if both { top + half as f64 * high } else { flow.y };
    flow.y += text.line();
    flow.close(around);
    lines
}

/// Puts the number of its page behind each line of the contents, and a link to it over the line.
pub fn number_contents(layout: &mut Layout, fonts: &Fonts, kind: &Type, lines: &[ContentsLine]) {
    let text = TypeSetting::new(Face::Regular, kind.body).to(WordsSide::Right);
    // From the last on, so that what is put in moves nothing that still waits.
    for line in lines.iter().rev() {
        let Some(place) = layout.papers.get(&line.paper) else { continue };
        let mut page = words(fonts, text, &(place.sheet + 1).to_string(), line.row);
        if let SheetItem::Words { of, .. } = &mut page {
            *of = line.element;
        }
        let link = SheetItem::Link { area: line.row, to: Target::Paper(line.paper), of: line.element };
        let [sheet, item] = line.place;
        layout.sheets[sheet].items.splice(item..item, [page, link]);
    }
}

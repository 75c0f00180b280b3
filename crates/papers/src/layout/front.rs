//! The front of the binder: whose layout it is, what is wrong with the plan, what to mind, and where everything is.

use super::flow::Flow;
use super::setting::{TypeSetting, WordsSide};
use super::{Area, Layout, SheetItem, Target};
use crate::binder::Binder;
use crate::fonts::{Face, Fonts};

/// Faults told on the first sheet; the paper of findings has all of them.
const MOST_FAULTS: usize = 8;

/// The front, where `sheets` of it stand before the papers.
pub fn front(binder: &Binder, fonts: &Fonts, papers: &Layout, sheets: usize) -> Layout {
    let mut flow = Flow::new(fonts, binder);
    flow.sheet(false);
    let kind = flow.kind;
    let text = TypeSetting::new(Face::Regular, kind.body);
    flow.y += 12.0;
    flow.paragraph(TypeSetting::new(Face::Bold, kind.title * 1.5), &binder.layout, 1.5);
    flow.paragraph(TypeSetting::new(Face::Regular, kind.heading), &binder.extent, 1.0);
    let mut made = format!("made from plan {}", binder.revision);
    if let Some(date) = &binder.date {
        made.push_str(&format!(", {date}"));
    }
    flow.paragraph(text, &made, 5.0);
    if !binder.faults.is_empty() {
        faults(&mut flow, binder);
    }
    for caution in &binder.cautions {
        flow.caution(caution);
    }
    flow.y += 2.0;
    contents(&mut flow, binder, papers, sheets);
    flow.layout
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

fn contents(flow: &mut Flow<'_>, binder: &Binder, papers: &Layout, sheets: usize) {
    let text = TypeSetting::new(Face::Regular, flow.kind.body);
    flow.heading(TypeSetting::new(Face::Bold, flow.kind.heading), "Contents", true, 3.0 * text.line());
    let high = text.line() * 1.25;
    for (index, paper) in binder.papers.iter().enumerate() {
        let Some(place) = papers.papers.get(&index) else { continue };
        flow.make_room(high);
        let row = Area::at([flow.body.left, flow.y], [flow.body.width(), high]);
        let page = (place.sheet + sheets + 1).to_string();
        let title = flow.fonts.shortened(text.face, text.size, &paper.title, row.width() - 20.0);
        let right = row.right - flow.fonts.width(text.face, text.size, &page);
        let left = row.left + flow.fonts.width(text.face, text.size, &title);
        let y = row.bottom - high * 0.28;
        if right - left > 8.0 {
            let (from, to) = ([left + 2.0, y], [right - 2.0, y]);
            flow.put(SheetItem::Line { from, to, width: 0.12, grey: 130, dashed: true });
        }
        flow.put_words(text, &title, Area { right: row.right - 12.0, ..row });
        flow.put_words(text.to(WordsSide::Right), &page, row);
        flow.put(SheetItem::Link { area: row, to: Target::Paper(index) });
        flow.y += high;
    }
}

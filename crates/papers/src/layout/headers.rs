//! What stands at the head and the foot of every sheet: the layout, its revision, the paper, the page; and, where the plan has
//! faults, that nothing is to be built from it.

use super::setting::{TypeSetting, WordsSide, words};
use super::{Area, Layout, SheetItem, Type, frame};
use crate::binder::Binder;
use crate::fonts::{Face, Fonts};

/// What is free between the header's rule and the body.
const BELOW: f64 = 2.6;

fn small(kind: &Type) -> TypeSetting {
    TypeSetting { grey: 50, ..TypeSetting::new(Face::Regular, kind.small) }
}

fn bold(kind: &Type) -> TypeSetting {
    TypeSetting::new(Face::Bold, kind.small)
}

/// What a header takes of a sheet.
pub fn height(binder: &Binder, kind: &Type) -> f64 {
    let warning = if binder.warning().is_some() { bold(kind).line() + 2.2 } else { 0.0 };
    small(kind).line() + warning + BELOW
}

/// Puts header and footer on every sheet.
/// `fronts`: how many sheets the front has.
pub fn headers(binder: &Binder, fonts: &Fonts, layout: &mut Layout, fronts: usize) {
    let kind = Type::new(binder.choices.large_print);
    let header = height(binder, &kind);
    let count = layout.sheets.len();
    for (at, sheet) in layout.sheets.iter_mut().enumerate() {
        let (_, body) = frame(binder.choices.page, sheet.size[0] > sheet.size[1], header);
        let setting = small(&kind);
        let top = body.top - header;
        let line = Area { top, bottom: top + setting.line(), ..body };
        let half = body.width() * 0.5;
        let left = format!("{} · plan {}", binder.layout, binder.revision);
        let contents = (at < fronts).then_some("Contents");
        let papers = sheet.papers.iter().filter_map(|&p| binder.papers.get(p)).map(|p| p.title.as_str());
        let title = contents.into_iter().chain(papers).collect::<Vec<_>>().join(" · ");
        let left_part = Area { right: line.left + half, ..line };
        let right_part = Area { left: line.left + half + 3.0, ..line };
        let mut say = |setting: TypeSetting, text: &str, within: Area| {
            let shown = fonts.shortened(setting.face, setting.size, text, within.width());
            sheet.items.push(words(fonts, setting, &shown, within));
        };
        // A long name of the layout is cut in its middle rather than the revision behind it.
        let revision = format!(" · plan {}", binder.revision);
        let room = half - fonts.width(setting.face, setting.size, &revision);
        let name = fonts.shortened(setting.face, setting.size, &binder.layout, room);
        let left = if name == binder.layout { left } else { format!("{name}{revision}") };
        say(setting, &left, left_part);
        say(bold(&kind).to(WordsSide::Right), &title, right_part);
        let rule = line.bottom + 0.6;
        if let Some(warning) = binder.warning() {
            let within = Area { top: rule + 0.5, bottom: rule + 0.5 + bold(&kind).line(), ..body };
            say(bold(&kind).to(WordsSide::Middle), &warning, within);
            let frame = Area { top: rule, bottom: within.bottom + 0.5, ..body };
            sheet.items.push(SheetItem::Box { area: frame, edge: Some(0.45), fill: None, of: None });
        } else {
            let (from, to) = ([body.left, rule], [body.right, rule]);
            sheet.items.push(SheetItem::Line { from, to, width: 0.15, grey: 90, dashed: false });
        }
        let top = body.bottom + 1.6;
        let foot = Area { top, bottom: top + setting.line(), ..body };
        let page = format!("page {} of {count}", at + 1);
        sheet.items.push(words(fonts, setting.to(WordsSide::Right), &page, foot));
        let date = binder.date.as_deref().unwrap_or_default();
        let within = Area { right: foot.right - 40.0, ..foot };
        let shown = fonts.shortened(setting.face, setting.size, date, within.width());
        if !shown.is_empty() {
            sheet.items.push(words(fonts, setting, &shown, within));
        }
    }
}

//! References by page: their numbers are known only once everything is laid out, and are put in then.

use super::flow::Flow;
use super::setting::TypeSetting;
use super::{Area, ElementKind, Layout, SheetItem, Target};
use crate::fonts::Face;
use schedule::paper::Drawing;

/// What holds the place of the number of a page.
pub(super) const PAGE: &str = "000";

impl Flow<'_> {
    /// The number of a page at a place, to be put in later, with a link to it.
    pub(super) fn page_reference(&mut self, setting: TypeSetting, named: &str, within: Area) {
        let around = self.open(ElementKind::Link);
        self.put_words(setting, PAGE, within);
        self.put(SheetItem::Link { area: within, to: Target::Named(named.to_owned()), of: self.element });
        self.close(around);
    }

    /// A line of references: words, and behind each the page it is about.
    pub(super) fn see(&mut self, references: &[(String, String)]) {
        let setting = TypeSetting { grey: 60, ..TypeSetting::new(Face::Regular, self.kind.small) };
        let around = self.open(ElementKind::Paragraph);
        self.make_room(setting.line());
        let page = self.fonts.width(setting.face, setting.size, PAGE);
        let mut x = self.body.left;
        for (count, (words, named)) in references.iter().enumerate() {
            let words = format!("{}{words}: page ", if count == 0 { "" } else { "   " });
            let wide = self.fonts.width(setting.face, setting.size, &words);
            if x > self.body.left && x + wide + page > self.body.right {
                self.y += setting.line();
                self.make_room(setting.line());
                x = self.body.left;
            }
            let row = |x: f64, wide: f64, y: f64| Area::at([x, y], [wide + 0.1, setting.line()]);
            self.put_words(setting, &words, row(x, wide, self.y));
            x += wide;
            self.page_reference(setting, named, row(x, page, self.y));
            x += page;
        }
        self.y += setting.line() * 1.4;
        self.close(around);
    }

    /// At the right end of the title over rows, the page of what they are about.
    pub(super) fn group_page(&mut self, named: &str, setting: TypeSetting, band: Area) {
        let wide = |text: &str| self.fonts.width(setting.face, setting.size, text) + 0.1;
        let (words, page) = (wide("page "), wide(PAGE));
        let top = band.bottom - setting.line();
        let left = band.right - 1.0 - page;
        self.put_words(setting, "page ", Area::at([left - words, top], [words, setting.line()]));
        self.page_reference(setting, named, Area::at([left, top], [page, setting.line()]));
    }

    /// What of a drawing leads elsewhere.
    pub(super) fn drawn_links(&mut self, drawing: &Drawing, at: [f64; 2], scale: f64) {
        for link in drawing.parts.iter().flat_map(|parts| &parts.links) {
            let [left, top, right, bottom] = link.area.map(|length| length * scale);
            let area = Area { left: at[0] + left, top: at[1] + top, right: at[0] + right, bottom: at[1] + bottom };
            let around = self.open(ElementKind::Link);
            self.put(SheetItem::Link { area, to: Target::Thing(link.number.clone()), of: self.element });
            self.close(around);
        }
    }
}

/// Puts the numbers of pages where they are referred to.
pub(super) fn number_references(layout: &mut Layout) {
    let Layout { sheets, named, .. } = layout;
    for sheet in sheets {
        for at in 1..sheet.items.len() {
            let SheetItem::Link { to: Target::Named(name), .. } = &sheet.items[at] else { continue };
            let Some(page) = named.get(name).map(|place| (place.sheet + 1).to_string()) else { continue };
            if let SheetItem::Words { text, .. } = &mut sheet.items[at - 1] {
                *text = page;
            }
        }
    }
}

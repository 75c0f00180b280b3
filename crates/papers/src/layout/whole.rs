//! A whole binder laid out: its front, its papers, and what stands on every sheet.

use super::flow::Flow;
use super::{Heading, Layout, PrintedPlace, SheetItem, front, headers};
use crate::binder::Binder;
use crate::fonts::Fonts;
use rayon::prelude::*;

/// Lays a binder out: the front with its contents, then the papers, then the headers of all sheets.
pub fn lay_out(binder: &Binder, fonts: &Fonts) -> Layout {
    // Which way a paper is turned does not depend on the others, so that this is tried beside each other; then one runs on from
    // the other.
    let mut flow = Flow::new(fonts, binder);
    let empty = flow.empty();
    let lying: Vec<bool> = binder.papers.par_iter().map(|paper| empty.is_lower_lying(paper)).collect();
    for (index, paper) in binder.papers.iter().enumerate().filter(|(_, paper)| paper.is_printed()) {
        flow.whole_paper(index, paper, lying[index]);
    }
    let mut papers = flow.layout;
    // Words that may mean two things lead nowhere.
    papers.things.retain(|number, _| !binder.names.contains(number));
    // How many sheets the front takes depends on how many papers it lists, not on their page numbers: so it is laid out once to
    // count them, and once with the numbers.
    let counted = front::front(binder, fonts, &papers, 0).sheets.len();
    let mut layout = front::front(binder, fonts, &papers, counted);
    layout.add(papers);
    headers::headers(binder, fonts, &mut layout);
    layout
}

impl Layout {
    /// Adds the sheets of another behind those of this one.
    fn add(&mut self, other: Layout) {
        let (sheets, drawings) = (self.sheets.len(), self.drawings.len());
        let moved = |place: PrintedPlace| PrintedPlace { sheet: place.sheet + sheets, ..place };
        self.drawings.extend(other.drawings);
        self.papers.extend(other.papers.into_iter().map(|(paper, place)| (paper, moved(place))));
        // The first row that tells of a thing is where its number leads.
        for (name, place) in other.things {
            self.things.entry(name).or_insert(moved(place));
        }
        self.headings.extend(other.headings.into_iter().map(|h| Heading { place: moved(h.place), ..h }));
        for mut sheet in other.sheets {
            for item in &mut sheet.items {
                if let SheetItem::Drawing { index, .. } = item {
                    *index += drawings;
                }
            }
            self.sheets.push(sheet);
        }
    }
}

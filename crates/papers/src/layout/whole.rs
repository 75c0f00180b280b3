//! A whole binder laid out: its front, its papers, and what stands on every sheet.

use super::flow::Flow;
use super::references::number_references;
use super::{Layout, front, headers};
use crate::binder::Binder;
use crate::fonts::Fonts;
use rayon::prelude::*;

/// Lays a binder out: the front with its contents, then the papers, each below the one before where there is room, then the headers
/// of all sheets.
pub fn lay_out(binder: &Binder, fonts: &Fonts) -> Layout {
    // Which way a paper is turned does not depend on the others, so that this is tried beside each other; then one runs on from
    // the other.
    let mut flow = Flow::new(fonts, binder);
    let empty = flow.empty();
    let taken: Vec<Option<[f64; 2]>> = binder.papers.par_iter().map(|paper| empty.taken(paper)).collect();
    let lying = turned(&taken);
    let lines = front::front(&mut flow, binder);
    let fronts = flow.layout.sheets.len();
    for (index, paper) in binder.papers.iter().enumerate().filter(|(_, paper)| paper.is_printed()) {
        flow.whole_paper(index, paper, lying[index]);
    }
    let mut layout = flow.layout;
    front::number_contents(&mut layout, fonts, &flow.kind, &lines);
    number_references(&mut layout);
    // Words that may mean two things lead nowhere.
    layout.things.retain(|number, _| !binder.names.contains(number));
    headers::headers(binder, fonts, &mut layout, fronts);
    layout
}

/// Sheets that lie must save so much of one, since most stand.
const WORTH_TURNING: f64 = 0.12;

/// Which papers lie, so that all together take the fewest sheets: one that lies like the one before it runs on from it, one that
/// does not begins a sheet. The least of both ways so far is all that bears on what follows (dynamic programming, Bellman 1957).
fn turned(taken: &[Option<[f64; 2]>]) -> Vec<bool> {
    // The front stands, and takes half a sheet or so.
    let mut least = [0.5, 1.0 + WORTH_TURNING];
    let mut from: Vec<[bool; 2]> = Vec::new();
    for taken in taken {
        // A paper that has sheets of its own begins a sheet, and so does what follows it.
        let Some(taken) = taken else {
            from.push([false, true]);
            least = least.map(f64::ceil);
            continue;
        };
        let mut came = [false, true];
        let mut now = [0.0; 2];
        for way in [false, true] {
            let at = usize::from(way);
            let (stays, turns) = (least[at], least[1 - at].ceil() + if way { WORTH_TURNING } else { 0.0 });
            came[at] = if turns < stays { !way } else { way };
            now[at] = turns.min(stays) + taken[at];
        }
        from.push(came);
        least = now;
    }
    let mut lying = vec![false; taken.len()];
    let mut way = least[1] < least[0];
    for (at, came) in from.iter().enumerate().rev() {
        lying[at] = way;
        way = came[usize::from(way)];
    }
    lying
}

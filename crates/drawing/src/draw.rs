//! The centre line of each track, once its members are placed; tracks that were cut led back to their other ends; pieces of
//! the layout one below another.

use crate::graph::{LeadBack, Strand, StrandPart};
use crate::line::{Point, plus, rounded, unit};
use crate::place::{PlacedLayout, Placing, slope};
use crate::shapes::{BEND, LEVEL, RUN};
use plan::TrackEnd;
use std::collections::BTreeMap;

/// Between the pieces of a layout.
const PIECES: f64 = 2.0 * LEVEL;

impl Placing<'_> {
    /// The line of a strand from its west end to its east end; a free end lies at `end`.
    fn line(&self, strand: usize, end: Option<f64>) -> Vec<Point> {
        let s: &Strand = &self.graph.strands[strand];
        let high = self.strand_high(strand);
        let [west, east] = [s.west, s.east].map(|e| e.map(|(m, p)| self.lying[m].port(p)));
        if let (Some(a), Some(b)) = (west, east) {
            let (up, there) = (slope(a.1), slope(b.1));
            if up.abs() > 1e-9 && (up - there).abs() < 1e-9 && (b.0[1] - a.0[1]) * up > 0.0 {
                // On one slope; what is left of the way lies level, where the strand does if that is between them.
                let y = high.clamp(a.0[1].min(b.0[1]), a.0[1].max(b.0[1]));
                let first = [a.0[0] + (y - a.0[1]) / up, y];
                return vec![a.0, first, [b.0[0] - (b.0[1] - y) / up, y], b.0];
            }
        }
        let mut line = match west {
            Some(port) => approach(port, high),
            None => vec![[end.unwrap_or(0.0), high]],
        };
        match east {
            Some(port) => line.extend(approach(port, high).into_iter().rev()),
            None => line.push([end.unwrap_or(0.0), high]),
        }
        line
    }

    pub(crate) fn draw(self, tracks: usize) -> PlacedLayout {
        let graph = self.graph;
        let members = graph.members.len();
        let pieces = self.order.piece.iter().max().map_or(0, |p| p + 1);
        let mut lines: Vec<Vec<Point>> = vec![Vec::new(); tracks];
        // West, east, bottom and top of each piece.
        let mut bounds = vec![[f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY]; pieces];
        let widen = |bounds: &mut [f64; 4], p: Point| {
            *bounds = [bounds[0].min(p[0]), bounds[1].max(p[0]), bounds[2].min(p[1]), bounds[3].max(p[1])];
        };
        let free_end = |strand: usize| {
            let s = &graph.strands[strand];
            let edge = self.edge(members + strand, s.east.is_none());
            edge.map(|(m, x)| self.lying[m].at[0] + x)
        };
        for (member, lying) in self.lying.iter().enumerate() {
            for (port, _) in &lying.shape.ports {
                widen(&mut bounds[self.order.piece[member]], lying.on_drawing(*port));
            }
        }
        for (index, strand) in graph.strands.iter().enumerate() {
            if strand.part != StrandPart::Whole {
                continue;
            }
            let end = free_end(index).or_else(|| Some(self.needs[index]));
            let mut line = self.line(index, end);
            if strand.west.is_none() && strand.east.is_none() {
                line = vec![[0.0, 0.0], [self.needs[index], 0.0]];
            }
            line.iter().for_each(|&p| widen(&mut bounds[self.order.piece[members + index]], p));
            if strand.west_end == TrackEnd::To {
                line.reverse();
            }
            lines[strand.track] = rounded(&line, BEND);
        }
        self.lead_back(&free_end, &mut bounds, &mut lines);
        self.stack(&bounds, lines)
    }

    /// The tracks that were cut, led back to their other ends.
    fn lead_back(&self, free_end: &dyn Fn(usize) -> Option<f64>, bounds: &mut [[f64; 4]], lines: &mut [Vec<Point>]) {
        let graph = self.graph;
        let members = graph.members.len();
        let mut outside: BTreeMap<usize, [f64; 4]> = BTreeMap::new();
        let stub = |track: usize, end: TrackEnd| graph.strand_at(track, end);
        let mut cut: Vec<(bool, f64, usize, LeadBack)> = Vec::new();
        for (&track, &back) in &graph.back {
            let (Some(a), Some(b)) = (stub(track, TrackEnd::From), stub(track, TrackEnd::To)) else { continue };
            let member = |s: usize| graph.strands[s].west.or(graph.strands[s].east).map(|e| e.0);
            let span = (self.strand_high(a) - self.strand_high(b)).abs();
            cut.push((member(a) != member(b), span, track, back));
        }
        cut.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
        for (far, _, track, back) in cut {
            let (Some(a), Some(b)) = (stub(track, TrackEnd::From), stub(track, TrackEnd::To)) else { continue };
            let piece = self.order.piece[members + a];
            let [west, east, bottom, top] = bounds[piece];
            let around = outside.entry(piece).or_insert([west - LEVEL, east + LEVEL, bottom - LEVEL, top + LEVEL]);
            let is_east = |s: usize| graph.strands[s].east.is_none();
            let mut ends = [a, b].map(|s| if is_east(s) { around[1] } else { around[0] });
            if !far && back == LeadBack::Turns {
                let own = [a, b].map(|s| free_end(s).unwrap_or(0.0));
                let end = if is_east(a) { own[0].max(own[1]) } else { own[0].min(own[1]) };
                ends = [end, end];
            }
            // From the member to the free end.
            let outward = |s: usize, end: f64| {
                let mut line = self.line(s, Some(end));
                if graph.strands[s].west.is_none() {
                    line.reverse();
                }
                line
            };
            let (mut line, tail) = (outward(a, ends[0]), outward(b, ends[1]));
            let span = (self.strand_high(a) - self.strand_high(b)).abs();
            let mut radius = BEND;
            match back {
                LeadBack::Turns => {
                    let out = if is_east(a) { 1.0 } else { -1.0 };
                    radius = if far { BEND } else { span / 2.0 };
                    let x = ends[0] + out * radius;
                    line.pop();
                    line.extend([[x, self.strand_high(a)], [x, self.strand_high(b)]]);
                    around[usize::from(is_east(a))] += if far { out * LEVEL } else { 0.0 };
                    bounds[piece][usize::from(is_east(a))] = if is_east(a) { east.max(x) } else { west.min(x) };
                    line.extend(tail.into_iter().rev().skip(1));
                }
                LeadBack::Round => {
                    let y = around[3];
                    line.pop();
                    line.extend([
                        [ends[0], self.strand_high(a)],
                        [ends[0], y],
                        [ends[1], y],
                        [ends[1], self.strand_high(b)],
                    ]);
                    line.extend(tail.into_iter().rev().skip(1));
                    *around = [around[0] - LEVEL, around[1] + LEVEL, around[2], around[3] + LEVEL];
                }
            }
            let rounder = rounded(&line, radius);
            for &[x, y] in &rounder {
                let b = &mut bounds[piece];
                *b = [b[0].min(x), b[1].max(x), b[2].min(y), b[3].max(y)];
            }
            lines[track] = rounder;
        }
    }

    /// Puts the pieces one below another, all from the same left edge.
    fn stack(self, bounds: &[[f64; 4]], mut lines: Vec<Vec<Point>>) -> PlacedLayout {
        let members = self.graph.members.len();
        let mut shift = Vec::with_capacity(bounds.len());
        let mut top = 0.0;
        for &[west, _, bottom, high] in bounds {
            if west > high.max(1e12) {
                shift.push([0.0, 0.0]);
                continue;
            }
            shift.push([-west, top - high]);
            top -= high - bottom + PIECES;
        }
        let mut lying = self.lying;
        for (member, l) in lying.iter_mut().enumerate() {
            l.at = plus(l.at, shift[self.order.piece[member]], 1.0);
        }
        let mut done = vec![false; lines.len()];
        for (index, strand) in self.graph.strands.iter().enumerate() {
            if !std::mem::replace(&mut done[strand.track], true) {
                let by = shift[self.order.piece[members + index]];
                lines[strand.track].iter_mut().for_each(|p| *p = plus(*p, by, 1.0));
            }
        }
        PlacedLayout { members: lying, tracks: lines }
    }
}

/// From a port on, out of its member, until the line lies on a level.
fn approach((at, out): (Point, Point), high: f64) -> Vec<Point> {
    let climb = high - at[1];
    if out[0].abs() < 1e-9 {
        // Straight up or down, to a bend eastwards or westwards, which the level leads on from.
        return vec![at, [at[0], high]];
    }
    let sense = out[0].signum();
    if climb.abs() < 1e-6 && out[1].abs() < 1e-9 {
        return vec![at];
    }
    if climb * out[1] > 0.0 {
        return vec![at, plus(at, out, climb / out[1])];
    }
    // On a way that does not lead there: a little on, then by the usual slope.
    let knee = plus(at, out, 1.0);
    let left = high - knee[1];
    let slope = unit([sense * RUN, left.signum()]);
    if left.abs() < 1e-6 { vec![at, knee] } else { vec![at, knee, plus(knee, slope, left / slope[1])] }
}

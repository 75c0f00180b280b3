//! Curves of tracks and angles of frogs: what cannot lie on a table.

use super::{Check, unclear};
use crate::tables::Track;
use handbook::quantity::Quantity;

impl Check<'_, '_> {
    pub(super) fn geometry(&mut self) {
        let plan = self.plan;
        for turnout in &plan.turnout {
            if let (Some(number), Some(one_in)) = (&turnout.number, &turnout.one_in) {
                self.reader.tell(
                    unclear("contradiction", format!("the frog of `{}` is said twice", turnout.name.value))
                        .at(one_in.span.clone(), "the continental way")
                        .also(number.span.clone(), "and as half the cotangent of half the angle")
                        .help("leave one of them out; the two ways of counting differ"),
                );
            }
        }
        for track in &plan.track {
            self.curves(track);
        }
    }

    fn curves(&mut self, track: &Track) {
        let mut last: Option<(f64, std::ops::Range<usize>)> = None;
        let mut curves: Vec<_> = track.curves.iter().collect();
        curves.sort_by(|a, b| a.value.from.value.si().total_cmp(&b.value.from.value.si()));
        for curve in curves {
            let c = &curve.value;
            let (from, to, radius) = (c.from.value.si(), c.to.value.si(), c.radius.value.si());
            let shown = if !(from >= 0.0 && to <= track.length.value.si() + 1e-9) {
                let place = if from >= 0.0 { &c.to } else { &c.from };
                Some(
                    unclear("place-off-track", format!("a curve of `{}` reaches beyond its ends", track.name.value))
                        .at(place.span.clone(), "not on the track"),
                )
            } else if from >= to {
                Some(
                    unclear("contradiction", format!("a curve of `{}` ends before it starts", track.name.value))
                        .at(c.to.span.clone(), "not after `from`")
                        .also(c.from.span.clone(), "where it starts"),
                )
            } else if let Some((_, earlier)) = last.as_ref().filter(|l| from < l.0 - 1e-9) {
                Some(
                    unclear("contradiction", format!("two curves of `{}` lie over each other", track.name.value))
                        .at(c.from.span.clone(), "starts here")
                        .also(earlier.clone(), "this one ends later"),
                )
            } else if !(0.05..=1000.0).contains(&radius) {
                Some(
                    unclear("out-of-range", "a radius is from 50 mm to 1 km")
                        .at(c.radius.span.clone(), "no radius to lay track at"),
                )
            } else {
                None
            };
            last = Some((to, c.to.span.clone()));
            shown.into_iter().for_each(|finding| self.reader.tell(finding));
        }
    }
}

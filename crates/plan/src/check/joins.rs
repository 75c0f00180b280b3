//! Ends of track: each joins one thing, and both sides agree.

use super::{Check, unclear};
use crate::names::{EndOf, Kind, TrackEnd};
use crate::value::At;
use finding::{Finding, Harm};
use std::collections::BTreeMap;
use std::ops::Range;

impl Check<'_, '_> {
    pub(super) fn ends(&mut self) {
        let plan = self.plan;
        let mut joined: BTreeMap<(Kind, usize, String), Range<usize>> = BTreeMap::new();
        // Claims between track ends: (track, end) → what it says it joins.
        let mut claims: BTreeMap<(usize, TrackEnd), (usize, TrackEnd)> = BTreeMap::new();
        let mut places: BTreeMap<(usize, TrackEnd), &At<String>> = BTreeMap::new();
        for (index, track) in plan.track.iter().enumerate() {
            for (end, text) in [(TrackEnd::From, &track.from), (TrackEnd::To, &track.to)] {
                places.insert((index, end), text);
                match self.resolve(text, self.names.end(plan, &text.value)) {
                    Some(EndOf::Work(kind, work, port)) => {
                        let key = (kind, work, port);
                        if let Some(first) = joined.get(&key) {
                            self.reader.tell(
                                unclear("end-joined-twice", format!("two tracks end at `{}`", text.value))
                                    .at(text.span.clone(), "a second track ends here")
                                    .also(first.clone(), "the first one")
                                    .help("an end of a turnout joins one track"),
                            );
                        } else {
                            joined.insert(key, text.span.clone());
                        }
                    }
                    Some(EndOf::Track(other, other_end)) => {
                        if (other, other_end) == (index, end) {
                            self.reader.tell(
                                unclear("joined-to-itself", format!("the end `{}` is joined to itself", text.value))
                                    .at(text.span.clone(), "this very end")
                                    .help("say what it joins, or `buffer` or `beyond`"),
                            );
                        } else {
                            claims.insert((index, end), (other, other_end));
                            if other == index && end == TrackEnd::From {
                                self.reader.tell(
                                    Finding::warning(
                                        "joined-to-itself",
                                        Harm::GoodToKnow,
                                        format!("track `{}` runs into itself and is a closed circle", track.name.value),
                                    )
                                    .at(text.span.clone(), "its own other end")
                                    .help("if no circle is meant, say what this end joins"),
                                );
                            }
                        }
                    }
                    Some(EndOf::Buffer | EndOf::Beyond) | None => {}
                }
            }
        }
        for (&me, &other) in &claims {
            let (Some(mine), Some(theirs)) = (places.get(&me), places.get(&other)) else { continue };
            let Ok(end) = self.names.end(plan, &theirs.value) else { continue };
            if end != EndOf::Track(me.0, me.1) && other != me {
                self.reader.tell(
                    unclear("ends-disagree", format!("`{}` does not say that it joins this end", mine.value))
                        .at(mine.span.clone(), "this end says it joins that one")
                        .also(theirs.span.clone(), "that one says something else")
                        .help(format!("write `{}.{}` there", plan.track[me.0].name.value, me.1.word())),
                );
            }
        }
        self.unjoined(&joined);
    }

    /// Ends of turnouts that no track joins: legal while building, but worth a word. A stall may be empty.
    fn unjoined(&mut self, joined: &BTreeMap<(Kind, usize, String), Range<usize>>) {
        if self.reader.has_findings() {
            return; // the track that joins it may be among those that could not be read
        }
        let works = crate::names::each_name(self.plan)
            .filter(|w| matches!(w.0, Kind::Turnout | Kind::Crossing | Kind::Slip | Kind::ThreeWay));
        for (kind, index, name) in works {
            for port in crate::names::ports(self.plan, kind, index) {
                if !joined.contains_key(&(kind, index, port.clone())) {
                    self.reader.tell(
                        Finding::warning(
                            "end-unjoined",
                            Harm::GoodToKnow,
                            format!("no track joins `{}.{port}`", name.value),
                        )
                        .at(name.span.clone(), format!("this {} has a loose end", kind.word()))
                        .help(format!("give a track `from = \"{}.{port}\"`", name.value)),
                    );
                }
            }
        }
    }
}

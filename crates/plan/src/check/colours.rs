//! What has a colour is a conductor, and has one.

use super::{Check, unclear};
use crate::names::Terminal;
use std::collections::BTreeMap;

impl Check<'_, '_> {
    pub(super) fn colours(&mut self) {
        let plan = self.plan;
        let Some(colours) = plan.colours.as_ref().map(|c| &c.value) else { return };
        let mut said: BTreeMap<&str, std::ops::Range<usize>> = BTreeMap::new();
        for conductor in colours.conductors.iter() {
            for text in &conductor.value.of.0 {
                match self.terminal(text) {
                    Some(Terminal::Bus(_, _, Some(_)) | Terminal::Rail(..) | Terminal::Contact(_)) => {
                        self.reader.tell(
                            unclear("no-such-name", format!("`{}` is a place and no conductor", text.value))
                                .at(text.span.clone(), "has no colour of its own")
                                .help("name a bus's conductor as in `main bus.A`, a supply's, a reverser's or a frog"),
                        );
                    }
                    Some(_) => {
                        if let Some(first) = said.insert(&text.value, text.span.clone()) {
                            self.reader.tell(
                                unclear("contradiction", format!("`{}` is given two colours", text.value))
                                    .at(text.span.clone(), "given again here")
                                    .also(first, "first given here")
                                    .help("leave out one of them"),
                            );
                        }
                    }
                    None => {}
                }
            }
        }
    }
}

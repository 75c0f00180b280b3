//! What the plan promises never to set, and toggles as they usually stand.

use super::{Check, unclear};
use crate::driven;
use crate::names::{Kind, Position};
use crate::value::At;

impl Check<'_, '_> {
    /// Positions that never occur together are two or more, of different things.
    pub(super) fn promises(&mut self) {
        for promise in &self.plan.never {
            let mut known: Vec<(Position, &At<String>)> = Vec::new();
            for text in promise.together.iter() {
                let found = self.names.position(self.plan, &text.value);
                let Some(position) = self.resolve(text, found) else { continue };
                if let Some((other, first)) = known.iter().find(|(other, _)| other.of == position.of) {
                    let message = if other.word == position.word {
                        format!("`{}` is named twice", text.value)
                    } else {
                        format!("`{}` and `{}` are never together: one thing has one position", first.value, text.value)
                    };
                    self.reader.tell(
                        unclear("contradiction", message)
                            .at(text.span.clone(), "again here")
                            .also(first.span.clone(), "first here")
                            .help("name positions of different things, such as `[\"T1 diverging\", \"T4 through\"]`"),
                    );
                    continue;
                }
                known.push((position, text));
            }
            if promise.together.items.len() < 2 {
                let span = promise.together.span.clone().unwrap_or_else(|| promise.place.header.clone());
                self.reader.tell(
                    unclear("missing-key", "a promise needs two positions or more that never occur together")
                        .at(span, "fewer than two")
                        .help("write `together = [\"T1 diverging\", \"T4 through\"]`"),
                );
            }
        }
    }

    /// A toggle usually stands in a position that it has; what follows one has two positions.
    pub(super) fn toggles(&mut self) {
        let plan = self.plan;
        for toggle in &plan.toggle {
            if let Some(usual) = &toggle.usual
                && usual.value == crate::tables::TogglePosition::Centre
                && toggle.centre.is_none()
            {
                self.reader.tell(
                    unclear("contradiction", format!("toggle `{}` has no centre", toggle.name.value))
                        .at(usual.span.clone(), "its usual position")
                        .help(
                            "add `centre = \"off\"` where it has one, or write `usual = \"on\"` or `usual = \"off\"`",
                        ),
                );
            }
        }
        let followers = plan.relay.iter().map(|r| &r.follows);
        let followers = followers.chain(plan.reverser.iter().filter_map(|r| r.follows.as_ref()));
        for text in followers.chain(plan.crossing.iter().filter_map(|c| c.follows.as_ref())) {
            let leader = self.names.get(&text.value).and_then(|l| driven::leader(plan, self.names, l));
            let Some((Kind::Toggle, index)) = leader else { continue };
            if let Some(centre) = &plan.toggle[index].centre {
                self.reader.tell(
                    unclear("contradiction", format!("`{}` has a centre, and what follows it has not", text.value))
                        .at(text.span.clone(), "follows it")
                        .also(centre.span.clone(), "a third position")
                        .help("follow a toggle without a centre; or wire what is switched to contacts of this one"),
                );
            }
        }
    }
}

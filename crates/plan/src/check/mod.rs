//! What a plan must hold as a whole: names that resolve, ends that meet, values within reason.

mod boards;
mod coils;
mod colours;
mod detectors;
mod drivers;
mod feeders;
mod geometry;
mod joins;
mod joints;
mod panels;
mod promises;
mod ranges;
mod special;
mod wiring;

pub(crate) use ranges::believed;

use crate::names::{Kind, Names, RefError, each_name};
use crate::reader::{TableReader, inside, short};
use crate::tables::Plan;
use crate::value::At;
use finding::{Finding, Harm};
use std::collections::BTreeSet;
use std::ops::Range;

/// Runs every check over a plan that was read without syntax errors.
pub(crate) fn check(plan: &Plan, names: &Names, reader: &mut TableReader<'_>) {
    let mut check = Check { plan, names, reader, led_to: None };
    check.whole();
    check.names();
    check.handbook_names();
    check.ranges();
    check.supplies();
    check.buses();
    check.ends();
    check.joints();
    check.rails();
    check.panels();
    check.switches();
    check.toggles();
    check.promises();
    check.boards();
    check.detectors();
    check.drivers();
    check.special();
    check.geometry();
    check.colours();
}

struct Check<'c, 't> {
    plan: &'c Plan,
    names: &'c Names,
    reader: &'c mut TableReader<'t>,
    /// Contacts, by where they stand, whose `common` some other contact is wired to; gathered when asked for.
    led_to: Option<BTreeSet<usize>>,
}

fn unclear(name: &'static str, message: impl Into<String>) -> Finding {
    Finding::error(name, Harm::Unclear, message)
}

/// The letters with which papers number wires, gaps and joints.
pub const NUMBER_LETTERS: [char; 7] = ['B', 'F', 'G', 'J', 'P', 'V', 'W'];

/// Whether a name looks like the number that papers give to a wire, a gap or a joint: `W-1`.
fn is_number_on_papers(name: &str) -> bool {
    let Some(count) = name.strip_prefix(NUMBER_LETTERS).and_then(|rest| rest.strip_prefix('-')) else { return false };
    !count.is_empty() && count.bytes().all(|b| b.is_ascii_digit())
}

impl Check<'_, '_> {
    /// Tells a reference that does not resolve; passes on what it resolves to.
    fn resolve<T>(&mut self, text: &At<String>, found: Result<T, RefError>) -> Option<T> {
        match found {
            Ok(value) => Some(value),
            Err(RefError::Unread) => None,
            Err(RefError::Wrong { at, message, hint }) => {
                let place = self.reader.inside(&text.span, &text.value, at);
                self.reader.tell(unclear("no-such-name", message).at(place, "not found").help(hint));
                None
            }
        }
    }

    fn whole(&mut self) {
        let start = 0..0;
        if self.plan.layout.is_none() && !self.reader.has_findings() {
            self.reader.tell(
                unclear("missing-key", "the plan has no `[layout]`")
                    .at(start.clone(), "nothing says what layout this is")
                    .help("start with `[layout]`, `name = \"…\"` and `scale = \"OO\"`"),
            );
        }
        if self.plan.track.is_empty() && !self.reader.has_findings() {
            self.reader.tell(
                unclear("nothing-to-check", "the plan has no track")
                    .at(start, "no `[[track]]` in this file")
                    .help("a plan needs at least one `[[track]]`, a `[[supply]]` and a `[[bus]]`"),
            );
        }
    }

    fn names(&mut self) {
        for (name, first, again) in self.names.twice.clone() {
            self.reader.tell(
                unclear("name-twice", format!("the name `{}` is given twice", short(&name)))
                    .at(again, "given again here")
                    .also(first, "first given here")
                    .help("every supply, bus, track, turnout, motor and so on needs a name of its own"),
            );
        }
        let odd: Vec<(Kind, At<String>)> = each_name(self.plan)
            .filter(|(_, _, name)| {
                let n = name.value.as_str();
                n.trim().is_empty()
                    || n.trim() != n
                    || n.contains('@')
                    || n.chars().any(char::is_control)
                    || n.chars().count() > 60
                    || matches!(n, "buffer" | "beyond")
                    || is_number_on_papers(n)
            })
            .map(|(kind, _, name)| (kind, name.clone()))
            .collect();
        for (kind, name) in odd {
            self.reader.tell(
                unclear("unfit-name", format!("`{}` cannot be the name of a {}", short(&name.value), kind.word()))
                    .at(name.span, "not a fit name")
                    .help(
                        "a name has 1 to 60 characters, no `@`, no space before or behind, is not `buffer` or `beyond`, \
                         and not the number of a wire, gap or joint such as `W-1`; `W1` will do",
                    ),
            );
        }
    }

    /// Names that the handbook must know: scale, rail, base material, wires.
    fn handbook_names(&mut self) {
        let plan = self.plan;
        let rails: Vec<&str> = handbook::rails::rails().iter().map(|r| r.name).collect();
        let scales: Vec<&str> = handbook::scales::scales().iter().map(|s| s.name).collect();
        if let Some(layout) = &plan.layout.0 {
            let scale = &layout.value.scale;
            if handbook::scales::scale(&scale.value).is_none() {
                self.reader.unknown_word(scale.span.clone(), &scale.value, "scale", &scales);
            }
        }
        let rail_names = plan
            .layout
            .iter()
            .filter_map(|l| l.value.rail.as_ref())
            .chain(plan.track.iter().filter_map(|t| t.rail.as_ref()))
            .chain(plan.turnout.iter().filter_map(|t| t.rail.as_ref()))
            .chain(plan.crossing.iter().filter_map(|t| t.rail.as_ref()))
            .chain(plan.slip.iter().filter_map(|t| t.rail.as_ref()))
            .chain(plan.three_way.iter().filter_map(|t| t.rail.as_ref()))
            .chain(plan.turntable.iter().filter_map(|t| t.rail.as_ref()));
        for rail in rail_names {
            let meant: Vec<&str> = handbook::rails::of_code(&rail.value).iter().map(|rail| rail.name).collect();
            if handbook::rails::rail(&rail.value).is_none() && !meant.is_empty() {
                let lines: Vec<String> = meant.iter().map(|name| format!("`rail = \"{name}\"`")).collect();
                self.reader.tell(
                    unclear("unknown-word", format!("`{}` may be rail of several metals", short(&rail.value)))
                        .at(rail.span.clone(), "of which metal?")
                        .help(format!("write {}", lines.join(" or "))),
                );
            } else if handbook::rails::rail(&rail.value).is_none() {
                self.reader.unknown_word(rail.span.clone(), &rail.value, "rail", &rails);
            }
        }
        if let Some(base) = &plan.base.0 {
            self.base_material(&base.value.material);
        }
        for board in &plan.board {
            board.material.iter().for_each(|material| self.base_material(material));
        }
        let layout = plan.layout.iter().filter_map(|l| l.value.feeder_wire.as_ref());
        let lists = plan.motor.iter().map(|m| &m.contact).chain(plan.relay.iter().map(|r| &r.contact));
        let lists = lists.chain(plan.toggle.iter().map(|t| &t.contact));
        let contacts: Vec<&crate::tables::ContactTable> =
            lists.flat_map(|list| list.iter().map(|contact| &contact.value)).collect();
        let wires = layout
            .chain(plan.bus.iter().map(|b| &b.wire))
            .chain(plan.track.iter().filter_map(|t| t.feeder_wire.as_ref()))
            .chain(plan.track.iter().flat_map(|t| t.feeders.iter().filter_map(|f| f.value.wire.as_ref())))
            .chain(plan.driver.iter().filter_map(|d| d.wire.as_ref()))
            .chain(plan.detector.iter().filter_map(|d| d.wire.as_ref()))
            .chain(plan.motor.iter().filter_map(|m| m.wire.as_ref()))
            .chain(plan.relay.iter().filter_map(|m| m.wire.as_ref()))
            .chain(plan.toggle.iter().filter_map(|m| m.wire.as_ref()))
            .chain(contacts.iter().flat_map(|c| c.wire.iter().chain(c.wires().filter_map(|w| w.wire.as_ref()))));
        for wire in wires {
            if let Err(error) = handbook::wires::wire(&wire.value) {
                self.reader.unclear_quantity(wire.span.clone(), &wire.value, error);
            }
        }
    }
}

impl TableReader<'_> {
    /// The bytes of the plan that hold a part of a quoted value.
    fn inside(&self, span: &Range<usize>, value: &str, part: Range<usize>) -> Range<usize> {
        inside(self.text(), span, value, part)
    }
}

//! A scheme written into a plan: edits that leave every other byte as it is.

use super::contacts::Contacts;
use super::districts::Districts;
use super::feeders::{Belongs, Feeders, Spacing, count_of};
use super::places::Places;
use super::scheme::Scheme;
use super::sketch::{RunEnd, Sketch};
use finding::Edit;
use handbook::quantity::Units;
use plan::edit::{add_key, quoted, replace};
use plan::new_table;
use plan::tables::{JointKind, RailSide};

/// What is left to choose once it is known where rails are cut and what feeds them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Choices {
    pub(crate) bus_wire: &'static str,
    pub(crate) feeder_wire: &'static str,
    pub(crate) contact_wire: &'static str,
    /// How wide gaps are left, metres; as the plan or the handbook says where not chosen.
    pub(crate) gap_width: Option<f64>,
    /// Between joints that slide, metres, and the tracks that get some.
    pub(crate) slides: Spacing,
    /// Whether joints are soldered, where the plan does not say.
    pub(crate) soldered: bool,
    /// What trips a breaker of the layout's own, amperes.
    pub(crate) breaker: Option<f64>,
    pub(crate) twisted: bool,
}

/// Everything that is written.
pub(crate) struct Writing<'a, 'p> {
    pub(crate) sketch: &'a Sketch<'p>,
    pub(crate) scheme: &'a Scheme,
    pub(crate) places: &'a Places,
    pub(crate) contacts: &'a Contacts,
    pub(crate) feeders: &'a Feeders,
    pub(crate) districts: &'a Districts,
    pub(crate) choices: &'a Choices,
}

/// A new table, before it is placed.
pub(crate) struct NewTable {
    pub(crate) kind: &'static str,
    pub(crate) keys: Vec<(&'static str, String)>,
}

impl Writing<'_, '_> {
    pub(crate) fn edits(&self) -> Vec<Edit> {
        let mut edits = Vec::new();
        self.layout(&mut edits);
        let mut tables = self.buses();
        self.tracks(&mut edits);
        self.contacts(&mut edits, &mut tables);
        for (number, section) in self.scheme.sections.iter().enumerate().filter(|(_, s)| s.reverser) {
            let (track, _) = self.sketch.runs[section.run].tracks[0];
            let bus = &self.districts.list[section.district].bus;
            let at = self.districts.along(track).map(|[a, b]| format!(" @ {}", self.units().written((a + b) / 2.0)));
            let from = quoted(&format!("{bus}{}", at.unwrap_or_default()));
            let keys =
                vec![("name", quoted(&self.reverser(number))), ("kind", quoted("short-sensing")), ("from", from)];
            tables.push(NewTable { kind: "reverser", keys });
        }
        self.place(tables, &mut edits);
        let mut edits = in_one(edits);
        let crlf = self.sketch.text.contains("\r\n");
        if crlf {
            edits.iter_mut().for_each(|edit| edit.text = edit.text.replace("\r\n", "\n").replace('\n', "\r\n"));
        }
        edits
    }

    pub(crate) fn units(&self) -> Units {
        self.sketch.plan.units()
    }

    fn reverser(&self, section: usize) -> String {
        reverser_name(self.sketch, self.scheme, section)
    }

    pub(crate) fn free_name(&self, wanted: &str) -> String {
        free_name(self.sketch, wanted)
    }

    fn layout(&self, edits: &mut Vec<Edit>) {
        let Some(layout) = self.sketch.plan.layout.as_ref() else { return };
        let mut keys = Vec::new();
        let said = &layout.value;
        if self.choices.soldered && said.joint.is_none() {
            keys.push(("joint", quoted("soldered")));
        }
        if let Some(width) = self.choices.gap_width.filter(|_| said.gap_width.is_none()) {
            keys.push(("gap_width", quoted(&self.units().fine(width))));
        }
        if said.feeder_wire.is_none() && !self.feeders.list.is_empty() {
            keys.push(("feeder_wire", quoted(self.choices.feeder_wire)));
        }
        edits.extend(keys_edit(&said.place, &keys));
    }

    fn buses(&self) -> Vec<NewTable> {
        let mut tables = Vec::new();
        for district in self.districts.list.iter().filter(|d| d.is_new) {
            let mut supply = district.supply.clone();
            if let Some(amps) = self.choices.breaker {
                let name = self.free_name(&format!("{} breaker", district.bus));
                tables.push(NewTable {
                    kind: "supply",
                    keys: vec![
                        ("name", quoted(&name)),
                        ("kind", quoted("sub-breaker")),
                        ("behind", quoted(&supply)),
                        ("trips", format!("{{ at = \"{amps} A\", after = \"20 ms\" }}")),
                    ],
                });
                supply = name;
            }
            let mut keys = vec![
                ("name", quoted(&district.bus)),
                ("supply", quoted(&supply)),
                ("wire", quoted(self.choices.bus_wire)),
            ];
            if self.choices.twisted {
                keys.push(("pair", quoted("twisted")));
            }
            keys.push(("length", quoted(&self.units().written(district.length))));
            tables.push(NewTable { kind: "bus", keys });
        }
        tables
    }

    pub(crate) fn belongs(&self, to: Belongs) -> String {
        match to {
            Belongs::Bus(feed) => format!("{}.{}", self.districts.list[feed.district].bus, feed.pole.word()),
            Belongs::Reverser { section, pole } => format!("{}.{}", self.reverser(section), pole.word()),
        }
    }

    fn tracks(&self, edits: &mut Vec<Edit>) {
        let sliding = ends_that_slide(self.sketch, self.scheme, self.choices);
        for (index, table) in self.sketch.plan.track.iter().enumerate() {
            let mut keys: Vec<(&str, String)> = Vec::new();
            for (side, key, said) in [(RailSide::Left, "left", &table.left), (RailSide::Right, "right", &table.right)] {
                if let (Some(to), None) = (self.feeders.belongs[index][side], said) {
                    keys.push((key, quoted(&self.belongs(to))));
                }
            }
            if let (Some([from, to]), None) = (self.districts.along(index), &table.along) {
                let bus = quoted(&self.districts.list[self.scheme.district[index]].bus);
                let [from, to] = [from, to].map(|x| quoted(&self.units().written(x)));
                keys.push(("along", format!("{{ bus = {bus}, from = {from}, to = {to} }}")));
            }
            let mut feeders: [Vec<f64>; 2] = Default::default();
            for feeder in self.feeders.list.iter().filter(|f| f.track == index) {
                feeders[feeder.side].push(feeder.x);
            }
            let list = self.both_or_one(&feeders);
            match &table.feeders.span {
                None => keys.extend(list.map(|list| ("feeders", format!("[{list}]")))),
                Some(span) if self.is_bracketed(span) => edits.extend(self.feeders_again(index, span.clone(), list)),
                // Written as tables of their own, they stay as they are.
                Some(_) => {}
            }
            let mut gaps: [Vec<f64>; 2] = Default::default();
            for cut in self.scheme.cuts.iter().filter(|c| c.at.track == index) {
                gaps[cut.side].push(self.places.of_cut(self.sketch, cut));
            }
            // A bare plan may have an empty list.
            match (self.both_or_one(&gaps), &table.gaps.span) {
                (Some(list), None) => keys.push(("gaps", format!("[{list}]"))),
                (Some(list), Some(span)) => edits.push(replace(span.clone(), &format!("[{list}]"))),
                (None, _) => {}
            }
            if let (Some(apart), true) = (self.choices.slides.on(index), table.slides.is_empty()) {
                let length = self.sketch.circuit.segments[index].length;
                let count = count_of(self.sketch, index, apart) - 1;
                let at = (1..=count).map(|k| length * k as f64 / (count + 1) as f64);
                let list: Vec<String> = at.map(|x| quoted(&self.units().written(x))).collect();
                if !list.is_empty() {
                    keys.push(("slides", format!("[{}]", list.join(", "))));
                }
            }
            let ends = sliding.iter().filter(|at| at.track == index);
            let joint = |at: &RunEnd| {
                let at = quoted(&self.units().written(table.place_of(at.end)));
                format!("{{ at = {at}, kind = \"sliding\" }}")
            };
            let joints: Vec<String> = ends.map(joint).collect();
            if !joints.is_empty() {
                keys.push(("joints", format!("[{}]", joints.join(", "))));
            }
            edits.extend(keys_edit(&table.place, &keys));
        }
    }

    /// Places on two rails as a list: what both have is said once.
    fn both_or_one(&self, rails: &[Vec<f64>; 2]) -> Option<String> {
        let show = |x: f64| quoted(&self.units().written(x));
        let same = |x: f64, list: &[f64]| list.iter().any(|y| (x - y).abs() < 1e-6);
        let mut items: Vec<(f64, String)> = Vec::new();
        for side in RailSide::ALL {
            for &x in &rails[side] {
                if same(x, &rails[side.other()]) {
                    if side == RailSide::Left {
                        items.push((x, show(x)));
                    }
                } else {
                    items.push((x, format!("{{ at = {}, rail = \"{}\" }}", show(x), side.word())));
                }
            }
        }
        items.sort_by(|a, b| a.0.total_cmp(&b.0));
        let list: Vec<String> = items.into_iter().map(|i| i.1).collect();
        (!list.is_empty()).then(|| list.join(", "))
    }

    /// The list of a track's feeders, where it has one: with those that stay, and the new ones behind them.
    fn feeders_again(&self, track: usize, span: std::ops::Range<usize>, new: Option<String>) -> Option<Edit> {
        let table = &self.sketch.plan.track[track];
        let mut items: Vec<String> = Vec::new();
        let mut changed = new.is_some();
        for (number, feeder) in table.feeders.iter().enumerate() {
            let said: Vec<RailSide> = match &feeder.value.rail {
                Some(rail) => vec![rail.value],
                None => RailSide::ALL.to_vec(),
            };
            let stays = &self.feeders.kept[&(track, number)];
            if *stays == said {
                items.push(self.whole().get(feeder.span.clone()).unwrap_or_default().to_owned());
                continue;
            }
            changed = true;
            let at = self.whole().get(feeder.value.at.span.clone()).unwrap_or_default();
            items.extend(stays.iter().map(|side| format!("{{ at = {at}, rail = \"{}\" }}", side.word())));
        }
        items.extend(new);
        changed.then(|| replace(span, &format!("[{}]", items.join(", "))))
    }

    /// Whether a list is written in brackets, and not as `[[track.feeders]]`.
    fn is_bracketed(&self, span: &std::ops::Range<usize>) -> bool {
        let words = self.whole().get(span.clone()).unwrap_or_default();
        words.starts_with('[') && !words.starts_with("[[") && words.ends_with(']')
    }

    /// The text that the places of the plan are in.
    fn whole(&self) -> &str {
        self.sketch.names.expansion.whole(self.sketch.text)
    }

    /// Puts new tables behind the last of their kind, or at the end of the text.
    fn place(&self, tables: Vec<NewTable>, edits: &mut Vec<Edit>) {
        let plan = self.sketch.plan;
        let mut at_end = String::new();
        for table in tables {
            let list = match table.kind {
                "motor" => plan.motor.last().map(|t| &t.place),
                "toggle" => plan.toggle.last().map(|t| &t.place),
                "relay" => plan.relay.last().map(|t| &t.place),
                "reverser" => plan.reverser.last().map(|t| &t.place),
                "bus" => plan.bus.last().map(|t| &t.place),
                _ => plan.supply.last().map(|t| &t.place),
            };
            match list.filter(|place| place.inline) {
                Some(_) => edits.extend(new_table(self.sketch.text, table.kind, list, None, &table.keys)),
                None => {
                    let widest = table.keys.iter().map(|k| k.0.len()).max().unwrap_or(0);
                    at_end.push_str(&format!("\n[[{}]]\n", table.kind));
                    for (key, value) in &table.keys {
                        at_end.push_str(&format!("{key:widest$} = {value}\n"));
                    }
                }
            }
        }
        if !at_end.is_empty() {
            let text = self.sketch.text;
            let before = if text.ends_with('\n') { "" } else { "\n" };
            edits.push(replace(text.len()..text.len(), &format!("{before}{at_end}")));
        }
    }
}

/// The joints over edges of boards that would be soldered, and are made to slide: where rails are not cut there.
pub(crate) fn ends_that_slide(sketch: &Sketch<'_>, scheme: &Scheme, choices: &Choices) -> Vec<RunEnd> {
    let layout = sketch.plan.layout.as_ref().and_then(|l| l.value.joint.as_ref());
    let slides = |at: &RunEnd| {
        let table = &sketch.plan.track[at.track];
        let soldered = match table.joint.as_ref().or(layout) {
            Some(joint) => joint.value == JointKind::Soldered,
            None => choices.soldered,
        };
        soldered && table.joints.is_empty() && !RailSide::ALL.iter().all(|&side| scheme.is_cut(*at, side))
    };
    let across = sketch.circuit.ends_across_boards(sketch.plan, sketch.names);
    across.into_keys().map(|(track, end)| RunEnd { track, end }).filter(slides).collect()
}

/// The name of a section's reverser.
pub(crate) fn reverser_name(sketch: &Sketch<'_>, scheme: &Scheme, section: usize) -> String {
    let (track, _) = sketch.runs[scheme.sections[section].run].tracks[0];
    free_name(sketch, &format!("{} reverser", sketch.plan.track[track].name.value))
}

/// A name that nothing has yet.
fn free_name(sketch: &Sketch<'_>, wanted: &str) -> String {
    let taken = |name: &str| sketch.names.get(name).is_some();
    if !taken(wanted) {
        return wanted.to_owned();
    }
    (2..).map(|n| format!("{wanted} {n}")).find(|name| !taken(name)).unwrap_or_default()
}

/// What is put in right behind what is replaced, in one edit with that: two at one place would have no order.
fn in_one(edits: Vec<Edit>) -> Vec<Edit> {
    let (put_in, mut all): (Vec<Edit>, Vec<Edit>) = edits.into_iter().partition(|e| e.place.span.is_empty());
    let replaced = all.len();
    for edit in put_in {
        match all[..replaced].iter_mut().find(|e| e.place.span.end == edit.place.span.start) {
            Some(before) => before.text.push_str(&edit.text),
            None => all.push(edit),
        }
    }
    all
}

/// One edit for all keys that a table gets: two at one place would have no order.
pub(crate) fn keys_edit(place: &plan::value::TablePlace, keys: &[(&str, String)]) -> Option<Edit> {
    let all = keys.iter().map(|(key, value)| add_key(place, key, value));
    all.reduce(|mut one, next| {
        one.text.push_str(&next.text);
        one
    })
}

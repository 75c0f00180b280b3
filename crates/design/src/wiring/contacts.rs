//! Which contact hands what to which rail: one for each thing that changes with a control, and trees for tracks that are dead at times.

use super::feeders::{Spacing, count_of};
use super::labels::{Feed, Label};
use super::places::Places;
use super::scheme::{Scheme, YardForm};
use super::sketch::{RunId, Sketch};
use super::yards::{TreeNode, Yard};
use circuit::ControlId;
use plan::tables::{Live, RailSide, Wiring};
use plan::{Kind, TrackEnd};
use std::collections::{BTreeMap, BTreeSet};

/// What a wire of a contact ends at.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Target {
    Conductor(Feed),
    Rail {
        track: usize,
        side: RailSide,
        x: f64,
    },
    Frog {
        kind: Kind,
        index: usize,
        word: &'static str,
    },
    /// The common terminal of another contact.
    Common(usize),
}

/// What a contact is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Purpose {
    Frog,
    Section,
    Storage,
}

/// One change-over contact.
#[derive(Clone, Debug)]
pub(crate) struct Duty {
    /// What moves it; none where that is a toggle of a track's own.
    pub(crate) control: Option<ControlId>,
    /// The track of a toggle.
    pub(crate) toggle: Option<usize>,
    pub(crate) common: Vec<Target>,
    /// What each position is wired to.
    pub(crate) to: Vec<Vec<Target>>,
    pub(crate) purpose: Purpose,
}

/// All contacts of a scheme.
#[derive(Clone, Debug, Default)]
pub(crate) struct Contacts {
    pub(crate) duties: Vec<Duty>,
    /// The most contacts that a track's current passes one after the other.
    pub(crate) in_series: usize,
    /// Contacts that no wiring of these rails can do without.
    pub(crate) fewest: usize,
}

/// What a scheme is built with.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Building<'a> {
    pub(crate) yards: &'a [Yard],
    pub(crate) form: YardForm,
    /// How near to each other the places are where contacts feed a rail.
    pub(crate) spacing: &'a Spacing,
    /// Whether frogs are fed that could do without: tips of plastic-bodied frogs, and frogs that blades feed.
    pub(crate) all_frogs: bool,
}

impl Contacts {
    pub(crate) fn new(sketch: &Sketch<'_>, scheme: &Scheme, places: &Places, building: Building<'_>) -> Contacts {
        let mut contacts = Contacts::default();
        contacts.switched(sketch, scheme, places, building);
        contacts.fewest = contacts.duties.len();
        contacts.in_series = usize::from(!contacts.duties.is_empty());
        let mut controls = BTreeSet::new();
        for (group, yard) in building.yards.iter().enumerate() {
            if building.form == YardForm::OverFrogs && yard.hung.is_some() {
                let deep = yard.trees.iter().map(TreeNode::depth).max().unwrap_or(0);
                contacts.in_series = contacts.in_series.max(deep);
                continue;
            }
            if yard.live == Live::ByHand {
                for &run in &yard.runs {
                    let landing =
                        landings(sketch, scheme, places, Wanted { run, group, tree: None, spacing: building.spacing });
                    let Some((feed, landing)) = landing else { continue };
                    contacts.duties.push(Duty {
                        control: None,
                        toggle: Some(sketch.runs[run].tracks[0].0),
                        common: vec![Target::Conductor(feed)],
                        to: vec![Vec::new(), landing],
                        purpose: Purpose::Storage,
                    });
                    contacts.fewest += 1;
                }
                continue;
            }
            for (tree, node) in yard.trees.iter().enumerate() {
                node.controls(&mut controls);
                contacts.in_series = contacts.in_series.max(node.depth());
                // Where either end will do, both trees feed one rail.
                let tree = (yard.live != Live::EitherEnd).then_some(tree);
                contacts.tree(sketch, scheme, places, node, (group, tree, building.spacing));
            }
            // A track's power depends on each turnout of its throats, so each needs a contact at least.
            contacts.fewest += controls.len();
            controls.clear();
        }
        contacts
    }

    /// A contact for each thing that changes with a control.
    fn switched(&mut self, sketch: &Sketch<'_>, scheme: &Scheme, places: &Places, building: Building<'_>) {
        let component = scheme.components(sketch);
        // What each component holds: labels, frogs, rails.
        let mut held: BTreeMap<usize, (Label, Vec<Target>, bool, bool)> = BTreeMap::new();
        let mut put = |element: usize, label: &Label| {
            if let Label::Switched { .. } = label {
                held.entry(component[element]).or_insert_with(|| (label.clone(), Vec::new(), false, false));
            }
        };
        scheme.works.iter().for_each(|(&conductor, label)| put(conductor, label));
        for (track, rails) in scheme.rails.iter().enumerate() {
            for side in RailSide::ALL {
                if let Some(label) = &rails[side] {
                    put(scheme.rail_element(track, side), label);
                }
            }
        }
        let mut inner: BTreeMap<(Kind, usize), usize> = BTreeMap::new();
        for &(kind, index, node, word) in &sketch.circuit.frogs {
            let conductor = sketch.conductor(node);
            let Some(entry) = held.get_mut(&component[conductor]) else { continue };
            let wiring = (kind == Kind::Turnout).then(|| sketch.plan.turnout[index].wiring.value);
            match wiring {
                Some(Wiring::LiveRouted) => entry.3 = true,
                Some(Wiring::MetalTip | Wiring::LiveAssisted) if !building.all_frogs => entry.3 = true,
                _ => {
                    entry.1.push(Target::Frog { kind, index, word });
                    entry.2 = true;
                }
            }
            inner.insert((kind, index), component[conductor]);
        }
        for &conductor in scheme.works.keys() {
            if sketch.blade_fed.contains(&conductor)
                && let Some(entry) = held.get_mut(&component[conductor])
            {
                entry.3 = true;
            }
        }
        // Rails of sections that hang on no frog.
        for section in scheme.sections.iter().filter(|s| !s.reverser) {
            for &(track, _) in &sketch.runs[section.run].tracks {
                for side in RailSide::ALL {
                    let Some(entry) = held.get_mut(&component[scheme.rail_element(track, side)]) else { continue };
                    let fed_by_blades = entry.3 && !entry.2;
                    let apart = building.spacing.on(track);
                    let only_frog = entry.2 && apart.is_none();
                    if !fed_by_blades && !only_frog {
                        let count = apart.map_or(1, |apart| count_of(sketch, track, apart));
                        let at = places.along(sketch, scheme, (track, side), count);
                        entry.1.extend(at.into_iter().map(|x| Target::Rail { track, side, x }));
                    }
                }
            }
        }
        // Alike ones of one control share a contact; frogs of turnouts further in are fed from the rails before their points.
        let mut made: Vec<(Label, Vec<Target>, Option<usize>, bool)> = Vec::new();
        let yards = building.yards.iter().filter(|y| building.form == YardForm::OverFrogs && y.hung.is_some());
        let local: BTreeMap<usize, super::sketch::RunEnd> = yards.flat_map(|y| y.inner.iter().copied()).collect();
        for (id, (label, targets, frog, blades)) in held {
            if targets.is_empty() || (blades && !frog) {
                continue;
            }
            let turnout = inner
                .iter()
                .find(|((kind, index), c)| **c == id && *kind == Kind::Turnout && local.contains_key(index));
            let from = turnout.map(|((_, index), _)| *index);
            match made.iter_mut().find(|m| m.0.agrees(&label) && m.2 == from && from.is_none()) {
                Some(same) => {
                    same.1.extend(targets);
                    same.3 |= frog;
                }
                None => made.push((label, targets, from, frog)),
            }
        }
        for (label, common, from, frog) in made {
            let Label::Switched { control, feeds } = label else { continue };
            let source = |feed: Feed| match from.and_then(|turnout| local.get(&turnout)) {
                Some(end) => {
                    let left = super::labels::pole_of(scheme.crossed[end.track], RailSide::Left);
                    let side = if left == feed.pole { RailSide::Left } else { RailSide::Right };
                    let length = sketch.circuit.segments[end.track].length;
                    let x = if end.end == TrackEnd::From { length / 4.0 } else { length * 3.0 / 4.0 };
                    Target::Rail { track: end.track, side, x: places.ruled(x) }
                }
                None => Target::Conductor(feed),
            };
            let to = feeds.into_iter().map(|feed| feed.map(source).into_iter().collect()).collect();
            let purpose = if frog { Purpose::Frog } else { Purpose::Section };
            self.duties.push(Duty { control: Some(control), toggle: None, common, to, purpose });
        }
        self.duties.sort_by_key(|d| (d.control, d.purpose));
    }

    fn tree(
        &mut self,
        sketch: &Sketch<'_>,
        scheme: &Scheme,
        places: &Places,
        node: &TreeNode,
        (group, tree, spacing): (usize, Option<usize>, &Spacing),
    ) -> Option<usize> {
        let TreeNode::Contact { control, to } = node else { return None };
        let number = self.duties.len();
        self.duties.push(Duty {
            control: Some(*control),
            toggle: None,
            common: Vec::new(),
            to: vec![Vec::new(); sketch.circuit.controls[*control].positions.len()],
            purpose: Purpose::Storage,
        });
        let mut fed = None;
        for (&position, child) in to {
            let wires = match child {
                TreeNode::Track(run) => {
                    let Some((feed, landing)) =
                        landings(sketch, scheme, places, Wanted { run: *run, group, tree, spacing })
                    else {
                        continue;
                    };
                    fed = Some(feed);
                    landing
                }
                TreeNode::Contact { .. } => {
                    let Some(next) = self.tree(sketch, scheme, places, child, (group, tree, spacing)) else { continue };
                    // The contact behind takes what this one hands on.
                    if let [Target::Conductor(feed)] = self.duties[next].common[..] {
                        fed = Some(feed);
                    }
                    self.duties[next].common.clear();
                    vec![Target::Common(next)]
                }
            };
            self.duties[number].to[usize::from(position)] = wires;
        }
        self.duties[number].common.extend(fed.map(Target::Conductor));
        Some(number)
    }
}

/// The storage track whose wires are asked for: of which yard, of which of its trees, or of whichever.
#[derive(Clone, Copy)]
struct Wanted<'a> {
    run: RunId,
    group: usize,
    tree: Option<usize>,
    spacing: &'a Spacing,
}

/// Where the wires of a storage track's contact end, and what they bring.
fn landings(sketch: &Sketch<'_>, scheme: &Scheme, places: &Places, wanted: Wanted<'_>) -> Option<(Feed, Vec<Target>)> {
    let mut wires = Vec::new();
    let mut feed = None;
    for &(track, _) in &sketch.runs[wanted.run].tracks {
        for side in RailSide::ALL {
            let Some(Label::Own { group, tree, pole, .. }) = &scheme.rails[track][side] else { continue };
            if *group != wanted.group || wanted.tree.is_some_and(|t| t != *tree) {
                continue;
            }
            feed = Some(Feed { district: scheme.district[track], pole: *pole });
            let count = wanted.spacing.on(track).map_or(1, |apart| count_of(sketch, track, apart));
            let at = places.along(sketch, scheme, (track, side), count);
            wires.extend(at.into_iter().map(|x| Target::Rail { track, side, x }));
        }
    }
    feed.map(|feed| (feed, wires))
}

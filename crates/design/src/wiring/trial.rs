//! Schemes, wires and joints tried against the review: the fewest gaps and contacts first, then the least copper.

use super::contacts::{Building, Contacts};
use super::districts::Districts;
use super::edits::Choices;
use super::feeders::Spacing;
use super::ground::{Built, Candidate, Ground, Tuning};
use super::phases::{SectionChoice, SignedGraph};
use super::places::Places;
use super::report;
use super::scheme::{NoScheme, Scheme, YardForm};
use super::sketch::Sketch;
use super::thin;
use super::yards::{self, Yard};
use super::{NoWiring, ProposedWiring};
use finding::{Finding, Severity};
use handbook::quantity::Quantity;
use plan::tables::Live;
use plan::{Names, Plan, Pole};
use std::collections::BTreeSet;

/// Schemes that are tried at most.
const MOST_SCHEMES: usize = 8;
/// Reviews that are spent on taking away what is not needed, of a plan of few tracks; of longer ones as many as take no longer.
const MOST_PRUNINGS: usize = 80;
/// Tracks of all plans reviewed in that.
const MOST_PRUNED_TRACKS: usize = 4000;

/// What a candidate is sorted by: sections that are too short, reversers, gaps and contacts, contacts in a row, its number.
type Rank = (usize, usize, usize, usize, usize);

pub(crate) fn best(text: &str, plan: &Plan, names: &Names) -> Result<ProposedWiring, NoWiring> {
    let sketch = Sketch::new(text, plan, names);
    let districts = Districts::new(&sketch).ok_or(NoWiring::NoSupply)?;
    let ground = Ground { sketch: &sketch, places: Places::new(&sketch), yards: yards::yards(&sketch), districts };
    let mut chosen: Option<(usize, Candidate, Tuning)> = None;
    for candidate in ground.candidates()?.into_iter().take(MOST_SCHEMES) {
        let mut tuning = ground.thickest();
        let mut built = ground.build(&candidate, &tuning);
        if built.found.iter().any(|f| f.name == "dead-rail") {
            let with_all = Tuning { all_frogs: true, ..tuning.clone() };
            let other = ground.build(&candidate, &with_all);
            if weight(&other.found) < weight(&built.found) {
                (tuning, built) = (with_all, other);
            }
        }
        // What is at fault with the thickest wires and loose joints no tuning ends.
        if !built.found.iter().any(is_of_wiring) {
            ground.tune(&candidate, &mut tuning, &mut built);
        }
        let left = weight(&built.found);
        if chosen.as_ref().is_none_or(|(least, ..)| left < *least) {
            chosen = Some((left, candidate, tuning));
        }
        if left == 0 {
            break;
        }
    }
    let Some((_, candidate, mut tuning)) = chosen else { return Err(NoWiring::TooManyLoops) };
    thin::thin_down(&ground, &candidate, &mut tuning);
    let built = ground.build(&candidate, &tuning);
    let left = built.found.clone();
    Ok(ProposedWiring {
        reasons: report::reasons(&ground, &candidate, &built, &tuning),
        counts: report::counts(plan, &candidate, &built),
        edits: built.edits,
        text: built.text,
        left,
    })
}

/// Findings that no wiring of the track mends.
const NOT_OF_WIRING: [&str; 21] = [
    "end-unjoined",
    "end-joined-twice",
    "joined-to-itself",
    "track-voltage-too-high",
    "not-covered",
    "train-does-not-fit",
    "tracks-too-close",
    "address-shared",
    "reserved-address",
    "throw-too-short",
    "throw-wire-binds",
    "throw-wire-overstressed",
    "throw-wire-too-soft",
    "throw-wire-too-stiff",
    "motor-without-driver",
    "motor-lacks-volts",
    "motors-overload-supply",
    "self-lockout",
    "trip-unknown",
    "room-beyond-tables",
    "breaker-order",
];

/// Findings about rail and wood that move.
const OF_MOVEMENT: [&str; 5] =
    ["gap-closes", "gap-opens-too-far", "rail-may-buckle", "feeder-may-tear", "single-sliding-joint"];

/// Those of them that do not depend on what feeds the rail.
const OF_RAIL_AND_WOOD: [&str; 3] = ["gap-closes", "gap-opens-too-far", "rail-may-buckle"];

/// Findings about volts, currents and wires.
const OF_NUMBERS: [&str; 12] = [
    "voltage-drop",
    "track-voltage-too-low",
    "inductive-drop",
    "breaker-may-not-trip",
    "breaker-may-not-trip-when-aged",
    "breaker-may-not-trip-after-failure",
    "wire-too-thin",
    "wire-beyond-code",
    "contact-overloaded",
    "contact-rating-unknown",
    "switch-on-trips",
    "wire-too-short",
];

/// Whether a finding is about where rails are cut and what feeds them.
fn is_of_wiring(finding: &Finding) -> bool {
    ![&OF_MOVEMENT[..], &OF_NUMBERS[..], &NOT_OF_WIRING[..]].iter().any(|list| list.contains(&finding.name))
}

/// How bad findings are together.
fn weight(found: &[Finding]) -> usize {
    let weight = |f: &Finding| match f.severity {
        _ if is_of_wiring(f) => 100,
        Severity::Error => 10,
        _ => 1,
    };
    found.iter().filter(|f| !NOT_OF_WIRING.contains(&f.name)).map(weight).sum()
}

impl<'a, 'p> Ground<'a, 'p> {
    /// Schemes, the fewest reversers, gaps and contacts first.
    fn candidates(&self) -> Result<Vec<Candidate>, NoWiring> {
        let graph = SignedGraph::new(self.sketch);
        let sets = graph.section_sets(self.sketch, &self.districts.wanted);
        if sets.is_empty() {
            return Err(NoWiring::TooManyLoops);
        }
        let decides = |y: &Yard| !matches!(y.live, Live::Always);
        let mut forms = vec![YardForm::Trees(Pole::B)];
        if self.yards.iter().any(decides) {
            forms.push(YardForm::Trees(Pole::A));
        }
        if self.yards.iter().any(|y| y.hung.is_some()) {
            forms.insert(0, YardForm::OverFrogs);
        }
        let mut found: Vec<(Rank, Candidate)> = Vec::new();
        let mut trouble = None;
        for (number, set) in sets.iter().enumerate() {
            let short = set.iter().filter(|section| self.too_short(section)).count();
            for &form in &forms {
                let district = &self.districts.of_segment;
                let made = Scheme::new(self.sketch, &graph, set, &self.districts.wanted, district, (&self.yards, form));
                match made {
                    // A reverser has outputs for rails, and none for the trackwork before them.
                    Ok(scheme) if scheme.sections.iter().any(|s| s.reverser && s.with_work) => {}
                    Ok(scheme) => {
                        let spacing = Spacing::default();
                        let building = Building { yards: &self.yards, form, spacing: &spacing, all_frogs: false };
                        let contacts = Contacts::new(self.sketch, &scheme, &self.places, building);
                        let reversers = scheme.sections.iter().filter(|s| s.reverser).count();
                        let rank =
                            (short, reversers, scheme.cuts.len() + contacts.duties.len(), contacts.in_series, number);
                        found.push((rank, Candidate { scheme, form }));
                    }
                    Err(NoScheme::Trackwork(kind, index)) => trouble = Some((kind, index)),
                }
            }
        }
        found.sort_by_key(|(rank, _)| *rank);
        match (found.is_empty(), trouble) {
            (true, Some((kind, index))) => {
                let named = plan::names::each_name(self.sketch.plan).find(|(k, i, _)| (*k, *i) == (kind, index));
                let name = named.map_or_else(|| kind.word().to_owned(), |n| format!("`{}`", n.2.value));
                Err(NoWiring::Trackwork { name })
            }
            _ => Ok(found.into_iter().map(|(_, candidate)| candidate).collect()),
        }
    }

    fn too_short(&self, section: &SectionChoice) -> bool {
        let run = &self.sketch.runs[section.run];
        run.length - 0.2 < self.sketch.longest_train() || !run.has_room()
    }

    /// The thickest wires, so that what is at fault then no wire ends.
    fn thickest(&self) -> Tuning {
        let sizes = thin::sizes(self.sketch.plan.units());
        let last = |list: &[&'static str]| list[list.len() - 1];
        let choices = Choices {
            bus_wire: last(sizes.bus),
            feeder_wire: last(sizes.feeder),
            contact_wire: last(sizes.contact),
            gap_width: None,
            slides: Spacing::default(),
            soldered: true,
            breaker: None,
            twisted: true,
        };
        Tuning { choices, spacing: Spacing::default(), all_frogs: false }
    }

    /// Joints, widths, feeders and a breaker: each only as far as it is asked for.
    fn tune(&self, candidate: &Candidate, tuning: &mut Tuning, built: &mut Built) {
        let all: BTreeSet<usize> = (0..self.sketch.plan.track.len()).collect();
        let spaced = |apart: Option<f64>| Spacing { apart, tracks: all.clone() };
        let better = |tuning: &mut Tuning, built: &mut Built, other: Tuning| {
            let made = self.build(candidate, &other);
            if weight(&made.found) < weight(&built.found) {
                (*tuning, *built) = (other, made);
            }
        };
        let moves = |built: &Built| built.found.iter().any(|f| OF_MOVEMENT.contains(&f.name));
        if moves(built) {
            'movement: for slides in [None, Some(3.0), Some(2.0), Some(1.5), Some(1.0), Some(0.6), Some(0.4), Some(0.3)]
            {
                for width in [0.5e-3, 0.8e-3, 1.0e-3, 1.3e-3, 1.6e-3, 0.3e-3] {
                    let mut other = tuning.clone();
                    (other.choices.slides, other.choices.gap_width) = (spaced(slides), Some(width));
                    // Each piece between two joints that slide has a feed of its own.
                    other.spacing = spaced(slides);
                    // Rail that moves is looked at by itself first, which takes little.
                    let text = self.write(candidate, &other).text;
                    if review::findings_of(&text, &OF_RAIL_AND_WOOD).is_empty() {
                        better(tuning, built, other);
                    }
                    if !moves(built) {
                        break 'movement;
                    }
                }
            }
        }
        if tuning.spacing.apart.is_none() {
            self.feed_the_weakest(candidate, tuning, built);
        }
        let trip = self.sketch.plan.supply.iter().filter_map(|s| Some(s.trips.as_ref()?.value.at.value.si()));
        let trip = trip.fold(f64::INFINITY, f64::min);
        if trip.is_finite() && self.districts.list.iter().all(|d| d.is_new) {
            for part in [0.5, 0.3] {
                if weight(&built.found) > 0 {
                    let mut other = tuning.clone();
                    other.choices.breaker = Some((trip * part * 10.0).round() / 10.0);
                    better(tuning, built, other);
                }
            }
        }
        if weight(&built.found) == 0 {
            self.only_where_needed(candidate, tuning, built);
        }
    }

    /// Feeders nearer to each other on as few of the weakest tracks as will do: twice as many each time, then halved back.
    fn feed_the_weakest(&self, candidate: &Candidate, tuning: &mut Tuning, built: &mut Built) {
        if weight(&built.found) == 0 {
            return;
        }
        let order = review::weakest_tracks(&built.text);
        for apart in [3.0, 2.0, 1.5, 1.0, 0.6] {
            let with = |count: usize| {
                let tracks = order.iter().take(count).copied().collect();
                let other = Tuning { spacing: Spacing { apart: Some(apart), tracks }, ..tuning.clone() };
                let made = self.build(candidate, &other);
                (other, made)
            };
            let (mut few, mut count) = (0, 1.min(order.len()));
            let mut last = with(count);
            while weight(&last.1.found) > 0 && count < order.len() {
                few = count;
                count = (2 * count).min(order.len());
                last = with(count);
            }
            if weight(&last.1.found) == 0 {
                while few + 1 < count {
                    let middle = few.midpoint(count);
                    let made = with(middle);
                    if weight(&made.1.found) == 0 {
                        (count, last) = (middle, made);
                    } else {
                        few = middle;
                    }
                }
                (*tuning, *built) = last;
                return;
            }
            if weight(&last.1.found) < weight(&built.found) {
                (*tuning, *built) = last;
            }
        }
    }

    /// How many reviews are spent so: fewer where there is more track, and far fewer where it closes into circles, since each review
    /// takes longer then.
    fn prunings(&self) -> usize {
        let between = |run: &super::sketch::Run| {
            let leads = |end| !self.sketch.routes_at(end).is_empty();
            run.ends.is_some_and(|ends| ends.into_iter().all(leads))
        };
        let inner = self.sketch.runs.iter().filter(|run| between(run)).count();
        let circles = (inner + 1).saturating_sub(self.sketch.circuit.work_controls.len());
        let by_length = MOST_PRUNED_TRACKS / self.sketch.plan.track.len().max(1);
        MOST_PRUNINGS.min(by_length).min(3 * MOST_PRUNINGS / (1 + circles * circles)).max(6)
    }

    /// Takes joints that slide, and feeders beyond the first, from all tracks that do without.
    fn only_where_needed(&self, candidate: &Candidate, tuning: &mut Tuning, built: &mut Built) {
        let mut left = self.prunings();
        type Part = fn(&mut Tuning) -> &mut Spacing;
        let parts: [Part; 2] = [|t| &mut t.choices.slides, |t| &mut t.spacing];
        for of in parts {
            if of(tuning).apart.is_none() {
                continue;
            }
            // Groups of tracks, halved where a group as a whole cannot go.
            let mut open: Vec<Vec<usize>> = vec![of(tuning).tracks.iter().copied().collect()];
            while let Some(group) = open.pop().filter(|_| left > 0) {
                left -= 1;
                let mut other = tuning.clone();
                group.iter().for_each(|track| {
                    of(&mut other).tracks.remove(track);
                });
                if of(&mut other).tracks.is_empty() {
                    of(&mut other).apart = None;
                }
                let made = self.build(candidate, &other);
                if weight(&made.found) == 0 {
                    (*tuning, *built) = (other, made);
                } else if group.len() > 1 {
                    let (one, two) = group.split_at(group.len() / 2);
                    open.extend([one.to_vec(), two.to_vec()]);
                }
            }
        }
    }
}

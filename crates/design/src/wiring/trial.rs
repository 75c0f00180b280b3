//! Schemes, wires and joints tried against the review: the fewest gaps and contacts first, then the least copper.

use super::contacts::{Building, Contacts};
use super::districts::Districts;
use super::edits::{Choices, Writing};
use super::feeders::Feeders;
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
use plan::tables::{Live, Wiring};
use plan::{Names, Plan, Pole};

/// Schemes that are tried at most.
const MOST_SCHEMES: usize = 12;

/// Everything about a plan that does not depend on what is tried.
pub(crate) struct Ground<'a, 'p> {
    pub(crate) sketch: &'a Sketch<'p>,
    pub(crate) places: Places,
    pub(crate) districts: Districts,
    pub(crate) yards: Vec<Yard>,
}

/// A scheme with its contacts, and how its yards are fed.
pub(crate) struct Candidate {
    pub(crate) scheme: Scheme,
    pub(crate) contacts: Contacts,
    pub(crate) form: YardForm,
}

/// What can be chosen for a scheme.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tuning {
    pub(crate) choices: Choices,
    /// Between feeders, metres; one for each conductor where not said.
    pub(crate) spacing: Option<f64>,
    pub(crate) landings: usize,
    pub(crate) tips: bool,
}

/// What was built of a candidate and a tuning, and what the review finds.
pub(crate) struct Built {
    pub(crate) contacts: Contacts,
    pub(crate) feeders: Feeders,
    pub(crate) edits: Vec<finding::Edit>,
    pub(crate) text: String,
    pub(crate) found: Vec<Finding>,
}

pub(crate) fn best(text: &str, plan: &Plan, names: &Names) -> Result<ProposedWiring, NoWiring> {
    let sketch = Sketch::new(text, plan, names);
    let districts = Districts::new(&sketch).ok_or(NoWiring::NoSupply)?;
    let ground = Ground { sketch: &sketch, places: Places::new(&sketch), yards: yards::yards(&sketch), districts };
    let candidates = ground.candidates()?;
    let given = given(text);
    let mut tuning = ground.thickest();
    let mut chosen: Option<(usize, Candidate)> = None;
    for candidate in candidates.into_iter().take(MOST_SCHEMES) {
        let mut built = ground.build(&candidate, &tuning);
        let metal_tips = plan.turnout.iter().any(|t| t.wiring.value == Wiring::MetalTip);
        if metal_tips && !tuning.tips && built.found.iter().any(|f| f.name == "dead-rail") {
            let with_tips = Tuning { tips: true, ..tuning.clone() };
            let other = ground.build(&candidate, &with_tips);
            if faults(&other.found, &given) < faults(&built.found, &given) {
                (tuning, built) = (with_tips, other);
            }
        }
        let faults = faults(&built.found, &given);
        if chosen.as_ref().is_none_or(|(least, _)| faults < *least) {
            chosen = Some((faults, candidate));
        }
        if faults == 0 {
            break;
        }
    }
    let Some((_, candidate)) = chosen else { return Err(NoWiring::TooManyLoops) };
    ground.tune(&candidate, &mut tuning);
    thin::thin_down(&ground, &candidate, &mut tuning);
    let built = ground.build(&candidate, &tuning);
    let left = built.found.clone();
    Ok(ProposedWiring {
        reasons: report::reasons(&ground, &candidate, &built, &tuning),
        counts: report::counts(&ground, &candidate, &built),
        edits: built.edits,
        text: built.text,
        left,
    })
}

/// What the review says of the bare plan's own words, whatever the wiring.
fn given(text: &str) -> Vec<&'static str> {
    let bare = review::review(text);
    bare.findings.iter().map(|f| f.name).filter(|name| NOT_OF_WIRING.contains(name)).collect()
}

/// Findings that no wiring of the track mends.
const NOT_OF_WIRING: [&str; 16] = [
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

/// Errors and warnings that are neither the plan's own nor to be ended by other wires or joints.
fn faults(found: &[Finding], given: &[&str]) -> usize {
    let tunable = |name: &str| OF_MOVEMENT.contains(&name) || OF_NUMBERS.contains(&name) || given.contains(&name);
    found.iter().filter(|f| !tunable(f.name) && !NOT_OF_WIRING.contains(&f.name)).count()
}

/// Findings that other wires or joints may end.
fn tunable(found: &[Finding]) -> usize {
    let weight = |f: &Finding| if f.severity == Severity::Error { 3 } else { 1 };
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
        let mut found: Vec<((usize, usize, usize, usize, usize), Candidate)> = Vec::new();
        let mut trouble = None;
        for (number, set) in sets.iter().enumerate() {
            let short = set.iter().filter(|section| self.too_short(section)).count();
            for &form in &forms {
                let district = &self.districts.of_segment;
                let made =
                    Scheme::new(self.sketch, &graph, set, &self.districts.wanted, district, (&self.yards, form));
                match made {
                    Ok(scheme) => {
                        let building = Building { yards: &self.yards, form, landings: 1, tips: false };
                        let contacts = Contacts::new(self.sketch, &scheme, &self.places, building);
                        let reversers = scheme.sections.iter().filter(|s| s.reverser).count();
                        let rank =
                            (short, reversers, scheme.cuts.len() + contacts.duties.len(), contacts.in_series, number);
                        found.push((rank, Candidate { scheme, contacts, form }));
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
            slides: None,
            soldered: true,
            breaker: None,
            twisted: true,
        };
        Tuning { choices, spacing: None, landings: 1, tips: false }
    }

    pub(crate) fn build(&self, candidate: &Candidate, tuning: &Tuning) -> Built {
        let building = Building {
            yards: &self.yards,
            form: candidate.form,
            landings: tuning.landings,
            tips: tuning.tips,
        };
        let contacts = Contacts::new(self.sketch, &candidate.scheme, &self.places, building);
        let feeders = Feeders::new(self.sketch, &candidate.scheme, &self.places, tuning.spacing);
        let writing = Writing {
            sketch: self.sketch,
            scheme: &candidate.scheme,
            places: &self.places,
            contacts: &contacts,
            feeders: &feeders,
            districts: &self.districts,
            choices: &tuning.choices,
        };
        let edits = writing.edits();
        let edits = self.sketch.names.expansion.written(&edits).unwrap_or(edits);
        let text = finding::apply(self.sketch.text, &edits).unwrap_or_else(|_| self.sketch.text.to_owned());
        let review = review::review(&text);
        let told = |f: &Finding| matches!(f.severity, Severity::Error | Severity::Warning);
        let found = review.findings.into_iter().filter(told).collect();
        Built { contacts, feeders, edits, text, found }
    }

    /// Joints, widths, feeders and a breaker: each step only as far as it is asked for.
    fn tune(&self, candidate: &Candidate, tuning: &mut Tuning) {
        let mut least = tunable(&self.build(candidate, tuning).found);
        let improve = |tuning: &mut Tuning, other: Tuning, least: &mut usize| {
            if *least == 0 {
                return;
            }
            let weight = tunable(&self.build(candidate, &other).found);
            if weight < *least {
                (*tuning, *least) = (other, weight);
            }
        };
        let moves = |found: &[Finding]| found.iter().any(|f| OF_MOVEMENT.contains(&f.name));
        if least > 0 && moves(&self.build(candidate, tuning).found) {
            'movement: for slides in [None, Some(2.0), Some(1.0), Some(0.6), Some(0.4), Some(0.3)] {
                for width in [0.5e-3, 0.8e-3, 1.0e-3, 1.3e-3, 1.6e-3, 0.3e-3] {
                    let mut other = tuning.clone();
                    (other.choices.slides, other.choices.gap_width) = (slides, Some(width));
                    improve(tuning, other, &mut least);
                    if least == 0 || !moves(&self.build(candidate, tuning).found) {
                        break 'movement;
                    }
                }
            }
        }
        for (spacing, landings) in [(3.0, 1), (2.0, 2), (1.5, 2), (1.0, 3), (0.6, 4)] {
            let other = Tuning { spacing: Some(spacing), landings, ..tuning.clone() };
            improve(tuning, other, &mut least);
        }
        let trip = self.sketch.plan.supply.iter().filter_map(|s| Some(s.trips.as_ref()?.value.at.value.si()));
        let trip = trip.fold(f64::INFINITY, f64::min);
        if trip.is_finite() && self.districts.list.iter().all(|d| d.is_new) {
            for part in [0.5, 0.3] {
                let mut other = tuning.clone();
                other.choices.breaker = Some((trip * part * 10.0).round() / 10.0);
                improve(tuning, other, &mut least);
            }
        }
    }
}

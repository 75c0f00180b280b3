//! A scheme: which rail is fed with what, and so where it must be cut.

use super::labels::{self, Feed, Label};
use super::phases::{SectionChoice, SignedGraph};
use super::sketch::{ConductorId, RunEnd, RunId, Sketch, root};
use super::yards::Yard;
use circuit::SegmentId;
use plan::tables::{Live, RailSide};
use plan::{Kind, Pole, TrackEnd};
use std::collections::{BTreeMap, BTreeSet};

/// A gap to cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Cut {
    pub(crate) at: RunEnd,
    pub(crate) side: RailSide,
    /// Whether it stands at half length, between two frogs.
    pub(crate) halfway: bool,
    pub(crate) why: CutReason,
}

/// Why a gap is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum CutReason {
    /// Behind it lies a frog that changes its pole.
    Frog,
    /// Here a section that changes its phase ends.
    Section,
    /// Here rail begins that is switched off at times.
    Storage,
    /// Here another district begins.
    District,
}

/// A run whose phase changes.
#[derive(Clone, Debug)]
pub(crate) struct Section {
    pub(crate) run: RunId,
    /// Whether it takes a reverser that senses shorts.
    pub(crate) reverser: bool,
    /// Whether trackwork changes with it.
    pub(crate) with_work: bool,
    pub(crate) district: usize,
}

/// How the yards of a plan are fed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum YardForm {
    /// Over their frogs, where that can be.
    OverFrogs,
    /// By trees of contacts; where one rail is enough this pole is handed out.
    Trees(Pole),
}

/// Which rail is fed with what, and where it is cut.
#[derive(Clone, Debug)]
pub(crate) struct Scheme {
    /// For each segment whether its left rail is on B.
    pub(crate) crossed: Vec<bool>,
    pub(crate) district: Vec<usize>,
    pub(crate) sections: Vec<Section>,
    /// What each rail of each track must be fed with; nothing where its neighbours decide.
    pub(crate) rails: Vec<[Option<Label>; 2]>,
    /// What each conductor of trackwork must be fed with.
    pub(crate) works: BTreeMap<ConductorId, Label>,
    /// Runs that hang on frogs.
    pub(crate) hung: BTreeSet<RunId>,
    pub(crate) cuts: Vec<Cut>,
    /// Cuts that no scheme of this kind can do without: disjoint paths that each need one.
    pub(crate) fewest_cuts: usize,
    conductors: usize,
}

/// Why a plan gets no scheme.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum NoScheme {
    /// One control alone does not say what a frog of this trackwork must be fed with.
    Trackwork(Kind, usize),
}

impl Scheme {
    pub(crate) fn new(
        sketch: &Sketch<'_>,
        graph: &SignedGraph,
        choice: &[SectionChoice],
        wanted: &BTreeMap<SegmentId, bool>,
        district: &[usize],
        (yards, form): (&[Yard], YardForm),
    ) -> Result<Scheme, NoScheme> {
        let crossed = graph.phases(sketch, choice, wanted).unwrap_or_else(|_| vec![false; district.len()]);
        let mut works = labels::of_trackwork(sketch, &crossed, district)
            .map_err(|(kind, index)| NoScheme::Trackwork(kind, index))?;
        let mut hung = BTreeSet::new();
        if form == YardForm::OverFrogs {
            for yard in yards
                .iter()
                .filter(|y| y.live == Live::Lined || y.live == Live::BothEndsAgree || y.live == Live::EitherEnd)
            {
                let Some(runs) = &yard.hung else { continue };
                hung.extend(runs.iter().copied());
                // The stock rails of turnouts further in carry what the frog before them hands on.
                for &(_, end) in &yard.inner {
                    for side in RailSide::ALL {
                        works.remove(&sketch.met(end, side));
                    }
                }
            }
        }
        let mut scheme = Scheme {
            crossed,
            district: district.to_vec(),
            sections: Vec::new(),
            rails: vec![[None, None]; sketch.plan.track.len()],
            works,
            hung,
            cuts: Vec::new(),
            fewest_cuts: 0,
            conductors: sketch.conductors(),
        };
        scheme.sections(sketch, choice);
        scheme.fixed_rails(sketch);
        scheme.switched_rails(sketch, yards, form);
        scheme.cut(sketch);
        scheme.fewest_cuts = scheme.disjoint_paths(sketch);
        Ok(scheme)
    }

    fn sections(&mut self, sketch: &Sketch<'_>, choice: &[SectionChoice]) {
        for (number, section) in choice.iter().enumerate() {
            let run = &sketch.runs[section.run];
            let district = self.district[run.tracks[0].0];
            let mut demands = Vec::new();
            for end in run.ends.into_iter().flatten() {
                let against = run.tracks.iter().any(|&(track, reversed)| track == end.track && reversed);
                for (guard, feed) in labels::demands_at(sketch, end, &self.crossed, district) {
                    let pole = if against { feed.pole.other() } else { feed.pole };
                    demands.push((guard, Feed { district, pole }));
                }
            }
            let left = labels::label_of(sketch, &demands).ok().flatten();
            let (labels, reverser) = match left {
                Some(Label::Switched { control, feeds }) => {
                    let other = |f: &Option<Feed>| f.map(|f| Feed { pole: f.pole.other(), ..f });
                    let right = feeds.iter().map(other).collect();
                    ([Label::Switched { control, feeds }, Label::Switched { control, feeds: right }], false)
                }
                _ => ([Pole::A, Pole::B].map(|pole| Label::Reversed { section: number, pole }), true),
            };
            for &(track, reversed) in &run.tracks {
                for side in RailSide::ALL {
                    let along = if reversed { side.other() } else { side };
                    self.rails[track][side] = Some(labels[along].clone());
                }
            }
            self.sections.push(Section {
                run: section.run,
                reverser,
                with_work: section.with_work.is_some(),
                district,
            });
        }
    }

    /// Rails of runs on which a train can wait keep their pole for good.
    fn fixed_rails(&mut self, sketch: &Sketch<'_>) {
        for (id, run) in sketch.runs.iter().enumerate() {
            let section = self.sections.iter().any(|s| s.run == id);
            // Track without trackwork at either end has nothing to take its power from.
            let alone = run.ends.is_none_or(|ends| ends.iter().all(|&end| sketch.routes_at(end).is_empty()));
            if section || self.hung.contains(&id) || !(run.has_room() || alone) {
                continue;
            }
            for &(track, _) in &run.tracks {
                for side in RailSide::ALL {
                    let pole = labels::pole_of(self.crossed[track], side);
                    self.rails[track][side] = Some(Label::Fixed(Feed { district: self.district[track], pole }));
                }
            }
        }
    }

    /// One rail of each storage track, or both, hang on contacts of their own.
    fn switched_rails(&mut self, sketch: &Sketch<'_>, yards: &[Yard], form: YardForm) {
        for (group, yard) in yards.iter().enumerate() {
            if form == YardForm::OverFrogs && yard.hung.is_some() {
                continue;
            }
            let one = match form {
                YardForm::Trees(pole) => pole,
                YardForm::OverFrogs => Pole::B,
            };
            for &run in &yard.runs {
                let owned: Vec<(usize, Pole)> = match yard.live {
                    Live::Always => Vec::new(),
                    Live::ByHand | Live::EitherEnd => vec![(0, one)],
                    Live::Lined | Live::BothEndsAgree => {
                        let member = |tree: &usize| {
                            let mut all = Vec::new();
                            yard.trees[*tree].tracks(&mut all);
                            all.contains(&run)
                        };
                        let trees: Vec<usize> = (0..yard.trees.len()).filter(member).collect();
                        match trees[..] {
                            [only] => vec![(only, one)],
                            _ => trees.into_iter().zip([Pole::A, Pole::B]).collect(),
                        }
                    }
                };
                for &(track, _) in &sketch.runs[run].tracks {
                    for side in RailSide::ALL {
                        let pole = labels::pole_of(self.crossed[track], side);
                        if let Some(&(tree, _)) = owned.iter().find(|o| o.1 == pole) {
                            let first = sketch.runs[run].tracks[0].0;
                            self.rails[track][side] = Some(Label::Own { group, tree, track: first, pole });
                        } else {
                            let feed = Feed { district: self.district[track], pole };
                            self.rails[track][side] = Some(Label::Fixed(feed));
                        }
                    }
                }
            }
        }
    }

    /// The label of what a rail meets at an end of its track.
    fn met(&self, sketch: &Sketch<'_>, at: RunEnd, side: RailSide) -> Option<&Label> {
        // Where storage begins, plain rail meets plain rail; the gap is cut on the side of the storage track.
        if let Some(next) = sketch.next_track(at) {
            let theirs = if next.end == at.end { side.other() } else { side };
            return self.rails[next.track][theirs].as_ref().filter(|_| sketch.is_stored(at.track));
        }
        self.works.get(&sketch.met(at, side))
    }

    fn cut(&mut self, sketch: &Sketch<'_>) {
        let mut cuts = Vec::new();
        for (id, run) in sketch.runs.iter().enumerate() {
            let Some(ends) = run.ends.filter(|_| !self.hung.contains(&id)) else { continue };
            for along in RailSide::ALL {
                let side_at = |end: RunEnd| {
                    let against = run.tracks.iter().any(|&(track, reversed)| track == end.track && reversed);
                    if against { along.other() } else { along }
                };
                let first = ends[0];
                let own = self.rails[first.track][side_at(first)].clone();
                let met = ends.map(|end| self.met(sketch, end, side_at(end)).cloned());
                let reason = |label: &Label| match (label, &own) {
                    (Label::Switched { .. }, _) => CutReason::Frog,
                    (_, Some(Label::Own { .. })) => CutReason::Storage,
                    (_, Some(Label::Fixed(_))) => CutReason::District,
                    _ => CutReason::Section,
                };
                match &own {
                    Some(own) => {
                        for (end, met) in ends.into_iter().zip(&met) {
                            if let Some(label) = met.as_ref().filter(|label| !label.agrees(own)) {
                                cuts.push(Cut { at: end, side: side_at(end), halfway: false, why: reason(label) });
                            }
                        }
                        // Districts may change from track to track.
                        for pair in run.tracks.windows(2) {
                            let [(one, r1), (two, r2)] = [pair[0], pair[1]];
                            let [s1, s2] = [r1, r2].map(|r| if r { along.other() } else { along });
                            if self.rails[one][s1] != self.rails[two][s2] {
                                let end = if r1 { TrackEnd::From } else { TrackEnd::To };
                                let at = RunEnd { track: one, end };
                                cuts.push(Cut { at, side: s1, halfway: false, why: CutReason::District });
                            }
                        }
                    }
                    None => {
                        if let [Some(one), Some(two)] = &met
                            && !one.agrees(two)
                        {
                            let changes = |label: &Label| !matches!(label, Label::Fixed(_));
                            // Close to the frog; half way where both are frogs.
                            let end = if changes(one) { ends[0] } else { ends[1] };
                            let halfway = changes(one) == changes(two) && run.tracks.len() == 1;
                            let why = if changes(one) || changes(two) { CutReason::Frog } else { CutReason::District };
                            cuts.push(Cut { at: end, side: side_at(end), halfway, why });
                        }
                    }
                }
            }
        }
        cuts.sort_unstable();
        cuts.dedup();
        self.cuts = cuts;
    }

    /// Whether a rail is cut at an end of its track.
    pub(crate) fn is_cut(&self, at: RunEnd, side: RailSide) -> bool {
        self.cuts.iter().any(|c| (c.at, c.side) == (at, side))
    }

    /// The element of a rail between its gaps, among conductors of trackwork.
    pub(crate) fn rail_element(&self, track: usize, side: RailSide) -> usize {
        self.conductors + 2 * track + side.index()
    }

    /// What is one conductor once the gaps are cut: a root for each conductor of trackwork and each rail.
    pub(crate) fn components(&self, sketch: &Sketch<'_>) -> Vec<usize> {
        let count = self.conductors + 2 * sketch.plan.track.len();
        let mut parent: Vec<usize> = (0..count).collect();
        for track in 0..sketch.plan.track.len() {
            for side in RailSide::ALL {
                for end in [TrackEnd::From, TrackEnd::To] {
                    let at = RunEnd { track, end };
                    let met = sketch.met(at, side);
                    if met < self.conductors && !self.is_cut(at, side) {
                        let a = root(&mut parent, self.rail_element(track, side));
                        let b = root(&mut parent, met);
                        parent[a] = b;
                    }
                }
            }
        }
        (0..count).map(|element| root(&mut parent, element)).collect()
    }

    /// A lower bound of the gaps, given which sections change their phase and what each storage track hangs on: paths over bare rail, no
    /// two with a piece in common, each from something that must be fed with one thing to something that must be fed with another. Every one
    /// of them needs a gap.
    fn disjoint_paths(&self, sketch: &Sketch<'_>) -> usize {
        let count = self.conductors + 2 * sketch.plan.track.len();
        let mut joins: Vec<Vec<(usize, usize)>> = vec![Vec::new(); count];
        let mut links = 0;
        let mut label: BTreeMap<usize, &Label> = BTreeMap::new();
        for (&conductor, what) in &self.works {
            label.insert(conductor, what);
        }
        for track in 0..sketch.plan.track.len() {
            for side in RailSide::ALL {
                let element = self.rail_element(track, side);
                if let Some(what) = &self.rails[track][side] {
                    label.insert(element, what);
                }
                for end in [TrackEnd::From, TrackEnd::To] {
                    let met = sketch.met(RunEnd { track, end }, side);
                    if met < self.conductors {
                        joins[element].push((met, links));
                        joins[met].push((element, links));
                        links += 1;
                    }
                }
            }
        }
        let mut used = vec![false; links];
        let mut found = 0;
        let starts: Vec<usize> = label.keys().copied().collect();
        for start in starts {
            while let Some(path) = shortest(start, &joins, &used, &label) {
                path.into_iter().for_each(|link| used[link] = true);
                found += 1;
            }
        }
        found
    }
}

/// The links of a shortest path from something that must be fed with one thing to something that must not, over nothing that is used.
fn shortest(
    start: usize,
    joins: &[Vec<(usize, usize)>],
    used: &[bool],
    label: &BTreeMap<usize, &Label>,
) -> Option<Vec<usize>> {
    let own = label.get(&start)?;
    let mut before: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
    let mut open = std::collections::VecDeque::from([start]);
    while let Some(at) = open.pop_front() {
        for &(next, link) in joins[at].iter().filter(|(_, link)| !used[*link]) {
            if next == start || before.contains_key(&next) {
                continue;
            }
            before.insert(next, (at, link));
            match label.get(&next) {
                Some(other) if !other.agrees(own) => {
                    let (mut path, mut here) = (Vec::new(), next);
                    while here != start {
                        let (back, link) = before[&here];
                        path.push(link);
                        here = back;
                    }
                    return Some(path);
                }
                // What must be fed with the same is a start of its own.
                Some(_) => {}
                None => open.push_back(next),
            }
        }
    }
    None
}

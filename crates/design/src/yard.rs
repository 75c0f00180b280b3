//! The yard as pieces: turnouts with what their contacts do, tracks with their gaps and feeders, in metres.

use crate::answers::{Answers, Turning, YardKind};
use crate::lengths;
use crate::relays::owner;
use plan::tables::{Hand, Live, Wiring};

/// Lengths and wires that the answers leave open and the review decides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Measures {
    /// Track between two turnouts of a ladder, metres.
    pub between: f64,
    /// From the end of a turnout to the gaps of a road, metres.
    pub gap: f64,
    /// Between feeders, metres.
    pub feeders: f64,
    /// The bus.
    pub bus_wire: &'static str,
    /// The wires of feeders.
    pub feeder_wire: &'static str,
    /// The wires of contacts.
    pub contact_wire: &'static str,
    /// Length of a turnout, metres.
    pub turnout: f64,
    /// The longest train, metres.
    pub train: f64,
    /// Between joints that slide, metres, where rail must be let move.
    pub slides: Option<f64>,
    /// The largest voltage drop, in per cent, where the usual one cannot be kept.
    pub drop: Option<u32>,
    /// What trips a breaker of the yard's own, amperes, where the booster would not see every short.
    pub breaker: Option<f64>,
    /// How wide gaps are left, metres.
    pub gap_width: f64,
}

/// What one contact does.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ContactDuty {
    /// What `common` is wired to; nothing where the contact before says it.
    pub common: Vec<String>,
    /// What `through` is wired to.
    pub through: Vec<String>,
    /// What `diverging` is wired to.
    pub diverging: Vec<String>,
    /// Why, where it is worth a comment.
    pub why: &'static str,
}

/// A turnout with its motor.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct YardTurnout {
    pub name: String,
    pub motor: String,
    /// The pole of its left rail and of its right rail, seen from the points.
    pub poles: [char; 2],
    pub duties: Vec<ContactDuty>,
}

/// A track.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct YardTrack {
    pub name: String,
    pub from: String,
    pub to: String,
    pub length: f64,
    /// Where it starts and ends along the bus.
    pub along: [f64; 2],
    /// Gaps in the left and in the right rail.
    pub gaps: [Vec<f64>; 2],
    /// Whether the left and the right rail are fed from the bus by feeders.
    pub fed: [bool; 2],
    /// What its rails belong to, where not the bus's A and B.
    pub belongs: Option<&'static str>,
}

/// All of it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Yard {
    pub works: Vec<YardTurnout>,
    pub lines: Vec<YardTrack>,
    /// Toggles: their name, the place of their tap, and the rails they feed.
    pub toggles: Vec<(String, String, Vec<String>)>,
    /// The tracks where trains wait.
    pub roads: Vec<String>,
    /// The length of the bus.
    pub bus: f64,
}

/// The left and the right rail.
const LEFT: usize = 0;
const RIGHT: usize = 1;
/// The bus.
pub(crate) const BUS: &str = "yard bus";

/// Whether rails behind the frog take the frog's phase, so that they are cut there.
fn is_live(wiring: Wiring) -> bool {
    matches!(wiring, Wiring::LiveRouted | Wiring::LiveAssisted | Wiring::LiveBonded | Wiring::LiveUnfed)
}

/// Whether a frog is fed over a contact.
fn has_frog_wire(wiring: Wiring) -> bool {
    matches!(wiring, Wiring::MetalTip | Wiring::LiveAssisted | Wiring::LiveBonded)
}

impl Answers {
    /// Whether any motor needs a contact.
    pub(crate) fn needs_contacts(&self) -> bool {
        has_frog_wire(self.wiring)
            || self.turning == Turning::Contacts
            || !matches!(self.live, Live::Always | Live::ByHand)
    }

    /// The side of the rail that lies behind the frog on a leg, seen from the points.
    fn inner(&self, through: bool) -> usize {
        let near = if self.hand == Hand::Left { LEFT } else { RIGHT };
        if through { near } else { 1 - near }
    }

    /// The rails of roads that are switched: by the tree at their `from` end, and by the one at their `to` end.
    fn switched(&self) -> [Option<usize>; 2] {
        match (self.kind, self.live) {
            (YardKind::Stub, Live::Lined) => [Some(RIGHT), None],
            (YardKind::DoubleEnded, Live::BothEndsAgree) => [Some(LEFT), Some(RIGHT)],
            (YardKind::DoubleEnded, Live::EitherEnd) => [Some(RIGHT), Some(RIGHT)],
            _ => [None, None],
        }
    }
}

/// The pieces of the yard that is asked for.
pub(crate) fn yard(answers: &Answers, m: &Measures) -> Yard {
    let n = answers.roads as usize;
    let double = answers.kind == YardKind::DoubleEnded;
    let step = m.turnout + m.between;
    let road_name = |road: usize| format!("road {road}");
    let letter = if double { "W" } else { "T" };
    let west = |k: usize| format!("{letter}{k}");
    let east = |k: usize| format!("E{k}");
    let mut yard = Yard {
        works: Vec::new(),
        lines: Vec::new(),
        toggles: Vec::new(),
        roads: (1..=n).map(road_name).collect(),
        bus: 0.0,
    };
    // Where along the bus the far end of each turnout of the first ladder lies.
    let behind = |k: usize| answers.lead.0 + m.turnout + (k - 1) as f64 * step;
    for k in 1..n {
        let motor = if double { format!("MW{k}") } else { format!("M{k}") };
        yard.works.push(YardTurnout { name: west(k), motor, poles: ['A', 'B'], duties: Vec::new() });
    }
    if double {
        for k in 1..n {
            // From its points one looks against the tracks, which all run from west to east.
            yard.works.push(YardTurnout {
                name: east(k),
                motor: format!("ME{k}"),
                poles: ['B', 'A'],
                duties: Vec::new(),
            });
        }
    }
    let stub_loop = answers.turning != Turning::None && !double;
    let lead = |name: &str, from: String, to: String, along: [f64; 2]| YardTrack {
        name: name.into(),
        from,
        to,
        length: answers.lead.0,
        along,
        gaps: Default::default(),
        fed: [true, true],
        belongs: None,
    };
    let outer = if stub_loop { "L1.points".to_owned() } else { "beyond".to_owned() };
    let lead_name = if double { "west lead" } else { "lead" };
    yard.lines.push(lead(lead_name, outer, format!("{letter}1.points"), [0.0, answers.lead.0]));

    let ladder_name = |side: &str, k: usize| if double { format!("{side} ladder {k}") } else { format!("ladder {k}") };
    for k in 1..n - 1 {
        let mut gaps: [Vec<f64>; 2] = Default::default();
        if is_live(answers.wiring) {
            gaps[answers.inner(true)].push(ladder_gap(m));
        }
        let along = [behind(k), behind(k) + m.between];
        let (from, to) = (format!("{}.through", west(k)), format!("{}.points", west(k + 1)));
        let name = ladder_name("west", k);
        yard.lines.push(YardTrack { name, from, to, length: m.between, along, gaps, fed: [true, true], belongs: None });
    }
    let switched = answers.switched();
    let by_hand = answers.live == Live::ByHand;
    for road in 1..=n {
        let from_through = road == n;
        let long = answers.road_length(road).0;
        let from = format!("{}.{}", west(road.min(n - 1)), if from_through { "through" } else { "diverging" });
        // The east ladder comes to the roads the other way round.
        let east_turnout = (n + 1 - road).min(n - 1);
        let to_through = road == 1;
        let to = if double {
            format!("{}.{}", east(east_turnout), if to_through { "through" } else { "diverging" })
        } else if road == n && answers.last_goes_on {
            "beyond".to_owned()
        } else {
            "buffer".to_owned()
        };
        let mut gaps: [Vec<f64>; 2] = Default::default();
        let mut fed = [true, true];
        for (end, through) in [(0, from_through), (1, to_through)] {
            if end == 1 && !double {
                continue;
            }
            let at = if end == 0 { m.gap } else { long - m.gap };
            let mut cut = [false, false];
            if is_live(answers.wiring) {
                let seen = answers.inner(through);
                cut[if end == 0 { seen } else { 1 - seen }] = true;
            }
            for side in switched.into_iter().flatten().chain(by_hand.then_some(RIGHT)) {
                cut[side] = true;
                fed[side] = false;
            }
            for side in [LEFT, RIGHT] {
                if cut[side] {
                    gaps[side].push(at);
                }
            }
        }
        let start = behind(road.min(n - 1));
        let along = [start, start + long];
        let name = road_name(road);
        yard.lines.push(YardTrack { name, from, to, length: long, along, gaps, fed, belongs: None });
    }
    if double {
        // Where along the bus the points of each turnout of the second ladder lie.
        let longest = (1..=n).map(|road| answers.road_length(road).0).fold(0.0, f64::max);
        let points = |k: usize| behind((n + 1 - k).min(n - 1)) + longest + m.turnout;
        for k in (1..n - 1).rev() {
            let mut gaps: [Vec<f64>; 2] = Default::default();
            if is_live(answers.wiring) {
                gaps[1 - answers.inner(true)].push(m.between - ladder_gap(m));
            }
            let along = [points(k + 1), points(k + 1) + m.between];
            let (from, to) = (format!("{}.points", east(k + 1)), format!("{}.through", east(k)));
            let name = ladder_name("east", k);
            yard.lines.push(YardTrack {
                name,
                from,
                to,
                length: m.between,
                along,
                gaps,
                fed: [true, true],
                belongs: None,
            });
        }
        let outer = if answers.turning == Turning::None { "beyond" } else { "L1.points" };
        let along = [points(1), points(1) + answers.lead.0];
        yard.lines.push(lead("east lead", "E1.points".into(), outer.into(), along));
    }
    turning(answers, m, &mut yard);
    duties(answers, m, &mut yard, switched);
    let end = yard.lines.iter().map(|l| l.along[1].max(l.along[0])).fold(0.0, f64::max);
    yard.bus = ((end + 0.3) * 10.0).ceil() / 10.0;
    yard
}

/// Where the gap of a track between two turnouts lies, behind the frog.
fn ladder_gap(m: &Measures) -> f64 {
    (m.between / 4.0).min(0.012)
}

/// The loop and its turnout.
fn turning(answers: &Answers, m: &Measures, yard: &mut Yard) {
    if answers.turning == Turning::None {
        return;
    }
    let double = answers.kind == YardKind::DoubleEnded;
    // The stub yard's lead runs away from the loop, the double-ended yard's towards it.
    let poles = if double { ['A', 'B'] } else { ['B', 'A'] };
    let at = if double { yard.lines.iter().map(|l| l.along[1]).fold(0.0, f64::max) } else { 0.0 };
    yard.works.push(YardTurnout { name: "L1".into(), motor: "ML".into(), poles, duties: Vec::new() });
    // No train may stand on both ends of the loop, and its way round needs room to curve.
    let length = ((m.train * 1.25 + 2.0 * m.gap + 0.1).max(1.5) * 20.0).ceil() / 20.0;
    let reverser = answers.turning == Turning::Reverser;
    let ends = vec![m.gap, length - m.gap];
    yard.lines.push(YardTrack {
        name: "loop".into(),
        from: "L1.diverging".into(),
        to: "L1.through".into(),
        length,
        along: [at, at],
        gaps: [ends.clone(), ends],
        fed: [reverser, reverser],
        belongs: Some(if reverser { "loop reverser" } else { "" }),
    });
}

/// What the contacts of each motor do.
fn duties(answers: &Answers, m: &Measures, yard: &mut Yard, switched: [Option<usize>; 2]) {
    let near = answers.inner(true);
    if has_frog_wire(answers.wiring) {
        for work in &mut yard.works {
            work.duties.push(ContactDuty {
                common: vec![format!("{}.frog", work.name)],
                through: vec![format!("{BUS}.{}", work.poles[near])],
                diverging: vec![format!("{BUS}.{}", work.poles[1 - near])],
                why: "",
            });
        }
    }
    let n = answers.roads as usize;
    for (end, side) in switched.into_iter().enumerate() {
        let Some(side) = side else { continue };
        let word = ["left", "right"][side];
        // The second tree lands at the roads' other end.
        let landed = |road: usize| -> Vec<String> {
            let long = answers.road_length(road).0;
            let place = |x: &f64| if end == 0 { *x } else { long - x };
            landings(long, m)
                .iter()
                .map(|x| format!("road {road}.{word} @ {}", lengths::length(answers, place(x))))
                .collect()
        };
        for k in 1..n {
            let (road, last) = if end == 0 { (k, n) } else { (n + 1 - k, 1) };
            let through = if k == n - 1 { landed(last) } else { Vec::new() };
            let common = if k == 1 { vec![format!("{BUS}.{}", ['A', 'B'][side])] } else { Vec::new() };
            let why = if k == 1 { "hands the pole on: to the road that leaves here, or onward" } else { "" };
            yard.works[end * (n - 1) + k - 1].duties.push(ContactDuty {
                common,
                through,
                diverging: landed(road),
                why,
            });
        }
        // Onward to the contact of the next turnout.
        for k in 1..n - 1 {
            let at = end * (n - 1) + k;
            let number = yard.works[at].duties.len();
            let next = owner(answers, &yard.works[at].motor, number);
            if let Some(duty) = yard.works[at - 1].duties.last_mut() {
                duty.through = vec![format!("{next}.common")];
            }
        }
    }
    if answers.live == Live::ByHand {
        for road in 1..=n {
            let x = yard.lines.iter().find(|l| l.name == format!("road {road}")).map_or(0.0, |l| l.along[0]);
            let rails = landings(answers.road_length(road).0, m)
                .iter()
                .map(|x| format!("road {road}.right @ {}", lengths::length(answers, *x)))
                .collect();
            let tap = format!("{BUS}.B @ {}", lengths::length(answers, x));
            yard.toggles.push((format!("road {road} power"), tap, rails));
        }
    }
    if answers.turning == Turning::Contacts
        && let Some(work) = yard.works.last_mut()
    {
        let length = yard.lines.last().map_or(1.0, |l| l.length);
        for side in [LEFT, RIGHT] {
            let word = ["left", "right"][side];
            let places = [0.2, 0.8].map(|part| format!("loop.{word} @ {}", lengths::length(answers, length * part)));
            // Going in over the diverging leg left is left; coming out over the through leg it is right.
            work.duties.push(ContactDuty {
                common: places.to_vec(),
                through: vec![format!("{BUS}.{}", work.poles[1 - side])],
                diverging: vec![format!("{BUS}.{}", work.poles[side])],
                why: if side == LEFT { "the loop's phase; stand still in the loop, throw, go on" } else { "" },
            });
        }
    }
}

/// Where on a road the wires from contacts land, metres from the end they come from.
fn landings(long: f64, m: &Measures) -> Vec<f64> {
    let (first, last) = (m.gap + 0.15, long - m.gap - 0.1);
    let count = ((long / (2.0 * m.feeders)).ceil() as usize).max(1);
    if count == 1 {
        return vec![(long / 4.0).clamp(first.min(last), last)];
    }
    (0..count).map(|k| (long * (k as f64 + 0.5) / count as f64).clamp(first, last)).collect()
}

/// How far the longest wire from a contact runs: to the last place where it lands, and down and up again.
pub(crate) fn contact_wire(answers: &Answers, m: &Measures) -> f64 {
    let longest = (1..=answers.roads as usize).map(|road| answers.road_length(road).0).fold(0.0, f64::max);
    let last = landings(longest, m).last().copied().unwrap_or(0.0);
    ((last.max(m.turnout) + 0.3) * 10.0).ceil() / 10.0
}

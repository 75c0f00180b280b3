//! What fits where: clearances of turnouts, clear lengths of tracks, the trains that fit them, spacing of ladders.

use crate::{Analysis, frog_rails, words};
use circuit::{Circuit, WorkLengths};
use handbook::Spread;
use handbook::quantity::{Metres, Quantity, Units};
use handbook::scales;
use movement::clear_length::{self, ClearStretch};
use movement::clearance::{self, Clearance, Spacing};
use plan::tables::Train;
use plan::{Kind, Plan};
use proof::ReversingSection;

/// What is reported of a plan's lengths.
#[derive(Clone, Debug)]
pub struct LengthsTable {
    /// The layout's name.
    pub layout: String,
    /// In which units lengths are said.
    pub units: Units,
    /// The distance between parallel tracks that is calculated with, and who says so.
    pub centres: Option<(Metres, &'static str)>,
    /// What is kept for slack, as a part of the train, and who says so.
    pub slack: (f64, &'static str),
    /// Turnouts, in the order of the plan.
    pub turnouts: Vec<TurnoutRow>,
    /// Plastic frogs: how far from its point the metal rails must begin, so that no tread bridges them, and in which pieces.
    pub plastic_frogs: Vec<(Metres, Vec<String>)>,
    /// Tracks that are joined end to end, in the order of the plan.
    pub tracks: Vec<TrackRow>,
    /// The plan's trains and their lengths.
    pub trains: Vec<(String, f64)>,
    /// Tracks that leave ladders side by side.
    pub spacings: Vec<SpacingRow>,
    /// Reversing sections; none where that was not proved.
    pub reversing: Vec<ReversingRow>,
}

/// A turnout.
#[derive(Clone, Debug)]
pub struct TurnoutRow {
    /// Its name.
    pub name: String,
    /// Its frog's number.
    pub number: f64,
    /// Whether the plan does not say what its frog is like.
    pub guessed: bool,
    /// From the points to the frog, metres.
    pub lead: f64,
    /// Where the plan does not say it: how far that estimate may be off, metres.
    pub lead_band: Option<Spread<f64>>,
    /// Its clearances.
    pub clearance: Clearance,
}

/// Tracks joined end to end.
#[derive(Clone, Debug)]
pub struct TrackRow {
    /// Their names, in order.
    pub names: Vec<String>,
    /// What bounds them.
    pub stretch: ClearStretch,
    /// Whether a train is stored there.
    pub storage: bool,
    /// Trains that stand there by the plan.
    pub stand: Vec<String>,
    /// The longest train that fits, metres.
    pub longest: f64,
    /// Which of the plan's trains fit, by their index.
    pub fit: Vec<usize>,
}

/// Two tracks side by side.
#[derive(Clone, Debug)]
pub struct SpacingRow {
    /// Names of the two turnouts.
    pub turnouts: [String; 2],
    /// Names of the tracks that leave them, or of the legs where none does.
    pub tracks: [String; 2],
    /// What is known of it.
    pub spacing: Spacing,
    /// How much track should lie between them for the layout's distance between tracks, metres; negative where the turnouts do not fit.
    pub due: f64,
}

/// A reversing section against the trains.
#[derive(Clone, Debug)]
pub struct ReversingRow {
    /// What it is called.
    pub name: String,
    /// How long a train can be that is wholly inside, metres; none where it goes on off the plan.
    pub length: Option<f64>,
    /// Trains whose metal wheels are longer.
    pub too_long: Vec<String>,
}

impl Analysis<'_> {
    /// The lengths of the plan.
    pub fn lengths_table(&self) -> LengthsTable {
        let (plan, circuit, clearances) = (self.plan, &self.circuit, self.clearances());
        let stretches = clear_length::stretches(plan, circuit, clearances);
        let slack = clear_length::slack(plan);
        let train = |t: &plan::tables::Train| (t.name.value.clone(), t.length.value.si());
        let trains: Vec<(String, f64)> = plan.train.iter().map(train).collect();
        let centres = clearance::centres(plan);
        let scale = plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
        let turnout = |clearance: &Clearance| {
            let table = &plan.turnout[clearance.turnout];
            let lengths = WorkLengths::from_plan(plan, Kind::Turnout, clearance.turnout);
            TurnoutRow {
                name: table.name.value.clone(),
                number: scales::frog_number(handbook::quantity::Radians(clearance.angle)),
                guessed: table.number.is_none() && table.one_in.is_none() && table.angle.is_none(),
                lead: lengths.lead,
                lead_band: scale
                    .filter(|_| table.lead.is_none())
                    .map(|scale| scales::turnout_lead(scale, lengths.number).map(|lead| lead.si())),
                clearance: clearance.clone(),
            }
        };
        let sections = self.proof().map_or(&[][..], |proof| &proof.reversing);
        LengthsTable {
            layout: self.layout(),
            units: self.plan.units(),
            centres,
            slack,
            turnouts: clearances.iter().map(turnout).collect(),
            plastic_frogs: plastic_frogs(plan),
            tracks: stretches.into_iter().map(|s| track_row(plan, s, slack.0, &trains)).collect(),
            spacings: spacing_rows(plan, circuit, centres.map_or(0.0, |c| c.0.si())),
            reversing: sections.iter().filter_map(|s| reversing_row(plan, circuit, s)).collect(),
            trains,
        }
    }
}

/// What plastic frogs need, equal needs together.
fn plastic_frogs(plan: &Plan) -> Vec<(Metres, Vec<String>)> {
    let mut all: Vec<(Metres, Vec<String>)> = Vec::new();
    for piece in frog_rails::plastic_pieces(plan) {
        let Some(due) = frog_rails::insulation_due(plan, &piece) else { continue };
        let name = piece.name.value.clone();
        match all.iter_mut().find(|(known, _)| (known.si() - due.si()).abs() < 1e-5) {
            Some((_, names)) => names.push(name),
            None => all.push((due, vec![name])),
        }
    }
    all
}

/// What of the plan's trains a stretch can hold.
fn track_row(plan: &Plan, stretch: ClearStretch, slack: f64, trains: &[(String, f64)]) -> TrackRow {
    let on = |name: &str| stretch.tracks.iter().any(|t| plan.track[t.0].name.value == name);
    let stored = plan.storage.iter().any(|s| s.value.tracks.iter().any(|t| on(&t.value)));
    let stand = plan.train.iter().filter(|t| t.stands.as_ref().is_some_and(|s| on(&s.value)));
    let longest = stretch.longest_train(slack);
    TrackRow {
        names: stretch.tracks.iter().map(|t| plan.track[t.0].name.value.clone()).collect(),
        storage: stored,
        stand: stand.map(|t| t.name.value.clone()).collect(),
        longest,
        fit: (0..trains.len()).filter(|&t| trains[t].1 <= longest).collect(),
        stretch,
    }
}

/// Tracks side by side, with what should lie between their turnouts.
pub fn spacing_rows(plan: &Plan, circuit: &Circuit, centres: f64) -> Vec<SpacingRow> {
    let row = |spacing: Spacing| {
        let track = |route: usize| {
            let next = &circuit.segments[route].ends[1].next;
            let on = next.iter().find(|n| n.0 < circuit.tracks);
            on.map_or_else(|| circuit.segments[route].name.clone(), |n| circuit.segments[n.0].name.clone())
        };
        SpacingRow {
            turnouts: spacing.turnouts.map(|t| plan.turnout[t].name.value.clone()),
            tracks: spacing.routes.map(track),
            due: spacing.between_for(centres),
            spacing,
        }
    };
    clearance::spacings(plan, circuit).into_iter().map(row).collect()
}

fn reversing_row(plan: &Plan, circuit: &Circuit, section: &ReversingSection) -> Option<ReversingRow> {
    let longest = longest_part(circuit, section).filter(|&part| part < circuit.tracks)?;
    let too_long = plan.train.iter().filter(|t| section.length.is_some_and(|l| over_wheels(t) > l));
    Some(ReversingRow {
        name: circuit.segments[longest].name.clone(),
        length: section.length,
        too_long: too_long.map(|t| t.name.value.clone()).collect(),
    })
}

/// `road 1`, or `lead and road 1`.
pub fn stretch_name(plan: &Plan, stretch: &ClearStretch) -> String {
    let names: Vec<String> = stretch.tracks.iter().map(|t| format!("`{}`", plan.track[t.0].name.value)).collect();
    words::few(names.into_iter())
}

/// The length of a train over its metal wheels, in metres.
pub fn over_wheels(train: &Train) -> f64 {
    train.metal_wheels.as_ref().unwrap_or(&train.length).value.si()
}

/// The longest piece of track in a section.
pub fn longest_part(circuit: &Circuit, section: &ReversingSection) -> Option<usize> {
    let parts = section.parts.iter();
    let key = |p: &&(usize, [f64; 2])| (p.0 < circuit.tracks, p.1[1] - p.1[0]);
    let longest = parts.max_by(|a, b| {
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    longest.map(|p| p.0)
}

//! What is proposed, in a builder's words: each kind of thing with its reason, and how many there are against the least there can be.

use super::contacts::Purpose;
use super::ground::{Built, Candidate, Ground, Tuning};
use super::scheme::{Cut, CutReason, YardForm};
use super::thin;
use plan::tables::{Live, RailSide};
use plan::{Kind, Plan, TrackEnd};

/// A kind of thing that is proposed, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct WiringReason {
    /// What it is: `3 gaps behind frogs`.
    pub what: String,
    /// Why.
    pub why: String,
    /// Where each of them is.
    pub places: Vec<String>,
}

impl WiringCount {
    /// What is counted, in words that go with the number.
    pub fn words(&self) -> &'static str {
        match (self.what, self.count) {
            ("gaps", 1) => "gap",
            ("contacts", 1) => "contact",
            ("feeders", 1) => "feeder",
            (what, _) => what,
        }
    }
}

/// How many there are of something, and the least there can be.
#[derive(Clone, Debug, PartialEq)]
pub struct WiringCount {
    /// What is counted.
    pub what: &'static str,
    /// How many are proposed.
    pub count: usize,
    /// As many are needed at least, whatever is done; nothing where that is not known.
    pub least: Option<usize>,
    /// Where the least comes from.
    pub because: &'static str,
}

pub(crate) fn counts(plan: &Plan, candidate: &Candidate, built: &Built) -> Vec<WiringCount> {
    let mut counts = vec![
        WiringCount {
            what: "gaps",
            count: candidate.scheme.cuts.len(),
            least: Some(candidate.scheme.fewest_cuts),
            because: "each parts two pieces of rail that must be fed differently",
        },
        WiringCount {
            what: "contacts",
            count: built.contacts.duties.len(),
            least: Some(built.contacts.fewest),
            because: "one for each thing that changes with a turnout",
        },
        WiringCount {
            what: "feeders",
            count: built.feeders.list.len() + built.feeders.kept.values().map(Vec::len).sum::<usize>(),
            least: Some(built.feeders.fewest),
            because: match plan.board.as_slice() {
                [] => "one for each piece of rail between gaps that keeps its pole",
                _ => "one on each board for each piece of rail between gaps that keeps its pole",
            },
        },
    ];
    if built.contacts.in_series > 1 {
        counts.push(WiringCount {
            what: "contacts in a row",
            count: built.contacts.in_series,
            least: Some(built.contacts.in_series),
            because: "one of each turnout that decides about the last track",
        });
    }
    counts
}

fn many(count: usize, one: &str, more: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {more}") }
}

pub(crate) fn reasons(
    ground: &Ground<'_, '_>,
    candidate: &Candidate,
    built: &Built,
    tuning: &Tuning,
) -> Vec<WiringReason> {
    let (sketch, scheme) = (ground.sketch, &candidate.scheme);
    let units = sketch.plan.units();
    let name = |track: usize| sketch.plan.track[track].name.value.as_str();
    // A turnout has a frog in one of the two rails behind it: where both are cut there, a section ends.
    let reason = |cut: &Cut| {
        let both = || scheme.cuts.iter().any(|c| c.at == cut.at && c.side != cut.side && c.why == cut.why);
        let turnout = || {
            let mut works = sketch.routes_at(cut.at).into_iter().map(|(route, _)| sketch.work_of(route));
            works.all(|work| matches!(work, Some((Kind::Turnout, _))))
        };
        if cut.why == CutReason::Frog && both() && turnout() { CutReason::Section } else { cut.why }
    };
    let mut all = Vec::new();
    for (why, what, words) in [
        (
            CutReason::Frog,
            "behind frogs",
            "The frog changes its pole with the turnout and the rail behind it does not: uncut, one of the two positions is a short.",
        ),
        (
            CutReason::Section,
            "at the ends of sections that change their phase",
            "The track comes back turned here, left rail to right. The section between these gaps takes the phase that is due.",
        ),
        (
            CutReason::Storage,
            "of storage tracks",
            "Beyond the gap the rail is dead while the track is not set; the contacts feed it.",
        ),
        (CutReason::District, "between districts", "Each breaker guards its own part of the track."),
    ] {
        let cuts: Vec<_> = scheme.cuts.iter().filter(|c| reason(c) == why).collect();
        if cuts.is_empty() {
            continue;
        }
        let places = cuts.iter().map(|cut| {
            let x = ground.places.of_cut(sketch, cut);
            let length = sketch.circuit.segments[cut.at.track].length;
            let out = if cut.at.end == TrackEnd::From { x } else { length - x };
            format!(
                "`{}`, {} rail, {} from its `{}` end",
                name(cut.at.track),
                cut.side.word(),
                units.metres(out),
                cut.at.end.word()
            )
        });
        all.push(WiringReason {
            what: format!("{} {what}", many(cuts.len(), "gap", "gaps")),
            why: words.to_owned(),
            places: places.collect(),
        });
    }
    for (number, section) in scheme.sections.iter().enumerate() {
        let tracks: Vec<String> =
            sketch.runs[section.run].tracks.iter().map(|&(t, _)| format!("`{}`", name(t))).collect();
        let over = tracks.join(", ");
        let why = if section.reverser {
            let writing = super::edits::reverser_name(sketch, scheme, number);
            format!(
                "No turnout by itself says which phase is due there, so `{writing}` takes the one that makes no short."
            )
        } else {
            "The position of the turnout says which phase is due, so contacts of what throws it give it.".to_owned()
        };
        all.push(WiringReason { what: format!("{over} changes its phase"), why, places: Vec::new() });
    }
    for (purpose, what, why) in [
        (Purpose::Frog, "for frogs", "A frog must have the pole of the stock rail that the closed blade touches."),
        (
            Purpose::Section,
            "for sections that change their phase",
            "Rail there has the pole that the turnout's position asks for.",
        ),
        (
            Purpose::Storage,
            "for storage tracks",
            "Each turnout hands the pole on to the track, or to the next turnout, that it is set for: the shape of the track again.",
        ),
    ] {
        let count = built.contacts.duties.iter().filter(|d| d.purpose == purpose).count();
        if count > 0 {
            let what = format!("{} {what}", many(count, "change-over contact", "change-over contacts"));
            all.push(WiringReason { what, why: why.to_owned(), places: Vec::new() });
        }
    }
    let over_frogs = candidate.form == YardForm::OverFrogs && ground.yards.iter().any(|y| y.hung.is_some());
    if over_frogs {
        all.push(WiringReason {
            what: "storage tracks take their power over the frogs".to_owned(),
            why: "A live frog has the pole of its other stock rail while it is set against a track, so the track is dead then: no gap and \
                  no contact is needed for that. Each frog further in is fed from the rails before its own points, not from the bus."
                .to_owned(),
            places: Vec::new(),
        });
    }
    if ground.yards.iter().any(|y| y.live == Live::ByHand) {
        all.push(WiringReason {
            what: "a switch for each storage track".to_owned(),
            why: "Your plan says that you switch them by hand.".to_owned(),
            places: Vec::new(),
        });
    }
    let mut feeders: Vec<String> = Vec::new();
    for (track, _) in sketch.plan.track.iter().enumerate() {
        let at = |side: RailSide| {
            let own = built.feeders.list.iter().filter(move |f| f.track == track && f.side == side);
            own.map(|f| units.metres(f.x)).collect::<Vec<_>>()
        };
        let [left, right] = [at(RailSide::Left), at(RailSide::Right)];
        if left == right && !left.is_empty() {
            feeders.push(format!("`{}`, both rails at {}", name(track), left.join(", ")));
        } else {
            for (side, list) in [(RailSide::Left, left), (RailSide::Right, right)] {
                if !list.is_empty() {
                    feeders.push(format!("`{}`, {} rail at {}", name(track), side.word(), list.join(", ")));
                }
            }
        }
    }
    if !built.feeders.list.is_empty() {
        let why = match tuning.spacing.apart {
            None => {
                "Each rail that no wire reaches otherwise gets one; that is enough for volts and breaker.".to_owned()
            }
            Some(apart) => format!(
                "Each rail that no wire reaches otherwise gets one. On {} no two are further apart than {}: with fewer the voltage drop, the \
                 current of a short or a joiner was not good enough.",
                many(tuning.spacing.tracks.len(), "track", "tracks"),
                units.metres(apart)
            ),
        };
        let what = many(built.feeders.list.len(), "feeder", "feeders");
        all.push(WiringReason { what, why, places: feeders });
    }
    all.extend(joints(ground, tuning));
    let sliding = super::edits::ends_that_slide(sketch, scheme, &tuning.choices);
    if !sliding.is_empty() {
        all.push(WiringReason {
            what: format!("{} at the edges of boards", many(sliding.len(), "joint that slides", "joints that slide")),
            why: "Soldered, it tears when the boards part. The rail on each board has feeders of its own.".to_owned(),
            places: sliding.iter().map(|at| format!("`{}`, at its `{}` end", name(at.track), at.end.word())).collect(),
        });
    }
    all.extend(wires(ground, built, tuning));
    all
}

/// What joins rails, where the plan does not say.
fn joints(ground: &Ground<'_, '_>, tuning: &Tuning) -> Option<WiringReason> {
    let layout = ground.sketch.plan.layout.as_ref()?;
    (tuning.choices.soldered && layout.value.joint.is_none()).then(|| WiringReason {
        what: "joiners that are soldered".to_owned(),
        why: "Your plan does not say what joins rails. A loose joiner gets worse with the years, and with few feeders much rail depends on it."
            .to_owned(),
        places: Vec::new(),
    })
}

fn wires(ground: &Ground<'_, '_>, built: &Built, tuning: &Tuning) -> Vec<WiringReason> {
    let units = ground.sketch.plan.units();
    let choices = &tuning.choices;
    let mut all = Vec::new();
    for district in ground.districts.list.iter().filter(|d| d.is_new) {
        all.push(WiringReason {
            what: format!("a bus of {}, twisted, {} long: `{}`", choices.bus_wire, units.metres(district.length), district.bus),
            why: "It follows the track, so every feeder is short. Correct its length and `along` once you know where it runs.".to_owned(),
            places: Vec::new(),
        });
    }
    let lengths = thin::lengths(ground, &built.text);
    let sizes = [choices.bus_wire, choices.feeder_wire, choices.contact_wire];
    let grams = thin::grams(lengths, sizes);
    let mut places = Vec::new();
    for (what, metres, size) in [
        ("bus", lengths.bus, sizes[0]),
        ("feeders", lengths.feeders, sizes[1]),
        ("contacts", lengths.contacts, sizes[2]),
    ] {
        if metres > 0.0 {
            places.push(format!(
                "{what}: {} of {size}, {:.0} g of copper",
                units.metres(metres),
                metres * thin::grams_per_metre(size)
            ));
        }
    }
    all.push(WiringReason {
        what: format!("wire with {grams:.0} g of copper in all"),
        why: "The least of the sizes in the shops, one for bus, feeders and contacts each: every choice with less copper fails the review."
            .to_owned(),
        places,
    });
    if let Some(amps) = choices.breaker {
        all.push(WiringReason {
            what: format!("a breaker of its own that trips at {amps} A"),
            why: "Behind this much wire a short draws too little for the booster to notice surely.".to_owned(),
            places: Vec::new(),
        });
    }
    if let Some(width) = choices.gap_width {
        let slides = choices.slides.apart.map_or(String::new(), |apart| {
            let tracks = many(choices.slides.tracks.len(), "track", "tracks");
            format!(", and joints that slide no more than {} apart on {tracks}", units.metres(apart))
        });
        all.push(WiringReason {
            what: format!("gaps {} wide{slides}", units.fine(width)),
            why: "Rail and base move over the year in the air of your room; so they have room.".to_owned(),
            places: Vec::new(),
        });
    }
    all
}

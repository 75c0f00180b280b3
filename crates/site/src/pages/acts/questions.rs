//! What each form asks.

use super::FormAction;
use handbook::quantity::{Metres, parse};
use plan::acts::open_ends;
use plan::tables::{Hand, Wiring};
use plan::{Kind, Names, Plan};

/// One question of a form.
pub(super) struct FormQuestion {
    /// Its field.
    pub name: &'static str,
    /// The words beside it.
    pub asks: &'static str,
    /// What to know of it; may be empty.
    pub why: String,
    /// What can be chosen, with what it means; words are typed where there is nothing to choose from.
    pub choices: Vec<(String, String)>,
    /// What stands in it at first: what the plan says today.
    pub now: String,
    /// Whether it may be left empty.
    pub may_be_empty: bool,
}

/// A plan as it stands, for filling forms.
#[derive(Clone, Copy)]
pub(crate) struct Today<'a> {
    pub text: &'a str,
    pub plan: &'a Plan,
    pub names: &'a Names,
}

/// What a form is about: a thing of the plan by its name, and which of its feeders, where it is about one.
#[derive(Clone, Copy, Default)]
pub(super) struct About<'a> {
    pub of: &'a str,
    pub feeder: Option<usize>,
}

fn typed(name: &'static str, asks: &'static str, why: impl Into<String>, now: impl Into<String>) -> FormQuestion {
    FormQuestion { name, asks, why: why.into(), choices: Vec::new(), now: now.into(), may_be_empty: false }
}

fn chosen(
    name: &'static str,
    asks: &'static str,
    why: impl Into<String>,
    choices: Vec<(String, String)>,
) -> FormQuestion {
    let now = choices.first().map_or_else(String::new, |c| c.0.clone());
    FormQuestion { name, asks, why: why.into(), choices, now, may_be_empty: false }
}

const WITH_UNIT: &str = "With its unit: 1.2 m, 35 mm, 4 ft.";

pub(super) fn questions(doing: FormAction, today: Today<'_>, about: About<'_>) -> Vec<FormQuestion> {
    let Today { plan, names, .. } = today;
    match doing {
        FormAction::AddTrack => track(plan, names),
        FormAction::AddTurnout => turnout(plan, names),
        FormAction::AddFeeder => {
            let mut asked = place(plan, names, about);
            asked.push(chosen("to", "It goes to", "", conductors(plan, "what the plan says of this rail")));
            asked
        }
        FormAction::AddGap => place(plan, names, about),
        FormAction::Length => vec![typed("length", "Its length", WITH_UNIT, length_now(today, about.of))],
        FormAction::Wire => vec![wire(plan, names, about)],
    }
}

fn track(plan: &Plan, names: &Names) -> Vec<FormQuestion> {
    let mut ends: Vec<(String, String)> = open_ends(plan, names)
        .into_iter()
        .map(|end| {
            let now = match end.now {
                None => "nothing joins it yet",
                Some("buffer") => "a buffer stands there now; the track goes on instead",
                Some(_) => "it leads beyond the plan now",
            };
            let says = format!("{}: {now}", end.words);
            (end.words, says)
        })
        .collect();
    ends.push(("buffer".to_owned(), "buffer: it ends at a stop".to_owned()));
    ends.push(("beyond".to_owned(), "beyond: it goes on, not on this plan".to_owned()));
    let mut to = chosen("to", "Its other end joins", "", ends.clone());
    to.now = "buffer".to_owned();
    let rail = |name, asks| chosen(name, asks, "", conductors(plan, "not said yet"));
    vec![
        typed("name", "Its name", "", ""),
        chosen("from", "It starts at", "From this end its lengths are counted.", ends),
        to,
        typed("length", "Its length", WITH_UNIT, ""),
        rail("left", "Feeders of its left rail go to"),
        rail("right", "Feeders of its right rail go to"),
    ]
}

fn turnout(plan: &Plan, names: &Names) -> Vec<FormQuestion> {
    let hands = Hand::WORDS.iter().map(|hand| {
        let says = match *hand {
            "wye" => "wye: both tracks curve away",
            other => other,
        };
        ((*hand).to_owned(), says.to_owned())
    });
    let wirings = [Wiring::LiveBonded, Wiring::LiveRouted, Wiring::LiveAssisted, Wiring::LiveUnfed]
        .into_iter()
        .chain([Wiring::InsulatedRouted, Wiring::InsulatedBonded, Wiring::MetalTip])
        .map(|wiring| (wiring.word().to_owned(), format!("{}: {}", wiring.word(), wired(wiring))));
    let mut joins = vec![(String::new(), "nothing yet".to_owned())];
    let ends = open_ends(plan, names).into_iter().filter(|end| end.now.is_some());
    joins.extend(ends.map(|end| (end.words.clone(), end.words)));
    let by = [("points", "its points"), ("through", "its through end (left, of a wye)")]
        .into_iter()
        .chain([("diverging", "its diverging end (right, of a wye)")])
        .map(|(word, says)| (word.to_owned(), says.to_owned()));
    let mut number = typed("number", "Its frog number", "Such as 5; leave it empty where you do not know it.", "");
    number.may_be_empty = true;
    vec![
        typed("name", "Its name", "", ""),
        chosen("hand", "It diverges to the", "Seen from its points.", hands.collect()),
        chosen("wiring", "How it is wired", "", wirings.collect()),
        number,
        chosen("joins", "It joins the open end", "Tracks for its other ends are added after it.", joins),
        chosen("by", "With", "", by.collect()),
    ]
}

fn wired(wiring: Wiring) -> &'static str {
    match wiring {
        Wiring::InsulatedRouted => "plastic frog, each closure rail fed through its blade",
        Wiring::InsulatedBonded => "plastic frog, closure rails bonded to the stock rails",
        Wiring::MetalTip => "as insulated-bonded, with a metal frog tip",
        Wiring::LiveRouted => "metal frog, fed by the blade that touches",
        Wiring::LiveAssisted => "as live-routed, helped by a contact",
        Wiring::LiveBonded => "metal frog cut off by gaps, fed by a contact",
        Wiring::LiveUnfed => "as live-bonded, fed by nothing",
    }
}

fn place(plan: &Plan, names: &Names, about: About<'_>) -> Vec<FormQuestion> {
    let long = match names.get(about.of) {
        Some((Kind::Track, index)) => {
            format!("; the track is {} long", plan.units().length(plan.track[index].length.value))
        }
        _ => String::new(),
    };
    let rails = [("left", "left"), ("right", "right"), ("both", "both")];
    let rails = rails.into_iter().map(|(word, says)| (word.to_owned(), says.to_owned())).collect();
    vec![
        typed("at", "Where", format!("From its `from` end, such as {}{long}.", plan.units().written(0.035)), ""),
        chosen("rail", "In which rail", "Looking along the track from its `from` end.", rails),
    ]
}

/// Conductors of buses and reversers, behind what is meant where none is chosen.
fn conductors(plan: &Plan, none: &str) -> Vec<(String, String)> {
    let buses = plan.bus.iter().map(|bus| &bus.name.value);
    let reversers = plan.reverser.iter().map(|reverser| &reverser.name.value);
    let both = buses.chain(reversers).flat_map(|name| ["A", "B"].map(|pole| format!("{name}.{pole}")));
    let none = (String::new(), none.to_owned());
    std::iter::once(none).chain(both.map(|words| (words.clone(), words))).collect()
}

/// A length as the builder wrote it.
fn length_now(today: Today<'_>, of: &str) -> String {
    let length = match today.names.get(of) {
        Some((Kind::Track, index)) => &today.plan.track[index].length,
        Some((Kind::Bus, index)) => &today.plan.bus[index].length,
        _ => return String::new(),
    };
    let written = today.text.get(length.span.clone()).unwrap_or_default().trim_matches(['"', '\'']);
    // A string of another form is reported as it was understood.
    let same = parse::<Metres>(written).is_ok_and(|read| read == length.value);
    if same { written.to_owned() } else { today.plan.units().length(length.value) }
}

fn wire(plan: &Plan, names: &Names, about: About<'_>) -> FormQuestion {
    const SIZES: &str = "Such as 1.5 mm² or 16 AWG.";
    let layout = plan.layout.0.as_ref().and_then(|l| l.value.feeder_wire.as_ref()).map(|w| w.value.clone());
    let (now, why) = match (names.get(about.of), about.feeder) {
        (Some((Kind::Bus, index)), _) => (plan.bus[index].wire.value.clone(), SIZES.to_owned()),
        (Some((Kind::Track, index)), feeder) => {
            let track = &plan.track[index];
            let own = feeder.and_then(|n| track.feeders.items.get(n.checked_sub(1)?)?.value.wire.as_ref());
            let of_track = track.feeder_wire.as_ref();
            let now = own.or(of_track).map(|w| w.value.clone()).or_else(|| layout.clone());
            let whose = match (own, of_track) {
                (None, None) if layout.is_some() => " It is the layout's wire now.",
                (None, None) => " The plan does not say it yet.",
                (None, Some(_)) if feeder.is_some() => " It is the track's wire now.",
                _ => "",
            };
            (now.unwrap_or_default(), format!("{SIZES}{whose}"))
        }
        _ => (String::new(), SIZES.to_owned()),
    };
    typed("wire", "The wire", why, now)
}

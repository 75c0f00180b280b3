//! What an operator says: `road 3 dead`, `road 3 slow when T3 is diverging`, `short when T2 is thrown`, `everything runs`.

use crate::candidates::track_places;
use crate::hunt::Hunt;
use crate::observation::{Observation, Running, Symptom};
use circuit::{Circuit, ControlId, Literal, NodeId};
use plan::Pole;

/// Why words say nothing that can be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadSymptom {
    /// They do not say what is wrong.
    #[error("`{0}` does not say what happens; write `{1} dead`, `{1} slow`, `{1} runs` or `short`")]
    NoSign(String, String),
    /// They do not say where.
    #[error("`{0}` names no track of this plan; the tracks are {1}")]
    NoTrack(String, String),
    /// What comes after `when` is no position.
    #[error("`{0}` is no position; write it so: `{1}`")]
    NoPosition(String, String),
    /// The track has no power by design as the turnouts stand then.
    #[error("`{track}` has no power by design while {standing}: say how the turnouts stood, such as `{example}`")]
    DeadAnyway {
        /// The track.
        track: String,
        /// How everything stands.
        standing: String,
        /// Words that would do.
        example: String,
    },
    /// There is no supply that could trip.
    #[error("no supply of this plan feeds track, so nothing can be short")]
    NoSupply,
}

/// What is meant by an operator's words; several, where they are about all tracks.
///
/// # Errors
/// When they say nothing that can be used.
pub fn symptoms(hunt: &Hunt, typed: &str) -> Result<Vec<Observation>, BadSymptom> {
    let circuit = &hunt.wiring.circuit;
    let words = typed.trim().to_lowercase();
    let (what, when) = ["when ", "while ", "with "]
        .iter()
        .find_map(|word| words.split_once(&format!(" {word}")))
        .map_or((words.as_str(), None), |(what, when)| (what, Some(when)));
    let (warm_when, position) = match when {
        Some(when) if when.contains("warm") || when.contains("hot") => (true, None),
        other => (false, other),
    };
    let warm = warm_when || what.contains("only warm") || what.contains("when warm");
    let setting = match position {
        None => circuit.complete(&[]),
        Some(position) => setting_of(hunt, position)?,
    };
    let conditions = crate::Conditions { powered: true, setting, pulled: Default::default() };
    let seen = |symptom: Symptom| Observation::Seen { conditions: conditions.clone(), symptom, warm };
    let has = |list: &[&str]| list.iter().any(|word| what.split(|c: char| !c.is_alphanumeric()).any(|w| w == *word));
    let tracks: Vec<(usize, String)> =
        circuit.segments[..circuit.tracks].iter().map(|s| s.name.to_lowercase()).enumerate().collect();
    if has(&["short", "shorts", "trips", "trip", "tripped"]) {
        let breakers: Vec<_> = circuit.breakers.iter().filter(|b| b.source < circuit.sources.len()).collect();
        let named: Vec<_> =
            breakers.iter().filter(|b| what.contains(&circuit.sources[b.source].name.to_lowercase())).collect();
        let poles = named.first().map(|b| b.node).or_else(|| breakers.first().map(|b| b.node));
        let poles = poles.ok_or(BadSymptom::NoSupply)?;
        return Ok(vec![seen(Symptom::Trips { poles, trips: !has(&["no", "not", "never"]) })]);
    }
    // The longest name, so that `road 12` is not taken for `road 1`.
    let named = tracks.iter().filter(|(_, name)| holds(what, name)).max_by_key(|(_, name)| name.len()).map(|t| t.0);
    let example = || {
        named.or(tracks.first().map(|t| t.0)).map_or_else(|| "road 1".to_owned(), |t| circuit.segments[t].name.clone())
    };
    let how = if has(&["dead", "nothing", "stands", "stops", "no"]) || what.contains("no power") {
        Running::Dead
    } else if has(&["slow", "weak", "dim", "dies", "stalls", "crawls", "stutters", "slows"]) {
        Running::Weak
    } else if has(&["runs", "run", "well", "fine", "ok", "good"]) {
        Running::Well
    } else {
        return Err(BadSymptom::NoSign(typed.trim().to_owned(), example()));
    };
    let runs = |track: usize| seen(Symptom::Runs { places: track_places(hunt, track), how });
    if has(&["everything", "all", "everywhere"]) {
        return Ok(tracks.iter().map(|t| runs(t.0)).collect());
    }
    let Some(track) = named else {
        let names: Vec<&str> = circuit.segments[..circuit.tracks].iter().map(|s| s.name.as_str()).collect();
        let shown = match names.len() {
            0..=16 => names.join(", "),
            more => format!("{} and {} more", names[..12].join(", "), more - 12),
        };
        return Err(BadSymptom::NoTrack(typed.trim().to_owned(), shown));
    };
    let places = track_places(hunt, track);
    if how != Running::Well && !is_alive(circuit, &conditions.setting, &places) {
        let name = &circuit.segments[track].name;
        let word = if how == Running::Dead { "dead" } else { "slow" };
        return Err(BadSymptom::DeadAnyway {
            track: name.clone(),
            standing: standing(circuit, &conditions.setting),
            example: match alive_when(circuit, &places) {
                Some(when) => format!("{name} {word} when {when}"),
                None => format!("{name} {word} when T3 is diverging and T4 is through"),
            },
        });
    }
    Ok(vec![runs(track)])
}

/// What was understood of somebody's words, told back to them.
pub fn understood(hunt: &Hunt, seen: &[Observation]) -> String {
    let circuit = &hunt.wiring.circuit;
    let [Observation::Seen { conditions, symptom, warm }, rest @ ..] = seen else { return String::new() };
    let track_of = |places: &[[NodeId; 2]]| {
        (0..circuit.tracks).find(|&t| track_places(hunt, t) == places).map(|t| circuit.segments[t].name.clone())
    };
    let what = match symptom {
        Symptom::Trips { trips: true, .. } => "the breaker trips".to_owned(),
        Symptom::Trips { trips: false, .. } => "the breaker does not trip".to_owned(),
        Symptom::Runs { places, how } => {
            let where_ = if rest.is_empty() { track_of(places) } else { None };
            let how = match how {
                Running::Dead => "no power",
                Running::Weak => "weak: slow, dim or stopping under load",
                Running::Well => "runs well",
            };
            format!("{}: {how}", where_.unwrap_or_else(|| "every track".to_owned()))
        }
    };
    let warm = if *warm { ", only warm" } else { "" };
    format!("{what}, while {}{warm}", standing(circuit, &conditions.setting))
}

/// How everything stands, in words: what does not stand as usual.
fn standing(circuit: &Circuit, setting: &[Option<u8>]) -> String {
    let moved: Vec<String> = ControlId::each(&circuit.controls)
        .filter_map(|(id, control)| {
            let position = setting[id.index()].filter(|p| *p != control.usual)?;
            let (name, position) = circuit.literal_words(Literal { control: id, position });
            Some(format!("{name} is {position}"))
        })
        .collect();
    if moved.is_empty() { "everything stands as usual".to_owned() } else { moved.join(" and ") }
}

/// Whether power gets to one of these places at least as long as nothing is at fault.
fn is_alive(circuit: &Circuit, setting: &[Option<u8>], places: &[[NodeId; 2]]) -> bool {
    let neighbours = circuit.neighbours();
    let reached = |from: NodeId| {
        let mut seen = vec![false; circuit.nodes.len()];
        let mut queue = vec![from];
        seen[from.index()] = true;
        while let Some(at) = queue.pop() {
            for &(next, edge) in &neighbours[at] {
                if circuit.edges[edge].is_closed(setting) && !std::mem::replace(&mut seen[next.index()], true) {
                    queue.push(next);
                }
            }
        }
        seen
    };
    circuit.sources.iter().any(|source| {
        let [a, b] = [Pole::A, Pole::B].map(|pole| reached(source.node[pole]));
        places.iter().any(|[left, right]| {
            let [left, right] = [left.index(), right.index()];
            a[left] && b[right] || b[left] && a[right]
        })
    })
}

/// One position, or two, with which the places have power.
fn alive_when(circuit: &Circuit, places: &[[NodeId; 2]]) -> Option<String> {
    let others: Vec<(ControlId, u8)> = ControlId::each(&circuit.controls)
        .flat_map(|(id, control)| {
            (0..control.positions.len() as u8).filter(|p| *p != control.usual).map(move |p| (id, p))
        })
        .collect();
    // A large yard has too many pairs to try while somebody waits.
    let pairs = others.len().min(24);
    let single = others.iter().map(|&one| vec![one]);
    let double = (0..pairs).flat_map(|i| (0..i).map(move |j| (j, i))).map(|(j, i)| vec![others[j], others[i]]);
    single.chain(double).find_map(|thrown| {
        let mut given: Vec<Option<u8>> = vec![None; circuit.controls.len()];
        for &(control, position) in &thrown {
            given[control] = Some(position);
        }
        let setting = circuit.complete(&given);
        is_alive(circuit, &setting, places).then(|| standing(circuit, &setting))
    })
}

/// Whether a name stands in a sentence as a word of its own.
fn holds(sentence: &str, name: &str) -> bool {
    let apart = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
    sentence
        .match_indices(name)
        .any(|(at, _)| apart(sentence[..at].chars().next_back()) && apart(sentence[at + name.len()..].chars().next()))
}

/// `t3 is diverging and t2=through`; `thrown` is the position that is not the usual one.
fn setting_of(hunt: &Hunt, typed: &str) -> Result<Vec<Option<u8>>, BadSymptom> {
    let circuit = &hunt.wiring.circuit;
    let mut given: Vec<Option<u8>> = vec![None; circuit.controls.len()];
    let example = || match circuit.controls.first() {
        Some(c) => format!("when {} is {}", c.name, c.positions.last().map_or("", String::as_str)),
        None => "road 1 dead".to_owned(),
    };
    for part in typed.split(" and ").flat_map(|p| p.split([',', ';'])).map(str::trim).filter(|p| !p.is_empty()) {
        let found = ControlId::each(&circuit.controls).find_map(|(id, control)| {
            let named = control.parts.iter().chain([&control.name]).any(|name| holds(part, &name.to_lowercase()));
            if !named {
                return None;
            }
            let usual = control.usual;
            let position = control.positions.iter().position(|p| holds(part, &p.to_lowercase()));
            let thrown = ["thrown", "reversed", "over"].iter().any(|word| holds(part, word));
            let other = (0..control.positions.len() as u8).find(|p| *p != usual);
            position.map(|p| p as u8).or(other.filter(|_| thrown)).map(|p| (id, p))
        });
        match found {
            Some((control, position)) => given[control] = Some(position),
            None => return Err(BadSymptom::NoPosition(part.to_owned(), example())),
        }
    }
    Ok(circuit.complete(&given))
}

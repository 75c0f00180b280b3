//! A yard with a ladder at either end written out.

use super::ladder::store;
use super::ladder_parts::{BETWEEN, Rails, along, metres, tracks_of};
use super::ordinary::{OrdinaryTable, Words};
use super::parts::{FeederPlaces, LEFT, Motors, RIGHT, SIDES, TurnoutShape, feeder_wires, on_rail, turnout};
use super::scene::{LeadingEnd, Scene, length, name_of};
use crate::edit::quoted;
use crate::tables::{CompositeNames, Leg, Live, Yard};
use crate::value::{At, OneOrMany};
use handbook::quantity::{Quantity, Units};

/// The names of everything in a yard.
struct YardNames {
    /// Turnouts and motors of the first ladder and of the second, from the outermost inwards.
    works: [Vec<(String, String)>; 2],
    roads: Vec<String>,
}

pub(super) fn expand(yard: &Yard, scene: &mut Scene<'_, '_>) -> Option<()> {
    let (name, header) = (&yard.name.value, &yard.place.header);
    let shape = TurnoutShape::read(&yard.turnout, scene)?;
    let tracks = tracks_of(&yard.tracks, yard.count.as_ref(), header, scene)?;
    let n = tracks.len();
    // The rails that are switched from the first ladder and from the second.
    let switched: [Option<usize>; 2] = match yard.live.as_ref().map(|live| (live.value, live)) {
        None | Some((Live::Always, _)) => [None, None],
        Some((Live::BothEndsAgree, _)) => [Some(LEFT), Some(RIGHT)],
        Some((Live::EitherEnd, _)) => [Some(RIGHT), Some(RIGHT)],
        Some((Live::Lined | Live::ByHand, live)) => {
            let help = "write \"both ends agree\", \"either end\" or \"always\"";
            scene.wrong(&live.span, format!("`{}` is not known of a yard with two ends", live.value.word()), help);
            return None;
        }
    };
    let names = names(yard, n, &tracks.iter().map(|track| track.own_name()).collect::<Vec<_>>());
    let leading = match &yard.from {
        Some(from) => Some(scene.leading(from, "to", true)?),
        None => scene.joined_at(&format!("{}.points", names.works[0][0].0)),
    };
    let conductors = scene.conductors(name, [&yard.left, &yard.right], leading.as_ref(), header)?;
    if let (Some(leading), Some(from)) = (&leading, &yard.from) {
        scene.join(leading, &format!("{}.points", names.works[0][0].0), &from.span);
    }
    if let Some(to) = &yard.to {
        let beyond = scene.leading(to, "from", true)?;
        scene.join(&beyond, &format!("{}.points", names.works[1][0].0), &to.span);
    }
    let rails = rails(yard, shape, conductors, leading);
    for (work, _) in names.works.iter().flatten() {
        turnout(&yard.turnout, work, scene);
    }
    for k in 1..n - 1 {
        piece(yard, shape, &names, [0, k], rails.behind(k), &rails, scene);
    }
    let mut landings: [Vec<Vec<String>>; 2] = Default::default();
    for (k, track) in tracks.iter().enumerate() {
        // The second ladder comes to the tracks the other way round.
        let ends = [k.min(n - 2), (n - 1 - k).min(n - 2)];
        let legs = [k == n - 1, k == 0].map(|through| if through { Leg::Through } else { Leg::Diverging });
        let of = &track.span;
        let long = metres(&track.value);
        let units = track.value.get("length").map_or(Units::Metric, |l| scene.units(&l.span));
        let behind = if units == Units::Metric { 0.2 } else { 8.0 * 0.0254 };
        let near = yard.gap.as_ref().map_or(shape.usual_gap(units), |gap| gap.value.si()).min(long / 3.0);
        let first = yard.fed_at.as_ref().map_or(near + behind, |at| at.value.si()).min(long / 2.0);
        let mut table = OrdinaryTable::new("track", &names.roads[k], of);
        for (end, key) in ["from", "to"].into_iter().enumerate() {
            let words = format!("{}.{}", names.works[end][ends[end]].0, shape.leg(legs[end]));
            table.set(key, Words::text(&words, of));
        }
        if let Some(length) = track.value.get("length") {
            table.set("length", Words::from(length));
        }
        rails.conductors_of(&mut table);
        if let (Some((bus, _, _, of)), Some(start)) = (&rails.along, rails.behind(ends[0] + 1)) {
            table.set("along", along(bus, start, start + long, units, of));
        }
        let mut fed = [true, true];
        let mut gaps = Vec::new();
        for end in [0, 1] {
            let mut cut = [false, false];
            if shape.is_live() {
                let seen = shape.inner(legs[end]);
                cut[if end == 0 { seen } else { 1 - seen }] = true;
            }
            for side in switched.into_iter().flatten() {
                cut[side] = true;
                fed[side] = false;
            }
            let at = if end == 0 { near } else { long - near };
            gaps.extend([LEFT, RIGHT].into_iter().filter(|&side| cut[side]).map(|side| on_rail(units, at, side)));
        }
        let places = FeederPlaces::new(yard.feeders.as_ref(), long, units, of, scene);
        if let Some(words) = places.words(fed) {
            table.set("feeders", words);
        }
        feeder_wires(yard.feeders.as_ref(), &mut table, scene);
        if !gaps.is_empty() {
            table.set("gaps", Words::list(&gaps, false, yard.gap.as_ref().map_or(of, |gap| &gap.span)));
        }
        table.take(&track.value, &["name", "to"]);
        scene.push(table);
        let others: Vec<f64> = places.places.iter().skip(1).copied().collect();
        for (end, landings) in landings.iter_mut().enumerate() {
            let all = std::iter::once(first).chain(others.iter().copied());
            landings.push(all.map(|x| units.written(if end == 0 { x } else { long - x })).collect());
        }
    }
    for k in (1..n - 1).rev() {
        // Under the points of the next turnout inwards this piece starts.
        let start = far_points(n, k + 1, &tracks.iter().map(|t| metres(&t.value)).collect::<Vec<_>>(), &rails);
        piece(yard, shape, &names, [1, k], start, &rails, scene);
    }
    motors(yard, shape, &names, switched, &landings, &rails, scene);
    if let Some(live) = &yard.live {
        store(&names.roads, live, scene);
    }
    Some(())
}

/// The place on the bus under the points of a turnout of the second ladder, from 1.
fn far_points(n: usize, k: usize, lengths: &[f64], rails: &Rails) -> Option<f64> {
    let road = (n + 1 - k).min(n);
    Some(rails.behind(road.min(n - 1))? + lengths.get(road - 1)? + rails.turnout)
}

fn rails(yard: &Yard, shape: TurnoutShape, conductors: [String; 2], leading: Option<LeadingEnd>) -> Rails {
    let header = &yard.place.header;
    let said = [&yard.left, &yard.right];
    let of_from = yard.from.as_ref().map_or(header, |from| &from.span);
    let places = [LEFT, RIGHT].map(|side| said[side].as_ref().map_or(of_from, |s| &s.span).clone());
    let between = yard.between.as_ref().map_or(BETWEEN, |b| metres(&b.value));
    let along = match (&yard.along, leading.as_ref().and_then(|l| l.along.clone())) {
        (Some(said), _) => {
            let a = &said.value;
            Some((a.bus.value.clone(), a.from.value.si(), a.every.value.si(), said.span.clone()))
        }
        (None, Some((bus, place))) => Some((bus, place.si() + shape.length, shape.length + between, of_from.clone())),
        (None, None) => None,
    };
    Rails { conductors, places, along, turnout: shape.length, leading }
}

fn names(yard: &Yard, n: usize, own: &[Option<String>]) -> YardNames {
    let name = &yard.name.value;
    let of = |list: fn(&CompositeNames) -> &OneOrMany<String>| {
        yard.names.as_ref().map(|names| list(&names.value).0.as_slice()).filter(|list| !list.is_empty())
    };
    let work = |k: usize| {
        let turnout = name_of(of(|n| &n.turnouts), k, |k| format!("{name} T{k}"));
        (turnout, name_of(of(|n| &n.motors), k, |k| format!("{name} M{k}")))
    };
    let road =
        |k: usize| own[k - 1].clone().unwrap_or_else(|| name_of(of(|n| &n.tracks), k, |k| format!("{name} {k}")));
    YardNames {
        works: [(1..n).map(work).collect(), (n..2 * n - 1).map(work).collect()],
        roads: (1..=n).map(road).collect(),
    }
}

/// A track between two turnouts of a ladder: the first or the second one, and its number from the outside.
fn piece(
    yard: &Yard,
    shape: TurnoutShape,
    names: &YardNames,
    [end, k]: [usize; 2],
    start: Option<f64>,
    rails: &Rails,
    scene: &mut Scene<'_, '_>,
) {
    let said = yard.between.as_ref();
    let of = said.map_or(&yard.place.header, |said| &said.span);
    let long = said.map_or(BETWEEN, |said| metres(&said.value));
    let units = said.and_then(|s| s.value.get("length")).map_or(Units::Metric, |l| scene.units(&l.span));
    let list = yard.names.as_ref().map(|names| names.value.between.0.as_slice()).filter(|list| !list.is_empty());
    let count = names.works[0].len() - 1;
    let name = name_of(list, end * count + k, |k| format!("{} ladder {k}", yard.name.value));
    let (outer, inner) = (&names.works[end][k - 1].0, &names.works[end][k].0);
    let ends = [format!("{outer}.{}", shape.leg(Leg::Through)), format!("{inner}.points")];
    let mut table = OrdinaryTable::new("track", &name, of);
    // Tracks of the second ladder run outwards too, towards what it leads to.
    let [from, to] = if end == 0 { [&ends[0], &ends[1]] } else { [&ends[1], &ends[0]] };
    table.set("from", Words::text(from, of));
    table.set("to", Words::text(to, of));
    table.set("length", Words::made(length(units, long), of));
    rails.conductors_of(&mut table);
    if let (Some((bus, _, _, of)), Some(start)) = (&rails.along, start) {
        table.set("along", along(bus, start, start + long, units, of));
    }
    let seen = |x: f64| if end == 0 { x } else { long - x };
    table.set("feeders", Words::list(&[length(units, seen(long * 2.0 / 3.0))], false, of));
    feeder_wires(yard.feeders.as_ref(), &mut table, scene);
    if shape.is_live() {
        let side = shape.inner(Leg::Through);
        let side = if end == 0 { side } else { 1 - side };
        table.set("gaps", Words::list(&[on_rail(units, seen((long / 4.0).min(0.012)), side)], false, of));
    }
    if let Some(said) = said {
        table.take(&said.value, &[]);
    }
    scene.push(table);
}

/// What throws the turnouts, and what their contacts do.
fn motors(
    yard: &Yard,
    shape: TurnoutShape,
    names: &YardNames,
    switched: [Option<usize>; 2],
    landings: &[Vec<Vec<String>>; 2],
    rails: &Rails,
    scene: &mut Scene<'_, '_>,
) {
    let n = names.roads.len();
    if !shape.has_frog_wire() && switched == [None, None] && yard.motor.is_none() {
        return;
    }
    let mut thrown = Motors::new(yard.motor.as_ref(), 2 * (n - 1), scene);
    let number = if shape.has_frog_wire() { 2 } else { 1 };
    let [through, diverging] = [Leg::Through, Leg::Diverging].map(|leg| shape.leg(leg));
    let [left, right] = &rails.conductors;
    for (end, works) in names.works.iter().enumerate() {
        for (k, (work, motor)) in works.iter().enumerate() {
            let mut contacts = Vec::new();
            if shape.has_frog_wire() {
                // From the points of the second ladder one looks against the tracks.
                let seen = if end == 0 { [left.clone(), right.clone()] } else { [right.clone(), left.clone()] };
                contacts.push(shape.frog_contact(work, &seen));
            }
            if let Some(side) = switched[end] {
                let landing = |road: usize| {
                    let all: Vec<String> = landings[end][road]
                        .iter()
                        .map(|at| quoted(&format!("{}.{} @ {at}", names.roads[road], SIDES[side])))
                        .collect();
                    if let [one] = all.as_slice() { one.clone() } else { format!("[{}]", all.join(", ")) }
                };
                let [here, last] = if end == 0 { [k, n - 1] } else { [n - 1 - k, 0] };
                let onto = match works.get(k + 1) {
                    Some((_, next)) => quoted(&format!("{next}.{number}.common")),
                    None => landing(last),
                };
                let common =
                    if k == 0 { format!("common = {}, ", quoted(&rails.conductors[side])) } else { String::new() };
                contacts.push(format!("{{ {common}{diverging} = {}, {through} = {onto} }}", landing(here)));
            }
            let of = yard.live.as_ref().map_or(&yard.turnout.span, |live: &At<Live>| &live.span);
            thrown.next(motor, &[work], &contacts, of, scene);
        }
    }
}

//! Tracks of ladders: where their gaps, feeders and wires from contacts are.

use super::ordinary::{OrdinaryTable, Words};
use super::parts::{FeederPlaces, LEFT, RIGHT, SIDES, TurnoutShape, feeder_wires, on_rail};
use super::scene::{LeadingEnd, Scene, length};
use crate::edit::quoted;
use crate::keys::Keys;
use crate::tables::{FeederSpacing, Leg, OfPieces, OfTracks};
use crate::value::{At, List};
use handbook::quantity::{Metres, Quantity, Units};
use std::ops::Range;

/// Most tracks of one composite.
const MOST_TRACKS: usize = 200;
/// Between two turnouts where nothing is said, metres: room for a gap and a feeder.
pub(crate) const BETWEEN: f64 = 0.06;
/// From the frog's end to the gap of a track between two turnouts, metres, where there is room.
const GAP_BETWEEN: f64 = 0.012;

/// The length that some keys say, metres; that of a short track where they say none, which reading the track tells.
pub(crate) fn metres<H>(keys: &Keys<H>) -> f64 {
    keys.get("length").and_then(|said| said.quantity::<Metres>()).map_or(BETWEEN, |l| l.si()).clamp(0.0, 1e3)
}

/// Where a track runs along a bus.
pub(crate) fn along(bus: &str, from: f64, to: f64, units: Units, of: &Range<usize>) -> Words {
    let [from, to] = [from, to].map(|x| length(units, x));
    Words::made(format!("{{ bus = {}, from = {from}, to = {to} }}", quoted(bus)), of)
}

/// The tracks of a composite, each as often as it is said.
pub(crate) fn tracks_of<'l>(
    list: &'l List<Keys<OfTracks>>,
    count: Option<&At<u32>>,
    place: &Range<usize>,
    scene: &mut Scene<'_, '_>,
) -> Option<Vec<&'l At<Keys<OfTracks>>>> {
    let Some(last) = list.items.last() else {
        scene.missing(
            place,
            "this does not say its `tracks`",
            "add `tracks = [\"2 m\", \"1.8 m\"]`, from the first turnout on",
        );
        return None;
    };
    let whole = count.map_or(list.items.len(), |n| n.value as usize);
    let at = count.map_or_else(|| list.span.clone().unwrap_or_default(), |n| n.span.clone());
    if whole < list.items.len() {
        let message = format!("{} tracks are listed, which is more than the count", list.items.len());
        scene.wrong(&at, message, "leave out `count`, or say as many as there are");
        return None;
    }
    if !(2..=MOST_TRACKS).contains(&whole) {
        let message = format!("{whole} tracks are too {}", if whole < 2 { "few" } else { "many" });
        scene.wrong(&at, message, format!("two tracks to {MOST_TRACKS} will do"));
        return None;
    }
    Some(list.items.iter().chain(std::iter::repeat(last)).take(whole).collect())
}

impl At<Keys<OfTracks>> {
    /// The name that a track of a list says of itself.
    pub(crate) fn own_name(&self) -> Option<String> {
        self.value.get("name")?.text()
    }
}

/// What the rails of a composite belong to, and where they run.
pub(crate) struct Rails {
    /// The conductors of the left and the right rail, seen from the first points.
    pub(crate) conductors: [String; 2],
    /// Where that is said.
    pub(crate) places: [Range<usize>; 2],
    /// The bus, the place under the far end of the first turnout, from turnout to turnout, and where that is said.
    pub(crate) along: Option<(String, f64, f64, Range<usize>)>,
    /// The length of a turnout, metres.
    pub(crate) turnout: f64,
    pub(crate) leading: Option<LeadingEnd>,
}

impl Rails {
    /// The place on the bus under the far end of a turnout, from 1.
    pub(crate) fn behind(&self, turnout: usize) -> Option<f64> {
        self.along.as_ref().map(|(_, first, every, _)| first + every * (turnout as f64 - 1.0))
    }

    /// Says of a track what its rails belong to.
    pub(crate) fn conductors_of(&self, table: &mut OrdinaryTable) {
        for side in [LEFT, RIGHT] {
            table.set(SIDES[side], Words::text(&self.conductors[side], &self.places[side]));
        }
    }

    fn along_of(&self, table: &mut OrdinaryTable, start: Option<f64>, long: f64, units: Units) {
        if let (Some((bus, _, _, of)), Some(start)) = (&self.along, start) {
            table.set("along", along(bus, start, start + long, units, of));
        }
    }
}

/// The rail that follows the turnouts, and what feeds it first.
pub(crate) struct Lining {
    pub(crate) side: usize,
    pub(crate) first: String,
}

impl Lining {
    /// Where a contact's wires join a track.
    pub(crate) fn landing(&self, road: &str, places: &[String]) -> String {
        let all: Vec<String> = places.iter().map(|at| quoted(&format!("{road}.{} @ {at}", SIDES[self.side]))).collect();
        match all.as_slice() {
            [one] => one.clone(),
            all => format!("[{}]", all.join(", ")),
        }
    }
}

/// A track that leaves a turnout.
pub(crate) struct LadderTrack<'s> {
    pub(crate) name: &'s str,
    pub(crate) from: &'s str,
    pub(crate) leg: Leg,
    /// The place on the bus under its start, metres.
    pub(crate) at: Option<f64>,
}

/// What tracks of a composite need.
pub(crate) struct TrackNeeds<'l> {
    pub(crate) shape: TurnoutShape,
    /// The rail that is switched.
    pub(crate) switched: Option<usize>,
    pub(crate) gap: Option<&'l At<Metres>>,
    pub(crate) fed_at: Option<&'l At<Metres>>,
    pub(crate) feeders: Option<&'l At<FeederSpacing>>,
    /// The composite.
    pub(crate) place: &'l Range<usize>,
}

impl TrackNeeds<'_> {
    /// Puts down the track that leads to the first turnout.
    pub(crate) fn lead(&self, mut table: OrdinaryTable, rails: &Rails, scene: &mut Scene<'_, '_>) {
        let long =
            table.text("length").and_then(|l| handbook::quantity::parse::<Metres>(&l).ok()).map_or(BETWEEN, |l| l.si());
        rails.conductors_of(&mut table);
        let units = table.get("length").map_or(Units::Metric, |l| scene.units(&l.of));
        let places = FeederPlaces::new(self.feeders, long, units, &table.of.clone(), scene);
        if table.get("feeders").is_none()
            && let Some(words) = places.words([true, true])
        {
            table.set("feeders", words);
        }
        feeder_wires(self.feeders, &mut table, scene);
        scene.push(table);
    }

    /// A track between two turnouts: cut behind the frog where that is due, and fed beyond.
    #[allow(clippy::too_many_arguments)]
    pub(crate) fn between(
        &self,
        said: Option<&At<Keys<OfPieces>>>,
        name: &str,
        [from, to]: &[String; 2],
        leg: Leg,
        start: Option<f64>,
        rails: &Rails,
        scene: &mut Scene<'_, '_>,
    ) {
        let of = said.map_or(self.place, |said| &said.span);
        let long = said.map_or(BETWEEN, |said| metres(&said.value));
        let units = said.and_then(|s| s.value.get("length")).map_or(self.units(scene), |l| scene.units(&l.span));
        let mut table = OrdinaryTable::new("track", name, of);
        table.set("from", Words::text(from, of));
        table.set("to", Words::text(to, of));
        table.set("length", Words::made(length(units, long), of));
        rails.conductors_of(&mut table);
        rails.along_of(&mut table, start, long, units);
        // Two thirds of the way, to 5 mm or a quarter inch: behind the gap, before the next points.
        let grain = if units == Units::Metric { 0.005 } else { 0.00635 };
        let place = if long > 0.03 { (long / grain * 2.0 / 3.0).round() * grain } else { long * 2.0 / 3.0 };
        table.set("feeders", Words::list(&[length(units, place)], false, of));
        feeder_wires(self.feeders, &mut table, scene);
        if self.shape.is_live() {
            let gap = (long / 4.0).min(GAP_BETWEEN);
            table.set("gaps", Words::list(&[on_rail(units, gap, self.shape.inner(leg))], false, of));
        }
        if let Some(said) = said {
            table.take(&said.value, &[]);
        }
        scene.push(table);
    }

    /// The units of the composite: those of the words of its gaps, else metric.
    fn units(&self, scene: &Scene<'_, '_>) -> Units {
        let said = [self.gap.map(|g| &g.span), self.fed_at.map(|f| &f.span), self.feeders.map(|f| &f.value.every.span)];
        said.into_iter().flatten().next().map_or(Units::Metric, |span| scene.units(span))
    }

    /// A track that leaves a turnout; gives the places where wires from contacts join its switched rail, in words.
    pub(crate) fn road(
        &self,
        said: &At<Keys<OfTracks>>,
        road: &LadderTrack<'_>,
        rails: &Rails,
        scene: &mut Scene<'_, '_>,
    ) -> Vec<String> {
        let of = &said.span;
        let long = metres(&said.value);
        let units = said.value.get("length").map_or(Units::Metric, |l| scene.units(&l.span));
        let [behind, far] = match units {
            Units::Metric => [0.2, 0.04],
            Units::Imperial => [8.0, 1.5].map(|inches| inches * 0.0254),
        };
        let near = self.gap.map_or(self.shape.usual_gap(units), |gap| gap.value.si()).min(long / 3.0);
        let first = self.fed_at.map_or(near + behind, |at| at.value.si()).min(long * 2.0 / 3.0);
        let mut table = OrdinaryTable::new("track", road.name, of);
        table.set("from", Words::text(road.from, of));
        table.set("to", Words::text("buffer", of));
        let onto = self.onto(said, road, scene);
        if let Some(length) = said.value.get("length") {
            table.set("length", Words::from(length));
        }
        rails.conductors_of(&mut table);
        rails.along_of(&mut table, road.at, long, units);
        let mut fed = [true, true];
        let mut cut = [false, false];
        if self.shape.is_live() {
            cut[self.shape.inner(road.leg)] = true;
        }
        if let Some(side) = self.switched {
            cut[side] = true;
            fed[side] = false;
        }
        let places = FeederPlaces::new(self.feeders, long, units, of, scene);
        if let Some(words) = places.words(fed) {
            table.set("feeders", words);
        }
        feeder_wires(self.feeders, &mut table, scene);
        let mut gaps: Vec<String> =
            [LEFT, RIGHT].into_iter().filter(|&side| cut[side]).map(|side| on_rail(units, near, side)).collect();
        if let (Some(_), Some(side)) = (&onto, self.switched) {
            gaps.push(on_rail(units, long - far.min(long / 4.0), side));
        }
        if !gaps.is_empty() {
            table.set("gaps", Words::list(&gaps, false, self.gap.map_or(of, |gap| &gap.span)));
        }
        table.take(&said.value, &["name"]);
        if let Some(onto) = onto {
            table.set("to", onto);
        }
        scene.push(table);
        let others = places.places.iter().skip(1).copied();
        // In the builder's own words, where the track has room for them.
        let own = self.fed_at.filter(|at| at.value.si() == first).and_then(|at| scene.said_at(&at.span));
        let first = own.unwrap_or_else(|| units.written(first));
        std::iter::once(first).chain(others.map(|x| units.written(x))).collect()
    }

    /// What a track leads to, where it is neither stop nor the edge of the plan: the other track learns of it.
    fn onto(&self, said: &At<Keys<OfTracks>>, road: &LadderTrack<'_>, scene: &mut Scene<'_, '_>) -> Option<Words> {
        let to = said.value.get("to")?;
        let text = to.text().filter(|text| crate::stops::stop(text).is_none())?;
        let at = At { value: text, span: to.span.clone() };
        let Some(leading) = scene.leading(&at, "from", false) else { return Some(Words::from(to)) };
        scene.join(&leading, &format!("{}.to", road.name), &to.span);
        let end = format!("{}.{}", leading.track, leading.end);
        if end == at.value { Some(Words::from(to)) } else { Some(Words::text(&end, &to.span)) }
    }
}

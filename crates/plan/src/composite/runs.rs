//! A bus and the tracks above it written out: the bus, and what those tracks need not say.

use super::ladder_parts::along;
use super::ordinary::{OrdinaryTable, Words};
use super::parts::{FeederPlaces, feeder_wires};
use super::scene::{Scene, length};
use crate::reader::short;
use crate::tables::{BusRun, RailSide};
use finding::{Finding, Harm};
use handbook::quantity::{self, Metres, Quantity, Units};

/// How far a bus goes on beyond the last track, metres.
const BEYOND: f64 = 0.3;

pub(super) fn expand(run: &BusRun, scene: &mut Scene<'_, '_>) -> Option<()> {
    let name = &run.name;
    let units = run.starts.as_ref().map(|at| &at.span).or(run.wire.as_ref().map(|wire| &wire.span));
    let usual = units.map_or(Units::Metric, |span| scene.units(span));
    let mut at = run.starts.as_ref().map_or(0.0, |starts| starts.value.si());
    let mut before: Option<String> = None;
    let mut lasting = Vec::new();
    for track in run.tracks.iter() {
        if !scene.is("track", &track.value) {
            let message = format!("there is no track `{}`", short(&track.value));
            scene.tell(
                Finding::error("no-such-name", Harm::Unclear, message)
                    .at(track.span.clone(), "not found")
                    .help("write the name of a track; one that a composite stands for stands above"),
            );
            continue;
        }
        if let Some(before) = &before {
            at += between(before, scene);
        }
        let words = scene.said("track", &track.value, "length").unwrap_or_default();
        let long = quantity::parse::<Metres>(&words).map_or(0.0, |l| l.si()).clamp(0.0, 1e3);
        let units = Units::of_text(&words).unwrap_or(usual);
        let mut table = OrdinaryTable::adding("track", &track.value, &track.span);
        let [left, right] = match run.a.as_ref().map_or(RailSide::Left, |a| a.value) {
            RailSide::Left => ["A", "B"],
            RailSide::Right => ["B", "A"],
        };
        let of = run.a.as_ref().map_or(&name.span, |a| &a.span);
        table.set("left", Words::text(&format!("{}.{left}", name.value), of));
        table.set("right", Words::text(&format!("{}.{right}", name.value), of));
        table.set("along", along(&name.value, at, at + long, units, &track.span));
        let places = FeederPlaces::new(run.feeders.as_ref(), long, units, &track.span, scene);
        if let Some(words) = places.words([true, true]) {
            table.set("feeders", words);
        }
        feeder_wires(run.feeders.as_ref(), &mut table, scene);
        at += long;
        before = scene.said("track", &track.value, "to");
        lasting.push(table);
    }
    if let Some(wire) = &run.wire {
        let mut bus = OrdinaryTable::new("bus", &name.value, &name.span);
        bus.set_text("supply", run.supply.as_ref());
        bus.set_text("from", run.origin.as_ref());
        bus.set("wire", scene.words(&wire.span));
        let end = match usual {
            Units::Metric => ((at + BEYOND) * 10.0).ceil() / 10.0,
            Units::Imperial => ((at + BEYOND) / 0.3048).ceil() * 0.3048,
        };
        let long = match &run.length {
            Some(said) => scene.words(&said.span),
            None => Words::made(length(usual, end), &name.span),
        };
        bus.set("length", long);
        if let Some(pair) = &run.pair {
            bus.set("pair", scene.words(&pair.span));
        }
        scene.push(bus);
    }
    for table in lasting {
        scene.push(table);
    }
    Some(())
}

/// How long what lies between a track and the next one is: a turnout, where the track ends at one.
fn between(to: &str, scene: &Scene<'_, '_>) -> f64 {
    let Some((work, _)) = to.rsplit_once('.').filter(|(work, _)| scene.is("turnout", work)) else { return 0.0 };
    scene.turnout_length(scene.number("turnout", work, "number").unwrap_or(6.0), [None, None])
}

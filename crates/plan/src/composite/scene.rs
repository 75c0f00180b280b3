//! What a composite sees of the plan around it, and what it leaves behind: tables and findings.

use super::ordinary::{OrdinaryTable, Words};
use crate::edit::quoted;
use crate::keys::KeySaid;
use crate::reader::{nearest, short};
use crate::value::At;
use finding::{Finding, Harm};
use handbook::quantity::{self, Metres, Quantity, Units};
use handbook::scales::{self, Scale};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// The kinds of tables that composites look for.
const KINDS: [&str; 4] = ["track", "turnout", "driver", "bus"];

/// See the module.
pub(crate) struct Scene<'a, 'i> {
    text: &'a str,
    named: BTreeMap<(&'a str, &'a str), &'a DeTable<'i>>,
    /// Tracks that stand in a storage policy of the builder's own.
    pub(crate) stored: BTreeSet<String>,
    pub(crate) scale: Option<&'static Scale>,
    pub(crate) tables: Vec<OrdinaryTable>,
    /// Where in `tables` stands what has a name.
    written: BTreeMap<(&'static str, String), Vec<usize>>,
    /// What the ends of the builder's own tracks join.
    own_ends: BTreeMap<&'a str, (&'a str, &'static str)>,
    /// Ends of track among `tables`: what each joins, the table, and which end.
    ends: BTreeMap<String, (usize, &'static str)>,
    pub(crate) findings: Vec<Finding>,
}

/// An end of a track, and the conductors of its rails as they are seen from there, looking off its end.
#[derive(Clone, Debug)]
pub(crate) struct LeadingEnd {
    pub(crate) track: String,
    /// `from` or `to`.
    pub(crate) end: &'static str,
    /// Of the left and of the right rail.
    pub(crate) conductors: [Option<String>; 2],
    /// The bus it runs along, and the place on it under this end.
    pub(crate) along: Option<(String, Metres)>,
}

fn text_of<'t>(table: &'t DeTable<'_>, key: &str) -> Option<&'t str> {
    match table.get(key)?.get_ref() {
        DeValue::String(text) => Some(text),
        _ => None,
    }
}

impl<'a, 'i> Scene<'a, 'i> {
    pub(crate) fn new(text: &'a str, root: &'a DeTable<'i>) -> Scene<'a, 'i> {
        let mut named = BTreeMap::new();
        let mut stored = BTreeSet::new();
        let mut scale = None;
        let mut own_ends = BTreeMap::new();
        for (kind, found) in root.iter() {
            let tables: Vec<&DeTable<'i>> = match found.get_ref() {
                DeValue::Array(items) => items
                    .iter()
                    .filter_map(|item| match item.get_ref() {
                        DeValue::Table(table) => Some(table),
                        _ => None,
                    })
                    .collect(),
                DeValue::Table(table) => vec![table],
                _ => continue,
            };
            for table in tables {
                match kind.get_ref().as_ref() {
                    "layout" => scale = text_of(table, "scale").and_then(scales::scale),
                    "storage" => {
                        let Some(DeValue::Array(tracks)) = table.get("tracks").map(|t| t.get_ref()) else { continue };
                        stored.extend(tracks.iter().filter_map(|track| match track.get_ref() {
                            DeValue::String(name) => Some(name.clone().into_owned()),
                            _ => None,
                        }));
                    }
                    kind => {
                        if let Some(name) = text_of(table, "name") {
                            let ends: &[&'static str] = if kind == "track" { &["to", "from"] } else { &[] };
                            for end in ends {
                                if let Some(words) = text_of(table, end) {
                                    own_ends.entry(words).or_insert((name, *end));
                                }
                            }
                            named.entry((kind, name)).or_insert(table);
                        }
                    }
                }
            }
        }
        Scene {
            text,
            named,
            stored,
            scale,
            tables: Vec::new(),
            written: BTreeMap::new(),
            own_ends,
            ends: BTreeMap::new(),
            findings: Vec::new(),
        }
    }

    /// The words that stand at a place, as they are.
    pub(crate) fn words(&self, span: &Range<usize>) -> Words {
        let toml = self.text.get(span.clone()).unwrap_or_default().to_owned();
        Words { toml, of: span.clone(), as_written: true }
    }

    /// The units that some words are written in; metric where they belong to neither system.
    pub(crate) fn units(&self, span: &Range<usize>) -> Units {
        self.said_at(span).and_then(|text| Units::of_text(&text)).unwrap_or_default()
    }

    /// The text that is quoted at a place.
    pub(crate) fn said_at(&self, span: &Range<usize>) -> Option<String> {
        let words = self.text.get(span.clone())?.to_owned();
        KeySaid { key: String::new(), words, span: span.clone(), as_written: true }.text()
    }

    pub(crate) fn push(&mut self, table: OrdinaryTable) {
        let index = self.tables.len();
        if let Some(name) = &table.name {
            self.written.entry((table.kind, name.clone())).or_default().push(index);
        }
        if table.kind == "track" {
            for end in ["from", "to"] {
                if let Some(words) = table.text(end) {
                    self.ends.entry(words).or_insert((index, end));
                }
            }
        }
        self.tables.push(table);
    }

    pub(crate) fn tell(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// The name of a bus of the plan, to show how a line may read: one that carries track power, if there is one.
    fn first_bus(&self) -> Option<String> {
        let all = |kind: &'static str| self.named.keys().filter(move |(k, _)| *k == kind).map(|(_, name)| *name);
        let is_track_power = |bus: &&str| {
            let supply = self.said("bus", bus, "supply");
            let kind = supply.and_then(|supply| self.said("supply", &supply, "kind"));
            !kind.is_some_and(|kind| kind == "accessory" || kind == "dc")
        };
        let found = all("bus_run").next().or_else(|| all("bus").find(is_track_power)).or_else(|| all("bus").next());
        found.map(str::to_owned)
    }

    /// Tells something that a composite does not say.
    pub(crate) fn missing(&mut self, at: &Range<usize>, message: impl Into<String>, help: impl Into<String>) {
        self.tell(Finding::error("missing-key", Harm::Unclear, message).at(at.clone(), "does not say it").help(help));
    }

    /// Tells something that cannot be.
    pub(crate) fn wrong(&mut self, at: &Range<usize>, message: impl Into<String>, help: impl Into<String>) {
        self.tell(Finding::error("contradiction", Harm::Unclear, message).at(at.clone(), "cannot be").help(help));
    }

    /// Whether something of a kind has this name, in the plan or among what composites stand for.
    pub(crate) fn is(&self, kind: &str, name: &str) -> bool {
        self.named.contains_key(&(kind, name)) || self.written(kind, name).any(|table| !table.adds)
    }

    fn written(&self, kind: &str, name: &str) -> impl Iterator<Item = &OrdinaryTable> {
        let known = KINDS.iter().find(|known| **known == kind);
        let found = known.and_then(|kind| self.written.get(&(*kind, name.to_owned())));
        found.into_iter().flatten().map(|&index| &self.tables[index])
    }

    /// The text behind a key of something: what the builder says, else what a composite does.
    pub(crate) fn said(&self, kind: &str, name: &str, key: &str) -> Option<String> {
        let own = self.named.get(&(kind, name)).and_then(|table| text_of(table, key)).map(str::to_owned);
        own.or_else(|| self.written(kind, name).find_map(|table| table.text(key)))
    }

    /// A whole number behind a key of something that stands in the plan.
    pub(crate) fn count(&self, kind: &str, name: &str, key: &str) -> Option<u32> {
        match self.named.get(&(kind, name))?.get(key)?.get_ref() {
            DeValue::Integer(n) => u32::from_str_radix(n.as_str(), n.radix()).ok(),
            _ => None,
        }
    }

    /// A number behind a key of something that stands in the plan.
    pub(crate) fn number(&self, kind: &str, name: &str, key: &str) -> Option<f64> {
        match self.named.get(&(kind, name))?.get(key)?.get_ref() {
            DeValue::Integer(n) => n.as_str().parse().ok(),
            DeValue::Float(n) => n.as_str().parse().ok(),
            _ => None,
        }
    }

    /// The places on its bus under the two ends of a track.
    fn along(&self, track: &str) -> Option<(String, [Metres; 2])> {
        if let Some(DeValue::Table(along)) =
            self.named.get(&("track", track)).and_then(|table| table.get("along")).map(|a| a.get_ref())
        {
            let place = |key| quantity::parse::<Metres>(text_of(along, key)?).ok();
            return Some((text_of(along, "bus")?.to_owned(), [place("from")?, place("to")?]));
        }
        let line = format!("v = {}", self.written("track", track).find_map(|table| table.get("along"))?.toml);
        let parsed = DeTable::parse(&line).ok()?;
        let DeValue::Table(along) = parsed.get_ref().get("v")?.get_ref() else { return None };
        let place = |key| quantity::parse::<Metres>(text_of(along, key)?).ok();
        Some((text_of(along, "bus")?.to_owned(), [place("from")?, place("to")?]))
    }

    /// The end of a track that some words mean: `harbour lead.from`, or `harbour lead` for its `usual` end. None where they mean no
    /// track, which is told where `must`.
    pub(crate) fn leading(&mut self, said: &At<String>, usual: &'static str, must: bool) -> Option<LeadingEnd> {
        let words = said.value.as_str();
        let (track, end) = if self.is("track", words) {
            (words, usual)
        } else {
            match words.rsplit_once('.') {
                Some((track, "from")) if self.is("track", track) => (track, "from"),
                Some((track, "to")) if self.is("track", track) => (track, "to"),
                _ if must => {
                    let tracks = self.named.keys().filter(|key| key.0 == "track").map(|key| key.1);
                    let near = nearest(words, tracks).map(|near| format!("did you mean `{near}`?"));
                    let help = near.unwrap_or_else(|| "write the name of a track that stands above".to_owned());
                    self.tell(
                        Finding::error("no-such-name", Harm::Unclear, format!("there is no track `{}`", short(words)))
                            .at(said.span.clone(), "not found")
                            .help(help),
                    );
                    return None;
                }
                _ => return None,
            }
        };
        let (track, end) = (track.to_owned(), end);
        Some(self.end_of(&track, end))
    }

    fn end_of(&self, track: &str, end: &'static str) -> LeadingEnd {
        let [left, right] = ["left", "right"].map(|rail| self.said("track", track, rail));
        let along = self.along(track);
        // Looking off its `from` end one looks against it.
        let (conductors, along) = match end {
            "to" => ([left, right], along.map(|(bus, places)| (bus, places[1]))),
            _ => ([right, left], along.map(|(bus, places)| (bus, places[0]))),
        };
        LeadingEnd { track: track.to_owned(), end, conductors, along }
    }

    /// The end of a track that says it joins something.
    pub(crate) fn joined_at(&self, words: &str) -> Option<LeadingEnd> {
        if let Some((track, end)) = self.own_ends.get(words) {
            return Some(self.end_of(track, end));
        }
        let &(index, end) = self.ends.get(words)?;
        let track = self.tables[index].name.clone()?;
        Some(self.end_of(&track, end))
    }

    /// The conductors of the left and the right rail: as a composite says, else those of the track that leads to it. Tells it
    /// where there are none.
    pub(crate) fn conductors(
        &mut self,
        of: &str,
        said: [&Option<At<String>>; 2],
        leading: Option<&LeadingEnd>,
        place: &Range<usize>,
    ) -> Option<[String; 2]> {
        let found = [0, 1]
            .map(|side| said[side].as_ref().map(|s| s.value.clone()).or_else(|| leading?.conductors[side].clone()));
        if let [Some(left), Some(right)] = found {
            return Some([left, right]);
        }
        let side = if found[0].is_none() { "left" } else { "right" };
        let message = format!("nothing says what the {side} rails of `{of}` belong to");
        let bus = self.first_bus().unwrap_or_else(|| "main bus".to_owned());
        self.missing(place, message, format!(
            "say it here or at the track that leads here: `left = \"{bus}.A\"` and `right = \"{bus}.B\"`, or the other way round"
        ));
        None
    }

    /// Makes a track end at something: says so in its table where that says nothing.
    pub(crate) fn join(&mut self, leading: &LeadingEnd, to: &str, of: &Range<usize>) {
        match self.said("track", &leading.track, leading.end) {
            Some(said) if said == to => {}
            Some(said) => {
                let end = format!("{}.{}", leading.track, leading.end);
                self.tell(
                    Finding::error("ends-disagree", Harm::Unclear, format!("`{end}` says that it joins `{said}`"))
                        .at(of.clone(), "this says that it leads here")
                        .help(format!("leave its `{}` out, or write `{} = {}`", leading.end, leading.end, quoted(to))),
                );
            }
            None => {
                let mut table = OrdinaryTable::adding("track", &leading.track, of);
                table.set(leading.end, Words::text(to, of));
                self.push(table);
            }
        }
    }

    /// How far behind the far ends of a turnout vehicles on its two straight legs stand clear of each other, metres.
    pub(crate) fn clear_behind(&self, number: f64, tail: Option<Metres>) -> f64 {
        let Some(scale) = self.scale.or_else(|| scales::scale("OO")) else { return f64::INFINITY };
        let tail = tail.map_or(number * scale.gauge.value.si(), |t| t.si());
        scales::fouling_from_frog(scale, number).si() - tail
    }

    /// The length of a turnout of this frog number, from its points to its far ends.
    pub(crate) fn turnout_length(&self, number: f64, measured: [Option<Metres>; 2]) -> f64 {
        let [lead, tail] = measured;
        let scale = self.scale.or_else(|| scales::scale("OO"));
        let lead = lead.map(|l| l.si()).or_else(|| scale.map(|s| scales::turnout_lead(s, number).typical.si()));
        let tail = tail.map(|t| t.si()).or_else(|| scale.map(|s| number * s.gauge.value.si()));
        lead.unwrap_or(0.15) + tail.unwrap_or(0.1)
    }
}

/// A length as TOML, to the millimetre or the sixteenth of an inch. In metres from 0.2 m on, so that the middle of a track is read as
/// just that: 950 mm are not half of 1.9 m to the last bit.
pub(crate) fn length(units: Units, metres: f64) -> String {
    match units {
        Units::Metric if metres >= 0.2 => quoted(&format!("{} m", (metres * 1e3).round() / 1e3)),
        _ => quoted(&units.written(metres)),
    }
}

/// The name of the thing of a number: from a list, or from a pattern in which `#` is the number.
pub(crate) fn name_of(said: Option<&[At<String>]>, number: usize, usual: impl Fn(usize) -> String) -> String {
    match said {
        Some([pattern]) if pattern.value.contains('#') => pattern.value.replace('#', &number.to_string()),
        Some(list) => list.get(number - 1).map_or_else(|| usual(number), |name| name.value.clone()),
        None => usual(number),
    }
}

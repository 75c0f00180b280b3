//! Plans written anew, so that they say the same in other words.

mod split;
mod wires;

use handbook::quantity::{Metres, Units, parse};
use toml::{Table, Value};

/// A plan as TOML, to be changed.
#[derive(Clone, Debug)]
pub struct Rewrite(Table);

/// A piece of one rail between two gaps that its own conductor feeds already.
#[derive(Clone, Debug)]
pub struct FedPiece {
    track: usize,
    side: &'static str,
    /// Where it starts, metres from the track's start.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Where it is fed already.
    pub fed: f64,
}

fn metres(text: &str) -> f64 {
    parse::<Metres>(text).unwrap_or_else(|e| panic!("{text}: {e:?}")).0
}

fn text_of(value: &Value) -> &str {
    value.as_str().expect("words")
}

fn other_side(side: &str) -> &'static str {
    if side == "left" { "right" } else { "left" }
}

/// The place of a feeder, gap, slide or joint: alone, or in a table with its rail.
fn place(item: &Value) -> (f64, Option<&str>) {
    match item {
        Value::Table(t) => (metres(text_of(&t["at"])), t.get("rail").map(text_of)),
        alone => (metres(text_of(alone)), None),
    }
}

fn items<'t>(track: &'t Table, key: &str) -> &'t [Value] {
    track.get(key).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

/// Every string of a value, with the key it stands behind.
fn each_text(value: &mut Value, change: &mut dyn FnMut(&mut String)) {
    match value {
        Value::String(text) => change(text),
        Value::Array(items) => items.iter_mut().for_each(|v| each_text(v, change)),
        Value::Table(table) => table.iter_mut().for_each(|(_, v)| each_text(v, change)),
        _ => {}
    }
}

impl Rewrite {
    /// A plan's text.
    pub fn from_text(text: &str) -> Rewrite {
        Rewrite(text.parse().expect("a demo plan is TOML"))
    }

    /// The plan as it stands now.
    pub fn text(&self) -> String {
        self.0.to_string()
    }

    /// How many tracks it has.
    pub fn tracks(&self) -> usize {
        self.0["track"].as_array().map_or(0, Vec::len)
    }

    fn track(&self, index: usize) -> &Table {
        self.0["track"][index].as_table().expect("a track is a table")
    }

    fn track_mut(&mut self, index: usize) -> &mut Table {
        let tracks = self.0.get_mut("track").and_then(Value::as_array_mut).expect("tracks");
        tracks[index].as_table_mut().expect("a track is a table")
    }

    /// Every string but those of the layout itself, which name nothing.
    fn each_text(&mut self, change: &mut dyn FnMut(&mut String)) {
        for (_, value) in self.0.iter_mut().filter(|(key, _)| !matches!(key.as_str(), "layout" | "room" | "base")) {
            each_text(value, change);
        }
    }

    /// The same, less what stands behind keys that take words of the language: a thing may be called `right`.
    fn each_reference(&mut self, change: &mut dyn FnMut(&mut String)) {
        fn each(value: &mut Value, change: &mut dyn FnMut(&mut String)) {
            match value {
                Value::Table(table) => {
                    let words = |key: &str| {
                        matches!(
                            key,
                            "rail"
                                | "hand"
                                | "wiring"
                                | "kind"
                                | "live"
                                | "joint"
                                | "opens"
                                | "frogs"
                                | "phases"
                                | "held"
                        )
                    };
                    table.iter_mut().filter(|(key, _)| !words(key)).for_each(|(_, v)| each(v, change));
                }
                Value::Array(items) => items.iter_mut().for_each(|v| each(v, change)),
                other => each_text(other, change),
            }
        }
        for (_, value) in self.0.iter_mut().filter(|(key, _)| !matches!(key.as_str(), "layout" | "room" | "base")) {
            each(value, change);
        }
    }

    /// Takes what a track says under a key away from the first track, from this one on, that says it.
    pub fn forget(&mut self, track: usize, key: &str) {
        let count = self.tracks();
        if let Some(index) = (0..count).map(|k| (track + k) % count).find(|&t| self.track(t).contains_key(key)) {
            self.track_mut(index).remove(key);
        }
    }

    /// The conductors of a track's rails exchanged.
    pub fn exchange(&mut self, track: usize) {
        let count = self.tracks();
        let both = |t: &Table| t.contains_key("left") && t.contains_key("right");
        if let Some(index) = (0..count).map(|k| (track + k) % count).find(|&t| both(self.track(t))) {
            exchange_keys(self.track_mut(index), "left", "right");
        }
    }

    /// The two wires of a motor's first contact exchanged.
    pub fn exchange_contact(&mut self, motor: usize) {
        let motors = self.0.get_mut("motor").and_then(Value::as_array_mut).expect("motors");
        let count = motors.len();
        let contact = motors[motor % count]["contact"][0].as_table_mut().expect("a contact");
        exchange_keys(contact, "through", "diverging");
        exchange_keys(contact, "left", "right");
    }

    /// Names of all things, with their kinds, in the order of the text.
    fn names(&self) -> Vec<(String, String)> {
        let lists = self.0.iter().filter_map(|(kind, v)| Some((kind, v.as_array()?)));
        lists.flat_map(|(kind, list)| list.iter().map(|t| (kind.clone(), text_of(&t["name"]).to_owned()))).collect()
    }

    /// A new name for each thing, from its old one and its number.
    pub fn rename(&mut self, mut new: impl FnMut(&str, usize) -> String) {
        let names: Vec<(String, String)> =
            self.names().into_iter().enumerate().map(|(i, (_, old))| (old.clone(), new(&old, i))).collect();
        self.replace_names(&names);
    }

    /// The names of each kind of thing handed on by so many places.
    pub fn hand_names_round(&mut self, by: usize) {
        let names = self.names();
        let pairs: Vec<(String, String)> = names
            .iter()
            .enumerate()
            .map(|(i, (kind, old))| {
                let same: Vec<usize> = (0..names.len()).filter(|&j| names[j].0 == *kind).collect();
                let at = same.iter().position(|&j| j == i).expect("it is one of them");
                (old.clone(), names[same[(at + by) % same.len()]].1.clone())
            })
            .collect();
        self.replace_names(&pairs);
    }

    fn replace_names(&mut self, names: &[(String, String)]) {
        self.each_reference(&mut |text| {
            let named = names
                .iter()
                .filter(|(old, _)| {
                    text.strip_prefix(old.as_str()).is_some_and(|r| r.is_empty() || r.starts_with(['.', ' ']))
                })
                .max_by_key(|(old, _)| old.len());
            // `road 1` is no part of `road 12`, and `yard lead` none of `yard lead.from`'s end.
            if let Some((old, new)) = named
                && (text.len() == old.len()
                    || text[old.len()..].starts_with('.')
                    || text[old.len()..].starts_with(" @")
                    || is_position(&text[old.len()..]))
            {
                *text = format!("{new}{}", &text[old.len()..]);
            }
        });
    }

    /// Writes out the joints that a stock length means.
    pub fn spell_out_stock(&mut self, index: usize) {
        let layout = self.0["layout"].get("joint").map_or("sliding", text_of).to_owned();
        let track = self.track_mut(index);
        let Some(stock) = track.remove("stock") else { return };
        let (stock, length) = (metres(text_of(&stock)), metres(text_of(&track["length"])));
        let kind = track.get("joint").map_or(layout, |j| text_of(j).to_owned());
        let joints = track.entry("joints").or_insert(Value::Array(Vec::new())).as_array_mut().expect("a list");
        let mut at = stock;
        while at < length - 1e-5 {
            let mut joint = Table::new();
            joint.insert("at".to_owned(), Value::String(format!("{at:.12} m")));
            joint.insert("kind".to_owned(), Value::String(kind.clone()));
            joints.push(Value::Table(joint));
            at += stock;
        }
    }

    /// The tables of each kind, and the items of lists whose order means nothing, in another order.
    pub fn shuffle(&mut self, seed: u64) {
        fn shuffled(list: &mut [Value], seed: &mut u64) {
            for last in (1..list.len()).rev() {
                // A linear congruence with the multiplier of a table in print (Knuth, MMIX).
                *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                list.swap(last, (*seed >> 33) as usize % (last + 1));
            }
        }
        let mut seed = seed;
        for (kind, value) in self.0.iter_mut() {
            for table in value.as_array_mut().into_iter().flatten() {
                for key in ["feeders", "gaps", "slides", "joints", "moves"] {
                    let list = table.get_mut(key).and_then(Value::as_array_mut);
                    list.into_iter().for_each(|list| shuffled(list, &mut seed));
                }
            }
            // Motors and relays keep theirs only in that contacts have numbers.
            if !matches!(kind.as_str(), "layout" | "storage" | "room" | "base") {
                value.as_array_mut().into_iter().for_each(|list| shuffled(list, &mut seed));
            }
        }
    }

    /// Every length in inches, and every place too; the plan says in which units it wants its answers, those of before.
    pub fn in_inches(&mut self) {
        let answers = if plan::read(&self.text()).plan.units() == Units::Metric { "metric" } else { "imperial" };
        if let Some(layout) = self.0.get_mut("layout").and_then(Value::as_table_mut) {
            layout.entry("units").or_insert_with(|| Value::String(answers.to_owned()));
        }
        let inches = |text: &str| parse::<Metres>(text).ok().map(|m| format!("{:.15} in", m.0 / 0.0254));
        self.each_text(&mut |text| {
            if let Some((front, at)) = text.split_once(" @ ") {
                if let Some(at) = inches(at) {
                    *text = format!("{front} @ {at}");
                }
            } else if let Some(length) = inches(text) {
                *text = length;
            }
        });
    }

    /// A track written from its other end.
    pub fn turn(&mut self, index: usize) {
        self.spell_out_stock(index);
        let track = self.track_mut(index);
        let name = text_of(&track["name"]).to_owned();
        let length = metres(text_of(&track["length"]));
        let mirrored = |at: f64| format!("{:.12} m", (length - at).max(0.0));
        exchange_keys(track, "from", "to");
        exchange_keys(track, "left", "right");
        if let Some(along) = track.get_mut("along").and_then(Value::as_table_mut) {
            exchange_keys(along, "from", "to");
        }
        if let Some(held) = track.get_mut("held") {
            each_text(held, &mut |end| *end = if end == "from" { "to" } else { "from" }.to_owned());
        }
        for key in ["feeders", "gaps", "slides", "joints"] {
            for item in track.get_mut(key).and_then(Value::as_array_mut).into_iter().flatten() {
                let at = mirrored(place(item).0);
                match item {
                    Value::Table(t) => {
                        t.insert("at".to_owned(), Value::String(at));
                        if let Some(rail) = t.get_mut("rail") {
                            *rail = Value::String(other_side(text_of(rail)).to_owned());
                        }
                    }
                    alone => *alone = Value::String(at),
                }
            }
        }
        // Whoever speaks of an end or a place of it.
        self.each_text(&mut |text| {
            let Some(rest) = text.strip_prefix(&name).and_then(|r| r.strip_prefix('.')) else { return };
            let new = match (rest, rest.split_once(" @ ")) {
                ("from", _) => "to".to_owned(),
                ("to", _) => "from".to_owned(),
                (_, Some((side, at))) => format!("{} @ {}", other_side(side), mirrored(metres(at))),
                _ => return,
            };
            *text = format!("{name}.{new}");
        });
    }

    /// Left for right, everywhere.
    pub fn mirror(&mut self) {
        fn keys(value: &mut Value) {
            match value {
                Value::Array(items) => items.iter_mut().for_each(keys),
                Value::Table(table) => {
                    exchange_keys(table, "left", "right");
                    table.iter_mut().for_each(|(_, v)| keys(v));
                }
                _ => {}
            }
        }
        // Places on a panel are counted from its left edge, whatever lies behind it.
        self.0.iter_mut().filter(|(key, _)| *key != "panel").for_each(|(_, v)| keys(v));
        self.each_text(&mut |text| exchange_words(text, ["left", "right"]));
        // The first position of a wye turnout is `left`, the other one now: what follows it stands the other way round.
        for reverser in self.followers_of_wyes() {
            self.each_text(&mut |text| {
                if text.strip_prefix(reverser.as_str()).is_some_and(|rest| rest.starts_with('.')) {
                    exchange_words(text, ["A", "B"]);
                }
            });
        }
    }

    /// Reversers that follow a motor which moves a wye turnout.
    fn followers_of_wyes(&self) -> Vec<String> {
        let list = |kind: &str| self.0.get(kind).and_then(Value::as_array).into_iter().flatten();
        let says = |table: &Value, key: &str| table.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
        let wyes: Vec<String> = list("turnout").filter(|t| says(t, "hand") == "wye").map(|t| says(t, "name")).collect();
        let motors: Vec<String> =
            list("motor").filter(|m| wyes.contains(&says(m, "moves"))).map(|m| says(m, "name")).collect();
        let follow = list("reverser").filter(|r| motors.contains(&says(r, "follows")));
        follow.map(|r| says(r, "name")).collect()
    }

    /// Conductor A for conductor B, everywhere.
    pub fn exchange_poles(&mut self) {
        self.each_text(&mut |text| {
            // Alone, it is the pole that a sub-breaker opens.
            if text.contains('.') || matches!(text.as_str(), "A" | "B") {
                exchange_words(text, ["A", "B"]);
            }
        });
    }

    /// Pieces of rail with a feeder, or with a contact's wire from the rail's own conductor, between the gaps around it.
    pub fn fed_pieces(&self) -> Vec<FedPiece> {
        let mut wired: Vec<String> = Vec::new();
        self.clone().each_text(&mut |text| wired.push(text.clone()));
        let mut pieces = Vec::new();
        for index in 0..self.tracks() {
            let track = self.track(index);
            let length = metres(text_of(&track["length"]));
            for side in ["left", "right"].into_iter().filter(|side| track.contains_key(*side)) {
                let on_side = |item: &&Value| place(item).1.is_none_or(|rail| rail == side);
                let places =
                    |key: &str| items(track, key).iter().filter(on_side).map(|i| place(i).0).collect::<Vec<_>>();
                let rail = format!("{}.{side} @ ", text_of(&track["name"]));
                let mut fed = places("feeders");
                fed.extend(wired.iter().filter_map(|text| text.strip_prefix(&rail)).map(metres));
                let gaps = places("gaps");
                for at in fed {
                    let from = gaps.iter().copied().filter(|g| *g < at).fold(0.0, f64::max);
                    let to = gaps.iter().copied().filter(|g| *g > at).fold(length, f64::min);
                    // A little off the gaps, so that it is clear which side is meant.
                    pieces.push(FedPiece { track: index, side, from: from + 1e-3, to: to - 1e-3, fed: at });
                }
            }
        }
        pieces
    }

    /// One more feeder, from the rail's own conductor.
    pub fn add_feeder(&mut self, piece: &FedPiece, at: f64) {
        let mut feeder = Table::new();
        feeder.insert("at".to_owned(), Value::String(format!("{at:.6} m")));
        feeder.insert("rail".to_owned(), Value::String(piece.side.to_owned()));
        let track = self.track_mut(piece.track);
        let feeders = track.entry("feeders").or_insert(Value::Array(Vec::new()));
        feeders.as_array_mut().expect("a list").push(Value::Table(feeder));
    }
}

/// Whether what stands behind a name is a position of it: ` diverging`.
fn is_position(behind: &str) -> bool {
    let words = ["through", "diverging", "left", "right", "off", "on", "centre"];
    behind.strip_prefix(' ').is_some_and(|word| words.contains(&word))
}

fn exchange_keys(table: &mut Table, one: &str, other: &str) {
    let (a, b) = (table.remove(one), table.remove(other));
    for (key, value) in [(one, b), (other, a)] {
        if let Some(value) = value {
            table.insert(key.to_owned(), value);
        }
    }
}

/// A text that is one of two words, or a reference that ends in one (before its place).
fn exchange_words(text: &mut String, words: [&str; 2]) {
    let (head, at) = match text.split_once(" @ ") {
        Some((head, at)) => (head, format!(" @ {at}")),
        None => (text.as_str(), String::new()),
    };
    let (front, word) = match head.rsplit_once('.') {
        Some((name, word)) => (format!("{name}."), word),
        None => (String::new(), head),
    };
    // `left frog` is a frog's name.
    let (word, frog) = word.strip_suffix(" frog").map_or((word, ""), |word| (word, " frog"));
    if let Some(which) = words.iter().position(|w| *w == word) {
        *text = format!("{front}{}{frog}{at}", words[1 - which]);
    }
}

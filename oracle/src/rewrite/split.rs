//! One track written as two.

use super::{Rewrite, items, metres, place, text_of};
use toml::{Table, Value};

impl Rewrite {
    /// A track cut in two by a soldered joint at a share of its length, where that leaves everything else what it was: it is no
    /// storage track, and nobody speaks of a place on it. Whether it could be.
    pub fn split(&mut self, index: usize, share: f64) -> bool {
        self.spell_out_stock(index);
        let name = text_of(&self.track(index)["name"]).to_owned();
        let mut spoken_of = self.0.contains_key("reverser") || self.0.contains_key("train");
        let ends = [format!("{name}.from"), format!("{name}.to")];
        let whole = self.track(index).clone();
        self.clone().each_text(&mut |text| {
            let of = text.strip_prefix(&name).is_some_and(|rest| rest.starts_with(" @") || rest.starts_with('.'));
            spoken_of |= of && !ends.contains(text);
        });
        let stored = self
            .0
            .get("storage")
            .is_some_and(|s| items(s.as_table().expect("a table"), "tracks").iter().any(|t| text_of(t) == name));
        let length = metres(text_of(&whole["length"]));
        let at = share * length;
        let near = |key: &str| items(&whole, key).iter().any(|item| (place(item).0 - at).abs() < 1e-3);
        let other_words = ["along", "stands", "curves", "grades", "held"].iter().any(|key| whole.contains_key(*key));
        if spoken_of || stored || other_words || ["feeders", "gaps", "slides", "joints"].into_iter().any(near) {
            return false;
        }
        let behind = format!("{name} on");
        let to = text_of(&whole["to"]).to_owned();
        let mut halves = [whole.clone(), whole];
        for (half, table) in halves.iter_mut().enumerate() {
            for key in ["feeders", "gaps", "slides", "joints"] {
                let Some(list) = table.get_mut(key).and_then(Value::as_array_mut) else { continue };
                list.retain(|item| (place(item).0 > at) == (half == 1));
                for item in list.iter_mut().filter(|_| half == 1) {
                    let there = Value::String(format!("{:.15} m", place(item).0 - at));
                    match item {
                        Value::Table(t) => drop(t.insert("at".to_owned(), there)),
                        alone => *alone = there,
                    }
                }
            }
        }
        let joint = |x: f64| {
            let mut joint = Table::new();
            joint.insert("at".to_owned(), Value::String(format!("{x:.15} m")));
            joint.insert("kind".to_owned(), Value::String("soldered".to_owned()));
            Value::Table(joint)
        };
        let [first, second] = &mut halves;
        let say = |table: &mut Table, key: &str, text: String| drop(table.insert(key.to_owned(), Value::String(text)));
        say(first, "to", format!("{behind}.from"));
        say(first, "length", format!("{at:.15} m"));
        say(second, "name", behind.clone());
        say(second, "from", format!("{name}.to"));
        say(second, "length", format!("{:.15} m", length - at));
        for (table, x) in [(&mut *first, at), (&mut *second, 0.0)] {
            let joints = table.entry("joints").or_insert(Value::Array(Vec::new())).as_array_mut().expect("a list");
            joints.push(joint(x));
        }
        // Who met its `to` end meets that of the second half; a ring of one track is closed by the two halves.
        self.each_text(&mut |text| {
            if *text == format!("{name}.to") {
                *text = format!("{behind}.to");
            }
        });
        let closed = |end: &str| if end == format!("{name}.to") { format!("{behind}.to") } else { end.to_owned() };
        let [mut first, mut second] = halves;
        let from = closed(text_of(&first["from"]));
        first.insert("from".to_owned(), Value::String(from));
        second.insert("to".to_owned(), Value::String(closed(&to)));
        let tracks = self.0.get_mut("track").and_then(Value::as_array_mut).expect("tracks");
        tracks[index] = Value::Table(first);
        tracks.push(Value::Table(second));
        // Both halves lie on the board that held the whole.
        for board in self.0.get_mut("board").and_then(Value::as_array_mut).into_iter().flatten() {
            let holds = board.get_mut("holds").and_then(Value::as_array_mut).into_iter();
            for held in holds.filter(|held| held.iter().any(|thing| text_of(thing) == name)) {
                held.push(Value::String(behind.clone()));
            }
        }
        true
    }
}

//! Plans that look like ladders, of any number of turnouts: for benchmarks, and for checks of how the
//! work grows. They are right by construction.

use std::fmt::Write;

/// How a long plan is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LadderShape {
    /// One ladder; every road is live at all times.
    Ladder,
    /// One ladder; each road is live only while it is lined, by a tree of contacts. The condition of the
    /// last road names every turnout, so that what is to be written down grows with the square.
    LadderWithTree,
    /// A main line with a yard off it every metre or so, each a ladder of eight turnouts behind the one by
    /// which it leaves the main line.
    Yards,
    /// A ladder at either end of every two roads, and a loop line: trains come back by either side.
    DoubleEnded,
}

/// Turnouts of a yard off the main line: the one on the main line and a ladder of eight.
const YARD: usize = 9;

/// The text of a plan of this shape with about so many turnouts.
pub fn plan(shape: LadderShape, turnouts: usize) -> String {
    let mut text = LadderText {
        text: String::from(
            "[layout]\nname = \"long\"\nscale = \"N\"\n[[supply]]\nname = \"S\"\nvoltage = \"15 V\"\n\
         trips = { at = \"4 A\" }\n[[bus]]\nname = \"b\"\nsupply = \"S\"\nwire = \"6 mm²\"\nlength = \"40 m\"\n",
        ),
        tracks: 0,
    };
    match shape {
        LadderShape::Ladder | LadderShape::LadderWithTree => {
            let tree = shape == LadderShape::LadderWithTree;
            text.track("lead", "beyond", "L1.points", &[], FedRails::Both);
            text.ladder("", turnouts, tree);
            if tree {
                let roads: Vec<String> = (1..=turnouts + 1).map(|k| format!("\"road {k}\"")).collect();
                let _ = write!(text.text, "[storage]\ntracks = [{}]\nlive = \"lined\"\n", roads.join(", "));
            }
        }
        LadderShape::Yards => {
            let yards = turnouts.div_ceil(YARD).max(1);
            let mut start = "beyond".to_owned();
            for yard in 1..=yards {
                let gaps: &[&str] = if yard == 1 { &[] } else { &["left"] };
                text.track(&format!("main {yard}"), &start, &format!("E{yard}.points"), gaps, FedRails::Both);
                text.turnout(&format!("E{yard}"), None);
                text.track(
                    &format!("lead {yard}"),
                    &format!("E{yard}.diverging"),
                    &format!("Y{yard}-L1.points"),
                    &["right"],
                    FedRails::Both,
                );
                text.ladder(&format!("Y{yard}-"), YARD - 1, false);
                start = format!("E{yard}.through");
            }
            text.track("main end", &start, "beyond", &["left"], FedRails::Both);
        }
        LadderShape::DoubleEnded => text.double_ended(turnouts.div_ceil(2).max(1)),
    }
    text.text
}

/// Which rails have feeders from the bus.
#[derive(Clone, Copy, PartialEq)]
enum FedRails {
    Both,
    Left,
}

struct LadderText {
    text: String,
    tracks: usize,
}

impl LadderText {
    /// Half a metre with A on its left rail; gaps near its start.
    fn track(&mut self, name: &str, from: &str, to: &str, gaps: &[&str], fed: FedRails) {
        let gaps: Vec<String> = gaps.iter().map(|side| format!("{{ at = \"40 mm\", rail = \"{side}\" }}")).collect();
        self.any_track(name, from, to, &gaps.join(", "), fed);
    }

    fn any_track(&mut self, name: &str, from: &str, to: &str, gaps: &str, fed: FedRails) {
        let feeders = if fed == FedRails::Both { "\"0.3 m\"" } else { "{ at = \"0.3 m\", rail = \"left\" }" };
        // Tracks lie one behind the other along the bus, and begin again where it ends.
        let tenth = self.tracks % 390;
        self.tracks += 1;
        let along = format!(
            "{{ bus = \"b\", from = \"{}.{} m\", to = \"{}.{} m\" }}",
            tenth / 10,
            tenth % 10,
            (tenth + 5) / 10,
            (tenth + 5) % 10
        );
        let _ = write!(
            self.text,
            "[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"0.5 m\"\nleft = \"b.A\"\n\
             right = \"b.B\"\nalong = {along}\nfeeders = [{feeders}]\ngaps = [{gaps}]\n"
        );
    }

    /// A left-hand turnout with a live frog, and a second contact of its motor.
    fn turnout(&mut self, name: &str, second: Option<String>) {
        let second = second.map_or(String::new(), |s| format!(", {s}"));
        let _ = write!(
            self.text,
            "[[turnout]]\nname = \"{name}\"\nhand = \"left\"\nwiring = \"live-bonded\"\n[[motor]]\n\
             name = \"M{name}\"\nmoves = \"{name}\"\ncontact = [{{ common = \"{name}.frog\", through = \"b.A\", \
             diverging = \"b.B\" }}{second}]\n"
        );
    }

    /// A ladder that goes on by the through legs, with a road off each diverging one and one at its end.
    fn ladder(&mut self, prefix: &str, turnouts: usize, tree: bool) {
        let fed = if tree { FedRails::Left } else { FedRails::Both };
        for k in 1..=turnouts {
            let last = k == turnouts;
            let onward =
                if last { format!("{prefix}road {}.right @ 0.3 m", k + 1) } else { format!("ML{}.2.common", k + 1) };
            let common = if k == 1 { "common = \"b.B\", " } else { "" };
            let second =
                format!("{{ {common}diverging = \"{prefix}road {k}.right @ 0.3 m\", through = \"{onward}\" }}");
            self.turnout(&format!("{prefix}L{k}"), tree.then_some(second));
            self.track(&format!("{prefix}road {k}"), &format!("{prefix}L{k}.diverging"), "buffer", &["right"], fed);
            let through = format!("{prefix}L{k}.through");
            if last {
                let gaps: &[&str] = if tree { &["left", "right"] } else { &["left"] };
                self.track(&format!("{prefix}road {}", k + 1), &through, "buffer", gaps, fed);
            } else {
                self.track(
                    &format!("{prefix}step {k}"),
                    &through,
                    &format!("{prefix}L{}.points", k + 1),
                    &["left"],
                    FedRails::Both,
                );
            }
        }
    }

    /// West ladder and east ladder over the same roads, and a line from one lead to the other.
    fn double_ended(&mut self, half: usize) {
        // The loop line joins both leads; it is gapped nowhere, since left is A all round.
        self.any_track("loop line", "E1.points", "W1.points", "", FedRails::Both);
        for k in 1..=half {
            // Seen from the east ladder's points A is on the right, so its turnouts are right-hand to match the west's.
            self.turnout(&format!("W{k}"), None);
            let _ = write!(
                self.text,
                "[[turnout]]\nname = \"E{k}\"\nhand = \"right\"\nwiring = \"live-bonded\"\n[[motor]]\n\
                 name = \"ME{k}\"\nmoves = \"E{k}\"\ncontact = [{{ common = \"E{k}.frog\", through = \"b.A\", \
                 diverging = \"b.B\" }}]\n"
            );
            let both = |side: &str| {
                format!("{{ at = \"40 mm\", rail = \"{side}\" }}, {{ at = \"460 mm\", rail = \"{side}\" }}")
            };
            let road = format!("road {k}");
            self.any_track(
                &road,
                &format!("W{k}.diverging"),
                &format!("E{k}.diverging"),
                &both("right"),
                FedRails::Both,
            );
            let (west, east) = (format!("W{k}.through"), format!("E{k}.through"));
            if k == half {
                self.any_track("last road", &west, &east, &both("left"), FedRails::Both);
            } else {
                self.track(&format!("west {k}"), &west, &format!("W{}.points", k + 1), &["left"], FedRails::Both);
                let gap = "{ at = \"460 mm\", rail = \"left\" }";
                self.any_track(&format!("east {k}"), &format!("E{}.points", k + 1), &east, gap, FedRails::Both);
            }
        }
    }
}

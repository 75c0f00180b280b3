//! A plan as large as a museum's: double track through many places, each with a crossover, a yard of stub roads and
//! one with a ladder at either end. Right by construction; faults can be planted in it, evenly spread.

use std::fmt::Write;

/// Turnouts of one place.
pub const TURNOUTS: usize = 20;
/// Places of the whole museum: 16 km of track, 10,000 feeders (each to both rails), 1,000 turnouts.
pub const PLACES: usize = 50;

/// What is wrong with the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Faults {
    /// Nothing.
    None,
    /// Every so many-th gap is not there.
    GapsMissing(usize),
    /// Every so many-th feeder has its two wires exchanged.
    FeedersCrossed(usize),
}

/// The text of a plan of so many places. Each has 320 m of track, 200 feeders, 20 turnouts, a booster and three
/// sub-breakers: of the up line, of the down line, and of both yards.
pub fn plan(places: usize, faults: Faults) -> String {
    let head = "[layout]\nname = \"museum\"\nscale = \"HO\"\njoint = \"soldered\"\nfeeder_wire = \"1 mm²\"\n\
                [[train]]\nname = \"express\"\nlength = \"3 m\"\ndraws = { running = \"0.8 A\" }\n";
    let mut text = MuseumText { text: head.to_owned(), faults, gaps: 0, feeders: 0 };
    for place in 1..=places {
        text.power(place);
        text.up_line(place, places);
        text.down_line(place, places);
        text.crossover(place);
        text.stub_yard(place);
        text.double_ended_yard(place);
    }
    text.text
}

struct MuseumText {
    text: String,
    faults: Faults,
    gaps: usize,
    feeders: usize,
}

/// Where a gap is cut: 0 to 1 for left and right, 2 for both; millimetres from a track's start.
type Gap = (usize, u32);
/// A part of a line: its name, its ends, length, feeders, where it starts along its bus, gaps.
type Part<'p> = (&'p str, [&'p str; 2], u32, u32, u32, &'p [Gap]);
const LEFT: usize = 0;
const RIGHT: usize = 1;
const BOTH: usize = 2;

/// A track: its name, its ends, length in millimetres, number of feeders.
struct MuseumTrack<'t> {
    name: &'t str,
    ends: [&'t str; 2],
    length: u32,
    feeders: u32,
    /// Its bus, and where it starts along it in millimetres.
    along: (&'t str, u32),
    gaps: &'t [Gap],
    stock: bool,
}

/// A track without stock length, whose rails come in one piece.
fn yard<'t>(
    (bus, start): (&'t str, u32),
    name: &'t str,
    ends: [&'t str; 2],
    (length, feeders): (u32, u32),
    gaps: &'t [Gap],
) -> MuseumTrack<'t> {
    MuseumTrack { name, ends, length, feeders, along: (bus, start), gaps, stock: false }
}

impl MuseumText {
    fn power(&mut self, p: usize) {
        let _ = write!(
            self.text,
            "[[supply]]\nname = \"booster {p}\"\nvoltage = \"15 V\"\ntrips = {{ at = \"8 A\", after = \"500 ms\" }}\n"
        );
        for (district, length) in [("up", 100), ("down", 92), ("yard", 20)] {
            let _ = write!(
                self.text,
                "[[supply]]\nname = \"{district} breaker {p}\"\nbehind = \"booster {p}\"\ntrips = {{ at = \"3 A\", \
                 after = \"20 ms\" }}\n[[bus]]\nname = \"{district} {p}\"\nsupply = \"{district} breaker {p}\"\n\
                 wire = \"6 mm²\"\npair = \"twisted\"\nlength = \"{length} m\"\n"
            );
        }
    }

    fn track(&mut self, track: &MuseumTrack<'_>) {
        let MuseumTrack { name, ends: [from, to], length, along: (bus, start), .. } = track;
        let _ = write!(
            self.text,
            "[[track]]\nname = \"{name} track\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"{length} mm\"\n\
             left = \"{bus}.A\"\nright = \"{bus}.B\"\nalong = {{ bus = \"{bus}\", from = \"{start} mm\", to = \"{} mm\" \
             }}\nfeeders = [",
            start + length
        );
        for feeder in 0..track.feeders {
            self.feeders += 1;
            let at = length * (2 * feeder + 1) / (2 * track.feeders);
            let crossed = matches!(self.faults, Faults::FeedersCrossed(every) if self.feeders.is_multiple_of(every));
            let _ = if crossed {
                write!(
                    self.text,
                    "{{ at = \"{at} mm\", rail = \"left\", to = \"{bus}.B\" }}, {{ at = \"{at} mm\", rail = \
                     \"right\", to = \"{bus}.A\" }}, "
                )
            } else {
                write!(self.text, "\"{at} mm\", ")
            };
        }
        self.text.push_str("]\ngaps = [");
        for &(side, at) in track.gaps {
            self.gaps += 1;
            if matches!(self.faults, Faults::GapsMissing(every) if self.gaps.is_multiple_of(every)) {
                continue;
            }
            let _ = match side {
                BOTH => write!(self.text, "\"{at} mm\", "),
                _ => write!(self.text, "{{ at = \"{at} mm\", rail = \"{}\" }}, ", ["left", "right"][side]),
            };
        }
        self.text.push_str(if track.stock { "]\nstock = \"914 mm\"\n" } else { "]\n" });
    }

    /// A turnout with a live frog; `through` is the pole of its frog when it is set through.
    fn turnout(&mut self, name: &str, hand: &str, bus: &str, through: &str) {
        let _ = write!(
            self.text,
            "[[turnout]]\nname = \"{name}\"\nhand = \"{hand}\"\nwiring = \"live-bonded\"\n[[motor]]\nname = \"M {name}\"\n\
             moves = \"{name}\"\ncontact = [{}]\n",
            frog(name, bus, through)
        );
    }

    fn up_line(&mut self, p: usize, places: usize) {
        let bus = &format!("up {p}");
        let before = neighbour(p > 1, &format!("up {} c track.to", p.wrapping_sub(1)));
        let after = neighbour(p < places, &format!("up {} a track.from", p + 1));
        let name = |part: &str| format!("up {p} {part}");
        let boundary: &[Gap] = if p > 1 { &[(BOTH, 40)] } else { &[] };
        self.track(&MuseumTrack {
            stock: true,
            ..yard((bus, 0), &name("a"), [&before, &format!("E{p}.points")], (30_000, 20), boundary)
        });
        self.turnout(&format!("E{p}"), "left", bus, "A");
        let ends = [&*format!("E{p}.through"), &*format!("TU{p}.points")];
        self.track(&MuseumTrack { stock: true, ..yard((bus, 30_000), &name("b"), ends, (30_000, 20), &[(LEFT, 40)]) });
        self.track(&MuseumTrack {
            stock: true,
            ..yard((bus, 60_000), &name("c"), [&format!("TU{p}.through"), &after], (38_000, 20), &[(RIGHT, 40)])
        });
    }

    fn down_line(&mut self, p: usize, places: usize) {
        let bus = &format!("down {p}");
        let before = neighbour(p > 1, &format!("down {} d track.to", p.wrapping_sub(1)));
        let after = neighbour(p < places, &format!("down {} a track.from", p + 1));
        let boundary: &[Gap] = if p > 1 { &[(BOTH, 40)] } else { &[] };
        let ends = |from: &str, to: &str| [format!("{from}{p}.{}", "points"), format!("{to}{p}.through")];
        let [east, crossover] = ends("DE", "TD");
        let [a, b, c, d] = ["a", "b", "c", "d"].map(|part| format!("down {p} {part}"));
        let parts: [Part<'_>; 4] = [
            (&a, [&before, &format!("DW{p}.points")], 20_000, 12, 0, boundary),
            (
                &b,
                [&format!("DW{p}.through"), &format!("DE{p}.through")],
                22_000,
                14,
                20_000,
                &[(RIGHT, 40), (RIGHT, 21_960)],
            ),
            (&c, [&east, &crossover], 20_000, 12, 42_000, &[(LEFT, 19_960)]),
            (&d, [&format!("TD{p}.points"), &after], 27_900, 19, 62_000, &[]),
        ];
        for (name, ends, length, feeders, start, gaps) in parts {
            self.track(&MuseumTrack { name, ends, length, feeders, along: (bus, start), gaps, stock: true });
        }
        // The yard lies to the south: to the right of who comes from the west, to the left of who comes from the east.
        self.turnout(&format!("DW{p}"), "right", bus, "B");
        self.turnout(&format!("DE{p}"), "left", bus, "B");
    }

    /// Both rails gapped in its middle; each half is fed by its own turnout.
    fn crossover(&mut self, p: usize) {
        for name in [format!("TU{p}"), format!("TD{p}")] {
            let _ = write!(
                self.text,
                "[[turnout]]\nname = \"{name}\"\nnumber = 8\nhand = \"right\"\nwiring = \"live-bonded\"\n"
            );
        }
        let _ = write!(
            self.text,
            "[[motor]]\nname = \"MX{p}\"\nmoves = [\"TU{p}\", \"TD{p}\"]\ncontact = [{}, {}]\n",
            frog(&format!("TU{p}"), &format!("up {p}"), "B"),
            frog(&format!("TD{p}"), &format!("down {p}"), "A")
        );
        self.track(&MuseumTrack {
            name: &format!("crossover {p}"),
            ends: [&format!("TU{p}.diverging"), &format!("TD{p}.diverging")],
            length: 100,
            feeders: 0,
            along: (&format!("up {p}"), 60_000),
            gaps: &[(BOTH, 50)],
            stock: false,
        });
    }

    /// A lead off the up line, a ladder of nine turnouts, ten roads.
    fn stub_yard(&mut self, p: usize) {
        let (bus, last) = (&format!("yard {p}"), 9);
        let ends = [&*format!("E{p}.diverging"), &*format!("S{p}-1.points")];
        self.track(&yard((bus, 0), &format!("stub lead {p}"), ends, (2000, 1), &[(BOTH, 40)]));
        for k in 1..=last {
            self.turnout(&format!("S{p}-{k}"), "left", bus, "A");
            let start = 2000 + 500 * (k - 1);
            let road = [&*format!("S{p}-{k}.diverging"), "buffer"];
            self.track(&yard((bus, start), &format!("road {p}-{k}"), road, (6000, 4), &[(RIGHT, 40)]));
            let through = format!("S{p}-{k}.through");
            if k == last {
                let name = format!("road {p}-{}", k + 1);
                self.track(&yard((bus, start), &name, [&through, "buffer"], (6000, 4), &[(LEFT, 40)]));
            } else {
                let ends = [&*through, &*format!("S{p}-{}.points", k + 1)];
                self.track(&yard((bus, start), &format!("step {p}-{k}"), ends, (500, 1), &[(LEFT, 40)]));
            }
        }
    }

    /// A lead at either end, ladders of three turnouts each, four roads between them.
    fn double_ended_yard(&mut self, p: usize) {
        let (bus, last) = (&format!("yard {p}"), 3);
        let west = [&*format!("DW{p}.diverging"), &*format!("W{p}-1.points")];
        self.track(&yard((bus, 0), &format!("west lead {p}"), west, (2000, 1), &[(BOTH, 40)]));
        let east = [&*format!("O{p}-1.points"), &*format!("DE{p}.diverging")];
        self.track(&yard((bus, 17_500), &format!("east lead {p}"), east, (2000, 1), &[(BOTH, 1960)]));
        for k in 1..=last {
            // Seen from the east ladder's points A is on the right, so its turnouts are right-hand to match the west's.
            self.turnout(&format!("W{p}-{k}"), "left", bus, "A");
            self.turnout(&format!("O{p}-{k}"), "right", bus, "A");
            let start = 2000 + 500 * (k - 1);
            let ends = [&*format!("W{p}-{k}.diverging"), &*format!("O{p}-{k}.diverging")];
            self.track(&yard(
                (bus, start),
                &format!("through {p}-{k}"),
                ends,
                (15_000, 7),
                &[(RIGHT, 40), (RIGHT, 14_960)],
            ));
            let (west, east) = (format!("W{p}-{k}.through"), format!("O{p}-{k}.through"));
            if k == last {
                let name = format!("through {p}-{}", k + 1);
                self.track(&yard((bus, start), &name, [&west, &east], (15_000, 7), &[(LEFT, 40), (LEFT, 14_960)]));
            } else {
                let ends = [&*west, &*format!("W{p}-{}.points", k + 1)];
                self.track(&yard((bus, start), &format!("west {p}-{k}"), ends, (500, 1), &[(LEFT, 40)]));
                let ends = [&*format!("O{p}-{}.points", k + 1), &*east];
                self.track(&yard((bus, 17_000 - start), &format!("east {p}-{k}"), ends, (500, 1), &[(LEFT, 460)]));
            }
        }
    }
}

fn frog(name: &str, bus: &str, through: &str) -> String {
    let diverging = if through == "A" { "B" } else { "A" };
    format!("{{ common = \"{name}.frog\", through = \"{bus}.{through}\", diverging = \"{bus}.{diverging}\" }}")
}

fn neighbour(there: bool, name: &str) -> String {
    if there { name.to_owned() } else { "beyond".to_owned() }
}

//! Plans to draw: the demo plans, and yards made for the purpose.

use std::fmt::Write;

/// The demo plans, by the names of their folders.
pub fn demos() -> Vec<(String, String)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans");
    let mut list: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read_to_string(path.join("plan.toml")).unwrap())
        })
        .collect();
    list.sort();
    assert!(list.len() >= 7);
    list
}

/// All plans to try.
pub fn all() -> Vec<(String, String)> {
    let mut list = demos();
    let mut add = |name: &str, text: String| list.push((name.to_owned(), text));
    for turnouts in [2, 3, 7, 20] {
        add(&format!("left ladder of {turnouts}"), stub_ladder(turnouts, "left"));
        add(&format!("right ladder of {turnouts}"), stub_ladder(turnouts, "right"));
    }
    for roads in [2, 5, 12] {
        add(&format!("double-ended yard of {roads}"), double_ended(roads));
    }
    add("special trackwork", special());
    add("oval", oval());
    list
}

struct Text(String);

impl Text {
    fn new() -> Text {
        Text(
            "[layout]\nname = \"yard\"\nscale = \"HO\"\njoint = \"soldered\"\n[[supply]]\nname = \"S\"\nvoltage = \"15 V\"\n\
             trips = { at = \"4 A\" }\n[[bus]]\nname = \"b\"\nsupply = \"S\"\nwire = \"6 mm²\"\nlength = \"60 m\"\n"
                .to_owned(),
        )
    }

    /// A track with a feeder to both rails in its middle, and gaps: `(millimetres, rail)`.
    fn track(&mut self, name: &str, from: &str, to: &str, length: u32, gaps: &[(u32, &str)]) {
        let gaps: Vec<String> =
            gaps.iter().map(|(at, rail)| format!("{{ at = \"{at} mm\", rail = \"{rail}\" }}")).collect();
        let _ = write!(
            self.0,
            "[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"{length} mm\"\nleft = \"b.A\"\n\
             right = \"b.B\"\nalong = {{ bus = \"b\", from = \"1 m\", to = \"{} mm\" }}\nfeeders = [\"{} mm\"]\n\
             gaps = [{}]\n",
            1000 + length,
            length / 2,
            gaps.join(", ")
        );
    }

    fn turnout(&mut self, name: &str, hand: &str) {
        let _ = write!(
            self.0,
            "[[turnout]]\nname = \"{name}\"\nnumber = 6\nhand = \"{hand}\"\nwiring = \"insulated-bonded\"\n[[motor]]\n\
             name = \"M{name}\"\nmoves = \"{name}\"\n"
        );
    }
}

/// A lead from which one road after another leaves; the last goes straight on.
pub fn stub_ladder(turnouts: usize, hand: &str) -> String {
    let mut text = Text::new();
    text.track("lead", "beyond", "L1.points", 900, &[]);
    for k in 1..=turnouts {
        text.turnout(&format!("L{k}"), hand);
        text.track(&format!("road {k}"), &format!("L{k}.diverging"), "buffer", 1500, &[(40, "right")]);
        let through = format!("L{k}.through");
        if k < turnouts {
            text.track(&format!("step {k}"), &through, &format!("L{}.points", k + 1), 80, &[(20, "left")]);
        } else {
            text.track(&format!("road {}", k + 1), &through, "buffer", 1500, &[(40, "left")]);
        }
    }
    text.0
}

/// Roads between two ladders.
pub fn double_ended(roads: usize) -> String {
    let mut text = Text::new();
    let turnouts = roads - 1;
    text.track("west lead", "beyond", "W1.points", 900, &[]);
    for k in 1..=turnouts {
        text.turnout(&format!("W{k}"), "right");
        text.turnout(&format!("E{k}"), "right");
        if k < turnouts {
            text.track(&format!("west step {k}"), &format!("W{k}.through"), &format!("W{}.points", k + 1), 80, &[]);
            text.track(&format!("east step {k}"), &format!("E{}.points", k + 1), &format!("E{k}.through"), 80, &[]);
        }
    }
    // The west ladder drops its first road at once, the east ladder its last.
    let west = |k: usize| if k <= turnouts { format!("W{k}.diverging") } else { format!("W{turnouts}.through") };
    let east = |k: usize| {
        let k = roads + 1 - k;
        if k <= turnouts { format!("E{k}.diverging") } else { format!("E{turnouts}.through") }
    };
    for k in 1..=roads {
        text.track(&format!("road {k}"), &west(k), &east(k), 1900, &[(40, "left"), (1800, "right")]);
    }
    text.track("east lead", "E1.points", "beyond", 900, &[]);
    text.0
}

/// A crossing, a double slip, a three-way turnout and a turntable, one behind the other.
pub fn special() -> String {
    let mut text = Text::new();
    text.0.push_str(
        "[[crossing]]\nname = \"X1\"\nnumber = 6\nfrogs = \"insulated\"\n[[slip]]\nname = \"S1\"\nkind = \"double\"\n\
         number = 6\nfrogs = \"live\"\n[[three_way]]\nname = \"W1\"\nnumber = 6\nfrogs = \"live\"\n[[turntable]]\n\
         name = \"TT\"\nlength = \"300 mm\"\nstalls = 6\n[[motor]]\nname = \"M1\"\nmoves = \"W1.left\"\n[[motor]]\n\
         name = \"M2\"\nmoves = \"W1.right\"\n[[motor]]\nname = \"M3\"\nmoves = \"S1.west\"\n[[motor]]\nname = \"M4\"\n\
         moves = \"S1.east\"\n",
    );
    text.track("a 1", "beyond", "X1.west 1", 800, &[]);
    text.track("b 1", "beyond", "X1.west 2", 900, &[]);
    text.track("a 2", "X1.east 1", "S1.west 2", 500, &[]);
    text.track("b 2", "X1.east 2", "S1.west 1", 500, &[]);
    text.track("c 1", "S1.east 1", "W1.points", 600, &[]);
    text.track("c 2", "S1.east 2", "beyond", 900, &[]);
    text.track("d 1", "W1.left", "buffer", 800, &[]);
    text.track("d 2", "W1.middle", "TT.stall 1", 800, &[]);
    text.track("d 3", "W1.right", "buffer", 800, &[]);
    for stall in 2..=6 {
        text.track(&format!("stall road {stall}"), &format!("TT.stall {stall}"), "buffer", 400, &[]);
    }
    text.0
}

/// A closed run of track with a passing place.
pub fn oval() -> String {
    let mut text = Text::new();
    text.track("loop", "T1.through", "T2.through", 1800, &[]);
    text.track("passing track", "T1.diverging", "T2.diverging", 1500, &[]);
    text.turnout("T1", "left");
    text.turnout("T2", "right");
    text.track("round", "T2.points", "T1.points", 6000, &[]);
    text.0
}

/// Plans with all that schematics draw: drivers of each kind, relays, toggles, a detector, a reverser, breakers behind one another, a
/// branch; long contact trees; names that are no plain words.
pub fn wired() -> Vec<(String, String)> {
    let ladder = |tracks: usize, bus: &str, length: &str| {
        let list = vec![format!("\"{length}\""); tracks].join(", ");
        format!(
            "[layout]\nname = \"ladder\"\nscale = \"H0\"\n[[supply]]\nname = \"booster, west\"\nvoltage = \"15 V\"\n[[supply]]\nname = \
             \"points supply\"\nkind = \"accessory\"\nvoltage = \"12 V\"\n[[bus]]\nname = \"points bus\"\nsupply = \"points \
             supply\"\nwire = \"0.75 mm²\"\nlength = \"9 m\"\n[[driver]]\nname = \"D1\"\nkind = \"decoder\"\noutputs = 30\naddress = \
             41\nfrom = \"points bus @ 4 m\"\n[[bus_run]]\nname = \"{bus}\"\nsupply = \"booster, west\"\nwire = \"2.5 mm²\"\nlength = \
             \"20 m\"\ntracks = [\"lead\"]\nfeeders = {{ every = \"1 m\", wire = \"0.75 mm²\" }}\n[[track]]\nname = \"lead\"\nfrom = \
             \"beyond\"\nlength = \"1.5 m\"\n[[ladder]]\nname = \"yard\"\nfrom = \"lead\"\nturnout = {{ number = 6, hand = \"right\", \
             wiring = \"live-bonded\" }}\nbetween = \"95 mm\"\ntracks = [{list}]\nmotor = {{ kind = \"stall\", driver = \"D1\" }}\nlive = \
             \"lined\"\nfeeders = {{ every = \"1.1 m\", wire = \"0.75 mm²\" }}\n"
        )
    };
    let case = |name: &str| {
        let path = format!("{}/tests/it/wired/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        (name.to_owned(), std::fs::read_to_string(path).unwrap())
    };
    let mut list = vec![
        ("ladder of 11".to_owned(), ladder(11, "yard bus", "2.4 m")),
        (
            "ladder of 25".to_owned(),
            ladder(25, "Bahnhof, \\\"süd\\\" und alles, was weiter hinten noch daran hängt", "2.4 m"),
        ),
        ("ladder in feet".to_owned(), ladder(9, "bus", "8 ft 3 1/2 in").replace("20 m\"", "60 ft\"")),
    ];
    let files = [
        "drivers",
        "relays",
        "districts",
        "both-ends",
        "contacts-in-a-mesh",
        "contacts-fed-from-the-bus",
        "fed-by-a-motor-off-the-way",
        "ring-both-ends-agree",
    ];
    list.extend(files.map(case));
    list
}

//! A plan in composite tables and the same plan written out have one circuit, conductor by conductor.

use circuit::Circuit;
use std::fmt::Write as _;
use std::path::Path;

/// The circuit in words: every edge with its ends, what it is, its resistance and when it is closed; every gap; what rails belong to.
/// Numbers to a billionth, since 950 mm and 0.95 m differ in their last bit.
fn conductors(text: &str) -> Vec<String> {
    let reading = plan::read(text);
    assert!(reading.understood(), "{text}\n{:#?}", reading.findings);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let edge = |edge: &circuit::Edge| {
        let ends = [edge.a, edge.b].map(|node| circuit.nodes[node].name.clone());
        let guard: Vec<String> = edge.guard.iter().map(|l| format!("{:?}", circuit.literal_words(*l))).collect();
        format!("{} | {} | {:?} | {:?} | {:?} | {guard:?}", ends[0], ends[1], edge.kind, edge.part, edge.ohms)
    };
    let mut all: Vec<String> = circuit.edges.iter().map(edge).collect();
    all.extend(circuit.gaps.iter().map(|gap| {
        format!("gap {} | {} | {:?}", circuit.nodes[gap.before].name, circuit.nodes[gap.after].name, gap.x)
    }));
    all.extend(circuit.intended_pole.iter().map(|poles| format!("{poles:?}")));
    all.iter().map(|words| rounded(words)).collect()
}

fn rounded(words: &str) -> String {
    let mut out = String::new();
    let mut number = String::new();
    for c in words.chars().chain([' ']) {
        if c.is_ascii_digit() || (c == '.' && !number.is_empty() && !number.contains('.')) {
            number.push(c);
            continue;
        }
        match number.parse::<f64>() {
            Ok(value) if number.contains('.') => {
                let _ = write!(out, "{value:.9}");
            }
            _ => out.push_str(&number),
        }
        number.clear();
        out.push(c);
    }
    out
}

fn same(short: &str, long: &str) {
    let (short_edges, long_edges) = (conductors(short), conductors(long));
    for (edges, others, which) in [(&short_edges, &long_edges, "short"), (&long_edges, &short_edges, "long")] {
        let only: Vec<&String> = edges.iter().filter(|edge| !others.contains(edge)).take(5).collect();
        assert!(only.is_empty(), "only in the {which} form:\n{only:#?}\n{short}\n{long}");
    }
    assert_eq!(short_edges, long_edges, "not in the same order");
}

fn demo(file: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans/quay").join(file)).expect("there")
}

#[test]
fn the_quay_in_a_dozen_lines_is_the_quay() {
    let (short, long) = (demo("short.toml"), demo("plan.toml"));
    same(&short, &long);
    same(&plan::ordinary(&short).expect("there"), &long);
}

/// Numbers that look drawn at random, the same every time (an additive congruential generator with the multiplier of Knuth's MMIX).
struct Draws(u64);

impl Draws {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % most
    }
    fn of<'w>(&mut self, words: &[&'w str]) -> &'w str {
        words[self.below(words.len())]
    }
}

/// A ladder of any kind, with names that look like something else.
fn ladder(d: &mut Draws) -> String {
    let imperial = d.below(2) == 1;
    let count = 2 + d.below(9);
    let wiring = d.of(&[
        "insulated-routed",
        "insulated-bonded",
        "metal-tip",
        "live-routed",
        "live-assisted",
        "live-bonded",
        "live-unfed",
    ]);
    let name = d.of(&["quay", "Fish, ice & \\\"coal\\\"", "A to B", "C.1+2", "צפון", "o'er the top"]);
    let lead = d.of(&["harbour lead", "lead, 2nd \\\"new\\\"", "x.y"]);
    let units = if imperial { ["ft", "in", "18 AWG", "14 AWG"] } else { ["m", "mm", "0.75 mm²", "2.5 mm²"] };
    let length = |d: &mut Draws| {
        if imperial {
            match d.below(3) {
                0 => format!("\"{} ft {} in\"", 4 + d.below(5), d.below(12)),
                1 => format!("\"{} 1/2 in\"", 50 + d.below(40)),
                _ => format!("\"{}.5 ft\"", 4 + d.below(4)),
            }
        } else {
            match d.below(2) {
                0 => format!("\"{}.{}5 m\"", 1 + d.below(3), d.below(10)),
                _ => format!("\"{} mm\"", 1200 + d.below(1900)),
            }
        }
    };
    let mut text = format!(
        "[layout]\nname = \"drawn\"\nscale = \"H0\"\n\n[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\n[[supply]]\nname = \"points\"\nkind = \"accessory\"\nvoltage = \"12 V\"\n\n[[bus]]\nname = \"b.us, 1\"\nsupply = \"booster\"\nwire = \"{}\"\nlength = \"60 {}\"\n\n[[bus]]\nname = \"points bus\"\nsupply = \"points\"\nwire = \"{}\"\nlength = \"20 {}\"\n\n",
        units[3], units[0], units[2], units[0]
    );
    let drivers = if d.below(2) == 0 { vec![("D1", 4), ("D 2", 8)] } else { vec![("D1", 16)] };
    for (name, outputs) in &drivers {
        let _ = write!(
            text,
            "[[driver]]\nname = \"{name}\"\nkind = \"decoder\"\noutputs = {outputs}\naddress = {}\nfrom = \"points bus @ 1 {}\"\n\n",
            10 + d.below(50) * 4,
            units[0]
        );
    }
    let own_lead = d.below(3) == 0;
    let turned = d.below(3) == 0;
    let (end, left, right) = if turned { ("to", "B", "A") } else { ("from", "A", "B") };
    let says = if d.below(2) == 0 {
        format!("along = {{ bus = \"b.us, 1\", from = \"0 {0}\", to = \"3 {0}\" }}\n", units[0])
    } else {
        String::new()
    };
    let _ = write!(
        text,
        "[[track]]\nname = \"{lead}\"\n{end} = \"beyond\"\nlength = \"3 {}\"\nleft = \"b.us, 1.{left}\"\nright = \"b.us, 1.{right}\"\nfeeders = [\"1 {}\"]\n{says}\n",
        units[0], units[0]
    );
    let listed = if d.below(3) == 0 { 1 } else { count };
    let mut tracks: Vec<String> = (0..listed).map(|_| length(d)).collect();
    if d.below(3) == 0 {
        let of = d.below(tracks.len());
        tracks[of] = format!("{{ length = {}, joint = \"sliding\" }}", tracks[of]);
    }
    let onto = (listed == count && d.below(3) == 0).then(|| d.below(count));
    if let Some(of) = onto {
        let whole = length(d);
        tracks[of] = format!("{{ length = {whole}, to = \"beyond it, far\" }}");
    }
    let _ = write!(
        text,
        "[[ladder]]\nname = \"{name}\"\nfrom = \"{lead}{}\"\nturnout = {{ number = {}, hand = \"{}\", wiring = \"{wiring}\" }}\ntracks = [{}]\ncount = {count}\n",
        if turned { ".from" } else { d.of(&["", ".to"]) },
        4 + d.below(5),
        d.of(&["left", "right"]),
        tracks.join(", ")
    );
    if own_lead {
        let _ = writeln!(text, "lead = {}", length(d));
    }
    if d.below(2) == 0 {
        let _ = writeln!(text, "onward = \"{}\"", d.of(&["through", "diverging"]));
    }
    if d.below(2) == 0 {
        let _ = writeln!(text, "between = \"{}\"", if imperial { "3 3/4 in" } else { "95 mm" });
    }
    if d.below(4) > 0 {
        let driver = if drivers.len() == 2 { "[\"D1\", \"D 2\"]" } else { "\"D1.2\"" };
        let _ = writeln!(text, "motor = {{ kind = \"stall\", driver = {driver} }}");
    }
    match d.below(4) {
        0 => {}
        n => {
            let _ = writeln!(text, "live = \"{}\"", ["lined", "always", "by hand"][n - 1]);
        }
    }
    if d.below(2) == 0 {
        let every = if imperial { "30 in" } else { "0.8 m" };
        let _ = writeln!(text, "feeders = {{ every = \"{every}\", wire = \"{}\" }}", units[2]);
    }
    match d.below(3) {
        0 => {}
        1 => {
            let _ = writeln!(text, "names = {{ tracks = \"road #, \\\"up\\\"\", turnouts = \"T#\" }}");
        }
        _ => {
            let _ = writeln!(text, "names = {{ tracks = [\"fish, ice\", \"coal \\\"wet\\\"\"], motors = \"M#\" }}");
        }
    }
    if onto.is_some() {
        let _ = write!(
            text,
            "\n[[track]]\nname = \"beyond it, far\"\nto = \"buffer\"\nlength = \"2 {0}\"\nleft = \"b.us, 1.A\"\nright = \"b.us, 1.B\"\nfeeders = [\"1 {0}\"]\n",
            units[0]
        );
    }
    if d.below(3) == 0 {
        let _ = write!(
            text,
            "\n# what is known of it\n[[turnout]]\nname = \"{}\"\nthrow = \"3 mm\"\n",
            if text.contains("turnouts = ") { "T1".to_owned() } else { format!("{name} T1") }
        );
    }
    text
}

#[test]
fn drawn_ladders_are_what_they_are_written_out_to() {
    let mut draws = Draws(20);
    let (mut lined, mut overridden) = (0, 0);
    for number in 0..100 {
        let text = ladder(&mut draws);
        let reading = plan::read(&text);
        assert!(reading.findings.is_empty(), "{number}\n{text}\n{:#?}", reading.findings);
        let long = plan::ordinary(&text).expect("there");
        let again = plan::read(&long);
        assert!(again.findings.is_empty(), "{number}\n{long}\n{:#?}", again.findings);
        assert!(!long.contains("[[ladder]]"));
        same(&text, &long);
        lined += usize::from(text.contains("\"lined\""));
        overridden += usize::from(text.contains("throw = "));
    }
    assert!(lined > 10 && overridden > 10, "{lined} lined, {overridden} overridden");
}

//! Profiles as plots: well-formed, legible, nothing drawn where nothing is.

use super::{DEMOS, all_profiles, broken, plans, profile, to_svg};
use analysis::way_profile::WayProfile;
use electrics::Level;
use roxmltree::{Document, Node};

/// Width of a character as a part of its size: the mean of the widest face named in the style, for its small letters and
/// figures (measured: 0.59 to 0.64).
const CHARACTER: f64 = 0.6;

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    let text = node.attribute(name).unwrap_or_else(|| panic!("<{}> has no {name}", node.tag_name().name()));
    text.parse().unwrap_or_else(|_| panic!("{name} = {text}"))
}

/// Left, top, right and bottom of words.
fn extent(node: Node<'_, '_>) -> [f64; 4] {
    let (x, y, size) = (number(node, "x"), number(node, "y"), number(node, "font-size"));
    let width = node.text().unwrap_or_default().chars().count() as f64 * size * CHARACTER;
    let left = match node.attribute("text-anchor") {
        Some("start") => x,
        Some("middle") => x - width / 2.0,
        Some("end") => x - width,
        other => panic!("anchor {other:?}"),
    };
    [left, y - 0.75 * size, left + width, y + 0.2 * size]
}

fn words<'a, 'i>(document: &'a Document<'i>) -> Vec<Node<'a, 'i>> {
    document.descendants().filter(|n| n.has_tag_name("text")).collect()
}

/// The points of all paths of a class.
fn points(document: &Document<'_>, class: &str) -> Vec<[f64; 2]> {
    let paths = document.descendants().filter(|n| n.has_tag_name("path") && n.attribute("class") == Some(class));
    let of = |path: &str| -> Vec<[f64; 2]> {
        let pairs = path.split(['M', 'L', 'Z']).filter(|p| !p.is_empty());
        let number = |text: &str| text.parse::<f64>().unwrap_or_else(|_| panic!("{path}"));
        pairs
            .map(|p| p.split_once(' ').map(|(x, y)| [number(x), number(y)]).unwrap_or_else(|| panic!("{path}")))
            .collect()
    };
    paths.flat_map(|p| of(p.attribute("d").expect("a path"))).collect()
}

/// Holds a plot to being well-formed, on its sheet, and with no two words touching.
fn legible(profile: &WayProfile) {
    let text = to_svg(profile);
    assert_eq!(text, to_svg(profile), "the same bytes every time");
    let document = Document::parse(&text).unwrap_or_else(|e| panic!("{}: {e}", profile.name));
    assert_eq!(document.root_element().tag_name().name(), "svg");
    let sheet = document.root_element().attribute("viewBox").expect("a sheet");
    assert_eq!(sheet, "0 0 1123 794");
    let words = words(&document);
    assert!(words.len() > 15, "{}", profile.name);
    let boxes: Vec<[f64; 4]> = words.iter().map(|n| extent(*n)).collect();
    for (i, a) in boxes.iter().enumerate() {
        let said = words[i].text().unwrap_or_default();
        assert!(!said.is_empty());
        assert!(a[0] >= 0.0 && a[1] >= 0.0 && a[2] <= 1123.0 && a[3] <= 794.0, "{}: `{said}` at {a:?}", profile.name);
        for (j, b) in boxes.iter().enumerate().skip(i + 1) {
            let touch = a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
            assert!(!touch, "{}: `{said}` and `{}`", profile.name, words[j].text().unwrap_or_default());
        }
    }
    assert!(!text.contains("NaN") && !text.contains("inf"), "{}", profile.name);
}

#[test]
fn plots_of_every_way_are_legible() {
    let broken = broken();
    let texts: Vec<&str> = DEMOS.into_iter().chain([broken.as_str()]).collect();
    all_profiles(&texts).iter().for_each(legible);
}

/// Forty turnouts in one way, a thousand tracks, names as long as a line, letters that mean something in XML.
#[test]
fn plots_of_long_ways_and_odd_names_are_legible() {
    let ladder = profile(&plans::ladder(40, None), Some("lead 1 to last road"));
    assert_eq!(ladder.steps.len(), 81);
    legible(&ladder);
    assert!(to_svg(&ladder).contains("names left out for want of room"), "what is not named is counted");
    legible(&profile(&plans::passing_loops(6), None));
    legible(&profile(&plans::chain(400), None));
    let odd = DEMOS[0].replace("dock 1", "the <old> dock & \\\"its\\\" siding by the long goods shed 1");
    legible(&profile(&odd, None));
    let long =
        DEMOS[0].replace("dock 1", &format!("{}1", "dock ".repeat(11))).replace("Thistle", &"Thistle ".repeat(60));
    legible(&profile(&long, None));
}

/// A layout so badly fed that nothing is left of its voltage, one without a trip current, one without a limit to reach.
#[test]
fn plots_of_extremes_are_legible() {
    // Without places along it the bus is tapped at its far end.
    let far: String = DEMOS[0].lines().filter(|l| !l.starts_with("along")).map(|l| format!("{l}\n")).collect();
    let thin = profile(&far.replace("2.5 mm²", "0.5 mm²").replace("length = \"5 m\"", "length = \"500 m\""), None);
    assert!(thin.least(|_| true, Level::Typical, |g| g.volts).expect("it is fed").got == 0.0);
    legible(&thin);
    let silent = DEMOS[0].replace("trips   = { at = \"4.5 A\", after = \"120 ms\" }\n", "");
    assert!(silent.len() < DEMOS[0].len());
    let found = profile(&silent, None);
    assert!(found.pieces.iter().all(|p| p.feed.as_ref().is_ok_and(|f| f.trip.is_none())));
    legible(&found);
    assert!(!to_svg(&found).contains("trips "));
    let shed = "[[track]]\nname = \"shed\"\nfrom = \"buffer\"\nto = \"buffer\"\nlength = \"1 m\"\n";
    let dead = profile(&format!("{}\n{shed}", DEMOS[0]), Some("shed"));
    assert_eq!(dead.breaks(), [(0.0, 1.0, "no power")]);
    legible(&dead);
    let svg = to_svg(&dead);
    let document = Document::parse(&svg).expect("XML");
    assert!(["usual", "aged", "band", "limit", "hard"].iter().all(|class| points(&document, class).is_empty()));
}

/// What is drawn of a curve stands where its parabola says; over a break nothing is drawn.
#[test]
fn curves_stand_where_the_numbers_say_and_nowhere_else() {
    let text = broken();
    let found = profile(&text, Some("approach to dock 1"));
    let svg = to_svg(&found);
    let document = Document::parse(&svg).expect("XML");
    let frame = points(&document, "frame");
    let (left, right) = frame.iter().fold((f64::MAX, f64::MIN), |m, p| (m.0.min(p[0]), m.1.max(p[0])));
    let across = |along: f64| left + along / found.length * (right - left);
    let broken_from = across(found.breaks()[0].0);
    for class in ["usual", "aged", "new", "limit", "hard"] {
        let points = points(&document, class);
        assert!(!points.is_empty() && points.iter().all(|p| p[0] <= broken_from + 0.02), "{class}");
    }
    // The scale from two lines of the grid that carry volts, then every point of the upper curve.
    let ticks: Vec<(f64, f64)> = (words(&document).iter())
        .filter(|n| n.attribute("text-anchor") == Some("end"))
        .filter_map(|n| Some((n.text()?.strip_suffix(" V")?.parse().ok()?, number(*n, "y") - 4.0)))
        .collect();
    let (first, last) = (ticks[0], ticks[ticks.len() - 1]);
    let volts = |y: f64| first.0 + (y - first.1) / (last.1 - first.1) * (last.0 - first.0);
    let upper: Vec<[f64; 2]> = points(&document, "usual").into_iter().filter(|p| p[1] < 340.0).collect();
    assert!(upper.len() > 100);
    for [x, y] in upper {
        let along = (x - left) / (right - left) * found.length;
        // At a joint the curve has both values.
        let near = found.pieces.iter().filter(|p| p.from - 1e-4 <= along && along <= p.to + 1e-4);
        let due: Vec<f64> = near.filter_map(|p| Some(p.point_result(along, &found.load_case)?.volts.typical)).collect();
        assert!(due.iter().any(|d| (d - volts(y)).abs() < 2e-4), "{} V at {along} m, due {due:?}", volts(y));
    }
}

/// Every mark of the way is drawn, and every track named.
#[test]
fn marks_and_names_are_drawn() {
    let found = profile(DEMOS[0], Some("approach to dock 1"));
    let svg = to_svg(&found);
    let document = Document::parse(&svg).expect("XML");
    let said: Vec<&str> = words(&document).iter().filter_map(|n| n.text()).collect();
    for due in ["approach", "T1", "dock 1", "limit 14.25 V", "trips 4.5 A", "due 6.75 A", "(1.5 × trip)", "all aged"] {
        assert!(said.contains(&due), "{due} in {said:?}");
    }
    // Filled triangles of two feeders on both rails and one on the left, and one in the key.
    let shapes = |class: &str| {
        document.descendants().filter(|n| n.has_tag_name("path") && n.attribute("class") == Some(class)).count()
    };
    assert_eq!(shapes("full"), 6);
    // One wire from a contact and one frog, each once more in the key.
    assert_eq!(shapes("open"), 4);
}

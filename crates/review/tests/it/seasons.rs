//! Gaps over the year and throw wires: when the rules speak and when they keep silent, that their edits do what they say,
//! and what tables and plots must hold.

use crate::ask;
use analysis::season_table::SeasonTable;
use report::season_plot::to_svg;
use report::season_print::{render, to_csv};
use review::rules::RULES;

const DEMOS: [&str; 7] =
    ["balloon", "seven-tracks", "thistle-dock", "thistle-dock-mended", "two-districts", "two-ladders", "wye"];

/// The findings about what moves.
const NAMES: [&str; 9] = [
    "gap-closes",
    "gap-opens-too-far",
    "rail-may-buckle",
    "feeder-may-tear",
    "throw-too-short",
    "throw-wire-too-soft",
    "throw-wire-binds",
    "throw-wire-too-stiff",
    "throw-wire-overstressed",
];

fn example(name: &str) -> &'static str {
    RULES.iter().find(|r| r.page.name == name).unwrap().page.example
}

fn changed(name: &str, changes: &[(&str, &str)]) -> String {
    let mut text = example(name).to_owned();
    for (old, new) in changes {
        assert!(text.contains(old), "{old:?} is not in the example of {name}");
        text = text.replace(old, new);
    }
    text
}

/// The names of what is found about movement.
fn found(text: &str) -> Vec<&'static str> {
    let review = review::review(text);
    assert!(review.summary.understood, "{:#?}\n{text}", review.findings);
    review.findings.iter().map(|f| f.name).filter(|n| NAMES.contains(n)).collect()
}

fn silent(name: &str, changes: &[(&str, &str)]) {
    let found = found(&changed(name, changes));
    assert!(!found.contains(&name), "{name} with {changes:?}: {found:?}");
}

fn demo(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../plans/{name}/plan.toml", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn table(name: &str) -> SeasonTable {
    ask(&demo(name), |facts| facts.season_table(None)).unwrap()
}

#[test]
fn each_example_gives_its_finding_once_and_no_demo_any() {
    for name in NAMES {
        assert_eq!(found(example(name)), [name]);
    }
    for name in DEMOS {
        assert_eq!(found(&demo(name)), [""; 0], "{name}");
    }
}

#[test]
fn proposed_edits_end_what_they_mend() {
    for name in ["gap-closes", "gap-opens-too-far", "throw-wire-too-soft", "throw-wire-binds", "throw-wire-too-stiff"] {
        let text = example(name);
        let review = review::review(text);
        let proposal = review.findings.iter().find(|f| f.name == name).unwrap().proposal.clone().unwrap();
        let after = finding::apply(text, &proposal.edits).unwrap();
        assert_eq!(found(&after), [""; 0], "{name}:\n{after}");
    }
}

#[test]
fn widths_climate_and_limits_decide_over_gaps() {
    let name = "scale = \"OO\"";
    silent("gap-closes", &[(name, "scale = \"OO\"\ngap_width = \"1.1 mm\"")]);
    silent("gap-closes", &[("\"34 °C\"", "\"18 °C\""), ("\"38 %\"", "\"58 %\"")]);
    // A width beside one place is that place's alone; the edit then widens it there.
    let text = changed(
        "gap-closes",
        &[
            (name, "scale = \"OO\"\ngap_width = \"1.1 mm\""),
            ("{ at = \"90 mm\", rail = \"left\" }", "{ at = \"90 mm\", rail = \"left\", width = \"0.4 mm\" }"),
        ],
    );
    let review = review::review(&text);
    let closes: Vec<_> = review.findings.iter().filter(|f| f.name == "gap-closes").collect();
    assert_eq!(closes.len(), 1);
    assert!(closes[0].message.starts_with("the gap in `main`'s left rail at 90 mm closes"), "{}", closes[0].message);
    let after = finding::apply(&text, &closes[0].proposal.as_ref().unwrap().edits).unwrap();
    assert!(after.contains("width = \"1.05 mm\"") && after.contains("gap_width = \"1.1 mm\""), "{after}");
    silent(
        "gap-opens-too-far",
        &[("gaps = [", "slides = [\"0.9 m\", \"1.8 m\", \"2.7 m\", \"3.6 m\", \"4.5 m\"]\ngaps = [")],
    );
    silent("gap-opens-too-far", &[("[room]", "[limits]\nlargest_gap = \"4 mm\"\n\n[room]")]);
    silent(
        "gap-opens-too-far",
        &[("material = \"birch plywood\"", "material = \"birch plywood\"\ngrip = \"200 N/m\"")],
    );
}

#[test]
fn a_gap_that_closes_is_proved_to_short() {
    let review = review::review(example("gap-closes"));
    let told = review.findings.iter().find(|f| f.name == "gap-closes").unwrap();
    let witness = told.witness.as_ref().unwrap();
    assert_eq!(witness.setting, [("T1".to_owned(), "diverging".to_owned())]);
    assert!(witness.path.contains(&"the closed gap".to_owned()), "{witness:?}");
    // Where both sides are on one conductor it closes all the same, and shorts nothing.
    let text = changed("gap-closes", &[("through = \"bus.A\", diverging = \"bus.B\"", "through = \"bus.A\"")]);
    let review = review::review(&text);
    let told = review.findings.iter().find(|f| f.name == "gap-closes").unwrap();
    assert!(told.witness.is_none() && !told.facts.iter().any(|f| f.starts_with("closed, it joins")), "{told:#?}");
}

#[test]
fn pins_and_slides_keep_a_ring_straight() {
    silent("rail-may-buckle", &[("\"150 mm\"", "\"45 mm\"")]);
    silent(
        "rail-may-buckle",
        &[("to = \"oval.from\"", "to = \"oval.from\"\nslides = [{ at = \"2 m\", width = \"3.5 mm\" }]")],
    );
    silent("rail-may-buckle", &[("from = \"oval.to\"\nto = \"oval.from\"", "from = \"buffer\"\nto = \"buffer\"")]);
    silent("rail-may-buckle", &[("fixing = { pins = \"150 mm\" }", "fixing = \"glued\"")]);
    // Glued, a measured resistance sideways tells: too little, and enough.
    let glued = |sideways: &str| {
        let held = format!("fixing = \"glued\"\nsideways = \"{sideways}\"");
        found(&changed("rail-may-buckle", &[("fixing = { pins = \"150 mm\" }", &held)])).contains(&"rail-may-buckle")
    };
    assert!(glued("1 N/m") && !glued("2000 N/m"));
}

#[test]
fn feeders_in_the_middle_are_safe() {
    silent("feeder-may-tear", &[("\"0.1 m\", \"1.6 m\", \"3 m\", \"4.4 m\"", "\"1.6 m\", \"3 m\", \"4.4 m\"")]);
    silent("feeder-may-tear", &[("length = \"6 m\"\nleft", "length = \"6 m\"\nslides = [\"2 m\", \"4 m\"]\nleft")]);
}

#[test]
fn what_is_missing_is_noted() {
    let text = changed("gap-closes", &[("hottest = { temperature = \"34 °C\", humidity = \"38 %\" }\n", "")]);
    let review = review::review(&text);
    let note = review.summary.notes.iter().find(|n| n.contains("over the year")).unwrap();
    assert!(note.ends_with("the plan does not say `hottest` under `[room]`"), "{note}");
    assert_eq!(found(&text), [""; 0]);
}

#[test]
fn tables_have_a_row_for_each_gap_and_plots_are_drawings() {
    for name in DEMOS {
        let season = table(name);
        let csv = to_csv(&season);
        assert_eq!(csv.lines().count(), 1 + season.rows.len(), "{name}");
        assert!(csv.lines().all(|l| l.split(',').count() == 19), "{csv}");
        let text = render(&season, 80, 1000);
        assert!(season.rows.iter().all(|r| text.contains(&format!("\n  {} ", r.name))), "{text}");
        let svg = to_svg(&season);
        let drawing = roxmltree::Document::parse(&svg).unwrap();
        let shapes = |class: &str| drawing.descendants().filter(|n| n.attribute("class") == Some(class)).count();
        // One of each in the key.
        assert_eq!(
            (shapes("cold"), shapes("hot"), shapes("day")),
            (1 + season.rows.len(), 1 + season.rows.len(), 1 + season.rows.len())
        );
        assert_eq!(svg, to_svg(&table(name)));
        let view = drawing.root_element().attribute("viewBox").unwrap();
        let sheet: Vec<f64> = view.split(' ').map(|n| n.parse().unwrap()).collect();
        for words in drawing.descendants().filter(|n| n.has_tag_name("text")) {
            let at = |name| words.attribute(name).unwrap().parse::<f64>().unwrap();
            assert!(at("x") >= 0.0 && at("x") <= sheet[2] && at("y") >= 0.0 && at("y") <= sheet[3], "{words:?}");
        }
    }
}

#[test]
fn a_long_list_is_cut_to_what_has_least_to_spare() {
    let gaps: Vec<String> =
        (1..60).map(|k| format!("\"{} m\"", 0.1 * f64::from(k * k) / 6.0 + 0.1 * f64::from(k))).collect();
    let text = changed(
        "feeder-may-tear",
        &[
            ("length = \"6 m\"\nleft", &format!("length = \"70 m\"\ngaps = [{}]\nleft", gaps.join(", "))),
            ("length = \"6 m\"\n\n[[track]]", "length = \"70 m\"\n\n[[track]]"),
        ],
    );
    let season = ask(&text, |facts| facts.season_table(None)).unwrap();
    assert_eq!(season.rows.len(), 118);
    let svg = to_svg(&season);
    let drawing = roxmltree::Document::parse(&svg).unwrap();
    assert_eq!(drawing.descendants().filter(|n| n.attribute("class") == Some("cold")).count(), 1 + 26);
    assert!(svg.contains("92 with more to spare are left out"));
    let worst = season.rows.iter().min_by(|a, b| a.margin().total_cmp(&b.margin())).unwrap();
    let shown = render(&season, 80, 3);
    assert!(
        shown.contains(&format!("\n  {} ", worst.name)) && shown.contains("and 115 more with more to spare"),
        "{shown}"
    );
}

/// A room and a base for plans without.
const SEASONS: &str = r#"
[room]
laid = { temperature = "18 °C", humidity = "55 %" }
coldest = { temperature = "5 °C", humidity = "75 %" }
hottest = { temperature = "30 °C", humidity = "40 %" }

[base]
material = "birch plywood"
fixing = { pins = "150 mm" }
grip = "10 N/m"
"#;

#[test]
fn every_example_moves_by_finite_amounts() {
    let (mut tables, mut rows) = (0, 0);
    for rule in RULES.iter().filter(|r| !r.page.example.is_empty() && !r.page.example.contains("[room]")) {
        let text = format!("{}{SEASONS}", rule.page.example);
        let season = ask(&text, |facts| facts.season_table(None)).unwrap_or_else(|e| panic!("{}: {e}", rule.page.name));
        for row in &season.rows {
            let numbers =
                row.widths.iter().flat_map(|w| [w.low, w.typical, w.high]).chain([row.leave]).chain(row.window);
            assert!(numbers.clone().all(|n| n.is_finite() && n.abs() < 0.1), "{}: {row:?}", rule.page.name);
            assert!(row.widths.iter().all(|w| w.low <= w.typical && w.typical <= w.high), "{row:?}");
        }
        // What rails do over the year takes no other finding away.
        let names = |text: &str| review::review(text).findings.into_iter().map(|f| f.name).collect::<Vec<_>>();
        let with = names(&text);
        assert!(names(rule.page.example).iter().all(|n| with.contains(n)), "{}: {with:?}", rule.page.name);
        tables += 1;
        rows += season.rows.len();
    }
    assert!(tables > 20 && rows > 100, "{tables} {rows}");
}

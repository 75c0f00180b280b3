//! Findings as somebody at a terminal reads them, word for word.

use finding::{Edit, Finding, FindingWitness, Harm, Place, Style, counts, render_full};

/// Part of a plan; line 1 is the first line of the text.
const PLAN: &str = r#"[[turnout]]
name   = "T1"
wiring = "live-bonded"

[[motor]]
name    = "M1"
contact = [
  { common = "T1.frog", through = "main bus.A", diverging = "main bus.B" },
]

[[track]]
name   = "dock 2"
from   = "T1.through"
left   = "main bus.A"
right  = "main bus.B"
gaps   = [{ at = "0.09 m", rail = "left" }]
"#;

fn place(words: &str) -> Place {
    let start = PLAN.find(words).unwrap_or_else(|| panic!("{words} is in the plan"));
    Place::new(start..start + words.len())
}

fn witness(setting: &[(&str, &str)], path: &[&str]) -> FindingWitness {
    FindingWitness {
        setting: setting.iter().map(|&(control, position)| (control.into(), position.into())).collect(),
        path: path.iter().map(|&piece| piece.into()).collect(),
    }
}

fn told(findings: &[Finding], style: Style) -> String {
    render_full(findings, PLAN, "thistle-dock.toml", style)
}

fn storage() -> Finding {
    let gap = place(r#"{ at = "0.09 m", rail = "left" }"#);
    Finding::error("storage-never-dead", Harm::CanStop, "dock 2's right rail stays live when T1 is set for dock 1")
        .at(place(r#"right  = "main bus.B""#), "this rail runs straight through the turnout")
        .also(place(r#""T1.through""#), "it is joined to T1's stock rail here")
        .witness(witness(
            &[("T1", "diverging")],
            &["main bus.A", "approach.right", "T1 right stock rail", "dock 2.right"],
        ))
        .fact("the frog gap cuts only the left rail; the right one is the stock rail and nothing switches it")
        .help("give the rail a gap of its own and feed it through a contact")
        .proposal(
            "cut a gap in dock 2's right rail and feed it from M1's free contact",
            vec![
                Edit::insert(gap.span.end, r#", { at = "0.09 m", rail = "right" }"#),
                Edit::insert(
                    place("]\n\n[[track]]").span.start,
                    "  { common = \"dock 2.right @ 0.4 m\", through = \"main bus.B\" },\n",
                ),
            ],
        )
}

fn short() -> Finding {
    Finding::error(
        "short-circuit",
        Harm::CanBurn,
        "`booster` pole A meets pole B over the frog of T1 while T1 is thrown",
    )
    .at(place(r#""live-bonded""#), "the blades are bonded to their stock rails")
    .also(
        place(r#"through = "main bus.A", diverging = "main bus.B""#),
        "this contact feeds the frog from both poles in turn, and moves before the blades",
    )
    .witness(witness(
        &[("T1", "diverging"), ("T2", "through"), ("panel toggle 4", "storage"), ("motor M7", "half way")],
        &[
            "booster.A",
            "main bus.A",
            "approach.left",
            "T1.frog",
            "dock 1.right @ 0.4 m",
            "M1.1.common",
            "M1.1.diverging",
            "main bus.B",
            "booster.B",
        ],
    ))
    .fact("the fault current is 41 A; the supply trips at 4.5 A")
}

#[test]
fn told_in_full_sorted_by_harm() {
    let findings = [
        Finding::note("defaults-used", Harm::GoodToKnow, "3 values come from the handbook").fact("wire: 2.5 mm²"),
        storage(),
        Finding::warning("fed-once", Harm::CanStop, "track `dock 2` is fed at one end only")
            .at(Place::new(place("[[track]]").span.start..PLAN.len()), ""),
        short(),
    ];
    insta::assert_snapshot!(told(&findings, Style::default()));
}

#[test]
fn told_on_a_phone() {
    insta::assert_snapshot!(told(&[storage()], Style { width: 40, ..Style::default() }));
}

#[test]
fn the_rest_is_counted() {
    let findings = [short(), storage(), Finding::note("defaults-used", Harm::GoodToKnow, "3 values")];
    let told = render_full(&findings, PLAN, "thistle-dock.toml", Style { most: 1, ..Style::default() });
    assert!(told.contains(", short-circuit") && !told.contains("storage-never-dead"), "{told}");
    assert!(
        told.ends_with(
            "\n\n2 more are not shown: 1 fault, 1 note; `--most 3` shows them all\n\
             thistle-dock.toml: 2 faults, 1 note\n"
        ),
        "{told}"
    );
    let told = render_full(&findings, PLAN, "thistle-dock.toml", Style { most: 0, ..Style::default() });
    assert!(told.starts_with("3 more are not shown: 2 faults, 1 note;"), "{told}");
}

#[test]
fn nothing_found_is_said() {
    assert_eq!(told(&[], Style::default()), "thistle-dock.toml: no findings\n");
    assert_eq!(counts(&[]), "no findings");
}

#[test]
fn colour_changes_nothing_but_colour() {
    let findings =
        [short(), storage(), Finding::note("defaults-used", Harm::GoodToKnow, "3 values").help("write them")];
    let plain = render_full(&findings, PLAN, "thistle-dock.toml", Style::default());
    let coloured = render_full(&findings, PLAN, "thistle-dock.toml", Style { color: true, ..Style::default() });
    assert!(coloured.contains("\u{1b}[1m\u{1b}[31mFAULT    \u{1b}[0m"), "{coloured}");
    // What stands between an escape and the letter `m` is colour.
    let mut without = String::new();
    for (index, part) in coloured.split('\u{1b}').enumerate() {
        let text = if index == 0 { part } else { part.split_once('m').map_or("", |(_, text)| text) };
        without.push_str(text);
    }
    let trimmed = |text: &str| text.lines().map(|line| line.trim_end().to_owned()).collect::<Vec<_>>();
    assert_eq!(trimmed(&without), trimmed(&plain));
}

#[test]
fn a_place_in_a_very_long_line_is_cut_out_of_it() {
    let plan = format!("names = [{}\"dock 2\"{}]\n", "\"x\", ".repeat(40_000), ", \"y\"".repeat(40_000));
    let start = plan.find("\"dock 2\"").unwrap_or(0);
    let finding = Finding::error("unknown-name", Harm::Unclear, "no track `dock 2`")
        .at(Place::new(start..start + 8), "not the name of a track");
    insta::assert_snapshot!(render_full(&[finding], &plan, "p.toml", Style { width: 60, ..Style::default() }));
}

#[test]
fn the_gutter_is_as_wide_as_the_longest_number() {
    let plan = format!("{}last = 1\n", "x = 1\n".repeat(998));
    let finding = Finding::error("unknown-key", Harm::Unclear, "no key `x`")
        .at(Place::new(0..1), "here")
        .also(Place::new(60..61), "and here")
        .proposal("start a table", vec![Edit::insert(plan.len(), "\n[table]\n")]);
    insta::assert_snapshot!(render_full(&[finding], &plan, "p.toml", Style { width: 60, ..Style::default() }));
}

#[test]
fn what_a_terminal_would_obey_is_made_visible() {
    let plan = "\u{feff}name\t= \"\u{1b}[2J線\u{202e}Ω\"\r\n";
    let start = plan.find('"').unwrap_or(0);
    let finding = Finding::error("unknown-name", Harm::Unclear, "no track `\u{1b}[2J`")
        .at(Place::new(start..plan.len()), "\u{9b}31m here\nand on")
        .fact("a\tb\u{7}");
    insta::assert_snapshot!(render_full(&[finding], plan, "p\u{1b}.toml", Style { width: 60, ..Style::default() }));
}

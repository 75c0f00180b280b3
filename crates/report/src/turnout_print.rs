//! The bench test of turnouts, and a wiring type, as text.

use analysis::turnout_readings::{TurnoutReadings, WiringFit};
use analysis::turnout_wired::TurnoutWired;
use analysis::words::list;
use circuit::trackwork::touch_points::{Loose, TouchPoint, WIRINGS, drawing, words};
use plan::tables::{Hand, Wiring};
use text::{paragraph, table};

/// What a meter reads.
fn reads(joined: bool) -> &'static str {
    if joined { "joined" } else { "open" }
}

fn points_words(points: [TouchPoint; 2], hand: Hand) -> [String; 2] {
    let [one, other] = points;
    if one == other {
        [format!("{0}–{0}", one.letters()), format!("two places on the {}", one.words(hand))]
    } else {
        [format!("{}–{}", one.letters(), other.letters()), format!("{}, {}", one.words(hand), other.words(hand))]
    }
}

/// The types and the test that tells them apart: what is printed where no type is named.
pub fn all_types(hand: Hand, width: usize) -> String {
    let test = TurnoutReadings::find();
    let mut out = format!("{} turnout, seen from above, points to the left\n\n{}\n", hand_word(hand), drawing(hand));
    out.push_str("wiring types\n");
    for wiring in WIRINGS {
        out.push_str(&paragraph(&format!("  {:<18}", wiring.word()), words(wiring).title, width));
    }
    out.push_str(&format!("\nthe bench test\n{}\n", how_to(width)));
    out.push_str(&readings_table(&test, hand, None));
    out.push_str("\nwhat each type reads\n");
    let mut rows = vec![vec![String::new()]];
    rows[0].extend((1..=test.readings.len()).map(|n| n.to_string()));
    for wiring in WIRINGS {
        let mut row = vec![wiring.word().to_owned()];
        row.extend(test.expected(wiring).into_iter().map(|j| reads(j).to_owned()));
        rows.push(row);
    }
    out.push_str(&table(&rows));
    out.push('\n');
    out.push_str(&paragraph("", &enough_words(&test), width));
    for wiring in WIRINGS {
        let alike = test.alike(wiring);
        if alike.iter().all(|w| *w > wiring) && !alike.is_empty() {
            out.push_str(&paragraph("", &alike_words(wiring, &alike), width));
        }
    }
    out.push_str("\nthen: gapwright turnout --readings ");
    out.push_str(&vec!["joined"; test.readings.len()].join(","));
    out.push_str("\n  (`joined`, `open`, or `?` for a reading not taken)\n");
    out
}

/// A type: what it joins, where its gaps are, what goes wrong, and what it reads.
pub fn one_type(wiring: Wiring, hand: Hand, width: usize) -> String {
    let test = TurnoutReadings::find();
    let about = words(wiring);
    let mut out = paragraph("", &format!("{}: {}", wiring.word(), about.title), width);
    out.push_str(&format!("{} turnout, seen from above, points to the left\n\n{}\n", hand_word(hand), drawing(hand)));
    let loose = Loose::new(wiring, hand);
    out.push_str("conductors\n");
    let always = groups(&loose.groups(None));
    out.push_str(&paragraph("  always      ", &always, width));
    for (position, name) in loose.positions().iter().enumerate() {
        let here = u8::try_from(position).map_or_else(|_| Vec::new(), |p| loose.groups(Some(p)));
        let here = groups(&here);
        let shown = if here == always { "the same" } else { &here };
        out.push_str(&paragraph(&format!("  {name:<12}"), shown, width));
    }
    out.push('\n');
    for (label, text) in [("gaps", about.gaps), ("frog", about.frog), ("goes wrong", about.goes_wrong)] {
        out.push_str(&paragraph(&format!("{label:<14}"), text, width));
    }
    out.push_str(&format!("\nthe bench test\n{}\n", how_to(width)));
    out.push_str(&readings_table(&test, hand, Some(wiring)));
    out.push('\n');
    out.push_str(&paragraph("", &enough_words(&test), width));
    let alike = test.alike(wiring);
    if !alike.is_empty() {
        out.push_str(&paragraph("", &alike_words(wiring, &alike), width));
    }
    out
}

/// What readings say.
pub fn verdict(test: &TurnoutReadings, taken: &[Option<bool>], hand: Hand, width: usize) -> String {
    let fits = test.fits(taken);
    let fitting: Vec<&WiringFit> = fits.iter().filter(|f| f.otherwise.is_empty()).collect();
    let mut out = String::from("taken\n");
    let rows: Vec<Vec<String>> = test
        .readings
        .iter()
        .zip(taken)
        .enumerate()
        .map(|(i, (reading, taken))| {
            let [letters, words] = points_words(reading.points(hand), hand);
            vec![(i + 1).to_string(), letters, words, taken.map_or("not taken", reads).to_owned()]
        })
        .collect();
    out.push_str(&table(&rows));
    out.push('\n');
    let named = |w: Wiring| format!("{}: {}", w.word(), words(w).title);
    if fitting.is_empty() {
        out.push_str(&paragraph("", "no type reads like this; one reading or more went wrong. The nearest:", width));
        let least = fits.first().map_or(0, |f| f.otherwise.len());
        for fit in fits.iter().filter(|f| f.otherwise.len() == least) {
            let again: Vec<String> =
                fit.otherwise.iter().map(|&i| format!("{} {}", i + 1, reads(test.expected(fit.wiring)[i]))).collect();
            out.push_str(&paragraph("  ", &format!("{}, if reading {}", fit.wiring.word(), list(&again)), width));
        }
        let dirt = "Clean the blades and touch again: dirt reads open, a finger or a wire left on reads joined.";
        out.push_str(&paragraph("", dirt, width));
        return out;
    }
    let told_apart =
        fitting.iter().all(|f| f.wiring == fitting[0].wiring || test.alike(f.wiring).contains(&fitting[0].wiring));
    out.push_str(if fitting.len() == 1 { "this is\n" } else { "this is one of\n" });
    for fit in &fitting {
        out.push_str(&paragraph("  ", &named(fit.wiring), width));
    }
    if fitting.len() > 1 && told_apart {
        let rest: Vec<Wiring> = fitting[1..].iter().map(|f| f.wiring).collect();
        out.push_str(&paragraph("", &alike_words(fitting[0].wiring, &rest), width));
    } else if fitting.len() > 1 {
        out.push_str(&paragraph("", "take the readings left out to tell them apart", width));
    }
    out
}

/// What is wired to a turnout of a plan.
pub fn wired(wired: &TurnoutWired, width: usize) -> String {
    let mut out =
        format!("{} of {}\n\n", text::escape_control_chars(&wired.name), text::escape_control_chars(&wired.layout));
    let mut tell = |label: &str, lines: &[String]| {
        for (i, line) in lines.iter().enumerate() {
            let label = if i == 0 { format!("{label:<14}") } else { " ".repeat(14) };
            out.push_str(&paragraph(&label, &text::escape_control_chars(line), width));
        }
    };
    tell("thrown by", &wired.thrown_by);
    tell("contacts", &wired.contacts);
    tell("frog", &wired.frog);
    tell("joins", &wired.joins);
    tell("gaps", &wired.gaps);
    out
}

fn hand_word(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "a left-hand",
        Hand::Right => "a right-hand",
        Hand::Wye => "a wye",
    }
}

fn how_to(width: usize) -> String {
    let text = "Off the layout, nothing wired, nothing joined to its ends. The meter on its lowest ohms. Up to an ohm or \
                two is joined: a dirty blade reads some tenths. Left and right are as seen from the points.";
    paragraph("  ", text, width)
}

/// The readings, those of one position under its name.
fn readings_table(test: &TurnoutReadings, hand: Hand, wiring: Option<Wiring>) -> String {
    let expected = wiring.map(|w| test.expected(w));
    let loose = Loose::new(WIRINGS[0], hand);
    let mut out = String::new();
    for (position, name) in (0..).zip(loose.positions()) {
        let mut rows = Vec::new();
        for (i, reading) in test.readings.iter().enumerate().filter(|(_, r)| r.position == position) {
            let [letters, words] = points_words(reading.points(hand), hand);
            let mut row = vec![(i + 1).to_string(), letters, words];
            row.extend(expected.as_ref().map(|e| reads(e[i]).to_owned()));
            rows.push(row);
        }
        if !rows.is_empty() {
            out.push_str(&format!("  with the turnout set to `{name}`\n{}", table(&rows)));
        }
    }
    out
}

fn groups(groups: &[Vec<TouchPoint>]) -> String {
    let words: Vec<String> =
        groups.iter().map(|g| g.iter().map(|p| p.letters()).collect::<Vec<_>>().join("+")).collect();
    words.join(", ")
}

fn enough_words(test: &TurnoutReadings) -> String {
    let numbers: Vec<String> = test.enough.iter().map(|i| (i + 1).to_string()).collect();
    format!("Readings {} alone would tell; the others show where one of them went wrong.", list(&numbers))
}

fn alike_words(wiring: Wiring, alike: &[Wiring]) -> String {
    let words: Vec<String> = alike.iter().map(|w| w.word().to_owned()).collect();
    format!(
        "No meter tells {} from {} while nothing is wired: what differs is the contact that feeds the frog.",
        wiring.word(),
        list(&words)
    )
}

//! Sheets and orders as text and as comma-separated values.

use crate::cold::ColdSheet;
use crate::orders_paper::{
    IN_ORDER, alike, by_stage, enabled_tests, heading as heading_of_stage, name_of, numbers_of, numbers_of_tests,
    touched, waits,
};
use crate::sentences;
use crate::test::{How, Test, TestKind};
use crate::work::Work;
use schedule::Job;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use text::escape_control_chars;
use text::paragraph;

/// The cold sheet in lines of at most `width` columns where words allow it.
pub fn cold(job: &Job<'_>, sheet: &ColdSheet, width: usize) -> String {
    let mut out = heading(job, "cold tests", width);
    out.push_str(&paragraph("  ", &sentences::how_few(sheet), width));
    for words in [sentences::BEFORE_COLD, sentences::MILLIVOLTS, sentences::NUMBERS] {
        out.push_str(&paragraph("  ", words, width));
    }
    out.push_str(&paragraph("  as at first: ", &sentences::at_first(&job.facts.circuit), width));
    out.push_str(&rows(&sheet.tests, sentences::cold_group, width));
    if !sheet.not_proved.is_empty() {
        out.push_str("\nnot proved by this sheet\n");
        for (what, why) in sentences::not_proved(sheet) {
            out.push_str(&paragraph("  ", &escape_control_chars(&format!("{what}: {why}")), width));
        }
    }
    out
}

/// The hot tests.
pub fn hot(job: &Job<'_>, work: &Work, width: usize) -> String {
    let mut out = heading(job, "hot tests", width);
    for words in &work.hot.left_out {
        out.push_str(&paragraph("  not on this sheet: ", &escape_control_chars(words), width));
    }
    if work.hot.tests.is_empty() {
        return out;
    }
    out.push_str(&paragraph("  ", "Power goes on only when every cold test is well.", width));
    out.push_str(&paragraph("  ", &format!("The load: {}.", sentences::load(work.load)), width));
    out.push_str(&paragraph("  ", sentences::SQUARE_WAVE, width));
    out.push_str(&paragraph("  ", sentences::COIN, width));
    out.push_str(&paragraph("  as at first: ", &sentences::at_first(&job.facts.circuit), width));
    out.push_str(&rows(&work.hot.tests, |test| sentences::hot_group(test).to_owned(), width));
    out
}

/// What is read again once a year.
pub fn yearly(job: &Job<'_>, tests: &[Test], width: usize) -> String {
    let mut out = heading(job, "yearly checks, what ages most first", width);
    out.push_str(&paragraph("  as at first: ", &sentences::at_first(&job.facts.circuit), width));
    out.push_str(&rows(
        tests,
        |_| "as the cold tests of these names, with the limits of aged wiring".to_owned(),
        width,
    ));
    out
}

/// The work orders.
pub fn orders(job: &Job<'_>, work: &Work, width: usize) -> String {
    let mut out = heading(job, "work orders", width);
    out.push_str(&paragraph("  ", IN_ORDER, width));
    if crate::enabling::is_long(&job.facts.circuit, &work.tasks) {
        out.push_str(&paragraph("  ", sentences::LONG_ORDERS, width));
    }
    let (tests, stages) = (numbers_of_tests(&work.cold.tests), by_stage(&work.tasks));
    let mut told = BTreeSet::new();
    for (&(site, stage), of) in &stages {
        let heading = escape_control_chars(&heading_of_stage(job.facts.plan, site, stage));
        let _ = writeln!(out, "\n{heading}"); // writing to a string never fails
        // What is the same at each site is said at the first; cautions are said each time.
        let first = told.insert(stage);
        if first {
            out.push_str(&paragraph("  to hand: ", stage.tools(), width));
        }
        for caution in stage.cautions() {
            out.push_str(&paragraph("  CAUTION: ", caution, width));
        }
        if first {
            out.push_str(&paragraph("  done when: ", stage.check(), width));
        }
        let mut said = "";
        for row in alike(&work.tasks, of.clone()) {
            let task = &work.tasks[row.start];
            // What is done is said once for all that it is done to.
            if said != task.does {
                said = &task.does;
                out.push_str(&paragraph("  ", &format!("{}: {said}", task.reach.word()), width));
            }
            let name = name_of(&work.tasks[row.clone()]);
            let label = format!("{:>8}  ", numbers_of(&row));
            out.push_str(&paragraph(&label, &escape_control_chars(&name), width));
            for (what, words) in [
                ("numbers", touched(job, &work.tasks[row.clone()])),
                ("after", waits(&work.tasks, row.clone(), &stages)),
                ("cold tests", enabled_tests(task, &tests)),
            ] {
                if !words.is_empty() {
                    out.push_str(&paragraph(&format!("          {what:10}  "), &escape_control_chars(&words), width));
                }
            }
        }
    }
    out
}

fn heading(job: &Job<'_>, what: &str, width: usize) -> String {
    let layout = job.facts.plan.layout.as_ref().map_or("", |l| l.value.name.value.as_str());
    paragraph("", &escape_control_chars(&format!("{layout}: {what}")), width)
}

fn rows(tests: &[Test], group: impl Fn(&Test) -> String, width: usize) -> String {
    let mut out = String::new();
    let mut last = String::new();
    for test in tests {
        let here = group(test);
        if here != last {
            out.push('\n');
            out.push_str(&paragraph("", &escape_control_chars(&here), width));
            last = here;
        }
        let label = format!("{:>4}  ", test.number);
        let mut name = crate::sheets::short_name(test).to_owned();
        if !test.about.is_empty() && test.between.is_some() {
            let _ = write!(name, " [{}]", test.about);
        }
        out.push_str(&paragraph(&label, &escape_control_chars(&name), width));
        let mut line = |what: &str, words: &str| {
            out.push_str(&paragraph(&format!("      {what:6}  "), &escape_control_chars(words), width));
        };
        if test.kind == TestKind::Hot && !test.set.is_empty() {
            let set: Vec<String> = test.set.iter().map(|(c, p)| format!("{c} {p}")).collect();
            line("set", &set.join(", "));
        }
        if test.between.is_some() {
            line("probes", &sentences::places(test));
        } else {
            line("do", &test.about);
        }
        match test.how {
            How::Watch => line("due", &test.range),
            _ => line("reads", &format!("{}; well: {}", test.expected_words(), test.passes_words())),
        }
        for words in sentences::mistakes(test) {
            line("wrong", &words);
        }
    }
    out
}

/// Tests as comma-separated values: a line for each, numbers in the unit that stands beside them, empty where a meter reads
/// open or nothing is read.
pub fn to_csv(tests: &[Test]) -> String {
    let mut out =
        "test,kind,set,pieces,probe 1,probe 2,how,range,unit,low,typical,high,well from,well to,mistakes,number\n"
            .to_owned();
    for test in tests {
        let set: Vec<String> = test.set.iter().map(|(c, p)| format!("{c} {p}")).collect();
        let point = |side: usize| test.between.as_ref().map_or("", |b| b[side].words.as_str());
        let number = |value: f64| if value.is_finite() { format!("{value:.4}") } else { String::new() };
        let read = test.expected.map(|e| [e.low, e.typical, e.high].map(number)).unwrap_or_default();
        let passes = if test.how == How::Watch { Default::default() } else { test.passes.map(number) };
        let how = match test.how {
            How::Open => "open",
            How::Joined => "joined",
            How::Millivolts => "1 A and millivolts",
            How::Volts => "volts",
            How::Drop => "volts less volts under load",
            How::Coin => "coin",
            How::Watch => "watch",
        };
        let mistakes = sentences::mistakes(test).join("; ");
        let kind = test.kind.to_string();
        let cells = [&test.name, &kind, &set.join(", "), &test.about];
        let mut line: Vec<String> = cells.iter().map(|c| text::csv::field(c)).collect();
        line.extend([point(0), point(1), how, &test.range, test.how.unit()].map(text::csv::field));
        line.extend(read);
        line.extend(passes);
        line.push(text::csv::field(&mistakes));
        line.push(test.number.to_string());
        out.push_str(&line.join(","));
        out.push('\n');
    }
    out
}

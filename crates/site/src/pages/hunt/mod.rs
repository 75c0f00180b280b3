//! The hunt for a fault: what was seen and read, who is suspected, what to measure next and how.

mod means;
mod places;
mod rows;

pub(crate) use rows::{check_row, note_of, row_of};

use super::bench::{entry_form, hand_fields};
use super::{Page, shell::PageShell, words};
use crate::address::{Fields, address};
use crate::bench_session::BenchView;
use crate::hunted::observation;
use axum::http::StatusCode;
use diagnosis::candidates::most_likely_age;
use diagnosis::claims::SURE;
use diagnosis::{Advice, Element, Hunt, Kit, Options, Pairs, Ranked, Ranking, Refused, Wording, odds};
use logbook::{Entry, EntryKind};
use maud::{Markup, html};
use means::{Means, choices};
use rows::{OVER, row_of_entry};
use text::escape_control_chars;

/// Suspects that are named.
const MOST_SUSPECTS: usize = 6;
/// Below this a suspect is not named by itself.
const LEAST_NAMED: f64 = 0.005;
/// χ² leaves less than this of all sound readings as far off.
const BAD_FIT: f64 = 0.01;

/// What was seen or read in this hunt, and whether it could be used.
struct Evidence<'d> {
    entry: &'d Entry,
    words: String,
    /// Why it says nothing here.
    unused: Option<String>,
}

/// The page.
pub(crate) fn hunt(view: &BenchView<'_, '_>, around: &PageShell<'_>, fields: &Fields) -> Page {
    let means = Means::read(fields);
    let desk = &view.desk;
    let job = desk.job();
    let options = Options { kit: means.kit, years: means.years(), pulling: means.pulling, ..Options::default() };
    let mut hunt = Hunt::new(&job.facts.circuit, options);
    if hunt.wiring.suspects.is_empty() {
        let why =
            "There is nothing in this plan that could be at fault. Give it a supply, a bus, tracks and feeders first.";
        return Page::sorry(StatusCode::OK, "There is nothing to hunt", why);
    }
    let wording = Wording::new(job);
    let evidence = gathered(view, &mut hunt, &wording);
    let body = match found(&mut hunt) {
        Ok((ranking, advice)) => {
            let known = Known { ranking: &ranking, wording: &wording, view };
            html! {
                h1 { "Hunt a fault" }
                div.standing {
                    div #told aria-live="polite" {}
                    ul #waiting .waiting hidden {}
                }
                @if !view.is_file {
                    p.warning { "This is a demo plan: nothing can be entered. " a href="/plan" { "Keep it under a name of your own" } " first." }
                }
                @for caution in diagnosis::wording::cautions(means.kit) { p.caution { b { "Caution: " } (caution) } }
                (seen_form(view, around, &means, evidence.is_empty()))
                @let used = evidence.iter().filter(|one| one.unused.is_none()).count();
                (known.suspects(used))
                @if used > 0 { (places::drawn(&known, &means)) }
                (known.doubts(&mut hunt, &evidence))
                @match advice.get(means.skipped) {
                    Some(advice) => (known.next(&mut hunt, around, &means, advice)),
                    None => (known.nothing_more(means.kit, evidence.is_empty())),
                }
                (so_far(view, around, &means, &evidence))
                (choices(&means))
            }
        }
        Err(why) => html! {
            h1 { "Hunt a fault" }
            p.warning { (escape_control_chars(&why.to_string())) }
        },
    };
    Page::new("Hunt a fault", body)
}

fn found(hunt: &mut Hunt) -> Result<(Ranking, Vec<Advice>), Refused> {
    let pairs = Pairs::new(hunt);
    let ranking = hunt.rank();
    let advice = hunt.next(&pairs, &ranking)?;
    Ok((ranking, advice))
}

/// What was entered since the last hunt was over, taken into this one.
fn gathered<'d>(view: &'d BenchView<'_, '_>, hunt: &mut Hunt, wording: &Wording<'_, '_>) -> Vec<Evidence<'d>> {
    let desk = &view.desk;
    let all: Vec<_> = desk.current().collect();
    let begins = all.iter().rposition(|(_, entry)| entry.says.kind == EntryKind::Remark && entry.says.typed == OVER);
    let mut evidence = Vec::new();
    for (about, entry) in all.into_iter().skip(begins.map_or(0, |at| at + 1)) {
        let taken = if let Some(row) = row_of_entry(entry) {
            let read = observation(wording, hunt, &row).map_err(|e| e.to_string());
            let read = read.and_then(|seen| hunt.observe(seen).map_err(|e| e.to_string()));
            (format!("{} – {}: {}", row.from, row.to, row.reading), read)
        } else if entry.says.kind == EntryKind::Symptom {
            let said = match about {
                Some(about) => format!("{} {}", desk.called(about), entry.says.typed),
                None => entry.says.typed.clone(),
            };
            let seen = diagnosis::symptom_words::symptoms(hunt, &said).map_err(|e| e.to_string());
            let read =
                seen.and_then(|all| all.into_iter().try_for_each(|seen| hunt.observe(seen).map_err(|e| e.to_string())));
            (said, read)
        } else {
            continue;
        };
        evidence.push(Evidence { entry, words: taken.0, unused: taken.1.err() });
    }
    evidence
}

/// What somebody may have seen, with names of this plan.
fn examples(view: &BenchView<'_, '_>) -> Vec<String> {
    let facts = &view.desk.job().facts;
    let mut all = Vec::new();
    if let Some(track) = facts.plan.track.first() {
        let track = escape_control_chars(&track.name.value);
        all.extend(["dead", "slow", "slow when warm"].map(|how| format!("{track} {how}")));
        if let Some(control) = facts.circuit.controls.iter().find(|control| control.positions.len() > 1) {
            let name = escape_control_chars(&control.name);
            all.push(format!("{track} dead when {name} is {}", control.positions[1]));
            all.push(format!("short when {name} is thrown"));
        }
        all.push(format!("{track} runs"));
    }
    all.push("everything runs".to_owned());
    all
}

/// What somebody saw, typed in their own words.
fn seen_form(view: &BenchView<'_, '_>, around: &PageShell<'_>, means: &Means, first: bool) -> Markup {
    let examples = examples(view);
    html! {
        @if view.is_file {
            details.also open[first] {
                summary { "What did you see?" }
                (entry_form(&view.desk, around, EntryKind::Symptom, None, &means.address(0), &html! {
                    label for="seen" { "One thing at a time" }
                    input #seen name="typed" required autocomplete="off" placeholder=(examples[0]);
                    p.quiet { "Such as: " (examples.join(" · ")) "." }
                    (hand_fields("seen", false))
                    button.big type="submit" { "Enter it" }
                }))
            }
        }
    }
}

/// What was entered so far, each with a way to take it back.
fn so_far(view: &BenchView<'_, '_>, around: &PageShell<'_>, means: &Means, evidence: &[Evidence<'_>]) -> Markup {
    html! {
        @if !evidence.is_empty() {
            section aria-labelledby="so-far" {
                h2 id="so-far" { "Seen and read so far" }
                ul.lines {
                    @for one in evidence {
                        li {
                            (escape_control_chars(&one.words))
                            @if let Some(why) = &one.unused { p.warning { "Not used: " (words(why)) "." } }
                            @if view.is_file {
                                (entry_form(&view.desk, around, one.entry.says.kind, None, &means.address(0), &html! {
                                    input type="hidden" name="supersedes" value=(one.entry.id);
                                    input type="hidden" name="typed" value=(logbook::entry::WITHDRAWN);
                                    button.second type="submit" aria-label={ "Take back: " (escape_control_chars(&one.words)) } { "Take it back" }
                                }))
                            }
                        }
                    }
                }
                (entry_form(&view.desk, around, EntryKind::Remark, None, &means.address(0), &html! {
                    input type="hidden" name="typed" value=(OVER);
                    button.second type="submit" { "This hunt is over: begin the next one" }
                }))
            }
        }
    }
}

/// What follows from what is known.
struct Known<'k, 'j, 'p> {
    ranking: &'k Ranking,
    wording: &'k Wording<'j, 'p>,
    view: &'k BenchView<'j, 'p>,
}

impl Known<'_, '_, '_> {
    /// The suspects that are named, the likeliest first.
    fn named(&self) -> impl Iterator<Item = &Ranked> {
        self.ranking.ranked.iter().filter(|r| r.probability >= LEAST_NAMED).take(MOST_SUSPECTS)
    }

    /// The same with the number of each that something is wrong with.
    fn numbered(&self) -> impl Iterator<Item = (&Ranked, Option<usize>)> {
        let mut last = 0;
        self.named().map(move |ranked| {
            let number = (!ranked.elements.is_empty()).then(|| {
                last += 1;
                last
            });
            (ranked, number)
        })
    }

    fn suspects(&self, used: usize) -> Markup {
        let settled = self.ranking.first().filter(|first| first.probability >= SURE);
        html! {
            section aria-labelledby="suspects" {
                h2 id="suspects" { @if used == 0 { "Suspects before anything was read" } @else { "Suspects" } }
                @if let Some(first) = settled {
                    @if first.elements.is_empty() {
                        p.done role="status" { b { "Nothing is wrong " } "with what was tested." }
                    } @else {
                        p.done role="status" { b { "Found: " } (words(&self.faults(first.best))) ". "
                            "Put it right, take the last reading again, and read once more as a check." }
                    }
                }
                ol.suspects {
                    @for (ranked, number) in self.numbered() {
                        li {
                            b.odds { (odds(ranked.probability)) } " "
                            @if let Some(number) = number.filter(|_| used > 0) { span.which { (number) } " " }
                            (words(&self.faults(ranked.best)))
                            @for element in &ranked.elements {
                                @if let Some(number) = self.number(*element) {
                                    " " a href=(address("/place", &[("at", &number)])) { (number) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    fn faults(&self, best: usize) -> String {
        let hypothesis = &self.ranking.hypotheses[best];
        if hypothesis.untouched && !hypothesis.faults.is_empty() {
            let things: Vec<String> =
                hypothesis.faults.iter().map(|fault| self.wording.element(fault.element())).collect();
            return format!("{}: not tested yet", things.join("; "));
        }
        self.wording.faults(&hypothesis.faults)
    }

    /// The number of a thing on the papers, by which its place is found.
    fn number(&self, element: Element) -> Option<String> {
        let numbers = &self.view.desk.job().numbers;
        let number = match element {
            Element::Edge(edge) | Element::Conductor(edge) => numbers.of_edge(edge),
            Element::Gap(a, b) => numbers.of_gap(a, b),
            Element::Pair(..) => None,
        };
        number.map(|number| number.to_string())
    }

    /// Readings that do not fit what else was read.
    fn doubts(&self, hunt: &mut Hunt, evidence: &[Evidence<'_>]) -> Markup {
        let read: Vec<&Evidence<'_>> =
            evidence.iter().filter(|one| one.unused.is_none() && one.entry.says.kind == EntryKind::Reading).collect();
        let doubted = hunt.doubted(self.ranking).unwrap_or_default();
        let touched = self.ranking.hypotheses.first().is_some_and(|h| h.likelihood.degrees > 0);
        html! {
            @for one in &doubted {
                @if let Some(row) = read.get(one.reading) {
                    p.warning { (escape_control_chars(&row.words)) " does not fit what else was read"
                        @if one.decimal_point { "; a decimal point would explain it" }
                        ". Take it again." }
                }
            }
            @if touched && doubted.is_empty() && self.ranking.best_fit < BAD_FIT {
                p.warning { "Nothing the program knows explains these readings well: look for something it does not know." }
            }
        }
    }

    /// The next measurement: how it is taken, what it would read, and where to type it.
    fn next(&self, hunt: &mut Hunt, around: &PageShell<'_>, means: &Means, advice: &Advice) -> Markup {
        let row = crate::hunted::row_of(self.wording, &advice.measurement, "");
        html! {
            section.next aria-labelledby="next" {
                h2 id="next" { "Measure next, about " (advice.whole_minutes()) " min" }
                article.card {
                    ol.steps { @for step in self.wording.steps(&advice.measurement) { li { (words(&step)) } } }
                    ul.lines { @for line in self.foreseen(hunt, advice) { li { (words(&line)) } } }
                    @if self.view.is_file {
                        (entry_form(&self.view.desk, around, EntryKind::Reading, None, &means.address(0), &html! {
                            (rows::fields_of(&row))
                            label for="read" { "What the meter shows" }
                            input.reading #read name="typed" required autocomplete="off" autocapitalize="off" spellcheck="false"
                                aria-describedby="hint";
                            p.quiet #hint { (words(means.kit.hint())) "." }
                            (hand_fields("read", false))
                            button.big type="submit" { "Enter the reading" }
                        }))
                    }
                    p { a.wide href=(means.address(means.skipped + 1)) { "I cannot get there: another measurement" } }
                }
            }
        }
    }

    /// What it would read: all well, then the likeliest suspects.
    fn foreseen(&self, hunt: &mut Hunt, advice: &Advice) -> Vec<String> {
        let (age, kit) = (most_likely_age(self.ranking), advice.measurement.kit);
        let Ok(range) = hunt.well_between(&advice.measurement, age) else { return Vec::new() };
        let [low, high] = range.map(|ohms| self.wording.reading(kit, ohms));
        let mut lines = vec![format!("All well: {}", if low == high { low } else { format!("{low} to {high}") })];
        let mut shown: Vec<String> = Vec::new();
        for ranked in self.ranking.ranked.iter().filter(|r| !r.elements.is_empty()).take(40) {
            let hypothesis = &self.ranking.hypotheses[ranked.best];
            let Ok(ohms) = hunt.foreseen(&advice.measurement, hypothesis.age, &hypothesis.faults) else { continue };
            let reading = self.wording.reading(kit, ohms);
            if !(range[0]..=range[1]).contains(&ohms) && shown.len() < 2 && !shown.contains(&reading) {
                lines.push(format!("About {reading}: {}", self.wording.faults(&hypothesis.faults)));
                shown.push(reading);
            }
        }
        lines
    }

    fn nothing_more(&self, kit: Kit, nothing_yet: bool) -> Markup {
        let settled = self.ranking.first().is_some_and(|first| first.probability >= SURE);
        html! {
            @if nothing_yet {
                section aria-labelledby="next" {
                    h2 id="next" { "Say first what you see" }
                    p { "Everything is suspected alike, and no single measurement would tell much. Enter what does not run, and what does." }
                }
            } @else if !settled {
                section aria-labelledby="next" {
                    h2 id="next" { "These readings cannot tell" }
                    p { "No further one with this kit would part the first of the suspects. "
                        @if kit == Kit::Bench { "Look at them: solder again, press, or exchange the likeliest first." }
                        @else { "A bench supply at 1 A and millivolts may: choose it below." } }
                }
            }
        }
    }
}

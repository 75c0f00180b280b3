//! What a reading says: whether it is well by the limits of its test, and what it would mean if not. Limits and mistakes are those of
//! `commissioning`.

use commissioning::explain::{beyond_mistakes, explanations};
use commissioning::meter::TEST_AMPS;
use commissioning::test::Topic;
use commissioning::test::shown_with_unit;
use commissioning::{How, Test};
use logbook::instrument::Instrument;
use logbook::typed::{NotTyped, Typed};

/// What a reading says of its test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is within the limits.
    Well,
    /// It is beyond the limits of new wiring and within those of aged wiring, and it once was well.
    Aged,
    /// It is beyond the limits.
    Fails,
    /// It does not tell.
    Unclear,
}

impl Verdict {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Well => "PASS",
            Verdict::Aged => "PASS, aged",
            Verdict::Fails => "FAIL",
            Verdict::Unclear => "NOT CLEAR",
        }
    }
}

/// A reading with what it says.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// What it says.
    pub verdict: Verdict,
    /// The reading in the test's unit, the leads taken off; none of what is only yes or no.
    pub value: Option<f64>,
    /// What was taken off or converted, in words; empty where nothing was.
    pub how: String,
    /// What it may mean, the likeliest first.
    pub means: Vec<String>,
    /// What else to know or to do.
    pub hints: Vec<String>,
}

/// What a reading was taken with.
pub(crate) struct TakenWith<'i> {
    pub(crate) instrument: Option<&'i Instrument>,
    pub(crate) lead_zero: Option<f64>,
    /// The greatest reading of the range, in the test's unit, where the range was said.
    pub(crate) most: Option<f64>,
    /// What was typed, for its decimals.
    pub(crate) typed: &'i str,
}

/// `live` and `dead` are the answers to whether a track is what it should be.
pub(crate) fn as_yes_or_no(test: &Test, typed: Typed) -> Typed {
    match (test.topic, typed) {
        (Topic::Storage { live: true, .. }, Typed::Live) | (Topic::Storage { live: false, .. }, Typed::Dead) => {
            Typed::Yes
        }
        (Topic::Storage { .. }, Typed::Live | Typed::Dead) => Typed::No,
        _ => typed,
    }
}

/// Judges a reading; `aged`: the same test with the limits of aged wiring, where it was well before.
///
/// # Errors
/// Where it is no reading of this test; with a line that would be right.
pub(crate) fn judge(test: &Test, aged: Option<&Test>, typed: Typed, with: &TakenWith<'_>) -> Result<Judged, NotTyped> {
    let number = test.number;
    let mismatch = |what: &str, help: String| NotTyped { what: format!("test {number} {what}"), help };
    let yes_or_no = matches!(test.how, How::Watch | How::Coin);
    let plain = |verdict| Judged { verdict, value: None, how: String::new(), means: Vec::new(), hints: Vec::new() };
    let (value, how, slack) = match (test.how, as_yes_or_no(test, typed)) {
        (How::Watch | How::Coin, Typed::Yes) => return Ok(plain(Verdict::Well)),
        (How::Watch | How::Coin, Typed::No) => {
            return Ok(Judged { means: all_mistakes(test), ..plain(Verdict::Fails) });
        }
        (How::Coin, Typed::Amps(amps) | Typed::Bare(amps)) => (amps, String::new(), 0.0),
        (_, Typed::Yes | Typed::No | Typed::Live | Typed::Dead) | (How::Watch | How::Coin, _) => {
            let help = if yes_or_no { format!("{number} yes") } else { format!("{number} {}", example(test)) };
            let what = match test.topic {
                Topic::Storage { .. } => "is answered by yes or no, or by live or dead",
                _ if yes_or_no => "is answered by yes or no",
                _ => "wants a reading",
            };
            return Err(mismatch(what, help));
        }
        (How::Open, Typed::Buzzes) => (0.0, String::new(), 0.0),
        (_, Typed::Buzzes) => {
            let mut judged = plain(Verdict::Unclear);
            judged
                .hints
                .push(format!("a buzzer sounds at some ten ohms too; read it: well is {}", test.passes_words()));
            return Ok(judged);
        }
        (How::Open | How::Joined | How::Millivolts, Typed::OverRange) => {
            // More than the range shows need not be open.
            if let Some(most) = with.most.filter(|most| test.how == How::Open && *most < test.passes[0]) {
                let mut judged = plain(Verdict::Unclear);
                judged.hints.push(format!("`OL` on that range says more than {most} Ω; read it on {}", test.range));
                return Ok(judged);
            }
            (f64::INFINITY, String::new(), 0.0)
        }
        (How::Open | How::Joined, Typed::Ohms(ohms) | Typed::Bare(ohms)) => {
            let (ohms, how) = without_leads(ohms, with, test)?;
            (ohms, how, 0.0)
        }
        (How::Millivolts, Typed::Volts(volts)) => (volts * 1e3, String::new(), 0.0),
        (How::Millivolts, Typed::Bare(millivolts)) => (millivolts, String::new(), 0.0),
        (How::Millivolts, Typed::Ohms(ohms)) => {
            let (ohms, mut how) = without_leads(ohms, with, test)?;
            let value = ohms * TEST_AMPS * 1e3;
            let join = if how.is_empty() { "" } else { "; " };
            how.push_str(&format!("{join}{} Ω is {} at {TEST_AMPS} A", three(ohms), shown_with_unit(test.how, value)));
            // The sheet's limits have the error of the millivolt range in them, not that of an ohmmeter's steps.
            (value, how, step(with, Typed::Ohms(ohms)) * 0.5 * TEST_AMPS * 1e3)
        }
        (How::Volts | How::Drop, Typed::Volts(volts) | Typed::Bare(volts)) => (volts, String::new(), 0.0),
        _ => {
            let unit = test.how.unit();
            return Err(mismatch(&format!("is read in {unit}"), format!("{number} {}", example(test))));
        }
    };
    Ok(of_value(test, aged, value, slack, how))
}

fn of_value(test: &Test, aged: Option<&Test>, value: f64, slack: f64, how: String) -> Judged {
    let mut hints = Vec::new();
    let [low, high] = [value - slack, value + slack];
    let verdict =
        if slack > 0.0 && !(test.is_well(low) && test.is_well(high)) && low <= test.passes[1] && high >= test.passes[0]
        {
            hints.push(
                "an ohmmeter's steps are too coarse here; read it with 1 A and millivolts, as the sheet says"
                    .to_owned(),
            );
            Verdict::Unclear
        } else if test.is_well(value) {
            Verdict::Well
        } else if aged.is_some_and(|aged| aged.is_well(value)) {
            let limits = aged.map_or_else(String::new, Test::passes_words);
            hints.push(format!(
                "beyond what it read when new; within what aged wiring may read, {limits}: clean and press what slides"
            ));
            Verdict::Aged
        } else {
            Verdict::Fails
        };
    let beyond = verdict == Verdict::Fails && beyond_mistakes(test, value);
    let means = if verdict == Verdict::Fails && !beyond { explained(test, value) } else { Vec::new() };
    if test.how == How::Coin && verdict == Verdict::Well {
        hints.push(format!("and the breaker must have opened: if it stayed shut, enter `{} no`", test.number));
    }
    if beyond {
        let words = "no single mistake the program knows reads so: look at probes, clips, range and setting first";
        hints.push(words.to_owned());
    }
    Judged { verdict, value: Some(value), how, means, hints }
}

/// The mistakes that read most like it, each with what it would read.
fn explained(test: &Test, value: f64) -> Vec<String> {
    let found = explanations(test, value).into_iter();
    found
        .map(|mistake| format!("{} (would read {})", mistake.what, shown_with_unit(test.how, mistake.reading)))
        .collect()
}

fn all_mistakes(test: &Test) -> Vec<String> {
    test.mistakes.iter().take(3).map(|mistake| mistake.what.clone()).collect()
}

/// Ohms less those of the leads, by the meter's factor; and in words what was done.
fn without_leads(ohms: f64, with: &TakenWith<'_>, test: &Test) -> Result<(f64, String), NotTyped> {
    let own = Instrument::with_resolution(step(with, Typed::Ohms(ohms)));
    let instrument = with.instrument.unwrap_or(&own);
    let lead_zero = with.lead_zero.unwrap_or(instrument.lead_zero);
    if ohms < 0.0 || (lead_zero == 0.0 && instrument.factor == 1.0) || test.how == How::Open {
        let negative = ohms < -instrument.resolution * (instrument.digits + 1.0);
        if negative {
            let help = format!("{} {}", test.number, example(test));
            return Err(NotTyped { what: format!("no resistance is {ohms} Ω"), help });
        }
        return Ok((ohms.max(0.0), String::new()));
    }
    let left = instrument.corrected_ohms(ohms, lead_zero)?;
    let factor = if instrument.factor == 1.0 { String::new() } else { format!(" times {}", instrument.factor) };
    Ok((left, format!("{} Ω less {} Ω of the leads{factor} is {} Ω", three(ohms), three(lead_zero), three(left))))
}

/// The step of the display: the meter's own, else what the decimals typed say.
fn step(with: &TakenWith<'_>, typed: Typed) -> f64 {
    let Typed::Ohms(_) = typed else { return 0.0 };
    if let Some(instrument) = with.instrument {
        return instrument.resolution;
    }
    let tidy = with.typed.replace(',', ".");
    let decimals = tidy.split_once('.').map_or(0, |(_, rest)| rest.chars().take_while(char::is_ascii_digit).count());
    let unit = if tidy.contains("mΩ") || tidy.contains("mohm") || tidy.contains("milli") { 1e-3 } else { 1.0 };
    unit * 0.1_f64.powi(i32::try_from(decimals).unwrap_or(9))
}

/// Three figures, without zeros that say nothing.
fn three(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { "∞".to_owned() };
    }
    let decimals = (2 - value.abs().log10().floor() as i32).clamp(0, 6) as usize;
    let shown = format!("{value:.decimals$}");
    if shown.contains('.') { shown.trim_end_matches('0').trim_end_matches('.').to_owned() } else { shown }
}

/// A reading that would be one of this test.
pub fn example(test: &Test) -> String {
    match (test.how, test.expected) {
        (How::Watch | How::Coin, _) | (_, None) => "yes".to_owned(),
        (How::Open, _) => "OL".to_owned(),
        (_, Some(expected)) => shown_with_unit(test.how, expected.typical).replace('Ω', "ohm"),
    }
}

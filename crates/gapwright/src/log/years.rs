//! Readings over the years.

use super::{At, say, say_behind, with_desk};
use crate::exit::CliError;
use commissioning::test::{shown, shown_with_unit};
use logbook::trend::{BASELINE, REFERENCE_CELSIUS, Trend};
use site::logged::{Desk, Years};

/// Shows readings over the years; false where one is changing towards its limit.
pub fn years(at: &At, wanted: Option<usize>) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        if let Some(number) = wanted {
            super::enter::test_of(at, desk, &number.to_string())?;
        }
        let mut found = desk.years();
        found.retain(|years| wanted.is_none_or(|number| desk.tests()[years.test].number == number));
        if found.is_empty() {
            say("no test was read more than once yet; a change shows from the fourth reading on")?;
            return Ok(true);
        }
        // What crosses its limit first, then what changes, then the rest.
        let order = |years: &Years<'_>| {
            let trend = years.trend.as_ref();
            (trend.and_then(|t| t.crosses).unwrap_or(f64::INFINITY), trend.and_then(|t| t.changed).is_none())
        };
        found.sort_by(|a, b| order(a).0.total_cmp(&order(b).0).then(order(a).1.cmp(&order(b).1)));
        let mut steady = 0;
        let mut early = 0;
        let mut changing = false;
        for years in &found {
            let changed = years.trend.as_ref().and_then(|trend| trend.changed);
            changing |= changed.is_some();
            if changed.is_some() || wanted.is_some() {
                one(desk, years)?;
            } else if years.trend.is_some() {
                steady += 1;
            } else {
                early += 1;
            }
        }
        if steady > 0 {
            say(&format!("{steady} tests are steady: what they changed by is within what the meter and the air make"))?;
        }
        if early > 0 {
            say(&format!("{early} tests have {BASELINE} readings or fewer: too few to tell"))?;
        }
        Ok(!changing)
    })
}

fn one(desk: &Desk<'_, '_>, years: &Years<'_>) -> Result<(), CliError> {
    let test = desk.tests()[years.test];
    say(&format!("test {}, {}", test.number, test.name))?;
    let reference = super::enter::shown_air(desk, REFERENCE_CELSIUS);
    for (index, entry) in years.readings.iter().enumerate() {
        let value = entry.says.value.unwrap_or_default();
        let air = entry.says.air.map_or_else(|| "air not noted".to_owned(), |air| super::enter::shown_air(desk, air));
        let at_20 = years.trend.as_ref().map(|trend| trend.corrected[index]);
        let corrected = at_20.map_or_else(String::new, |at_20| format!("; {} at {reference}", shown(test.how, at_20)));
        say_behind(
            "  ",
            &format!("{}: {} ({air}{corrected})", entry.says.time.day(), shown_with_unit(test.how, value)),
        )?;
    }
    let Some(trend) = &years.trend else {
        return say_behind("  ", &format!("{BASELINE} readings make the mean; a change shows from the next one on"));
    };
    let unit = test.how.unit();
    let mean = shown_with_unit(test.how, trend.mean);
    match trend.changed {
        None => say_behind(
            "  ",
            &format!("steady: mean of the first {BASELINE} is {mean}; chance alone makes ±{:.2} {unit}", trend.sigma),
        )?,
        Some(index) => {
            let since = years.readings[index].says.time.year();
            let Some(slope) = trend.slope else {
                let last = trend.corrected.last().copied().unwrap_or_default();
                let words = format!(
                    "CHANGED: {} from a mean of {mean}; how fast, readings of less than three months do not tell",
                    shown_with_unit(test.how, last)
                );
                say_behind("  ", &words)?;
                return without_air(trend);
            };
            let limit = if slope > 0.0 { years.passes[1] } else { years.passes[0] };
            let crosses = trend.crosses.map_or_else(
                || "at this pace it stays within its limits for decades".to_owned(),
                |year| format!("at this pace it crosses {} in {}", shown_with_unit(test.how, limit), year.floor()),
            );
            let words = format!("CHANGING since {since}: {slope:+.2} {unit} a year from a mean of {mean}; {crosses}");
            say_behind("  ", &words)?;
        }
    }
    without_air(trend)
}

fn without_air(trend: &Trend) -> Result<(), CliError> {
    if trend.without_air > 0 {
        say_behind("  ", &format!("{} readings have no air noted: each may be off for that alone", trend.without_air))?;
    }
    Ok(())
}

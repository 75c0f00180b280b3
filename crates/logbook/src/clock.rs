//! The clock: moments with the offset of where they were noted.

use jiff::civil::{Date, DateTime, Time};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};
use std::fmt;

/// A moment as RFC 3339 writes it, with the offset of where it was noted: `2026-05-01T18:20:00.000+02:00`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moment {
    text: String,
    instant: Timestamp,
}

impl Moment {
    /// Now, by this machine's clock and time zone.
    pub fn now() -> Moment {
        Moment::from_zoned(&ZonedDateTime::now())
    }

    fn from_zoned(zoned: &ZonedDateTime) -> Moment {
        let text = zoned.strftime("%Y-%m-%dT%H:%M:%S%.3f%:z").to_string();
        // What is kept is what is written: thousandths of a second.
        let instant = text.parse().unwrap_or_else(|_| zoned.timestamp());
        Moment { text, instant }
    }

    /// A moment as it was written by a logbook; none where that is no RFC 3339 with an offset.
    pub fn parse(text: &str) -> Option<Moment> {
        let plain = text.len() <= 40 && text.chars().all(|c| c.is_ascii_graphic());
        let instant = text.parse().ok().filter(|_| plain)?;
        Some(Moment { text: text.to_owned(), instant })
    }

    /// A moment as people write it, by this machine's time zone: `2026-05-01`, `2026-05-01 18:20`, `18:20` of this day, or in
    /// full with an offset.
    pub fn from_typed(typed: &str, now: &Moment) -> Option<Moment> {
        let typed = typed.trim();
        if let Some(whole) = Moment::parse(typed) {
            return Some(whole);
        }
        let (day, hour) = match typed.split_once([' ', 'T']) {
            Some((day, hour)) => (day.parse::<Date>().ok()?, time(hour.trim())?),
            None if typed.contains(':') => (now.text.get(..10)?.parse().ok()?, time(typed)?),
            None => (typed.parse().ok()?, Time::midnight()),
        };
        let zoned = DateTime::from_parts(day, hour).to_zoned_datetime(TimeZone::system()).ok()?;
        Some(Moment::from_zoned(&zoned))
    }

    /// The year where it was noted.
    pub fn year(&self) -> i32 {
        self.text.get(..4).and_then(|year| year.parse().ok()).unwrap_or(0)
    }

    /// The day where it was noted: `2026-05-01`.
    pub fn day(&self) -> &str {
        self.text.get(..10).unwrap_or(&self.text)
    }

    /// The minute where it was noted: `2026-05-01 18:20`.
    pub fn minute(&self) -> String {
        self.text.get(..16).unwrap_or(&self.text).replace('T', " ")
    }

    /// Years since another moment, of 365.2425 days.
    pub fn years_since(&self, other: &Moment) -> f64 {
        self.hours_since(other) / (24.0 * 365.2425)
    }

    /// Hours since another moment.
    pub fn hours_since(&self, other: &Moment) -> f64 {
        (self.instant.as_millisecond() - other.instant.as_millisecond()) as f64 / 3.6e6
    }

    pub(crate) fn milliseconds(&self) -> i64 {
        self.instant.as_millisecond()
    }

    /// As it is kept.
    pub fn as_str(&self) -> &str {
        &self.text
    }
}

fn time(typed: &str) -> Option<Time> {
    let (hour, rest) = typed.split_once(':')?;
    let (minute, second) = rest.split_once(':').unwrap_or((rest, "0"));
    Time::new(hour.parse().ok()?, minute.parse().ok()?, second.parse().ok()?, 0).ok()
}

impl PartialOrd for Moment {
    fn partial_cmp(&self, other: &Moment) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Moment {
    fn cmp(&self, other: &Moment) -> std::cmp::Ordering {
        (self.instant, &self.text).cmp(&(other.instant, &other.text))
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

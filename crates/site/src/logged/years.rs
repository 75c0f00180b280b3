//! One test over the years.

use crate::logged::desk::Desk;
use crate::logged::readings::ReadsWord;
use commissioning::meter::{JOINED, VOLTS, millivolt_range};
use commissioning::warmth::per_kelvin;
use commissioning::{How, Test};
use logbook::Entry;
use logbook::instrument::Instrument;
use logbook::trend::{Trend, YearReading, trend};
use std::collections::BTreeMap;

/// One test over the years.
#[derive(Clone, Debug)]
pub struct Years<'d> {
    /// Its index.
    pub test: usize,
    /// Its readings since what it proves was last repaired, in order of time.
    pub readings: Vec<&'d Entry>,
    /// How much it grows per kelvin.
    pub per_kelvin: f64,
    /// From where to where it is well over the years.
    pub passes: [f64; 2],
    /// What they say; none as long as there are too few.
    pub trend: Option<Trend>,
}

impl Desk<'_, '_> {
    /// Tests that were read more than once, over the years.
    pub fn years(&self) -> Vec<Years<'_>> {
        let (repaired, meters) = (self.repaired(), self.meters());
        let all = (0..self.tests.len()).filter_map(|index| {
            let test = self.tests[index];
            let holds = |entry: &&Entry| {
                let in_unit = entry.says.unit == test.how.unit() && entry.says.value.is_some_and(f64::is_finite);
                in_unit
                    && self.is_same_load(test, entry)
                    && repaired.get(&index).is_none_or(|then| *then <= entry.says.time)
            };
            let readings: Vec<&Entry> = self.readings(index).into_iter().filter(holds).collect();
            let first = readings.first().filter(|_| readings.len() > 1)?;
            let of = |entry: &&Entry| YearReading {
                year: f64::from(first.says.time.year())
                    + entry.says.time.years_since(&first.says.time)
                    + first_of(first),
                value: entry.says.value.unwrap_or_default(),
                air: entry.says.air,
                uncertainty: repeatability(&meters, test, entry),
            };
            let rows: Vec<YearReading> = readings.iter().map(of).collect();
            let per_kelvin = per_kelvin(self.job, test);
            let passes = self.aged.get(&test.number).map_or(test.passes, |aged| aged.passes);
            let trend = trend(&rows, per_kelvin, passes);
            Some(Years { test: index, readings, per_kelvin, passes, trend })
        });
        all.collect()
    }
}

/// What a reading may be off by beside another of the same meter.
fn repeatability(meters: &BTreeMap<(String, ReadsWord), Instrument>, test: &Test, entry: &Entry) -> f64 {
    if let Some(meter) = meters.get(&(entry.says.instrument.clone(), test.how.unit())) {
        return meter.repeatability();
    }
    // The sheet of a cheap meter, as the limits take it.
    let digits = match test.how {
        How::Millivolts => millivolt_range(entry.says.value.unwrap_or_default()).digits,
        How::Volts | How::Drop => VOLTS.digits,
        _ => JOINED.digits,
    };
    digits / 3f64.sqrt()
}

/// Which part of its year a reading was taken in.
fn first_of(entry: &Entry) -> f64 {
    let day = entry.says.time.day();
    let part = |range: std::ops::Range<usize>| day.get(range).and_then(|part| part.parse::<f64>().ok()).unwrap_or(1.0);
    ((part(5..7) - 1.0) * 30.44 + part(8..10) - 1.0) / 365.25
}

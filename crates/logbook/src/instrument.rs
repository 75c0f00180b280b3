//! A meter: what its display can tell apart, what its maker promises, what its leads read, what a known resistor says of it.

use crate::typed::{NotTyped, Typed, typed};

/// A meter on one range, as its sheet has it: `0.1 Ω; 0.8 % + 5 digits; leads 0.3 Ω; factor 1.002`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instrument {
    /// The least step of its display, in the unit of its readings.
    pub resolution: f64,
    /// What it may be off by, as a part of the reading.
    pub share: f64,
    /// What it may be off by besides, in steps of its display.
    pub digits: f64,
    /// What its leads read when held together, in ohms.
    pub lead_zero: f64,
    /// What its readings are multiplied by, from a known resistor.
    pub factor: f64,
}

/// What kind of reading a meter's words are about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reads {
    /// Ohms.
    Ohms,
    /// Millivolts.
    Millivolts,
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
}

impl Instrument {
    /// A meter that shows steps of this size and of which nothing else is known.
    pub fn with_resolution(resolution: f64) -> Instrument {
        Instrument { resolution, share: 0.0, digits: 0.0, lead_zero: 0.0, factor: 1.0 }
    }

    /// Reads the words it was entered with, parts between semicolons.
    ///
    /// # Errors
    /// Where a part is not understood; with a line that would be right.
    pub fn parse(words: &str) -> Result<(Instrument, Reads), NotTyped> {
        let wrong = |part: &str| NotTyped {
            what: format!("`{part}` says nothing of a meter"),
            help: "write it as `0.1 Ω; 0.8 % + 5 digits; leads 0.3 Ω; factor 1.002`".to_owned(),
        };
        let mut parts = words.split(';').map(str::trim).filter(|part| !part.is_empty());
        let first = parts.next().ok_or_else(|| wrong(words))?;
        let step = first.strip_prefix("resolution").unwrap_or(first).trim();
        let (resolution, reads) = match typed(step)? {
            Typed::Ohms(ohms) => (ohms, Reads::Ohms),
            // Where a step is less than a volt the range is one of millivolts.
            Typed::Volts(volts) if volts < 1e-2 => (volts * 1e3, Reads::Millivolts),
            Typed::Volts(volts) => (volts, Reads::Volts),
            Typed::Amps(amps) => (amps, Reads::Amps),
            _ => return Err(wrong(first)),
        };
        if resolution <= 0.0 {
            return Err(wrong(first));
        }
        let mut instrument = Instrument::with_resolution(resolution);
        for part in parts {
            if let Some(rest) = part.strip_prefix("leads") {
                let Ok(Typed::Ohms(ohms) | Typed::Bare(ohms)) = typed(rest.trim()) else { return Err(wrong(part)) };
                instrument.lead_zero = ohms;
            } else if let Some(rest) = part.strip_prefix("factor") {
                let Ok(Typed::Bare(factor)) = typed(rest.trim()) else { return Err(wrong(part)) };
                if !(0.5..=2.0).contains(&factor) {
                    return Err(wrong(part));
                }
                instrument.factor = factor;
            } else {
                (instrument.share, instrument.digits) = accuracy(part).ok_or_else(|| wrong(part))?;
            }
        }
        Ok((instrument, reads))
    }

    /// The words it is entered with.
    pub fn words(&self, reads: Reads) -> String {
        let unit = match reads {
            Reads::Ohms => "Ω",
            Reads::Millivolts => "mV",
            Reads::Volts => "V",
            Reads::Amps => "A",
        };
        let mut words = format!("{} {unit}", self.resolution);
        if self.share > 0.0 || self.digits > 0.0 {
            // Rounded, so that 0.8 % does not come back as 0.8000000000000002 %.
            words.push_str(&format!("; {} % + {} digits", (self.share * 1e8).round() / 1e6, self.digits));
        }
        if self.lead_zero != 0.0 {
            words.push_str(&format!("; leads {} Ω", self.lead_zero));
        }
        if (self.factor - 1.0).abs() > 1e-9 {
            words.push_str(&format!("; factor {}", (self.factor * 1e6).round() / 1e6));
        }
        words
    }

    /// The standard uncertainty that the steps of its display bring: r/(2√3), since anything within half a step of what it shows is
    /// as likely (GUM, JCGM 100:2008, F.2.2.1).
    pub fn resolution_uncertainty(&self) -> f64 {
        self.resolution / (2.0 * 3f64.sqrt())
    }

    /// The standard uncertainty of a reading: the steps, and the maker's limits as a rectangular distribution (GUM, 4.3.7).
    pub fn uncertainty(&self, reading: f64) -> f64 {
        let limits = (self.share * reading.abs() + self.digits * self.resolution) / 3f64.sqrt();
        self.resolution_uncertainty().hypot(limits)
    }

    /// The standard uncertainty of what one reading of this meter says beside another of the same one on the same range: what it is off
    /// by as a part of the reading is in both, and falls out.
    pub fn repeatability(&self) -> f64 {
        self.resolution_uncertainty().hypot(self.digits * self.resolution / 3f64.sqrt())
    }

    /// What a reading in ohms says once the leads are taken off and the factor is in. What comes out below nothing by no more than the
    /// meter may be off by is nothing.
    ///
    /// # Errors
    /// Where the leads alone read more than the whole did: then the lead zero is not that of these leads.
    pub fn corrected_ohms(&self, reading: f64, lead_zero: f64) -> Result<f64, NotTyped> {
        let left = reading - lead_zero;
        let most_off = self.share * reading.abs() + (self.digits + 1.0) * self.resolution;
        if left < -most_off {
            return Err(NotTyped {
                what: format!("{reading} Ω is less than the leads alone read, {lead_zero} Ω"),
                help: "hold the leads together once more, and give what they read now with `--zero`".to_owned(),
            });
        }
        Ok((left * self.factor).max(0.0))
    }
}

/// The factor of a meter from a known resistor: what it is, what the meter reads of it, and what the leads read alone.
pub fn factor_from(known: f64, reads: f64, lead_zero: f64) -> Option<f64> {
    let factor = known / (reads - lead_zero);
    (factor.is_finite() && (0.5..=2.0).contains(&factor)).then_some(factor)
}

/// `0.5 % + 2 digits`, `±(0.8% + 5)`, `1 %`, `2 dgt`: a part of the reading, and steps of the display.
fn accuracy(words: &str) -> Option<(f64, f64)> {
    let plain = words.strip_prefix("accuracy").unwrap_or(words).replace([',', '±', '(', ')'], " ");
    let words = if words.contains(',') { words.replace(',', ".").replace(['±', '(', ')'], " ") } else { plain };
    let words = words.trim().trim_start_matches("accuracy").trim();
    let words = words.strip_prefix("+-").or_else(|| words.strip_prefix("+/-")).unwrap_or(words);
    let (mut share, mut digits) = (None, None);
    for part in words.split('+').map(str::trim) {
        let end = part.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(part.len());
        let number: f64 = part[..end].parse().ok()?;
        match part[end..].trim().to_lowercase().as_str() {
            "%" | "% rdg" | "% of reading" | "percent" | "per cent" if share.is_none() => share = Some(number / 100.0),
            "digits" | "digit" | "dgt" | "dgts" | "d" | "counts" | "count" | "lsd" | "" if digits.is_none() => {
                digits = Some(number)
            }
            _ => return None,
        }
    }
    let (share, digits) = (share.unwrap_or(0.0), digits.unwrap_or(0.0));
    ((0.0..=0.5).contains(&share) && (0.0..=1000.0).contains(&digits)).then_some((share, digits))
}

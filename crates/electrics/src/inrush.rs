//! A fleet of decoders at switch-on: does the breaker hold while their capacitors fill?
//!
//! n alike decoders, each with a capacitor C behind a bridge of drop V_d and an inrush resistance r (its own series
//! resistance and whatever limits its inrush), on one loop resistance R with a steady current I_b beside them. All are
//! empty, so all fill alike, and each capacitor's voltage v has
//! `V' − v = (n·R + r)·i`, `C·dv/dt = i`, with `V' = V − V_d − R·I_b`. So the supply gives, exactly,
//!
//! `I(t) = I_b + n·V'/(n·R + r) · e^(−t/τ)`, `τ = (n·R + r)·C`.
//!
//! It is above a trip current for `t = τ·ln(n·V'/((n·R + r)·(I_trip − I_b)))`; where that is as long as the breaker's
//! delay it trips. The time grows with n, C and I_b. Over R it has one greatest value (without I_b at
//! `n·R + r = n·V'/(e·I_trip)`) and falls on either side: with less resistance there is more current for less time.
//!
//! The square wave reverses meanwhile; a bridge does not mind. What its reversals lose in the inductance of the wiring
//! (see [`crate::commutation`]) makes the current less and longer, and is left out.

use handbook::Spread;

/// Alike decoders on one supply, at the moment it is switched on. All values finite, none negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fleet {
    /// How many.
    pub decoders: u32,
    /// Capacitance of each, farads.
    pub farads: f64,
    /// Inrush resistance of each, ohms.
    pub inrush_ohms: f64,
    /// Drop of each one's bridge: two diodes, volts.
    pub bridge_volts: f64,
    /// Volts of the supply.
    pub volts: f64,
    /// Loop resistance they share, supply included, ohms.
    pub loop_ohms: f64,
    /// Steady current that flows beside, amperes.
    pub steady_amps: f64,
}

/// Whether a breaker holds a switch-on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwitchOn {
    /// The greatest current, right at the start, amperes. Endless where neither loop nor decoders have resistance.
    pub first_amps: f64,
    /// How long the current is at or above the trip current, seconds. Endless where the steady current alone is.
    pub above_seconds: f64,
    /// Whether that is as long as the breaker's delay.
    pub trips: bool,
}

/// How many decoders can be switched on at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum AtOnce {
    /// This many and no more.
    UpTo(u32),
    /// Any number: the loop resistance alone keeps the current below the trip current.
    AnyNumber,
}

impl Fleet {
    /// Resistance in series with all of the capacitors side by side, ohms.
    fn ohms(&self) -> f64 {
        self.loop_ohms + self.inrush_ohms / f64::from(self.decoders)
    }

    /// Volts that fill the capacitors: what is left of the supply's.
    pub fn filling_volts(&self) -> f64 {
        (self.volts - self.bridge_volts - self.loop_ohms * self.steady_amps).max(0.0)
    }

    /// The time constant, seconds.
    pub fn time_constant(&self) -> f64 {
        (f64::from(self.decoders) * self.loop_ohms + self.inrush_ohms) * self.farads
    }

    /// Current of the supply at this many seconds after switch-on, amperes; `seconds` not negative.
    pub fn amps_at(&self, seconds: f64) -> f64 {
        if self.decoders == 0 || self.filling_volts() == 0.0 {
            return self.steady_amps;
        }
        let fallen = if seconds == 0.0 { 1.0 } else { (-seconds / self.time_constant()).exp() };
        self.steady_amps + if fallen == 0.0 { 0.0 } else { self.filling_volts() / self.ohms() * fallen }
    }

    /// How long the current is at or above this one, seconds.
    pub fn seconds_above(&self, amps: f64) -> f64 {
        let room = amps - self.steady_amps;
        if room <= 0.0 {
            return f64::INFINITY;
        }
        let times_over = (self.amps_at(0.0) - self.steady_amps) / room;
        // Without any resistance the current is endless for no time at all.
        if times_over < 1.0 || self.time_constant() == 0.0 { 0.0 } else { self.time_constant() * times_over.ln() }
    }

    /// Whether a breaker of this trip current and delay (how long the current must last) holds.
    pub fn switch_on(&self, trip_amps: f64, delay_seconds: f64) -> SwitchOn {
        let above_seconds = self.seconds_above(trip_amps);
        let first_amps = self.amps_at(0.0);
        SwitchOn { first_amps, above_seconds, trips: first_amps >= trip_amps && above_seconds >= delay_seconds }
    }

    /// How long the current is at or above this one over a band of loop resistances, exactly: the longest may lie
    /// within the band.
    pub fn seconds_above_band(&self, loop_ohms: Spread<f64>, amps: f64) -> Spread<f64> {
        let with = |loop_ohms: f64| Fleet { loop_ohms, ..*self };
        let above = |ohms: f64| with(ohms).seconds_above(amps);
        // The time is hollow nowhere, so its slope falls, and where the slope is nothing is the longest. Up to a factor
        // that is never negative it is this.
        let slope = |ohms: f64| {
            let (fleet, filling) = (with(ohms), with(ohms).filling_volts());
            let times_over = filling / (fleet.ohms() * (amps - self.steady_amps));
            times_over.ln() - 1.0 - fleet.ohms() * self.steady_amps / filling
        };
        let (mut rises, mut falls) = (loop_ohms.low, loop_ohms.high);
        for _ in 0..100 {
            let middle = 0.5 * (rises + falls);
            if slope(middle) > 0.0 { rises = middle } else { falls = middle }
        }
        let ends = loop_ohms.map(above);
        Spread::new(ends.low.min(ends.high), ends.typical, above(rises).max(ends.low).max(ends.high))
    }

    /// How many decoders like these can be switched on at once without tripping; `decoders` is not looked at. None
    /// where the steady current alone trips.
    pub fn at_once(&self, trip_amps: f64, delay_seconds: f64) -> AtOnce {
        let trips = |decoders| Fleet { decoders, ..*self }.switch_on(trip_amps, delay_seconds).trips;
        if !trips(u32::MAX) {
            return AtOnce::AnyNumber;
        }
        let (mut holds, mut fails) = (0, u32::MAX);
        while fails - holds > 1 {
            let middle = holds + (fails - holds) / 2;
            if trips(middle) { fails = middle } else { holds = middle }
        }
        AtOnce::UpTo(holds)
    }
}

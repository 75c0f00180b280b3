//! How far a train runs on once its track has no power, on what its decoder keeps in reserve.
//!
//! A capacitor of C farads that gives a steady current I falls from one voltage to another in `t = C·(U₁ − U₂)/I` (the definition of
//! capacitance, `I = C·dU/dt`). A decoder that holds its motor's speed goes `d = v·t` meanwhile; one that does not goes less far, so
//! that this is the most.

/// A train on what is left in its reservoir. All values finite and more than none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunOn {
    /// Its reservoir, farads.
    pub farads: f64,
    /// Volts it is filled to: the track's less what the decoder's rectifier keeps.
    pub full_volts: f64,
    /// Volts at which the decoder lets go of its motor.
    pub least_volts: f64,
    /// What it draws, amperes.
    pub amps: f64,
    /// How fast it is, metres a second.
    pub speed: f64,
}

impl RunOn {
    /// For how long it goes on, seconds.
    pub fn seconds(&self) -> f64 {
        self.farads * (self.full_volts - self.least_volts).max(0.0) / self.amps
    }

    /// How far, metres.
    pub fn metres(&self) -> f64 {
        self.speed * self.seconds()
    }
}

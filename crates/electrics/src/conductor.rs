//! A wire against the current of a fault, of its trains, and the breaker above it.
//!
//! A fault heats the copper as if no heat were shed: insulation of factor k on a copper area S stands current I for
//! `t = (k·S/I)²` (IEC 60364-4-43). Heat that is shed only makes it longer, so a fault that is cleared within t does no
//! harm; but beyond [`handbook::wires::ADIABATIC_LIMIT`] a longer fault need not do harm either. Then what the wire
//! carries for good decides, where the trade has a figure.

use handbook::Sourced;
use handbook::quantity::{Amps, Celsius, Seconds};
use handbook::wires::{ADIABATIC_LIMIT, WireGauge, adiabatic_withstand_seconds, onderdonk_fusing_current};

/// What a wire has to bear. Values not negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WireDuty {
    /// What its trains draw, amperes.
    pub load_amps: f64,
    /// What a fault behind it draws, amperes.
    pub fault_amps: f64,
    /// How long until a breaker clears that, seconds; endless where none does. See [`crate::breaker_chain`].
    pub clear_seconds: f64,
    /// The trip current of the nearest breaker above it, amperes, where it is known.
    pub breaker_amps: Option<f64>,
}

/// How a wire stands a fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WireUnderFault {
    /// It is cleared before the insulation suffers.
    Cleared,
    /// It is not, but the wire carries its current for good.
    Carried,
    /// The insulation suffers before it is cleared.
    Overheats,
    /// It lasts beyond what the equation is good for, and what the wire carries for good is not listed.
    Unknown,
}

/// A current against a limit from the handbook.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Against {
    /// The limit beside its source.
    pub limit: Sourced<Amps>,
    /// Whether the current is within it.
    pub within: bool,
}

/// How a wire bears its duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// How long its insulation stands the fault at least, seconds; endless without one.
    pub withstand_seconds: f64,
    /// How it stands the fault.
    pub fault: WireUnderFault,
    /// The current that melts it within the time the fault lasts, amperes (Onderdonk, from 25 °C). For information, no
    /// safety limit; nothing for a fault that is never cleared.
    pub melting_amps: Option<f64>,
    /// Its trains against what it carries in free air, where that is listed.
    pub load: Option<Against>,
    /// The breaker above it against the largest overcurrent device allowed before it, where a code lists one.
    pub breaker: Option<Against>,
}

/// Judges a wire whose insulation has the factor `k`, in A·√s/mm², see [`handbook::contacts::insulation_k`].
pub fn judge(wire: &WireGauge, k: f64, duty: &WireDuty) -> Judged {
    let within = |limit: Sourced<Amps>, amps: f64| Against { limit, within: amps <= limit.value.0 };
    let withstand_seconds = adiabatic_withstand_seconds(wire.area, k, Amps(duty.fault_amps)).0;
    let for_good = wire.chassis_current.map(|limit| within(limit, duty.fault_amps).within);
    let fault = match for_good {
        _ if duty.clear_seconds <= withstand_seconds => WireUnderFault::Cleared,
        Some(true) => WireUnderFault::Carried,
        None if withstand_seconds > ADIABATIC_LIMIT.value.0 => WireUnderFault::Unknown,
        _ => WireUnderFault::Overheats,
    };
    let ambient = Celsius(25.0);
    let melts = || onderdonk_fusing_current(wire.area, Seconds(duty.clear_seconds), ambient).0;
    Judged {
        withstand_seconds,
        fault,
        melting_amps: duty.clear_seconds.is_finite().then(melts),
        load: wire.chassis_current.map(|limit| within(limit, duty.load_amps)),
        breaker: wire.overcurrent_limit.zip(duty.breaker_amps).map(|(limit, amps)| within(limit, amps)),
    }
}

/// Whether insulation of factor `k` stands this much ∫I²dt, A²s, of a fault: `k²·S²` of the wire is at least as much.
/// For the whole band of fault currents behind a chain of breakers, see
/// [`OverBand::let_through`](crate::breaker_chain::OverBand::let_through).
pub fn stands_let_through(wire: &WireGauge, k: f64, let_through: f64) -> bool {
    (k * wire.area.in_square_millimetres()).powi(2) >= let_through
}

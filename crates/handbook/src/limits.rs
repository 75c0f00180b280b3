//! What a builder accepts, what he asks for and what stands in for what he leaves out, unless the plan says otherwise.

use crate::quantity::{Amps, Farads, Fraction, Metres, Ohms, Seconds, Units, Volts};
use crate::scales::Scale;
use crate::spread::{Sourced, Spread};
use crate::{MEMORY, PRACTICE};

/// Largest voltage drop from supply to train, as a part of the supply voltage.
pub const VOLTAGE_DROP: Sourced<Fraction> = Sourced::new(Fraction(0.05), PRACTICE);

/// How many times the trip current a short must draw anywhere on the layout; practice asks for 1.5 to 2.
pub const FAULT_MARGIN: Sourced<f64> = Sourced::new(1.5, PRACTICE);

/// Width of an insulated gap on the day it is cut, before it is filled.
pub const INSULATED_GAP: Sourced<Metres> = Sourced::new(Metres::from_millimetres(0.5), PRACTICE);

/// The narrowest an insulated gap may become: a burr or a flake of metal must not bridge it.
pub const SMALLEST_GAP: Sourced<Metres> = Sourced::new(Metres::from_millimetres(0.1), "our own default");

/// The widest a gap or an open joint may become: a wheel of 10 mm dips into it by `g²/4D`, 0.1 mm.
pub const LARGEST_GAP: Sourced<Metres> =
    Sourced::new(Metres::from_millimetres(2.0), "our own default: a small wheel hardly dips into it");

/// What a builder has at hand to hold a gap open while the glue sets: a business card, and a thin track gauge.
pub const FEELERS: Sourced<[(&str, Metres); 2]> =
    Sourced::new([("card", Metres::from_millimetres(0.3)), ("thin gauge", Metres::from_millimetres(0.5))], PRACTICE);

/// Distance between feeders, 1 to 2 m; ideally each piece of rail has its own.
pub const FEEDER_SPACING: Sourced<Spread<Metres>> =
    Sourced::new(Spread::new(Metres(1.0), Metres(1.5), Metres(2.0)), PRACTICE);

/// Wire of a feeder where the plan names none, in words for [`crate::wires::wire`].
pub const FEEDER_WIRE: Sourced<&str> = Sourced::new("0.5 mm²", "our own default");

/// What [`FEEDER_WIRE`] is called where wire is sold by AWG: 20 AWG is 0.518 mm² (ASTM B258), so that what is calculated is
/// a little on the thin side.
pub fn usual_feeder_wire(units: Units) -> &'static str {
    match units {
        Units::Metric => FEEDER_WIRE.value,
        Units::Imperial => "20 AWG",
    }
}

/// What a wire is cut longer than its run, as a share of it and as a length for its two ends: it does not lie straight,
/// and an end is stripped twice.
pub const WIRE_SLACK: Sourced<(Fraction, Metres)> =
    Sourced::new((Fraction(0.1), Metres::from_millimetres(100.0)), PRACTICE);

/// What is bought more of each wire than is cut.
pub const WIRE_WASTE: Sourced<Fraction> = Sourced::new(Fraction(0.1), PRACTICE);

/// Length of a feeder, one way, where the plan gives none.
pub const FEEDER_LENGTH: Sourced<Metres> = Sourced::new(Metres(0.3), "our own default");

/// Resistance of a booster behind its terminals, where the plan gives none.
pub const BOOSTER_SOURCE_RESISTANCE: Sourced<Spread<Ohms>> =
    Sourced::new(Spread::new(Ohms(0.03), Ohms(0.1), Ohms(0.3)), MEMORY);

/// What a sub-breaker adds to the source resistance of the supply it hangs behind: sensing and switching parts,
/// both poles together.
pub const SUB_BREAKER_RESISTANCE: Sourced<Spread<Ohms>> = Sourced::new(
    Spread::new(Ohms::from_milliohms(10.0), Ohms::from_milliohms(30.0), Ohms::from_milliohms(100.0)),
    MEMORY,
);

/// What stays behind in a current detector of diodes back to back, one in either direction.
pub const DETECTOR_DROP: Sourced<Volts> = Sourced::new(Volts(0.7), PRACTICE);

/// Half of a one bit as a command station sends it, half a period of the track signal at its fastest; its reciprocal is
/// how often a second the track reverses. Typical is the middle that is usual.
pub const ONE_HALF_BIT: Sourced<Spread<Seconds>> =
    Sourced::new(Spread::new(Seconds(55e-6), Seconds(58e-6), Seconds(61e-6)), "NMRA S-9.1");

/// The track's voltage, peak, that a command station may give, and the edges of it: S-9.1 gives 8.5 to 22 V.
pub const TRACK_VOLTS: Sourced<[Volts; 2]> = Sourced::new([Volts(8.5), Volts(22.0)], "NMRA S-9.1");

/// What decoders of a scale that is not listed withstand: the less of what S-9.1 asks.
pub const LEAST_WITHSTAND: Sourced<Volts> = Sourced::new(Volts(24.0), "NMRA S-9.1, N scale");

/// How long an edge of the track signal takes from one pole's voltage to the other's. The longest is 30 V at the 2.4 V/µs that
/// S-9.1 asks for at least; the shortest is what quick output stages do.
pub const EDGE_TIME: Sourced<Spread<Seconds>> = Sourced::new(
    Spread::new(Seconds(0.1e-6), Seconds(1e-6), Seconds(12.5e-6)),
    "NMRA S-9.1; the shortest from memory, confirm",
);

/// What a decoder's bridge of two silicon diodes keeps for itself.
pub const BRIDGE_VOLTS: Sourced<Volts> = Sourced::new(Volts(1.4), MEMORY);

/// The voltage, behind its rectifier, at which a decoder that lives on its reservoir lets go of its motor.
pub const DECODER_LETS_GO: Sourced<Spread<Volts>> =
    Sourced::new(Spread::new(Volts(4.0), Volts(6.0), Volts(8.0)), MEMORY);

/// What a decoder without a reservoir puts across the rails: input capacitance and wiring.
pub const DECODER_INPUT: Sourced<Spread<Farads>> =
    Sourced::new(Spread::new(Farads(0.1e-9), Farads(1e-9), Farads(10e-9)), MEMORY);

/// Distance between the two wires of a bus that is run loosely, where the plan does not say: from side by side in one row of
/// clips to along either side of a joist.
pub const LOOSE_PAIR: Sourced<Spread<Metres>> = Sourced::new(
    Spread::new(Metres::from_millimetres(5.0), Metres::from_millimetres(25.0), Metres::from_millimetres(100.0)),
    PRACTICE,
);

/// What is kept of a storage track's clear length for slack and couplings, as a part of the train.
pub const SLACK: Sourced<Fraction> = Sourced::new(Fraction(0.12), PRACTICE);

/// Distance between places at which the coin test is made, besides every end and each side of every turnout.
pub const COIN_TEST_SPACING: Sourced<Metres> = Sourced::new(Metres(3.0), PRACTICE);

/// Current of a stall motor, which flows all the time.
pub const STALL_MOTOR_CURRENT: Sourced<Spread<Amps>> =
    Sourced::new(Spread::new(Amps(0.015), Amps(0.0175), Amps(0.02)), PRACTICE);

/// Current of a solenoid motor while it throws.
pub const SOLENOID_CURRENT: Sourced<Spread<Amps>> =
    Sourced::new(Spread::new(Amps(2.0), Amps(3.5), Amps(5.0)), PRACTICE);

/// How long a solenoid motor is fed to throw.
pub const SOLENOID_PULSE: Sourced<Spread<Seconds>> =
    Sourced::new(Spread::new(Seconds(0.03), Seconds(0.065), Seconds(0.1)), PRACTICE);

/// Current of a small servo while it moves.
pub const SERVO_CURRENT: Sourced<Spread<Amps>> = Sourced::new(Spread::new(Amps(0.2), Amps(0.6), Amps(1.0)), PRACTICE);

/// Longest dead length a locomotive is trusted to cross: 2.4 m of the full-sized railway, which is no longer than the
/// pick-up wheelbase of a short locomotive.
pub fn longest_dead_length(scale: &Scale) -> Sourced<Metres> {
    const FULL_SIZE_WHEELBASE: f64 = 2.4;
    Sourced::new(Metres(FULL_SIZE_WHEELBASE / scale.ratio), "our own default: 2.4 m at full size")
}

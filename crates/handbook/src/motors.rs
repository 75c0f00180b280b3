//! What motors need and what drivers keep for themselves: all of it the trade's usual, none of it any maker's.

use crate::quantity::{Amps, Fraction, Volts};
use crate::{PRACTICE, Sourced, Spread};

/// The voltage that a stall motor is made for.
pub const STALL_VOLTS: Sourced<Volts> = Sourced::new(Volts(12.0), PRACTICE);

/// The voltage that a solenoid is made for.
pub const SOLENOID_VOLTS: Sourced<Volts> = Sourced::new(Volts(16.0), PRACTICE);

/// The voltage that a small servo is made for.
pub const SERVO_VOLTS: Sourced<Volts> = Sourced::new(Volts(5.0), PRACTICE);

/// The share of its voltage with which a stall motor still throws, if slowly.
pub const STALL_USABLE: Sourced<Fraction> = Sourced::new(Fraction(0.5), PRACTICE);

/// The share of its voltage with which a solenoid still throws.
pub const SOLENOID_USABLE: Sourced<Fraction> = Sourced::new(Fraction(0.7), PRACTICE);

/// The share of its voltage with which a servo still holds its place.
pub const SERVO_USABLE: Sourced<Fraction> = Sourced::new(Fraction(0.9), PRACTICE);

/// What a decoder or pulse unit keeps for itself between its supply and its outputs: a bridge and its output stage.
pub const DRIVER_DROP: Sourced<Spread<Volts>> = Sourced::new(Spread::new(Volts(1.2), Volts(1.8), Volts(2.5)), PRACTICE);

/// What a driver with electronics draws itself.
pub const DRIVER_CURRENT: Sourced<Spread<Amps>> =
    Sourced::new(Spread::new(Amps(0.01), Amps(0.03), Amps(0.06)), PRACTICE);

/// What the coil of a relay draws at 12 V.
pub const RELAY_CURRENT: Sourced<Spread<Amps>> =
    Sourced::new(Spread::new(Amps(0.01), Amps(0.03), Amps(0.04)), PRACTICE);

/// What the wires from a driver to its motors run, where the plan does not say: they are measured on the layout.
pub const MOTOR_WIRE_RUN: Sourced<crate::quantity::Metres> =
    Sourced::new(crate::quantity::Metres(2.0), "our own default, for the voltage alone: never a length to cut");

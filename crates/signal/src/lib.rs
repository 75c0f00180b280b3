//! The track signal: packets, addresses, bit timing, traces. Knows no plan.

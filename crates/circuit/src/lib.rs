//! Conductors and guarded edges from a plan.

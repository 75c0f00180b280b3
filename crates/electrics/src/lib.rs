//! Drop and fault current at every place on the rails.

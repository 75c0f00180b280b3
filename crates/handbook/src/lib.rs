//! Quantities with units and the handbook values, each beside its source.

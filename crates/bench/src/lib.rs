//! Work orders in building order, and tests with what they should read and what a mistake would read.

//! Runs the engines and says what they found.

//! Places in text, findings, and how they are printed.

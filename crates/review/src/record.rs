//! Record.

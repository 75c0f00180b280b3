//! What the analysis gives, as tables for a terminal, comma-separated values and plots. Nothing is worked out here.

pub mod addresses_print;
pub mod lengths_print;
pub mod linkage_print;
pub mod profile_csv;
pub mod profile_plot;
pub mod profile_print;
pub mod season_plot;
pub mod season_print;
pub mod sources_print;
mod svg;
pub mod trace_print;
pub mod turnout_print;
pub mod ways_print;

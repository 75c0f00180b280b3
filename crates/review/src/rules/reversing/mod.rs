//! Closed ways that come back with left and right exchanged.

pub(super) mod reverser_trips_late;
pub(super) mod reversing_section_too_short;
pub(super) mod reversing_sections_touch;
pub(super) mod reversing_without_section;

//! Checks against outside tools and published tables.

//! The plan a builder writes, read with places.

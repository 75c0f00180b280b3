//! Layers.

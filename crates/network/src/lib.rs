//! Sparse elimination over conductances and over conditions.

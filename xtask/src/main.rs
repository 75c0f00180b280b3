//! Chores: schema, generated docs, release check.
fn main() {}

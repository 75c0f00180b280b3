//! The pages over real sockets on loopback.

#[path = "web/acts.rs"]
mod acts;
#[path = "web/changes.rs"]
mod changes;
#[path = "web/client.rs"]
mod client;
#[path = "web/fuzz.rs"]
mod fuzz;
#[path = "web/looks.rs"]
mod looks;
#[path = "web/many.rs"]
mod many;
#[path = "web/papers.rs"]
mod papers;
#[path = "web/refused.rs"]
mod refused;
#[path = "web/slow.rs"]
mod slow;

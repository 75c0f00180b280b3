//! The pages over real sockets on loopback.

mod acts;
mod bench;
mod changes;
mod client;
mod fuzz;
mod looks;
mod many;
mod papers;
mod refused;
mod safety;
mod slow;

//! Sparse elimination over conductances and over conditions.
//!
//! A network here is nodes `0..n` and edges that are pairs of nodes. This crate knows no volts and no names: it
//! eliminates nodes, one after another, and keeps what their neighbours need to know of them.
//!
//! # One elimination, two algebras
//! Eliminating a node joins every pair of its neighbours through it. What "joined through" and "joined beside what is
//! already there" mean is an [`Algebra`]; the order, the fill and the loop over the columns are the same for every
//! algebra and are worked out once, in a [`Pattern`]:
//!
//! | | conductances ([`Factor`]) | conditions ([`reach`]) |
//! |---|---|---|
//! | an edge is | a number of siemens | a Boolean function of the switches: when it is closed |
//! | open edge | 0 | never |
//! | beside each other | `a + b` | `a or b` |
//! | through node `v` | `a · b / d`, `d` the sum of all conductances at `v` | `a and b` |
//! | written back | potentials, driving-point resistances | when each node is joined to each pole |
//!
//! A loop does no harm in either: walking round it adds nothing to the condition of having got there (`a or a and b`
//! is `a`), and the star-mesh sum counts all walks at once.
//!
//! # Star-mesh
//! A node whose edges have conductances `g_1 … g_k`, to other nodes or to ground, can be taken out and replaced by
//! edges `g_i · g_j / d` between all pairs of its neighbours, `d = g_1 + … + g_k` (for three edges: star-delta). It is
//! Gauss's elimination of the node equations, but **nothing is ever subtracted**: every figure keeps nearly all its
//! digits, however far apart the conductances are. A leak of 1e-12 S beside joints of 1 kS comes out to the last
//! digits, where an assembled matrix loses it in the sum on its diagonal. And a group of nodes with no way to ground is
//! found exactly: its last node is left with a sum of exactly 0.
//!
//! ```
//! use network::{Factor, Pattern};
//! # fn main() -> Result<(), network::BadConductance> {
//! // Node 2 is ground. Two rails' worth of 0.5 ohm in a row, and an open switch from the far end to ground.
//! let pattern = Pattern::new(3, &[(0, 1), (1, 2), (0, 2)], &[2]);
//! let ground = pattern.kept_as_ground();
//! let mut factor = Factor::new(&pattern, &[2.0, 2.0, 0.0], &ground)?;
//! let mut potentials = [1.0, 0.0, 0.0]; // one ampere into node 0
//! factor.solve(&mut potentials);
//! assert_eq!(potentials, [1.0, 0.5, 0.0]);
//!
//! // Close the switch (1 ohm): the same pattern, no new memory.
//! factor.refactor(&[2.0, 2.0, 1.0], &ground)?;
//! let inverse = factor.selected_inverse();
//! assert_eq!(inverse.driving_point(0), 0.5); // 1 ohm beside 1 ohm
//! assert_eq!(inverse.resistance_between_ends(0), 0.375); // 0.5 ohm beside 1.5 ohm
//! # Ok(())
//! # }
//! ```
//!
//! # Order and index list
//! Wiring is mostly wire: nodes with two neighbours, and ends. A [`Pattern`] takes those off first, a chain by every
//! other node, then every other one of the rest, so that no figure has more than a logarithm of eliminations behind it
//! and rounding does not add up along a line; what is left of loops is ordered by approximate minimum degree. Then it
//! writes down, once, where every product of the elimination goes: for each pair of edges of a node that is taken out,
//! the edge between their other ends. Elimination walks this list forwards and selected inversion backwards, with no
//! search and no memory from the heap: [`Factor::refactor`] and [`SelectedInverse::update`] cost some tens of
//! nanoseconds a node.
//!
//! # Selected inversion
//! The driving-point resistance of every node is the diagonal of the inverse of the node equations; that inverse is
//! full, but Takahashi, Fagan and Chin's recursion (1973) finds its entries on the pattern of the factor from each
//! other, last node first: current put into node `j` leaves it in the shares `w_i = g_i / d`, so
//! `Z_jk = Σ w_i · Z_ik` and `Z_jj = 1/d + Σ w_i · Z_ij`. All terms are positive here too. See [`SelectedInverse`].
//!
//! One factorisation thus gives the resistance of every node, the worst place on every edge, the transfer resistance
//! along every edge, and by closed forms what becomes of all these when one edge is opened, closed or changed
//! ([`EdgeChange`]):
//!
//! ```
//! use network::{EdgeChange, Factor, Pattern};
//! # fn main() -> Result<(), network::BadConductance> {
//! // A ring of four pieces of 1 ohm, fed at node 0.
//! let pattern = Pattern::new(4, &[(0, 1), (1, 2), (2, 3), (3, 0)], &[0]);
//! let factor = Factor::new(&pattern, &[1.0; 4], &pattern.kept_as_ground())?;
//! let inverse = factor.selected_inverse();
//! assert_eq!(inverse.driving_point(1), 0.75); // 1 ohm beside 3 ohm
//! assert_eq!(inverse.driving_point(2), 1.0); // 2 ohm beside 2 ohm
//! assert_eq!(inverse.transfer(1), 0.5); // volts at 1 for an ampere into 2
//! let worst = inverse.worst_place(0, 1.0);
//! assert_eq!((worst.fraction, worst.driving_point), (1.0, 0.75)); // its far end
//!
//! // The piece 3–0 is opened: how far everything is from the feed then, without another factorisation.
//! let opened = EdgeChange::new(inverse.resistance_between_ends(3), -1.0).expect("the ends are joined");
//! let mut across = [-1.0, 0.0, 0.0, 1.0]; // an ampere into one end and out of the other
//! factor.solve(&mut across);
//! for (node, across) in across.into_iter().enumerate() {
//!     let found = opened.transfer_across(inverse.driving_point(node as u32), across, across);
//!     assert!((found - node as f64).abs() < 1e-15);
//! }
//! # Ok(())
//! # }
//! ```
//!
//! # Conditions
//! In the other algebra the same elimination gives the exact condition under which any two poles meet, over all
//! settings of the switches at once, and, substituted back, when each node is joined to each pole.
//!
//! ```
//! use network::{Condition, Diagrams, Pattern, Variable, reach};
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! // Two switches, and a condition may need up to 1000 decision nodes.
//! let switches = Diagrams::new(2, 1000);
//! let a = switches.literal(Variable::new(0), true);
//! let not_b = switches.literal(Variable::new(1), false);
//! // Poles 0 and 3; 1 and 2 are soldered together, 0–1 is closed by a, 2–3 unless b.
//! let pattern = Pattern::new(4, &[(0, 1), (1, 2), (2, 3)], &[0, 3]);
//! let reach = reach(&pattern, &[a, Condition::ALWAYS, not_b], &switches)?;
//! assert_eq!(reach.live(2, 0), a);
//! assert_eq!(reach.between_poles(0, 3), switches.and(a, not_b)?);
//! # Ok(())
//! # }
//! ```

mod condition;
mod conductance;
mod contributions;
mod diagram;
mod diagram_store;
mod dissection;
mod elimination;
mod lists;
mod long_rows;
mod order;
mod partial_factor;
mod pattern;
mod rank_one;
mod selected_inverse;
mod series_elimination;
mod sparse_solve;
mod union_find;

pub use condition::{ConditionAlgebra, LiveConditions, TooLarge, reach};
pub use conductance::{BadConductance, ConductanceAlgebra, ConductancePivot, CurrentDivision, Factor};
pub use diagram::{Condition, Decision, Diagrams, Overgrown, Variable};
pub use elimination::{Algebra, Eliminated, EliminationExtent, Stopped};
pub use partial_factor::{PartialFactor, Touched};
pub use pattern::Pattern;
pub use rank_one::EdgeChange;
pub use selected_inverse::{SelectedInverse, WorstPlace};
pub use sparse_solve::{SearchTree, SolveMemory};
pub use union_find::set_root;

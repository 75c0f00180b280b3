//! Special trackwork as templates: local nodes, links, ends and routes. Nothing else in the program
//! holds an idea of a turnout.
//!
//! A template is data. [`simple::turnout`] makes the one of a simple turnout or wye turnout; other
//! trackwork is another function that fills the same [`Template`]. The builder turns a template into
//! nodes, edges, segments and gaps without knowing what it stands for.

pub mod bench;
pub mod simple;

/// A local node of a template.
pub type Local = usize;

/// What a link is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LinkKind {
    /// Rail of this length in metres.
    Rail(f64),
    /// A bond of wire or a solid casting: short and good.
    Bond,
    /// A blade's contact with its stock rail.
    Blade,
}

/// Two local nodes joined, always or in a position.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// One node.
    pub a: Local,
    /// The other.
    pub b: Local,
    /// What it is made of.
    pub kind: LinkKind,
    /// The position of the trackwork's control that closes it; always where none.
    pub when: Option<u8>,
    /// What it is, in words: `right closure rail`.
    pub words: &'static str,
}

/// An end that a track can join.
#[derive(Clone, Debug, PartialEq)]
pub struct Port {
    /// Its word in the plan.
    pub word: &'static str,
    /// Its left and right rail, seen by somebody who looks through it into the trackwork.
    pub inward: [Local; 2],
}

/// A stop on a rail of a route.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LocalStop {
    /// Metres from the start of the route.
    pub x: f64,
    /// The node before the place and the node behind it.
    pub nodes: [Local; 2],
}

/// A way a train can take through the trackwork.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Its word: `through`.
    pub word: &'static str,
    /// Its start and end, as indices into the ports.
    pub ports: [usize; 2],
    /// The position of the control that sets it.
    pub when: Option<u8>,
    /// Its length in metres.
    pub length: f64,
    /// Left and right rail, seen from its start.
    pub rails: [Vec<LocalStop>; 2],
}

/// Trackwork as conductors.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// Names of the local nodes in words.
    pub nodes: Vec<&'static str>,
    /// What joins them.
    pub links: Vec<Link>,
    /// Its ends.
    pub ports: Vec<Port>,
    /// The ways through it.
    pub routes: Vec<Route>,
    /// Frogs that a wire can feed, by their word.
    pub frogs: Vec<(&'static str, Local)>,
    /// The names of its positions.
    pub positions: Vec<&'static str>,
}

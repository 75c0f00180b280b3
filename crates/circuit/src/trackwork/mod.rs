//! Special trackwork as templates: local nodes, links, ends, routes and controls. Nothing else in the program
//! holds an idea of a turnout.
//!
//! A template is data. [`simple::turnout`] makes the one of a simple turnout or wye turnout; other
//! trackwork is another function that fills the same [`Template`]. The builder turns a template into
//! nodes, edges, segments and gaps without knowing what it stands for.

pub mod crossing;
pub mod simple;
pub mod slip;
pub mod three_way;
pub mod touch_points;
pub mod turntable;

use std::borrow::Cow;

/// A local node of a template.
pub type Local = usize;

/// Words that are mostly fixed, and made where there may be any number of them.
pub type Words = Cow<'static, str>;

/// Positions that must all hold: for each the local control and the index of its position. Empty means always.
pub type When = Vec<(usize, u8)>;

/// What a link is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LinkKind {
    /// Rail of this length in metres.
    Rail(f64),
    /// A bond of wire or a solid casting: short and good.
    Bond,
    /// The same from a closure rail to the rail behind a frog that carries no current.
    PastFrog,
    /// A blade's contact with its stock rail.
    Blade,
    /// The same beside a bond.
    Touching,
    /// A contact that the trackwork itself makes, as a turntable's deck with the track before it.
    Contact,
}

/// Two local nodes joined, always or in a position.
#[derive(Clone, Debug, PartialEq)]
pub struct TemplateLink {
    /// One node.
    pub a: Local,
    /// The other.
    pub b: Local,
    /// What it is made of.
    pub kind: LinkKind,
    /// The positions that close it.
    pub when: When,
    /// What it is, in words: `right closure rail`.
    pub words: Words,
}

impl TemplateLink {
    /// Rail that is there for good.
    pub(crate) fn rail(a: Local, b: Local, metres: f64, words: impl Into<Words>) -> TemplateLink {
        TemplateLink { a, b, kind: LinkKind::Rail(metres), when: When::new(), words: words.into() }
    }

    /// A bond that is there for good.
    pub(crate) fn bond(a: Local, b: Local, words: impl Into<Words>) -> TemplateLink {
        TemplateLink { a, b, kind: LinkKind::Bond, when: When::new(), words: words.into() }
    }
}

/// An end that a track can join.
#[derive(Clone, Debug, PartialEq)]
pub struct TemplatePort {
    /// Its word in the plan.
    pub word: Words,
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

impl LocalStop {
    /// A place where the rail changes from one node to another.
    pub(crate) fn new(x: f64, before: Local, after: Local) -> LocalStop {
        LocalStop { x, nodes: [before, after] }
    }

    /// A place where the rail goes on.
    pub(crate) fn at(x: f64, node: Local) -> LocalStop {
        LocalStop { x, nodes: [node, node] }
    }
}

/// A way a train can take through the trackwork.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Its word: `through`.
    pub word: Words,
    /// The port it starts at, by its index, and the one it ends at; none where it ends in the trackwork, as on a
    /// turntable's deck.
    pub ports: (usize, Option<usize>),
    /// The positions that set it.
    pub when: When,
    /// Its length in metres.
    pub length: f64,
    /// Left and right rail, seen from its start.
    pub rails: [Vec<LocalStop>; 2],
}

/// Something of the trackwork that has positions.
#[derive(Clone, Debug, PartialEq)]
pub struct LocalControl {
    /// Its word, where there is more than one: `left`, as in `W1.left`. Empty where there is only one.
    pub word: &'static str,
    /// The names of its positions.
    pub positions: Vec<Words>,
}

/// Trackwork as conductors.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// Names of the local nodes in words.
    pub nodes: Vec<Words>,
    /// What joins them.
    pub links: Vec<TemplateLink>,
    /// Its ends.
    pub ports: Vec<TemplatePort>,
    /// The ways through it.
    pub routes: Vec<Route>,
    /// Frogs that a wire can feed, by their word.
    pub frogs: Vec<(&'static str, Local)>,
    /// What of it has positions. The routes of a crossing follow a control that is not its own.
    pub controls: Vec<LocalControl>,
    /// Positions that never hold together.
    pub illegal: Vec<When>,
}

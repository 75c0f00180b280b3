//! What a builder does in one go: a task of the work orders, and when it comes.

use crate::test::Element;
use circuit::EdgeId;
use plan::Plan;

/// When in the building of a layout a task comes. The order is common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Boards that were built apart are set up and joined. It comes first of what is done with all of them set up.
    Joining,
    /// Marking out on the base.
    MarkingOut,
    /// Holes for feeders and throw wires.
    Holes,
    /// Turnouts and other trackwork.
    Trackwork,
    /// Plain track with its joints and gaps.
    Track,
    /// Feeders on the rails, before ballast hides them.
    Feeders,
    /// The bus below.
    Bus,
    /// Feeders on the bus.
    Taps,
    /// Motors and what they move.
    Motors,
    /// Contacts, relays, toggles, reversers and their wires.
    Contacts,
    /// Supplies and breakers, their leads still unplugged.
    Supplies,
    /// The panel.
    Panel,
    /// Power on, while everything can still be reached.
    Power,
    /// Ballast and scenery, once the readings are well.
    Ballast,
}

/// Where a task is done, in the order of building. What of a layout without boards is done is done where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Site {
    /// At the bench, on one board by itself; none is what lies on no board.
    Bench(Option<usize>),
    /// Where the layout stands, all of it.
    SetUp,
}

impl Site {
    /// Whether what is done here can wait for what is done there: all benches come before the layout is set up, and none waits for
    /// another.
    pub fn can_wait_for(self, other: Site) -> bool {
        self == other || self == Site::SetUp
    }

    /// Its words, where the layout has boards.
    pub fn words(self, plan: &Plan) -> Option<String> {
        if plan.board.is_empty() {
            return None;
        }
        Some(match self {
            Site::Bench(Some(board)) => format!("board {} by itself", plan.board[board].name.value),
            Site::Bench(None) => "the rest of the layout".to_owned(),
            Site::SetUp => "all set up".to_owned(),
        })
    }

    /// What is put before the names of its tables in file names.
    pub fn prefix(self) -> String {
        match self {
            Site::Bench(Some(board)) => format!("board-{}-", board + 1),
            Site::Bench(None) => "rest-".to_owned(),
            Site::SetUp => String::new(),
        }
    }
}

/// Where the builder is while a task is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BuilderPosition {
    /// Above the bench.
    Above,
    /// Below it.
    Below,
    /// Both.
    Both,
    /// At the panel or the workbench.
    Aside,
}

/// One task.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// Its name, made from the plan's words: `feeders dock 1`. Ticks are kept by it.
    pub name: String,
    /// What kind of task it is: `feeders`.
    pub kind: &'static str,
    /// What it is done to, by its name in the plan; empty where it is done once.
    pub place: String,
    /// Where it is done.
    pub site: Site,
    /// When it comes, of what is done there.
    pub stage: Stage,
    /// Where the builder is.
    pub reach: BuilderPosition,
    /// What is to be done.
    pub does: String,
    /// The pieces and gaps made in it.
    pub makes: Vec<Element>,
    /// Wires that it solders to a rail or frog while that can be reached; their other end is made later.
    pub leads: Vec<EdgeId>,
    /// Wires with a plug of which it makes the end here, up to the plug.
    pub halves: Vec<EdgeId>,
    /// The motor mounted in it, by its index in the plan.
    pub motor: Option<usize>,
    /// Tasks that come before it, by their index; all are less than its own.
    pub after: Vec<usize>,
    /// Stages all of whose tasks come before it: those at its own site; where all is set up, those of every site.
    pub after_stages: Vec<Stage>,
    /// Names of the cold tests that can be made once it is done, and close it.
    pub closed_by: Vec<String>,
}

impl Stage {
    /// All stages, first to last.
    pub const ALL: [Stage; 14] = [
        Stage::Joining,
        Stage::MarkingOut,
        Stage::Holes,
        Stage::Trackwork,
        Stage::Track,
        Stage::Feeders,
        Stage::Bus,
        Stage::Taps,
        Stage::Motors,
        Stage::Contacts,
        Stage::Supplies,
        Stage::Panel,
        Stage::Power,
        Stage::Ballast,
    ];

    /// Its words.
    pub fn words(self) -> &'static str {
        match self {
            Stage::Joining => "boards set up and joined",
            Stage::MarkingOut => "marking out",
            Stage::Holes => "holes",
            Stage::Trackwork => "trackwork",
            Stage::Track => "track with its joints and gaps",
            Stage::Feeders => "wires on the rails, from above",
            Stage::Bus => "the bus",
            Stage::Taps => "feeders on the bus",
            Stage::Motors => "motors and linkage",
            Stage::Contacts => "contacts and their wires",
            Stage::Supplies => "supplies, leads still unplugged",
            Stage::Panel => "panel",
            Stage::Ballast => "ballast and scenery",
            Stage::Power => "first power",
        }
    }

    /// Its name in file names, behind `orders-`.
    pub fn name(self) -> &'static str {
        match self {
            Stage::Joining => "joining",
            Stage::MarkingOut => "marking-out",
            Stage::Holes => "holes",
            Stage::Trackwork => "trackwork",
            Stage::Track => "track",
            Stage::Feeders => "feeders",
            Stage::Bus => "bus",
            Stage::Taps => "taps",
            Stage::Motors => "motors",
            Stage::Contacts => "contacts",
            Stage::Supplies => "supplies",
            Stage::Panel => "panel",
            Stage::Ballast => "ballast",
            Stage::Power => "power",
        }
    }

    /// What is taken to hand.
    pub fn tools(self) -> &'static str {
        match self {
            Stage::Joining => "spanner, spirit level, track gauge, joiners, screwdriver, meter",
            Stage::MarkingOut => "plan, pencil, rule, track templates",
            Stage::Holes => "drill, a bit a little wider than the wire, vacuum cleaner",
            Stage::Trackwork => "track gauge, joiners, pins or glue, meter",
            Stage::Track => "cutting disc or razor saw, file, joiners, track gauge, iron where soldered",
            Stage::Feeders => "iron, solder, flux, stripper, labels, clips as heat sinks",
            Stage::Bus => "wire, stripper, clips, labels",
            Stage::Taps => "iron or tap connectors with their pliers, labels",
            Stage::Motors => "screwdriver, music wire, pliers, track gauge",
            Stage::Contacts => "iron, sleeving, labels, meter",
            Stage::Supplies => "screwdriver, ferrules, labels",
            Stage::Panel => "drill, screwdriver, iron, labels",
            Stage::Ballast => "ballast, brush, thinned glue, masks for blades",
            Stage::Power => "meter, test load, coin",
        }
    }

    /// What shows that it is done, beside cold tests.
    pub fn check(self) -> &'static str {
        match self {
            Stage::Joining => "the track gauge passes each edge; each plug goes one way only and is locked",
            Stage::MarkingOut => "measure each mark once more against the drawing",
            Stage::Holes => "push a wire through each hole: it comes out clear below",
            Stage::Trackwork => "each blade lies tight both ways; the frog's wire holds when you tug it",
            Stage::Track => "the track gauge passes; a card passes each gap, and no burr bridges it",
            Stage::Feeders => "tug each wire: it holds; its label says the rail it is on",
            Stage::Bus => "tug each joint; A and B read open to each other",
            Stage::Taps => "tug each wire; the letters on label and bus agree",
            Stage::Motors => "throw it by hand: each blade holds a slip of paper",
            Stage::Contacts => "tug each end; its label names the terminal it is on",
            Stage::Supplies => "tug each lead; all of them hang free",
            Stage::Panel => "each control moves freely and is labelled",
            Stage::Power => "each hot test reads well",
            Stage::Ballast => "blades move, gaps are clear, and the cold tests of this track read as before",
        }
    }

    /// Cautions that belong to it.
    pub fn cautions(self) -> &'static [&'static str] {
        const CUTTING: &str =
            "A cutting disc throws its splinters at your face: wear eye protection, and let nobody look on without.";
        const IRON: &str = "Flux fume brings on asthma: keep your head out of the plume and draw it off. Most solder holds lead: do not eat at the bench, wash your hands.";
        const FIRE: &str = "Low voltage still starts fires: every wire must bear what the breaker above it lets through, and no wire goes round a breaker.";
        const MAINS: &str = "Mains work is for a licensed or registered electrician, and local codes rule. Nothing in these papers reaches beyond the low-voltage side.";
        const EYES_BELOW: &str =
            "Drops of solder fall on who lies below: solder from above where you can, and wear eye protection below.";
        match self {
            Stage::Track => &[CUTTING],
            Stage::Trackwork => &[CUTTING, IRON],
            Stage::Joining => &["Boards are heavy and pinch: two lift, one bolts; nobody reaches between their edges."],
            Stage::Holes => &["Look below before you drill: wires, hands, knees."],
            Stage::Feeders => &[IRON],
            Stage::Taps | Stage::Contacts => &[IRON, EYES_BELOW],
            Stage::Bus => &[FIRE],
            Stage::Supplies => &[FIRE, MAINS],
            Stage::Panel => &[IRON],
            Stage::Power => &["Put power on only when every cold test is well and the poles of every bus read open."],
            _ => &[],
        }
    }
}

impl BuilderPosition {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            BuilderPosition::Above => "above",
            BuilderPosition::Below => "below",
            BuilderPosition::Both => "both",
            BuilderPosition::Aside => "aside",
        }
    }
}

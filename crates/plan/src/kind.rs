//! The kinds of things that have names.

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Kind {
    Train,
    Supply,
    Bus,
    Track,
    Turnout,
    Crossing,
    Slip,
    ThreeWay,
    Turntable,
    Driver,
    Motor,
    Relay,
    Toggle,
    Reverser,
    Detector,
    Panel,
    Board,
}

impl Kind {
    const ALL: [(Kind, &'static str, &'static str); 17] = [
        (Kind::Train, "train", "train"),
        (Kind::Supply, "supply", "supply"),
        (Kind::Bus, "bus", "bus"),
        (Kind::Track, "track", "track"),
        (Kind::Turnout, "turnout", "turnout"),
        (Kind::Crossing, "crossing", "crossing"),
        (Kind::Slip, "slip", "slip"),
        (Kind::ThreeWay, "three_way", "three-way turnout"),
        (Kind::Turntable, "turntable", "turntable"),
        (Kind::Driver, "driver", "driver"),
        (Kind::Motor, "motor", "motor"),
        (Kind::Relay, "relay", "relay"),
        (Kind::Toggle, "toggle", "toggle"),
        (Kind::Reverser, "reverser", "reverser"),
        (Kind::Detector, "detector", "detector"),
        (Kind::Panel, "panel", "panel"),
        (Kind::Board, "board", "board"),
    ];

    /// The kind whose tables are written `[[word]]`.
    pub fn of_table(word: &str) -> Option<Kind> {
        Kind::ALL.iter().find(|k| k.1 == word).map(|k| k.0)
    }

    /// The kind in a builder's words.
    pub fn word(self) -> &'static str {
        Kind::ALL.iter().find(|k| k.0 == self).map_or("thing", |k| k.2)
    }
}

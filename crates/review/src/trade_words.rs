//! The trade's words that outputs use, each explained in a few sentences: one glossary for terminal, pages and papers.
//! Common practice, no source, where an entry does not name one.

/// A word of the trade.
#[derive(Clone, Copy, Debug)]
pub struct TradeWord {
    /// The word.
    pub word: &'static str,
    /// Other words for it, understood as well.
    pub also: &'static [&'static str],
    /// What it means.
    pub text: &'static str,
    /// A small drawing, where one helps.
    pub drawing: Option<&'static str>,
}

const fn word(word: &'static str, also: &'static [&'static str], text: &'static str) -> TradeWord {
    TradeWord { word, also, text, drawing: None }
}

const fn drawn(
    word: &'static str,
    also: &'static [&'static str],
    text: &'static str,
    drawing: &'static str,
) -> TradeWord {
    TradeWord { word, also, text, drawing: Some(drawing) }
}

/// All of them, by the alphabet.
pub const TRADE_WORDS: &[TradeWord] = &[
    word(
        "address",
        &["accessory address"],
        "The number that a decoder listens to. A turnout's motor has an accessory address from 1 to 2048. Ways to count differ \
         by four; `addresses` in `[layout]` says which is meant.",
    ),
    word(
        "aged",
        &[],
        "As it may be after years: dirty joiners and contacts, thin copper, a tired supply. Numbers in brackets are aged. They \
         use the unfavourable end of each band in the handbook.",
    ),
    drawn(
        "blade",
        &["point blade", "closure rail"],
        "The moving rail of a turnout. It touches its stock rail on one side at a time. A blade that carries current is a poor \
         contact, so Gapwright does not count on it where a bond or a contact does its work.",
        "   stock rail ═══════════════════\n        blade ════════════           touches above: set for through\n              ─ ─ ─ ─ ─ ─ ─ ─ ─",
    ),
    word(
        "booster",
        &[],
        "The supply that puts the track signal on the rails. It has a voltage, a rating and a breaker of its own. `[[supply]]` \
         describes it.",
    ),
    word(
        "breaker",
        &["circuit breaker", "sub-breaker", "trip", "trips"],
        "It opens when too much current flows for too long: it trips. `trips = { at = \"4.5 A\", after = \"120 ms\" }` says at what \
         current and how fast. A short circuit anywhere on its rails must draw clearly more than that.",
    ),
    word(
        "bus",
        &["bus wire", "power bus", "main bus"],
        "A pair of thick wires under the table, A and B, that feeders join. Its two wires should run close together, best twisted: \
         pairs that run apart let a short circuit rise too slowly to trip a breaker.",
    ),
    word(
        "contact",
        &["auxiliary contact", "frog switch"],
        "A switch that a motor, relay or toggle moves. Its common joins one terminal in each position. It feeds frogs and storage \
         tracks. Each contact carries a rated current only.",
    ),
    word(
        "crossing",
        &["diamond"],
        "Two tracks that cross on the level. Its frogs need the pole of the route that is set.",
    ),
    word(
        "dead rail",
        &["dead"],
        "Rail that is joined to no pole. An engine whose pick-up wheels all stand on it stops.",
    ),
    word(
        "decoder",
        &[],
        "The receiver in an engine, or the one that throws turnouts. It takes its power and its commands from the rails or from the \
         accessory bus.",
    ),
    word(
        "detector",
        &["block detector", "current detector"],
        "It notices that something on its rails draws current. It stands in the feed of those rails and may keep a little of \
         their voltage.",
    ),
    word(
        "district",
        &["power district"],
        "All rail behind one breaker. A short circuit in it leaves the others running, if every gap between districts is cut in both rails.",
    ),
    word(
        "driver",
        &[],
        "What throws a motor: a decoder's output, a pulse unit, a servo unit or a change-over switch. `[[driver]]`.",
    ),
    drawn(
        "feeder",
        &["dropper"],
        "A short wire from a rail down to the bus. Without feeders, all current comes through joiners, which fail one day.",
        "   rail ════════╤═════════\n                │ feeder\n   bus  ════════╧═════════ A",
    ),
    drawn(
        "frog",
        &["crossing nose", "vee"],
        "Where the two inner rails of a turnout meet. It lies in both routes, which want opposite poles there. So a metal frog \
         is either cut off and fed by a contact, or fed by the blades; a plastic one is not fed at all.",
        "   A ═══════════════════════════\n           ╲        ╱═══════════\n            ╲══════╳  frog\n   B ═══════════════════════════",
    ),
    word(
        "fouling",
        &["fouling point", "clearance"],
        "Where vehicles on one leg of a turnout come too near to those on the other. What stands clear of it lets others pass.",
    ),
    drawn(
        "gap",
        &["insulated joint", "cut"],
        "A cut in one rail that keeps two conductors apart. A train bridges it with its wheels, so both sides must be on the same \
         pole, or dead, while a train crosses.",
        "   ═════════════┤├═════════════\n       pole A        pole A when a train crosses",
    ),
    word(
        "joiner",
        &["fishplate", "sliding joint", "soldered joint", "joint"],
        "The piece that joins two rails end to end. Soldered it carries current well. Left to slide it lets rails move over the \
         year, but carries current badly one day: each rail beside it should have a feeder.",
    ),
    word(
        "keep-alive",
        &["reservoir", "stay-alive"],
        "Capacitors in an engine that drive it on for a moment over dead rail, and also past where it should stop.",
    ),
    word("ladder", &["yard throat"], "Turnouts in a row, each of which gives off one storage track."),
    word(
        "lined",
        &["set for", "live only when lined"],
        "Said of a track when the turnouts before it are set so that a train can reach it. Storage that is `live = \"lined\"` has power then \
         and else none.",
    ),
    word(
        "margin",
        &["fault margin", "of trip"],
        "How many times the trip current a short circuit draws. Below the plan's `fault_margin` the breaker may stay closed, and \
         something gets hot.",
    ),
    word(
        "motor",
        &["stall motor", "solenoid", "servo", "turnout motor", "point motor"],
        "What throws a turnout. A stall motor has current all the time and holds the blades by pushing. A solenoid must have \
         current for a moment only, or it burns. A servo has a supply of its own and a signal wire.",
    ),
    word(
        "number",
        &["numbers", "F-1", "W-1", "B-1", "G-1", "J-1", "P-1", "V-1"],
        "What stands on papers, drawings, labels and tests for one thing: F-1 is a feeder, W-1 a wire of a contact or a bond, B-1 a wire of \
         a bus or a supply's lead, G-1 a gap, J-1 a joint, P-1 a wire of a control panel, V-1 a diode in it. It stays with the thing when the plan changes.",
    ),
    word(
        "pole",
        &["phase", "A", "B", "polarity"],
        "One of a supply's two conductors, A or B. A track's two rails are on opposite poles. Where A meets B there is a short circuit.",
    ),
    word(
        "policy",
        &["wiring policy", "live"],
        "When a storage track has power (`live` of `[storage]`): always, only when lined, when both its ends agree, or by a hand's toggle.",
    ),
    word(
        "relay",
        &[],
        "A switch that follows a motor, a toggle or another relay. It gives more contacts than a motor has.",
    ),
    word(
        "reverser",
        &["auto-reverser"],
        "It exchanges the two poles of a section, so that a train can come back on the same track the other way round.",
    ),
    drawn(
        "reversing section",
        &["reversing loop", "balloon", "wye"],
        "Track between two pairs of gaps whose poles can be exchanged. Every loop or wye that turns a train needs one, and it must be \
         longer than the longest train with metal wheels.",
        "          ┌──┤├──────────┐\n   ═══════╡               │ section\n          └──┤├──────────┘",
    ),
    word(
        "route",
        &["way", "road set"],
        "A way for a train from one place to another, with the turnouts it needs. `gapwright routes` lists all of them.",
    ),
    word(
        "setting",
        &[],
        "One position for every turnout, toggle and reverser at the same time. What is proved holds in every setting.",
    ),
    word(
        "short circuit",
        &["short"],
        "Pole A joined to pole B of one supply. The breaker must open; until it does, all it can give flows.",
    ),
    word(
        "slip",
        &["single slip", "double slip"],
        "A crossing with blades, over which a train can also change from one track to the other.",
    ),
    word(
        "stock rail",
        &[],
        "The outer rail of a turnout that runs through it whole. Cutting the frog does not cut the stock rail.",
    ),
    word(
        "storage",
        &["storage track", "staging", "fiddle yard", "hidden yard"],
        "Tracks where trains wait. `[storage]` says when each is to be live: `lined` (when the turnouts are set for it), `always`, `by hand` and so on.",
    ),
    word(
        "suppressor",
        &["suppressor diode", "clamp", "spike"],
        "When a short circuit clears, the wiring's inductance kicks out a voltage spike. A suppressor diode across the end of the bus takes it.",
    ),
    word(
        "tap",
        &["tap connector"],
        "Where a feeder or a contact's wire joins a bus: soldered, or a tap connector of the colour that fits both wires.",
    ),
    drawn(
        "through",
        &["diverging", "straight", "legs"],
        "The end of a turnout to which the track goes straight on; the other, to which it turns off, is `diverging`. A turnout stands \
         `through` or `diverging`.",
        r#"points ════════════ through
            ╲_______ diverging"#,
    ),
    word(
        "throw wire",
        &["throwbar", "fulcrum", "linkage"],
        "The springy wire from a motor's arm through a hole in the base to the throwbar of a turnout. It bends a little and so holds the blades.",
    ),
    word("toggle", &["panel switch"], "A switch under your hand, on the panel."),
    word(
        "track signal",
        &["DCC", "digital command control"],
        "The square wave on the rails that carries power and commands at once (NMRA S-9.1, RCN-210).",
    ),
    word(
        "turnout",
        &["switch", "points", "point"],
        "Track with moving blades that leads to one of two tracks. Its ends are points, through and diverging.",
    ),
    word(
        "voltage drop",
        &["sag", "drop"],
        "What wires, rails, joints and contacts take from the supply's voltage before it reaches a train.",
    ),
    word(
        "wiring type",
        &[
            "live-bonded",
            "insulated-routed",
            "insulated-bonded",
            "live-routed",
            "live-assisted",
            "metal-tip",
            "live-unfed",
            "power routing",
        ],
        "How a turnout is wired inside. `gapwright turnout` lists the types and how to tell them apart with a meter.",
    ),
];

/// The entry of a word, in any case; plural and other words for it will do.
pub fn trade_word(asked: &str) -> Option<&'static TradeWord> {
    let asked = asked.trim().to_lowercase();
    let same = |word: &str| {
        let word = word.to_lowercase();
        asked == word || asked.strip_suffix('s').is_some_and(|one| one == word)
    };
    TRADE_WORDS.iter().find(|w| same(w.word)).or_else(|| TRADE_WORDS.iter().find(|w| w.also.iter().any(|a| same(a))))
}

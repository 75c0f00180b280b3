//! What each finding of the reader means: half a page each, in a builder's words.

/// The page of every finding this crate makes: its name, what it says in one line, and its text.
pub const PAGES: &[(&str, &str, &str)] = &[
    (
        "plan-not-text",
        "the file is not text",
        "A plan is plain UTF-8 text, as an editor or notepad writes it. A word processor's own file, a \
         picture or a damaged file is not.\n\nFix: open the plan in a text editor and save it as UTF-8.",
    ),
    (
        "plan-too-large",
        "the file is longer than any plan",
        "Plans of 10,000 feeders fit into 2 MB. A longer file is most likely not the one you meant, and is \
         not read.\n\nFix: check the file's name.",
    ),
    (
        "plan-syntax",
        "the text is not TOML from here on",
        "A plan is written in TOML: tables start with `[layout]` or `[[track]]`, lines are `key = \"value\"`, \
         lists stand in square brackets. Something at this place breaks that: most often a missing quote, \
         bracket or `=`, or a key written twice.\n\nUntil it is fixed, nothing else can be proved.",
    ),
    (
        "unknown-key",
        "a key that means nothing here",
        "A misspelt key would silently drop what it says — a feeder, a gap. So every key must be known.\n\n\
         Fix: correct the spelling (the help names the nearest key), or turn it into a comment with `#`.",
    ),
    (
        "missing-key",
        "something that must be said is not said",
        "Some facts have no sensible default: the length of a track, what its ends join, the voltage of a \
         booster.\n\nFix: add the line.",
    ),
    (
        "wrong-kind",
        "a value of the wrong kind",
        "Words stand in double quotes, lists in square brackets, plain numbers bare. Tables that may come \
         more than once are written with two brackets: `[[track]]`.",
    ),
    (
        "bare-number",
        "a number without its unit",
        "`2.1` could be metres, feet or inches. A guess would be right most of the time, which is worse \
         than never.\n\nFix: write the unit and put both in quotes: `\"2.1 m\"`, `\"6 ft 11 in\"`.",
    ),
    (
        "unclear-quantity",
        "a quantity that cannot be read",
        "The number or its unit is not understood, or the unit is of another kind than is due. Lengths may \
         be summed (`\"10 ft 6 in\"`); decimals take a point.",
    ),
    (
        "unknown-word",
        "a word the handbook does not have",
        "Scales, rails, wiring types and the like are chosen from a list. The help names the nearest word, \
         or all of them.",
    ),
    (
        "out-of-range",
        "a value out of all reason",
        "A track of 2,100 m or a booster of 230 V is a slip of the pen. Values are checked against generous \
         limits so that a slip is found here and not as a strange result later.",
    ),
    (
        "unfit-name",
        "something that cannot be a name",
        "Names are your own words, spaces and dots included, but they must differ from each other, hold no \
         `@`, and not be `buffer` or `beyond`, which mean the ends of the line. Papers number wires, gaps and joints \
         `F-1`, `W-1`, `B-1`, `G-1`, `J-1`; nothing of the plan may be called so, or a label could mean two things. \
         `W1` is a fine name.",
    ),
    (
        "name-twice",
        "two things with one name",
        "A name must mean one thing, since wires, ends and papers refer to it.\n\nFix: rename one of them, \
         and what refers to it.",
    ),
    (
        "no-such-name",
        "a reference that leads nowhere",
        "Ends, terminals and places refer to other things by name: `T1.points`, `main bus.A`, `M1.1.common`, \
         `dock 1.right @ 0.4 m`. This one does not resolve. The help names what is near it.",
    ),
    (
        "place-off-track",
        "a place that is not on its track or bus",
        "Places are counted from the `from` end of a track, or from the supply end of a bus, and must lie \
         within its length.",
    ),
    ("end-joined-twice", "two tracks at one end of a turnout", "Each end of a turnout joins one track."),
    (
        "end-unjoined",
        "an end of a turnout that no track joins",
        "The turnout has an end that leads nowhere. It is harmless, but usually a track's `from` or `to` \
         has been forgotten.",
    ),
    (
        "ends-disagree",
        "one end says they join, the other says otherwise",
        "Where two tracks meet, both say so: `from = \"a.to\"` here and `to = \"b.from\"` there.",
    ),
    (
        "joined-to-itself",
        "an end joined to itself, or a track closed to a circle",
        "An end cannot join itself. A single track whose two ends meet is a circle, which is legal; the \
         program asks whether you meant it.",
    ),
    (
        "feeder-without-bus",
        "a feeder that goes nowhere",
        "A feeder goes from a rail to a bus conductor. The track does not say which conductor that rail \
         belongs to.\n\nFix: add `left = \"main bus.A\"` or `right = \"main bus.B\"` to the track; or say on \
         which rail the feeder is; or say where it goes with `to`.",
    ),
    (
        "contact-misfit",
        "a contact wired to a position it does not have",
        "A contact that moves with a turnout has the positions `through` and `diverging`; with a wye turnout \
         `left` and `right`; with a toggle `on` and `off`.",
    ),
    (
        "motor-misfit",
        "a motor on a driver that cannot throw it",
        "A stall motor needs steady current, one way round or the other. A solenoid needs one short pulse to one of its \
         two coils; a coil that stays on burns. A servo needs a signal beside its supply. A driver of one of these kinds \
         cannot throw motors of another.\n\nFix: name a driver of the kind that the motor needs, or correct the \
         motor's `kind`.",
    ),
    (
        "supply-loop",
        "supplies or buses that feed each other in a circle",
        "Every supply hangs, in the end, behind one booster, and every bus starts, in the end, at a supply. \
         A circle has no beginning and no power.",
    ),
    (
        "relay-loop",
        "relays that follow each other in a circle",
        "A relay may follow another relay, whose contact then feeds its coil; but the first of them follows a motor or a toggle. \
         A circle of relays that feed each other never starts, or never drops out.",
    ),
    (
        "contradiction",
        "two statements that cannot both hold",
        "The plan says two things that exclude each other. The finding names both.",
    ),
    (
        "nothing-to-check",
        "a plan without track",
        "A plan without a single track says nothing about any layout, so nothing can be said about it. This \
         is an error, so that an empty or cut file does not pass as well.",
    ),
];

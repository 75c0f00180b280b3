"""What a growing plan is made of: random numbers, tracks, trackwork, switches, and what they refer to.

Every track has an orientation, from its inner end (0) to its outer one (1); the rails of all that is said about it are
named as one sees them looking that way. All over a plan the left rail of this orientation has one pole, but for sections
that change theirs. How a track is written, `from` and `to`, is another matter and settled by `Track.flipped`.

Lengths are whole numbers of the plan's grid, which is 1 mm or 1/8 in, so that a place means the same whichever end it is
counted from.

A thing that a wire ends at is a tuple:
    ("bus", bus, pole, place or None)      a conductor of a bus
    ("rail", track, side, at)              a place on a rail
    ("frog", work, word)                   a frog
    ("contact", switch, contact, terminal) a terminal: "common", 0 or 1
    ("out", reverser, pole)                an output of a reverser
An end of a track is ("work", work, port), ("track", track, end) or ("stop", "buffer" or "beyond").
"""

from dataclasses import dataclass, field

LEFT, RIGHT = 0, 1
A, B = 0, 1
# A train has room to wait on track at least so long, in metres (see docs/definitions.md).
ROOM = 0.4
MASK = (1 << 64) - 1


class Random:
    """A stream of random numbers (splitmix64), the same for the same seeds on every machine."""

    def __init__(self, *seeds):
        self.state = 0
        for seed in seeds:
            self.state = (self.state * 0x9E3779B97F4A7C15 + seed + 1) & MASK
            self.state ^= self.next()

    def next(self):
        self.state = (self.state + 0x9E3779B97F4A7C15) & MASK
        z = self.state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        return z ^ (z >> 31)

    def below(self, n):
        """A number from 0 to n - 1."""
        return self.next() % n

    def once_in(self, n):
        return self.below(n) == 0

    def between(self, low, high):
        """A whole number from low to high, both included."""
        return low + self.below(high - low + 1) if high > low else low

    def pick(self, items):
        return items[self.below(len(items))]

    def weighted(self, pairs):
        """One of the items of `(item, weight)` pairs; weights are whole numbers."""
        at = self.below(sum(weight for _, weight in pairs))
        for item, weight in pairs:
            if at < weight:
                return item
            at -= weight
        raise AssertionError("weights sum to more than their sum")

    def shuffled(self, items):
        items = list(items)
        for last in range(len(items) - 1, 0, -1):
            other = self.below(last + 1)
            items[last], items[other] = items[other], items[last]
        return items


@dataclass
class Gap:
    at: int
    side: int
    # "frog", "boundary", "storage", "section" (of a reversing one), "feed" (within rail of one pole)
    why: str


@dataclass
class Feeder:
    at: int
    side: int
    # What it goes to, where not the rail's own conductor.
    to: tuple = None
    wire: str = None
    length: int = None


@dataclass
class Track:
    length: int
    ends: list
    bus: int
    name: str = ""
    flipped: bool = False
    # Whether its rails belong to conductors for good.
    fixed: bool = True
    # What parts are for: "arc", "leaf", "road" (where trains may wait), "link" (no room to wait), "section", "tail"
    role: str = "arc"
    gaps: list = field(default_factory=list)
    feeders: list = field(default_factory=list)
    # Sides that contacts feed, not feeders.
    switched: list = field(default_factory=list)
    # Whether it hangs on its turnout alone: no frog gap, and the frog's rail has no feeder.
    by_turnout: bool = False
    # (bus, place under end 0, place under end 1)
    along: tuple = None
    # Conductors the table names for left and right, where not those of its bus: reverser outputs.
    belongs: list = field(default_factory=lambda: [None, None])
    says_conductors: bool = True
    used: list = field(default_factory=list)
    joint: str = None
    stock: int = None
    slides: list = field(default_factory=list)
    joints: list = field(default_factory=list)
    feeder_wire: str = None
    feeder_length: int = None


@dataclass
class Work:
    """Trackwork. `lefts` tells for each of its tracks (a crossing and a slip have two) whether the plan's orientation runs
    its way: from the points outwards, or eastwards."""

    kind: str
    bus: int
    lefts: list
    name: str = ""
    hand: str = None
    wiring: str = None
    live: bool = False
    # Of a slip: "single" or "double".
    slip: str = None
    opposite: bool = False
    # Which switch sets it: for each of its parts (see trackwork.parts).
    controls: dict = field(default_factory=dict)
    # Of a live crossing: what `routes` says, the route for each position; None where it says nothing.
    routes: list = None
    # Whether the table names the relay that follows, not the switch itself.
    relay: int = None
    # Whether its frogs get no contact: live-unfed, or a metal tip left alone.
    unfed: bool = False
    # Poles of the points' left rail by position, where it lies in a section that follows it (the foot of a triangle).
    turning: list = None
    # Of the foot of a triangle: whether the rails behind its frog have no gap, as they are of one pole for good.
    frog_of_legs: bool = False
    number: float = None
    lead: int = None
    tail: int = None
    joint: str = None


@dataclass
class Contact:
    common: list = field(default_factory=list)
    pos: list = field(default_factory=lambda: [[], []])
    # ("frog", work, word), ("tree", key), ("section", section), ("feed",), ("hand",)
    role: tuple = ()


@dataclass
class Switch:
    """A motor, toggle or relay."""

    kind: str
    moves: list = field(default_factory=list)
    follows: int = None
    name: str = ""
    contacts: list = field(default_factory=list)
    wire: str = None
    wire_length: int = None


@dataclass
class Reverser:
    kind: str
    bus: int
    place: int
    follows: int = None
    name: str = ""


@dataclass
class Section:
    """Track whose two rails change poles together. `kind`: "contacts", "following" or "sensing"."""

    tracks: list
    kind: str
    reverser: int = None
    # The motor it follows, and for each side its pole in either position.
    motor: int = None
    poles: dict = None


@dataclass
class Supply:
    kind: str
    behind: int = None
    opens: str = None
    voltage: str = None
    trip: str = None
    name: str = ""


@dataclass
class Bus:
    supply: int
    length: int
    wire: str
    # For a branch: the bus and place it starts at.
    start: tuple = None
    name: str = ""


@dataclass
class Plan:
    unit: float = 0.001
    imperial: bool = False
    scale: str = "OO"
    left_pole: int = A
    tracks: list = field(default_factory=list)
    works: list = field(default_factory=list)
    switches: list = field(default_factory=list)
    reversers: list = field(default_factory=list)
    sections: list = field(default_factory=list)
    supplies: list = field(default_factory=list)
    buses: list = field(default_factory=list)
    # Places where contacts feed rail: (track, side, at, tag).
    taps: list = field(default_factory=list)
    policy: str = None
    storage: list = field(default_factory=list)
    # For the trees of storage tracks: (key, [(contact terminal list, index of the target in it, track)]).
    trees: list = field(default_factory=list)
    parts: list = field(default_factory=list)
    layout: dict = field(default_factory=dict)
    # The temperature of the hottest air, as it is written.
    hottest: str = None
    trains: list = field(default_factory=list)
    # What throws the motors, where that was asked for (drivers.py).
    drivers: object = None
    order: list = field(default_factory=list)
    # Boards that come apart, and what the plugs of branches say, by their bus (boards.py).
    boards: list = field(default_factory=list)
    plugs: dict = field(default_factory=dict)

    def grid(self, metres):
        """A length in the plan's grid."""
        return round(metres / self.unit)

    def pole(self, side):
        """The pole of a side of all track that keeps its pole."""
        return self.left_pole ^ side

    def part(self, word):
        if word not in self.parts:
            self.parts.append(word)

    def district(self, bus):
        """The supply that a bus hangs on."""
        while self.buses[bus].start is not None:
            bus = self.buses[bus].start[0]
        return self.buses[bus].supply

    def booster(self, supply):
        while self.supplies[supply].behind is not None:
            supply = self.supplies[supply].behind
        return supply

    def parted(self, one, other, pole):
        """Whether rails of a pole of two buses must be kept apart."""
        one, other = self.district(one), self.district(other)
        if one == other:
            return False
        if self.booster(one) != self.booster(other):
            return True
        opens = [self.supplies[s].behind is not None and self.supplies[s].opens in (None, "AB"[pole]) for s in (one, other)]
        return any(opens)

    def leader(self, switch):
        """The motor or toggle that a relay follows; other switches are their own."""
        switch_ = self.switches[switch]
        return switch_.follows if switch_.kind == "relay" else switch

    def positions(self, switch):
        """The words of a switch's two positions."""
        leader = self.switches[self.leader(switch)]
        if leader.kind == "toggle":
            return ["off", "on"]
        wye = any(self.works[w].kind == "turnout" and self.works[w].hand == "wye" for w, _ in leader.moves)
        return ["left", "right"] if wye else ["through", "diverging"]

    def controls(self):
        return sum(1 for s in self.switches if s.kind != "relay")

    def pieces(self, track, side):
        """The pieces of a rail between its gaps, as pairs of places."""
        t = self.tracks[track]
        cuts = sorted(g.at for g in t.gaps if g.side == side)
        places = [0, *cuts, t.length]
        return list(zip(places, places[1:]))

    def free(self, track, at):
        """Whether a place is at least 2 cm from all other places of a track."""
        t = self.tracks[track]
        near = self.grid(0.02) + 1
        return all(abs(at - u) >= near for u in t.used)

    def place(self, random, track, low, high):
        """A free place between two others, or None; it is taken from then on."""
        t = self.tracks[track]
        near = self.grid(0.02) + 1
        low, high = max(low, near), min(high, t.length - near)
        if low > high:
            return None
        for _ in range(40):
            at = random.between(low, high)
            if self.free(track, at):
                t.used.append(at)
                return at
        return None

    def gap(self, track, side, at, why):
        t = self.tracks[track]
        if not any(g.side == side and g.at == at for g in t.gaps):
            t.gaps.append(Gap(at, side, why))
            t.used.append(at)

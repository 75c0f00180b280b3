"""How a plan grows: parts of track put together end to end.

An `Open` is an end from which a plan goes on. All parts are made so that the plan's orientation runs through them from
one end to the other; where it cannot, a section that changes its poles takes up the difference.
"""

from dataclasses import dataclass

import trackwork
from model import Plan, Reverser, Section, Switch, Track, Work

WIRINGS = [
    ("insulated-bonded", 4), ("insulated-routed", 4), ("metal-tip", 4),
    ("live-bonded", 6), ("live-assisted", 4), ("live-routed", 5), ("live-unfed", 1),
]
STRAIGHT = ["left", "right"]
HANDS = ["left", "right", "wye"]


@dataclass
class Open:
    end: tuple
    bus: int
    # Whether the orientation leaves by it what has grown so far; None at a stop, where either will do.
    out: bool = None


class Grower:
    """Makes tracks, trackwork and what throws it."""

    def __init__(self, random, budget, closed):
        self.random, self.budget, self.closed = random, budget, closed
        self.plan = Plan()
        self.open = []

    # ── tracks ──────────────────────────────────────────────────────────────────────────────────────

    def track(self, ends, bus, role, low, high):
        plan, random = self.plan, self.random
        length = random.between(plan.grid(low), plan.grid(high))
        plan.tracks.append(Track(length, [e.end for e in ends], bus, flipped=random.once_in(2), role=role))
        return len(plan.tracks) - 1

    def join(self, one, other, role="arc", low=0.5, high=4.0, bus=None):
        """A track between two ends, along the orientation."""
        inner, outer = (one, other) if one.out or other.out is False else (other, one)
        assert inner.out is not False and outer.out is not True, "the orientation does not run through"
        return self.track([inner, outer], inner.bus if bus is None else bus, role, low, high)

    def section(self, one, other, low=1.2, high=4.0, role="section"):
        """A track whose rails change poles; who feeds it is settled later."""
        t = self.track([one, other], one.bus, role, low, high)
        self.plan.tracks[t].fixed = False
        return t

    def stop(self, bus, word=None):
        if word is None:
            word = "buffer" if self.closed or self.random.once_in(2) else "beyond"
        return Open(("stop", word), bus)

    def leaf(self, end, role="leaf", low=0.5, high=3.0, word=None):
        return self.join(end, self.stop(end.bus, word), role, low, high)

    def split(self, t):
        """Parts a track into two that are joined to each other."""
        plan, random = self.plan, self.random
        track = plan.tracks[t]
        cut = random.between(plan.grid(0.5), track.length - plan.grid(0.5))
        rest = Track(track.length - cut, [("track", t, 1), track.ends[1]], track.bus, flipped=random.once_in(2), role=track.role)
        new = len(plan.tracks)
        if track.ends[1][0] == "track":
            _, other, end = track.ends[1]
            plan.tracks[other].ends[end] = ("track", new, 1)
        track.length, track.ends[1] = cut, ("track", new, 0)
        plan.tracks.append(rest)
        return new

    # ── trackwork ───────────────────────────────────────────────────────────────────────────────────

    def add(self, work):
        plan, random = self.plan, self.random
        if work.kind == "turnout":
            work.lead = random.between(plan.grid(0.06), plan.grid(0.18))
            work.tail = random.between(plan.grid(0.03), plan.grid(0.10))
        if work.kind != "turnout" or random.once_in(2):
            work.number = random.pick([4, 4.5, 5, 6, 8])
        plan.works.append(work)
        return len(plan.works) - 1

    def turnout(self, bus, forward, hands=HANDS, unfed=False):
        random = self.random
        wiring = random.weighted(WIRINGS if unfed else WIRINGS[:-1])
        work = Work("turnout", bus, [forward], hand=random.pick(hands), wiring=wiring)
        work.unfed = wiring == "live-unfed" or (unfed and wiring == "metal-tip" and random.once_in(6))
        self.plan.part(wiring)
        self.plan.part(f"hand {work.hand}")
        return self.add(work)

    def three_way(self, bus, forward):
        live = self.random.below(3) > 0
        self.plan.part("three-way, live" if live else "three-way, insulated")
        w = self.add(Work("three_way", bus, [forward], live=live))
        self.motor([(w, "left")])
        self.motor([(w, "right")])
        return w

    def motor(self, moves):
        """What throws one thing or several; takes one control."""
        self.budget -= 1
        self.plan.switches.append(Switch("motor", moves=moves))
        for w, part in moves:
            self.plan.works[w].controls[part] = len(self.plan.switches) - 1
        return len(self.plan.switches) - 1

    def toggle(self):
        self.budget -= 1
        self.plan.switches.append(Switch("toggle"))
        return len(self.plan.switches) - 1

    def relay(self, leader, fresh=False):
        """A relay that follows a switch: one that is there already, or a new one."""
        found = [i for i, s in enumerate(self.plan.switches) if s.kind == "relay" and s.follows == leader]
        if found and not fresh and self.random.once_in(2):
            return self.random.pick(found)
        self.plan.switches.append(Switch("relay", follows=leader))
        return len(self.plan.switches) - 1

    def port(self, w, word):
        work = self.plan.works[w]
        return Open(("work", w, word), work.bus, trackwork.orientation_leaves(work, word))

    def leg(self, w, k):
        return self.port(w, trackwork.positions(self.plan.works[w])[k])

    def points(self, w):
        return self.port(w, "points")

    # ── parts that grow from one end ────────────────────────────────────────────────────────────────

    def branch(self, end):
        w = self.turnout(end.bus, end.out, unfed=True)
        self.motor([(w, "")])
        self.join(end, self.points(w))
        return [self.leg(w, 0), self.leg(w, 1)]

    def trailing(self, end):
        """Another line comes in from the side."""
        w = self.turnout(end.bus, not end.out, unfed=True)
        self.motor([(w, "")])
        k = self.random.below(2)
        self.join(end, self.leg(w, k))
        return [self.points(w), self.leg(w, 1 - k)]

    def three(self, end):
        w = self.three_way(end.bus, end.out)
        self.join(end, self.points(w))
        return [self.port(w, word) for word in ("left", "middle", "right")]

    def balloon(self, end):
        self.join(end, self.balloon_at(end.bus, end.out))

    def balloon_at(self, bus, forward):
        """A loop in which trains turn, out by one leg and back by the other; the end where one comes in."""
        plan = self.plan
        plan.part("balloon loop")
        w = self.turnout(bus, forward)
        motor = self.motor([(w, "")])
        t = self.section(self.leg(w, 1), self.leg(w, 0))
        # Seen from the points the left rail has one pole; who leaves by the other leg sees it on his left as well.
        left = plan.pole(0 if plan.works[w].lefts[0] else 1)
        self.feed_section(t, motor, {0: [1 - left, left], 1: [left, 1 - left]}, [("contacts", 3), ("following", 2), ("sensing", 2)])
        return self.points(w)

    def feed_section(self, t, motor, poles, kinds):
        """Feeds a section from contacts or a reverser. `poles` gives for each side its pole in either position."""
        plan, random = self.plan, self.random
        kind = random.weighted(kinds)
        plan.part(f"reversing section, {kind}")
        section = Section([t], kind)
        plan.sections.append(section)
        section.motor, section.poles = motor, poles
        if kind != "contacts":
            bus = plan.tracks[t].bus
            place = random.between(0, plan.buses[bus].length)
            follows = motor if kind == "following" else None
            plan.reversers.append(Reverser("following" if follows is not None else "short-sensing", bus, place, follows))
            section.reverser = len(plan.reversers) - 1

    def triangle(self, end):
        west, east = self.triangle_at(end.bus, end.out)
        self.join(end, west)
        return [east]

    def triangle_at(self, bus, forward):
        """Two junctions on a line, a leg from either to a turnout at the foot, and a tail beyond it; the line's ends."""
        plan, random = self.plan, self.random
        plan.part("triangle")
        west = self.turnout(bus, forward, STRAIGHT)
        east = self.turnout(bus, not forward, STRAIGHT)
        foot = self.turnout(bus, forward)
        for w in (west, east):
            self.motor([(w, "")])
        motor = self.motor([(foot, "")])
        self.join(self.leg(west, 0), self.leg(east, 0), high=2.0)
        a, b = random.shuffled([0, 1])
        if random.once_in(2):
            self._turning_foot(west, east, foot, motor, a, b)
        else:
            # One leg changes its poles by itself, and all else keeps them.
            plan.part("triangle with a section in a leg")
            to_west = random.once_in(2)
            fixed, turned = (east, west) if to_west else (west, east)
            plan.works[foot].lefts = [forward == to_west]
            self.join(self.leg(foot, a), self.leg(fixed, 1), high=2.0)
            t = self.section(self.leg(turned, 1), self.leg(foot, b), high=2.5)
            self.feed_section(t, None, None, [("sensing", 1)])
            self.leaf(self.points(foot))
        return self.points(west), self.points(east)

    def _turning_foot(self, west, east, foot, motor, a, b):
        """The foot and its tail change their poles with it; both legs keep theirs."""
        plan, random = self.plan, self.random
        plan.part("triangle with a tail that turns")
        work = plan.works[foot]
        legs = {a: self.leg(west, 1), b: self.leg(east, 1)}
        work.turning = [None, None]
        for k, leg in legs.items():
            end = ("work", foot, trackwork.positions(work)[k])
            t = self.track([leg, Open(end, leg.bus)] if leg.out else [Open(end, leg.bus), leg], leg.bus, "leg", 0.5, 2.0)
            # Seen from the points: the rail that the leg's left one runs on into.
            joins = 1 if leg.out else 0
            side = trackwork.side_on_track(end[2], 0, joins)
            work.turning[k] = plan.pole(side)
        work.lefts = [True]
        # A live frog is on one pole whichever leg it serves: it may hang on the legs for good.
        work.frog_of_legs = work.wiring in ("live-bonded", "live-routed", "live-assisted") and random.once_in(2)
        tail = self.section(Open(("work", foot, "points"), work.bus), self.stop(work.bus), 0.8, 2.0, role="tail")
        by_side = {side: [work.turning[k] ^ trackwork.side_on_track("points", side, 0) for k in (0, 1)] for side in (0, 1)}
        self.feed_section(tail, motor, by_side, [("contacts", 2), ("following", 1), ("sensing", 1)])

"""Lines and circles: chains of parts through which the orientation runs, and what two chains have in common."""

from grow import STRAIGHT, Grower
from model import Work


class Chain:
    """A line from end to end, or a circle. `links` are pairs of the end it comes in by and the one it goes out by."""

    def __init__(self, bus, circle):
        self.bus, self.circle, self.links = bus, circle, []
        # Whether its parts stand in an order that counts, as in a figure eight.
        self.ordered = False

    def add(self, one, other):
        self.links.append((one, other) if not one.out else (other, one))


class Chains(Grower):
    """Puts chains together."""

    # ── parts of one chain ──────────────────────────────────────────────────────────────────────────

    def spur(self, chain):
        """A turnout on the line, its other leg going on to somewhere else."""
        forward = self.random.once_in(2)
        w = self.turnout(chain.bus, forward, unfed=True)
        self.motor([(w, "")])
        k = self.random.below(2)
        chain.add(self.points(w), self.leg(w, k))
        self.open.append(self.leg(w, 1 - k))

    def three_spur(self, chain):
        w = self.three_way(chain.bus, self.random.once_in(2))
        words = self.random.shuffled(["left", "middle", "right"])
        chain.add(self.points(w), self.port(w, words[0]))
        self.open.extend(self.port(w, word) for word in words[1:])

    def ladder(self, bus, forward, count, unfed=False):
        """Turnouts one behind the other that part a track into several: (points, ends of the tracks, turnouts)."""
        inner = points = None
        ends, works = [], []
        left = count
        while left > 1:
            if left >= 3 and self.budget > 2 and self.random.once_in(4):
                w = self.three_way(bus, forward)
                legs = [self.port(w, word) for word in self.random.shuffled(["left", "middle", "right"])]
            else:
                w = self.turnout(bus, forward, unfed=unfed)
                self.motor([(w, "")])
                legs = [self.leg(w, k) for k in self.random.shuffled([0, 1])]
            works.append(w)
            if inner is None:
                points = self.points(w)
            else:
                # Some are too short for a train to wait on.
                low, high = (0.2, 0.35) if self.random.once_in(3) else (0.5, 1.0)
                self.join(inner, self.points(w), low=low, high=high)
            left -= len(legs) - 1
            inner = legs.pop()
            ends.extend(legs)
        ends.append(inner)
        return points, ends, works

    def loop(self, chain, count, role="arc"):
        """Several tracks side by side between two ladders: a passing place, or a double-ended yard."""
        plan, random = self.plan, self.random
        bus = chain.bus
        if count == 2 and random.once_in(3) and role == "arc":
            hands = [random.pick(STRAIGHT)] if random.once_in(2) else STRAIGHT
            west, east = self.turnout(bus, True, hands), self.turnout(bus, False, hands)
            self.motor([(west, ""), (east, "")])
            plan.part("two turnouts on one motor")
            ins = [self.leg(west, k) for k in (0, 1)]
            outs = [self.leg(east, k) for k in (0, 1)]
            points = [self.points(west), self.points(east)]
        else:
            first, ins, _ = self.ladder(bus, True, count)
            last, outs, _ = self.ladder(bus, False, count)
            points = [first, last]
            if random.once_in(2):
                outs.reverse()
        roads = [self.join(i, o, role, low=1.3 if role == "road" else 0.6, high=3.0) for i, o in zip(ins, outs)]
        chain.add(*points)
        return roads

    def triangle_in(self, chain):
        chain.add(*self.triangle_at(chain.bus, self.random.once_in(2)))

    # ── parts of two chains ─────────────────────────────────────────────────────────────────────────

    def crossover(self, one, other):
        """A short track from one line to another; both are thrown together, or each by itself."""
        random = self.random
        if random.once_in(2):
            one, other = other, one
        forward = random.once_in(2)
        hands = [random.pick(STRAIGHT)]
        a = self.turnout(one.bus, forward, hands)
        b = self.turnout(other.bus, not forward, hands)
        if self.budget < 2 or random.once_in(2):
            self.motor([(a, ""), (b, "")])
            self.plan.part("crossover, one motor")
        else:
            self.motor([(a, "")])
            self.motor([(b, "")])
            self.plan.part("crossover, two motors")
        one.add(self.points(a), self.leg(a, 0))
        other.add(self.points(b), self.leg(b, 0))
        t = self.join(self.leg(a, 1), self.leg(b, 1), "link", 0.15, 0.3)
        self.plan.tracks[t].by_turnout = True

    def cross(self, one, other):
        """Two lines, or two places of one circle, cross on the level."""
        plan, random = self.plan, self.random
        live = self.budget > 0 and random.below(3) > 0
        east = [random.once_in(2), random.once_in(2)]
        w = self.add(Work("crossing", one.bus, east, live=live, opposite=east[0] != east[1]))
        plan.part("crossing, live" if live else "crossing, insulated")
        if live:
            plan.part("crossing of opposite phases" if east[0] != east[1] else "crossing of one phase")
        if live:
            control = self.toggle()
            plan.works[w].controls["follows"] = control
            if random.once_in(3):
                plan.works[w].routes = random.pick([[1, 2], [2, 1]])
                plan.part("crossing with routes")
            if random.once_in(4):
                plan.works[w].relay = self.relay(control)
                plan.part("crossing that follows a relay")
        tracks = random.shuffled([1, 2])
        for chain, k in zip((one, other), tracks):
            chain.add(self.port(w, f"west {k}"), self.port(w, f"east {k}"))
        return w

    def slip(self, one, other):
        plan, random = self.plan, self.random
        live, kind = random.below(3) > 0, random.pick(["single", "double"])
        forward = random.once_in(2)
        w = self.add(Work("slip", one.bus, [forward, forward], live=live, slip=kind))
        plan.part(f"{kind} slip, live" if live else f"{kind} slip, insulated")
        if self.budget < 2 or random.once_in(4):
            self.motor([(w, "west"), (w, "east")])
        else:
            self.motor([(w, "west")])
            self.motor([(w, "east")])
        for chain, k in zip((one, other), random.shuffled([1, 2])):
            chain.add(self.port(w, f"west {k}"), self.port(w, f"east {k}"))

    def junction(self, main, other):
        """A double junction: the branch leaves one line, crosses the other, and is joined by a branch of that one."""
        plan, random = self.plan, self.random
        plan.part("double junction")
        bus, forward = main.bus, random.once_in(2)
        up = self.turnout(bus, forward, STRAIGHT)
        # Both branches go the same way; the other line's orientation may be the same or against it.
        with_it = random.once_in(2)
        down = self.turnout(bus, forward if with_it else not forward, STRAIGHT)
        branch, line = random.shuffled([1, 2])
        # The branch enters the crossing from the west, or all is seen from the other side.
        west = random.once_in(2)
        lefts = [None, None]
        lefts[branch - 1] = west == forward
        lefts[line - 1] = (west == forward) == with_it
        x = self.add(Work("crossing", bus, lefts, live=True, opposite=not with_it))
        work = plan.works[x]
        one_motor = self.budget < 2 or random.once_in(4)
        motor = self.motor([(up, ""), (down, "")]) if one_motor else self.motor([(up, "")])
        if not one_motor:
            self.motor([(down, "")])
        # Set through, the line's route lies open; set diverging, the branch's.
        due = [line, branch]
        work.routes = due if due != [1, 2] or random.once_in(5) else None
        plan.part("crossing that follows a motor by routes" if work.routes else "crossing that follows a motor")
        work.controls["follows"] = motor
        near, far = ("west", "east") if west else ("east", "west")
        self.join(self.leg(up, 1), self.port(x, f"{near} {branch}"), "link", 0.15, 0.3)
        self.join(self.leg(down, 0), self.port(x, f"{near} {line}"), "link", 0.15, 0.3)
        main.add(self.points(up), self.leg(up, 0))
        other.add(self.points(down), self.port(x, f"{far} {line}"))
        self.open += [self.port(x, f"{far} {branch}"), self.leg(down, 1)]

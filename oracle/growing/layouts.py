"""Which parts a plan is grown from: what lies on the table, before any of it is wired."""

from chains import Chain, Chains
from model import Bus, Supply

POLICIES = [
    (None, 30), ("lined", 24), ("both ends agree", 12), ("either end", 12), ("always", 6), ("by hand", 16),
]
WIRES = {False: ["1.5 mm²", "2.5 mm²", "1 mm²", "2.5 mm2", "4 mm²"], True: ["14 AWG", "16 AWG", "12 AWG", "1.5 mm²"]}


class Layout(Chains):
    """Grows the track of a plan."""

    def grow(self):
        plan, random = self.plan, self.random
        plan.imperial = random.once_in(3)
        plan.unit = 0.003175 if plan.imperial else 0.001
        plan.scale = random.pick(["OO", "HO", "N", "TT"])
        plan.left_pole = 0 if random.below(4) else 1
        self.power()
        self.hand_left = 0
        plan.policy = random.weighted(POLICIES)
        if plan.policy == "by hand":
            # The toggles that it takes are put aside.
            self.hand_left = 1 if self.budget < 4 or random.once_in(2) else 2
            if self.budget <= self.hand_left:
                plan.policy, self.hand_left = None, 0
            self.budget -= self.hand_left
        shape = random.weighted(self.closed_shapes() if self.closed else self.open_shapes())
        shape()
        self.grow_on()
        self.divide()
        self.budget += self.hand_left

    def power(self):
        """Supplies and buses: one district or two, with a branch now and then."""
        plan, random = self.plan, self.random
        volts = random.pick(["12 V", "14 V", "15 V", "16 V"])
        plan.supplies.append(Supply("booster", voltage=volts, trip=random.pick(["4 A", "4.5 A", "5 A"])))
        # A pole that all breakers leave common, if any.
        opens = random.pick(["A", "B"]) if random.once_in(4) else None

        def breaker():
            plan.supplies.append(Supply("sub-breaker", behind=0, opens=opens, trip=random.pick(["2 A", "2.5 A", "3 A"])))
            plan.part(f"sub-breaker that opens {opens}" if opens else "sub-breaker")
            return len(plan.supplies) - 1

        hung = [breaker() if random.once_in(4) else 0]
        if random.below(5) < 2:
            if random.below(3) > 0:
                hung.append(breaker())
            else:
                plan.supplies.append(Supply("booster", voltage=volts, trip=random.pick(["3 A", "4 A"])))
                hung.append(len(plan.supplies) - 1)
                plan.part("second booster")
        for supply in hung:
            plan.buses.append(Bus(supply, plan.grid(random.between(40, 120) / 10), random.pick(WIRES[plan.imperial])))
        self.main_buses = list(range(len(plan.buses)))
        if random.once_in(5):
            on = random.pick(self.main_buses)
            start = (on, random.between(0, plan.buses[on].length))
            plan.buses.append(Bus(None, plan.grid(random.between(20, 60) / 10), random.pick(WIRES[plan.imperial]), start))
            plan.part("branch bus")

    def chain(self, circle, which=0):
        return Chain(self.main_buses[which % len(self.main_buses)], circle)

    def stores(self):
        """Whether the next tracks that suit it are to be storage tracks; there is one policy for all, and one yard."""
        return self.plan.policy not in (None, "by hand") and not self.plan.storage

    # ── shapes ──────────────────────────────────────────────────────────────────────────────────────

    def closed_shapes(self):
        b = self.budget
        return [
            (self.ring, 3 if b < 3 else 1), (lambda: self.oval(self.spur), 4), (self.oval_with_siding, 5 if b >= 2 else 0),
            (self.figure_eight, 5 if b >= 1 else 0), (self.dog_bone, 4 if b >= 2 else 0), (self.double_oval, 7 if b >= 2 else 0),
            (lambda: self.oval(self.triangle_in), 2 if b >= 3 else 0), (lambda: self.oval(self.three_spur), 2 if b >= 2 else 0),
        ]

    def open_shapes(self):
        b = self.budget
        double = 3 if b >= 2 else 0
        return [
            (lambda: self.line(self.spur), 4), (self.stub_yard, 6 if self.plan.policy not in (None, "by hand") else 2),
            (lambda: self.line(self.siding), 5 if b >= 2 else 0), (self.double_line, 7 if b >= 1 else 0),
            (lambda: self.line(self.triangle_in), double if b >= 3 else 0), (lambda: self.line(self.three_spur), double),
            (self.balloon_line, 2),
        ]

    def ring(self):
        self.plan.part("plain ring")
        plan, bus = self.plan, self.main_buses[0]
        t = self.track([self.stop(bus), self.stop(bus)], bus, "arc", 1.6, 4.0)
        plan.tracks[t].ends = [("track", t, 1), ("track", t, 0)]
        for _ in range(2):
            longest = max(range(len(plan.tracks)), key=lambda i: plan.tracks[i].length)
            if plan.tracks[longest].length > plan.grid(1.1):
                self.split(longest)

    def oval(self, part):
        chain = self.chain(True)
        part(chain)
        if part == self.spur:
            self.plan.part("oval with a spur")
        self.more(chain)
        self.close(chain)

    def oval_with_siding(self):
        chain = self.chain(True)
        self.siding(chain)
        self.plan.part("oval with a passing siding")
        self.more(chain)
        self.close(chain)

    def siding(self, chain):
        """A passing place, or a yard with a ladder at either end."""
        policy, stores = self.plan.policy, self.stores()
        count = 3 if self.budget >= 4 and self.random.once_in(2) else 2
        roads = self.loop(chain, count, "road" if stores else "arc")
        if stores:
            self.plan.storage = roads
            self.plan.part(f"double-ended yard, {policy}")
        elif count > 2:
            self.plan.part("double-ended yard without storage")

    def figure_eight(self):
        self.plan.part("figure eight")
        chain = self.chain(True)
        chain.ordered = True
        w = self.cross(chain, chain)
        crossing = self.plan.works[w]
        # What lies in the two lobes; the second way over the crossing comes after the first lobe.
        second = chain.links.pop()
        self.plan.part("figure eight, live" if crossing.live else "figure eight, insulated")
        for lobe in range(2):
            if self.budget >= 2 and (lobe == 0 or self.random.below(4)):
                self.siding(chain)
            elif self.budget >= 1 and self.random.once_in(3):
                self.spur(chain)
            if lobe == 0:
                chain.links.append(second)
        self.close(chain)

    def dog_bone(self):
        self.plan.part("dog-bone")
        chain = self.chain(False)
        # Both loops are grown at last, of what the line has left over.
        self.budget -= 2
        if self.budget >= 1 and self.random.once_in(2):
            self.more(chain, 1)
        self.budget += 2
        if not chain.links:
            self.balloon(self.balloon_at(chain.bus, False))
            return
        for end in self.close(chain, grow=False):
            self.balloon(end)

    def balloon_line(self):
        self.balloon(self.close(self.chain(False), grow=False)[0])

    def double_oval(self):
        self._double(True)
        self.plan.part("double oval")

    def double_line(self):
        self._double(False)
        self.plan.part("double line")

    def _double(self, circle):
        random = self.random
        one, other = self.chain(circle, 0), self.chain(circle, random.below(2))
        b = self.budget
        parts = [(self.crossover, 6 if b >= 1 else 0), (self.slip, 6 if b >= 1 else 0), (self.cross, 3), (self.junction, 8 if b >= 1 else 0)]
        random.weighted(parts)(one, other)
        if self.budget >= 2 and random.once_in(3):
            random.weighted(parts[:3])(one, other)
        for chain in (one, other):
            if self.budget >= 2 and random.once_in(3):
                self.more(chain, 1)
        self.close(one)
        self.close(other)

    def line(self, part):
        chain = self.chain(False)
        part(chain)
        self.more(chain)
        self.close(chain)

    def stub_yard(self):
        self.yard(self.close(self.chain(False), grow=False)[0])

    def more(self, chain, most=2):
        """Further parts on a chain, as far as the controls reach."""
        random = self.random
        for _ in range(random.below(most + 1)):
            b = self.budget
            if len(self.main_buses) > 1 and random.once_in(3):
                chain.bus = random.pick(self.main_buses)
            parts = [(self.spur, 4 if b >= 1 else 0), (self.siding, 4 if b >= 2 else 0), (self.triangle_in, 1 if b >= 3 else 0), (self.three_spur, 1 if b >= 2 else 0)]
            if any(weight for _, weight in parts):
                random.weighted(parts)(chain)

    def close(self, chain, grow=True):
        """Joins the parts of a chain; a line's two ends go on to be grown, or are given back."""
        links = chain.links if chain.ordered else self.random.shuffled(chain.links)
        for (_, out), (into, _) in zip(links, links[1:]):
            self.join(out, into)
        if chain.circle:
            self.join(links[-1][1], links[0][0], low=1.0)
            return []
        if links:
            ends = [links[0][0], links[-1][1]]
        else:
            # Nothing on it yet: it starts at a stop and goes on from there.
            start = self.stop(chain.bus)
            start.out = True
            ends = [start, start]
        if grow:
            self.open += ends
        return ends

    # ── what grows from open ends ───────────────────────────────────────────────────────────────────

    def grow_on(self):
        random, plan = self.random, self.plan
        while self.open:
            end = self.open.pop(random.below(len(self.open)))
            b, room = self.budget, len(plan.tracks) + len(self.open) < 10
            stores = self.stores()
            parts = [
                (self.leaf_end, 6), (self.branch, 6 if b >= 1 and room else 0), (self.trailing, 2 if b >= 1 and room else 0),
                (self.three, 2 if b >= 2 and room else 0), (self.balloon, 2 if b >= 1 and room else 0),
                (self.triangle, 1 if b >= 3 and room else 0), (self.yard, 12 if b >= 1 and room and stores else 0),
            ]
            self.open += random.weighted(parts)(end) or []

    def leaf_end(self, end):
        work = end.end[0] == "work" and self.plan.works[end.end[1]]
        if self.stores() and work and work.kind == "turnout" and end.end[2] != "points" and self.random.once_in(3):
            self.plan.storage = [self.leaf(end, "road", 1.2, 3.0, "buffer")]
            self.plan.part("storage spur")
            return
        t = self.leaf(end)
        track = self.plan.tracks[t]
        # Fed by nothing but its turnout, and then a live frog needs no gap either.
        if work and work.kind == "turnout" and end.end[2] != "points" and not work.unfed and self.random.once_in(6):
            track.by_turnout = True
            self.plan.part("fed by its turnout")

    def yard(self, end):
        """Tracks that end at buffers, off a ladder."""
        plan, random = self.plan, self.random
        count = 2 + random.below(max(1, min(self.budget, 5)))
        stores = self.stores()
        points, ends, _ = self.ladder(end.bus, end.out, count, unfed=not stores)
        self.join(end, points, low=0.5, high=2.0)
        roads = [self.leaf(e, "road" if stores else "leaf", 1.2, 3.0, "buffer") for e in ends]
        plan.part("stub yard")
        if stores:
            plan.storage = roads
            plan.part(f"stub yard, {plan.policy}")

    def divide(self):
        """Tracks in two pieces, districts that begin on the way, tracks on a branch of their bus."""
        plan, random = self.plan, self.random
        for t in range(len(plan.tracks)):
            track = plan.tracks[t]
            whole = track.length >= plan.grid(1.3) and track.role in ("arc", "leaf") and not track.by_turnout
            if whole and len(plan.tracks) < 12 and (random.once_in(6) or len(plan.tracks) < 3):
                new = self.split(t)
                plan.part("track joined to track")
                if track.role == "leaf" and len(self.main_buses) > 1 and random.once_in(2):
                    far = new if plan.tracks[new].ends[1][0] == "stop" else t
                    plan.tracks[far].bus = random.pick(self.main_buses)
            elif track.role == "leaf" and not track.by_turnout and len(self.main_buses) > 1 and random.once_in(6):
                track.bus = random.pick(self.main_buses)
        branch = len(self.main_buses)
        for track in plan.tracks[: len(plan.tracks) if branch < len(plan.buses) else 0]:
            if plan.district(track.bus) == plan.district(branch) and random.once_in(2):
                track.bus = branch

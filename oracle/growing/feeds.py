"""Feeders, and rail that toggles and contacts feed beyond what frogs, sections and storage need."""

from circuit import Circuit
from model import Contact, Feeder, LEFT, RIGHT


class Retry(Exception):
    """This plan cannot be wired; another one is grown."""


class Feeds:
    """The half of the wiring that brings power to rail. `Wiring` in wire.py is the whole of it."""

    def contact(self, switch, common, first, second, role):
        contact = Contact(common, [first, second], role)
        self.plan.switches[switch].contacts.append(contact)
        return contact

    def switched_place(self, t, side):
        """A place for a wire on rail that contacts feed from end to end."""
        plan, track = self.plan, self.plan.tracks[t]
        at = plan.place(self.random, t, plan.grid(0.15), track.length - plan.grid(0.15))
        if at is None:
            raise Retry
        return at

    # ── sidings that toggles switch ─────────────────────────────────────────────────────────────────

    def by_hand(self):
        """Sidings that toggles switch; which and which of their rails."""
        plan, random, grower = self.plan, self.random, self.grower
        self.hand = []
        if plan.policy != "by hand":
            return
        fits = [
            t for t, track in enumerate(plan.tracks)
            if track.role == "leaf" and not track.by_turnout and track.ends.count(("stop", "buffer")) == 1
            and any(e[0] == "work" for e in track.ends) and track.length >= plan.grid(0.6)
        ]
        for t in random.shuffled(fits)[: grower.hand_left]:
            sides = [LEFT, RIGHT] if random.once_in(3) else [random.below(2)]
            plan.tracks[t].switched = sides
            plan.storage.append(t)
            self.hand.append((t, sides, grower.toggle()))
            plan.part("toggle switches a siding")
        if not plan.storage:
            plan.policy = None

    def hand_contacts(self):
        plan, random = self.plan, self.random
        for t, sides, toggle in self.hand:
            host = toggle
            if random.once_in(4):
                host = self.grower.relay(toggle)
                plan.part("relay follows a toggle")
            on = 1 if random.below(4) else 0
            for side in sides:
                at = self.switched_place(t, side)
                plan.taps.append((t, side, at, ("switched", "hand", None)))
                ends = [[], []]
                ends[on] = [("rail", t, side, at)]
                self.contact(host, [("bus", plan.tracks[t].bus, plan.pole(side), None)], *ends, ("hand", t))

    def cabs(self):
        """A siding that a toggle gives to one district or to the other."""
        plan, random, grower = self.plan, self.random, self.grower
        buses = grower.main_buses
        if len(buses) < 2 or grower.budget < 1 or not random.once_in(2):
            return
        fits = [
            t for t, track in enumerate(plan.tracks)
            if track.role == "leaf" and not track.by_turnout and not track.switched and t not in plan.storage
            and any(e[0] == "work" for e in track.ends) and any(e[0] == "stop" for e in track.ends)
        ]
        if not fits:
            return
        t = random.pick(fits)
        track = plan.tracks[t]
        toggle = grower.toggle()
        plan.part("toggle gives a siding to a district")
        end = 0 if track.ends[0][0] == "work" else 1
        track.fixed = False
        # Opposite each other, for the same reason as at a boundary.
        cut = track.gaps[0].at if track.gaps else self._from_end(t, end)
        whys = {g.side: g.why for g in track.gaps}
        track.gaps = []
        for side in (LEFT, RIGHT):
            plan.gap(t, side, cut, whys.get(side, "boundary"))
            at = self.switched_place(t, side)
            wires = [[("bus", bus, plan.pole(side), None)] for bus in buses]
            self.contact(toggle, [("rail", t, side, at)], *wires, ("feed",))
            plan.taps.append((t, side, at, ("always", "cab", None)))

    def fed_by_contacts(self):
        """Rail between two gaps that hangs on contacts in every setting, but not on the same wires."""
        plan, random, grower = self.plan, self.random, self.grower
        for _ in range(2):
            lonely = not plan.controls()
            if not lonely and random.below(6) < 4:
                continue
            fits = [
                t for t, track in enumerate(plan.tracks)
                if track.fixed and track.role in ("arc", "leaf") and not track.by_turnout and not track.switched
                and t not in plan.storage and track.length >= plan.grid(1.2) and not any(g.why == "feed" for g in track.gaps)
            ]
            if not fits:
                if lonely:
                    raise Retry
                continue
            t, side = random.pick(fits), random.below(2)
            track = plan.tracks[t]
            a = plan.place(random, t, plan.grid(0.25), track.length // 2)
            b = a and plan.place(random, t, a + plan.grid(0.3), track.length - plan.grid(0.25))
            if not b:
                raise Retry
            plan.gap(t, side, a, "feed")
            plan.gap(t, side, b, "feed")
            if grower.budget >= 1 and (lonely or random.once_in(2)):
                switch = grower.toggle()
                plan.part("toggle feeds a section")
            else:
                switch = random.pick([i for i, s in enumerate(plan.switches) if s.kind != "relay"])
            self._always(t, side, a, b, switch)
            plan.part("section fed from two controls' contacts")

    def _always(self, t, side, a, b, switch):
        """Contacts that feed a piece in both positions of a switch."""
        plan, random = self.plan, self.random

        def rail():
            at = plan.place(random, t, a + plan.grid(0.021), b - plan.grid(0.021))
            if at is None:
                raise Retry
            plan.taps.append((t, side, at, ("always", "feed", None)))
            return ("rail", t, side, at)

        pole = plan.pole(side)
        bus = lambda: ("bus", plan.tracks[t].bus, pole, random.between(0, plan.buses[plan.tracks[t].bus].length))
        style, first = random.below(4), random.below(2)
        role = ("feed",)
        if style == 0:
            self.contact(switch, [rail()], [bus()], [bus()], role)
            return
        ends = [[], []]
        ends[first] = [rail()]
        others = [i for i, s in enumerate(plan.switches) if plan.leader(i) != switch]
        if style == 1 and others:
            # The other position goes on to a second control, either position of which feeds the rail.
            second = random.pick(others)
            self.contact(second, [], [rail()], [rail()], role)
            number = len(plan.switches[second].contacts) - 1
            ends[1 - first] = [("contact", second, number, "common")]
            self.contact(switch, [bus()], *ends, role)
            plan.part("feed that hangs on two controls")
            return
        self.contact(switch, [bus()], *ends, role)
        relay = self.grower.relay(switch, fresh=True)
        plan.switches[relay].wire = "24 AWG" if plan.imperial else random.pick(["0.14 mm²", "0.25 mm²"])
        plan.switches[relay].wire_length = plan.grid(random.between(30, 120) / 10)
        ends = [[], []]
        ends[1 - first] = [rail()]
        self.contact(relay, [bus()], *ends, role)
        plan.part("relay over a long thin wire")

    def extra_contacts(self):
        """Further wires to rail that has power anyway, closed in one position."""
        plan, random = self.plan, self.random
        while plan.switches and random.once_in(3):
            fits = [t for t, track in enumerate(plan.tracks) if track.fixed and track.feeders and t not in plan.storage]
            if not fits:
                return
            t, side = random.pick(fits), random.below(2)
            at = plan.place(random, t, 0, plan.tracks[t].length)
            circuit = Circuit(plan)
            if at is None or not circuit.fed_by(circuit.piece(t, side, at)):
                return
            node = circuit.piece(t, side, at)
            district = plan.district(plan.tracks[t].bus)
            if circuit.fed_by(node) != {(district, plan.pole(side))} or circuit.hangs_on(node):
                return
            plan.taps.append((t, side, at, ("extra", "feed", None)))
            ends = [[], []]
            ends[random.below(2)] = [("rail", t, side, at)]
            switch = random.below(len(plan.switches))
            self.contact(switch, [("bus", plan.tracks[t].bus, plan.pole(side), None)], *ends, ("feed",))
            plan.part("contact beside a feeder")

    # ── feeders ─────────────────────────────────────────────────────────────────────────────────────

    def feeders(self):
        plan, random = self.plan, self.random
        for t, track in enumerate(plan.tracks):
            if not track.fixed or track.role == "link" or (track.by_turnout and random.below(3)):
                continue
            for _ in range(random.weighted([(0, 2), (1, 6), (2, 3), (3, 1)])):
                self._feeder(t, [s for s in (LEFT, RIGHT) if s not in track.switched])
        for _ in range(60):
            hungry = self._hungry()
            if hungry is None:
                break
            t, side, low, high = hungry
            at = plan.place(random, t, low + plan.grid(0.021), high - plan.grid(0.021))
            if at is None:
                raise Retry
            plan.tracks[t].feeders.append(Feeder(at, side, self._other_district(t, side, low, high)))
        circuit = Circuit(plan)
        assert not circuit.shorted() and not circuit.joined(), "a short by construction"

    def _other_district(self, t, side, low, high):
        """The conductor for a piece before a boundary, which is one with the trackwork that it leads to."""
        plan, track = self.plan, self.plan.tracks[t]
        for end, touches in ((0, low == 0), (1, high == track.length)):
            to = track.ends[end]
            if touches and to[0] == "work":
                bus = plan.works[to[1]].bus
                if plan.parted(track.bus, bus, plan.pole(side)):
                    return ("bus", bus, plan.pole(side), self.random.between(0, plan.buses[bus].length))
        return None

    def _feeder(self, t, sides):
        plan, random = self.plan, self.random
        at = plan.place(random, t, plan.grid(0.03), plan.tracks[t].length - plan.grid(0.03))
        if at is None:
            return
        circuit, track = Circuit(plan), plan.tracks[t]
        for side in sides if random.below(5) else sides[:1]:
            node = circuit.piece(t, side, at)
            start, stop = circuit.pieces[t, side][node[3]]
            # A stub behind a frog, and rail that only contacts are to feed, is no place for a feeder.
            short = stop - start <= plan.grid(0.1)
            others = [tag for tag in circuit.hangs_on(node) if tag[0] != "blade" or track.by_turnout]
            alien = circuit.fed_by(node) - {(plan.district(track.bus), plan.pole(side))}
            if not (short or others or alien):
                track.feeders.append(Feeder(at, side))

    def _hungry(self):
        """A piece of rail that would be dead under a train: (track, side, from, to)."""
        plan = self.plan
        circuit = Circuit(plan)
        for (t, side), pieces in circuit.pieces.items():
            for k, (start, stop) in enumerate(pieces):
                node = ("piece", t, side, k)
                track = plan.tracks[t]
                if start == stop or circuit.fed(node):
                    continue
                blade = any(tag[0] == "blade" for tag in circuit.hangs_on(node)) and not circuit.has_stock_rail(node)
                if blade and (track.by_turnout or stop - start <= plan.grid(0.1)):
                    continue
                return self._best_place(circuit, circuit.find(node))
        return None

    def _best_place(self, circuit, conductor):
        """The longest piece of a conductor that a feeder may go to."""
        best = None
        for (t, side), pieces in circuit.pieces.items():
            track = self.plan.tracks[t]
            for k, (start, stop) in enumerate(pieces):
                if circuit.find(("piece", t, side, k)) == conductor and track.fixed and side not in track.switched and track.role != "link":
                    if best is None or stop - start > best[3] - best[2]:
                        best = (t, side, start, stop)
        if best is None:
            raise Retry
        return best

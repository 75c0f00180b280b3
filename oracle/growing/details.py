"""What a plan says beyond its wiring: joints, where tracks run along their buses, wires, names."""

from model import LEFT, RIGHT

TRACK_NAMES = [
    "road", "siding", "main", "loop", "dock", "spur", "bay", "goods lead", "lead", "west end", "up line", "down line",
    "shed", "coal", "quay", "short", "link", "platform", "A to B", "mill, upper", "No. 3", "x+y", "северный путь", "側線",
    "l'étape", "Gleis α", "from here to there", "C.1+2", "to", "ø", "road (rear)", "50 % grade", "a = b", "#7", "left",
    "main.left", "bus", "[east]", "Øst, ytre", "T1 + T2", "ostré", "~", "old; new", "ends here.",
]
TURNOUT_NAMES = ["T", "W", "E", "P", "points ", "yard throat ", "стрелка ", "T+", "Aiguille, ", "分岐 ", "No.", "to the shed "]
MOTOR_NAMES = ["M", "motor ", "MP", "moteur, ", "Привод ", "M+", "lever to "]
OTHER_NAMES = {
    "toggle": ["S", "toggle ", "switch, ", "ключ ", "on to "], "relay": ["R", "relay ", "K+", "реле "],
    "reverser": ["RV", "reverser ", "turn.", "Umkehr, "], "bus": ["bus ", "main bus ", "shed to pier ", "B.", "шина ", "ring + "],
    "crossing": ["X", "crossing ", "X, ", "K."], "slip": ["S.", "slip ", "S + "], "three_way": ["W", "three way ", "III, "],
    "sub-breaker": ["breaker ", "east to west ", "Sicherung, "], "booster": ["booster ", "B + ", "усилитель "],
}


class Names:
    """Gives every thing a name of its own that no other name can be mistaken for."""

    def __init__(self, random):
        self.random, self.taken = random, []
        # Most plans have plain names; some have hardly any.
        self.odd = random.once_in(3)

    def fits(self, name):
        dotted = any(name.startswith(other + ".") or other.startswith(name + ".") for other in self.taken)
        return name not in self.taken and not dotted and name not in ("buffer", "beyond")

    def give(self, pool, counted):
        pool = pool if self.odd else pool[: max(1, len(pool) // 3)]
        for number in range(1, 1000):
            stem = self.random.pick(pool)
            name = f"{stem}{number}" if counted else stem if number == 1 else f"{stem} {number}"
            if self.fits(name):
                self.taken.append(name)
                return name
        raise AssertionError("no name left")


class Details:
    def __init__(self, plan, random):
        self.plan, self.random = plan, random

    def settle(self):
        self.layout()
        self.along()
        self.joints()
        self.wires()
        self.places()
        self.names()
        kinds = ["track", "work", "switch", "reverser"]
        self.plan.order = [self.random.shuffled(range(len(self.plan.tracks))), self.random.shuffled(kinds)]
        self.room()

    def room(self):
        """How warm it gets: mostly warmer than tables of wires take it, sometimes never so warm."""
        if self.random.once_in(2):
            celsius = self.random.between(12, 42)
            imperial = self.plan.imperial and self.random.once_in(2)
            self.plan.hottest = f"{celsius * 1.8 + 32:.1f} °F" if imperial else f"{celsius} °C"
            self.plan.part("a room")

    def layout(self):
        plan, random = self.plan, self.random
        metric, imperial = ["0.5 mm²", "0.75 mm²", "1 mm²"], ["20 AWG", "18 AWG", "0.75 mm²"]
        if random.once_in(2):
            plan.layout["joint"] = random.pick(["soldered", "sliding"])
        if random.once_in(3):
            plan.layout["rail"] = random.pick(["code 100 nickel silver", "code 83 nickel silver", "code 70 nickel silver"])
        if random.once_in(2):
            plan.layout["feeder_wire"] = random.pick(imperial if plan.imperial else metric)
        if random.once_in(2):
            plan.layout["feeder_length"] = plan.grid(random.between(10, 50) / 100)
        self.feeder_wires = imperial if plan.imperial else metric
        if random.once_in(3):
            # Shorter than any section that changes its poles.
            length = plan.grid(random.between(30, 70) / 100)
            # Not so short that it would notice the stub before a gap.
            pick_up = plan.grid(random.between(110, 160) / 1000) if random.once_in(2) else None
            plan.trains.append((length, f"{random.between(20, 90) / 100:.2f} A", pick_up))

    def along(self):
        """Where tracks run along their buses; most do."""
        plan, random = self.plan, self.random
        for track in plan.tracks:
            if random.once_in(6):
                continue
            long = plan.buses[track.bus].length
            span = min(track.length, long)
            start = random.between(0, long - span)
            places = (start, start + span) if random.once_in(2) else (start + span, start)
            track.along = (track.bus, *places)

    # ── joints ──────────────────────────────────────────────────────────────────────────────────────

    def _has_joiner(self, t):
        """Whether a gap stands at an end of a track, in the joint with its neighbour."""
        plan, track = self.plan, self.plan.tracks[t]
        if any(g.at in (0, track.length) for g in track.gaps):
            return True
        for to in track.ends:
            if to[0] == "track":
                other = plan.tracks[to[1]]
                if any(g.at == (0 if to[2] == 0 else other.length) for g in other.gaps):
                    return True
        return False

    def joints(self):
        plan, random = self.plan, self.random
        for t, track in enumerate(plan.tracks):
            if track.joint == "gap":
                continue
            if random.once_in(4) and not self._has_joiner(t):
                said = {plan.tracks[to[1]].joint for to in track.ends if to[0] == "track" and to[1] != t} - {None}
                kind = random.pick(["soldered", "sliding"])
                if said <= {kind}:
                    track.joint = kind
            if random.once_in(3):
                self._stock(track)
            for _ in range(random.weighted([(0, 5), (1, 2), (2, 1)])):
                at = plan.place(random, t, plan.grid(0.1), track.length - plan.grid(0.1))
                if at is not None:
                    side = random.pick([None, LEFT, RIGHT])
                    (track.slides if random.below(3) else track.joints).append((at, side))
        for w, work in enumerate(plan.works):
            mine = [(t, track) for t, track in enumerate(plan.tracks) if any(e[:2] == ("work", w) for e in track.ends)]
            if work.kind == "turnout" and random.once_in(8) and all(track.joint is None and not self._has_joiner(t) for t, track in mine):
                work.joint = random.pick(["soldered", "sliding"])

    def _stock(self, track):
        """The length its rails come in, where no joint falls on a wire or gap then."""
        plan, random = self.plan, self.random
        stock = plan.grid(random.pick([0.9144, 0.6096] if plan.imperial else [0.914, 1.0, 0.6, 0.75]))
        places = [track.length - k if track.flipped else k for k in range(stock, track.length, stock)]
        near = plan.grid(0.02) + 1
        if places and all(abs(p - u) >= near for p in places for u in [*track.used, 0, track.length]):
            track.stock = stock
            track.used += places

    # ── wires ───────────────────────────────────────────────────────────────────────────────────────

    def wires(self):
        plan, random = self.plan, self.random
        for track in plan.tracks:
            if random.once_in(5):
                track.feeder_wire = random.pick(self.feeder_wires)
            if random.once_in(5):
                track.feeder_length = plan.grid(random.between(10, 60) / 100)
            for feeder in track.feeders:
                if random.once_in(6):
                    feeder.wire = random.pick(self.feeder_wires)
                if random.once_in(6):
                    feeder.length = plan.grid(random.between(10, 100) / 100)
        for switch in plan.switches:
            if switch.wire is None and random.once_in(3):
                switch.wire = random.pick(self.feeder_wires)
            if switch.wire_length is None and random.once_in(3):
                switch.wire_length = plan.grid(random.between(20, 300) / 100)

    def places(self):
        """A contact's wire that ends at a bus says where, unless the page on definitions says it without doubt."""
        plan, random = self.plan, self.random
        for s, switch in enumerate(plan.switches):
            leader = plan.switches[plan.leader(s)]
            beside = set()
            if leader.kind == "toggle":
                beside = set(range(len(plan.buses)))
            elif len(leader.moves) == 1 and leader.moves[0][1] == "":
                ends = ("work", leader.moves[0][0], "points")
                beside = {t.along[0] for t in plan.tracks if t.along and ends in t.ends}
            for contact in switch.contacts:
                for wires in (contact.common, *contact.pos):
                    for k, ref in enumerate(wires):
                        if ref[0] == "bus" and ref[3] is None and (ref[1] not in beside or random.once_in(3)):
                            wires[k] = (*ref[:3], random.between(0, plan.buses[ref[1]].length))

    def names(self):
        plan, names = self.plan, Names(self.random)
        for supply in plan.supplies:
            supply.name = names.give(OTHER_NAMES[supply.kind], True)
        for bus in plan.buses:
            bus.name = names.give(OTHER_NAMES["bus"], True)
        for work in plan.works:
            work.name = names.give(TURNOUT_NAMES if work.kind == "turnout" else OTHER_NAMES[work.kind], True)
        for track in plan.tracks:
            track.name = names.give(TRACK_NAMES, False)
        for switch in plan.switches:
            switch.name = names.give(MOTOR_NAMES if switch.kind == "motor" else OTHER_NAMES[switch.kind], True)
        for reverser in plan.reversers:
            reverser.name = names.give(OTHER_NAMES["reverser"], True)

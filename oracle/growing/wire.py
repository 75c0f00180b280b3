"""Gaps, contacts and feeders for track that has grown, so that nothing is wrong in any setting."""

import trackwork
from feeds import Feeds, Retry
from model import Feeder, LEFT, RIGHT
from storage import Trees


class Wiring(Feeds):
    def __init__(self, grower):
        self.grower, self.plan, self.random = grower, grower.plan, grower.random
        self.trees = Trees(self.plan, self.random)

    def wire(self):
        self.trees.choose()
        self.by_hand()
        self.gaps()
        self.sections()
        self.frogs()
        self.trees.wire(self.switched_place)
        self.hand_contacts()
        self.cabs()
        self.fed_by_contacts()
        self.feeders()
        self.extra_contacts()

    # ── gaps ────────────────────────────────────────────────────────────────────────────────────────

    def gaps(self):
        plan, random = self.plan, self.random
        for t, track in enumerate(plan.tracks):
            due = [self._due(t, end) for end in (0, 1)]
            if track.role == "section" and random.once_in(4):
                # Insulated joiners at both ends.
                for side in (LEFT, RIGHT):
                    plan.gap(t, side, 0, "section")
                    plan.gap(t, side, track.length, "section")
                track.joint = "gap"
                continue
            # Between two boosters no rail of one may face the other's: the gaps stand opposite each other.
            changes = [self._changes_booster(t, end) for end in (0, 1)]
            for end in (0, 1):
                together = self._from_end(t, end) if changes[end] or random.once_in(2) else None
                for side, why in due[end]:
                    if track.length < plan.grid(0.4) and (any(changes) or side in [s for s, _ in due[1 - end]]):
                        plan.gap(t, side, track.length // 2, why)
                        continue
                    plan.gap(t, side, self._clear_of_others(t, end) if together is None else together, why)
        for t, track in enumerate(plan.tracks):
            if track.ends[1][0] == "track":
                self._boundary_of_tracks(t)

    def _changes_booster(self, t, end):
        plan, track = self.plan, self.plan.tracks[t]
        to = track.ends[end]
        if to[0] == "stop":
            return False
        bus = plan.works[to[1]].bus if to[0] == "work" else plan.tracks[to[1]].bus
        return plan.booster(plan.district(bus)) != plan.booster(plan.district(track.bus))

    def _clear_of_others(self, t, end):
        """A place near an end that is opposite another gap, or well away from it."""
        plan, gaps = self.plan, self.plan.tracks[t].gaps
        for _ in range(30):
            at = self._from_end(t, end)
            if plan.free(t, at):
                return at
        return next((g.at for g in gaps if abs(g.at - at) <= plan.grid(0.05)), at)

    def _from_end(self, t, end):
        plan, length = self.plan, self.plan.tracks[t].length
        away = self.random.between(plan.grid(0.04) + 1, min(plan.grid(0.09), length // 2))
        return away if end == 0 else length - away

    def _due(self, t, end):
        """The gaps due at an end of a track: (side, why)."""
        plan, track = self.plan, self.plan.tracks[t]
        to = track.ends[end]
        due = {}
        if to[0] == "work":
            work, port = plan.works[to[1]], to[2]
            frog = [side for p, side in trackwork.gapped(work) if p == port]
            frog = [trackwork.side_on_track(port, side, end) for side in frog]
            if track.role == "section":
                due.update({LEFT: "section", RIGHT: "section"})
            elif work.turning and port != "points":
                due.update({s: "section" for s in (LEFT, RIGHT) if not (work.frog_of_legs and s in frog)})
            elif track.role != "tail":
                if not track.by_turnout or track.role == "link":
                    due.update({s: "frog" for s in frog})
                for s in (LEFT, RIGHT):
                    if plan.parted(track.bus, work.bus, plan.pole(s)):
                        due.setdefault(s, "boundary")
                        plan.part("district boundary")
                for s in track.switched:
                    due.setdefault(s, "storage")
        return sorted(due.items())

    def _boundary_of_tracks(self, t):
        """Where two tracks of different districts meet."""
        plan, random = self.plan, self.random
        _, other, end = plan.tracks[t].ends[1]
        exact = random.once_in(2)
        together = self._from_end(t, 1)
        for side in (LEFT, RIGHT):
            if other != t and plan.parted(plan.tracks[t].bus, plan.tracks[other].bus, plan.pole(side)):
                at = plan.tracks[t].length if exact else together if self._changes_booster(t, 1) else self._clear_of_others(t, 1)
                plan.gap(t, side, at, "boundary")
                plan.part("district boundary")

    # ── what contacts feed ──────────────────────────────────────────────────────────────────────────

    def sections(self):
        plan, random = self.plan, self.random
        for i, section in enumerate(plan.sections):
            [t] = section.tracks
            track = plan.tracks[t]
            low, high = plan.grid(0.15), track.length - plan.grid(0.15)
            if section.kind == "contacts":
                host = section.motor
                if random.once_in(5):
                    host = self.grower.relay(section.motor)
                    plan.part("relay feeds a section")
                for side in (LEFT, RIGHT):
                    places = [p for p in (plan.place(random, t, low, high) for _ in range(random.between(1, 2))) if p is not None]
                    if not places:
                        raise Retry
                    rails = [("rail", t, side, at) for at in places]
                    wires = [[("bus", track.bus, pole, None)] for pole in section.poles[side]]
                    self.contact(host, rails, *wires, ("section", i))
                    plan.taps += [(t, side, at, ("section", i, None)) for at in places]
                continue
            for side in (LEFT, RIGHT):
                pole = section.poles[side][0] if section.kind == "following" else side
                track.belongs[side] = ("out", section.reverser, pole)
            track.says_conductors = random.once_in(2)
            for _ in range(random.between(1, 2)):
                at = plan.place(random, t, low, high)
                if at is not None:
                    explicit = not track.says_conductors
                    track.feeders += [Feeder(at, s, track.belongs[s] if explicit else None) for s in (LEFT, RIGHT)]
            if not track.feeders:
                raise Retry

    def frogs(self):
        plan, random = self.plan, self.random
        for w, work in enumerate(plan.works):
            if not trackwork.wants_contacts(work) or work.frog_of_legs:
                continue
            for frog, part, poles in trackwork.frog_feeds(plan, work, centre_right=random.once_in(3)):
                host = work.controls[part]
                if work.relay is not None and part == "follows" and random.once_in(2):
                    host = work.relay
                elif random.once_in(7):
                    host = self.grower.relay(host)
                    plan.part("relay feeds a frog")
                wires = [[("bus", work.bus, pole, None)] for pole in poles]
                target, role = ("frog", w, frog), ("frog", w, frog)
                if poles[0] != poles[1] and random.once_in(6):
                    # A contact for each position, the free terminals of both on the frog.
                    self.contact(host, wires[0], [target], [], role)
                    self.contact(host, wires[1], [], [target], role)
                else:
                    self.contact(host, [target], *wires, role)

"""What is one conductor in every setting, and what feeds it: enough to see where a feeder is due and where a fault bites.

It knows no settings. That a plan is right in all of them follows from how it grows.
"""

import trackwork
from model import LEFT, RIGHT


class Circuit:
    def __init__(self, plan):
        self.plan = plan
        self.parent = {}
        # By conductor: poles it is on for good, as (district, pole), with how many wires; and what else it hangs on.
        self.poles, self.tags, self.wires = {}, {}, {}
        self.pieces = {
            (t, side): plan.pieces(t, side) for t in range(len(plan.tracks)) for side in (LEFT, RIGHT)
        }
        self._join()
        self._feed()

    def find(self, node):
        self.parent.setdefault(node, node)
        while self.parent[node] != node:
            self.parent[node] = self.parent[self.parent[node]]
            node = self.parent[node]
        return node

    def _union(self, a, b):
        self.parent[self.find(a)] = self.find(b)

    def end_piece(self, track, side, end):
        """The piece of a rail at an end of its track."""
        return ("piece", track, side, 0 if end == 0 else len(self.pieces[track, side]) - 1)

    def piece(self, track, side, at):
        """The piece of a rail at a place where there is no gap."""
        for k, (start, stop) in enumerate(self.pieces[track, side]):
            if start <= at <= stop and not (at == stop and at != self.plan.tracks[track].length):
                return ("piece", track, side, k)
        raise AssertionError("a place off its track")

    def _join(self):
        plan = self.plan
        at_port = {}
        for t, track in enumerate(plan.tracks):
            for end, to in enumerate(track.ends):
                if to[0] == "work":
                    at_port[to[1], to[2]] = (t, end)
                elif to[0] == "track":
                    for side in (LEFT, RIGHT):
                        other = side if end != to[2] else 1 - side
                        self._union(self.end_piece(t, side, end), self.end_piece(to[1], other, to[2]))
        self.at_port = at_port
        for w, work in enumerate(plan.works):
            for k, (kind, rails, frog) in enumerate(trackwork.conductors(work)):
                node = ("conductor", w, k)
                self.find(node)
                for port, side in rails:
                    if (w, port) in at_port:
                        track, end = at_port[w, port]
                        self._union(node, self.end_piece(track, trackwork.side_on_track(port, side, end), end))

    def _add(self, table, node, what):
        table.setdefault(self.find(node), set()).add(what)

    def _feed(self):
        plan = self.plan
        for w, work in enumerate(plan.works):
            for k, (kind, rails, frog) in enumerate(trackwork.conductors(work)):
                if kind != "fixed":
                    what = "unfed" if work.unfed else "legs" if work.frog_of_legs else kind
                    self._add(self.tags, ("conductor", w, k), (what, w, frog))
        for t, track in enumerate(plan.tracks):
            for feeder in track.feeders:
                node = self.piece(t, feeder.side, feeder.at)
                to = feeder.to or track.belongs[feeder.side] or ("bus", track.bus, plan.pole(feeder.side), None)
                if to[0] == "bus":
                    self._add(self.poles, node, (plan.district(to[1]), to[2]))
                    self.wires[self.find(node)] = self.wires.get(self.find(node), 0) + 1
                else:
                    self._add(self.tags, node, ("out", to[1], None))
        for t, side, at, tag in plan.taps:
            self._add(self.tags, self.piece(t, side, at), tag)

    def fed_by(self, node):
        """The poles that a conductor is on for good."""
        return self.poles.get(self.find(node), set())

    def hangs_on(self, node):
        """What else feeds it: tags."""
        return self.tags.get(self.find(node), set())

    def has_stock_rail(self, node):
        """Whether rail of trackwork that never changes its pole belongs to a conductor."""
        works = enumerate(self.plan.works)
        fixed = ((w, k) for w, work in works for k, c in enumerate(trackwork.conductors(work)) if c[0] == "fixed")
        return any(self.find(("conductor", w, k)) == self.find(node) for w, k in fixed)

    def wire_count(self, node):
        return self.wires.get(self.find(node), 0)

    def fed(self, node):
        """Whether a piece of rail has power wherever a train needs it."""
        if self.fed_by(node):
            return True
        return any(tag[0] in ("frog", "unfed", "always", "switched", "section", "out") for tag in self.hangs_on(node))

    def shorted(self):
        """Whether both poles meet in every setting."""
        return any(len({pole for _, pole in poles}) > 1 for poles in self.poles.values())

    def joined(self):
        """Whether rails or wires lead round a breaker in every setting."""
        for poles in self.poles.values():
            for district, pole in poles:
                for other, other_pole in poles:
                    if pole == other_pole and district != other and self._apart(district, other, pole):
                        return True
        return False

    def _apart(self, one, other, pole):
        plan = self.plan
        bus = {plan.district(b): b for b in range(len(plan.buses))}
        return plan.parted(bus[one], bus[other], pole)

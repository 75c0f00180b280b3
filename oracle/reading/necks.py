"""When a storage track is set for, and when it is shut, word for word as definitions.md says it.

Method: from each end of each storage track the neck is walked once and kept as a list of pieces, each a condition on the
setting; which of them part the track from its neighbours is found by looking where their other legs lead.
"""

from controls import holds
from trains import OTHER


class Piece:
    """One piece of trackwork in a neck: set if one of `routes` is."""

    def __init__(self, work, entered, routes, reached):
        self.work, self.entered, self.routes, self.reached = work, entered, routes, reached
        self.joins = False

    def set(self, setting):
        return any(holds(r.guards, setting) for r in self.routes)


class Necks:
    """The necks of all storage tracks; a side without one is left out."""

    def __init__(self, plan, circuit, controls, trains):
        self.plan, self.circuit, self.controls, self.partner = plan, circuit, controls, circuit.partner
        self.trains = trains
        self.of = {name: [n for end in OTHER if (n := self.neck(name, end))] for name in plan.storage}
        for name, necks in self.of.items():
            for neck in necks:
                for piece in neck:
                    piece.joins = self.joins(piece, name, {p.work.name for p in neck})

    def neck(self, name, end):
        """The pieces of the neck of a storage track towards `end`."""
        pieces, asked, seen, at = [], [], set(), ("track", name, end)
        while True:
            met = self.partner.get(at)
            if met is None or met in seen:
                return pieces
            seen.add(met)
            if met[0] == "track":
                at = ("track", met[1], OTHER[met[2]])
                continue
            work = self.circuit.works[met[1]]
            reached, routes = work.reached(met[2]), work.routes_from(met[2])
            always = self.controls.always([r.guards for r in routes])
            if not always:
                # What the neck asks already goes first: a piece stands only one way at a time.
                if any(p.work is work for p in pieces):
                    return pieces
                routes = [r for r in routes if self.controls.possible([*asked, *r.guards])]
                if not routes:
                    return pieces
                pieces.append(Piece(work, met[2], routes, reached))
            if len(reached) > 1:
                return pieces
            asked += routes[0].guards
            onward = self.partner.get(("work", work.name, reached[0]))
            if onward is None:
                return pieces
            at = ("track", onward[1], OTHER[onward[2]])

    def joins(self, piece, own, neck):
        """Whether another storage track comes to a piece of a neck by another leg.

        Straight, or over other trackwork and runs without room: a run on which a train can wait parts the yards.
        """
        work = piece.work
        ends = [("work", work.name, port) for port in work.ports if port != piece.entered
                and port not in piece.reached and set(work.reached(port)) & set(piece.reached)]
        seen = set()
        while ends:
            end = ends.pop()
            met = None if end in seen else self.partner.get(end)
            seen.add(end)
            if met is None:
                continue
            number, side = self.trains.outer[met[1:]]
            run = self.trains.runs[number]
            names = [name for name, _ in run.from_end(side)]
            before = names[: names.index(own)] if own in names else names
            if any(name in self.plan.storage for name in before):
                return True
            at = run.beyond[1 - side]
            if before == names and not run.room and at is not None and at[1] not in neck:
                ends += [("work", at[1], other) for other in self.circuit.works[at[1]].reached(at[2])]
        return False

    def wanted(self, name, setting):
        """Whether the policy of a storage track wants it live, and whether it wants it dead."""
        policy, necks = self.plan.storage[name], self.of[name]
        if policy == "by hand":
            return False, False
        if policy == "always" or not necks:
            return True, False
        lined = [all(p.set(setting) for p in neck) for neck in necks]
        shut = [not all(p.set(setting) for p in self.parting(neck)) for neck in necks]
        if policy == "either end":
            return any(lined), all(shut)
        return all(lined), any(shut)

    @staticmethod
    def parting(neck):
        """The part of a neck that separates its track from its neighbours."""
        joining = [i for i, piece in enumerate(neck) if piece.joins]
        return neck[: (joining[-1] if joining else 0) + 1]

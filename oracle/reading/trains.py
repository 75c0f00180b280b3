"""Where a train can be in a setting, where it waits and where it comes to, word for word as definitions.md says it.

Method: plain track is gathered into runs once. In a setting a walk leaves a run or a route over the routes that are set,
as far as the first run with room; it tells both whether it is clear ahead and which runs a train comes to.
"""

from controls import holds
from plan import SAME_PLACE

ROOM = 0.4
# Lengths are sums of what is written in other units; this is what such a sum may be out by.
ROUNDING = 1e-9
OTHER = {"from": "to", "to": "from"}
ACROSS = {"left": "right", "right": "left"}


class Run:
    """Plain track from one piece of trackwork to the next.

    `names` are its tracks, `starts` the end of each that lies first, `beyond` the ends of trackwork met at either end.
    """

    def __init__(self, names, starts, beyond, metres):
        self.names, self.starts, self.beyond, self.metres = names, starts, beyond, metres
        self.room = metres >= ROOM - ROUNDING

    def from_end(self, side):
        """The tracks in order from an end of the run (0 or 1), each with its end that comes first on that way."""
        return self.starts if side == 0 else [(name, OTHER[end]) for name, end in reversed(self.starts)]


class Stand:
    """What one setting lets trains do: the part of each track and the routes they can be on, and what they come to.

    `tracks` is {track: {end: the place where a train stops to wait, or nothing}}; `routes` is (trackwork, route, runs);
    `reach` has for each run all runs from which a train on it can have its power.
    """

    def __init__(self, tracks, routes, reach):
        self.tracks, self.routes, self.reach = tracks, routes, reach


class Trains:
    """All runs of a plan, and the walks between them."""

    def __init__(self, plan, circuit):
        self.plan, self.circuit, self.partner = plan, circuit, circuit.partner
        self.runs, self.run_of, self.outer = [], {}, {}
        for name in plan.tracks:
            if name not in self.run_of:
                self.gather(name)
        self.waits = [[self.wait_place(run, side) for side in (0, 1)] for run in self.runs]

    def follow(self, name, end):
        """Leaving a track by an end over plain track: (track, end left by) passed, the last of them, trackwork met there."""
        passed, last = [], (name, end)
        while True:
            met = self.partner.get(("track", *last))
            if met is None or met[0] == "work":
                return passed, last, met
            if met[1] == name or any(met[1] == other for other, _ in passed):
                # A closed circle of plain track: the line is treated as ending there.
                return passed, None, None
            last = (met[1], OTHER[met[2]])
            passed.append(last)

    def gather(self, name):
        """Make the run that a track is part of."""
        (back, first, before), (forth, last, behind) = self.follow(name, "from"), self.follow(name, "to")
        if first is None:
            back = []
        starts = [*reversed(back), (name, "from"), *((n, OTHER[end]) for n, end in forth)]
        names, number = [n for n, _ in starts], len(self.runs)
        self.runs.append(Run(names, starts, (before, behind), sum(self.plan.tracks[n].length for n in names)))
        self.run_of.update(dict.fromkeys(names, number))
        self.outer.update({end: (number, side) for side, end in enumerate((first, last)) if end})

    def walk(self, at, setting):
        """From the end of trackwork `at`: the runs come to, up to the first with room, and whether it is clear ahead."""
        met, seen = [], set()
        while at is not None and at not in seen:
            seen.add(at)
            work = self.circuit.works[at[1]]
            route = next((r for r in work.routes_from(at[2]) if holds(r.guards, setting)), None)
            if route is None:
                return met, False
            onward = self.partner.get(("work", work.name, route.ends[1 - route.ends.index(at[2])]))
            if onward is None:
                return met, True
            number, side = self.outer[onward[1:]]
            met.append(number)
            if self.runs[number].room:
                return met, True
            at = self.runs[number].beyond[1 - side]
        # The line ends there, or the walk has come back to where it began.
        return met, True

    def stand(self, setting):
        """All that is asked of where trains are in a setting."""
        ahead = [[self.walk(at, setting) for at in run.beyond] for run in self.runs]
        tracks = {}
        for number, run in enumerate(self.runs):
            if run.room or all(clear for _, clear in ahead[number]):
                tracks.update(self.parts(number, [clear for _, clear in ahead[number]]))
        reach = [{number, *first[0], *second[0]} for number, (first, second) in enumerate(ahead)]
        routes = []
        for work in self.circuit.works.values():
            for route in work.routes:
                if holds(route.guards, setting):
                    met, clear = zip(*(self.leave(work, end, setting) for end in route.ends))
                    if all(clear):
                        routes.append((work, route, {*met[0], *met[1]}))
        return Stand(tracks, routes, reach)

    def leave(self, work, end, setting):
        """What `walk` tells, on leaving a route of trackwork by one of its ends."""
        onward = self.partner.get(("work", work.name, end)) if end else None
        if onward is None:
            return [], True
        number, side = self.outer[onward[1:]]
        if self.runs[number].room:
            return [number], True
        met, clear = self.walk(self.runs[number].beyond[1 - side], setting)
        return [number, *met], clear

    def parts(self, number, clear):
        """The part of each track of a run under a train, where it is `clear` or not ahead at either end of the run."""
        run = self.runs[number]
        parts = {name: dict.fromkeys(OTHER) for name in run.names}
        for side in (0, 1):
            if clear[side] or self.waits[number][side] is None:
                continue
            behind, place = self.waits[number][side]
            order = run.from_end(side)
            for name, _ in order[:behind]:
                del parts[name]
            name, end = order[behind]
            parts[name][end] = place
        return parts

    def wait_place(self, run, side):
        """Where a train stops for the trackwork at an end of a run: how many tracks lie behind, and the place on the next.

        It is the first gap that a train meets of the last ones in either rail, in the half next to the trackwork. A gap
        between two tracks is taken at the end of the one that is further from the trackwork: that is where the train is.
        """
        if run.beyond[side] is None:
            return None
        nearest, passed = {}, 0.0
        for behind, (name, end) in enumerate(run.from_end(side)):
            track = self.plan.tracks[name]
            for rail, line in self.circuit.rails[name].items():
                # Looking from the trackwork; on a track that is passed from its far end the rails have changed sides.
                seen = rail if end == "from" else ACROSS[rail]
                gaps = [x for x, _, _, gap in line.stops if gap]
                if (("track", name, end), rail) in self.circuit.end_gaps:
                    gaps.append(track.end_place(end))
                for x in gaps:
                    metres = passed + abs(track.end_place(end) - x)
                    if metres < run.metres / 2 - SAME_PLACE and (seen not in nearest or metres < nearest[seen][0]):
                        nearest[seen] = metres, behind, x
            passed += track.length
        return max(nearest.values())[1:] if nearest else None

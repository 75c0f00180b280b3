"""The stretches of track that no gap cuts: on which of them a storage track is judged, and those of a whole run.

Both word for word as definitions.md says it.
"""

from plan import SAME_PLACE
from trains import OTHER, ROUNDING

WHOLE = 0.4


def cuts(plan, circuit, name):
    """The ends of a track and its gaps in either rail, in order."""
    lines = circuit.rails[name].values()
    return sorted({x for line in lines for x, _, _, gap in line.stops if gap} | {0.0, plan.tracks[name].length})


def judged(plan, circuit, name):
    """The stretches (from, to) on which a storage track is judged."""
    places, pick_up = cuts(plan, circuit, name), plan.pick_up()
    every = list(zip(places, places[1:]))
    stubs = [stretch for end, stretch in (("from", every[0]), ("to", every[-1]))
             if len(every) > 1 and is_stub(plan, circuit, name, end, stretch)]

    def enough(stretch):
        metres = stretch[1] - stretch[0]
        return metres >= WHOLE - ROUNDING or pick_up is not None and metres >= pick_up - ROUNDING

    others = [s for s in every if s not in stubs]
    return [s for s in others if enough(s)] or [longest(others or every)]


def longest(stretches):
    """The longest of some stretches, the first where several are equally long."""
    most = max(b - a for a, b in stretches)
    return next((a, b) for a, b in stretches if b - a >= most - SAME_PLACE)


def is_stub(plan, circuit, name, end, stretch):
    """Whether the stretch at an end of a track lies between trackwork and the first gap, and is too short to be judged."""
    met = circuit.partner.get(("track", name, end))
    # A gap at the very end parts the track from the trackwork: then no stretch lies between that and the first gap.
    parted = any((("track", name, end), side) in circuit.end_gaps for side in ("left", "right"))
    return met is not None and met[0] == "work" and not parted and stretch[1] - stretch[0] < WHOLE - ROUNDING


def of_run(circuit, run, pieces, by_track):
    """The stretches of a run, over all its tracks, as lists of pieces by number."""
    found, cut = [], True
    for name, start in run.starts:
        here = by_track[name] if start == "from" else by_track[name][::-1]
        for i in here:
            # The end of this piece that comes first; at the ends of the track what was found between tracks stands.
            x = pieces[i].start if start == "from" else pieces[i].stop
            if i != here[0]:
                cut = any(gap and place == x for line in circuit.rails[name].values() for place, _, _, gap in line.stops)
            if cut:
                found.append([])
            found[-1].append(i)
            cut = False
        cut = any((("track", name, OTHER[start]), side) in circuit.end_gaps for side in ("left", "right"))
    if not cut and len(found) > 1 and circuit.partner.get(("track", name, OTHER[start])) == ("track", *run.starts[0]):
        # A closed circle: its last stretch runs on into the first.
        found[0] += found.pop()
    return found

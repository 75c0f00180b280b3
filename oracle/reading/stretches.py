"""The stretches of track that no gap cuts, and which of them a storage track is judged on, as definitions.md says it."""

from plan import SAME_PLACE
from trains import ROUNDING

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

    found = [s for s in every if s not in stubs and enough(s)]
    if not found:
        longest = max(b - a for a, b in every)
        found = [(a, b) for a, b in every if b - a >= longest - SAME_PLACE]
    return found


def is_stub(plan, circuit, name, end, stretch):
    """Whether the stretch at an end of a track lies between trackwork and the first gap, and is too short to be judged."""
    met = circuit.partner.get(("track", name, end))
    # A gap at the very end parts the track from the trackwork: then no stretch lies between that and the first gap.
    parted = any((("track", name, end), side) in circuit.end_gaps for side in ("left", "right"))
    return met is not None and met[0] == "work" and not parted and stretch[1] - stretch[0] < WHOLE - ROUNDING

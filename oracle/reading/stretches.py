"""The stretches of track that no gap cuts: on which of them a storage track is judged, and which give a run its power.

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


def of_power(stretches, pieces):
    """Those stretches of a run that give it power: all of 0.4 m, or the longest if all are shorter."""
    metres = [sum(pieces[i].stop - pieces[i].start for i in stretch) for stretch in stretches]
    enough = min(WHOLE - ROUNDING, max(metres) - SAME_PLACE)
    return [stretch for stretch, m in zip(stretches, metres) if m >= enough]

"""A plan from a seed: grown, wired, and with its details settled."""

import trackwork
from details import Details
from layouts import Layout
from model import Random
from feeds import Retry
from wire import Wiring

FEWEST_TRACKS, MOST_TRACKS = 3, 12


def grown(seed, most_controls=9):
    """The plan of a seed, without a fault."""
    for attempt in range(1000):
        random = Random(seed, attempt, most_controls)
        # Few plans have more than seven.
        most = 8 + random.below(2) if random.once_in(16) else 1 + random.below(7)
        layout = Layout(random, min(most, most_controls), closed=random.below(100) < 38)
        layout.grow()
        plan = layout.plan
        if not FEWEST_TRACKS <= len(plan.tracks) <= MOST_TRACKS or layout.budget < 0:
            continue
        try:
            Wiring(layout).wire()
        except Retry:
            continue
        if not 1 <= plan.controls() <= most_controls:
            continue
        Details(plan, random).settle()
        parts_at_last(plan)
        return plan
    raise AssertionError(f"seed {seed} grows no plan")


def parts_at_last(plan):
    """Notes parts that only the finished plan shows."""
    if plan.imperial:
        plan.part("feet and inches")
    if any(t.stock for t in plan.tracks):
        plan.part("stock lengths")
    if any(t.joint in ("soldered", "sliding") for t in plan.tracks) or any(w.joint for w in plan.works):
        plan.part("joint said by a table")
    if any(t.slides or t.joints for t in plan.tracks):
        plan.part("joints one by one")
    if plan.policy:
        plan.part(f"storage, {plan.policy}")
    if closed(plan):
        plan.part("closed")


def closed(plan):
    """Whether no end lies open, and a train can go round a circle."""
    if any(end == ("stop", "beyond") for t in plan.tracks for end in t.ends):
        return False
    at_port = {to[1:]: (t, e) for t, track in enumerate(plan.tracks) for e, to in enumerate(track.ends) if to[0] == "work"}
    if any((w, port) not in at_port for w, work in enumerate(plan.works) for port in trackwork.ports(work)):
        return False
    # Standing on a track, looking at one of its ends: where one comes to next.
    onward = {}
    for t, track in enumerate(plan.tracks):
        for e, to in enumerate(track.ends):
            found = []
            if to[0] == "track":
                found = [(to[1], 1 - to[2])]
            elif to[0] == "work":
                for one, other, _ in trackwork.routes(plan.works[to[1]]):
                    if to[2] in (one, other):
                        there, end = at_port[to[1], other if to[2] == one else one]
                        found.append((there, 1 - end))
            onward[t, e] = found
    for start in onward:
        seen, stack = set(), list(onward[start])
        while stack:
            at = stack.pop()
            if at == start:
                return True
            if at not in seen:
                seen.add(at)
                stack += onward[at]
    return False

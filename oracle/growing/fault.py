"""Faults, each planted in a place where it is surely one by docs/definitions.md.

Each kind is a function from a plan to the list of ways to plant it; a way is a function that changes the plan. What a
fault needs is seen from what is one conductor for good (circuit.py), from where trains can be (trains.py) and from the
contacts there are. Those of gaps and feeders are in rail_faults.py, those of contacts and trackwork here.
"""

import copy

import rail_faults
import trackwork
from circuit import Circuit
from model import Random
from trains import Trains


def planted(plan, kind, seed):
    """A copy of a plan with one fault of a kind; None where it has no place for it."""
    faulty = copy.deepcopy(plan)
    if kind == "none":
        return faulty
    random = Random(seed, *kind.encode())
    ways = KINDS[kind](faulty, random)
    if not ways:
        return None
    random.pick(ways)()
    return faulty


def _contacts(plan, role):
    return [c for s in plan.switches for c in s.contacts if c.role == role]


def _exchange(contacts):
    def way():
        for contact in contacts:
            contact.pos.reverse()
    return way


def reversed_frog_contact(plan, random):
    """The two positions of a frog's contact are exchanged."""
    ways, trains = [], Trains(plan)
    # The routes of a three-way turnout that a train takes over each frog; elsewhere all do.
    over = {"left frog": (0, 1), "right frog": (1, 2), "centre frog": (0, 2)}
    for role in {c.role: None for s in plan.switches for c in s.contacts if c.role[0] == "frog"}:
        _, w, frog = role
        met = any((w, k) in trains.routes for k in over.get(frog, range(4)))
        if met and not plan.works[w].turning:
            ways.append(_exchange(_contacts(plan, role)))
    return ways


def wrong_wiring(plan, random):
    """A turnout with a live frog lies where the wiring is for an insulated one."""
    ways = []
    for w, work in enumerate(plan.works):
        if work.kind != "turnout" or not work.wiring.startswith("insulated"):
            continue
        for wiring in ("live-routed", "live-assisted", "live-bonded", "live-unfed"):
            before, work.wiring = work.wiring, wiring
            if Circuit(plan).shorted():
                ways.append(lambda work=work, wiring=wiring: setattr(work, "wiring", wiring))
            work.wiring = before
    return ways


def exchanged_roads(plan, random):
    """Two outputs of a tree of contacts are exchanged."""
    ways = []
    for key, outputs in plan.trees:
        for i, (host, c, position, road, targets) in enumerate(outputs):
            for other_host, other_c, other_position, other_road, other_targets in outputs[i + 1:]:
                if road == other_road:
                    continue
                one = plan.switches[host].contacts[c].pos[position]
                other = plan.switches[other_host].contacts[other_c].pos[other_position]

                def way(one=one, other=other, targets=targets, other_targets=other_targets):
                    one[:] = [r for r in one if r not in targets] + other_targets
                    other[:] = [r for r in other if r not in other_targets] + targets
                ways.append(way)
    return ways


def wrong_crossing_routes(plan, random):
    """A crossing takes one route to be set while its frogs are fed for the other."""
    ways = []
    for w, work in enumerate(plan.works):
        if work.kind != "crossing" or not work.live:
            continue
        before, work.routes = work.routes, trackwork.route_positions(work)[::-1]
        # Where one motor throws both turnouts of a junction too, no train could come over it any more.
        if any((w, k) in Trains(plan).routes for k in (0, 1)):
            ways.append(lambda work=work, routes=work.routes: setattr(work, "routes", routes))
        work.routes = before
    return ways


def wrong_section_phase(plan, random):
    """A section follows its motor the wrong way round."""
    ways, trains = [], Trains(plan)
    for i, section in enumerate(plan.sections):
        works = {end[1] for end in plan.tracks[section.tracks[0]].ends if end[0] == "work"}
        if not any(w in works for w, _ in trains.routes):
            continue
        if section.kind == "contacts":
            ways.append(_exchange(_contacts(plan, ("section", i))))
        elif section.kind == "following":
            def way(section=section):
                track = plan.tracks[section.tracks[0]]
                track.belongs.reverse()
                for feeder in track.feeders:
                    feeder.to = feeder.to and track.belongs[feeder.side]
            ways.append(way)
    return ways


KINDS = {
    "missing-gap": rail_faults.missing_gap,
    "crossed-feeder": rail_faults.crossed_feeder,
    "reversed-frog-contact": reversed_frog_contact,
    "wrong-wiring": wrong_wiring,
    "joined-supplies": rail_faults.joined_supplies,
    "missing-feeder": rail_faults.missing_feeder,
    "storage-from-bus": rail_faults.storage_from_bus,
    "exchanged-roads": exchanged_roads,
    "wrong-crossing-routes": wrong_crossing_routes,
    "wrong-section-phase": wrong_section_phase,
    "missing-section-gap": rail_faults.missing_section_gap,
    "gap-in-storage": rail_faults.gap_in_storage,
}

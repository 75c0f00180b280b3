"""Faults, each planted in a place where it is surely one by docs/definitions.md.

Each kind is a function from a plan to the list of ways to plant it; a way is a function that changes the plan. What a
fault needs is seen from what is one conductor for good (circuit.py) and from the contacts there are.
"""

import copy

import trackwork
from circuit import Circuit
from model import Feeder, LEFT, RIGHT, Random
from storage import neck
from trains import Trains

SWITCHED = ("lined", "both ends agree", "either end")


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


# ── gaps ────────────────────────────────────────────────────────────────────────────────────────────


def _gaps(plan):
    """Every gap with the pieces before and behind it: (track, gap, [node, node])."""
    for t, track in enumerate(plan.tracks):
        for gap in track.gaps:
            k = sorted(g.at for g in track.gaps if g.side == gap.side).index(gap.at)
            yield t, gap, [("piece", t, gap.side, k + i) for i in (0, 1)]


def _changes(plan, circuit, node):
    """Whether a conductor is on one pole in one setting and on the other in another, over a frog's contact or blades."""
    for tag, w, frog in circuit.hangs_on(node):
        if tag == "frog" and not plan.works[w].turning:
            return True
    return False


def _turns(plan, circuit, node):
    """The reversing section whose phase a conductor has, where that follows a motor; None otherwise."""
    for tag, which, _ in circuit.hangs_on(node):
        if tag == "section":
            return which
        if tag == "out" and plan.reversers[which].kind == "following":
            return [s.reverser for s in plan.sections].index(which)
    return None


def _without(plan, t, gap):
    def way():
        plan.tracks[t].gaps.remove(gap)
    return way


def missing_gap(plan, random):
    """A gap is missing behind a frog, at the end of a section or between two districts."""
    circuit = Circuit(plan)
    frogs, districts = [], []
    for t, gap, nodes in _gaps(plan):
        for one, other in (nodes, nodes[::-1]):
            if _changes(plan, circuit, one) and circuit.fed_by(other):
                frogs.append(_without(plan, t, gap))
        here, there = (circuit.fed_by(n) for n in nodes)
        if any(_parted(plan, a, b) for a in here for b in there):
            districts.append(_without(plan, t, gap))
    sections = missing_section_gap(plan, random)
    kinds = [ways for ways in (frogs, districts, sections) if ways]
    return random.pick(kinds) if kinds else []


def _parted(plan, one, other):
    """Whether two poles, as (district, pole), are alike but must not meet."""
    bus = {plan.district(b): b for b in range(len(plan.buses))}
    return one[1] == other[1] and plan.parted(bus[one[0]], bus[other[0]], one[1])


def missing_section_gap(plan, random):
    """A gap is missing at the end of a section that changes its poles, or its district."""
    circuit = Circuit(plan)
    ways = []
    for t, gap, nodes in _gaps(plan):
        for one, other in (nodes, nodes[::-1]):
            cab = ("always", "cab", None) in circuit.hangs_on(one)
            buses = [b for b in range(len(plan.buses)) if plan.buses[b].start is None]
            apart = cab and plan.parted(*buses, plan.pole(gap.side))
            if circuit.fed_by(other) and (_turns(plan, circuit, one) is not None or apart):
                ways.append(_without(plan, t, gap))
    return ways


def gap_in_storage(plan, random):
    """The gap of a switched rail is so far in that a long stretch before it stays live."""
    circuit = Circuit(plan)
    ways = []
    for t, gap, nodes in _gaps(plan):
        track = plan.tracks[t]
        if plan.policy not in SWITCHED or t not in plan.storage or gap.side not in track.switched:
            continue
        end = 0 if gap.at < track.length // 2 else 1
        stub = nodes[0] if end == 0 else nodes[1]
        if not circuit.fed_by(stub) or not _free_while_dead(plan, t, gap.side, end):
            continue
        wires = [at for u, side, at, _ in plan.taps if (u, side) == (t, gap.side)]
        room = min(at if end == 0 else track.length - at for at in wires) - plan.grid(0.03)
        room = min(room, track.length - plan.grid(0.3))
        for away in range(plan.grid(0.62), room, plan.grid(0.05)):
            at = away if end == 0 else track.length - away
            if plan.free(t, at):
                ways.append(lambda gap=gap, at=at: setattr(gap, "at", at))
    return ways


def _free_while_dead(plan, t, side, end=None):
    """Whether a track would be wrongly live if one switched rail had power for good (only next to `end`, if given)."""
    switched = plan.tracks[t].switched
    necks = [neck(plan, t, e) for e in (0, 1)]
    if len(switched) == 1:
        inner = [n[0] for n in necks if n]
        # One motor that is against one end in either position leaves no setting in which the track is to be dead.
        return not (plan.policy == "either end" and len(inner) == 2 and inner[0] == (inner[1][0], 1 - inner[1][1]))
    # The other rail still hangs on a tree of its own: what lines that must leave the rest free.
    if not all(necks) or not plan.trees:
        return False
    feeding = _neck_that_feeds(plan, t, 1 - side)
    rest = [n for n in necks if n is not feeding and n != feeding]
    return bool(rest) and feeding is not None and all((n[0][0], n[0][1]) not in feeding for n in rest)


def _neck_that_feeds(plan, t, side):
    """The neck whose contacts feed a switched rail of a double-ended track."""
    for key, outputs in plan.trees:
        for host, _, position, road, targets in outputs:
            if road == t and any(target[2] == side for target in targets):
                leader = (plan.leader(host), position)
                for n in (neck(plan, t, e) for e in (0, 1)):
                    if n and n[0] == leader:
                        return n
    return None


# ── feeders ─────────────────────────────────────────────────────────────────────────────────────────


def _feeders(plan):
    for t, track in enumerate(plan.tracks):
        for feeder in track.feeders:
            yield t, track, feeder


def _met(plan, circuit, trains, node):
    """Whether a train can be on some rail of a conductor, where something is asked of it."""
    unfed = {w for w, work in enumerate(plan.works) if work.unfed}
    for (t, side), pieces in circuit.pieces.items():
        by_hand = plan.policy == "by hand" and t in plan.storage
        if any(end[0] == "work" and end[1] in unfed for end in plan.tracks[t].ends):
            # Such a track has a dead stub anyway.
            continue
        for k, (start, stop) in enumerate(pieces):
            alike = circuit.find(("piece", t, side, k)) == circuit.find(node)
            if alike and t in trains.tracks and not by_hand and stop - start > plan.grid(0.1):
                return True
    return False


def crossed_feeder(plan, random):
    """A feeder is on the other conductor of its bus."""
    circuit, trains = Circuit(plan), Trains(plan)
    ways = []
    for t, track, feeder in _feeders(plan):
        if feeder.to is not None or track.belongs[feeder.side]:
            continue
        node = circuit.piece(t, feeder.side, feeder.at)
        if circuit.wire_count(node) == 1 and not _met(plan, circuit, trains, node):
            continue
        wrong = ("bus", track.bus, 1 - plan.pole(feeder.side), None)
        ways.append(lambda feeder=feeder, wrong=wrong: setattr(feeder, "to", wrong))
    return ways


def missing_feeder(plan, random):
    """A rail that gaps cut off has lost its only feeder, and nothing feeds it in any setting."""
    circuit, trains = Circuit(plan), Trains(plan)
    # Over a blade a stock rail may get power from elsewhere in one position; in the other all may count as switched off.
    bladed = {
        circuit.find(("conductor", w, k)) for w, work in enumerate(plan.works)
        if work.wiring in ("insulated-routed", "live-routed", "live-assisted") for k in (0, 1)
    }
    count = {}
    for t, track, feeder in _feeders(plan):
        node = circuit.find(circuit.piece(t, feeder.side, feeder.at))
        count[node] = count.get(node, 0) + 1
    ways = []
    for t, track, feeder in _feeders(plan):
        node = circuit.find(circuit.piece(t, feeder.side, feeder.at))
        others = [tag for tag in circuit.hangs_on(node) if tag[0] != "out"]
        if count[node] == 1 and not others and node not in bladed and _met(plan, circuit, trains, node):
            ways.append(lambda track=track, feeder=feeder: track.feeders.remove(feeder))
    return ways


def joined_supplies(plan, random):
    """A further feeder goes to a bus of another district."""
    circuit = Circuit(plan)
    ways = []
    for t, track, feeder in _feeders(plan):
        node = circuit.piece(t, feeder.side, feeder.at)
        start, stop = circuit.pieces[t, feeder.side][node[3]]
        for bus in range(len(plan.buses)):
            pole = plan.pole(feeder.side)
            if not track.fixed or not any(_parted(plan, own, (plan.district(bus), pole)) for own in circuit.fed_by(node)):
                continue
            at = plan.place(random, t, start, stop)
            if at is not None and circuit.piece(t, feeder.side, at) == node:
                extra = Feeder(at, feeder.side, ("bus", bus, pole, None))
                ways.append(lambda track=track, extra=extra: track.feeders.append(extra))
    return ways


def storage_from_bus(plan, random):
    """The switched rail of a storage track has a feeder straight from the bus."""
    ways = []
    for t in plan.storage if plan.policy in SWITCHED else []:
        for side in plan.tracks[t].switched:
            if not _free_while_dead(plan, t, side):
                continue
            start, stop = max(plan.pieces(t, side), key=lambda piece: piece[1] - piece[0])
            at = plan.place(random, t, start + plan.grid(0.02), stop - plan.grid(0.02))
            if at is not None:
                ways.append(lambda t=t, at=at, side=side: plan.tracks[t].feeders.append(Feeder(at, side)))
    return ways


# ── contacts and trackwork ──────────────────────────────────────────────────────────────────────────


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
    "missing-gap": missing_gap,
    "crossed-feeder": crossed_feeder,
    "reversed-frog-contact": reversed_frog_contact,
    "wrong-wiring": wrong_wiring,
    "joined-supplies": joined_supplies,
    "missing-feeder": missing_feeder,
    "storage-from-bus": storage_from_bus,
    "exchanged-roads": exchanged_roads,
    "wrong-crossing-routes": wrong_crossing_routes,
    "wrong-section-phase": wrong_section_phase,
    "missing-section-gap": missing_section_gap,
    "gap-in-storage": gap_in_storage,
}

"""Faults of gaps and feeders: each gives the ways to plant it that a plan has (see fault.py)."""

import trackwork
from circuit import Circuit
from model import Feeder, LEFT, RIGHT, ROOM
from storage import neck
from trains import Trains

SWITCHED = ("lined", "both ends agree", "either end")


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


def _turns(circuit, node):
    """Whether a conductor changes its pole with a reversing section.

    That of a reverser which senses shorts does not change any more once it is joined to rail of one pole, and then the
    gaps at its other end are bridged.
    """
    return any(tag[0] in ("section", "out") for tag in circuit.hangs_on(node))


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
            if circuit.fed_by(other) and (_turns(circuit, one) or apart):
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
        feeder.to = wrong = ("bus", track.bus, 1 - plan.pole(feeder.side), None)
        alone = circuit.wire_count(node) == 1
        # Without another wire on the right conductor it is no short, and shows under a train that has power somewhere.
        if not alone or _met(plan, circuit, trains, node) and _moves(plan, circuit, node):
            ways.append(lambda feeder=feeder, wrong=wrong: setattr(feeder, "to", wrong))
        feeder.to = None
    return ways


def _moves(plan, circuit, node):
    """Whether a train on some rail of a conductor has power for good there, or on the next track over trackwork."""
    now = Circuit(plan)
    powered = {t for t in range(len(plan.tracks)) if _powered(plan, now, t)}
    on = {t for (t, side), pieces in circuit.pieces.items() for k in range(len(pieces))
          if circuit.find(("piece", t, side, k)) == circuit.find(node)}
    for work, routes in ((w, trackwork.routes(work)) for w, work in enumerate(plan.works)):
        for one, other, _ in routes:
            pair = {now.at_port[work, port][0] for port in (one, other)}
            if pair & on and pair & powered:
                return True
    return bool(on & powered)


def _powered(plan, circuit, t):
    """Whether both rails of a track are on opposite poles for good, over a stretch that a train can stand on."""
    for k, (start, stop) in enumerate(circuit.pieces[t, LEFT]):
        for n, (low, high) in enumerate(circuit.pieces[t, RIGHT]):
            poles = [{p for _, p in circuit.fed_by(("piece", t, side, i))} for side, i in ((LEFT, k), (RIGHT, n))]
            if min(stop, high) - max(start, low) >= plan.grid(ROOM) and len(poles[0] | poles[1]) == 2 and all(poles):
                return True
    return False


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

"""A plan as a circuit: nodes, resistors with a value for each age, some of them guarded by a position.

Method: lay supplies, buses, reversers, trackwork and tracks in that order, then join the ends and lead every feeder and
contact wire to the place where it belongs. A rail or bus is a line of places; a place that has a joint or gap has a
node on either side, and wires end on the one towards the far end.
"""

import math

import boards
import quantities as q
from plan import SAME_PLACE, listed
from reach import Reach
from works import Builder

ZERO = 1e-9
FIRST_WORDS = ("through", "left", "off")
SECOND_WORDS = ("diverging", "right", "on")


class Net:
    """Nodes are numbers; an edge is (node, node, ohms new/usual/aged, guard or nothing)."""

    def __init__(self):
        self.size, self.edges = 0, []

    def node(self):
        self.size += 1
        return self.size - 1

    def join(self, a, b, ohms, guard=None):
        if a != b:
            self.edges.append((a, b, tuple(max(r, ZERO) for r in ohms), guard))


class Line:
    """A rail or a bus conductor from 0 to its length."""

    def __init__(self, net, metres, ohms, snap, joints=()):
        self.net, self.metres, self.ohms, self.snap, self.joints = net, metres, ohms, snap, dict(joints)
        self.after = {}
        for x in (0.0, metres, *self.joints):
            self.at(x)

    def at(self, x):
        """The node at a place, on the side towards the far end."""
        x = self.snap(x)
        if x not in self.after:
            self.after[x] = self.net.node()
        return self.after[x]

    def finish(self):
        """Lay the resistors; afterwards `stops` is a list of (place, node before, node after, whether it is a gap)."""
        self.stops = []
        for x in sorted(self.after):
            after = before = self.after[x]
            kind = self.joints.get(x)
            if kind:
                before = self.net.node()
                if kind != "gap":
                    self.net.join(before, after, q.JOINT[kind])
            if self.stops:
                last = self.stops[-1]
                self.net.join(last[2], before, tuple(r * (x - last[0]) for r in self.ohms))
            self.stops.append((x, before, after, kind == "gap"))


def snapper(places):
    """A function that finds the place already known near `x`, or makes one of it."""

    def snap(x):
        for known in places:
            if abs(known - x) < SAME_PLACE:
                return known
        places.append(x)
        return x

    return snap


class Circuit:
    """The whole circuit of a plan."""

    def __init__(self, plan, controls):
        self.plan, self.controls, self.net = plan, controls, Net()
        self.boards = boards.Boards(plan)
        self.supplies()
        self.buses()
        self.reversers()
        builder = Builder(plan, self.net, controls)
        self.works = {name: builder.build(name) for name in plan.works}
        self.reach = Reach(plan, controls, builder.sizes, builder.diamond_sizes)
        self.rails = {
            name: {s: Line(self.net, t.length, t.rail, t.snap, t.joints[s]) for s in ("left", "right")}
            for name, t in plan.tracks.items()
        }
        self.partner = self.partners()
        # Gaps at ends: {(track end, rail): (node of the track, node beyond)}, nothing for the track that does not count.
        self.end_gaps = {}
        self.terminals = {}
        self.join_ends()
        self.feeders()
        self.contacts()
        for lines in (*self.rails.values(), *self.bus_lines.values()):
            for line in lines.values():
                line.finish()

    def supplies(self):
        """Poles of roots; sub-breakers with their resistance shared by the poles they open."""
        plan, net = self.plan, self.net
        self.poles = {name: {"A": net.node(), "B": net.node()} for name in plan.supply}
        self.source, self.opens, self.inside = {}, {}, set()
        for name, table in plan.supply.items():
            given = (q.ohms(table["source"]),) * 3 if "source" in table else None
            if "behind" not in table:
                self.source[name], self.opens[name] = given or q.SOURCE, "AB"
                continue
            self.opens[name] = {"both": "AB"}.get(table.get("opens", "both"), table.get("opens"))
            for pole in "AB":
                opened = pole in self.opens[name]
                ohms = tuple(r / len(self.opens[name]) for r in given or q.BREAKER) if opened else q.BOND
                if opened:
                    self.inside.add(len(net.edges))
                net.join(self.poles[table["behind"]][pole], self.poles[name][pole], ohms)

    def buses(self):
        plan, net = self.plan, self.net
        self.bus_lines = {}
        for name, table in plan.bus.items():
            metres, ohms = q.length(table["length"]), plan.copper(table["wire"])
            snap = snapper([0.0, metres])
            self.bus_lines[name] = {pole: Line(net, metres, ohms, snap) for pole in "AB"}
        for name, table in plan.bus.items():
            for pole, line in self.bus_lines[name].items():
                if "supply" in table:
                    net.join(self.poles[table["supply"]][pole], line.at(0.0), q.BUS_START)
                else:
                    bus, place = plan.split_place(table["from"], plan.bus)
                    start = boards.contact(table["plug"]) if "plug" in table else q.TAP
                    net.join(self.tap(bus, pole, place and q.length(place)), line.at(0.0), start)

    def tap(self, bus, pole, x):
        """The node of a bus at `x`; its far end, the worst place, where nothing says where."""
        line = self.bus_lines[bus][pole]
        return line.at(line.metres if x is None else x)

    def reversers(self):
        plan, net = self.plan, self.net
        self.outputs = {}
        for name, table in plan.reverser.items():
            bus, place = plan.split_place(table["from"], plan.bus)
            self.outputs[name] = {"A": net.node(), "B": net.node()}
            inputs = {pole: net.node() for pole in "AB"}
            for pole in "AB":
                net.join(self.tap(bus, pole, place and q.length(place)), inputs[pole], q.TAP)
            for position in (0, 1):
                guard = self.controls.literal(name, position)
                for pole, swapped in (("A", "B"), ("B", "A")):
                    net.join(inputs[pole], self.outputs[name][swapped if position else pole], q.CONTACT, guard)

    def partners(self):
        """What joins what: ends of tracks and of trackwork, both ways."""
        partner = {}
        for name, track in self.plan.tracks.items():
            for end, text in track.ends.items():
                other = self.plan.end(text)
                if other:
                    partner[("track", name, end)] = other
                    partner[other] = ("track", name, end)
        return partner

    def end_node(self, end, side):
        kind, name, which = end
        if kind == "work":
            return self.works[name].ports[which][side]
        return self.rails[name][side].at(self.plan.tracks[name].end_place(which))

    def join_kind(self, end, other, side):
        """What joins two ends in one rail: what is written there, else what the tables say, else the layout."""
        plan, tables = self.plan, []
        other_side = self.facing_side(end, other, side)
        for there, rail in ((end, side), (other, other_side)):
            if written := self.written(there, rail):
                return written
        # What a turnout says of its ends goes before what a track says of all its joints.
        for kind, name, _ in sorted((end, other), key=lambda e: e[0] == "track"):
            table = plan.tracks[name].table if kind == "track" else plan.turnout.get(name, {})
            tables.append(table.get("joint"))
        return tables[0] or tables[1] or plan.layout.get("joint") or "sliding"

    def written(self, end, side):
        """The joint that a track's table puts at its very end, if any."""
        kind, name, which = end
        return self.plan.tracks[name].written_ends.get((which, side)) if kind == "track" else None

    @staticmethod
    def facing_side(end, other, side):
        """Which rail of `other` meets the `side` rail of the track end `end`."""
        # Left meets left where both are passed the same way; looking into trackwork is going on from a `to` end.
        same = end[2] == "to" if other[0] == "work" else end[2] != other[2]
        return side if same else {"left": "right", "right": "left"}[side]

    def join_ends(self):
        """Lay the joint at every end that meets another; gaps there are kept by track end and rail."""
        order, done = list(self.plan.tracks), set()
        for name in order:
            for which in ("from", "to"):
                end = ("track", name, which)
                other = self.partner.get(end)
                if other is None or end in done:
                    continue
                done |= {end, other}
                for side in ("left", "right"):
                    kind = self.join_kind(end, other, side)
                    facing = self.facing_side(end, other, side)
                    a, b = self.end_node(end, side), self.end_node(other, facing)
                    if kind == "gap":
                        self.end_gaps[end, side] = (a, b)
                        if other[0] == "track":
                            self.end_gaps[other, facing] = None
                            # It counts for the track in whose table it stands, the first of the two where both say it.
                            if self.written(other, facing) and not self.written(end, side):
                                self.end_gaps[end, side], self.end_gaps[other, facing] = None, (a, b)
                    else:
                        self.net.join(a, b, q.JOINT[kind])

    def feeder_wire(self, *tables):
        """What a wire is for each metre, and how long it is said to be, by the first of `tables` that says it."""
        tables = (*tables, {"feeder_wire": self.plan.layout.get("feeder_wire", q.FEEDER_WIRE)})
        wire = next(t[k] for t in tables for k in ("wire", "feeder_wire") if k in t)
        metres = next((t[k] for t in tables for k in ("length", "feeder_length") if k in t), None)
        return self.plan.copper(wire), q.length(metres) if metres else None

    def feed(self, node, text, wire, owner, track=None, x=None, plug=None):
        """Lead a feeder from a rail of `owner` to the conductor called `text`."""
        per_metre, said = wire
        if said is None and "feeder_length" in self.plan.layout:
            said = q.length(self.plan.layout["feeder_length"])
        name = self.plan.conductor(text)[1]
        bus, beside = track.along(x) if track else (None, None)
        here = self.reach.on_track(track, x) if track else None
        self.wire(node, text, (per_metre, said), beside if bus == name else None, here, owner, plug)

    def wire(self, node, text, wire, beside, here, owner, plug=None):
        """Lead a wire from a node, which is `here`, to what `text` names; on a bus it ends in a tap.

        Where it says no place on the bus that is `beside`, or the nearest as far as the plan says where the bus runs; a tap
        that is only the nearest may be as far off as the far end of the bus, in the worst case. Where nothing says how long
        it is, it goes the way along the track, and down through the base.
        """
        per_metre, said = wire
        kind, name, part, place = self.plan.conductor(text)
        more, way = (0.0,) * 3, 0.0
        if kind == "bus":
            if place is not None:
                way = self.reach.distance(here, self.reach.on_bus(name, place))
            elif beside is not None:
                place = beside
            elif nearest := self.reach.nearest(name, here):
                place, way = nearest
                line = self.bus_lines[name][part]
                more = (0.0, 0.0, line.ohms[2] * max(line.metres - place, 0.0))
            target = self.tap(name, part, place)
        else:
            target = self.target(kind, name, part, place)
            way = self.reach.distance(here, self.reach.ends_at(kind, name, part, place))
        # To the next centimetre.
        metres = math.ceil((q.FEEDER_LENGTH + way) * 100 - 1e-6) / 100 if said is None else said
        passed = boards.contact(plug) if plug else self.boards.between(owner, name)
        ohms = tuple(r * metres + p for r, p in zip(per_metre, passed))
        if kind == "bus":
            ohms = tuple(r + t + m for r, t, m in zip(ohms, q.TAP, more))
        if target is not None:
            self.net.join(node, target, ohms)

    def feeders(self):
        for track in self.plan.tracks.values():
            for entry in track.table.get("feeders", []):
                entry = {"at": entry} if isinstance(entry, str) else entry
                x = track.snap(q.length(entry["at"]))
                said = {k: entry[k] for k in ("wire", "length") if k in entry}
                own = {k: track.table[k] for k in ("feeder_wire", "feeder_length") if k in track.table}
                ohms = self.feeder_wire(said, own)
                for side in [entry["rail"]] if "rail" in entry else ["left", "right"]:
                    text = entry.get("to") or track.table.get(side)
                    if text:
                        self.feed(self.rails[track.name][side].at(x), text, ohms, track.name, track, x, entry.get("plug"))
        for name, table in self.plan.turntable.items():
            for side in ("left", "right"):
                if side in table:
                    self.feed(self.works[name].deck[side], table[side], self.feeder_wire(), name)

    def target(self, kind, name, part, place):
        """The node of anything but a bus that a wire can go to."""
        if kind == "supply":
            return self.poles[name][part]
        if kind == "reverser":
            return self.outputs[name][part]
        if kind == "frog":
            return self.works[name].frogs.get(part)
        if kind == "contact":
            return self.terminal(name, *part)
        return self.rails[name][part].at(place or 0.0)

    def terminal(self, owner, index, word):
        """A contact's terminal, which need not be written in the contact itself."""
        key = (owner, index, "first" if word in FIRST_WORDS else "second" if word in SECOND_WORDS else word)
        if key not in self.terminals:
            self.terminals[key] = self.net.node()
        return self.terminals[key]

    def contacts(self):
        """Contacts of motors, relays and toggles; a wire of its own from each terminal to each thing."""
        plan, net = self.plan, self.net
        for owner, table in {**plan.motor, **plan.relay, **plan.toggle}.items():
            own = {"wire": "wire", "length": "wire_length"}
            wire = self.feeder_wire({key: table[word] for key, word in own.items() if word in table})
            here = self.reach.owner(owner)
            for index, contact in enumerate(table.get("contact", []), 1):
                common = self.terminal(owner, index, "common")
                for position, word in ((0, "through"), (1, "diverging")):
                    net.join(common, self.terminal(owner, index, word), q.CONTACT,
                             self.controls.literal(owner, position))
                for word, things in contact.items():
                    for text in listed(things):
                        beside = self.beside(owner, plan.conductor(text)[1])
                        self.wire(self.terminal(owner, index, word), text, wire, beside, here, owner)

    def beside(self, owner, bus):
        """The place on `bus` beside the points of what a motor moves, by the first track that runs along it there."""
        plan = self.plan
        while owner in plan.relay:
            owner = plan.relay[owner]["follows"]
        ends = set()
        for moved in self.controls.moved(plan.motor.get(owner, {})):
            name, _, half = moved.rpartition(".")
            if moved in plan.works:
                ends.add(("work", moved, "points"))
            elif name in plan.slip:
                ends |= {("work", name, f"{half} 1"), ("work", name, f"{half} 2")}
            elif name in plan.three_way:
                ends.add(("work", name, "points"))
        for name, track in plan.tracks.items():
            for which in ("from", "to"):
                if self.partner.get(("track", name, which)) in ends:
                    on, place = track.along(track.end_place(which))
                    if on == bus:
                        return place
        return None

"""How far apart things lie that a wire joins, and where a bus passes nearest to them.

Method: an undirected graph of the table top (networkx) with an edge for every track and for the parts of trackwork, weighted
by their lengths; shortest paths by Dijkstra. A place on a track becomes a node of a copy of that graph for the question.
"""

import networkx as nx

import quantities as q

STEP = 1e-5


class Reach:
    def __init__(self, plan, controls, sizes, diamond_size):
        """`sizes(table)` gives lead and tail of a turnout, `diamond_size(table)` span and tail of a crossing or slip."""
        self.plan, self.controls = plan, controls
        self.graph = nx.Graph()
        self.blades, self.frogs = {}, {}
        for name, (kind, table) in plan.works.items():
            self.work(name, kind, table, sizes, diamond_size)
        for name, track in plan.tracks.items():
            self.edge((name, "from"), (name, "to"), track.length)
            for end, text in track.ends.items():
                joined = plan.end(text)
                if joined and joined[0] == "track":
                    self.edge((name, end), (joined[1], joined[2]), 0.0)
                elif joined:
                    self.edge((name, end), *self.port(joined[1], joined[2]))
        self.along = {bus: [] for bus in plan.bus}
        for track in plan.tracks.values():
            bus, start = track.along(0.0)
            if bus in self.along:
                self.along[bus].append((track, start, track.along(track.length)[1]))

    def edge(self, a, b, metres):
        known = self.graph.get_edge_data(a, b)
        self.graph.add_edge(a, b, metres=min(metres, known["metres"]) if known else metres)

    def work(self, name, kind, table, sizes, diamond_size):
        if kind in ("turnout", "three_way"):
            lead, tail = sizes(table)
            self.edge((name, "points of it"), (name, "frog of it"), lead)
            self.blades[name], self.frogs[name] = ((name, "points of it"), 0.0), ((name, "frog of it"), 0.0)
            self.graph.nodes[(name, "frog of it")]["tail"] = tail
        elif kind in ("crossing", "slip"):
            span, tail = diamond_size(table)
            self.graph.add_node((name, "middle"), tail=span + tail)
            self.blades[name] = self.frogs[name] = ((name, "middle"), span)
        else:
            self.graph.add_node((name, "middle"), tail=q.length(table["length"]) / 2)
            self.blades[name] = self.frogs[name] = ((name, "middle"), 0.0)

    def port(self, name, end):
        """What an end of trackwork is joined to in the graph, and how far that is."""
        if end == "points" and (name, "points of it") in self.graph:
            return (name, "points of it"), 0.0
        node = (name, "frog of it") if (name, "frog of it") in self.graph else (name, "middle")
        return node, self.graph.nodes[node]["tail"]

    # Places: a list of (node, distance from it), with the track and the place on it where it is on one.

    def on_track(self, track, x):
        return [((track.name, "from"), x), ((track.name, "to"), max(track.length - x, 0.0))], [(track, x)]

    def on_bus(self, bus, place):
        """Where a place on a bus lies, by the tracks that come nearest to it there."""
        def off(run):
            low, high = sorted(run[1:])
            return max(low - place, place - high, 0.0)
        if not self.along.get(bus):
            return None
        beyond, near, on = min(map(off, self.along[bus])), [], []
        for track, start, stop in self.along[bus]:
            if off((track, start, stop)) < beyond + STEP:
                share = 0.0 if start == stop else min(max((place - start) / (stop - start), 0.0), 1.0)
                here = self.on_track(track, share * track.length)
                near += [(node, d + beyond) for node, d in here[0]]
                on += here[1] if beyond < STEP else []
        return near, on

    def owner(self, name):
        """Where a motor, or what follows one, is: beside the blades of what it moves, whichever is nearer."""
        while name in self.plan.relay:
            name = self.plan.relay[name]["follows"]
        moved = self.controls.moved(self.plan.motor.get(name, {}))
        near = [self.blades[work if work in self.blades else work.rpartition(".")[0]] for work in moved]
        return (near, []) if near else None

    def ends_at(self, kind, name, part, place):
        """Where something but a bus is that a wire ends at."""
        if kind == "rail":
            return self.on_track(self.plan.tracks[name], place or 0.0)
        if kind == "frog":
            return [self.frogs[name]], []
        if kind == "contact":
            return self.owner(name)
        if kind == "reverser":
            bus, place = self.plan.split_place(self.plan.reverser[name]["from"], self.plan.bus)
            return self.on_bus(bus, q.length(place) if place else q.length(self.plan.bus[bus]["length"]))
        if kind == "supply":
            starts = [self.on_bus(b, 0.0) for b, t in self.plan.bus.items() if t.get("supply") == name]
            near = [n for start in starts if start for n in start[0]]
            return (near, []) if near else None
        return None

    def distance(self, one, other):
        """How far it is from one place to another; nothing is known of it: 0."""
        if one is None or other is None:
            return 0.0
        found = [abs(x - y) for track, x in one[1] for there, y in other[1] if track is there]
        for start, before in one[0]:
            reached = nx.single_source_dijkstra_path_length(self.graph, start, weight="metres")
            found += [before + reached[node] + after for node, after in other[0] if node in reached]
        return min(found, default=0.0)

    def nearest(self, bus, here):
        """The place of a bus that is nearest, and how far it is; nothing where no track that leads there runs along it."""
        if here is None:
            return None
        for on, x in here[1]:
            for track, start, stop in self.along[bus]:
                if track is on:
                    return start + (stop - start) * x / track.length, 0.0
        found = []
        for start, before in here[0]:
            reached = nx.single_source_dijkstra_path_length(self.graph, start, weight="metres")
            for track, first, last in self.along[bus]:
                for node, place in (((track.name, "from"), first), ((track.name, "to"), last)):
                    if node in reached:
                        found.append((round((before + reached[node]) / STEP), round(place / STEP), before + reached[node], place))
        return min(found)[3:1:-1] if found else None

"""Loop resistances: how much lies between a place of a rail and its pole, at each level of ageing.

Method: the source at rest joins its inside to its B terminal, so where no pole meets another the loop from a left to a
right rail is the way from one rail to its pole, the source's own resistance, and the way from the other pole to the
other rail. Each way is solved by itself: the resistors joined to that pole in a setting, grounded there, inverted.
A node inserted at the share t of a resistor r between a and b sees exactly
(1-t)^2 Zaa + 2t(1-t) Zab + t^2 Zbb + t(1-t) r, so nodes at the ends and the middle of a piece need no larger network.
"""

import networkx as nx
import numpy as np

LEVELS = 3


class Piece:
    """A piece of track between neighbouring stops of either rail; for each rail its resistor and where it lies on it."""

    def __init__(self, track, start, stop):
        self.track, self.start, self.stop = track, start, stop
        self.rail, self.ohms = {}, {}

    def on(self, side, stops, ohms):
        """Note the resistor (node, node, its length in metres, shares at the start and the end of the piece)."""
        for (x0, _, a, _), (x1, b, _, _) in zip(stops, stops[1:]):
            if x0 <= self.start and self.stop <= x1:
                metres = x1 - x0
                self.rail[side] = (a, b, (self.start - x0) / metres, (self.stop - x0) / metres)
                self.ohms[side] = np.array(ohms) * metres


def pieces(plan, circuit):
    """All pieces of all plain tracks."""
    found = []
    for name, track in plan.tracks.items():
        lines = circuit.rails[name]
        places = sorted({stop[0] for line in lines.values() for stop in line.stops})
        for start, stop in zip(places, places[1:]):
            piece = Piece(name, start, stop)
            for side, line in lines.items():
                piece.on(side, line.stops, track.rail)
            found.append(piece)
    return found


class Network:
    """Solves, and remembers, what lies between a pole and every piece of rail joined to it."""

    def __init__(self, circuit, piece_list):
        self.pieces = piece_list
        self.ends = [(p, side) for p in range(len(piece_list)) for side in ("left", "right")]
        asked = {n for piece in piece_list for rail in piece.rail.values() for n in rail[:2]}
        asked |= {n for poles in circuit.poles.values() for n in poles.values()}
        graph = self.reduced(circuit.net.edges, asked)
        self.index = {n: i for i, n in enumerate(asked | set(graph))}
        self.nodes = list(self.index)
        edges = list(graph.edges(data=True))
        self.a, self.b = (np.array([self.index[e[k]] for e in edges], dtype=int) for k in (0, 1))
        self.conductance = 1 / np.array([e[2]["ohms"] for e in edges]).reshape(-1, LEVELS)
        self.guarded = np.array([-1 if e[2]["contact"] is None else e[2]["contact"] for e in edges])
        rails = [(*self.pieces[p].rail[side], self.pieces[p].ohms[side]) for p, side in self.ends]
        self.rail_a, self.rail_b = (np.array([self.index[r[k]] for r in rails], dtype=int) for k in (0, 1))
        self.begin, self.end = (np.array([r[k] for r in rails])[:, None] for k in (2, 3))
        self.ohms = np.array([r[4] for r in rails]).reshape(-1, LEVELS)
        self.known = {}

    @staticmethod
    def reduced(edges, asked):
        """All resistors, less what hangs loose and carries nothing that is asked for, and with series made one."""
        graph = nx.MultiGraph()
        for number, (a, b, ohms, guard) in enumerate(edges):
            graph.add_edge(a, b, ohms=ohms, contact=None if guard is None else number)
        loose = [n for n in graph if n not in asked]
        while loose:
            node = loose.pop()
            if node in graph and graph.degree(node) <= 1:
                loose += [n for n in graph[node] if n not in asked]
                graph.remove_node(node)
        for node in [n for n in graph if n not in asked and graph.degree(n) == 2 and len(graph[n]) == 2]:
            (_, a, one), (_, b, two) = graph.edges(node, data=True)
            if one["contact"] is None and two["contact"] is None:
                graph.remove_node(node)
                graph.add_edge(a, b, ohms=tuple(i + j for i, j in zip(one["ohms"], two["ohms"])), contact=None)
        return graph

    def values(self, pole, closed, joined):
        """For each piece and rail joined to node `pole`: ohms at its start, middle and end, shape (rails, 3, levels).

        `closed` are the guarded edges that are closed and joined to the pole; `joined` says of a node whether it is.
        """
        key = pole, closed
        if key not in self.known:
            self.known[key] = self.solve(pole, closed, joined)
        return self.known[key]

    def solve(self, pole, closed, joined):
        here = np.array([joined(n) for n in self.nodes])
        edge_on = here[self.a] & ((self.guarded < 0) | np.isin(self.guarded, list(closed)))
        a, b, conductance = self.a[edge_on], self.b[edge_on], self.conductance[edge_on]
        # The pole is the last row: grounded, so its row and column of the inverse are nought.
        size = int(here.sum()) - 1
        row = np.full(len(here), -1)
        here[self.index[pole]] = False
        row[here] = np.arange(size)
        row[self.index[pole]] = size
        here[self.index[pole]] = True
        a, b = row[a], row[b]
        inverse = np.zeros((LEVELS, size + 1, size + 1))
        for level in range(LEVELS):
            matrix, g = np.zeros((size + 1, size + 1)), conductance[:, level]
            for i, j, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
                np.add.at(matrix, (i, j), sign * g)
            if size:
                inverse[level, :size, :size] = np.linalg.inv(matrix[:size, :size])
        out = np.full((len(self.ends), 3, LEVELS), np.nan)
        at = here[self.rail_a]
        a, b, ohms = row[self.rail_a[at]], row[self.rail_b[at]], self.ohms[at]
        zaa, zab, zbb = (inverse[:, i, j].T for i, j in ((a, a), (a, b), (b, b)))
        begin, end = self.begin[at], self.end[at]
        for place, t in enumerate((begin, (begin + end) / 2, end)):
            out[at, place] = (1 - t) ** 2 * zaa + 2 * t * (1 - t) * zab + t * t * zbb + t * (1 - t) * ohms
        return out


def highest(start, middle, end):
    """The exact maximum, over a piece, of the quadratic through its values at both ends and the middle."""
    curve = 2 * (start - 2 * middle + end)
    slope = 4 * middle - 3 * start - end
    top = np.maximum(start, end)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = -slope / (2 * curve)
        inside = (curve < 0) & (at > 0) & (at < 1)
        summit = start + slope * at + curve * at * at
    return np.where(inside, np.maximum(top, summit), top)

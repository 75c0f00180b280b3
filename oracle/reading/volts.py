"""The volts and the short-circuit current of every track: the worst of all settings.

Method: in each setting without a short the loop resistance is taken along every piece of track that a train can be on,
where both rails are fed from opposite poles of one supply, and its highest value over the piece. A piece that several
supplies feed at once has none, as the current of each depends on the others.
"""

import numpy as np

import quantities as q
from network import Network, highest


class Numbers:
    """The worst volts and currents so far, by track and level of ageing."""

    def __init__(self, judge):
        self.judge, self.plan, self.circuit = judge, judge.plan, judge.circuit
        self.network = Network(self.circuit, judge.pieces)
        self.worst = {}

    def loops(self, root, connection):
        """The highest loop resistance on each piece, with the supply's own, by level; not a number where there is none."""
        _, closed, group = connection
        ways = []
        for pole in "AB":
            node = self.circuit.poles[root][pole]
            mine = group[self.judge.blob[node]]
            mine_closed = frozenset(i for i, a, _ in closed if group[a] == mine)
            ways.append(self.network.values(node, mine_closed, lambda n: group[self.judge.blob[n]] == mine))
        a, b = ways
        loop = np.fmax(a[0::2] + b[1::2], b[0::2] + a[1::2]) + np.array(self.circuit.source[root])
        return highest(loop[:, 0], loop[:, 1], loop[:, 2])

    def widen(self, stand, wants, connection):
        """Count a setting without a short in which trains can be as `stand` says."""
        judge = self.judge
        rows = {}
        for name, part in stand.tracks.items():
            policy = self.plan.storage.get(name)
            if policy in (None, "by hand") or wants[name][0]:
                rows[name] = [i for i in judge.by_track[name] if judge.inside(part, i)]
        tops = [self.loops(root, connection) for root in judge.roots]
        feeding = sum(~np.isnan(top[:, 0]) for top in tops)
        for root, top in zip(judge.roots, tops):
            supply = self.plan.volts(root)
            for name, here in rows.items():
                values = top[here][(feeding[here] == 1) & ~np.isnan(top[here, 0])]
                if not len(values):
                    continue
                most = values.max(axis=0)
                volts, amps = supply - self.plan.running() * most, supply / (most + np.array(q.SHORT))
                old = self.worst.get(name, (volts, amps))
                self.worst[name] = np.minimum(old[0], volts), np.minimum(old[1], amps)

    def report(self):
        return {
            name: {"volts": [round(float(v), 9) for v in self.worst[name][0]],
                   "fault_amps": [round(float(v), 9) for v in self.worst[name][1]]}
            for name in self.plan.tracks if name in self.worst
        }

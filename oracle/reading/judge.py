"""Every setting of a plan judged by brute force.

Method: conductors joined for good are merged once; in each setting the closed contacts merge them further, and each
carries the poles it is joined to. Findings of one setting are sets of small keys; with short-sensing reversers a key
counts if every sense that makes no short has it. What can be told only when all settings are known (places that are
never live, track that no toggle makes live) is kept as a key of its own kind until then.
"""

from circuit import Circuit
from controls import Controls, holds
from necks import Necks
from network import pieces
from volts import Numbers
from plan import SAME_PLACE
from stretches import judged, of_run
from trains import Trains

OPPOSITE = {"A": "B", "B": "A"}
# With these a storage track that is dead when it should be live is a fault of the policy, with the others a dead rail.
POLICY_TELLS = ("always", "either end")
# Keys that count if any sense of the reversers has them.
ANY_SENSE = ("live", "lit", "moved", "powered", "beside")


def merged(size, pairs):
    """The group of each of `size` things after joining all `pairs`."""
    group = list(range(size))

    def head(i):
        while group[i] != i:
            group[i] = group[group[i]]
            i = group[i]
        return i

    for a, b in pairs:
        group[head(a)] = head(b)
    return [head(i) for i in range(size)]


class Judge:
    """All that is asked of one plan."""

    def __init__(self, plan):
        self.plan = plan
        self.controls = Controls(plan)
        self.circuit = Circuit(plan, self.controls)
        self.trains = Trains(plan, self.circuit)
        self.necks = Necks(plan, self.circuit, self.controls, self.trains)
        edges = self.circuit.net.edges
        heads = merged(self.circuit.net.size, [e[:2] for e in edges if e[3] is None])
        number = {h: i for i, h in enumerate(dict.fromkeys(heads))}
        self.blob = [number[h] for h in heads]
        self.blobs = len(number)
        self.guarded = [(i, self.blob[a], self.blob[b], guard) for i, (a, b, _, guard) in enumerate(edges) if guard]
        self.roots = list(self.circuit.source)
        self.pole_bits = {(root, p): 1 << (2 * i + (p == "B")) for i, root in enumerate(self.roots) for p in "AB"}
        self.letters = {p: sum(self.pole_bits[root, p] for root in self.roots) for p in "AB"}
        self.pieces = pieces(plan, self.circuit)
        self.rails = [[self.blob[piece.rail[side][0]] for side in ("left", "right")] for piece in self.pieces]
        count = len(self.pieces)
        self.by_track = {name: [i for i in range(count) if self.pieces[i].track == name] for name in plan.tracks}
        self.stretches = {name: self.on_stretches(name) for name in plan.storage}
        # One piece of each stretch of a run: on all of a stretch the same poles lie, and trains stop only between stretches.
        self.power = [[stretch[0] for stretch in of_run(self.circuit, run, self.pieces, self.by_track)]
                      for run in self.trains.runs]
        self.lines = {r: list(self.facing(r)) for w in self.circuit.works.values() for r in w.routes}
        self.meant = {(t, s): plan.meant(t, s) for t in plan.tracks for s in ("left", "right")}
        # The controls that set routes; all others an operator can put in any position while a train stands where it is.
        self.ways = sorted({c for w in self.circuit.works.values() for r in w.routes for c, _ in r.guards})
        self.numbers = Numbers(self)

    def on_stretches(self, name):
        """The pieces of the stretches on which a storage track is judged, by number."""
        stretches = judged(self.plan, self.circuit, name)
        return [i for i in self.by_track[name]
                if any(a - SAME_PLACE < self.pieces[i].start and self.pieces[i].stop < b + SAME_PLACE for a, b in stretches)]

    def facing(self, route):
        """Where the two rails of a route lie side by side: (place, left, right), the rails by what they are joined to."""
        for x0, x1, left in route.left:
            for y0, y1, right in route.right:
                if min(x1, y1) - max(x0, y0) > 1e-9:
                    yield round(max(x0, y0), 6), self.blob[left], self.blob[right]

    # What joins what in one setting.

    def connect(self, setting):
        """The poles every blob is joined to, the closed guarded edges, and the group of every blob."""
        closed = [(i, a, b) for i, a, b, guard in self.guarded if holds([guard], setting)]
        group = merged(self.blobs, [(a, b) for _, a, b in closed])
        poles = [0] * self.blobs
        for (root, pole), bit in self.pole_bits.items():
            poles[group[self.blob[self.circuit.poles[root][pole]]]] |= bit
        return [poles[g] for g in group], closed, group

    def shorted(self, poles):
        """Whether both poles of a root supply meet."""
        both = [self.pole_bits[root, "A"] | self.pole_bits[root, "B"] for root in self.roots]
        return any(p & bits == bits for p in set(poles) for bits in both)

    def fed(self, left, right):
        """Whether two sets of poles are opposite poles of one root supply."""
        return any(
            left & self.pole_bits[root, p] and right & self.pole_bits[root, OPPOSITE[p]]
            for root in self.roots for p in "AB"
        )

    def against(self, one, two):
        """Whether A of any source is on one side and B of any source on the other."""
        a, b = self.letters["A"], self.letters["B"]
        return bool(one & a and two & b or one & b and two & a)

    def several(self, mask):
        """Whether a conductor is joined to poles of more than one root supply."""
        return sum(bool(mask & (self.pole_bits[r, "A"] | self.pole_bits[r, "B"])) for r in self.roots) > 1

    def joined_outside(self, setting):
        """Whether two breakers of one source are joined outside themselves on a pole that both open."""
        circuit = self.circuit
        pairs = [(a, b) for i, (a, b, _, guard) in enumerate(circuit.net.edges)
                 if i not in circuit.inside and (guard is None or holds([guard], setting))]
        group = merged(circuit.net.size, pairs)
        for pole in "AB":
            seen = set()
            for name in self.plan.supply:
                if pole in circuit.opens[name]:
                    key = self.plan.root[name], group[circuit.poles[name][pole]]
                    if key in seen:
                        return True
                    seen.add(key)
        return False

    # One setting in one sense.

    def inside(self, part, i):
        """Whether piece `i` of a track is before any place where a train stops to wait; `part` is nothing if none can be."""
        if part is None:
            return False
        low, high, piece = part["from"], part["to"], self.pieces[i]
        return (low is None or piece.start >= low) and (high is None or piece.stop <= high)

    @staticmethod
    def passes(part, x):
        """Whether a train stands or runs over the gap at `x`, and not up to it."""
        return (part["from"] is None or x > part["from"]) and (part["to"] is None or x < part["to"])

    def look(self, setting, stand, wants, poles):
        """All findings of one setting without a short, as a set of keys."""
        at = [poles[b] for b in self.blob]
        live = [self.fed(poles[left], poles[right]) for left, right in self.rails]
        powered = {number for number, where in enumerate(self.power)
                   if any(live[i] and self.inside(stand.tracks.get(self.pieces[i].track), i) for i in where)}
        moves = [not reach.isdisjoint(powered) for reach in stand.reach]
        found, ways = {("powered", run) for run in powered}, tuple(setting[c] for c in self.ways)
        for name in self.plan.storage:
            self.look_storage(name, wants[name], ways, live, found)
        for name, part in stand.tracks.items():
            here = [i for i in self.by_track[name] if self.inside(part, i)]
            moving = moves[self.trains.run_of[name]]
            for i in here:
                if not live[i]:
                    self.dead_track(name, i, wants, ways, moving, found)
            if moving:
                self.look_track(name, part, here, at, poles, found)
        for work, route, met in stand.routes:
            moving = not met.isdisjoint(powered)
            if moving:
                found.add(("moved", work.name, route.ends))
            else:
                self.look_idle(work.name, route.ends, met, stand, live, found)
            if moving and any(self.against(at[a], at[b]) for a, b in route.gaps):
                found.add(("works", work.name))
            for x, left, right in self.lines[route]:
                if not self.fed(poles[left], poles[right]):
                    if moving:
                        found.add(("dead", work.name, route.ends, x))
                    else:
                        found.add(("still", work.name, route.ends, work.name, x))
                    found.add(("idle", work.name, left, right))
        return found

    def look_idle(self, work, ends, met, stand, live, found):
        """Note the dead track next to a route on which no train moves in this setting."""
        for run in met:
            found.add(("beside", work, ends, run))
            for name in self.trains.runs[run].names:
                part = stand.tracks.get(name)
                if name not in self.plan.storage and part is not None:
                    found |= {("still", work, ends, name, i)
                              for i in self.by_track[name] if self.inside(part, i) and not live[i]}

    def look_storage(self, name, wants, ways, live, found):
        """Whether a storage track is live just when its policy wants it; of one switched by hand, where it is live."""
        policy = self.plan.storage[name]
        if policy == "by hand":
            found |= {("lit", name, i, ways) for i in self.by_track[name] if live[i]}
            return
        wants_live, wants_dead = wants
        for i in self.stretches[name]:
            if live[i] and wants_dead:
                found.add(("live", name))
            if not live[i] and wants_live and policy in POLICY_TELLS:
                found.add(("asleep", name, i))

    def dead_track(self, name, i, wants, ways, moving, found):
        """Note a dead piece of track that a train can be on."""
        policy = self.plan.storage.get(name)
        if policy in (None, "by hand"):
            if moving and policy is None:
                found.add(("dead", name, i))
            elif moving:
                found.add(("hand", name, i, ways))
            found.add(("idle", name, *self.rails[i]))
        elif wants[name][0] and not (policy in POLICY_TELLS and i in self.stretches[name]):
            found.add(("dead", name, i))

    def look_track(self, name, part, here, at, poles, found):
        """Rail on the wrong pole and gaps that are bridged, on the part of a track where a train can be and moves."""
        for i in here:
            for side, blob in zip(("left", "right"), self.rails[i]):
                meant = self.meant[name, side]
                if meant and poles[blob] & self.pole_bits[meant[0], OPPOSITE[meant[1]]]:
                    found.add(("wrong", name, side, i))
        for side in ("left", "right"):
            for x, before, after, gap in self.circuit.rails[name][side].stops:
                if gap and self.passes(part, x) and self.against(at[before], at[after]):
                    found.add(("bridge", name, side, x))
            for end in part:
                # Where nothing makes a train wait it runs on over a gap at the end of the track.
                gap = self.circuit.end_gaps.get((("track", name, end), side))
                if gap and part[end] is None and self.against(at[gap[0]], at[gap[1]]):
                    found.add(("bridge", name, side, self.plan.tracks[name].end_place(end)))

    # All settings.

    def verdict(self, limit=1 << 14):
        if self.controls.count() > limit:
            raise ValueError(f"{self.controls.count()} settings are too many to try")
        count, shorted, meet, joined, all_found = 0, [], False, False, set()
        # What faces what on all track and routes, less what is live in some setting, and what is joined to no pole in any;
        # settings with a short count here too.
        never = {tuple(pair) for pair in self.rails}
        never |= {(left, right) for lines in self.lines.values() for _, left, right in lines}
        unfed = set(range(self.blobs))
        breakers = any("behind" in t for t in self.plan.supply.values())
        for base in self.controls.settings():
            count += 1
            kept, any_sense = None, set()
            stand = self.trains.stand(base)
            wants = {name: self.necks.wanted(name, base) for name in self.plan.storage}
            for setting in self.controls.senses(base):
                connection = self.connect(setting)
                poles = connection[0]
                never -= {pair for pair in never if self.fed(poles[pair[0]], poles[pair[1]])}
                unfed -= {blob for blob in unfed if poles[blob]}
                meet = meet or any(self.several(p) for p in set(poles))
                if breakers and not joined:
                    joined = self.joined_outside(setting)
                if self.shorted(poles):
                    continue
                found = self.look(setting, stand, wants, poles)
                any_sense |= {key for key in found if key[0] in ANY_SENSE}
                kept = found if kept is None else kept & found
                self.numbers.widen(stand, wants, connection)
            if kept is None:
                shorted.append(self.controls.said(base))
            else:
                all_found |= kept | any_sense
        if shorted:
            # The short may be all that is wrong: then only rail without any pole is told.
            never = {pair for pair in never if not unfed.isdisjoint(pair)}
        return self.report(count, shorted, meet, joined, all_found, never)

    def report(self, count, shorted, meet, joined, found, never):
        def keys(kind, *parts):
            return sorted({tuple(k[p] for p in parts) for k in found if k[0] == kind})

        dead = {name for (name,) in keys("dead", 1)}
        dead |= {name for name, left, right in keys("idle", 1, 2, 3) if (left, right) in never}
        if not shorted:
            # A route on which no train moves in any setting was not switched off, if all runs beside it are live in others.
            forgiven = set(keys("moved", 1, 2)) | {
                (work, ends) for work, ends, run in keys("beside", 1, 2, 3) if ("powered", run) not in found}
            dead |= {name for *route, name in keys("still", 1, 2, 3) if tuple(route) not in forgiven}
        dead |= {name for name, i, ways in keys("hand", 1, 2, 3) if ("lit", name, i, ways) not in found}
        storage = [[name, "dead"] for (name,) in keys("asleep", 1)] + [[name, "live"] for (name,) in keys("live", 1)]
        return {
            "plan": self.plan.path,
            "settings": count,
            "exact": True,
            "shorted": shorted[:64],
            "shorted_count": len(shorted),
            "meet": meet,
            "bridges": [[t, s, round(x, 6)] for t, s, x in keys("bridge", 1, 2, 3)],
            "bridged_works": [w for (w,) in keys("works", 1)],
            "dead": sorted(dead),
            "wrong": [list(k) for k in keys("wrong", 1, 2)],
            "joined": joined,
            "storage": sorted(storage),
            "tracks": self.numbers.report(),
        }

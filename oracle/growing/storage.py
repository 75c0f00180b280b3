"""Storage tracks: when each is lined, and the contacts that make it live just then (docs/definitions.md)."""

import trackwork
from model import Contact, LEFT, RIGHT


def neck(plan, track, end):
    """What must be set so that a track leads out by one of its ends: [(switch, position)] from the track outwards.

    None where a slip stands there, which has no place in a tree of contacts, and where it comes over a plastic crossing
    by both its tracks. The neck ends before trackwork that would have to stand otherwise than it asks already.
    """
    at_port = {}
    for t, other in enumerate(plan.tracks):
        for e, to in enumerate(other.ends):
            if to[0] == "work":
                at_port[to[1], to[2]] = (t, e)
    found, seen, passed = [], set(), set()
    at = (track, end)
    while at not in seen:
        seen.add(at)
        to = plan.tracks[at[0]].ends[at[1]]
        if to[0] == "stop":
            break
        if to[0] == "track":
            at = (to[1], 1 - to[2])
            continue
        work = plan.works[to[1]]
        crossed = work.kind == "crossing" and not work.live
        if work.kind == "slip" or crossed and to[1] in passed:
            return None
        passed.add(to[1])
        ways = [r for r in trackwork.routes(work) if to[2] in r[:2]]
        if len(ways) > 1:
            break
        one, other, when = ways[0]
        literals = [(work.controls[part], position) for part, position in when]
        if any((switch, 1 - position) in found for switch, position in literals):
            break
        found += [literal for literal in literals if literal not in found]
        t, e = at_port[to[1], other if to[2] == one else one]
        at = (t, 1 - e)
    return found


class Trees:
    """Chooses how storage tracks are switched, and wires the trees of contacts."""

    def __init__(self, plan, random):
        self.plan, self.random = plan, random
        self.style = None

    def choose(self):
        """Settles which rails are switched. Before gaps and feeders."""
        plan, random = self.plan, self.random
        if plan.policy in (None, "by hand") or not plan.storage:
            plan.policy = plan.policy if plan.policy == "by hand" else None
            plan.storage = []
            return
        if plan.policy == "always":
            return
        self.necks = {t: [neck(plan, t, end) for end in (0, 1)] for t in plan.storage}
        double = all(plan.tracks[t].ends[1][0] != "stop" and plan.tracks[t].ends[0][0] != "stop" for t in plan.storage)
        slips = any(n is None for ends in self.necks.values() for n in ends)
        both = [] if slips else [a + b for a, b in self.necks.values()]
        against = any((s, 1 - p) in n for n in both for s, p in n)
        if slips or (against and plan.policy != "either end"):
            plan.policy, plan.storage = None, []
            plan.part("no storage, as a way cannot be lined")
            return
        side = random.below(2)
        if not double:
            self.style = "stub"
            sides = [LEFT, RIGHT] if random.once_in(6) else [side]
        elif plan.policy == "either end":
            self.style, sides = "either", [side]
        elif random.once_in(2):
            self.style, sides = "split", [LEFT, RIGHT]
        else:
            self.style, sides = "chain", [side]
        plan.part(f"contact trees, {self.style}")
        self.first = random.below(2)
        for t in plan.storage:
            plan.tracks[t].switched = list(sides)

    def wire(self, place_on):
        """Wires the trees. `place_on(track, side)` gives a place for a wire on the switched rail."""
        plan, random = self.plan, self.random
        if self.style is None:
            return
        sides = plan.tracks[plan.storage[0]].switched
        for k, side in enumerate(sides):
            if self.style in ("stub", "chain"):
                runs = [[(t, self.necks[t][0] + [l for l in self.necks[t][1] if l not in self.necks[t][0]]) for t in plan.storage]]
            elif self.style == "either":
                runs = [[(t, self.necks[t][end]) for t in plan.storage] for end in (0, 1)]
            else:
                end = k if self.first else 1 - k
                runs = [[(t, self.necks[t][end]) for t in plan.storage]]
            for run in runs:
                items = []
                for t, literals in run:
                    places = [place_on(t, side) for _ in range(2 if random.once_in(5) else 1)]
                    items.append((t, literals[::-1], [("rail", t, side, at) for at in places if at is not None]))
                self._tree(side, items)

    def _tree(self, side, items):
        plan, random = self.plan, self.random
        key = len(plan.trees)
        outputs = []
        source = ("bus", plan.tracks[items[0][0]].bus, plan.pole(side), None)
        one_each = random.once_in(3)
        groups = [[item] for item in items] if one_each else [items]
        for group in groups:
            self._branch([source], group, key, outputs, None)
        for t, side, at in {r[1:]: None for _, _, targets in items for r in targets}:
            plan.taps.append((t, side, at, ("switched", key, None)))
        plan.trees.append((key, outputs))

    def _branch(self, source, items, key, outputs, upstream):
        """Contacts for the outermost turnouts of some tracks, fed from `source` or wired from an upstream terminal."""
        plan, random = self.plan, self.random
        for switch in {literals[0][0]: None for _, literals, _ in items}:
            host = self._host(switch)
            contact = Contact(common=list(source), role=("tree", key))
            contacts = plan.switches[host].contacts
            contacts.append(contact)
            mine = ("contact", host, len(contacts) - 1, "common")
            if upstream is not None:
                # The wire between two contacts is told at one of them.
                if random.once_in(3) and upstream[2]:
                    contact.common.append(upstream[1])
                else:
                    upstream[0].append(mine)
            for position in (0, 1):
                here = [(t, l[1:], targets) for t, l, targets in items if l[0] == (switch, position)]
                done = [item for item in here if not item[1]]
                deeper = [item for item in here if item[1]]
                for t, _, targets in done:
                    contact.pos[position].extend(targets)
                    outputs.append((host, len(contacts) - 1, position, t, targets))
                if deeper:
                    terminal = ("contact", host, mine[2], position)
                    # A contact that says nothing of itself would look like a slip of the pen.
                    says = bool(contact.common)
                    self._branch([], deeper, key, outputs, (contact.pos[position], terminal, says))

    def _host(self, switch):
        """The switch itself, or at times a relay that follows it."""
        plan, random = self.plan, self.random
        relays = [i for i, s in enumerate(plan.switches) if s.kind == "relay" and s.follows == switch]
        if relays and random.once_in(3):
            plan.part("relay in a contact tree")
            return random.pick(relays)
        return switch

"""What can be set: controls, their positions, and what follows them.

Method: every thing that has a position of its own (a turnout, either half of a slip or of a three-way turnout, a
turntable, a toggle, a reverser that senses shorts) is found; things that one motor moves together, that motors on one output
of a driver move, or that a toggle throws whose contacts are a driver, are merged into one control. A guard is (control, set of positions); a setting is one position for each control.
"""

import itertools

from plan import listed

FIRST, SECOND = frozenset([0]), frozenset([1])


class Control:
    """One control: the things it sets, each with its words for the positions."""

    def __init__(self, words, sense=False):
        self.words = words
        self.sense = sense
        self.size = min(len(w) for w in words.values())

    def said(self, position):
        return {name: words[position] for name, words in self.words.items()}


class Controls:
    """All controls of a plan and the guards that follow from them."""

    def __init__(self, plan):
        self.plan = plan
        things = {}
        for name, table in plan.turnout.items():
            things[name] = ("left", "right") if table["hand"] == "wye" else ("through", "diverging")
        for name in plan.slip:
            things[name + ".west"] = things[name + ".east"] = ("through", "diverging")
        for name in plan.three_way:
            things[name + ".left"] = things[name + ".right"] = ("through", "diverging")
        for name in plan.toggle:
            things[name] = ("off", "on")
        for name, table in plan.motor.items():
            if not self.moved(table) and (table.get("contact") or self.followed(name)):
                things[name] = ("through", "diverging")
        group = {name: name for name in things}
        hands = {}
        for name, table in plan.motor.items():
            hands.setdefault(plan.hand(name), []).extend(m for m in self.moved(table) if m in things)
        for hand, moved in hands.items():
            if hand[0] == "toggle" and moved:
                moved.append(hand[1])
            for other in moved[1:]:
                old, new = group[other], group[moved[0]]
                group = {name: new if g == old else g for name, g in group.items()}
        self.controls, self.of = [], {}
        for head in dict.fromkeys(group.values()):
            self.add({name: things[name] for name in things if group[name] == head})
        for name, table in plan.turntable.items():
            self.add({name: self.stalls(table)})
        for name, table in plan.reverser.items():
            if table["kind"] == "short-sensing":
                self.add({name: ("straight", "swapped")}, sense=True)
        # The two pairs of blades of a three-way turnout, which are never thrown both.
        self.both = [(self.of[n + ".left"], self.of[n + ".right"]) for n in plan.three_way]

    def add(self, words, sense=False):
        for name in words:
            self.of[name] = len(self.controls)
        self.controls.append(Control(words, sense))

    def moved(self, motor):
        """What a motor moves, a whole slip being both its halves."""
        moved = []
        for name in listed(motor.get("moves", [])):
            moved += [name + ".west", name + ".east"] if name in self.plan.slip else [name]
        return moved

    def followed(self, motor):
        tables = (*self.plan.relay.values(), *self.plan.reverser.values(), *self.plan.crossing.values())
        return any(t.get("follows") == motor for t in tables)

    @staticmethod
    def stalls(table):
        """The positions of a turntable; a deck with a feed of its own can also stand the other way round."""
        fed = ("left" in table or "right" in table) and table.get("kind") != "sector plate"
        turns = ("", " turned") if fed else ("",)
        pairs = table.get("opposite", [])
        words = []
        for n in range(1, table["stalls"] + 1):
            words += [f"stall {n} to {other}" for one, other in pairs if one == n]
            words += [f"stall {n}"] if not any(n in pair for pair in pairs) else []
        return tuple(word + turn for word in words for turn in turns)

    def literal(self, name, position):
        """The guard "what `name` is or follows stands in its first (0) or second (1) position"."""
        plan = self.plan
        if name in plan.motor and self.moved(plan.motor[name]):
            name = self.moved(plan.motor[name])[0]
        elif name in plan.relay:
            return self.literal(plan.relay[name]["follows"], position)
        elif name in plan.reverser and plan.reverser[name]["kind"] != "short-sensing":
            return self.literal(plan.reverser[name]["follows"], position)
        control = self.of[name]
        if name in plan.turntable:
            # A turntable's motor counts as first while the deck is not turned.
            words = self.controls[control].words[name]
            return control, frozenset(i for i, w in enumerate(words) if w.endswith(" turned") == bool(position))
        return control, SECOND if position else FIRST

    def at(self, name, words):
        """The guard "`name` stands in one of the positions called `words`"."""
        control = self.of[name]
        return control, frozenset(i for i, w in enumerate(self.controls[control].words[name]) if w in words)

    def settings(self):
        """All legal settings, short-sensing reversers left in their first position."""
        choices = [range(1) if c.sense else range(c.size) for c in self.controls]
        for setting in itertools.product(*choices):
            if not any(setting[a] and setting[b] for a, b in self.both):
                yield setting

    def legal(self, guards):
        """The legal positions of those controls that `guards` speak of, as {control: position}."""
        asked = {control for control, _ in guards}
        asked |= {c for pair in self.both if asked & set(pair) for c in pair}
        for positions in itertools.product(*(range(self.controls[c].size) for c in asked)):
            setting = dict(zip(asked, positions))
            if not any(setting.get(a) and setting.get(b) for a, b in self.both):
                yield setting

    def always(self, choices):
        """Whether in every legal setting all guards of one of `choices` hold."""
        return all(any(holds(guards, setting) for guards in choices) for setting in self.legal(sum(choices, ())))

    def possible(self, guards):
        """Whether all `guards` hold in some legal setting."""
        allowed = {}
        for control, positions in guards:
            allowed[control] = allowed.get(control, positions) & positions
        thrown = [c for c, positions in allowed.items() if 0 not in positions]
        return all(allowed.values()) and not any(a in thrown and b in thrown for a, b in self.both)

    def senses(self, setting):
        """The same setting with every combination of senses of the short-sensing reversers."""
        choices = [range(c.size) if c.sense else (p,) for c, p in zip(self.controls, setting)]
        return list(itertools.product(*choices))

    def count(self):
        """How many settings there are at most."""
        product = 1
        for control in self.controls:
            product *= control.size
        return product

    def said(self, setting):
        """A setting in words, short-sensing reversers left out."""
        words = {}
        for control, position in zip(self.controls, setting):
            if not control.sense:
                words.update(control.said(position))
        return words


def holds(guards, setting):
    """Whether all of `guards` hold in `setting`."""
    return all(setting[control] in positions for control, positions in guards)

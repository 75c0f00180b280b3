"""The tables of a plan, as they are written, with the references in them looked up.

Method: the file is kept as the TOML reader gives it; this module adds only names, kinds and the reading of references
("dock 1.left @ 1.2 m"). Nothing is checked: a plan is taken to be well formed.
"""

import re
import tomllib

import quantities as q

WORKS = ("turnout", "crossing", "slip", "three_way", "turntable")
PLACE = re.compile(r"(.*\S)\s*@\s*(\S.*)")
SAME_PLACE = 1e-5


class Track:
    """A plain track: its table and the numbers in it."""

    def __init__(self, table, plan):
        self.table = table
        self.name = table["name"]
        self.length = q.length(table["length"])
        self.ends = {"from": table["from"], "to": table["to"]}
        if "rail_resistance" in table:
            self.rail = (q.ohms_per_metre(table["rail_resistance"]),) * 3
        else:
            self.rail = plan.rail(table)
        self.places = [0.0, self.length]
        self.joint = table.get("joint") or plan.layout.get("joint") or "sliding"
        self.read_joints()

    def snap(self, x):
        """The place at `x`: places nearer than 0.01 mm to one another are one, on either rail."""
        for known in self.places:
            if abs(known - x) < SAME_PLACE:
                return known
        self.places.append(x)
        return x

    def read_joints(self):
        """What stands in each rail inside the track, and at its very ends where that is written."""
        self.joints = {"left": {}, "right": {}}

        def put(entry, kind):
            entry = {"at": entry} if isinstance(entry, str) else entry
            x = self.snap(q.length(entry["at"]))
            for side in [entry["rail"]] if "rail" in entry else ["left", "right"]:
                self.joints[side][x] = entry.get("kind", kind)

        for entry in self.table.get("joints", []):
            put(entry, self.joint)
        for entry in self.table.get("slides", []):
            put(entry, "sliding")
        for entry in self.table.get("gaps", []):
            put(entry, "gap")
        if "stock" in self.table:
            stock, count = q.length(self.table["stock"]), 1
            while count * stock < self.length - SAME_PLACE:
                x = self.snap(count * stock)
                for side in ("left", "right"):
                    self.joints[side].setdefault(x, self.joint)
                count += 1
        self.written_ends = {
            (end, side): self.joints[side].pop(x)
            for end, x in (("from", 0.0), ("to", self.length))
            for side in ("left", "right")
            if x in self.joints[side]
        }

    def end_place(self, end):
        return 0.0 if end == "from" else self.length

    def along(self, x):
        """The place on its bus beside place `x`, or nothing."""
        along = self.table.get("along")
        if not along:
            return None, None
        start, stop = q.length(along["from"]), q.length(along["to"])
        return along["bus"], start + (stop - start) * x / self.length


class Plan:
    """One plan: every table by name, and the values the layout sets for all of them."""

    def __init__(self, text, path=""):
        self.path = path
        self.raw = tomllib.loads(text)
        self.layout = self.raw.get("layout", {})
        self.scale = q.scale(self.layout.get("scale", "OO"))
        self.gauge = q.GAUGE[self.scale] / 1000
        for kind in (*WORKS, "driver", "motor", "relay", "toggle", "reverser", "supply", "bus", "board"):
            setattr(self, kind, {t["name"]: t for t in self.raw.get(kind, [])})
        self.works = {name: (kind, t) for kind in WORKS for name, t in getattr(self, kind).items()}
        self.tracks = {t["name"]: Track(t, self) for t in self.raw.get("track", [])}
        self.trains = self.raw.get("train", [])
        storage = self.raw.get("storage", {})
        self.storage = {name: storage["live"] for name in storage.get("tracks", [])}
        self.root = {name: self.root_of(name) for name in self.supply}

    def copper(self, text):
        """What a wire resists for each metre; aged, in the hottest air of the room where that is above 20 degrees."""
        new, usual, aged = q.wire(text)
        air = self.raw.get("room", {}).get("hottest", {}).get("temperature")
        over = max(q.celsius(air) - 20, 0) if air else 0
        return new, usual, aged * (1 + q.COPPER_PER_KELVIN * over)

    def rail(self, table):
        return q.rail(table.get("rail") or self.layout.get("rail"), self.scale)

    def root_of(self, supply):
        while "behind" in self.supply[supply]:
            supply = self.supply[supply]["behind"]
        return supply

    def volts(self, root):
        table = self.supply[root]
        return q.volts(table["voltage"]) if "voltage" in table else q.NOMINAL.get(self.scale, 15.0)

    def running(self):
        """What the hungriest train draws, or what the scale's trains do where no train says it."""
        said = [q.amps(t["draws"]["running"]) for t in self.trains if "running" in t.get("draws", {})]
        return max(said) if said else q.RUNNING[self.scale]

    def pick_up(self):
        """The shortest pick-up wheelbase of those trains that say theirs."""
        return min((q.length(t["pick_up"]) for t in self.trains if "pick_up" in t), default=None)

    def bus_supply(self, bus):
        """The supply at the beginning of a bus, through all its branches."""
        while "supply" not in self.bus[bus]:
            bus = self.split_place(self.bus[bus]["from"], self.bus)[0]
        return self.bus[bus]["supply"]

    @staticmethod
    def split_place(text, names=()):
        """A reference and the place after its last `@`, if any; a name that holds an `@` itself is left whole."""
        found = None if text in names else PLACE.fullmatch(text)
        return (found.group(1), found.group(2)) if found else (text, None)

    def output(self, text):
        """An output of a driver: (driver, number from 1). `D1` alone is the one output of a driver that has one."""
        if text in self.driver:
            return text, 1
        name, _, number = text.rpartition(".")
        return name, int(number)

    def hand(self, motor):
        """What hand or address throws a motor, so that what has the same one is thrown with it: a toggle whose contacts its
        driver is, else an output of a driver, else the motor itself."""
        if "driver" not in self.motor[motor]:
            return "motor", motor
        driver, number = self.output(self.motor[motor]["driver"])
        toggle = self.driver[driver].get("follows")
        return ("toggle", toggle) if toggle else ("output", driver, number)

    def end(self, text):
        """What a track's end joins: another track's end, an end of trackwork, or nothing."""
        name, _, end = text.rpartition(".")
        if name in self.tracks and end in ("from", "to"):
            return ("track", name, end)
        if name in self.works:
            return ("work", name, end)
        return None

    def conductor(self, text):
        """What a wire goes to: (kind, name, part, place in metres or nothing)."""
        for whole, place in ((text, None), self.split_place(text)):
            name, _, part = whole.rpartition(".")
            x = q.length(place) if place else None
            if part in ("A", "B"):
                for kind in ("bus", "supply", "reverser"):
                    if name in getattr(self, kind):
                        return (kind, name, part, x)
            if name in self.tracks and part in ("left", "right"):
                return ("rail", name, part, x)
            if name in self.works and part.endswith("frog"):
                return ("frog", name, part, x)
            owner, _, index = name.rpartition(".")
            if index.isdigit() and any(owner in table for table in (self.motor, self.relay, self.toggle)):
                return ("contact", owner, (int(index), part), x)
        raise ValueError(f"no conductor is called {text!r}")

    def meant(self, track, side):
        """The root supply and pole a rail is meant for, where its key names a bus or a supply."""
        text = self.tracks[track].table.get(side)
        if text is None:
            return None
        kind, name, pole, _ = self.conductor(text)
        if kind == "bus":
            return self.root[self.bus_supply(name)], pole
        return (self.root[name], pole) if kind == "supply" else None


def listed(value):
    """One thing or several, as a list."""
    return value if isinstance(value, list) else [value]

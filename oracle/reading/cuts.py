"""Hold cut lengths of wire lists against the way each wire must go: python3 cuts.py PLAN WIRES.csv [PLAN WIRES.csv ...]

Method: both ends of each row are looked up among the names of the plan as a builder would read them, and placed on the graph
of the table top (reach.py). Where the list says that the length is assumed, the wire must reach along the track from one end
to the other and down through the base; where the plan says how long it is, it must be cut no shorter than that. One JSON
object a plan: how many rows were held against a way, and those that are too short, in words.
"""

import csv
import json
import re
import sys

import quantities as q
from circuit import Circuit
from controls import Controls
from plan import Plan

NUMBER = r"([0-9.]+) mm"


class Ends:
    """Where the words of a wire list's end are on the table."""

    def __init__(self, plan):
        self.plan = plan
        self.reach = Circuit(plan, Controls(plan)).reach
        self.kinds = {}
        for kind in ("supply", "bus", "driver", "motor", "relay", "toggle", "reverser"):
            self.kinds.update({name: kind for name in getattr(plan, kind)})
        self.kinds.update({name: "track" for name in plan.tracks})
        self.kinds.update({name: "work" for name in plan.works})
        self.forms = {
            "track": rf"\.(left|right) @ {NUMBER}(, (near|far) side)?", "bus": rf"\.(A|B) @ {NUMBER}(, its far end)?",
            "work": r" .*", "supply": r"\.(A|B|middle)", "reverser": r"\.(in )?(A|B)",
            "driver": r" (power|commands|output) .*", "toggle": r"\.\d+\.\w+",
            "motor": r"(\.\d+\.\w+| (terminal \d|common|coil \w+|supply|return|signal))", "relay": r"(\.\d+\.\w+| coil \d)",
        }

    def driver(self, name):
        table = self.plan.driver[name]
        if "beside" in table:
            track, place = self.plan.split_place(table["beside"])
            return self.reach.on_track(self.plan.tracks[track], q.length(place))
        bus, place = self.plan.split_place(table["from"], self.plan.bus)
        return self.reach.on_bus(bus, q.length(place)) if place else None

    def place(self, words):
        """Where an end is; None where nothing says it. A tap that is anywhere on its bus is a bus alone."""
        anywhere = " (far end assumed" in words
        words = words.split(" (assumed")[0].split(" (far end assumed")[0]
        for name in sorted((n for n in self.kinds if words.startswith(n)), key=len, reverse=True):
            kind = self.kinds[name]
            found = re.fullmatch(self.forms[kind], words[len(name):])
            if found is None:
                continue
            if kind == "track":
                return self.reach.on_track(self.plan.tracks[name], float(found.group(2)) / 1000)
            if kind == "bus":
                return None if anywhere else self.reach.on_bus(name, float(found.group(2)) / 1000)
            if kind == "work":
                return [self.reach.frogs[name]], []
            if kind in ("motor", "relay"):
                return self.reach.owner(name)
            if kind == "driver":
                return self.driver(name)
            return self.reach.ends_at(kind, name, None, None)
        raise ValueError(f"no end is called {words!r}")


def held(path, wires):
    """A plan and its wire list: rows held against a way, and those too short."""
    with open(path, encoding="utf-8") as file:
        plan = Plan(file.read(), path)
    ends, checked, short, measured = Ends(plan), 0, [], 0
    with open(wires, encoding="utf-8-sig", newline="") as file:
        for row in csv.DictReader(file):
            row = {(key or "").split(" (")[0].split(" [")[0]: value for key, value in row.items()}
            names = {key.split(",")[0].strip(): key for key in row}
            run, cut = (row[next(k for k in names.values() if k.startswith(word))] for word in ("run", "cut"))
            if row["what"] == "bond":
                continue
            if not cut:
                measured += 1
                if "measure" not in row["assumed"]:
                    short.append(f"{row['number']} has no length and is not marked")
                continue
            way = None
            if "length" in row["assumed"]:
                way = ends.reach.distance(ends.place(row["from"]), ends.place(row["to"])) + q.FEEDER_LENGTH
            elif row["what"] == "bus":
                name = row["bundle"]
                way = q.length(plan.bus[name]["length"])
            least = max(float(run) / 1000, way or 0.0)
            checked += way is not None
            if float(cut) / 1000 < least - 1e-6:
                short.append(f"{row['number']} from {row['from']} to {row['to']}: cut {cut} mm, goes {least * 1000:.0f} mm")
    return {"plan": path, "checked": checked, "measured": measured, "short": short}


def main():
    pairs = sys.argv[1:]
    for path, wires in zip(pairs[::2], pairs[1::2]):
        print(json.dumps(held(path, wires), ensure_ascii=False), flush=True)


if __name__ == "__main__":
    main()

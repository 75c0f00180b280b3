"""Random plans, right by construction, and the same plans with one fault planted in each.

    python3 grow_plans.py --count N --seed S --out DIR [--fault KIND|none|all] [--controls MAX] [--drivers]

Writes DIR/<kind>-<seed>.toml, and on the output one JSON object a line for each plan. `all` takes every kind in turn, and
none, N plans of each. A seed whose plan has no place for a kind is passed over. Same words, same files, on every machine.
"""

import argparse
import json
import os

import boards
import drivers
import fault
from plans import closed, grown
from text import render

# So many seeds in a row without a place for a kind mean that something is wrong with the kind.
PATIENCE = 5000


def unfed(plan):
    """Trackwork whose frogs are joined to nothing, and the tracks that their rails run on into up to a gap."""
    works = {w for w, work in enumerate(plan.works) if work.unfed}
    stubs = [
        track.name for track in plan.tracks
        if any(end[0] == "work" and end[1] in works and end[2] != "points" and plan.works[end[1]].wiring == "live-unfed" for end in track.ends)
    ]
    return [plan.works[w].name for w in sorted(works)], stubs


def plans_of(kind, count, seed, most_controls):
    """So many plans with a fault of a kind: (seed, plan)."""
    passed = 0
    while count > 0:
        plan = fault.planted(grown(seed, most_controls), kind, seed)
        if plan is not None:
            yield seed, plan
            count, passed = count - 1, 0
        else:
            passed += 1
            if passed > PATIENCE:
                raise SystemExit(f"no place for {kind} in {PATIENCE} plans")
        seed += 1


def main():
    parser = argparse.ArgumentParser(description="Grow random plans, with or without a fault.")
    parser.add_argument("--count", type=int, required=True, metavar="N", help="how many of each kind")
    parser.add_argument("--seed", type=int, required=True, metavar="S", help="the first seed")
    parser.add_argument("--out", required=True, metavar="DIR", help="where the plans go")
    parser.add_argument("--fault", default="none", choices=["none", "all", *fault.KINDS], help="what is planted (none)")
    parser.add_argument("--controls", type=int, default=9, metavar="MAX", help="most motors and toggles of a plan (9)")
    parser.add_argument("--drivers", action="store_true", help="with what throws the motors, and accessory buses")
    arguments = parser.parse_args()
    os.makedirs(arguments.out, exist_ok=True)
    kinds = ["none", *fault.KINDS] if arguments.fault == "all" else [arguments.fault]
    for kind in kinds:
        for seed, plan in plans_of(kind, arguments.count, arguments.seed, arguments.controls):
            path = os.path.join(arguments.out, f"{kind}-{seed}.toml")
            if arguments.drivers:
                drivers.add(plan, seed)
            boards.add(plan, seed)
            with open(path, "w", encoding="utf-8", newline="\n") as file:
                file.write(render(plan))
            works, stubs = unfed(plan)
            line = {
                "file": path, "fault": None if kind == "none" else kind, "closed": closed(plan), "parts": plan.parts,
                "controls": plan.controls(), "unfed": works, "unfed_stubs": stubs,
            }
            print(json.dumps(line, ensure_ascii=False), flush=True)


if __name__ == "__main__":
    main()

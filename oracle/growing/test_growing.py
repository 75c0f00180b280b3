"""Checks of the generator itself: python3 test_growing.py"""

import os
import subprocess
import sys
import tomllib
import unittest

import boards
import drivers
import fault
from circuit import Circuit
from grow_plans import plans_of
from model import Random
from plans import closed, grown
from text import render

HERE = os.path.dirname(os.path.abspath(__file__))
MANY = 400

# Each must come up somewhere in so many plans. What is noted in one breath with these is not listed again.
PARTS = [
    "stub yard", "stub yard, lined", "stub yard, always", "storage spur", "double-ended yard without storage",
    "double-ended yard, both ends agree", "double-ended yard, either end", "double-ended yard, lined",
    "double-ended yard, always", "contact trees, stub", "contact trees, split", "contact trees, chain",
    "contact trees, either", "oval with a passing siding", "oval with a spur", "plain ring", "figure eight, live",
    "figure eight, insulated", "dog-bone", "balloon loop", "triangle with a section in a leg",
    "triangle with a tail that turns", "double junction", "double line", "double oval",
    "crossing that follows a motor by routes", "crossing that follows a motor", "crossing that follows a relay",
    "crossing with routes", "crossing, live", "crossing, insulated", "crossing of one phase",
    "crossing of opposite phases", "crossover, one motor", "crossover, two motors", "single slip, live",
    "single slip, insulated", "double slip, live", "double slip, insulated", "three-way, live", "three-way, insulated",
    "toggle switches a siding", "toggle gives a siding to a district", "toggle feeds a section",
    "relay feeds a frog", "relay feeds a section", "relay follows a toggle", "relay in a contact tree",
    "relay over a long thin wire", "feed that hangs on two controls", "contact beside a feeder",
    "reversing section, contacts", "reversing section, following", "reversing section, sensing", "sub-breaker",
    "sub-breaker that opens A", "sub-breaker that opens B", "second booster", "branch bus", "district boundary",
    "insulated-bonded", "insulated-routed", "metal-tip", "live-bonded", "live-assisted", "live-routed", "live-unfed",
    "hand left", "hand right", "hand wye", "two turnouts on one motor", "fed by its turnout", "track joined to track",
    "feet and inches", "stock lengths", "joint said by a table", "joints one by one", "storage, by hand", "closed",
]


class Growing(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.plans = [grown(seed) for seed in range(1, MANY + 1)]
        cls.texts = [render(plan) for plan in cls.plans]
        cls.read = [tomllib.loads(text) for text in cls.texts]

    def test_boards_part_right_plans(self):
        parted = [grown(seed) for seed in range(1, 41)]
        for seed, plan in enumerate(parted, 1):
            boards.add(plan, seed)
        parted = [plan for plan in parted if plan.boards]
        self.assertGreater(len(parted), 10)
        for plan in parted:
            read = tomllib.loads(render(plan))
            names = {t["name"] for kind in ("track", "bus") for t in read[kind]}
            held = [thing for board in read["board"] for thing in board["holds"]]
            self.assertEqual(len(held), len(set(held)))
            self.assertLessEqual(set(held), names)
            self.assertFalse(boards.soldered_over_an_edge(plan, plan.boards))

    def test_random_numbers_are_those_of_the_method(self):
        # Values of splitmix64 from state 0, as published with the method.
        random = Random()
        self.assertEqual([random.next() for _ in range(3)], [0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4, 0x06C45D188009454F])

    def test_a_seed_gives_the_same_plan_whatever_the_order_of_hashes(self):
        words = "from plans import grown; from text import render\nimport fault\nfor s in range(1, 9):\n"
        words += "    p = grown(s); print(render(p))\n    for k in fault.KINDS:\n"
        words += "        q = fault.planted(p, k, s); print(k, q and render(q))\n"
        said = []
        for hashes in ("0", "1", "77"):
            environment = {**os.environ, "PYTHONHASHSEED": hashes}
            run = subprocess.run([sys.executable, "-c", words], cwd=HERE, env=environment, capture_output=True, text=True)
            self.assertEqual(run.returncode, 0, run.stderr)
            said.append(run.stdout)
        self.assertEqual(said[0], said[1])
        self.assertEqual(said[0], said[2])
        self.assertIn(self.texts[0], said[0])

    def test_seeds_give_different_plans(self):
        self.assertEqual(len(set(self.texts)), MANY)

    def test_a_third_is_closed(self):
        share = sum(map(closed, self.plans)) / MANY
        self.assertTrue(0.25 < share < 0.45, share)

    def test_every_part_occurs(self):
        seen = {part for plan in self.plans for part in plan.parts}
        self.assertEqual([part for part in PARTS if part not in seen], [])

    def test_sizes(self):
        for plan, read in zip(self.plans, self.read):
            self.assertTrue(3 <= len(read["track"]) <= 12)
            self.assertTrue(1 <= plan.controls() <= 9)
            self.assertEqual(plan.controls(), len(read.get("motor", [])) + len(read.get("toggle", [])))
        few = sum(plan.controls() <= 7 for plan in self.plans)
        self.assertTrue(few / MANY > 0.95)

    def test_fewest_controls_can_be_asked_for(self):
        for seed in range(1, 40):
            self.assertLessEqual(grown(seed, 2).controls(), 2)

    def test_places_keep_their_distance(self):
        for plan in self.plans:
            for t, track in enumerate(plan.tracks):
                wires = [f.at for f in track.feeders] + [at for u, _, at, _ in plan.taps if u == t]
                joints = [g.at for g in track.gaps] + [at for at, _ in track.slides + track.joints]
                if track.stock:
                    cuts = range(track.stock, track.length, track.stock)
                    joints += [track.length - at if track.flipped else at for at in cuts]
                places = sorted(set(wires + joints))
                for one, other in zip(places, places[1:]):
                    self.assertGreaterEqual((other - one) * plan.unit, 0.02, (track.name, one, other))
                self.assertEqual(set(wires) & set(joints), set())

    def test_no_rail_is_shorted_or_leads_round_a_breaker_for_good(self):
        for plan in self.plans:
            circuit = Circuit(plan)
            self.assertFalse(circuit.shorted() or circuit.joined())

    def test_every_fault_can_be_planted_and_changes_the_plan(self):
        for kind in fault.KINDS:
            for seed, plan in plans_of(kind, 10, 1, 9):
                text = render(plan)
                tomllib.loads(text)
                self.assertNotEqual(text, render(grown(seed)), kind)

    def test_a_fault_changes_few_lines(self):
        for kind in fault.KINDS:
            for seed, plan in plans_of(kind, 10, 500, 9):
                before, after = render(grown(seed)).splitlines(), render(plan).splitlines()
                changed = set(before) ^ set(after)
                self.assertLessEqual(len(changed), 12, (kind, seed))

    def test_drivers_leave_the_plan_as_it_is_and_throw_every_motor(self):
        kinds = set()
        for seed in range(1, 41):
            plain = tomllib.loads(self.texts[seed - 1])
            read = tomllib.loads(render(drivers.add(grown(seed), seed)))
            kinds |= {driver["kind"] for driver in read.get("driver", [])}
            motors = [motor.pop("driver") for motor in read.get("motor", [])]
            self.assertEqual(len(set(motors)), len(motors), seed)
            for motor in read.get("motor", []):
                for key in ("kind", "reversed", "lead_length"):
                    motor.pop(key, None)
            for kind in ("track", "turnout", "motor", "relay", "storage"):
                self.assertEqual(read.get(kind), plain.get(kind), (seed, kind))
            self.assertEqual(read["bus"][: len(plain["bus"])], plain["bus"], seed)
        self.assertEqual(kinds, {kind for kind, *_ in drivers.KINDS})


if __name__ == "__main__":
    unittest.main()

"""Checks of this reading: python3 test_reading.py

Method: plans whose answers can be worked out by hand or are told by the collection of small plans, written as text
here; each clause of definitions.md (test_trains.py, test_storage.py, test_circuit.py); the state tables of trackwork.md
(test_works.py); and the loop resistances once more, with nodes inserted into the whole network, source and all.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import math
import random

import numpy as np

import quantities as q
import test_circuit
import test_drivers
import test_storage
import test_trains
import test_works
from controls import holds
from judge import Judge, merged
from plan import Plan
from sample import HEAD, MAIN, clean, judge, near, track, tracks, turnout


def test_quantities():
    near(q.length("10 ft 6 in"), 3.2004)
    near(q.length("3 1/4 in"), 0.08255)
    near(q.length("1/2 in"), 0.0127)
    near(q.length("914 mm"), 0.914)
    near(q.ohms("0.12 Ω"), 0.12)
    near(q.ohms_per_metre("80 mΩ/m"), 0.08)
    near(q.amps("250 mA"), 0.25)
    near(q.celsius("31 °C"), 31)
    near(q.celsius("91.4 °F"), 33)
    near(q.celsius("-4.5 C"), -4.5)
    near(q.wire("2.5 mm2")[0], 0.00741)
    # Solid wire, ohms for 1000 ft at 20 °C, from a published wire table.
    for gauge, ohms in ((10, 0.9989), (14, 2.525), (18, 6.385), (22, 16.14), (30, 103.2)):
        near(q.wire(f"{gauge} AWG")[1] * 304.8 / ohms, 1, 0.01)
    near(q.lead(6, 0.009), 3.256 * 0.0254, 1e-9)
    near(q.frog_number({"angle": "9.5°"}), 0.5 / math.tan(math.radians(4.75)), 1e-9)
    near(0.5 / q.frog_number({"one_in": 7.5}), math.tan(math.radians(7.5946) / 2), 1e-6)


def test_one_track():
    """Source, bus and feeders, then one metre of two rails to either end."""
    verdict = judge(HEAD, tracks(track("t", "buffer", "beyond")))
    clean(verdict, settings=1)
    for level, (source, bus, feeder, rail, short) in enumerate(
        ((0.03, 0.00741, 0.036, 0.057, 0.05), (0.1, 0.00798, 0.039, 0.08, 0.2), (0.3, 0.00798, 0.039, 0.146, 1))
    ):
        loop = source + 2 * (0.001 + 4 * bus + 0.003 + 0.3 * feeder + rail)
        near(verdict["tracks"]["t"]["volts"][level], 15 - 0.45 * loop)
        near(verdict["tracks"]["t"]["fault_amps"][level], 15 / (loop + short))


def test_hottest_air():
    """Copper of a warm room resists more when aged; that of a cool one is as in the tables. Rail stays as it is."""
    for air, more in (("43 °C", 1.09039), ("109.4 °F", 1.09039), ("20 °C", 1), ("5 °C", 1)):
        room = f'room = {{ hottest = {{ temperature = "{air}", humidity = "40 %" }} }}'
        verdict = judge(HEAD, room, tracks(track("t", "buffer", "beyond")))
        for level, loop in ((0, 0.03 + 2 * (0.004 + 4 * 0.00741 + 0.3 * 0.036 + 0.057)),
                            (2, 0.3 + 2 * (0.004 + more * (4 * 0.00798 + 0.3 * 0.039) + 0.146))):
            near(verdict["tracks"]["t"]["volts"][level], 15 - 0.45 * loop)


def test_ring():
    """On a ring of 4 m with one feeder the worst place lies half way round: a quarter of the ring's resistance."""
    ring = track("ring", "ring.to", "ring.from", "4 m", 'rail_resistance = "0.1 Ω/m", ' + MAIN + ', feeders = ["1.3 m"]')
    loop = 0.1 + 2 * (0.001 + 4 * 0.00798 + 0.003 + 0.3 * 0.039 + 0.401 / 4)
    near(judge(HEAD, tracks(ring))["tracks"]["ring"]["volts"][1], 15 - 0.45 * loop)


def test_hand_of_ends():
    """Two tracks that face each other exchange left and right."""
    facing = track("west", "beyond", "east.to"), track("east", "beyond", "west.to", feeds=None)
    verdict = judge(HEAD, tracks(*facing))
    clean(verdict)
    assert "east" in verdict["tracks"]
    meant = track("west", "beyond", "east.to"), track("east", "beyond", "west.to", feeds=MAIN)
    clean(judge(HEAD, tracks(*meant)), wrong=[["east", "left"], ["east", "right"]])


def test_numbers_of_the_collection():
    """Volts and amperes that a circuit simulator gave."""
    shed = judge(
        HEAD, "turnout = [" + turnout("T3", more=", number = 6") + "]",
        'motor = [{ name = "M3", moves = "T3", contact = [{ common = "bus.A", diverging = "oval.left @ 0.5 m" }] }]',
        'relay = [{ name = "R1", follows = "M3", wire = "0.14 mm²", wire_length = "12 m", '
        'contact = [{ common = "bus.A", through = "oval.left @ 0.5 m" }] }]',
        tracks(track("oval", "T3.points", "T3.through", "6 m", MAIN + ', feeders = ["3 m"]', "left 0.1, left 1.5"),
               track("shed", "T3.diverging", "buffer", "1 m", 'left = "bus.B", right = "bus.A", feeders = ["0.5 m"]')))
    near(shed["tracks"]["oval"]["volts"][1], 13.34, 0.005)
    near(shed["tracks"]["oval"]["fault_amps"][1], 3.86, 0.005)
    off = judge(
        HEAD, "turnout = [" + turnout("T1") + "]",
        'motor = [{ name = "M1", moves = "T1", contact = [{ common = "bus.A", through = "line.left @ 1 m" }] }]',
        'relay = [{ name = "R1", follows = "M1", wire = "0.14 mm²", wire_length = "12 m", '
        'contact = [{ common = "bus.A", diverging = "line.left @ 1 m" }] }]',
        tracks(track("line", "beyond", "beyond", "3 m", MAIN + ', feeders = ["0.2 m", "2 m"]', "left 0.5, left 1.5"),
               track("lead", "beyond", "T1.points", "1 m", MAIN + ', feeders = ["0.5 m"]')))
    near(off["tracks"]["line"]["volts"][1], 13.38, 0.005)
    near(off["tracks"]["line"]["fault_amps"][1], 3.94, 0.005)


def test_dog_bone():
    """A short with T1 through only; some 14.8 V in the other settings."""
    def loop(n, phase, gaps):
        a, b = phase
        return (f'{{ name = "M{n}", moves = "T{n}", contact = [{{ common = "loop {n}.left @ 1 m", diverging = "bus.{a}", '
                f'through = "bus.{b}" }}, {{ common = "loop {n}.right @ 1 m", diverging = "bus.{b}", through = "bus.{a}" }}] }}',
                track(f"loop {n}", f"T{n}.diverging", f"T{n}.through", "3 m", None, gaps))

    (m1, l1), (m2, l2) = loop(1, "AB", "2.98"), loop(2, "BA", "0.02, 2.98")
    verdict = judge(HEAD, f"turnout = [{turnout('T1')}, {turnout('T2')}]", f"motor = [{m1}, {m2}]", tracks(
        l1, l2, track("line", "T1.points", "T2.points", "3 m", 'left = "bus.B", right = "bus.A", feeders = ["1 m"]')))
    clean(verdict, shorted_count=2, settings=4)
    assert all(s["T1"] == "through" for s in verdict["shorted"])
    near(verdict["tracks"]["line"]["volts"][1], 14.8, 0.05)


def ring_yard(first, second):
    """Two roads in a ring, each rail on the tree of one end; the roads' places on the east tree as given."""
    frog = '{ common = "%s.frog", through = "bus.A", diverging = "bus.B" }'
    tree = '{ common = "bus.%s", through = "%s @ 0.7 m", diverging = "%s @ 0.7 m" }'
    west = frog % "W" + ", " + tree % ("A", "road 1.left", "road 2.left")
    east = frog % "E" + ", " + tree % ("B", f"{first}.right", f"{second}.right")
    return judge(
        HEAD.replace('"OO"', '"N"').replace("15 V", "12 V"),
        f"turnout = [{turnout('W', wiring='live-bonded')}, {turnout('E', 'right', 'live-bonded')}]",
        f'motor = [{{ name = "MW", moves = "W", contact = [{west}] }}, {{ name = "ME", moves = "E", contact = [{east}] }}]',
        tracks(track("scene", "E.points", "W.points", "4 m", MAIN + ', feeders = ["2 m"]'),
               track("road 1", "W.through", "E.through", "1.5 m", None, "0.04, 1.46"),
               track("road 2", "W.diverging", "E.diverging", "1.5 m", None, "0.04, 1.46")),
        '[storage]\ntracks = ["road 1", "road 2"]\nlive = "both ends agree"')


def test_ring_yard():
    clean(ring_yard("road 1", "road 2"))
    both = [["road 1", "live"], ["road 2", "live"]]
    clean(ring_yard("road 2", "road 1"), storage=both, dead=["road 1", "road 2"])


def test_stretches_of_storage():
    """What lies before the gap stays live with the turnout away."""
    motor = '[{ name = "M1", moves = "T1", contact = [{ common = "bus.B", diverging = "spur.right @ 1.9 m" }] }]'
    spur = MAIN + ', feeders = [{ at = "1.5 m", rail = "left" }]'
    verdict = judge(
        HEAD, f"turnout = [{turnout('T1', 'right')}]", f"motor = {motor}",
        tracks(track("lead", "beyond", "T1.points"), track("on", "T1.through", "buffer"),
               track("spur", "T1.diverging", "buffer", "2 m", spur, "right 0.9")),
        '[storage]\ntracks = ["spur"]\nlive = "lined"')
    clean(verdict, storage=[["spur", "live"]])


def test_own_neck_decides():
    """A spur fed by contacts of trackwork further on is dead on a way that is set; fed by its own it is not."""
    def plan(motors):
        return judge(
            HEAD, f"turnout = [{turnout('T1')}, {turnout('T2', 'right')}, {turnout('T3', 'right')}]", f"motor = [{motors}]",
            tracks(track("platform", "T1.through", "T2.through"), track("siding", "T1.diverging", "T2.diverging"),
                   track("main", "T2.points", "T3.through", "3 m"), track("short", "T3.points", "T1.points", "1 m"),
                   track("spur", "buffer", "T3.diverging", "2 m", MAIN + ', feeders = [{ at = "1 m", rail = "right" }]',
                         "left 1.95")))

    contact = '{ name = "M%s", moves = "T%s", contact = [{ common = "bus.A", %s = "spur.left @ 1 m" }] }'
    clean(plan(contact % (3, 3, "diverging")), settings=8)
    clean(plan(contact % (1, 1, "diverging") + "," + contact % (2, 2, "through")), dead=["spur"])


def test_place_at_an_end_gap():
    """A place at a gap at the end of a track counts for that track only, on its own side of the gap."""
    far = 'left = "bus.A", right = "bus.B", feeder_wire = "0.14 mm²", feeder_length = "5 m", feeders = ["1 m"]'
    alone = judge(HEAD, tracks(track("a", "beyond", "beyond")))["tracks"]["a"]
    beside = judge(HEAD, tracks(track("a", "beyond", "b.from"), track("b", "a.to", "beyond", "2 m", far, "0")))["tracks"]
    assert beside["a"] == alone and beside["b"]["volts"][1] < alone["volts"][1] - 0.5


def test_numbers_where_wanted():
    """A storage track has numbers where its policy wants it live, in all settings in which a train can be there."""
    def plan(policy):
        spur = MAIN + ', feeders = [{ at = "1 m", rail = "right" }]'
        return judge(
            HEAD, f"turnout = [{turnout('T')}]",
            'motor = [{ name = "M", moves = "T", contact = [{ common = "bus.A", diverging = "spur.left @ 1 m" }] }]',
            'relay = [{ name = "R", follows = "M", wire = "0.14 mm²", wire_length = "3 m", '
            'contact = [{ common = "bus.A", through = "spur.left @ 1 m" }] }]',
            tracks(track("line", "beyond", "T.points"), track("on", "T.through", "beyond"),
                   track("spur", "T.diverging", "buffer", "2 m", spur, "left 0.1")),
            f'[storage]\ntracks = ["spur"]\nlive = "{policy}"' if policy else "")

    wanted, hand, none = plan("lined"), plan("by hand"), plan("")
    clean(wanted, storage=[["spur", "live"]])
    clean(hand)
    # The relay's thin wires count only where power is asked for while T stands against the spur.
    assert wanted["tracks"]["spur"]["volts"][1] > none["tracks"]["spur"]["volts"][1] + 0.3
    assert hand["tracks"] == none["tracks"]
    assert wanted["exact"] is True


def test_supplies():
    def plan(second, bus, gaps):
        return judge(HEAD.replace("}]\nbus", "}, " + second + "]\nbus").replace('"4 m" }]', '"4 m" }, ' + bus + "]"),
                     tracks(track("a", "beyond", "c.from", gaps=gaps),
                            track("c", "a.to", "beyond", feeds='left = "far.A", right = "far.B", feeders = ["1 m"]')))

    bus = '{ name = "far", supply = "%s", wire = "14 AWG", length = "2 m" }'
    breaker = '{ name = "s", behind = "booster" }'
    clean(plan(breaker, bus % "s", "2"))
    clean(plan(breaker, bus % "s", "left 2"), joined=True)
    clean(plan(breaker.replace(" }", ', opens = "A" }'), bus % "s", "left 2"))
    other = '{ name = "s", voltage = "14 V" }'
    two = plan(other, bus % "s", "2")
    clean(two)
    near(two["tracks"]["c"]["volts"][1], 13.854, 0.001)
    # Joined at one pole they do not disturb each other: the common rail is fed from both sides, which only helps.
    met = plan(other, bus % "s", "left 2")
    clean(met, meet=True)
    for name in "ac":
        assert met["tracks"][name]["volts"][1] >= two["tracks"][name]["volts"][1] - 1e-9
    # Joined at both they have no loop of their own, and no number.
    both = plan(other, bus % "s", "")
    clean(both, meet=True)
    assert both["tracks"] == {}


def loop_by_insertion(judge_, setting, piece, share, level):
    """The loop resistance at a place, with nodes inserted into all resistors of a setting and the source at rest."""
    circuit, size = judge_.circuit, judge_.circuit.net.size
    edges = [(a, b, ohms[level]) for a, b, ohms, guard in circuit.net.edges if guard is None or holds([guard], setting)]
    for root in circuit.source:
        edges.append((circuit.poles[root]["A"], circuit.poles[root]["B"], circuit.source[root][level]))
    for side in ("left", "right"):
        a, b, begin, end = piece.rail[side]
        at, ohms = begin + (end - begin) * share, piece.ohms[side][level]
        edges.remove(next(e for e in edges if e[:2] == (a, b) and abs(e[2] - ohms) < 1e-12))
        edges += [(a, size, ohms * at), (size, b, ohms * (1 - at))]
        size += 1
    group = merged(size, [e[:2] for e in edges])
    matrix = np.diag([1.0 if group[n] != group[size - 1] or n == size - 1 else 0.0 for n in range(size)])
    for a, b, ohms in edges:
        if group[a] == group[size - 1]:
            matrix[[a, b], [a, b]] += 1 / ohms
            matrix[[a, b], [b, a]] -= 1 / ohms
    current = np.zeros(size)
    current[size - 2] = 1
    # The right-hand place is held by one ohm to ground; one ampere goes in on the left and out through it.
    potential = np.linalg.solve(matrix, current)
    return potential[size - 2] - potential[size - 1]


def test_numbers_by_insertion():
    """No place has more than the number says, and the number is met somewhere."""
    text = HEAD + f"turnout = [{turnout('T', 'right', 'live-bonded')}]\n" + (
        'motor = [{ name = "M", moves = "T", contact = [{ common = "T.frog", through = "bus.B", diverging = "bus.A" }] }]\n'
    ) + tracks(track("lead", "T.points", "off.to", "3 m", 'left = "bus.B", right = "bus.A", stock = "0.9 m"'),
               track("on", "T.through", "beyond", "2 m", MAIN + ', feeders = ["0.7 m", "1.5 m"]', "right 0.1"),
               track("off", "T.diverging", "lead.to", "2 m", MAIN + ', feeders = ["1.1 m"]', "left 0.1, right 0.3"))
    judge_ = Judge(Plan(text))
    verdict, dice = judge_.verdict(), random.Random(1)
    assert verdict["shorted_count"] < 2
    for name, number in verdict["tracks"].items():
        found = [0.0] * 3
        for setting in judge_.controls.settings():
            part = judge_.trains.stand(setting).tracks.get(name)
            poles = judge_.connect(setting)[0]
            if part is None or any(p == 3 for p in poles):
                continue
            for i in judge_.by_track[name]:
                piece = judge_.pieces[i]
                ends = {poles[judge_.blob[piece.rail[s][0]]] for s in piece.rail}
                if ends == {1, 2} and judge_.inside(part, i):
                    for share in [1e-5, 1 - 1e-5, 0.5] + [dice.random() for _ in range(20)]:
                        for level in range(3):
                            loop = loop_by_insertion(judge_, setting, piece, share, level)
                            found[level] = max(found[level], loop)
        for level in range(3):
            loop = (15 - number["volts"][level]) / 0.45
            assert found[level] <= loop + 1e-6 and found[level] >= loop - 2e-3, (name, level, found, loop)


if __name__ == "__main__":
    parts = (test_works, test_trains, test_storage, test_circuit, test_drivers)
    named = [*globals().items(), *(item for part in parts for item in vars(part).items())]
    tests = [(name, test) for name, test in named if name.startswith("test_") and callable(test)]
    for name, test in tests:
        test()
        print("ok", name)
    print(f"{len(tests)} tests passed")

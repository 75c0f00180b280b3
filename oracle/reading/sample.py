"""Small plans as text for the tests, and what is expected of a verdict."""

from judge import Judge
from plan import Plan

HEAD = """
layout = { name = "t", scale = "OO", joint = "soldered" }
supply = [{ name = "booster", voltage = "15 V", trips = { at = "4 A" } }]
bus = [{ name = "bus", supply = "booster", wire = "2.5 mm²", length = "4 m" }]
"""
MAIN = 'left = "bus.A", right = "bus.B"'


def track(name, start, stop, length="2 m", feeds=MAIN + ', feeders = ["1 m"]', gaps=""):
    """A track as text; gaps as "left 0.1, right 0.1" or, in both rails, "0.1"."""
    cut = ", ".join(
        f'{{ at = "{g.split()[1]} m", rail = "{g.split()[0]}" }}' if " " in g else f'"{g} m"'
        for g in gaps.split(", ") if g
    )
    more = f", {feeds}" if feeds else ""
    return f'{{ name = "{name}", from = "{start}", to = "{stop}", length = "{length}"{more}, gaps = [{cut}] }},\n'


def tracks(*rows):
    return "track = [\n" + "".join(rows) + "]\n"


def turnout(name, hand="left", wiring="insulated-bonded", more=""):
    return f'{{ name = "{name}", hand = "{hand}", wiring = "{wiring}"{more} }}'


def judge(*parts):
    return Judge(Plan("\n".join(parts))).verdict()


def clean(verdict, **expected):
    """Whether nothing is found but what is expected."""
    plain = {"shorted_count": 0, "meet": False, "bridges": [], "bridged_works": [], "dead": [], "wrong": [],
             "joined": False, "storage": [], **expected}
    got = {key: verdict[key] for key in plain}
    assert got == plain, (got, plain)


def near(value, wanted, by=1e-6):
    assert abs(value - wanted) <= by, (value, wanted)

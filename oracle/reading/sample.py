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


def read(*parts):
    return Judge(Plan("\n".join(parts)))


def judge(*parts):
    return read(*parts).verdict()


def clean(verdict, **expected):
    """Whether nothing is found but what is expected."""
    plain = {"shorted_count": 0, "meet": False, "bridges": [], "bridged_works": [], "dead": [], "wrong": [],
             "joined": False, "storage": [], **expected}
    got = {key: verdict[key] for key in plain}
    assert got == plain, (got, plain)


def near(value, wanted, by=1e-6):
    assert abs(value - wanted) <= by, (value, wanted)


def setting(judge_, **positions):
    """A setting in which what is not named stands in its first position; blanks and dots in names are written as _."""
    words = {name: (control, said) for control, c in enumerate(judge_.controls.controls) for name, said in c.words.items()}
    at = [0] * len(judge_.controls.controls)
    for name, word in positions.items():
        control, said = next(v for k, v in words.items() if k.replace(" ", "_").replace(".", "_") == name)
        at[control] = said.index(word)
    return tuple(at)


def trains(judge_, **positions):
    """Where trains can be in a setting: {track: (where they wait at `from`, at `to`)}, and the names of routes."""
    stand = judge_.trains.stand(setting(judge_, **positions))
    tracks_ = {name: (part["from"], part["to"]) for name, part in stand.tracks.items()}
    return tracks_, {f"{work.name} {route.ends[0]}-{route.ends[1]}" for work, route, _ in stand.routes}


def wants(judge_, name, **positions):
    """What a storage track is to be in a setting: "live", "dead", or either."""
    live, dead = judge_.necks.wanted(name, setting(judge_, **positions))
    assert not (live and dead)
    return "live" if live else "dead" if dead else "either"


def necks(judge_, name):
    """The trackwork of each neck of a storage track, from the track outwards."""
    return [[piece.work.name for piece in neck] for neck in judge_.necks.of[name]]

"""What trackwork is, after docs/trackwork.md: its ends, its ways, its conductors and its frogs.

Rails are named as seen the trackwork's own way: from the points outwards, or eastwards.
"""

from model import LEFT, RIGHT


def positions(work):
    return ["left", "right"] if work.hand == "wye" else ["through", "diverging"]


def near(work):
    """The side that a turnout diverges to; of a wye turnout the right one."""
    return LEFT if work.hand == "left" else RIGHT


def ports(work):
    if work.kind == "turnout":
        return ["points", *positions(work)]
    if work.kind == "three_way":
        return ["points", "left", "middle", "right"]
    return ["west 1", "east 1", "west 2", "east 2"]


def parts(work):
    """What of it is moved each by itself; the word is empty where it moves as a whole."""
    return {"turnout": [""], "three_way": ["left", "right"], "slip": ["west", "east"], "crossing": []}[work.kind]


def leaves(port):
    """Whether somebody who goes the trackwork's own way leaves it by this end."""
    return port != "points" and not port.startswith("west")


def track_of(work, port):
    """Which of the two tracks of a crossing or slip an end belongs to."""
    return int(port[-1]) - 1 if work.kind in ("crossing", "slip") else 0


def orientation_leaves(work, port):
    """Whether the plan's orientation leaves the trackwork by this end."""
    return leaves(port) == work.lefts[track_of(work, port)]


def side_on_track(port, side, end):
    """The side of a track that a rail of an end runs on into, the track joining with its end 0 or 1."""
    return side if leaves(port) == (end == 0) else 1 - side


def routes(work):
    """The ways through: (port, port, [(part, position)])."""
    if work.kind == "turnout":
        return [("points", word, [("", k)]) for k, word in enumerate(positions(work))]
    if work.kind == "three_way":
        return [
            ("points", "left", [("left", 1)]),
            ("points", "middle", [("left", 0), ("right", 0)]),
            ("points", "right", [("left", 0), ("right", 1)]),
        ]
    if work.kind == "crossing":
        when = [[], []]
        if work.live:
            when = [[("follows", route_positions(work).index(route))] for route in (1, 2)]
        return [("west 1", "east 1", when[0]), ("west 2", "east 2", when[1])]
    found = [
        ("west 1", "east 1", [("west", 0), ("east", 0)]),
        ("west 2", "east 2", [("west", 1), ("east", 1)]),
        ("west 1", "east 2", [("west", 1), ("east", 0)]),
    ]
    if work.slip == "double":
        found.append(("west 2", "east 1", [("west", 0), ("east", 1)]))
    return found


def route_positions(work):
    """The route that each position of what a crossing follows sets."""
    return work.routes or [1, 2]


def conductors(work):
    """Rails that are one conductor for good: (kind, {(port, side)}, frog).

    The kind is "fixed", "frog" (one with a frog that changes its pole) or "blade" (fed by a blade's contact alone).
    """
    if work.kind == "turnout":
        return _turnout(work)
    if work.kind == "three_way":
        lefts, rights = [[(p, side) for p in ports(work)] for side in (LEFT, RIGHT)]
        if not work.live:
            return [("fixed", lefts, None), ("fixed", rights, None)]
        return [
            ("fixed", [("points", LEFT), ("left", LEFT)], None),
            ("fixed", [("points", RIGHT), ("right", RIGHT)], None),
            ("frog", [("left", RIGHT), ("middle", LEFT)], "left frog"),
            ("frog", [("right", LEFT), ("middle", RIGHT)], "right frog"),
            ("frog", [], "centre frog"),
        ]
    if not work.live:
        if work.kind == "slip":
            return [("fixed", [(p, side) for p in ports(work)], None) for side in (LEFT, RIGHT)]
        pairs = [("west 1", "east 1"), ("west 2", "east 2")]
        return [("fixed", [(w, side), (e, side)], None) for w, e in pairs for side in (LEFT, RIGHT)]
    if work.opposite:
        return [
            ("fixed", [("west 1", RIGHT), ("west 2", LEFT)], None),
            ("fixed", [("east 1", LEFT), ("east 2", RIGHT)], None),
            *[("fixed", [rail], None) for rail in (("west 1", LEFT), ("west 2", RIGHT), ("east 1", RIGHT), ("east 2", LEFT))],
            ("frog", [], "north frog"),
            ("frog", [], "south frog"),
        ]
    return [
        ("fixed", [("west 1", LEFT), ("east 2", LEFT)], None),
        ("fixed", [("west 2", RIGHT), ("east 1", RIGHT)], None),
        ("frog", [("west 1", RIGHT), ("west 2", LEFT)], "west frog"),
        ("frog", [("east 1", LEFT), ("east 2", RIGHT)], "east frog"),
    ]


def _turnout(work):
    through, diverging = positions(work)
    n, f = near(work), 1 - near(work)
    if work.wiring in ("insulated-bonded", "metal-tip"):
        found = [("fixed", [("points", side), (through, side), (diverging, side)], None) for side in (LEFT, RIGHT)]
        return found + ([("frog", [], "frog")] if work.wiring == "metal-tip" else [])
    found = [("fixed", [("points", f), (through, f)], None), ("fixed", [("points", n), (diverging, n)], None)]
    if work.wiring == "insulated-routed":
        return found + [("blade", [(through, n)], None), ("blade", [(diverging, f)], None)]
    return found + [("frog", [(through, n), (diverging, f)], "frog")]


def gapped(work):
    """The rails behind its frogs that must be parted from what is fed otherwise: (port, side)."""
    return [rail for kind, rails, _ in conductors(work) if kind == "frog" for rail in rails]


def wants_contacts(work):
    """Whether its frogs hang on contacts."""
    if work.kind == "turnout":
        return work.wiring in ("metal-tip", "live-assisted", "live-bonded") and not work.unfed
    return work.live


def frog_feeds(plan, work, centre_right=False):
    """What its frogs must be on: (frog, part that says so, [pole in its first position, in its second])."""
    def pole(side, track=0):
        return plan.pole(side) if work.lefts[track] else plan.pole(1 - side)

    if work.kind == "turnout":
        n = near(work)
        if work.turning:
            return [("frog", "", [work.turning[0] ^ n, work.turning[1] ^ (1 - n)])]
        return [("frog", "", [pole(n), pole(1 - n)])]
    if work.kind == "three_way":
        left, right = [pole(LEFT), pole(RIGHT)], [pole(RIGHT), pole(LEFT)]
        centre = ("centre frog", "right", right) if centre_right else ("centre frog", "left", left)
        return [("left frog", "left", left), ("right frog", "right", right), centre]
    if work.kind == "slip":
        return [("west frog", "east", [pole(RIGHT), pole(LEFT)]), ("east frog", "west", [pole(LEFT), pole(RIGHT)])]
    if work.opposite:
        by_route = {"north frog": [pole(LEFT, 0), pole(LEFT, 1)], "south frog": [pole(RIGHT, 0), pole(RIGHT, 1)]}
    else:
        by_route = {"west frog": [pole(RIGHT, 0), pole(LEFT, 1)], "east frog": [pole(LEFT, 0), pole(RIGHT, 1)]}
    order = [route - 1 for route in route_positions(work)]
    return [(frog, "follows", [poles[route] for route in order]) for frog, poles in by_route.items()]

"""Trackwork as conductors: what every piece is made of, which rails its routes run over.

Method: each kind has one builder that lays its rails into the net, joins them, and lists ends and routes. A route's
rail is a list of spans (from, to, node), the conductor under a wheel along it; where two spans meet at a gap the two
nodes at the gap are listed too. All is drawn for a right-hand turnout; the left-hand one exchanges left and right.
"""

import math

import quantities as q
from controls import FIRST, SECOND


class Route:
    """A way through trackwork. `ends[1]` is nothing where the way ends inside (the deck of a turntable)."""

    def __init__(self, ends, guards, left, right, gaps=()):
        self.ends, self.guards, self.left, self.right, self.gaps = ends, tuple(guards), left, right, list(gaps)


class Work:
    """A piece of trackwork: its ends as (left, right) nodes seen looking into it, its routes, its frogs."""

    def __init__(self, name):
        self.name = name
        self.ports, self.routes, self.frogs = {}, [], {}

    def port(self, end, left, right):
        self.ports[end] = {"left": left, "right": right}

    def routes_from(self, end):
        return [r for r in self.routes if end in r.ends]

    def reached(self, end):
        """The ends that some route leads to from `end`."""
        return list(dict.fromkeys(r.ends[1 - r.ends.index(end)] for r in self.routes_from(end)))

    def mirror(self):
        """The left-hand piece of a right-hand one."""
        for end, sides in self.ports.items():
            self.ports[end] = {"left": sides["right"], "right": sides["left"]}
        for route in self.routes:
            route.left, route.right = route.right, route.left


class Builder:
    """Lays one piece of trackwork into a net."""

    def __init__(self, plan, net, controls):
        self.plan, self.net, self.controls = plan, net, controls

    def sizes(self, table):
        """Lead and tail; where not given, from the frog number and the gauge."""
        frog = q.frog_number(table)
        lead = q.length(table["lead"]) if "lead" in table else q.lead(frog, self.plan.gauge)
        tail = q.length(table["tail"]) if "tail" in table else frog * self.plan.gauge
        return lead, tail

    def diamond_sizes(self, table):
        """From an acute frog to an obtuse crossing, and outwards from an acute frog."""
        size = q.frog_number(table) * self.plan.gauge
        return size, size

    def rail(self, start, metres):
        """A new rail from node `start`; its other end."""
        end = self.net.node()
        self.net.join(start, end, tuple(r * metres for r in self.ohms))
        return end

    def bond(self, a, b):
        self.net.join(a, b, q.BOND)

    def build(self, name):
        kind, table = self.plan.works[name]
        self.ohms = self.plan.rail(table)
        work = Work(name)
        getattr(self, kind)(work, table)
        return work

    def turnout(self, work, table):
        """The seven wirings of a simple turnout; see the table in trackwork.md."""
        lead, tail = self.sizes(table)
        far = lead + tail
        node, rail = self.net.node, self.rail
        wiring, name = table["wiring"], work.name
        control = self.controls.of[name]
        through, diverging = (control, FIRST), (control, SECOND)
        stock_left, stock_right, closure_left, closure_right = node(), node(), node(), node()
        stock_left_end, stock_right_end = rail(stock_left, far), rail(stock_right, far)
        frog_left, frog_right = rail(closure_left, lead), rail(closure_right, lead)
        if wiring in ("insulated-routed", "live-routed", "live-assisted"):
            self.net.join(stock_left, closure_left, q.BLADE, diverging)
            self.net.join(stock_right, closure_right, q.BLADE, through)
        else:
            self.bond(stock_left, closure_left)
            self.bond(stock_right, closure_right)
        gaps_left, gaps_right = [], []
        live = wiring.startswith("live")
        if live:
            frog = node()
            behind_left = behind_right = frog
            spans_left, spans_right = [(lead, far, frog)], [(lead, far, frog)]
            if wiring in ("live-routed", "live-assisted"):
                self.bond(frog_left, frog)
                self.bond(frog_right, frog)
            else:
                gaps_left, gaps_right = [(frog_left, frog)], [(frog_right, frog)]
            long = tail
        else:
            behind_left, behind_right = node(), node()
            self.bond(frog_left, behind_left)
            self.bond(frog_right, behind_right)
            spans_left, spans_right = [(lead, far, behind_left)], [(lead, far, behind_right)]
            long, frog = tail, None
            if wiring == "metal-tip":
                tip = 0.3 * min(lead, tail)
                frog, long = node(), tail - tip
                spans_left = [(lead, lead + tip, frog), (lead + tip, far, behind_left)]
                spans_right = [(lead, lead + tip, frog), (lead + tip, far, behind_right)]
                gaps_left = [(frog_left, frog), (frog, behind_left)]
                gaps_right = [(frog_right, frog), (frog, behind_right)]
        if frog is not None:
            work.frogs["frog"] = frog
        diverging_left, through_right = rail(behind_left, long), rail(behind_right, long)
        straight, branch = ("left", "right") if table["hand"] == "wye" else ("through", "diverging")
        work.port("points", stock_left, stock_right)
        work.port(straight, through_right, stock_left_end)
        work.port(branch, stock_right_end, diverging_left)
        work.routes = [
            Route(("points", straight), [through], [(0, far, stock_left)],
                  [(0, lead, closure_right), *spans_right], gaps_right),
            Route(("points", branch), [diverging], [(0, lead, closure_left), *spans_left],
                  [(0, far, stock_right)], gaps_left),
        ]
        if table["hand"] == "left":
            work.mirror()

    def three_way(self, work, table):
        """A three-way turnout; rails behind it, left to right: stock, inner of the left; two of the middle; ..."""
        lead, tail = self.sizes(table)
        far, near = lead + tail, lead / math.sqrt(2)
        node, rail, name = self.net.node, self.rail, work.name
        left_way, right_way = self.controls.of[name + ".left"], self.controls.of[name + ".right"]
        stock_left, stock_right = node(), node()
        stock_left_end, stock_right_end = rail(stock_left, far), rail(stock_right, far)
        inner = {}
        for key, stock in (("middle left", stock_left), ("middle right", stock_right),
                           ("right left", stock_left), ("left right", stock_right)):
            inner[key] = node()
            self.bond(stock, inner[key])
        live = table["frogs"] == "live"
        if live:
            centre, left_frog, right_frog = node(), node(), node()
            work.frogs = {"centre frog": centre, "left frog": left_frog, "right frog": right_frog}
            before = {"middle left": rail(inner["middle left"], lead), "middle right": rail(inner["middle right"], lead),
                      "right left": rail(inner["right left"], near), "left right": rail(inner["left right"], near)}
            to_left, to_right = rail(centre, lead - near), rail(centre, lead - near)
            ends = {"left right": rail(left_frog, tail), "middle left": rail(left_frog, tail),
                    "middle right": rail(right_frog, tail), "right left": rail(right_frog, tail)}

            def middle(key, frog):
                return [(0, lead, inner[key]), (lead, far, frog)], [(before[key], frog)]

            def side(key, after, frog):
                spans = [(0, near, inner[key]), (near, lead, centre), (lead, far, frog)]
                return spans, [(before[key], centre), (after, frog)]

            lines = {"middle left": middle("middle left", left_frog), "middle right": middle("middle right", right_frog),
                     "left right": side("left right", to_left, left_frog),
                     "right left": side("right left", to_right, right_frog)}
        else:
            ends = {key: rail(start, far) for key, start in inner.items()}
            lines = {key: ([(0, far, start)], []) for key, start in inner.items()}
        work.port("points", stock_left, stock_right)
        work.port("left", ends["left right"], stock_left_end)
        work.port("middle", ends["middle right"], ends["middle left"])
        work.port("right", stock_right_end, ends["right left"])
        work.routes = [
            Route(("points", "left"), [(left_way, SECOND), (right_way, FIRST)],
                  [(0, far, stock_left)], *lines["left right"]),
            Route(("points", "middle"), [(left_way, FIRST), (right_way, FIRST)], lines["middle left"][0],
                  lines["middle right"][0], lines["middle left"][1] + lines["middle right"][1]),
            Route(("points", "right"), [(left_way, FIRST), (right_way, SECOND)], lines["right left"][0],
                  [(0, far, stock_right)], lines["right left"][1]),
        ]

    def diamond(self, work, live, same, size):
        """The four rails of a crossing: nodes by name, spans and gaps of each rail, from west to east.

        Track 1 runs from the north-west to the south-east. Its left rail meets the north crossing and then the east
        frog, its right rail the west frog and then the south crossing; track 2 is its mirror image.
        """
        node, rail, net = self.net.node, self.rail, self.net
        span = tail = size
        whole = 2 * (span + tail)
        crossings = {"left 1": ("north", "east"), "right 1": ("west", "south"),
                     "left 2": ("west", "north"), "right 2": ("south", "east")}
        where = {"west": tail, "north": tail + span, "south": tail + span, "east": tail + 2 * span}
        frogs = {key: node() for key in where} if live else {}
        spans, gaps, inner, starts, ends = {}, {}, {}, {}, {}
        for key, met in crossings.items():
            # Cuts lie on the inner side of the acute frogs, or a little to either side of the obtuse crossings.
            marks = []
            for crossing in met if live else ():
                x, frog = where[crossing], frogs[crossing]
                if same and crossing == "west":
                    marks += [(x, frog), (x, None)]
                elif same and crossing == "east":
                    marks += [(x, None), (x, frog)]
                elif not same and crossing in ("north", "south"):
                    marks += [(x - 0.15 * span, None), (x, frog), (x + 0.15 * span, None)]
                else:
                    marks += [(x, frog)]
            if not live:
                marks = [(where[crossing], "pass") for crossing in met if crossing in ("west", "east")]
            starts[key] = at = node()
            x, begun, spans[key], gaps[key] = 0.0, 0.0, [], []
            for count, (place, mark) in enumerate(marks):
                if mark == "pass":
                    at = inner[key] = rail(at, place - x)
                elif mark is None:
                    # Right at an acute frog one side of the gap is the frog itself.
                    following = marks[count + 1] if count + 1 < len(marks) else (None, None)
                    after = following[1] if following[0] == place else node()
                    before = rail(at, place - x) if place > x else at
                    spans[key].append((begun, place, before))
                    gaps[key].append((before, after))
                    at, begun = after, place
                    inner[key] = after if place == tail else before
                elif mark != at:
                    net.join(at, mark, tuple(r * (place - x) for r in self.ohms))
                    at = mark
                x = place
            ends[key] = rail(at, whole - x)
            spans[key].append((begun, whole, ends[key]))
        return frogs, spans, gaps, inner, starts, ends

    def diamond_ports(self, work, starts, ends):
        for n in "12":
            work.port("west " + n, starts["left " + n], starts["right " + n])
            work.port("east " + n, ends["right " + n], ends["left " + n])

    def crossing(self, work, table):
        """Two tracks on the level. Looking in from the east, left and right are exchanged."""
        live, same = table["frogs"] == "live", table.get("phases", "same") == "same"
        size = q.frog_number(table) * self.plan.gauge
        frogs, spans, gaps, _, starts, ends = self.diamond(work, live, same, size)
        changing = ("west", "east") if same else ("north", "south")
        work.frogs = {key + " frog": node for key, node in frogs.items() if key in changing}
        self.diamond_ports(work, starts, ends)
        legs = table.get("routes", {})
        for n in (1, 2):
            guards = []
            if "follows" in table:
                guards = [self.leg_guard(table["follows"], legs, n)]
            work.routes.append(Route((f"west {n}", f"east {n}"), guards, spans[f"left {n}"], spans[f"right {n}"],
                                     gaps[f"left {n}"] + gaps[f"right {n}"]))

    def leg_guard(self, name, legs, wanted):
        """The positions of what is followed that pick leg `wanted`: the first 1, the second 2, or as `legs` says."""
        picks = [1, 2]
        for word, leg in legs.items():
            second = word in ("diverging", "right", "on")
            picks[second] = leg
            if len(legs) == 1:
                picks[not second] = 3 - leg
        sets = [self.controls.literal(name, p) for p in (0, 1) if picks[p] == wanted]
        control = self.controls.literal(name, 0)[0]
        return control, frozenset().union(*(s for _, s in sets))

    def slip(self, work, table):
        """A crossing of one phase with one or two curves: the motor at one end picks the leg at the other."""
        live = table["frogs"] == "live"
        size = q.frog_number(table) * self.plan.gauge
        whole = 4 * size
        frogs, spans, gaps, inner, starts, ends = self.diamond(work, live, True, size)
        work.frogs = {key + " frog": frogs[key] for key in ("west", "east") if frogs}
        self.diamond_ports(work, starts, ends)
        legs = table.get("routes", {})

        def guards(west_leg, east_leg):
            return [self.leg_guard(work.name + ".west", legs.get("west", {}), east_leg),
                    self.leg_guard(work.name + ".east", legs.get("east", {}), west_leg)]

        for n in (1, 2):
            work.routes.append(Route((f"west {n}", f"east {n}"), guards(n, n), spans[f"left {n}"], spans[f"right {n}"],
                                     gaps[f"left {n}"] + gaps[f"right {n}"]))
        for west, east in ((1, 2), (2, 1))[: 2 if table["kind"] == "double" else 1]:
            # The outer rail passes the obtuse crossing by; the inner one joins the inner sides of the acute frogs.
            outer, within = ("left", "right") if west == 1 else ("right", "left")
            first, second = f"{outer} {west}", f"{outer} {east}"
            self.net.join(starts[first], ends[second], tuple(r * whole for r in self.ohms))
            first_in, second_in = f"{within} {west}", f"{within} {east}"
            if live:
                self.net.join(inner[first_in], inner[second_in], tuple(r * 2 * size for r in self.ohms))
            else:
                self.net.join(starts[first_in], ends[second_in], tuple(r * whole for r in self.ohms))
            outer_spans = [(0, whole, starts[first])]
            if live:
                inner_spans = [(0, size, frogs["west"]), (size, 3 * size, inner[first_in]), (3 * size, whole, frogs["east"])]
                crossed = [(frogs["west"], inner[first_in]), (inner[second_in], frogs["east"])]
            else:
                inner_spans, crossed = [(0, whole, inner[first_in])], []
            lines = (outer_spans, inner_spans) if outer == "left" else (inner_spans, outer_spans)
            work.routes.append(Route((f"west {west}", f"east {east}"), guards(west, east), *lines, crossed))

    def turntable(self, work, table):
        """A deck before one stall at a time, either way round if it has a feed of its own."""
        half = q.length(table["length"]) / 2
        middle = {"left": self.net.node(), "right": self.net.node()}
        near = {side: self.rail(middle[side], half) for side in middle}
        far = {side: self.rail(middle[side], half) for side in middle}
        work.deck = middle
        apart = table.get("joint") == "gap"
        for word in self.controls.controls[self.controls.of[work.name]].words[work.name]:
            place = word.removesuffix(" turned")
            turned = word != place
            stall, _, beyond = place.partition(" to ")
            beyond = f"stall {beyond}" if beyond else None
            for port in filter(None, (stall, beyond)):
                if port not in work.ports:
                    work.port(port, self.net.node(), self.net.node())
            guard = self.controls.at(work.name, [word])
            # Turned, the far end of the deck stands before the stall and its rails have changed sides.
            deck = {"left": far["right"], "right": far["left"]} if turned else near
            gaps = []
            # Over there the rails of the other end of the deck lie on the other side, seen looking in.
            away = {"left": near["right"], "right": near["left"]} if turned else far
            over = {"left": away["right"], "right": away["left"]}
            for port, rails in ((stall, deck), (beyond, over)):
                for side in ("left", "right") if port else ():
                    if apart:
                        gaps.append((work.ports[port][side], rails[side]))
                    else:
                        self.net.join(work.ports[port][side], rails[side], q.DECK, guard)
            work.routes.append(Route((stall, beyond), [guard], [(0, 2 * half, deck["left"])],
                                     [(0, 2 * half, deck["right"])], gaps))

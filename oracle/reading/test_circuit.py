"""Checks of how a plan becomes a circuit, value by value against sums made by hand; they run with test_reading.py."""

from sample import HEAD, MAIN, judge, near, track, tracks, turnout

# New wire and rail, in ohms for each metre.
BUS, FEEDER, FINE, RAIL = 0.00741, 0.036, 17.241 / 0.14 / 1000, 0.057
SOURCE, START, TAP, CONTACT, JOINT, BLADE = 0.03, 0.001, 0.003, 0.02, 0.001, 0.02
FED = SOURCE + 2 * (START + 4 * BUS + TAP + 0.3 * FEEDER)


def alone(feeds=MAIN, head=HEAD, more="", feeders=', feeders = ["1 m"]'):
    """The loop resistance of 2 m of track with one feeder in the middle of either rail."""
    return loop(judge(head, more, tracks(track("t", "buffer", "beyond", feeds=feeds + feeders))), "t")


def loop(verdict, name, volts=15.0):
    """The loop resistance that the volts of a track tell, with everything new."""
    return (volts - verdict["tracks"][name]["volts"][0]) / 0.45


def test_taps():
    """A tap stands only where a wire ends on a bus: not on a supply, a reverser's output or a rail."""
    near(alone(), FED + 2 * RAIL)
    near(alone('left = "booster.A", right = "booster.B"'), SOURCE + 2 * (0.3 * FEEDER + RAIL))
    reverser = ('toggle = [{ name = "S" }]\n'
                'reverser = [{ name = "R", kind = "following", follows = "S", from = "bus @ 1 m" }]')
    near(alone('left = "R.A", right = "R.B"', more=reverser),
         SOURCE + 2 * (START + BUS + TAP + CONTACT + 0.3 * FEEDER + RAIL))
    branch = '"4 m" }, { name = "more", from = "bus @ 3 m", wire = "2.5 mm²", length = "2 m" }]'
    near(alone('left = "more.A", right = "more.B"', HEAD.replace('"4 m" }]', branch)),
         SOURCE + 2 * (START + 5 * BUS + 2 * TAP + 0.3 * FEEDER + RAIL))


def test_plugs():
    """A contact of a plug, 3 milliohms new, in each wire over the edge of a board, and for the tap with which a branch starts."""
    def board(plug, holds='"t"'):
        return f'board = [{{ name = "far, left", holds = [{holds}]{plug} }}]'

    near(alone(more=board("")), FED + 2 * RAIL)
    near(alone(more=board(", plug = true")), FED + 2 * RAIL + 2 * 0.003)
    near(alone(more=board(', plug = { resistance = "20 mΩ", rating = "9 A" }')), FED + 2 * RAIL + 2 * 0.020)
    near(alone(more=board(", plug = true", '"t", "bus"')), FED + 2 * RAIL)
    own = ', feeders = [{ at = "1 m", plug = { resistance = "7 mΩ" } }]'
    near(alone(more=board(", plug = true"), feeders=own), FED + 2 * RAIL + 2 * 0.007)
    near(alone(feeders=own), FED + 2 * RAIL + 2 * 0.007)
    branch = '"4 m" }, { name = "more", from = "bus @ 3 m", plug = { resistance = "11 mΩ" }, wire = "2.5 mm²", length = "2 m" }]'
    near(alone('left = "more.A", right = "more.B"', HEAD.replace('"4 m" }]', branch), more=board("", '"t", "more"')),
         SOURCE + 2 * (START + 5 * BUS + TAP + 0.011 + 0.3 * FEEDER + RAIL))


def test_breakers():
    """A breaker's resistance is shared by the poles it opens; the other pole is joined through by 1 milliohm."""
    def plan(more):
        breaker = HEAD.replace("}]\nbus", '}, { name = "s", behind = "booster"' + more + " }]\nbus")
        return alone(head=breaker.replace('supply = "booster"', 'supply = "s"'))

    near(plan(""), FED + 2 * RAIL + 0.010)
    near(plan(', opens = "A"'), FED + 2 * RAIL + 0.010 + 0.001)
    near(plan(', opens = "B", source = "20 mΩ"'), FED + 2 * RAIL + 0.020 + 0.001)
    near(plan(', source = "20 mΩ"'), FED + 2 * RAIL + 0.020)


def switched(layout="", toggle="", to="bus.A", kind="toggle", more="", lines=""):
    """The way to the left rail over a contact, its two wires and its tap; without the feeder and tap of the right rail."""
    word = {"toggle": "on", "motor": "diverging", "relay": "diverging"}[kind]
    contact = f'contact = [{{ common = "{to}", {word} = "t.left @ 1 m" }}]'
    rows = track("t", "buffer", "beyond", feeds=MAIN + ', feeders = [{ at = "1 m", rail = "right" }]')
    verdict = judge(HEAD.replace('joint = "soldered"', 'joint = "soldered"' + layout), more,
                    f'{kind} = [{{ name = "S", {contact}{toggle} }}]', tracks(rows, lines))
    feeder = 0.3 * FEEDER if not layout else 0.5 * FINE
    return loop(verdict, "t") - SOURCE - 2 * RAIL - (START + 4 * BUS + TAP + feeder)


def test_contact_wires():
    """The layout's wire for feeders, but not their length; its own wire and length first; else 0.3 m of 0.5 mm²."""
    way = START + 4 * BUS + TAP + CONTACT
    fine = ', feeder_wire = "0.14 mm²", feeder_length = "0.5 m"'
    near(switched(), way + 2 * 0.3 * FEEDER)
    near(switched(fine), way + 2 * 0.3 * FINE)
    near(switched(fine, ', wire_length = "2 m"'), way + 2 * 2 * FINE)
    near(switched(fine, ', wire = "0.5 mm²"'), way + 2 * 0.3 * FEEDER)
    near(switched(to="bus.A @ 1 m"), way - 3 * BUS + 2 * 0.3 * FEEDER)
    near(switched(to="booster.A"), CONTACT + 2 * 0.3 * FEEDER)


def test_deck_feeders():
    """A deck's feeders are as the layout says; they end in the middle of the deck."""
    def deck(layout):
        table = 'name = "TT", length = "0.4 m", stalls = 1, left = "bus.B", right = "bus.A", kind = "sector plate"'
        return loop(judge(HEAD.replace('joint = "soldered"', 'joint = "soldered"' + layout), f"turntable = [{{ {table} }}]",
                          tracks(track("t", "TT.stall 1", "beyond", "1 m", None))), "t")

    rest = SOURCE + 2 * (START + 4 * BUS + TAP + 0.2 * RAIL + 0.02 + JOINT + RAIL)
    near(deck(""), rest + 2 * 0.3 * FEEDER)
    near(deck(', feeder_wire = "0.14 mm²", feeder_length = "0.5 m"'), rest + 2 * 0.5 * FINE)


def test_where_a_contact_wire_taps():
    """Beside the trackwork that its motor moves, by the first track there that runs along the bus; else where a track that
    leads there runs nearest to it, with the way to there; else at the far end."""
    here = START + TAP + CONTACT + 2 * 0.3 * FEEDER
    def along(place, end):
        start, stop = (place, 0) if end == "from" else (0, place)
        return f'along = {{ bus = "bus", from = "{start} m", to = "{stop} m" }}'

    sizes = ', lead = "0.1 m", tail = "0.1 m"'
    points = f"turnout = [{turnout('T', more=sizes)}]"
    moves = ', moves = "T"'
    lines = track("in", "beyond", "T.points", feeds=along(1, "to"))
    near(switched("", moves, kind="motor", more=points, lines=lines), here + 1 * BUS)
    # Tracks at other ends, along other buses, or that say nothing, do not count; the first that does is taken.
    other = track("on", "T.through", "beyond", feeds=along(2, "from"))
    near(switched("", moves, kind="motor", more=points, lines=other + lines), here + 1 * BUS)
    near(switched("", moves, kind="motor", more=points, lines=other), here + 2 * BUS + 0.2 * FEEDER)
    apart = track("apart", "beyond", "buffer", feeds=along(2, "from"))
    near(switched("", moves, kind="motor", more=points, lines=apart), here + 4 * BUS)
    far = track("far", "T.points", "beyond", feeds=along(0, "from"))
    near(switched("", moves, kind="motor", more=points, lines=far), here)
    # A motor that moves two: the first track in the plan at either.
    two = f"turnout = [{turnout('T')}, {turnout('U')}]"
    later = track("in 2", "beyond", "U.points", feeds=along(3, "to"))
    near(switched("", ', moves = ["T", "U"]', kind="motor", more=two, lines=later + lines), here + 3 * BUS)
    # A relay that follows the motor.
    relay = points + '\nmotor = [{ name = "M", moves = "T" }]'
    near(switched("", ', follows = "M"', kind="relay", more=relay, lines=lines), here + 1 * BUS)
    # Of a slip, either track at the end whose blades it moves.
    slip = 'slip = [{ name = "X", kind = "double", frogs = "insulated" }]'
    west = track("w", "beyond", "X.west 2", feeds=along(1, "to"))
    east = track("e", "X.east 1", "beyond", feeds=along(2, "from"))
    near(switched("", ', moves = "X.west"', kind="motor", more=slip, lines=east + west), here + 1 * BUS)
    near(switched("", ', moves = "X.east"', kind="motor", more=slip, lines=east + west), here + 2 * BUS)
    near(switched("", ', moves = "X"', kind="motor", more=slip, lines=east + west), here + 2 * BUS)
    # Of a turntable, the nearest stall.
    table = 'turntable = [{ name = "TT", length = "0.4 m", stalls = 2, left = "bus.B", right = "bus.A" }]'
    stall = track("s", "beyond", "TT.stall 1", feeds=along(1, "to"))
    near(switched("", ', moves = "TT"', kind="motor", more=table, lines=stall), here + 1 * BUS + 0.2 * FEEDER)


def test_wires_at_the_ends():
    """A wire that ends at the very end of a track stays on the track, whatever joins it to its neighbour."""
    def plan(end, *, wire=""):
        feeders = ', feeders = ["%s"]' % end if not wire else ', feeders = [{ at = "1 m", rail = "right" }]'
        return judge(HEAD, wire, tracks(track("a", "buffer", "b.from", "2 m", MAIN + (feeders if end == "2 m" else ""), "2"),
                                        track("b", "a.to", "buffer", "2 m", MAIN + (feeders if end == "0 m" else ""))))

    for end, fed, dead in (("2 m", "a", "b"), ("0 m", "b", "a")):
        verdict = plan(end)
        assert verdict["dead"] == [dead]
        near(loop(verdict, fed), FED + 2 * 2 * RAIL)
        contact = f'toggle = [{{ name = "S", contact = [{{ common = "bus.A", off = "{fed}.left @ {end}", on = "{fed}.left" }}] }}]'
        assert plan(end, wire=contact)["dead"] == [dead]


def test_supplies_that_meet():
    """A place that several supplies feed at once has no numbers; that they meet somewhere takes none away."""
    more = HEAD.replace("}]\nbus", '}, { name = "two", voltage = "15 V" }, { name = "three", voltage = "15 V" }]\nbus')

    def feeds(*wires):
        """Feeders of a track of 2 m, the first of each rail at 0.5 m and the other at 1.5 m."""
        rows = (f'{{ at = "{x} m", rail = "{rail}", to = "{to}" }}' for x, rail, to in wires)
        return "feeders = [" + ", ".join(rows) + "]"

    # A ring: A of the booster on A of two, B of two on B of three, A of three on B of the booster.
    one = feeds((0.5, "left", "bus.A"), (1.5, "left", "two.A"), (0.5, "right", "bus.B"), (1.5, "right", "three.A"))
    two = feeds((0.5, "left", "three.B"), (1.5, "left", "two.B"), (1.5, "right", "two.A"))
    verdict = judge(more, tracks(track("d", "beyond", "beyond", feeds=one), track("e", "beyond", "beyond", feeds=two)))
    assert verdict["meet"] and not verdict["shorted_count"] and not verdict["dead"]
    near(loop(verdict, "d"), FED + 2 * 1.5 * RAIL)
    near(loop(verdict, "e"), SOURCE + 2 * (0.3 * FEEDER + 1.5 * RAIL))
    # A of two on B of the booster and the other way round: the place hangs on both at once.
    turned = feeds((0.5, "left", "bus.A"), (1.5, "left", "two.B"), (0.5, "right", "bus.B"), (1.5, "right", "two.A"))
    verdict = judge(more, tracks(track("d", "beyond", "beyond", feeds=turned), track("e", "beyond", "beyond")))
    assert verdict["tracks"] == {} and not verdict["shorted_count"]

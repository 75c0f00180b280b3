"""Checks of where a train can be, where it waits, and when it moves, clause by clause; they run with test_reading.py."""

from sample import HEAD, MAIN, clean, judge, read, track, tracks, trains, turnout
from stretches import of_run

NONE = (None, None)
LEFT_ONLY = MAIN + ', feeders = [{ at = "1 m", rail = "left" }]'


def turnouts(*names, **more):
    return "turnout = [" + ", ".join(turnout(n, more.get(n, "left")) for n in names) + "]"


def link_plan(link, gaps=""):
    """A main, a link and a far track in line between two turnouts; a side track at each of the two."""
    return read(HEAD, turnouts("T1", "T2"), tracks(
        track("main", "beyond", "T1.points", "5 m", gaps=gaps), link, track("far", "T2.points", "buffer"),
        track("side 1", "T1.diverging", "buffer"), track("side 2", "buffer", "T2.diverging")))


def test_room():
    """A run of 0.4 m is enough to wait on; it may be made of several tracks."""
    def one(metres):
        return track("link", "T1.through", "T2.through", metres)

    def two(metres):
        return track("link", "T1.through", "more.from", "0.2 m") + track("more", "link.to", "T2.through", metres)

    for link, room in ((one("0.4 m"), True), (one("0.399 m"), False), (two("0.2 m"), True), (two("0.199 m"), False)):
        at, routes = trains(link_plan(link), T2="diverging")
        assert ("link" in at) == ("T1 points-through" in routes) == room
        assert at["main"] == at["far"] == NONE and routes >= {"T2 points-diverging"}
        # A train on the main is let go by T1, but with no room on the link it waits for T2 as well.
        assert trains(link_plan(link, "left 4.9"), T2="diverging")[0]["main"] == ((None, None) if room else (None, 4.9))
    at, routes = trains(link_plan(one("0.399 m")))
    assert "link" in at and routes == {"T1 points-through", "T2 points-through"}


def test_only_up_to_the_next_room():
    """A train waits on a main of 5 m before a turnout set against it; the short link behind it is asked."""
    def plan(feed):
        return judge(
            HEAD, turnouts("A", "B", "T1"), f'motor = [{{ name = "M1", moves = "T1", contact = [{{ {feed} }}] }}]',
            tracks(track("west", "beyond", "A.points"), track("off", "A.diverging", "buffer"),
                   track("link", "A.through", "B.through", "0.2 m", MAIN, "left 0.05, left 0.15"),
                   track("in", "buffer", "B.diverging"), track("main", "B.points", "T1.through", "5 m"),
                   track("in 2", "buffer", "T1.diverging"), track("east", "T1.points", "beyond")))

    clean(plan('common = "bus.A", through = "link.left @ 0.1 m", diverging = "link.left @ 0.1 m"'))
    clean(plan('common = "bus.A", through = "link.left @ 0.1 m"'), dead=["link"])


def test_oval_and_spur():
    """On an oval with one turnout a train waits where it comes upon the turnout from behind; the spur waits as well."""
    def plan(metres, gaps=""):
        return read(HEAD, turnouts("T"), tracks(
            track("oval", "T.points", "T.through", metres, gaps=gaps),
            track("spur", "T.diverging", "buffer", gaps="right 0.1")))

    at, routes = trains(plan("6 m", "left 0.1, left 5.8, right 5.9"))
    assert at == {"oval": NONE, "spur": (0.1, None)} and routes == {"T points-through"}
    at, routes = trains(plan("6 m", "left 0.1, left 5.8, right 5.9"), T="diverging")
    assert at == {"oval": (None, 5.8), "spur": NONE} and routes == {"T points-diverging"}
    # A circle too short to wait on: clear when it is closed, as the walk comes back; shut, no train can be on it at all.
    at, routes = trains(plan("0.3 m"))
    assert set(at) == {"oval", "spur"} and routes == {"T points-through"}
    at, routes = trains(plan("0.3 m"), T="diverging")
    assert set(at) == {"spur"} and not routes
    # Plain track that closes in itself, and a piece of line shorter than 0.4 m, end as lines do.
    alone = read(HEAD, tracks(track("ring", "ring.to", "ring.from", "0.3 m"), track("bit", "beyond", "buffer", "0.3 m")))
    assert trains(alone)[0] == {"ring": NONE, "bit": NONE}


def test_ladder_of_short_pieces():
    """Pieces shorter than 0.4 m are passed through: what stands against the train at their far end makes it wait."""
    plan = read(HEAD, turnouts("T1", "T2", "T3"), tracks(
        track("lead", "beyond", "T1.points", gaps="left 1.9"),
        track("l1", "T1.through", "T2.points", "0.1 m"), track("l2", "T2.through", "T3.points", "0.1 m"),
        *(track(f"road {n}", f"T{n}.diverging", "buffer", gaps="right 0.1") for n in (1, 2, 3)),
        track("road 4", "T3.through", "buffer", gaps="right 0.1")))
    shut = (0.1, None)
    at, routes = trains(plan, T2="diverging")
    assert at == {"lead": NONE, "l1": NONE, "road 2": NONE, "road 1": shut, "road 3": shut, "road 4": shut}
    assert routes == {"T1 points-through", "T2 points-diverging"}
    # T2 and T3 are set for road 4, but T1 is not: it cannot even leave its road.
    at, routes = trains(plan, T1="diverging")
    assert at == {"lead": NONE, "road 1": NONE, "road 2": shut, "road 3": shut, "road 4": shut}
    assert routes == {"T1 points-diverging"}


def test_waiting():
    """Before the last gap of either rail, whichever comes first, in the half next to the trackwork and not half way."""
    def place(gaps, end="to", joint="soldered"):
        line = ("beyond", "T.through") if end == "to" else ("T.through", "beyond")
        return trains(read(HEAD, turnouts("T"), tracks(
            track("line", *line, gaps=gaps, feeds=f'joint = "{joint}"'), track("lead", "beyond", "T.points"),
            track("off", "T.diverging", "buffer"))), T="diverging")[0]["line"]

    assert place("") == NONE
    assert place("left 1.9") == (None, 1.9)
    assert place("left 1.9, left 1.5, right 1.8, right 1.2") == (None, 1.8)
    assert place("1.9") == (None, 1.9)
    assert place("left 1.01") == (None, 1.01)
    assert place("left 1") == place("left 0.99") == NONE
    assert place("left 1.9, right 0.99") == (None, 1.9)
    assert place("left 2") == (None, 2.0)
    assert place("left 2, right 1.7") == (None, 1.7)
    assert place("left 0, right 0.3", "from") == (0.3, None)
    assert place("left 1, right 0.99", "from") == (0.99, None)
    assert place("left 1, right 1.01", "from") == NONE
    assert place("", joint="gap") == (None, 2.0)


def test_waiting_on_a_run():
    """Half way, last gap and rail are those of the whole run; what lies behind the gap is other tracks too."""
    def places(gaps_a, gaps_b, facing=False):
        b = ("T.through", "a.to") if facing else ("a.to", "T.through")
        at = trains(read(HEAD, turnouts("T"), tracks(
            track("a", "beyond", "b.to" if facing else "b.from", "2 m", gaps=gaps_a), track("b", *b, "1 m", gaps=gaps_b),
            track("lead", "beyond", "T.points"), track("off", "T.diverging", "buffer"))), T="diverging")[0]
        return at["a"], at.get("b")

    assert places("", "") == places("left 1.5", "") == places("left 0.1", "") == (NONE, NONE)
    assert places("", "left 0.3") == (NONE, (None, 0.3))
    assert places("left 1.6", "") == places("left 1.6", "right 0.3") == ((None, 1.6), None)
    assert places("left 1.6", "left 0.3") == places("right 1.4", "left 0.3") == (NONE, (None, 0.3))
    # A gap between the two, in whichever table it stands.
    assert places("left 2", "right 0.3") == places("", "left 0, right 0.3") == ((None, 2.0), None)
    assert places("left 2", "left 0.3") == (NONE, (None, 0.3))
    # Where the two face each other, b's left rail goes on in a's right.
    assert places("left 1.6", "left 0.3", True) == ((None, 1.6), None)
    assert places("left 1.6", "right 0.3", True) == (NONE, (0.3, None))
    # Trackwork at both ends: each half for itself.
    both = read(HEAD, turnouts("T", "U"), tracks(
        track("a", "U.through", "b.from", "2 m", gaps="left 0.2"), track("b", "a.to", "c.from", "0.2 m"),
        track("c", "b.to", "T.through", "2 m", gaps="right 0, left 0.1"), track("lead", "beyond", "T.points"),
        track("off", "T.diverging", "buffer"), track("more", "U.points", "beyond"), track("rest", "U.diverging", "buffer")))
    assert trains(both, T="diverging", U="diverging")[0].items() >= {"a": (0.2, None), "b": (None, 0.2)}.items()
    assert "c" not in trains(both, T="diverging", U="diverging")[0]
    assert trains(both, U="diverging")[0].items() >= {"a": (0.2, None), "b": NONE, "c": NONE}.items()


def test_not_under_a_waiting_train():
    """The gap and what is behind it are not asked of a train that waits, and all of it is where there is no gap."""
    def plan(gaps, against="A"):
        contact = f'{{ common = "line.left @ 1.9 m", through = "bus.A", diverging = "bus.{against}" }}'
        return judge(HEAD, turnouts("T"), f'motor = [{{ name = "M", moves = "T", contact = [{contact}] }}]',
                     tracks(track("line", "beyond", "T.through", "2 m", MAIN + ', feeders = ["1 m"]', gaps),
                            track("lead", "T.points", "beyond"), track("off", "buffer", "T.diverging")))

    clean(plan("left 1.8, left 1.95"))
    # Against the train the piece before the turnout is on the other pole: both rails are on B there.
    told = {"bridges": [["line", "left", 1.8]], "wrong": [["line", "left"]], "dead": ["line"]}
    clean(plan("left 1.8, left 1.95", "B"), **told)
    clean(plan("left 1.8, left 1.95, right 1.8", "B"))
    clean(plan("left 1.8, left 1.95, right 1.85", "B"), **told)

    def two(gap, gaps_b=""):
        contact = '{ common = "b.left @ 0.5 m", through = "bus.A", diverging = "bus.B" }'
        return judge(HEAD, turnouts("T"), f'motor = [{{ name = "M", moves = "T", contact = [{contact}] }}]', tracks(
            track("a", "beyond", "b.from", gaps=gap), track("lead", "T.points", "beyond"), track("off", "buffer", "T.diverging"),
            track("b", "a.to", "T.through", "1 m", MAIN + ', feeders = [{ at = "0.5 m", rail = "right" }]', gaps_b + "left 0.9")))

    clean(two("left 1.6, right 1.55"))
    clean(two("left 1.6, right 1.9"), bridges=[["a", "left", 1.6]], wrong=[["a", "left"]], dead=["a"])
    clean(two("left 1.6, right 1.4"), bridges=[["a", "left", 1.6]], wrong=[["a", "left"], ["b", "left"]], dead=["a", "b"])
    # With the gap between the two, in either table.
    for gap, gaps_b in (("left 2", ""), ("", "left 0, ")):
        clean(two(gap, gaps_b), bridges=[["b" if gaps_b else "a", "left", 0.0 if gaps_b else 2.0]], wrong=[["b", "left"]],
              dead=["b"])
        clean(two(", ".join(filter(None, (gap, "right 1.9"))), gaps_b))


def test_routes():
    """A route must be set, and clear at both ends; a deck is clear as the line ends there."""
    crossing = 'crossing = [{ name = "X", frogs = "insulated"%s }]\ntoggle = [{ name = "S" }]'
    ends = tracks(*(track(f"{side}{n}", f"X.{side} {n}", "beyond") for side in ("west", "east") for n in (1, 2)))
    plain = read(HEAD, crossing % "", ends)
    assert trains(plain)[1] == {"X west 1-east 1", "X west 2-east 2"}
    following = read(HEAD, crossing % ', follows = "S"', ends)
    assert trains(following)[1] == {"X west 1-east 1"}
    assert trains(following, S="on")[1] == {"X west 2-east 2"}
    named = read(HEAD, crossing % ', follows = "S", routes = { off = 2, on = 1 }', ends)
    assert trains(named)[1] == {"X west 2-east 2"}
    table = read(HEAD, 'turntable = [{ name = "TT", length = "0.3 m", stalls = 2 }]',
                 tracks(track("one", "TT.stall 1", "beyond"), track("two", "TT.stall 2", "buffer", gaps="left 0.2")))
    at, routes = trains(table)
    assert at == {"one": NONE, "two": (0.2, None)} and routes == {"TT stall 1-None"}
    slip = 'slip = [{ name = "S", kind = "double", frogs = "insulated"%s }]'
    ends = ends.replace("X.", "S.")
    assert trains(read(HEAD, slip % "", ends), S_west="diverging")[1] == {"S west 1-east 2"}
    # The blades at the west end pick the leg at the east.
    turned = slip % ", routes = { west = { through = 2, diverging = 1 }, east = { through = 1, diverging = 2 } }"
    assert trains(read(HEAD, turned, ends))[1] == {"S west 1-east 2"}
    assert trains(read(HEAD, turned, ends), S_west="diverging", S_east="diverging")[1] == {"S west 2-east 1"}


def isles(feed, gap="right 0"):
    """A fed main and two isles in line, each cut off at its frog by a turnout between; a toggle feeds both isles."""
    return judge(
        HEAD, turnouts("T1", "T2"),
        f'toggle = [{{ name = "S", contact = [{{ {feed} }}] }}]',
        tracks(track("main", "beyond", "T1.points"), track("side", "T1.through", "beyond"),
               track("isle 1", "T1.diverging", "T2.points", "2 m", LEFT_ONLY, gap),
               track("isle 2", "T2.through", "buffer", "2 m", LEFT_ONLY),
               track("isle 3", "T2.diverging", "buffer", "2 m", LEFT_ONLY)))


def test_switched_off():
    """A siding that is switched off and shut is not asked; a train that can come from live rail is."""
    def plan(wiring, word, gap="0.05"):
        frog = '{ common = "T.frog", through = "bus.A", diverging = "bus.B" }' if wiring == "live-bonded" else ""
        contacts = f'{{ common = "bus.B", {word} = "spur.right @ 1 m" }}, {frog}'
        return judge(
            HEAD, f"turnout = [{turnout('T', 'left', wiring)}]",
            f'motor = [{{ name = "M", moves = "T", contact = [{contacts}] }}]',
            tracks(track("lead", "beyond", "T.points"), track("on", "T.through", "beyond", gaps="left 0.1"),
                   track("spur", "T.diverging", "buffer", "2 m", LEFT_ONLY, f"right {gap}")))

    for wiring in ("live-bonded", "insulated-routed", "insulated-bonded"):
        clean(plan(wiring, "diverging"))
        # Wired the wrong way round it is live while it is shut, and dead when a train can come.
        clean(plan(wiring, "through"), dead=["spur"])
    # Where all rail of the turnout is live always, so is the spur up to its gap, but no train is there while it waits. From
    # half way on no gap makes it wait.
    clean(plan("insulated-bonded", "diverging", "0.99"))
    clean(plan("insulated-bonded", "diverging", "1"), dead=["spur"])


def test_a_route_without_power():
    """A route on which no train moves in any setting is dead, with the runs beside it; one that a switch feeds is not."""
    def plan(lead, spur=LEFT_ONLY, more=""):
        return judge(
            HEAD, f"turnout = [{turnout('T', 'right', 'insulated-routed')}]", 'motor = [{ name = "M", moves = "T" }]', more,
            tracks(track("lead", "buffer", "T.points", "1 m", lead), track("on", "T.through", "buffer", "2 m"),
                   track("spur", "T.diverging", "buffer", "1 m", spur)))

    # The lead has its right rail from the track behind the blade only, so nothing has power with T set for the spur.
    clean(plan(LEFT_ONLY), dead=["T", "lead", "spur"])
    clean(plan(MAIN + ', feeders = ["0.5 m"]'))
    feed = 'toggle = [{ name = "S", contact = [{ common = "bus.B", on = "lead.right @ 0.5 m" }] }]'
    clean(plan(LEFT_ONLY, more=feed))


def test_power_where_a_train_can_be():
    """Power on any stretch counts, however short, but only where a train can be in that setting."""
    def short(always, switched):
        feeders = '{ at = "1 m", rail = "right" }' + (', { at = "0.05 m", rail = "left" }' if always else "")
        return judge(HEAD, f'toggle = [{{ name = "S", contact = [{{ common = "bus.A", on = [{switched}] }}] }}]',
                     tracks(track("line", "beyond", "buffer", "2 m", MAIN + f", feeders = [{feeders}]", "left 0.1")))

    clean(short(False, '"line.left @ 0.05 m", "line.left @ 1 m"'))
    clean(short(True, '"line.left @ 1 m"'), dead=["line"])

    def link(metres):
        """Dead only with T1 set and T2 set against it: then nothing but the link beside the main is live."""
        contact = 'contact = [{ common = "bus.A", %s = "main.left @ 1 m" }]'
        return judge(
            HEAD, turnouts("T1", "T2"), f'motor = [{{ name = "M1", moves = "T1", {contact % "diverging"} }}, '
            f'{{ name = "M2", moves = "T2", {contact % "through"} }}]',
            tracks(track("main", "beyond", "T1.points", "5 m", MAIN + ', feeders = [{ at = "1 m", rail = "right" }]', "left 4.9"),
                   track("link", "T1.through", "T2.through", metres, MAIN + ', feeders = ["0.1 m"]'),
                   track("far", "T2.points", "buffer"), track("side 1", "T1.diverging", "buffer"),
                   track("side 2", "buffer", "T2.diverging")))

    clean(link("0.39 m"))
    clean(link("0.4 m"), dead=["main"])


def test_stretches_of_a_run():
    """What no gap cuts, over all tracks of a run."""
    def powers(*rows):
        judge_ = read(HEAD, turnouts("T"), tracks(
            *rows, track("west", "beyond", "T.points"), track("on", "T.through", "beyond")))
        number = judge_.trains.run_of["a"]
        return [round(sum(judge_.pieces[i].stop - judge_.pieces[i].start for i in stretch), 6)
                for stretch in of_run(judge_.circuit, judge_.trains.runs[number], judge_.pieces, judge_.by_track)]

    assert powers(track("a", "T.diverging", "buffer")) == [2]
    assert powers(track("a", "T.diverging", "buffer", gaps="right 0.3, left 0.7, left 1.7, right 1.71")) == [0.3, 0.4, 1, 0.01, 0.29]
    assert powers(track("a", "T.diverging", "buffer", "0.5 m", MAIN, "right 0.1, left 0.3")) == [0.1, 0.2, 0.2]
    # b faces a: its places count from the far end of the run.
    def pair(gaps_a, gaps_b):
        return powers(track("a", "T.diverging", "b.to", "1 m", gaps=gaps_a), track("b", "buffer", "a.to", "1 m", gaps=gaps_b))

    assert pair("", "") == [2]
    assert pair("left 0.8", "left 0.8, left 0.5") == [0.8, 0.4, 0.3, 0.5]
    assert pair("left 0.8, left 1", "right 0.5") == [0.8, 0.2, 0.5, 0.5]
    assert pair("", "left 1") == [1, 1]
    # A closed circle has no beginning: what lies round the first joint is one stretch.
    def ring(gaps_a, gaps_b):
        return powers(track("a", "b.to", "b.from", "1 m", gaps=gaps_a), track("b", "a.to", "a.from", "1 m", gaps=gaps_b))

    assert ring("", "") == [2]
    assert ring("left 0.3", "") == [2]
    assert ring("left 0.3, right 0.5", "left 0.9") == [0.4, 0.2, 1.4]
    assert ring("right 0, left 0.3", "left 0.9") == [0.3, 1.6, 0.1]


def test_power_from_the_next_run():
    """Power counts on the next run with room and not beyond it; what is never live is told all the same."""
    # Off: isle 1 hears of the main when T1 is set for it; isles 2 and 3 have only isle 1 beside them, which is dead.
    on = 'common = "bus.B", on = ["isle 1.right @ 1 m", "isle 2.right @ 1 m"]'
    clean(isles(on), dead=["isle 1"])
    # With its gap 50 mm on, isle 1 has power there when T1 is set for it, and so have the isles beside it.
    clean(isles(on, "right 0.05"), dead=["T2", "isle 1", "isle 2", "isle 3"])
    clean(isles(""), dead=["T2", "isle 1", "isle 2", "isle 3"])
    clean(isles('common = "bus.B", on = "isle 1.right @ 1 m", off = "isle 1.right @ 1 m"'))


def test_one_pole_is_no_power():
    """Where both rails are on one pole, or only one is fed, a train does not move, and nothing but dead rail is told."""
    def line(feeders, more="", other=""):
        rows = track("line", "beyond", "beyond", "2 m", MAIN + f", feeders = [{feeders}]", "left 1")
        return judge(HEAD, more, tracks(rows, other))

    left = '{ at = "0.5 m", rail = "left" }, { at = "1.5 m", rail = "left", to = "bus.B" }'
    clean(line(left), dead=["line"])
    clean(line(left + ', { at = "0.5 m", rail = "right" }'), dead=["line"], bridges=[["line", "left", 1.0]],
          wrong=[["line", "left"]])
    one_pole = ', { at = "1 m", rail = "right", to = "bus.A" }'
    same = '{ at = "0.5 m", rail = "left" }, { at = "1.5 m", rail = "left" }' + one_pole
    clean(line(same), dead=["line"])
    # Live in some position of the toggle it is only switched off in the other.
    turned = 'toggle = [{ name = "S", contact = [{ common = "line.right @ 1 m", off = "bus.A", on = "bus.B" }] }]'
    clean(line(same.replace(one_pole, ""), turned))
    # While the plan is shorted in some setting, only rail without any pole is told; settings with a short count for that.
    shorted = 'toggle = [{ name = "S", contact = [{ common = "bus.B", on = "%s" }] }]'
    clean(line(same, shorted % "other.left @ 1 m", track("other", "beyond", "beyond")), shorted_count=1)
    left_only = same.replace(one_pole, "")
    clean(line(left_only, shorted % "other.left @ 1 m", track("other", "beyond", "beyond")), shorted_count=1, dead=["line"])
    both = shorted.replace('"%s"', '["other.left @ 1 m", "line.right @ 1 m"]')
    clean(line(left_only, both, track("other", "beyond", "beyond")), shorted_count=1)


def test_gap_at_an_end():
    """A gap between two tracks counts for the one in whose table it stands, else for the first in the plan."""
    crossed = 'left = "bus.B", right = "bus.A", feeders = ["1 m"]'

    def plan(one, two, more=""):
        return judge(HEAD, tracks(
            track("a", "beyond", "b.from", "2 m", MAIN + more + ', feeders = ["1 m"]', one),
            track("b", "a.to", "beyond", "2 m", crossed, two)))["bridges"]

    assert plan("2", "") == plan("2", "0") == plan("", "", ', joint = "gap"') == [["a", "left", 2.0], ["a", "right", 2.0]]
    assert plan("", "0") == [["b", "left", 0.0], ["b", "right", 0.0]]
    assert plan("left 2", "right 0") == [["a", "left", 2.0], ["b", "right", 0.0]]

"""Checks of storage tracks: necks, the table of policies, stretches; they run with test_reading.py."""

from sample import HEAD, MAIN, clean, judge, near, necks, read, track, tracks, turnout, wants
from stretches import judged

ROAD = MAIN + ', feeders = [{ at = "1 m", rail = "left" }]'


def turnouts(*names):
    return "turnout = [" + ", ".join(turnout(n) for n in names) + "]"


def storage(policy, *names):
    return "[storage]\ntracks = [" + ", ".join(f'"{n}"' for n in names) + f']\nlive = "{policy}"'


def yard():
    """Three roads on a ladder behind T0, which joins a main line; the necks of the roads lead over T0."""
    return read(
        HEAD, turnouts("T0", "T1", "T2"),
        tracks(track("west", "beyond", "T0.points"), track("on", "T0.through", "beyond"),
               track("lead", "T1.points", "T0.diverging", "0.3 m"), track("ladder", "T1.through", "T2.points", "0.1 m"),
               track("road 1", "T1.diverging", "buffer"), track("road 2", "T2.diverging", "buffer"),
               track("road 3", "T2.through", "buffer")),
        storage("lined", "road 1", "road 2", "road 3"))


def test_necks():
    """Legs belong to the neck; it ends before points, and a side that begins with points has none."""
    plan = yard()
    assert necks(plan, "road 1") == [["T1", "T0"]]
    assert necks(plan, "road 2") == necks(plan, "road 3") == [["T2", "T1", "T0"]]
    facing = read(HEAD, turnouts("A", "B"), tracks(
        track("in", "A.points", "B.points"), track("a", "A.through", "beyond"), track("b", "B.diverging", "road.from"),
        track("road", "b.to", "A.diverging"), track("c", "B.through", "beyond")), storage("lined", "in", "road"))
    assert necks(facing, "in") == [] and wants(facing, "in") == wants(facing, "in", A="diverging") == "live"
    # Over plain track to B's leg, over B to `in`, and there before A's points; and over A's leg to `in` and B's points.
    assert necks(facing, "road") == [["B"], ["A"]]


def test_plastic_crossing():
    """A crossing that follows nothing is passed as plain track is, also when the walk comes over it twice."""
    def plan(*middle, more=""):
        return read(HEAD, turnouts("T"), more, tracks(
            track("west", "beyond", "T.points"), track("on", "T.through", "beyond"), *middle), storage("lined", "road"))

    crossing = 'crossing = [{ name = "X", frogs = "insulated"%s }]\ntoggle = [{ name = "S" }]'
    straight = plan(track("road", "T.diverging", "buffer"))
    over = (track("link", "T.diverging", "X.west 1"), track("road", "X.east 1", "buffer"),
            track("other", "X.west 2", "beyond"), track("more", "X.east 2", "beyond"))
    plastic, following = plan(*over, more=crossing % ""), plan(*over, more=crossing % ', follows = "S"')
    assert necks(straight, "road") == necks(plastic, "road") == [["T"]]
    for word in ("through", "diverging"):
        assert wants(straight, "road", T=word) == wants(plastic, "road", T=word)
    assert necks(following, "road") == [["X", "T"]]
    assert [wants(following, "road", T="diverging", S=s) for s in ("off", "on")] == ["live", "dead"]
    eight = read(HEAD, turnouts("T"), crossing % "", tracks(
        track("road", "buffer", "X.west 1"), track("loop", "X.east 1", "X.west 2"), track("link", "X.east 2", "T.diverging"),
        track("west", "T.points", "beyond"), track("on", "T.through", "beyond")), storage("lined", "road"))
    assert necks(eight, "road") == [["T"]]


def slip_plan(kind, end, more=""):
    """A storage track at an end of a slip, and a turnout behind either end on the other side of it."""
    far = "east" if end.startswith("west") else "west"
    other = end.replace("1", "x").replace("2", "1").replace("x", "2")
    return read(HEAD, turnouts("T1", "T2"), f'slip = [{{ name = "S", kind = "{kind}", frogs = "insulated" }}]', more, tracks(
        track("road", "buffer", f"S.{end}"), track("beside", "buffer", f"S.{other}"),
        *(track(f"l{n}", f"S.{far} {n}", f"T{n}.through") + track(f"m{n}", f"T{n}.points", "beyond")
          + track(f"o{n}", f"T{n}.diverging", "beyond") for n in (1, 2))), storage("lined", "road", "beside"))


def test_slips():
    """A slip is the last piece where two routes leave from its end: one of them must be set. The walk goes on over one."""
    double = slip_plan("double", "west 1")
    assert necks(double, "road") == [["S"]]
    # The blades at the far end pick the near leg; what stands behind the slip has no say.
    for west in ("through", "diverging"):
        for leg, want in (("through", "live"), ("diverging", "dead")):
            assert wants(double, "road", S_west=west, S_east=leg, T1="diverging") == want
    single = slip_plan("single", "west 2")
    assert necks(single, "road") == [["S", "T2"]]
    assert wants(single, "road", S_west="diverging", S_east="diverging") == "live"
    assert wants(single, "road", S_west="through", S_east="diverging") == "dead"
    assert wants(single, "road", S_west="diverging", S_east="diverging", T2="diverging") == "either"
    assert necks(slip_plan("single", "west 1"), "road") == [["S"]]
    assert necks(slip_plan("single", "east 1"), "road") == [["S", "T1"]]
    # With both its ends on one motor one of the two routes can never be set; it counts as several all the same.
    one = slip_plan("double", "west 1", 'motor = [{ name = "M", moves = "S" }]')
    assert necks(one, "road") == [["S"]]
    assert [wants(one, "road", S_west=word, T1="diverging") for word in ("through", "diverging")] == ["live", "dead"]


def test_neck_against_itself():
    """The neck ends before trackwork it has passed, and before trackwork that would have to stand two ways at once."""
    rows = (track("road", "buffer", "A.through"), track("link", "A.points", "B.diverging"), track("west", "B.points", "beyond"),
            track("a", "A.diverging", "beyond"), track("b", "B.through", "beyond"))
    both = 'motor = [{ name = "M", moves = ["A", "B"] }]'
    assert necks(read(HEAD, turnouts("A", "B"), tracks(*rows), storage("lined", "road")), "road") == [["A", "B"]]
    assert necks(read(HEAD, turnouts("A", "B"), both, tracks(*rows), storage("lined", "road")), "road") == [["A"]]
    loop = read(HEAD, turnouts("A"), tracks(track("road", "buffer", "A.through"), track("loop", "A.points", "A.diverging")),
                storage("lined", "road"))
    assert necks(loop, "road") == [["A"]]
    oval = read(HEAD, turnouts("A"), tracks(track("oval", "A.points", "A.through"), track("spur", "A.diverging", "buffer")),
                storage("lined", "oval"))
    assert necks(oval, "oval") == [["A"]]


def test_turntable():
    """A deck belongs to the neck of each stall."""
    plan = read(HEAD, 'turntable = [{ name = "TT", length = "0.3 m", stalls = 2, left = "bus.A", right = "bus.B" }]',
                tracks(track("one", "TT.stall 1", "buffer"), track("two", "TT.stall 2", "beyond")),
                storage("lined", "one", "two"))
    assert necks(plan, "one") == [["TT"]]
    for word, want in (("stall 1", "live"), ("stall 1 turned", "live"), ("stall 2", "dead")):
        assert wants(plan, "one", TT=word) == want


def test_shut():
    """A track is shut by what separates it from its neighbours; what stands beyond may stand as it likes."""
    plan = yard()
    assert wants(plan, "road 2", T0="diverging", T1="through", T2="diverging") == "live"
    for t0 in ("through", "diverging"):
        assert wants(plan, "road 2", T0=t0, T1="through", T2="through") == "dead"
        assert wants(plan, "road 2", T0=t0, T1="diverging", T2="diverging") == "dead"
    # No other storage track joins in at T0.
    assert wants(plan, "road 2", T0="through", T1="through", T2="diverging") == "either"
    assert wants(plan, "road 1", T0="through", T1="diverging") == "either"


def test_joining():
    """Another storage track that joins in further out is a neighbour too, straight or over trackwork and short runs."""
    def plan(*rows, works=("A", "B")):
        return read(HEAD, turnouts(*works), tracks(
            track("road", "buffer", "A.through"), track("a", "A.diverging", "beyond"), track("link", "A.points", "B.through"),
            track("west", "B.points", "beyond"), *rows), storage("lined", "road", "other"))

    against = {"A": "through", "B": "diverging"}
    apart = plan(track("b", "B.diverging", "beyond"), track("other", "beyond", "beyond"))
    straight = plan(track("b", "B.diverging", "other.from"), track("other", "b.to", "buffer"))
    over, far = (plan(track("b", "B.diverging", "C.points", metres), track("other", "C.diverging", "buffer"),
                      track("c", "C.through", "beyond"), works=("A", "B", "C")) for metres in ("0.39 m", "0.4 m"))
    # The run that leads over the trackwork may be of several tracks; what lies in one run with the other is straight.
    pair = (track("b", "B.diverging", "d.from", "0.2 m"), track("d", "b.to", "C.points", "%s m"),
            track("c", "C.diverging", "other.from"), track("other", "c.to", "buffer"), track("e", "C.through", "beyond"))
    near_pair, far_pair = (plan(*(row.replace("%s", metres) for row in pair), works=("A", "B", "C")) for metres in ("0.1", "0.2"))
    plans = (apart, straight, over, far, near_pair, far_pair)
    assert [wants(p, "road", **against) for p in plans] == ["either", "dead", "dead", "either", "dead", "either"]
    assert [wants(p, "road", A="diverging") for p in plans] == ["dead"] * 6
    assert [wants(p, "road") for p in plans] == ["live"] * 6


def test_policies():
    """The table: a siding with a neck at either end, and the same track with nothing at all."""
    wanted = {}
    for policy in ("lined", "both ends agree", "either end", "always", "by hand"):
        plan = read(HEAD, turnouts("W", "E"), tracks(
            track("road", "W.diverging", "E.diverging"), track("past", "W.through", "E.through"),
            track("west", "beyond", "W.points"), track("east", "beyond", "E.points")), storage(policy, "road"))
        wanted[policy] = [wants(plan, "road", W=w, E=e) for w in ("through", "diverging") for e in ("through", "diverging")]
        alone = read(HEAD, tracks(track("road", "beyond", "buffer")), storage(policy, "road"))
        assert wants(alone, "road") == ("either" if policy == "by hand" else "live")
    assert wanted == {
        "lined": ["dead", "dead", "dead", "live"], "both ends agree": ["dead", "dead", "dead", "live"],
        "either end": ["dead", "live", "live", "live"], "always": ["live"] * 4, "by hand": ["either"] * 4}


def siding(policy, west, east, gaps="right 0.05, right 1.95", feeds=ROAD):
    """A siding between two turnouts, its right rail fed from a contact of either motor."""
    contact = 'contact = [{ common = "bus.B"%s }]'
    return judge(
        HEAD, f"turnout = [{turnout('W')}, {turnout('E', 'right')}]",
        f'motor = [{{ name = "MW", moves = "W", {contact % west} }}, {{ name = "ME", moves = "E", {contact % east} }}]',
        tracks(track("west", "beyond", "W.points"), track("past", "W.through", "E.through"),
               track("road", "W.diverging", "E.diverging", "2 m", feeds, gaps), track("east", "E.points", "beyond")),
        storage(policy, "road"))


FED = ', diverging = "road.right @ 1 m"'


def test_told():
    """`either end` and `always` tell dead storage as a fault of the policy; the others tell dead rail."""
    dead, live = [["road", "dead"]], [["road", "live"]]
    clean(siding("either end", FED, FED))
    clean(siding("either end", FED, ""), storage=dead)
    clean(siding("either end", "", ""), storage=dead)
    clean(siding("always", FED, FED), storage=dead)
    clean(siding("always", FED, FED.replace("div", "through = \"road.right @ 1 m\", div")))
    clean(siding("lined", FED, FED), storage=live)
    clean(siding("lined", "", ""), dead=["road"])
    clean(siding("lined", FED, "", "left 1", MAIN), storage=live)
    # On a stretch that is not judged it is dead rail with these two as well.
    clean(siding("always", "", "", "left 0.5, left 0.7", MAIN), dead=["road"])
    clean(siding("always", "", "", "left 0.5, left 0.9", MAIN), storage=dead)


def test_never_wanted():
    """Where the policy never wants it live nothing is told, though it is never fed: here both ends can never agree."""
    def plan(more):
        return judge(HEAD, f"turnout = [{turnout('W')}, {turnout('E', 'right')}]", more, tracks(
            track("west", "beyond", "W.points"), track("past", "W.through", "E.diverging"),
            track("road", "W.diverging", "E.through", "2 m", ROAD, "right 0.05, right 1.95"),
            track("east", "E.points", "beyond")), storage("both ends agree", "road"))

    clean(plan('motor = [{ name = "M", moves = ["W", "E"] }]'))
    clean(plan(""), dead=["road"])


def test_by_hand():
    """Dead only if no toggle makes it live with the way as it is; volts and amperes wherever both rails are fed."""
    def plan(contact, gaps="right 0.1", policy=storage("by hand", "road")):
        return judge(HEAD, f"turnout = [{turnout('T', wiring='insulated-routed')}]",
                     f'toggle = [{{ name = "S1", contact = [{{ {contact} }}] }}, {{ name = "S2" }}]',
                     'relay = [{ name = "R", follows = "S2", contact = [{ common = "bus.B", on = "road.right @ 1.5 m" }] }]',
                     tracks(track("west", "beyond", "T.points"), track("on", "T.through", "beyond"),
                            track("road", "T.diverging", "buffer", "2 m", ROAD, gaps)), policy)

    switched = 'common = "bus.B", on = "road.right @ 1 m"'
    verdict = plan(switched)
    clean(verdict)
    # New wire and rail: 1 m of road and its feeders, at 15 V and 0.45 A.
    near(verdict["tracks"]["road"]["volts"][0], 14.85, 0.05)
    clean(plan(switched, policy=""), dead=["road"])
    # One toggle for either half.
    clean(plan(switched, "right 0.1, right 1.2"))
    clean(plan("", "right 0.1, right 1.2"), dead=["road"])
    clean(plan("", "right 0.1, right 1.2", storage("by hand", "on")), dead=["road"])


def test_stretches():
    """0.4 m, or what trains pick up over; stubs before the first gap are excused; the longest if nothing is left."""
    def stretches(gaps, length="2 m", train="", to="buffer"):
        plan = read(HEAD, turnouts("T", "U"), train, tracks(
            track("west", "beyond", "T.points"), track("on", "T.through", "beyond"),
            track("road", "T.diverging", to, length, MAIN, gaps)), storage("lined", "road"))
        return judged(plan.plan, plan.circuit, "road")

    trains = 'train = [{ name = "a", length = "0.2 m", pick_up = "0.15 m" }, { name = "b", length = "1 m", pick_up = "%s" }]'
    assert stretches("") == [(0, 2)]
    assert stretches("right 0.1, left 0.2, left 0.6") == [(0.2, 0.6), (0.6, 2)]
    assert stretches("right 0.1, left 0.2, left 0.599") == [(0.599, 2)]
    assert stretches("right 0.4, left 0.8") == [(0, 0.4), (0.4, 0.8), (0.8, 2)]
    # 0.1 m is enough for the shortest pick-up, whichever train has it; the stub is excused whatever it is.
    assert stretches("right 0.2, left 0.3, left 0.39", train=trains % "0.1 m") == [(0.2, 0.3), (0.39, 2)]
    assert stretches("right 0.2, left 0.3, left 0.39", train=trains % "0.2 m") == [(0.39, 2)]
    # At a buffer there is no stub.
    assert stretches("right 0.2, left 1.8", train=trains % "0.2 m") == [(0.2, 1.8), (1.8, 2)]
    assert stretches("right 0.2, left 1.8") == [(0.2, 1.8)]
    # Nothing is left: the longest that is no stub; if there is none, the longest; the first of equals.
    assert stretches("right 0.1, left 0.2", "0.35 m") == [(0.2, 0.35)]
    assert stretches("right 0.3", "0.35 m") == [(0.3, 0.35)]
    assert stretches("right 0.3", "0.35 m", to="U.through") == [(0, 0.3)]
    assert stretches("right 0.05", "0.35 m", to="U.through") == [(0.05, 0.35)]
    assert stretches("right 0.1, left 0.2", "0.3 m") == [(0.1, 0.2)]
    assert stretches("right 0.15", "0.3 m", to="U.through") == [(0, 0.15)]
    assert stretches("", "0.3 m", trains % "0.2 m") == [(0, 0.3)]
    # A gap at the very end parts the track from the trackwork, and what lies behind it is no stub.
    assert stretches("left 0, right 0.2", train=trains % "0.2 m") == [(0, 0.2), (0.2, 2)]

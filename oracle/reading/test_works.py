"""Checks of trackwork: the state tables of trackwork.md, rightly wired and with contacts exchanged.

Method: a piece with a fed track at every end shows no fault in any setting when its frogs are fed as the table says,
and a bridged gap or a short when two contacts are exchanged. They run with test_reading.py.
"""

from sample import HEAD, MAIN, clean, judge, track, tracks, turnout


def test_turnouts():
    """Every wiring, rightly wired and with its frog contact exchanged."""
    for wiring in ("insulated-routed", "insulated-bonded", "metal-tip", "live-routed", "live-assisted", "live-bonded",
                   "live-unfed"):
        fed = wiring in ("metal-tip", "live-assisted", "live-bonded")
        cut = wiring.startswith("live")
        for hand, near_side, far_side, order in (("right", "right", "left", "BA"), ("left", "left", "right", "AB"),
                                                 ("wye", "right", "left", "BA")):
            straight, branch = ("left", "right") if hand == "wye" else ("through", "diverging")
            for right in (True, False) if fed else (True,):
                one, two = order if right else order[::-1]
                contact = f'{{ common = "T.frog", {straight} = "bus.{one}", {branch} = "bus.{two}" }}' if fed else ""
                verdict = judge(
                    HEAD, f"turnout = [{turnout('T', hand, wiring)}]",
                    f'motor = [{{ name = "M", moves = "T", contact = [{contact}] }}]',
                    tracks(track("lead", "beyond", "T.points"),
                           track("on", f"T.{straight}", "beyond", gaps=f"{near_side} 0.1" if cut else ""),
                           track("off", f"T.{branch}", "beyond", gaps=f"{far_side} 0.1" if cut else "")))
                if wiring == "live-unfed":
                    clean(verdict, dead=["T", "off", "on"])
                elif right:
                    clean(verdict)
                elif wiring == "live-assisted":
                    clean(verdict, shorted_count=2)
                elif wiring == "metal-tip":
                    clean(verdict, bridged_works=["T"], dead=["T"])
                else:
                    assert verdict["bridged_works"] == ["T"] and len(verdict["bridges"]) == 2


def test_three_way():
    ends = tracks(track("lead", "beyond", "W.points"), track("l", "W.left", "buffer", gaps="right 0.1"),
                  track("m", "W.middle", "buffer", gaps="0.1"), track("r", "W.right", "buffer", gaps="left 0.1"))
    motors = ('motor = [{ name = "ML", moves = "W.left", contact = [{ common = ["W.left frog", "W.centre frog"], '
              'through = "bus.A", diverging = "bus.B" }] }, { name = "MR", moves = "W.right", contact = [{ common = '
              '"W.right frog", through = "bus.%s", diverging = "bus.%s" }] }]')
    live = 'three_way = [{ name = "W", frogs = "live" }]'
    clean(judge(HEAD, live, motors % ("B", "A"), ends), settings=3)
    assert judge(HEAD, live, motors % ("A", "B"), ends)["bridged_works"] == ["W"]
    clean(judge(HEAD, live.replace("live", "insulated"), ends), settings=3)


def crossing_ends(name, cut, swap=False):
    second = ('left = "bus.B", right = "bus.A"' if swap else MAIN) + ', feeders = ["1 m"]'
    return tracks(track("w1", "beyond", f"{name}.west 1", gaps="right 1.9" * cut),
                  track("w2", "beyond", f"{name}.west 2", "2 m", second, "left 1.9" * cut),
                  track("e1", f"{name}.east 1", "beyond", gaps="left 0.1" * cut),
                  track("e2", f"{name}.east 2", "beyond", "2 m", second, "right 0.1" * cut))


def test_crossings():
    for phases, frogs, poles in (("same", ("west", "east"), "BAAB"), ("opposite", ("north", "south"), "ABBA")):
        for right in (True, False):
            a, b, c, d = poles if right else poles.translate({65: "B", 66: "A"})
            plan = (f'crossing = [{{ name = "X", frogs = "live", phases = "{phases}", follows = "T" }}]',
                    f'toggle = [{{ name = "T", contact = [{{ common = "X.{frogs[0]} frog", off = "bus.{a}", on = "bus.{b}" }},'
                    f' {{ common = "X.{frogs[1]} frog", off = "bus.{c}", on = "bus.{d}" }}] }}]')
            verdict = judge(HEAD, *plan, crossing_ends("X", phases == "same", phases == "opposite"))
            if right:
                clean(verdict, settings=2)
            else:
                assert verdict["bridged_works"] == ["X"]
    plastic = judge(HEAD, 'crossing = [{ name = "X", frogs = "insulated" }]', crossing_ends("X", False, True))
    clean(plastic, settings=1)


def test_slips():
    motors = ('motor = [{ name = "MW", moves = "S.west", contact = [{ common = "S.%s frog", through = "bus.A", '
              'diverging = "bus.B" }] }, { name = "ME", moves = "S.east", contact = [{ common = "S.%s frog", '
              'through = "bus.B", diverging = "bus.A" }] }]')
    for kind in ("single", "double"):
        slip = f'slip = [{{ name = "S", kind = "{kind}", frogs = "live" }}]'
        clean(judge(HEAD, slip, motors % ("east", "west"), crossing_ends("S", True)), settings=4)
        assert judge(HEAD, slip, motors % ("west", "east"), crossing_ends("S", True))["bridged_works"] == ["S"]
        clean(judge(HEAD, slip.replace("live", "insulated"), crossing_ends("S", False)))


def test_turntables():
    def plan(deck, more="", second=MAIN + ', feeders = ["1 m"]'):
        return judge(HEAD, f'turntable = [{{ name = "TT", length = "0.3 m", stalls = 2{deck} }}]', more,
                     tracks(track("one", "TT.stall 1", "beyond"), track("two", "TT.stall 2", "beyond", "2 m", second)))

    clean(plan(""), settings=2)
    # The deck has power before the other stall, so it is only switched off before this one; the track is never fed.
    clean(plan("", "", None), dead=["two"])
    fed = ', left = "bus.B", right = "bus.A"'
    clean(plan(fed), settings=4, shorted_count=2)
    clean(plan(fed + ', joint = "gap"'), bridged_works=["TT"])
    clean(plan(fed + ', kind = "sector plate"'), settings=2)
    own = ', left = "R.B", right = "R.A"'
    following = ('motor = [{ name = "MT", moves = "TT" }]\n'
                 'reverser = [{ name = "R", kind = "following", follows = "MT", from = "bus @ 2 m" }]')
    clean(plan(own, following), settings=4)
    clean(plan(own, 'reverser = [{ name = "R", kind = "short-sensing", from = "bus @ 2 m" }]'), settings=4)
    # Two that lie opposite each other are joined: left of the one is right of the other, as both lead away.
    onward = 'left = "bus.B", right = "bus.A", feeders = ["1 m"]'
    clean(plan(", opposite = [[1, 2]]", "", onward), settings=1)
    clean(plan(", opposite = [[1, 2]]", "", None), settings=1)
    clean(plan(", opposite = [[1, 2]]"), settings=1, shorted_count=1)
    clean(plan(fed + ", opposite = [[1, 2]]", "", onward), settings=2, shorted_count=1)
    clean(plan(fed + ', kind = "sector plate", opposite = [[1, 2]]', "", onward), settings=1)


def test_reversers():
    def plan(gaps):
        return judge(HEAD, f"turnout = [{turnout('T1')}]",
                     'reverser = [{ name = "R", kind = "short-sensing", from = "bus @ 2 m" }]',
                     tracks(track("line", "beyond", "T1.points"),
                            track("loop", "T1.diverging", "T1.through", "4 m",
                                  'left = "R.A", right = "R.B", feeders = ["1 m"]', gaps)))

    clean(plan("0.1, 3.9"), settings=2)
    clean(plan("0.1"), bridges=[["loop", "left", 0.1], ["loop", "right", 0.1]])
    assert plan("")["shorted_count"] == 2

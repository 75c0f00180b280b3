"""Checks of drivers: what is thrown together is one control, and where a driver is mounted. They run with test_reading.py.

Method: plans whose wiring is right only where a toggle and the motor that it throws, or two motors on one output, stand
together in every setting; a wire list with lengths by hand.
"""

import os
import tempfile

from cuts import held
from sample import HEAD, clean, judge, near, read, track, tracks, turnout



def head(*more):
    """The tables of a plan with a supply for motors, written one below the other."""
    inline = HEAD.replace("supply = [{", 'supply = [{ name = "points supply", kind = "dc", voltage = "12 V" }, {')
    inline = inline.replace("bus = [{", 'bus = [{ name = "points bus", supply = "points supply", wire = "1.5 mm²", length = "3 m" }, {')
    return "\n".join([inline, *more])


def yard(contact):
    """A turnout whose frog a toggle's contact feeds; the toggle throws its motor as the contacts of a switch."""
    return (
        head('driver = [{ name = "S1", kind = "switch", follows = "lever", from = "points bus @ 1 m" }]'),
        f"turnout = [{turnout('T', 'right', 'live-bonded')}]",
        'motor = [{ name = "M", moves = "T", driver = "S1" }]',
        f'toggle = [{{ name = "lever", contact = [{{ common = "T.frog", {contact} }}] }}]',
        tracks(track("lead", "beyond", "T.points"), track("on", "T.through", "beyond", gaps="right 0.1"),
               track("off", "T.diverging", "beyond", gaps="left 0.1")),
    )


def test_a_toggle_and_the_motor_it_throws_are_one_control():
    right, wrong = yard('off = "bus.B", on = "bus.A"'), yard('off = "bus.A", on = "bus.B"')
    assert len(read(*right).controls.controls) == 1
    clean(judge(*right))
    assert judge(*wrong)["bridged_works"] == ["T"]
    # Of an address the toggle is by itself, and its contact wrong in half of the settings.
    free = [part.replace('kind = "switch", follows = "lever"', 'kind = "decoder"') for part in right]
    assert len(read(*free).controls.controls) == 2
    assert judge(*free)["bridged_works"] == ["T"]


def test_motors_on_one_output_are_one_control():
    def plan(one, other):
        return (
            head('driver = [{ name = "D", kind = "decoder", outputs = 2, from = "points bus @ 1 m" }]'),
            f"turnout = [{turnout('T')}, {turnout('U')}]",
            f'motor = [{{ name = "M", moves = "T", driver = "{one}" }}, {{ name = "N", moves = "U", driver = "{other}" }}]',
            tracks(track("lead", "beyond", "T.points"), track("on", "T.through", "U.points"), track("off", "T.diverging", "beyond"),
                   track("far", "U.through", "beyond"), track("side", "U.diverging", "beyond")),
        )

    assert [len(read(*plan("D.2", other)).controls.controls) for other in ("D.1", "D.2")] == [2, 1]


def test_cut_lengths():
    text = head("""driver = [{ name = "D, 1", kind = "decoder", from = "points bus @ 1 m", beside = "off @ 0.5 m" }]
turnout = [{ name = "T", hand = "left", wiring = "insulated-bonded", lead = "0.2 m", tail = "0.1 m" }]
motor = [{ name = "M", moves = "T", driver = "D, 1" }]""")
    text += "\n" + tracks(track("lead", "beyond", "T.points"), track("on", "T.through", "beyond"), track("off", "T.diverging", "beyond"))
    lines = ["number,what,from,to,run (mm),assumed,cut (mm),bundle"]
    for cut in (1100, 1099):
        lines.append(f'W-{cut},motor wire,"D, 1 output 1 +",M terminal 1,1100,length,{cut},"D, 1"')
    lines.append('W-3,motor wire,"D, 1 output 1 -",M terminal 2,,,,"D, 1"')
    with tempfile.TemporaryDirectory() as folder:
        paths = [os.path.join(folder, name) for name in ("plan.toml", "wires.csv")]
        for path, words in zip(paths, (text, "\n".join(lines) + "\n")):
            with open(path, "w", encoding="utf-8") as file:
                file.write(words)
        found = held(*paths)
    near(found["checked"], 2)
    assert len(found["short"]) == 2 and found["short"][0].startswith("W-1099") and "W-3" in found["short"][1], found

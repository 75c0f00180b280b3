"""Quantities as a builder writes them, and the handbook values a plan may leave out.

Method: a quantity is one or more pairs of number and unit; the pairs are added ("10 ft 6 in"). Everything is kept in
metres, volts, amperes and ohms. A value that differs with age is a triple: new, usual, aged.
"""

import math
import re

LENGTH = {
    "km": 1000.0, "m": 1.0, "dm": 0.1, "cm": 0.01, "mm": 0.001, "µm": 1e-6, "um": 1e-6,
    "ft": 0.3048, "foot": 0.3048, "feet": 0.3048, "'": 0.3048,
    "in": 0.0254, "inch": 0.0254, "inches": 0.0254, '"': 0.0254, "yd": 0.9144,
}
VOLTAGE = {"V": 1.0, "mV": 0.001, "kV": 1000.0}
CURRENT = {"A": 1.0, "mA": 0.001}
RESISTANCE = {"Ω": 1.0, "ohm": 1.0, "mΩ": 0.001, "mohm": 0.001, "kΩ": 1000.0, "kohm": 1000.0}
TEMPERATURE = re.compile(r"\s*([-−+]?\d*\.?\d+)\s*(°?[CF]|K)\s*")
ANGLE = {"°": math.pi / 180, "deg": math.pi / 180, "degrees": math.pi / 180, "rad": 1.0}

PAIR = re.compile(r"\s*(\d+\s+\d+/\d+|\d+/\d+|\d*\.?\d+(?:[eE][-+]?\d+)?|\d+\.)\s*([^\d\s.][^\d\s]*)\s*")


def tidy(text):
    """One spelling for signs that have several: the ohm sign, the micro sign, typographic feet and inches."""
    for old, new in (("\u2126", "Ω"), ("\u03bc", "µ"), ("′", "'"), ("″", '"'), ("\u00a0", " ")):
        text = text.replace(old, new)
    return text.strip()


def number(text):
    """A plain number, a fraction, or a whole number and a fraction ("3 1/4")."""
    value = 0.0
    for part in text.split():
        top, _, bottom = part.partition("/")
        value += float(top) / float(bottom) if bottom else float(top)
    return value


def quantity(text, units):
    """The sum of all pairs of number and unit in `text`."""
    text = tidy(text)
    at, total = 0, 0.0
    while at < len(text):
        pair = PAIR.match(text, at)
        if not pair or pair.group(2) not in units:
            raise ValueError(f"cannot read the quantity {text!r}")
        total += number(pair.group(1)) * units[pair.group(2)]
        at = pair.end()
    return total


def length(text):
    return quantity(text, LENGTH)


def volts(text):
    return quantity(text, VOLTAGE)


def amps(text):
    return quantity(text, CURRENT)


def ohms(text):
    return quantity(text, RESISTANCE)


def celsius(text):
    """A temperature; one that is written in another way than these is not read."""
    value, unit = TEMPERATURE.fullmatch(tidy(text)).groups()
    value = float(value.replace("−", "-"))
    return {"C": value, "F": (value - 32) / 1.8, "K": value - 273.15}[unit.lstrip("°")]


def ohms_per_metre(text):
    top, _, unit = tidy(text).rpartition("/")
    return ohms(top) / LENGTH[unit.strip()]


def frog_number(table):
    """The frog number of a piece of trackwork from whatever of `angle`, `one_in` and `number` it gives."""
    if "angle" in table:
        return 0.5 / math.tan(quantity(table["angle"], ANGLE) / 2)
    if "one_in" in table:
        return 0.5 / math.tan(math.atan(1 / float(table["one_in"])) / 2)
    return float(table.get("number", 6))


def milli(*values):
    """A triple of milliohms as ohms; one value stands for all three ages."""
    return tuple(v / 1000 for v in (values if len(values) == 3 else values * 3))


SOLDERED = BOND = BUS_START = milli(1)
SLIDING = milli(5, 5, 100)
TAP = milli(3)
CONTACT = milli(20, 50, 100)
PLUG = milli(3, 5, 20)
BLADE = DECK = milli(20, 20, 500)
SHORT = milli(50, 200, 1000)
SOURCE = milli(30, 100, 300)
BREAKER = milli(10, 30, 100)
COPPER_PER_KELVIN = 0.00393
FEEDER_LENGTH = 0.3
FEEDER_WIRE = "0.5 mm²"
JOINT = {"soldered": SOLDERED, "sliding": SLIDING, "gap": None}

SMALL = {area: (17.241 / area, mohm, mohm) for area, mohm in ((0.14, 138.0), (0.25, 79.0), (0.34, 57.0))}
METRIC = {
    **SMALL,
    0.5: (36.0, 39.0, 39.0), 0.75: (24.5, 26.0, 26.0), 1.0: (18.1, 19.5, 19.5), 1.5: (12.1, 13.3, 13.3),
    2.5: (7.41, 7.98, 7.98), 4.0: (4.61, 4.95, 4.95), 6.0: (3.08, 3.30, 3.30),
}


def wire(text):
    """The resistance of a wire for each metre, from its gauge number or its area."""
    text = tidy(text)
    gauge = re.fullmatch(r"(?:AWG\s*(\d+)|(\d+)\s*AWG)", text, re.IGNORECASE)
    if gauge:
        diameter = 0.127e-3 * 92 ** ((36 - int(gauge.group(1) or gauge.group(2))) / 39)
        solid = 1.7241e-8 / (math.pi / 4 * diameter ** 2)
        return (solid, solid, 1.03 * solid)
    area = float(re.fullmatch(r"(\d*\.?\d+)\s*mm(?:²|2|\^2)", text).group(1))
    if area in METRIC:
        return milli(*METRIC[area])
    # An area that no table has: plain copper when new, as much worse in use as the nearest area that is in the table.
    nearest = min(METRIC, key=lambda known: abs(math.log(known / area)))
    used = METRIC[nearest][1] * nearest / area
    return milli(17.241 / area, used, used)


RAIL = {
    "code 100 nickel silver": (57, 80, 146), "code 83 nickel silver": (87, 110, 192),
    "code 70 nickel silver": (116, 180, 257), "code 55 nickel silver": (186, 280, 407),
    "code 40 nickel silver": (357, 520, 780), "code 100 brass": (19, 19, 27.7),
}
SCALE_RAIL = {"N": "code 55 nickel silver", "Z": "code 40 nickel silver", "TT": "code 83 nickel silver"}
RUNNING = {"O": 1.5, "S": 0.8, "OO": 0.45, "HO": 0.45, "TT": 0.4, "N": 0.25, "Z": 0.25}
GAUGE = {"O": 31.75, "S": 22.5, "OO": 16.5, "HO": 16.5, "TT": 12.0, "N": 9.0, "Z": 6.5}
NOMINAL = {"N": 12.0, "Z": 12.0, "TT": 12.0}


def scale(name):
    """The scale's letters; some write a nought for the letter O."""
    return {"0": "O", "H0": "HO", "00": "OO"}.get(name.strip().upper(), name.strip().upper())


def rail(name, scale_name):
    """The resistance of one rail for each metre; the scale's usual rail where none is named."""
    return milli(*RAIL[(name or SCALE_RAIL.get(scale_name, "code 100 nickel silver")).strip().lower()])


LEADS = {4: 2.657, 5: 2.971, 6: 3.256, 7: 4.514}
RATIOS = {n: lead / (9 / 25.4 * n) for n, lead in LEADS.items()}


def lead(frog, gauge):
    """Points to frog, by the published N-scale leads taken as a share of gauge times number."""
    if frog <= 4:
        ratio = RATIOS[4]
    elif frog >= 7:
        ratio = RATIOS[7]
    else:
        low = int(frog)
        ratio = RATIOS[low] + (frog - low) * (RATIOS[low + 1] - RATIOS[low])
    return ratio * gauge * frog

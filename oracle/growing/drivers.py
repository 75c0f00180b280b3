"""What throws the motors of a plan: drivers, accessory buses that feed them, and where they are mounted.

Method: it is put on a plan that has grown already, from a stream of random numbers of its own, so that the same seed grows
the same track with drivers and without. Right by construction: each motor has one output of a driver that can throw it, the
supplies of accessory buses give what their motors need with the thinnest wires that are drawn, no two outputs have one
address, and solenoids have pulse drivers only.
"""

from dataclasses import dataclass

from model import Random

# The kinds of driver, what they throw, and the volts of their own supply: (kind, motor, volts, weight).
KINDS = [("decoder", "stall", "16 V", 4), ("pulse", "solenoid", "18 V", 2), ("servo", "servo", "12 V", 2),
         ("switch", "stall", "12 V", 2), ("split switch", "stall", "24 V", 1)]
BY_HAND = ("switch", "split switch")


@dataclass
class Driver:
    name: str
    kind: str
    motor: str
    bus: int
    at: int
    outputs: int = 1
    address: int = None
    follows: str = None
    beside: tuple = None


class Drivers:
    def __init__(self, plan, seed):
        self.plan, self.random = plan, Random(seed, 0xD21)
        self.taken = {thing.name for things in (plan.tracks, plan.works, plan.switches, plan.reversers, plan.supplies, plan.buses)
                      for thing in things}
        self.supplies, self.buses, self.drivers, self.toggles = [], [], [], []
        self.of_motor, self.said = {}, {}

    def name(self, stem):
        # Names with a comma, dots and words that wires use are as good as others.
        stem = self.random.pick([stem, stem, stem, f"{stem}, ", f"{stem}.x ", f"to the {stem} "])
        for number in range(1, 1000):
            name = f"{stem}{number}"
            dotted = any(name.startswith(other + ".") or other.startswith(name + ".") for other in self.taken)
            if name not in self.taken and not dotted:
                self.taken.add(name)
                return name
        raise AssertionError("no name left")

    def bus(self, volts, middle):
        """An accessory bus of its own supply; one that is there already where it fits."""
        plan, random = self.plan, self.random
        fits = [b for b, bus in enumerate(self.buses) if bus["volts"] == volts]
        if fits and random.below(3):
            return random.pick(fits)
        supply = {"name": self.name("points supply "), "volts": volts, "middle": middle}
        self.supplies.append(supply)
        wire = random.pick(["16 AWG", "14 AWG"] if plan.imperial else ["1.5 mm²", "2.5 mm²"])
        self.buses.append({"name": self.name("points bus "), "supply": supply["name"], "wire": wire, "volts": volts,
                           "length": random.between(plan.grid(2.0), plan.grid(8.0))})
        return len(self.buses) - 1

    def settle(self):
        plan, random = self.plan, self.random
        motors = [s for s, switch in enumerate(plan.switches) if switch.kind == "motor"]
        address = random.between(1, 900)
        while motors:
            kind, motor, volts, _ = random.weighted([(k, k[3]) for k in KINDS])
            bus = self.bus(volts, kind == "split switch")
            count = min(len(motors), 1 if kind in BY_HAND else random.pick([1, 2, 4]))
            driver = Driver(self.name("D"), kind, motor, bus, random.between(0, self.buses[bus]["length"]))
            driver.outputs = count + (random.below(3) if kind not in BY_HAND else 0)
            if kind not in BY_HAND:
                driver.address, address = address, address + driver.outputs + random.below(4)
            elif random.once_in(2):
                driver.follows = self.name("lever ")
                self.toggles.append(driver.follows)
            if random.below(3):
                t = random.below(len(plan.tracks))
                driver.beside = (t, random.between(0, plan.tracks[t].length))
            self.drivers.append(driver)
            for output in random.shuffled(range(driver.outputs))[:count]:
                s = motors.pop(random.below(len(motors)))
                self.of_motor[s] = (driver, output)
                self.said[s] = {"reversed": random.once_in(4), "kind": random.once_in(2),
                                "lead": random.between(plan.grid(0.3), plan.grid(3.0)) if random.once_in(4) else None}
        for word in sorted({f"driver, {d.kind}" for d in self.drivers}):
            plan.part(word)

    # ── as it is written ────────────────────────────────────────────────────────────────────────────

    def motor_lines(self, text, s):
        driver, output = self.of_motor[s]
        said = self.said[s]
        lines = [f'driver = "{driver.name}{f".{output + 1}" if driver.outputs > 1 else ""}"']
        if said["kind"]:
            lines.append(f'kind = "{driver.motor}"')
        if said["reversed"]:
            lines.append("reversed = true")
        if said["lead"]:
            lines.append(f'lead_length = "{text.length(said["lead"])}"')
        return lines

    def lines(self, text):
        plan, lines = self.plan, []
        for supply in self.supplies:
            lines += ["", "[[supply]]", f'name = "{supply["name"]}"', 'kind = "dc"', f'voltage = "{supply["volts"]}"',
                      'trips = { at = "5 A" }'] + (["middle = true"] if supply["middle"] else [])
        for bus in self.buses:
            lines += ["", "[[bus]]", f'name = "{bus["name"]}"', f'supply = "{bus["supply"]}"', f'wire = "{bus["wire"]}"',
                      f'length = "{text.length(bus["length"])}"']
        for toggle in self.toggles:
            lines += ["", "[[toggle]]", f'name = "{toggle}"']
        for driver in self.drivers:
            lines += ["", "[[driver]]", f'name = "{driver.name}"', f'kind = "{driver.kind}"',
                      f'from = "{self.buses[driver.bus]["name"]} @ {text.length(driver.at)}"']
            if driver.outputs > 1:
                lines.append(f"outputs = {driver.outputs}")
            if driver.address is not None:
                lines += [f"address = {driver.address}", f'commands = "{plan.buses[0].name} @ {text.length(0)}"']
            if driver.follows:
                lines.append(f'follows = "{driver.follows}"')
            if driver.kind == "servo":
                lines.append('voltage = "5 V"')
            if driver.beside:
                t, at = driver.beside
                track = plan.tracks[t]
                lines.append(f'beside = "{track.name} @ {text.at(track, at)}"')
        return lines


def add(plan, seed):
    """Puts drivers on a plan that has grown."""
    plan.drivers = Drivers(plan, seed)
    plan.drivers.settle()
    return plan

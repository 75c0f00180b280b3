"""A plan as it is written."""

import boards
from model import LEFT

SIDES = ["left", "right"]
POLES = "AB"


def render(plan):
    return Text(plan).whole()


class Text:
    def __init__(self, plan):
        self.plan = plan

    def whole(self):
        plan = self.plan
        lines = ["[layout]", 'name = "grown"', f'scale = "{plan.scale}"']
        for key, value in plan.layout.items():
            lines.append(f'{key} = "{self.length(value) if key == "feeder_length" else value}"')
        if plan.hottest:
            lines += ["", "[room]", f'hottest = {{ temperature = "{plan.hottest}", humidity = "45 %" }}']
        for number, (length, running, pick_up) in enumerate(plan.trains, 1):
            lines += ["", "[[train]]", f'name = "train no {number}"', f'length = "{self.length(length)}"', f'draws = {{ running = "{running}" }}']
            lines += [f'pick_up = "{self.length(pick_up)}"'] if pick_up else []
        for supply in plan.supplies:
            lines += self.supply(supply)
        for b, bus in enumerate(plan.buses):
            lines += self.bus(bus) + ([f"plug = {plan.plugs[b]}"] if b in plan.plugs else [])
        lines += boards.lines(plan)
        tables = {
            "track": lambda: [line for t in plan.order[0] for line in self.track(plan.tracks[t])],
            "work": lambda: [line for work in plan.works for line in self.work(work)],
            "switch": lambda: [line for switch in range(len(plan.switches)) for line in self.switch(switch)],
            "reverser": lambda: [line for reverser in plan.reversers for line in self.reverser(reverser)],
        }
        for kind in plan.order[1]:
            lines += tables[kind]()
        if plan.drivers:
            lines += plan.drivers.lines(self)
        if plan.policy and plan.storage:
            names = ", ".join(f'"{plan.tracks[t].name}"' for t in plan.storage)
            lines += ["", "[storage]", f"tracks = [{names}]", f'live = "{plan.policy}"']
        return "\n".join(lines) + "\n"

    # ── quantities ──────────────────────────────────────────────────────────────────────────────────

    def length(self, value):
        """A length of the plan's grid in words; the same length is always written the same way."""
        if not self.plan.imperial:
            return [f"{value / 1000:g} m", f"{value} mm", f"{value / 10:g} cm", f"{value / 1000:.3f} m"][value % 4]
        inches = value / 8
        if value % 3 == 0:
            return f"{inches:g} in"
        feet, eighths = divmod(value, 96)
        whole, part = divmod(eighths, 8)
        for under in (2, 4):
            if part and part % (8 // under) == 0 and part * under % 8 == 0:
                part = f"{part * under // 8}/{under}"
                break
        words = [f"{feet} ft"] if feet else []
        if part and not isinstance(part, str):
            part = f"{part}/8"
        if whole or part or not feet:
            words.append(" ".join(str(w) for w in (whole or None, part or None) if w is not None) + " in" if whole or part else "0 in")
        return " ".join(words)

    def ref(self, ref):
        plan = self.plan
        if ref[0] == "bus":
            place = "" if ref[3] is None else f" @ {self.length(ref[3])}"
            return f"{plan.buses[ref[1]].name}.{POLES[ref[2]]}{place}"
        if ref[0] == "rail":
            track = plan.tracks[ref[1]]
            return f"{track.name}.{self.side(track, ref[2])} @ {self.at(track, ref[3])}"
        if ref[0] == "frog":
            return f"{plan.works[ref[1]].name}.{ref[2]}"
        if ref[0] == "out":
            return f"{plan.reversers[ref[1]].name}.{POLES[ref[2]]}"
        terminal = ref[3] if ref[3] == "common" else plan.positions(ref[1])[ref[3]]
        return f"{plan.switches[ref[1]].name}.{ref[2] + 1}.{terminal}"

    def side(self, track, side):
        return SIDES[1 - side if track.flipped else side]

    def at(self, track, at):
        return self.length(track.length - at if track.flipped else at)

    # ── tables ──────────────────────────────────────────────────────────────────────────────────────

    def supply(self, supply):
        lines = ["", "[[supply]]", f'name = "{supply.name}"']
        if supply.behind is not None:
            lines.append(f'behind = "{self.plan.supplies[supply.behind].name}"')
        if supply.opens:
            lines.append(f'opens = "{supply.opens}"')
        if supply.voltage:
            lines.append(f'voltage = "{supply.voltage}"')
        return lines + [f'trips = {{ at = "{supply.trip}" }}']

    def bus(self, bus):
        lines = ["", "[[bus]]", f'name = "{bus.name}"']
        if bus.start is None:
            lines.append(f'supply = "{self.plan.supplies[bus.supply].name}"')
        else:
            lines.append(f'from = "{self.plan.buses[bus.start[0]].name} @ {self.length(bus.start[1])}"')
        return lines + [f'wire = "{bus.wire}"', f'length = "{self.length(bus.length)}"']

    def end(self, end):
        if end[0] == "stop":
            return end[1]
        if end[0] == "work":
            return f"{self.plan.works[end[1]].name}.{end[2]}"
        track = self.plan.tracks[end[1]]
        return f'{track.name}.{"from" if (end[2] == 0) != track.flipped else "to"}'

    def track(self, track):
        plan = self.plan
        ends = [self.end(end) for end in track.ends]
        start, stop = reversed(ends) if track.flipped else ends
        lines = ["", "[[track]]", f'name = "{track.name}"', f'from = "{start}"', f'to = "{stop}"', f'length = "{self.length(track.length)}"']
        if track.stock:
            lines.append(f'stock = "{self.length(track.stock)}"')
        for side in (0, 1):
            to = track.belongs[side] or (("bus", track.bus, plan.pole(side), None) if track.fixed else None)
            own = any(f.side == side and f.to is None for f in track.feeders)
            if to and track.says_conductors or own:
                lines.append(f'{self.side(track, side)} = "{self.ref(to)}"')
        if track.along:
            bus, *places = track.along
            first, last = reversed(places) if track.flipped else places
            lines.append(f'along = {{ bus = "{plan.buses[bus].name}", from = "{self.length(first)}", to = "{self.length(last)}" }}')
        gaps = [(g.at, g.side) for g in track.gaps]
        joint = track.joint
        if joint == "gap":
            joiners = [(at, side) for at in (0, track.length) for side in (0, 1)]
            if all(j in gaps for j in joiners):
                gaps = [g for g in gaps if g not in joiners]
            else:
                joint = None
        if joint:
            lines.append(f'joint = "{joint}"')
        lines += self.spots("gaps", track, gaps) + self.spots("slides", track, track.slides) + self.spots("joints", track, track.joints, ', kind = "soldered"')
        if track.feeder_wire:
            lines.append(f'feeder_wire = "{track.feeder_wire}"')
        if track.feeder_length:
            lines.append(f'feeder_length = "{self.length(track.feeder_length)}"')
        feeders = self.feeders(track)
        return lines + ([f'feeders = [{", ".join(feeders)}]'] if feeders else [])

    def spots(self, key, track, spots, more=""):
        """Gaps and joints; what stands in both rails opposite each other is written once."""
        words = []
        for at, side in sorted(spots, key=lambda s: (s[0], -1 if s[1] is None else s[1])):
            both = side is None or ((at, 0) in spots and (at, 1) in spots)
            if both and side == 1:
                continue
            if both and not more:
                words.append(f'"{self.at(track, at)}"')
            else:
                rail = "" if both else f', rail = "{self.side(track, side)}"'
                words.append(f'{{ at = "{self.at(track, at)}"{rail}{more} }}')
        if track.flipped:
            words.reverse()
        return [f'{key} = [{", ".join(words)}]'] if words else []

    def feeders(self, track):
        plain = lambda f: f.to is None and f.wire is None and f.length is None
        twins = {f.at for f in track.feeders if plain(f) and any(plain(g) and g.at == f.at and g.side != f.side for g in track.feeders)}
        words = []
        for f in track.feeders:
            if f.at in twins and plain(f):
                if f.side == LEFT:
                    words.append(f'"{self.at(track, f.at)}"')
                continue
            keys = [f'at = "{self.at(track, f.at)}"', f'rail = "{self.side(track, f.side)}"']
            if f.to:
                keys.append(f'to = "{self.ref(f.to)}"')
            if f.wire:
                keys.append(f'wire = "{f.wire}"')
            if f.length:
                keys.append(f'length = "{self.length(f.length)}"')
            words.append(f'{{ {", ".join(keys)} }}')
        return words

    def work(self, work):
        lines = ["", f"[[{work.kind}]]", f'name = "{work.name}"']
        if work.number:
            lines.append(f"number = {work.number}")
        if work.kind == "turnout":
            lines += [f'hand = "{work.hand}"', f'wiring = "{work.wiring}"', f'lead = "{self.length(work.lead)}"', f'tail = "{self.length(work.tail)}"']
            return lines + ([f'joint = "{work.joint}"'] if work.joint else [])
        if work.kind == "slip":
            lines.append(f'kind = "{work.slip}"')
        lines.append(f'frogs = "{"live" if work.live else "insulated"}"')
        if work.kind == "crossing":
            if work.opposite:
                lines.append('phases = "opposite"')
            if work.live:
                switch = work.relay if work.relay is not None else work.controls["follows"]
                lines.append(f'follows = "{self.plan.switches[switch].name}"')
                if work.routes:
                    words = self.plan.positions(switch)
                    lines.append(f"routes = {{ {words[0]} = {work.routes[0]}, {words[1]} = {work.routes[1]} }}")
        return lines

    def switch(self, s):
        plan, switch = self.plan, self.plan.switches[s]
        lines = ["", f"[[{switch.kind}]]", f'name = "{switch.name}"']
        if switch.kind == "motor":
            moves = [f'"{plan.works[w].name}{"." + part if part else ""}"' for w, part in switch.moves]
            lines.append(f"moves = {moves[0] if len(moves) == 1 else '[' + ', '.join(moves) + ']'}")
        if switch.kind == "relay":
            lines.append(f'follows = "{plan.switches[switch.follows].name}"')
        if switch.wire:
            lines.append(f'wire = "{switch.wire}"')
        if switch.wire_length:
            lines.append(f'wire_length = "{self.length(switch.wire_length)}"')
        if plan.drivers and switch.kind == "motor":
            lines += plan.drivers.motor_lines(self, s)
        words = plan.positions(s)
        contacts = []
        for contact in switch.contacts:
            keys = []
            for key, wires in (("common", contact.common), (words[0], contact.pos[0]), (words[1], contact.pos[1])):
                refs = [f'"{self.ref(ref)}"' for ref in wires]
                if refs:
                    keys.append(f"{key} = {refs[0] if len(refs) == 1 else '[' + ', '.join(refs) + ']'}")
            contacts.append(f'  {{ {", ".join(keys)} }},')
        return lines + (["contact = [", *contacts, "]"] if contacts else [])

    def reverser(self, reverser):
        plan = self.plan
        lines = ["", "[[reverser]]", f'name = "{reverser.name}"', f'kind = "{reverser.kind}"']
        if reverser.follows is not None:
            lines.append(f'follows = "{plan.switches[reverser.follows].name}"')
        return lines + [f'from = "{plan.buses[reverser.bus].name} @ {self.length(reverser.place)}"']

"""On which board each thing of a plan lies, and the plugs in wires from one board to another (docs/language.md, Boards).

Method: what boards hold is written down by name; trackwork that none names lies where all tracks at its ends lie, a motor
where all that it moves is, a relay where the motor is that it follows, a reverser where its bus is.
"""

import quantities as q
from plan import listed

REST, ANYWHERE = "rest", None


class Boards:
    def __init__(self, plan):
        self.plan = plan
        self.held = {thing: name for name, table in plan.board.items() for thing in table["holds"]}
        beside = {}
        for name, track in plan.tracks.items():
            for text in track.ends.values():
                joined = plan.end(text)
                if joined and joined[0] == "work":
                    beside.setdefault(joined[1], set()).add(self.held.get(name, REST))
        for work, boards in beside.items():
            if len(boards) == 1:
                self.held.setdefault(work, *boards)

    def of(self, name):
        """Where a track, trackwork, bus, driver, motor, relay, toggle, reverser or supply is."""
        plan = self.plan
        if name in self.held:
            return self.held[name]
        if name in plan.motor:
            moved = listed(plan.motor[name]["moves"])
            boards = {self.of(work if work in plan.works else work.rpartition(".")[0]) for work in moved}
            return boards.pop() if len(boards) == 1 else ANYWHERE
        if name in plan.relay:
            leader = plan.relay[name]["follows"]
            while leader in plan.relay:
                leader = plan.relay[leader]["follows"]
            return self.of(leader) if leader in plan.motor else ANYWHERE
        if name in plan.reverser:
            return self.of(plan.split_place(plan.reverser[name]["from"], plan.bus)[0])
        return ANYWHERE if name in plan.toggle or name in plan.supply else REST

    def between(self, here, there):
        """What a wire from one thing to another has of a plug, in ohms: that of the board it starts on, else of the other."""
        here, there = self.of(here), self.of(there)
        if ANYWHERE in (here, there) or here == there:
            return (0.0,) * 3
        plugs = [self.plan.board[board]["plug"] for board in (here, there) if "plug" in self.plan.board.get(board, {})]
        return contact(plugs[0]) if plugs else (0.0,) * 3


def contact(plug):
    """The ohms of a contact of a plug."""
    said = plug.get("resistance") if isinstance(plug, dict) else None
    return (q.ohms(said),) * 3 if said else q.PLUG

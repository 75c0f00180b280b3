"""Boards that come apart, over a plan that is grown and wired: what each holds, and the plugs in what runs over its edge.

A board takes tracks, and now and then buses. No rail is soldered over an edge: where one would be, other tracks are taken.
"""

from model import Random

NAMES = ["board", "plate, east", "доска", "2. Teil", "far end (rear)"]


class Board:
    def __init__(self, name, plug):
        self.name, self.plug, self.tracks, self.buses = name, plug, [], []


def soldered_over_an_edge(plan, boards):
    """Whether what says that joints are soldered says it of one between two boards."""
    on = {t: board.name for board in boards for t in board.tracks}
    at_work = {}
    for t, track in enumerate(plan.tracks):
        for end in track.ends:
            if end[0] == "work":
                at_work.setdefault(end[1], set()).add(on.get(t))
    for t, track in enumerate(plan.tracks):
        for to in track.ends:
            if to[0] == "stop":
                continue
            if to[0] == "work":
                lies = at_work[to[1]]
                there = lies.pop() if len(lies) == 1 else None
                lies.add(there)
                said = [plan.works[to[1]].joint, track.joint]
            else:
                there, said = on.get(to[1]), [track.joint, plan.tracks[to[1]].joint]
            kind = next((kind for kind in said if kind), plan.layout.get("joint", "sliding"))
            if on.get(t) != there and kind == "soldered":
                return True
    return False


def plug(random):
    return random.pick(["true", '{ rating = "40 A" }', '{ rating = "30 A", resistance = "8 mΩ" }'])


def add(plan, seed):
    """Parts every other plan that can be parted."""
    random = Random(seed, 77)
    if random.once_in(2):
        return
    taken = {t.name for t in plan.tracks} | {w.name for w in plan.works} | {s.name for s in plan.switches}
    taken |= {b.name for b in plan.buses} | {s.name for s in plan.supplies} | {r.name for r in plan.reversers}
    names = [f"{random.pick(NAMES)} {k}" for k in (1, 2)][: random.between(1, 2)]
    if taken & set(names):
        return
    for _ in range(40):
        boards = [Board(name, plug(random)) for name in names]
        for things, held in ((range(len(plan.tracks)), "tracks"), (range(len(plan.buses)), "buses")):
            for thing in things:
                # Buses mostly stay where they are.
                place = random.below(len(boards) + (1 if held == "tracks" else 4))
                if place < len(boards):
                    getattr(boards[place], held).append(thing)
        if not soldered_over_an_edge(plan, boards):
            break
    else:
        return
    plan.boards = [board for board in boards if board.tracks or board.buses]
    for b, bus in enumerate(plan.buses):
        if bus.start is not None and (place_of(plan, b) != place_of(plan, bus.start[0]) or random.once_in(4)):
            plan.plugs[b] = plug(random)
            plan.part("bus with a plug")
    if plan.boards:
        plan.part("boards")


def place_of(plan, bus):
    return next((board.name for board in plan.boards if bus in board.buses), None)


def lines(plan):
    for board in plan.boards:
        holds = [f'"{plan.tracks[t].name}"' for t in board.tracks] + [f'"{plan.buses[b].name}"' for b in board.buses]
        yield from ["", "[[board]]", f'name = "{board.name}"', f'holds = [{", ".join(holds)}]', f"plug = {board.plug}"]

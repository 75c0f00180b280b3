"""Where trains can be at all, after docs/definitions.md: a fault that shows only under a train is planted only there."""

import trackwork
from model import ROOM


class Trains:
    """Tries all settings of a plan, once."""

    def __init__(self, plan):
        self.plan = plan
        self.at_port = {
            to[1:]: (t, e) for t, track in enumerate(plan.tracks) for e, to in enumerate(track.ends) if to[0] == "work"
        }
        self.routes_of = [trackwork.routes(work) for work in plan.works]
        # Tracks, and routes as (trackwork, index of the route), over which a train can be in some setting.
        self.tracks, self.routes = set(), set()
        self._try_all()

    def _run(self, t, end):
        """Plain track beyond a track's end: the trackwork there as (trackwork, port) or None, and what is passed."""
        length, passed = 0, {t}
        while True:
            to = self.plan.tracks[t].ends[end]
            if to[0] == "work":
                return to[1:], length
            if to[0] == "stop" or to[1] in passed:
                return None, length
            t, end = to[1], 1 - to[2]
            passed.add(t)
            length += self.plan.tracks[t].length

    def _has_room(self, t):
        length = self.plan.tracks[t].length + self._run(t, 0)[1] + self._run(t, 1)[1]
        return length >= self.plan.grid(ROOM)

    def _set(self, w, route, setting):
        controls = self.plan.works[w].controls
        return all(setting[controls[part]] == position for part, position in route[2])

    def _clear(self, met, setting):
        """Whether it is clear ahead for a train that comes to this end of trackwork, or to the end of the line."""
        seen = set()
        while met is not None and met not in seen:
            seen.add(met)
            w, port = met
            route = next((r for r in self.routes_of[w] if port in r[:2] and self._set(w, r, setting)), None)
            if route is None:
                return False
            met = self._beyond(w, route[1] if route[0] == port else route[0])
        return True

    def _beyond(self, w, port):
        """What a train comes to that leaves trackwork by an end: the next trackwork; None where it has room before it."""
        t, end = self.at_port[w, port]
        return None if self._has_room(t) else self._run(t, 1 - end)[0]

    def settings(self):
        plan = self.plan
        free = [s for s, switch in enumerate(plan.switches) if switch.kind != "relay"]
        three = [w for w in plan.works if w.kind == "three_way"]
        for number in range(1 << len(free)):
            setting = {s: number >> k & 1 for k, s in enumerate(free)}
            if not any(setting[w.controls["left"]] and setting[w.controls["right"]] for w in three):
                yield setting

    def _try_all(self):
        narrow = [t for t in range(len(self.plan.tracks)) if not self._has_room(t)]
        self.tracks = set(range(len(self.plan.tracks))) - set(narrow)
        for setting in self.settings():
            for t in narrow:
                if all(self._clear(self._run(t, end)[0], setting) for end in (0, 1)):
                    self.tracks.add(t)
            for w, routes in enumerate(self.routes_of):
                for k, route in enumerate(routes):
                    if (w, k) not in self.routes and self._set(w, route, setting):
                        if all(self._clear(self._beyond(w, port), setting) for port in route[:2]):
                            self.routes.add((w, k))

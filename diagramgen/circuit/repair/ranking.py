"""Which change of leads is the likelier one, and the lug of a net where a lead would be put.

Evidence, none of it a proof: a lug without any lead lacks one, and two such lugs one between them; a lead
that leads nowhere was put on the wrong lug; a lead slips to another lug of its part sooner than to another part; two
ends of one coil are exchanged sooner than two others; a coil's start lies on ground, or toward it (common
practice, no source); like parts are wired alike.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Sequence

from diagramgen.circuit.net_roles import ground_nodes
from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.rules.connections import is_strings, touched
from diagramgen.circuit.values import elements_of, lug_of
from diagramgen.model.build import Build, End, Lead, Part

Rank = tuple[object, ...]


class Likely:
    """What is known of a build's leads before any change."""

    def __init__(self, build: Build, wanting: Collection[str] = (), volumes: Collection[str] = ()):
        """``wanting``: lugs that lack a lead; ``volumes``: knobs (``part.control``) in the way of a coil."""
        self.build, self.volumes = build, volumes
        self.graph = connect(build)
        self.used = touched(build)
        self.ends = Counter(str(e) for lead in build.leads for e in (lead.start, lead.end))
        self.place = {f"{p.name}.{lug}": i for i, (p, lug) in enumerate(
            (p, lug) for p in build.parts.values() for lug in p.symbol.lug_names())}
        self.conductors = {f"{p.name}.{name}" for p in build.parts.values() for lug in p.symbol.drawing.lugs
                           if lug.kind == "conductor" for row in lug.names for name in row}
        self.hidden = {f"{p.name}.{name}" for p in build.parts.values() for lug in p.symbol.drawing.lugs
                       if lug.kind == "sleeve" for row in lug.names for name in row} - self.used
        """Joints under tape that nobody opened."""
        self.clamps = {f"{p.name}.{lug}" for p in build.parts.values() for metal in p.symbol.metal
                       if is_strings(p, metal) for lug in metal.lugs}
        self.needed = frozenset(wanting)
        self.alike = {strict: Counter(self._pattern(lead, strict) for lead in build.leads) for strict in (True, False)}
        self.partners = _partners(build)

    @property
    def strays(self) -> list[tuple[int, str]]:
        """Ends of leads on a switch's lug which no position joins to anything wired: number of the lead, which end."""
        return [(i, at) for i, lead in enumerate(self.build.leads) for at in ("start", "end")
                if lead.kind not in ("bend", "bridge", "leg") and self._leads_nowhere(str(getattr(lead, at)))]

    def _leads_nowhere(self, lug: str) -> bool:
        others = self.partners.get(lug)
        if others is None or self.ends[lug] > 1:
            return False
        return not any(self.used.intersection(self.graph.net_at(other)) for other in others)

    def loose(self, lug: str, other: str) -> bool:
        """Whether the end of a lead on a lug could be moved: a pickup's own conductor ends where it ends.

        ``other``: the lug at the lead's other end; of two conductors that meet either may be the one that is moved.
        """
        return lug not in self.conductors or other in self.conductors or self.ends[lug] > 1

    def wants(self, net: Sequence[str], lug: str) -> bool:
        """Whether a net is a bare lug of the same part to which an end may have belonged that leads nowhere on ``lug``.

        Not the other side of its own contact: that would only bridge the contact.
        """
        beside = any(other.partition(".")[0] == lug.partition(".")[0] for other in net)
        return beside and self.bare(net[0]) and not self.partners[lug].intersection(net)

    def bare(self, lug: str) -> bool:
        """Whether no lead reaches a lug."""
        return not self.used.intersection(self.graph.net_at(lug))

    def nearest(self, one: Sequence[str], other: Sequence[str]) -> tuple[str, str]:
        """The two lugs of two nets that a technician would join."""
        def worth(pair: tuple[str, str]) -> Rank:
            a, b = pair
            return (self._awkward(a) + self._awkward(b), *self._far(a, b), -self.ends[a] - self.ends[b],
                    self.place[a], self.place[b])

        a, b = min(((a, b) for a in one for b in other), key=worth)
        first = [lug in self.conductors or self.bare(lug) for lug in (a, b)]
        return (b, a) if first[1] and not first[0] else (a, b)

    def near(self, net: Sequence[str], here: str) -> str:
        """The lug of a net to which an end would be moved from a lug."""
        return min(net, key=lambda lug: (self._awkward(lug), *self._far(lug, here), -self.ends[lug],
                                             self.place[lug]))

    def _awkward(self, lug: str) -> int:
        """A net without a lead wants one; a conductor in the air takes no second lead well; and no signal ground should
        hang on the clamp of the bridge."""
        return 0 if self.bare(lug) else 3 if lug in self.clamps else 2 if lug in self.conductors else 1

    def _far(self, a: str, b: str) -> Rank:
        """Whether two lugs are on two parts, in two rooms, and how far apart the parts are in mm where it is known."""
        one, other = (self.build.parts[lug.partition(".")[0]] for lug in (a, b))
        return one.name != other.name, one.cavity != other.cavity, _distance(one, other)

    def order(self, change: str, leads: Sequence[Lead]) -> int:
        """How soon a kind of change comes into question that leads to these leads."""
        if change != "exchange":
            return {"back": 0, "add": 1, "move": 2, "take": 3}.get(change, 5)
        lugs = {str(e) for lead in self._gone(leads) for e in (lead.start, lead.end)}
        own = [{lug_of(p, e, end) for end in e.ends} for p, e in elements_of(self.build, "coil", "transducer")]
        return 2 if any(coil <= lugs for coil in own) else 4

    def rank(self, leads: Sequence[Lead], graph: Graph, reach: Sequence[int]) -> Rank:
        """How likely a change is that leads to these leads; of two the smaller is the likelier.

        ``reach``: what knobs do then, counted; more is better.
        """
        new, old = [lead for lead in leads if lead not in self.build.leads], self._gone(leads)
        to, before = ({str(e) for lead in some for e in (lead.start, lead.end)} for some in (new, old))
        parts = len({lug.partition(".")[0] for lug in to ^ before}) - 1 if old else 0
        nets = [self.graph.net_at(lug) for lug in to - before]
        needed = sum(bool(self.needed.intersection(net)) for net in nets)
        bare = sum(not self.used.intersection(net) for net in nets)
        like, near = (self._like(new, old, strict) for strict in (True, False))
        # Two bare ends that a lead would join are likelier than what only looks like another lead.
        meet = not old and bare > 1
        return parts, -like, -needed, *(-n for n in reach), self._backwards(graph), -meet, -near, -bare

    def _gone(self, leads: Sequence[Lead]) -> list[Lead]:
        return [lead for lead in self.build.leads if lead not in leads]

    def _like(self, new: Sequence[Lead], old: Sequence[Lead], strict: bool) -> int:
        """How many of the new leads have a like among those that were not changed."""
        kept = self.alike[strict] - Counter(self._pattern(lead, strict) for lead in old)
        return sum(kept[self._pattern(lead, strict)] > 0 for lead in new)

    def _backwards(self, graph: Graph) -> int:
        """Coils whose finish lies on ground and whose start does not."""
        ground = ground_nodes(self.build, graph)
        return sum(lug_of(p, e, "finish") in ground and lug_of(p, e, "start") not in ground
                   for p, e in elements_of(self.build, "coil"))

    def _pattern(self, lead: Lead, strict: bool) -> frozenset[str]:
        """The kinds of lugs a lead joins; which coil of a pickup, which throw and, but for ``strict``, which pole is
        all one."""
        return frozenset(self._kind(end, strict) for end in (lead.start, lead.end))

    def _kind(self, end: End, strict: bool) -> str:
        part = self.build.parts.get(end.part)
        if part is None:
            return ""
        coil = any(e.kind == "coil" for e in part.symbol.elements)
        volume = any(f"{part.name}.{c.name}" in self.volumes for c in part.symbol.controls)
        words = [w for w in end.lug.split() if not w.isdigit() and not ((coil or not strict) and len(w) == 1)]
        return f"{part.symbol.name}{' as volume' if volume else ''}.{' '.join(words)}"


def _partners(build: Build) -> dict[str, set[str]]:
    """Lug of a switch -> the lugs that some position joins to it."""
    found: dict[str, set[str]] = {}
    for part in build.parts.values():
        for table in part.symbol.contacts:
            for row in table.rows:
                for group in row.joins:
                    lugs = {f"{part.name}.{lug}" for lug in group}
                    for lug in lugs:
                        found.setdefault(lug, set()).update(lugs - {lug})
    return found


def _distance(one: Part, other: Part) -> float:
    if one.at is None or other.at is None or one.cavity != other.cavity:
        return math.inf if one.name != other.name else 0.0
    return math.hypot(one.at.x - other.at.x, one.at.y - other.at.y)

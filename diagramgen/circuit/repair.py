"""The smallest change of leads that makes every wanted sound true: found by trying, proved by solving.

Every single change is tried: one end of a lead moved to another net, two lead ends exchanged, a lead added, a lead
taken out. What is proposed keeps every promise in every state it speaks of and raises no new error on grounds and
metal. Two changes at once are not tried. Effort is counted, never timed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from diagramgen.build.model import Build, End, Lead, Wanted
from diagramgen.build.network import BadNetwork, coils, read_network
from diagramgen.circuit.chart import chart, coils_of
from diagramgen.circuit.graph import Graph, connect
from diagramgen.circuit.network import Frame, frame, merged, network
from diagramgen.circuit.rules import check_connections
from diagramgen.circuit.solve import sweep
from diagramgen.circuit.sounds import FREQUENCIES, listen
from diagramgen.circuit.states import Space, space
from diagramgen.circuit.supply import supply
from diagramgen.circuit.wanted import coil_parts, judged, matching, mismatches, states_of
from diagramgen.problems import Collector, Severity

EFFORT = 12_000
"""Changes tried at most."""
HUNDRED = 100
"""States of a promise looked at before a change is proved in all of them."""


@dataclass(frozen=True)
class Change:
    """One change of leads, in words, and the leads after it."""

    words: str
    leads: tuple[Lead, ...]


@dataclass(frozen=True)
class Repair:
    """What the search found; ``change`` is None where no single change will do."""

    change: Change | None
    tried: int
    complete: bool
    """Whether every single change was tried or one was found."""

    @property
    def text(self) -> str:
        """For a technician."""
        if self.change is not None:
            return f"Smallest change: {self.change.words}. Then every wanted sound is true."
        scope = "No single" if self.complete else f"None of {self.tried}"
        return f"{scope} change of leads makes every wanted sound true; two at once were not tried."


def smallest_change(build: Build, effort: int = EFFORT) -> Repair:
    """Search for one change of leads after which every wanted sound is true.

    Raises ``ValueError`` as ``chart`` does.
    """
    trial = _Trial(build)
    tried = 0
    for change in changes(build):
        if tried >= effort:
            return Repair(None, tried, False)
        tried += 1
        if trial.may(change) and _proved(build, change, trial.errors):
            return Repair(change, tried, True)
    return Repair(None, tried, True)


def changes(build: Build) -> Iterator[Change]:
    """Every single change: ends moved, ends exchanged, leads added, leads taken out."""
    graph = connect(build)
    lugs = [f"{p.name}.{lug}" for p in build.parts.values() for lug in p.symbol.lug_names()]
    known = set(lugs)
    spots = [lug for net in graph.nets() if (lug := next((n for n in net if n in known), None)) is not None]
    ends = [(i, at) for i, lead in enumerate(build.leads) for at in ("start", "end")
            if lead.start.known and lead.end.known]
    for i, at in ends:
        yield from _moved(build, graph, spots, i, at)
    for n, one in enumerate(ends):
        for other in ends[n + 1 :]:
            found = _exchanged(build, graph, one, other)
            if found is not None:
                yield found
    for n, a in enumerate(spots):
        for b in spots[n + 1 :]:
            lead = replace(build.leads[0], tag="new", start=_end(build, a), end=_end(build, b), kind="wire",
                           shield_to=(), cable="", bus="") if build.leads else None
            if lead is not None:
                yield Change(f"add a lead from {a} to {b}", (*build.leads, lead))
    for i, lead in enumerate(build.leads):
        yield Change(f"take out {_name(lead)}", (*build.leads[:i], *build.leads[i + 1 :]))


def _moved(build: Build, graph: Graph, spots: Sequence[str], i: int, at: str) -> Iterator[Change]:
    lead = build.leads[i]
    here = str(getattr(lead, at))
    for spot in spots:
        if not graph.joined(spot, here):
            yield Change(f"move the end of {_name(lead)} from {here} to {spot}",
                         _with(build.leads, {i: _put(lead, at, _end(build, spot))}))


def _exchanged(build: Build, graph: Graph, one: tuple[int, str], other: tuple[int, str]) -> Change | None:
    (i, a), (j, b) = one, other
    first, second = build.leads[i], build.leads[j]
    x, y = getattr(first, a), getattr(second, b)
    if i == j or graph.joined(str(x), str(y)):
        return None
    words = f"exchange the ends at {x} and {y} ({_name(first)} and {_name(second)})"
    return Change(words, _with(build.leads, {i: _put(first, a, y), j: _put(second, b, x)}))


def _put(lead: Lead, at: str, end: End) -> Lead:
    return replace(lead, start=end) if at == "start" else replace(lead, end=end)


def _with(leads: tuple[Lead, ...], new: dict[int, Lead]) -> tuple[Lead, ...]:
    return tuple(new.get(i, lead) for i, lead in enumerate(leads))


def _name(lead: Lead) -> str:
    return f"lead {lead.tag} ({lead.start} to {lead.end})"


def _end(build: Build, lug: str) -> End:
    part, _, name = lug.partition(".")
    return End(part, name, build.parts[part].place)


class _Trial:
    """Judges changes quickly: nets by joining points, and only the states that promises speak of."""

    def __init__(self, build: Build):
        graph = connect(build)
        self.nodes = {node: i for i, node in enumerate(graph.nodes)}
        own = frame(replace(build, leads=()), made=())
        to = [self.nodes.get(net[0], 0) for net in own.nets]
        points = tuple((node,) for node in graph.nodes)
        self.frame = Frame(build, points, self.nodes, own.elements.mapped(to), (), own.jack)
        self.fixed = [(self.nodes[net[0]], self.nodes[n]) for net in own.nets for n in net[1:] if n in self.nodes]
        self.fixed += [(to[a], to[b]) for a, b in own.joined]
        written = {frozenset((str(x.start), str(x.end))) for x in build.leads}
        self.fixed += [(self.nodes[e.a], self.nodes[e.b]) for e in graph.edges
                       if e.kind == "braid" or (e.kind == "leg" and frozenset((e.a, e.b)) not in written)]
        self.space: Space = space(build, all_plugs=True)
        self.names = coil_parts(build)
        self.coils = coils_of(build)
        broken = [m.wanted for m in mismatches(chart(build)) if m.kind != "unknown"]
        self.promises = sorted(_promises(build, self.space), key=lambda p: p[0] not in broken)
        self.errors = _errors(build)

    def may(self, change: Change) -> bool:
        """Whether every promise is kept in the states looked at."""
        pairs = [*self.fixed, *((self.nodes[str(x.start)], self.nodes[str(x.end)]) for x in change.leads
                                if x.start.known and x.end.known)]
        start = merged(self.frame.size, pairs)
        return all(self._kept(start, wanted, index) for wanted, indices in self.promises for index in indices)

    def _kept(self, start: list[int], wanted: Wanted, index: int) -> bool:
        numbers = self.space.numbers(index)
        closes = [(self.nodes[a], self.nodes[b]) for digit, at in zip(self.space.digits, numbers, strict=True)
                  for a, b in digit.closes[at]]
        classes = merged(self.frame.size, closes, start)
        plug = self.space.plug_at(numbers)
        if plug == "out":
            return True
        net = network(self.frame, classes, plug, supply(self.frame, classes).powered)
        asked = _asked(wanted, self.names)
        if asked is not None and not asked <= {self.names[s] for s in net.sources}:
            return False
        sound = listen(net, sweep(net, FREQUENCIES), self.coils)
        return not any(m.kind != "unknown" for m in judged(wanted, {}, sound, self.names))


def _promises(build: Build, states: Space) -> Iterator[tuple[Wanted, list[int]]]:
    for wanted in build.wanted:
        indices = [i for i, _ in zip(states_of(states, wanted), range(HUNDRED), strict=False)]
        yield wanted, indices


def _asked(wanted: Wanted, names: dict[str, str]) -> set[str] | None:
    """The coils a promise names; None where it names none."""
    try:
        found = read_network(wanted.sounds) if wanted.sounds else None
    except BadNetwork:
        return None
    return {names.get(f"{c.part}.{c.coil}" if c.coil else c.part, "") for c in coils(found)} if found else None


def applied(build: Build, change: Change) -> Build:
    """The build after a change; a component whose leg was moved hangs by its leads alone."""
    kept = {frozenset((str(x.start), str(x.end))) for x in change.leads}
    parts = {}
    for name, part in build.parts.items():
        legs = zip(part.symbol.lug_names(), part.between or (), strict=False)
        loose = any(frozenset((f"{name}.{lug}", str(end))) not in kept for lug, end in legs)
        parts[name] = replace(part, between=None) if loose else part
    return replace(build, parts=parts, leads=change.leads)


def _proved(build: Build, change: Change, before: frozenset[tuple[str, str]]) -> bool:
    """Solved in full: every promise kept in every state, and no new error on grounds and metal."""
    mended = applied(build, change)
    found = chart(mended)
    names = coil_parts(mended)
    for wanted in mended.wanted:
        for state, result in matching(found, wanted):
            if any(m.kind != "unknown" for m in judged(wanted, state, result.sound, names)):
                return False
    return _errors(mended) <= before


def _errors(build: Build) -> frozenset[tuple[str, str]]:
    say = Collector()
    check_connections(build, say)
    return frozenset((p.code, p.message) for p in say if p.severity is Severity.ERROR)

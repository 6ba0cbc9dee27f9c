"""Proposals for a build that breaks its promises: the smallest change of leads after which every one is kept.

Searched are single changes (an end moved to another net, two ends exchanged, a lead more, a lead less), in this
order; where none will do, two at once: the first is taken from those that come nearest (``Trial.grade``), both move or
exchange ends on nets that take part in the states that fail. The effort is counted in changes tried, so that a search
ends alike on every machine. Whatever is proposed was solved in every state and raises no new error.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from diagramgen.build.model import Build, End, Lead
from diagramgen.circuit.chart import chart
from diagramgen.circuit.graph import Graph, connect
from diagramgen.circuit.outputs import named
from diagramgen.circuit.rules import check_connections
from diagramgen.circuit.trial import Trial
from diagramgen.circuit.values import SOUNDING, elements_of
from diagramgen.circuit.wanted import coil_parts, judged, matching, mismatches, sound_of
from diagramgen.problems import Collector, Severity

EFFORT = 12_000
"""Single changes tried at most."""
EFFORT_OF_TWO = 3_000
"""Second changes tried at most, after the first ones that come nearest."""

Errors = Callable[[Build], frozenset[tuple[str, str]]]
"""What is wrong with a build, as code and place."""


@dataclass(frozen=True)
class Change:
    """One change of leads, or two, in words, and the leads after it."""

    words: str
    leads: tuple[Lead, ...]


@dataclass(frozen=True)
class Repair:
    """What the search found; ``change`` is None where nothing tried will do."""

    change: Change | None
    tried: int
    complete: bool
    """Whether every single change was tried or a change was found."""
    pairs: int = 0
    """Second changes tried."""

    @property
    def text(self) -> str:
        """For a technician."""
        if self.change is not None:
            return f"Smallest change{' found' if self.pairs else ''}: {self.change.words}. " \
                   "Then every wanted sound is true."
        scope = "No single" if self.complete else f"None of {self.tried}"
        two = f"nor did any of {self.pairs} pairs tried" if self.pairs else "two at once were not tried"
        return f"{scope} change of leads makes every wanted sound true; {two}."


def connection_errors(build: Build) -> frozenset[tuple[str, str]]:
    """Errors on grounds and metal."""
    say = Collector()
    check_connections(build, say)
    return frozenset((p.code, str(p.place)) for p in say if p.severity is Severity.ERROR)


def smallest_change(
    build: Build, effort: int = EFFORT, of_two: int = EFFORT_OF_TWO, errors: Errors = connection_errors
) -> Repair:
    """Search for one change of leads, then for two, after which every wanted sound is true.

    Raises ``ValueError`` as ``chart`` does.
    """
    trial = Trial(build)
    before = errors(build)
    tried = 0
    for change in changes(build):
        if tried >= effort:
            return Repair(None, tried, False)
        tried += 1
        if trial.may(change.leads) and _proved(build, change, before, errors):
            return Repair(change, tried, True)
    pairs = 0
    for change in _two_at_once(build, trial, of_two):
        pairs += 1
        if trial.may(change.leads) and _proved(build, change, before, errors):
            return Repair(change, tried, True, pairs)
    return Repair(None, tried, True, pairs)


def _two_at_once(build: Build, trial: Trial, effort: int) -> Iterator[Change]:
    """Pairs of changes, those first whose first change comes nearest; ``effort`` of them at most."""
    near = [change for change in changes(build, failing_nets(build)) if change.leads]
    near.sort(key=lambda change: -trial.grade(change.leads))
    left = effort
    for first in near:
        after = applied(build, first)
        for second in changes(after, failing_nets(after)):
            if left == 0:
                return
            left -= 1
            yield Change(f"{first.words}, and {second.words}", second.leads)


def failing_nets(build: Build) -> frozenset[str]:
    """Points on the nets of coils, tip and sleeve in the first state of each promise that is broken."""
    points: set[str] = set()
    lugs = [f"{p.name}.{lug}" for p, e in elements_of(build, *SOUNDING) for lug in e.ends.values()]
    lugs += [lug for at in dict.fromkeys(["", *(w.at for w in build.wanted)]) if (one := named(build, at))
             for lug in (one.lug, one.sleeve)]
    seen: set[int] = set()
    for found in mismatches(chart(build)):
        if found.kind != "unknown" and id(found.wanted) not in seen:
            seen.add(id(found.wanted))
            graph = connect(build, found.state)
            points.update(node for lug in lugs for node in graph.net_at(lug))
    return frozenset(points)


def changes(build: Build, within: Collection[str] | None = None) -> Iterator[Change]:
    """Every single change: ends moved, ends exchanged, leads added, leads taken out.

    ``within``: only ends at these points are moved or exchanged, and no lead is added or taken out.
    """
    graph = connect(build)
    lugs = [f"{p.name}.{lug}" for p in build.parts.values() for lug in p.symbol.lug_names()]
    known = set(lugs)
    spots = [lug for net in graph.nets() if (lug := next((n for n in net if n in known), None)) is not None]
    ends = [(i, at) for i, lead in enumerate(build.leads) for at in ("start", "end")
            if lead.start.known and lead.end.known and (within is None or str(getattr(lead, at)) in within)]
    for i, at in ends:
        yield from _moved(build, graph, spots, i, at)
    for n, one in enumerate(ends):
        for other in ends[n + 1 :]:
            found = _exchanged(build, graph, one, other)
            if found is not None:
                yield found
    if within is not None:
        return
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


def applied(build: Build, change: Change) -> Build:
    """The build after a change; a component whose leg was a lead that was moved hangs by its leads alone."""
    gone = {frozenset((str(x.start), str(x.end))) for x in build.leads}
    gone -= {frozenset((str(x.start), str(x.end))) for x in change.leads}
    parts = {}
    for name, part in build.parts.items():
        legs = zip(part.symbol.lug_names(), part.between or (), strict=False)
        loose = any(frozenset((f"{name}.{lug}", str(end))) in gone for lug, end in legs)
        parts[name] = replace(part, between=None) if loose else part
    return replace(build, parts=parts, leads=change.leads)


def _proved(build: Build, change: Change, before: frozenset[tuple[str, str]], errors: Errors) -> bool:
    """Solved in full: every promise kept in every state, and no new error."""
    mended = applied(build, change)
    found = chart(mended)
    names = coil_parts(mended)
    for wanted in mended.wanted:
        for state, result in matching(found, wanted):
            if any(m.kind != "unknown" for m in judged(wanted, state, sound_of(wanted, result), names)):
                return False
    return errors(mended) <= before

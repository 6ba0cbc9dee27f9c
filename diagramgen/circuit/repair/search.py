"""Proposals for a build that breaks its promises: the smallest change of leads after which every one is kept.

A missing lead is answered by a lead. Searched first are a lead more, and an end that leads nowhere put back on a bare
lug of its part; then single changes of leads that carry something (an end moved, two ends exchanged, a lead taken out);
where none will do, two at once: the first is taken from those that come nearest (``Trial.grade``), both move or
exchange ends on nets that take part in the states that fail. The effort is counted in changes tried, so that a search
ends alike on every machine. All changes of one kind are tried, and of those that break no rule (``forbidden``) the
likeliest one is proposed (``likely``); where several that differ in nets are equally good, that is said and none is
picked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from diagramgen.circuit.check_wanted import mismatches
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.outputs import named
from diagramgen.circuit.repair.forbidden import BARE, NOT_LUGS, Complaints, Rules, Standing
from diagramgen.circuit.repair.missing_ends import lacking
from diagramgen.circuit.repair.ranking import Likely
from diagramgen.circuit.repair.trial import Trial
from diagramgen.circuit.rules.connections import bare_lugs, check_connections
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import state_space
from diagramgen.circuit.values import SOUNDING, elements_of, lug_of
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location, Problem
from diagramgen.model.build import Build, End, Lead

EFFORT = 12_000
"""Single changes tried at most."""
EFFORT_OF_TWO = 3_000
"""Second changes tried at most, after the first ones that come nearest."""
WEIGHED, FEWEST = 60, 4
"""Changes that keep their promises held against the rules at most, and where there are very many states."""
STATES = 60_000
"""States solved for that at most, about."""
LOOKED_AT = 20
"""States looked at closely where no promise names any."""
BESIDE = frozenset({"CIR-250"})
"""Warnings of what is no fault of the circuit: colours."""
NAMED = 3
"""Changes that would do alike named at most."""
FIXED = ("bend", "bridge", "leg")
"""Kinds of leads that are not moved."""

Nets = frozenset[frozenset[str]]


@dataclass(frozen=True)
class Change:
    """One change of leads, or two, in words, and the leads after it."""

    words: str
    leads: tuple[Lead, ...]
    kind: str = ""
    """add | back (an end that leads nowhere, put where a lead lacks) | move | exchange | take; '' for two at once."""

    @property
    def ends(self) -> tuple[str, str]:
        """Both ends of the last lead: of the new one where a lead was added."""
        return str(self.leads[-1].start), str(self.leads[-1].end)


@dataclass(frozen=True)
class Repair:
    """What the search found; ``change`` is None where nothing tried will do, or nothing tells which of several."""

    change: Change | None
    tried: int
    complete: bool
    """Whether every single change was tried or a change was found."""
    pairs: int = 0
    """Second changes tried."""
    rivals: tuple[Change, ...] = ()
    """Changes that lead to different nets and would do alike, where there are several."""
    unproved: bool = False
    """Whether something wanted can be neither proved nor disproved after the change."""

    @property
    def kept(self) -> str:
        """What the change keeps, as far as it can be proved."""
        return f"every wanted sound{' that can be proved' if self.unproved else ''}"

    @property
    def text(self) -> str:
        """For a technician, where a promise is broken."""
        if self.change is not None:
            return f"Smallest change{' found' if self.pairs else ''}: {self.change.words}. " \
                   f"Then {self.kept} is true."
        if self.rivals:
            return f"{self._several} would make {self.kept} true, and nothing tells which was meant: " \
                   f"{self.named}."
        scope = "No single" if self.complete else f"None of {self.tried}"
        two = f"nor did any of {self.pairs} pairs tried" if self.pairs else "two at once were not tried"
        return f"{scope} change of leads makes every wanted sound true and harms nothing else; {two}."

    @property
    def guess(self) -> str:
        """For a technician, where every promise is kept and something lacks a lead; '' where nothing answers that."""
        kinds = {c.kind for c in (self.change, *self.rivals) if c is not None}
        seems = "a lead seems to be missing" if kinds == {"add"} else "a lead seems to be on the wrong lug" \
            if "add" not in kinds else "a lead seems to be missing or on the wrong lug"
        if self.change is not None:
            return f"{seems}: {self.change.words}"
        return f"{seems}, but nothing tells which of these was meant: {self.named}" if self.rivals else ""

    @property
    def _several(self) -> str:
        return f"{('Two', 'Three')[len(self.rivals) - 2] if len(self.rivals) < 4 else len(self.rivals)} changes"

    @property
    def named(self) -> str:
        """The changes that would do alike: the first ``NAMED`` in words, the others counted."""
        more = len(self.rivals) - NAMED
        return "; or ".join([c.words for c in self.rivals[:NAMED]] + ([f"{more} more"] if more > 0 else []))


def connection_problems(build: Build) -> list[Problem]:
    """What is said of grounds and metal."""
    say = Diagnostics()
    check_connections(build, say)
    return list(say)


def smallest_change(
    build: Build, effort: int = EFFORT, of_two: int = EFFORT_OF_TWO, complaints: Complaints = connection_problems
) -> Repair:
    """Search for one change of leads, then for two, after which every wanted sound is true.

    ``complaints``: what is said of a build besides broken promises; a proposal adds nothing to it.
    Raises ``ValueError`` as ``state_table`` does.
    """
    trial = Trial(build)
    search = _Search(build, trial, Rules(build, trial.space, trial.looked_at(), complaints), lacking(build))
    tried = 0
    fine: list[Change] = []
    for kinds in (leads_more(build), changes(build, None, ("move", "exchange", "take"))):
        for change in kinds:
            if tried >= effort:
                return search.best(fine, tried, complete=False)
            tried += 1
            if search.may(change):
                fine.append(change)
        found = search.best(fine, tried)
        # What a lead more leaves unanswered may show that a lead was moved instead.
        if (found.change is not None or found.rivals) and not search.left(found):
            return found
    if found.change is not None or found.rivals:
        return found
    pairs, fine = 0, []
    for change in _two_at_once(build, trial, of_two):
        pairs += 1
        if search.may(change):
            fine.append(change)
    return replace(search.best(fine, tried), pairs=pairs)


def lead_lacking(build: Build, complaints: Complaints, places: Collection[Location] = ()) -> Repair | None:
    """For a build that keeps its promises: the lead more, or the end put back, that answers what is said of it.

    Only lugs that lack a lead are tried (``lacking``, with the places it asks for); None where there is none. Raises
    ``ValueError`` as ``state_table`` does.
    """
    lugs = lacking(build, places)
    if not lugs:
        return None
    trial = Trial(build)
    search = _Search(build, trial, Rules(build, trial.space, trial.looked_at(), complaints), lugs)
    found = [change for change in leads_more(build) if change.kind == "back" or lugs.intersection(change.ends)]
    found += _slips(build, lugs)
    return search.best([change for change in found if search.may(change)], len(found), answers=True)


def bare_pair(build: Build, complaints: Complaints) -> Repair | None:
    """For a build that promises nothing: the lead between its only two bare ends, where nothing is left to say then.

    Bare ends: lugs an element cannot do without, and tip and sleeve of the jacks. Warnings that wires alone do not
    cause (``BESIDE``) may stay. Raises ``ValueError`` as ``state_table`` does.
    """
    graph = connect(build)
    likely = Likely(build)
    jacked = [f"{jack.name}.{lug}" for jack in jacks(build) for lug in ("tip", "sleeve")]
    nets = {graph.net_at(lug) for lug in (*bare_lugs(build, graph), *filter(likely.bare, jacked))}
    if len(nets) != 2:
        return None
    pairs = [change for change in leads_more(build) if change.kind == "add"
             and all(any(end in net for end in change.ends) for net in nets)]
    states = state_space(build, all_plugs=True)
    rules = Rules(build, states, range(min(states.count, LOOKED_AT)), complaints)
    for change in pairs:
        after = applied(build, change)
        graph = connect(after)
        if not rules.harm(after, graph) and isinstance(rules.stands(after, graph), Standing):
            left = [p.code for p in complaints(after) if p.severity is not Severity.NOTE or p.code in BARE]
            if set(left) <= BESIDE:
                return Repair(change, len(pairs), True)
    return None


def _slips(build: Build, lugs: Collection[str]) -> Iterator[Change]:
    """Ends moved to another lug of their part: onto a lug that lacks a lead, or of a lead whose other end lacks one."""
    for change in changes(build, None, ("move",)):
        old, new = next((a, b) for a, b in zip(build.leads, change.leads, strict=True) if a != b)
        here, to = ((old.start, new.start) if old.start != new.start else (old.end, new.end))
        kept = old.end if old.start != new.start else old.start
        if here.part == to.part and (str(to) in lugs or str(kept) in lugs):
            yield change


class _Search:
    """Changes of one build: which may be, and which is best."""

    def __init__(self, build: Build, trial: Trial, rules: Rules, wanting: Collection[str]):
        self.build, self.trial, self.rules = build, trial, rules
        self.likely = Likely(build, wanting, rules.ways.volumes)
        self.most = max(FEWEST, min(WEIGHED, STATES // trial.space.count))
        self.stood: dict[Nets, Standing | str] = {}

    def may(self, change: Change) -> bool:
        """Whether a change keeps its promises where they were looked at, and does no harm that leads alone show."""
        if not self.trial.may(change.leads):
            return False
        after = applied(self.build, change)
        return not self.rules.harm(after, connect(after))

    def best(self, fine: Sequence[Change], tried: int, complete: bool = True, answers: bool = False) -> Repair:
        """The best of some changes; several where they are equally good and lead to different nets.

        ``answers``: only changes after which less is said of the build than before.
        """
        ranked: list[tuple[tuple[object, ...], int, Nets]] = []
        fine = sorted(fine, key=lambda change: self.likely.order(change.kind, change.leads))
        for n, change in enumerate(fine):
            after = applied(self.build, change)
            graph = connect(after)
            nets = lug_nets(graph)
            if nets not in self.stood:
                if len(self.stood) >= self.most:
                    break
                self.stood[nets] = self.rules.stands(after, graph)
            standing = self.stood[nets]
            if isinstance(standing, Standing) and (not answers or self._answers(change, standing)):
                ranked.append((self._rank(change, graph, standing, answers), n, nets))
        if not ranked:
            return Repair(None, tried, complete)
        ranked.sort(key=lambda entry: entry[:2])
        first = {nets: fine[n] for rank, n, nets in reversed(ranked) if rank == ranked[0][0]}
        if len(first) == 1:
            return Repair(fine[ranked[0][1]], tried, True, unproved=self._unproved(first))
        return Repair(None, tried, True, rivals=tuple(reversed(first.values())), unproved=self._unproved(first))

    def _unproved(self, found: Iterable[Nets]) -> bool:
        return any(isinstance(s := self.stood[nets], Standing) and s.unproved for nets in found)

    def left(self, found: Repair) -> int:
        """What is still said after what was found."""
        after = applied(self.build, found.change or found.rivals[0])
        standing = self.stood[lug_nets(connect(after))]
        return standing.left if isinstance(standing, Standing) else 0

    def _answers(self, change: Change, standing: Standing) -> bool:
        """Whether less is said after a change, and no knob it wires is left without any use."""
        new = {str(e) for lead in change.leads if lead not in self.build.leads for e in (lead.start, lead.end)}
        dull = {lug_of(p, e, end) for p, e in elements_of(self.build, "track")
                if f"{p.name}.{e.by}" in standing.dull for end in e.ends}
        return standing.left < self.rules.left and not new & dull

    def _rank(self, change: Change, graph: Graph, standing: Standing, answers: bool) -> tuple[object, ...]:
        # Where no promise is broken nothing says that a lead is missing rather than moved.
        order = 0 if answers else self.likely.order(change.kind, change.leads)
        return (standing.left, standing.through, standing.past, standing.idle, order, standing.toned, standing.unlike,
                *self.likely.rank(change.leads, graph, (standing.darkened, standing.reach)), standing.passed)


def lug_nets(graph: Graph) -> Nets:
    """Which lugs are joined, the metal and braids they are joined by left out."""
    nets = (frozenset(n for n in net if not n.startswith(NOT_LUGS)) for net in graph.nets())
    return frozenset(net for net in nets if len(net) > 1)


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
    for found in mismatches(state_table(build)):
        if found.kind != "unknown" and id(found.wanted) not in seen:
            seen.add(id(found.wanted))
            graph = connect(build, found.state)
            points.update(node for lug in lugs for node in graph.net_at(lug))
    return frozenset(points)


def leads_more(build: Build) -> Iterator[Change]:
    """A lead more between any two nets, and a lead with an end that leads nowhere put back on a bare lug beside it."""
    graph = connect(build)
    likely = Likely(build)
    nets = list(_lugs_of_nets(build, graph, likely))
    for n, a in enumerate(nets):
        for b in nets[n + 1 :]:
            if build.leads:
                start, end = likely.nearest(a, b)
                lead = replace(build.leads[0], tag="new", start=_end(build, start), end=_end(build, end), kind="wire",
                               colour=None, shield_to=(), cable="", bus="", twisted_with="", remark="")
                yield Change(f"add a lead from {start} to {end}", (*build.leads, lead), "add")
    for i, at in likely.strays:
        wanting = [net for net in nets if likely.wants(net, str(getattr(build.leads[i], at)))]
        yield from (replace(change, kind="back") for change in _moved(build, graph, likely, wanting, i, at))


def changes(
    build: Build, within: Collection[str] | None = None, kinds: Collection[str] = ("move", "exchange", "add", "take")
) -> Iterator[Change]:
    """Every single change of these kinds: ends moved, ends exchanged, leads added, leads taken out.

    ``within``: only ends at these points are moved or exchanged, and no lead is added or taken out. A bent lug, a
    solder bridge and a component's leg stay where they are.
    """
    graph = connect(build)
    likely = Likely(build)
    nets = list(_lugs_of_nets(build, graph, likely))
    ends = [(i, at) for i, lead in enumerate(build.leads) for at in ("start", "end")
            if lead.start.known and lead.end.known and lead.kind not in FIXED
            and (within is None or str(getattr(lead, at)) in within)]
    if "move" in kinds:
        for i, at in ends:
            if likely.loose(*_both(build.leads[i], at)):
                yield from _moved(build, graph, likely, nets, i, at)
    if "exchange" in kinds:
        for n, one in enumerate(ends):
            for other in ends[n + 1 :]:
                found = _exchanged(build, graph, likely, one, other)
                if found is not None:
                    yield found
        if within is None:
            yield from _turned_round(build)
    if within is None and "add" in kinds:
        yield from (change for change in leads_more(build) if change.kind == "add")
    if within is None and "take" in kinds:
        for i, lead in enumerate(build.leads):
            if lead.kind not in FIXED:
                yield Change(f"take out {_name(lead)}", (*build.leads[:i], *build.leads[i + 1 :]), "take")


def _lugs_of_nets(build: Build, graph: Graph, likely: Likely) -> Iterator[tuple[str, ...]]:
    known = {f"{p.name}.{lug}" for p in build.parts.values() for lug in p.symbol.lug_names()} - likely.hidden
    for net in graph.nets():
        lugs = tuple(n for n in net if n in known)
        if lugs:
            yield lugs


def _moved(
    build: Build, graph: Graph, likely: Likely, nets: Iterable[tuple[str, ...]], i: int, at: str
) -> Iterator[Change]:
    lead = build.leads[i]
    here = str(getattr(lead, at))
    for net in nets:
        if not graph.joined(net[0], here):
            spot = likely.near(net, here)
            yield Change(f"move the end of {_name(lead)} from {here} to {spot}",
                         _with(build.leads, {i: _put(lead, at, _end(build, spot))}), "move")


def _both(lead: Lead, at: str) -> tuple[str, str]:
    """The lugs of a lead, that at the end asked for first."""
    return (str(lead.start), str(lead.end)) if at == "start" else (str(lead.end), str(lead.start))


def _exchanged(
    build: Build, graph: Graph, likely: Likely, one: tuple[int, str], other: tuple[int, str]
) -> Change | None:
    (i, a), (j, b) = one, other
    first, second = build.leads[i], build.leads[j]
    x, y = getattr(first, a), getattr(second, b)
    if i == j or graph.joined(str(x), str(y)):
        return None
    loose = [likely.loose(*_both(first, a)), likely.loose(*_both(second, b))]
    if not all(loose) and not {str(x), str(y)} <= likely.conductors:
        return None
    words = f"exchange the ends at {x} and {y} ({_name(first)} and {_name(second)})"
    return Change(words, _with(build.leads, {i: _put(first, a, y), j: _put(second, b, x)}), "exchange")


def _turned_round(build: Build) -> Iterator[Change]:
    """A coil's two ends exchanged where more than one lead is on an end: one piece of work at the bench."""
    for part, element in elements_of(build, *SOUNDING):
        one, other = (lug_of(part, element, end) for end in element.ends)
        ends = {one: _end(build, other), other: _end(build, one)}
        count = Counter(lug for lead in build.leads for lug in (str(lead.start), str(lead.end)) if lug in ends)
        if len(count) == 2 and count.total() > 2:
            leads = tuple(replace(lead, start=ends.get(str(lead.start), lead.start),
                                  end=ends.get(str(lead.end), lead.end)) for lead in build.leads)
            yield Change(f"exchange all that is on {one} with what is on {other}", leads, "exchange")


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

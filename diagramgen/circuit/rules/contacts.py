"""Switch contacts that switch nothing: both sides joined by another way, or the far side not wired."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from diagramgen.circuit.net_roles import ground_nodes
from diagramgen.circuit.netlist import template_of
from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.rules.connections import path_words, touched
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.states import each_classes
from diagramgen.circuit.values import knobs_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.library.model import ContactTable
from diagramgen.model.build import Build, Part

CIR_120 = Code(
    "CIR-120", Severity.WARNING, "A lead ends on a lug of a switch, and every lug that some position joins to it is "
    "without a lead: it leads nowhere in any position",
    text="Those lugs are named.",
    advice="Wire the other side of the contact, or write '-> parked' if the lead only rests there.",
    also=((Severity.NOTE, "where several leads end on it: the lug may only tie them together"),),
    was="C120")
CIR_252 = Code(
    "CIR-252", Severity.WARNING, "A contact of a switch switches nothing",
    text="Its two lugs are on one net in every state of all switches, though the contact itself opens in some of "
         "them. One lug was used for two things, or a lead bridges the contact; the other way is named. Bridged "
         "commons, poles in parallel, positions that close two throws, and throws joined to each other where a third "
         "position opens them raise nothing, for their contacts part in some state. A pole all of whose lugs lie on "
         "ground is a tie point; builds of more than 2000 states are not judged. What is joined only by a wiper at an "
         "end of its track does not count.", was="C252")
CIR_270 = Code(
    "CIR-270", Severity.NOTE, "A switch of three or more positions joins throws without a lead to lugs in use, in "
    "positions of which no promise speaks",
    text="Only who planned it knows whether they are meant to be free.",
    advice="Is it meant so? What a position shall give can be said under 'wanted'; then it is proved.", was="C270")

MANY = 2000
"""States above which contacts are not judged."""
MANY_WAYS = 3
"""Positions from which on a switch is asked about throws that are free; of two, one is free as often as not."""
BETWEEN = (2.5, 7.5)
"""Turns at which no wiper but one half of a blend's stands at the end of its track."""


@dataclass(frozen=True)
class Contact:
    """Two lugs that some positions of a switch join and others part."""

    part: Part
    control: str
    one: str
    other: str

    @property
    def words(self) -> str:
        """``lever: a common to a 1``."""
        return f"{self.part.name}: {self.one.partition('.')[2]} to {self.other.partition('.')[2]}"


def check(found: StateTable, say: Diagnostics) -> None:
    """Warn of contacts whose two lugs are joined in every state (CIR-252) and leads that meet nothing (CIR-120,
    CIR-270)."""
    graph = connect(found.build)
    _free_throws(found, graph, say)
    ground = ground_nodes(found.build, graph)
    if found.count <= MANY:
        # One word for each pole: where two of its throws are joined both contacts are idle for the same reason.
        for pole, contact in {frozenset(_pole(c)): c for c in reversed(_always_joined(found))}.items():
            if not pole <= ground:
                _say_bypassed(found, contact, say)
    ends = _ends(found.build)
    for part, lug, others in _dead_ends(found.build, graph):
        bare = " or ".join(sorted(others))
        if ends.count(lug) == 1:
            say.add(CIR_120, part.place, f"a lead ends on {lug}, and no position joins that lug to anything wired: "
                    f"none ends on {bare}")
        else:
            say.add(CIR_120.at(Severity.NOTE), part.place,
                    f"{lug} only ties its leads together: no lead ends on {bare}",
                    "Is the other side of the contact still to be wired?")


def _contacts(build: Build) -> Iterator[Contact]:
    for part in build.parts.values():
        for table in part.symbol.contacts:
            control = part.symbol.control(table.control)
            if control is None or control.kind == "plug":
                continue
            rows = [_pairs(table, position) for position in control.positions]
            for a, b in dict.fromkeys(pair for row in rows for pair in row):
                if not all((a, b) in row for row in rows):
                    yield Contact(part, f"{part.name}.{table.control}", f"{part.name}.{a}", f"{part.name}.{b}")


def _pairs(table: ContactTable, position: str) -> list[tuple[str, str]]:
    """Every two lugs a position joins."""
    return [pair for row in table.rows if row.between is None and row.position == position
            for group in row.joins for pair in itertools.combinations(group, 2)]


def _always_joined(found: StateTable) -> list[Contact]:
    """Contacts whose lugs are on one net in every state."""
    left = list(_contacts(found.build))
    # A wiper at the end of its track joins too: only what is joined wherever the knobs stand is idle.
    for knobs in ({}, *(dict.fromkeys(knobs_of(found.build), turn) for turn in BETWEEN)):
        here = template_of(found.build, knobs)
        for classes in each_classes(here, found.space.switches):
            left = [c for c in left if classes[here.lug(c.one)] == classes[here.lug(c.other)]]
            if not left:
                return left
    return left


def _pole(contact: Contact) -> set[str]:
    """All lugs that some position joins to one of a contact's, directly or by others."""
    pole = {contact.one, contact.other}
    pairs = [{c.one, c.other} for c in _contacts_of(contact.part)]
    while more := [p for p in pairs if p & pole and not p <= pole]:
        pole |= set().union(*more)
    return pole


def _contacts_of(part: Part) -> Iterator[Contact]:
    for table in part.symbol.contacts:
        for row in table.rows:
            for a, b in _pairs(table, row.position or ""):
                yield Contact(part, f"{part.name}.{table.control}", f"{part.name}.{a}", f"{part.name}.{b}")


def _say_bypassed(found: StateTable, contact: Contact, say: Diagnostics) -> None:
    """Name the other way in a state in which the contact itself is open."""
    for index in range(found.count):
        state = found.space.state(index)
        graph = connect(found.build, state)
        if any({e.a, e.b} == {contact.one, contact.other} and e.kind == "contact" for e in graph.edges):
            continue
        path = graph.path(contact.one, contact.other)
        if path is None:
            continue  # joined through a wiper at the end of its track
        say.add(CIR_252, contact.part.place,
                f"{contact.words} switches nothing: the two lugs are joined in every position",
                f"The other way: {path_words(path, contact.one)}. Is one lug used for two things?")
        return


def _dead_ends(build: Build, graph: Graph) -> Iterator[tuple[Part, str, set[str]]]:
    """Lugs of switches with a lead, whose contacts lead to nothing but lugs nobody wired, and those lugs."""
    used, ends = touched(build), _ends(build)
    for part in build.parts.values():
        partners: dict[str, set[str]] = {}
        plugs = {f"{part.name}.{c.name}" for c in part.symbol.controls if c.kind == "plug"}
        for c in (c for c in _contacts_of(part) if c.control not in plugs):
            partners.setdefault(c.one, set()).add(c.other)
            partners.setdefault(c.other, set()).add(c.one)
        for lug, others in partners.items():
            if lug in ends and not any(_wired(graph, other, used) for other in others):
                yield part, lug, others


def _ends(build: Build) -> list[str]:
    return [str(e) for lead in build.leads for e in (lead.start, lead.end)]


def _free_throws(found: StateTable, graph: Graph, say: Diagnostics) -> None:
    """Throws without a lead of poles in use, in positions of which no promise speaks: only a look can tell
    (CIR-270)."""
    used = touched(found.build)
    loud, quiet = (frozenset((key, word) for wanted in found.build.wanted if (wanted.sounds == "silent") is silent
                             for key, word in wanted.when.items()) for silent in (False, True))
    for switch in found.space.switches:
        free: list[str] = []
        for at, pairs in enumerate(switch.closes if switch.kind != "plug" else ()):
            # What is open is as silent as what is on ground: there a promise of silence tells nothing.
            named = frozenset(switch.names(at).items())
            if not named & loud and (named & quiet or len(switch.positions) >= MANY_WAYS):
                free += [b if _wired(graph, a, used) else a for a, b in pairs
                         if _wired(graph, a, used) != _wired(graph, b, used)]
        if free:
            part = found.build.parts[switch.keys[0].partition(".")[0]]
            say.add(CIR_270, part.place, f"no lead ends on {', '.join(dict.fromkeys(free))}, which {switch.keys[0]} "
                    "joins to lugs in use")


def _wired(graph: Graph, lug: str, used: Collection[str]) -> bool:
    return bool(set(graph.net_at(lug)).intersection(used))


RULE = Rule(100, check, idle=(CIR_270,))

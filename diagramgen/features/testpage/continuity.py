"""Which lugs the meter must find joined in the wired circuit, and which apart: by joint, and by switch position.

What is joined in a state is what leads join and what each switch adds, so leads are gone through once and every
switch position by itself: that proves all states without going through their product. A pair that must be apart
is seldom open, since coils and pots lie across; its reading is said, worked out in a state that is named.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.circuit.blocks import merged
from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.dc_readings import Reading, read
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.netlist import NetlistTemplate, template_of
from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.outputs import outputs
from diagramgen.circuit.states import StateSpace, Switch, classes_of, state_space
from diagramgen.circuit.values import elements_of, faults, lug_of
from diagramgen.model.build import Build

SURELY_APART = 20.0
"""Ohm below which a pair that is apart could be taken for joined: no test is made of it."""
PROBED = {"coil": 2, "transducer": 2, "track": 3, "buffer": 4, "cell": 4}
"""Kind of element -> how gladly a probe is put on its lug; the jack comes first, other elements and lugs last."""
LAST = 5


@dataclass(frozen=True)
class Apart:
    """Two lugs that must not be joined, and what the meter shows between them."""

    one: str
    other: str
    reading: Reading


@dataclass(frozen=True)
class Wired:
    """What leads join whatever the switches do: under 1 ohm from each lug to the next."""

    what: str
    """ground | hot | series link | supply | signal."""
    lugs: tuple[str, ...]
    """``part.lug``."""
    sleeve: Reading | None
    """To the plug's sleeve; None for ground itself and without a jack."""


@dataclass(frozen=True)
class Switched:
    """One position of a switch in the wired circuit."""

    control: str
    position: str
    held: str
    """Where the other switches stand, in words; '' where there are none."""
    state: Mapping[str, str]
    joined: tuple[tuple[str, ...], ...]
    """``part.lug`` of each piece of the circuit that this position joins, group by group."""
    apart: tuple[Apart, ...]


def wired(build: Build) -> Iterator[Wired]:
    """What leads, legs and metal join by themselves, ground first; only where several parts or coils meet."""
    if next(iter(faults(build)), None) is not None:
        return
    graph, here, states = connect(build), template_of(build), state_space(build, all_plugs=True)
    classes = classes_of(here, states.switches, [0] * len(states.switches))
    sleeve = f"{jacks(build)[0].name}.sleeve" if jacks(build) else ""
    ranks, hot = _ranks(build), {output.lug for output in outputs(build)}
    alone = {net for row in switched(build) for group in row.joined for net in map(graph.net_at, group)}
    found = []
    for net in graph.nets():
        lugs = _places(net, ranks)
        if len(lugs) < 2 or (net in alone and len(lugs) < 3 and sleeve not in net and hot.isdisjoint(net)):
            continue
        what = _what(build, net, lugs, sleeve, hot)
        reading = read(here, classes, lugs[0], sleeve) if sleeve and sleeve not in net else None
        found.append(Wired(what, lugs, reading))
    yield from sorted(found, key=lambda one: ("ground", "hot", "signal", "series link", "supply").index(one.what))


def switched(build: Build) -> Iterator[Switched]:
    """List every position of every switch and of the plug in which it joins or parts anything that is wired.

    None where a part has a value no circuit can have.
    """
    if next(iter(faults(build)), None) is not None:
        return
    graph, here, states = connect(build), template_of(build), state_space(build)
    ranks = _ranks(build)
    for at, digit in enumerate(states.switches):
        own = {lug for closes in digit.closes for pair in closes for lug in pair}
        names = {net: _probe(net, ranks, own) for net in dict.fromkeys(map(graph.net_at, sorted(own)))}
        groups = [_groups(graph, closes, names) for closes in digit.closes]
        pairs = _pairs(groups, {net: ranks.get(lug, LAST) for net, lug in names.items()})
        for position in range(len(digit.positions)):
            numbers, apart = _held(states, at, position, _parted(pairs, groups[position]), here, names)
            joined = tuple(tuple(names[net] for net in group) for group in groups[position])
            if joined or apart:
                yield Switched(_control(build, digit), digit.words[position], _others(states, numbers, at),
                               _state(states, numbers), joined, apart)


Net = tuple[str, ...]


def _ranks(build: Build) -> dict[str, int]:
    """Lug -> how gladly a probe is put on it, least first; lugs of no element and no contact are left out."""
    found: dict[str, int] = {}
    for part in build.parts.values():
        for lug in (n for t in part.symbol.contacts for row in t.rows for join in row.joins for n in join):
            found.setdefault(f"{part.name}.{lug}", LAST + 1)
    for part, element in elements_of(build):
        if element.kind != "link":
            for end in element.ends:
                lug = lug_of(part, element, end)
                found[lug] = min(found.get(lug, LAST), PROBED.get(element.kind, LAST))
    for jack in jacks(build):
        found |= {f"{jack.name}.sleeve": 0, f"{jack.name}.tip": 1}
    return found | {output.lug: 1 for output in outputs(build)}


def _probe(net: Net, ranks: Mapping[str, int], own: set[str]) -> str:
    """The lug of a net to put a probe on, off the switch itself, or the plug's sleeve; '' where nothing is wired."""
    away = [lug for lug in net if lug in ranks and (lug not in own or ranks[lug] == 0)]
    return min(away, key=lambda lug: ranks[lug], default="")


def _places(net: Net, ranks: Mapping[str, int]) -> tuple[str, ...]:
    """The lugs of a net to be metered against one another: one a part, every coil end."""
    found: dict[tuple[str, str], str] = {}
    for lug in sorted((n for n in net if n in ranks), key=lambda n: ranks[n]):
        coil = ranks[lug] == PROBED["coil"]
        found.setdefault((lug.partition(".")[0], lug if coil else ""), lug)
    return tuple(found.values())


def _what(build: Build, net: Net, lugs: Sequence[str], sleeve: str, hot: Collection[str]) -> str:
    if sleeve and sleeve in net:
        return "ground"
    if not set(net).isdisjoint(hot):
        return "hot"
    ends: dict[str, set[str]] = {}
    for part, element in elements_of(build):
        for end in element.ends:
            ends.setdefault(lug_of(part, element, end), set()).add(f"{element.kind} {end}")
    kinds = [ends.get(lug, set()) for lug in lugs]
    if all(kind <= {"coil start", "coil finish"} and kind for kind in kinds):
        return "series link"
    if any(kind & {"cell plus", "cell minus", "buffer plus"} for kind in kinds):
        return "supply"
    return "signal"


Groups = tuple[tuple[Net, ...], ...]


def _groups(graph: Graph, closes: Sequence[tuple[str, str]], names: Mapping[Net, str]) -> Groups:
    """The nets that a position joins, group by group; nets to which nothing is wired are left out."""
    nets = list(names)
    at = {net: i for i, net in enumerate(nets)}
    of = merged(len(nets), [(at[graph.net_at(a)], at[graph.net_at(b)]) for a, b in closes])
    found: dict[int, list[Net]] = {}
    for net in nets:
        if names[net]:
            found.setdefault(of[at[net]], []).append(net)
    return tuple(tuple(group) for group in found.values() if len(group) > 1)


def _pairs(groups: Sequence[Groups], ranks: Mapping[Net, int]) -> list[tuple[Net, Net]]:
    """What any position joins, as pairs: each net with the one of its group most positions know."""
    often: dict[Net, int] = {}
    for net in (net for position in groups for group in position for net in group):
        often[net] = often.get(net, 0) + 1
    found: dict[frozenset[Net], tuple[Net, Net]] = {}
    for group in (group for position in groups for group in position):
        hub = max(group, key=lambda net: (often[net], -ranks[net]))
        for net in group:
            if net != hub:
                found.setdefault(frozenset((net, hub)), (net, hub))
    return list(found.values())


def _parted(pairs: Sequence[tuple[Net, Net]], groups: Groups) -> list[tuple[Net, Net]]:
    """The pairs that this position leaves apart."""
    return [(a, b) for a, b in pairs if not any(a in group and b in group for group in groups)]


def _held(
    states: StateSpace, at: int, position: int, pairs: Sequence[tuple[Net, Net]], here: NetlistTemplate,
    names: Mapping[Net, str],
) -> tuple[tuple[int, ...], tuple[Apart, ...]]:
    """Where the other switches stand so that most of the pairs are truly apart, and those pairs.

    The others stand at their first position, or one of them elsewhere where more pairs are apart or can be read. A
    pair that is apart nowhere is left out.
    """
    first = [0] * len(states.switches)
    first[at] = position
    best: tuple[tuple[int, ...], tuple[Apart, ...]] = tuple(first), ()
    for other in [-1, *(i for i in range(len(first)) if i != at)]:
        for stands in range(1, len(states.switches[other].positions)) if other >= 0 else (0,):
            numbers = [*first]
            if other >= 0:
                numbers[other] = stands
            joined = classes_of(here, states.switches, numbers)
            found = tuple(_apart(here, joined, names[a], names[b]) for a, b in pairs)
            kept = tuple(one for one in found if one is not None)
            if _worth(kept) > _worth(best[1]):
                best = tuple(numbers), kept
            if _worth(best[1]) == (len(pairs), len(pairs)):
                return best
    return best


def _worth(found: Sequence[Apart]) -> tuple[int, int]:
    """How many pairs are apart, and for how many of them a reading means something."""
    return len(found), sum(one.reading.kind != "not meaningful" for one in found)


def _apart(here: NetlistTemplate, classes: Sequence[int], one: str, other: str) -> Apart | None:
    if classes[here.lug(one)] == classes[here.lug(other)]:
        return None
    reading = read(here, classes, one, other)
    return None if reading.ohms is not None and reading.ohms < SURELY_APART else Apart(one, other, reading)


def _control(build: Build, digit: Switch) -> str:
    """A switch as the shop says it."""
    told = []
    for key in digit.keys:
        part, _, control = key.partition(".")
        says = build.parts[part].says if part in build.parts else part
        told.append(f"{says}, {control}" if control else says)
    return " with ".join(dict.fromkeys(told))


def _state(states: StateSpace, numbers: Sequence[int]) -> dict[str, str]:
    return {key: word for digit, at in zip(states.switches, numbers, strict=True)
            for key, word in zip(digit.keys, digit.positions[at], strict=True)}


def _others(states: StateSpace, numbers: Sequence[int], at: int) -> str:
    """Where the other switches stand, in words."""
    rest = [i for i in range(len(numbers)) if i != at]
    if not any(digit.kind != "plug" for i, digit in enumerate(states.switches) if i != at):
        return ""
    return words(_state(StateSpace(tuple(states.switches[i] for i in rest)), [numbers[i] for i in rest]), states)

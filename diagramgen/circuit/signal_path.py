"""What carries the signal in one state: leads and contacts on a path between lugs in use, hanging stubs left out."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.circuit.blocks import block_between, merged
from diagramgen.circuit.dc_supply import supply
from diagramgen.circuit.netlist import Netlist, netlist_of, template_of
from diagramgen.circuit.nets import classes as joined_classes
from diagramgen.circuit.nets import connect
from diagramgen.circuit.states import classes_of, state_space
from diagramgen.circuit.values import SOUNDING, elements_of, law_of, lug_of, source_name, turn_of
from diagramgen.model.build import Build


@dataclass(frozen=True)
class ActivePath:
    """The active path of one state: what is drawn strong on the sheet of a state."""

    joins: frozenset[frozenset[str]]
    """Pairs of lugs whose lead or leg is on the path."""
    contacts: tuple[tuple[str, str], ...]
    """Pairs of lugs that a live contact joins."""
    idle: tuple[tuple[str, str], ...]
    """Pairs of lugs that a contact joins without carrying signal."""


def active_path(
    build: Build, state: Mapping[str, str], knobs: Mapping[str, float] | None = None,
    heard: Collection[str] | None = None,
) -> ActivePath:
    """Find the leads and contacts that carry the signal of a state to every plug that is in.

    There is none to an output that is one net with its sleeve, or where no element lies between.

    Parameters: state - control -> position; knobs - ``part.control`` -> 0 to 10; heard - the coils and transducers that
    sound at any output: the others, and what hangs behind them, are not on the path; all where not given.
    Raises: ``ValueError`` for a build without an output jack or a state that does not exist.
    """
    held = state_space(build, all_plugs=True).select(dict(state))
    here = template_of(build, knobs)
    numbers = [0] * len(held.switches)
    plugs = held.plugs(0)
    state = {key: word for switch in held.switches if switch.kind != "plug" or set(switch.keys) & set(state)
             for key, word in zip(switch.keys, switch.positions[0], strict=True)}
    found = classes_of(here, held.switches, numbers)
    powered = supply(here, found).powered
    batteries = [(one.plus, one.minus) for one in here.elements.batteries]
    to = merged(here.size, batteries, found)
    points = {name: to[here.index[name]] for nets in here.nets for name in nets}
    graph = connect(build, state)
    edges = [(e.a, e.b) for e in graph.edges if e.sure]
    contacts = [(e.a, e.b) for e in graph.edges if e.kind == "contact"]
    ways = [*edges, *_wipers(build, knobs or {})]
    on: set[frozenset[str]] = set()
    for output in here.heard(plugs):
        net, plug = netlist_of(here, found, plugs, powered, output=output), {output.lug, output.sleeve}
        used = set(_used(build, net, points, heard, plug))
        if used and net.tip:
            on |= _on_paths(ways, used | plug)
    joins = frozenset(frozenset((e.a, e.b)) for e in graph.edges
                      if e.kind not in ("contact", "braid") and frozenset((e.a, e.b)) in on)
    alive = tuple(dict.fromkeys(p for p in contacts if frozenset(p) in on))
    return ActivePath(joins, alive, tuple(dict.fromkeys(p for p in contacts if p not in alive)))


def _used(
    build: Build, net: Netlist, points: Mapping[str, int], heard: Collection[str] | None, lugs: Collection[str]
) -> Iterator[str]:
    """Lugs of the elements that carry the signal from what is heard to the plug, which is at ``lugs``."""
    quiet = {source_name(p, e) for p, e in elements_of(build, *SOUNDING)} - set(heard) if heard is not None else set()
    plug = {points[lug] for lug in lugs}
    reach = _carrying([piece for piece in _pieces(net, points) if piece[0] not in quiet], plug)
    for part, element in elements_of(build):
        own = f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name
        covered = reach.get(own, set()) | reach.get(source_name(part, element), set())
        for end in element.ends:
            lug = lug_of(part, element, end)
            if points[lug] in covered:
                yield lug


def _pieces(net: Netlist, points: Mapping[str, int]) -> list[tuple[str, frozenset[int]]]:
    """Each element: its name, and the nets of the ends a signal passes."""
    at = [points[name] for name in net.names]
    return [(e.name, frozenset(at[point] for pair in e.paths() for point in pair)) for e in net.elements]


def _carrying(pieces: Sequence[tuple[str, frozenset[int]]], plug: Collection[int]) -> dict[str, set[int]]:
    """Element -> the nets of its ends, without what leads nowhere.

    An end that meets neither the plug nor another element carries nothing, so its piece carries nothing either;
    and so on for what hangs behind it. Two pieces of one element count as one, unless both their ends differ.
    """
    left = list(pieces)
    while True:
        met: dict[int, set[tuple[str, frozenset[int]]]] = {}
        for name, ends in left:
            for point in ends:
                met.setdefault(point, set()).add((name, ends))
        kept = [one for one in left if all(p in plug or len(met[p]) > 1 for p in one[1])]
        if len(kept) == len(left):
            break
        left = kept
    reach: dict[str, set[int]] = {}
    for name, ends in left:
        reach.setdefault(name, set()).update(ends)
    return reach


def _wipers(build: Build, knobs: Mapping[str, float]) -> Iterator[tuple[str, str]]:
    """Lugs that a wiper at an end of its track joins."""
    for part, element in elements_of(build):
        if element.kind == "track":
            fraction = law_of(part, element).fraction(turn_of(part, element, knobs))
            end = {0.0: "zero", 1.0: "ten"}.get(fraction) if fraction is not None else None
            if end:
                yield lug_of(part, element, "wiper"), lug_of(part, element, end)


def _on_paths(edges: Collection[tuple[str, str]], used: Collection[str]) -> frozenset[frozenset[str]]:
    """Pairs that lie on some way from one used lug to another which visits no lug twice.

    In each net a further point is joined to every used lug: what lies in its block is on a ring through it,
    which is a way between two of them.
    """
    number: dict[str, int] = {}
    for pair in edges:
        for node in pair:
            number.setdefault(node, len(number))
    found: set[frozenset[str]] = set()
    for net in joined_classes(number, edges):
        here = [node for node in net if node in used]
        if len(here) < 2:
            continue
        inside = set(net)
        own = [pair for pair in edges if pair[0] in inside]
        hub = len(number)
        numbered = [(number[a], number[b]) for a, b in own]
        numbered += [(hub, number[node]) for node in here[1:]]
        found |= {frozenset(own[i]) for i in block_between(numbered, hub, number[here[0]]) if i < len(own)}
    return frozenset(found)

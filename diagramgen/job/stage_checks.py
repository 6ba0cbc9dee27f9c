"""What the meter must show at each stop of the work, with only the joints made so far."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.dc_readings import Reading, read
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.netlist import NetlistTemplate, template_of
from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.outputs import outputs
from diagramgen.circuit.states import classes_of, state_space
from diagramgen.circuit.values import faults
from diagramgen.job.order import Order
from diagramgen.job.words import lug_kind
from diagramgen.model.build import Build, End

MOST = 12
"""Rows at one stop at most; grounds first, then what this stop brought."""


@dataclass(frozen=True)
class StageReading:
    """One reading at a stop: between two lugs, with the circuit as far as it is made."""

    one: str
    other: str
    reading: Reading
    ground: bool
    """Both ends are ground that was just joined: under 1 ohm."""


@dataclass(frozen=True)
class StageCheck:
    """A stop: what to meter, with switches, plug and knobs as said."""

    group: str
    made: frozenset[str]
    state: dict[str, str]
    state_says: str
    plug: str
    """Where the plug of the jack is: out | mono | stereo."""
    readings: tuple[StageReading, ...]
    more: int
    """Readings left off beyond ``MOST``."""


def stage_checks(build: Build, order: Order) -> tuple[StageCheck, ...]:
    """Every stop with its readings, knobs at 10; none where a value stands in the file that no circuit can have."""
    if next(iter(faults(build)), None) is not None:
        return ()
    found = []
    before: frozenset[str] = frozenset()
    states = state_space(build)
    plugs = {k for d in states.switches if d.kind == "plug" for k in d.keys}
    for _, group, made in order.checks():
        index = _index(build, made)
        here = template_of(build, None, made)
        classes = classes_of(here, states.switches, states.numbers(index))
        rows = tuple(_readings(build, made - before, made, here, classes))
        state = states.state(index)
        # Where the plug is stands beside it, in words of its own.
        said = words({k: v for k, v in state.items() if k not in plugs}, states)
        found.append(StageCheck(group, made, state, said, states.plug(index), rows[:MOST],
                                len(rows[MOST:])))
        before = made
    return tuple(found)


def _index(build: Build, made: frozenset[str]) -> int:
    """The first state with no plug in until a jack is wired; from then on the first of all, or with the stereo plugs
    that rings are metered with (a mono plug shorts them)."""
    states = state_space(build)
    wired = any(lead.tag in made for lead in build.leads for jack in jacks(build)
                if jack.name in (lead.start.part, lead.end.part))
    if wired:
        rings = {one.jack: one.plug for one in outputs(build) if one.contact == "ring"}
        return states.index(states.plugged([0] * len(states.switches), rings))
    # The plug turns slowest, so the states with it out follow those with it in.
    return next((i for i in range(min(states.count, 100_000)) if states.plug(i) == "out"), 0)


def _readings(
    build: Build, new: frozenset[str], made: frozenset[str], here: NetlistTemplate, classes: list[int]
) -> Iterator[StageReading]:
    graph = connect(build, None, made)
    touched = _touched(graph, new)
    base = ground_lug(build, graph, made)
    if base is None:
        return
    for lug in _grounds(build, graph, base, touched):
        yield StageReading(lug, base, read(here, classes, lug, base), True)
    said = {graph.net_at(base)}
    for lug in touched:
        net = graph.net_at(lug)
        if net in said:
            continue
        said.add(net)
        reading = read(here, classes, _name(build, net, lug), base)
        yield StageReading(_name(build, net, lug), base, reading, False)


def _touched(graph: Graph, new: frozenset[str]) -> list[str]:
    """Lugs at which something was made since the last stop."""
    origins = {tag.split(" leg ")[0] for tag in new} | new
    lugs = [n for e in graph.edges if e.origin in origins and e.kind != "contact" for n in (e.a, e.b)]
    return [n for n in dict.fromkeys(lugs) if "." in n and " of " not in n]


def ground_lug(build: Build, graph: Graph, made: frozenset[str]) -> str | None:
    """Where the black probe goes: the plug's sleeve once a lead is on it, else the case with most joined to it."""
    for jack in jacks(build):
        if any(lead.tag in made and "sleeve" in (e.lug for e in (lead.start, lead.end) if e.part == jack.name)
               for lead in build.leads):
            return f"{jack.name}.sleeve"
    cases = [f"{p.name}.{lug}" for p in build.parts.values() for m in p.symbol.metal for lug in m.lugs
             if any(e.kind not in ("metal", "contact", "nut") for e in graph.at(f"{p.name}.{lug}"))]
    return max(cases, key=lambda c: len(graph.net_at(c)), default=None)


def _grounds(build: Build, graph: Graph, base: str, touched: list[str]) -> Iterator[str]:
    """One lug of each piece of metal that is joined to the base and was worked on since the last stop."""
    parts = {lug.split(".", 1)[0] for lug in touched}
    for part in build.parts.values():
        for metal in part.symbol.metal:
            lug = f"{part.name}.{metal.lugs[0]}" if metal.lugs else ""
            if lug and lug != base and part.name in parts and graph.joined(lug, base):
                yield lug


def _name(build: Build, net: tuple[str, ...], lug: str) -> str:
    """A lug of a net that a probe can reach: no end of a conductor or a leg where there is another."""
    easy = [n for n in net if _solid(build, n)]
    return lug if lug in easy or not easy else easy[0]


def _solid(build: Build, node: str) -> bool:
    part, _, lug = node.partition(".")
    return part in build.parts and lug_kind(build, End(part, lug, build.parts[part].place)) not in ("conductor", "leg")

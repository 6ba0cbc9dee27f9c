"""Treble bleeds: capacitors, with their resistors, from the 10 end to the wiper of a pot, found from connections."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.values import elements_of, lug_of
from diagramgen.model.build import Build, Part

NOTHING: Mapping[str, tuple[str, float]] = {"resistor": ("resistance", 1e13), "capacitor": ("capacitance", 1e-18)}
"""Kind -> its parameter and a value (ohm, F) with which it does nothing."""


@dataclass(frozen=True)
class Bleed:
    """A bleed network: the knob it lies across, as ``part.control``, and the components it is made of."""

    knob: str
    parts: tuple[str, ...]


def bleeds(build: Build, state: Mapping[str, str]) -> Iterator[Bleed]:
    """The bleeds of a build in a state. Raises ``ValueError`` for a state that does not exist."""
    graph = connect(build, state)
    links = [(_net(graph, lug_of(p, e, "one")), _net(graph, lug_of(p, e, "other")), p, e.kind)
             for p, e in elements_of(build, *NOTHING)]
    touching: dict[str, int] = {}
    for part, element in elements_of(build):
        for end in element.ends:
            net = _net(graph, lug_of(part, element, end))
            touching[net] = touching.get(net, 0) + 1
    for part, element in elements_of(build, "track"):
        ends = {_net(graph, lug_of(part, element, end)) for end in ("ten", "wiper")}
        if len(ends) < 2 or not element.by:
            continue
        # A point between two components, on which nothing else stands, is inside a network in series.
        inside = {net for a, b, _, _ in links for net in (a, b) if net not in ends and touching[net] == 2
                  and _reaches(links, net, ends)}
        own = [(p, kind) for a, b, p, kind in links if a != b and {a, b} <= ends | inside]
        if any(kind == "capacitor" for _, kind in own):
            yield Bleed(f"{part.name}.{element.by}", tuple(dict.fromkeys(p.name for p, _ in own)))


def without(build: Build, bleed: Bleed) -> Build:
    """The build with the components of a bleed so small (or large) that they do nothing; its leads stay."""
    parts = dict(build.parts)
    for part, element in elements_of(build, *NOTHING):
        if part.name in bleed.parts:
            parameter, value = NOTHING[element.kind]
            known = parts[part.name].values
            parts[part.name] = replace(parts[part.name], values={**known, element.values[parameter]: value})
    return replace(build, parts=parts)


def _net(graph: Graph, lug: str) -> str:
    return graph.net_at(lug)[0]


def _reaches(links: list[tuple[str, str, Part, str]], net: str, ends: set[str]) -> bool:
    """Whether the two components at a point lead to the two ends."""
    return {b if a == net else a for a, b, _, _ in links if net in (a, b)} == ends

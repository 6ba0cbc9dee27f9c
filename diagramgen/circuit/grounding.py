"""Which metal of a build is grounded, at which jack and how: the one answer for checks, bench pages and test pages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import connect, metal_node
from diagramgen.circuit.rules.connections import grounded_through
from diagramgen.library.model import Metal
from diagramgen.model.build import Build, Part


@dataclass(frozen=True)
class Grounded:
    """A piece of metal and the jacks to whose sleeves it is joined."""

    part: Part
    metal: Metal
    sure: tuple[str, ...]
    """Jacks whose sleeve leads and sure metal join it to."""
    without: tuple[str, ...]
    """The other jacks: with the plug of one of these alone, it hangs free."""
    perhaps: bool
    """Some sleeve is reached if a nut makes contact with foil or paint."""
    network: bool
    """No wire, but resistors or capacitors join it to a sleeve."""


def grounded(build: Build) -> Iterator[Grounded]:
    """Every piece of metal of a build, in its order; pieces on no lug and no plate reach no sleeve."""
    graph = connect(build)
    names = [jack.name for jack in jacks(build)]
    for part in build.parts.values():
        for metal in part.symbol.metal:
            node = metal_node(part.name, metal.name)
            known = node in graph.nodes
            sure = tuple(n for n in names if known and graph.joined(node, f"{n}.sleeve"))
            perhaps = known and any(graph.joined(node, f"{n}.sleeve", perhaps=True) for n in names)
            network = known and not sure and not perhaps and grounded_through(build, part, metal)
            yield Grounded(part, metal, sure, tuple(n for n in names if n not in sure), perhaps, network)


def apart(one: Grounded) -> bool:
    """Whether metal a hand touches is grounded by some plugs alone; a jack's own bush goes with its own plug."""
    return bool(one.sure and one.without) and one.metal.touchable and one.part.name not in one.sure

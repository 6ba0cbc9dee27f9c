"""Which metal of a build is grounded, at which jack and how: the one answer for checks, bench pages and test pages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import connect, metal_node
from diagramgen.circuit.rules.connections import grounded_through
from diagramgen.kernel.diagnostics import Collector
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


def check_apart(build: Build, say: Collector) -> None:
    """Warn of jacks whose sleeves are not joined, where metal that is touched goes to one of them alone (C233)."""
    if len(jacks(build)) < 2:
        return
    loose: dict[str, list[Grounded]] = {}
    for one in filter(apart, grounded(build)):
        for jack in one.without:
            loose.setdefault(jack, []).append(one)
    for jack, pieces in loose.items():
        what = ", ".join(f"the {one.metal.name} of {one.part.name}" for one in pieces)
        others = " and ".join(dict.fromkeys(name for one in pieces for name in one.sure))
        say.warning("C233", build.parts[jack].place,
                    f"with only the plug of {jack} in, {what} {'is' if len(pieces) == 1 else 'are'} not grounded: the "
                    f"sleeve of {jack} is not joined to that of {others}",
                    "If the grounds are apart on purpose, keep both plugs in; else join the two sleeves.")

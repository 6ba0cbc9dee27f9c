"""Which lugs are ground and which are hot, as far as leads and sure metal alone tell."""

from __future__ import annotations

from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.outputs import Output, outputs
from diagramgen.model.build import Build, Part
from diagramgen.model.output_names import is_jack

GROUND, HOT, OTHER = "ground", "hot", "other"


def jacks(build: Build) -> tuple[Part, ...]:
    """The output jacks: parts with the lugs tip and sleeve that a plug goes into."""
    return tuple(part for part in build.parts.values() if is_jack(part))


def ground_nodes(build: Build, graph: Graph, perhaps: bool = False) -> frozenset[str]:
    """Every node joined to a jack's sleeve; empty without a jack."""
    return frozenset(n for jack in jacks(build) for n in graph.net_of(jack.name, "sleeve", perhaps))


def tip_nodes(build: Build, graph: Graph, perhaps: bool = False) -> frozenset[str]:
    """Every node joined to a jack's tip, or to a ring that carries a signal; empty without a jack."""
    hot = dict.fromkeys([*(Output(jack.name) for jack in jacks(build)), *outputs(build, graph)])
    return frozenset(n for one in hot for n in graph.net_of(one.jack, one.contact, perhaps))


def net_roles(build: Build) -> dict[str, str]:
    """Lug key -> ground | hot | other, with every contact open.

    Ground is what leads and sure metal join to a jack's sleeve, hot what they join to its tip or, where that carries a
    signal, its ring. Lugs behind
    a switch or an element are other: they are told apart per state, not here.
    """
    graph = connect(build)
    ground, hot = ground_nodes(build, graph), tip_nodes(build, graph)
    roles = {}
    for part in build.parts.values():
        for lug in part.symbol.lug_names():
            key = f"{part.name}.{lug}"
            roles[key] = GROUND if key in ground else HOT if key in hot else OTHER
    return roles

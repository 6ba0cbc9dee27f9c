"""Which lugs lack a lead, as far as the rest of the wiring shows it."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from diagramgen.circuit.check_wanted import states_of
from diagramgen.circuit.net_roles import ground_nodes
from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.repair.coil_paths import loud, ways
from diagramgen.circuit.repair.ranking import Likely
from diagramgen.circuit.rules.connections import bare_lugs, touched
from diagramgen.circuit.states import state_space
from diagramgen.circuit.values import elements_of, lug_of
from diagramgen.kernel.diagnostics import Location
from diagramgen.model.build import Build


def lacking(build: Build, places: Collection[Location] = ()) -> frozenset[str]:
    """Every lug of the nets that lack a lead: one an element needs, metal off ground, the far side of a contact whose
    lead leads nowhere, the bare end of a volume that does not mute.

    ``places``: of parts whose control was said to lack something. Raises ``ValueError`` as ``state_table`` does.
    """
    graph = connect(build)
    likely = Likely(build)
    lugs = {*bare_lugs(build, graph), *_off_ground(build, graph), *_ends_of_volumes(build)}
    lugs |= {lug for part, element in elements_of(build) if part.place in places
             for end in element.ends if (lug := lug_of(part, element, end)) not in likely.used}
    for i, at in likely.strays:
        lugs |= likely.partners[str(getattr(build.leads[i], at))]
    return frozenset(node for lug in lugs for node in graph.net_at(lug))


def _off_ground(build: Build, graph: Graph) -> Iterator[str]:
    ground = ground_nodes(build, graph)
    for part in build.parts.values():
        for metal in part.symbol.metal:
            yield from (f"{part.name}.{lug}" for lug in metal.lugs if f"{part.name}.{lug}" not in ground)


def _ends_of_volumes(build: Build) -> Iterator[str]:
    """The bare end of every track that lies in a coil's way with its wiper and other end, and does not mute at 0."""
    used = touched(build)
    bare = {}
    for part, element in elements_of(build, "track"):
        control = part.symbol.control(element.by)
        free = [lug for end in ("zero", "wiper", "ten") if (lug := lug_of(part, element, end)) not in used]
        if control is not None and not control.detent and len(free) == 1 and free[0] != lug_of(part, element, "wiper"):
            bare[f"{part.name}.{element.by}"] = free[0]
    if not bare:
        return
    states = state_space(build, all_plugs=True)
    first = sorted({next(iter(states_of(states, wanted)), 0) for wanted in build.wanted})
    here = ways(build, states, first)
    if here.volumes.intersection(bare):
        yield from (bare[knob] for knob, _, _ in sorted(loud(build, states, here)) if knob in bare)

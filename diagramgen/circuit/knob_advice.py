"""What to advise of a knob whose ends are exchanged or lack their ground, if the build then proves right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace

from diagramgen.circuit.advice import exchanged
from diagramgen.circuit.net_roles import ground_nodes, jacks
from diagramgen.circuit.nets import connect, metal_node
from diagramgen.circuit.rules.connections import check_connections
from diagramgen.circuit.rules.states import check_states
from diagramgen.circuit.state_table import sounding, state_table
from diagramgen.circuit.values import lug_of
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.library.model import Element
from diagramgen.model.build import Build, End, Part


def turned_round(build: Build, gangs: Sequence[tuple[Part, Element]], sources: Collection[str]) -> Build | None:
    """The build with the two ends of every gang of a knob exchanged; None where that does harm.

    Harm: one of ``sources`` is not heard with the knobs at rest, or metal is newly off ground or on the signal, or
    anything else is newly said of grounds and states.
    """
    after = build
    for part, element in gangs:
        after = exchanged(after, lug_of(part, element, "zero"), lug_of(part, element, "ten"))
    if sounding(after, {}, sources) != frozenset(sources):
        return None
    return None if _said(after) - _said(build) else after


def exchange_words(gangs: Sequence[tuple[Part, Element]]) -> str:
    """What ``turned_round`` does, for a technician."""
    pairs = [f"what is on {lug_of(p, e, 'zero')} and {lug_of(p, e, 'ten')}" for p, e in gangs]
    return f"Exchange {', and '.join(pairs)}."


def ground_first(build: Build, gangs: Sequence[tuple[Part, Element]], sources: Collection[str]) -> str:
    """The ground lead that a knob lacks, where with it ``sources`` are heard and no less is right; '' where none is."""
    graph = connect(build)
    ground = ground_nodes(build, graph)
    for part, element in gangs:
        for end in element.ends:
            lug = lug_of(part, element, end)
            for owner in (part, *build.parts.values()):
                for metal in owner.symbol.metal:
                    node = metal_node(owner.name, metal.name)
                    if node not in ground and node in graph.net_at(lug) and _cures(build, lug, sources):
                        return f"{lug} is joined to the {metal.name} of {owner.name}, which is on no ground: mend " \
                               "that first, with a lead to the sleeve of the jack or to a grounded case."
    return ""


def _cures(build: Build, lug: str, sources: Collection[str]) -> bool:
    """Whether with a lead from a lug to the sleeve all ``sources`` are heard, and nothing new is said."""
    part, _, name = lug.partition(".")
    jack = jacks(build)[0]
    lead = replace(build.leads[0], tag="new", start=End(part, name, build.parts[part].place),
                   end=End(jack.name, "sleeve", jack.place), kind="wire", colour=None, shield_to=(), cable="", bus="",
                   twisted_with="", remark="")
    after = replace(build, leads=(*build.leads, lead))
    return sounding(after, {}, sources) == frozenset(sources) and not _said(after) - _said(build)


def _said(build: Build) -> Counter[tuple[str, str]]:
    """Warnings and errors about grounds and states, counted by code and place."""
    say = Diagnostics()
    check_connections(build, say)
    check_states(state_table(build), say)
    return Counter((p.code, str(p.place)) for p in say if p.severity is not Severity.NOTE)

"""Braids of shielded leads and cables: joined to ground at one end at least, and never hot."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from diagramgen.build.model import Build, End, Lead
from diagramgen.circuit.graph import Graph, braid_node
from diagramgen.problems import Collector, Place


def check_braids(build: Build, graph: Graph, ground: Collection[str], tip: Collection[str], say: Collector) -> None:
    """Each braid: joined nowhere, hot, or joined to something that is not ground."""
    for owner, what, place in _braids(build):
        node = braid_node(owner)
        if node not in graph.nodes:
            say.warning("C113", place, f"the braid of {what} is joined to nothing",
                        "Write 'shield to part.case' (one end is enough), or 'shield cut' if it is meant so.")
        elif node in tip:
            say.error("C114", place, f"the braid of {what} is hot: it is joined to the tip",
                      "The braid goes to ground, the inner conductor to the signal: exchange them.")
        elif ground and node not in ground:
            say.warning("C115", place, f"the braid of {what} is joined, but not to ground",
                        "Join it to a grounded case or to the sleeve of the jack.")


def _braids(build: Build) -> Iterator[tuple[str, str, Place]]:
    for lead in build.leads:
        if lead.kind == "shielded" and not _carried(lead, build) and not (lead.shield_cut and not lead.shield_to):
            yield lead.tag, f"lead {lead.tag}", lead.place
    for cable in build.cables.values():
        conductors = [lead for lead in build.leads if lead.cable == cable.name]
        if cable.shielded and conductors and not any(lead.shield_cut for lead in conductors):
            yield cable.name, f"cable {cable.name}", cable.place


def _carried(lead: Lead, build: Build) -> bool:
    """Whether the braid is a conductor of its own: that of a cable, or a lug of the part it belongs to."""
    if lead.shield_to:
        return False
    return lead.cable in build.cables or any(_own_braid(e, build) for e in (lead.start, lead.end))


def _own_braid(end: End, build: Build) -> bool:
    part = build.parts.get(end.part)
    if part is None:
        return False
    conductors = {n for p in part.symbol.drawing.lugs if p.kind == "conductor" for row in p.names for n in row}
    return end.lug in conductors and any(conductors.intersection(m.lugs) for m in part.symbol.metal)

"""Which one lead is to blame where hot and ground are one, or where the tip was left bare."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import Edge, Graph, connect
from diagramgen.circuit.values import elements_of
from diagramgen.model.build import Build, Lead


def lead_words(lead: Lead) -> str:
    """A lead as it is found in the file."""
    return f"lead {lead.tag} on line {lead.place.line} ({lead.start} -> {lead.end})"


def joining(build: Build, path: Sequence[Edge], a: str, b: str) -> Lead | None:
    """Find the lead of a path that most likely joins two nets by mistake.

    Only leads without which ``a`` and ``b`` are apart are looked at. Of those the one is taken after whose removal the
    smaller of the two nets has the most points: the cut nearest to the middle. Where two are equal, the first in the
    file.
    Returns: the lead; None where no single lead parts them.
    """
    tags = {edge.origin for edge in path}
    best: Lead | None = None
    most = 0
    for lead in build.leads:
        if lead.tag not in tags:
            continue
        left = _without(build, lead)
        if left.joined(a, b):
            continue
        smaller = min(len(left.net_at(a)), len(left.net_at(b)))
        if smaller > most:
            best, most = lead, smaller
    return best


def astray(build: Build) -> Lead | None:
    """The lead that brings signal to the sleeve where the tip is bare; None where it is not one lead alone.

    A lead on the sleeve itself is looked at first, then any lead that grounds a wiper.
    """
    wipers = {f"{part.name}.{element.ends['wiper']}" for part, element in elements_of(build, "track")}
    switched = {f"{part.name}.{lug}" for part in build.parts.values()
                for table in part.symbol.contacts if part not in jacks(build)
                for row in table.rows for group in row.joins for lug in group}
    sleeves = {f"{jack.name}.sleeve" for jack in jacks(build)}
    for among, near in ((wipers | switched, sleeves), (wipers, None)):
        found = [lead for lead in build.leads if _grounds(build, lead, among, sleeves, near)]
        if found:
            return found[0] if len(found) == 1 else None
    return None


def _grounds(build: Build, lead: Lead, among: Collection[str], sleeves: set[str], near: set[str] | None) -> bool:
    """Whether this lead alone joins one of these lugs, and no metal, to a sleeve."""
    ends = (str(lead.start), str(lead.end))
    if lead.kind == "bend" or not (lead.start.known and lead.end.known) or (near and not near.intersection(ends)):
        return False
    if not any(connect(build).joined(ends[0], sleeve) for sleeve in sleeves):
        return False
    left = _without(build, lead)
    for end in ends:
        net = set(left.net_at(end))
        metal = any(node.startswith(("metal of ", "plate of ", "braid of ")) for node in net)
        if not metal and not net & sleeves and net & set(among):
            return True
    return False


def _without(build: Build, lead: Lead) -> Graph:
    return connect(replace(build, leads=tuple(one for one in build.leads if one is not lead)))

"""What meets at a lug, counted one way for the drawings, the lists and the rules.

A wire, a component's leg, a braid and a lug bent onto its case take room in the joint and count one each. Solder that
bridges two lugs counts none, nor does a bent lug where it comes from, nor the second stretch of one bus wire.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagramgen.model.build import Build, End, Lead


@dataclass(frozen=True)
class Met:
    """One thing in a joint."""

    tag: str
    """A lead's, or the cable's whose braid it is."""
    lead: Lead | None
    """None for a cable's braid."""
    there: End | None
    """Where it goes; None for braids."""
    counts: int
    """1 for what takes room in the joint, else 0."""


def met(build: Build, leads: Iterable[Lead]) -> dict[str, list[Met]]:
    """Lug -> everything soldered there by these leads, legs of components among them."""
    found: dict[str, list[Met]] = {}
    buses: dict[str, set[str]] = {}
    leads = tuple(leads)
    for lead in leads:
        for here, there in ((lead.start, lead.end), (lead.end, lead.start)):
            if here.known and not _is_tail(build, here, lead):
                repeated = bool(lead.bus) and lead.bus in buses.setdefault(str(here), set())
                buses.setdefault(str(here), set()).add(lead.bus)
                room = 0 if repeated else _room(build, lead, here, there)
                found.setdefault(str(here), []).append(Met(lead.tag, lead, there, room))
        for end in lead.shield_to:
            found.setdefault(str(end), []).append(Met(lead.tag, lead, None, 1))
    carried = {lead.cable for lead in leads}
    for cable in build.cables.values():
        for end in cable.shield_to if cable.name in carried else ():
            found.setdefault(str(end), []).append(Met(cable.name, None, None, 1))
    return found


def meeting_counts(build: Build, leads: Iterable[Lead]) -> dict[str, int]:
    """Lug -> how many ends meet there."""
    return {lug: sum(one.counts for one in ends) for lug, ends in met(build, leads).items()}


def _room(build: Build, lead: Lead, here: End, there: End) -> int:
    if lead.kind == "bend":
        return int(_kind(build, here) == "spot" or _kind(build, there) != "spot")
    return int(lead.kind != "bridge")


def _is_tail(build: Build, end: End, lead: Lead) -> bool:
    """A conductor's or a leg's own end, where it comes out of its part: nothing is soldered there."""
    kind = _kind(build, end)
    return (kind == "conductor" and lead.kind != "sleeved") or (kind == "leg" and lead.kind == "leg")


def _kind(build: Build, end: End) -> str:
    part = build.parts.get(end.part)
    patterns = part.symbol.drawing.lugs if part is not None else ()
    return next((p.kind for p in patterns if any(end.lug in row for row in p.names)), "")

"""How large lugs, joints and leads are drawn, mm on a sheet at full size: what a foreign lead has to keep clear of.

The router keeps its leads off what the drawing will show, and the audit measures the drawing by the same figures.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from diagramgen.kernel.geometry import Point
from diagramgen.layout.model import PlacedLug, PlacedPart
from diagramgen.model.build import Lead

EYELET = 0.8
"""Radius of an eyelet's hole as drawn; a true hole may be smaller than a pen stroke."""
PAD_RIM = 0.6
"""How much wider than its hole a lug without a tongue is drawn, to each side."""
CONDUCTOR = 0.9
"""Radius of a bared conductor's end."""
CASE = 3.0
"""Least diameter of the tinned spot on a case."""
SPLICE = (3.5, 1.2)
"""Half length and half width of a sleeve over a splice."""
LINE = 0.125
"""Half the line round a lug."""
SEEN = 0.12
"""Less of an overlap no eye sees: half an ISO 128 line of 0.25 mm."""
LEAD_EDGE_WIDTH = 1.15
"""Width of a lead over all, with its dark edges."""
LEG_WIDTH = 0.5
"""Width of a component's leg, a bent lug and a bridge of solder."""
STRONG_LEAD = 1.35
"""How much wider a lead is that stands out."""
STRONG_LEG = 1.0
"""Width of a leg that stands out."""
USUAL = LEAD_EDGE_WIDTH / 2 * STRONG_LEAD
"""Half the width of a plain lead that stands out: no sheet draws one broader."""
BRAID_OFF = 1.05
"""How far from a lead's middle the lines of its braid are drawn."""
BEHIND = 1.0
"""Lugs of a part nearer than this in plan lie behind one another and get a folded-out detail, mm."""


def ring_radius(ends: int) -> float:
    """The radius of the ring round a ground joint with so many lead ends, mm."""
    return 0.85 + 0.1 * min(ends, 4)


def body_radius(lug: PlacedLug, size: float = 1.0) -> float:
    """The radius of a lug as drawn, without a joint and without its line, mm; ``size``: of a plan under full size."""
    if lug.kind == "spot":
        return max(lug.hole, CASE * size) / 2
    if lug.kind == "conductor":
        return CONDUCTOR * size
    if lug.kind == "sleeve":
        return SPLICE[1] * size
    return EYELET * size if lug.tongue is not None else max((EYELET + PAD_RIM) * size, lug.hole / 2 + PAD_RIM * size)


def pad_radius(lug: PlacedLug, ends: int = 2) -> float:
    """How far from its middle a lug is drawn with a joint of so many lead ends, mm at full size."""
    joint = 0.0 if lug.kind == "conductor" or not ends else ring_radius(ends) + 0.05
    return max(body_radius(lug), joint) + LINE


def half_width(lead: Lead, strong: bool = False) -> float:
    """Half of what is drawn of a lead across its way, mm; ``strong``: where it stands out."""
    if lead.kind in ("leg", "bend", "bridge"):
        return (STRONG_LEG if strong else LEG_WIDTH) / 2
    edge = LEAD_EDGE_WIDTH / 2 * (STRONG_LEAD if strong else 1.0)
    return max(edge, BRAID_OFF + LINE) if lead.kind == "shielded" else edge


@dataclass(frozen=True)
class Pad:
    """A place where something is soldered as drawn: a lug, or where a bent lug comes down on its case."""

    key: str
    at: Point
    radius: float
    own: tuple[str, ...]
    """Lugs whose leads may lie here: this one, and the other end of a lug bent over to here."""


def rim_joints(part: PlacedPart, leads: Iterable[Lead]) -> Iterator[Pad]:
    """Where lugs of a part bent over to its own case come down, away from the spot where leads are soldered."""
    from diagramgen.layout.lug_reach import ends_of_bend  # geometry of solids: who only asks for widths goes without

    for lead in leads:
        if lead.kind != "bend" or lead.start.part != part.part.name or lead.end.part != part.part.name:
            continue
        if lead.start.lug not in part.lugs or lead.end.lug not in part.lugs:
            continue
        for end, at in zip((lead.start, lead.end), ends_of_bend(part, lead), strict=True):
            if part.lugs[end.lug].at.distance(at) > SEEN:
                yield Pad(str(end), at, ring_radius(1) + 0.05 + LINE, (str(lead.start), str(lead.end)))

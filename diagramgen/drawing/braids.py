"""The braid of a shielded lead or cable, drawn out to the lugs it is soldered to."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from diagramgen.build.model import End
from diagramgen.drawing.scene import Emphasis, Group, Mark
from diagramgen.drawing.strokes import lead_marks
from diagramgen.geometry import Point, along, polyline
from diagramgen.layout.model import LaidLead, Layout

LEAVES = 7.0
"""How far from a lead's end its braid is drawn out, mm (common practice: the core is bared 10 to 15 mm)."""


def braid_ends(layout: Layout) -> Iterator[tuple[LaidLead, End]]:
    """Every lug a braid is soldered to, with a lead that carries the braid."""
    for laid in layout.leads:
        for end in laid.lead.shield_to:
            yield laid, end
    for cable in layout.build.cables.values():
        carriers = [one for one in layout.leads if one.lead.cable == cable.name]
        for end in cable.shield_to:
            if carriers and end.known:
                yield min(carriers, key=lambda one: _reach(layout, one, end)), end


def pigtails(layout: Layout, emphasis_of: Callable[[str], Emphasis]) -> list[Mark]:
    """A short bare line from each lead to the lug its braid goes to, noticed as much as the lead."""
    marks: list[Mark] = []
    for laid, end in braid_ends(layout):
        if end.part not in layout.parts:
            continue
        lug = layout.parts[end.part].lugs[end.lug]
        start = _nearest(laid, lug.at)
        said = f"braid of {laid.lead.tag} to {end}"
        tail = lead_marks(polyline([start, lug.at]), "BARE", f"braid:{laid.lead.tag}", emphasis_of(laid.lead.tag))
        marks.append(Group(tail, f"braid:{laid.lead.tag}", said))
    return marks


def _points(laid: LaidLead) -> list[Point]:
    """Where a braid may leave the lead: a little in from either end."""
    flat = laid.path.flat(0.1)
    length = sum(a.distance(b) for a, b in pairwise(flat))
    far = min(LEAVES, length / 2)
    return [along(flat, far)[0], along(flat, length - far)[0]]


def _nearest(laid: LaidLead, at: Point) -> Point:
    return min(_points(laid), key=lambda p: (round(p.distance(at), 3), p))


def _reach(layout: Layout, laid: LaidLead, end: End) -> tuple[float, str]:
    at = layout.parts[end.part].lugs[end.lug].at
    return round(min(p.distance(at) for p in _points(laid)), 3), laid.lead.tag

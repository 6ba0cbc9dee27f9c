"""One cavity of a plan by itself: its parts and leads, cut off at the mouths, where it says what lies beyond."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from diagramgen.drawing.labelling.place_labels import Candidate, Label, LabelLine, candidates_with_leader
from diagramgen.drawing.scene import Role
from diagramgen.kernel.geometry import Point
from diagramgen.layout.model import ChannelPort, LaidLead, Layout

AT_SLOT = 0.1
"""A lead cut off so near to its place in a mouth goes on through it, mm."""
NAMED = 3
"""Parts beyond a mouth that are named; of more, the others are counted."""


def cropped(layout: Layout, region: str) -> Layout:
    """What of a layout lies in one region; leads keep their ends, but only their stretches in it."""
    return replace(
        layout,
        regions={region: layout.regions[region]},
        parts={name: part for name, part in layout.parts.items() if part.region == region},
        ports=tuple(door for door in layout.ports if door.region == region),
        leads=tuple(piece for one in layout.leads for piece in _within(one, region)),
        box=layout.regions[region].box,
    )


def _within(one: LaidLead, region: str) -> Iterator[LaidLead]:
    """The stretches of a lead in a region: more than one where it leaves and comes back."""
    for span in one.spans:
        if span.region == region and span.kind == "inside":
            yield replace(one, spans=(span,))


def beyond(layout: Layout, door: ChannelPort) -> tuple[str, ...]:
    """The parts outside this drawing that the leads of a mouth go on to, as a reader calls them."""
    names: dict[str, None] = {}
    for one in layout.leads:
        slot = door.slots.get(one.lead.tag)
        for end, at in ((one.lead.start, one.path.start), (one.lead.end, one.path.end)):
            if slot is not None and end.known and end.part not in layout.parts and at.distance(slot) < AT_SLOT:
                names[end.part] = None
    return tuple(layout.build.parts[name].says for name in names if name in layout.build.parts)


def mouth_labels(layout: Layout, height: float) -> Iterator[Label]:
    """``to neck, bridge`` at each mouth whose leads go on to parts that are not drawn."""
    for door in layout.ports:
        names = beyond(layout, door)
        if not names:
            continue
        more = len(names) - NAMED
        words = ", ".join(names[:NAMED]) + (f" and {more} more" if more > 0 else "")
        lines = (LabelLine(f"to {words}", height, True, Role.ARROW_TEXT),)
        size = Label("", "", lines, ()).size
        subject = f"channel:{door.channel}"
        yield Label(f"mouth:{door.channel}", subject, lines, tuple(_spots(door, size)))


def _spots(door: ChannelPort, size: tuple[float, float]) -> Iterator[Candidate]:
    """Beyond the wall, along it or straight; else beside the mouth, inside, with a leader."""
    out = door.inward + math.pi
    level = abs(math.sin(out)) < 0.7  # the mouth is in a wall at the left or right
    for off in (5.0, 6.5, 8.0):
        for aside in (0.0, 6.0, -6.0, 12.0, -12.0, 20.0, -20.0):
            for upright in (level, not level):
                w, h = (size[1], size[0]) if upright else size
                reach = off + (w if level else h) / 2
                at = door.centre.towards(out, reach).towards(out + math.pi / 2, aside)
                yield Candidate(at, -math.pi / 2 if upright else 0.0, 0.3 * abs(aside) + off - 5.0)
    yield from candidates_with_leader(Point(door.centre.x, door.centre.y), size, 24.0, cost=12.0)

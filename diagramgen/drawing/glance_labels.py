"""Labels for who looks up from the iron: wires on each joint, 0 and 10 of a knob, what a selector's ends give."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagramgen.drawing.labelling.place_labels import (
    Candidate,
    Label,
    LabelLine,
    candidates_around,
    candidates_with_leader,
)
from diagramgen.drawing.parts import stacks
from diagramgen.drawing.scene import Role
from diagramgen.kernel.geometry import Box, Point
from diagramgen.layout.model import PlacedLug, PlacedPart

BESIDE_ARROW = ((1.0, (0.0, -1.6, 1.6, 3.2)), (1.6, (0.0, -1.6, 1.6)), (2.4, (0.0, -1.6)),
                (0.4, (-3.0, -4.4, 3.4, 4.8)), (-0.2, (-3.0, -4.4, 3.4, 4.8)), (-0.8, (-3.0, 3.4)))
"""Where 0 and 10 are tried: widths of the word on beyond the arrow's end, mm outward from its arc."""


@dataclass(frozen=True)
class Sense:
    """The arc of a knob's turning arrow about ``centre``: angles at 0 and at 10, radius in mm."""

    centre: Point
    zero: float
    ten: float
    radius: float

    @property
    def sweep(self) -> float:
        """From 0 to 10, radians, clockwise positive as seen."""
        return self.ten - self.zero


@dataclass(frozen=True)
class Ends:
    """What the two ends of a selector's travel give, in lines of words."""

    part: str
    toward_neck: tuple[str, ...]
    toward_bridge: tuple[str, ...]


def sense(part: PlacedPart) -> Sense | None:
    """Which way a knob turns from 0 to 10 as seen here, opposite its lugs; None for what is no knob."""
    tracks = [e for e in part.part.symbol.elements if e.kind == "track"]
    if part.outside or not tracks or not part.body:
        return None
    ends = tracks[0].ends
    centre = part.place(Point(0, 0))
    zero, ten = part.lugs[ends["zero"]], part.lugs[ends["ten"]]
    span = math.remainder(centre.angle_to(ten.at) - centre.angle_to(zero.at), math.tau)
    wide = max(z.outline.box().width for z in part.body if z.draw == "body")
    middle = centre.angle_to(zero.at) + (span - math.copysign(math.tau, span)) / 2
    half = math.copysign(math.radians(38), -span)
    return Sense(centre, middle - half, middle + half, wide / 2 - 1.5)


def turn_labels(part: PlacedPart, height: float) -> Iterator[Label]:
    """0 where the knob's arrow begins and 10 at its head."""
    found = sense(part)
    if found is None:
        return
    for word, angle, way in (("0", found.zero, -1.0), ("10", found.ten, 1.0)):
        lines = (LabelLine(word, height, True, Role.ARROW_TEXT),)
        label = Label(f"turn:{part.part.name}:{word}", f"part:{part.part.name}", lines, ())
        w, h = label.size
        step = math.copysign((max(w, h) / 2 + 1.0) / found.radius, found.sweep * way)
        spots = [Candidate(found.centre.towards(angle + step * share, found.radius + off), 0.0, abs(off) + share)
                 for share, offs in BESIDE_ARROW for off in offs]
        yield Label(label.key, label.subject, lines, tuple(spots))


def count_labels(part: PlacedPart, counts: Mapping[str, int], height: float) -> Iterator[Label]:
    """How many ends meet in a joint that holds several, counted as the lead list does.

    Those behind one another stand in the folded-out detail.
    """
    stacked = {lug.name for group in stacks(part) for lug in group}
    for lug in part.lugs.values():
        ends = counts.get(lug.key, 0)
        if ends > 1 and lug.name not in stacked:
            lines = (LabelLine(f"×{ends}", height, True, Role.LUG_TEXT),)
            label = Label(f"count:{lug.key}", f"lug:{lug.key}", lines, ())
            spots = [*candidates_around(lug.at, label.size, 1.5, 1.0), *candidates_around(lug.at, label.size, 2.6, 3.0)]
            spots += candidates_with_leader(lug.at, label.size, 9.0, cost=6.0)
            spots = [spot for spot in spots if plain(spot.at, part, lug)]
            if spots:
                yield Label(label.key, label.subject, lines, tuple(spots))


def plain(at: Point, part: PlacedPart, lug: PlacedLug) -> bool:
    """Whether a word at this place can be meant for no other lug of the part: it is clearly the nearest."""
    own = at.distance(lug.at)
    return all(o.at.distance(at) > own + 1.0 or o.at.distance(lug.at) < 0.5 for o in part.lugs.values())


def _rest(box: Box, at: Point, way: float) -> float:
    """How far the part goes on from a point inside it, mm, along its longer side."""
    x, y = math.cos(way), math.sin(way)
    if abs(x) >= abs(y):
        return (box.right - at.x) if x > 0 else (at.x - box.left)
    return (box.bottom - at.y) if y > 0 else (at.y - box.top)


def end_labels(part: PlacedPart, said: Ends, neck: float, height: float) -> Iterator[Label]:
    """Words at the ends of a selector's slot; ``neck`` is the direction of the neck as seen, radians.

    None where the slot lies across: neither end is nearer to the neck.
    """
    slot = part.shape.slot
    if slot is None or part.outside:
        return
    reach = Point(slot[0] / 2, 0.0) if slot[0] >= slot[1] else Point(0.0, slot[1] / 2)
    one, other = part.place(reach), part.place(Point(-reach.x, -reach.y))
    along = math.cos(one.angle_to(other) - neck)
    if abs(along) < 0.5:
        return
    near, far = (other, one) if along > 0 else (one, other)
    for key, words, at, away in (("neck", said.toward_neck, near, far.angle_to(near)),
                                 ("bridge", said.toward_bridge, far, near.angle_to(far))):
        lines = tuple(LabelLine(word, height, i == 0, Role.VALUE_TEXT) for i, word in enumerate(words))
        label = Label(f"end:{part.part.name}:{key}", f"part:{part.part.name}", lines, ())
        w, h = label.size
        half = abs(math.cos(away)) * w / 2 + abs(math.sin(away)) * h / 2
        half += _rest(part.box, at, away)
        spots = [Candidate(at.towards(away, half + gap).towards(away + math.pi / 2, side), 0.0, gap / 4 + abs(side) / 6)
                 for gap in (1.0, 4.0, 8.0, 12.0, 16.0, 20.0) for side in (0.0, 4.0, -4.0, 8.0, -8.0, 12.0, -12.0)]
        spots += candidates_with_leader(at, label.size, 40.0, cost=14.0)
        yield Label(label.key, label.subject, lines, tuple(spots))

"""Small pictures for a player: controls as they look where they stand, pickups with the coils that sound filled.

A control is seen from the front with the neck at the left; a pull switch from the side. Two coils of one pickup are two
bars: which of them lies toward the neck follows from how the pickup is turned, and is not told here.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from diagramgen.drawing.scene import Emphasis, Mark, Role, Shape
from diagramgen.kernel.geometry import Box, Point, circle, polyline, rounded_box

TALL = 11.0
"""Height of one control's picture, mm; none is wider."""
BAR, GAP, COIL = 3.4, 1.2, 9.0
"""Width of a coil's bar, air between and round bars, length of a bar, mm."""
STRIP = 1.5
"""Width of a transducer's bar, mm."""


def control_marks(look: str, at: int, count: int, centre: Point, inner: Sequence[int] = (),
                  from_right: bool = False) -> list[Mark]:
    """A control round ``centre``; ``from_right``: its first position lies toward the bridge, at the right."""
    share = at / (count - 1) if count > 1 else 0.5
    if from_right:
        share = 1.0 - share
    if look == "toggle":
        return _bat(centre, Point(0.0, (share * 2 - 1) * 3.9))
    if look == "bat":
        return _bat(centre, Point((share * 2 - 1) * 3.9, 0.0))
    if look == "lever":
        return _slot(centre, 11.0, 1.5, share, (1.6, 5.6))
    if look == "ring":
        marks: list[Mark] = []
        for i, one in enumerate(inner or (at,)):
            y = centre.y + (i - (len(inner or (at,)) - 1) / 2) * 4.4
            marks += _slot(Point(centre.x, y), 8.0, 2.6, float(one), (3.2, 2.6))
        return marks
    if look == "pull":
        return _pull(centre, at > 0)
    if look == "rotary":
        return _rotary(centre, share)
    if look == "button":
        return [Shape((circle(centre, 3.4),), Role.HOLE),
                Shape((circle(centre, 2.0 if at else 2.6),), Role.SOLID if at else Role.BODY)]
    return _slot(centre, 8.0, 2.6, share, (3.2, 2.6))


def _bat(centre: Point, tip: Point) -> list[Mark]:
    end = Point(centre.x + tip.x, centre.y + tip.y)
    marks: list[Mark] = [Shape((circle(centre, 2.7),), Role.BODY), Shape((circle(centre, 1.5),), Role.BODY_DETAIL)]
    if math.hypot(tip.x, tip.y) > 0.5:
        marks.append(Shape((polyline([centre, end]),), Role.AXIS, emphasis=Emphasis.STRONG))
    return [*marks, Shape((circle(end, 1.2),), Role.SOLID)]


def _slot(centre: Point, long: float, wide: float, share: float, knob: tuple[float, float]) -> list[Mark]:
    half, tall = knob[0] / 2, knob[1] / 2
    slot = Box(centre.x - long / 2, centre.y - wide / 2, centre.x + long / 2, centre.y + wide / 2)
    x = slot.left + half + share * (long - knob[0])
    grip = Box(x - half, centre.y - tall, x + half, centre.y + tall)
    return [Shape((rounded_box(slot, wide / 2),), Role.HOLE), Shape((rounded_box(grip, 0.5),), Role.SOLID)]


def _pull(centre: Point, up: bool) -> list[Mark]:
    """From the side: the top of the instrument as a line, the knob on it or raised on its shaft."""
    floor = centre.y + 4.2
    low = floor - (4.0 if up else 0.7)
    knob = Box(centre.x - 3.2, low - 4.0, centre.x + 3.2, low)
    marks: list[Mark] = [Shape((polyline([Point(centre.x - 5.5, floor), Point(centre.x + 5.5, floor)]),), Role.AXIS)]
    if up:
        shaft = Box(centre.x - 0.9, low, centre.x + 0.9, floor)
        marks.append(Shape((rounded_box(shaft, 0),), Role.HOLE))
    return [*marks, Shape((rounded_box(knob, 0.7),), Role.SOLID if up else Role.BODY)]


def _rotary(centre: Point, share: float) -> list[Mark]:
    """Seven o'clock to five o'clock, as a knob turns."""
    angle = math.radians(120 + 300 * share)
    tip = Point(centre.x + 3.9 * math.cos(angle), centre.y + 3.9 * math.sin(angle))
    return [Shape((circle(centre, 4.2),), Role.BODY),
            Shape((polyline([centre, tip]),), Role.AXIS, emphasis=Emphasis.STRONG)]


def pickup_width(count: int, strip: bool) -> float:
    """Width of a pickup's picture with ``count`` coils, mm."""
    return count * (STRIP if strip else BAR) + (count + 1) * GAP


def pickup_marks(coils: Sequence[str], strip: bool, corner: Point, sounding: Collection[str],
                 weak: Collection[str]) -> list[Mark]:
    """A pickup with its upper left corner at ``corner``; bars of coils that sound are solid, faint ones grey."""
    bar = STRIP if strip else BAR
    body = Box(corner.x, corner.y, corner.x + pickup_width(len(coils), strip), corner.y + COIL + 2 * GAP)
    marks: list[Mark] = [Shape((rounded_box(body, 1.2),), Role.HOLE)]
    for i, name in enumerate(coils):
        left = corner.x + GAP + i * (bar + GAP)
        outline = rounded_box(Box(left, corner.y + GAP, left + bar, corner.y + GAP + COIL), bar / 2)
        if name in sounding or name in weak:
            faint = Emphasis.NORMAL if name in sounding else Emphasis.FAINT
            marks.append(Shape((outline,), Role.SOLID, f"coil:{name}", emphasis=faint))
        else:
            marks.append(Shape((outline,), Role.HOLE, f"coil:{name}"))
    return marks

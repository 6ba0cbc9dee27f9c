"""Small pictures of pickups, each coil a group of its own that can be lit."""

from __future__ import annotations

from collections.abc import Sequence

from diagramgen.drawing.scene import Group, Mark, Role, Shape, Sheet
from diagramgen.geometry import Box, Point, circle, rounded_box

WIDTH, COIL, EDGE = 44.0, 9.0, 2.0
"""Of a picture, of a coil along the strings, round the coils, mm."""
MOST_POLES = 12


def pickup(name: str, coils: Sequence[str], poles: int) -> Sheet:
    """A pickup seen from the strings: its coils one below the other in groups ``coil:NAME``.

    ``poles``: pole pieces of one coil, 0 for a plain bar.
    """
    tall = COIL * len(coils) + 2 * EDGE
    marks: list[Mark] = [Shape((rounded_box(Box(0.5, 0.5, WIDTH - 0.5, tall - 0.5), 2.5),), Role.BODY)]
    for i, coil in enumerate(coils):
        marks.append(Group(tuple(_coil(EDGE + COIL * i, min(poles, MOST_POLES))), f"coil:{coil}"))
    return Sheet(WIDTH, tall, name, tuple(marks))


def strip(name: str, coil: str) -> Sheet:
    """A contact transducer: a thin strip."""
    tall = COIL + 2 * EDGE
    middle = tall / 2
    body = rounded_box(Box(1.0, middle - 1.8, WIDTH - 1.0, middle + 1.8), 1.8)
    return Sheet(WIDTH, tall, name, (Group((Shape((body,), Role.HOLE),), f"coil:{coil}"),))


def _coil(top: float, poles: int) -> list[Mark]:
    body = Box(EDGE + 1.0, top + 0.7, WIDTH - EDGE - 1.0, top + COIL - 0.7)
    marks: list[Mark] = [Shape((rounded_box(body, (COIL - 1.4) / 2),), Role.HOLE)]
    if poles < 2:
        bar = Box(body.left + 4.0, body.centre.y - 0.7, body.right - 4.0, body.centre.y + 0.7)
        return [*marks, Shape((rounded_box(bar, 0.7),), Role.BUSHING)]
    pitch = (body.width - 9.0) / (poles - 1)
    radius = min(1.3, pitch * 0.36)
    return marks + [Shape((circle(Point(body.left + 4.5 + pitch * i, body.centre.y), radius),), Role.BUSHING)
                    for i in range(poles)]

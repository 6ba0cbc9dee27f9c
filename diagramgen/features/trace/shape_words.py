"""An outline as it is written under ``shape`` in a build file."""

from __future__ import annotations

import math

from diagramgen.kernel.geometry import Arc, Line, Path, Point, moved, turned
from diagramgen.kernel.units import number

DIGITS = 2
"""Of a millimetre: finer than any picture gives."""


def laid(path: Path, turn: float) -> Path:
    """The path turned and shifted until its box begins at 0, 0; clockwise as seen."""
    from diagramgen.kernel.geometry import area

    placed = path.mapped(turned(turn))
    box = placed.box()
    placed = placed.mapped(moved(Point(-box.left, -box.top)))
    return placed if area(placed.flat()) > 0 else placed.reversed()


def shape_words(path: Path) -> str:
    """Write an outline (mm) as a build file takes it, on one line.

    Returns: ``{path: "M ..."}`` where there are arcs, else ``{polygon: [[x, y], ...]}`` without the first point again.
    """
    if all(isinstance(p, Line) for p in path.pieces):
        points = [path.start, *(p.to for p in path.pieces)]
        kept = points[:-1] if points[0].distance(points[-1]) < 0.01 else points
        return "{polygon: [" + ", ".join(f"[{_n(p.x)}, {_n(p.y)}]" for p in kept) + "]}"
    return f'{{path: "{path_words(path)}"}}'


def path_words(path: Path) -> str:
    """Path data with places and radii in mm."""
    words, at = [f"M {_n(path.start.x)} {_n(path.start.y)}"], path.start
    last = path.pieces[-1] if isinstance(path.pieces[-1], Line) and path.end.distance(path.start) < 0.005 else None
    for piece in path.pieces:
        if piece is last:
            break
        if isinstance(piece, Arc):
            radius = _n(at.distance(piece.centre))
            flags = f"{int(abs(piece.sweep) > math.pi)} {int(piece.sweep > 0)}"
            words.append(f"A {radius} {radius} 0 {flags} {_n(piece.to.x)} {_n(piece.to.y)}")
        else:
            words.append(f"L {_n(piece.to.x)} {_n(piece.to.y)}")
        at = piece.to
    return " ".join([*words, "Z"])


def _n(value: float) -> str:
    return number(round(value, DIGITS) + 0.0, DIGITS)


def level_turn(path: Path) -> float:
    """The turn (radians, less than an eighth) that lays the longest straight piece level or upright."""
    longest, angle, at = 0.0, 0.0, path.start
    for piece in path.pieces:
        if isinstance(piece, Line) and at.distance(piece.to) > longest:
            longest, angle = at.distance(piece.to), at.angle_to(piece.to)
        at = piece.to
    return -math.remainder(angle, math.pi / 2)

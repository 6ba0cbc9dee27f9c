"""A QR code as marks (ISO/IEC 18004): dark squares in mm, with the quiet zone of 4 modules kept inside its size."""

from __future__ import annotations

from diagramgen.drawing.scene import Role, Shape
from diagramgen.geometry import Box, Point, rounded_box

QUIET = 4
"""Modules kept white on every side (ISO/IEC 18004)."""
LEAST_MODULE = 0.33
"""Smallest module that a desk printer and a telephone manage, mm (practical floor, from memory)."""


def rows_of(text: str) -> tuple[tuple[bool, ...], ...]:
    """The modules of the smallest code that holds a text, error correction M; True is dark."""
    import segno

    code = segno.make(text, error="m", micro=False, boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def side(text: str, module: float) -> float:
    """Side of the code in mm, quiet zone included."""
    return (len(rows_of(text)) + 2 * QUIET) * module


def qr_shape(text: str, at: Point, module: float, subject: str = "") -> Shape:
    """The code with the corner of its quiet zone at ``at``; runs of dark modules are drawn as one box each."""
    paths = []
    for y, row in enumerate(rows_of(text)):
        x = 0
        while x < len(row):
            run = x
            while run < len(row) and row[run]:
                run += 1
            if run > x:
                left, top = at.x + (QUIET + x) * module, at.y + (QUIET + y) * module
                paths.append(rounded_box(Box(left, top, at.x + (QUIET + run) * module, top + module), 0))
            x = max(run, x + 1)
    return Shape(tuple(paths), Role.CODE, subject)

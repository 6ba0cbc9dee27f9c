"""How far an outline may be off, mm: what the scale, the edge, the fit and the lens can do to it.

Each part is an estimate of the largest displacement of any piece of the outline; those that come by chance are added as
squares, those that do not are added as they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagramgen.features.trace.homography import Numbers, Plane, four_points, through
from diagramgen.kernel.geometry import Point

LENS = 0.001
"""Share of the outline's longest measure by which a corrected lens still bends it (from memory, no source)."""
CAMERA_DOUBT = 0.05
"""A distance of the camera taken with a rule is right to a twentieth (common practice, no source)."""


@dataclass(frozen=True)
class Expected:
    """The parts of the expected error and their sum, mm."""

    scale: float
    edge: float
    fit: float
    lens: float
    plane: float

    @property
    def whole(self) -> float:
        """What is printed."""
        return math.hypot(self.scale, self.edge, self.lens, self.plane) + self.fit


def scale_doubt(plane: Plane, outline: Numbers) -> float:
    """What the doubt of the known points does to the outline: each moved in turn, the shift of the whole left out."""
    if not plane.known or plane.doubt <= 0:
        return 0.0
    mm = plane.to_mm(outline)
    if len(plane.known) == 2:
        a, b = (p for p, _ in plane.known)
        return plane.doubt * math.sqrt(2) / a.distance(b) * _long(mm)
    picture, places = [p for p, _ in plane.known], [q for _, q in plane.known]
    squares = 0.0
    for i in range(4):
        for d in (Point(plane.doubt, 0.0), Point(0.0, plane.doubt)):
            moved: Sequence[Point] = [p.plus(d) if k == i else p for k, p in enumerate(picture)]
            back = plane.array() @ np.linalg.inv(four_points(picture, places))
            off = through(back @ four_points(moved, places), outline) - mm
            squares += float(np.hypot(*_unmoved(mm, off).T).max()) ** 2
    return math.sqrt(squares)


def _unmoved(at: Numbers, off: Numbers) -> Numbers:
    """Displacements without the shift and turn they have in common: those change no shape."""
    middle = at - at.mean(axis=0)
    off = off - off.mean(axis=0)
    turn = float(np.sum(middle[:, 0] * off[:, 1] - middle[:, 1] * off[:, 0]) / np.sum(middle**2))
    result: Numbers = off - turn * np.column_stack([-middle[:, 1], middle[:, 0]])
    return result


def _long(mm: Numbers) -> float:
    return float(np.ptp(mm, axis=0).max())


def lens_doubt(plane: Plane, mm: Numbers) -> float:
    """What the lens does: as bent as the sides of the sheet were seen to be, or what is usual."""
    return max(plane.bow, LENS) * _long(mm)


def edge_doubt(noise: float, blur: float, step: float) -> float:
    """What scatter and blur of the edge do: three deviations, a tenth of the edge's width, a tenth of an element."""
    return step * math.hypot(3 * noise, 0.1 * blur, 0.1) + 0.5 * step


def plane_doubt(low: float, camera: float, mm: Numbers) -> float:
    """What is left after a scale that lies ``low`` mm below the rim was allowed for."""
    return abs(low) / camera * CAMERA_DOUBT * _long(mm) if low else 0.0

"""The edge a control plate hinges on: leads that cross it are longer, and that edge stays."""

from __future__ import annotations

from diagramgen.drawing.labelling.place_labels import Candidate, Label, LabelLine, candidates_with_leader
from diagramgen.drawing.scene import Mark, Role, Shape
from diagramgen.kernel.geometry import Path, Point, polyline
from diagramgen.layout.model import Region

OFF = 5.0
"""Distance of the hinge line from the outline, mm: outside the drawn wood."""
_MIRRORED = {"left": "right", "right": "left"}


def hinge_side(region: Region) -> str:
    """left, right, top, bottom as seen on the plan; '' where the plate lifts off or there is none."""
    plate = region.cavity.plate if region.cavity else None
    if plate is None:
        return ""
    return _MIRRORED.get(plate.hinge, plate.hinge) if region.flipped else plate.hinge


def _line(region: Region) -> Path:
    box = region.box.grown(OFF)
    left, top, right, bottom = box
    ends = {
        "left": (Point(left, top + OFF), Point(left, bottom - OFF)),
        "right": (Point(right, top + OFF), Point(right, bottom - OFF)),
        "top": (Point(left + OFF, top), Point(right - OFF, top)),
        "bottom": (Point(left + OFF, bottom), Point(right - OFF, bottom)),
    }
    return polyline(ends[hinge_side(region)])


def hinge_marks(region: Region) -> list[Mark]:
    """A chain line along the edge the plate folds on."""
    return [Shape((_line(region),), Role.CENTRE, f"hinge:{region.name}")] if hinge_side(region) else []


def hinge_label(region: Region, height: float) -> Label:
    """``hinge``, set beside its line."""
    line = _line(region)
    lines = (LabelLine("plate hinges here", height, False, Role.ARROW_TEXT),)
    size = Label("", "", lines, ()).size
    spots = []
    for share in (0.5, 0.3, 0.7, 0.15, 0.85):
        way = line.end.minus(line.start)
        at = line.start.plus(way.times(share))
        level = abs(line.end.y - line.start.y) < 1e-6
        step = size[1] / 2 + 1.0 if level else size[0] / 2 + 1.0
        for sign in (1, -1):
            where = Point(at.x, at.y + sign * step) if level else Point(at.x + sign * step, at.y)
            spots.append(Candidate(where, 0.0, abs(share - 0.5)))
        spots += candidates_with_leader(at, size, 14.0, cost=8.0)
    return Label(f"hinge:{region.name}", f"hinge:{region.name}", lines, tuple(spots))

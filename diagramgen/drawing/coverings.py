"""What is round a lead's insulation: lines at both sides for a braid, stitches at both sides for cloth."""

from __future__ import annotations

from diagramgen.drawing.parts import shifted
from diagramgen.drawing.scene import Emphasis, Role, Shape
from diagramgen.drawing.strokes import lead_marks
from diagramgen.kernel.colours import BARE
from diagramgen.kernel.geometry import Path, polyline
from diagramgen.layout.pads import BRAID_OFF
from diagramgen.model.build import Lead

BESIDE = {Role.BRAID: BRAID_OFF, Role.CLOTH: 0.82}
"""How far from a lead's middle its covering is drawn, mm: a braid beside the dark edge, stitches across it."""


def covering_of(lead: Lead) -> Role | None:
    """The mark of what is round a lead; None for plain hook-up wire."""
    if lead.kind == "shielded":
        return Role.BRAID
    return Role.CLOTH if lead.cloth and lead.kind == "wire" else None


def covering_marks(
    path: Path, role: Role | None, subject: str = "", emphasis: Emphasis = Emphasis.NORMAL, size: float = 1.0
) -> list[Shape]:
    """The covering along both sides of a lead; ``size``: of a plan under full size."""
    if role is None:
        return []
    lines = [polyline(shifted(path, side * BESIDE[role] * size)) for side in (-1, 1)]
    return [Shape((line,), role, subject, emphasis=emphasis) for line in lines]


def wire_marks(lead: Lead, path: Path, subject: str, emphasis: Emphasis, size: float = 1.0) -> list[Shape]:
    """A lead that wire is cut for, as drawn: its colour, and what is round it."""
    colour = BARE if lead.kind == "bare" else lead.colour.code if lead.colour else ""
    covering = covering_marks(path, covering_of(lead), subject, emphasis, size)
    return [*lead_marks(path, colour, subject, emphasis), *covering]

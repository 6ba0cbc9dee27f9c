"""The marks a lead's colour is shown with: along its path, and as a swatch in a list."""

from __future__ import annotations

from diagramgen.drawing.scene import Emphasis, Role, Shape
from diagramgen.drawing.style import stripe_end, stripe_shade
from diagramgen.kernel.colours import BARE
from diagramgen.kernel.geometry import Box, Path, Point, polyline, rounded_box

_DARK = frozenset({"BK"})


def lead_marks(
    path: Path,
    colour: str = "",
    subject: str = "",
    emphasis: Emphasis = Emphasis.NORMAL,
    halo: bool = True,
) -> tuple[Shape, ...]:
    """A lead along ``path`` in mm: halo, edge, body and stripe; ``colour`` is a code such as ``WH/BK``.

    Draw the lower lead first: the halo of the upper one then cuts it visibly. Raises ``ValueError`` when
    style meets an unknown code.
    """
    roles = [Role.LEAD_HALO] if halo else []
    roles += [Role.LEAD_EDGE, Role.LEAD_BODY]
    base = colour.partition("/")[0]
    if stripe_shade(colour):
        roles += [Role.LEAD_STRIPE_END] if stripe_end(colour) else []
        roles.append(Role.LEAD_STRIPE)
    elif base in _DARK:
        roles.append(Role.LEAD_SHEEN)
    elif base == BARE:
        roles.append(Role.LEAD_BARE_TWIST)
    takes_colour = (Role.LEAD_EDGE, Role.LEAD_BODY, Role.LEAD_STRIPE_END, Role.LEAD_STRIPE)
    return tuple(
        Shape((path,), role, subject, colour if role in takes_colour else "", emphasis) for role in roles
    )


def swatch_marks(box: Box, colour: str, subject: str = "") -> tuple[Shape, ...]:
    """A patch of a lead's colour in a list, with its stripe slanted across the middle and its edge around."""
    outline = rounded_box(box, min(box.width, box.height) / 5)
    marks = [Shape((outline,), Role.SWATCH, subject, colour)]
    if stripe_shade(colour):
        middle, half, lean = box.centre.x, box.width / 8, box.height / 4
        band = polyline(
            (
                Point(middle - half + lean, box.top),
                Point(middle + half + lean, box.top),
                Point(middle + half - lean, box.bottom),
                Point(middle - half - lean, box.bottom),
            ),
            closed=True,
        )
        marks.append(Shape((band,), Role.SWATCH_STRIPE, subject, colour))
    return (*marks, Shape((outline,), Role.SWATCH_EDGE, subject, colour))

"""The marks one lead is drawn with, from its halo up to its stripe."""

from __future__ import annotations

from diagramgen.colours import BARE
from diagramgen.drawing.scene import Emphasis, Role, Shape
from diagramgen.drawing.style import stripe_shade
from diagramgen.geometry import Path

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
        roles.append(Role.LEAD_STRIPE)
    elif base in _DARK:
        roles.append(Role.LEAD_SHEEN)
    elif base == BARE:
        roles.append(Role.LEAD_BARE_TWIST)
    takes_colour = (Role.LEAD_EDGE, Role.LEAD_BODY, Role.LEAD_STRIPE)
    return tuple(
        Shape((path,), role, subject, colour if role in takes_colour else "", emphasis) for role in roles
    )

"""Which lugs of a part solder can bridge, or a lead be put on by mistake: those that lie side by side."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from diagramgen.build.model import Part
from diagramgen.library.model import Lug
from diagramgen.library.shape import shape_of

NEAR = 1.3
"""Lugs count as neighbours up to this many times the distance from a lug to the nearest one."""
FAR = 14.0
"""Never neighbours beyond this (mm): further than two pitches of a 24 mm pot no solder flows and no eye slips."""
LOOSE = ("conductor", "leg", "sleeve", "spot")
"""Ends of conductors, legs and the back of a case lie beside no lug."""


def _solid(part: Part) -> list[Lug]:
    return [lug for lug in shape_of(part.symbol, part.dimensions).lugs.values() if lug.kind not in LOOSE]


def solid_lugs(part: Part) -> tuple[str, ...]:
    """The part's own fixed lugs."""
    return tuple(lug.name for lug in _solid(part))


def neighbours_of(part: Part) -> Iterator[tuple[str, str]]:
    """Pairs of lugs of a part that lie side by side, each once, in the order of the symbol."""
    lugs = _solid(part)
    nearest = {lug.name: min((_distance(lug, o) for o in lugs if o is not lug), default=math.inf) for lug in lugs}
    for a, b in itertools.combinations(lugs, 2):
        if _distance(a, b) <= min(FAR, NEAR * max(nearest[a.name], nearest[b.name])):
            yield a.name, b.name


def _distance(a: Lug, b: Lug) -> float:
    return math.hypot(a.at.x - b.at.x, a.at.y - b.at.y, a.depth - b.depth)

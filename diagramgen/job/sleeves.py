"""Which shrink sleeve goes over a joint in the air, by the diameters it must pass and grip."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

TWO_TO_ONE = ((1.6, 0.8), (2.4, 1.2), (3.2, 1.6), (4.8, 2.4), (6.4, 3.2), (9.5, 4.8), (12.7, 6.4))
"""Inner diameter as supplied and after shrinking, mm (common nominal sizes of AS23053, from memory)."""
THREE_TO_ONE = ((1.5, 0.5), (3.0, 1.0), (6.0, 2.0), (9.0, 3.0), (12.0, 4.0), (18.0, 6.0))
"""The same for 3:1 (typical supply sizes, from memory; the ratio itself as suppliers' glossaries print it)."""
SLIP = 0.3
"""Air a sleeve needs to slide over what it must pass, mm (common practice, no source)."""
BARE = 8.0
"""Bare wire in a joint in the air, mm: as stripped for a sleeve."""
OVERLAP, OVERLAP_DIAMETERS = 5.0, 2.0
"""Over the covering at each end: at least 5 mm, at least two diameters (NASA-STD-8739.3, 9.8)."""
SHORTENS = 0.15
"""By how much of its length a sleeve shortens at most: 5 to 15 % (suppliers' glossaries)."""
AROUND = (0.0, 1.0, 2.0, 1 + 2 / math.sqrt(3), 1 + math.sqrt(2), 2.701, 3.0, 3.0)
"""Diameter of the smallest circle round n equal circles, in diameters (geometry; n = 5 rounded)."""


@dataclass(frozen=True)
class Sleeve:
    """A standard sleeve, mm."""

    ratio: str
    before: float
    after: float
    length: float
    """What to cut off."""


def sleeve_for(wires: Sequence[float], side_by_side: bool = False) -> Sleeve | None:
    """The smallest standard sleeve for a joint of wires of the given outer diameters in mm; 2:1 before 3:1.

    A lapped joint has half of the wires at either end: the sleeve must slide over the thicker bundle and grip the
    thinner one. ``side_by_side``: all wires come in at one end, as the conductors of one cable do; the sleeve passes
    and grips them all together, and its other end is pinched shut. None where no standard size does.
    """
    order = sorted(wires, reverse=True)
    half = len(order) if side_by_side else math.ceil(len(order) / 2)
    thick, thin = bundle(order[:half]), bundle(order[half:]) or bundle(order)
    widest, narrowest = max(thick, thin), min(thick, thin)
    sizes = [("2:1", one) for one in TWO_TO_ONE] + [("3:1", one) for one in THREE_TO_ONE]
    for ratio, (before, after) in sizes:
        if before >= widest + SLIP - 1e-9 and after <= narrowest + 1e-9:
            need = BARE + 2 * max(OVERLAP, OVERLAP_DIAMETERS * max(order))
            return Sleeve(ratio, before, after, math.ceil(round(need / (1 - SHORTENS) / 5, 6)) * 5.0)
    return None


def bundle(wires: Sequence[float]) -> float:
    """Work out the diameter (mm) of the smallest round hole that wires of these diameters (mm) pass together.

    Two wires exactly; more are all taken as thick as the thickest, so that the result is never too small. 0 for none.
    Source: circles packed in a circle, as ``AROUND``; from there on 1.2 times the root of their number.
    """
    if len(wires) == 2:
        return sum(wires)
    around = AROUND[len(wires)] if len(wires) < len(AROUND) else 1.2 * math.sqrt(len(wires))
    return max(wires, default=0.0) * around

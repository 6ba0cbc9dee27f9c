"""Lugs that lie over one another, and case joints near what does not bear their heat."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

from diagramgen.layout.fit.solids import floor_depth
from diagramgen.layout.model import Layout, PlacedLug

OVER = 9.0
"""Lugs nearer than this in plan (mm) with one deeper than the other: the iron reaches past the upper one."""
DEEPER = 3.0
"""By how much (mm) one lug must lie deeper to be covered."""
WARM = 18.0
"""Within this distance (mm) of a case joint a heat-sensitive part is a neighbour (common practice, no source)."""
AIR = ("conductor", "leg", "sleeve")


def _depth(lug: PlacedLug, layout: Layout) -> float:
    placed = layout.parts[lug.part]
    floor = floor_depth(placed, layout.regions[placed.region])
    return lug.depth if floor is None else floor - lug.depth


def _lugs(layout: Layout, keys: Collection[str]) -> list[PlacedLug]:
    found = [layout.parts[part].lugs.get(name) for part, _, name in (k.partition(".") for k in keys)
             if part in layout.parts and not layout.parts[part].outside]
    return [lug for lug in found if lug is not None and lug.kind not in AIR]


def above(layout: Layout, keys: Collection[str]) -> Iterator[tuple[str, str]]:
    """Pairs (deeper lug, lug that covers it). Depth counts from the wood, so the deeper one has the smaller."""
    lugs = _lugs(layout, keys)
    for low in lugs:
        for high in lugs:
            if layout.parts[low.part].region == layout.parts[high.part].region and "spot" not in (low.kind, high.kind):
                near = math.dist((low.at.x, low.at.y), (high.at.x, high.at.y)) <= OVER
                if near and _depth(high, layout) - _depth(low, layout) >= DEEPER:
                    yield low.key, high.key


def neighbours(layout: Layout, keys: Collection[str]) -> Iterator[tuple[str, str]]:
    """Pairs (case lug, lug of a heat-sensitive part on it or near it)."""
    lugs = _lugs(layout, keys)
    for case in (lug for lug in lugs if lug.kind == "spot"):
        for lug in lugs:
            placed = layout.parts[lug.part]
            if lug.kind == "spot" or not placed.part.symbol.heat_sensitive:
                continue
            same = placed.region == layout.parts[case.part].region
            if same and math.dist((case.at.x, case.at.y), (lug.at.x, lug.at.y)) <= WARM:
                yield case.key, lug.key

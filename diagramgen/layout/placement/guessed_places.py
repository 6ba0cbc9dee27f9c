"""Which parts stand where the program put them, on a plan whose other measures are true."""

from __future__ import annotations

from collections import Counter

from diagramgen.layout.fit.solids import is_loose
from diagramgen.layout.model import Layout, PlacedPart


def is_guess(placed: PlacedPart) -> bool:
    """Whether the program chose the place of a part that stands in the instrument: no component on its legs, no
    joint in the air, nothing that is drawn outside."""
    return placed.automatic and not placed.outside and not is_loose(placed)


def given_up(layout: Layout, region: str) -> bool:
    """Whether a cavity that was measured is not drawn as it is, since not all its parts find a place in it."""
    cavity, drawn = layout.build.cavities.get(region), layout.regions[region].cavity
    return cavity is not None and cavity.outline is not None and (drawn is None or drawn.outline is None)


def guessed(layout: Layout) -> tuple[PlacedPart, ...]:
    """The parts whose place nobody measured, in file order; none on a plan that is not to scale at all.

    A part alone in a hole of its own is not counted: the hole is its place, and how the holes lie to one another is
    not to scale on any plan.
    """
    if not layout.to_scale:
        return ()
    standing = [p for p in layout.parts.values() if not p.outside and not is_loose(p)]
    company = Counter(p.region for p in standing)
    walls = {r.name for r in layout.regions.values() if r.cavity is not None and r.cavity.outline is not None}
    return tuple(p for p in standing if is_guess(p) and (p.region in walls or company[p.region] > 1))

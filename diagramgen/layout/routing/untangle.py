"""Lays all leads in the mesh, then takes each up and lays it again until crossings stop coming off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.layout.routing.lanes import Lanes, Spacing
from diagramgen.layout.routing.mesh import Mesh
from diagramgen.layout.routing.model import Effort
from diagramgen.layout.routing.search import Prices, find_course
from diagramgen.layout.routing.sketch import Sketch, crossing_pairs, empty_sketch


@dataclass(frozen=True)
class Strand:
    """A lead, or its part between two points it has to pass: mesh corners, prices, straight length (mm)."""

    start: int
    end: int
    prices: Prices
    priority: int
    length: float


def untangled(mesh: Mesh, strands: Sequence[Strand], keep: Sequence[float], effort: Effort) -> Sketch:
    """The courses of all strands for which there is a way, with few crossings.

    Short strands are laid first; every further pass relays each in turn, priced against all others,
    and the passes end early when a pass no longer changes anything.
    """
    sketch = empty_sketch(mesh)
    spacing = Spacing([strand.prices.pitch for strand in strands], keep)
    order = sorted(range(len(strands)), key=lambda i: (-strands[i].priority, strands[i].length, i))
    lost: set[int] = set()
    for turn in range(max(1, effort.passes)):
        tangled = {lead for pair in crossing_pairs(sketch) for lead in pair}
        changed = False
        for i in order:
            if i in lost or (turn and i not in tangled):
                continue
            old = sketch.take(i) if i in sketch.courses else None
            strand = strands[i]
            course = find_course(sketch, strand.start, strand.end, strand.prices, effort.expansions)
            if course is None:
                lost.add(i)
                continue
            changed = changed or old is None or old.edges != course.edges
            sketch.put(i, course)
        if turn and not changed:
            break
        if turn < effort.passes - 1:
            lanes = Lanes(sketch, spacing)
            lanes.settle(sorted(sketch.courses), rounds=3)
            lanes.written_back()
    return sketch

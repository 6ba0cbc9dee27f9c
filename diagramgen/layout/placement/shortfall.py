"""What is missing where the parts of a cavity find no places: how much wider or higher it would have to be."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.units import number
from diagramgen.layout.codes import FIT_202
from diagramgen.layout.placement.clearance import TIGHT
from diagramgen.layout.placement.propose_places import PlacementTask, propose_places
from diagramgen.model.build import Cavity

MOST = 80
"""No cavity is tried that is wider or higher by more than this, mm."""
TRIES = 12
"""Ways to leave out one part or two that are tried to see whether the others fit."""
MANY = 6
"""More parts than this are counted, not named."""


@dataclass(frozen=True)
class Shortfall:
    """Whole millimetres with which places are found; None where not even ``MOST`` are enough."""

    width: int | None
    height: int | None
    both: int | None
    """Both by so much, where one alone is not enough."""
    without: tuple[str, ...]
    """Parts without which the others find places in the cavity as it is; () where more than a few would have to go."""


def find_shortfall(task: PlacementTask) -> Shortfall:
    """Find by trying how much wider or higher a cavity has to be for the parts of a task."""
    width, height = _least(task, 1.0, 0.0), _least(task, 0.0, 1.0)
    both = _least(task, 1.0, 1.0) if width is None and height is None else None
    return Shortfall(width, height, both, _without(task))


def _least(task: PlacementTask, x: float, y: float) -> int | None:
    """The least whole mm by which the floor has to grow in one direction."""
    low, high = 0, next((mm for mm in (5, 10, 20, 40, MOST) if _goes(task, x * mm, y * mm)), None)
    while high is not None and high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _goes(task, x * middle, y * middle) else (middle, high)
    return high


def _goes(task: PlacementTask, x: float, y: float) -> bool:
    return propose_places(replace(task, floor=_swept(_swept(task.floor, x, 0.0), 0.0, y)), (TIGHT,)) is not None


def _swept(floor: BaseGeometry, x: float, y: float) -> BaseGeometry:
    """A floor grown in one direction: what it covers on a way of ``x``, ``y`` mm."""
    edge = shapely.get_coordinates(floor.boundary)
    strips = [shapely.MultiPoint([*ends, *np.add(ends, (x, y))]).convex_hull
              for ends in (edge[i : i + 2] for i in range(len(edge) - 1))]
    return shapely.union_all([floor, translate(floor, x, y), *strips])


def _without(task: PlacementTask) -> tuple[str, ...]:
    """One or two parts, the last of the file of their kind, without which the others find places."""
    alike: dict[str, list[str]] = {}
    for part in task.free:
        alike.setdefault(part.symbol.name, []).insert(0, part.name)
    last = [name for names in alike.values() for name in names[:2]]
    out = [(names[0],) for names in alike.values()] + list(itertools.combinations(last, 2))
    found = (names for names in out[:TRIES] if len(names) < len(task.free) and _goes_without(task, names))
    names = [p.name for p in task.free]
    return tuple(sorted(next(found, ()), key=names.index))


def _goes_without(task: PlacementTask, out: Sequence[str]) -> bool:
    rest = tuple(p for p in task.free if p.name not in out)
    goals = {p.name: tuple(pull for pull in task.goals.get(p.name, ())
                           if not isinstance(pull[1], str) or pull[1].partition(".")[0] not in out) for p in rest}
    return propose_places(replace(task, free=rest, goals=goals), (TIGHT,)) is not None


def report_shortfall(task: PlacementTask, lack: Shortfall, cavity: Cavity, say: Diagnostics) -> None:
    """Report that not everything finds a place in a cavity, how many mm are missing, and for what (FIT-202)."""
    left, top, right, bottom = task.floor.bounds
    wide, high = right - left, bottom - top
    short = []
    if lack.width is not None:
        short.append(f"{lack.width} mm too narrow ({_size(wide + lack.width, high)} would do)")
    if lack.height is not None:
        short.append(f"{lack.height} mm too low ({_size(wide, high + lack.height)} would do)")
    if lack.both is not None:
        short.append(f"{lack.both} mm too narrow and too low ({_size(wide + lack.both, high + lack.both)} would do)")
    says = {p.name: p.says or p.name for p in task.free}
    beside = f"{_listed([says[name] for name in lack.without])} beside the others" if lack.without else ""
    what = beside or (_listed(list(says.values())) if len(says) <= MANY else f"all {len(says)} parts")
    tried = f"it is {', or '.join(short)}," if short else f"even {MOST} mm more would not do"
    say.add(
        FIT_202,
        next(p.place for p in task.free if p.name in (lack.without or says)),
        f"not all parts find a place in '{cavity.name}' of {_size(wide, high)}: by the places tried {tried} for {what}",
    )


def _size(wide: float, high: float) -> str:
    return f"{number(wide, 1)} x {number(high, 1)} mm"


def _listed(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]

"""What is missing where the parts of a cavity find no places: how much wider or higher it would have to be."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from diagramgen.build.model import Cavity
from diagramgen.layout.clearance import TIGHT
from diagramgen.layout.proposal import Task, propose
from diagramgen.problems import Collector
from diagramgen.units import number

MOST = 80
"""No cavity is tried that is wider or higher by more than this, mm."""
LEFT_OUT = 2
"""At most so many parts are left out to see whether the others fit."""


@dataclass(frozen=True)
class Missing:
    """Whole millimetres with which places are found; None where not even ``MOST`` are enough."""

    width: int | None
    height: int | None
    without: tuple[str, ...]
    """Parts without which the others find places in the cavity as it is; () where more than a few would have to go."""


def missing(task: Task) -> Missing:
    """What a cavity lacks for the parts of ``task``, by trying."""
    return Missing(_least(task, 1.0, 0.0), _least(task, 0.0, 1.0), _without(task))


def _least(task: Task, x: float, y: float) -> int | None:
    """The least whole mm by which the floor has to grow in one direction."""
    low, high = 0, next((mm for mm in (5, 10, 20, 40, MOST) if _goes(task, x * mm, y * mm)), None)
    while high is not None and high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _goes(task, x * middle, y * middle) else (middle, high)
    return high


def _goes(task: Task, x: float, y: float) -> bool:
    return propose(replace(task, floor=_swept(task.floor, x, y)), (TIGHT,)) is not None


def _swept(floor: BaseGeometry, x: float, y: float) -> BaseGeometry:
    """A floor grown in one direction: what it covers on a way of ``x``, ``y`` mm."""
    edge = shapely.get_coordinates(floor.boundary)
    strips = [shapely.MultiPoint([*ends, *np.add(ends, (x, y))]).convex_hull
              for ends in (edge[i : i + 2] for i in range(len(edge) - 1))]
    return shapely.union_all([floor, translate(floor, x, y), *strips])


def _without(task: Task) -> tuple[str, ...]:
    """The fewest parts, the last of the file first, without which the others find places."""
    names = [p.name for p in reversed(task.free)]
    for count in range(1, min(LEFT_OUT, len(names) - 1) + 1):
        for out in itertools.combinations(names, count):
            rest = tuple(p for p in task.free if p.name not in out)
            pulls = {p.name: tuple(pull for pull in task.pulls.get(p.name, ())
                                   if not isinstance(pull[1], str) or pull[1].partition(".")[0] not in out)
                     for p in rest}
            if propose(replace(task, free=rest, pulls=pulls), (TIGHT,)) is not None:
                return tuple(reversed(out))
    return ()


def say_missing(task: Task, lack: Missing, cavity: Cavity, say: Collector) -> None:
    """Say that not everything finds a place in a cavity, how many millimetres are missing, and for what."""
    left, top, right, bottom = task.floor.bounds
    wide, high = right - left, bottom - top
    short = []
    if lack.width is not None:
        short.append(f"{lack.width} mm too narrow ({_size(wide + lack.width, high)} would do)")
    if lack.height is not None:
        short.append(f"{lack.height} mm too low ({_size(wide, high + lack.height)} would do)")
    says = {p.name: p.says or p.name for p in task.free}
    beside = f"{_listed([says[name] for name in lack.without])} beside the others" if lack.without else ""
    what = beside or _listed(list(says.values()))
    tried = f"it is {', or '.join(short)}," if short else f"even {MOST} mm more would not do"
    say.warning(
        "P202",
        next(p.place for p in task.free if p.name in (lack.without or says)),
        f"not all parts find a place in '{cavity.name}' of {_size(wide, high)}: by the places tried {tried} for {what}",
        "Measure the holes that are there and write each as 'at', take smaller parts, or mount some elsewhere. "
        "Until then the drawing is NOT TO SCALE.",
    )


def _size(wide: float, high: float) -> str:
    return f"{number(wide, 1)} x {number(high, 1)} mm"


def _listed(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]

"""Local search: selects one candidate for each of many labels so that all together cost least.

Each label takes its cheapest candidate in turn until nothing changes; then a label that still covers something may push
others away, if they find candidates so good that all of it is a gain. Counted effort, ties broken by index.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

PASSES = 12
PUSHES = 3
"""Rounds of pushing; a third round changed no sample."""
MOST_PUSHED = 3
"""A place that more labels stand on is not worth the pushing."""


@dataclass(frozen=True)
class ConflictPairs:
    """The conflict graph of candidates with its costs, as rows of neighbours one after the other (compressed rows)."""

    starts: NDArray[np.int_]
    """The rows of the i-th place are ``starts[i]`` to ``starts[i + 1]``; each other place is in one of them at most."""
    others: NDArray[np.int_]
    costs: NDArray[np.float64]

    def __getitem__(self, place: int) -> NDArray[np.int_]:
        return self.others[self.starts[place] : self.starts[place + 1]]

    def cost(self, place: int) -> NDArray[np.float64]:
        """Costs of a candidate together with each of its neighbours."""
        return self.costs[self.starts[place] : self.starts[place + 1]]

    def conflicts_of(self, chosen: Sequence[int]) -> list[float]:
        """Cost of each chosen candidate for the others that are chosen."""
        stands = np.zeros(len(self.starts) - 1, dtype=bool)
        stands[chosen] = True
        return [float(self.cost(c)[stands[self[c]]].sum()) for c in chosen]


class Selection:
    """Which candidate is selected for each label, with the costs and conflicts of all candidates."""

    def __init__(self, count: int, owner: NDArray[np.int_], own_cost: NDArray[np.float64], pairs: ConflictPairs):
        starts = np.searchsorted(owner, np.arange(count + 1), side="left")
        self.ranges = [(int(a), int(b)) for a, b in pairwise(starts)]
        self.owner, self.own_cost, self.pairs = owner, own_cost, pairs
        self.chosen = [-1] * count
        self.conflict = np.zeros(len(own_cost))
        """What each place costs for those that stand in its way now."""
        self.selected = np.zeros(len(own_cost), dtype=bool)

    def cost(self, label: int) -> float:
        """Cost of the label's candidate now, conflicts included."""
        c = self.chosen[label]
        return float(self.own_cost[c] + self.conflict[c])

    def put(self, label: int, place: int) -> None:
        """Give a label a candidate (-1 takes it off the sheet)."""
        old = self.chosen[label]
        if old >= 0:
            self.conflict[self.pairs[old]] -= self.pairs.cost(old)
            self.selected[old] = False
        if place >= 0:
            self.conflict[self.pairs[place]] += self.pairs.cost(place)
            self.selected[place] = True
        self.chosen[label] = place

    def best(self, label: int) -> int:
        """Return the cheapest candidate of a label that is off the sheet."""
        low, high = self.ranges[label]
        return low + int(np.argmin(self.own_cost[low:high] + self.conflict[low:high]))


def select(selection: Selection, bad: float) -> list[int]:
    """Select a candidate for every label.

    Parameters: bad - cost above which a label may push others. Returns: candidate number for each label.
    """
    count = len(selection.ranges)
    # Labels with few good places choose first, so that those with many make way for them.
    free = [int(np.sum(selection.own_cost[low:high] < bad)) for low, high in selection.ranges]
    order = sorted(range(count), key=lambda i: (free[i], i))
    _descend(selection, order)
    for _ in range(PUSHES):
        pushed = [label for label in order if selection.cost(label) > bad and _push(selection, label)]
        if not pushed:
            break
        _descend(selection, order)
    return selection.chosen


def _descend(selection: Selection, order: list[int]) -> None:
    for _ in range(PASSES):
        changed = False
        for label in order:
            before = selection.chosen[label]
            selection.put(label, -1)
            selection.put(label, selection.best(label))
            changed |= selection.chosen[label] != before
        if not changed:
            return


def _push(selection: Selection, label: int) -> bool:
    """Give a label a better place, whoever stands there moving on; undone where nothing is gained."""
    low, high = selection.ranges[label]
    for place in sorted(range(low, high), key=lambda c: (float(selection.own_cost[c]), c)):
        if selection.own_cost[place] >= selection.cost(label):
            return False
        excluded = selection.pairs[place]
        selected = np.unique(selection.owner[excluded[selection.selected[excluded]]]).tolist()
        if selected and len(selected) <= MOST_PUSHED and _try(selection, label, place, selected):
            return True
    return False


def _try(selection: Selection, label: int, place: int, selected: list[int]) -> bool:
    moved = [label, *selected]
    before = {one: selection.chosen[one] for one in moved}
    old = sum(selection.cost(one) for one in moved)
    for one in moved:
        selection.put(one, -1)
    selection.put(label, place)
    for one in selected:
        selection.put(one, selection.best(one))
    if sum(selection.cost(one) for one in moved) < old - 1e-6:
        return True
    for one in moved:
        selection.put(one, -1)
    for one in moved:
        selection.put(one, before[one])
    return False

"""Chooses one place for each of many labels so that all together cost least.

Each label takes its cheapest place in turn until nothing changes; then a label that still covers something
may push others off a place it likes better, if they find places so good that all of it is a gain. Counted
effort, ties broken by index.
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
class Pairs:
    """Which places each place gets in the way of, and what both together cost: a stretch of the rows a place."""

    starts: NDArray[np.int_]
    """The rows of the i-th place are ``starts[i]`` to ``starts[i + 1]``; each other place is in one of them at most."""
    others: NDArray[np.int_]
    prices: NDArray[np.float64]

    def __getitem__(self, place: int) -> NDArray[np.int_]:
        return self.others[self.starts[place] : self.starts[place + 1]]

    def cost(self, place: int) -> NDArray[np.float64]:
        """What each of the others costs together with the place."""
        return self.prices[self.starts[place] : self.starts[place + 1]]

    def met(self, chosen: Sequence[int]) -> list[float]:
        """What each chosen place costs for the others that are chosen."""
        stands = np.zeros(len(self.starts) - 1, dtype=bool)
        stands[chosen] = True
        return [float(self.cost(c)[stands[self[c]]].sum()) for c in chosen]


class Choice:
    """The places at hand, their prices, which exclude one another, and which is chosen for each label."""

    def __init__(self, count: int, owner: NDArray[np.int_], price: NDArray[np.float64], pairs: Pairs):
        starts = np.searchsorted(owner, np.arange(count + 1), side="left")
        self.ranges = [(int(a), int(b)) for a, b in pairwise(starts)]
        self.owner, self.price, self.pairs = owner, price, pairs
        self.chosen = [-1] * count
        self.taken = np.zeros(len(price))
        """What each place costs for those that stand in its way now."""
        self.stands = np.zeros(len(price), dtype=bool)

    def cost(self, label: int) -> float:
        """What the label's place costs now, conflicts included."""
        c = self.chosen[label]
        return float(self.price[c] + self.taken[c])

    def put(self, label: int, place: int) -> None:
        """Move a label to a place (-1 takes it off the sheet)."""
        old = self.chosen[label]
        if old >= 0:
            self.taken[self.pairs[old]] -= self.pairs.cost(old)
            self.stands[old] = False
        if place >= 0:
            self.taken[self.pairs[place]] += self.pairs.cost(place)
            self.stands[place] = True
        self.chosen[label] = place

    def best(self, label: int) -> int:
        """The cheapest place of a label that is off the sheet."""
        low, high = self.ranges[label]
        return low + int(np.argmin(self.price[low:high] + self.taken[low:high]))


def choose(choice: Choice, bad: float) -> list[int]:
    """A place for every label; ``bad`` is the cost above which a label may push others."""
    count = len(choice.ranges)
    # Labels with few good places choose first, so that those with many make way for them.
    free = [int(np.sum(choice.price[low:high] < bad)) for low, high in choice.ranges]
    order = sorted(range(count), key=lambda i: (free[i], i))
    _settle(choice, order)
    for _ in range(PUSHES):
        pushed = [label for label in order if choice.cost(label) > bad and _push(choice, label)]
        if not pushed:
            break
        _settle(choice, order)
    return choice.chosen


def _settle(choice: Choice, order: list[int]) -> None:
    for _ in range(PASSES):
        changed = False
        for label in order:
            before = choice.chosen[label]
            choice.put(label, -1)
            choice.put(label, choice.best(label))
            changed |= choice.chosen[label] != before
        if not changed:
            return


def _push(choice: Choice, label: int) -> bool:
    """Give a label a better place, whoever stands there moving on; undone where nothing is gained."""
    low, high = choice.ranges[label]
    for place in sorted(range(low, high), key=lambda c: (float(choice.price[c]), c)):
        if choice.price[place] >= choice.cost(label):
            return False
        excluded = choice.pairs[place]
        standing = np.unique(choice.owner[excluded[choice.stands[excluded]]]).tolist()
        if standing and len(standing) <= MOST_PUSHED and _try(choice, label, place, standing):
            return True
    return False


def _try(choice: Choice, label: int, place: int, standing: list[int]) -> bool:
    moved = [label, *standing]
    before = {one: choice.chosen[one] for one in moved}
    old = sum(choice.cost(one) for one in moved)
    for one in moved:
        choice.put(one, -1)
    choice.put(label, place)
    for one in standing:
        choice.put(one, choice.best(one))
    if sum(choice.cost(one) for one in moved) < old - 1e-6:
        return True
    for one in moved:
        choice.put(one, -1)
    for one in moved:
        choice.put(one, before[one])
    return False

"""Labels take the places that together cost least."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.drawing.labelling.local_search import ConflictPairs, Selection, select


def made(prices: list[list[float]], clashes: set[tuple[int, int]], conflict: float = 400.0) -> Selection:
    owner = np.array([i for i, row in enumerate(prices) for _ in row])
    flat = np.array([p for row in prices for p in row])
    pairs: list[list[int]] = [[] for _ in flat]
    for a, b in clashes:
        pairs[a].append(b)
        pairs[b].append(a)
    starts = np.cumsum([0, *(len(row) for row in pairs)])
    others = np.array([other for row in pairs for other in row], dtype=int)
    return Selection(len(prices), owner, flat, ConflictPairs(starts, others, np.full(len(others), conflict)))


def test_each_label_alone_takes_its_cheapest_place() -> None:
    assert select(made([[5.0, 1.0], [2.0, 3.0]], set()), 40.0) == [1, 2]


def test_two_labels_do_not_take_places_that_exclude_one_another() -> None:
    chosen = select(made([[1.0, 3.0], [1.0, 9.0]], {(0, 2)}), 40.0)
    assert chosen in ([1, 2], [0, 3])


def test_a_label_pushes_another_off_where_both_together_gain() -> None:
    # The first has one good place; the second stands on it and has another nearly as good.
    choice = made([[1.0, 60.0], [0.5, 2.0]], {(0, 2)})
    choice.put(1, 2)
    choice.put(0, 1)
    assert sum(choice.own_cost[c] for c in select(choice, 40.0)) == 3.0


@given(st.lists(st.lists(st.floats(0, 90), min_size=1, max_size=5), min_size=1, max_size=6), st.randoms())
def test_every_label_gets_one_of_its_own_places(prices: list[list[float]], random: object) -> None:
    total = sum(len(row) for row in prices)
    draw = random.sample  # type: ignore[attr-defined]
    owner = [i for i, row in enumerate(prices) for _ in row]
    drawn = [sorted(draw(range(total), 2)) for _ in range(4) if total > 1]
    clashes = {(a, b) for a, b in drawn if owner[a] != owner[b]}
    choice = made(prices, clashes)
    chosen = select(choice, 40.0)
    assert all(low <= c < high for c, (low, high) in zip(chosen, choice.ranges, strict=True))

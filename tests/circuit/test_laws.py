"""Laws of pots: fractions of the track for a turn of the knob.

15 % of a log track at half turn is typical, from memory (10 to 20 %: two reference pages, titles not noted, licences
not told). Blends whose half is dead and tracks that open at 10 are common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.circuit.values import law, table

NAMES = ("linear", "log", "reverse log", "blend", "reverse blend", "no-load")


@pytest.mark.parametrize(("name", "turn", "fraction"), [
    ("linear", 5, 0.5), ("linear", 2, 0.2), ("log", 5, 0.15), ("log", 10, 1.0), ("log", 2.5, 0.075),
    ("reverse log", 5, 0.85), ("blend", 5, 1.0), ("blend", 2.5, 0.5), ("blend", 7, 1.0), ("reverse blend", 5, 0.0),
    ("reverse blend", 7.5, 0.5), ("reverse blend", 3, 0.0), ("no-load", 9.9, 1.0), ("no-load", 0, 0.0),
])
def test_a_law_gives_the_fraction_between_zero_end_and_wiper(name: str, turn: float, fraction: float) -> None:
    assert law(name).fraction(turn) == pytest.approx(fraction)


def test_a_no_load_track_is_open_at_10() -> None:
    assert law("no-load").fraction(10) is None


def test_a_percentage_at_half_turn_bends_the_law() -> None:
    assert law("log", 10).fraction(5) == pytest.approx(0.1)
    assert law("reverse log", 90).fraction(5) == pytest.approx(0.9)


def test_a_measured_law_is_a_table_of_points() -> None:
    measured = table({0: 0, 3: 0.05, 10: 1})
    assert measured.fraction(3) == pytest.approx(0.05)
    assert measured.fraction(6.5) == pytest.approx(0.525)


@pytest.mark.parametrize("points", [{0: 0}, {1: 0, 10: 1}, {0: 0, 9: 1}, {0: 0, 10: 1.5}])
def test_a_table_that_is_no_law_is_refused(points: dict[float, float]) -> None:
    with pytest.raises(ValueError, match=r"law|track"):
        table(points)


@pytest.mark.parametrize("turn", [-0.1, 10.1])
def test_a_turn_off_the_scale_is_refused(turn: float) -> None:
    with pytest.raises(ValueError, match="0 to 10"):
        law("linear").fraction(turn)


@given(st.sampled_from(NAMES), st.floats(0, 10), st.floats(0, 10))
def test_the_wiper_never_turns_back(name: str, a: float, b: float) -> None:
    low, high = law(name).fraction(min(a, b)), law(name).fraction(max(a, b))
    if low is not None and high is not None:
        assert 0 <= low <= high <= 1

"""Hum weighed with turns and area of the coils: what is left is |sum of sign x turns x area x share| of its sum.

By Faraday a uniform hum field induces a voltage in proportion to turns times area. Two coils in series into a load
of 1 M pass the same share of their voltages, so that what is left follows from turns and area alone.
"""

from __future__ import annotations

import pytest
from circuits import built

from diagramgen.circuit.chart import chart
from diagramgen.circuit.sounds import Sound, hum_basis

TEXT = """parts:
  one: {{symbol: single-coil, values: {{winding: clockwise{one}}}}}
  two: {{symbol: single-coil, values: {{winding: anticlockwise{two}}}}}
  output: jack-mono-open
leads:
  - one.finish -> output.tip
  - one.start -> two.finish
  - two.start -> output.sleeve
"""


def sound(one: str, two: str) -> Sound:
    return chart(built(TEXT.format(one=one, two=two))).result(0).sound


@pytest.mark.parametrize(("one", "two", "left", "by"), [
    ("", "", 0.0, ()),
    (", turns: 8000", ", turns: 8000", 0.0, ("turns",)),
    (", turns: 8000", ", turns: 6000", 100 * 2 / 14, ("turns",)),
    (", area: 600", ", area: 400", 20.0, ("area",)),
    (", turns: 8000, area: 500", ", turns: 5000, area: 800", 0.0, ("turns", "area")),
    (", turns: 8000, area: 500", ", turns: 8000, area: 1500", 50.0, ("turns", "area")),
    (", turns: 8000, area: 500", ", turns: 6000", 100 * 2 / 14, ("turns",)),
    (", turns: 8000", ", area: 500", 0.0, ()),
])
def test_what_is_left_of_the_hum_of_two_unequal_coils(one: str, two: str, left: float, by: tuple[str, ...]) -> None:
    found = sound(one, two)
    # The coils' own capacitance and loss shunt them alike; 0.1 % is what they leave.
    assert found.hum_percent == pytest.approx(left, abs=0.1)
    assert found.hum_weighed == by
    assert found.hum == ("cancels" if left <= 10 else "partly")


def test_what_the_figures_take_in_is_said() -> None:
    equal, told = sound("", ""), sound(", turns: 8000, area: 500", ", turns: 6000, area: 500")
    assert hum_basis([equal]) == "Hum is taken for coils of equal turns and area."
    assert hum_basis([told]) == "Hum is weighed with the turns and area given."
    assert "where every coil that matters has them" in hum_basis([equal, told])


@pytest.mark.parametrize("value", ["turns: 0", "area: 0.5", "turns: -8000", "turns: 1000000"])
def test_sizes_no_coil_has_are_refused(value: str) -> None:
    with pytest.raises(AssertionError, match="R105"):
        sound(f", {value}", "")


def test_a_short_value_is_never_taken_for_turns() -> None:
    made = built("parts:\n  one: single-coil, 6k5 8000 H\n".replace("8000 H", "3 H") + "  output: jack-mono-open\n"
                 "leads:\n  - one.finish -> output.tip\n  - one.start -> output.sleeve\n")
    assert set(made.parts["one"].values) == {"resistance", "inductance"}

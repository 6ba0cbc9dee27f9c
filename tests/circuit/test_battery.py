"""Batteries: what they give, what drains them, and boards that are joined to them by one lead only."""

from __future__ import annotations

import pytest
from builders import only
from circuits import built

from diagramgen.circuit.chart import Chart, chart
from diagramgen.circuit.proof import prove
from diagramgen.problems import Collector

BOARD = """
parts:
  pickup: single-coil, 6k5
  board: {{symbol: buffer-board, values: {{current: {current}}}}}
  battery: {{symbol: battery-9v, values: {{voltage: {volts}}}}}
  output: jack-{jack}-open
leads:
  - pickup.finish -> board.in
  - pickup.start -> output.sleeve
  - board.out -> output.tip
  - board.ground -> {ground}
  - battery.plus -> {plus}
  - battery.minus -> output.sleeve
"""


def board(current: str = "0.5 mA", volts: str = "9", jack: str = "mono", ground: str = "output.sleeve",
          plus: str = "board.plus") -> Chart:
    return chart(built(BOARD.format(current=current, volts=volts, jack=jack, ground=ground, plus=plus)))


def test_a_guitar_without_a_battery_draws_no_current() -> None:
    made = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n")
    assert [r.current for r in chart(made).results] == [0.0]


@pytest.mark.parametrize(("volts", "expected"), [("9", 0.5e-3), ("4.5", 0.25e-3)])
def test_a_board_draws_its_current_at_9_volts_and_half_of_it_at_half_the_voltage(volts: str, expected: float) -> None:
    """By hand: 0.5 mA at 9 V are 18k; with 1 ohm inside the battery 0.01 % less flows."""
    result = board(volts=volts).result(0)
    assert result.current == pytest.approx(expected, rel=1e-3)
    assert len(result.powered) == 1


@pytest.mark.parametrize("apart", [{"ground": "parked"}, {"plus": "parked"}])
def test_a_board_that_the_battery_reaches_by_one_lead_only_has_no_supply(apart: dict[str, str]) -> None:
    """Through a board's 1M input some microampere may flow; it is no supply."""
    result = board(**apart).result(0)
    assert result.current <= 9 / 1e6
    assert result.powered == frozenset()


def test_a_battery_that_no_plug_switches_is_drained_in_a_mono_jack_without_contacts() -> None:
    say = Collector()
    prove(board().build, say)
    assert "0.5 mA" in only(say, "C220").message


def test_a_resistor_in_the_supply_takes_its_share() -> None:
    """By hand: 18k of the board and 2k in its plus lead draw 0.45 mA from 9 V, and 8.1 V are left to the board."""
    text = BOARD.format(current="0.5 mA", volts="9", jack="mono", ground="output.sleeve", plus="drop.one")
    result = chart(built(text.replace("  output:", "  drop: resistor, 2k\n  output:").replace(
        "leads:", "leads:\n  - drop.other -> board.plus"))).result(0)
    assert result.current == pytest.approx(0.45e-3, rel=1e-3)
    assert len(result.powered) == 1


@pytest.mark.parametrize(("ohm", "powered"), [("15k", True), ("22k", False)])
def test_a_board_wants_half_of_the_batterys_voltage(ohm: str, powered: bool) -> None:
    text = BOARD.format(current="0.5 mA", volts="9", jack="mono", ground="output.sleeve", plus="drop.one")
    result = chart(built(text.replace("  output:", f"  drop: resistor, {ohm}\n  output:").replace(
        "leads:", "leads:\n  - drop.other -> board.plus"))).result(0)
    assert bool(result.powered) is powered

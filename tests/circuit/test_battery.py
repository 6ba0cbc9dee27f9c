"""Batteries: what they give, what drains them, and boards that are joined to them by one lead only."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders import only
from circuits import built

from diagramgen.circuit.nets import connect
from diagramgen.circuit.proof import prove
from diagramgen.circuit.state_table import StateTable, response_of, state_table
from diagramgen.kernel.diagnostics import Diagnostics

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
          plus: str = "board.plus") -> StateTable:
    return state_table(built(BOARD.format(current=current, volts=volts, jack=jack, ground=ground, plus=plus)))


def test_a_guitar_without_a_battery_draws_no_current() -> None:
    made = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n")
    assert [r.current for r in state_table(made).results] == [0.0]


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


@pytest.mark.parametrize(("plus", "powered"), [("board.plus", True), ("parked", False)])
def test_a_board_taken_to_draw_nothing_is_supplied_where_its_plus_is_on_the_battery(plus: str, powered: bool) -> None:
    made = board(plus=plus).build
    own = made.parts["board"]
    still = replace(own, values={**own.values, "current": 0.0})
    result = state_table(replace(made, parts={**made.parts, "board": still}))
    assert (result.result(0).current, bool(result.result(0).powered)) == (0.0, powered)


def test_a_battery_that_no_plug_switches_is_drained_in_a_mono_jack_without_contacts() -> None:
    say = Diagnostics()
    prove(board().build, say)
    assert "0.5 mA" in only(say, "CIR-220").message


def test_a_resistor_in_the_supply_takes_its_share() -> None:
    """By hand: 18k of the board and 2k in its plus lead draw 0.45 mA from 9 V, and 8.1 V are left to the board."""
    text = BOARD.format(current="0.5 mA", volts="9", jack="mono", ground="output.sleeve", plus="drop.one")
    result = state_table(built(text.replace("  output:", "  drop: resistor, 2k\n  output:").replace(
        "leads:", "leads:\n  - drop.other -> board.plus"))).result(0)
    assert result.current == pytest.approx(0.45e-3, rel=1e-3)
    assert len(result.powered) == 1


@pytest.mark.parametrize(("ohm", "powered"), [("15k", True), ("22k", False)])
def test_a_board_wants_half_of_the_batterys_voltage(ohm: str, powered: bool) -> None:
    text = BOARD.format(current="0.5 mA", volts="9", jack="mono", ground="output.sleeve", plus="drop.one")
    result = state_table(built(text.replace("  output:", f"  drop: resistor, {ohm}\n  output:").replace(
        "leads:", "leads:\n  - drop.other -> board.plus"))).result(0)
    assert bool(result.powered) is powered


@pytest.mark.parametrize(("position", "current"), [("1", 0.5e-3), ("2", 0.0)])
def test_a_switch_in_the_lead_of_the_battery_turns_it_off(position: str, current: float) -> None:
    text = BOARD.format(current="0.5 mA", volts="9", jack="mono", ground="output.sleeve", plus="power.common")
    made = built(text.replace("  output:", "  power: toggle-mini-spdt-on-on\n  output:").replace(
        "leads:", "leads:\n  - power.throw 1 -> board.plus\n  - power.throw 2 -> parked"))
    states = state_table(made).each()
    drawn = {connect(made, state).joined("power.common", "board.plus"): r.current for state, r in states}
    assert drawn[position == "1"] == pytest.approx(current, rel=1e-3)


@pytest.mark.parametrize(("changes", "ohm"), [
    # Ground of the board by way of its input and the pickup: 18k, 1M and 6.5k.
    ({"board.ground -> output.sleeve": "board.ground -> parked"}, 18e3 + 1e6 + 6.5e3),
    # By way of its output, 1k, beside that.
    ({"board.ground -> output.sleeve": "board.out -> output.sleeve"}, 18e3 + 1 / (1 / 1e3 + 1 / (1e6 + 6.5e3))),
    # By way of the pickup alone.
    ({"board.ground -> output.sleeve": "board.ground -> pickup.finish"}, 18e3 + 6.5e3),
])
def test_the_current_finds_its_way_through_input_output_and_pickup(changes: dict[str, str], ohm: float) -> None:
    """Ohm's law, with 1 ohm in the battery; 0.5 mA at 9 V are 18k."""
    text = BOARD.format(current="0.5 mA", volts="9", jack="mono", ground="output.sleeve", plus="board.plus")
    for old, new in changes.items():
        text = text.replace(old, new)
    assert state_table(built(text)).result(0).current == pytest.approx(9 / (ohm + 1), rel=1e-6)


def boards(leads: tuple[str, ...]) -> float:
    """|transfer| of the pickup at 20 Hz with two boards, 1M in and 1k out each, and only the amplifier's 1M.

    The coil's loss of 1000M counts for less than 1 in 100 000.
    """
    board = "{symbol: buffer-board, values: {input: 1M, output: 1k}}"
    parts = f"  first: {board}\n  second: {board}\n"
    common = [f"{b}.{end}" for b in ("first", "second") for end in ("ground -> output.sleeve", "plus -> battery.plus")]
    wires = "".join(f"  - {x}\n" for x in ("pickup.start -> output.sleeve", "battery.minus -> output.sleeve", *common,
                                          *leads))
    made = built("parts:\n  pickup: {symbol: single-coil, values: {resistance: 6.5k, inductance: 1 mH, loss: 1000M}}\n"
                 f"{parts}  battery: battery-9v\n  output: jack-mono-open\nleads:\n{wires}"
                 "load: {cable: 1 mm, cable capacitance: 1 pF/m, amplifier: 1M}\n")
    _, response = response_of(made, {}, None, np.array([20.0]))
    return float(abs(response.transfers[0, 0]))


@pytest.mark.parametrize(("one", "other"), [("first", "second"), ("second", "first")])
def test_one_board_drives_another(one: str, other: str) -> None:
    """By hand: 6.5k into 1M, then 1k into 1M, then 1k into the amplifier's 1M."""
    level = boards((f"pickup.finish -> {one}.in", f"{one}.out -> {other}.in", f"{other}.out -> output.tip"))
    assert level == pytest.approx(1e6 / 1006500 * (1e6 / 1001e3) ** 2, rel=2e-5)


def test_two_boards_side_by_side_share_the_load() -> None:
    """By hand: 6.5k into two inputs, 500k; two outputs of 1k into 1M."""
    level = boards(tuple(f"pickup.finish -> {b}.in" for b in ("first", "second"))
                   + tuple(f"{b}.out -> output.tip" for b in ("first", "second")))
    assert level == pytest.approx(500e3 / 506.5e3 * 1e6 / (1e6 + 500), rel=2e-5)


def test_a_board_by_itself_on_the_tip_halves_what_another_gives_there() -> None:
    """By hand: the output of the second board, 1k with nothing at its input, lies across that of the first."""
    level = boards(("pickup.finish -> first.in", "first.out -> output.tip", "second.out -> output.tip"))
    load = 1 / (1 / 1e3 + 1 / 1e6)
    assert level == pytest.approx(1e6 / 1006500 * load / (load + 1e3), rel=2e-5)


@pytest.mark.parametrize("used", ["first", "second"])
def test_a_board_that_nothing_is_wired_to_but_its_supply_changes_nothing(used: str) -> None:
    """By hand: 6.5k into 1M, then 1k into the amplifier's 1M."""
    level = boards((f"pickup.finish -> {used}.in", f"{used}.out -> output.tip"))
    assert level == pytest.approx(1e6 / 1006500 * 1e6 / 1001e3, rel=2e-5)


@pytest.mark.parametrize("jack", ["mono", "stereo"])
def test_a_shorted_battery_is_said_with_the_state_in_which_it_is(jack: str) -> None:
    """The plug is named with a jack that switches nothing, too: the battery is asked about with every plug."""
    text = BOARD.format(current="0.5 mA", volts="9", jack=jack, ground="output.sleeve", plus="output.sleeve")
    say = Diagnostics()
    prove(built(text), say)
    assert only(say, "CIR-224").message == "the battery is shorted: mono plug in"


def test_a_battery_that_a_switch_shorts_is_said_with_the_position() -> None:
    text = BOARD.format(current="0.5 mA", volts="9", jack="mono", ground="output.sleeve", plus="power.common")
    say = Diagnostics()
    prove(built(text.replace("  output:", "  power: toggle-mini-spdt-on-on\n  output:").replace(
        "leads:", "leads:\n  - power.throw 1 -> board.plus\n  - power.throw 2 -> output.sleeve")), say)
    message = only(say, "CIR-224").message
    assert message.startswith("the battery is shorted: power ")

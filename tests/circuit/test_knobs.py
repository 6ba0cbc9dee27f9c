"""What a knob is heard to do, in decibels."""

from __future__ import annotations

import numpy as np
import pytest
from builders import only
from circuits import built

from diagramgen.circuit.knob_sweep import GRID, TREBLE, Turned
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.proof import prove
from diagramgen.circuit.rules.knobs import _idle, _way
from diagramgen.kernel.diagnostics import Diagnostics

TIP = Output("output")


def test_what_a_volume_loses_on_its_first_half_is_said_in_decibels() -> None:
    """By hand at low frequencies: 6.5k drive 250k || 1M at 10; at 5 the wiper is at 85 %, 212.5k || 1M below 37.5k."""
    made = built("parts:\n  pickup: {symbol: single-coil, values: {resistance: 6.5k, loss: 1000M}}\n"
                 "  volume: pot-24, 250k reverse log\n  output: jack-mono-open\nleads:\n"
                 "  - pickup.finish -> volume.ten\n  - pickup.start -> volume.zero\n  - volume.zero -> output.sleeve\n"
                 "  - volume.wiper -> output.tip\n")
    at_10 = 200e3 / (200e3 + 6500)
    below = 1 / (1 / 212.5e3 + 1e-6)
    at_5 = below / (below + 37.5e3 + 6500)
    assert 20 * np.log10(at_10 / at_5) == pytest.approx(1.67, abs=0.01)
    say = Diagnostics()
    prove(made, say)
    assert "from 10 to 5 it loses 1.7 dB" in only(say, "CIR-244").message


@pytest.mark.parametrize(("level", "idle"), [(-50.0, False), (-70.0, True)])
def test_a_knob_that_moves_only_what_is_60_db_below_the_loudest_does_nothing(level: float, idle: bool) -> None:
    steps = {turn: np.column_stack([np.zeros(len(GRID)), np.full(len(GRID), level - shift)])
             for turn, shift in ((0.0, 0.0), (5.0, 3.0), (10.0, 6.0))}
    assert _idle([Turned(0, ("loud", "faint"), steps, TIP)]) is idle


def test_a_volume_turned_round_is_found_though_it_does_nothing_in_another_state() -> None:
    made = built("""
parts:
  one: single-coil
  two: single-coil
  volume: pot-24, 250k linear
  selector: toggle-mini-spdt-on-on
  output: jack-mono-open
leads:
  - one.finish -> volume.zero
  - volume.ten -> output.sleeve
  - volume.wiper -> selector.throw 1
  - two.finish -> selector.throw 2
  - selector.common -> output.tip
  - one.start -> output.sleeve
  - two.start -> output.sleeve
""")
    say = Diagnostics()
    prove(made, say)
    assert "volume turns the wrong way" in only(say, "CIR-243").message


def turned(*levels: float) -> Turned:
    """One coil whose curve is flat, at these decibels with the knob at 0, 5 and 10."""
    curves = {turn: np.full((len(GRID), 1), level) for turn, level in zip((0.0, 5.0, 10.0), levels, strict=True)}
    return Turned(0, ("coil",), curves, TIP)


def test_treble_is_the_mean_of_the_power_in_decibels() -> None:
    assert turned(-12.0, -6.0, 0.0).treble(0.0) == pytest.approx([-12.0])
    curve = np.full((len(GRID), 1), -300.0)
    curve[TREBLE] = np.where(np.arange(TREBLE.sum()) % 2, -7.0, -300.0)[:, None]
    share = (TREBLE.sum() // 2) / TREBLE.sum()
    found = Turned(0, ("coil",), {0.0: curve}, TIP)
    assert found.treble(0.0) == pytest.approx([-7.0 + 10 * np.log10(share)], abs=1e-6)


def both(one: tuple[float, float], other: tuple[float, float]) -> Turned:
    """Two coils at these decibels with the knob at 0 and at 10."""
    return Turned(0, ("one", "other"), {turn: np.column_stack([np.full(len(GRID), x[i]) for x in (one, other)])
                                        for i, turn in enumerate((0.0, 10.0))}, TIP)


@pytest.mark.parametrize(("one", "other", "way"), [
    ((-9.0, 0.0), (-9.0, 0.0), 1), ((0.0, -9.0), (0.0, -9.0), -1), ((0.0, 0.0), (0.0, 0.0), 0),
    ((-9.0, 0.0), (0.0, 0.0), 1), ((0.0, -9.0), (0.0, 0.0), -1), ((-9.0, 0.0), (0.0, -9.0), 0),
    ((-2.0, 0.0), (0.0, 0.0), 0), ((0.0, -2.0), (0.0, 0.0), 0), ((-9.0, 0.0), (0.0, -0.4), 1),
    ((-9.0, 0.0), (0.0, -0.6), 0), ((0.0, -9.0), (-0.4, 0.0), -1), ((0.0, -9.0), (-0.6, 0.0), 0),
    ((-99.0, -70.0), (-99.0, -70.0), 0),
])
def test_a_knob_has_a_way_where_a_coil_gains_3_db_and_none_loses_more_than_half_a_decibel(
    one: tuple[float, float], other: tuple[float, float], way: int
) -> None:
    assert _way(both(one, other)) == way


def test_a_knob_is_judged_from_80_hz_to_8_khz_and_its_treble_from_2_khz_on() -> None:
    """Even steps of the logarithm: 40 of them over a factor of 100."""
    assert pytest.approx(80.0 * 100.0 ** (np.arange(41) / 40)) == GRID
    assert [bool(x) for x in TREBLE] == [f > 2000.0 for f in GRID]
    assert (GRID[0], GRID[-1]) == (pytest.approx(80.0), pytest.approx(8000.0))

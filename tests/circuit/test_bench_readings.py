"""Readings a technician would take at the plug, against figures worked out by hand (common practice, no source)."""

from __future__ import annotations

import pytest
from circuits import built, plug

from diagramgen.circuit.dc_readings import MeterConditions, read
from diagramgen.circuit.netlist import template_of
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import classes_of

ONE = """
parts:
  pickup: single-coil, 7.00k
  volume: pot-24, {pot} log
  tone: pot-24, 500k log
  cap: capacitor-film, 22n, between tone.zero and tone.case
  output: jack-mono-open
leads:
  - {hot}
  - pickup.start -> volume.case
  - volume.wiper -> output.tip
  - volume.zero -> volume.case, bend
  - volume.case -> output.sleeve
  - volume.ten -> tone.wiper
  - tone.case -> volume.case
"""


def one(pot: str = "250k", hot: str = "pickup.finish -> volume.ten") -> str:
    return ONE.format(pot=pot, hot=hot)


def kilo(reading: object) -> float:
    ohms = reading.ohms  # type: ignore[attr-defined]
    assert ohms is not None
    return round(float(ohms) / 1000, 2)


@pytest.mark.parametrize(("pot", "expected"), [("250k", 6.81), ("500k", 6.90)])
def test_the_volume_pot_lowers_the_reading_of_a_7k_coil(pot: str, expected: float) -> None:
    assert kilo(plug(built(one(pot)))) == expected


def test_a_volume_at_0_reads_a_short() -> None:
    assert plug(built(one()), knobs={"volume": 0}).ohms == 0


def test_with_the_coil_off_the_plug_reads_the_pot_within_its_tolerance() -> None:
    reading = plug(built(one(hot="pickup.finish -> parked")))
    assert reading.ohms == pytest.approx(250e3)
    assert (reading.low, reading.high) == (pytest.approx(200e3), pytest.approx(300e3))


@pytest.mark.parametrize("turn", [0, 3, 10])
def test_the_tone_branch_changes_no_reading(turn: float) -> None:
    made = built(one())
    assert plug(made, knobs={"tone": turn}) == plug(made)


def test_a_pot_of_20_per_cent_moves_the_reading_of_the_coil_by_half_a_per_cent() -> None:
    here = template_of(built(one()))
    exact = read(here, classes_of(here, (), ()), "output.tip", "output.sleeve", MeterConditions(20, 0), {"pickup": 0.0})
    assert exact.low == pytest.approx(6764, abs=2)
    assert exact.high == pytest.approx(6841, abs=2)


TWO = """
parts:
  neck: single-coil, 7.0k
  bridge: single-coil, 7.5k
  selector: toggle-short
  neck-volume: pot-24, 500k log
  bridge-volume: pot-24, 500k log
  output: jack-mono-open
leads:
  - neck.finish -> neck-volume.{into}
  - bridge.finish -> bridge-volume.{into}
  - neck.start -> neck-volume.case
  - bridge.start -> neck-volume.case
  - neck-volume.zero -> neck-volume.case
  - bridge-volume.zero -> neck-volume.case
  - neck-volume.{out} -> selector.up
  - bridge-volume.{out} -> selector.down
  - selector.common -> output.tip
  - neck-volume.case -> output.sleeve
"""


def test_two_volumes_in_the_middle_read_both_coils_and_both_pots() -> None:
    made = built(TWO.format(into="ten", out="wiper"))
    assert kilo(plug(made, {"selector": "middle"})) == 3.57
    assert plug(made, {"selector": "middle"}, {"neck-volume": 0}).ohms == 0


def test_exchanged_lugs_leave_the_other_pickup_sounding_and_read_the_track_alone() -> None:
    made = built(TWO.format(into="wiper", out="ten"))
    assert kilo(plug(made, {"selector": "middle"}, {"neck-volume": 0})) == 7.28
    assert kilo(plug(made, {"selector": "up"}, {"neck-volume": 0})) == 500.0


DUAL = """
parts:
  pickup: dual-coil, 4.0k 4.0k
  mode: {switch}
  volume: pot-24, 500k log
  output: jack-mono-open
leads:
  - pickup.a start -> volume.ten
  - pickup.b start -> volume.case
  - pickup.bare -> volume.case
  - volume.zero -> volume.case
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
{leads}
"""
SPLIT = DUAL.format(switch="pot-24-push-pull", leads="""
  - pickup.a finish -> pickup.b finish, sleeved
  - pickup.a finish -> mode.a common
  - mode.a near -> volume.case
""")
PARALLEL = DUAL.format(switch="toggle-mini-dpdt-on-on", leads="""
  - pickup.a finish -> mode.a common
  - pickup.b finish -> mode.b common
  - mode.a 1 -> mode.b 1
  - mode.a 2 -> volume.case
  - mode.b 2 -> volume.ten
""")


def test_a_dual_coil_reads_its_coils_in_series_split_and_in_parallel() -> None:
    split, parallel = built(SPLIT), built(PARALLEL)
    assert kilo(plug(split, {"mode": "down"})) == 7.87
    assert kilo(plug(split, {"mode": "up"})) == 3.97
    assert kilo(plug(parallel, {"mode": "1"})) == 7.87
    assert kilo(plug(parallel, {"mode": "2"})) == 1.99


BLEND = """
parts:
  neck: single-coil, 7.0k
  bridge: single-coil, 7.0k
  blend: {{symbol: pot-blend, values: {{track: 250k, front law: {front}, rear law: {rear}}}}}
  master: pot-24, 500k log
  output: jack-mono-open
leads:
  - neck.finish -> blend.rear wiper
  - bridge.finish -> blend.front wiper
  - neck.start -> master.case
  - bridge.start -> master.case
  - blend.rear zero -> master.case
  - blend.front ten -> master.case
  - blend.rear ten -> master.ten
  - blend.front zero -> master.ten
  - master.zero -> master.case
  - master.wiper -> output.tip
  - master.case -> output.sleeve
"""


def test_a_half_dead_blend_reads_both_pickups_in_the_centre_and_one_at_each_end() -> None:
    made = built(BLEND.format(front="reverse blend", rear="blend"))
    assert kilo(plug(made)) == 3.38
    assert kilo(plug(made, knobs={"blend": 0})) == 6.54
    assert kilo(plug(made, knobs={"blend": 10})) == 6.54


def test_linear_gangs_in_a_blend_read_the_tracks_in_the_centre() -> None:
    made = built(BLEND.format(front="linear", rear="linear"))
    assert round((plug(made).ohms or 0) / 1000, 1) == 58.2


ONE_COIL = """parts:
  one: single-coil, 7k
  output: jack-stereo-open
leads:
  - one.finish -> output.tip
  - one.start -> output.sleeve
"""


def test_copper_reads_more_on_a_warm_bench_and_nothing_is_read_with_the_plug_out() -> None:
    """By hand: 0.393 % a kelvin at 20 degrees (IEC 60028); 30 degrees, 2 more or less, a sheet's figure to 10 %."""
    found = {s["output"]: r.reading for s, r in state_table(built(ONE_COIL), meter=MeterConditions(30.0, 2.0)).each()}
    assert found["mono"].ohms == pytest.approx(7000 * (1 + 0.0393))
    assert found["mono"].low == pytest.approx(7000 * (1 + 0.00393 * 8) * 0.9)
    assert found["mono"].high == pytest.approx(7000 * (1 + 0.00393 * 12) * 1.1)
    assert (found["out"].kind, found["out"].ohms, found["out"].why) == ("not meaningful", None, "the plug is out")


def test_a_short_has_no_band() -> None:
    reading = state_table(built(ONE_COIL + "  - output.tip -> output.sleeve\n")).result(0).reading
    assert (reading.kind, reading.ohms, reading.low, reading.high) == ("value", 0.0, 0.0, 0.0)

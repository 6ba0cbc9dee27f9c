"""What 0 ohm, open and a pot's value mean at the plug, in the very circuit; what a lone coil shows."""

from __future__ import annotations

from pathlib import Path

import pytest
from circuits import built, sample

from diagramgen.circuit.state_table import state_table
from diagramgen.features.testpage.plan import lug_in_words, odd_readings, pickups_alone, plug_readings
from diagramgen.model.build import Build

SAMPLES = Path(__file__).parents[2] / "samples"

ONE = """format: 1
parts:
  pickup: single-coil, 7k
  volume: pot-24, 250k log
  kill: push-button-momentary
  output: jack-mono-open
leads:
  - pickup.start -> output.sleeve
  - pickup.finish -> volume.{hot}
  - volume.zero -> output.sleeve
  - volume.{out} -> output.tip
"""


def said(text: str) -> str:
    found = state_table(built(text))
    return "\n".join(odd_readings(found, list(plug_readings(found))))


def test_a_lost_coil_leaves_the_volume() -> None:
    # Bench check, common practice, no source: coil lead off, a 250k volume reads 200k to 300k.
    told = said(ONE.format(hot="ten", out="wiper"))
    assert "About 250 kΩ (200 kΩ to 300 kΩ) at 10 here: that is the pots alone" in told
    assert "0 Ω with knobs at 0 is right here" in told


def test_a_volume_with_its_outer_lugs_exchanged_reads_its_track_at_0() -> None:
    # Common practice, no source: pickup on the wiper, output on the 10 end; at 0 the plug reads the track.
    found = state_table(built(ONE.format(hot="wiper", out="ten")))
    rows = list(plug_readings(found))
    assert rows[0].at_zero is not None
    assert rows[0].at_zero.ohms == pytest.approx(250e3)
    told = "\n".join(odd_readings(found, rows))
    assert "With knobs at 0 this plug reads a track, not 0 Ω" in told
    assert "is right here" not in told


def test_without_a_pot_a_lost_pickup_reads_open() -> None:
    text = ONE.format(hot="ten", out="wiper").replace("  - pickup.finish -> volume.ten\n", "").replace(
        "  - volume.wiper -> output.tip\n", "  - pickup.finish -> output.tip\n").replace(
        "  - volume.zero -> output.sleeve\n", "")
    told = said(text)
    assert "Here also a lost pickup: no pot lies across it." in told
    assert "pots alone" not in told


def test_one_lost_coil_of_two_doubles_the_reading() -> None:
    # By hand: 6.3k beside 5.9k and 250k is 3.01k; either alone beside 250k is 6.15k or 5.76k.
    found = state_table(examined("three-singles-lever"))
    told = "\n".join(odd_readings(found, list(plug_readings(found))))
    assert "About 5.8 kΩ to 6.1 kΩ instead of 3.01 kΩ in lever 2: one of the coils is lost." in told


def test_a_position_that_is_silent_on_purpose_may_read_0() -> None:
    text = ONE.format(hot="ten", out="wiper").replace(
        "kill: push-button-momentary", "kill: toggle-mini-spdt-on-on") + (
        "  - kill.common -> volume.wiper\n  - kill.throw 1 -> output.sleeve\n")
    assert "0 Ω with knobs at 10, but in kill" in said(text)


def test_behind_a_board_nothing_is_said_in_ohms() -> None:
    found = state_table(examined("bass-active"))
    told = list(odd_readings(found, list(plug_readings(found))))
    assert [line[:26] for line in told] == ["No ohm test at this plug: "]
    assert "Ω" not in told[0]


def test_a_lone_coil_has_the_band_of_its_sheet_and_a_transducer_none() -> None:
    # By hand: 3.7k, 10 per cent for a sheet's figure, 5 K of copper at 0.393 per cent (IEC 60028).
    found = {one.source: one.reading for one in pickups_alone(examined("baritone"))}
    reading = found["neck.a"]
    assert reading is not None
    assert reading.low == pytest.approx(3700 * 0.9 * (1 - 5 * 0.00393))
    assert reading.high == pytest.approx(3700 * 1.1 * (1 + 5 * 0.00393))
    assert found["saddle"] is None


def test_a_lug_is_named_with_the_colour_of_its_conductor() -> None:
    build = examined("two-pickups-toggle")
    assert lug_in_words(build, "neck.a start") == "neck a start (blk)"
    assert lug_in_words(build, "output.tip") == "plug's tip"
    assert lug_in_words(build, "neck-volume.ten") == "neck-volume 10"


def examined(name: str) -> Build:
    return sample(SAMPLES / f"{name}.yaml")

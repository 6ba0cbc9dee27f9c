"""What the test page asks the meter: switches alone, metal to sleeve, readings by position."""

from __future__ import annotations

from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.analysis import Analysis
from diagramgen.circuit.coil_words import sound_words
from diagramgen.features.testpage.plan import closures, ground_checks, plug_readings

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def lever() -> Analysis:
    return proof_of("three-singles-lever")


def test_a_two_pole_five_way_closes_two_throws_in_positions_two_and_four(lever: Analysis) -> None:
    # Common practice, no source: positions 2 and 4 of a two-pole five-way join two throws to the common.
    assert lever.build is not None
    rows = {one.position: one for one in closures(lever.build)}
    assert rows["2"].joined == ("aC = a1 = a2", "bC = b1 = b2")
    assert rows["4"].joined == ("aC = a2 = a3", "bC = b2 = b3")
    assert rows["bridge"].joined == ("aC = a1", "bC = b1")
    assert rows["bridge"].apart == "a2, b2, a3, b3"


def test_every_grounded_case_is_asked_under_one_ohm(lever: Analysis) -> None:
    assert lever.build is not None
    said = {one.what: one.expected for one in ground_checks(lever.build)}
    assert said["case of volume"].startswith("under 1 Ω")
    assert said["bridge and strings"].startswith("under 1 Ω")


def test_metal_no_lead_grounds_is_said_to_read_open() -> None:
    proof = proof_of("wrong-on-purpose")
    assert proof.build is not None
    said = {one.what: one.expected for one in ground_checks(proof.build)}
    assert said["case of blend"].startswith("open")


def test_readings_at_the_plug_hold_the_coil_beside_the_volume(lever: Analysis) -> None:
    assert lever.chart is not None
    rows = list(plug_readings(lever.chart))
    assert [r.sounds for r in rows] == [
        sound_words(r.sound, lever.build) for r in lever.chart.results if r.plug == "mono"]
    for row in rows:
        assert row.at_ten.low is not None
        assert row.at_ten.high is not None
        assert row.at_ten.ohms is not None
        assert row.at_ten.low < row.at_ten.ohms < row.at_ten.high
        # Common practice, no source: an ordinary volume at 0 reads 0 ohm.
        assert row.at_zero is not None
        assert row.at_zero.ohms == 0


def test_an_active_output_gets_no_ohm_figure() -> None:
    proof = proof_of("bass-active")
    assert proof.chart is not None
    assert {row.at_ten.kind for row in plug_readings(proof.chart)} == {"not meaningful"}

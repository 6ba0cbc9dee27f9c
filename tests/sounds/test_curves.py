"""Response curves: which sounds and knobs are shown, and that numbers and picture are those of the solver."""

from __future__ import annotations

import csv
import io
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from circuits import sample

from diagramgen.circuit.coil_words import assumed_words
from diagramgen.circuit.state_table import StateTable, response_of, state_table
from diagramgen.drawing.scene import Sheet, Text, walk
from diagramgen.features.sounds.curves_sheet import Chosen, curve_sheets, curves_csv, pictures
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.frame import JobLine
from diagramgen.sheets.registry import default_sheets

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
JOB = JobLine("J-1", "title", "", "", "", "", "", "abcd")


@cache
def solved(name: str) -> StateTable:
    return state_table(sample(SAMPLES / f"{name}.yaml"))


def sheets(name: str) -> list[Sheet]:
    made = curve_sheets(solved(name), JOB, PAPERS["a4"])
    return [maker(i, len(made)) for i, maker in enumerate(made, 1)]


def words(sheet: Sheet) -> str:
    return " ".join(m.text for m in walk(sheet) if isinstance(m, Text))


def test_each_position_that_sounds_different_has_one_curve() -> None:
    sounds, *_ = pictures(solved("three-singles-lever"))
    assert [c.label for c in sounds[0].curves] == [
        "bridge", "middle and bridge in parallel", "middle", "neck and middle in parallel", "neck"]


def test_at_most_eight_sounds_are_shown_and_how_many_are_not_is_said() -> None:
    sounds, *_ = pictures(solved("baritone"))
    assert len(sounds[0].curves) == 8
    assert "16 more" in sounds[0].title


def test_only_knobs_that_change_the_first_state_are_shown_at_10_7_4_and_0() -> None:
    _, knobs, _ = pictures(solved("two-pickups-toggle"))
    assert [p.title for p in knobs] == ["neck-tone turned alone", "neck-volume turned alone"]
    assert [c.label for c in knobs[0].curves] == ["at 10", "at 7", "at 4", "at 0"]


def test_a_volume_at_0_is_silent_and_a_tone_at_0_dark() -> None:
    _, knobs, _ = pictures(solved("no-cavity"))
    volume, tone = (p.curves for p in sorted(knobs, key=lambda p: p.title, reverse=True))
    assert max(db for _, db in volume[-1].points) == -120.0
    assert tone[0].points[-60][1] - tone[-1].points[-60][1] > 12


def test_the_numbers_are_the_power_sum_of_the_coils_at_the_amplifier() -> None:
    rows = list(csv.reader(io.StringIO(curves_csv(solved("three-singles-lever"), "abcd"))))
    assert rows[0][0] == "frequency_hz"
    at = rows[0].index("lever 2: middle || bridge (dB)")
    for row in rows[1::20]:
        _, response = response_of(solved("three-singles-lever").build, {"lever": "2"}, None, np.array([float(row[0])]))
        assert float(row[at]) == pytest.approx(10 * np.log10((np.abs(response.transfers) ** 2).sum()), abs=2e-3)
    assert {row[-1] for row in rows[1:]} == {"abcd"}


@pytest.mark.parametrize("name", ["baritone", "no-cavity", "three-singles-lever"])
def test_everything_assumed_is_on_the_page(name: str) -> None:
    for sheet in sheets(name):
        said = words(sheet)
        assert "rests on assumed values" in said
        assert assumed_words(solved(name).assumed, solved(name).build) in said
        assert "(ASSUMED)" in said


@pytest.mark.parametrize("name", ["baritone", "bass-active", "two-pickups-toggle", "three-singles-lever", "no-cavity"])
def test_no_text_of_a_page_of_curves_lies_on_another(name: str) -> None:
    for sheet in sheets(name):
        boxes = [(m.text, m.box()) for m in walk(sheet) if isinstance(m, Text) and not m.text.isdigit()]
        for i, (text, a) in enumerate(boxes):
            assert a.left > 0, text
            assert a.right < sheet.width, text
            for other, b in boxes[i + 1 :]:
                apart = a.right <= b.left or b.right <= a.left or a.bottom <= b.top + 0.3 or b.bottom <= a.top + 0.3
                assert apart, (text, other)


def test_curves_are_made_on_request_only() -> None:
    assert "curves" not in default_sheets()


def test_states_and_settings_of_knobs_asked_for_are_shown_and_no_others() -> None:
    found = solved("three-singles-lever")
    chosen = Chosen((1, 3), ({"volume.turn": 10.0}, {"volume.turn": 5.0}))
    sounds, knobs, _ = pictures(found, chosen)
    assert [(c.remark, c.label) for c in sounds[0].curves] == [
        ("lever 2, volume at 10", "middle and bridge in parallel"),
        ("lever 2, volume at 5", "middle and bridge in parallel"),
        ("lever 4, volume at 10", "neck and middle in parallel"),
        ("lever 4, volume at 5", "neck and middle in parallel")]
    assert {p.where for p in knobs} == {"lever 2: middle and bridge in parallel"}
    _, response = response_of(found.build, {"lever": "4"}, {"volume.turn": 5.0}, np.array([1000.0, 80.0]))
    table = list(csv.reader(io.StringIO(curves_csv(found, "abcd", chosen))))
    at = table[0].index("lever 4, volume at 5: neck || middle (dB)")
    assert float(table[1][at]) == pytest.approx(10 * np.log10((np.abs(response.transfers[1]) ** 2).sum()), abs=2e-3)


def test_more_than_eight_curves_asked_for_take_more_charts() -> None:
    sounds, *_ = pictures(solved("baritone"), Chosen(tuple(range(10))))
    assert [len(p.curves) for p in sounds] == [8, 2]


def test_a_bleed_is_studied_with_and_without_it_and_neutral_at_10() -> None:
    _, _, studies = pictures(solved("two-pickups-toggle"))
    assert [p.title for p in studies] == ["bridge-volume with and without bleed"]
    curves = {c.label: np.array(c.points) for c in studies[0].curves}
    high = np.flatnonzero(curves["at 4, with"][:, 0] > 3000)[0]
    # Common practice, no source: a bleed keeps treble as the volume is turned down.
    assert curves["at 4, with"][high, 1] > curves["at 4, without"][high, 1] + 3
    head = curves_csv(solved("two-pickups-toggle")).splitlines()[0]
    assert "bridge-volume with and without bleed: at 4, with (dB)" in head


@pytest.mark.parametrize("name", ["one-volume", "no-cavity", "three-singles-lever"])
def test_a_build_without_a_bleed_has_no_study_of_one(name: str) -> None:
    assert pictures(solved(name))[2] == []

"""Readings entered in a results file, held against hand-worked bands; slips of the pen are pointed out."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from diagramgen.analysis import Analysis, examine
from diagramgen.circuit.dc_readings import OPEN as OPEN_READING
from diagramgen.circuit.dc_readings import SHORT, Reading
from diagramgen.circuit.measured_values import slipped, typed
from diagramgen.features.readings.empty_file import empty_results
from diagramgen.job.results import INSIDE, NOTHING, OUTSIDE, verdict_of
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.reader.results import OPEN, read_results

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
TOGGLE = SAMPLES / "two-pickups-toggle.yaml"
BARITONE = SAMPLES / "baritone.yaml"


def judged(folder: Path, text: str, build: Path = TOGGLE) -> Analysis:
    file = folder / "readings.yaml"
    file.write_text(text, encoding="utf-8")
    return examine(build, results=file)


def codes(analysis: Analysis) -> dict[str, str]:
    return {p.code: p.message for p in analysis.problems if p.place.file.endswith("readings.yaml")}


def band(*coils: float, share: float, pot: float = 500e3) -> tuple[float, float]:
    """Coils in series across a track at 10: both ends of the band worked by hand.

    Coils: their share and 5 K of copper at 0.393 % a kelvin (IEC 60028); track 20 % (common practice, no source).
    """
    ends = []
    for sign in (-1, 1):
        coil = sum(coils) * (1 + sign * share) * (1 + sign * 5 * 0.00393)
        track = pot * (1 + sign * 0.2)
        ends.append(coil * track / (coil + track))
    return ends[0], ends[1]


def test_a_reading_at_the_plug_is_inside_up_to_the_printed_ends_of_its_band(tmp_path):
    low, high = band(3900, 4000, share=0.10)
    assert (round(low), round(high)) == (6851, 8732)
    for ohms, verdict in ((6850, INSIDE), (6849, OUTSIDE), (8730, INSIDE), (8731, OUTSIDE)):
        proof = judged(tmp_path, f"plug:\n  - {{when: {{selector: up}}, ohms: {ohms}}}\n")
        assert proof.verdicts[0].verdict == verdict, ohms
        assert proof.verdicts[0].expected == "6.85 kΩ to 8.73 kΩ"
        assert ("REC-508" in codes(proof)) == (verdict == OUTSIDE)


def test_coils_metered_loose_take_the_place_of_the_stated_ones(tmp_path):
    text = "coils: {neck.a: 4.60k, neck.b: 4.70k}\nplug:\n  - {selector: up, ohms: 9.1k}\n"
    proof = judged(tmp_path, text)
    low, high = band(4600, 4700, share=0.02)
    assert proof.chart is not None
    reading = proof.chart.result(0).reading
    assert reading.low == pytest.approx(low, rel=1e-6)
    assert reading.high == pytest.approx(high, rel=1e-6)
    assert proof.verdicts[0].verdict == INSIDE
    # With the build's own 3.9k and 4.0k the same reading would be outside.
    assert judged(tmp_path, text.partition("\n")[2]).verdicts[0].verdict == OUTSIDE


def test_a_metered_coil_shrinks_the_band_of_a_typical_one(tmp_path):
    """Single coils of the kind are taken to 23 %, metered ones to 2 % (common practice, no source)."""
    build = tmp_path / "loose.yaml"
    text = (SAMPLES / "no-cavity.yaml").read_text(encoding="utf-8").replace("single-coil, 6k5", "single-coil")
    build.write_text(text, encoding="utf-8")
    wide = examine(build)
    text = "coils: {pickup: 6.0k}\nplug:\n  - {ohms: 5.9k}\n"
    narrow = judged(tmp_path, text, build)
    assert wide.chart is not None
    assert narrow.chart is not None
    a, b = wide.chart.result(0).reading, narrow.chart.result(0).reading
    low, high = band(6000, share=0.02, pot=250e3)
    assert b.low == pytest.approx(low, rel=1e-6)
    assert b.high == pytest.approx(high, rel=1e-6)
    assert a.low is not None
    assert a.high is not None
    assert (a.high - a.low) / a.ohms > 2.5 * (high - low) / b.ohms


@pytest.mark.parametrize("typed_", ["7.81", "7.81M"])
def test_a_wrong_prefix_letter_is_pointed_out(tmp_path, typed_):
    proof = judged(tmp_path, f"plug:\n  - {{selector: up, ohms: {typed_}}}\n")
    assert "letter" in codes(proof)["REC-510"]
    assert "REC-508" not in codes(proof)


def test_a_wrong_prefix_letter_on_a_loose_coil_is_refused(tmp_path):
    proof = judged(tmp_path, "coils: {neck.a: 3.9M}\n")
    assert proof.has_errors
    assert "1000 times" in codes(proof)["REC-504"]
    assert examine(TOGGLE).checksum != proof.checksum


def test_an_open_coil_and_one_far_off_are_said(tmp_path):
    assert "open" in codes(judged(tmp_path, "coils: {neck.a: open}\n"))["REC-503"]
    assert "2.1 kΩ" in codes(judged(tmp_path, "coils: {neck.a: 2.1k}\n"))["REC-505"]
    assert "REC-505" not in codes(judged(tmp_path, "coils: {neck.a: 4.2k}\n"))


@pytest.mark.parametrize(("text", "code", "remedy"), [
    ("plug: [{selectr: up, ohms: 7.8k}]", "INP-334", "Did you mean 'selector'?"),
    ("plug: [{selector: midle, ohms: 7.8k}]", "INP-335", "Did you mean 'middle'?"),
    ("coils: {nek.a: 3.9k}", "REC-502", "Did you mean 'neck.a'?"),
    ("plgu: []", "INP-109", "Did you mean 'plug'?"),
    ("plug: [{selector: up, ohms: 7;8k}]", "INP-105", "Write it like"),
    ("plug: [{selector: up, ohms: '7,8k'}]", "INP-105", "Write a point"),
    ("- 7.8k", "REC-501", "diagramgen readings"),
    ("job: LL-9999", "REC-506", "this job"),
    ("plug: [{ohms: 7.8k}]", "REC-507", "selector"),
    ("format: 2", "INP-014", "newer"),
    ("battery current: 0.4 mA", "REC-511", "battery"),
])
def test_what_is_wrong_in_the_file_has_its_place_and_remedy(tmp_path, text, code, remedy):
    found = [p for p in judged(tmp_path, text).problems if p.code == code]
    assert found, text
    assert found[0].place.file.endswith("readings.yaml")
    assert remedy in found[0].remedy


def test_an_ohm_figure_where_a_stage_lies_between_means_nothing(tmp_path):
    text = "plug:\n  - {when: {selector: up, neck-mode: series}, ohms: 8.8k}\nbattery current: 0.8 mA\n"
    proof = judged(tmp_path, text, BARITONE)
    assert proof.verdicts[0].verdict == NOTHING
    assert "active stage" in codes(proof)["REC-509"]
    assert proof.chart is not None
    assert not proof.has_errors


@pytest.mark.parametrize(("ohms", "expected", "verdict"), [
    (0.0, SHORT, INSIDE), (0.9, SHORT, INSIDE), (1.1, SHORT, OUTSIDE), (OPEN, SHORT, OUTSIDE),
    (OPEN, OPEN_READING, INSIDE), (12e6, OPEN_READING, INSIDE), (250e3, OPEN_READING, OUTSIDE),
    (5.0, Reading("not meaningful"), NOTHING),
])
def test_ends_of_the_scale(ohms, expected, verdict):
    """Under 1 ohm for a joint, 10 M for open: common practice, no source."""
    assert verdict_of(ohms, expected) == verdict


def test_strings_to_sleeve_is_held_against_a_wire(tmp_path):
    assert judged(tmp_path, "strings to sleeve: 0.4").verdicts[-1].verdict == INSIDE
    proof = judged(tmp_path, "strings to sleeve: open")
    assert proof.verdicts[-1].verdict == OUTSIDE
    assert "lead to the bridge" in next(p.remedy for p in proof.problems if p.code == "REC-508")  # no position is meant


@pytest.mark.parametrize("name", ["two-pickups-toggle", "baritone", "no-cavity", "three-singles-lever", "bass-active"])
def test_the_empty_file_reads_back_without_a_word(tmp_path, name):
    build = SAMPLES / f"{name}.yaml"
    chart = examine(build).chart
    assert chart is not None
    for every in (False, True):
        text = empty_results(chart, every)
        proof = judged(tmp_path, text, build)
        assert codes(proof) == {}
        assert all(v.verdict == "" for v in proof.verdicts)


def test_every_position_is_named_where_all_are_asked_for():
    chart = examine(BARITONE).chart
    assert chart is not None
    say = Diagnostics()
    read = read_results(empty_results(chart, every=True).encode(), "r.yaml", say)
    assert read is not None
    named = {tuple(sorted((k, g.value) for k, g in one.when.items())) for one in read.plug}
    # Two of the volume's switch, three of the selector, four of each ring.
    assert len(named) == len(read.plug) == 2 * 3 * 4 * 4


def test_a_slip_is_near_a_thousand_and_nothing_else():
    assert slipped(7.8, 7800)
    assert slipped(7.8e6, 7800)
    assert not slipped(780, 7800)
    assert not slipped(math.inf, 7800)
    assert not slipped(0, 7800)
    assert slipped(0.0078, 7800)  # entered as megohm, no letter
    assert slipped(0.7, 700)
    assert slipped(900, 0.9)  # a coil of very low resistance


def test_what_is_to_be_pasted_reads_back_as_the_same_value():
    from diagramgen.kernel.units import RESISTANCE, read_quantity

    for ohms in (3710.0, 987.5, 1.25e6, 47.0, 12345.6):
        assert read_quantity(typed(ohms), RESISTANCE) == pytest.approx(ohms, rel=1e-5)


@pytest.mark.parametrize(("ohms", "typed_as"), [
    (47.0, "47"), (0.7, "0.7"), (999.0, "999"), (1000.0, "1k"), (1200.0, "1.2k"), (7210.0, "7.21k"), (1e6, "1M"),
    (1.25e6, "1.25M"),
])
def test_ohms_are_pasted_with_the_letter_a_technician_writes(ohms: float, typed_as: str) -> None:
    assert typed(ohms) == typed_as


@pytest.mark.parametrize("size", [1e3, 1e-3, 1e6, 1e-6])
@pytest.mark.parametrize(("off", "wrong"), [(0.4, False), (0.6, True), (1.0, True), (1.9, True), (2.1, False)])
def test_a_wrong_letter_is_told_from_another_coil_within_half_and_twice(size: float, off: float, wrong: bool) -> None:
    assert slipped(7000 * size * off, 7000) is wrong


def test_no_letter_is_wrong_where_nothing_was_expected() -> None:
    assert not slipped(7000, 0)
    assert not slipped(math.nan, 7000)

"""A value is metered, its sheet's, or its kind's, and each has its band.

Kinds: single coils 5 to 8 kohm, dual coils 8 to 16 ("Guitar Pickup Impedance & The Input Stage", wiki page, licence
not told). A sheet's 10 % and the 2 % of what was metered are common practice, no source: no maker's band was found.
"""

from __future__ import annotations

import dataclasses

import pytest
from circuits import at, built, plug

from diagramgen.circuit.dc_readings import MeterConditions, alone, read
from diagramgen.circuit.measured_values import lines_to_paste, metered
from diagramgen.circuit.tolerances import band_words, tolerances
from diagramgen.circuit.values import elements_of, number_of
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library import catalogue
from diagramgen.model.build import Build
from diagramgen.model.results import Results
from diagramgen.reader.reader import read_build
from diagramgen.reader.results import read_results

TEXT = """parts:
  pickup: {pickup}
  volume: {volume}
  output: jack-mono-open
leads:
{leads}
  - volume.wiper -> output.tip
  - volume.zero -> output.sleeve
"""
SINGLE = "  - pickup.finish -> volume.ten\n  - pickup.start -> output.sleeve"
DUAL = ("  - pickup.a start -> volume.ten\n  - pickup.a finish -> pickup.b finish\n"
        "  - pickup.b start -> output.sleeve")


def made(pickup: str, volume: str = "pot-24, 250k log") -> Build:
    return built(TEXT.format(pickup=pickup, volume=volume, leads=DUAL if "dual" in pickup else SINGLE))


@pytest.mark.parametrize(("pickup", "origin", "share"), [
    ("single-coil", "typical", 0.23),
    ("dual-coil", "typical", 0.33),
    ("single-coil-tapped", "typical", 0.23),
    ("single-coil, 6k2", "sheet", 0.10),
    ("single-coil, 6k2, metered 3 May", "metered", 0.02),
    ("{symbol: single-coil, value: 6k2, metered: yes}", "metered", 0.02),
    ("{symbol: single-coil, value: 6k2 3 H, metered: {resistance: 3 May}}", "metered", 0.02),
    ("{symbol: single-coil, value: 6k2 3 H, metered: {inductance: 3 May}}", "sheet", 0.10),
    ("{symbol: dual-coil, value: 4k 4k1, metered: {resistance: 3 May}}", "metered", 0.02),
])
def test_a_coil_has_the_band_of_where_its_ohms_come_from(pickup: str, origin: str, share: float) -> None:
    build = built(TEXT.format(pickup=pickup, volume="pot-24, 250k log", leads=DUAL if "dual" in pickup else SINGLE))
    part, coil = next(elements_of(build, "coil"))
    value = number_of(part, coil, "resistance")
    assert (value.origin, value.given) == (origin, origin != "typical")
    assert set(tolerances(build).values()) == {share}
    still = alone(part, coil, MeterConditions(20.0, 0.0))
    assert still.low == pytest.approx(value.number * (1 - share))
    assert still.high == pytest.approx(value.number * (1 + share))


def test_a_sound_weak_single_coil_lies_in_the_band_of_its_kind() -> None:
    """5.2 kohm is a sound single coil; the kind is 5 to 8 kohm."""
    part, coil = next(elements_of(made("single-coil"), "coil"))
    found = alone(part, coil)
    assert (found.low or 0) < 5200
    assert (found.high or 0) > 7900


def test_a_metered_pot_narrows_the_reading_at_zero() -> None:
    wide, narrow = (made("single-coil, 6k", f"pot-24, 250k log{more}") for more in ("", ", metered yes"))
    assert "volume" not in tolerances(wide)
    assert tolerances(narrow)["volume"] == 0.02
    spans = []
    for build in (wide, narrow):
        here, classes = at(build)
        reading = read(here, classes, "volume.ten", "volume.zero", MeterConditions(20.0, 0.0))
        spans.append((reading.high or 0) - (reading.low or 0))
    assert spans[1] < spans[0]


def results(text: str) -> Results:
    return read_results(text.encode(), "bench.yaml", Diagnostics())


def test_a_results_file_meters_a_coil_with_its_day() -> None:
    build = made("single-coil, 6k2")
    bench = results("date: 3 May\ncoils:\n  pickup: 6.05k\n")
    after = metered(build, bench, Diagnostics())
    part, coil = next(elements_of(after, "coil"))
    value = number_of(part, coil, "resistance")
    assert (value.number, value.origin, value.when) == (6050.0, "metered", "3 May")
    assert "pickup: metered 3 May, 2 %" in band_words(after)
    assert lines_to_paste(build, bench) == ("pickup: values: {resistance: 6.05k}",
                                            "pickup: metered: {resistance: 3 May}")


def test_only_the_coil_that_was_metered_counts_as_metered() -> None:
    after = metered(made("dual-coil, 4k 4k1"), results("coils:\n  pickup.a: 3.98k\n"), Diagnostics())
    assert tolerances(after) == {"pickup.a": 0.02, "pickup.b": 0.10}


def test_the_sheet_says_where_each_band_comes_from() -> None:
    for pickup, words in (("single-coil", "pickup: known by kind alone, 23 %;"),
                          ("single-coil, 6k", "pickup: from sheet or marking, 10 % (makers publish no band)"),
                          ("single-coil, 6k, metered 3 May", "pickup: metered 3 May, 2 %;"),
                          ("single-coil, 6k, metered yes", "pickup: metered, 2 %;")):
        assert words in band_words(made(pickup))


def said(pickup: str) -> list[str]:
    say = Diagnostics()
    known = catalogue.shipped()
    text = "format: 1\n" + TEXT.format(pickup=pickup, volume="pot-24", leads=SINGLE)
    read_build(text.encode(), "hand.yaml", Sources(None), known, say)  # type: ignore[arg-type]
    return [f"{p.code} {p.message} {p.remedy}" for p in say.sorted()]


@pytest.mark.parametrize(("pickup", "words"), [
    ("single-coil, metered 3 May", "says that it was metered, but gives no such value"),
    ("{symbol: single-coil, value: 6k, metered: {inductance: 3 May}}", "its 'inductance' was metered"),
    ("{symbol: single-coil, value: 6k, metered: {resistanse: 3 May}}", "Did you mean"),
])
def test_metered_without_a_value_is_an_error(pickup: str, words: str) -> None:
    found = said(pickup)
    assert len(found) == 1
    assert found[0].startswith("INP-350")
    assert words in found[0]


def test_a_part_that_was_metered_differs_from_one_that_was_not() -> None:
    one, other = made("single-coil, 6k"), made("single-coil, 6k, metered yes")
    assert dataclasses.replace(other.parts["pickup"], metered={}) == one.parts["pickup"]
    a, b = plug(one), plug(other)
    assert a.ohms == b.ohms

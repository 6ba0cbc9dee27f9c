"""The test page says what the circuit says, and no ohms where they mean nothing."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.drawing.scene import Text, walk
from diagramgen.features.testpage.continuity import switched, wired
from diagramgen.features.testpage.plan import closures, ground_checks, lug_in_words
from diagramgen.features.testpage.sheet import test_sheets as sheets_of
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("baritone", "bass-active", "three-singles-lever", "two-pickups-toggle", "no-cavity")


@cache
def page(name: str, paper: str = "a4") -> tuple[str, ...]:
    """The text of each sheet, cell lines joined by blanks."""
    proof = proof_of(name)
    makers = sheets_of(proof.chart, context_of(proof), PAPERS[paper])
    sheets = [maker(i + 1, len(makers)) for i, maker in enumerate(makers)]
    return tuple(" ".join(mark.text for mark in walk(sheet) if isinstance(mark, Text)) for sheet in sheets)


@pytest.mark.parametrize("name", NAMES)
def test_every_check_stands_on_the_page(name: str) -> None:
    build = proof_of(name).build
    assert build is not None
    whole = " ".join(page(name))
    for closure in closures(build):
        assert "; ".join(closure.joined) in whole
    for one in wired(build):
        assert " = ".join(lug_in_words(build, lug) for lug in one.lugs) in whole
    for row in switched(build):
        for group in row.joined:
            assert " = ".join(lug_in_words(build, lug) for lug in group) in whole
    for check in ground_checks(build):
        assert f"{check.what} to the plug's sleeve" in whole


@pytest.mark.parametrize("name", ["baritone", "bass-active"])
def test_an_active_build_has_no_reading_at_the_plug_but_its_coils_alone(name: str) -> None:
    whole = " ".join(page(name))
    assert "At the plug, tip to sleeve, by position" not in whole
    assert "No ohm test at this plug" in whole
    assert "Each pickup by itself, battery out, one of its leads lifted" in whole
    assert "Battery current" in whole


def test_a_passive_build_has_readings_and_no_battery() -> None:
    whole = " ".join(page("three-singles-lever"))
    assert "At the plug, tip to sleeve, by position" in whole
    assert "5.41 kΩ to 6.9 kΩ" in whole
    assert "Battery current" not in whole
    assert "battery out" not in whole
    assert "Each pickup by itself" not in whole


def test_short_tables_are_not_torn_where_that_costs_no_page() -> None:
    for name in ("three-singles-lever", "two-pickups-toggle", "no-cavity"):
        for sheet in page(name):
            assert ("Metal to sleeve" in sheet) == ("bush of output" in sheet)


def test_the_whole_test_of_a_small_build_takes_few_pages() -> None:
    assert len(page("no-cavity")) <= 2
    assert len(page("three-singles-lever")) <= 3

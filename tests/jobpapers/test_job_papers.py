"""Intake and closing: made for the build, with its positions, controls, pickups and battery."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.drawing.scene import Text, walk_placed
from diagramgen.features.jobpapers.closing_sheet import closing_sheets
from diagramgen.features.jobpapers.intake_sheet import intake_sheets
from diagramgen.job.job_questions import ALL, cells, handles, pickups, positions
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of
from diagramgen.sheets.printing import compose
from diagramgen.sheets.registry import default_sheets
from diagramgen.sheets.sheet_kind import Request

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
BUILDS = ["one-volume", "two-pickups-toggle", "baritone", "bass-active", "no-cavity"]
MAKERS = {"intake": intake_sheets, "closing": closing_sheets}


@cache
def sheets(name, kind, paper="a4"):
    makers = MAKERS[kind](context_of(proof(name)), PAPERS[paper])
    return [maker(i + 1, len(makers)) for i, maker in enumerate(makers)]


def words(name, kind):
    return [p.mark.text for s in sheets(name, kind) for p in walk_placed(s) if isinstance(p.mark, Text)]


def test_few_positions_are_all_listed_and_many_are_gone_through_control_by_control():
    few = positions(proof("two-pickups-toggle").build)
    assert few.says == ("selector up", "selector middle", "selector down")
    assert not few.one_by_one
    many = positions(proof("baritone").build)
    assert many.one_by_one
    # One of rest, then one more for each further position: volume 1, selector 2, two mode rings of 3 more each.
    assert len(many.says) == 1 + 1 + 2 + 3 + 3
    assert len(set(many.says)) == len(many.says)
    assert ALL < 2 * 3 * 4 * 4


@pytest.mark.parametrize("name", BUILDS)
def test_every_position_control_and_pickup_of_the_build_has_its_line(name):
    build = proof(name).build
    taken_in = build.as_found.build if build.as_found else build
    intake, closing = " ".join(words(name, "intake")), " ".join(words(name, "closing"))
    for says in positions(taken_in).says:
        assert says == "the only position" or says in intake
    assert all(one.says in intake for one in handles(taken_in))
    assert all(one.says in closing for one in handles(build))
    assert all(f"{says}: height back" in closing for says in pickups(build))
    assert ("tell the player to pull the plug" in closing) == bool(cells(build))


INTAKE = ("complaint, in the customer's words", "price limit, and who agreed to it", "parts the customer brings",
          "marks and damage", "strings: gauges, age", "tuning; action at the 12th fret", "photographs", "scratchy",
          "dead", "ohms", "pickup: top to string, last fret pressed", "customer agrees: signature")
CLOSING = ("pointer right at both ends", "tip or knob on", "counted:", "cable wiggled", "on, stretched, in tune",
           "bagged, labelled with the job", "done by, date")


@pytest.mark.parametrize(("kind", "lines"), [("intake", INTAKE), ("closing", CLOSING)])
def test_nothing_the_trade_asks_at_the_beginning_and_the_end_is_missing(kind, lines):
    # Common practice, no source.
    said = " ".join(words("two-pickups-toggle", kind))
    assert [line for line in lines if line not in said] == []


def test_a_table_of_few_rows_is_never_torn():
    for name in BUILDS:
        for sheet in sheets(name, "closing"):
            said = [p.mark.text for p in walk_placed(sheet) if isinstance(p.mark, Text)]
            assert ("Handed over" in said) == any(text.startswith("Plugged in") for text in said)


def test_with_a_battery_the_intake_asks_for_its_date_and_warns_of_ohms():
    said = " ".join(words("baritone", "intake"))
    assert "date in it, volts" in said
    assert "no ohm test there, listen" in said
    assert "no ohm test there" not in " ".join(words("one-volume", "intake"))


@pytest.mark.parametrize("paper", ["a4", "a5", "letter", "a3"])
@pytest.mark.parametrize("kind", list(MAKERS))
def test_all_words_lie_within_the_frame(kind, paper):
    for sheet in sheets("baritone", kind, paper):
        for placed in walk_placed(sheet):
            if isinstance(placed.mark, Text):
                box = placed.mark.box()
                assert box.right <= sheet.width - 10.0 + 0.1, placed.mark.text
                assert box.bottom <= sheet.height - 10.0 + 0.1, placed.mark.text


def test_they_are_made_only_on_request_as_svg_and_pdf():
    assert not {"intake", "closing"} & set(default_sheets())
    made = compose(proof("one-volume"), Request(sheets=("intake", "closing")))
    assert {"intake-1.svg", "closing-1.svg", "sheets.pdf"} <= set(made)

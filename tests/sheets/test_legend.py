"""The key on a diagram: a kind of lead is explained wherever it occurs, and only there."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from diagramgen.analysis import examine
from diagramgen.drawing.scene import Role, Shape, Sheet, Text, walk
from diagramgen.features.diagrams import sheet as diagrams
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import SheetContext, context_of

ROOT = Path(__file__).resolve().parents[2]
EVERY = ROOT / "tests" / "golden" / "every-lead.yaml"
PLAIN = ROOT / "samples" / "three-singles-lever.yaml"
KINDS = {  # what a line of the file says -> the key's words on the full-size sheet, and on the bench page
    "white/blue": ("striped lead: base/stripe", "striped: base/stripe"),
    "bare": ("bare wire", ""),
    "shielded, shield to kill.a 2, shield to output.sleeve": ("shielded: braid round it", "shielded"),
    "green, cloth": ("cloth-covered wire", "cloth"),
    "twisted with W05": ("twisted with each other", "twisted"),
}
INSTEAD = {"white/blue": "white", "bare": "violet", "green, cloth": "green"}


@cache
def subject(without: str = "") -> SheetContext:
    text = EVERY.read_text(encoding="utf-8")
    if without:
        assert f", {without}, tag" in text
        text = text.replace(f", {without}, tag", f", {INSTEAD[without]}, tag" if without in INSTEAD else ", tag")
    return context_of(examine(EVERY, data=text.encode()))


def words(sheet: Sheet) -> str:
    return " | ".join(mark.text for mark in walk(sheet) if isinstance(mark, Text))


def full(made: SheetContext) -> Sheet:
    return diagrams.full_size(made, PAPERS["a4"])[0](1, 1)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_lead_that_occurs_is_explained(kind: str) -> None:
    assert KINDS[kind][0] in words(full(subject()))
    assert KINDS[kind][1] in words(diagrams.enlarged(subject(), PAPERS["a4"])[0](1, 1))


@pytest.mark.parametrize("kind", [k for k in KINDS if not k.startswith("bare")])
def test_a_kind_that_does_not_occur_is_not_explained(kind: str) -> None:
    assert KINDS[kind][0] not in words(full(subject(kind)))


def test_bare_wire_is_explained_for_the_sake_of_a_braid_alone() -> None:
    assert "bare wire, or a braid's end" in words(full(subject("bare")))


def test_the_key_stays_within_its_square() -> None:
    sheet = full(subject())
    square = next(m for m in walk(sheet) if isinstance(m, Shape) and m.role == Role.SCALE_BAR
                  and abs(m.path[0].box().width - 50) < 0.01 and abs(m.path[0].box().height - 50) < 0.01).path[0].box()
    rows = [m.at.y for m in walk(sheet) if isinstance(m, Text) and square.left < m.at.x < square.right
            and square.top < m.at.y < square.bottom and m.text != "50 mm"]
    assert len(rows) == 14  # thirteen rows and the tag in a picture
    assert max(rows) < square.bottom - 1.0
    apart = sorted(y for y in rows)
    assert min(b - a for a, b in zip(apart, apart[2:], strict=False)) > 1.8  # a capital's height


def test_the_marks_of_cloth_and_braid_are_drawn_on_their_leads_only() -> None:
    marks = [m for m in walk(full(subject())) if isinstance(m, Shape) and m.subject.startswith("lead:")]
    assert {m.subject for m in marks if m.role == Role.CLOTH} == {"lead:W08"}
    assert {m.subject for m in marks if m.role == Role.BRAID} == {"lead:W07"}

"""A few small drawings kept as readable SVG and a list kept as text: nothing on them moves unseen.

``DIAGRAMGEN_UPDATE_GOLDEN=1 pytest tests/golden`` writes them anew. Look at the difference (``git diff``) and open the
changed files in a browser before they are kept.
"""

from __future__ import annotations

import os
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from readable import difference, figure, svg

from diagramgen.analysis import Analysis, examine
from diagramgen.drawing.scene import Group, Mark, Sheet, Text, Viewport, walk
from diagramgen.features.cover.sheet import cover_sheets
from diagramgen.features.diagrams import sheet as diagrams
from diagramgen.features.leadlist.export import leads_csv
from diagramgen.features.symbolcard.sheet import card_sheets
from diagramgen.features.template.sheet import template_sheets
from diagramgen.kernel.paper import PAPERS
from diagramgen.library.catalogue import shipped
from diagramgen.sheets.context import context_of

KEPT = Path(__file__).resolve().parent
SAMPLES = KEPT.parents[1] / "samples"
UPDATE = "DIAGRAMGEN_UPDATE_GOLDEN"
LARGEST = 80_000
"""Bytes: what is larger nobody reads."""


@cache
def proof(build: Path = SAMPLES / "one-volume.yaml") -> Analysis:
    return examine(build)


def without_check(sheet: Sheet) -> Sheet:
    """The sheet without the file check, which every comma of the build file changes."""
    check = proof().checksum

    def cleaned(mark: Mark) -> Mark:
        if isinstance(mark, Text) and mark.text == check:
            return replace(mark, text="checksum")
        if isinstance(mark, Group):
            return replace(mark, children=tuple(cleaned(child) for child in mark.children))
        return mark

    return replace(sheet, marks=tuple(cleaned(mark) for mark in sheet.marks))


def symbol_card() -> str:
    return svg(card_sheets(shipped()["pot-24"], PAPERS["a4"])[0])


def diagram(build: Path = SAMPLES / "one-volume.yaml") -> str:
    """The drawing itself, without frame, key and cautions."""
    sheet = diagrams.full_size(context_of(proof(build)), PAPERS["a4"])[0](1, 1)
    largest = max((m for m in sheet.marks if isinstance(m, Viewport)), key=lambda v: v.clip.width * v.clip.height)
    return svg(replace(sheet, marks=(largest,)))


def every_lead() -> str:
    """Plain, striped, bare, shielded, cloth-covered and twisted leads in one small build."""
    return diagram(KEPT / "every-lead.yaml")


def template() -> str:
    return svg(without_check(template_sheets(context_of(proof()), PAPERS["a4"])[0](1, 1)))


def cover() -> str:
    return svg(without_check(cover_sheets(context_of(proof()), PAPERS["a4"])[0](1, 1)))


def lead_rows() -> str:
    return leads_csv(proof().rows).replace("\r\n", "\n")


MADE = {"card-pot-24.svg": symbol_card, "one-volume-diagram.svg": diagram, "one-volume-template.svg": template,
        "one-volume-cover.svg": cover, "one-volume-leads.csv": lead_rows, "every-lead-diagram.svg": every_lead}


def unchanged(kept: Path, made: str) -> str:
    """'' where the kept file holds what is made now; else the difference and what to do."""
    before = kept.read_text(encoding="utf-8") if kept.exists() else ""
    if before == made:
        return ""
    return (f"{difference(before, made, kept.name)}\nIf this is meant: {UPDATE}=1 pytest tests/golden, "
            "then look at the files.")


@pytest.mark.parametrize("name", MADE)
def test_the_drawing_is_as_it_was_when_a_person_looked_at_it(name: str) -> None:
    made = MADE[name]()
    if os.environ.get(UPDATE):
        (KEPT / name).write_text(made, encoding="utf-8", newline="\n")
    said = unchanged(KEPT / name, made)
    assert not said, said


def test_every_kept_file_is_made_by_a_test_and_small_enough_to_be_read() -> None:
    kept = {p.name for p in KEPT.iterdir() if p.suffix in (".svg", ".csv", ".txt")}
    assert kept == set(MADE)
    assert all((KEPT / name).stat().st_size <= LARGEST for name in kept)


def test_the_check_sees_a_label_moved_by_a_fifth_of_a_millimetre_and_says_which() -> None:
    sheet = card_sheets(shipped()["pot-24"], PAPERS["a4"])[0]
    at = next(i for i, m in enumerate(sheet.marks) if isinstance(m, Text) and m.text)
    text = sheet.marks[at]
    assert isinstance(text, Text)
    moved = replace(text, at=replace_x(text.at, 0.2))
    said = unchanged(KEPT / "card-pot-24.svg",
                     svg(replace(sheet, marks=(*sheet.marks[:at], moved, *sheet.marks[at + 1:]))))
    assert f'-<text x="{figure(text.at.x)}"' in said
    assert f'+<text x="{figure(text.at.x + 0.2)}"' in said
    assert UPDATE in said


def replace_x(point, by: float):
    return type(point)(point.x + by, point.y)


def test_the_check_sees_a_lead_that_changed_its_colour_its_tag_or_its_lug() -> None:
    kept = KEPT / "one-volume-diagram.svg"
    made = kept.read_text(encoding="utf-8")
    for old, new in (('data-colour="RD"', 'data-colour="BK"'), ("W03 red", "W30 red"), ("lead:W03", "lead:W04")):
        assert old in made
        assert unchanged(kept, made.replace(old, new, 1))


def test_the_check_sees_a_missing_file_and_a_missing_line() -> None:
    made = lead_rows()
    assert unchanged(KEPT / "no-such-file.csv", made)
    assert unchanged(KEPT / "one-volume-leads.csv", "\n".join(made.splitlines()[:-1]) + "\n")


def test_a_long_difference_is_cut_and_counted() -> None:
    said = difference("\n".join("abc" for _ in range(5)), "\n".join(str(i) for i in range(200)), "x")
    assert said.endswith("lines more")
    assert difference("same", "same", "x") == ""


def test_no_line_of_a_kept_drawing_holds_more_than_tenths() -> None:
    sheet = card_sheets(shipped()["pot-24"], PAPERS["a4"])[0]
    assert any(isinstance(m, Text) and round(m.at.x, 1) != m.at.x for m in walk(sheet))
    assert not re.search(r'(?:[ML ]|x="|y=")-?\d+\.\d{2}', (KEPT / "card-pot-24.svg").read_text(encoding="utf-8"))

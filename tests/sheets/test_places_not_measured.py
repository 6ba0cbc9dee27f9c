"""Places the program proposes: stamped on every sheet, named where there are few; no sheet is headed full size."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagramgen.analysis import Analysis, examine
from diagramgen.drawing.scene import Role, Sheet, Text, walk
from diagramgen.sheets.context import proposed
from diagramgen.sheets.printing import compose, job_of, makers_of
from diagramgen.sheets.sheet_kind import Request

BUILD = """
format: 1
title: T
cavities:
  controls: {opened from: rear, shape: {rounded: [100, 65], corner: 8}, depth: 38, wood above: 4}
  jack-hole: {opened from: none}
parts:
  volume: pot-24, 500k log, in controls%s
  tone: pot-24, 500k log, in controls%s
  cap: capacitor-film, 22n, between tone.zero and tone.case
  pickup: single-coil
  output: jack-mono-open, in jack-hole
leads:
  - pickup.finish -> volume.ten
  - volume.ten -> tone.wiper, blue
  - volume.wiper -> output.tip, red
  - volume.zero -> volume.case, bend
  - pickup.start -> volume.case
  - volume.case -> tone.case, black
  - volume.case -> output.sleeve, black
"""
ALL, ONE, NONE = BUILD % ("", ""), BUILD % (", at 25 25", ""), BUILD % (", at 25 25", ", at 70 25")
KINDS = ("diagram", "bench", "jig", "template", "cover", "stages", "work", "player", "proof", "test", "leads", "record",
         "packet")


def proved(text: str) -> Analysis:
    return examine(Path("job.yaml"), data=text.encode())


def sheets(text: str, kinds: tuple[str, ...] = KINDS, paper: str = "a4") -> dict[str, list[Sheet]]:
    job = job_of(proved(text), Request(paper, kinds))
    makers = makers_of(job)
    return {kind: [maker(i + 1, 9) for i, maker in enumerate(group)] for kind, group in makers.items()}


def said(sheet: Sheet) -> str:
    return " ".join(m.text for m in walk(sheet) if isinstance(m, Text))


def warned(sheet: Sheet) -> str:
    return " ".join(m.text for m in walk(sheet) if isinstance(m, Text) and m.role is Role.WARNING_TEXT)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_sheet_is_stamped_and_none_says_full_size(paper: str) -> None:
    made = sheets(ALL, paper=paper)
    assert set(KINDS) - {"template"} <= set(made)
    for kind, group in made.items():
        for sheet in group:
            assert "PLACES NOT MEASURED" in warned(sheet), kind
            assert "full size" not in said(sheet).lower(), kind
            assert "full size" not in sheet.title, kind


def test_few_proposed_places_are_named_in_the_stamp() -> None:
    for kind, group in sheets(ONE).items():
        for sheet in group:
            assert "PLACES NOT MEASURED: tone" in warned(sheet), kind
            assert "full size" not in said(sheet).lower(), kind


def test_a_plan_of_measured_places_is_headed_full_size_as_ever() -> None:
    made = sheets(NONE)
    assert made["diagram"][0].title == "solder side, looking into the opened cavity, full size"
    assert made["jig"][0].title == "harness jig, solder side, full size"
    assert made["template"][0].title == "drilling template, player's face, full size"
    assert made["cover"][0].title == "inside of the cover, mirrored, full size"
    assert not any("NOT MEASURED" in said(sheet) for group in made.values() for sheet in group)


def test_a_part_alone_in_a_hole_that_was_not_measured_is_no_guess() -> None:
    layout = proved(NONE).layout
    assert layout is not None
    assert layout.parts["output"].automatic
    assert proposed(layout) == []


def test_the_diagram_names_what_is_proposed_in_its_notes() -> None:
    assert "Proposed by the program, not measured: the place of tone." in said(sheets(ONE)["diagram"][0])


def test_no_hole_is_marked_for_a_proposed_place_and_the_template_says_so() -> None:
    assert not sheets(ALL).get("template")
    [sheet] = sheets(ONE)["template"]
    assert "Not drilled from this sheet, for nobody measured where: tone" in said(sheet)
    drilled = {m.subject for m in walk(sheet) if getattr(m, "subject", "").startswith("hole:")}
    assert drilled == {"hole:volume"}


def test_a_cavity_that_does_not_hold_its_parts_is_not_to_scale_on_every_sheet() -> None:
    text = ALL.replace("[100, 65], corner: 8", "[50, 35], corner: 4")
    made = sheets(text)
    assert not {"diagram", "jig", "template"} & {kind for kind, group in made.items() if group}
    for kind, group in made.items():
        for sheet in group:
            assert "NOT TO SCALE" in warned(sheet), kind
            assert "full size" not in said(sheet).lower(), kind


def test_changes_are_stamped_where_the_state_as_found_has_proposed_places(tmp_path: Path) -> None:
    (tmp_path / "found.yaml").write_text(ALL)
    left = NONE.replace("22n", "47n").replace("title: T", "title: T\nas found: found.yaml")
    (tmp_path / "left.yaml").write_text(left)
    proof = examine(tmp_path / "left.yaml")
    files = compose(proof, Request(sheets=("changes", "undo"), lettering="font"))
    for name in ("changes.svg", "undo.svg"):
        assert b"PLACES NOT MEASURED" in files[name], name

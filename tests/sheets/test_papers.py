"""Every kind of sheet on every paper: nothing leaves the paper, every sheet is stamped, marks stay in the frame."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.drawing.scene import Text, walk_placed
from diagramgen.features.cover.sheet import cover_sheets
from diagramgen.features.diagrams import sheet as diagrams
from diagramgen.features.template.sheet import template_sheets
from diagramgen.features.work.stages_sheet import stage_sheets, stages_of
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of
from diagramgen.sheets.scale_marks import Correction

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
KINDS = {
    "player": diagrams.player,
    "template": template_sheets,
    "cover": cover_sheets,
}


def made(kind, name, paper, correction):
    subject = replace(context_of(proof_of(name)), correction=correction)
    makers = (stage_sheets(subject, stages_of(proof_of(name).rows), PAPERS[paper]) if kind == "stages"
              else KINDS[kind](subject, PAPERS[paper]))
    return [maker(i + 1, len(makers)) for i, maker in enumerate(makers)]


TRUE, CORRECTED = Correction(), Correction(95.0, 104.0)
RUNS = [("three-singles-lever", paper, TRUE) for paper in ("a4", "a3", "a5", "letter", "legal", "tabloid")]
RUNS += [("two-pickups-toggle", "a4", TRUE), ("two-pickups-toggle", "a5", CORRECTED),
         ("three-singles-lever", "letter", CORRECTED)]


@pytest.mark.parametrize("kind", [*KINDS, "stages"])
@pytest.mark.parametrize(("name", "paper", "correction"), RUNS)
def test_all_words_lie_within_the_frame_or_the_margin_s_bar(name, kind, paper, correction):
    sheets = made(kind, name, paper, correction)
    assert sheets
    size = {round(PAPERS[paper].width, 3), round(PAPERS[paper].height, 3)}
    for sheet in sheets:
        assert {round(sheet.width, 3), round(sheet.height, 3)} == size
        for placed in walk_placed(sheet):
            if isinstance(placed.mark, Text) and not placed.clip:
                box = placed.mark.box()
                assert box.left >= 4.0, placed.mark.text
                assert box.right <= sheet.width - 10.0 + 0.1, placed.mark.text
                assert box.bottom <= sheet.height - 10.0 + 0.1, placed.mark.text
            elif placed.clip:
                assert placed.clip.left >= 9.0
                assert placed.clip.right <= sheet.width - 9.0
                assert placed.clip.bottom <= sheet.height - 9.0

"""Fold marks: on sheets that fold in half to the folder's size, on the middle of the longer side, off the drawing."""

from __future__ import annotations

import pytest

from diagramgen.drawing.scene import Shape
from diagramgen.features.diagrams.sheet import fold_marks
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.frame import MARGIN


def ends(paper):
    return [(line.start, line.pieces[-1].to) for mark in fold_marks(paper) if isinstance(mark, Shape)
            for line in mark.path]


@pytest.mark.parametrize(("large", "small"), [("a3", "a4"), ("tabloid", "letter")])
def test_a_fold_halves_the_longer_side(large, small):
    """ISO 216: two A4 sheets side by side make an A3; ANSI: two Letter sheets a Tabloid."""
    lying, upright = PAPERS[large].landscape(), PAPERS[large]
    for a, b in ends(lying):
        assert a.x == b.x == pytest.approx(PAPERS[small].width, abs=0.3)
    for a, b in ends(upright):
        assert a.y == b.y == pytest.approx(PAPERS[small].width, abs=0.3)
    assert len(ends(lying)) == len(ends(upright)) == 2


def test_marks_stand_in_the_margin():
    lying = PAPERS["a3"].landscape()
    for pair in ends(lying):
        for at in pair:
            assert 4 <= at.y <= MARGIN or lying.height - MARGIN <= at.y <= lying.height - 4


@pytest.mark.parametrize("name", ["a5", "a4", "letter", "legal"])
def test_small_sheets_are_not_folded(name):
    assert fold_marks(PAPERS[name]) == fold_marks(PAPERS[name].landscape()) == []


@pytest.mark.parametrize("name", PAPERS)
def test_other_papers_named_by_a_paper_are_known_and_half_of_a_folded_one_is_the_one_it_folds_to(name):
    paper = PAPERS[name]
    assert {paper.up, paper.files_as, paper.folds_to} - {""} <= set(PAPERS)
    if paper.folds_to:
        half = PAPERS[paper.folds_to]
        assert (paper.height / 2, paper.width) == pytest.approx((half.width, half.height), abs=0.6)

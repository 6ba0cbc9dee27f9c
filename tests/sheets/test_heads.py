"""The head and the foot of a sheet: job, title, stamp and warning beside each other on every paper."""

from __future__ import annotations

from itertools import combinations

import pytest

from diagramgen.drawing.scene import Group, Role, Shape, Text
from diagramgen.kernel.geometry import Box, box_around
from diagramgen.kernel.paper import PAPERS, Paper
from diagramgen.lettering import text_box
from diagramgen.sheets.frame import JobLine, framed

TITLES = {
    "short": "One single coil, one volume",
    "usual": "Baritone, two unlike dual coils, mode rings, transducer blended in",
    "longest": ("Double-neck with six pickups, four selectors, two blends and a buffer, rewired throughout, "
                "shielded, and set up anew")[:120],
    "none": "",
}
STAMPS = ("Drilling template, player's face, full size", "Solder side, looking into the opened cavity, full size",
          "Lead list")
WARNINGS = ("", "NOT PROVED: it has errors", "NOT TO SCALE · NOT PROVED: it has errors · MISSING: W03, W07, W12, W21")
SHEETS = [p for paper in PAPERS.values() if paper.name != "A5" for p in (paper, paper.landscape())]


def texts(marks) -> list[Text]:
    return [t for mark in marks for t in (texts(mark.children) if isinstance(mark, Group) else
                                          [mark] if isinstance(mark, Text) else [])]


def sheet(paper: Paper, title: str, stamp: str, warning: str, job: str = "LL-1107") -> tuple[list[Text], Box | None]:
    line = JobLine(job, TITLES[title], "Solid body, one single coil near the bridge", "2026-11-02", "B",
                   "Lantern Lane Instrument Workshop", "", "9d188859")
    page = framed(paper, line, stamp, 3.14 if stamp != "Lead list" else None, 1, 21, warning)
    boxes = [m for m in page.marks if isinstance(m, Shape) and m.role in (Role.STAMP, Role.WARNING)]
    return texts(page.marks), box_around(boxes[0].path[0].flat()) if boxes else None


def box_of(text: Text) -> Box:
    return text_box(text.text, text.at, text.height, text.anchor, text.angle, text.bold)


@pytest.mark.parametrize("job", ["LL-1107", "LL-2026-000123-REPAIR"])
@pytest.mark.parametrize("warning", WARNINGS)
@pytest.mark.parametrize("stamp", STAMPS)
@pytest.mark.parametrize("title", TITLES)
@pytest.mark.parametrize("paper", SHEETS, ids=lambda p: f"{p.name}-{p.width:.0f}")
def test_no_word_of_head_or_foot_lies_on_another_or_leaves_the_frame(paper, title, stamp, warning, job) -> None:
    found, stamped = sheet(paper, title, stamp, warning, job)
    boxes = [box_of(t) for t in found if t.text]
    for a, b in combinations(boxes, 2):
        assert not (a.left < b.right - 0.01 and b.left < a.right - 0.01
                    and a.top < b.bottom - 0.35 and b.top < a.bottom - 0.35), (a, b)
    assert all(b.left > 10.0 and b.right < paper.width - 10.0 for b in boxes)
    assert stamped is not None
    for text, box in zip((t for t in found if t.text), boxes, strict=True):
        crossing = box.left < stamped.right and stamped.left < box.right and box.top < stamped.bottom < 30
        assert not crossing or (stamped.left < box.left and box.right < stamped.right), text.text


@pytest.mark.parametrize("stamp", STAMPS)
@pytest.mark.parametrize("title", ["short", "usual"])
@pytest.mark.parametrize("paper", SHEETS, ids=lambda p: f"{p.name}-{p.width:.0f}")
def test_a_usual_title_is_never_cut_short(paper, title, stamp) -> None:
    found, _ = sheet(paper, title, stamp, "")
    lines = [t.text for t in found if t.role == Role.TITLE_TEXT and not t.bold]
    assert " ".join(lines) == TITLES[title]


@pytest.mark.parametrize("paper", SHEETS, ids=lambda p: f"{p.name}-{p.width:.0f}")
def test_the_foot_says_instrument_and_workshop_whole(paper) -> None:
    found, _ = sheet(paper, "short", STAMPS[0], "")
    said = {t.text for t in found}
    assert {"Solid body, one single coil near the bridge", "Lantern Lane Instrument Workshop", "9d188859"} <= said


def test_a_title_too_long_for_three_lines_ends_in_an_ellipsis() -> None:
    found, _ = sheet(PAPERS["a4"], "longest", STAMPS[1], WARNINGS[2], "LL-2026-000123-REPAIR")
    lines = [t.text for t in found if t.role == Role.TITLE_TEXT and not t.bold]
    assert lines[-1].endswith("…")
    assert len(lines) <= 3


def test_every_warning_is_printed_whole() -> None:
    for paper in SHEETS:
        for stamp in STAMPS:
            for title in TITLES:
                found, _ = sheet(paper, title, stamp, WARNINGS[2])
                said = " ".join(t.text for t in found if t.role == Role.WARNING_TEXT)
                for word in ["NOT", "TO", "SCALE", "NOT", "PROVED", "MISSING", "W03", "W07", "W12", "W21"]:
                    assert word in said

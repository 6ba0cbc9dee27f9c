"""The front page of a packet: what it lists is what follows, with the right numbers, and each line leads there."""

from __future__ import annotations

from pathlib import Path

from diagramgen.analysis import examine
from diagramgen.drawing.scene import Anchor, Link, Text, walk
from diagramgen.sheets.links import first_numbers
from diagramgen.sheets.printing import job_of, sheets_of
from diagramgen.sheets.registry import kinds, packet_sheets
from diagramgen.sheets.sheet_kind import Request

ROOT = Path(__file__).resolve().parents[2]
TINY = (ROOT / "tests" / "helpers" / "tiny.yaml").read_bytes()


def test_the_contents_list_every_kind_that_follows_with_the_number_of_its_first_sheet() -> None:
    made = sheets_of(job_of(examine(Path("tiny.yaml"), data=TINY), Request(sheets=packet_sheets())))
    front = made["packet"][0]
    said = [mark.text for mark in walk(front) if isinstance(mark, Text)]
    links = {mark.target for mark in walk(front) if isinstance(mark, Link)}
    for name, first in first_numbers(made).items():
        if name != "packet":
            assert kinds()[name].title in said
            assert f"sheet-{first}" in links
    assert any(isinstance(mark, Anchor) and mark.name == "contents" for mark in walk(front))
    assert next(iter(made)) == "packet"

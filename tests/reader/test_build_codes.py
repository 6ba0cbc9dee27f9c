"""Every reading code has its paragraph, and no paragraph speaks of a code that is gone."""

from __future__ import annotations

import re

from reading import ROOT


def told_codes() -> list[str]:
    page = (ROOT / "docs" / "problems.md").read_text(encoding="utf-8")
    return re.findall(r"^\*\*(R\d{3})\*\*", page, re.MULTILINE)


def test_every_reading_code_has_a_paragraph_and_the_other_way_round() -> None:
    used: set[str] = set()
    for path in (ROOT / "diagramgen").rglob("*.py"):
        used |= set(re.findall(r"\"(R\d{3})\"", path.read_text(encoding="utf-8")))
    told = set(told_codes())
    assert used == told


def test_paragraphs_stand_in_the_order_of_their_codes() -> None:
    assert told_codes() == sorted(told_codes())


def test_most_codes_are_shown_by_a_faulty_build() -> None:
    """Codes no file can show without a machine's help, and those said once a build was read, are named here."""
    without_a_file = {"R001", "R002", "R007", "R015", "R020", "R024", "R346", "R347"}
    shown: set[str] = set()
    for path in (ROOT / "tests" / "bad_builds").glob("*.txt"):
        shown |= set(re.findall(r" (R\d{3}): ", path.read_text(encoding="utf-8")))
    told = set(told_codes())
    assert told - shown - without_a_file == set()

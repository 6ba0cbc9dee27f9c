"""Every code the program can say has its paragraph in docs/problems.md, and no paragraph speaks of another."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CODE = r"[RSPWDCJ]\d{3}"


def used() -> set[str]:
    files = sorted((ROOT / "diagramgen").rglob("*.py"))
    return {code for f in files for code in re.findall(rf'"({CODE})"', f.read_text(encoding="utf-8"))}


def described() -> list[str]:
    page = (ROOT / "docs" / "problems.md").read_text(encoding="utf-8")
    return re.findall(rf"(?m)^\*\*({CODE})\*\*", page)


def test_every_code_has_one_paragraph_and_every_paragraph_a_code() -> None:
    assert sorted(described()) == sorted(used())


def test_every_code_a_faulty_build_shows_has_an_example_in_explain() -> None:
    said = set()
    for path in (ROOT / "tests" / "bad_builds").glob("*.txt"):
        said |= set(re.findall(rf": (?:error|warning|note) ({CODE}): ", path.read_text(encoding="utf-8")))
    shown = (ROOT / "docs" / "problem-examples.txt").read_text(encoding="utf-8")
    missing = {code for code in said if f" {code}: " not in shown}
    assert missing == set(), "after a change of tests/bad_builds: python tools/make_examples.py"

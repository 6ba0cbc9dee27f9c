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

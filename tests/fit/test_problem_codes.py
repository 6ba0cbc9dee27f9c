"""Every code these packages use has its paragraph, and no paragraph speaks of a code that is not used."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
SPOKEN = ("diagramgen/layout/fit", "diagramgen/circuit/rules.py", "diagramgen/circuit/braids.py",
          "diagramgen/work/lengths.py", "diagramgen/work/joint_rules.py")


def used() -> set[str]:
    files = [f for name in SPOKEN for f in ([ROOT / name] if name.endswith(".py") else (ROOT / name).glob("*.py"))]
    return {code for f in files for code in re.findall(r'"([PWC]\d{3})"', f.read_text(encoding="utf-8"))}


def test_every_code_has_a_paragraph_in_the_docs() -> None:
    pages = "".join(p.read_text(encoding="utf-8") for p in sorted((ROOT / "docs").glob("problems*.md")))
    assert used() <= set(re.findall(r"\b([PWC]\d{3})\b", pages))


def test_this_page_speaks_only_of_codes_that_are_used() -> None:
    page = ROOT / "docs" / "problems-fit.md"
    if page.exists():
        assert set(re.findall(r"\*\*([PWC]\d{3})\*\*", page.read_text(encoding="utf-8"))) == used()


def test_every_column_of_the_lead_list_is_described() -> None:
    from diagramgen.work.export import COLUMNS

    page = (ROOT / "docs" / "lead-list.md").read_text(encoding="utf-8")
    table = " ".join(line.split("|")[1] for line in page.splitlines() if line.startswith("| "))
    assert set(COLUMNS) <= set(re.findall(r"[a-z_]+", table))

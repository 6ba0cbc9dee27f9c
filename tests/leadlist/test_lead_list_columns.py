"""The page on the lead list describes every column of the CSV file."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_every_column_of_the_lead_list_is_described() -> None:
    from diagramgen.features.leadlist.export import COLUMNS

    page = (ROOT / "docs" / "lead-list.md").read_text(encoding="utf-8")
    table = " ".join(line.split("|")[1] for line in page.splitlines() if line.startswith("| "))
    assert set(COLUMNS) <= set(re.findall(r"[a-z_]+", table))

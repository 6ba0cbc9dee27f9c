"""docs/libraries.md: every library the program declares stands on it, and every file it names is there."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "libraries.md").read_text(encoding="utf-8")
FOLDERS = (ROOT, ROOT / "diagramgen", ROOT / "benchmarks")


def test_every_library_of_the_program_is_on_the_page():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    declared = [re.match(r"[\w-]+", one)[0] for one in project["dependencies"] + extras["png"] + extras["picture"]]
    assert len(declared) >= 11
    page = PAGE.casefold()
    assert [name for name in declared if name.split("-")[0].casefold() not in page] == []


def test_every_file_and_folder_the_page_names_is_there():
    named = [name for name in re.findall(r"`([\w/.]+)`", PAGE) if "/" in name or name.endswith(".py")]
    assert len(named) >= 15
    places = {*FOLDERS, *(folder / name.rpartition("/")[0] for name in named for folder in FOLDERS)}
    # The second of two in one cell stands without its folder: `writers/pdf.py`, `pdf_tags.py`.
    assert [name for name in named if not any((place / name).exists() for place in places)] == []

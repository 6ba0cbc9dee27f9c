"""What DEVELOPERS.md and docs/architecture.md say of the tree is so."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest
from imports import layers

ROOT = Path(__file__).resolve().parents[2]
PAGES = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("DEVELOPERS.md", "docs/architecture.md")}
LONGEST = 120
"""Lines of DEVELOPERS.md at most: two pages."""


@pytest.mark.parametrize("name", PAGES)
def test_every_path_the_page_names_is_there(name: str) -> None:
    paths = re.findall(r"`([\w.-]+(?:/[\w.-]*)+)`", PAGES[name].replace("...", "*").replace("NAME", "*"))
    assert len(paths) > 15
    missing = [path for path in paths if "*" not in path
               and not any((base / path).exists() for base in (ROOT, ROOT / "diagramgen", ROOT / "docs"))]
    assert missing == []


def test_every_room_and_every_feature_has_its_place_on_a_page() -> None:
    rooms = [room for row in layers() for room in row]
    features = [f"features/{p.name}/" for p in (ROOT / "diagramgen" / "features").iterdir()
                if (p / "__init__.py").is_file()]
    assert [room for room in rooms if not re.search(rf"\b{room}\b", PAGES["docs/architecture.md"])] == []
    assert sorted(one for one in features if one not in PAGES["DEVELOPERS.md"]) == []


def test_the_page_for_developers_is_two_pages_at_most() -> None:
    assert len(PAGES["DEVELOPERS.md"].splitlines()) <= LONGEST


def test_the_picture_of_the_layers_is_what_the_imports_give() -> None:
    spec = importlib.util.spec_from_file_location("layers_picture", ROOT / "tools" / "layers_picture.py")
    assert spec is not None
    assert spec.loader is not None
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    assert tool.PICTURE.read_text(encoding="utf-8") == tool.picture(), "run: python tools/layers_picture.py"

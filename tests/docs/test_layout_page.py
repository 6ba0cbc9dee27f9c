"""docs/layout.md names what exists, with the values it has, and its figures are those the script draws."""

from __future__ import annotations

import ast
import re
import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "layout.md"
FIGURES = ROOT / "docs" / "layout-figures"
TEXT = PAGE.read_text(encoding="utf-8")
PROSE, TABLE = TEXT.split("## Tuning constants")
ROW = re.compile(r"^\| `([\w.]+)` \| `([\w/]+\.py)` \| (.+?) \| (.+?) \| (.+?) \|$", re.M)
TUNED = ("layout/routing", "layout/global_routing", "layout/placement", "drawing/labelling")
NOT_TUNED = {"_GAPS", "_CLOSED", "_DOWN"}
"""Numbers that only have to be what they are: a radix, a mark, a direction."""


def module_of(path: str) -> ModuleType:
    return import_module(path.removesuffix(".py").replace("/", "."))


def reached(module: ModuleType, name: str) -> object:
    found: object = module
    for part in name.split("."):
        found = getattr(found, part)
    return found


def shown(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(f"({shown(x)})" if isinstance(x, tuple) else shown(x) for x in value)
    assert isinstance(value, int | float)
    return f"{value:.6g}"


def named() -> list[tuple[str, str]]:
    """(module, name) of every list of names that follows a module's path in the text."""
    found = []
    for path, names in re.findall(r"`(diagramgen/[\w/]+\.py)`:((?:\s+(?:makes\s+)?`[\w.]+`(?: \([^)]*\))?,?)+)", PROSE):
        found += [(path, name) for name in re.findall(r"`([\w.]+)`", names)]
    return found


def test_the_page_names_only_functions_and_classes_that_exist() -> None:
    assert len(named()) > 50
    for path, name in named():
        reached(module_of(path), name)


def test_every_module_that_the_page_names_exists() -> None:
    paths = re.findall(r"`((?:diagramgen|tools)/[\w/]*(?:\.py)?)`", TEXT)
    assert len(paths) > 25
    assert [p for p in paths if not (ROOT / p).exists()] == []


def test_the_page_says_of_each_code_of_routes_which_files_tell_it() -> None:
    layout = ROOT / "diagramgen" / "layout"
    told = {(code.replace("_", "-"), path.relative_to(layout).as_posix())
            for path in layout.rglob("*.py") if path.name != "codes.py"
            for code in re.findall(r"^ +(RTE_\d+)\b(?:, |,$|\.at)", path.read_text(encoding="utf-8"), re.M)}
    rows = re.findall(r"^\| (RTE-[^|]+) \| [^|]+ \| ([^|]+) \|$", PROSE, re.M)
    named: set[tuple[str, str]] = set()
    files: list[str] = []
    for codes, cell in rows:
        files = files if cell == "the same two" else re.findall(r"`([\w/]+\.py)`", cell)
        named |= {(code, file) for code in codes.split(", ") for file in files}
    assert len(rows) > 5
    assert named == told


def test_every_constant_of_the_table_has_the_value_printed() -> None:
    rows = ROW.findall(TABLE)
    assert len(rows) == TABLE.count("\n| `")
    wrong = [(name, value) for name, path, value, _, _ in rows
             if shown(reached(module_of(f"diagramgen/{path}"), name)) != value]
    assert wrong == []


def numbers_of(path: Path) -> set[str]:
    """Names in capitals that a module sets to numbers or rows of numbers."""
    module = module_of(str(path.relative_to(ROOT)))
    names: set[str] = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        targets = node.targets if isinstance(node, ast.Assign) else []
        flat = [e for t in targets for e in (t.elts if isinstance(t, ast.Tuple) else [t])]
        names |= {t.id for t in flat if isinstance(t, ast.Name) and re.fullmatch(r"_?[A-Z][A-Z_]*", t.id)}

    def numeric(value: object) -> bool:
        if isinstance(value, tuple):
            return type(value) is tuple and bool(value) and all(map(numeric, value))
        return isinstance(value, int | float)

    return {name for name in names if numeric(getattr(module, name))} - NOT_TUNED


def test_every_number_of_router_placing_and_labelling_stands_in_the_table() -> None:
    listed = {(path, name) for name, path, *_ in ROW.findall(TABLE)}
    held = {(str(path.relative_to(ROOT / "diagramgen")), name)
            for folder in TUNED for path in sorted((ROOT / "diagramgen" / folder).glob("*.py"))
            for name in numbers_of(path)}
    assert held - listed == set()
    assert len(held) > 100


def test_the_page_shows_each_figure_once_and_every_figure_is_small() -> None:
    shown_here = re.findall(r"\(layout-figures/([\w-]+\.svg)\)", TEXT)
    assert shown_here == sorted(p.name for p in FIGURES.glob("*.svg"))
    assert len(shown_here) == 15
    assert max(p.stat().st_size for p in FIGURES.glob("*.svg")) < 60_000


@pytest.mark.slow
def test_the_figures_are_those_that_the_script_draws(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "path", [str(ROOT / "tools"), *sys.path])
    made = import_module("layout_figures").drawn()
    assert {name: (FIGURES / name).read_text(encoding="utf-8") for name in made} == made

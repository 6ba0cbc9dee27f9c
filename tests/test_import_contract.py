"""Layers import one way only; the order is the one DEVELOPERS.md draws."""

from __future__ import annotations

import ast
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent / "diagramgen"

LAYERS: list[set[str]] = [
    {"kernel"},
    {"errors", "lettering", "yamlfile"},
    {"library"},
    {"model"},
    {"reader"},
    {"edit", "circuit", "layout"},
    {"job"},
    {"diagnosis", "drawing"},
    {"analysis", "writers"},
    {"sheets"},
    {"console"},
    {"features"},
    {"app", "api"},
    {"__main__"},
]
"""From the bottom up; names in one row are siblings and may not import each other."""

RANK = {name: i for i, row in enumerate(LAYERS) for name in row}


def layer_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def imports_of(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.add(node.module)
            if node.module == "diagramgen":
                found |= {f"diagramgen.{alias.name}" for alias in node.names}
    return {name for name in found if name.split(".")[0] == "diagramgen"}


def edges() -> list[tuple[str, str, str]]:
    rows = []
    for path in sorted(PACKAGE.rglob("*.py")):
        module = ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)
        rows += [(str(path.relative_to(PACKAGE)), layer_of(module), layer_of(name)) for name in imports_of(path)]
    return rows


def test_every_module_stands_in_a_layer() -> None:
    names = {layer_of(".".join(p.relative_to(PACKAGE.parent).with_suffix("").parts)) for p in PACKAGE.rglob("*.py")}
    assert names - {"__init__", "symbols", "samples"} <= set(RANK)


def test_layers_import_only_downwards() -> None:
    wrong = [
        f"{path}: {own} imports {other}"
        for path, own, other in edges()
        if own in RANK and other in RANK and own != other and RANK[own] <= RANK[other]
    ]
    assert wrong == []


def test_the_contract_would_see_an_upward_import() -> None:
    assert RANK["reader"] < RANK["app"]
    assert any(own == "app" and other == "console" for _, own, other in edges())


def test_modules_and_functions_keep_their_size() -> None:
    long_modules, long_functions, functions = [], [], 0
    for path in sorted(PACKAGE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        if len(text.splitlines()) > 600:
            long_modules.append(path.name)
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef):
                functions += 1
                if (node.end_lineno or node.lineno) - node.lineno + 1 > 80:
                    long_functions.append(f"{path.name}:{node.name}")
    assert long_modules == []
    assert long_functions == []
    assert functions > 100


def test_features_do_not_import_one_another() -> None:
    wrong = []
    for path in sorted((PACKAGE / "features").rglob("*.py")):
        own = path.relative_to(PACKAGE / "features").parts[0]
        for name in imports_of(path):
            parts = name.split(".")
            other = parts[2] if parts[1:2] == ["features"] and len(parts) > 2 else own
            if other != own:
                wrong.append(f"{path.name}: {own} imports {other}")
    assert wrong == []

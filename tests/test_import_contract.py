"""Layers import one way only; the order is the one DEVELOPERS.md draws."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent / "diagramgen"

LAYERS: list[set[str]] = [
    {"kernel"},
    {"lettering", "yamlfile"},
    {"library"},
    {"model"},
    {"reader"},
    {"edit", "circuit", "layout"},
    {"job"},
    {"diagnosis", "drawing"},
    {"sheets"},
    {"writers"},
    {"console"},
    {"features"},
    {"app", "api"},
    {"__main__"},
]
"""From the bottom up; names in one row are siblings and may not import each other."""

TO_CUT = {
    ("job/pipeline.py", "features"), ("job/pipeline.py", "drawing"), ("job/pipeline.py", "sheets"),
    ("job/pipeline.py", "writers"), ("model/build.py", "reader"), ("features/labels/cli.py", "app"),
    ("features/playerpage/cli.py", "app"), ("features/price/cli.py", "app"),
    ("features/trace/cli.py", "app"),
}
"""Imports upwards that the moves left; each goes with the step that its row in docs/architecture.md names."""

BETWEEN_FEATURES = {("playerpage", "sounds"), ("playerpage", "record"), ("testpage", "bench")}
"""What one feature may take from another."""

RANK = {name: i for i, row in enumerate(LAYERS) for name in row}


def layer_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


@cache
def facts_of(path: Path) -> tuple[frozenset[str], dict[str, int]]:
    """What a module imports of the package, and the lines of each of its functions; read once for all tests."""
    found: set[str] = set()
    functions: dict[str, int] = {}
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.add(node.module)
            if node.module == "diagramgen":
                found |= {f"diagramgen.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.FunctionDef):
            functions[f"{path.name}:{node.lineno} {node.name}"] = (node.end_lineno or node.lineno) - node.lineno + 1
    return frozenset(name for name in found if name.split(".")[0] == "diagramgen"), functions


def imports_of(path: Path) -> frozenset[str]:
    return facts_of(path)[0]


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
        and (path, other) not in TO_CUT
    ]
    assert wrong == []


def test_the_contract_would_see_an_upward_import() -> None:
    assert RANK["reader"] < RANK["app"]
    assert any(own == "app" and other == "console" for _, own, other in edges())


def test_modules_and_functions_keep_their_size() -> None:
    paths = sorted(PACKAGE.rglob("*.py"))
    functions = {name: lines for path in paths for name, lines in facts_of(path)[1].items()}
    assert [path.name for path in paths if len(path.read_text(encoding="utf-8").splitlines()) > 600] == []
    assert [name for name, lines in functions.items() if lines > 80] == []
    assert len(functions) > 100


def test_features_do_not_import_one_another() -> None:
    wrong = []
    for path in sorted((PACKAGE / "features").rglob("*.py")):
        own = path.relative_to(PACKAGE / "features").parts[0]
        for name in imports_of(path):
            parts = name.split(".")
            other = parts[2] if parts[1:2] == ["features"] and len(parts) > 2 else own
            if other != own and (own, other) not in BETWEEN_FEATURES:
                wrong.append(f"{path.name}: {own} imports {other}")
    assert wrong == []

"""Layers import one way only, as docs/architecture.md draws them; modules and functions keep their size."""

from __future__ import annotations

import ast

from imports import PACKAGE, between_rooms, circles, imports, layers, room, trees

RANK = {name: i for i, row in enumerate(reversed(layers())) for name in row}
DATA = {"fonts", "labelsheets"}
"""Folders of the package without a module."""
SKIPPED = {"build", "dist", "out", "lib", "env", "bin", "target"}
"""Names of folders that search, lint, archive and coverage leave out unasked."""


def test_every_module_stands_in_a_layer() -> None:
    assert {room(name) for name in trees()} - {""} == set(RANK)


def test_layers_import_only_downwards() -> None:
    assert [f"{own} imports {other}" for own, other, _ in between_rooms() if RANK[own] <= RANK[other]] == []


def test_features_do_not_import_one_another() -> None:
    def feature(module: str) -> str:
        return module.split(".")[2] if module.startswith("diagramgen.features.") else ""

    pairs = {(feature(own), feature(other)) for own, all_ in imports().items() for other in all_}
    assert [(own, other) for own, other in pairs if own and other and own != other] == []


def test_no_modules_import_one_another_in_a_circle() -> None:
    assert circles() == []


def test_the_contract_sees_imports_of_every_kind() -> None:
    assert ("app", "console") in {(own, other) for own, other, _ in between_rooms()}
    assert "diagramgen.writers.svg" in imports()["diagramgen.sheets.printing"]  # within a function
    assert "diagramgen.drawing.scene" in imports()["diagramgen.sheets.sheet_kind"]  # for types


def test_no_folder_has_a_name_that_tools_leave_out() -> None:
    folders = {path.name for path in PACKAGE.rglob("*") if path.is_dir()}
    assert folders & SKIPPED == set()


def test_modules_and_functions_keep_their_size() -> None:
    long_modules = [p.name for p in PACKAGE.rglob("*.py") if len(p.read_text(encoding="utf-8").splitlines()) > 600]
    functions = [(f"{name}:{node.name}", (node.end_lineno or node.lineno) - node.lineno + 1)
                 for name, tree in trees().items() for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    assert long_modules == []
    assert [name for name, lines in functions if lines > 80] == []
    assert len(functions) > 2000

"""Who imports whom, read from the files of the package once in a test process."""

from __future__ import annotations

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "diagramgen"


@cache
def trees() -> dict[str, ast.Module]:
    """Module -> its syntax tree; of a package its ``__init__``."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        found[name] = ast.parse(path.read_text(encoding="utf-8"))
    return found


@cache
def imports() -> dict[str, frozenset[str]]:
    """Module -> the modules it imports, wherever in it that stands, for types as well."""
    return {name: frozenset(_imported(tree)) - {name} for name, tree in trees().items()}


def _imported(tree: ast.Module) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if alias.name in trees()}
        elif isinstance(node, ast.ImportFrom) and node.module in trees() and node.level == 0:
            whole = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= {name if name in trees() else node.module for name in whole}
    return found


def room(module: str) -> str:
    """``diagramgen.circuit.nodal`` -> ``circuit``; '' for the package itself."""
    return module.split(".")[1] if "." in module else ""


def layers() -> list[list[str]]:
    """The rows of docs/architecture.md, from the top down."""
    page = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"```text layers\n(.*?)```", page, re.DOTALL)
    return [line.split() for line in block.splitlines()]


def between_rooms() -> list[tuple[str, str, int]]:
    """Room, room it imports, how many imports; the package itself left out."""
    count = Counter((room(own), room(other)) for own, all_ in imports().items() for other in all_)
    return [(own, other, n) for (own, other), n in count.items() if own != other and own and other]


def circles() -> list[list[str]]:
    """Sets of modules that import one another in a circle (strongly connected components of more than one)."""
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(name: str) -> None:
        index[name] = low[name] = len(index)
        stack.append(name)
        for other in sorted(imports()[name]):
            if other not in index:
                visit(other)
            if other in stack:
                low[name] = min(low[name], low[other])
        if low[name] == index[name]:
            one = [stack.pop()]
            while one[-1] != name:
                one.append(stack.pop())
            if len(one) > 1:
                found.append(sorted(one))

    for name in imports():
        if name not in index:
            visit(name)
    return found

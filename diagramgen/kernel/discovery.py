"""Finds modules by their folder or the ending of their name: a new sheet, command, rule or element is on no list."""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parent.parent


def modules_ending(ending: str, *folders: str) -> Iterator[ModuleType]:
    """Import the modules of these folders of the package, and of the folders in them, whose name ends so.

    Parameters: ending - ``_kind``: ``features/sounds/curves_kind.py`` is found; folders - ``features``, ``app``.
    Yields: modules sorted by folder and name.
    """
    for folder in folders:
        for path in sorted([*(ROOT / folder).glob(f"*{ending}.py"), *(ROOT / folder).glob(f"*/*{ending}.py")]):
            yield _module(path)


def modules_beside(file: str) -> Iterator[ModuleType]:
    """Import the other modules of a module's folder, sorted by name.

    Parameters: file - the ``__file__`` of the module that asks, which is left out.
    """
    for path in sorted(Path(file).resolve().parent.glob("*.py")):
        if path.name not in ("__init__.py", Path(file).name):
            yield _module(path)


def _module(path: Path) -> ModuleType:
    return importlib.import_module(".".join((ROOT.name, *path.relative_to(ROOT).with_suffix("").parts)))

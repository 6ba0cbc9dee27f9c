"""Finds modules by the ending of their name, so that a new sheet or command is one file and on no list."""

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
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            yield importlib.import_module(f"{ROOT.name}.{name}")

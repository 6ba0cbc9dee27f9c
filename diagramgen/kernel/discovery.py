"""Finds modules by the ending of their name, so that a new sheet or command is one file and on no list.

The command line asks at every start: nothing is imported here that costs time.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from importlib.util import module_from_spec, spec_from_file_location
from types import ModuleType

PACKAGE = "diagramgen"
ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))


def modules_ending(ending: str, *folders: str) -> Iterator[ModuleType]:
    """Import the modules of these folders of the package, and of the folders in them, whose name ends so.

    Parameters: ending - ``_kind``: ``features/sounds/curves_kind.py`` is found; folders - ``features``, ``app``.
    Yields: modules sorted by folder and name.
    """
    for folder in folders:
        for within in ("", *sorted(_folders(os.path.join(ROOT, folder)))):
            for name in sorted(os.listdir(os.path.join(ROOT, folder, within))):
                if name.endswith(f"{ending}.py"):
                    parts = filter(None, (PACKAGE, folder, within, name.removesuffix(".py")))
                    yield _loaded(".".join(parts), os.path.join(ROOT, folder, within, name))


def _loaded(name: str, path: str) -> ModuleType:
    """The module of a file, imported without a search for it and without its packages: that takes twice as long."""
    if name not in sys.modules:
        spec = spec_from_file_location(name, path)
        if spec is None or spec.loader is None:
            raise ImportError(f"{path} cannot be imported")
        sys.modules[name] = module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


def _folders(path: str) -> Iterator[str]:
    with os.scandir(path) as found:
        yield from (one.name for one in found if one.is_dir() and one.name.isidentifier())

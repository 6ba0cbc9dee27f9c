"""Finds modules by their folder or the ending of their name: a new sheet, command, rule or element is on no list.

The command line asks at every start: nothing is imported here that costs time.
"""

from __future__ import annotations

import importlib
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


def modules_beside(file: str) -> Iterator[ModuleType]:
    """Import the other modules of a module's folder, sorted by name.

    Parameters: file - the ``__file__`` of the module that asks, which is left out.
    """
    folder = os.path.dirname(os.path.abspath(file))
    package = ".".join((PACKAGE, *os.path.relpath(folder, ROOT).split(os.sep)))
    for name in sorted(os.listdir(folder)):
        if name.endswith(".py") and name not in ("__init__.py", os.path.basename(file)):
            yield importlib.import_module(f"{package}.{name.removesuffix('.py')}")


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

"""Every kind of element, found by looking at the files of this folder; and the elements of a circuit as one value."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping
from pathlib import Path

from diagramgen.circuit.elements.element import ElementKind


def _found() -> dict[str, ElementKind]:
    here = __name__.rpartition(".")[0]
    names = sorted(info.name for info in pkgutil.iter_modules([str(Path(__file__).parent)]))
    modules = [importlib.import_module(f"{here}.{name}") for name in names if name != "registry"]
    return {kind.name: kind for module in modules for kind in getattr(module, "KINDS", ())}


KINDS: Mapping[str, ElementKind] = _found()
"""The word of a symbol file (``is: coil``) -> its kind. A ``link`` is none: it is a joint (``nets``)."""

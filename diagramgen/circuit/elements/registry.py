"""Every kind of element, found by looking at the files of this folder; and the elements of a circuit as one value."""

from __future__ import annotations

from collections.abc import Mapping

from diagramgen.circuit.elements.element import ElementKind
from diagramgen.kernel.discovery import modules_beside

KINDS: Mapping[str, ElementKind] = {
    kind.name: kind for module in modules_beside(__file__) for kind in getattr(module, "KINDS", ())}
"""The word of a symbol file (``is: coil``) -> its kind. A ``link`` is none: it is a joint (``nets``)."""
